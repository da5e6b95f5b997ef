package outage

import (
	"math"

	"candleclock/engine/battery"
	"candleclock/engine/charge"
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

	// Sun is what the panels give at the supply's input, the mean power of each
	// hour of the clock from the midnight before the start. Hours beyond it are
	// dark. It serves the loads first; the battery takes of the rest what it can.
	Sun []units.Watts
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
	Out                units.Watts // what the loads and the inverter ask for
	ToLoads            units.Watts
	Sun                units.Watts // what the panels offer
	Running, CannotRun []int       // loads, by index in the plan; not to be kept or changed
}

// Balance is where the energy of a course went. Start + Sun is the sum of all
// the others but Spilled, within rounding.
type Balance struct {
	Start, Left                                units.WattHours // what the battery can give, at a gentle rate
	Sun                                        units.WattHours // taken at the input
	ToLoads, Conversion, Idle, Rate, SelfDrain units.WattHours
	Charging                                   units.WattHours // lost in charging
	Spilled                                    units.WattHours // of the sun, taken by nothing
}

// Gap is what the balance leaves unexplained, Wh: zero but for rounding.
func (b Balance) Gap() float64 {
	return float64(b.Start + b.Sun - b.Left - b.ToLoads - b.Conversion - b.Idle - b.Rate - b.SelfDrain - b.Charging)
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
	m := r.model(c)
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
	pack := charge.Pack{Capacity: m.Usable, Efficiency: m.ChargeEfficiency, Taper: r.taper, MayCharge: m.MayCharge && m.Usable > 0}
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
		spanEnd := midnight + float64(span.until)
		edge, sun := min(spanEnd, end), 0.0
		if h := int(now / 60); h < len(c.Sun) {
			sun = float64(c.Sun[h])
			edge = min(edge, float64(h+1)*60)
		}
		hours := (edge - now) / 60
		before := left
		power := flow.out()
		used, empty := min(sun, power), false
		if spare := sun - used; spare > 0 {
			left = r.charge(pack, left, spare, hours, bal)
			gone := min(drain*hours, left)
			left -= gone
			bal.SelfDrain += units.WattHours(gone)
		} else {
			asked, rate := power-used, 1.0
			if asked > 0 {
				rate = m.RateFactor(units.Watts(asked))
			}
			gone := asked/rate + drain // W out of what is left
			empty = gone*hours >= left
			switch {
			case left == 0:
				hours = 0
			case empty:
				hours = left / gone
			}
			left -= gone * hours
			if empty {
				left = 0
			}
			bal.Rate += units.WattHours(asked * (1/rate - 1) * hours)
			bal.SelfDrain += units.WattHours(drain * hours)
		}
		bal.Sun += units.WattHours(used * hours)
		bal.ToLoads += units.WattHours(flow.toLoads * hours)
		bal.Conversion += units.WattHours(flow.conversion * hours)
		bal.Idle += units.WattHours(flow.idle * hours)
		if see != nil {
			see(Step{
				From: units.Hours((now - begin) / 60), To: units.Hours((now-begin)/60 + hours),
				LeftFrom: units.WattHours(before), LeftTo: units.WattHours(left),
				Out: units.Watts(power), ToLoads: units.Watts(flow.toLoads), Sun: units.Watts(sun),
				Running: append(span.ac[:len(span.ac):len(span.ac)], span.dc...), CannotRun: span.unmet,
			})
		}
		if empty {
			out.Empty = units.Hours((now-begin)/60 + hours)
			break
		}
		if now = edge; now == spanEnd {
			if i++; i == len(r.spans) {
				i, midnight = 0, midnight+float64(load.Day)
			}
		}
	}
	bal.Left = units.WattHours(left)
	return out
}

// model is the battery under c.
func (r *Rig) model(c Case) battery.Model {
	b := r.battery
	b.Capacity = units.WattHours(float64(b.Capacity) * c.Capacity)
	b.Room += c.Warmer
	if b.Health == nil {
		health := math.Max(0.05, 1-(1-b.StateOfHealth())*c.Ageing)
		b.Health = &health
	}
	return b.Model()
}

// charge feeds the battery with what the loads leave of the sun, and returns
// what is then left in it.
func (r *Rig) charge(pack charge.Pack, left, spare, hours float64, bal *Balance) float64 {
	taken, stored := 0.0, 0.0
	if pack.MayCharge {
		full := float64(pack.Capacity)
		after := full * pack.After(left/full, units.Watts(spare), units.Hours(hours))
		stored = max(0, after-left)
		taken = min(stored/pack.Efficiency, spare*hours) // but for rounding it is less by itself
	}
	bal.Sun += units.WattHours(taken)
	bal.Charging += units.WattHours(taken - stored)
	bal.Spilled += units.WattHours(spare*hours - taken)
	return left + stored
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
