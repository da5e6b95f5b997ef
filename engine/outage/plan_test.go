package outage

import (
	"fmt"
	"testing"
	"time"

	"candleclock/engine/battery"
	"candleclock/engine/inverter"
	"candleclock/engine/load"
	"candleclock/engine/plan"
	"candleclock/engine/units"

	"pgregory.net/rapid"
)

func num(v float64) *float64 { return &v }

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
			Cutoff: num(0), SelfDischarge: num(0), Peukert: num(1)},
		Inverter:     inverter.Inverter{Continuous: 100000, IdleW: num(0), Efficiency: num(1)},
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

// anyPlan is a plan within the bounds of a plan file. The draws are such that
// most supplies end within days.
func anyPlan(t *rapid.T) plan.Plan {
	starts := time.Date(2026, 1, 14, rapid.IntRange(0, 23).Draw(t, "hour"), rapid.IntRange(0, 59).Draw(t, "minute"), 0, 0, time.UTC)
	p := plan.New("Test", plan.At(starts))
	maybe := func(low, high float64, what string) *float64 {
		if !rapid.Bool().Draw(t, what+" known") {
			return nil
		}
		return num(rapid.Float64Range(low, high).Draw(t, what))
	}
	p.Supply.Battery = battery.Battery{
		Chemistry:     rapid.SampledFrom(battery.Chemistries).Draw(t, "chemistry"),
		Capacity:      units.WattHours(rapid.Float64Range(1, 6000).Draw(t, "capacity")),
		AgeYears:      rapid.Float64Range(0, 12).Draw(t, "age"),
		Cycles:        rapid.Float64Range(0, 2000).Draw(t, "cycles"),
		Room:          units.Celsius(rapid.Float64Range(-30, 40).Draw(t, "room")),
		Cutoff:        maybe(0, 0.9, "cutoff"),
		Health:        maybe(0.1, 1, "health"),
		SelfDischarge: maybe(0, 1, "self-discharge"),
		Peukert:       maybe(1, 2, "peukert"),
		RatedHours:    maybe(1, 100, "rated hours"),
	}
	if rapid.Bool().Draw(t, "inverter known") {
		p.Supply.Inverter = inverter.Inverter{
			Continuous:     units.Watts(rapid.Float64Range(50, 5000).Draw(t, "continuous")),
			ContinuousVA:   maybe(50, 5000, "va"),
			SurgeW:         maybe(50, 10000, "surge"),
			IdleW:          maybe(0, 60, "idle"),
			Efficiency:     maybe(0.5, 1, "efficiency"),
			EfficiencyAtW:  maybe(10, 3000, "efficiency at"),
			Efficiency2:    maybe(0.5, 1, "efficiency 2"),
			Efficiency2AtW: maybe(10, 3000, "efficiency 2 at"),
			OffWhenUnused:  rapid.Bool().Draw(t, "off when unused"),
		}
	}
	p.Supply.DCEfficiency = rapid.Float64Range(0.3, 1).Draw(t, "dc efficiency")
	for i := range rapid.IntRange(0, 6).Draw(t, "loads") {
		l := load.Load{
			Name:        fmt.Sprintf("Load %d", i),
			Rank:        load.Rank(rapid.SampledFrom(load.Ranks).Draw(t, "rank")),
			Outlet:      load.Outlet(rapid.SampledFrom(load.Outlets).Draw(t, "outlet")),
			Count:       rapid.IntRange(1, 3).Draw(t, "count"),
			Duty:        rapid.Float64Range(0.01, 1).Draw(t, "duty"),
			PowerFactor: rapid.Float64Range(0.3, 1).Draw(t, "power factor"),
			Basis:       load.Basis(rapid.SampledFrom(load.Bases).Draw(t, "basis")),
			Off:         rapid.IntRange(0, 5).Draw(t, "off") == 5,
		}
		if rapid.IntRange(0, 4).Draw(t, "charged") == 4 {
			l.Daily = units.WattHours(rapid.Float64Range(1, 500).Draw(t, "daily"))
		} else {
			l.Running = units.Watts(rapid.Float64Range(0, 600).Draw(t, "running"))
		}
		for range rapid.IntRange(0, 2).Draw(t, "windows") {
			l.Use = append(l.Use, load.Window{
				From: load.Minute(rapid.IntRange(0, 1439).Draw(t, "from")),
				To:   load.Minute(rapid.IntRange(0, 1439).Draw(t, "to")),
			})
		}
		p.Loads = append(p.Loads, l)
	}
	p.Outage.SOC = rapid.Float64Range(0, 1).Draw(t, "soc")
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
