package ui

import (
	"candleclock/engine/battery"
	"candleclock/engine/units"
	"candleclock/ui/say"
)

const (
	wLostCool = "not given in a room this cool" // by lead, of which the label is told for 25 °C

	wGivesNothing      = "Too cold: the battery gives nothing below "
	wGivesNothingNight = "Too cold at night: the battery gives nothing below "
	wGivesNothingNear  = "A few degrees colder, and the battery gives nothing: it stops below "
	wGivesUnless       = ", unless its label says otherwise"
	wGivesWarm         = ". Bring it into the warm."

	wTooColdToChargeAtNight = "Too cold to charge at night: a lithium battery must not be charged below 0\u00a0°C (32\u00a0°F)."
	wChargeHot              = "Don’t charge the battery in the sun or in a hot car: above 40\u00a0°C (104\u00a0°F) a lithium battery must not be charged."

	wLeadFreezes = "Lead freezes and bursts the sooner the emptier it is: near -8\u00a0°C (18\u00a0°F) when empty, near -26\u00a0°C (-15\u00a0°F) when half full. Keep it full in frost."
)

// coolRoom is the room from which on what a battery gives less is not called the cold.
const coolRoom units.Celsius = 15

// leadFreezes is where an empty lead battery may freeze, °C; half full, with acid of
// about 1.19, it is near −26 °C (tables of sulphuric acid, from memory).
const leadFreezes = -8

// near is how much colder than told the room may be in the odds.
const near units.Celsius = 4

// chargeHot is the most at which lithium should be charged, by the US Fire
// Administration; the cells' own sheets allow battery.ChargeTo.
const chargeHot units.Celsius = 40

// batteryNotes says what the warmth of its room keeps a battery from.
func batteryNotes(b battery.Battery) (out []string) {
	coldest := b.Room
	if b.Night != nil {
		coldest = min(coldest, units.Celsius(*b.Night))
	}
	if lowest, ok := b.Gives(); ok && coldest < lowest+near {
		lead := wGivesNothingNear
		switch {
		case b.Room < lowest:
			lead = wGivesNothing
		case coldest < lowest:
			lead = wGivesNothingNight
		}
		unless := ""
		if b.Lowest == nil {
			unless = wGivesUnless
		}
		out = append(out, lead+bothDegrees(lowest)+unless+wGivesWarm)
	}
	switch may := b.Chemistry.MayCharge; {
	case !may(b.Room): // told elsewhere, with what would charge it
	case !may(coldest):
		out = append(out, wTooColdToChargeAtNight)
	case !b.Chemistry.Lead() && b.Room > chargeHot-near:
		out = append(out, wChargeHot)
	}
	if b.Chemistry.Lead() && coldest <= leadFreezes {
		out = append(out, wLeadFreezes)
	}
	return out
}

// bothDegrees is a temperature in both scales.
func bothDegrees(c units.Celsius) string {
	return say.Amount(float64(c), 0, "°C") + " (" + say.Amount(float64(c)*1.8+32, 0, "°F") + ")"
}
