package e2e

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"reflect"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/browser"
	"github.com/chromedp/cdproto/dom"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
)

// window is what every browser's tab can do; what else tab has is for Chromium
// alone.
type window interface {
	// navigate goes to an address and does not wait.
	navigate(ctx context.Context, address string) error
	// evaluate works out a JavaScript expression, waits when it is a promise,
	// and returns it as JSON.
	evaluate(ctx context.Context, js string) ([]byte, error)
	// touch touches a point of the screen, in CSS pixels; a browser without
	// fingers clicks it.
	touch(ctx context.Context, x, y float64) error
	// press presses the keys, one after the other, all with Shift or none.
	press(ctx context.Context, keys string, shift bool) error
	// resize makes the page's room so wide and high, in CSS pixels.
	resize(ctx context.Context, width, height int64) error
	// choose answers the file chooser that open brings up.
	choose(ctx context.Context, file string, open func()) error
	// download waits for the file that ask has the page hand over, complete in
	// the folder for downloads.
	download(ctx context.Context, dir string, ask func()) (name string, err error)
	// print prints the page as PDF on the paper that the page asks for.
	print(ctx context.Context) ([]byte, error)
}

// engine is a kind of browser.
type engine struct {
	name   string
	fresh  func(t testing.TB) *profile
	alone  func(t testing.TB) *profile // no other test's tab takes the focus
	prints bool                        // its driver does
}

// engines are those that people have on their phones and desks.
var engines = []engine{
	{"Chromium", newProfile, newProfile, true},
	{"Firefox", firefoxProfile, ownFirefox, true},
	{"WebKit", webkitProfile, webkitProfile, false},
}

// inEach runs a story in every engine.
func inEach(t *testing.T, story func(t *testing.T, e engine)) {
	t.Helper()
	for _, e := range engines {
		t.Run(e.name, func(t *testing.T) {
			t.Parallel()
			story(t, e)
		})
	}
}

// closers end what tests share; run calls them.
var closers struct {
	sync.Mutex
	all []func()
}

func atEnd(close func()) {
	closers.Lock()
	defer closers.Unlock()
	closers.all = append(closers.all, close)
}

func closeAll() {
	closers.Lock()
	defer closers.Unlock()
	for _, c := range closers.all {
		c()
	}
}

// environment is that of a browser with a home of its own, in the same zone and
// language as the others.
func environment(home string, more ...string) []string {
	return append(os.Environ(), append([]string{
		"HOME=" + home, "XDG_CACHE_HOME=" + home, "XDG_CONFIG_HOME=" + home, "XDG_DATA_HOME=" + home,
		"TZ=America/Halifax", "LANG=en_US.UTF-8", "LANGUAGE=en-US", "NO_AT_BRIDGE=1", "GSETTINGS_BACKEND=memory",
		"MESA_SHADER_CACHE_DISABLE=true", // it would write into the home while that is being removed
	}, more...)...)
}

// end kills a program that was started.
func end(c *exec.Cmd) {
	_ = c.Process.Kill()
	_ = c.Wait()
}

// chromium is its tab as a window.
type chromium struct{}

func (chromium) navigate(ctx context.Context, address string) error {
	r, err := chromedp.Call(ctx, page.Navigate, page.NavigateParams{URL: address})
	if err == nil && r.ErrorText != "" {
		err = errors.New(r.ErrorText)
	}
	return err
}

func (chromium) evaluate(ctx context.Context, js string) ([]byte, error) {
	return chromedp.Run(ctx, chromedp.Evaluate[[]byte](js, chromedp.EvalAwaitPromise))
}

func (chromium) touch(ctx context.Context, x, y float64) error {
	_, err := chromedp.Call(ctx, input.DispatchTouchEvent, input.DispatchTouchEventParams{Type: "touchStart", TouchPoints: []*input.TouchPoint{{X: x, Y: y}}})
	if err == nil {
		_, err = chromedp.Call(ctx, input.DispatchTouchEvent, input.DispatchTouchEventParams{Type: "touchEnd", TouchPoints: []*input.TouchPoint{}})
	}
	return err
}

