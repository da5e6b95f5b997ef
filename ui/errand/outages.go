package errand

import (
	"math"

	"candleclock/engine/odds"
	"candleclock/engine/outage"
	"candleclock/engine/plan"
	"candleclock/engine/units"
	"candleclock/engine/yield"
)

// Outages is the whole outage of a plan many times over, and two of its
// courses: one in the middle, and one that 9 in 10 go no worse than.
type Outages struct {
	odds.Ensemble
	Usual, Poor []odds.Stretch
	Sun         bool // the plan's panels bring something
}

// Follow works it out; ok is false when tell stopped it.
func Follow(p plan.Plan, s *odds.Sampler, tell func(done, all int) bool) (o *Outages, ok bool) {
	y := yield.Of(p)
	o = &Outages{Sun: y != nil}
	if o.Ensemble, ok = s.ThroughWith(p, y, tell); !ok {
		return nil, false
	}
	o.Usual, o.Poor = s.Course(p, y, o.Typical), s.Course(p, y, o.Ensemble.Poor)
	return o, true
}

const (
	most       = float64(outage.Horizon)
	mostWatts  = 1e7 // far beyond what a plan's loads, panels and inputs come to
	mostEnergy = 1e9
	// A course is cut at each hour, and where something goes on or off.
	mostStretches = 1 << 18
)

func (o *Outages) code(c *coder) {
	e := &o.Ensemble
	number(c, &e.Hours, plan.HoursRange.Low, most)
	c.whole(&e.Draws, 1, MostDraws)
	outs := func(h *[]units.Hours) {
		sooner := 0.0 // the one before: chances are counted off sorted lists
		list(c, h, MostDraws, func(c *coder, h *units.Hours) {
			number(c, h, sooner, math.Inf(1))
			sooner = float64(*h)
		})
		c.bad = c.bad || len(*h) != e.Draws
	}
	outs(&e.Vital)
	outs(&e.All)
	list(c, &e.Without, plan.MostLoads, func(c *coder, h *units.Hours) { number(c, h, 0, most) })
	number(c, &e.Trips, 0, 1)
	c.whole(&e.Typical, 0, e.Draws-1)
	c.whole(&e.Poor, 0, e.Draws-1)
	loads := len(e.Without)
	stretches := func(l *[]odds.Stretch) {
		list(c, l, mostStretches, func(c *coder, s *odds.Stretch) { stretch(c, s, loads) })
	}
	stretches(&o.Usual)
	stretches(&o.Poor)
	c.yes(&o.Sun)
}

func stretch(c *coder, s *odds.Stretch, loads int) {
	number(c, &s.From, 0, most)
	number(c, &s.To, float64(s.From), most)
	number(c, &s.LeftFrom, 0, mostEnergy)
	number(c, &s.LeftTo, 0, mostEnergy)
	number(c, &s.Out, 0, mostWatts)
	number(c, &s.Sun, 0, mostWatts)
	number(c, &s.Fed, 0, mostWatts)
	which := func(l *[]int) {
		list(c, l, loads, func(c *coder, i *int) { c.whole(i, 0, loads-1) })
	}
	which(&s.On)
	which(&s.Without)
	c.yes(&s.Off)
}
