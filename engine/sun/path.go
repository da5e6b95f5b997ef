package sun

import "math"

// quarters is the number of steps that an hour's geometry is summed over.
const quarters = 4

// hour is one hour of the local clock on one day of the year. Within it the
// beam keeps the clear sky's course, which is nil at sunrise: a ratio of two
// small cosines there does no harm.
type hour struct {
	global    float64 // share of the day's horizontal insolation
	diffuse   float64 // share of its diffuse part
	above     float64 // mean irradiance of a horizontal plane above the air, W/m²
	ratio     float64 // beam on the plane over beam on a horizontal one
	through   float64 // the same through glass and past shade
	cleanBeam float64 // horizontal beam under clean air, the most there can be, W/m²
	clear     sky     // under a cloudless sky of usual haze
}

// day is one day of the year.
type day struct {
	sunset float64 // its hour angle, degrees
	h0     float64 // insolation of a horizontal plane above the air, kWh/m²
	clear  float64 // that of a horizontal plane under Haurwitz's clear sky, kWh/m²
	hours  [24]hour
}

// path is the sun's path over an array through the year.
type path [365]day

// day is that of the year, 1 to 366; the last two are alike.
func (p *path) day(yearDay int) *day { return &p[min(yearDay, 365)-1] }

// lay works out the path.
func (p *path) lay(site Site, array Array) {
	lat := float64(site.Lat)
	sinLat, cosLat := sincos(lat)
	altitude := math.Max(0, site.Climate.Elevation)
	pressure := pressureRatio(altitude)
	tilt := float64(array.Mounting.Tilt)
	fixed := newPlane(tilt, float64(array.Mounting.Azimuth))

	for i := range p {
		d := &p[i]
		dec := declination(i + 1)
		sinDec, cosDec := sincos(dec)
		normal := ExtraterrestrialNormal(i + 1)
		d.h0 = extraterrestrial(lat, dec, normal)
		d.sunset = sunsetAngle(lat, dec)
		shape := newDayShape(d.sunset)
		planes := [3]plane{fixed, fixed, fixed}
		if array.Mounting.Turned {
			for j, hourAngle := range [3]float64{-turnedTo, 0, turnedTo} {
				planes[j] = newPlane(tilt, float64(horizontal(lat, dec, hourAngle, 0).Azimuth))
			}
		}
		// Solar less clock time, hours: Duffie & Beckman eq. 1.5.2.
		ahead := float64(site.Lon)/15 - float64(site.Offset) + equationOfTime(i+1)

		var global, diffuse float64
		for h := range d.hours {
			hour := &d.hours[h]
			var onPlane, throughTo, usualGlobal, usualBeam float64
			for q := range quarters {
				clock := float64(h) + (float64(q)+0.5)/quarters
				hourAngle := halfTurn(15 * (clock + ahead - 12))
				sinHour, cosHour := sincos(hourAngle)
				cosZenith := sinLat*sinDec + cosLat*cosDec*cosHour
				if cosZenith <= 0 {
					continue
				}
				hour.global += shape.global(cosHour)
				hour.diffuse += shape.diffuse(cosHour)
				hour.above += normal * cosZenith / quarters
				d.clear += haurwitz(cosZenith) / quarters / 1000

				airMass := pressure * airMassAt(cosZenith)
				_, clean := ineichen(cosZenith, airMass, cleanAir, altitude, normal)
				all, usual := ineichen(cosZenith, airMass, usualAir, altitude, normal)
				hour.cleanBeam += clean * cosZenith / quarters
				usualGlobal += all / quarters
				usualBeam += usual * cosZenith / quarters

				on := &planes[1]
				switch {
				case hourAngle < -turnedAt:
					on = &planes[0]
				case hourAngle > turnedAt:
					on = &planes[2]
				}
				// The sun's direction, south, west and up (eqs. 1.6.5, 1.6.6).
				south := sinLat*cosDec*cosHour - cosLat*sinDec
				west := cosDec * sinHour
				incidence := on.incidence(cosZenith, south, west)
				if incidence <= 0 {
					continue
				}
				onPlane += clean * incidence / quarters
				if array.Shade.lets(clock) {
					throughTo += clean * incidence * glass(incidence) / quarters
				}
			}
			global += hour.global
			diffuse += hour.diffuse
			if hour.cleanBeam > 0 {
				hour.ratio = onPlane / hour.cleanBeam
				hour.through = throughTo / hour.cleanBeam
			}
			if hour.above > 0 {
				hour.clear = sky{usualGlobal, usualBeam, usualGlobal - usualBeam, usualBeam / hour.above}
			}
		}
		// The shares come within 2 % of 1 by themselves.
		if global > 0 {
			for h := range d.hours {
				d.hours[h].global /= global
				d.hours[h].diffuse /= diffuse
			}
		}
	}
}

// lets says whether the sun comes past the shade at an hour of the clock.
func (s Shade) lets(clock float64) bool {
	return s.From == 0 && s.To == 0 || clock >= float64(s.From) && clock < float64(s.To)
}

// daySky is a day of a clearness index, whose hours hour gives.
type daySky struct {
	insolation, diffuse float64 // Wh/m² on a horizontal plane
}

func (d *day) sky(k float64) daySky {
	insolation := 1000 * k * d.h0
	return daySky{insolation, insolation * diffuseShare(k, d.sunset)}
}

func (s daySky) hour(h *hour) sky {
	global := s.insolation * h.global
	diffuse := math.Min(s.diffuse*h.diffuse, global)
	// What clean air would not let through as a beam comes as diffuse light.
	beam := math.Min(global-diffuse, h.cleanBeam)
	return sky{global, beam, global - beam, beam / h.above}
}
