package ui

import (
	"testing"
	"time"

	"candleclock/engine/odds"
)

// Readings that tell of a fast drain count on Will it hold? too, as on Tonight;
// of a slow one they promise nothing there.
func TestAheadGoesByThePace(t *testing.T) {
	for _, c := range []struct {
		readings []string
		faster   bool
	}{{[]string{"75", "50"}, true}, {[]string{"88", "77"}, false}} {
		w := steady(t, new(disk))
		for _, r := range c.readings {
			w.pass(time.Hour)
			w.read(r)
		}
		w.visit("ahead")
		w.run()
		v, left := w.app.Ahead(), w.app.answer.left(w.app.answer.run.CountOn)
		if faster := w.app.pace() > 1.3; faster != c.faster {
			t.Fatalf("%v: the pace is %v, not as this test wants it", c.readings, w.app.answer.read.Pace)
		}
		// Nothing comes in: how long 9 in 10 hold is what Tonight counts on.
		if got := surely(v.got.Vital); got > left*1.1 {
			t.Errorf("%v: 9 in 10 hold for %v, and Tonight counts on %v", c.readings, got, left)
		}
		if alone := odds.NewSampler(odds.Draws, odds.Seed).Runtime(w.app.onward()).CountOn; !c.faster && surely(v.got.Vital) > alone*1.1 {
			t.Errorf("%v: 9 in 10 hold for %v, and by the plan for %v", c.readings, surely(v.got.Vital), alone)
		}
	}
}
