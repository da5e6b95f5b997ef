package ui

import (
	"strings"
	"testing"

	"candleclock/engine/load"
	"candleclock/engine/plan"
	"candleclock/engine/units"
)

// Will it hold? has everything start and run on. Where a start trips the supply,
// or can't be had at all, it says so with its figure, and the message that is sent
// names what can't start.
func TestChanceOfWhatTrips(t *testing.T) {
	for _, c := range []struct {
		name      string
		surge     float64
		starting  []units.Watts // of two motors of 100 W, beside a mask
		trips, no bool          // no: one of them can't start at all
	}{
		{name: "all starts fit", surge: 1200, starting: []units.Watts{500, 500}},
		{name: "one can't start alone", surge: 1200, starting: []units.Watts{1500, 500}, trips: true, no: true},
		{name: "not beside the rest", surge: 610, starting: []units.Watts{600, 600}, trips: true},
	} {
		w := steady(t, new(disk))
		w.act(func() {
			w.app.edit(func(p *plan.Plan) {
				p.Supply.Inverter.SurgeW, p.Outage.Hours = &c.surge, 1
				p.Loads = p.Loads[:1]
				for i, s := range c.starting {
					p.Loads = append(p.Loads, load.Load{Name: []string{"Medicine fridge", "Pump"}[i], Rank: load.Vital, Outlet: load.AC, Count: 1,
						Running: 100, Starting: s, Duty: 1, PowerFactor: 1, Basis: load.Typical, CyclesItself: true})
				}
			})
		})
		w.visit("ahead")
		chance, beside := w.app.Ahead().Chance(), strings.Join(w.app.Ahead().Beside(), " ")
		if !strings.HasPrefix(chance, "In 20 of 20") || strings.HasSuffix(chance, wAheadIfStarts) != c.trips {
			t.Errorf("%s: %q", c.name, chance)
		}
		if strings.Contains(beside, wAheadNeverStarts+"medicine fridge") != c.no || strings.Contains(beside, wAheadTrips) != (c.trips && !c.no) {
			t.Errorf("%s: %q", c.name, beside)
		}
		w.visit("send")
		if short := w.app.Parcel().Short; strings.Contains(short, plainText(wSendUnmet)+"Medicine fridge.") != c.no {
			t.Errorf("%s: the message says %q", c.name, short)
		}
	}
}
