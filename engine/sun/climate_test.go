package sun

import (
	"math"
	"testing"

	"candleclock/engine/units"
)

func climateAt(t testing.TB, lat, lon float64) Climate {
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
		c := climateAt(t, v[0], v[1])
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
		y, err := NewYard(Site{lat, lon, units.Hours(math.Round(v[1] / 15)), climateAt(t, v[0], v[1])},
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
