// Package sizing says how big battery and panels must be for what a household
// wants of them.
package sizing

import (
	"candleclock/engine/outage"
	"candleclock/engine/plan"
	"candleclock/engine/units"
	"candleclock/engine/yield"
)

// Balance sets a day's sun against a day's need, both as what the battery
// stores. What the sun brings is counted as if all of it went through the
// battery, which is wary: what is used while the sun shines loses less.
type Balance struct {
	Need        units.WattHours // a day, as the plan says, inverter and all
	Poor, Usual units.WattHours // a day's sun after charging; 0 where NoCharge

	// NoCharge says that the battery may not be charged where it stands: no
	// panels would then be enough, however big.
	NoCharge bool

	// What the panels would have to be rated at to cover the need, on usual
	// and on poor days, if the input took it all; 0 where the month has no sun,
	// and where NoCharge.
	WattsUsual, WattsPoor units.Watts

	// Mean is what usual days store, over day and night.
	Mean units.Watts

	// Steady is the mains load, day and night, that usual days carry with
	// nothing else on; at most what the inverter gives for long.
	Steady units.Watts
}

// Enough weighs the plan's panels in a month, 1 to 12. The plan must hold a
// supply; y is its yield.
func Enough(p plan.Plan, y *yield.Yield, month int) Balance {
	b := Balance{Need: outage.NewRig(p).Day()}
	pack := yield.Pack(p)
	eff := units.WattHours(pack.Efficiency)
	if !pack.MayCharge {
		b.NoCharge = true
		return b
	}
	b.WattsPoor, b.WattsUsual = wanted(p, y, month)
	r := y.Month(month)
	b.Poor, b.Usual = r.Poor*eff, r.Usual*eff
	b.Mean = units.Watts(b.Usual / 24)
	b.Steady = steady(p, b.Mean)
	return b
}

// wanted is what panels would have to be rated at whose poor and usual days
// bring the plan's need through the battery; 0 where the month has no sun.
func wanted(p plan.Plan, y *yield.Yield, month int) (poor, usual units.Watts) {
	return y.PanelsFor(outage.NewRig(p).Day()/units.WattHours(yield.Pack(p).Efficiency), month)
}

// steady is the mains load that takes a mean power out of the battery. What it
// takes never falls with the load, so the load is found by halving.
func steady(p plan.Plan, mean units.Watts) units.Watts {
	inv, m := p.Supply.UsualInverter(), p.Supply.Battery.Model()
	curve := inv.Curve()
	carried := func(load units.Watts) bool {
		w := curve.DC(load)
		return w/units.Watts(m.RateFactor(w))+m.Drain <= mean
	}
	low, high := units.Watts(0), min(mean, inv.Limits().Continuous)
	if carried(high) {
		return high
	}
	for range 50 {
		if mid := (low + high) / 2; carried(mid) {
			low = mid
		} else {
			high = mid
		}
	}
	return low
}
