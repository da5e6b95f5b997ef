package sizing

import (
	"math"
	"slices"

	"candleclock/engine/inverter"
	"candleclock/engine/odds"
	"candleclock/engine/outage"
	"candleclock/engine/plan"
	"candleclock/engine/units"
	"candleclock/engine/yield"
)

// trial puts one draw after another to a size of battery and panels.
type trial struct {
	plan  plan.Plan
	cases []outage.Case // of each draw, with the sun of y
	one   *yield.Yield  // nil: no sun
	per   units.Watts   // rated panels that the cases' sun is of

	beside func(units.WattHours) inverter.Inverter // with a battery of a size

	rig  *outage.Rig // of the plan with the battery tried last
	box  bool        // its box figure reaches
	trip []bool      // by draw: the plan's own inverter, which is the same at all sizes
	sun  []units.Watts
	runs int

	progress
}

func newTrial(p plan.Plan, inv counted, y *yield.Yield, s *odds.Sampler) *trial {
	t := &trial{plan: p, one: y}
	if y != nil {
		t.per = y.Best.Array
	}
	s.Each(p, y, func(_ int, c outage.Case) bool {
		c.Draw, c.Sun, c.Phase = slices.Clone(c.Draw), slices.Clone(c.Sun), nil
		t.cases = append(t.cases, c)
		return true
	})
	t.use(inv.beside)
	// One that grows carries and starts all in every draw: see asked.
	t.trip = make([]bool, len(t.cases))
	for i, c := range t.cases {
		t.trip[i] = !inv.grows() && t.rig.Trips(c, p.Outage.Hours) < p.Outage.Hours
	}
	return t
}

// use takes the inverters beside the sizes of battery.
func (t *trial) use(beside func(units.WattHours) inverter.Inverter) {
	t.beside = beside
	t.with(t.plan.Supply.Battery.Capacity)
}

// with takes a battery of a size.
func (t *trial) with(size units.WattHours) {
	t.plan.Supply.Battery.Capacity, t.plan.Supply.Inverter = size, t.beside(size)
	t.rig = outage.NewRig(t.plan)
	t.box = t.rig.Box(t.plan.Outage.SOC) >= t.plan.Outage.Hours
}

// holds reports whether a draw gets through with a battery and panels. Once the
// work is stopped it is false.
func (t *trial) holds(draw int, size units.WattHours, panels units.Watts) bool {
	if t.runs++; t.runs%64 == 0 {
		t.ask()
	}
	if t.stopped || t.trip[draw] {
		return false
	}
	if t.plan.Supply.Battery.Capacity != size {
		t.with(size)
	}
	c := t.cases[draw]
	if panels == 0 {
		c.Sun = nil
	} else {
		t.sun = t.sun[:0]
		for _, w := range c.Sun {
			t.sun = append(t.sun, w*panels/t.per)
		}
		c.Sun = t.sun
	}
	o := follow(t.rig, t.plan, c, t.plan.Outage.Hours)
	return math.IsInf(float64(o.Empty), 1) && (t.box || o.Balance.Sun+o.Balance.Fed > 0)
}
