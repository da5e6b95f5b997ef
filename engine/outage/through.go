package outage

import (
	"cmp"
	"math"
	"slices"

	"candleclock/engine/aids"
	"candleclock/engine/charge"
	"candleclock/engine/load"
	"candleclock/engine/plan"
	"candleclock/engine/units"
)

// A course through the whole outage is in one of these states at any time. In the
// first three, the levels of dropping, all that fits is on; all but comfort; what
// is vital only.
const (
	levels = 3
	off    = levels // the supply has shut down
	states = levels + 1
)

// stays is for how long what was dropped, a supply that shut down and a generator
// that was stopped stay so, minutes (common practice).
const stays = 5

// lastFuel is for how long the fuel must last for a generator to run, minutes:
// it counts as used up then.
const lastFuel = 1

// rules is what a plan says of an outage beside its loads and the supply's battery
// and inverter.
type rules struct {
	cold            bool    // at night
	comfort, useful float64 // state of charge from which on they are dropped; below 0: never
	back            float64 // share of the usable energy after which an empty supply comes back
	one             bool    // only one input at a time
	feeds           []feed
}

// feed is a refill with what it brings.
type feed struct {
	plan.Refill
	watts float64
	line  aids.Willans // of the generator
	burns float64      // litres an hour at watts
	stop  float64      // state of charge at which one that goes by the charge stops
}

func rulesOf(p plan.Plan) rules {
	never := func(soc *float64) float64 {
		if soc == nil {
			return -1
		}
		return *soc
	}
	o := &p.Outage
	u := rules{
		cold:    p.Supply.Battery.Night != nil,
		useful:  never(o.UsefulBelow),
		comfort: max(never(o.ComfortBelow), never(o.UsefulBelow)),
		back:    p.Supply.Restarts(), one: p.Supply.OneInput,
	}
	taper := charge.Lithium
	if p.Supply.Battery.Chemistry.Lead() {
		taper = charge.Lead
	}
	for _, f := range o.Refills {
		in := feed{Refill: f, watts: float64(charge.Power(p.Supply.Inputs, f.Kind))}
		if in.watts <= 0 {
			continue
		}
		if f.Below != nil {
			in.stop = max(taper.From, min(1, *f.Below+0.1))
		}
		if f.Kind == charge.Generator {
			in.line = charge.Thirst(p.Supply.Inputs)
		}
		in.burns = in.line.LPerH(units.Watts(in.watts))
		u.feeds = append(u.feeds, in)
	}
	return u
}

// edges adds the minutes of the day at which the rules change something.
func (u *rules) edges(edges []load.Minute) []load.Minute {
	if u.cold {
		edges = append(edges, NightBegins, NightEnds)
	}
	for _, f := range u.feeds {
		if f.From != nil {
			edges = append(edges, *f.From, *f.To)
		}
	}
	return edges
}

// feedsAt are the feeds whose hours hold a minute, a bit each.
func (u *rules) feedsAt(m load.Minute) (bits int) {
	for k, f := range u.feeds {
		if f.Holds(m) {
			bits |= 1 << k
		}
	}
	return bits
}

// out is whether anything that is due is without, and whether it is vital.
type out struct{ any, vital bool }

// tally works out what stays on in each state, and who is without. The lists are
// by need, so that what is dropped stands last.
func (s *span) tally(loads []load.Load) {
	to := func(of []int, level int) int {
		n := len(of)
		for n > 0 && loads[of[n-1]].Rank.Order() >= levels-level {
			n--
		}
		return n
	}
	for state := range states {
		if state < levels {
			s.acTo[state], s.dcTo[state], s.onTo[state] = to(s.ac, state), to(s.dc, state), to(s.on, state)
		}
		for tripped := range s.out {
			for _, of := range s.without(state, tripped) {
				for _, i := range of {
					o := &s.out[tripped][state]
					o.any, o.vital = true, o.vital || loads[i].Rank == load.Vital
				}
			}
		}
	}
}

