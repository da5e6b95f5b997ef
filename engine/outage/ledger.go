package outage

import (
	"math"
	"slices"

	"candleclock/engine/load"
	"candleclock/engine/plan"
	"candleclock/engine/units"
)

// times is how many times its average a load draws in a span.
func (s *span) times(l int) float64 {
	if s.catch == nil {
		return 1
	}
	return s.catch[l]
}

// after is the span after one, and the midnight that its minutes count from.
func (r *Rig) after(i int, midnight float64) (int, float64) {
	if r.spans[i].until == float64(load.Day) {
		midnight += float64(load.Day)
	}
	if i++; i == len(r.spans) {
		i = r.again
	}
	return i, midnight
}

// catchUp cuts the spans where something has made up for the hours in which it
// might not run (load.Ledger): first those of the day of the start, from the start
// on, then those of the day after it, then the day that recurs. A day after the
// start all is settled: either the windows are long enough, and what a window
// finds owed hangs on the gap before it alone, or they are too short, and what is
// owed only grows.
func (r *Rig) catchUp(p plan.Plan) {
	type debt struct {
		load int
		load.Ledger
	}
	var debts []debt
	for i, l := range r.loads {
		g, ok := l.Ledger()
		if !ok || l.Off {
			continue
		}
		if g.Owed = owed(p, l, g); g.Owed > 0 {
			if r.owed == nil {
				r.owed = make([]float64, len(r.loads))
			}
			r.owed[i] = float64(g.Owed) * 60
		}
		if g.Owed > 0 || len(l.Use) > 0 {
			debts = append(debts, debt{i, g})
		}
	}
	if len(debts) == 0 {
		return
	}
	const nothing = 1e-9 // hours
	day := r.spans
	r.spans, r.lead = nil, 2
	for n := range r.lead + 1 {
		at := 0.0
		if n == 0 {
			at = float64(r.start)
		}
		if n == r.lead {
			r.again = len(r.spans)
		}
		for _, s := range day {
			for at < s.until {
				piece, until := s, s.until
				for _, d := range debts {
					if d.Owed > nothing && s.powers(d.load) {
						until = min(until, at+float64(d.CatchUp())*60)
						if piece.catch == nil {
							piece.catch = slices.Repeat([]float64{1}, len(r.loads))
						}
						piece.catch[d.load] = 1 / d.Duty
					}
				}
				for k := range debts {
					d, h := &debts[k], units.Hours(until-at)/60
					if !s.powers(d.load) {
						d.Rest(h)
					} else if d.Run(h); d.Owed <= nothing {
						d.Owed = 0
					}
				}
				piece.until, at = until, until
				r.spans = append(r.spans, piece)
			}
		}
	}
}

// powers reports that the load runs in the span.
func (s *span) powers(l int) bool { return slices.Contains(s.ac, l) || slices.Contains(s.dc, l) }

// lookBack bounds how much of an outage under way is looked at for what is owed:
// by then all is settled.
const lookBack = 7 * 24 * 60

// owed is what a load has to make up for at the plan's start: nothing where the
// mains ran it until then, else what came together since the first that was noted
// of the outage, with what was switched and while the power was back.
func owed(p plan.Plan, l load.Load, g load.Ledger) units.Hours {
	o := &p.Outage
	if !o.UnderWay {
		return 0
	}
	begin := o.Starts
	since := func(at plan.Moment) {
		if at.Since(begin) < 0 {
			begin = at
		}
	}
	for _, r := range o.Log.Readings[:min(1, len(o.Log.Readings))] {
		since(r.At)
	}
	var own []plan.Switch
	for _, s := range o.Log.Switches {
		since(s.At)
		if plan.SameName(s.Load, l.Name) {
			own = append(own, s)
		}
	}
	power := o.Log.Power
	for _, e := range power {
		since(e.At)
	}
	minutes := int(math.Round(float64(o.Starts.Since(begin)) * 60))
	if minutes <= 0 || len(own) == 0 && len(l.Use) == 0 {
		return 0
	}
	on, mains := !l.Off, false
	if len(own) > 0 {
		on = !own[0].On
	}
	for m := max(0, minutes-lookBack); m < minutes; m++ {
		by := func(at plan.Moment) bool { return float64(at.Since(begin))*60 <= float64(m)+0.5 }
		for len(own) > 0 && by(own[0].At) {
			on, own = own[0].On, own[1:]
		}
		for len(power) > 0 && by(power[0].At) {
			mains, power = power[0].Back, power[1:]
		}
		if mains || on && l.OnAt((begin.Minute()+load.Minute(m))%load.Day) {
			g.Run(1.0 / 60)
		} else {
			g.Rest(1.0 / 60)
		}
	}
	return g.Owed
}

