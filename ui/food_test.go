package ui

import (
	"strings"
	"testing"
	"time"

	"candleclock/engine/load"
	"candleclock/engine/plan"
	"candleclock/engine/units"
)

// The food clock runs for whatever keeps cold and has no power, each by itself:
// off, left out by the supply's limits, or unable to start.
func TestFoodWithoutPower(t *testing.T) {
	cold := func(name string, running, starting units.Watts, off bool) load.Load {
		return load.Load{Name: name, Rank: load.Vital, Outlet: load.AC, Count: 1, Running: running, Starting: starting, Duty: 0.4, PowerFactor: 1, Basis: load.Label, Off: off}
	}
	for _, c := range []struct {
		name            string
		things          []load.Load
		surge           float64
		fridge, freezer bool
	}{
		{"both run", []load.Load{cold("Fridge", 80, 80, false), cold("Chest freezer", 80, 80, false)}, 600, false, false},
		{"fridge off beside a freezer", []load.Load{cold("Fridge", 80, 80, true), cold("Chest freezer", 80, 80, false)}, 600, true, false},
		{"freezer off beside a fridge", []load.Load{cold("Fridge", 80, 80, false), cold("Chest freezer", 80, 80, true)}, 600, false, true},
		{"fridge can't start", []load.Load{cold("Fridge", 100, 700, false)}, 600, true, false},
		{"freezer can't start", []load.Load{cold("Freezer", 100, 700, false), cold("Refrigerator", 80, 80, false)}, 600, false, true},
		{"fridge too much", []load.Load{cold("Fridge", 520, 520, false)}, 600, true, false},
		{"in one", []load.Load{cold("Fridge-freezer", 100, 700, false)}, 600, true, true},
		{"none told", nil, 600, true, false},
	} {
		w := steady(t, new(disk))
		w.act(func() {
			w.app.edit(func(p *plan.Plan) {
				p.Supply.Inverter.Continuous, p.Supply.Inverter.SurgeW = 500, new(c.surge)
				p.Loads = append(p.Loads[:2:2], c.things...)
			})
		})
		began := plan.At(w.now)
		w.pass(time.Hour)
		w.act(w.onWake)
		at := map[string]plan.Moment{}
		for _, m := range w.app.Moments() {
			at[m.key] = m.at
		}
		if got, ok := at["fridge"]; ok != c.fridge || ok && got != began.After(4) {
			t.Errorf("%s: fridge %v at %s", c.name, ok, got)
		}
		if got, ok := at["freezer"]; ok != c.freezer || ok && got != began.After(24) {
			t.Errorf("%s: freezer %v at %s", c.name, ok, got)
		}
		w.act(w.app.SaveAlarms)
		file := strings.ReplaceAll(string(w.files[0].data), "\r\n ", "")
		w.visit("send")
		for _, text := range []string{file, w.app.Parcel().Full} {
			if strings.Contains(text, "past its 4 hours") != c.fridge || strings.Contains(text, "past its 24 hours") != c.freezer {
				t.Errorf("%s: handed on\n%s", c.name, text)
			}
		}
	}
}

// Switched off and on again, the clock of what keeps cold starts anew; of what
// never ran it does not.
func TestFoodClockOfASwitch(t *testing.T) {
	w := steady(t, new(disk))
	w.act(func() {
		w.app.edit(func(p *plan.Plan) {
			p.Loads = append(p.Loads, load.Load{Name: "Fridge", Rank: load.Useful, Outlet: load.AC, Count: 1, Running: 60, Duty: 0.4, PowerFactor: 1, Basis: load.Label})
		})
	})
	fridge := func() plan.Moment {
		for _, m := range w.app.Moments() {
			if m.key == "fridge" {
				return m.at
			}
		}
		return plan.Moment{}
	}
	w.pass(time.Hour)
	w.act(func() { w.app.Toggle(3) })
	if got := fridge(); got != plan.At(w.now).After(4) {
		t.Errorf("switched off: %s", got)
	}
	off := plan.At(w.now)
	w.pass(30 * time.Minute)
	w.act(func() { w.app.Toggle(0) }) // of no matter
	if got := fridge(); got != off.After(4) {
		t.Errorf("another thing switched: %s", got)
	}
	w.act(func() { w.app.Toggle(3) })
	if got := fridge(); !got.IsZero() {
		t.Errorf("switched on again: %s", got)
	}
}
