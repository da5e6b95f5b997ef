package odds

import (
	"math"
	"slices"

	"candleclock/engine/outage"
	"candleclock/engine/plan"
	"candleclock/engine/units"
	"candleclock/engine/yield"
)

// WithSun is how long a supply carries what is on while the panels feed it.
// Weather and the other circumstances are drawn together.
type WithSun struct {
	Window  units.Hours // how far the courses were followed
	Likely  units.Hours // +Inf: not empty within the window
	CountOn units.Hours // the same for 9 of 10 courses
}

// NeverEmpty reports whether 9 of 10 courses never ran empty in the window.
func (w WithSun) NeverEmpty() bool { return math.IsInf(float64(w.CountOn), 1) }

// SunWindow is how long the sun is followed at least: two weeks hold a run of
// grey days (common practice in sizing asks for three to ten).
const SunWindow units.Hours = 14 * 24

// hoursOf is how many hours of whole days hold a window, wherever in a day it
// begins.
func hoursOf(window units.Hours) int { return 24 * (int(math.Ceil(float64(window)/24)) + 1) }

// sky makes up the weather of a draw: what the panels give in the hours given.
func (s *Sampler) sky(y *yield.Yield, p plan.Plan, draw int, hours []units.Watts) []units.Watts {
	return y.SeriesInto(hours, s.seed+uint64(draw)<<32, p.Outage.Starts)
}

// WithSun runs the plan's outage once for each draw, each in weather of its
// own, for two weeks or the plan's hours, whichever is longer. The plan must
// hold a supply; y is its yield.
func (s *Sampler) WithSun(p plan.Plan, y *yield.Yield) WithSun {
	window := min(max(p.Outage.Hours, SunWindow), outage.Horizon)
	sky := make([]units.Watts, hoursOf(window))
	rig := outage.NewRig(p)
	box := rig.Box(p.Outage.SOC)
	ends := make([]units.Hours, 0, s.n)
	s.cases(p, func(c outage.Case) {
		c.Sun = s.sky(y, p, len(ends), sky)
		o := rig.Run(c, window, nil)
		if o.Balance.Sun == 0 && box < window {
			o.Empty = min(o.Empty, box) // without sun no better than Runtime says
		}
		ends = append(ends, o.Empty)
	})
	slices.Sort(ends)
	return WithSun{Window: window, Likely: ends[(s.n-1)/2], CountOn: ends[int(0.1*float64(s.n))]}
}
