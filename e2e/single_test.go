package e2e

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"

	"candleclock/engine/link"
	"candleclock/engine/plan"
)

// stick is a folder with nothing but the one file in it, as on a memory stick.
// It returns the file's address.
func stick(t testing.TB, file []byte) (folder, address string) {
	t.Helper()
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "candleclock.html"), file, 0o600); err != nil {
		t.Fatal(err)
	}
	return "file://" + dir, "file://" + dir + "/candleclock.html"
}

// plug opens the file from a stick and waits until the page is alive. Neither
// another file nor any host may be asked.
func (b *tab) plug(file []byte) (address string) {
	b.t.Helper()
	folder, address := stick(b.t, file)
	b.visit(folder, address)
	b.alive()
	return address
}

// losses are the rows of the table that tells where the energy goes.
const losses = `[...document.querySelectorAll(".energy tr")].map(r => r.textContent)`

// figures is all that Tonight says in figures.
func (b *tab) figures() []string {
	b.t.Helper()
	a := b.answer()
	return append(a[:], eval[[]string](b, losses)...)
}

// The built file opens with no host and no other file, and says what the site
// says of the same plan.
func TestSingleSaysTheSame(t *testing.T) {
	t.Parallel()
	p := stocked(t, 8)
	h := serve(t, built(t))
	a := newProfile(t).newTab()
	a.open(h, "")
	a.choose("#door-file", "plan.json", p.Encode())
	a.on("tonight")
	want := a.figures()

	b := newProfile(t).newTab()
	b.plug(builtSingle(t))
	b.on("start")
	if got := b.text("header .site"); got == "" || got == a.text("header .site") {
		t.Errorf("the state is told as %q", got)
	}
	b.choose("#door-file", "plan.json", p.Encode())
	b.on("tonight")
	if got := b.figures(); !slices.Equal(got, want) || len(got) < 8 {
		t.Errorf("the file says\n%q\nthe site\n%q", got, want)
	}
	b.show("send") // it knows no address to send a link to
	b.until(`document.getElementById("send-short").value`)
	if got := b.text("#send-link"); got != "" {
		t.Errorf("it shows the link %q", got)
	}
	b.show("card")
	b.until(`document.querySelector(".leaf")`)
	if got := b.text(".qr"); got != "" || eval[bool](b, `document.querySelector(".qr").checkVisibility()`) {
		t.Error("its card has a code")
	}
	if s := eval[string](b, overflow); s != "" {
		t.Error(s)
	}
}

// Long sums have their own thread in the file too, where the browser lets a file
// have one.
func TestSingleWorker(t *testing.T) {
	t.Parallel()
	b := newProfile(t).newTab()
	b.before(watched)
	b.plug(builtSingle(t))
	b.on("start")
	b.atSun("Harbour", 44.65, -63.57, "2026-04-15T18:00")
	b.show("ahead")
	b.finely()
	b.until(`workers.begun > 0 && workers.ended === workers.begun && workers.said > 0`)
	if got := b.text("main"); !strings.Contains(got, "Worked out from 511 outages") {
		t.Error("the answer is not the worker's")
	}
}

// savedSingle is the file that the page hands over, made without the internet.
func savedSingle(t *testing.T, p plan.Plan) (h *host, b *tab, file []byte) {
	t.Helper()
	h = serve(t, built(t))
	b = newProfile(t).newTab()
	b.open(h, "")
	b.choose("#door-file", "plan.json", p.Encode())
	b.on("tonight")
	b.answer()
	b.saved("the plan of the file", func(plan.Plan) bool { return true })
	b.offlineReady()
	h.stop()
	b.turn("card")
	b.until(`document.querySelector(".leaf")`)
	b.tap("#card-send")
	b.on("send")
	name, file := b.download("#send-single")
	if !strings.HasSuffix(name, ".candleclock.html") {
		t.Errorf("the file is called %q", name)
	}
	return h, b, file
}

