package plantest

import (
	"fmt"
	"time"

	"candleclock/engine/battery"
	"candleclock/engine/inverter"
	"candleclock/engine/load"
	"candleclock/engine/plan"
	"candleclock/engine/units"

	"pgregory.net/rapid"
)

// Any draws a plan within the bounds of a plan file: a battery and an inverter
// of which all, some or little is known, and up to 6 loads, none switched off.
// The draws are such that most supplies end within days. The power may have gone
// and come before. It has neither place, panels nor inputs.
func Any(t *rapid.T) plan.Plan {
	starts := time.Date(2026, 1, 14, rapid.IntRange(0, 23).Draw(t, "hour"), rapid.IntRange(0, 59).Draw(t, "minute"), 0, 0, time.UTC)
	p := plan.New("Test", plan.At(starts))
	p.Supply.Battery = anyBattery(t)
	p.Supply.Inverter = anyInverter(t)
	p.Supply.DCEfficiency = rapid.Float64Range(0.3, 1).Draw(t, "dc efficiency")
	for i := range rapid.IntRange(0, 6).Draw(t, "loads") {
		p.Loads = append(p.Loads, anyLoad(t, fmt.Sprintf("Load %d", i)))
	}
	p.Outage.SOC = rapid.Float64Range(0, 1).Draw(t, "soc")
	for i := range rapid.IntRange(0, 3).Draw(t, "power") {
		e := plan.Power{At: p.Outage.Starts.After(units.Hours(i - 3)), Back: rapid.Bool().Draw(t, "back"), SOC: maybe(t, 0, 1, "charge then")}
		if e.SOC != nil {
			e.SOCLow = new(*e.SOC * rapid.Float64Range(0, 1).Draw(t, "at least"))
		}
		p.Outage.Log = p.Outage.Log.Came(e)
	}
	return p
}

// maybe draws a figure that may be unknown.
func maybe(t *rapid.T, low, high float64, what string) *float64 {
	if !rapid.Bool().Draw(t, what+" known") {
		return nil
	}
	return new(rapid.Float64Range(low, high).Draw(t, what))
}

func anyBattery(t *rapid.T) battery.Battery {
	return battery.Battery{
		Chemistry:     rapid.SampledFrom(battery.Chemistries).Draw(t, "chemistry"),
		Capacity:      units.WattHours(rapid.Float64Range(1, 6000).Draw(t, "capacity")),
		AgeYears:      rapid.Float64Range(0, 12).Draw(t, "age"),
		Cycles:        rapid.Float64Range(0, 2000).Draw(t, "cycles"),
		Room:          units.Celsius(rapid.Float64Range(-30, 40).Draw(t, "room")),
		StandsAt:      maybe(t, 0, 1, "stands at"),
		Lowest:        maybe(t, -40, 0, "lowest"),
		Cutoff:        maybe(t, 0, 0.9, "cutoff"),
		Health:        maybe(t, 0.1, 1, "health"),
		SelfDischarge: maybe(t, 0, 1, "self-discharge"),
		Peukert:       maybe(t, 1, 2, "peukert"),
		RatedHours:    maybe(t, 1, 100, "rated hours"),
	}
}

func anyInverter(t *rapid.T) inverter.Inverter {
	return inverter.Inverter{
		Continuous:     units.Watts(rapid.Float64Range(50, 5000).Draw(t, "continuous")),
		ContinuousVA:   maybe(t, 50, 5000, "va"),
		SurgeW:         maybe(t, 50, 10000, "surge"),
		IdleW:          maybe(t, 0, 60, "idle"),
		Efficiency:     maybe(t, 0.5, 1, "efficiency"),
		EfficiencyAtW:  maybe(t, 10, 3000, "efficiency at"),
		Efficiency2:    maybe(t, 0.5, 1, "efficiency 2"),
		Efficiency2AtW: maybe(t, 10, 3000, "efficiency 2 at"),
		OffWhenUnused:  rapid.Bool().Draw(t, "off when unused"),
	}
}

func anyLoad(t *rapid.T, name string) load.Load {
	l := load.Load{
		Name:        name,
		Rank:        load.Rank(rapid.SampledFrom(load.Ranks).Draw(t, "rank")),
		Outlet:      load.Outlet(rapid.SampledFrom(load.Outlets).Draw(t, "outlet")),
		Count:       rapid.IntRange(1, 3).Draw(t, "count"),
		Duty:        rapid.Float64Range(0.01, 1).Draw(t, "duty"),
		PowerFactor: rapid.OneOf(rapid.SampledFrom([]float64{0, 1}), rapid.Float64Range(0.3, 1)).Draw(t, "power factor"),
		Basis:       load.Basis(rapid.SampledFrom(load.Bases).Draw(t, "basis")),
		MeasuredDay: rapid.Bool().Draw(t, "measured for a day"),
	}
	if rapid.IntRange(0, 4).Draw(t, "charged") == 4 {
		l.Daily = units.WattHours(rapid.Float64Range(1, 500).Draw(t, "daily"))
	} else {
		l.Running = units.Watts(rapid.Float64Range(0, 600).Draw(t, "running"))
		l.CyclesItself = rapid.Bool().Draw(t, "cycles itself")
	}
	for range rapid.IntRange(0, 2).Draw(t, "windows") {
		l.Use = append(l.Use, load.Window{
			From: load.Minute(rapid.IntRange(0, 1439).Draw(t, "from")),
			To:   load.Minute(rapid.IntRange(0, 1439).Draw(t, "to")),
		})
	}
	return l
}
