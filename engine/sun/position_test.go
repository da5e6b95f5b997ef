package sun

import (
	"math"
	"testing"
	"time"

	"candleclock/engine/units"
)

// SPA: Reda & Andreas, Solar Position Algorithm, NREL/TP-560-34302 (2008).
var positions = []struct {
	source             string
	date               Date
	utc                units.Hours
	lat, lon           units.Degrees
	elevation, azimuth float64 // without refraction
}{
	{"SPA table A5.1", Date{2003, 10, 17}, 19.0 + 30.5/60, 39.742476, -105.1786, 39.872046, 194.34024},
	{"SPA, the day after", Date{2003, 10, 18}, 19.0 + 30.5/60, 39.742476, -105.1786, 39.505196, 194.311132},

	// pvlib-python's own SPA, run for these.
	{"SPA", Date{2024, 3, 20}, 12, 0, 0, 90 - 1.8331, 85.4145},
	{"SPA", Date{2024, 6, 21}, 17.25, -0.18, -78.47, 90 - 23.6176, 0.4861},
	{"SPA", Date{2025, 1, 15}, 2, -33.87, 151.21, 90 - 12.8084, 4.7371},
	{"SPA", Date{2025, 6, 21}, 18.5, 59.9, 10.75, 90 - 78.2509, 296.8204},
	{"SPA", Date{2025, 9, 10}, 20.75, 25.76, -80.19, 90 - 53.9077, 256.0043},
	{"SPA", Date{2025, 11, 5}, 23.5, 14.6, 120.98, 90 - 68.8252, 113.9567},
	{"SPA", Date{2026, 4, 10}, 6, -1.29, 36.82, 90 - 54.1558, 79.2101},
	{"SPA", Date{2026, 7, 1}, 7.5, -33.92, 18.42, 90 - 74.2625, 47.1017},
	{"SPA", Date{2026, 2, 1}, 21, 61.2, -149.9, 90 - 79.4721, 162.2101},
	{"SPA", Date{2026, 8, 20}, 16, 18.2, -66.4, 90 - 9.1522, 129.2432},
	{"SPA", Date{2026, 12, 31}, 23, -17.8, 178.0, 90 - 17.4665, 110.4338},

	// PyEphem 4.1.4 (libastro, VSOP87), run for these: 1980 to 2060, both
	// hemispheres, polar day and night.
	{"VSOP87", Date{1980, 3, 20}, 9, 52, 5, 27.2535, 131.3390},
	{"VSOP87", Date{1984, 12, 21}, 16.5, 40, -75, 26.2122, 172.7566},
	{"VSOP87", Date{1991, 7, 11}, 19, 19.5, -155.5, 41.6777, 77.3473},
	{"VSOP87", Date{1996, 2, 29}, 3, -33, 151, 62.2090, 331.7899},
	{"VSOP87", Date{2000, 6, 21}, 22, 71, 25, 4.5114, 354.9608},
	{"VSOP87", Date{2010, 11, 5}, 8.25, -54.8, -68.3, -3.4639, 123.7454},
	{"VSOP87", Date{2024, 12, 21}, 12, 67, 26, -2.5881, 204.1265},
	{"VSOP87", Date{2033, 5, 1}, 5, -75, 0, -18.3254, 99.8384},
	{"VSOP87", Date{2040, 9, 22}, 12, 0, 0, 88.1224, 268.8832},
	{"VSOP87", Date{2045, 1, 3}, 10, 23.4, 90, 16.5036, 235.3989},
	{"VSOP87", Date{2052, 8, 14}, 15.5, 60, 10, 26.2246, 251.6865},
	{"VSOP87", Date{2060, 4, 1}, 13, 35, -5, 58.8050, 197.7115},
	{"VSOP87", Date{2060, 10, 30}, 2, -41, 174.8, 53.1005, 308.6515},
}

