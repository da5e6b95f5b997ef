//go:build js && wasm

// Command wasm is the page's program: it mounts ui on #app, draws it, and gives
// it the browser for a world. It is the only package that knows JavaScript.
//
// From public/boot.js it needs window.candleclock: usable(), to be called after
// the first drawing, onSite(heard), update(), check() and worker(errand), and of a page
// that is a single file own(), inside(most) and home. When main ends, by a panic
// or otherwise, boot.js tells the person that the planner has stopped.
//
// The same program, started by public/errand.js in a worker, does one errand for
// the page and ends.
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
	"candleclock/ui/pieces"
)

func main() {
	window := object{safejs.Global()}
	if !window.get("document").truthy() {
		runErrand(window) // a worker, not a page
		return
	}
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
	look := func(changed func() bool) {
		env.Lock()
		if changed() {
			env.UnlockRender()
		} else {
			env.UnlockOnly()
		}
	}
	device, boot := newDevice(window, do, look), window.get("candleclock")
	app := ui.New(ui.Ports{
		Clock:  newClock(window),
		Store:  &store{factory: window.get("indexedDB"), keyRange: window.get("IDBKeyRange")},
		Spare:  newSpare(window),
		Last:   last{window},
		Marks:  marks{window},
		Device: device,
		Tabs:   newTabs(window, do),
		Site:   site{boot, do},
		Parts:  newParts(window),
		Worker: &worker{boot: boot, do: do},
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
		pieces.Cut(built)
		if err := renderer.Render(built); err != nil {
			panic(err)
		}
		device.drawn()
	}

	draw()
	boot.call("usable")
	go app.Start()
	drawOnChange(renderer, newFrames(window), draw)
}