// without lists the loads that are due in a state and have no power; tripped is 1
// once the inverter has.
func (s *span) without(state, tripped int) [4][]int {
	switch {
	case state == off:
		return [4][]int{s.unmet, s.ac, s.dc}
	case tripped == 1:
		return [4][]int{s.unmet, s.ac, s.dc[s.dcTo[state]:]}
	}
	return [4][]int{s.unmet, s.doubted, s.on[s.onTo[state]:], s.dc[s.dcTo[state]:]}
}

// split lists the loads that are due in a state: with power and without.
func (s *span) split(state, tripped int) (on, without []int) {
	lacking := s.without(state, tripped)
	without = slices.Concat(lacking[:]...)
	switch {
	case state == off:
		return nil, without
	case tripped == 1:
		return slices.Clone(s.dc[:s.dcTo[state]]), without
	}
	return slices.Concat(s.on[:s.onTo[state]], s.dc[:s.dcTo[state]]), without
}

// Whole is how a whole outage went.
type Whole struct {
	Outcome

	// When a load that was due was first without power, since the start: one
	// that is vital, and any at all; +Inf when that never happened. Where no
	// vital load is on, and nothing at all, the one stands for the other, and
	// the supply's own end for both.
	VitalOut, AnyOut units.Hours

	// Without is for how long each load of the plan was due and without power:
	// the supply was empty, it had been dropped, or the inverter could not carry
	// it. The next course uses it again.
	Without []units.Hours

	Tripped units.Hours // when the inverter tripped, since the start; +Inf: never

	Least  units.WattHours // the least that was left
	Litres float64         // of fuel burnt
}

// Through follows the outage under c for the hours given, at most Horizon, as the
// household would live through it: an empty supply comes back once it is charged
// again, loads are dropped by the plan's rules and come back, a vehicle's socket
// and a generator charge by them, what cycles by itself goes on and off, and the
// battery's room cools at night. see, when not nil, is shown each step in turn.
//
// What the inverter can't carry beside all else at its peak by what the plan tells
// is out all the time: its owner leaves it unplugged. What is left may trip it all
// the same, where c has it draw more: see trip. All AC is then without until the
// end, for nobody resets it; 12 V and USB go on. The charge is counted as if it had
// held, for somebody may reset it and it may trip again: no trip makes anything
// else last longer. A compressor that was without power, whatever the reason but a
// trip, runs longer afterwards.
func (r *Rig) Through(c Case, until units.Hours, see func(Step)) Whole {
	if r.whole == nil {
		r.whole = r.newWhole()
	}
	w := r.whole
	r.factors(&c)
	o := Whole{Outcome: r.follow(&c, until, see, w)}
	return w.end(o)
}

// mostCycles bounds how many loads go on and off by themselves in a course, and
// mostFlows what is kept of the flows that their combinations make; the smaller
// loads beyond are taken at their average.
const (
	mostCycles = 6
	mostFlows  = 1 << 14
)

// whole is the state of a course through a whole outage.
type whole struct {
	rig   *Rig
	rules *rules
	able  []cycle // loads that could cycle
	slot  []int   // by load: which of them; -1: none

	cycles []cycle // of this course: able, or none
	on     int     // which of them run, a bit each
	next   float64 // when the first of them is switched
	fed    int     // which of them have power, a bit each
	reach  []int   // by level and span, which of able have power

	flows  []flows // by level, span and which cycles run
	shift  int
	course uint32

	state           int             // a level or off
	level           int             // to come back to
	offFor, dropFor float64         // minutes from midnight before the start
	dropAt, backAt  [levels]float64 // Wh left
	bounds          [4]float64      // Wh left, by which feeds' hours it is: the highest at which something is switched
	feeding         bool            // a feed runs
	feeds           [2]struct {
		starts, stops, fuel, rest float64
		runs, gives               bool
	}

	mayTrip   bool // somewhere in the day, with all that is due on
	tripped   int  // 1 once it has
	trippedAt float64
	seen      [2]int // the span and state of the last step; −1: none
	coming    []int  // scratch

	begin   float64
	hours   []float64  // by whether it has tripped, span and state
	first   [2]float64 // any, vital; hours since the start
	noted   float64    // the minute from which on first has all there is
	least   float64
	litres  float64
	without []units.Hours
}

