package sizing

import (
	"slices"

	"candleclock/engine/inverter"
	"candleclock/engine/load"
	"candleclock/engine/odds"
	"candleclock/engine/plan"
	"candleclock/engine/start"
	"candleclock/engine/units"
)

// counted is the inverter that a front counts on.
type counted struct {
	told   inverter.Inverter // the plan's own; with no continuous power where a usual one is counted on
	own    units.WattHours   // the plan's own battery
	needs  bool              // anything hangs on it
	enough units.Watts       // with so much for long, all is carried and started in every draw
	atOnce units.Watts       // the most that runs at once, W or VA
}

// inverterFor is the inverter that a plan counts on, and what the plan's own
// can't carry or start, or trips by in more draws than the wish spares.
func inverterFor(p plan.Plan, w Wish, s *odds.Sampler) (c counted, beyond []int) {
	c = counted{told: p.Supply.Inverter, own: p.Supply.Battery.Capacity,
		needs: slices.ContainsFunc(p.Loads, func(l load.Load) bool { return !l.Off && l.Outlet == load.AC })}
	needs := asked(p, s)
	if needs == 0 {
		return c, nil
	}
	c.enough = units.Watts(steps[stepUp(float64(needs))])
	if p.Supply.Inverter.Continuous == 0 {
		p.Supply.Inverter.Continuous = c.enough
	}
	for _, r := range start.Order(p.Loads, p.Supply.Inverter.Limits()).Never {
		beyond = append(beyond, r.Load)
	}
	beyond = append(beyond, unmet(p)...)
	if len(beyond) == 0 {
		beyond = tripping(p, w, s)
	}
	beyond = slices.Compact(slices.Sorted(slices.Values(beyond)))
	if len(beyond) > 0 { // one that is enough, of which nothing is known
		c.told = inverter.Inverter{OffWhenUnused: c.told.OffWhenUnused}
	}
	c.atOnce = atOnce(p.Loads, c.told.ContinuousVA == nil)
	return c, beyond
}

// tripping lists the loads beside which, and beside all that is needed more, the
// inverter trips in more draws than the wish spares.
func tripping(p plan.Plan, w Wish, s *odds.Sampler) (loads []int) {
	spared := float64(w.spared(s.Draws())) / float64(s.Draws())
	if s.Trips(p) <= spared {
		return nil
	}
	q := only(p, func(l load.Load) bool { return l.Outlet != load.AC })
	for _, i := range byNeed(p.Loads) {
		if !q.Loads[i].Off {
			continue
		}
		if q.Loads[i].Off = false; s.Trips(q) > spared {
			q.Loads[i].Off = true
			loads = append(loads, i)
		}
	}
	return loads
}

// atOnce is the most that the AC loads' schedules ask for at one time, W, or VA
// where that is more and counts.
func atOnce(loads []load.Load, countVA bool) (most units.Watts) {
	edges := []load.Minute{0}
	for _, l := range loads {
		for _, w := range l.Use {
			edges = append(edges, w.From)
		}
	}
	for _, at := range edges {
		var watts, va units.Watts
		for _, l := range loads {
			if !l.Off && l.Outlet == load.AC && l.OnAt(at) {
				watts, va = watts+l.Peak(), va+units.Watts(l.Apparent())
			}
		}
		most = max(most, watts)
		if countVA {
			most = max(most, va)
		}
	}
	return most
}

// carries is what it gives for long; 0 when nothing hangs on it.
func (c counted) carries() units.Watts {
	switch {
	case c.enough == 0:
		return 0
	case c.told.Continuous == 0:
		c.told.Continuous = c.enough
	}
	return c.told.Limits().Continuous
}

// grows reports whether it is another one at each size of battery.
func (c counted) grows() bool { return c.needs && c.told.Continuous == 0 }

// chosen is from what size on, beyond the household's own, a battery is counted
// without a larger inverter: one that is yet to be had can be had with what the
// loads need (our own limit). Front.Idle says what it may draw at most.
const chosen units.WattHours = 2000

// beside is the one with a battery of a size: the usual one, as every other page
// has it, or where that would not carry what runs at once, that of the least
// battery whose usual one does. Starts ask for more than it carries for long; it
// is let give that, and loses no less for it.
func (c counted) beside(size units.WattHours) inverter.Inverter {
	if !c.grows() {
		return c.told
	}
	s := plan.Supply{Inverter: c.told}
	size = min(size, max(chosen, c.own))
	s.Battery.Capacity = max(size, units.WattHours(2*c.atOnce)) // half a watt for each watt-hour
	v := s.UsualInverter()
	v.Continuous = max(v.Continuous, c.atOnce) // there is no usual one beyond 5000 W
	if c.told.IdleW == nil {
		v.IdleW = new(max(*v.IdleW, float64(inverter.Inverter{Continuous: v.Continuous}.Idle())))
	}
	if c.told.EfficiencyAtW == nil {
		v.EfficiencyAtW = new(max(*v.EfficiencyAtW, float64(v.Continuous)/2))
	}
	v.Continuous = max(v.Continuous, c.enough)
	return v
}

// best is one at all sizes that draws less than any of them, where it grows with
// the battery: it loses nothing and idles as that of the smallest does.
func (c counted) best() func(units.WattHours) inverter.Inverter {
	v := c.beside(units.WattHours(steps[0]))
	if c.grows() {
		v.Continuous = max(v.Continuous, c.beside(units.WattHours(steps[len(steps)-1])).Continuous)
		v.IdleW, v.Efficiency, v.Efficiency2 = new(float64(v.Idle())), new(1.0), nil
	}
	return func(units.WattHours) inverter.Inverter { return v }
}