// A saved file opens in every browser as it lies on a stick, and says what the
// site said of the plan.
func TestSingleInEach(t *testing.T) {
	t.Parallel()
	_, a, file := savedSingle(t, stocked(t, 6))
	a.show("tonight")
	want := a.figures()
	inEach(t, func(t *testing.T, e engine) {
		b := e.fresh(t).newTab()
		b.plug(file)
		b.on("look")
		b.tap("#look-keep")
		b.on("tonight")
		if got := b.figures(); !slices.Equal(got, want) || len(got) < 8 {
			t.Errorf("the file says\n%q\nthe site said\n%q", got, want)
		}
	})
}

// A file saved without the internet opens elsewhere: the plan in it is looked at
// first, kept, changed, and handed on again.
func TestSingleThereAndBack(t *testing.T) {
	t.Parallel()
	p := stocked(t, 6)
	p.Name = `The </script><!-- "house" & \u003c`
	h, a, file := savedSingle(t, p)
	a.show("tonight")
	want := a.figures()
	elsewhere := newProfile(t)
	b := elsewhere.newTab()
	address := b.plug(file)
	b.on("look")
	if got := b.text("#look-name"); got != p.Name {
		t.Errorf("it shows the plan %q", got)
	}
	b.plans(0)
	if s := eval[string](b, overflow); s != "" {
		t.Error(s)
	}
	b.tap("#look-keep")
	b.on("tonight")
	if got := b.figures(); !slices.Equal(got, want) {
		t.Errorf("the file says\n%q\nthe site said\n%q", got, want)
	}
	b.saved("the plan of the file", func(plan.Plan) bool { return true })
	kept := b.plans(1)[0]
	b.show("send")
	b.until(`document.getElementById("send-link").value`)
	if got := b.value("send-link"); !strings.HasPrefix(got, h.url+"#") {
		t.Errorf("the link is %q", got)
	}
	b.show("card")
	b.until(`document.querySelector(".qr").checkVisibility()`)

	// Changes stay in this browser; the file opens with them, unasked.
	b.show("load=0")
	b.fill("load-watts", "123")
	b.saved("123 W", func(p plan.Plan) bool { return p.Loads[0].Running == 123 })
	b.show("tonight")
	want = b.figures()
	c := elsewhere.newTab()
	c.visit(strings.TrimSuffix(address, "/candleclock.html"), address)
	c.alive()
	c.on("tonight")
	if got := c.figures(); !slices.Equal(got, want) {
		t.Errorf("opened again the file says\n%q\nwant\n%q", got, want)
	}
	c.show("more")
	c.tap("#to-inside")
	c.on("look")
	c.until(`document.getElementById("changes").checkVisibility()`)
	c.tap("#look-drop")
	c.on("tonight")

	// Handed on from the file: the program is the same, the plan the changed one.
	c.show("send")
	_, again := c.download("#send-single")
	d := newProfile(t).newTab()
	d.plug(again)
	d.on("look")
	d.tap("#look-keep")
	d.on("tonight")
	if got := d.figures(); !slices.Equal(got, want) {
		t.Errorf("handed on, the file says\n%q\nwant\n%q", got, want)
	}
	d.saved("the changed plan, under its id", func(got plan.Plan) bool {
		return got.ID == kept.ID && got.Loads[0].Running == 123 && got.Name == p.Name
	})
	head := func(file []byte) string { // policy, styles, scripts
		_, head, _ := strings.Cut(string(file), "<meta")
		head, _, _ = strings.Cut(head, "</head>")
		return head
	}
	if head(file) != head(again) || len(head(file)) < 1000 {
		t.Error("the heads of the two files differ")
	}
}

