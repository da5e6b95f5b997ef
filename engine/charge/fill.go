package charge

import (
	"math"

	"candleclock/engine/units"
)

// Fill is how long a constant source takes to fill the pack from a state of
// charge, 0 to 1. fills is false, and the time +Inf, when it never does.
func (p Pack) Fill(from float64, source units.Watts) (t units.Hours, fills bool) {
	switch {
	case from >= 1:
		return 0, true
	case !p.MayCharge || !(source > 0):
		return units.Hours(math.Inf(1)), false
	}
	rate := p.rate(source)
	meets := max(from, p.Taper.meets(rate))
	h := (meets - from) / rate // constant: t = Δs ÷ r
	if meets < 1 {
		// ds/dt = limit(s), a straight line in s: t = ln(limit(s) ÷ limit(1)) ÷ fall.
		h += math.Log(p.Taper.limit(meets)/p.Taper.Tail) / p.Taper.fall()
	}
	return units.Hours(h), true
}

// After is the state of charge, at most 1, after a constant source has fed the
// pack for a time from a state of charge. It is the inverse of Fill.
func (p Pack) After(from float64, source units.Watts, t units.Hours) float64 {
	if from >= 1 || !p.MayCharge || !(source > 0) || t <= 0 {
		return from
	}
	rate := p.rate(source)
	meets := p.Taper.meets(rate)
	if meets < from {
		meets = from
	}
	constant := (meets - from) / rate
	if float64(t) <= constant {
		return topped(from + rate*float64(t))
	}
	if meets >= 1 {
		return 1
	}
	// limit(t) = limit(s)·e^(−fall·t), turned back to a state of charge.
	fall := p.Taper.fall()
	limit := p.Taper.limit(meets) * math.Exp2(-math.Log2E*fall*(float64(t)-constant)) // Exp2: math.Exp differs in its last bit between machines
	return topped(p.Taper.From + (p.Taper.Knee-limit)/fall)
}

// topped is a state of charge, full where it is but for rounding.
func topped(soc float64) float64 {
	if soc > 1-1e-13 {
		return 1
	}
	return soc
}

// FillDaily is how long a source that repeats every day takes to fill the pack
// from a state of charge, with nothing drawn meanwhile. hourly is its power,
// one value an hour, the first for the hour that the fill begins with; below 0
// counts as none. fills is false when the pack is not full after the days given, 1 to
// 366.
func (p Pack) FillDaily(from float64, hourly []units.Watts, days int) (t units.Hours, fills bool) {
	if from >= 1 {
		return 0, true
	}
	soc := from
	for day := range days {
		start := soc
		for hour, w := range hourly {
			if rest, ok := p.Fill(soc, w); ok && rest <= 1 {
				return units.Hours(day*len(hourly)+hour) + rest, true
			}
			soc = p.After(soc, w, 1)
		}
		if soc <= start {
			break // a day that brings nothing brings nothing tomorrow
		}
	}
	return units.Hours(math.Inf(1)), false
}
