package odds

import (
	"slices"

	"candleclock/engine/outage"
	"candleclock/engine/plan"
	"candleclock/engine/units"
)

// Runtime is how long a supply carries what is on, without any input. Each is
// +Inf when beyond outage.Horizon. CountOn ≤ Likely ≤ Box always, and CountOn ≤
// Likely ≤ AtBest.
type Runtime struct {
	Box     units.Hours   // capacity ÷ watts, what people expect from the label
	Likely  units.Hours   // the median
	CountOn units.Hours   // 9 of 10 draws last at least as long
	AtBest  units.Hours   // 1 of 10 draws lasts at least as long
	Ends    []units.Hours // of every draw, shortest first
}

// Runtime runs the plan's outage once for each draw. The plan must hold a
// supply.
func (s *Sampler) Runtime(p plan.Plan) Runtime {
	rig := outage.NewRig(p)
	ends := make([]units.Hours, 0, s.n)
	s.cases(p, func(c outage.Case) {
		ends = append(ends, rig.Run(c, outage.Horizon, nil).Empty)
	})
	slices.Sort(ends)
	r := Runtime{Box: rig.Box(p.Outage.SOC), Ends: ends}
	// A label's watts are an upper bound, so many a draw may outlast the box
	// figure; what people are told to expect never does.
	r.Likely = min(ends[(s.n-1)/2], r.Box) // of an even number, the shorter middle one
	r.CountOn = min(ends[int(0.1*float64(s.n))], r.Box)
	r.AtBest = max(min(ends[int(0.9*float64(s.n))], r.Box), r.Likely)
	return r
}

// Lasts is the share of draws that last at least h.
func (r Runtime) Lasts(h units.Hours) float64 {
	i, _ := slices.BinarySearch(r.Ends, h)
	return float64(len(r.Ends)-i) / float64(len(r.Ends))
}
