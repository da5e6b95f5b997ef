package aids

import (
	"candleclock/engine/units"
)

// InsulinSource is what the insulin figures rest on.
var InsulinSource = Source{
	Cite: "US FDA, Information Regarding Insulin Storage and Switching Between Products in an Emergency",
	Caution: "The leaflet of the product and its pharmacist come first. Never use insulin that has frozen. Heat above 30 °C weakens it: " +
		"in need it may still have to be used, with blood glucose watched closely, and replaced as soon as possible.",
}

// Insulin in its maker's vials or cartridges, opened or not.
const (
	InsulinDays        = 28 // days it keeps working between InsulinLow and InsulinHigh
	InsulinDilutedDays = 14 // days after it was diluted or taken from its maker's vial

	InsulinLow  units.Celsius = 15 // 59 °F
	InsulinHigh units.Celsius = 30 // 86 °F

	InsulinFridgeLow  units.Celsius = 2 // 36 °F
	InsulinFridgeHigh units.Celsius = 8 // 46 °F
)

// Insulin says how insulin keeps at a temperature.
type Insulin int

// How it keeps.
const (
	InsulinMayBeFrozen Insulin = iota // not to be used if it is, or was
	InsulinTooCold                    // not frozen yet: warm it a little
	InsulinTooHot                     // it loses strength
	InsulinRoomTime                   // it keeps InsulinDays
	InsulinKeeps                      // to the date on its package
)

// InsulinAt judges insulin that has stood at a temperature. Between fridge and
// room the room's days count.
func InsulinAt(t units.Celsius) Insulin {
	switch {
	case t > InsulinHigh:
		return InsulinTooHot
	case t > InsulinFridgeHigh:
		return InsulinRoomTime
	case t >= InsulinFridgeLow:
		return InsulinKeeps
	case t > 0:
		return InsulinTooCold
	}
	return InsulinMayBeFrozen
}
