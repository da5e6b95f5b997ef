package gauge

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"

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
	// is a fifth faster. It is what a gauge tells. Whether the loads draw more
	// or the battery holds less is not to be seen from it: Drain, a day's energy
	// against what was likely, and Capacity, what a full battery holds against
	// its label, share the blame as their spreads have it.
	Pace, Drain, Capacity Range

	// Doubt lists the readings, by their place in the log, that can't well be
	// true beside the plan and the other readings: a charge that rose without
	// charging, or fell faster than anything explains. Where either of two may
	// be wrong both are listed, and the times take both into account.
	Doubt []int

	draws   []draw // shortest first
	total   float64
	squares float64 // of the weights

	cases    []outage.Case // of the draws, from the plan's start
	plan     plan.Plan
	readings []Reading // in order of time, as the changes
	changes  []Change
	place    []int // of each reading in the log
}

// draw is one set of circumstances.
type draw struct {
	n                          int // in the order they were drawn
	end, pace, drain, capacity float64
	weight                     float64
}

// What the readings are weighed by; all common practice.
const (
	// wrong is the share of readings that tell nothing: misread, mistyped, or
	// at the wrong time.
	wrong = 0.02
	// beside is the chance that the household draws otherwise than the plan
	// tells by a factor of its own, anywhere from slowest to fastest: things
	// that are on and not in the plan, or off. Each counts as a doubling.
	beside           = 0.02
	slowest, fastest = -1.5, 2.0
	// doubtful is the chance of being wrong from which a reading is listed.
	doubtful = 0.25
)

// surprises is how many draws stand for what is beside the plan.
const surprises = 256

// biasSeed is for how the gauge leans in each draw.
const biasSeed = 3

// Read weighs the sampler's own draws, the circumstances that odds counts with,
// by how well each explains the readings: Bayes' rule with each reading an
// interval (see Reading) and a small share of readings that are plainly wrong.
// Each draw keeps its own draw of every load through the night, so the evening
// tells of the night only as far as the same things run. Some draws stand for a
// household beside its plan, so that readings far from it are followed as well.
// Without readings the times are those of odds.Runtime.
//
// The plan tells the charge at its start, its switches as they are now, and the
// schedule. Nothing may have been charged between its start and the last
// reading. The box figure bounds Count on and Likely as in odds, counted from
// the last reading that is not in doubt.
//
// The plan must hold a supply. The error is a *doc.Error.
func Read(p plan.Plan, s *odds.Sampler, readings []Reading, changes []Change) (Estimate, error) {
	if err := check(p, readings, changes); err != nil {
		return Estimate{}, err
	}
	readings, changes, place := inOrder(readings, changes)
	h := newHistory(p, readings, changes)
	present := h.parts[len(h.parts)-1].rig
	soc := make([]float64, len(readings))

	middle := odds.Middle(p)
	expected, _ := h.run(middle, soc)
	aDay := dayOf(present, middle)
	n := s.Draws()
	draws := make([]draw, 0, n+surprises)
	cases := make([]outage.Case, 0, n+surprises)
	fits := make([]float64, 0, (n+surprises)*len(readings)) // by draw, by reading
	follow := func(c outage.Case, weight, bias float64) {
		end, store := h.run(c, soc)
		d := draw{n: len(draws), end: float64(end), weight: weight, pace: 1, drain: 1,
			capacity: float64((store.Rated - store.Age) / p.Supply.Battery.Capacity)}
		if end := min(end, outage.Horizon); end > 0 {
			d.pace = float64(min(expected, outage.Horizon) / end)
		}
		if aDay > 0 {
			d.drain = dayOf(present, c) / aDay
		}
		draws, cases = append(draws, d), append(cases, c)
		for i, r := range readings {
			fits = append(fits, r.fits(soc[i], bias))
		}
	}
	random := rand.New(rand.NewPCG(biasSeed, uint64(n)))
	// stratum is the middle of one of so many equal parts of 0 to 1.
	stratum := func(order []int, i int) float64 { return (float64(order[i]) + 0.5) / float64(len(order)) }
	leans := random.Perm(n)
	s.Cases(p, func(c outage.Case) {
		c.Draw = slices.Clone(c.Draw)
		follow(c, 1, 2*stratum(leans, len(draws))-1)
	})
	leans = random.Perm(surprises)
	factors := random.Perm(surprises)
	for i := 0; i < surprises && len(readings) > 0; i++ {
		c := cases[i%n]
		factor := math.Exp2(slowest + (fastest-slowest)*stratum(factors, i))
		c.Draw = slices.Clone(c.Draw)
		for j := range c.Draw {
			c.Draw[j] *= factor
		}
		c.Idle *= factor
		follow(c, beside/(1-beside)*float64(n)/surprises, 2*stratum(leans, i)-1)
	}

	weigh(draws, fits, readings)
	e := Estimate{cases: cases, plan: p, readings: readings, changes: changes, place: place, Doubt: doubts(draws, fits, readings, place)}
	e.sum(draws)
	e.Pace = e.spread(func(d draw) float64 { return d.pace })
	e.Drain = e.spread(func(d draw) float64 { return d.drain })
	e.Capacity = e.spread(func(d draw) float64 { return d.capacity })
	box := e.box()
	e.Likely = min(e.Quantile(0.5), box)
	e.CountOn = min(e.Quantile(odds.Spared(len(e.draws), e.total, e.squares)/e.total), box)
	e.AtBest = max(min(e.Quantile(0.9), box), e.Likely)
	return e, nil
}

