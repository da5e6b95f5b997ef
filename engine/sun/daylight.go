package sun

import (
	"math"

	"candleclock/engine/units"
)

// Daylight is one day's sun at a place, in hours of the local clock. A rise or
// set may fall outside 0 to 24 where the clock is far from the sun.
type Daylight struct {
	Rise, Noon, Set units.Hours
	// Always and Never mark the polar day and night, when Rise and Set are
	// both Noon and mean nothing.
	Always, Never bool
}

// horizon is the elevation of the sun's centre as its rim shows: 34′ of
// refraction and 16′ of radius (Meeus ch. 15).
const horizon = -0.8333

// DaylightOn is the sun's rise, highest point and set on a date. From 1980 to
// 2060 and within 60° of the equator it is within 15 s of the Solar Position
// Algorithm (see [At]); the air itself moves sunrise by more.
func DaylightOn(date Date, lat, lon units.Degrees, offset units.Hours) Daylight {
	hourAngle := func(t float64) (h, dec float64) {
		s := ephemeris(date.Unix(units.Hours(t), offset))
		return halfTurn(s.greenwich + float64(lon)), s.declination
	}
	noon := 12.0
	for range 3 {
		h, _ := hourAngle(noon)
		noon -= h / 15
	}
	d := Daylight{Rise: units.Hours(noon), Noon: units.Hours(noon), Set: units.Hours(noon)}
	for _, side := range []struct {
		sign float64
		at   *units.Hours
	}{{-1, &d.Rise}, {1, &d.Set}} {
		t := noon
		for range 4 {
			h, dec := hourAngle(t)
			// (Meeus 15.1)
			x := (sin(horizon) - sin(float64(lat))*sin(dec)) / (cos(float64(lat)) * cos(dec))
			if math.Abs(x) >= 1 {
				up := math.Signbit(x)
				return Daylight{Rise: d.Noon, Noon: d.Noon, Set: d.Noon, Always: up, Never: !up}
			}
			// The nearest such hour angle, also across midnight.
			t += halfTurn(side.sign*deg(math.Acos(x))-h) / 15
		}
		*side.at = units.Hours(t)
	}
	return d
}
