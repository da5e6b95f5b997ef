package e2e

import (
	"bufio"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"

	"github.com/chromedp/chromedp/kb"
	"github.com/coder/websocket"
)

// firefox is one that runs, spoken to by WebDriver BiDi
// (https://www.w3.org/TR/webdriver-bidi/).
type firefox struct {
	program   *exec.Cmd
	conn      *websocket.Conn
	downloads string
	gone      chan struct{} // closed when it hangs up

	mu      sync.Mutex
	last    int
	waiting map[int]chan message
	tabs    map[string]*tab // by browsing context
	chooser map[string]chan string
}

// message is what comes from Firefox: an answer or an event.
type message struct {
	ID      int
	Type    string
	Method  string
	Params  json.RawMessage
	Result  json.RawMessage
	Error   string
	Message string
}

// firefoxPrefs make a profile quiet, and no more: what a person's own Firefox
// allows and forbids must hold here too. (Only the file that a test chooses is
// named by the page's own process, where a person's is by Firefox itself.)
const firefoxPrefs = `
user_pref("remote.prefs.recommended", false);
user_pref("dom.file.createInChild", true);
user_pref("app.update.disabledForTesting", true);
user_pref("browser.aboutwelcome.enabled", false);
user_pref("browser.shell.checkDefaultBrowser", false);
user_pref("browser.startup.homepage_override.mstone", "ignore");
user_pref("browser.startup.page", 0);
user_pref("browser.newtabpage.enabled", false);
user_pref("datareporting.policy.dataSubmissionEnabled", false);
user_pref("extensions.update.enabled", false);
user_pref("network.captive-portal-service.enabled", false);
user_pref("network.connectivity-service.enabled", false);
user_pref("privacy.userContext.enabled", true);
user_pref("services.settings.server", "data:,");
user_pref("termsofuse.bypassNotification", true);
user_pref("toolkit.telemetry.reportingpolicy.firstRun", false);
user_pref("browser.download.folderList", 2);
user_pref("browser.download.useDownloadDir", true);
user_pref("browser.download.dir", %q);
`

// startFirefox starts one that keeps what it keeps in dir.
func startFirefox(dir string) (*firefox, error) {
	f := &firefox{
		gone: make(chan struct{}), downloads: filepath.Join(dir, "downloads"),
		waiting: map[int]chan message{}, tabs: map[string]*tab{}, chooser: map[string]chan string{},
	}
	kept := filepath.Join(dir, "profile")
	for _, d := range []string{kept, f.downloads} {
		if err := os.MkdirAll(d, 0o700); err != nil {
			return nil, err
		}
	}
	if err := os.WriteFile(filepath.Join(kept, "user.js"), fmt.Appendf(nil, firefoxPrefs, f.downloads), 0o600); err != nil {
		return nil, err
	}
	f.program = exec.Command("firefox-esr", "--headless", "--no-remote", "--profile", kept, "--remote-debugging-port", "0")
	f.program.Env = environment(dir, "MOZ_CRASHREPORTER_DISABLE=1")
	says, err := f.program.StderrPipe()
	if err != nil {
		return nil, err
	}
	if err := f.program.Start(); err != nil {
		return nil, err
	}
	ctx, cancel := context.WithTimeout(context.Background(), 3*patience)
	defer cancel()
	if f.conn, err = dial(ctx, says); err != nil {
		end(f.program)
		return nil, err
	}
	go f.listen()
	for _, c := range []struct {
		method string
		params any
	}{
		// What asks for a file is answered by the test, and no window opens.
		{"session.new", map[string]any{"capabilities": map[string]any{"alwaysMatch": map[string]any{"unhandledPromptBehavior": map[string]any{"file": "dismiss"}}}}},
		{"session.subscribe", map[string]any{"events": []string{"log.entryAdded", "network.beforeRequestSent", "input.fileDialogOpened"}}},
		{"script.addPreloadScript", map[string]any{"functionDeclaration": `() => addEventListener("securitypolicyviolation", e => console.error("breach of the content policy:", e.effectiveDirective, e.blockedURI))`}},
	} {
		if _, err := bidi[struct{}](ctx, f, c.method, c.params); err != nil {
			f.stop()
			return nil, err
		}
	}
	return f, nil
}

