package sizing

import (
	"math"
	"slices"

	"candleclock/engine/battery"
	"candleclock/engine/charge"
	"candleclock/engine/inverter"
	"candleclock/engine/load"
	"candleclock/engine/odds"
	"candleclock/engine/outage"
	"candleclock/engine/panel"
	"candleclock/engine/plan"
	"candleclock/engine/units"
	"candleclock/engine/yield"
)

// Why is what keeps a wish from being met, or panels from helping.
type Why string

// The reasons. With the first two no size is looked for.
const (
	NothingOn  Why = "nothing_on" // the wish carries no load: any size does
	Flat       Why = "flat"       // the plan begins with nothing left in the battery
	TooWeak    Why = "too_weak"   // the plan's inverter can't carry or start all that is wished; a stronger one is counted on
	NoPlace    Why = "no_place"   // the place is not known, and so not its sun
	NoSun      Why = "no_sun"     // a day of the month brings nothing
	TooCold    Why = "too_cold"   // the battery can't be charged: panels carry only what runs while the sun shines
	NoneEnough Why = "none"       // no battery that a plan can hold is enough
)

// Whys lists the reasons.
var Whys = []Why{NothingOn, TooWeak, Flat, NoPlace, NoSun, TooCold, NoneEnough}

// Point is a battery and panels that are together just enough.
type Point struct {
	Panels  units.Watts // rated; 0: none
	Battery units.WattHours
}

// Front is what fulfils a wish: the smallest battery for each size of panels.
type Front struct {
	Wish   Wish
	Points []Point // by rising panels, each with a smaller battery than those before; none where nothing is enough

	// With is the plan's own battery with the fewest panels that make it
	// enough; nil where none do, or the plan has no battery.
	With *Point

	// Inverter is what must be carried for long, W. It is the plan's own or, where
	// that is not known or not enough, what all that is carried asks for, running
	// at once and starting in the best order; 0 when nothing hangs on an inverter.
	Inverter units.Watts
	// Idle is what that inverter was counted to draw by itself at most, W, where
	// the plan does not tell; 0 where it does, or nothing hangs on an inverter.
	Idle   units.Watts
	Beyond []int // loads that the plan's own can't carry or start, by index; TooWeak

	Why []Why
}

// Is reports whether a reason applies.
func (f Front) Is(w Why) bool { return slices.Contains(f.Why, w) }

// sizesOfPanels is how many sizes of panels are tried, beside none and the
// plan's own.
const sizesOfPanels = 9

// NewFront finds the front of a wish: for each of some sizes of panels, the
// smallest battery with which all but the share 1 − Confidence of the
// draws get through, and for the plan's own battery the smallest panels. Draws
// and seed are those of odds.NewSampler. Sizes
// are rounded up to steps of at most a tenth. Before the front is whole tell, if
// not nil, is shown how far it is; it stops the work by false, and then the
// second result is false.
//
// The battery is one of the plan's kind, age, cut-off and room, or a new LFP one
// at 20 °C where the plan has none; the panels lie as the plan's and are of its
// kind, or usual ones, and their input takes all of them: what the input of a
// supply on sale really takes is for Judge. The inverter is the plan's own; one
// that is not known, or not enough, is the usual one of each size of battery (see
// plan.Supply.UsualInverter) but no larger than need be with large ones, or a
// stronger one that carries and starts all. Each draw has the circumstances and the
// weather that odds gives it, at every size the same, so that sizes differ by
// nothing but size. Without sun no size counts of which the box figure does not
// reach (see odds.Runtime).
//
// In a draw a bigger battery never holds shorter beside the same inverter, nor do
// more panels. That is so but for hairs: a bigger battery loses more to
// self-discharge, about 3 % of its size a month, and a rule that starts a generator
// below a charge starts it at another hour. A usual inverter grows with the
// battery, and draws more by itself: in the sun a bigger supply may then hold
// shorter, and a point is the smallest of all that are enough. To get through is
// never to run empty, with what the plan's rules charge; nothing is dropped by a
// rule.
func NewFront(p plan.Plan, w Wish, draws int, seed uint64, tell func(done, all int) bool) (Front, bool) {
	f := Front{Wish: w}
	own := p.Supply.Battery.Capacity
	p = w.of(withBattery(p))
	sampler := odds.NewSampler(draws, seed)
	inv, beyond := inverterFor(p, w, sampler)
	f.Inverter, f.Beyond = inv.carries(), beyond
	p.Supply.Inverter = inv.told
	switch {
	case !slices.ContainsFunc(p.Loads, func(l load.Load) bool { return !l.Off && l.Draw() > 0 }):
		f.Why = append(f.Why, NothingOn)
	case p.Outage.SOC <= float64(p.Supply.Battery.Model().Cut/p.Supply.Battery.Model().Aged):
		f.Why = append(f.Why, Flat)
	}
	if len(f.Why) > 0 {
		return f, true
	}
	if len(f.Beyond) > 0 {
		f.Why = append(f.Why, TooWeak)
	}
	usual := p
	usual.Supply.Inverter = inv.beside(p.Supply.Battery.Capacity)
	sizes, y, why := panelSizes(usual)
	if why != "" {
		f.Why = append(f.Why, why)
	}
	t := newTrial(p, inv, y, sampler)
	t.steps(len(sizes)+1, tell)

	// From few panels to many: what holds with fewer holds with more.
	q := newSearch(draws, w.spared(draws), nil)
	last := len(steps)
	for _, watts := range sizes {
		q.holds = func(draw, step int) bool { return t.holds(draw, units.WattHours(steps[step]), watts) }
		q.forgetFails()
		t.use(inv.best())
		least := q.least(0, last)
		if inv.grows() {
			t.use(inv.beside)
			least = q.first(least, last)
		}
		if t.stopped {
			return Front{}, false
		}
		if least < last {
			f.Points = append(f.Points, Point{watts, units.WattHours(steps[least])})
			if inv.grows() && inv.told.IdleW == nil {
				f.Idle = max(f.Idle, inv.beside(units.WattHours(steps[least])).Idle())
			}
			last = least
		}
		t.next()
	}
	if len(f.Points) == 0 {
		f.Why = append(f.Why, NoneEnough)
	}
	if own > 0 {
		f.With = t.fewest(own, w.spared(draws))
	}
	t.next()
	return f, !t.stopped
}

