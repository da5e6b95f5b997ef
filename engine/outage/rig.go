// Package outage is the one energy balance that every figure comes from: a plan
// and the circumstances of one outage in, the course of it out.
//
// Between two edges of the schedules, of the sun's hours and of what goes on and
// off by itself every draw is constant. So the stored energy falls in straight
// lines and rises along the charger's own curve, and the moment at which the
// supply is empty, or anything is switched at some charge, is solved for
// exactly, not found by stepping.
//
// Run follows the first charge until it is gone; Through goes on as the household
// would, with everything that the plan says of an outage.
package outage

import (
	"cmp"
	"math"
	"slices"

	"candleclock/engine/battery"
	"candleclock/engine/charge"
	"candleclock/engine/inverter"
	"candleclock/engine/load"
	"candleclock/engine/plan"
	"candleclock/engine/units"
	"candleclock/engine/yield"
)

// Rig is a plan made ready to be simulated many times. It keeps scratch space:
// one goroutine at a time.
type Rig struct {
	loads   []load.Load // as in the plan, the switched-off ones too
	draw    []float64   // W at the outlet, all of each load, by load
	battery battery.Battery
	curve   inverter.Curve
	dcLoss  float64 // of the USB and 12 V outlets, W for each W given
	taper   charge.Taper
	idles   bool // the inverter stays on while nothing on AC is scheduled
	start   load.Minute
	spans   []span    // from midnight, of one day; or see catchUp
	lead    int       // days that spans begin with, before the one that recurs
	again   int       // where in spans that begins
	owed    []float64 // what each load has to make up for at the start, minutes of running
	rules   rules
	trip    trip

	// Scratch of one course.
	health float64
	drawn  []float64 // W at the outlet under the case, all of each load, by load
	bus    []bus     // one a span
	whole  *whole    // nil until it is needed
}

// span is a stretch of the day in which no schedule begins or ends.
type span struct {
	until  float64   // minute of the day, above 0 to 1440
	night  bool      // the battery's room is as cold as it gets
	feeds  int       // refills whose hours these are, a bit each
	ac, dc []int     // loads that run, by index, most needed first
	unmet  []int     // loads that should and can't: beyond the inverter's limits
	swing  float64   // see bus
	catch  []float64 // by load, how many times its average it draws: more than 1 where it makes up for a standing still; nil: 1 for all

	// Of ac, those that Through counts on to be on, and those that it does not,
	// though what they draw is counted: see trip.
	on, doubted []int
	all, fresh  []int // of on, all and those that come on as the span begins, in the order to switch them on

	acTo, dcTo, onTo [levels]int    // how many of ac, dc and on stay on at each level of dropping
	out              [2][states]out // who goes without in each state, until the inverter trips and after
}

// bus is what flows in a span, W, under one Case.
type bus struct {
	toLoads, conversion, idle float64
	rate                      float64 // the battery's factor at all of it; 0: not worked out yet

	// swing is by what share more leaves the battery than its rate factor tells,
	// since what is taken at its average goes on and off.
	swing float64
}

func (b bus) out() float64 { return b.toLoads + b.conversion + b.idle }

// NewRig makes the plan ready. The plan must hold a supply (plan.HasSupply).
func NewRig(p plan.Plan) *Rig {
	inv := p.Supply.UsualInverter()
	r := &Rig{
		loads:   p.Loads,
		draw:    make([]float64, len(p.Loads)),
		battery: p.Supply.Battery,
		curve:   inv.Curve(),
		dcLoss:  1/p.Supply.DCEfficiency - 1,
		taper:   yield.Pack(p).Taper,
		start:   p.Outage.Starts.Minute(),
		rules:   rulesOf(p),
		drawn:   make([]float64, len(p.Loads)),
	}
	edges := r.rules.edges([]load.Minute{load.Day})
	anyAC := false
	for i, l := range p.Loads {
		r.draw[i] = float64(l.Steady())
		if l.Off {
			continue
		}
		anyAC = anyAC || l.Outlet == load.AC
		for _, w := range l.Use {
			edges = append(edges, w.From, w.To)
		}
	}
	r.idles = anyAC && !inv.OffWhenUnused
	slices.Sort(edges)
	order := byNeed(p.Loads)
	limit := inv.Limits()
	r.trip = newTrip(p, limit)
	from := load.Minute(0)
	for _, e := range slices.Compact(edges) {
		if e == 0 {
			continue
		}
		r.spans = append(r.spans, r.cut(from, e, order, limit))
		from = e
	}
	r.catchUp(p)
	r.bus = make([]bus, len(r.spans))
	if r.battery.Chemistry.Lead() || r.battery.Peukert != nil {
		m := r.battery.Model()
		for i := range r.spans {
			r.spans[i].swing = r.swing(&r.spans[i], m)
		}
	}
	return r
}