// dayOf is what a day takes at the battery's terminals under c, whatever the
// battery holds.
func dayOf(rig *outage.Rig, c outage.Case) float64 {
	c.SOC, c.Capacity = 1, 1e6
	b := rig.Run(c, 24, nil).Balance
	return float64(b.ToLoads + b.Conversion + b.Idle)
}

// weigh multiplies each draw's weight by how likely it makes each reading. They
// are kept near 1, so that many readings don't bring all down to 0.
func weigh(draws []draw, fits []float64, readings []Reading) {
	for k, r := range readings {
		most := 0.0
		for i := range draws {
			draws[i].weight *= (1-wrong)*fits[i*len(readings)+k] + wrong*r.byChance()
			most = max(most, draws[i].weight)
		}
		for i := range draws {
			draws[i].weight /= most
		}
	}
}

// doubts lists the readings that are wrong in a good part of what explains all.
func doubts(draws []draw, fits []float64, readings []Reading, place []int) []int {
	var out []int
	for k, r := range readings {
		chance := wrong * r.byChance()
		all, bad := 0.0, 0.0
		for i, d := range draws {
			all += d.weight
			bad += d.weight * chance / ((1-wrong)*fits[i*len(readings)+k] + chance)
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

// box is the box figure counted from the last reading that is not in doubt.
func (e Estimate) box() units.Hours {
	p := e.lastSure()
	return p.Outage.Starts.Since(e.plan.Outage.Starts) + outage.NewRig(p).Box(p.Outage.SOC)
}

// lastSure is the plan from the last reading on that is not in doubt, with the
// most charge that it may tell.
func (e Estimate) lastSure() plan.Plan {
	p := e.plan
	for i := len(e.readings) - 1; i >= 0; i-- {
		if r := e.readings[i]; !slices.Contains(e.Doubt, e.place[i]) {
			p.Outage.Starts, p.Outage.SOC = r.At, min(1, r.High+r.Error)
			break
		}
	}
	return p
}

// Onward is the rest of the outage, from a moment at or after the last of the
// log: the plan from then on, with the charge that the box figure has left, and
// the circumstances there may be, weighed by the readings. What chances.CountOn
// tells of it, with things switched from then on, is what Read would tell if
// they were in its log; by the box figure it may be less.
func (e Estimate) Onward(at plan.Moment) (plan.Plan, odds.Chances) {
	p := e.lastSure()
	gone := at.Since(p.Outage.Starts)
	box := outage.NewRig(p).BoxFloor(p.Outage.SOC, gone)
	p.Outage.Starts, p.Outage.SOC, p.Outage.SOCLow = at, 0, nil
	if box.Has > box.Need {
		p.Outage.SOC = float64((box.Has - box.Need) / p.Supply.Battery.Capacity)
	}

	h := newHistory(e.plan, e.readings, e.changes)
	h.read, h.shown = []units.Hours{at.Since(e.plan.Outage.Starts)}, make([]float64, 1)
	soc := make([]float64, 1)
	all := make(odds.Chances, 0, len(e.draws))
	for _, d := range e.draws {
		c := e.cases[d.n]
		h.run(c, soc)
		c.SOC = max(0, soc[0])
		all = append(all, odds.Chance{Case: c, Weight: d.weight})
	}
	return p, all
}
