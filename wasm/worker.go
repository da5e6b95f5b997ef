//go:build js && wasm

package main

import (
	"errors"
	"time"

	"github.com/hack-pad/safejs"
)

// worker has errands done by a worker of the browser: one that begins with its
// errand and ends with it, since an idle one would hold as much memory as the
// page. boot.js starts it with the program that is compiled already.
type worker struct {
	boot object
	do   func(func())
	end  func() // ends the one that is at work; nil when there is none
}

// A worker that says nothing for so many looks at the clock is lost. Looks, not
// seconds: a phone that slept has looked once.
const (
	look     = 5 * time.Second
	mostLook = 6
)

var (
	errNoWorker = errors.New("this browser gives the page no worker")
	errLost     = errors.New("the worker died or fell silent")
)

func (w *worker) Start(question []byte, heard func(message []byte, err error)) {
	started, err := w.boot.Call("worker", uint8Array(question).Value)
	if err != nil {
		go w.do(func() { heard(nil, errNoWorker) })
		return
	}
	js := object{started}
	quiet := 0
	var clock *time.Timer
	lose := func() { w.do(func() { heard(nil, errLost) }) }
	clock = time.AfterFunc(look, func() {
		if quiet++; quiet == mostLook {
			lose()
			return
		}
		clock.Reset(look)
	})
	var said, failed safejs.Func
	said = releasable(func(args []object) {
		quiet = 0
		data := args[0].get("data")
		if message, err := data.bytes(); err == nil && data.truthy() {
			go w.do(func() { heard(message, nil) })
		} else {
			go lose() // the program has ended
		}
	})
	failed = releasable(func([]object) { go lose() })
	js.set("onmessage", said.Value())
	js.set("onmessageerror", failed.Value())
	js.set("onerror", failed.Value())
	w.end = func() {
		clock.Stop()
		for _, event := range []string{"onmessage", "onmessageerror", "onerror"} {
			js.set(event, nil)
		}
		js.call("terminate")
		said.Release()
		failed.Release()
	}
}

func (w *worker) Stop() {
	if w.end != nil {
		w.end()
		w.end = nil
	}
}