// mostSwings is how many of what cycles are followed on and off, the largest; the
// others are small beside them.
const mostSwings = 6

// swing is a span's: by Peukert's law an hour at twice the power costs more than
// two at once the power, so what cycles by itself takes more out of lead than its
// average would. Lithium's loss is too small to tell. It hangs on the powers'
// ratios far more than on the battery, so it is worked out once, of what is
// likely, with each cycle at a time of its own.
func (r *Rig) swing(s *span, m battery.Model) float64 {
	var on []cycle
	c := Case{Idle: 1, Loss: 1}
	power := func(bits int) float64 {
		sum := func(of []int) (watts float64) {
			for _, l := range of {
				w := r.draw[l] * s.times(l)
				if k := slices.IndexFunc(on, func(y cycle) bool { return y.load == l }); k >= 0 {
					w *= float64(bits>>k&1) / on[k].duty
				}
				watts += w
			}
			return watts
		}
		return r.flow(&c, sum(s.ac), sum(s.dc), r.idles || len(s.ac) > 0).out()
	}
	taken := func(w float64) float64 { return w / m.RateFactor(units.Watts(w)) }
	average := taken(power(0)) // with none followed
	for _, l := range slices.Concat(s.ac, s.dc) {
		if minutes, duty, ok := r.loads[l].Cycles(); ok && duty > 0 && s.times(l) == 1 {
			on = append(on, newCycle(l, minutes, duty))
		}
	}
	slices.SortStableFunc(on, func(a, b cycle) int { return cmp.Compare(r.draw[b.load]/b.duty, r.draw[a.load]/a.duty) })
	on = on[:min(len(on), mostSwings)]
	all := 0.0
	for bits := range 1 << len(on) {
		share := 1.0
		for k, y := range on {
			if bits>>k&1 == 1 {
				share *= y.duty
			} else {
				share *= 1 - y.duty
			}
		}
		all += share * taken(power(bits))
	}
	if more := all/average - 1; more > 0 && !math.IsInf(more, 1) {
		return more
	}
	return 0
}

// byNeed lists the loads' indices, most needed first, in the plan's order
// within a rank.
func byNeed(loads []load.Load) []int {
	order := make([]int, len(loads))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		return loads[a].Rank.Order() - loads[b].Rank.Order()
	})
	return order
}

// cut finds what runs between two edges, as the plan tells of it. What the inverter
// can't carry on top of all that is needed more is left out: its owner would have
// to; and so is what can't start.
func (r *Rig) cut(from, until load.Minute, order []int, limit inverter.Limits) span {
	s := span{until: float64(until), night: r.rules.cold && !(NightEnds <= from && from < NightBegins), feeds: r.rules.feedsAt(from)}
	var watts units.Watts
	var va units.VoltAmps
	for _, i := range order {
		l := r.loads[i]
		switch {
		case l.Off || !l.OnAt(from):
		case l.Outlet != load.AC:
			s.dc = append(s.dc, i)
		case r.trip.never[i]:
			s.unmet = append(s.unmet, i)
		case watts+l.Peak() > limit.Continuous || va+l.Apparent() > limit.ContinuousVA:
			s.unmet = append(s.unmet, i)
		default:
			watts, va = watts+l.Peak(), va+l.Apparent()
			s.ac = append(s.ac, i)
			if r.trip.doubted[i] {
				s.doubted = append(s.doubted, i)
			}
		}
	}
	if s.on = s.ac; len(s.doubted) > 0 {
		s.on = slices.DeleteFunc(slices.Clone(s.ac), func(i int) bool { return r.trip.doubted[i] })
	}
	s.tally(r.loads)
	return s
}

