package ui

import (
	"testing"
	"time"

	"candleclock/engine/gauge"
	"candleclock/engine/load"
	"candleclock/engine/plan"
	"candleclock/engine/units"
)

// What is added to the list in an outage did not drain the battery before, under
// whatever name it goes in the end. Taken for on all along, it made the readings
// look slow, and what was counted on longer than it is.
func TestAddedInAnOutage(t *testing.T) {
	for _, watts := range []units.Watts{10, 20, 40, 100} {
		for name, add := range map[string]func(w *world){
			"from the list": func(w *world) { w.act(func() { w.app.AddFound("lamp-led") }) },
			"one's own":     func(w *world) { w.act(w.app.AddOwn) },
		} {
			w := steady(t, new(disk))
			w.pass(3 * time.Hour)
			w.read("60")
			before := w.app.answer.run.CountOn
			add(w)
			n := len(w.app.book.Plan.Loads) - 1
			w.act(func() {
				w.app.editLoad(n, func(l *load.Load) {
					l.Name, l.Running, l.Duty, l.Basis, l.Low, l.High = "Another mask", watts, 1, load.Measured, nil, nil
				})
			})
			p := w.app.book.Plan
			got := w.app.answer.run.CountOn
			// By the engine itself, from what really happened.
			first := p.Outage.Log.Readings[0]
			p.Outage.Starts, p.Outage.SOC, p.Outage.SOCLow = first.At, 1, nil
			at := p.Outage.Log.Readings[1].At
			e, err := gauge.Read(p, w.app.sampler, []gauge.Reading{gauge.Percent(at, 60)}, []gauge.Change{{At: at, Load: n, On: true}})
			want := e.CountOn - 3
			if err != nil || got != want || got >= before {
				t.Errorf("%v W %s: it counts on %v, want %v, and %v without it", watts, name, got, want, before)
			}
			if _, err := plan.Decode(w.app.book.Plan.Encode()); err != nil {
				t.Error(err)
			}
		}
	}
}

// A thing that was switched keeps its past when it gets another name.
func TestRenamedInAnOutage(t *testing.T) {
	w := steady(t, new(disk))
	w.act(func() { w.app.Toggle(2) }) // the heater, off from the start on
	w.pass(3 * time.Hour)
	w.read("85")
	w.act(func() { w.app.Toggle(2) }) // and on now
	want := w.app.answer.run.CountOn
	w.act(func() { w.app.editLoad(2, func(l *load.Load) { l.Name = "Heat pad" }) })
	if got := w.app.answer.run.CountOn; got < want*0.97 || got > want*1.03 {
		t.Errorf("it counts on %v, and on %v before it was renamed", got, want)
	}
	for _, s := range w.app.book.Plan.Outage.Log.Switches {
		if s.Load != "Heat pad" {
			t.Errorf("the log tells of %q", s.Load)
		}
	}
}
