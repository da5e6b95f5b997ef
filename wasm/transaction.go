//go:build js && wasm

package main

import (
	"fmt"
	"time"

	"github.com/hack-pad/safejs"

	"candleclock/ui"
)

// transaction is one going on. Its methods are for the callbacks of its own
// requests; any wait there would end it.
type transaction struct {
	js       object
	requests object // the object store, seen by this transaction
	refusal  error  // why it was given up, when we did so
	handlers []safejs.Func
}

// run has body begin the requests of a new transaction on db, and waits until
// all that follows from them is complete. On an error nothing is written.
func run(db object, mode string, body func(t *transaction)) error {
	// Strict: a phone at the end of its battery may die the next second.
	options := global("Object").create()
	options.set("durability", "strict")
	js, err := db.Call("transaction", objectStore, mode, options.Value)
	if err != nil { // the connection is closed
		return fmt.Errorf("%w: %w", ui.ErrStoreLost, err)
	}
	t := &transaction{js: object{js}}
	t.requests = t.js.call("objectStore", objectStore)

	ended := make(chan error, 1)
	t.on(t.js, "oncomplete", func([]object) { ended <- nil })
	t.on(t.js, "onabort", func([]object) { ended <- storeError(t.js.get("error")) })
	body(t)
	select {
	case err = <-ended:
	case <-time.After(patience):
		t.js.set("oncomplete", nil)
		t.js.set("onabort", nil)
		t.js.call("abort")
		err = ui.ErrStoreLost
	}
	for _, h := range t.handlers {
		h.Release()
	}
	if t.refusal != nil {
		return t.refusal
	}
	return err
}

// on sets a handler for the life of the transaction.
func (t *transaction) on(target object, event string, handle func([]object)) {
	h := releasable(handle)
	t.handlers = append(t.handlers, h)
	target.set(event, h.Value())
}

// ask begins a request of the object store; answered, which may be nil, is
// given its result. A request that fails ends the transaction.
func (t *transaction) ask(method string, args []any, answered func(result object)) {
	js, err := t.requests.Call(method, args...)
	if err != nil {
		t.refuse(fmt.Errorf("%w: %w", ui.ErrStoreLost, err))
		return
	}
	if answered == nil {
		return
	}
	request := object{js}
	t.on(request, "onsuccess", func([]object) { answered(request.get("result")) })
}

// refuse gives the transaction up because of err; the first one counts.
func (t *transaction) refuse(err error) {
	if t.refusal != nil {
		return
	}
	t.refusal = err
	t.js.call("abort")
}
