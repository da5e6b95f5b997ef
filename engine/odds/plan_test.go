package odds

import (
	"fmt"
	"os"
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

// cottage is an invented household with a bit of everything.
func cottage(t testing.TB) plan.Plan {
	t.Helper()
	file, err := os.ReadFile("../plan/testdata/harbour_cottage.json")
	if err != nil {
		t.Fatal(err)
	}
	p, err := plan.Decode(file)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// certain is a plan of one steady load of which only the capacity is
// uncertain: nothing is lost, and the load's range is one figure.
func certain(capacity units.WattHours, running units.Watts) plan.Plan {
	p := plan.New("Test", plan.At(time.Date(2026, 1, 14, 12, 0, 0, 0, time.UTC)))
	p.Supply.Battery = battery.Battery{Chemistry: battery.LFP, Capacity: capacity, Room: 40,
		Cutoff: num(0), SelfDischarge: num(0), Peukert: num(1)}
	p.Supply.DCEfficiency = 1
	w := float64(running)
	p.Loads = []load.Load{{Name: "Router", Outlet: load.DC, Running: running, Duty: 1, PowerFactor: 1,
		Basis: load.Typical, Low: &w, High: &w}}
	return p
}

// anyPlan is a plan of which the inverter carries everything.
func anyPlan(t *rapid.T) plan.Plan {
	starts := time.Date(2026, 1, 14, rapid.IntRange(0, 23).Draw(t, "hour"), 0, 0, 0, time.UTC)
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
	p.Supply.Inverter = inverter.Inverter{
		Continuous:     20000,
		IdleW:          maybe(0, 60, "idle"),
		Efficiency:     maybe(0.5, 1, "efficiency"),
		EfficiencyAtW:  maybe(10, 3000, "efficiency at"),
		Efficiency2:    maybe(0.5, 1, "efficiency 2"),
		Efficiency2AtW: maybe(10, 3000, "efficiency 2 at"),
		OffWhenUnused:  rapid.Bool().Draw(t, "off when unused"),
	}
	p.Supply.DCEfficiency = rapid.Float64Range(0.3, 1).Draw(t, "dc efficiency")
	for i := range rapid.IntRange(0, 5).Draw(t, "loads") {
		l := load.Load{
			Name:        fmt.Sprintf("Load %d", i),
			Rank:        load.Rank(rapid.SampledFrom(load.Ranks).Draw(t, "rank")),
			Outlet:      load.Outlet(rapid.SampledFrom(load.Outlets).Draw(t, "outlet")),
			Count:       rapid.IntRange(1, 3).Draw(t, "count"),
			Duty:        rapid.Float64Range(0.01, 1).Draw(t, "duty"),
			PowerFactor: rapid.Float64Range(0.3, 1).Draw(t, "power factor"),
			Basis:       load.Basis(rapid.SampledFrom(load.Bases).Draw(t, "basis")),
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
	if rapid.Bool().Draw(t, "interval") {
		p.Outage.SOCLow = num(p.Outage.SOC * rapid.Float64Range(0, 1).Draw(t, "soc low"))
	}
	return p
}
