package odds

import (
	"cmp"
	"slices"

	"candleclock/engine/outage"
	"candleclock/engine/plan"
	"candleclock/engine/units"
)

// Cases shows the circumstances that Runtime runs the plan under, each draw's
// in turn. What a thing is given does not hang on which other things are
// switched off. The Case shown is used again for the next.
func (s *Sampler) Cases(p plan.Plan, use func(outage.Case)) { s.cases(p, use) }

// Draws is how many cases there are.
func (s *Sampler) Draws() int { return s.n }

// Chance is one set of circumstances, and how much it counts against others.
type Chance struct {
	outage.Case
	Weight float64
}

// Chances are all that there may be.
type Chances []Chance

// Chances are the circumstances that Runtime runs the plan under, all of the
// same weight, whatever is switched off.
func (s *Sampler) Chances(p plan.Plan) Chances {
	all := make(Chances, 0, s.n)
	s.cases(p, func(c outage.Case) {
		c.Draw = slices.Clone(c.Draw)
		all = append(all, Chance{c, 1})
	})
	return all
}

// Spared is the weight that may end before Count on, see the function.
func (all Chances) Spared() float64 {
	sum, squares := 0.0, 0.0
	for _, c := range all {
		sum += c.Weight
		squares += c.Weight * c.Weight
	}
	return Spared(len(all), sum, squares)
}

// Spared is the weight that may end before Count on, of n draws of which the
// weights and their squares come to so much: a tenth of all. Unequal weights tell
// no more than fewer equal ones, sum²/squares of them (Kish's effective sample
// size, from memory). Of m equal draws the first beyond a tenth lasts longer than
// what is to come in up to 1/10 + 0.9/m of all cases: what that is above the n
// draws' own is taken off, down to a fiftieth, so that one freak doesn't decide.
func Spared(n int, sum, squares float64) float64 {
	if sum <= 0 {
		return 0
	}
	few := squares/(sum*sum) - 1/float64(n)
	return max(0.02, 0.1-0.9*few) * sum
}

// CountOn is what all but the spared last, bounded by the box figure, as
// Runtime has it; 0 where there are none.
func (all Chances) CountOn(p plan.Plan) units.Hours {
	rig := outage.NewRig(p)
	end := all.Tenth(func(c outage.Case) float64 { return float64(rig.Run(c, outage.Horizon, nil).Empty) })
	return min(units.Hours(end), rig.Box(p.Outage.SOC))
}

// Likely is the time that half of the weight lasts, bounded by the box figure, as
// Runtime has it; 0 where there are none.
func (all Chances) Likely(p plan.Plan) units.Hours {
	type end struct {
		h      units.Hours
		weight float64
	}
	rig := outage.NewRig(p)
	ends, total := make([]end, 0, len(all)), 0.0
	for _, c := range all {
		ends = append(ends, end{rig.Run(c.Case, outage.Horizon, nil).Empty, c.Weight})
		total += c.Weight
	}
	slices.SortFunc(ends, func(a, b end) int { return cmp.Compare(a.h, b.h) })
	sum := 0.0
	for _, e := range ends {
		if sum += e.weight; sum >= total/2 { // of two middle ones the shorter
			return min(e.h, rig.Box(p.Outage.SOC))
		}
	}
	return 0
}

// Tenth is the lowest that a figure of the circumstances comes to in all but the
// spared: the lowest of all where none has any weight, and 0 where there are none.
func (all Chances) Tenth(of func(outage.Case) float64) float64 {
	type figure struct{ value, weight float64 }
	figures := make([]figure, 0, len(all))
	for _, c := range all {
		figures = append(figures, figure{of(c.Case), c.Weight})
	}
	slices.SortFunc(figures, func(a, b figure) int { return cmp.Compare(a.value, b.value) })
	spared, sum := all.Spared(), 0.0
	for _, f := range figures {
		if sum += f.weight; sum > spared {
			return f.value
		}
	}
	if len(figures) > 0 {
		return figures[0].value
	}
	return 0
}
