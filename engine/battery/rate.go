package battery

import (
	"errors"
	"math"

	"candleclock/engine/units"
)

// PeukertRated is how long a battery lasts at current i when its capacity, Ah,
// is told for a discharge of the given hours:
//
//	t = H·(C/(I·H))^k
//
// Peukert (1897) in rated-time form; k is 1..2, all else above 0.
func PeukertRated(ampHours float64, rated units.Hours, i units.Amps, k float64) units.Hours {
	return units.Hours(float64(rated) * power(ampHours/(float64(i)*float64(rated)), k))
}

// PeukertOneAmp is how long a battery lasts at current i when its capacity is
// Peukert's own, the Ah it gives at a current of 1 A:
//
//	t = Cp/I^k
//
// The same battery has another figure here than in PeukertRated.
func PeukertOneAmp(ampHours float64, i units.Amps, k float64) units.Hours {
	return units.Hours(ampHours / power(float64(i), k))
}

// PeukertExponent is k from two discharges of the same full battery, t1 at i1
// and t2 at i2:
//
//	k = (ln t2 − ln t1)/(ln I1 − ln I2)
//
// It fails when a figure is not above 0, when the currents are the same, or
// when the result is outside PeukertRange and so tells of a slip in a test.
func PeukertExponent(i1 units.Amps, t1 units.Hours, i2 units.Amps, t2 units.Hours) (float64, error) {
	if !(i1 > 0 && i2 > 0 && t1 > 0 && t2 > 0) || i1 == i2 {
		return 0, errors.New("two discharges: must be at two different currents, each lasting a time above 0")
	}
	k := (math.Log(float64(t2)) - math.Log(float64(t1))) / (math.Log(float64(i1)) - math.Log(float64(i2)))
	if err := PeukertRange.Check("exponent of two discharges", k); err != nil {
		return 0, err
	}
	return k, nil
}

// ohmic is the resistance of a lithium pack as the share of the energy lost
// per unit of rate, where rate 1 empties it in one hour. With a capacity told
// for five hours it costs 4 % at rate 1. Common practice.
const ohmic = 0.05

// loaded is the share of the nominal voltage at which a constant power draws
// its current from lead-acid: IEEE Std 1013-2007 clause 5.2.2.
const loaded = 0.95

// rate is how the energy that comes out shrinks with the power drawn.
type rate struct {
	rated   float64 // W that empties the battery in the rated hours
	hours   float64 // rated hours
	peukert bool    // else ohmic
	fall    float64 // Peukert's k − 1
	taken   float64 // of Peukert's discharge the share that the supply takes at most: the rest is its cut-off
}

// rate is told for the aged capacity: what is left of the plates carries the
// whole current.
func (b Battery) rate(aged units.WattHours) rate {
	k := b.Chemistry.cell()
	r := rate{hours: or(b.RatedHours, k.ratedHours), taken: 1 - or(b.Cutoff, k.cutoff)}
	r.rated = float64(aged) / r.hours
	if b.Peukert != nil || k.lead {
		r.peukert = true
		r.fall = or(b.Peukert, k.peukert) - 1
		r.rated *= loaded
	}
	return r
}

// factor is the share, above 0 and at most 1, of what the supply takes of a slow
// discharge that comes out at p. Slower than rated earns nothing. What a fast
// discharge leaves by Peukert's law is not lost: the plates reach the end of
// discharge with it still in them. A supply that stops at some charge takes all
// down to that, as long as the law gives so much.
func (r rate) factor(p units.Watts) float64 {
	x := float64(p) / r.rated
	if !(x > 1) {
		return 1
	}
	if r.peukert {
		// PeukertRated as energy: I·t/C = (I·H/C)^(1−k).
		return max(min(power(x, -r.fall)/r.taken, 1), math.SmallestNonzeroFloat64)
	}
	// Rate 1 is the aged capacity in one hour: x rated powers are x/hours.
	return 1 / (1 + ohmic*(x-1)/r.hours)
}

// power is x^n for x > 0. math.Pow rests on math.Exp, whose amd64 assembly
// differs in the last bit from what other machines compute; these do not.
func power(x, n float64) float64 {
	if x < 1 {
		x, n = 1/x, -n
	}
	return math.Exp2(n * math.Log1p(x-1) * math.Log2E)
}