// flows is what flows in a state of things, worked out once a course.
type flows struct {
	bus
	course uint32
}

var none bus

func (r *Rig) newWhole() *whole {
	r.order()
	w := &whole{rig: r, rules: &r.rules, slot: make([]int, len(r.loads)),
		hours: make([]float64, 2*len(r.spans)*states), without: make([]units.Hours, len(r.loads))}
	for i, l := range r.loads {
		w.slot[i] = -1
		if minutes, duty, ok := l.Cycles(); ok && !l.Off {
			w.able = append(w.able, newCycle(i, minutes, duty))
		}
	}
	slices.SortStableFunc(w.able, func(a, b cycle) int {
		return cmp.Compare(r.loads[b.load].Peak(), r.loads[a.load].Peak())
	})
	w.able = w.able[:min(len(w.able), mostCycles)]
	for levels*len(r.spans)<<len(w.able) > mostFlows { // even a day of minutes has room with none
		w.able = w.able[:len(w.able)-1]
	}
	w.shift = len(w.able)
	for k, c := range w.able {
		w.slot[c.load] = k
	}
	w.flows = make([]flows, levels*len(r.spans)<<w.shift)
	w.findReach()
	return w
}

// start sets out on a course under c from a minute.
func (w *whole) start(c *Case, e *cell, begin float64) {
	w.course++
	if w.course == 0 { // once in four billion
		clear(w.flows)
		w.course = 1
	}
	w.begin, w.state, w.level = begin, 0, 0
	w.offFor, w.dropFor = 0, 0
	w.least, w.litres = e.left, 0
	w.tripped, w.trippedAt, w.seen = 0, math.Inf(1), [2]int{-1, -1}
	w.first, w.noted = [2]float64{math.Inf(1), math.Inf(1)}, math.Inf(1)
	clear(w.hours)
	for level, soc := range [levels]float64{1: w.rules.comfort, 2: w.rules.useful} {
		w.dropAt[level] = -1
		if at := e.at(soc); at > 0 {
			w.dropAt[level], w.backAt[level] = at, e.at(soc+plan.BackAbove)
		}
	}
	w.mayTrip = w.rig.mayTrip(c, w.dropAt[1] >= 0)
	w.feeding = false
	for bits := range w.bounds {
		w.bounds[bits] = w.dropAt[1] // comfort goes first
	}
	for k := range w.rules.feeds {
		f, g := &w.rules.feeds[k], &w.feeds[k]
		g.runs, g.gives, g.rest = false, false, 0
		g.fuel = math.Inf(1)
		if f.Kind == charge.Generator {
			g.fuel, _ = f.Fuel()
		}
		g.starts = math.Inf(1)
		if f.Below != nil {
			g.starts, g.stops = e.at(*f.Below), e.at(f.stop)
		}
		for bits := range w.bounds {
			if bits>>k&1 == 1 {
				w.bounds[bits] = max(w.bounds[bits], g.starts)
			}
		}
	}
	w.cycles, w.on, w.fed, w.next = nil, 0, 0, math.Inf(1)
	if c.Phase == nil {
		return
	}
	w.cycles = w.able
	w.setOut(c)
}

