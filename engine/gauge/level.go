package gauge

import (
	"math"

	"candleclock/engine/plan"
)

// levels is what the gauge showed, ready to be held against many courses. A level
// is what the gauge would show but for what comes anew with each reading: the
// charge and the lean.
type levels struct {
	readings []Reading
	place    []int // of each among all readings
	lit      bool  // the last shows that something is left

	// counted tells that the charge at the start is a reading too. Else it is what
	// the plan says.
	counted bool
	first   Reading
}

// mostWeighed is how many readings are weighed: of more so many spread over all.
// What is left out would tell a little more.
const mostWeighed = 24

func newLevels(p plan.Plan, readings []Reading) levels {
	s := levels{lit: readings[len(readings)-1].lit(), counted: p.GaugeError() > 0}
	n := len(readings)
	m := min(n, mostWeighed)
	for k := range m {
		i := n - 1
		if k < m-1 {
			i = k * n / m
		}
		s.readings, s.place = append(s.readings, readings[i]), append(s.place, i)
	}
	s.first = Reading{Low: p.Outage.SOC, High: p.Outage.SOC, Error: plan.GaugeError}
	if low := p.Outage.SOCLow; low != nil {
		s.first.Low = *low
	}
	if s.first.Low == s.first.High { // whole percents
		s.first.Low, s.first.High = max(0, s.first.Low-0.005), min(1, s.first.High+0.005)
	}
	s.first.odd = s.counted && rises(s.first, s.readings...)
	for k := range s.readings {
		r := s.readings[k]
		s.readings[k].odd = rises(r, s.readings[k+1:]...) || s.counted && rises(s.first, r)
		for _, before := range s.readings[:k] {
			s.readings[k].odd = s.readings[k].odd || rises(before, r)
		}
	}
	return s
}

// rises reports whether any of the later readings shows more than one may, so that
// not both are right.
func rises(r Reading, later ...Reading) bool {
	for _, l := range later {
		if l.Low-l.Error/2 > r.High+r.Error/2 {
			return true
		}
	}
	return false
}

// look is a course as the gauge sees it.
type look struct {
	used        []float64 // of the level at the start, by each of all readings
	least, most float64   // what the charge at the start may be
	floor       float64   // the level, without lean, at which the supply gives out
	lean        float64   // of the gauge; found where the start is known
	exact       float64   // the charge at the start, where it is known
	blur        float64   // what a reading may be off beside its error

	dither, pick float64 // 0 to 1: where between the levels that are tried, and which is taken
	level        float64 // that was taken
}

// tries is how many levels at the start are tried, within what the first reading
// tells, and as many again of all.
const tries = 20

// weigh is how likely a course makes all readings, over the levels that there may
// be at the start, and takes one of them by its weight.
func (s *levels) weigh(l *look) float64 {
	var at, weights [2 * tries]float64
	n, sum := 0, 0.0
	try := func(low, high float64, weight func(level float64) float64) {
		if !(low < high) {
			return
		}
		step := (high - low) / tries
		for i := range tries {
			level := low + step*(float64(i)+l.dither)
			w := step * weight(level)
			if w > 0 {
				w *= s.of(l, level)
			}
			at[n], weights[n] = level, w
			sum += w
			n++
		}
	}
	if s.counted {
		low, high := l.least+l.lean, l.most+l.lean
		near, off := s.first.Error/2+l.blur, 0.0
		a, b := s.first.Low-near, s.first.High+near
		if s.first.Low <= 0 {
			a = low
		}
		if s.first.High >= 1 {
			b = high
		}
		off = s.first.wrong() * s.first.byChance()
		try(max(a, low), min(b, high), func(level float64) float64 { return (1 - s.first.wrong()) * s.first.shows(level, l.blur) })
		try(low, high, func(float64) float64 { return off })
	} else {
		try(l.exact-plan.GaugeLean, l.exact+plan.GaugeLean, func(float64) float64 { return 1 / plan.GaugeLean })
	}
	l.level = l.exact
	pick := l.pick * sum
	for i := range n {
		if l.level = at[i]; weights[i] > 0 {
			if pick -= weights[i]; pick <= 0 {
				break
			}
		}
	}
	if !s.counted {
		l.lean = l.level - l.exact
	}
	return sum
}

// of is how likely the readings are where the level at the start is so much.
func (s *levels) of(l *look, level float64) float64 {
	last := len(s.readings) - 1
	if s.lit && level-l.lean-l.used[s.place[last]] <= l.floor {
		return 0
	}
	w := 1.0
	for k := last; k >= 0; k-- {
		r := &s.readings[k]
		now := level - l.used[s.place[k]]
		w *= (1-r.wrong())*r.fits(now, now-l.lean <= l.floor, l.floor, l.blur) + r.wrong()*r.byChance()
	}
	return w
}

// paces is how a draw's pace against the middle course is chosen: mostly near
// those that explain the readings.
type paces struct {
	share [paceSteps]float64 // of the draws, by step
}

// The paces are of a 32nd to eight times, by equal steps of their logarithm.
const (
	paceSteps    = 256
	leastDoubled = -5.0
	mostDoubled  = 3.0
)

// doubledAt is how many doublings a step stands for.
func doubledAt(step float64) float64 {
	return leastDoubled + (mostDoubled-leastDoubled)*step/paceSteps
}

// newPaces looks which paces explain the readings where all else is in the middle.
// used is what the middle course takes by each reading; moves is false where it
// takes nothing, and any pace does as well.
func newPaces(s levels, p plan.Plan, used []float64, cut float64, moves bool) paces {
	const (
		offByAll = 0.9  // doublings: what a household and its loads may be off by
		atAll    = 1e-3 // so that no pace is left out
	)
	var g paces
	var before [paceSteps]float64
	all, any := 0.0, 0.0
	shown := make([]float64, len(used))
	start := p.Outage.SOC
	if low := p.Outage.SOCLow; low != nil {
		start = (start + *low) / 2
	}
	for j := range g.share {
		x := doubledAt(float64(j) + 0.5)
		before[j] = offDoublings(x, offByAll) + atAll
		any += before[j]
		if moves {
			q := math.Exp2(x)
			for _, scale := range []float64{1, 1 - cut} {
				for i, u := range used {
					shown[i] = q * u * scale
				}
				l := look{used: shown, least: -plan.GaugeLean, most: 1 + plan.GaugeLean, floor: -plan.GaugeLean, exact: start, blur: plan.GaugeError / 2, dither: 0.5}
				g.share[j] += before[j] * s.weigh(&l)
			}
		}
		all += g.share[j]
	}
	for j := range g.share {
		near := before[j] / any
		if all > 0 {
			near = likeReadings*g.share[j]/all + (1-likeReadings)*near
		}
		g.share[j] = near
	}
	return g
}

// at is the pace at a quantile, and how densely it is drawn there, by the doubling.
func (g *paces) at(u float64) (pace, density float64) {
	sum := 0.0
	for j, share := range g.share {
		if sum+share > u || j == paceSteps-1 {
			return math.Exp2(doubledAt(float64(j) + min(1, (u-sum)/share))), share * paceSteps / (mostDoubled - leastDoubled)
		}
		sum += share
	}
	return 1, 1
}