var listening = regexp.MustCompile(`WebDriver BiDi listening on (ws://\S+)`)

// dial waits for the address that Firefox tells, and connects.
func dial(ctx context.Context, says io.ReadCloser) (*websocket.Conn, error) {
	address := make(chan string, 1)
	go func() {
		defer close(address)
		lines := bufio.NewScanner(says)
		for lines.Scan() {
			if m := listening.FindStringSubmatch(lines.Text()); m != nil {
				address <- m[1]
			}
		}
	}()
	select {
	case at, ok := <-address:
		if !ok {
			return nil, errors.New("it ended at once")
		}
		conn, _, err := websocket.Dial(ctx, at+"/session", nil)
		if err == nil {
			conn.SetReadLimit(64 << 20) // pictures and papers
		}
		return conn, err
	case <-ctx.Done():
		return nil, errors.New("it doesn't listen")
	}
}

// stop kills it.
func (f *firefox) stop() {
	end(f.program)
	<-f.gone
}

// listen hands out what comes until Firefox hangs up.
func (f *firefox) listen() {
	defer close(f.gone)
	for {
		_, raw, err := f.conn.Read(context.Background())
		if err != nil {
			return
		}
		var m message
		if json.Unmarshal(raw, &m) != nil {
			continue
		}
		if m.Type == "event" {
			f.heed(m)
			continue
		}
		f.mu.Lock()
		asker := f.waiting[m.ID]
		delete(f.waiting, m.ID)
		f.mu.Unlock()
		if asker != nil {
			asker <- m
		}
	}
}

// heed tells the tab of what it should hear.
func (f *firefox) heed(m message) {
	var e struct {
		Context string
		Source  struct{ Context string }
		Level   string
		Text    string
		Request struct{ URL string }
		Element struct{ SharedID string }
	}
	if json.Unmarshal(m.Params, &e) != nil {
		return
	}
	f.mu.Lock()
	b, chooser := f.tabs[e.Context+e.Source.Context], f.chooser[e.Context]
	f.mu.Unlock()
	if b == nil {
		return // closed, or a worker's
	}
	switch m.Method {
	case "log.entryAdded":
		if e.Level == "error" || e.Level == "warn" {
			b.problem(e.Level + ": " + e.Text)
		}
	case "network.beforeRequestSent":
		b.requested(e.Request.URL)
	case "input.fileDialogOpened":
		if chooser != nil {
			chooser <- e.Element.SharedID
		}
	}
}

// bidi asks Firefox something.
func bidi[R any](ctx context.Context, f *firefox, method string, params any) (result R, err error) {
	answer := make(chan message, 1)
	f.mu.Lock()
	f.last++
	id := f.last
	f.waiting[id] = answer
	f.mu.Unlock()
	question, err := json.Marshal(map[string]any{"id": id, "method": method, "params": params})
	if err != nil {
		return result, err
	}
	if err := f.conn.Write(ctx, websocket.MessageText, question); err != nil {
		return result, fmt.Errorf("%s: %w", method, err)
	}
	select {
	case m := <-answer:
		if m.Error != "" {
			return result, fmt.Errorf("%s: %s: %s", method, m.Error, m.Message)
		}
		return result, json.Unmarshal(m.Result, &result)
	case <-f.gone:
		return result, fmt.Errorf("%s: Firefox is gone", method)
	case <-ctx.Done():
		return result, fmt.Errorf("%s: %w", method, ctx.Err())
	}
}

// sharedFirefox is the one of all tests.
var sharedFirefox = sync.OnceValues(func() (*firefox, error) {
	dir, err := os.MkdirTemp("", "candleclock-firefox-")
	if err != nil {
		return nil, err
	}
	f, err := startFirefox(dir)
	if err == nil {
		atEnd(f.stop)
	}
	atEnd(func() { _ = os.RemoveAll(dir) })
	return f, err
})

