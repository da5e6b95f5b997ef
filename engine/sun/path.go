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

// sweep is what every day of a path has in common.
type sweep struct {
	sinLat, cosLat float64
	lat            float64
	ahead          float64 // mean solar less clock time, hours
	pressure       float64 // of the air, over that at sea level
	clean, usual   cloudless
	tilt           float64
	fixed          plane
	turned         bool
	shade          Shade
}

func newSweep(site Site, mounting Mounting, shade Shade) *sweep {
	altitude := math.Max(0, site.Climate.Elevation)
	w := &sweep{
		lat:      float64(site.Lat),
		ahead:    float64(site.Lon)/15 - float64(site.Offset),
		pressure: pressureRatio(altitude),
		clean:    newCloudless(altitude, cleanAir),
		usual:    newCloudless(altitude, usualAir),
		tilt:     float64(mounting.Tilt),
		fixed:    newPlane(float64(mounting.Tilt), float64(mounting.Azimuth)),
		turned:   mounting.Turned,
		shade:    shade,
	}
	w.sinLat, w.cosLat = sincos(w.lat)
	return w
}

// day works out a day of the year, 1 to 365.
func (w *sweep) day(yearDay int) (d day) {
	dec, equationOfTime := yearly(yearDay)
	sinDec, cosDec := sincos(dec)
	normal := ExtraterrestrialNormal(yearDay)
	d.h0 = extraterrestrial(w.lat, dec, normal)
	d.sunset = sunsetAngle(w.lat, dec)
	shape := newDayShape(d.sunset)
	planes := w.planes(dec)
	ahead := w.ahead + equationOfTime // Duffie & Beckman eq. 1.5.2

	var global, diffuse float64
	for h := range d.hours {
		hour := &d.hours[h]
		var bare, through, usualGlobal, usualBeam float64
		for q := range quarters {
			clock := float64(h) + (float64(q)+0.5)/quarters
			hourAngle := halfTurn(15 * (clock + ahead - 12))
			sinHour, cosHour := sincos(hourAngle)
			up := w.sinLat*sinDec + w.cosLat*cosDec*cosHour // eq. 1.6.5
			if up <= 0 {
				continue
			}
			hour.global += shape.global(cosHour)
			hour.diffuse += shape.diffuse(cosHour)
			hour.above += normal * up / quarters
			d.clear += haurwitz(up) / quarters / 1000

			airMass := w.pressure * airMassAt(up)
			_, clean := w.clean.irradiance(up, airMass, normal)
			all, usual := w.usual.irradiance(up, airMass, normal)
			hour.cleanBeam += clean / quarters
			usualGlobal += all / quarters
			usualBeam += usual / quarters

			on := &planes[1]
			switch {
			case hourAngle < -turnedAt:
				on = &planes[0]
			case hourAngle > turnedAt:
				on = &planes[2]
			}
			south := w.sinLat*cosDec*cosHour - w.cosLat*sinDec
			west := cosDec * sinHour
			incidence := on.incidence(up, south, west)
			if incidence <= 0 {
				continue
			}
			bare += clean / up * incidence / quarters
			if w.shade.lets(clock) {
				through += clean / up * incidence * glass(incidence) / quarters
			}
		}
		global += hour.global
		diffuse += hour.diffuse
		if hour.cleanBeam > 0 {
			hour.ratio = bare / hour.cleanBeam
			hour.through = through / hour.cleanBeam
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
	return d
}

// planes are the array's in the morning, at noon and in the afternoon.
func (w *sweep) planes(dec float64) [3]plane {
	if !w.turned {
		return [3]plane{w.fixed, w.fixed, w.fixed}
	}
	var p [3]plane
	for i, hourAngle := range [3]float64{-turnedTo, 0, turnedTo} {
		p[i] = newPlane(w.tilt, float64(horizontal(w.lat, dec, hourAngle, 0).Azimuth))
	}
	return p
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

// onPlane is the insolation of the bare plane, kWh/m², on a day of a clearness
// index.
func (d *day) onPlane(p plane, k float64) float64 {
	s, sum := d.sky(k), 0.0
	for h := range d.hours {
		if hour := &d.hours[h]; hour.global > 0 {
			c := p.catch(s.hour(hour), hour.ratio, albedo)
			sum += c.beam + c.around + c.dome + c.ground
		}
	}
	return sum / 1000
}

// weather is how the days of a month are whose mean day this is, by its mean
// insolation of a horizontal plane in kWh/m² a day.
func (d *day) weather(insolation float64) monthWeather {
	if d.h0 == 0 {
		return newMonthWeather(0, 0)
	}
	// In six typical years (NREL TMY3, SWERA) from 9° to 55° no day passed
	// 1.15 times Haurwitz's clear one, few 1.1.
	utmost := 1.1 * d.clear / d.h0
	// A month whose mean comes nearer the utmost than that of deserts (0.85)
	// is one of hardly any sun, where a mean means little.
	return newMonthWeather(math.Min(insolation/d.h0, 0.9*utmost), utmost)
}