// Where no script runs the file is the card, on the screen and on one page of
// paper; without a plan it is the sheet.
func TestSingleNoScript(t *testing.T) {
	t.Parallel()
	for _, things := range []int{3, 20} {
		t.Run(fmt.Sprint(things, " things"), func(t *testing.T) {
			h, a, file := savedSingle(t, stocked(t, things))
			a.show("card")
			a.until(`document.querySelector(".leaf")`)
			said := eval[[]string](a, facts)
			b := newProfile(t).newTab()
			command(b, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: true})
			folder, address := stick(t, file)
			b.visit(folder, address)
			b.until(`document.getElementById("unstarted").checkVisibility()`)
			b.until(`document.querySelector("#paper .leaf")?.checkVisibility()`)
			if got := eval[[]string](b, facts); !slices.Equal(got, said) || len(said) < 30 {
				t.Errorf("without script the card says\n%q\nwant\n%q", got, said)
			}
			if s := eval[string](b, overflow); s != "" {
				t.Error(s)
			}
			b.worksOnPaper()
			b.tap("#paper summary") // the same in letters that a phone shows large
			b.until(`document.querySelector("#paper .reading").checkVisibility()`)
			if text := solid(b.text("#paper .reading")); !strings.Contains(text, solid(said[0])) {
				t.Errorf("as text the card says %q", text)
			}
			if s := eval[string](b, overflow); s != "" {
				t.Error(s)
			}
			out := b.print()
			if pages, wide, high := out.size(t); pages != 1 || wide < 215 || wide > 217 || high < 279 || high > 280 {
				t.Errorf("printed on %d pages of %.1f by %.1f mm", pages, wide, high)
			}
			for _, s := range said {
				if !strings.Contains(out.text, solid(s)) {
					t.Errorf("%q is not on the paper", s)
				}
			}
			if s := b.text("#unstarted"); s == "" || strings.Contains(out.text, solid(s)) {
				t.Errorf("%q is on the paper", s)
			}
			keep(t, fmt.Sprintf("single-no-script-%d", things), out)
			if read := out.code(t); !strings.HasPrefix(read, h.url) {
				t.Errorf("the code leads to %q", read)
			} else if _, code, _ := strings.Cut(read, "="); code != "" {
				if p, err := link.Parse(code); err != nil || len(p.Loads) != things {
					t.Errorf("the code reads %d things: %v", len(p.Loads), err)
				}
			}
		})
	}
	t.Run("without a plan", func(t *testing.T) {
		b := newProfile(t).newTab()
		command(b, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: true})
		folder, address := stick(t, builtSingle(t))
		b.visit(folder, address)
		b.until(`document.getElementById("unstarted").checkVisibility()`)
		b.worksOnPaper()
	})
}

// A file that was cut off, or a browser that can't unpack it, shows the sheet or
// the card and says so.
func TestSingleBroken(t *testing.T) {
	t.Parallel()
	file := builtSingle(t)
	b := newProfile(t).newTab()
	for _, s := range []string{"atob", "WebAssembly", "decompress", "Compress", "compressed", "gzip", "InvalidCharacter", "Failed to fetch"} {
		b.expect(s) // the script says what failed
	}
	for _, size := range []int{len(file) - 100, len(file) / 2, len(file) - len(file)/20} {
		folder, address := stick(t, file[:size])
		b.visit(folder, address)
		want(b, `document.documentElement.dataset.run`, "stopped")
		b.until(`document.getElementById("notice").checkVisibility()`)
		if got := b.text("#notice-text"); got == "" {
			t.Errorf("cut off at %d of %d bytes it says nothing", size, len(file))
		}
	}
	_, _, saved := savedSingle(t, stocked(t, 3))
	for _, script := range []string{`delete window.DecompressionStream`, `delete window.WebAssembly`} {
		b := newProfile(t).newTab()
		b.before(script)
		folder, address := stick(t, saved)
		b.visit(folder, address)
		b.until(`document.getElementById("notice").checkVisibility()`)
		b.until(`document.querySelector("#paper .leaf").checkVisibility()`)
		b.worksOnPaper()
	}
}

// A browser that can't pack, or a part that can't be had, makes no file and says
// why.
func TestSingleCantBeMade(t *testing.T) {
	t.Parallel()
	s := built(t)
	h := serve(t, s)
	b := newProfile(t).newTab()
	b.before(`delete window.CompressionStream; delete Navigator.prototype.serviceWorker`)
	withPlanIn(b, h)
	b.show("send")
	told := func() string {
		t.Helper()
		making := b.text("#news")
		b.tap("#send-single")
		for {
			said := b.news(making)
			if eval[bool](b, `document.getElementById("status").innerText === document.getElementById("news").innerText`) && !strings.HasSuffix(said, "…") {
				return said
			}
		}
	}
	old := told()
	h.stop()
	b.expect("net::ERR_")
	if lost := told(); old == "" || lost == "" || lost == old {
		t.Errorf("too old: %q; without the host: %q", old, lost)
	}
}
