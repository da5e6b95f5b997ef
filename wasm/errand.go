//go:build js && wasm

package main

import (
	"time"

	"candleclock/ui/errand"
)

// tellEvery is how often a worker tells the page how far it is: each time the
// page is drawn.
const tellEvery = 250 * time.Millisecond

// runErrand does the one errand that public/errand.js has left in the scope.
func runErrand(scope object) {
	say := func(r errand.Reply) { scope.call("postMessage", uint8Array(r.Encode()).Value) }
	question, err := scope.get("errand").bytes()
	if err != nil {
		return // errand.js tells the page that no more comes
	}
	var told time.Time
	say(errand.Work(question, func(done, all int) bool {
		if now := time.Now(); now.Sub(told) >= tellEvery {
			told = now
			say(errand.Reply{Done: done, All: all})
		}
		return true // the page stops a worker by ending it
	}))
}
