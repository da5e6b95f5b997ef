package sun

import (
	"math"
	"testing"

	"candleclock/engine/units"
)

// Kasten & Young (1989), as run in pvlib-python.
func TestAirMass(t *testing.T) {
	for zenith, want := range map[units.Degrees]float64{
		0: 0.99971, 30: 1.15399, 60: 1.99429, 75: 3.81291, 80: 5.58604, 85: 10.30579, 88: 19.43325, 90: 37.91961,
	} {
		if got := AirMass(90 - zenith); math.Abs(got-want) > 0.001 {
			t.Errorf("zenith %v: %.5f, want %.5f", zenith, got, want)
		}
	}
	if got, want := AirMass(-10), AirMass(0); got != want {
		t.Errorf("below the horizon %v, want %v", got, want)
	}
}

// pvlib-python's test of Haurwitz (1945), after Reno, Hansen & Stein.
func TestHaurwitz(t *testing.T) {
	for elevation, want := range map[units.Degrees]float64{
		-20: 0, -0.05: 0, -0.001: 0, 5: 48.6298687941956, 10: 135.741748091813,
		30: 487.894132885425, 50: 778.766689344363, 90: 1035.0920325345,
	} {
		if got := Haurwitz(elevation); math.Abs(got-want) > 1e-4 {
			t.Errorf("%v°: %.5f W/m², want %.5f", elevation, got, want)
		}
	}
}

// Clear days by Haurwitz, minute steps with SPA, in pvlib-python; kWh/m². They
// take the refracted sun, which is higher by a little in a northern December.
func TestClearDay(t *testing.T) {
	for _, c := range []struct {
		lat  units.Degrees
		date Date
		want float64
	}{
		{0, Date{2025, 3, 20}, 7.68}, {40, Date{2025, 12, 21}, 2.426}, {52, Date{2025, 12, 21}, 0.992},
		{25, Date{2025, 9, 10}, 7.32}, {-34, Date{2025, 6, 21}, 3.185},
	} {
		d := newSweep(Site{Lat: c.lat}, Flat(), Shade{}).day(c.date.yearDay())
		if math.Abs(d.clear/c.want-1) > 0.015 {
			t.Errorf("%v° on %v: %.3f kWh/m², want %.3f", c.lat, c.date, d.clear, c.want)
		}
	}
}

// From half past eleven to half past twelve in March the sun stands overhead at
// the equator and at 30° at 60°N, times 0.9971 for the quarters' hour angles: air
// masses 1.003 and 2.003 after Kasten & Young, and of the air above 2500 m 0.737
// by the standard atmosphere (ICAO Doc 7488).
func TestClearNoonHighUp(t *testing.T) {
	const yearDay = 79
	_, eot := yearly(yearDay)
	normal := ExtraterrestrialNormal(yearDay)
	for _, at := range []struct {
		lat         units.Degrees
		up, airMass float64
	}{{0, 0.9971, 1.003}, {60, 0.498, 2.003}} {
		w := newSweep(Site{Lat: at.lat, Climate: Climate{Elevation: 2500}}, Flat(), Shade{})
		w.ahead = 0.5 - eot // noon in the middle of the hour from 11
		got := w.day(yearDay).hours[11]
		_, clean := newCloudless(2500, cleanAir).irradiance(at.up, 0.737*at.airMass, normal)
		global, beam := newCloudless(2500, usualAir).irradiance(at.up, 0.737*at.airMass, normal)
		for _, c := range []struct {
			what      string
			got, want float64
		}{
			{"above the air", got.above, normal * at.up}, {"clean beam", got.cleanBeam, clean},
			{"usual global", got.clear.global, global}, {"usual beam", got.clear.beam, beam},
			{"usual diffuse", got.clear.diffuse, global - beam}, {"share about the sun", got.clear.around, beam / (normal * at.up)},
		} {
			if math.Abs(c.got/c.want-1) > 0.005 {
				t.Errorf("%v°: %s %.4f, want %.4f", at.lat, c.what, c.got, c.want)
			}
		}
	}
}

func TestCloudless(t *testing.T) {
	for _, c := range []struct {
		zenith, airMass, turbidity, altitude, normal float64
		global, beamNormal, diffuse, tolerance       float64
	}{
		// pvlib-python's tests of Ineichen & Perez (2002).
		{10, 1, 3, 0, 1364, 1038.159219, 942.208186, 110.265293, 1e-3},
		{10, 1, 3, 0, 1370, 1042.725902, 946.352797, 110.750331, 1e-3},
		{10, 1, 3, 2000, 1364, 1134.243124, 994.953778, 154.404929, 1e-3},
		// The same, run.
		{30, 1.15399, 3, 0, 1364, 896.76, 916.45, 103.10, 0.01},
		{30, 0.96301, 2, 1500, 1364, 1003.21, 1076.42, 71.00, 0.01},
		{60, 1.66425, 4.5, 1500, 1364, 474.47, 694.94, 127.00, 0.01},
		{75, 3.81291, 4.5, 0, 1364, 157.74, 339.39, 69.90, 0.01},
		{85, 8.60024, 2, 1500, 1364, 43.52, 468.01, 2.73, 0.01},
	} {
		z := cos(c.zenith)
		global, beam := newCloudless(c.altitude, c.turbidity).irradiance(z, c.airMass, c.normal)
		if math.Abs(global-c.global) > c.tolerance || math.Abs(beam/z-c.beamNormal) > c.tolerance/z ||
			math.Abs(global-beam-c.diffuse) > c.tolerance {
			t.Errorf("%+v: global %.4f, beam %.4f, diffuse %.4f", c, global, beam/z, global-beam)
		}
	}
	// pvlib-python's run at 1500 m: air mass 0.96301 there, 1.15399 at sea level.
	if got, want := pressureRatio(1500), 0.96301/1.15399; math.Abs(got-want) > 1e-4 {
		t.Errorf("pressure ratio at 1500 m %.5f, want %.5f", got, want)
	}
}
