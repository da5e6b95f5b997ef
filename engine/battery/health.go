package battery

import "math"

// endOfLife is the share of the rated capacity at which a battery is due for
// replacement: IEEE Std 450 for lead-acid, and the share lithium cycle lives
// are told for (both from memory).
const endOfLife = 0.8

// StateOfHealth is full capacity now over rated capacity, 0.1..1: the measured
// one if there is one, else an estimate from age and use.
//
// The estimate adds two losses: one over the years and one even over the cycles.
// That over the years is, for LFP, as measured (standing); else even, so that either
// alone would reach 80 % at the chemistry's usual life (common practice). Below 80 % the loss counts double, because a battery past
// its end of life fails ever faster (IEEE Std 450, from memory; the factor is
// common practice). Warmth, which speeds ageing, is not counted: what the room
// was over the years is not known.
func (b Battery) StateOfHealth() float64 {
	if b.Health != nil {
		return *b.Health
	}
	k := b.Chemistry.cell()
	years := (1 - endOfLife) * b.AgeYears / k.years
	if b.Chemistry == LFP {
		years = b.standing()
	}
	h := 1 - years - (1-endOfLife)*b.Cycles/k.cycles
	if h < endOfLife {
		h -= endOfLife - h
	}
	return min(max(h, HealthRange.Low), 1)
}

// fullYear is what LFP loses in its first year at 25 °C, standing full, and
// standingLess the share of that at other charges: 6.77, 11.7, 15.1 and 21.4 % in 1,
// 3, 5 and 10 years, half full 4.25, 7.4, 9.5 and 13.4 % (Naumann et al., Journal of
// Energy Storage 17 (2018) 153–169, through the published model of Gasper et al.,
// Journal of the Electrochemical Society 2022), which is with the root of time. At 10
// and 80 % the shares are between those of 10 and 40 °C there.
const fullYear = 0.0677

var standingLess = []struct{ charge, share float64 }{{0.1, 0.26}, {0.5, 0.628}, {0.8, 0.90}, {1, 1}}

// standing is the share that LFP has lost in its years, at the charge at which it
// stands.
func (b Battery) standing() float64 {
	at := or(b.StandsAt, 1)
	low := standingLess[0]
	share := low.share
	for _, p := range standingLess[1:] {
		if at > low.charge {
			share = low.share + (min(at, p.charge)-low.charge)*(p.share-low.share)/(p.charge-low.charge)
		}
		low = p
	}
	return fullYear * share * math.Sqrt(b.AgeYears)
}
