//go:build !wasm

package main

import (
	"bytes"
	"crypto/sha256"
	"encoding/base64"
	"errors"
	"fmt"
	"strings"
	"text/template"
	"time"

	"candleclock/ui"
	"candleclock/ui/still"
)

// styles are the stylesheets in the order they build on each other.
var styles = []string{"tokens.css", "site.css", "style.css", "card.css"}

// page fills in the template of index.html: the prerendered page, the paper
// sheet, and hashes of everything it loads.
func page(s site, wasm, errand string) ([]byte, error) {
	app, err := prerender()
	if err != nil {
		return nil, err
	}
	paper, err := still.HTML(&ui.PaperSheet{})
	if err != nil {
		return nil, err
	}
	t, err := template.New(pagePath).Funcs(template.FuncMap{
		"integrity": func(path string) (string, error) {
			content, ok := s[path]
			if !ok {
				return "", fmt.Errorf("the site has no %s", path)
			}
			return hashOf(content), nil
		},
	}).Parse(string(s[pagePath]))
	if err != nil {
		return nil, err
	}
	var b bytes.Buffer
	err = t.Execute(&b, map[string]any{"App": app, "Paper": paper, "Wasm": wasm, "Errand": errand, "Styles": styles})
	return b.Bytes(), err
}

// hashOf names a content as pages and content policies do.
func hashOf(content []byte) string {
	sum := sha256.Sum256(content)
	return "sha256-" + base64.StdEncoding.EncodeToString(sum[:])
}

// prerender returns the page as HTML in the state it has before anything is
// read from the device. Its root is the mount of the program, and inert until
// the program's first drawing takes the two attributes off: nobody should type
// into a field that no one listens to.
func prerender() (string, error) {
	html, err := still.HTML(&ui.Root{App: ui.New(nowhere())})
	if err != nil {
		return "", err
	}
	const mount = `<div id="app"`
	rest, ok := strings.CutPrefix(html, mount)
	if !ok {
		return "", fmt.Errorf("the root component must begin with %s, got %.40s", mount, html)
	}
	return mount + ` inert aria-busy="true"` + rest, nil
}

// nowhere is a world without a clock, a store or a window.
func nowhere() ui.Ports {
	return ui.Ports{
		Clock:  noClock{},
		Store:  noStore{},
		Spare:  noSpare{},
		Last:   noSpare{},
		Marks:  noMarks{},
		Device: noDevice{},
		Tabs:   noTabs{},
		Site:   noSite{},
		Parts:  noParts{},
		Worker: noWorker{},
		Spawn:  func(func()) {},
		Do:     func(func()) {},
	}
}

type noClock struct{}

func (noClock) Number() string { return "" }
func (noClock) Now() time.Time { return time.Time{} }
func (noClock) Zone() string   { return "" }

func (noClock) NowIn(string) time.Time { return time.Time{} }

func (noClock) Put(string, time.Time, time.Time) time.Duration { return 0 }

func (noClock) Ran() time.Duration { return 0 }

func (noClock) Hour24() bool     { return true }
func (noClock) Language() string { return "en" }

type noSpare struct{}

func (noSpare) Keys() ([]string, error)    { return nil, nil }
func (noSpare) Get(string) ([]byte, error) { return nil, nil }
func (noSpare) Put(string, []byte) error   { return nil }
func (noSpare) Drop(string) error          { return nil }

type noMarks struct{}

func (noMarks) All() map[string]string { return nil }
func (noMarks) Set(string, string)     {}

type noStore struct{}

func (noStore) OnGone(func()) {}

func (noStore) All(string) (map[string][]byte, error) { return nil, ui.ErrStoreDenied }
func (noStore) Txn([]string, func(map[string][]byte) (map[string][]byte, error)) error {
	return ui.ErrStoreDenied
}

type noDevice struct{}

func (noDevice) Lasting(bool, func(bool)) {}

func (noDevice) SaveFile(string, string, []byte)                   {}
func (noDevice) PickFile(string, int, func(string, []byte, error)) {}
func (noDevice) Position(func(float64, float64, error))            {}
func (noDevice) Print(func())                                      {}
func (noDevice) Address() string                                   { return "" }
func (noDevice) Focus(string)                                      {}
func (noDevice) Dress(string, string)                              {}
func (noDevice) Route() string                                     { return "" }
func (noDevice) ReplaceRoute(string)                               {}
func (noDevice) Select(string)                                     {}
func (noDevice) CanShare() bool                                    { return false }
func (noDevice) Share(string, string, string, func())              {}
func (noDevice) Copy(string, func(bool))                           {}
func (noDevice) SetRoute(string)                                   {}
func (noDevice) OnRoute(func(string))                              {}
func (noDevice) OnLeave(func(string))                              {}
func (noDevice) OnWake(func() bool)                                {}

type noTabs struct{}

func (noTabs) Tell(string)         {}
func (noTabs) OnTell(func(string)) {}

type noSite struct{}

func (noSite) Check() {}

func (noSite) OnState(func(ui.SiteState)) {}
func (noSite) Update()                    {}

type noParts struct{}

func (noParts) Read(path, _ string) ([]byte, error) { return nil, fmt.Errorf("no %s", path) }
func (noParts) Pack([]byte) ([]byte, error)         { return nil, errors.New("no packer") }
func (noParts) Own() []byte                         { return nil }
func (noParts) Inside() []byte                      { return nil }

type noWorker struct{}

func (noWorker) Start([]byte, func([]byte, error)) {}
func (noWorker) Stop()                             {}
