package ui

import (
	"strings"
	"testing"

	"candleclock/engine/battery"
	"candleclock/engine/load"
	"candleclock/engine/odds"
	"candleclock/engine/outage"
	"candleclock/engine/plan"
	"candleclock/engine/units"
	"candleclock/ui/say"
)

// What a quarter of an hour of a kettle costs is what following the night with it
// tells, as an hour of use in the plan: cold and a hard pull take their share.
func TestPlugForMinutesByTheCourse(t *testing.T) {
	for _, c := range []struct {
		chemistry battery.Chemistry
		room      units.Celsius
		capacity  units.WattHours
		empties   bool
	}{{battery.LFP, 20, 2000, false}, {battery.LFP, -15, 2000, false}, {battery.AGM, 20, 4000, false}, {battery.AGM, 0, 4000, false}, {battery.AGM, 0, 2000, true}} {
		w := steady(t, new(disk))
		w.act(func() {
			w.app.edit(func(p *plan.Plan) {
				p.Supply.Battery = battery.Battery{Chemistry: c.chemistry, Capacity: c.capacity, Room: c.room}
				p.Supply.Inverter.Continuous = 2000
			})
		})
		w.visit("plug")
		w.typeIn("plug-watts", "1500")
		w.typeIn("plug-minutes", "15")
		said := w.app.PlugSays()[1]

		p, s := w.app.book.Plan, odds.NewSampler(odds.Draws, odds.Seed)
		before := s.Runtime(p).CountOn
		at := p.Outage.Starts.Minute()
		p.Loads = append(p.Loads[:len(p.Loads):len(p.Loads)], load.Load{Name: "Kettle", Rank: load.Comfort, Outlet: load.AC, Count: 1,
			Running: 1500, Duty: 1, PowerFactor: 1, Basis: load.Label, Use: []load.Window{{From: at, To: at + 15}}})
		// A label is the most it may draw; the page counts with that.
		p.Loads[len(p.Loads)-1].Basis = load.Measured
		lost := before - s.Runtime(p).CountOn
		if c.empties {
			if said != wPlugEmpties || before-lost > 0.25 {
				t.Errorf("%s at %v °C: %q, and it lasts %v", c.chemistry, c.room, said, before-lost)
			}
			continue
		}
		_, after, found := strings.Cut(said, wPlugMinutesIs)
		after, _, _ = strings.Cut(after, wPlugOfTheNight)
		got := hoursSaid(t, after)
		if grain := say.Grain(lost); !found || got < lost-units.Hours(0.05) || got > lost+grain+units.Hours(0.05) {
			t.Errorf("%s at %v °C: %q, want about %v", c.chemistry, c.room, said, lost)
		}
	}
}

// hoursSaid reads "1 hour 45 minutes".
func hoursSaid(t *testing.T, s string) (h units.Hours) {
	f := strings.Fields(spaced(s))
	for i := 0; i+1 < len(f); i += 2 {
		v, ok := parse(f[i])
		switch unit := strings.TrimSuffix(f[i+1], "s"); {
		case !ok:
			t.Fatalf("%q says no time", s)
		case unit == "hour":
			h += units.Hours(v)
		case unit == "minute":
			h += units.Hours(v / 60)
		}
	}
	return h
}

// It makes less than 5 minutes of difference only where it does: two times that
// are rounded to the same words may lie an hour apart.
func TestPlugNothingIsNothing(t *testing.T) {
	for _, capacity := range []units.WattHours{1024, 2000, 5000, 10000, 20000} {
		w := steady(t, new(disk))
		w.act(func() { w.app.edit(func(p *plan.Plan) { p.Supply.Battery.Capacity = capacity }) })
		w.visit("plug")
		for _, watts := range []string{"0.1", "1", "2", "3", "4", "6"} {
			w.typeIn("plug-watts", watts)
			said := w.app.PlugSays()[1]
			p, s := w.app.book.Plan, odds.NewSampler(odds.Draws, odds.Seed)
			v, _ := parse(watts)
			q := p
			q.Loads = append(q.Loads[:len(q.Loads):len(q.Loads)], load.Load{Name: plugName, Rank: load.Comfort, Outlet: load.AC, Count: 1,
				Running: units.Watts(v), Duty: 1, Basis: load.Label})
			lost := s.Runtime(p).CountOn - s.Runtime(q).CountOn
			if (said == wPlugNothing) != (lost < 5./60) || s.Runtime(p).CountOn > outage.Horizon {
				t.Errorf("%v Wh, %s W: %q, and it costs %v h", capacity, watts, said, lost)
			}
		}
	}
}
