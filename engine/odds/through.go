package odds

import (
	"cmp"
	"math"
	"slices"

	"candleclock/engine/outage"
	"candleclock/engine/plan"
	"candleclock/engine/units"
	"candleclock/engine/yield"
)

// Ensemble is the whole outage many times over: in each draw weather, what is
// uncertain and where the compressors stand in their cycles are other ones.
type Ensemble struct {
	Hours units.Hours // of the outage: the plan's
	Draws int

	// When those that are vital, and anything at all, were first without power
	// in each draw, soonest first; +Inf: never within Hours. See outage.Whole.
	Vital, All []units.Hours

	Without []units.Hours // expected for each load, in the plan's order

	Trips float64 // share of the draws in which the inverter trips within Hours

	// Typical and Poor are the numbers of two draws: in half of all it goes no
	// worse than in the one, in 9 of 10 no worse than in the other. Worse is
	// what is vital out sooner, then longer, then the same of all else, then
	// less left.
	Typical, Poor int
}

// tellEvery is how many draws pass between two calls that tell of progress.
const tellEvery = 16

// Through runs the plan's whole outage once for each draw, with the sun of the
// plan's panels. The plan must hold a supply. tell, when not nil, is told every
// few draws, and at the end, how many of all are done; when it returns false the
// work is given up, and finished is false.
func (s *Sampler) Through(p plan.Plan, tell func(done, all int) bool) (e Ensemble, finished bool) {
	return s.ThroughWith(p, yield.Of(p), tell)
}

// ThroughWith is Through with the plan's yield, where it is at hand: to work it
// out takes as long as some hundred short outages.
func (s *Sampler) ThroughWith(p plan.Plan, y *yield.Yield, tell func(done, all int) bool) (e Ensemble, finished bool) {
	e = Ensemble{Hours: min(p.Outage.Hours, outage.Horizon), Draws: s.n, Without: make([]units.Hours, len(p.Loads))}
	rig := outage.NewRig(p)
	went := make([]fate, 0, s.n)
	done, tripped := 0, 0
	s.Each(p, y, func(draw int, c outage.Case) bool {
		w := rig.Through(c, e.Hours, nil)
		f := fate{draw: draw, vital: w.VitalOut, all: w.AnyOut, least: w.Least}
		for i, h := range w.Without {
			e.Without[i] += h / units.Hours(s.n)
			f.without += h
			if p.Loads[i].Rank.Order() == 0 {
				f.vitalWithout += h
			}
		}
		if w.Tripped < e.Hours {
			tripped++
		}
		went = append(went, f)
		done = draw + 1
		return tell == nil || done%tellEvery != 0 && done < s.n || tell(done, s.n)
	})
	if len(went) < s.n {
		return e, false
	}
	for _, f := range went {
		e.Vital, e.All = append(e.Vital, f.vital), append(e.All, f.all)
	}
	e.Trips = float64(tripped) / float64(s.n)
	slices.Sort(e.Vital)
	slices.Sort(e.All)
	slices.SortFunc(went, worseFirst)
	e.Typical, e.Poor = went[(s.n-1)/2].draw, went[int(0.1*float64(s.n))].draw
	return e, true
}

// Trips is the share of the draws in which the inverter trips within the plan's
// hours with all on that is due, without following any course: see
// outage.Rig.Trips. The plan must hold a supply.
func (s *Sampler) Trips(p plan.Plan) float64 {
	rig := outage.NewRig(p)
	trips := 0
	s.cases(p, func(c outage.Case) {
		if rig.Trips(c, p.Outage.Hours) < p.Outage.Hours {
			trips++
		}
	})
	return float64(trips) / float64(s.n)
}

// fate is what is kept of a draw.
type fate struct {
	draw                  int
	vital, all            units.Hours
	vitalWithout, without units.Hours
	least                 units.WattHours
}

func worseFirst(a, b fate) int {
	return cmp.Or(
		cmp.Compare(a.vital, b.vital), cmp.Compare(b.vitalWithout, a.vitalWithout),
		cmp.Compare(a.all, b.all), cmp.Compare(b.without, a.without),
		cmp.Compare(a.least, b.least), cmp.Compare(a.draw, b.draw))
}

// Each shows each draw's circumstances in turn, weather and cycles too, until use
// returns false. y is the plan's yield, or nil. What a thing is given does not
// hang on any other, so that plans may be compared draw by draw. The Case shown
// is used again for the next.
func (s *Sampler) Each(p plan.Plan, y *yield.Yield, use func(draw int, c outage.Case) bool) {
	of := s.whole(p, y)
	for i := range s.n {
		if !use(i, of(i)) {
			return
		}
	}
}

