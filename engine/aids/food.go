package aids

import (
	"candleclock/engine/units"
)

// FoodSource is what the food clock rests on.
var FoodSource = Source{
	Cite:    "USDA Food Safety and Inspection Service; FoodSafety.gov",
	Caution: "Never taste food to find out. When in doubt, throw it out. Once warm too long, cooking does not make it safe.",
}

// The public agencies' food clock. It runs from the moment the appliance stops,
// doors kept shut; an opened door shortens it.
const (
	Fridge        units.Hours   = 4
	FreezerFull   units.Hours   = 48
	FreezerHalf   units.Hours   = 24
	TooWarm       units.Hours   = 2   // perishable food above FoodLimit for this long is thrown out
	FoodLimit     units.Celsius = 4.4 // 40 °F
	dryIceHours   units.Hours   = 48
	dryIcePounds                = 50.0
	dryIceCubicFt               = 18.0
	kgPerPound                  = 0.45359237
	litrePerCubFt               = 28.316846592
)

// FreezerHours is how long a closed freezer keeps food frozen; full is how full
// it is, 0 to 1. The agencies give a full and a half-full one: what lies between
// counts as half full, and below half the time shrinks in proportion (our own
// caution).
func FreezerHours(full float64) units.Hours {
	if full >= 1 {
		return FreezerFull
	}
	return FreezerHalf * units.Hours(min(1, max(0, full)/0.5))
}

// Thawed is what to do with perishable food from a freezer that has been off.
type Thawed int

// What to do with it.
const (
	Discard Thawed = iota
	UseNow         // cook and eat it; too warm to be frozen again
	Refreeze
)

// AfterThaw judges perishable food from a freezer: ice says that it still holds
// ice crystals, at is its temperature (NaN when unknown), and warm is how long
// it may have been above FoodLimit.
func AfterThaw(ice bool, at units.Celsius, warm units.Hours) Thawed {
	switch {
	case warm >= TooWarm:
		return Discard
	case ice || at <= FoodLimit:
		return Refreeze
	case at > FoodLimit:
		return UseNow
	}
	return Discard // neither ice nor thermometer: nothing says that it stayed cold
}

// DryIceSource is what DryIce rests on.
var DryIceSource = Source{
	Cite:    "USDA Food Safety and Inspection Service: 50 lb hold a full freezer of 18 cubic feet for two days",
	Caution: "Dry ice burns the skin and gives off carbon dioxide: gloves, an open window, never in a closed car or a sealed box.",
}

// DryIce is the mass, kg, of dry ice that holds a full freezer of the volume,
// litres, for a time. The agency gives one point; in proportion to volume and
// time from there (common practice), and for a small freezer, which has more
// wall to its volume, never less than for half that volume.
func DryIce(litres float64, t units.Hours) (kg float64) {
	const point = dryIcePounds * kgPerPound
	volume := max(0.5, litres/(dryIceCubicFt*litrePerCubFt))
	return point * volume * float64(t/dryIceHours)
}
