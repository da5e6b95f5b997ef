package outage

import (
	"math"

	"candleclock/engine/battery"
	"candleclock/engine/plan"
	"candleclock/engine/units"
)

// Case is one set of circumstances: what is uncertain about a plan, resolved.
type Case struct {
	Draw     []float64 // factor on each load's draw, in the plan's order; nil: 1
	Duty     []float64 // how much of that is of its duty, and not of the watts while it runs; nil: 1
	Capacity float64   // factor on the rated capacity
	Ageing   float64   // factor on the estimated loss to age; no effect on a measured health
	Idle     float64   // factor on the inverter's idle draw
	Loss     float64   // factor on all other conversion losses
	Warmer   units.Celsius
	SOC      float64 // at the start, 0 to 1

	// Beside is what is plugged in that the plan does not know, W, day and night: at
	// the inverter where that is on, else at the other outlets.
	Beside float64

	// Sun is what the panels give at the supply's input, the mean power of each
	// hour of the clock from the midnight before the start. Hours beyond it are
	// dark. It serves the loads first; the battery takes of the rest what it can.
	Sun []units.Watts

	// Phase is how far each load is in its own cycle at the start, from 0, where
	// it has just come on, to 1, in the plan's order; only that of loads that
	// cycle by themselves counts, and only in Through. nil: each is taken at its
	// average.
	Phase []float64
}

// AsPlanned is the case in which everything is as the plan says.
func AsPlanned(soc float64) Case {
	return Case{Capacity: 1, Ageing: 1, Idle: 1, Loss: 1, SOC: soc}
}

// FullCharge is where one full charge of a plan's supply goes, with everything as
// the plan says and nothing coming in: what reaches the loads is its
// Balance.ToLoads.
func FullCharge(p plan.Plan) Outcome { return NewRig(p).Run(AsPlanned(1), Horizon, nil) }

// Horizon is how far ahead a course is followed: 90 days.
const Horizon units.Hours = 2160

// Step is a stretch of a course in which every flow is constant.
type Step struct {
	From, To         units.Hours // since the start
	LeftFrom, LeftTo units.WattHours
	Out              units.Watts // what the loads and the inverter ask for
	ToLoads          units.Watts
	Sun              units.Watts // what the panels offer
	Fed              units.Watts // what a vehicle's socket and a generator offer
	Off              bool        // the supply has shut down

	// Loads by index in the plan, not to be kept or changed: those that have
	// power, though a compressor may be pausing, and those that are due and
	// have none.
	Running, CannotRun []int
}

// Balance is where the energy of a course went. Start + Sun + Fed is the sum of
// all the others but Spilled, within rounding.
type Balance struct {
	Start, Left                                units.WattHours // what the battery can give, at a gentle rate
	Sun                                        units.WattHours // taken at the input
	Fed                                        units.WattHours // the same of a vehicle's socket and a generator
	Held                                       units.WattHours // of Left, what a cold night keeps back where that ended it
	ToLoads, Conversion, Idle, Rate, SelfDrain units.WattHours
	Charging                                   units.WattHours // lost in charging
	Spilled                                    units.WattHours // of the sun, taken by nothing
}