// whole is drawing with weather and cycles.
func (s *Sampler) whole(p plan.Plan, y *yield.Yield) func(draw int) outage.Case {
	of := s.drawing(p)
	phases := make([][]float64, len(p.Loads))
	phase := make([]float64, len(p.Loads))
	for i, l := range p.Loads {
		if _, _, ok := l.Cycles(); ok {
			phases[i] = s.quantiles(keyLoads + hash(l.Name+" in its cycle"))
		}
	}
	var sky []units.Watts
	if y != nil {
		sky = make([]units.Watts, hoursOf(min(p.Outage.Hours, outage.Horizon)))
	}
	return func(draw int) outage.Case {
		c := of(draw)
		for i, u := range phases {
			if u != nil {
				phase[i] = u[draw]
			}
		}
		c.Phase = phase
		if y != nil {
			c.Sun = s.sky(y, p, draw, sky)
		}
		return c
	}
}

// share is of the draws those that were never out before h.
func share(outs []units.Hours, h units.Hours) float64 {
	i, _ := slices.BinarySearch(outs, h)
	return float64(len(outs)-i) / float64(len(outs))
}

// Hold is the chance that what is vital is never out in the whole outage.
func (e Ensemble) Hold() float64 { return share(e.Vital, e.Hours) }

// HoldAll is the chance that nothing is.
func (e Ensemble) HoldAll() float64 { return share(e.All, e.Hours) }

// Point is one point of a survival curve.
type Point struct {
	H      units.Hours
	PVital float64 // the vital loads were never out until H
	PAll   float64 // nothing was
}

// Survival is the chance to have had power without a break until each hour: at
// whole hours, in steps that keep the list below 100 points, and at the end.
func (e Ensemble) Survival() []Point {
	last := math.Ceil(float64(e.Hours))
	step := math.Ceil(last / 96)
	var out []Point
	for h := 0.0; ; h = min(h+step, last) {
		at := units.Hours(h)
		// What is first out in the outage's last moment is out, and after its end
		// nothing more is known.
		out = append(out, Point{H: at, PVital: share(e.Vital, min(at, e.Hours)), PAll: share(e.All, min(at, e.Hours))})
		if h >= last {
			return out
		}
	}
}

// Twenty is a chance as in how many of 20 outages it holds, rounded down.
func Twenty(chance float64) int {
	const rounding = 1e-9 // a chance is a count over the draws, seldom exact
	return int(20*chance + rounding)
}

// Stretch is a part of a course in which the same things have power: an hour at
// most, or as long as nothing changes.
type Stretch struct {
	From, To         units.Hours // since the start
	LeftFrom, LeftTo units.WattHours
	Out              units.Watts // mean: what loads and inverter take
	Sun, Fed         units.Watts // mean: what panels offer; what a vehicle's socket and a generator do
	On, Without      []int       // loads, by index in the plan: with power; due and without
	Off              bool        // the supply has shut down
}

// Course is the course of one draw, 0 and below Draws, of the plan's whole
// outage; y is the plan's yield, or nil.
func (s *Sampler) Course(p plan.Plan, y *yield.Yield, draw int) []Stretch {
	var out []Stretch
	c := s.whole(p, y)(draw)
	outage.NewRig(p).Through(c, p.Outage.Hours, func(step outage.Step) {
		h := step.To - step.From
		if h <= 0 {
			return
		}
		var last *Stretch
		if n := len(out); n > 0 {
			last = &out[n-1]
		}
		if last == nil || step.To-last.From > 1+1e-9 || last.Off != step.Off ||
			!slices.Equal(last.On, step.Running) || !slices.Equal(last.Without, step.CannotRun) {
			out = append(out, Stretch{From: step.From, To: step.From, LeftFrom: step.LeftFrom,
				On: slices.Clone(step.Running), Without: slices.Clone(step.CannotRun), Off: step.Off})
			last = &out[len(out)-1]
		}
		// Means over the time so far.
		part := h / (step.To - last.From)
		mean := func(of *units.Watts, w units.Watts) { *of += (w - *of) * units.Watts(part) }
		mean(&last.Out, step.Out)
		mean(&last.Sun, step.Sun)
		mean(&last.Fed, step.Fed)
		last.To, last.LeftTo = step.To, step.LeftTo
	})
	return out
}
