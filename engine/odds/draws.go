// Package odds says how sure a runtime is: the same outage many times over,
// each time with other circumstances out of what is uncertain.
package odds

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"

	"candleclock/engine/load"
	"candleclock/engine/outage"
	"candleclock/engine/plan"
	"candleclock/engine/units"
)

// Draws is how many courses an answer is made of unless asked otherwise.
const Draws = 511

// Seed is the seed of every answer unless asked otherwise.
const Seed uint64 = 1

// spread is a triangular distribution: the range of a factor, and its most
// likely value.
type spread struct{ low, mode, high float64 }

// at is the value at the quantile u, 0 < u < 1.
func (s spread) at(u float64) float64 {
	span := s.high - s.low
	if span <= 0 {
		return s.mode
	}
	if m := (s.mode - s.low) / span; u < m {
		return s.low + math.Sqrt(u*span*(s.mode-s.low))
	}
	return s.high - math.Sqrt((1-u)*span*(s.high-s.mode))
}

// What is uncertain beside the loads. All are common practice: no standard
// gives them for a household's own supply.
var (
	// Cells are sold at a nominal capacity that new ones reach to within a
	// tenth; supplies that were measured are known better.
	capacity         = spread{0.90, 0.97, 1.00}
	capacityMeasured = spread{0.97, 1, 1}
	ageing           = spread{0.5, 1, 1.6}
	// The idle draw that a maker states is that of a warm, quiet unit with the
	// display off.
	idle       = spread{0.8, 1, 1.5}
	idleByRule = spread{0.6, 1, 1.8}
	losses     = spread{0.85, 1, 1.35}
	// Of an efficiency that nobody told the low end of 0.85 to 0.92 is counted with
	// (inverter.Point): the loss of 0.92 is half of that.
	lossesByRule = spread{0.5, 0.8, 1.35}
	warmer       = spread{-4, 0, 2} // °C, against the room's figure
)

// Each uncertain thing has a key of its own, so that adding or turning off one
// load leaves the circumstances of all others as they were.
const (
	keyCapacity uint64 = iota + 1
	keyAgeing
	keyIdle
	keyLosses
	keyWarmer
	keySOC
	keyLoads // with the hash of the name
	keyGauge
	keyHousehold
	keySeason
)

// What is added to a load's hash, for what else is uncertain of it.
const (
	ownWatts uint64 = (iota + 1) << 32
	ownDuty
	withHousehold
	withSeason
)

// strata gives quantiles of one uncertain thing for n draws: the middles of n
// equal strata in a seeded order, as in Latin hypercube sampling (McKay,
// Beckman & Conover, Technometrics 21, 1979). Each thing alone is spread with
// the least possible gaps, at any number of things.
func strata(n int, seed, key uint64) []float64 {
	order := rand.New(rand.NewPCG(seed, key)).Perm(n)
	u := make([]float64, n)
	for i, o := range order {
		u[i] = (float64(o) + 0.5) / float64(n)
	}
	return u
}

// hash is 64-bit FNV-1a.
func hash(s string) uint64 {
	h := uint64(14695981039346656037)
	for i := 0; i < len(s); i++ {
		h = (h ^ uint64(s[i])) * 1099511628211
	}
	return h
}

// Sampler makes the circumstances of n draws of plans. Between plans it keeps
// what it can: the quantiles of each uncertain thing.
type Sampler struct {
	// Pace is how much more all that is on draws, and the inverter by itself, than
	// the plan tells, as readings of the gauge may have it; 0 is as it tells.
	Pace float64

	n    int
	seed uint64
	seen map[uint64][]float64 // the quantiles of each uncertain thing

	// drawn is what the quantiles came to last time. A keystroke changes the
	// spread of one thing at most.
	drawn map[uint64]dimension
}

// NewSampler makes a sampler of n ≥ 1 draws. The same seed gives the same
// circumstances on any machine.
func NewSampler(n int, seed uint64) *Sampler {
	return &Sampler{n: n, seed: seed, seen: map[uint64][]float64{}, drawn: map[uint64]dimension{}}
}

// keepMost bounds what a sampler remembers over a long session of editing.
const keepMost = 512

func (s *Sampler) quantiles(key uint64) []float64 {
	u := s.seen[key]
	if u == nil {
		if len(s.seen) >= keepMost {
			clear(s.seen)
			clear(s.drawn)
		}
		u = strata(s.n, s.seed, key)
		s.seen[key] = u
	}
	return u
}

// inCommon is how wide what all things of a household have in common is against
// what each has for itself: two of them are then correlated by 0.69 (common
// practice).
const inCommon = 1.5

// together gives quantiles of a thing that errs in part by itself and in part as
// all of its kind: one household, one meter, one mains voltage, one summer. The
// sums are put in order, so that each thing alone stays spread as it was.
func (s *Sampler) together(key, own, common uint64) []float64 {
	u := s.seen[key]
	if u == nil {
		a, b := s.quantiles(own), s.quantiles(common)
		order := make([]int, s.n)
		for i := range order {
			order[i] = i
		}
		slices.SortStableFunc(order, func(i, j int) int { return cmp.Compare(a[i]+inCommon*b[i], a[j]+inCommon*b[j]) })
		u = make([]float64, s.n)
		for rank, i := range order {
			u[i] = (float64(rank) + 0.5) / float64(s.n)
		}
		s.seen[key] = u
	}
	return u
}

