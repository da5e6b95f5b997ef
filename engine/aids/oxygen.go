package aids

import (
	"candleclock/engine/doc"
)

// OxygenSource is what OxygenMinutes rests on.
var OxygenSource = Source{
	Cite: "Cylinder factors of respiratory-care texts (AAOS emergency care; Egan)",
	Caution: "A gauge, a regulator and a cylinder each err. Agree with the oxygen supplier what to switch to and when, " +
		"and call for help before the reserve is reached. No flame, no smoking, no grease near oxygen.",
}

// OxygenReserve is the pressure, psi, that is left in a cylinder as its safe
// residual (AAOS).
const OxygenReserve = 200

// Cylinder is a size of oxygen cylinder.
type Cylinder struct {
	Size   string
	Factor float64 // litres of gas per psi of gauge pressure
}

// Cylinders are the common sizes. Sizes are stamped at the neck; makes of one
// size differ a few percent.
var Cylinders = []Cylinder{{"D", 0.16}, {"E", 0.28}, {"M", 1.56}, {"G", 2.41}, {"H", 3.14}, {"K", 3.14}}

// PSIPerBar turns a gauge in bar into psi.
const PSIPerBar = 14.5038

// What OxygenMinutes takes.
var (
	OxygenGaugeRange = doc.Range{Low: 0, High: 6000, Unit: "psi"}
	OxygenFlowRange  = doc.Range{Low: 0.05, High: 60, Unit: "litres a minute"}
)

// OxygenMinutes is how long a cylinder gives a continuous flow, L/min, from a
// gauge reading down to a reserve, both psi in OxygenGaugeRange. Below the
// reserve it is 0. A demand (pulse) regulator is not continuous flow: its
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
	return max(0, (gauge-reserve)*c.Factor/flow), nil // (gauge − reserve) × factor ÷ flow
}
