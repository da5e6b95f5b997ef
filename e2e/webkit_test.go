package e2e

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"
)

// webkit is a WebKitGTK that runs, with a profile of its own, spoken to by
// WebDriver (https://www.w3.org/TR/webdriver2/).
type webkit struct {
	driver  *exec.Cmd
	address string // of its session

	mu     sync.Mutex // one window has the driver's ear at a time
	inView string

	heed  sync.Mutex
	first *tab // hears of what is said on the console: it does not say by whom
}

// miniBrowser is the browser that comes with WebKitGTK.
func miniBrowser() (string, error) {
	found, err := filepath.Glob("/usr/lib/*/webkit2gtk-4.1/MiniBrowser")
	if err == nil && len(found) == 0 {
		err = errors.New("no MiniBrowser")
	}
	if err != nil {
		return "", err
	}
	return found[0], nil
}

// display is a screen that nobody sees, of all WebKits.
var display = sync.OnceValues(func() (string, error) {
	tells, told, err := os.Pipe()
	if err != nil {
		return "", err
	}
	c := exec.Command("Xvfb", "-displayfd", "3", "-screen", "0", "1280x1024x24", "-nolisten", "tcp")
	c.ExtraFiles = []*os.File{told}
	if err := c.Start(); err != nil {
		return "", err
	}
	atEnd(func() { end(c) })
	_ = told.Close()
	number, err := bufio.NewReader(tells).ReadString('\n')
	if err != nil {
		return "", fmt.Errorf("Xvfb tells no display: %w", err)
	}
	return ":" + strings.TrimSpace(number), nil
})

// webkitProfile is a WebKit with an empty profile, which ends with the test.
func webkitProfile(t testing.TB) *profile {
	t.Helper()
	screen, err := display()
	if err != nil {
		t.Fatalf("a screen (Debian's package xvfb): %v", err)
	}
	dir := t.TempDir()
	downloads := filepath.Join(dir, "Downloads")
	err = errors.Join(os.Mkdir(downloads, 0o700), os.WriteFile(filepath.Join(dir, "user-dirs.dirs"), fmt.Appendf(nil, "XDG_DOWNLOAD_DIR=%q\n", downloads), 0o600))
	if err != nil {
		t.Fatal(err)
	}
	k, err := startWebKit(dir, screen)
	if err != nil {
		t.Fatalf("WebKit (Debian's package webkit2gtk-driver): %v", err)
	}
	t.Cleanup(k.stop)
	p := &profile{t: t, ctx: context.Background(), dir: downloads}
	p.open = func(b *tab) {
		t.Helper()
		ctx, cancel := context.WithCancel(p.ctx)
		b.ctx = ctx
		w, err := k.open(ctx, b)
		if err != nil {
			t.Fatal(err)
		}
		b.w = w
		b.behind = true // nothing on that screen manages windows
		b.close = sync.OnceFunc(func() { w.close(); cancel() })
		b.size(360, 740)
	}
	return p
}

func startWebKit(dir, screen string) (*webkit, error) {
	browser, err := miniBrowser()
	if err != nil {
		return nil, err
	}
	free, err := net.Listen("tcp4", "127.0.0.1:0")
	if err != nil {
		return nil, err
	}
	port := free.Addr().(*net.TCPAddr).Port
	_ = free.Close()
	k := &webkit{address: fmt.Sprintf("http://127.0.0.1:%d", port)}
	k.driver = exec.Command("WebKitWebDriver", fmt.Sprint("--port=", port))
	k.driver.Env = environment(dir, "DISPLAY="+screen, "WEBKIT_DISABLE_SANDBOX_THIS_IS_DANGEROUS=1", "XDG_RUNTIME_DIR="+dir)
	says, err := k.driver.StdoutPipe()
	if err != nil {
		return nil, err
	}
	if err := k.driver.Start(); err != nil {
		return nil, err
	}
	go k.listen(says)
	ctx, cancel := context.WithTimeout(context.Background(), 3*patience)
	defer cancel()
	for {
		if _, err = k.call(ctx, http.MethodGet, "/status", nil); err == nil {
			break
		}
		if ctx.Err() != nil {
			end(k.driver)
			return nil, fmt.Errorf("it doesn't listen: %w", err)
		}
		time.Sleep(5 * time.Millisecond)
	}
	raw, err := k.call(ctx, http.MethodPost, "/session", map[string]any{"capabilities": map[string]any{"alwaysMatch": map[string]any{
		"pageLoadStrategy": "none",
		"timeouts":         map[string]any{"script": patience.Milliseconds()},
		"webkitgtk:browserOptions": map[string]any{"binary": browser, "args": []string{
			"--automation", "--enable-write-console-messages-to-stdout=true"}},
	}}})
	var made struct{ SessionID string }
	if err == nil {
		err = json.Unmarshal(raw, &made)
	}
	if err != nil {
		end(k.driver)
		return nil, err
	}
	k.address += "/session/" + made.SessionID
	return k, nil
}

// stop ends the session, and with it the browser.
func (k *webkit) stop() {
	ctx, cancel := context.WithTimeout(context.Background(), patience)
	defer cancel()
	_, _ = k.call(ctx, http.MethodDelete, "", nil)
	end(k.driver)
}

