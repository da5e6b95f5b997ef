// Package sizing says how big battery and panels must be for what a household
// wants of them.
package sizing

import (
	"candleclock/engine/outage"
	"candleclock/engine/plan"
	"candleclock/engine/units"
	"candleclock/engine/yield"
)

// Balance sets a day's sun against a day's need, both at the battery's
// terminals. What the sun brings is counted as if all of it went through the
// battery, which is wary: what is used while the sun shines loses less.
type Balance struct {
	Need        units.WattHours // a day, as the plan says, inverter and all
	Poor, Usual units.WattHours // a day's sun after charging

	// What the panels would have to be rated at to cover the need, on usual
	// and on poor days, if the input took it all; 0 where the month has no sun.
	WattsUsual, WattsPoor units.Watts

	// Steady is the mains load, day and night, that usual days carry with
	// nothing else on.
	Steady units.Watts
}

// Enough weighs the plan's panels in a month, 1 to 12.
func Enough(p plan.Plan, y *yield.Yield, month int) Balance {
	eff := units.WattHours(yield.Pack(p).Efficiency)
	r := y.Month(month)
	b := Balance{Need: outage.NewRig(p).Day(), Poor: r.Poor * eff, Usual: r.Usual * eff}
	size := func(day units.WattHours) units.Watts {
		if day <= 0 {
			return 0
		}
		return y.Best.Array * units.Watts(b.Need/day)
	}
	b.WattsUsual, b.WattsPoor = size(b.Usual), size(b.Poor)

	// The inverter's draw never falls with its load, so the load that just uses
	// the day up is found by halving.
	curve := p.Supply.UsualInverter().Curve()
	low, high := units.Watts(0), units.Watts(b.Usual/24)
	if curve.DC(0).For(24) >= b.Usual {
		return b
	}
	for range 50 {
		if mid := (low + high) / 2; curve.DC(mid).For(24) <= b.Usual {
			low = mid
		} else {
			high = mid
		}
	}
	b.Steady = min(low, p.Supply.UsualInverter().Limits().Continuous)
	return b
}
