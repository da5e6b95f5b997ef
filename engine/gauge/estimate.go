package gauge

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"

	"candleclock/engine/load"
	"candleclock/engine/odds"
	"candleclock/engine/outage"
	"candleclock/engine/plan"
	"candleclock/engine/units"
)

// Range is a figure and how sure it is: the 10th, 50th and 90th percentile.
type Range struct{ Low, Likely, High float64 }

// Estimate is what the readings tell. Times are hours since the plan's start,
// +Inf beyond outage.Horizon.
type Estimate struct {
	CountOn, Likely, AtBest units.Hours // as odds.Runtime has them

	// Pace is how much faster the charge goes than was likely by the plan: 1.2
	// is a fifth faster. It is what a gauge tells. Whether the loads draw more or
	// the battery holds less is not to be seen from it.
	Pace Range

	// Doubt lists the readings, by their place in the log, that can't well be
	// true beside the plan and the other readings: a charge that rose without
	// charging, or fell faster than anything explains. Where either of two may
	// be wrong both are listed, and the times take both into account.
	Doubt []int

	draws   []draw // shortest first
	total   float64
	squares float64 // of the weights

	cases    []outage.Case // of the draws, from the last reading
	history  *history
	plan     plan.Plan
	readings []Reading // in order of time
	place    []int     // of each reading in the log
}

// draw is one set of circumstances.
type draw struct {
	n                 int // in the order they were drawn
	end, pace, weight float64
}

// What the readings are weighed by. Where nothing else is said it is common
// practice.
const (
	// wrong is the share of readings that tell nothing, misread, mistyped, or at the
	// wrong time, among those that part a charge that rose; seldom among those that
	// leave one that only fell: a gauge that stays lit is believed.
	wrong, seldom = 0.02, 0.001
	// doubtful is the chance of being wrong from which a reading is listed.
	doubtful = 0.25

	// A household may draw otherwise than its plan tells by a factor of its own, a
	// triangle of offBy doublings either way, beside what its loads are off by. With a
	// chance of slow it draws less than that, rarely by most of it, since what is listed
	// is often not on; with one of fast more, by up to four times.
	offBy         = 0.35
	slow, idlest  = 0.12, 3.5
	fast, fastest = 0.04, 2.0
	// slowest is the least share of its draw that a thing is counted on for after the
	// last reading because all together drew less before it.
	slowest = 0.85
	// atEnd is the chance that the gauge shows 0 when the supply gives out, and not
	// what it keeps back (from memory: most do).
	atEnd = 0.8
	// synced is the chance that a gauge which shows 100 % has just been set to it by a
	// full charge, and so far leans by syncedBy at most (from memory: most are set so,
	// but not each is at once).
	synced, syncedBy = 0.4, 0.02
	// unknown is the chance that something is plugged in that the plan does not
	// know: from leastBeside to mostBeside, W, the small more often.
	unknown                 = 0.25
	leastBeside, mostBeside = 3.0, 40.0
	// likeReadings is the share of the draws whose pace is taken as the readings
	// have it; that of the others is any.
	likeReadings = 0.8
)

// Of what a supply holds the odds count with what new ones are sold with. Where
// readings are to be explained it may be less: 0.82 to 1 of the label (from memory:
// what independent tests of stations find).
var holds = triangle{0.82, 0.95, 1}

// triangle is a triangular distribution.
type triangle struct{ low, mode, high float64 }

// even is a uniform distribution.
type even struct{ low, high float64 }

func (d even) at(u float64) float64 { return d.low + (d.high-d.low)*u }

func (d triangle) at(u float64) float64 {
	span := d.high - d.low
	if m := (d.mode - d.low) / span; u < m {
		return d.low + math.Sqrt(u*span*(d.mode-d.low))
	}
	return d.high - math.Sqrt((1-u)*span*(d.high-d.mode))
}

// leans is how a gauge leans.
var leans = even{-plan.GaugeLean, plan.GaugeLean}

// doublings is log₂ of f within a hundredth from a half to two, and flatter beyond;
// a series, so that it is the same to the bit on every machine.
func doublings(f float64) float64 {
	t := (f - 1) / (f + 1)
	return 2 / math.Ln2 * t * (1 + t*t/3)
}

