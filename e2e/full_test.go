package e2e

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
)

// A browser that keeps what it keeps on a file system of its own, which is
// really full: what a quota refuses in time, a full disk lets fail half-way, and
// the browser's own database may be torn by that and wiped when it is opened
// again.

// roomOfDisk is how large the file system is: a profile and the site, and little more.
const roomOfDisk = 60 << 20

// ownSpace tells a test that it runs in a mount namespace of its own.
const ownSpace = "CANDLECLOCK_OWN_SPACE"

// smallDisk mounts a file system of its own for the test and returns its folder.
// Who may not mount gets a namespace in which they may, and the test runs there:
// then it returns false, and the test is over. Where neither may be had it fails:
// nothing else shows what is to be shown.
func smallDisk(t *testing.T) (dir string, here bool) {
	t.Helper()
	dir = t.TempDir()
	err := syscall.Mount("tmpfs", dir, "tmpfs", 0, fmt.Sprint("size=", roomOfDisk))
	if err == nil {
		t.Cleanup(func() {
			if err := syscall.Unmount(dir, syscall.MNT_DETACH); err != nil {
				t.Error(err)
			}
		})
		return dir, true
	}
	if os.Getenv(ownSpace) != "" {
		t.Fatalf("no file system of its own may be mounted, in a namespace of its own neither: %v", err)
	}
	again := exec.Command("unshare", "--user", "--map-root-user", "--mount", os.Args[0], "-test.count=1", "-test.run", "^"+t.Name()+"$", "-test.v")
	again.Env = append(os.Environ(), ownSpace+"=yes")
	said, failed := again.CombinedOutput()
	t.Logf("in a mount namespace of its own:\n%s", said)
	if failed != nil || !strings.Contains(string(said), "--- PASS: "+t.Name()) {
		t.Fatalf("a file system of its own needs root (%v) or an unprivileged mount namespace: %v", err, failed)
	}
	return "", false
}

// fill takes all the room that is left, and with hold what the browser gives up
// of its own too, as soon as it does: it clears up behind itself. free gives it
// back.
func fill(t *testing.T, disk string, hold bool) (free func()) {
	t.Helper()
	name := filepath.Join(disk, "full")
	f, err := os.Create(name)
	if err != nil {
		t.Fatal(err)
	}
	more := func() {
		for size := 1 << 20; size > 0; { // down to the last byte
			if _, err = f.Write(make([]byte, size)); err != nil {
				size /= 2
			}
		}
	}
	more()
	if !errors.Is(err, syscall.ENOSPC) {
		t.Fatal(err)
	}
	enough, done := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(done)
		for hold {
			select {
			case <-enough:
				return
			case <-time.After(5 * time.Millisecond):
				more()
			}
		}
	}()
	return sync.OnceFunc(func() {
		close(enough)
		<-done
		f.Close()
		if err := os.Remove(name); err != nil {
			t.Fatal(err)
		}
	})
}

// closed closes the browser as its owner would.
func (p *profile) closed(stop func()) {
	p.t.Helper()
	ctx, cancel := context.WithTimeout(p.ctx, patience)
	defer cancel()
	if err := chromedp.Cancel(ctx); err != nil {
		p.t.Errorf("the browser, closing: %v", err)
	}
	stop()
}

// onDisk opens a browser with its profile on the disk.
func onDisk(t *testing.T, disk string) (p *profile, stop func()) {
	t.Helper()
	ctx, stop, err := launch(filepath.Join(disk, "profile"), frugal()...)
	if err != nil {
		t.Fatalf("the browser: %v", err)
	}
	return profileIn(t, ctx), stop
}

// shownHouse is the number in the name of the plan in view; -1 where there is none.
func (b *tab) shownHouse() int {
	b.t.Helper()
	n, err := strconv.Atoi(strings.TrimPrefix(strings.TrimSpace(b.text("header .plan")), houses))
	if err != nil {
		return -1
	}
	return n
}

// telling is what the page tells of keeping, and of what just happened.
const telling = `["trouble", "news"].map(id => document.getElementById(id)).filter(e => e?.checkVisibility()).map(e => e.innerText).join(" | ")`

// settledKept waits until the page says that all is saved, or that it isn't.
func (b *tab) settledKept() (told string) {
	b.t.Helper()
	b.until(`document.getElementById("kept")?.innerText === "` + savedWords + `" || document.getElementById("trouble").checkVisibility()`)
	return b.text("#trouble")
}

// inStorage waits until the words are in the files of the browser's local storage.
func inStorage(t *testing.T, disk, words string) {
	t.Helper()
	eventually(t, words+", on the disk", func() bool {
		logs, err := filepath.Glob(filepath.Join(disk, "profile", "Default", "Local Storage", "leveldb", "*.log"))
		return err == nil && slices.ContainsFunc(logs, func(name string) bool {
			log, err := os.ReadFile(name)
			return err == nil && bytes.Contains(log, []byte(words))
		})
	})
}

