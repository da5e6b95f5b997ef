package shed

import (
	"math"
	"testing"

	"candleclock/engine/battery"
	"candleclock/engine/inverter"
	"candleclock/engine/load"
	"candleclock/engine/odds"
	"candleclock/engine/outage"
	"candleclock/engine/plan"
	"candleclock/engine/plan/plantest"
	"candleclock/engine/units"
)

// certainly is the one case in which all is as the plan says.
func certainly(soc float64) odds.Chances {
	return odds.Chances{{Case: outage.AsPlanned(soc), Weight: 1}}
}

// What something takes on paper: of 1,000 Wh, from which 100 W are drawn without
// a loss for 10 hours, so many watt-hours are so many hours less. Neither a limit
// that it passes nor one that nobody told changes that.
func TestPlugOnPaper(t *testing.T) {
	thing := func(watts units.Watts) load.Load {
		return load.Load{Name: "Thing", Rank: load.Comfort, Outlet: load.AC, Count: 1, Running: watts, Duty: 1, PowerFactor: 1, Basis: load.Measured, Low: new(float64(watts)), High: new(float64(watts))}
	}
	for _, c := range []struct {
		name    string
		limit   units.Watts
		watts   units.Watts
		minutes float64
		lost    units.Hours
		empties bool
	}{
		{"a fan for good", 2000, 25, 0, 2, false}, // 1,000 ÷ 125 = 8 h
		{"a kettle for 20 minutes", 2000, 1500, 20, 5, false},
		{"a kettle beyond the limit", 600, 1500, 20, 5, false},
		{"a kettle on an inverter that nobody knows", 0, 1500, 20, 5, false},
		{"a kettle for an hour", 600, 1500, 60, 10 - 1000./1600, true},
		{"a kettle for good", 0, 1500, 0, 10 - 1000./1600, false},
		{"a charger for an hour", 0, 10, 60, 0.1, false},
		{"nothing", 600, 0, 60, 0, false},
	} {
		p := plan.New("Test", plantest.Cottage(t).Outage.Starts)
		p.Supply.Battery = battery.Battery{Chemistry: battery.LFP, Capacity: 1000, Room: 20, Health: new(1.0), Cutoff: new(0.0), SelfDischarge: new(0.0), Peukert: new(1.0)}
		p.Supply.Inverter = inverter.Inverter{Continuous: c.limit, IdleW: new(0.0), Efficiency: new(1.0)}
		p.Loads = []load.Load{thing(100)}
		got := Plug(p, thing(c.watts), units.Hours(c.minutes/60), certainly(1))
		const tolerance = 0.02 // of the draw's own loss in the cells
		if math.Abs(float64(got.Before)-10) > tolerance*10 || math.Abs(float64(got.Lost()-c.lost)) > max(tolerance*10, 1e-6) || got.Empties != c.empties {
			t.Errorf("%s: %+v, %v h lost; want %v", c.name, got, got.Lost(), c.lost)
		}
		if c.minutes == 0 && c.watts == 25 { // charged once, the same 50 Wh are half an hour
			l := thing(0)
			l.Daily, l.Low, l.High = 50, nil, nil
			if got := Plug(p, l, 0, certainly(1)); math.Abs(float64(got.Lost())-0.5) > 0.05 {
				t.Errorf("a charge of 50 Wh: %+v", got)
			}
		}
		if empty := Plug(p, thing(c.watts), units.Hours(c.minutes/60), certainly(0)); !empty.Empties || empty.Before != 0 {
			t.Errorf("%s on an empty battery: %+v", c.name, empty)
		}
	}
}

// More costs no less: neither more watts nor more minutes, across the limit too,
// in any circumstances.
func TestPlugCostsMoreForMore(t *testing.T) {
	p := plantest.Cottage(t)
	s := odds.NewSampler(31, odds.Seed)
	for _, limit := range []units.Watts{0, 300, 600, 3000} {
		p.Supply.Inverter = inverter.Inverter{Continuous: limit}
		may := s.Chances(p)
		for _, minutes := range []float64{5, 30, 120, 0} {
			last := units.Hours(-1)
			for _, watts := range []units.Watts{0, 5, 50, 200, 280, 320, 500, 900, 2000} {
				l := load.Load{Name: "Thing", Rank: load.Comfort, Outlet: load.AC, Count: 1, Running: watts, Duty: 1, PowerFactor: 1, Basis: load.Label}
				c := Plug(p, l, units.Hours(minutes/60), may)
				if c.Lost() < last-1e-9 {
					t.Errorf("on %v W, %v W for %v minutes: %v h lost, with less %v", limit, watts, minutes, c.Lost(), last)
				}
				last = c.Lost()
			}
		}
	}
}