// firefoxProfile is an empty profile in the shared Firefox.
func firefoxProfile(t testing.TB) *profile {
	t.Helper()
	f, err := sharedFirefox()
	if err != nil {
		t.Fatalf("Firefox (Debian's package firefox-esr): %v", err)
	}
	made, err := bidi[struct{ UserContext string }](t.Context(), f, "browser.createUserContext", struct{}{})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		ctx, cancel := context.WithTimeout(context.Background(), patience)
		defer cancel()
		if _, err := bidi[struct{}](ctx, f, "browser.removeUserContext", map[string]any{"userContext": made.UserContext}); err != nil {
			t.Error(err)
		}
	})
	return f.profile(t, made.UserContext)
}

// ownFirefox is the profile of a Firefox that has no tabs but the test's.
func ownFirefox(t testing.TB) *profile {
	t.Helper()
	f, err := startFirefox(t.TempDir())
	if err != nil {
		t.Fatalf("Firefox (Debian's package firefox-esr): %v", err)
	}
	t.Cleanup(f.stop)
	return f.profile(t, "default")
}

// profile is what Firefox keeps apart under the name.
func (f *firefox) profile(t testing.TB, name string) *profile {
	p := &profile{t: t, ctx: context.Background(), dir: f.downloads}
	p.open = func(b *tab) {
		t.Helper()
		made, err := bidi[struct{ Context string }](p.ctx, f, "browsingContext.create", map[string]any{"type": "tab", "userContext": name})
		if err != nil {
			t.Fatal(err)
		}
		w := &firefoxTab{f, made.Context}
		f.mu.Lock()
		f.tabs[w.id] = b
		f.mu.Unlock()
		ctx, cancel := context.WithCancel(p.ctx)
		b.w, b.ctx = w, ctx
		b.close = sync.OnceFunc(func() {
			f.mu.Lock()
			delete(f.tabs, w.id)
			f.mu.Unlock()
			_, _ = w.ask(ctx, "browsingContext.close", nil)
			cancel()
		})
		b.size(360, 740)
	}
	return p
}

// firefoxTab is a tab of Firefox as a window.
type firefoxTab struct {
	f  *firefox
	id string
}

// ask asks for something about this tab.
func (w *firefoxTab) ask(ctx context.Context, method string, params map[string]any) (json.RawMessage, error) {
	all := map[string]any{"context": w.id}
	for k, v := range params {
		all[k] = v
	}
	return bidi[json.RawMessage](ctx, w.f, method, all)
}

func (w *firefoxTab) navigate(ctx context.Context, address string) error {
	wait := "none"
	if address == blank {
		wait = "complete"
	}
	_, err := w.ask(ctx, "browsingContext.navigate", map[string]any{"url": address, "wait": wait})
	return err
}

func (w *firefoxTab) evaluate(ctx context.Context, js string) ([]byte, error) {
	r, err := bidi[struct {
		Result           remote
		ExceptionDetails *struct{ Text string }
	}](ctx, w.f, "script.evaluate", map[string]any{"expression": js, "awaitPromise": true, "target": map[string]any{"context": w.id}})
	if err != nil {
		return nil, err
	}
	if r.ExceptionDetails != nil {
		return nil, errors.New(r.ExceptionDetails.Text)
	}
	v, err := r.Result.plain()
	if err != nil {
		return nil, err
	}
	return json.Marshal(v)
}

// remote is a value as BiDi writes it.
type remote struct {
	Type  string
	Value json.RawMessage
}