func TestAt(t *testing.T) {
	const tolerance = 0.02 // degrees on the sky
	worst := 0.0
	for _, p := range positions {
		got := At(p.date.Unix(p.utc, 0), p.lat, p.lon)
		// The angle between the two directions: near the zenith azimuth
		// alone says little.
		s := math.Pow(sin((float64(got.Elevation)-p.elevation)/2), 2) +
			cos(float64(got.Elevation))*cos(p.elevation)*math.Pow(sin((float64(got.Azimuth)-p.azimuth)/2), 2)
		off := deg(2 * math.Asin(math.Sqrt(s)))
		worst = max(worst, off)
		if off > tolerance {
			t.Errorf("At(%v %v h UTC, %v, %v) = %.4f, %.4f, want %.4f, %.4f (%s): %.4f° off",
				p.date, p.utc, p.lat, p.lon, got.Elevation, got.Azimuth, p.elevation, p.azimuth, p.source, off)
		}
	}
	t.Logf("worst of %d: %.4f°", len(positions), worst)
}

// SPA table A5.1 and pvlib-python's SPA, as above; refraction for 1013 mbar at
// most 0.09° at these heights, so that the pressure matters little.
func TestApparent(t *testing.T) {
	for _, c := range []struct{ elevation, want, tolerance float64 }{
		{39.872046, 39.888378, 0.005}, // 820 mbar
		{90 - 78.2509, 90 - 78.1738, 0.002},
		{90 - 79.4721, 90 - 79.3868, 0.002},
		{90 - 53.9077, 90 - 53.8846, 0.002},
		{0, 34.0 / 60, 0.1}, // Meeus ch. 15: 34′ at the horizon
		{-5, -5, 0},
	} {
		got := float64(Position{Elevation: units.Degrees(c.elevation)}.Apparent())
		if math.Abs(got-c.want) > c.tolerance {
			t.Errorf("Apparent at %.4f = %.4f, want %.4f", c.elevation, got, c.want)
		}
	}
}

func TestEquationOfTime(t *testing.T) {
	for _, c := range []struct {
		date Date
		utc  units.Hours
		want float64 // minutes
	}{
		{Date{2003, 10, 17}, 19.508333, 14.641503}, // SPA table A5.1
		{Date{2024, 3, 20}, 12, -7.305},            // pvlib-python's SPA, this and below
		{Date{2025, 1, 15}, 2, -9.334},
		{Date{2025, 11, 5}, 23.5, 16.386},
		{Date{2026, 2, 1}, 21, -13.587},
		{Date{2015, 1, 2}, 14.365337, -3.935172}, // pvlib-python, test of its hour angle
	} {
		if got := EquationOfTime(c.date.Unix(c.utc, 0)); math.Abs(got-c.want) > 0.05 {
			t.Errorf("EquationOfTime(%v) = %.3f min, want %.3f", c.date, got, c.want)
		}
	}
	// Duffie & Beckman ex. 1.5.1: 3 February, −13.5 min.
	if _, got := yearly(34); math.Abs(60*got+13.5) > 0.3 {
		t.Errorf("equation of time on day 34: %.2f min, want -13.5", 60*got)
	}
}

func clock(h, m, s float64) units.Hours { return units.Hours(h + m/60 + s/3600) }

