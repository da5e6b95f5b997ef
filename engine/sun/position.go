package sun

import (
	"math"

	"candleclock/engine/units"
)

// Position is where the sun stands in the sky of a place.
type Position struct {
	// Elevation of the sun's centre above the horizon without the air's
	// bending, seen from the ground rather than from the earth's centre.
	Elevation units.Degrees
	// Azimuth clockwise from north, 0 to 360.
	Azimuth units.Degrees
}

// Zenith is 90° less the elevation.
func (p Position) Zenith() units.Degrees { return 90 - p.Elevation }

// Apparent is the elevation with refraction at sea level: Meeus eq. 16.4
// (Sæmundsson), 1010 mbar and 10 °C. It is within 0.07′ of the tables at
// those, and is taken as nil where the disc is wholly below the horizon.
func (p Position) Apparent() units.Degrees {
	e := float64(p.Elevation)
	if e < -0.9 {
		return p.Elevation
	}
	return units.Degrees(e + 1.02/60/tan(e+10.3/(e+5.11)))
}

// At is the sun's position at a Unix time, in seconds, seen from a latitude
// (−90 to 90) and longitude (−180 to 180). From 1980 to 2060 it is within
// 0.02° of the Solar Position Algorithm of Reda & Andreas
// (NREL/TP-560-34302, 2008); half of that is usual.
func At(unix float64, lat, lon units.Degrees) Position {
	s := ephemeris(unix)
	h := s.greenwich + float64(lon)
	return horizontal(float64(lat), s.declination, h, parallax)
}

// parallax is the sun's on the horizon, in degrees, at its mean distance: Meeus
// eq. 40.1. Over the year it changes by 0.000 04°.
const parallax = 8.794 / 3600

// horizontal turns declination and hour angle into elevation and azimuth:
// Meeus eqs. 13.5, 13.6, with the parallax of eq. 40.6 taken on the elevation.
func horizontal(lat, declination, hourAngle, parallax float64) Position {
	sinLat, cosLat := sincos(lat)
	sinDec, cosDec := sincos(declination)
	sinH, cosH := sincos(hourAngle)
	sinE := sinLat*sinDec + cosLat*cosDec*cosH
	e := deg(math.Asin(clamp(sinE, -1, 1)))
	// At a pole or with the sun overhead azimuth is undefined; atan2 says 180.
	az := 180 + deg(math.Atan2(cosDec*sinH, sinLat*cosDec*cosH-cosLat*sinDec))
	return Position{
		Elevation: units.Degrees(e - parallax*cos(e)),
		Azimuth:   units.Degrees(turn(az)),
	}
}

// geocentric is the sun as seen from the earth's centre, in degrees.
type geocentric struct {
	declination float64
	greenwich   float64 // hour angle at Greenwich, west positive
}

// ephemeris is Meeus chapter 25, "low accuracy": 0.01° in longitude.
func ephemeris(unix float64) geocentric {
	ut := (unix/86400 + 2440587.5 - 2451545) / 36525 // Julian centuries of UT
	// Dynamical time runs 51 s (1980) to about 90 s (2060) ahead. The sun
	// moves 0.000 3° in the 20 s that one figure for all is wrong by.
	t := ut + 70.0/86400/36525

	l0 := 280.46646 + t*(36000.76983+t*0.0003032) // (25.2) mean longitude
	m := 357.52911 + t*(35999.05029-t*0.0001537)  // (25.3) mean anomaly
	c := (1.914602-t*(0.004817+t*0.000014))*sin(m) + (0.019993-t*0.000101)*sin(2*m) + 0.000289*sin(3*m)
	omega := 125.04 - 1934.136*t
	lambda := l0 + c - 0.00569 - 0.00478*sin(omega) // apparent longitude, p. 164

	// (22.2) obliquity, with the nutation of p. 165.
	eps := 23.439291 - t*(0.0130042+t*(0.00000016-t*0.000000504)) + 0.00256*cos(omega)
	sinL, cosL := sincos(lambda)
	sinE, cosE := sincos(eps)
	alpha := deg(math.Atan2(cosE*sinL, cosL)) // (25.6)
	delta := deg(math.Asin(sinE * sinL))      // (25.7)

	// (12.4) sidereal time at Greenwich, with the nutation in longitude.
	theta := 280.46061837 + 360.98564736629*36525*ut + ut*ut*0.000387933 - 0.00478*sin(omega)*cosE
	return geocentric{declination: delta, greenwich: turn(theta - alpha)}
}

// EquationOfTime is apparent less mean solar time, in minutes, at a Unix time;
// within 0.05 min from 1980 to 2060. Source as for [At].
func EquationOfTime(unix float64) float64 {
	mean := math.Mod(unix, 86400) / 240 // the mean sun's hour angle, from midnight
	return 4 * (turn(ephemeris(unix).greenwich-mean) - 180)
}

func sin(d float64) float64 { return math.Sin(d * math.Pi / 180) }
func cos(d float64) float64 { return math.Cos(d * math.Pi / 180) }
func tan(d float64) float64 { return math.Tan(d * math.Pi / 180) }
func deg(r float64) float64 { return r * 180 / math.Pi }

func sincos(d float64) (float64, float64) { return math.Sincos(d * math.Pi / 180) }

func clamp(v, low, high float64) float64 { return math.Max(low, math.Min(high, v)) }

// turn brings an angle into 0 to 360.
func turn(d float64) float64 {
	d = math.Mod(d, 360)
	if d < 0 {
		d += 360
	}
	return d
}

// halfTurn brings an angle into −180 to 180.
func halfTurn(d float64) float64 { return turn(d+180) - 180 }