// plain is the value as JSON would have it.
func (r remote) plain() (any, error) {
	switch r.Type {
	case "undefined", "null":
		return nil, nil
	case "number":
		var n float64
		if json.Unmarshal(r.Value, &n) != nil {
			return math.NaN(), nil // written as a word; JSON has none such either
		}
		return n, nil
	case "string", "boolean":
		return r.Value, nil
	case "array":
		var parts []remote
		if err := json.Unmarshal(r.Value, &parts); err != nil {
			return nil, err
		}
		all := make([]any, len(parts))
		for i, p := range parts {
			v, err := p.plain()
			if err != nil {
				return nil, err
			}
			all[i] = v
		}
		return all, nil
	case "object":
		var pairs [][2]json.RawMessage
		if err := json.Unmarshal(r.Value, &pairs); err != nil {
			return nil, err
		}
		all := map[string]any{}
		for _, p := range pairs {
			var key string
			var value remote
			if err := errors.Join(json.Unmarshal(p[0], &key), json.Unmarshal(p[1], &value)); err != nil {
				return nil, err
			}
			v, err := value.plain()
			if err != nil {
				return nil, err
			}
			all[key] = v
		}
		return all, nil
	}
	return nil, fmt.Errorf("a %s has no JSON", r.Type)
}

func (w *firefoxTab) touch(ctx context.Context, x, y float64) error {
	_, err := w.ask(ctx, "input.performActions", map[string]any{"actions": []any{clickAt(x, y)}})
	return err
}

func (w *firefoxTab) press(ctx context.Context, keys string, shift bool) error {
	_, err := w.ask(ctx, "input.performActions", map[string]any{"actions": []any{pressing(keys, shift)}})
	return err
}

func (w *firefoxTab) resize(ctx context.Context, width, height int64) error {
	_, err := w.ask(ctx, "browsingContext.setViewport", map[string]any{"viewport": map[string]any{"width": width, "height": height}})
	return err
}

func (w *firefoxTab) download(ctx context.Context, dir string, ask func()) (string, error) {
	return arrives(ctx, dir, ask)
}

func (w *firefoxTab) choose(ctx context.Context, file string, open func()) error {
	opened := make(chan string, 1)
	w.f.mu.Lock()
	w.f.chooser[w.id] = opened
	w.f.mu.Unlock()
	open()
	select {
	case element := <-opened:
		_, err := w.ask(ctx, "input.setFiles", map[string]any{"element": map[string]any{"sharedId": element}, "files": []string{file}})
		return err
	case <-ctx.Done():
		return errors.New("no file chooser")
	}
}

// print prints on A4; Firefox does not tell BiDi what paper the page asks for.
func (w *firefoxTab) print(ctx context.Context) ([]byte, error) {
	r, err := bidi[struct{ Data []byte }](ctx, w.f, "browsingContext.print", map[string]any{
		"context": w.id, "page": map[string]any{"width": 21.0, "height": 29.7}, "margin": noMargin, "shrinkToFit": false})
	return r.Data, err
}

// noMargin leaves the margins to the page.
var noMargin = map[string]any{"top": 0, "bottom": 0, "left": 0, "right": 0}

// clickAt is a click as WebDriver has it.
func clickAt(x, y float64) any {
	return map[string]any{"type": "pointer", "id": "finger", "actions": []any{
		map[string]any{"type": "pointerMove", "x": math.Round(x), "y": math.Round(y)},
		map[string]any{"type": "pointerDown", "button": 0},
		map[string]any{"type": "pointerUp", "button": 0},
	}}
}

// driverKeys are WebDriver's names of keys that stand for no letter
// (https://www.w3.org/TR/webdriver2/#keyboard-actions).
var driverKeys = strings.NewReplacer(kb.Tab, "\uE004", kb.Enter, "\uE007", kb.Backspace, "\uE003", kb.Escape, "\uE00C",
	kb.ArrowLeft, "\uE012", kb.ArrowUp, "\uE013", kb.ArrowRight, "\uE014", kb.ArrowDown, "\uE015")

// pressing is a row of keys as WebDriver has it.
func pressing(keys string, shift bool) any {
	const shiftKey = "\uE008"
	var actions []any
	one := func(way, key string) { actions = append(actions, map[string]any{"type": way, "value": key}) }
	if shift {
		one("keyDown", shiftKey)
	}
	for _, k := range driverKeys.Replace(keys) {
		one("keyDown", string(k))
		one("keyUp", string(k))
	}
	if shift {
		one("keyUp", shiftKey)
	}
	return map[string]any{"type": "key", "id": "keys", "actions": actions}
}
