package yield

import "candleclock/engine/units"

// FromSunrise turns a day's hours so that they begin with the first that has
// sun: a fill is counted from there, not from midnight. A day without sun stays
// as it is.
func FromSunrise(day []units.Watts) []units.Watts {
	for h, w := range day {
		if w > 0 {
			return append(append([]units.Watts(nil), day[h:]...), day[:h]...)
		}
	}
	return day
}
