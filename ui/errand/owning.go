package errand

import (
	"math"
	"slices"

	"candleclock/engine/battery"
	"candleclock/engine/load"
	"candleclock/engine/odds"
	"candleclock/engine/outage"
	"candleclock/engine/panel"
	"candleclock/engine/plan"
	"candleclock/engine/sizing"
)

// Sizes is what to own: the front of a wish, and what the plan's supply and its
// candidates would do for it.
type Sizes struct {
	Front    sizing.Front
	Verdicts []sizing.Verdict
}

// NewSizes works them out for the plan's wish, down to a rank. It is false when
// tell stopped it.
func NewSizes(p plan.Plan, rank load.Rank, draws int, tell func(done, all int) bool) (*Sizes, bool) {
	w := sizing.WishOf(p, rank)
	const judging = 4 // parts of the whole that the candidates take, about
	front, whole := sizing.NewFront(p, w, draws, odds.Seed, func(done, all int) bool {
		return tell == nil || tell(done, all+judging)
	})
	if !whole {
		return nil, false
	}
	verdicts, whole := sizing.Judge(p, w, draws, odds.Seed, func(done, all int) bool {
		return tell == nil || tell(judging*(done+1), judging*(all+1))
	})
	return &Sizes{front, verdicts}, whole
}

// Of reports whether each verdict is of a supply that the plan has.
func (s *Sizes) Of(p plan.Plan) bool {
	return !slices.ContainsFunc(s.Verdicts, func(v sizing.Verdict) bool {
		return v.Candidate >= len(p.Candidates) || v.Candidate == sizing.Own && !p.HasSupply()
	})
}

func (s *Sizes) code(c *coder) {
	f := &s.Front
	number(c, &f.Wish.Hours, plan.HoursRange.Low, plan.HoursRange.High)
	number(c, &f.Wish.Confidence, plan.ConfidenceRange.Low, plan.ConfidenceRange.High)
	c.rank(&f.Wish.Rank)
	some(c, &f.Points, mostPoints, point)
	maybe(c, &f.With, point)
	number(c, &f.Inverter, 0, math.Inf(1))
	number(c, &f.Idle, 0, math.Inf(1))
	some(c, &f.Beyond, plan.MostLoads, loadNumber)
	some(c, &f.Why, len(sizing.Whys), func(c *coder, w *sizing.Why) {
		n := max(0, slices.Index(sizing.Whys, *w))
		c.whole(&n, 0, len(sizing.Whys)-1)
		*w = sizing.Whys[n]
	})
	some(c, &s.Verdicts, plan.MostCandidates+1, verdict)
}

const mostPoints = 32

func point(c *coder, p *sizing.Point) {
	number(c, &p.Panels, 0, 1e6)
	number(c, &p.Battery, 0, battery.CapacityRange.High)
}

func loadNumber(c *coder, i *int) { c.whole(i, 0, plan.MostLoads-1) }

func verdict(c *coder, v *sizing.Verdict) {
	n := v.Candidate - sizing.Own // the plan's own is 0
	c.whole(&n, 0, plan.MostCandidates)
	v.Candidate = n + sizing.Own
	some(c, &v.Carries, int(plan.UnitsRange.High), func(c *coder, loads *[]int) { some(c, loads, plan.MostLoads, loadNumber) })
	number(c, &v.CountOn, 0, math.Inf(1))
	number(c, &v.Likely, 0, math.Inf(1))
	maybe(c, &v.Sun, func(c *coder, w *odds.WithSun) {
		number(c, &w.Window, 0, float64(outage.Horizon))
		number(c, &w.Likely, 0, math.Inf(1))
		number(c, &w.CountOn, 0, math.Inf(1))
	})
	number(c, &v.Chance, 0, 1)
	c.yes(&v.Meets)
	some(c, &v.Beyond, plan.MostLoads, loadNumber)
	c.yes(&v.Starts)
	c.yes(&v.Restart)
	maybe(c, &v.Wiring, func(c *coder, w *sizing.Wired) {
		n := int(w.Verdict)
		c.whole(&n, 0, int(panel.Fits))
		w.Verdict = panel.Verdict(n)
		c.whole(&w.Series, 0, 2*panel.MaxModules)
		c.whole(&w.Parallel, 0, 2*panel.MaxModules)
		number(c, &w.Watts, 0, math.Inf(1))
	})
	some(c, &v.Counts, panel.MaxModules, func(c *coder, n *int) { c.whole(n, 1, panel.MaxModules) })
	number(c, &v.ToLoads, 0, math.Inf(1))
	number(c, &v.Delivered, 0, math.Inf(1))
	for _, price := range []**float64{&v.PerKWh, &v.PerKWhLife, &v.PerVitalHour, &v.WhPerKg} {
		maybe(c, price, func(c *coder, x *float64) { number(c, x, 0, math.Inf(1)) })
	}
}

// maybe is a thing that may be missing.
func maybe[T any](c *coder, v **T, one func(*coder, *T)) {
	there := *v != nil
	c.yes(&there)
	if !there {
		*v = nil
		return
	}
	if c.reading {
		*v = new(T)
	}
	one(c, *v)
}

// some is a list of which an empty one is nil.
func some[T any](c *coder, l *[]T, most int, one func(*coder, *T)) {
	list(c, l, most, one)
	if len(*l) == 0 {
		*l = nil
	}
}

// rank is one of load.Ranks.
func (c *coder) rank(r *load.Rank) {
	n := r.Order()
	c.whole(&n, 0, len(load.Ranks)-1)
	*r = load.Rank(load.Ranks[n])
}