// offDensity is how likely a household is off by f, by the doubling.
func offDensity(f float64) float64 { return offDoublings(doublings(f), offBy) }

func offDoublings(x, by float64) float64 {
	d := (1 - slow - fast) * max(0, 1-math.Abs(x)/by) / by
	switch {
	case -idlest < x && x < 0:
		d += 2 * slow / idlest * (1 + x/idlest)
	case 0 < x && x < fastest:
		d += fast / fastest
	}
	return d
}

// biasSeed is for what only the readings bring in.
const biasSeed = 3

// Read weighs circumstances, those that odds counts with and more, by how well
// each explains the readings: Bayes' rule with each reading an interval (see
// Reading), a small share of readings that are plainly wrong, and
//   - a gauge that leans the same way all along, and shows 0 when the supply gives
//     out or what it keeps back;
//   - a household that draws otherwise than planned by a factor common to all;
//   - something plugged in that the plan does not know;
//   - a battery that holds less than new ones do.
//
// Each draw keeps its own draw of every load through the night. A household that
// is off towards more stays so. One that drew less than its things' own spreads
// explain may have had something listed that was not on, which may come on: from
// the last reading on only what ran before it, and was not measured, draws less than
// the draw has it draw, by a little (see slowest). The charge at the first
// reading is summed over, not drawn. The pace of each draw is drawn near those
// that explain the readings and weighed by how likely it was before them
// (importance sampling), so that enough draws are left where readings tell much.
// Without readings the times are those of odds.Runtime.
//
// The plan tells the charge at its start, a reading itself where its log says so,
// its switches as they are now, and the schedule. Nothing may have been charged
// between its start and the last reading. The box figure bounds Count on and
// Likely as in odds, counted from the last reading. Where the
// last reading shows that something is left, nothing ends before it.
//
// The plan must hold a supply. The error is a *doc.Error.
func Read(p plan.Plan, s *odds.Sampler, readings []Reading, changes []Change) (Estimate, error) {
	if err := check(p, readings, changes); err != nil {
		return Estimate{}, err
	}
	readings, changes, place := inOrder(readings, changes)
	e := Estimate{plan: p, readings: readings, place: place, history: newHistory(p, readings, changes)}
	if len(readings) == 0 {
		e.plain(s)
	} else {
		e.weighed(s)
	}
	e.sum(e.draws)
	e.Pace = e.spread(func(d draw) float64 { return d.pace })
	box := e.box()
	e.Likely = min(e.Quantile(0.5), box)
	e.CountOn = min(e.Quantile(odds.Spared(len(e.draws), e.total, e.squares)/e.total), box)
	e.AtBest = max(min(e.Quantile(0.9), box), e.Likely)
	return e, nil
}

// plain is what there is without readings.
func (e *Estimate) plain(s *odds.Sampler) {
	expected := min(e.history.run(odds.Middle(e.plan), nil), outage.Horizon)
	s.Cases(e.plan, func(c outage.Case) {
		c.Draw, c.Duty = slices.Clone(c.Draw), slices.Clone(c.Duty)
		d := draw{n: len(e.draws), end: float64(e.history.run(c, nil)), weight: 1, pace: 1}
		if end := min(d.end, float64(outage.Horizon)); end > 0 {
			d.pace = float64(expected) / end
		}
		e.draws, e.cases = append(e.draws, d), append(e.cases, c)
	})
}

// strata are so many quantiles in a random order.
type strata []float64

func newStrata(random *rand.Rand, n int) strata {
	u := make(strata, n)
	for i, k := range random.Perm(n) {
		u[i] = (float64(k) + 0.5) / float64(n)
	}
	return u
}

