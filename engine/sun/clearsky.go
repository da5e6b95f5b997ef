package sun

import (
	"math"

	"candleclock/engine/units"
)

// AirMass is the length of the sun's path through the air, 1 when overhead, at
// sea level for an apparent elevation of 0 to 90°: Kasten & Young (1989),
// Applied Optics 28, 4735. Below the horizon it is that of the horizon, 37.9.
func AirMass(apparent units.Degrees) float64 {
	return airMassAt(sin(float64(apparent)))
}

func airMassAt(cosZenith float64) float64 {
	cosZenith = clamp(cosZenith, 0, 1)
	return 1 / (cosZenith + 0.50572*math.Pow(6.07995+deg(math.Asin(cosZenith)), -1.6364))
}

// Haurwitz is the global horizontal irradiance of a cloudless sky, W/m², from
// the sun's elevation alone: Haurwitz (1945), J. Meteorology 2, 154, in the
// form of Reno, Hansen & Stein, SAND2012-2389.
func Haurwitz(elevation units.Degrees) float64 {
	return haurwitz(sin(float64(elevation)))
}

func haurwitz(cosZenith float64) float64 {
	if cosZenith <= 0 {
		return 0
	}
	return 1098 * cosZenith * math.Exp(-0.059/cosZenith)
}

// The Linke turbidity of the air, after Ineichen & Perez (2002): cleanAir is
// cold and clean, the clearest usual; usualAir is common in temperate places.
const (
	cleanAir = 2.0
	usualAir = 3.0
)

// ineichen is the irradiance of a cloudless sky at an altitude in m under air
// of a Linke turbidity: Ineichen & Perez (2002), Solar Energy 73, 151–157.
// airMass is for the pressure of the altitude, normal the irradiance above the
// air. beam is on a plane that faces the sun.
func ineichen(cosZenith, airMass, turbidity, altitude, normal float64) (global, beam float64) {
	if cosZenith <= 0 {
		return 0, 0
	}
	fh1 := math.Exp(-altitude / 8000)
	fh2 := math.Exp(-altitude / 1250)
	cg1 := 5.09e-5*altitude + 0.868
	cg2 := 3.92e-5*altitude + 0.0387
	global = cg1 * normal * cosZenith * math.Exp(-cg2*airMass*(fh1+fh2*(turbidity-1)))
	b := 0.664 + 0.163/fh1
	beam = normal * math.Min(
		b*math.Exp(-0.09*airMass*(turbidity-1)),
		// The beam cannot leave less diffuse light than the least that the
		// model knows.
		global/normal*(1-(0.1-0.2*math.Exp(-turbidity))/(0.1+0.882/fh1))/cosZenith)
	return global, beam
}

// pressureRatio is the air's pressure at an altitude in m over that at sea
// level, standard atmosphere (ICAO Doc 7488).
func pressureRatio(altitude float64) float64 {
	return math.Pow(1-2.25577e-5*altitude, 5.25588)
}
