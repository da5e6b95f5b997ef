package sun

import (
	"math"
	"testing"
)

func TestDiffuseShare(t *testing.T) {
	for _, c := range []struct{ k, sunset, want, tolerance float64 }{
		{0.69, 98, 0.256, 0.001}, // Duffie & Beckman ex. 2.11.1
		{0.692, 95.1, 0.253, 0.001},
		{0.8, 90, 0.175, 0}, {0.8, 70, 0.143, 0}, // the constant ends of eq. 2.11.1
		{0.722, 90, 0.175, 0}, {0.715, 70, 0.143, 0}, {0.8, 81.4, 0.143, 0}, // where they begin
		{0.05, 90, 1, 0}, {0, 90, 1, 0}, {0, 70, 1, 0}, // never more than all
	} {
		if got := diffuseShare(c.k, c.sunset); math.Abs(got-c.want) > c.tolerance {
			t.Errorf("diffuseShare(%v, %v) = %.4f, want %.4f", c.k, c.sunset, got, c.want)
		}
	}
	// The branches meet, as published, within 0.02.
	for _, c := range []struct{ k, sunset float64 }{{0.715, 70}, {0.722, 90}} {
		a, b := diffuseShare(c.k-1e-9, c.sunset), diffuseShare(c.k, c.sunset)
		if math.Abs(a-b) > 0.02 {
			t.Errorf("step at %v: %.4f to %.4f", c.k, a, b)
		}
	}
}

// Duffie & Beckman exs. 2.13.1 to 2.13.3.
func TestDayShape(t *testing.T) {
	for _, c := range []struct {
		what                string
		lat, dec, hourAngle float64
		global, diffuse     float64
	}{
		{"Melbourne, 17 January, 8 to 9 h", -38, -20.9, -52.5, 0.0759, 0},
		{"Madison, 23 August, 13 to 14 h", 43, 11.2, 22.5, 0.1177, 0},
		{"Madison, 11 June, 10 to 11 h", 43, 23.0, -22.5, 0.1085, 0.1015},
	} {
		s := newDayShape(sunsetAngle(c.lat, c.dec))
		if got := s.global(cos(c.hourAngle)); math.Abs(got-c.global) > 0.001 {
			t.Errorf("%s: global %.4f, want %.4f", c.what, got, c.global)
		}
		if got := s.diffuse(cos(c.hourAngle)); c.diffuse > 0 && math.Abs(got-c.diffuse) > 0.001 {
			t.Errorf("%s: diffuse %.4f, want %.4f", c.what, got, c.diffuse)
		}
	}
}

// pvlib-python's tests and runs of the isotropic sky and Hay-Davies.
func TestCatch(t *testing.T) {
	for _, c := range []struct {
		tilt, azimuth, dhi, dni, zenith, sunAzimuth, normal float64
		beam, isotropic, hayDavies, ground, tolerance       float64
	}{
		{40, 180, 118.45831879, 939.95469881, 10.56413562, 144.76567754, 1321.1655834833, 0, 104.601328, 102.9949, 0, 1e-3},
		{30, 180, 120, 700, 40, 200, 1367, 675.7977, 111.9615, 132.0712, 8.7918, 1e-3},
		{60, 180, 80, 300, 70, 150, 1367, 262.7339, 60, 91.7883, 9.1303, 1e-3},
		{20, 90, 200, 500, 30, 240, 1367, 332.8493, 193.9693, 179.2536, 3.8175, 1e-3},
		{90, 180, 100, 400, 75, 180, 1367, 386.3703, 50, 144.5735, 20.3528, 1e-3},
		{35, 135, 118.45831879, 939.95469881, 10.56413562, 144.76567754, 1367, 854.3259, 107.7468, 108.9683, 18.8531, 1e-3},
		{45, 180, 60, 850, 60, 290, 1367, 122.4932, 51.2132, 30.1217, 14.2053, 1e-3},
	} {
		p := newPlane(c.tilt, c.azimuth)
		up, level := cos(c.zenith), sin(c.zenith)
		incidence := p.incidence(up, -level*cos(c.sunAzimuth), -level*sin(c.sunAzimuth))
		s := sky{global: c.dni*up + c.dhi, beam: c.dni * up, diffuse: c.dhi, around: c.dni / c.normal}
		got := p.catch(s, incidence/up, 0.2)
		if c.beam > 0 && (math.Abs(got.beam-c.beam) > c.tolerance || math.Abs(got.ground-c.ground) > c.tolerance) {
			t.Errorf("%+v: beam %.4f, ground %.4f", c, got.beam, got.ground)
		}
		if d := got.around + got.dome; math.Abs(d-c.hayDavies) > c.tolerance {
			t.Errorf("%+v: Hay-Davies sky %.4f", c, d)
		}
		s.around = 0
		if d := p.catch(s, incidence/up, 0.2).dome; math.Abs(d-c.isotropic) > c.tolerance {
			t.Errorf("%+v: isotropic sky %.4f", c, d)
		}
	}
}

