package battery

// endOfLife is the share of the rated capacity at which a battery is due for
// replacement: IEEE Std 450 for lead-acid, and the share lithium cycle lives
// are told for (both from memory).
const endOfLife = 0.8

// StateOfHealth is full capacity now over rated capacity, 0.1..1: the measured
// one if there is one, else an estimate from age and use.
//
// The estimate adds two losses: one even over the years and one even over the
// cycles, each of which alone would reach 80 % at the chemistry's usual life
// (common practice). Below 80 % the loss counts double, because a battery past
// its end of life fails ever faster (IEEE Std 450, from memory; the factor is
// common practice). Warmth, which speeds ageing, is not counted: what the room
// was over the years is not known.
func (b Battery) StateOfHealth() float64 {
	if b.Health != nil {
		return *b.Health
	}
	k := b.Chemistry.cell()
	h := 1 - (1-endOfLife)*(b.AgeYears/k.years+b.Cycles/k.cycles)
	if h < endOfLife {
		h -= endOfLife - h
	}
	return min(max(h, HealthRange.Low), 1)
}
