package outage

import (
	"testing"

	"candleclock/engine/battery"
	"candleclock/engine/inverter"
	"candleclock/engine/load"
	"candleclock/engine/plan"
	"candleclock/engine/plan/plantest"
	"candleclock/engine/units"

	"pgregory.net/rapid"
)

// clock is the moment of a winter day at "HH:MM".
func clock(t testing.TB, hhmm string) plan.Moment {
	t.Helper()
	m, ok := plan.ParseMoment("2026-01-14T" + hhmm)
	if !ok {
		t.Fatalf("%q is no clock time", hhmm)
	}
	return m
}

// window is the daily use from one clock time to another.
func window(t testing.TB, from, to string) []load.Window {
	t.Helper()
	f, ok1 := load.ParseMinute(from)
	u, ok2 := load.ParseMinute(to)
	if !ok1 || !ok2 {
		t.Fatalf("%q, %q: no clock times", from, to)
	}
	return []load.Window{{From: f, To: u}}
}

// lossless is a supply of the capacity given that loses nothing at all.
func lossless(capacity units.WattHours) plan.Supply {
	return plan.Supply{
		Battery: battery.Battery{Chemistry: battery.LFP, Capacity: capacity, Room: 25,
			Cutoff: new(0.0), SelfDischarge: new(0.0), Peukert: new(1.0)},
		Inverter:     inverter.Inverter{Continuous: 100000, IdleW: new(0.0), Efficiency: new(1.0)},
		DCEfficiency: 1,
	}
}

// household is a plan from noon with the supply and loads given.
func household(t testing.TB, s plan.Supply, loads ...load.Load) plan.Plan {
	p := plan.New("Test", clock(t, "12:00"))
	p.Supply = s
	p.Loads = loads
	return p
}

// anyPlan is a plan of which the inverter may be unknown and loads may be off.
func anyPlan(t *rapid.T) plan.Plan {
	p := plantest.Any(t)
	if !rapid.Bool().Draw(t, "inverter known") {
		p.Supply.Inverter = inverter.Inverter{}
	}
	for i := range p.Loads {
		p.Loads[i].Off = rapid.IntRange(0, 5).Draw(t, "off") == 5
	}
	return p
}

// anyCase is one set of circumstances of a plan.
func anyCase(t *rapid.T, p plan.Plan) Case {
	factor := func(low, high float64, what string) float64 { return rapid.Float64Range(low, high).Draw(t, what) }
	c := Case{
		Capacity: factor(0.8, 1, "capacity factor"),
		Ageing:   factor(0.5, 1.6, "ageing factor"),
		Idle:     factor(0.6, 1.8, "idle factor"),
		Loss:     factor(0.85, 1.35, "loss factor"),
		Warmer:   units.Celsius(factor(-4, 2, "warmer")),
		SOC:      p.Outage.SOC,
	}
	for range p.Loads {
		c.Draw = append(c.Draw, factor(0.4, 1.75, "draw factor"))
	}
	return c
}