// Duffie & Beckman exs. 2.15.1 (isotropic, 1.17 MJ/m²) and 2.16.1, of which the
// Hay-Davies part, without the horizon's brightening, is 1.25: 40°N, 20
// February, 9 to 10 h, slope 60°, snow.
func TestCatchWorkedHour(t *testing.T) {
	p := newPlane(60, 180)
	s := sky{global: 1.04, beam: 0.244, diffuse: 0.796}
	got := p.catch(s, 1.71, 0.60)
	for _, c := range []struct {
		what      string
		got, want float64
	}{
		{"beam", got.beam, 0.418}, {"sky", got.dome, 0.597}, {"ground", got.ground, 0.156},
		{"isotropic", got.beam + got.around + got.dome + got.ground, 1.17},
	} {
		if math.Abs(c.got-c.want) > 0.01 {
			t.Errorf("%s %.3f MJ/m², want %.3f", c.what, c.got, c.want)
		}
	}
	s.around = 0.104
	got = p.catch(s, 1.71, 0.60)
	if sum := got.beam + got.around + got.dome + got.ground; math.Abs(sum-1.25) > 0.01 {
		t.Errorf("Hay-Davies %.3f MJ/m², want 1.25", sum)
	}
}

// Duffie & Beckman ex. 2.20.1: Madison, slope 60° south, snow in winter. The
// book takes a month in one step, with the monthly diffuse fraction of its eq.
// 2.12.1; here that is joined to this package's views, and the beam ratio compared.
func TestMonthsOfMadison(t *testing.T) {
	h := [12]float64{6.44, 9.89, 12.86, 16.05, 21.36, 23.04, 22.58, 20.33, 14.59, 10.48, 6.37, 5.74} // MJ/m²
	albedos := [12]float64{0.7, 0.7, 0.4, 0.2, 0.2, 0.2, 0.2, 0.2, 0.2, 0.2, 0.2, 0.4}
	clearness := [12]float64{0.48, 0.53, 0.49, 0.48, 0.54, 0.55, 0.56, 0.57, 0.51, 0.50, 0.44, 0.48}
	rb := [12]float64{2.79, 2.04, 1.42, 0.96, 0.71, 0.62, 0.66, 0.84, 1.21, 1.81, 2.56, 3.06}
	want := [12]float64{13.7, 17.2, 15.8, 14.7, 16.6, 16.5, 16.8, 17.5, 15.6, 15.2, 11.4, 12.7}
	p := newPlane(60, 180)
	for m := range 12 {
		d := newSweep(Site{Lat: 43, Lon: -90, Offset: -6}, Leaned(60, 180), Shade{}).day(MeanDay(m + 1))
		var onPlane, level float64
		for _, hour := range d.hours {
			onPlane += hour.ratio * hour.above
			level += hour.above
		}
		// The book's declination is up to 1° from the sun's, and its beam as
		// strong at sunrise as at noon, where here it takes the clear sky's
		// course within each hour.
		if got := onPlane / level; math.Abs(got/rb[m]-1) > 0.05 {
			t.Errorf("month %d: Rb %.3f, want %.2f", m+1, got, rb[m])
		}
		k := clearness[m]
		share := 1.311 - 3.022*k + 3.427*k*k - 1.821*k*k*k
		dec := 23.45 * sin(360*(284+float64(MeanDay(m+1)))/365) // eq. 1.6.1a, as the book
		if sunsetAngle(43, dec) <= 81.4 {
			share = 1.391 - 3.560*k + 4.189*k*k - 2.137*k*k*k
		}
		c := p.catch(sky{global: h[m], beam: h[m] * (1 - share), diffuse: h[m] * share}, rb[m], albedos[m])
		if got := c.beam + c.dome + c.ground; math.Abs(got-want[m]) > 0.2 {
			t.Errorf("month %d: %.2f MJ/m², want %.1f", m+1, got, want[m])
		}
	}
}

func TestGlass(t *testing.T) {
	// ASHRAE, b₀ 0.05, as run in pvlib-python.
	for angle, want := range map[float64]float64{0: 1, 30: 0.992265, 45: 0.979289, 60: 0.95, 75: 0.856815, 85: 0.476314, 89.9: 0, 100: 0} {
		if got := glass(cos(angle)); math.Abs(got-want) > 1e-4 {
			t.Errorf("glass at %v° = %.5f, want %.5f", angle, got, want)
		}
	}
	// 1 − 0.05 × (1/0.05 − 1), close to where nothing comes in any more.
	if got := glass(0.05); math.Abs(got-0.05) > 1e-12 {
		t.Errorf("glass at a cosine of 0.05 lets in %.5f, want 0.05", got)
	}
}