// work works out what flows in a span at the level of dropping, as the cycles
// stand.
func (w *whole) work(f *flows, c *Case, i int) {
	f.course = w.course
	r, s := w.rig, &w.rig.spans[i]
	sum := func(of []int) (watts float64) {
		for _, l := range of {
			switch k := w.slot[l]; {
			case k < 0 || len(w.cycles) == 0:
				watts += r.drawn[l] * s.times(l)
			case w.on>>k&1 == 1:
				watts += r.drawn[l] / w.cycles[k].duty
			}
		}
		return watts
	}
	ac := s.ac[:s.acTo[w.level]]
	f.bus = r.flow(c, sum(ac), sum(s.dc[:s.dcTo[w.level]]), r.idles || len(ac) > 0)
	if len(w.cycles) == 0 {
		f.bus.swing = s.swing
	}
}

// still reports that in a span nothing but cycles is to be switched, with so much
// left, nor before bounds of the span is reached.
func (w *whole) still(s *span, left float64) bool {
	return left > w.bounds[s.feeds] && w.level == 0 && w.state != off && !w.feeding
}

// turn switches at a minute what is to be switched by the rules, and finds until
// when that holds at most, and what bounds it. Of one input at a time the sun may
// be the one that is unplugged.
func (w *whole) turn(i int, now, edge, sun float64, e *cell, way *way) (until, sunIn float64) {
	if w.feeding || w.rig.spans[i].feeds != 0 {
		edge = w.feed(i, now, edge, e, way)
	}
	if w.level > 0 || e.left <= w.dropAt[1]+nothing(e) { // comfort goes first
		edge = w.drop(now, edge, e, way)
	}
	if w.state != off {
		w.state = w.level
	} else {
		edge = w.restart(now, edge, e, way)
	}
	if way.off = w.state == off; !way.off && w.level < levels-1 {
		way.low = greater(way.low, w.dropAt[w.level+1])
	}
	if w.feeding {
		return w.plug(now, edge, sun, way)
	}
	return edge, sun
}

// nothing is a difference of charge that is none, Wh.
func nothing(e *cell) float64 { return speck * float64(e.model.Usable) }

// feed starts and stops the vehicle's socket and the generator, and bounds the
// step by when that is next due.
func (w *whole) feed(i int, now, edge float64, e *cell, way *way) float64 {
	w.feeding = false
	for k := range w.rules.feeds {
		f, g := &w.rules.feeds[k], &w.feeds[k]
		open := w.rig.spans[i].feeds>>k&1 == 1 && g.fuel*60 > f.burns*lastFuel
		switch {
		case !open:
			g.runs = false
			continue
		case f.Below == nil:
			g.runs, w.feeding = true, true
			continue
		case g.runs && e.left >= g.stops-nothing(e):
			g.runs, g.rest = false, now+stays
		case !g.runs && now >= g.rest && e.left <= g.starts+nothing(e):
			g.runs = true
		}
		switch {
		case g.runs:
			w.feeding = true
			way.high = lesser(way.high, g.stops)
		case now < g.rest:
			edge = lesser(edge, g.rest)
		default:
			way.low = greater(way.low, g.starts)
		}
	}
	return edge
}

// drop drops loads and takes them back.
func (w *whole) drop(now, edge float64, e *cell, way *way) float64 {
	for w.level < levels-1 && w.dropAt[w.level+1] >= 0 && e.left <= w.dropAt[w.level+1]+nothing(e) {
		w.level++
		w.dropFor = now + stays
	}
	for w.level > 0 && now >= w.dropFor && e.left >= w.backAt[w.level]-nothing(e) {
		w.level--
	}
	switch {
	case w.level == 0:
	case now < w.dropFor:
		edge = lesser(edge, w.dropFor)
	default:
		way.high = lesser(way.high, w.backAt[w.level])
	}
	return edge
}

// restart brings a supply back that had shut down, once it has been charged.
func (w *whole) restart(now, edge float64, e *cell, way *way) float64 {
	full := float64(e.model.Usable)
	enough := lesser(e.floor+w.rules.back*full, full)
	switch {
	case now < w.offFor:
		edge = lesser(edge, w.offFor)
	case full <= 0: // never again
	case e.left >= enough-nothing(e):
		w.state = w.level
	default:
		way.high = lesser(way.high, enough)
	}
	return edge
}