// A disk that is really full: after edits that could not be saved, with the disk
// freed before the browser is closed and not, nothing that was said to be saved
// is lost, however often it is opened again, and what was not saved was told of.
func TestDiskFull(t *testing.T) {
	disk, here := smallDisk(t)
	if !here {
		return
	}
	h := serve(t, built(t))
	runs := 3
	if os.Getenv("CANDLECLOCK_SOAK") != "" {
		runs = 20
	}
	chance := rand.New(rand.NewPCG(14, 1))
	for run := range runs {
		diskFull(t, h, disk, run, chance)
		if err := os.RemoveAll(filepath.Join(disk, "profile")); err != nil {
			t.Fatal(err)
		}
	}
}

func diskFull(t *testing.T, h *host, disk string, run int, chance *rand.Rand) {
	freed, held := run%2 == 0, run%4 < 2
	edits := 5 + chance.IntN(26)
	p, stop := onDisk(t, disk)
	b := p.newTab()
	b.expect("") // the browser itself complains
	y := newTypist(b)
	withPlanIn(b, h)
	b.offlineReady()
	b.turn("more")
	b.rename(houses + "0")
	b.housed()
	type_ := func(from, gap, n int) {
		eval[bool](b, fmt.Sprintf(`typeOn(%d, [%d], %d), true`, from, gap, n))
		eventually(t, "all is typed", func() bool { typed, _ := y.told(); return typed == from+n-1 })
		b.settle()
	}
	type_(1, 100, 2)
	b.housed()

	if !freed && held {
		// Then the browser, which can't keep its books, clears away all that it
		// keeps for the page in them, and the third copy is what is left. It is
		// written seconds late.
		inStorage(t, disk, fmt.Sprint(houses, 2))
	}
	free := fill(t, disk, held)
	type_(3, 100, edits)
	told := b.settledKept()
	if freed {
		free()
		type_(3+edits, 1200, 3)
		told = b.settledKept()
	}
	typed, saved := y.told()
	if saved < typed && told == "" {
		t.Errorf("run %d: house %d was typed, %d was saved, and nothing is told", run, typed, saved)
	}
	p.closed(stop)
	free()
	for again := range 3 {
		p, stop := onDisk(t, disk)
		b := p.newTab()
		b.expect("")
		b.open(h, "#more")
		found, says := b.shownHouse(), eval[string](b, telling)
		t.Logf("run %d, freed %v, held full %v: %d edits, house %d typed, %d saved, told %q; opened again, %d: house %d, %q", run, freed, held, edits, typed, saved, told, again+1, found, says)
		if found < saved {
			t.Errorf("run %d, opening %d: house %d was said to be saved, and %d is there", run, again+1, saved, found)
		}
		if found < 0 && says == "" {
			t.Errorf("run %d, opening %d: nothing is there, and nothing is told", run, again+1)
		}
		p.closed(stop)
	}
}

// In Firefox nothing is lost untold: what it was said to have saved is there, or
// the page says that it isn't.
func TestDiskFullFirefox(t *testing.T) {
	disk, here := smallDisk(t)
	if !here {
		return
	}
	h := serve(t, built(t))
	runs := 3
	if os.Getenv("CANDLECLOCK_SOAK") != "" {
		runs = 20
	}
	for run := range runs {
		freed := run%2 == 0
		start := func() (*tab, func()) {
			f, err := startFirefox(disk)
			if err != nil {
				t.Fatalf("Firefox (Debian's package firefox-esr): %v", err)
			}
			b := f.profile(t, "default").newTab()
			b.expect("") // the browser itself complains
			return b, sync.OnceFunc(func() {
				_, _ = bidi[struct{}](b.ctx, f, "browser.close", struct{}{})
				<-f.gone
				end(f.program)
			})
		}
		b, stop := start()
		withPlanIn(b, h)
		b.turn("more")
		// rename types a name as a script would, and returns what the page says then.
		rename := func(n int) (saved bool, told string) {
			name := fmt.Sprint(houses, n)
			eval[bool](b, fmt.Sprintf(`{ const f = document.getElementById("plan-name"); f.value = %q; f.dispatchEvent(new Event("input", {bubbles: true})) } true`, name))
			want(b, `document.querySelector("header .plan").innerText`, name)
			told = b.settledKept()
			return told == "", told
		}
		last := 0
		if saved, told := rename(0); !saved {
			t.Fatalf("run %d: with room: %q", run, told)
		}
		free := fill(t, disk, true)
		told := ""
		for n := 1; n <= 6; n++ {
			var saved bool
			if saved, told = rename(n); saved {
				last = n
			}
		}
		if freed {
			free()
		}
		stop()
		free()
		for again := range 1 + run%2 {
			b, stop = start()
			b.open(h, "#more")
			found, says := b.shownHouse(), eval[string](b, telling)
			t.Logf("run %d, freed %v: house %d saved, told %q; opened again, %d: house %d, %q", run, freed, last, told, again+1, found, says)
			if found < last && says == "" {
				t.Errorf("run %d, opening %d: house %d was said to be saved, %d is there, and nothing is told", run, again+1, last, found)
			}
			stop()
		}
		for _, d := range []string{"profile", "downloads"} {
			if err := os.RemoveAll(filepath.Join(disk, d)); err != nil {
				t.Fatal(err)
			}
		}
	}
}
