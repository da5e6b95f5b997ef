//go:build js && wasm

package main

import "path"

// tabs is a broadcast channel between the open pages of this app; nothing in
// browsers that have none.
type tabs struct {
	channel object
	do      func(func())
}

func newTabs(window object, do func(func())) tabs {
	// The channel is the whole origin's, which other copies may share.
	folder, _ := path.Split(window.get("location").get("pathname").str())
	return tabs{window.get("BroadcastChannel").create("candleclock@" + folder), do}
}

func (t tabs) Tell(word string) { t.channel.call("postMessage", word) }

func (t tabs) OnTell(heard func(word string)) {
	word := func(event object) string { return event.get("data").str() }
	on(t.channel, "message", word, func(word string) {
		t.do(func() { heard(word) })
	})
}