// weighed draws circumstances and weighs them by the readings.
func (e *Estimate) weighed(s *odds.Sampler) {
	n, h := s.Draws(), e.history
	random := rand.New(rand.NewPCG(biasSeed, uint64(n)))
	uHolds, uLean, uEnd := newStrata(random, n), newStrata(random, n), newStrata(random, n)
	uSynced := newStrata(random, n)
	uBeside, uPace, uStart, uGrid := newStrata(random, n), newStrata(random, n), newStrata(random, n), newStrata(random, n)

	seen := newLevels(e.plan, e.readings)
	used := make([]float64, len(e.readings)) // of a full charge, at each reading
	kept := make([]float64, 0, len(e.readings))
	last := len(used) - 1

	middle := odds.Middle(e.plan)
	middle.SOC = 1
	expected, store := h.used(middle, used)
	proposal := newPaces(seen, e.plan, used, float64(store.Cut/(store.Rated-store.Age)), expected > 0)
	told := e.told()
	fits := make([]float64, 0, n*len(e.readings))
	s.Cases(e.plan, func(c outage.Case) {
		i := len(e.draws)
		c.Draw, c.Duty = slices.Clone(c.Draw), slices.Clone(c.Duty)
		soc := c.SOC
		c.SOC = 1
		if e.plan.Supply.Battery.Health == nil {
			c.Capacity = holds.at(uHolds[i])
		}
		if u := uBeside[i] / unknown; u < 1 {
			c.Beside = leastBeside + (mostBeside-leastBeside)*u*u
		}
		// How fast it is against the middle says by what factor it must be off to
		// go at the pace that is proposed.
		relative := 1.0
		if expected > 0 {
			if all, _ := h.used(c, used); all > 0 {
				relative = all / expected
			}
		}
		pace, density := proposal.at(uPace[i])
		f := pace / relative
		for j := range c.Draw {
			c.Draw[j] *= f
		}
		c.Idle *= f
		all, store := h.used(c, used)
		cut := float64(store.Cut / (store.Rated - store.Age))
		zero := uEnd[i] < atEnd
		scale, floor := 1-cut, cut // what the gauge makes of what can be given
		if zero {
			scale, floor = 1, 0
		}
		kept = kept[:0]
		for _, u := range used {
			kept = append(kept, u*scale)
		}
		l := look{used: kept, floor: floor, least: floor, most: 1, lean: leans.at(uLean[i]), exact: soc, dither: uGrid[i], pick: uStart[i]}
		if zero {
			l.exact = (soc - cut) / (1 - cut)
		}
		weight := offDensity(f) / density
		switch full := seen.counted && seen.first.Low >= plan.FullFrom-0.01; {
		case full && uSynced[i] < synced:
			l.least, l.lean = 1-syncedBy, l.lean/plan.GaugeLean*syncedBy
			weight /= syncedBy
		case full:
			weight /= plan.GaugeLean
		}
		weight *= seen.weigh(&l)
		d := draw{n: i, pace: 1, weight: weight}
		if expected > 0 {
			d.pace = all / expected
		}
		c.SOC = l.level - l.lean - kept[last]
		if zero {
			c.SOC = cut + (1-cut)*c.SOC
		}
		c.SOC = min(max(c.SOC, 0), 1)
		if f < 1 { // see Read: a slower past is hardly counted on for what is to come
			for j := range c.Draw {
				c.Draw[j] /= f
				if told[j] {
					c.Draw[j] *= max(f, slowest)
				}
			}
			c.Idle /= f
		}
		rest := h.onward(c, nil)
		if rest <= 0 && e.readings[last].lit() {
			d.weight *= seldom // a gauge that is lit is not empty
		}
		d.end = float64(h.seen() + rest)
		for k, r := range seen.readings {
			now := l.level - kept[seen.place[k]]
			fits = append(fits, r.fits(now, now-l.lean <= floor, floor, 0))
		}
		e.draws, e.cases = append(e.draws, d), append(e.cases, c)
	})
	most := 0.0
	for _, d := range e.draws {
		most = max(most, d.weight)
	}
	for i := range e.draws {
		if most > 0 {
			e.draws[i].weight /= most
		} else {
			e.draws[i].weight = 1 // nothing explains it: all that may be
		}
	}
	of := make([]int, len(seen.place))
	for k, i := range seen.place {
		of[k] = e.place[i]
	}
	e.Doubt = doubts(e.draws, fits, seen.readings, of)
}

