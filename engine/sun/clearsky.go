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
	return 1 / (cosZenith + 0.50572*pow(6.07995+deg(math.Asin(cosZenith)), -1.6364))
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
	return 1098 * cosZenith * exp(-0.059/cosZenith)
}

// The Linke turbidity of the air, after Ineichen & Perez (2002): cleanAir is
// cold and clean, the clearest usual; usualAir is common in temperate places.
const (
	cleanAir = 2.0
	usualAir = 3.0
)

// cloudless is the clear sky of Ineichen & Perez (2002), Solar Energy 73,
// 151–157, at one altitude under one air.
type cloudless struct{ globalScale, globalDim, beamScale, beamDim, beamShare float64 }

// newCloudless takes an altitude in m and a Linke turbidity of 1 or more.
func newCloudless(altitude, turbidity float64) cloudless {
	fh1 := exp(-altitude / 8000)
	fh2 := exp(-altitude / 1250)
	return cloudless{
		globalScale: 5.09e-5*altitude + 0.868,
		globalDim:   (3.92e-5*altitude + 0.0387) * (fh1 + fh2*(turbidity-1)), // eq. 11
		beamScale:   0.664 + 0.163/fh1,
		beamDim:     0.09 * (turbidity - 1), // eq. 8
		beamShare:   1 - (0.1-0.2*exp(-turbidity))/(0.1+0.882/fh1),
	}
}

// irradiance is the global and the beam part, W/m² on a horizontal plane, by
// the cosine of the zenith angle, above 0, the air mass at the altitude's
// pressure and the irradiance above the air.
func (c cloudless) irradiance(cosZenith, airMass, normal float64) (global, beam float64) {
	global = c.globalScale * normal * cosZenith * exp(-c.globalDim*airMass)
	beam = c.beamScale * normal * cosZenith * exp(-c.beamDim*airMass)
	return global, math.Min(beam, global*c.beamShare)
}

// pressureRatio is the air's pressure at an altitude in m over that at sea
// level, standard atmosphere (ICAO Doc 7488).
func pressureRatio(altitude float64) float64 {
	return pow(1-2.25577e-5*altitude, 5.25588)
}
