package aids

import (
	"candleclock/engine/doc"
	"candleclock/engine/units"
)

// OxygenSource is what OxygenMinutes rests on.
var OxygenSource = Source{
	Cite: "Letters of the United States: litres per psi as respiratory-care texts print them. Letters of the United Kingdom: litres when full at 137 bar, " +
		"from memory. Any other: what it holds falls with its pressure, as that of an ideal gas, which reads a little low",
	Caution: "A gauge, a regulator and a cylinder each err. Agree with the oxygen supplier what to switch to and when, " +
		"and call for help before the reserve is reached. No flame, no candle, no smoking, no heater and no grease near oxygen: what burns in it can’t be put out.",
}

// OxygenReserve is the pressure, psi, that is left in a cylinder as its safe
// residual (emergency-care texts).
const OxygenReserve = 200

// Cylinder is an oxygen cylinder.
type Cylinder struct {
	Size   string  // its letter; "" where it is told by litres
	Factor float64 // litres of gas per psi of gauge pressure
	Full   float64 // psi when full; 0: not known
}

// The pressures that letters stand for, psi.
const (
	fullUS = 2200
	fullUK = 137 * PSIPerBar
)

// Cylinders are the common sizes by the letters of the United States. Sizes are
// stamped at the neck; makes of one size differ a few percent, and the factors
// are those of the smaller ones.
var Cylinders = []Cylinder{{"D", 0.16, fullUS}, {"E", 0.28, fullUS}, {"M", 1.56, fullUS}, {"G", 2.41, fullUS}, {"H", 3.14, fullUS}, {"K", 3.14, fullUS}}

// UKCylinders are the common sizes by the letters of the United Kingdom, filled to
// 137 bar: 170, 340, 680, 1,360, 3,400 and 6,800 L (from memory). The same letter
// is another size there: a G holds a third less than a G of the United States.
var UKCylinders = []Cylinder{{"C", 170 / fullUK, fullUK}, {"D", 340 / fullUK, fullUK}, {"E", 680 / fullUK, fullUK},
	{"F", 1360 / fullUK, fullUK}, {"G", 3400 / fullUK, fullUK}, {"J", 6800 / fullUK, fullUK}}

// PSIPerBar turns a gauge in bar into psi.
const PSIPerBar = 14.5038

// What a cylinder may be that is told by litres. The two ranges lie far apart, so
// that one is never taken for the other.
var (
	OxygenGasRange    = doc.Range{Low: 100, High: 12000, Unit: "litres of oxygen"} // when full
	OxygenFullRange   = doc.Range{Low: 1400, High: 4500, Unit: "psi"}              // 97 to 310 bar
	OxygenBottleRange = doc.Range{Low: 0.3, High: 60, Unit: "litres of water"}     // that the bottle itself would hold
)

// OxygenFullMost is the pressure, psi, counted as full where it is not told: 300
// bar, the most in use. A lower one would have more left at the same gauge.
const OxygenFullMost = 300 * PSIPerBar

// OxygenByGas is a cylinder by the litres of gas it gives when full, in
// OxygenGasRange, and its pressure then, psi in OxygenFullRange.
func OxygenByGas(litres, full float64) (Cylinder, error) {
	if err := OxygenGasRange.Check("gas_when_full", litres); err != nil {
		return Cylinder{}, err
	}
	if err := OxygenFullRange.Check("full_pressure", full); err != nil {
		return Cylinder{}, err
	}
	return Cylinder{Factor: litres / full, Full: full}, nil
}

// OxygenByBottle is a cylinder by the litres of water that the bottle itself
// would hold, in OxygenBottleRange: at 1 bar it holds as many litres of gas.
func OxygenByBottle(litres float64) (Cylinder, error) {
	if err := OxygenBottleRange.Check("bottle_size", litres); err != nil {
		return Cylinder{}, err
	}
	return Cylinder{Factor: litres / PSIPerBar}, nil
}

// What OxygenMinutes takes.
var (
	OxygenGaugeRange = doc.Range{Low: 0, High: 6000, Unit: "psi"}
	OxygenFlowRange  = doc.Range{Low: 0.05, High: 60, Unit: "litres a minute"}
)

// overfull is how far above full a gauge may read in a warm room, and a little
// beyond (common practice).
const overfull = 1.15

// OxygenMinutes is how long a cylinder gives a continuous flow, L/min, from a
// gauge reading down to a reserve, both psi in OxygenGaugeRange. Below the
// reserve it is 0. A gauge well above full is an error: the cylinder is another,
// or the unit. A demand (pulse) regulator is not continuous flow: its
// supplier's table holds.
func OxygenMinutes(c Cylinder, gauge, reserve, flow float64) (minutes float64, err error) {
	for _, check := range []error{
		OxygenGaugeRange.Check("gauge", gauge),
		OxygenGaugeRange.Check("reserve", reserve),
		OxygenFlowRange.Check("flow", flow),
	} {
		if check != nil {
			return 0, check
		}
	}
	if c.Full > 0 && gauge > overfull*c.Full {
		return 0, &doc.Error{Field: "gauge", Value: doc.Number(gauge) + " psi",
			Want: "no more than such a cylinder shows when full, " + doc.Number(float64(int(c.Full+0.5))) + " psi: it is another cylinder, or another unit"}
	}
	return max(0, (gauge-reserve)*c.Factor/flow), nil // (gauge − reserve) × factor ÷ flow
}

// Carried cylinders hold at most carriedMost litres of gas; one by its bottle
// alone is taken as filled to 300 bar. OxygenDoubt is how long such a one seldom
// lasts (common practice): a sum that says more is to be asked back.
const (
	carriedMost             = 2500
	OxygenDoubt units.Hours = 12
)

// Carried reports whether one person can carry it.
func (c Cylinder) Carried() bool {
	full := c.Full
	if full == 0 {
		full = OxygenFullMost
	}
	return c.Factor*full <= carriedMost
}