// Gap is what the balance leaves unexplained, Wh: zero but for rounding.
func (b Balance) Gap() float64 {
	return float64(b.Start + b.Sun + b.Fed - b.Left - b.ToLoads - b.Conversion - b.Idle - b.Rate - b.SelfDrain - b.Charging)
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
// empty or until it has lasted the hours given, at most Horizon. Of the plan's
// rules nothing is done, and what cycles by itself is taken at its average, once
// it has made up for the hours in which it might not run. see, when not nil, is
// shown each step in turn.
func (r *Rig) Run(c Case, until units.Hours, see func(Step)) Outcome {
	r.fill(&c)
	return r.follow(&c, until, see, nil)
}

// follow is the course of Run or, with a whole to keep its state in, of Through.
func (r *Rig) follow(c *Case, until units.Hours, see func(Step), w *whole) Outcome {
	cell := r.cell(c, r.model(c))
	out := Outcome{Empty: units.Hours(math.Inf(1)), Battery: cell.store()}
	bal := &out.Balance
	bal.Start = units.WattHours(cell.left)

	until = min(until, Horizon)
	i := r.spanAt(r.start)
	// Minutes count from midnight before the start, so that edges stay whole
	// numbers however long the outage.
	begin, midnight := float64(r.start), 0.0
	now := begin
	end := begin + float64(until)*60
	if w != nil {
		w.start(c, &cell, begin)
	}
	for now < end {
		span, flow := &r.spans[i], &r.bus[i]
		spanEnd := midnight + span.until
		edge, sun := lesser(spanEnd, end), 0.0
		if h := int(now / 60); h < len(c.Sun) {
			sun = float64(c.Sun[h])
			edge = lesser(edge, float64(h+1)*60)
		}
		cell.enter(span.night)
		way := way{low: cell.floor, high: math.Inf(1)}
		if w != nil {
			if bound := w.bounds[span.feeds]; w.still(span, cell.left-nothing(&cell)) {
				way.low = greater(way.low, bound)
			} else {
				edge, sun = w.turn(i, now, edge, sun, &cell, &way)
			}
			edge = lesser(edge, w.cycled(i, now))
			if w.mayTrip {
				w.watch(c, i, now)
			}
			flow = &none
			if !way.off {
				f := &w.flows[(w.level*len(r.spans)+i)<<w.shift|w.on]
				if f.course != w.course {
					w.work(f, c, i)
				}
				flow = &f.bus
			}
		}
		hours := (edge - now) / 60
		before, power := cell.left, flow.out()
		lasted, at := cell.pass(flow, power, sun+way.fed, hours, &way, bal)
		if w != nil {
			w.hours[(w.tripped*len(r.spans)+i)*states+w.state] += lasted
			w.least = lesser(w.least, cell.left)
			if lasted > 0 && span.out[w.tripped][w.state].any && now < w.noted {
				w.lack(i, now)
			}
			if way.fed > 0 {
				w.share(lasted, sun, way.fed, &cell, bal)
			}
		}
		if see != nil {
			s := Step{
				From: units.Hours((now - begin) / 60), To: units.Hours((now-begin)/60 + lasted),
				LeftFrom: units.WattHours(before), LeftTo: units.WattHours(cell.left),
				Out: units.Watts(power), ToLoads: units.Watts(flow.toLoads), Sun: units.Watts(sun), Fed: units.Watts(way.fed),
				Running: append(span.ac[:len(span.ac):len(span.ac)], span.dc...), CannotRun: span.unmet,
			}
			if w != nil {
				w.show(span, &s)
			}
			see(s)
		}
		if at == low && way.low == cell.floor {
			out.Empty = min(out.Empty, units.Hours((now-begin)/60+lasted))
			if w == nil {
				bal.Held = units.WattHours(lesser(cell.floor, cell.left))
				break
			}
			w.shutDown(now + lasted*60)
		}
		if at != edgeOfStep && lasted < hours {
			now += lasted * 60
			continue
		}
		if now = edge; now == spanEnd {
			i, midnight = r.after(i, midnight)
		}
	}
	bal.Left = units.WattHours(cell.left)
	return out
}

// model is the battery under c.
func (r *Rig) model(c *Case) battery.Model { return r.warmed(c).Model() }

// warmed is the battery as c tells it; the next call changes its health.
func (r *Rig) warmed(c *Case) battery.Battery {
	b := r.battery
	b.Capacity = units.WattHours(float64(b.Capacity) * c.Capacity)
	b.Room += c.Warmer
	if b.Health == nil {
		r.health = math.Max(0.05, 1-(1-b.StateOfHealth())*c.Ageing)
		b.Health = &r.health
	}
	return b
}

// Box is the box figure: how long the rated capacity, as full as the gauge
// shows, would carry what can run, at the watts as they were entered and along
// their schedule, if nothing were lost. +Inf when that is beyond Horizon.
func (r *Rig) Box(soc float64) units.Hours {
	left := float64(r.battery.Capacity) * soc
	i, midnight, begin := r.spanAt(r.start), 0.0, float64(r.start)
	if left <= 0 {
		return 0
	}
	for now, end := begin, begin+float64(Horizon)*60; now < end; {
		span := &r.spans[i]
		watts := 0.0
		for _, l := range span.ac {
			watts += r.draw[l] * span.times(l)
		}
		for _, l := range span.dc {
			watts += r.draw[l] * span.times(l)
		}
		edge := lesser(midnight+span.until, end)
		hours := (edge - now) / 60
		if watts*hours >= left {
			return units.Hours((now-begin)/60 + left/watts)
		}
		left -= watts * hours
		now = edge
		i, midnight = r.after(i, midnight)
	}
	return units.Hours(math.Inf(1))
}
