//go:build js && wasm

package main

import (
	"errors"
	"fmt"
	"strings"
	"time"

	"github.com/hack-pad/safejs"
)

// device is the browser window.
type device struct {
	window, document object
	do               func(func())
	look             func(func() bool) // does and draws only where that says so
	focus            string            // id of the element that gets the focus when the page is drawn
	selecting        bool              // and has all its text selected
	picker           object            // the file input, made at the first use
	picked           func(file object)
}

func newDevice(window object, do func(func()), look func(func() bool)) *device {
	return &device{window: window, document: window.get("document"), do: do, look: look}
}

// drawn is called after each drawing.
func (d *device) drawn() {
	if d.focus == "" {
		return
	}
	id := d.focus
	d.focus = ""
	field := d.document.call("getElementById", id)
	field.call("focus")
	if d.selecting {
		d.selecting = false
		field.call("select")
	}
}

func (d *device) Focus(id string) { d.focus, d.selecting = id, false }

func (d *device) Dress(title, look string) {
	d.document.set("title", title)
	root := d.document.get("documentElement")
	root.get("dataset").set("look", look)
	// The browser's own bars take the colour of the page's ground.
	ground := d.window.call("getComputedStyle", root.Value).call("getPropertyValue", "--ground").str()
	d.document.call("querySelector", "meta[name=theme-color]").set("content", strings.TrimSpace(ground))
}

func (d *device) SaveFile(name, mime string, data []byte) {
	parts := d.window.get("Array").call("of", uint8Array(data).Value)
	kind := d.window.get("Object").create()
	kind.set("type", mime)
	urls := d.window.get("URL")
	address := urls.call("createObjectURL", d.window.get("Blob").create(parts.Value, kind.Value).Value)

	link := d.document.call("createElement", "a")
	link.set("href", address.Value)
	link.set("download", name)
	link.call("click")
	// The browser reads the file after the click; a minute is plenty.
	time.AfterFunc(time.Minute, func() { urls.call("revokeObjectURL", address.Value) })
}

func (d *device) PickFile(accept string, max int, got func(name string, data []byte, err error)) {
	if !d.picker.truthy() {
		d.picker = d.document.call("createElement", "input")
		d.picker.set("type", "file")
		d.picker.set("hidden", true)
		d.document.get("body").call("append", d.picker.Value) // some browsers forget a loose one
		first := func(event object) object { return event.get("target").get("files").call("item", 0) }
		on(d.picker, "change", first, func(file object) { d.picked(file) })
	}
	d.picked = func(file object) {
		if !file.truthy() {
			return
		}
		name := file.get("name").str()
		data, err := readFile(file, max)
		d.do(func() { got(name, data, err) })
	}
	d.picker.set("accept", accept)
	d.picker.set("value", "") // so that the same file can be picked again
	d.picker.call("click")
}

// readFile reads a file of at most max bytes. Its size is asked first, so that
// a film picked by mistake is not read into memory.
func readFile(file object, max int) ([]byte, error) {
	if size, err := file.get("size").Float(); err != nil || size > float64(max) {
		return nil, fmt.Errorf("the file has %.0f bytes; at most %d can be read", size, max)
	}
	buffer, err := await(file.call("arrayBuffer"))
	if err != nil {
		return nil, fmt.Errorf("the file could not be read: %w", err)
	}
	return buffer.bytes()
}

func (d *device) Position(got func(lat, lon float64, err error)) {
	place := d.window.get("navigator").get("geolocation")
	if !place.truthy() {
		go d.do(func() { got(0, 0, errNoPosition) })
		return
	}
	var told, refused safejs.Func
	answer := func(lat, lon float64, err error) {
		told.Release()
		refused.Release()
		d.do(func() { got(lat, lon, err) })
	}
	told = releasable(func(args []object) {
		coords := args[0].get("coords")
		lat, latErr := coords.get("latitude").Float()
		lon, lonErr := coords.get("longitude").Float()
		go answer(lat, lon, errors.Join(latErr, lonErr))
	})
	refused = releasable(func([]object) { go answer(0, 0, errNoPosition) })
	options := d.window.get("Object").create()
	options.set("maximumAge", 3600_000) // an hour old will do
	options.set("timeout", 30_000)
	place.call("getCurrentPosition", told.Value(), refused.Value(), options.Value)
}

func (d *device) Lasting(ask bool, told func(lasts bool)) {
	method := "persisted"
	if ask {
		method = "persist"
	}
	promise, err := d.navigator().get("storage").Call(method)
	go func() { // the person may take their time
		var lasts object
		if err == nil {
			lasts, err = await(object{promise})
		}
		d.do(func() { told(err == nil && lasts.truthy()) })
	}()
}

var errNoPosition = errors.New("the device does not tell its position")

func (d *device) Print(failed func()) {
	// Browsers inside other apps have the function, and it does nothing: what
	// prints announces it first.
	begun := false
	began := releasable(func([]object) { begun = true })
	d.window.call("addEventListener", "beforeprint", began.Value())
	d.window.call("print")
	time.AfterFunc(printPatience, func() {
		d.window.call("removeEventListener", "beforeprint", began.Value())
		began.Release()
		if !begun {
			d.do(failed)
		}
	})
}

// printPatience is how long a browser may take to begin printing: some finish
// the tap first.
const printPatience = 2 * time.Second

func (d *device) Address() string {
	if home := d.window.get("candleclock").get("home"); home.Type() == safejs.TypeString {
		return home.str() // the folder of a single file is no one else's business
	}
	address := d.window.get("location").get("href").str()
	if i := strings.IndexAny(address, "?#"); i >= 0 {
		address = address[:i]
	}
	return address
}

func (d *device) Route() string {
	return strings.TrimPrefix(d.window.get("location").get("hash").str(), "#")
}

func (d *device) SetRoute(route string) {
	if route == d.Route() {
		return
	}
	// Unlike a change of location.hash, this is not told to OnRoute.
	d.window.get("history").call("pushState", nil, "", "#"+route)
}

func (d *device) OnRoute(changed func(route string)) {
	route := func(object) string { return d.Route() }
	on(d.window, "hashchange", route, func(route string) {
		d.do(func() { changed(route) })
	})
}

func (d *device) OnLeave(left func(id string)) {
	id := func(event object) string { return event.get("target").get("id").str() }
	on(d.document, "focusout", id, func(id string) {
		d.do(func() { left(id) })
	})
}

func (d *device) OnWake(woke func() bool) {
	hidden := func(object) bool { return d.document.get("hidden").truthy() }
	var minute *time.Timer // runs only while the page is visible: a phone's battery is the last reserve
	wake := func() {
		if hidden(undefined) {
			return
		}
		d.look(woke)
		minute.Reset(untilMinute(time.Now()))
	}
	minute = time.AfterFunc(untilMinute(time.Now()), wake)
	on(d.document, "visibilitychange", hidden, func(bool) {
		minute.Stop()
		wake()
	})
}

// untilMinute is the time from now to just after the next full minute. All zones
// in use differ by whole minutes. A timer may come a millisecond early by the
// clock on the wall; one that aimed at the minute itself would then come twice.
func untilMinute(now time.Time) time.Duration {
	return now.Truncate(time.Minute).Add(time.Minute + 20*time.Millisecond).Sub(now)
}