func TestDaylightOn(t *testing.T) {
	const tolerance = 15.0 / 3600
	for _, c := range []struct {
		date            Date
		lat, lon        units.Degrees
		offset          units.Hours
		rise, noon, set units.Hours
	}{
		// The second's set and the seventh's rise are from PyEphem 4.1.4 at
		// −0°50′: SPA takes rise and set from the UTC day of the same date,
		// which there is the day before by the clock (19:13:58), or the day
		// after (5:00:39).
		//
		// NREL's SPA calculator, as kept in the tests of pvlib-python.
		{Date{2015, 1, 2}, 39.742476, -105.1786, -7, clock(7, 21, 55), clock(12, 4, 45), clock(16, 47, 43)},
		{Date{2015, 8, 2}, 39.742476, -105.1786, -7, clock(5, 0, 27), clock(12, 6, 58), clock(19, 12, 53)},
		{Date{1996, 7, 5}, -35, 0, 0, clock(7, 8, 15), clock(12, 4, 36), clock(17, 1, 4)},
		{Date{2004, 12, 4}, -35, 0, 0, clock(4, 38, 57), clock(11, 50, 22), clock(19, 2, 3)},
		// pvlib-python's SPA, run for these.
		{Date{2024, 12, 21}, 51.5, -0.12, 0, clock(8, 3, 54), clock(11, 58, 46), clock(15, 53, 38)},
		{Date{2025, 9, 10}, 25.76, -80.19, -5, clock(6, 4, 46), clock(12, 17, 34), clock(18, 30, 0)},
		{Date{2025, 1, 15}, -33.87, 151.21, 10, clock(4, 59, 43), clock(12, 4, 29), clock(19, 8, 56)},
		{Date{2026, 4, 10}, -1.29, 36.82, 3, clock(6, 31, 26), clock(12, 34, 1), clock(18, 36, 35)},
	} {
		got := DaylightOn(c.date, c.lat, c.lon, c.offset)
		for i, pair := range [3][2]units.Hours{{got.Rise, c.rise}, {got.Noon, c.noon}, {got.Set, c.set}} {
			if math.Abs(float64(pair[0]-pair[1])) > tolerance {
				t.Errorf("%v at %v: %s %.4f h, want %.4f, %.0f s off", c.date, c.lat,
					[3]string{"rise", "noon", "set"}[i], pair[0], pair[1], 3600*(pair[0]-pair[1]))
			}
		}
		if got.Always || got.Never {
			t.Errorf("%v at %v: no rise or set", c.date, c.lat)
		}
	}
}

func TestPolarDayAndNight(t *testing.T) {
	for _, c := range []struct {
		date          Date
		lat           units.Degrees
		always, never bool
	}{
		{Date{2025, 6, 21}, 70, true, false},
		{Date{2025, 12, 21}, 70, false, true},
		{Date{2025, 6, 21}, -70, false, true},
		{Date{2025, 12, 21}, -70, true, false},
		{Date{2025, 12, 21}, 90, false, true},
		{Date{2025, 3, 20}, 70, false, false},
		// At the polar circle refraction lifts the midwinter sun into sight.
		{Date{2025, 12, 21}, 66.6, false, false},
	} {
		got := DaylightOn(c.date, c.lat, 25, 2)
		if got.Always != c.always || got.Never != c.never {
			t.Errorf("%v at %v: %+v, want always %v, never %v", c.date, c.lat, got, c.always, c.never)
		}
	}
}

// By its definition the sun stands 50′ below the horizon at rise and set, its
// parallax apart, also where it sets close to midnight.
func TestRiseAndSetByTheirElevation(t *testing.T) {
	const lon, offset = 25, 2
	for _, lat := range []units.Degrees{-65.5, -40, 0, 30, 60, 65, 65.7} {
		for n := range 365 {
			date := Date{2026, 1, 1}.plus(n)
			d := DaylightOn(date, lat, lon, offset)
			if d.Always || d.Never {
				continue
			}
			if !(d.Rise < d.Noon && d.Noon < d.Set && d.Set < d.Rise+24) {
				t.Errorf("%v at %v: %+v", date, lat, d)
			}
			for _, at := range []units.Hours{d.Rise, d.Set} {
				if e := At(date.Unix(at, offset), lat, lon).Elevation; math.Abs(float64(e)+0.8333+parallax) > 0.001 {
					t.Errorf("%v at %v, %.3f h: the sun stands at %.4f°, want -0.8333 less its parallax", date, lat, at, e)
				}
			}
		}
	}
}

func TestSamoaKeepsTheClocksDay(t *testing.T) {
	// The sun of 172°W under a clock 13 h ahead of UTC.
	if got := DaylightOn(Date{2025, 3, 1}, -13.8, -172, 13).Noon; math.Abs(float64(got)-12.67) > 0.05 {
		t.Errorf("noon at %.2f, want 12.67: 12 + 0.47 for the longitude + 0.2 for the equation of time", got)
	}
}