// spanAt is the index of the first day's span that holds a minute, of those from
// the start on: the last ends with the day.
func (r *Rig) spanAt(m load.Minute) int {
	return slices.IndexFunc(r.spans, func(s span) bool { return float64(m) < s.until })
}

// Power is what the battery must give at a minute of a day that recurs, W at its
// terminals, with everything as the plan says.
func (r *Rig) Power(m load.Minute) units.Watts {
	r.fill(&Case{Idle: 1, Loss: 1})
	day := slices.IndexFunc(r.spans[r.again:], func(s span) bool { return float64(m) < s.until })
	return units.Watts(r.bus[r.again+day].out())
}

// Day is what a day that recurs takes out of the battery, the loss to its rate and
// its self-discharge too, with everything as the plan says.
func (r *Rig) Day() units.WattHours {
	r.fill(&Case{Idle: 1, Loss: 1})
	m := r.battery.Model()
	sum, from := m.Drain.For(24), 0.0
	for i, s := range r.spans[r.again:] {
		w := units.Watts(r.bus[r.again+i].out())
		sum += w.For(units.Hours(s.until-from)/60) / units.WattHours(m.RateFactor(w)) * units.WattHours(1+s.swing)
		from = s.until
	}
	return sum
}

// fill works out the flows of each span under c.
func (r *Rig) fill(c *Case) {
	r.factors(c)
	for i := range r.spans {
		s := &r.spans[i]
		ac, dc := 0.0, 0.0
		for _, l := range s.ac {
			ac += r.drawn[l] * s.times(l)
		}
		for _, l := range s.dc {
			dc += r.drawn[l] * s.times(l)
		}
		r.bus[i] = r.flow(c, ac, dc, r.idles || len(s.ac) > 0)
		r.bus[i].swing = s.swing
	}
}

// factors works out what each load draws under c.
func (r *Rig) factors(c *Case) {
	if c.Draw == nil {
		copy(r.drawn, r.draw)
		return
	}
	factor := c.Draw[:len(r.draw)]
	for i, w := range r.draw {
		r.drawn[i] = w * factor[i]
	}
}

// flow is what loads of so many watts cause.
func (r *Rig) flow(c *Case, ac, dc float64, inverterOn bool) bus {
	if c.Beside > 0 {
		if inverterOn {
			ac += c.Beside
		} else {
			dc += c.Beside
		}
	}
	b := bus{toLoads: ac + dc, conversion: dc * r.dcLoss * c.Loss}
	if inverterOn {
		idle := float64(r.curve.Idle())
		b.idle = idle * c.Idle
		b.conversion += r.curve.Doubted(units.Watts(ac), c.Idle, c.Loss)
	}
	return b
}

// NoneRuns reports whether the inverter can run or start nothing of all that is
// due in a day: how long the supply would last then says nothing.
func (r *Rig) NoneRuns() bool {
	refused := false
	for _, s := range r.spans {
		if len(s.ac)+len(s.dc) > 0 {
			return false
		}
		refused = refused || len(s.unmet) > 0
	}
	return refused
}

// Unmet is when something is first due that the inverter can't carry, in hours
// since the start; +Inf where that never happens.
type Unmet struct{ Vital, Any units.Hours }

// FirstUnmet looks through the first day. What the inverter can carry is the
// same every day.
func (r *Rig) FirstUnmet() Unmet {
	u := Unmet{units.Hours(math.Inf(1)), units.Hours(math.Inf(1))}
	from, start := 0.0, float64(r.start)
	for _, s := range r.spans[r.again:] {
		// The first minute of the span that comes at or after the start.
		at := math.Mod(from-start+float64(load.Day), float64(load.Day))
		if from <= start && start < s.until {
			at = 0
		}
		from = s.until
		for _, i := range s.unmet {
			h := units.Hours(at) / 60
			u.Any = min(u.Any, h)
			if r.loads[i].Rank == load.Vital {
				u.Vital = min(u.Vital, h)
			}
		}
	}
	return u
}