// plug adds up what comes in beside the sun, and bounds the step by its fuel.
func (w *whole) plug(now, edge, sun float64, way *way) (until, sunIn float64) {
	for k := range w.rules.feeds {
		f, g := &w.rules.feeds[k], &w.feeds[k]
		if g.gives = g.runs; !g.runs {
			continue
		}
		switch {
		case !w.rules.one:
			way.fed += f.watts
		case f.watts > greater(sun, way.fed): // charge.Together
			for other := range k {
				w.feeds[other].gives = false
			}
			sun, way.fed = 0, f.watts
		default:
			g.gives = false
		}
		if g.gives && f.burns > 0 {
			// It burns no more than that, so the last minute's fuel is met from
			// above, in ever shorter steps of a second at least.
			edge = lesser(edge, now+greater(g.fuel/f.burns*60-lastFuel, 1.0/60))
		}
	}
	return edge, sun
}

// shutDown is the supply's end at a minute, until it has been charged again.
func (w *whole) shutDown(now float64) { w.state, w.offFor = off, now+stays }

// lack notes when something was first without power.
func (w *whole) lack(i int, now float64) {
	h := (now - w.begin) / 60
	switch o := w.rig.spans[i].out[w.tripped][w.state]; {
	case o.vital:
		w.first[0], w.first[1], w.noted = lesser(w.first[0], h), h, math.Inf(-1) // no more to be noted
	case o.any:
		w.first[0] = lesser(w.first[0], h)
	}
}

// share tells which of the inputs gave what was taken in a step.
func (w *whole) share(hours, sun, fed float64, e *cell, bal *Balance) {
	// The sun is taken first, then the vehicle's socket, then the generator.
	ofSun := min(sun*hours, e.took)
	ofFed := e.took - ofSun
	bal.Sun -= units.WattHours(ofFed)
	bal.Fed += units.WattHours(ofFed)
	bal.Spilled -= units.WattHours(max(0, fed*hours-ofFed))
	for k := range w.rules.feeds {
		f, g := &w.rules.feeds[k], &w.feeds[k]
		if !g.gives || f.Kind == charge.Generator {
			continue
		}
		ofFed -= min(ofFed, f.watts*hours)
	}
	for k := range w.rules.feeds {
		f, g := &w.rules.feeds[k], &w.feeds[k]
		if g.gives && f.Kind == charge.Generator {
			burnt := f.line.Litres(units.WattHours(ofFed), units.Hours(hours))
			g.fuel = max(0, g.fuel-burnt)
			w.litres += burnt
		}
	}
}

// show tells a step who has power.
func (w *whole) show(s *span, step *Step) {
	step.Off = w.state == off
	step.Running, step.CannotRun = s.split(w.state, w.tripped)
}

// end sums the course up.
func (w *whole) end(o Whole) Whole {
	clear(w.without)
	r := w.rig
	for n, hours := range w.hours {
		i, state, tripped := n/states%len(r.spans), n%states, n/states/len(r.spans)
		if hours == 0 || !r.spans[i].out[tripped][state].any {
			continue
		}
		for _, of := range r.spans[i].without(state, tripped) {
			for _, l := range of {
				w.without[l] += units.Hours(hours)
			}
		}
	}
	o.Tripped = units.Hours(w.trippedAt)
	o.AnyOut, o.VitalOut = units.Hours(w.first[0]), units.Hours(w.first[1])
	anyOn, vitalOn := false, false
	for _, l := range r.loads {
		anyOn = anyOn || !l.Off
		vitalOn = vitalOn || !l.Off && l.Rank == load.Vital
	}
	if !anyOn {
		o.AnyOut = o.Empty
	}
	if !vitalOn {
		o.VitalOut = o.AnyOut
	}
	o.Without, o.Least, o.Litres = w.without, units.WattHours(w.least), w.litres
	return o
}