// load draws what one load's watts and duty are off by. What is returned is not to
// be changed; duty is nil where its duty is not in doubt.
func (s *Sampler) load(l load.Load) (watts, duty []float64) {
	name := keyLoads + hash(l.Name)
	draw := func(key, own, common uint64, low, mode, high float64) []float64 {
		return s.drawnOf(key, spread{low, mode, high}, func() []float64 { return s.together(key, own, common) })
	}
	low, mode, high := l.WattsSpread()
	watts = draw(name^withHousehold, name^ownWatts, keyHousehold, low, mode, high)
	if low, mode, high = l.DutySpread(); low < high {
		duty = draw(name^withSeason, name^ownDuty, keySeason, low, mode, high)
	}
	return watts, duty
}

// dimension is one uncertain thing over all draws.
type dimension struct {
	spread
	draws []float64
}

// dimension draws one thing. What it returns is not to be changed.
func (s *Sampler) dimension(key uint64, sp spread) []float64 {
	return s.drawnOf(key, sp, func() []float64 { return s.quantiles(key) })
}

func (s *Sampler) drawnOf(key uint64, sp spread, quantiles func() []float64) []float64 {
	if d, ok := s.drawn[key]; ok && d.spread == sp {
		return d.draws
	}
	d := dimension{sp, make([]float64, s.n)}
	for i, u := range quantiles() {
		d.draws[i] = sp.at(u)
	}
	s.drawn[key] = d
	return d.draws
}

// cases shows each draw's circumstances of the plan in turn. The Case shown is
// used again for the next.
func (s *Sampler) cases(p plan.Plan, use func(outage.Case)) {
	of := s.drawing(p)
	for i := range s.n {
		use(of(i))
	}
}

// drawing gives the circumstances of a draw of the plan, 0 to s.n − 1. The Case is
// used again for the next.
func (s *Sampler) drawing(p plan.Plan) func(draw int) outage.Case {
	watts, duties := make([][]float64, len(p.Loads)), make([][]float64, len(p.Loads))
	for i, l := range p.Loads {
		watts[i], duties[i] = s.load(l)
	}
	store := capacity
	if p.Supply.Battery.Health != nil {
		store = capacityMeasured
	}
	rest := idle
	if p.Supply.Inverter.IdleW == nil {
		rest = idleByRule
	}
	lost := losses
	if p.Supply.Inverter.Efficiency == nil {
		lost = lossesByRule
	}
	dCap, dAge := s.dimension(keyCapacity, store), s.dimension(keyAgeing, ageing)
	dIdle, dLoss := s.dimension(keyIdle, rest), s.dimension(keyLosses, lost)
	dWarm, uSOC := s.dimension(keyWarmer, warmer), s.quantiles(keySOC)
	// Half of a gauge's error stays and half comes anew (see gauge.Reading): the
	// sum of two that are even is a triangle.
	off := p.GaugeError()
	dGauge := s.dimension(keyGauge, spread{-off, 0, off})
	c := outage.Case{Draw: make([]float64, len(p.Loads)), Duty: make([]float64, len(p.Loads))}
	return func(i int) outage.Case {
		for j := range watts {
			c.Draw[j], c.Duty[j] = watts[j][i], 1
			if duties[j] != nil {
				c.Duty[j] = duties[j][i]
				c.Draw[j] *= c.Duty[j]
			}
		}
		c.Capacity, c.Ageing = dCap[i], dAge[i]
		c.Idle, c.Loss = dIdle[i], dLoss[i]
		if s.Pace > 0 {
			for j := range c.Draw {
				c.Draw[j] *= s.Pace
			}
			c.Idle *= s.Pace
		}
		c.Warmer = units.Celsius(dWarm[i])
		c.SOC = p.Outage.SOC
		if low := p.Outage.SOCLow; low != nil { // anywhere in the interval
			c.SOC = *low + (p.Outage.SOC-*low)*uSOC[i]
		}
		c.SOC = min(max(c.SOC+dGauge[i], 0), 1)
		return c
	}
}

// Middle is the case in the middle of all: each uncertain thing at its median.
func Middle(p plan.Plan) outage.Case {
	median := func(s spread) float64 { return s.at(0.5) }
	c := outage.Case{
		Draw:     make([]float64, len(p.Loads)),
		Duty:     make([]float64, len(p.Loads)),
		Capacity: median(capacity), Ageing: median(ageing), Idle: median(idle),
		Loss: median(losses), Warmer: units.Celsius(median(warmer)), SOC: p.Outage.SOC,
	}
	of := func(low, mode, high float64) float64 { return median(spread{low, mode, high}) }
	for i, l := range p.Loads {
		c.Duty[i] = of(l.DutySpread())
		c.Draw[i] = of(l.WattsSpread()) * c.Duty[i]
	}
	if p.Supply.Battery.Health != nil {
		c.Capacity = median(capacityMeasured)
	}
	if p.Supply.Inverter.IdleW == nil {
		c.Idle = median(idleByRule)
	}
	if p.Supply.Inverter.Efficiency == nil {
		c.Loss = median(lossesByRule)
	}
	if low := p.Outage.SOCLow; low != nil {
		c.SOC = (*low + p.Outage.SOC) / 2
	}
	return c
}