// cycle is a load that goes on and off by itself. It comes on when it owes, and
// has then run enough once it is a stroke ahead.
type cycle struct {
	load         int
	period, duty float64 // minutes; share
	stroke       float64 // the running that one cycle is worth, minutes
	most         float64 // that it may owe, minutes
	owed         float64 // minutes of running, at the minute at; below 0: ahead
	at           float64
	next         float64 // when it is next switched
}

// newCycle is a load's cycle.
func newCycle(l int, minutes, duty float64) cycle {
	return cycle{load: l, period: minutes, duty: duty,
		stroke: duty * (1 - duty) * minutes, most: float64(load.OwedMost) * 60 * duty}
}

// findReach works out which of the cycles have power in each span and level.
func (w *whole) findReach() {
	spans := w.rig.spans
	w.reach = make([]int, levels*len(spans))
	for level := range levels {
		for i := range spans {
			s := &spans[i]
			for _, of := range [][]int{s.ac[:s.acTo[level]], s.dc[:s.dcTo[level]]} {
				for _, l := range of {
					if k := w.slot[l]; k >= 0 {
						w.reach[level*len(spans)+i] |= 1 << k
					}
				}
			}
		}
	}
}

// setOut puts each cycle where the case has it at the start: none has power yet.
func (w *whole) setOut(c *Case) {
	for k := range w.cycles {
		y := &w.cycles[k]
		y.at, y.next = w.begin, math.Inf(1)
		phase := c.Phase[y.load]
		switch owes := w.rig.owed; {
		case owes != nil && owes[y.load] > 0:
			y.owed = owes[y.load]
			w.on |= 1 << k
		case phase < y.duty:
			y.owed = -phase * y.period * (1 - y.duty)
			w.on |= 1 << k
		default:
			y.owed = (phase - 1) * y.period * y.duty
			y.next = w.begin + (1-phase)*y.period
		}
		w.next = lesser(w.next, y.next)
	}
}

// cycled brings what cycles by itself to a minute in a span, and returns until when
// it then stays as it is.
func (w *whole) cycled(i int, now float64) float64 {
	if len(w.cycles) == 0 {
		return w.next
	}
	if now >= w.next {
		w.cycle(now)
	}
	fed := 0
	if w.state != off {
		fed = w.reach[w.level*len(w.rig.spans)+i]
	}
	if fed != w.fed {
		w.power(fed, now)
	}
	return w.next
}

// cycle switches what cycles by itself up to a minute.
func (w *whole) cycle(now float64) {
	next := math.Inf(1)
	for k := range w.cycles {
		y, bit := &w.cycles[k], 1<<k
		for y.next <= now {
			y.at = y.next
			switch w.on ^= bit; {
			case w.on&bit == 0:
				y.owed = -y.stroke
				y.next += (1 - y.duty) * y.period
			case w.fed&bit != 0:
				y.owed = 0
				y.next += y.duty * y.period
			default: // it would, but has no power
				y.owed, y.next = 0, math.Inf(1)
			}
		}
		next = lesser(next, y.next)
	}
	w.next = next
}

// power gives power to some of what cycles by itself, and to no other.
func (w *whole) power(fed int, now float64) {
	changed := fed ^ w.fed
	next := math.Inf(1)
	for k := range w.cycles {
		y, bit := &w.cycles[k], 1<<k
		if changed&bit != 0 {
			runs := w.on&bit != 0
			if runs && w.fed&bit != 0 {
				y.owed -= (1 - y.duty) * (now - y.at)
			} else {
				y.owed = lesser(y.owed+y.duty*(now-y.at), y.most)
			}
			y.at = now
			switch {
			case !runs: // it pauses, and gets warmer either way
			case fed&bit != 0:
				y.next = now + greater(0, y.owed+y.stroke)/(1-y.duty)
			default:
				y.next = math.Inf(1)
			}
		}
		next = lesser(next, y.next)
	}
	w.fed, w.next = fed, next
}