func TestDateAgreesWithTheCalendar(t *testing.T) {
	at := time.Date(1899, 12, 25, 0, 0, 0, 0, time.UTC)
	d := Date{1899, 12, 25}
	for range 80_000 {
		want := Date{at.Year(), int(at.Month()), at.Day()}
		if d != want || d.yearDay() != at.YearDay() || d.Unix(0, 0) != float64(at.Unix()) {
			t.Fatalf("got %v, day %d, %v s; want %v, %d, %d s", d, d.yearDay(), d.Unix(0, 0), want, at.YearDay(), at.Unix())
		}
		at, d = at.AddDate(0, 0, 1), d.plus(1)
	}
	if got, want := (Date{2026, 1, 14}).Unix(17, -5), float64(time.Date(2026, 1, 14, 22, 0, 0, 0, time.UTC).Unix()); got != want {
		t.Errorf("17:00 at UTC-5 = %v s, want %v", got, want)
	}
}

// Duffie & Beckman examples 1.6.1 to 1.6.3, 1.8.1 to 1.8.3; Iqbal, An
// Introduction to Solar Radiation (1983); Kalogirou, Solar Energy Engineering,
// ex. 2.7; Goswami, Principles of Solar Engineering, ex. 2.7. The books count
// azimuth from south.
func TestIncidence(t *testing.T) {
	for _, c := range []struct {
		lat, dec, hourAngle, tilt, fromSouth float64
		want, tolerance                      float64
	}{
		{43, -14, -22.5, 45, 15, 35.176, 0.001},
		{51.516667, 18.4557514, -15.00225713, 30, 0, 14.420271, 1e-4},
		{35, 23.2320597, 30.00053311, 45, 10, 39.628414, 1e-4},
		{35, 23.2320597, 30.00053311, 45, 90, 18.946301, 1e-4},
		{27.96, -17.51, -11.1, 30, 10, 22.384604, 1e-4},
		{-35.3, -17.51, -4.2, 30, 170, 14.88239, 1e-4},
		{40, -11.6, 82.5, 60, 0, 79.110119, 1e-4},
	} {
		p := newPlane(c.tilt, 180+c.fromSouth)
		got := deg(math.Acos(p.incidence(direction(c.lat, c.dec, c.hourAngle))))
		if math.Abs(got-c.want) > c.tolerance {
			t.Errorf("%+v: %.5f", c, got)
		}
	}
	// SPA table A5.1: slope 30°, rotated 10° east of south, 25.187°.
	at := At(Date{2003, 10, 17}.Unix(12+30.5/60, -7), 39.742476, -105.1786)
	up, level := sin(float64(at.Apparent())), cos(float64(at.Apparent()))
	got := deg(math.Acos(newPlane(30, 170).incidence(up, -level*cos(float64(at.Azimuth)), -level*sin(float64(at.Azimuth)))))
	if math.Abs(got-25.187) > 0.02 {
		t.Errorf("SPA incidence %.4f, want 25.187", got)
	}
}

// direction is the sun's, up, south and west.
func direction(lat, dec, hourAngle float64) (up, south, west float64) {
	p := horizontal(lat, dec, hourAngle, 0)
	up, level := sincos(float64(p.Elevation))
	return up, -level * cos(float64(p.Azimuth)), -level * sin(float64(p.Azimuth))
}

func TestTurns(t *testing.T) {
	for _, c := range []struct{ angle, turn, half float64 }{
		{0, 0, 0}, {90, 90, 90}, {180, 180, -180}, {270, 270, -90}, {360, 0, 0}, {450, 90, 90},
		{-90, 270, -90}, {-360, 0, 0}, {-450, 270, -90},
	} {
		if turn, half := turn(c.angle), halfTurn(c.angle); turn != c.turn || half != c.half {
			t.Errorf("%v°: %v and %v, want %v and %v", c.angle, turn, half, c.turn, c.half)
		}
	}
}