func (chromium) press(ctx context.Context, keys string, shift bool) error {
	var options []chromedp.KeyOption
	if shift {
		options = append(options, chromedp.KeyModifiers(chromedp.ModifierShift))
	}
	return chromedp.Do(ctx, chromedp.KeyEvent(keys, options...))
}

func (chromium) resize(ctx context.Context, width, height int64) error {
	_, err := chromedp.Call(ctx, emulation.SetDeviceMetricsOverride, emulation.SetDeviceMetricsOverrideParams{
		Width: width, Height: height, DeviceScaleFactor: 1, Mobile: true})
	return err
}

func (chromium) choose(ctx context.Context, file string, open func()) error {
	if _, err := chromedp.Call(ctx, page.SetInterceptFileChooserDialog, page.SetInterceptFileChooserDialogParams{Enabled: true}); err != nil {
		return err
	}
	opened, err := chromedp.Run(ctx, chromedp.WaitEvent(page.FileChooserOpened, nil,
		func(context.Context, *chromedp.Target) (chromedp.Void, error) {
			open()
			return chromedp.Void{}, nil
		}))
	if err != nil {
		return fmt.Errorf("no file chooser: %w", err)
	}
	_, err = chromedp.Call(ctx, dom.SetFileInputFiles, dom.SetFileInputFilesParams{Files: []string{file}, BackendNodeID: opened.BackendNodeID})
	return err
}

func (chromium) download(ctx context.Context, _ string, ask func()) (string, error) {
	done := make(chan string, 1)
	var guid, suggested string
	frame := string(chromedp.FromContext(ctx).Target.TargetID) // the main frame has the id of its tab
	err := chromedp.ListenBrowser(ctx, func(event any) {
		switch e := event.(type) {
		case *browser.EventDownloadWillBegin:
			if string(e.FrameID) == frame {
				guid, suggested = e.GUID, e.SuggestedFilename
			}
		case *browser.EventDownloadProgress:
			if e.GUID == guid && e.State == browser.DownloadProgressStateCompleted {
				done <- suggested
			}
		}
	})
	if err != nil {
		return "", err
	}
	ask()
	select {
	case name := <-done:
		return name, nil
	case <-ctx.Done():
		return "", ctx.Err()
	}
}

// arrives waits until the folder holds a file, whole, that ask brings.
func arrives(ctx context.Context, dir string, ask func()) (string, error) {
	ask()
	for ctx.Err() == nil {
		all, err := os.ReadDir(dir)
		if err != nil && !errors.Is(err, fs.ErrNotExist) {
			return "", err
		}
		// While a file comes, another with an ending of its own stands beside it.
		if len(all) == 1 && filepath.Ext(all[0].Name()) != ".part" {
			if i, err := all[0].Info(); err == nil && i.Size() > 0 {
				return all[0].Name(), nil
			}
		}
		time.Sleep(5 * time.Millisecond)
	}
	return "", ctx.Err()
}

func (chromium) print(ctx context.Context) ([]byte, error) {
	yes := true
	pdf, err := chromedp.Call(ctx, page.PrintToPDF, page.PrintToPDFParams{PreferCSSPageSize: &yes})
	if err != nil {
		return nil, err
	}
	return pdf.Data, nil
}

// decode reads what evaluate returns; a value that is not there is a fault
// unless T can be nil.
func decode[T any](raw []byte, err error) (T, error) {
	var v T
	if err != nil {
		return v, err
	}
	if len(raw) == 0 || string(raw) == "null" {
		switch reflect.TypeFor[T]().Kind() {
		case reflect.Pointer, reflect.Map, reflect.Slice:
			return v, nil
		}
		return v, errors.New("no value")
	}
	return v, json.Unmarshal(raw, &v)
}