// listen hears what pages say on the console.
func (k *webkit) listen(says io.Reader) {
	lines := bufio.NewScanner(says)
	for lines.Scan() {
		k.heed.Lock()
		if s := lines.Text(); k.first != nil && strings.HasPrefix(s, "CONSOLE") && (strings.Contains(s, " ERROR ") || strings.Contains(s, " WARN")) {
			k.first.problem(s)
		}
		k.heed.Unlock()
	}
}

// call asks the driver something.
func (k *webkit) call(ctx context.Context, method, path string, params any) (json.RawMessage, error) {
	var body bytes.Buffer
	if params != nil {
		if err := json.NewEncoder(&body).Encode(params); err != nil {
			return nil, err
		}
	}
	q, err := http.NewRequestWithContext(ctx, method, k.address+path, &body)
	if err != nil {
		return nil, err
	}
	r, err := http.DefaultClient.Do(q)
	if err != nil {
		return nil, err
	}
	defer r.Body.Close()
	var answer struct{ Value json.RawMessage }
	if err := json.NewDecoder(r.Body).Decode(&answer); err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	if r.StatusCode != http.StatusOK {
		return nil, fmt.Errorf("%s: %.500s", path, answer.Value)
	}
	return answer.Value, nil
}

// open gives b a window; the session begins with one.
func (k *webkit) open(ctx context.Context, b *tab) (*webkitWindow, error) {
	k.heed.Lock()
	first := k.first == nil
	if first {
		k.first = b
	}
	k.heed.Unlock()
	k.mu.Lock()
	defer k.mu.Unlock()
	var handle string
	raw, err := k.call(ctx, http.MethodGet, "/window", nil)
	if !first {
		var made struct{ Handle string }
		if raw, err = k.call(ctx, http.MethodPost, "/window/new", map[string]any{"type": "window"}); err == nil {
			err = json.Unmarshal(raw, &made)
			handle = made.Handle
		}
	} else if err == nil {
		err = json.Unmarshal(raw, &handle)
		k.inView = handle
	}
	return &webkitWindow{k, handle}, err
}

// webkitWindow is a window of WebKit.
type webkitWindow struct {
	k  *webkit
	id string
}

// ask asks for something about this window.
func (w *webkitWindow) ask(ctx context.Context, path string, params any) (json.RawMessage, error) {
	w.k.mu.Lock()
	defer w.k.mu.Unlock()
	if w.k.inView != w.id {
		if _, err := w.k.call(ctx, http.MethodPost, "/window", map[string]any{"handle": w.id}); err != nil {
			return nil, err
		}
		w.k.inView = w.id
	}
	return w.k.call(ctx, http.MethodPost, path, params)
}

func (w *webkitWindow) close() {
	ctx, cancel := context.WithTimeout(context.Background(), patience)
	defer cancel()
	// The last window would take the session along.
	_ = w.navigate(ctx, blank)
}

func (w *webkitWindow) navigate(ctx context.Context, address string) error {
	_, err := w.ask(ctx, "/url", map[string]any{"url": address})
	return err
}

// evaluated wraps an expression so that its value comes back as JSON.
const evaluated = `const done = arguments[arguments.length - 1];
(async () => (%s
))().then(v => done({json: JSON.stringify(v) ?? "null"}), e => done({fault: String(e)}))`

func (w *webkitWindow) evaluate(ctx context.Context, js string) ([]byte, error) {
	raw, err := w.ask(ctx, "/execute/async", map[string]any{"script": fmt.Sprintf(evaluated, js), "args": []any{}})
	if err != nil {
		return nil, err
	}
	var answer struct{ JSON, Fault string }
	if err := json.Unmarshal(raw, &answer); err != nil {
		return nil, err
	}
	if answer.Fault != "" {
		return nil, errors.New(answer.Fault)
	}
	return []byte(answer.JSON), nil
}

func (w *webkitWindow) touch(ctx context.Context, x, y float64) error {
	_, err := w.ask(ctx, "/actions", map[string]any{"actions": []any{clickAt(x, y)}})
	return err
}

func (w *webkitWindow) press(ctx context.Context, keys string, shift bool) error {
	_, err := w.ask(ctx, "/actions", map[string]any{"actions": []any{pressing(keys, shift)}})
	return err
}

// resize sizes the window, whose frame takes a part; then once more by as much
// as the page lacks.
func (w *webkitWindow) resize(ctx context.Context, width, height int64) error {
	_, err := w.ask(ctx, "/window/rect", map[string]any{"width": width, "height": height})
	return err
}

func (w *webkitWindow) download(ctx context.Context, dir string, ask func()) (string, error) {
	return arrives(ctx, dir, ask)
}

func (w *webkitWindow) choose(ctx context.Context, file string, open func()) error {
	open()
	raw, err := w.ask(ctx, "/element", map[string]any{"using": "css selector", "value": "input[type=file]"})
	if err != nil {
		return err
	}
	var element map[string]string
	if err := json.Unmarshal(raw, &element); err != nil {
		return err
	}
	for _, id := range element {
		_, err = w.ask(ctx, "/element/"+id+"/value", map[string]any{"text": file})
	}
	return err
}

// print is not in WebKitGTK's driver.
func (w *webkitWindow) print(context.Context) ([]byte, error) { return nil, errors.ErrUnsupported }
