package e2e

import (
	"context"
	"flag"
	"fmt"
	"os"
	"testing"

	"github.com/chromedp/cdproto/browser"
	"github.com/chromedp/chromedp"
)

// shared is the browser of all tests; each has a profile of its own in it.
var shared context.Context

func TestMain(m *testing.M) { os.Exit(run(m)) }

func run(m *testing.M) int {
	dir, err := os.MkdirTemp("", "candleclock-e2e-")
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 1
	}
	defer os.RemoveAll(dir)
	flag.Parse()
	ctx, stop, err := launch(dir, frugal()...)
	if err != nil {
		fmt.Fprintln(os.Stderr, "the browser (Debian's package chromium):", err)
		return 1
	}
	defer stop()
	shared = ctx
	defer closeAll()
	return m.Run()
}

// frugal is what spares the processor in the browser of all tests: pages that
// were left are not kept in memory, and programs are compiled once, simply.
func frugal() []chromedp.ExecAllocatorOption {
	options := []chromedp.ExecAllocatorOption{chromedp.Flag("disable-back-forward-cache", true)}
	if flag.Lookup("test.bench").Value.String() == "" { // what is measured is compiled as people have it
		options = append(options, chromedp.Flag("js-flags", "--liftoff-only"))
	}
	return options
}

// launch starts a browser that keeps what it keeps in dir.
func launch(dir string, more ...chromedp.ExecAllocatorOption) (ctx context.Context, stop func(), err error) {
	options := append(chromedp.DefaultExecAllocatorOptions[:],
		chromedp.UserDataDir(dir),
		chromedp.NoSandbox, // tests may run as root
		chromedp.DisableGPU,
		chromedp.Flag("disable-quic", true),
		chromedp.Flag("disable-component-update", true),
		chromedp.Flag("lang", "en-US"),
		// The first two are the driver's own. The others are pages that the browser
		// keeps beside each window for its address bar; they cost a third of the
		// processor's time.
		chromedp.Flag("disable-features", "Translate,BlinkGenPropertyTrees,WebUIOmniboxPopup,WebUIOmniboxAimPopup"),
		chromedp.Env("TZ=America/Halifax", "LANGUAGE=en-US"),
	)
	allocator, free := chromedp.NewExecAllocator(context.Background(), append(options, more...)...)
	ctx, cancel := chromedp.NewContext(allocator)
	stop = func() { cancel(); free() }
	if err := chromedp.Do(ctx, chromedp.Navigate("about:blank")); err != nil {
		stop()
		return nil, nil, err
	}
	return ctx, stop, nil
}

// profile is a person's browser with what it keeps: tabs opened in it share
// storage, and find again what earlier ones left.
type profile struct {
	t    testing.TB
	open func(b *tab) // gives b a new tab of the profile
	ctx  context.Context
	dir  string // where downloads go

	windowless bool // its tabs stand in no window: nothing of them is drawn
}

// newProfile makes an empty one, which ends with the test.
func newProfile(t testing.TB) *profile {
	t.Helper()
	ctx, end := chromedp.NewContext(shared, chromedp.WithNewBrowserContext())
	t.Cleanup(end)
	return profileIn(t, ctx)
}

// ownBrowser is a browser for one test alone, with its profile in dir.
func ownBrowser(t testing.TB, dir string) *profile {
	t.Helper()
	ctx, stop, err := launch(dir)
	if err != nil {
		t.Fatalf("the browser: %v", err)
	}
	t.Cleanup(stop)
	return profileIn(t, ctx)
}

func profileIn(t testing.TB, ctx context.Context) *profile {
	t.Helper()
	p := &profile{t: t, ctx: ctx, dir: t.TempDir()}
	p.open = p.openChromium
	// An empty tab holds the profile open.
	if err := chromedp.Do(ctx, chromedp.Navigate("about:blank")); err != nil {
		t.Fatalf("a new profile: %v", err)
	}
	events := true
	_, err := chromedp.CallBrowser(ctx, browser.SetDownloadBehavior, browser.SetDownloadBehaviorParams{
		Behavior:         browser.SetDownloadBehaviorBehaviorAllow,
		BrowserContextID: chromedp.FromContext(ctx).BrowserContextID,
		DownloadPath:     p.dir,
		EventsEnabled:    &events,
	})
	if err != nil {
		t.Fatalf("downloads: %v", err)
	}
	return p
}
