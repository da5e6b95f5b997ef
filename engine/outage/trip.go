package outage

import (
	"math"
	"slices"

	"candleclock/engine/inverter"
	"candleclock/engine/load"
	"candleclock/engine/plan"
	"candleclock/engine/start"
	"candleclock/engine/units"
)

// trip is what an inverter trips by. Its limits are held, with a tenth to spare
// (inverter.Limits.Spared), against what each load draws in a case and not against
// what the plan tells: running, W and VA, and at each start, W and VA. A start is
// as it is told, and in VA that by the power factor the thing runs at.
//
// Counted on is the worst that may be on together: all that is due, each thing that
// goes on and off by itself at its peak, and the hardest of those starting again
// beside all the rest. Sooner or later they coincide, and which minute that is
// nobody knows; so it is taken to be at once. Switched on by hand they go in the
// order of start.Order: all of them as the outage begins and after the supply was
// empty, and at a change of the schedule those that it brings, beside what is on.
type trip struct {
	inverter.Limits // with a tenth to spare

	// What can't start by what is told of its start and of the inverter is never on.
	// Where the start is only guessed, or the inverter, the hours count it as on and
	// Through as without, so that neither is the hopeful one.
	never, doubted []bool

	loads   []starting
	ordered bool // the spans know what comes on, and in which order
}

// starting is what a load draws as the plan tells of it.
type starting struct {
	count    float64
	one      float64 // W, running, of one
	first    float64 // W, in the first moment of one
	va       float64 // by W
	itself   bool    // starts again by itself
	needLess int     // load.Rank.Order
}

func newTrip(p plan.Plan, limit inverter.Limits) trip {
	n := len(p.Loads)
	t := trip{Limits: limit.Spared(), never: make([]bool, n), doubted: make([]bool, n), loads: make([]starting, n)}
	for i, l := range p.Loads {
		if l.Off || l.Outlet != load.AC {
			continue
		}
		if why, guessed := start.Alone(l, limit); why == start.HardStart {
			t.doubted[i] = guessed || p.Supply.Inverter.Continuous == 0
			t.never[i] = !t.doubted[i]
		}
		s := starting{count: float64(max(l.Count, 1)), va: 1, itself: l.CyclesItself, needLess: l.Rank.Order()}
		if w := float64(l.Peak()); w > 0 {
			s.va = float64(l.Apparent()) / w
		}
		s.one = float64(l.Peak()) / s.count
		if first, _ := l.Start(); first > l.Running {
			s.first = float64(first)
		}
		t.loads[i] = s
	}
	return t
}

// sum is what is asked of the inverter at once.
type sum struct{ watts, va float64 }

// add switches so many times a load on that draws so many times what is told.
func (s *sum) add(l *starting, times, factor float64) {
	w := times * l.count * l.one * factor
	s.watts += w
	s.va += w * l.va
}

// atLeast takes what is more, W and VA each.
func (s *sum) atLeast(o sum) { s.watts, s.va = greater(s.watts, o.watts), greater(s.va, o.va) }

// more is what the start of one asks beyond its running draw.
func (l *starting) more(factor float64) sum {
	w := greater(0, l.first-l.one*factor)
	return sum{w, w * l.va}
}

// factorOf is how many times what is told a load draws while it runs.
func factorOf(c *Case, load int) float64 {
	switch {
	case c.Draw == nil:
		return 1
	case c.Duty == nil:
		return c.Draw[load]
	}
	return c.Draw[load] / c.Duty[load]
}

// asks is what a span asks of the inverter at a level of dropping, when those given
// come on in their order, beside the others that are on: running, and in the
// moment of the hardest start.
func (r *Rig) asks(c *Case, i, level int, coming []int) (running, starts sum) {
	t, s := &r.trip, &r.spans[i]
	var again sum
	for _, n := range s.on[:s.onTo[level]] {
		l, factor := &t.loads[n], factorOf(c, n)
		running.add(l, 1, factor)
		if l.itself {
			again.atLeast(l.more(factor))
		}
	}
	starts = sum{running.watts + again.watts, running.va + again.va}
	on := running
	dropped := func(l *starting) bool { return l.needLess >= levels-level }
	for _, n := range coming {
		if l := &t.loads[n]; !dropped(l) {
			on.add(l, -1, factorOf(c, n))
		}
	}
	for _, n := range coming {
		l, factor := &t.loads[n], factorOf(c, n)
		if dropped(l) {
			continue
		}
		on.add(l, 1, factor)
		more := l.more(factor)
		starts.atLeast(sum{on.watts + more.watts, on.va + more.va})
	}
	return running, starts
}

