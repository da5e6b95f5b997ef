package odds

import (
	"time"

	"candleclock/engine/battery"
	"candleclock/engine/load"
	"candleclock/engine/plan"
	"candleclock/engine/plan/plantest"
	"candleclock/engine/units"

	"pgregory.net/rapid"
)

// certain is a plan of one steady load of which only the capacity is
// uncertain: nothing is lost, and the load's range is one figure.
func certain(capacity units.WattHours, running units.Watts) plan.Plan {
	p := plan.New("Test", plan.At(time.Date(2026, 1, 14, 12, 0, 0, 0, time.UTC)))
	p.Supply.Battery = battery.Battery{Chemistry: battery.LFP, Capacity: capacity, Room: 40,
		Cutoff: new(0.0), SelfDischarge: new(0.0), Peukert: new(1.0)}
	p.Supply.DCEfficiency = 1
	w := float64(running)
	p.Loads = []load.Load{{Name: "Router", Outlet: load.DC, Running: running, Duty: 1, PowerFactor: 1,
		Basis: load.Typical, Low: &w, High: &w}}
	return p
}

// anyPlan is a plan of which the inverter carries everything.
func anyPlan(t *rapid.T) plan.Plan {
	p := plantest.Any(t)
	i := &p.Supply.Inverter
	i.Continuous, i.ContinuousVA, i.SurgeW = 20000, nil, nil
	if rapid.Bool().Draw(t, "interval") {
		p.Outage.SOCLow = new(p.Outage.SOC * rapid.Float64Range(0, 1).Draw(t, "soc low"))
	}
	return p
}
