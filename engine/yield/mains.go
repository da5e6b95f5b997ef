package yield

import (
	"candleclock/engine/charge"
	"candleclock/engine/plan"
	"candleclock/engine/units"
)

// Mains is between which shares of 1 the charge lies after a time on the mains,
// from the plan's charge at its start: what the wall adapter puts in against the
// battery's taper. The loads are on the mains meanwhile. Where no adapter is told
// nobody knows whether anything charges it: then the lower end stays, and the
// upper rises as by [charge.UnknownAdapter]. Shares count from empty, not from
// the cut-off, as a gauge does. The plan must hold a supply.
func Mains(p plan.Plan, h units.Hours) (low, soc float64) {
	soc = p.Outage.SOC
	low = soc
	if l := p.Outage.SOCLow; l != nil {
		low = *l
	}
	m := p.Supply.Battery.Model()
	pack := Pack(p)
	pack.Capacity = m.Aged // also what the supply keeps back has to be filled
	watts := charge.Power(p.Supply.Inputs, charge.Wall)
	if watts > 0 {
		low = pack.After(low, watts, h)
	} else {
		watts = charge.UnknownAdapter
	}
	return low, pack.After(soc, watts, h)
}