// told tells of which loads the readings may tell that they draw less: they ran
// between the first and the last, and their watts were not measured.
func (e *Estimate) told() []bool {
	told := make([]bool, len(e.plan.Loads))
	from, to := e.plan.Outage.Starts, e.readings[len(e.readings)-1].At
	for i, l := range e.plan.Loads {
		for at := from; l.Basis != load.Measured && !told[i] && to.Since(at) > 0; at = at.After(0.25) {
			told[i] = l.OnAt(at.Minute())
		}
	}
	return told
}

// doubts lists the readings that are wrong in a good part of what explains all.
func doubts(draws []draw, fits []float64, readings []Reading, place []int) []int {
	var out []int
	for k, r := range readings {
		chance := r.wrong() * r.byChance()
		all, bad := 0.0, 0.0
		for i, d := range draws {
			all += d.weight
			bad += d.weight * chance / ((1-r.wrong())*fits[i*len(readings)+k] + chance)
		}
		if bad > doubtful*all {
			out = append(out, place[k])
		}
	}
	slices.Sort(out)
	return out
}

// sum puts the draws in order.
func (e *Estimate) sum(draws []draw) {
	e.draws = slices.Clone(draws)
	slices.SortStableFunc(e.draws, func(a, b draw) int { return cmp.Compare(a.end, b.end) })
	for _, d := range e.draws {
		e.total += d.weight
		e.squares += d.weight * d.weight
	}
}

// Quantile is the time by which the supply is empty with a chance of q, 0 to 1,
// not bounded by the box figure.
func (e Estimate) Quantile(q float64) units.Hours {
	sum := 0.0
	for _, d := range e.draws {
		// At the middle the shorter of two, as odds has it.
		if sum += d.weight; sum > q*e.total || q == 0.5 && sum == q*e.total {
			return units.Hours(d.end)
		}
	}
	return units.Hours(e.draws[len(e.draws)-1].end)
}

// Lasts is the chance that the supply lasts at least until h.
func (e Estimate) Lasts(h units.Hours) float64 {
	sum := 0.0
	for _, d := range e.draws {
		if d.end >= float64(h) {
			sum += d.weight
		}
	}
	return sum / e.total
}

// spread is the range of a figure of the draws.
func (e Estimate) spread(of func(draw) float64) Range {
	by := slices.Clone(e.draws)
	for i, d := range by {
		by[i].end = of(d)
	}
	var f Estimate
	f.sum(by)
	return Range{float64(f.Quantile(0.1)), float64(f.Quantile(0.5)), float64(f.Quantile(0.9))}
}

// box is the box figure counted from the last reading.
func (e Estimate) box() units.Hours {
	p := e.fromLast()
	return p.Outage.Starts.Since(e.plan.Outage.Starts) + outage.NewRig(p).Box(p.Outage.SOC)
}

// fromLast is the plan from the last reading on, with the most charge that it may
// tell.
func (e Estimate) fromLast() plan.Plan {
	p := e.plan
	if n := len(e.readings); n > 0 {
		r := e.readings[n-1]
		p.Outage.Starts, p.Outage.SOC = r.At, min(1, r.High+r.Error)
	}
	return p
}

// Onward is the rest of the outage, from a moment at or after the last of the
// log: the plan from then on, with the charge that the box figure has left, and
// the circumstances there may be, weighed by the readings. What chances.CountOn
// tells of it, with things switched from then on, is what Read would tell if
// they were in its log; by the box figure it may be less.
func (e Estimate) Onward(at plan.Moment) (plan.Plan, odds.Chances) {
	p := e.fromLast()
	gone := at.Since(p.Outage.Starts)
	box := outage.NewRig(p).BoxFloor(p.Outage.SOC, gone)
	p.Outage.Starts, p.Outage.SOC, p.Outage.SOCLow = at, 0, nil
	if box.Has > box.Need {
		p.Outage.SOC = float64((box.Has - box.Need) / p.Supply.Battery.Capacity)
	}

	until := at.Since(e.plan.Outage.Starts)
	all := make(odds.Chances, 0, len(e.draws))
	for _, d := range e.draws {
		c := e.cases[d.n]
		c.SOC = e.history.chargeAt(c, until)
		all = append(all, odds.Chance{Case: c, Weight: d.weight})
	}
	return p, all
}