// trips reports whether that is too much for it.
func (r *Rig) trips(c *Case, i, level int, coming []int) bool {
	running, starts := r.asks(c, i, level, coming)
	return r.trip.over(running, starts)
}

// over reports whether what runs, or what starts, is beyond the limits.
func (t *trip) over(running, starts sum) bool {
	const rounding = 1 + 1e-9 // what just fits is added up in any order
	return running.watts > float64(t.Continuous)*rounding || running.va > float64(t.ContinuousVA)*rounding ||
		starts.watts > float64(t.Surge)*rounding || starts.va > float64(t.SurgeVA())*rounding
}

// safe reports whether a span can't trip it, in whatever order its things come on:
// not even where the hardest start comes beside all the rest.
func (r *Rig) safe(c *Case, s *span) bool {
	var running, hardest sum
	for _, n := range s.on {
		l, factor := &r.trip.loads[n], factorOf(c, n)
		running.add(l, 1, factor)
		hardest.atLeast(l.more(factor))
	}
	return !r.trip.over(running, sum{running.watts + hardest.watts, running.va + hardest.va})
}

// inOrder is loads in the order in which to switch them on.
func (r *Rig) inOrder(of []int) []int {
	of = slices.Clone(of)
	slices.SortStableFunc(of, func(a, b int) int { return start.HarderFirst(r.loads[a], r.loads[b]) })
	return of
}

// order finds what comes on as each span begins: none of it is needed by Run.
func (r *Rig) order() {
	if r.trip.ordered {
		return
	}
	r.trip.ordered = true
	for i := range r.spans {
		s, before := &r.spans[i], &r.spans[(i+len(r.spans)-1)%len(r.spans)]
		s.all = r.inOrder(s.on)
		s.fresh = slices.DeleteFunc(slices.Clone(s.all), func(n int) bool { return slices.Contains(before.on, n) })
	}
}

// mayTrip reports whether the inverter may trip anywhere in a day under c, whether a
// span is entered or begun with, or where the rules drop things as they come back.
func (r *Rig) mayTrip(c *Case, drops bool) bool {
	for i := range r.spans {
		s := &r.spans[i]
		if !r.safe(c, s) && (drops || r.trips(c, i, 0, s.fresh) || r.trips(c, i, 0, s.all)) {
			return true
		}
	}
	return false
}

// watch trips the inverter where what is now on, or comes on, is too much for it.
func (w *whole) watch(c *Case, i int, now float64) {
	before := w.seen
	w.seen = [2]int{i, w.state}
	if w.tripped == 1 || w.state == off || w.seen == before {
		return
	}
	s := &w.rig.spans[i]
	coming := s.fresh
	switch {
	case before[1] < 0 || before[1] == off:
		coming = s.all
	case before[1] > w.state: // what had been dropped comes back
		w.coming = w.coming[:0]
		for _, n := range s.all {
			if w.rig.trip.loads[n].needLess >= levels-before[1] || slices.Contains(s.fresh, n) {
				w.coming = append(w.coming, n)
			}
		}
		coming = w.coming
	case before[0] == i:
		coming = nil
	}
	if w.rig.trips(c, i, w.state, coming) {
		w.tripped, w.trippedAt = 1, (now-w.begin)/60
	}
}

// Trips is when the inverter first trips under c, in hours since the start, with
// all that is due on and the supply never empty; +Inf where that does not happen
// within the hours given. No course is followed for it: what Through tells with its
// rules trips no sooner, but for things that were dropped and come back.
func (r *Rig) Trips(c Case, until units.Hours) units.Hours {
	r.order()
	i, midnight, begin := r.spanAt(r.start), 0.0, float64(r.start)
	coming := r.spans[i].all
	for since := 0.0; since <= float64(load.Day) && since < float64(until)*60; {
		if r.trips(&c, i, 0, coming) {
			return units.Hours(since / 60)
		}
		since = midnight + r.spans[i].until - begin
		i, midnight = r.after(i, midnight)
		coming = r.spans[i].fresh
	}
	return units.Hours(math.Inf(1))
}

// Asks is what an inverter must be made for, W and VA, that never trips under c and
// has no more for a moment than for long: a tenth above the most that is asked of it
// in a day. What it can't carry or start by what the plan tells is not counted.
func (r *Rig) Asks(c Case) (most float64) {
	r.order()
	for i := range r.spans {
		for _, coming := range [][]int{r.spans[i].all, r.spans[i].fresh} {
			running, starts := r.asks(&c, i, 0, coming)
			most = max(most, running.watts, running.va, starts.watts, starts.va)
		}
	}
	one := inverter.Limits{Continuous: 1}.Spared()
	return most / float64(one.Continuous)
}
