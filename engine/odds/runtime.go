package odds

import (
	"math"
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

// Point is one point of a survival curve.
type Point struct {
	H      units.Hours
	PVital float64 // the vital loads were never out until H
	PAll   float64 // nothing was
}

// Survival is the chance to have had power without a break until each hour, at
// whole hours from 0 until all draws have ended, a day beyond the hours asked
// for, or Horizon; in steps that keep the list below 100 points.
func Survival(p plan.Plan, r Runtime) []Point {
	last := float64(r.Ends[len(r.Ends)-1])
	if math.IsInf(last, 1) || last > float64(p.Outage.Hours)+24 {
		last = max(float64(p.Outage.Hours)+24, float64(r.CountOn))
	}
	last = max(1, min(last, float64(outage.Horizon))) // an hour even of a supply that is empty now
	step := math.Ceil(last / 96)
	first := outage.NewRig(p).FirstUnmet()
	var out []Point
	for h := 0.0; ; h += step {
		pt := Point{H: units.Hours(h), PVital: r.Lasts(units.Hours(h))}
		pt.PAll = pt.PVital
		if first.Vital < pt.H {
			pt.PVital = 0
		}
		if first.Any < pt.H {
			pt.PAll = 0
		}
		out = append(out, pt)
		if h >= last {
			return out
		}
	}
}

// Hold is the chance that the vital loads are never out for the plan's hours.
func Hold(p plan.Plan, r Runtime) float64 {
	if outage.NewRig(p).FirstUnmet().Vital < p.Outage.Hours {
		return 0
	}
	return r.Lasts(p.Outage.Hours)
}
