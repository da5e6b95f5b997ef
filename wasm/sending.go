//go:build js && wasm

package main

import "github.com/hack-pad/safejs"

// How a plan leaves the page: the share sheet, the clipboard, a field to select
// from. Browsers allow the first two only while a tap is being handled, so they
// are called at once, in the handler's own goroutine.

func (d *device) navigator() object { return d.window.get("navigator") }

func (d *device) CanShare() bool { return d.navigator().get("share").truthy() }

func (d *device) Share(title, text, link string, failed func()) {
	what := d.window.get("Object").create()
	what.set("title", title)
	what.set("text", text)
	if link != "" {
		what.set("url", link)
	}
	promise, err := d.navigator().Call("share", what.Value)
	if err != nil {
		go d.do(failed)
		return
	}
	d.settle(object{promise}, func() {}, func(reason object) {
		// AbortError: the person closed the sheet, which is an answer too.
		if reason.get("name").str() != "AbortError" {
			d.do(failed)
		}
	})
}

func (d *device) Copy(text string, done func(copied bool)) {
	promise, err := d.navigator().get("clipboard").Call("writeText", text)
	if err != nil { // not in this browser, or not on a page without https
		copied := d.copyOld(text)
		go d.do(func() { done(copied) })
		return
	}
	d.settle(object{promise},
		func() { d.do(func() { done(true) }) },
		func(object) {
			copied := d.copyOld(text)
			d.do(func() { done(copied) })
		})
}

// settle calls one of the two, in a goroutine of its own, when the promise is
// settled.
func (d *device) settle(promise object, kept func(), broken func(reason object)) {
	var fulfilled, rejected safejs.Func
	release := func() { fulfilled.Release(); rejected.Release() }
	fulfilled = releasable(func([]object) {
		release()
		go kept()
	})
	rejected = releasable(func(args []object) {
		release()
		go broken(args[0])
	})
	promise.call("then", fulfilled.Value(), rejected.Value())
}

// copyOld copies the way of browsers without a clipboard to write to: by
// selecting a field and asking the document to copy.
func (d *device) copyOld(text string) bool {
	had := d.document.get("activeElement")
	field := d.document.call("createElement", "textarea")
	field.set("value", text)
	field.set("readOnly", true) // no keyboard comes up
	field.set("className", "unseen")
	d.document.get("body").call("append", field.Value)
	field.call("select")
	copied := d.document.call("execCommand", "copy").truthy()
	field.call("remove")
	had.call("focus")
	return copied
}

func (d *device) Select(id string) { d.focus, d.selecting = id, true }

func (d *device) ReplaceRoute(route string) {
	d.window.get("history").call("replaceState", nil, "", "#"+route)
}
