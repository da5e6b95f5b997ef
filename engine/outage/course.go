package outage

import (
	"math"

	"candleclock/engine/load"
	"candleclock/engine/units"
)

// Case is one set of circumstances: what is uncertain about a plan, resolved.
type Case struct {
	Draw     []float64 // factor on each load's draw, in the plan's order; nil: 1
	Capacity float64   // factor on the rated capacity
	Ageing   float64   // factor on the estimated loss to age; no effect on a measured health
	Idle     float64   // factor on the inverter's idle draw
	Loss     float64   // factor on all other conversion losses
	Warmer   units.Celsius
	SOC      float64 // at the start, 0 to 1
}

// AsPlanned is the case in which everything is as the plan says.
func AsPlanned(soc float64) Case {
	return Case{Capacity: 1, Ageing: 1, Idle: 1, Loss: 1, SOC: soc}
}

// Horizon is how far ahead a course is followed: 90 days.
const Horizon units.Hours = 2160

// Step is a stretch of a course in which every flow is constant.
type Step struct {
	From, To           units.Hours // since the start
	LeftFrom, LeftTo   units.WattHours
	Out                units.Watts // at the battery's terminals
	ToLoads            units.Watts
	Running, CannotRun []int // loads, by index in the plan; not to be kept or changed
}

// Balance is where the energy of a course went. Start = Left + all the others,
// within rounding.
type Balance struct {
	Start, Left                                units.WattHours // what the battery can give, at a gentle rate
	ToLoads, Conversion, Idle, Rate, SelfDrain units.WattHours
}

// Gap is what the balance leaves unexplained, Wh: zero but for rounding.
func (b Balance) Gap() float64 {
	return float64(b.Start - b.Left - b.ToLoads - b.Conversion - b.Idle - b.Rate - b.SelfDrain)
}

// Outcome is how a course ended.
type Outcome struct {
	Empty   units.Hours // since the start, when the supply had no more to give; +Inf when the course ended before that
	Balance Balance
	Battery Store
}

// Store is what a battery holds in a case. Rated = Age + Cut + Cold + what it
// gives when full.
type Store struct {
	Rated, Age, Cut, Cold, Usable units.WattHours
}

// Run follows the outage under c, from the plan's start until the supply is
// empty or until it has lasted the hours given, at most Horizon. see, when not
// nil, is shown each step in turn.
func (r *Rig) Run(c Case, until units.Hours, see func(Step)) Outcome {
	r.fill(c)
	b := r.battery
	b.Capacity = units.WattHours(float64(b.Capacity) * c.Capacity)
	b.Room += c.Warmer
	if b.Health == nil {
		health := math.Max(0.05, 1-(1-b.StateOfHealth())*c.Ageing)
		b.Health = &health
	}
	m := b.Model()
	store := Store{Rated: m.Rated, Age: m.Rated - m.Aged, Cut: m.Cut, Cold: m.Cold, Usable: m.Usable}

	// The state of charge is a share of what the aged battery holds, of which
	// the cut-off keeps back its own share.
	left := 0.0
	if cut := float64(m.Cut / m.Aged); c.SOC > cut {
		left = float64(m.Usable) * (c.SOC - cut) / (1 - cut)
	}
	out := Outcome{Empty: units.Hours(math.Inf(1)), Battery: store}
	out.Balance.Start = units.WattHours(left)

	until = min(until, Horizon)
	drain := float64(m.Drain)
	i := r.spanAt(r.start)
	// Minutes count from midnight before the start, so that edges stay whole
	// numbers however long the outage.
	begin, midnight := float64(r.start), 0.0
	now := begin
	end := begin + float64(until)*60
	bal := &out.Balance
	for now < end {
		span, flow := &r.spans[i], r.bus[i]
		edge := min(midnight+float64(span.until), end)
		power := flow.out()
		rate := 1.0
		if power > 0 {
			rate = m.RateFactor(units.Watts(power))
		}
		gone := power/rate + drain // W out of what is left
		hours := (edge - now) / 60
		empty := gone*hours >= left
		switch {
		case left == 0:
			hours = 0
		case empty:
			hours = left / gone
		}
		before := left
		left -= gone * hours
		if empty {
			left = 0
		}
		bal.ToLoads += units.WattHours(flow.toLoads * hours)
		bal.Conversion += units.WattHours(flow.conversion * hours)
		bal.Idle += units.WattHours(flow.idle * hours)
		bal.Rate += units.WattHours(power * (1/rate - 1) * hours)
		bal.SelfDrain += units.WattHours(drain * hours)
		if see != nil {
			see(Step{
				From: units.Hours((now - begin) / 60), To: units.Hours((now-begin)/60 + hours),
				LeftFrom: units.WattHours(before), LeftTo: units.WattHours(left),
				Out: units.Watts(power), ToLoads: units.Watts(flow.toLoads),
				Running: append(span.ac[:len(span.ac):len(span.ac)], span.dc...), CannotRun: span.unmet,
			})
		}
		if empty {
			out.Empty = units.Hours((now-begin)/60 + hours)
			break
		}
		now = edge
		if i++; i == len(r.spans) {
			i, midnight = 0, midnight+float64(load.Day)
		}
	}
	bal.Left = units.WattHours(left)
	return out
}

// Box is the box figure: how long the rated capacity, as full as the gauge
// shows, would carry what can run, at the watts as they were entered and along
// their schedule, if nothing were lost. +Inf when that is beyond Horizon.
func (r *Rig) Box(soc float64) units.Hours {
	left := float64(r.battery.Capacity) * soc
	i, midnight, begin := r.spanAt(r.start), 0.0, float64(r.start)
	for now := begin; now < begin+float64(Horizon)*60; {
		span := &r.spans[i]
		watts := 0.0
		for _, l := range span.ac {
			watts += r.draw[l]
		}
		for _, l := range span.dc {
			watts += r.draw[l]
		}
		edge := midnight + float64(span.until)
		hours := (edge - now) / 60
		switch {
		case left <= 0:
			return units.Hours((now - begin) / 60)
		case watts*hours >= left:
			return units.Hours((now-begin)/60 + left/watts)
		}
		left -= watts * hours
		now = edge
		if i++; i == len(r.spans) {
			i, midnight = 0, midnight+float64(load.Day)
		}
	}
	return units.Hours(math.Inf(1))
}
