//go:build js && wasm

// Command wasm is the page's program: it mounts ui on #app, draws it, and gives
// it the browser for a world. It is the only package that knows JavaScript.
//
// From public/boot.js it needs window.candleclock: usable(), to be called after
// the first drawing, onSite(heard) and update(), and of a page that is a single
// file own(), inside() and home. When main ends, by a panic or otherwise,
// boot.js tells the person that the planner has stopped.
//
// A callback from JavaScript keeps the browser waiting, so it must never wait
// for the page's lock, which may be held by who waits for the browser: it
// starts a goroutine that does.
package main

import (
	"github.com/hack-pad/safejs"
	"github.com/vugu/vugu"
	"github.com/vugu/vugu/domrender"

	"candleclock/ui"
)

func main() {
	renderer, err := domrender.New("#app")
	if err != nil {
		panic(err)
	}
	env := renderer.EventEnv()
	do := func(change func()) {
		env.Lock()
		change()
		env.UnlockRender()
	}
	window := object{safejs.Global()}
	device := newDevice(window, do)
	app := ui.New(ui.Ports{
		Clock:  clock{window},
		Store:  &store{factory: window.get("indexedDB"), keyRange: window.get("IDBKeyRange")},
		Device: device,
		Tabs:   newTabs(window, do),
		Site:   site{window.get("candleclock"), do},
		Parts:  newParts(window),
		Spawn:  func(work func()) { go work() },
		Do:     do,
	})
	builder, err := vugu.NewBuildEnv(env)
	if err != nil {
		panic(err)
	}
	root := &ui.Root{App: app}
	draw := func() {
		env.RLock()
		built := builder.RunBuild(root)
		env.RUnlock()
		if err := renderer.Render(built); err != nil {
			panic(err)
		}
		device.drawn()
	}

	draw()
	window.get("candleclock").call("usable")
	go app.Start()
	drawOnChange(renderer, newFrames(window), draw)
}