// Meeus ex. 25.a: 13 October 1992, 0 h of dynamical time, Ω 264.65°, obliquity
// 23.44°, right ascension 198.38083°, declination −7.78507°. Mean sidereal time
// at Greenwich is that of ex. 12.a, 10 April 1987, 13 h 10 min 46.3668 s, 2013
// days on.
func TestEphemerisWorked(t *testing.T) {
	const ahead = 70 // s, dynamical time
	got := ephemeris(Date{1992, 10, 13}.Unix(0, 0) - ahead)
	sidereal := 15*(13+10.0/60+46.3668/3600) + 360.98564736629*(2013-ahead/86400.0) - 0.00478*sin(264.65)*cos(23.44)
	if off := halfTurn(got.greenwich - (sidereal - 198.38083)); math.Abs(off) > 2e-5 || math.Abs(got.declination+7.78507) > 1e-5 {
		t.Errorf("declination %.6f°, want -7.78507; hour angle %.6f° off", got.declination, off)
	}
}

// Meeus ch. 40: seen from the ground the sun on the horizon is lower by the
// whole parallax, 8.79″, and overhead by none.
func TestParallax(t *testing.T) {
	for hourAngle, want := range map[float64]float64{90: -8.79 / 3600, -90: -8.79 / 3600, 0: 90, 60: 30 - 8.79/3600*0.866} {
		if got := horizontal(0, 0, hourAngle, parallax).Elevation; math.Abs(float64(got)-want) > 1e-5 {
			t.Errorf("hour angle %v: %.5f°, want %.5f", hourAngle, got, want)
		}
	}
}

func TestHorizontal(t *testing.T) {
	for _, c := range []struct{ lat, dec, hourAngle, zenith, azimuth, tolerance float64 }{
		{43, -14, -37.5, 66.547, 180 - 40.08, 0.01}, // Duffie & Beckman ex. 1.6.2
		{43, 23.1, 97.5, 79.644, 180 + 112.02, 0.01},
		{43, -2.4, 60, 70.32, 180 + 66.77, 0.05}, // ex. 1.6.3
	} {
		got := horizontal(c.lat, c.dec, c.hourAngle, 0)
		if math.Abs(float64(got.Zenith())-c.zenith) > c.tolerance || math.Abs(float64(got.Azimuth)-c.azimuth) > c.tolerance {
			t.Errorf("%+v: zenith %.3f, azimuth %.3f", c, got.Zenith(), got.Azimuth)
		}
	}
	for _, c := range []struct{ lat, dec, hourAngle, tilt, fromSouth, want, tolerance float64 }{
		{43, -14, -22.5, 45, 15, 1.66, 0.01}, // Rb, ex. 1.8.1
		{40, -13, -37.5, 30, 0, 1.61, 0.01},  // exs. 1.8.2, 1.8.3
		{40, -13, -37.5, 50, 0, 1.79, 0.01},
	} {
		up, south, west := direction(c.lat, c.dec, c.hourAngle)
		if got := newPlane(c.tilt, 180+c.fromSouth).incidence(up, south, west) / up; math.Abs(got-c.want) > c.tolerance {
			t.Errorf("Rb of %+v: %.4f", c, got)
		}
	}
}

func TestDeclinationAndSunset(t *testing.T) {
	for year := 1980; year <= 2060; year += 5 {
		for day := 1; day <= 365; day++ {
			want := ephemeris(Date{year, 1, day}.Unix(12, 0))
			dec, eot := yearly(day)
			if math.Abs(dec-want.declination) > 0.4 || math.Abs(15*eot-halfTurn(want.greenwich)) > 0.25 {
				t.Fatalf("yearly(%d) = %.3f°, %.3f h; in %d it is %.3f°, %.3f h",
					day, dec, eot, year, want.declination, halfTurn(want.greenwich)/15)
			}
		}
	}
	for _, c := range []struct{ lat, dec, want float64 }{
		{43, -2.4, 87.76}, // Duffie & Beckman ex. 1.6.3
		{43, 9.4, 98.9},   // ex. 1.10.1
		{deg(0.157952297), deg(0.384670567), 93.697}, // Goswami ex. 2.2
		{80, 20, 180}, {80, -20, 0}, {-80, 20, 0},
	} {
		if got := sunsetAngle(c.lat, c.dec); math.Abs(got-c.want) > 0.05 {
			t.Errorf("sunsetAngle(%v, %v) = %.3f, want %v", c.lat, c.dec, got, c.want)
		}
	}
}
