package sizing

import (
	"slices"

	"candleclock/engine/load"
	"candleclock/engine/outage"
	"candleclock/engine/plan"
	"candleclock/engine/units"
)

// Wish is what a household wants of a supply: to carry some of its loads
// through an outage, with some sureness.
type Wish struct {
	Hours      units.Hours // plan.HoursRange
	Confidence float64     // share of the draws that get through, plan.ConfidenceRange

	// Rank is the least needed rank that is carried: load.Vital is the vital
	// loads alone, load.Comfort all. What is needed less stays off throughout.
	Rank load.Rank
}

// WishOf is the plan's own wish for loads down to a rank.
func WishOf(p plan.Plan, rank load.Rank) Wish {
	return Wish{Hours: p.Outage.Hours, Confidence: p.Outage.Confidence, Rank: rank}
}

// spared is how many of n draws may fail, as odds counts them.
func (w Wish) spared(n int) int { return int((1 - w.Confidence) * float64(n)) }

// of is the plan as the wish has it: nothing on but what is carried, and
// nothing of that ever given up. An outage under way is prepared for as if it
// came again, at the same time and with a full battery.
func (w Wish) of(p plan.Plan) plan.Plan {
	p.Outage.Hours, p.Outage.Confidence = w.Hours, w.Confidence
	p.Outage.ComfortBelow, p.Outage.UsefulBelow = nil, nil
	if p.Outage.UnderWay {
		p.Outage.UnderWay, p.Outage.SOC, p.Outage.SOCLow = false, 1, nil
	}
	return only(p, func(l load.Load) bool { return l.Rank.Order() <= w.Rank.Order() })
}

// only is the plan with no loads on but those that keep takes.
func only(p plan.Plan, keep func(l load.Load) bool) plan.Plan {
	p.Loads = slices.Clone(p.Loads)
	for i := range p.Loads {
		p.Loads[i].Off = p.Loads[i].Off || !keep(p.Loads[i])
	}
	return p
}

// follow is the course of a case until its supply is first empty, with what the
// plan's rules charge.
func follow(rig *outage.Rig, p plan.Plan, c outage.Case, until units.Hours) outage.Outcome {
	if ruled(p) {
		c.Phase = nil // at the average, as Run takes it
		return rig.Through(c, until, nil).Outcome
	}
	return rig.Run(c, until, nil)
}

// ruled reports whether a course is more than Run follows, cold nights and all.
func ruled(p plan.Plan) bool { return len(p.Outage.Refills) > 0 }
