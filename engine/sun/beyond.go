package sun

import (
	"math"

	"candleclock/engine/units"
)

// solarConstant is the World Radiation Centre's 1367 W/m². Today's is 1361
// (Kopp & Lean 2011), but the clearness correlations and matrices below were
// fitted with about this one.
const solarConstant = 1367.0

// ExtraterrestrialNormal is the irradiance, W/m², on a plane that faces the sun
// above the air on a day of the year, 1 to 366: Spencer (1971), Duffie &
// Beckman eq. 1.4.1b, within 0.01 %.
func ExtraterrestrialNormal(day int) float64 {
	b := float64(day-1) * 360 / 365 // eq. 1.4.2, degrees
	return solarConstant * (1.000110 + 0.034221*cos(b) + 0.001280*sin(b) + 0.000719*cos(2*b) + 0.000077*sin(2*b))
}

// yearly is the sun's declination in degrees and the equation of time in hours
// at noon UTC on a day of the year, 1 to 366, taken the same every year: those
// of 2026, halfway between leap years. Any year's and place's own lie within
// 0.5° and 1 minute, which a sum over hours and months may take for nothing;
// [At] is exact.
func yearly(day int) (declination, equationOfTime float64) {
	s := ephemeris(Date{2026, 1, day}.Unix(12, 0))
	return s.declination, halfTurn(s.greenwich) / 15
}

// sunsetAngle is the hour angle of sunset, 0 to 180°, without refraction:
// Duffie & Beckman eq. 1.6.10.
func sunsetAngle(lat, dec float64) float64 {
	return deg(math.Acos(clamp(-tan(lat)*tan(dec), -1, 1)))
}

// DayLength is the time from sunrise to sunset, 0 to 24 h, on a day of the
// year without refraction: Duffie & Beckman eq. 1.6.11.
func DayLength(lat units.Degrees, day int) units.Hours {
	dec, _ := yearly(day)
	return units.Hours(sunsetAngle(float64(lat), dec) * 2 / 15)
}

// DailyExtraterrestrial is the insolation of a horizontal plane above the air,
// kWh/m², on a day of the year: Duffie & Beckman eq. 1.10.3.
func DailyExtraterrestrial(lat units.Degrees, day int) float64 {
	dec, _ := yearly(day)
	return extraterrestrial(float64(lat), dec, ExtraterrestrialNormal(day))
}

func extraterrestrial(lat, dec, normal float64) float64 {
	ws := sunsetAngle(lat, dec)
	return 24 / math.Pi * normal / 1000 *
		(cos(lat)*cos(dec)*sin(ws) + ws*math.Pi/180*sin(lat)*sin(dec))
}
