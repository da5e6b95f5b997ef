//go:build js && wasm

package main

import "github.com/vugu/vugu/domrender"

// drawOnChange draws once for all changes that come before a frame of the
// screen: a drawing walks the whole page, and a slow phone has no time for one
// at every keystroke of a burst. It does not return while the page lives.
func drawOnChange(renderer *domrender.JSRenderer, frames frames, draw func()) {
	changed := make(chan struct{}, 1)
	go func() {
		defer close(changed)
		for renderer.EventWait() {
			select {
			case changed <- struct{}{}:
			default: // one is noted already
			}
		}
	}()
	for range changed {
		frames.wait()
		select {
		case <-changed: // will be seen in this drawing
		default:
		}
		draw()
	}
}

// frames tells when the screen is about to be painted.
type frames struct {
	window, document object
	next             chan struct{}
	tick             object // the function that sends on next
}

func newFrames(window object) frames {
	f := frames{window, window.get("document"), make(chan struct{}, 1), object{}}
	f.tick = function(func([]object) {
		select {
		case f.next <- struct{}{}:
		default:
		}
	})
	return f
}

// wait returns at the next frame; at once while the page is hidden, when there
// are none. A page that is hidden meanwhile is drawn when it comes back.
func (f frames) wait() {
	if f.document.get("hidden").truthy() {
		return
	}
	f.window.call("requestAnimationFrame", f.tick.Value)
	<-f.next
}