// fewest is a battery with the least panels that make it enough; nil where none
// do.
func (t *trial) fewest(own units.WattHours, spared int) *Point {
	none := newSearch(len(t.cases), spared, func(draw, _ int) bool { return t.holds(draw, own, 0) })
	if none.enough(none.order, spared, 0) {
		return &Point{0, own}
	}
	if t.one == nil {
		return nil
	}
	high := stepUp(panelsMost) + 1
	q := newSearch(len(t.cases), spared, func(draw, step int) bool { return t.holds(draw, own, units.Watts(steps[step])) })
	if least := q.least(0, high); least < high {
		return &Point{units.Watts(steps[least]), own}
	}
	return nil
}

// withBattery is the plan with a battery in any case.
func withBattery(p plan.Plan) plan.Plan {
	if !p.HasSupply() {
		p.Supply.Battery = battery.Battery{Chemistry: battery.LFP, Capacity: 1000, Room: battery.DefaultRoom}
	}
	return p
}

// unmet lists the loads that the inverter can't carry beside those needed more,
// each as often as that happens in a day.
func unmet(p plan.Plan) (loads []int) {
	full := outage.AsPlanned(1)
	full.Capacity = 1e6 // times the battery's own: it lasts the day
	outage.NewRig(p).Run(full, 24, func(s outage.Step) { loads = append(loads, s.CannotRun...) })
	return loads
}

// asked is what an inverter must carry that no draw trips, with no more for a moment
// than for long: see outage.Rig.Asks.
func asked(p plan.Plan, s *odds.Sampler) (most units.Watts) {
	p.Supply.Inverter = inverter.Inverter{Continuous: 1e9} // which carries and starts anything
	rig := outage.NewRig(p)
	s.Cases(p, func(c outage.Case) { most = max(most, units.Watts(rig.Asks(c))) })
	return most
}

// panelsMost is the largest array looked for, W.
const panelsMost = 50000

// panelSizes are the sizes of panels to look at, rising from none, and what one
// rated watt of them brings; nil and why where that is nothing.
func panelSizes(p plan.Plan) ([]units.Watts, *yield.Yield, Why) {
	none := []units.Watts{0}
	if _, ok := p.Site(); !ok {
		return none, nil, NoPlace
	}
	y := yield.Of(anyPanels(p))
	if y == nil {
		return none, nil, NoSun
	}
	_, month, _ := p.Outage.Starts.Date()
	// In frost too: panels then carry what runs while the sun shines.
	poor, usual := wanted(p, y, int(month))
	if usual <= 0 {
		return none, nil, NoSun
	}
	why := Why("")
	if !p.Supply.Battery.Model().MayCharge {
		why = TooCold
	}
	// From what hardly helps to what carries poor days (a dark month's usual
	// ones), each half as much again.
	top := min(float64(max(poor, usual)), panelsMost)
	sizes := none
	for i := range sizesOfPanels {
		sizes = append(sizes, units.Watts(steps[stepUp(top*math.Exp2(float64(i-sizesOfPanels+1)/2))]))
	}
	sizes = append(sizes, Rated(p.Panels))
	slices.Sort(sizes)
	return slices.Compact(sizes), y, why
}

// Rated is the power on the labels of all panels.
func Rated(p plan.Panels) (w units.Watts) {
	for _, s := range []plan.PanelSet{p.PanelSet, p.Second} {
		w += panel.FromLabel(s.Label).Pmax * units.Watts(s.Count)
	}
	return w
}

// anyPanels is the plan with one panel, of its kind or a usual one, behind an
// input that takes all of it.
func anyPanels(p plan.Plan) plan.Plan {
	one := plan.PanelSet{Count: 1, Label: p.Panels.Label}
	if p.Panels.Count == 0 {
		one.Label = panel.Label{Pmax: 100, Voc: 24}
	}
	p.Panels.PanelSet, p.Panels.Second = one, plan.PanelSet{}
	p.Supply.Inputs = []charge.Input{{Kind: charge.Panel, MaxV: 1000, MaxW: panelsMost}}
	return p
}
