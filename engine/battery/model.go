package battery

import "candleclock/engine/units"

// hoursPerMonth is a twelfth of a year of 365.25 days.
const hoursPerMonth = 730.5

// Model is a battery worked out for a simulation. It is a plain value, cheap
// to make and to copy. Of one full charge, Rated is the sum of what age took
// (Rated − Aged), Cut, Cold and Usable.
type Model struct {
	Rated  units.WattHours // on the label
	Aged   units.WattHours // full capacity now, warm and slowly drawn
	Cut    units.WattHours // kept back by the supply
	Cold   units.WattHours // not given at this temperature; it comes back with warmth
	Usable units.WattHours // at the battery's terminals, drawn no faster than rated

	// Drain is the self-discharge as a constant power. It is told for the
	// rated capacity, so that an old battery loses no less.
	Drain units.Watts
	// ChargeEfficiency is Wh that come out again per Wh put in at the
	// terminals. The whole round trip's loss is put on charging, because the
	// rated capacity is what comes out, measured after the discharge's loss.
	ChargeEfficiency float64
	// MayCharge is false where it is too cold or too hot for charging.
	MayCharge bool

	rate rate
}

// Model works b out. The figures of b are taken to be in range.
func (b Battery) Model() Model {
	k := b.Chemistry.cell()
	m := Model{
		Rated:            b.Capacity,
		Drain:            units.Watts(float64(b.Capacity) * or(b.SelfDischarge, k.selfDischarge) / hoursPerMonth),
		ChargeEfficiency: or(b.ChargeEfficiency, k.chargeEfficiency),
		MayCharge:        b.Chemistry.MayCharge(b.Room),
	}
	m.Aged = units.WattHours(float64(b.Capacity) * b.StateOfHealth())
	cutoff := or(b.Cutoff, k.cutoff)
	m.Cut = units.WattHours(float64(m.Aged) * cutoff)
	given := float64(m.Aged) * (1 - cutoff)
	m.Usable = units.WattHours(given * b.Chemistry.ColdFactor(b.Room))
	if lowest, ok := b.Gives(); ok && b.Room < lowest {
		m.Usable = 0
	}
	m.Cold = units.WattHours(given) - m.Usable
	m.rate = b.rate(m.Aged)
	return m
}

// RateFactor is the share, above 0 and at most 1, of Usable that comes out when
// the battery gives p at its terminals all along: Peukert's law for lead, as far as
// the supply's cut-off lets it come to that, a small ohmic loss for lithium. It
// never rises with p.
func (m Model) RateFactor(p units.Watts) float64 { return m.rate.factor(p) }
