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
	b := dayAngle(day)
	return solarConstant * (1.000110 + 0.034221*cos(b) + 0.001280*sin(b) + 0.000719*cos(2*b) + 0.000077*sin(2*b))
}

// dayAngle is B of Duffie & Beckman eq. 1.4.2, in degrees.
func dayAngle(day int) float64 { return float64(day-1) * 360 / 365 }

// declination is the sun's, in degrees, on a day of the year: Spencer (1971),
// Duffie & Beckman eq. 1.6.1b, within 0.035°. It is the same every year, which
// a sum over hours and months may take for granted; [At] is exact.
func declination(day int) float64 {
	b := dayAngle(day)
	return deg(0.006918 - 0.399912*cos(b) + 0.070257*sin(b) - 0.006758*cos(2*b) +
		0.000907*sin(2*b) - 0.002697*cos(3*b) + 0.00148*sin(3*b))
}

// equationOfTime in hours: Spencer (1971), Duffie & Beckman eq. 1.5.3, within
// half a minute.
func equationOfTime(day int) float64 {
	b := dayAngle(day)
	return 229.2 / 60 * (0.000075 + 0.001868*cos(b) - 0.032077*sin(b) - 0.014615*cos(2*b) - 0.04089*sin(2*b))
}

// sunsetAngle is the hour angle of sunset, 0 to 180°, without refraction:
// Duffie & Beckman eq. 1.6.10.
func sunsetAngle(lat, dec float64) float64 {
	return deg(math.Acos(clamp(-tan(lat)*tan(dec), -1, 1)))
}

// DayLength is the time from sunrise to sunset, 0 to 24 h, on a day of the
// year without refraction: Duffie & Beckman eq. 1.6.11.
func DayLength(lat units.Degrees, day int) units.Hours {
	return units.Hours(sunsetAngle(float64(lat), declination(day)) * 2 / 15)
}

// DailyExtraterrestrial is the insolation of a horizontal plane above the air,
// kWh/m², on a day of the year: Duffie & Beckman eq. 1.10.3.
func DailyExtraterrestrial(lat units.Degrees, day int) float64 {
	return extraterrestrial(float64(lat), declination(day), ExtraterrestrialNormal(day))
}

func extraterrestrial(lat, dec, normal float64) float64 {
	ws := sunsetAngle(lat, dec)
	return 24 / math.Pi * normal / 1000 *
		(cos(lat)*cos(dec)*sin(ws) + ws*math.Pi/180*sin(lat)*sin(dec))
}
