// Package shed says what to switch off so that the supply holds until a wished
// time, with the least that is missed, and what each switch buys.
package shed

import (
	"slices"

	"candleclock/engine/odds"
	"candleclock/engine/outage"
	"candleclock/engine/plan"
	"candleclock/engine/units"
)

// Answer is what to switch off. Loads are told by their index in the plan,
// lowest first; those switched off before are not told.
type Answer struct {
	Off     []int       // useful and comfort loads to switch off
	Reaches bool        // with Off, Count on is at least the time wished; never where nothing vital that is on can run
	CountOn units.Hours // with Off, since the plan's start

	// When all that is not vital is off and it is not enough: how much energy
	// the battery would have to be given before it is empty, so that 9 of 10
	// chances last; and the vital loads without which it reaches. Which of those
	// can be spared is for people to say: they are never part of Off. Vital is
	// nil when nothing helps, a supply that is empty already.
	Lacks units.WattHours
	Vital []int

	// Exact is false when the search was broken off, at far more loads than a
	// household has: Off then reaches, and every load in it is needed there,
	// but fewer might do.
	Exact bool
}

// Until finds what to switch off so that Count on under the circumstances that
// there may be, those of odds or of gauge, is at least target
// (hours since the plan's start; beyond outage.Horizon it is taken for that).
// The plan must hold a supply.
//
// Least missed means: no vital load off; of such choices those with the fewest
// useful loads off, of those the fewest comfort loads. Among equals the plan's
// order decides, in which their owner put first what is needed most: useful
// loads before comfort, the first load that one choice leaves on and the other
// doesn't stays on. So two choices are never equal, and how far beyond the
// target they reach makes no difference.
//
// The answer is exact. Choices are tried in that order, but for those that
// outage.Floor proves too short: turning a load off never shortens a course
// except where the inverter then carries another instead, and such loads count
// nothing in the floor.
func Until(p plan.Plan, may odds.Chances, target units.Hours) Answer {
	target = min(target, outage.Horizon)
	if vital, some, _ := p.VitalAlone(); some && outage.NewRig(vital).NoneRuns() {
		return Answer{Exact: true} // how long the inverter idles helps nobody
	}
	if on := may.CountOn(p); on >= target {
		return Answer{Reaches: true, CountOn: on, Exact: true}
	}
	var rank [3][]int
	for i, l := range p.Loads {
		if !l.Off {
			rank[l.Rank.Order()] = append(rank[l.Rank.Order()], i)
		}
	}
	vital, useful, comfort := rank[0], rank[1], rank[2]
	rest := slices.Sorted(slices.Values(append(slices.Clone(useful), comfort...)))
	bare := without(p, rest)
	if on := may.CountOn(bare); on < target {
		a := Answer{Off: rest, CountOn: on, Lacks: lacks(bare, may, target)}
		a.Vital, _, a.Exact = least(bare, may, target, vital)
		return a
	}
	off, on, exact := least(p, may, target, useful, comfort)
	return Answer{Off: off, Reaches: true, CountOn: on, Exact: exact}
}

// without is the plan with loads switched off.
func without(p plan.Plan, off []int) plan.Plan {
	p.Loads = slices.Clone(p.Loads)
	for _, i := range off {
		p.Loads[i].Off = true
	}
	return p
}

// lacks is what all but the spared need beyond what they have; the box figure,
// which bounds Count on, too.
func lacks(p plan.Plan, may odds.Chances, target units.Hours) units.WattHours {
	rig := outage.NewRig(p)
	box := rig.BoxFloor(p.Outage.SOC, target)
	over := may.Tenth(func(c outage.Case) float64 {
		f := rig.Floor(c, target)
		return float64(f.Has - f.Held - f.Need)
	})
	return max(0, box.Need-box.Has, units.WattHours(-over))
}

// least finds the choice to switch off that is missed least, out of groups of
// loads of which the first is missed most. It is nil where not even all of
// them is enough.
func least(p plan.Plan, may odds.Chances, target units.Hours, groups ...[]int) (off []int, on units.Hours, exact bool) {
	all := slices.Concat(groups...)
	if may.CountOn(without(p, all)) < target {
		return nil, 0, true
	}
	q := newSearch(p, may, target, groups)
	if !q.first() {
		off, on = oneByOne(p, may, target, all)
		return off, on, false
	}
	slices.Sort(q.off)
	return q.off, q.on, true
}

// oneByOne switches off from the last on until it reaches, and then on again
// what turns out not to have been needed. All of the loads together reach.
func oneByOne(p plan.Plan, may odds.Chances, target units.Hours, loads []int) (off []int, on units.Hours) {
	countOn := func() units.Hours { return may.CountOn(without(p, off)) }
	for n := len(loads) - 1; n >= 0 && countOn() < target; n-- {
		off = append(off, loads[n])
	}
	for n := len(off) - 1; n >= 0; n-- { // what is missed most first
		i := off[n]
		off = slices.Delete(off, n, n+1)
		if countOn() < target {
			off = slices.Insert(off, n, i)
		}
	}
	on = countOn()
	slices.Sort(off)
	return off, on
}
