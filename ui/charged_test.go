package ui

import (
	"testing"
	"time"

	"candleclock/engine/charge"
	"candleclock/engine/load"
	"candleclock/engine/odds"
	"candleclock/engine/panel"
	"candleclock/engine/plan"
	"candleclock/engine/units"
	"candleclock/ui/say"
)

// sunny is a page in an outage that began at an hour of a June day: one machine on
// a battery that would carry it for most of a day.
func sunny(t *testing.T, hour int, change func(p *plan.Plan)) *world {
	t.Helper()
	w := openPage(t, new(disk), func(w *world) { w.now = time.Date(2026, 6, 14, hour, 0, 0, 0, time.UTC) })
	w.act(w.app.PlanAhead)
	w.act(func() {
		w.app.edit(func(p *plan.Plan) {
			p.Supply.Battery.Chemistry, p.Supply.Battery.Capacity, p.Supply.Battery.Room = "lfp", 2000, 20
			p.Supply.Inverter.Continuous = 600
			p.Loads = []load.Load{{Name: "Machine", Rank: load.Vital, Outlet: load.AC, Count: 1, Running: 100, Duty: 1, PowerFactor: 1, Basis: load.Typical}}
			change(p)
		})
	})
	w.visit("tonight")
	w.act(w.app.PowerOut)
	return w
}

// panels gives the plan a panel at a known place.
func panels(p *plan.Plan) {
	lat, lon := 52.5, 13.4
	p.Place.Lat, p.Place.Lon = &lat, &lon
	p.Panels.PanelSet = plan.PanelSet{Count: 1, Label: panel.Label{Pmax: 100, Voc: 24}}
	p.Supply.Inputs = append(p.Supply.Inputs, charge.Input{Kind: charge.Panel, MaxV: 60, MaxW: 400})
}

// By day the sun holds the charge up. The night ahead is not to be counted with
// the pace of the day: nothing that may have been charged makes the figure longer
// than the newest reading alone has it.
func TestSlowBecauseCharged(t *testing.T) {
	generator := func(p *plan.Plan) {
		p.Supply.Inputs = append(p.Supply.Inputs, charge.Input{Kind: charge.Generator, Watts: 1000})
	}
	nothing := func(*plan.Plan) {}
	for _, c := range []struct {
		name     string
		hour     int
		has      func(p *plan.Plan)
		readings []string
		credited bool
	}{
		{"panels by day", 8, panels, []string{"95", "91", "86", "82", "79"}, false},
		{"panels from before sunrise", 2, panels, []string{"95", "91", "86", "82", "79"}, false},
		{"a generator", 8, generator, []string{"95", "91", "86", "82", "79"}, false},
		{"nothing that charges", 8, nothing, []string{"95", "91", "86", "82", "79"}, true},
		{"panels in the dark", 22, panels, []string{"95", "92"}, true},
	} {
		t.Run(c.name, func(t *testing.T) {
			w := sunny(t, c.hour, c.has)
			step := 2 * time.Hour
			if len(c.readings) == 2 {
				step = time.Hour
			}
			for _, r := range c.readings {
				w.pass(step)
				w.read(r)
			}
			alone := odds.NewSampler(odds.Draws, odds.Seed).Runtime(w.app.book.Plan).CountOn
			got := w.app.answer.run.CountOn
			learned := w.app.Learned()
			if c.credited != (got > alone) || len(learned) == 0 || (learned[0] == wPaceFed) == c.credited {
				t.Errorf("it counts on %v, the last reading alone tells %v; learned: %q", got, alone, learned)
			}
			if h := say.Hours(alone); !c.credited && w.app.answer.toPlanOn() > units.Hours(alone) {
				t.Errorf("the page says %q, want at most %q", w.app.Under(), h)
			}
		})
	}

	// What drains faster than planned is believed, whatever charges.
	w := sunny(t, 8, panels)
	for _, r := range []string{"80", "60"} {
		w.pass(2 * time.Hour)
		w.read(r)
	}
	alone := odds.NewSampler(odds.Draws, odds.Seed).Runtime(w.app.book.Plan).CountOn
	if got := w.app.answer.run.CountOn; w.app.answer.read == nil || got >= alone {
		t.Errorf("drained fast: it counts on %v, the last reading alone tells %v", got, alone)
	}
}

// In an outage the hours with the panels count from now, as all others, not from
// a reading that is hours old: in the dark they are those without panels.
func TestSunCountsFromNow(t *testing.T) {
	w := sunny(t, 20, func(p *plan.Plan) {
		panels(p)
		p.Supply.Battery.Capacity = 700
	})
	w.pass(3 * time.Hour)
	w.visit("sun")
	without := w.app.answer.left(w.app.answer.run.CountOn)
	if with := w.app.sun.with.CountOn; with > without+0.5 || with <= 0 || w.app.sun.yield == nil {
		t.Errorf("with panels %v h from now, in the dark, and %v without", with, without)
	}
}
