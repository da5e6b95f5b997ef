package sun

import (
	"math"
	"testing"

	"candleclock/engine/units"
)

func climateOf(t testing.TB, lat, lon float64) Climate {
	t.Helper()
	c, err := ClimateAt(units.Degrees(lat), units.Degrees(lon))
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// spread is the mean and the root mean square of relative errors.
type spread struct{ n, sum, squares float64 }

func (s *spread) add(got, want float64) {
	e := got/want - 1
	s.n++
	s.sum += e
	s.squares += e * e
}

func (s *spread) bias() float64 { return s.sum / s.n }
func (s *spread) rms() float64  { return math.Sqrt(s.squares / s.n) }

func TestInsolationAgainstMeasuredMeans(t *testing.T) {
	var all spread
	for _, row := range rows(t, usHorizontal) {
		v := numbers(t, row[1:])
		c := climateOf(t, v[0], v[1])
		for m, want := range v[2:] {
			if want > 0 {
				all.add(c.Insolation[m], want)
			}
		}
	}
	t.Logf("%.0f months: bias %+.1f %%, rms %.1f %%", all.n, 100*all.bias(), 100*all.rms())
	if all.rms() > 0.065 || math.Abs(all.bias()) > 0.02 {
		t.Errorf("bias %+.3f, rms %.3f; want within 0.02 and 0.065", all.bias(), all.rms())
	}
}

// The south wall tests the whole chain from the embedded climate to a tilted
// plane, glass apart.
func TestSouthWallAgainstMeasuredMeans(t *testing.T) {
	var all, north spread
	var months [12]spread
	for _, row := range rows(t, usSouthWall) {
		v := numbers(t, row[1:])
		lat, lon := units.Degrees(v[0]), units.Degrees(v[1])
		y, err := NewYard(Site{lat, lon, units.Hours(math.Round(v[1] / 15)), climateOf(t, v[0], v[1])},
			Array{Pmax: 100, NOCT: 45, Mounting: Wall(180)})
		if err != nil {
			t.Fatal(err)
		}
		for m, want := range v[2:] {
			got := y.Insolation(m + 1)
			if lat > 55 {
				if want > 0 {
					north.add(got, want)
				}
				continue
			}
			all.add(got, want)
			months[m].add(got, want)
		}
	}
	t.Logf("%.0f months: bias %+.1f %%, rms %.1f %%; above 55°N %.0f: bias %+.1f %%, rms %.1f %%",
		all.n, 100*all.bias(), 100*all.rms(), north.n, 100*north.bias(), 100*north.rms())
	if all.rms() > 0.10 {
		t.Errorf("rms %.3f, want at most 0.10", all.rms())
	}
	for m := range months {
		t.Logf("month %d: bias %+.3f rms %.3f", m+1, months[m].bias(), months[m].rms())
		if math.Abs(months[m].bias()) > 0.08 {
			t.Errorf("month %d: bias %+.3f, want within 0.08", m+1, months[m].bias())
		}
	}
}

// Typical years of stations that the climate does not hold, with their
// elevation given: every fourth of NREL TMY3 and SWERA. A typical January is
// one January, 2 °C or 10 % off the long mean without anybody's error.
func TestClimateAgainstTypicalYears(t *testing.T) {
	var tropics, us spread
	var n, low, mean float64
	for _, row := range rows(t, typicalMonths) {
		v := numbers(t, row[3:])
		c, err := climateOf(t, v[0], v[1]).AtElevation(v[3])
		if err != nil {
			t.Fatal(err)
		}
		s := &us
		if row[1] != "USA" {
			s = &tropics
		}
		for m := range 12 {
			if v[4+m] > 0.5 {
				s.add(c.Insolation[m], v[4+m])
			}
			n++
			mean += math.Pow(float64(c.Mean[m])-v[16+m], 2)
			low += math.Pow(float64(c.Low[m])-v[28+m], 2)
		}
	}
	mean, low = math.Sqrt(mean/n), math.Sqrt(low/n)
	t.Logf("mean temperature %.1f °C rms, mean minimum %.1f °C rms", mean, low)
	t.Logf("insolation, US: bias %+.1f %%, rms %.1f %%; elsewhere: bias %+.1f %%, rms %.1f %%",
		100*us.bias(), 100*us.rms(), 100*tropics.bias(), 100*tropics.rms())
	if mean > 2.5 || low > 2.5 {
		t.Errorf("temperature %.2f and %.2f °C rms, want at most 2.5", mean, low)
	}
	if tropics.rms() > 0.12 || us.rms() > 0.15 {
		t.Errorf("insolation %.3f and %.3f rms, want at most 0.12 and 0.15", tropics.rms(), us.rms())
	}
}

// Record lows since 1900, from memory of national weather services' tables. The
// estimate must be below all, but not absurdly.
func TestRecordCold(t *testing.T) {
	for _, c := range []struct {
		town   string
		record units.Celsius
	}{
		{"Miami", -3}, {"Houston", -15}, {"Dallas", -22}, {"Phoenix", -9}, {"Las Vegas", -13},
		{"London, U", -16}, {"Paris, F", -15}, {"Madrid", -15}, {"Moscow", -42}, {"Tokyo", -9},
		{"Singapore", 19}, {"Addis Ababa", 0}, {"Nairobi", 1}, {"Sydney", 2}, {"Berlin", -26},
		{"Helsinki", -34},
	} {
		towns := TownsLike(c.town, 1)
		if len(towns) == 0 {
			t.Errorf("%s: no such town", c.town)
			continue
		}
		climate := climateOf(t, float64(towns[0].Lat), float64(towns[0].Lon))
		t.Logf("%-12s %.1f, record %.0f", c.town, climate.RecordCold, c.record)
		if climate.RecordCold > c.record || climate.RecordCold < c.record-22 {
			t.Errorf("%s: record cold %.1f °C, want at or up to 22 below %.0f", c.town, climate.RecordCold, c.record)
		}
	}
}

func TestClimateEverywhere(t *testing.T) {
	for lat := -90.0; lat <= 90; lat += 5 {
		for lon := -180.0; lon <= 180; lon += 10 {
			c := climateOf(t, lat, lon)
			for m := range 12 {
				if c.Insolation[m] < 0 || c.Insolation[m] > 10 ||
					c.Low[m] > c.Mean[m] || c.Mean[m] > c.High[m] || c.Low[m] < -80 || c.High[m] > 50 {
					t.Fatalf("%v, %v, month %d: %+v", lat, lon, m+1, c)
				}
			}
			// A yard must stand anywhere that ClimateAt knows.
			if err := (Site{units.Degrees(lat), units.Degrees(lon), 0, c}).check(); err != nil {
				t.Fatal(err)
			}
		}
	}
	west, east := climateOf(t, -17, -180), climateOf(t, -17, 180)
	for m := range 12 {
		if math.Abs(west.Insolation[m]-east.Insolation[m]) > 1e-9 || math.Abs(float64(west.Low[m]-east.Low[m])) > 1e-9 {
			t.Errorf("the date line has two climates: %+v and %+v", west, east)
		}
	}
}

func TestClimateErrors(t *testing.T) {
	for _, c := range []struct {
		lat, lon units.Degrees
		want     string
	}{
		{91, 0, "latitude is 91, not between -90 and 90"},
		{0, -181, "longitude is -181, not between -180 and 180"},
		{units.Degrees(math.NaN()), 0, "latitude is NaN, not between -90 and 90"},
	} {
		if _, err := ClimateAt(c.lat, c.lon); err == nil || err.Error() != c.want {
			t.Errorf("ClimateAt(%v, %v): %v, want %s", c.lat, c.lon, err, c.want)
		}
	}
	if _, err := (Climate{}).AtElevation(9000); err == nil {
		t.Error("a town at 9000 m passed")
	}
}

func TestAtElevation(t *testing.T) {
	c := climateOf(t, 9, 38.75)
	up, err := c.AtElevation(c.Elevation + 1000)
	if err != nil {
		t.Fatal(err)
	}
	if got := up.Mean[0] - c.Mean[0]; math.Abs(float64(got)+6.5) > 1e-9 {
		t.Errorf("1 km up is %.2f °C, want -6.5", got)
	}
	if up.RecordCold >= c.RecordCold || up.Insolation != c.Insolation {
		t.Errorf("%+v\n%+v", c, up)
	}
}
