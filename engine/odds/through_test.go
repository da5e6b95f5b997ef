package odds

import (
	"testing"
	"time"

	"candleclock/engine/battery"
	"candleclock/engine/charge"
	"candleclock/engine/inverter"
	"candleclock/engine/load"
	"candleclock/engine/outage"
	"candleclock/engine/plan"
	"candleclock/engine/plan/plantest"
	"candleclock/engine/yield"
)

// fortnight is two weeks of April on a battery that the sun can carry most of
// the time: two compressors, a vital machine at night, rules for everything.
func fortnight(t testing.TB) plan.Plan {
	p := sunny(plantest.Cottage(t), 400, 44.65, time.April)
	p.Outage.Hours = 14 * 24
	p.Supply.Battery = battery.Battery{Chemistry: battery.LFP, Capacity: 2000, Room: 15, Night: new(4.0)}
	p.Supply.Inverter = inverter.Inverter{Continuous: 1500}
	p.Loads = []load.Load{
		{Name: "Machine", Rank: load.Vital, Outlet: load.DC, Running: 30, Duty: 1, PowerFactor: 1, Basis: load.Measured,
			Use: []load.Window{{From: 22 * 60, To: 7 * 60}}},
		{Name: "Fridge", Rank: load.Useful, Outlet: load.AC, Running: 110, Duty: 0.35, PowerFactor: 0.8, CyclesItself: true, Cycle: 40, Basis: load.Label},
		{Name: "Freezer", Rank: load.Useful, Outlet: load.AC, Running: 90, Duty: 0.4, PowerFactor: 0.8, CyclesItself: true, Basis: load.Typical},
		{Name: "Router", Rank: load.Useful, Outlet: load.DC, Running: 9, Duty: 1, PowerFactor: 1, Basis: load.Measured},
		{Name: "Screen", Rank: load.Comfort, Outlet: load.AC, Running: 80, Duty: 1, PowerFactor: 1, Basis: load.Typical,
			Use: []load.Window{{From: 19 * 60, To: 22 * 60}}},
		{Name: "Lamps", Rank: load.Comfort, Outlet: load.USB, Running: 12, Duty: 1, PowerFactor: 1, Basis: load.Typical,
			Use: []load.Window{{From: 18 * 60, To: 23 * 60}}},
	}
	p.Outage.ComfortBelow, p.Outage.UsefulBelow = new(0.4), new(0.2)
	p.Supply.Inputs = append(p.Supply.Inputs, charge.Input{Kind: charge.Car, Volts: 12, Amps: 8, Fuse: 10})
	p.Outage.Refills = []plan.Refill{{Kind: charge.Car, Below: new(0.15), From: new(load.Minute(8 * 60)), To: new(load.Minute(20 * 60))}}
	return p
}

func benchmarkThrough(b *testing.B, p plan.Plan, draws int) {
	s := NewSampler(draws, Seed)
	s.Through(p, nil)
	b.ReportAllocs()
	for b.Loop() {
		s.Through(p, nil)
	}
}

// A thousand outages of a fortnight.
func BenchmarkThrough14Days(b *testing.B) { benchmarkThrough(b, fortnight(b), 1000) }

// The courses alone, weather made up before.
func BenchmarkThroughNoWeather(b *testing.B) {
	p := fortnight(b)
	s, rig := NewSampler(1, Seed), outage.NewRig(p)
	s.Each(p, yield.Of(p), func(_ int, c outage.Case) bool {
		for b.Loop() {
			for range 1000 {
				rig.Through(c, p.Outage.Hours, nil)
			}
		}
		return true
	})
}

// The same without cycles.
func BenchmarkThroughAveraged(b *testing.B) {
	p := fortnight(b)
	s, rig := NewSampler(1, Seed), outage.NewRig(p)
	s.Each(p, yield.Of(p), func(_ int, c outage.Case) bool {
		c.Phase = nil
		for b.Loop() {
			for range 1000 {
				rig.Through(c, p.Outage.Hours, nil)
			}
		}
		return true
	})
}
