package charge

import (
	"math"

	"candleclock/engine/units"
)

// Taper is how a battery takes less as it fills. Up to From it takes all that
// comes. At From the most it takes is Knee, and that falls in a straight line
// to Tail when full; a weak charger therefore meets it late, or never.
type Taper struct {
	From       float64 // state of charge, 0 to below 1
	Knee, Tail float64 // share of the capacity an hour; Knee above Tail above 0
}

// The tapers of the two families of battery.
var (
	// Lithium charges at constant current to about 90 %, then at constant
	// voltage until the current is a twentieth of the capacity an hour (common
	// practice; the voltage is reached between 90 and 95 %).
	Lithium = Taper{From: 0.90, Knee: 0.5, Tail: 0.05}

	// Lead absorbs from 80 % on at 14.4 to 14.8 V (12 V, 25 °C), and takes an
	// hour about what it still lacks (the ampere-hour rule), down to a fiftieth
	// of its capacity (BCI and makers' data, from memory).
	Lead = Taper{From: 0.80, Knee: 0.20, Tail: 0.02}
)

// limit is the most a battery takes at a state of charge, share of the capacity
// an hour.
func (t Taper) limit(soc float64) float64 {
	if soc < t.From {
		return math.Inf(1)
	}
	return t.Knee - (t.Knee-t.Tail)*(soc-t.From)/(1-t.From)
}

// meets is the state of charge from which the taper, not the charger, sets the
// rate; 1 when it never does.
func (t Taper) meets(rate float64) float64 {
	switch {
	case rate >= t.Knee:
		return t.From
	case rate <= t.Tail:
		return 1
	}
	return t.From + (1-t.From)*(t.Knee-rate)/(t.Knee-t.Tail)
}

// fall is how fast the limit decays once the taper sets the rate, 1/h.
func (t Taper) fall() float64 { return (t.Knee - t.Tail) / (1 - t.From) }

// Pack is a battery as a charger meets it.
type Pack struct {
	Capacity   units.WattHours // stored between empty and full, above 0
	Efficiency float64         // stored over taken at the input, above 0 to 1
	Taper      Taper

	// MayCharge is false for lithium below 0 °C: charging there plates metal
	// onto the anode, which lasts and can short the cell. Nothing is taken then.
	MayCharge bool
}

// Takes is the power that the pack takes from a source at a state of charge,
// measured at the input; 0 when full.
func (p Pack) Takes(source units.Watts, soc float64) units.Watts {
	if !p.MayCharge || soc >= 1 || source <= 0 {
		return 0
	}
	return min(source, units.Watts(float64(p.Capacity)*p.Taper.limit(soc)/p.Efficiency))
}

// rate is how fast the state of charge rises on a source before the taper, 1/h.
func (p Pack) rate(source units.Watts) float64 {
	return float64(source) * p.Efficiency / float64(p.Capacity)
}

// Flow is where a moment's power goes when a supply is fed and used at once
// (pass-through). Source = ToLoad + ToBattery + Spilled, and
// load = ToLoad + FromBattery.
type Flow struct {
	ToLoad      units.Watts // from the source straight to the load
	ToBattery   units.Watts // taken by the battery at the input
	Spilled     units.Watts // of the source, used by nothing
	FromBattery units.Watts // what the load still wants of the battery
}

// PassThrough splits a source, both 0 W and more, between a load and the
// battery: the load is served first, and the battery gets what is left of it.
func (p Pack) PassThrough(source, load units.Watts, soc float64) Flow {
	f := Flow{ToLoad: min(source, load)}
	left := source - f.ToLoad
	f.ToBattery = p.Takes(left, soc)
	f.Spilled = left - f.ToBattery
	f.FromBattery = load - f.ToLoad
	return f
}
