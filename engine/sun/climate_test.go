package sun

import (
	"math"
	"slices"
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

// A bilinear mean: at the middle of a cell it is that cell, between four each a
// quarter, and with those left out that hold nothing the rest count alike.
func TestAround(t *testing.T) {
	a := atlas()
	middle := func(row, column int) (lat, lon float64) {
		return gridSouth + gridStep*float64(row), gridWest + gridStep*float64(column)
	}
	for row := range gridRows {
		for column := range gridColumns {
			cell := row*gridColumns + column
			got := a.around(middle(row, column))
			if alone := []weighedCell{{cell, 1}}; a.present[cell] && !slices.Equal(got, alone) || !a.present[cell] && got != nil {
				t.Fatalf("in cell %d: %v", cell, got)
			}
			lat, lon := middle(row, column)
			var present []int
			for _, c := range []int{cell, row*gridColumns + (column+1)%gridColumns, cell + gridColumns, (row+1)*gridColumns + (column+1)%gridColumns} {
				if c < gridCells && a.present[c] {
					present = append(present, c)
				}
			}
			got = a.around(lat+gridStep/2, lon+gridStep/2)
			if len(got) != len(present) {
				t.Fatalf("north-east of cell %d: %v, want %v", cell, got, present)
			}
			for i, g := range got {
				if g.cell != present[i] || math.Abs(g.weight-1/float64(len(present))) > 1e-12 {
					t.Fatalf("north-east of cell %d: %v, want %v alike", cell, got, present)
				}
			}
		}
	}
}

// In a day of less than two hours sunshine is not heard: a place in the middle
// of a grid's cell has that cell's clearness.
func TestWhereTheSunHardlyRises(t *testing.T) {
	const row, column = 50, 81 // 68.75°N, 23.75°E
	c := climateOf(t, gridSouth+gridStep*row, gridWest+gridStep*column)
	for m, short := range map[int]bool{0: true, 2: false} {
		h0 := DailyExtraterrestrial(68.75, MeanDay(m+1))
		grid := float64(atlas().clearness[m][row*gridColumns+column]) / 160
		if got := math.Abs(c.Insolation[m]/h0-grid) < 1e-9; got != short {
			t.Errorf("month %d: clearness %.4f, the grid's %.4f", m+1, c.Insolation[m]/h0, grid)
		}
	}
}

// gridMean is the grid's monthly mean temperature, °C, at the middle of a cell.
func gridMean(cell, m int) float64 { return 2*float64(atlas().temperature[m][cell]) - 60 }

// The two sources, each measured for itself, bear each other out where towns lie low.
func TestGridAgreesWithTowns(t *testing.T) {
	a := atlas()
	var n, temperature, clearness float64
	for i := range a.towns {
		town := &a.towns[i]
		cells := a.around(float64(town.Lat), float64(town.Lon))
		if town.Elevation > 500 || len(cells) == 0 {
			continue
		}
		for m := range 12 {
			var mean, k float64
			for _, g := range cells {
				mean += g.weight * gridMean(g.cell, m)
				k += g.weight * float64(a.clearness[m][g.cell]) / 160
			}
			n++
			temperature += math.Pow(mean-(town.low[m]+town.high[m])/2, 2)
			clearness += math.Pow(k-0.946*(0.25+0.50*town.sunshine[m]), 2)
		}
	}
	temperature, clearness = math.Sqrt(temperature/n), math.Sqrt(clearness/n)
	t.Logf("%.0f months: %.1f °C and %.3f rms apart", n, temperature, clearness)
	if temperature > 3 || clearness > 0.06 {
		t.Errorf("%.2f °C and %.3f rms apart, want at most 3 and 0.06", temperature, clearness)
	}
}

// A place between its towns and its cell of the grid: close to a town it has the
// towns' temperature, at 1000 km one halfway, at 3000 km a tenth of the way. The
// day's range far from any town is by FAO-56 eq. 50, (k/0.16)², 4 to 18 °C.
func TestTownsCountLessFarAway(t *testing.T) {
	a := atlas()
	for _, c := range []struct{ lat, lon, km, share float64 }{ // in the middle of a cell
		{43.75, 11.25, 2, 1}, {48.75, 21.25, 3, 1}, {3.75, 8.75, 1, 1}, // Florence, Košice, Malabo
		{63.75, 78.75, 1000, 0.5}, {53.75, 136.25, 999, 0.5}, {-1.25, 156.25, 1000, 0.5}, // Siberia, the Solomon Sea
		{-46.25, 66.25, 2985, 0.1}, {-53.75, 76.25, 2989, 0.1}, // the southern Indian Ocean
	} {
		climate := climateOf(t, c.lat, c.lon)
		if math.Abs(climate.TownKm-c.km) > 1 {
			t.Errorf("%+v: %.0f km from %s", c, climate.TownKm, climate.Town)
		}
		cell := int((c.lat-gridSouth)/gridStep)*gridColumns + int((c.lon-gridWest)/gridStep)
		for m := range 12 {
			var towns, swing float64
			for _, near := range a.nearest(c.lat, c.lon, 6) {
				low, high := a.towns[near.index].low[m], a.towns[near.index].high[m]
				towns += near.weight * (low + high) / 2
				swing += near.weight * (high - low)
			}
			k := climate.Insolation[m] / DailyExtraterrestrial(units.Degrees(c.lat), MeanDay(m+1))
			for _, of := range []struct {
				what             string
				got, towns, grid float64
			}{
				{"mean", float64(climate.Mean[m]), towns, gridMean(cell, m)},
				{"range", float64(climate.High[m] - climate.Low[m]), swing, math.Min(18, math.Max(4, math.Pow(k/0.16, 2)))},
			} {
				want := c.share*of.towns + (1-c.share)*of.grid
				if math.Abs(of.got-want) > 0.01*math.Abs(of.towns-of.grid)+1e-9 {
					t.Errorf("%+v, month %d: %s %.2f °C, want %.2f", c, m+1, of.what, of.got, want)
				}
			}
		}
	}
}

// Where the grid has nothing the towns tell all. FAO-56 eq. 35 takes a sunless
// month to a quarter of the light above the air.
func TestFarOutAtSea(t *testing.T) {
	const lat, lon = -51.25, -133.75
	if cells := atlas().around(lat, lon); cells != nil {
		t.Fatalf("the grid has %v", cells)
	}
	c := climateOf(t, lat, lon)
	for m := range 12 {
		k := c.Insolation[m] / DailyExtraterrestrial(lat, MeanDay(m+1))
		if k < 0.946*0.25 || k > 0.946*0.75 {
			t.Errorf("month %d: clearness %.3f, want %.3f to %.3f", m+1, k, 0.946*0.25, 0.946*0.75)
		}
		low, high := math.Inf(1), math.Inf(-1)
		for _, town := range atlas().nearest(lat, lon, 6) {
			low, high = min(low, atlas().towns[town.index].low[m]), max(high, atlas().towns[town.index].high[m])
		}
		if float64(c.Low[m]) < low || float64(c.High[m]) > high {
			t.Errorf("month %d: %.1f to %.1f °C, its towns have %.1f to %.1f", m+1, c.Low[m], c.High[m], low, high)
		}
	}
}

// Weights fall with the square of the distance, 30 km at right angles included:
// beside a town at 0 km one at 40 km counts 900/2500.
func TestNearest(t *testing.T) {
	a := atlas()
	for _, i := range []int{0, 100, 500, 1000} {
		got := a.nearest(float64(a.towns[i].Lat), float64(a.towns[i].Lon), 6)
		sum := 0.0
		for j, town := range got {
			sum += town.weight
			if want := 900 / (town.km*town.km + 900); math.Abs(town.weight/got[0].weight-want) > 1e-9 {
				t.Errorf("%s, %.0f km from %s, weighs %.4f of it, want %.4f",
					a.towns[town.index].Name(), town.km, a.towns[i].Name(), town.weight/got[0].weight, want)
			}
			if j > 0 && town.km < got[j-1].km {
				t.Errorf("%s: %v are not nearest first", a.towns[i].Name(), got)
			}
		}
		if got[0].km > 1e-9 || math.Abs(sum-1) > 1e-12 {
			t.Errorf("%s is %v km from itself; the weights sum to %v", a.towns[i].Name(), got[0].km, sum)
		}
	}
	// On a sphere of 6371 km: a quarter of a meridian and of the equator, a
	// quarter turn along 60°N, whose cosine is 3/4 by the spherical law, and the
	// other side of the earth.
	for _, c := range []struct{ lat1, lon1, lat2, lon2, want float64 }{
		{0, 0, 90, 0, 6371 * math.Pi / 2}, {0, -45, 0, 45, 6371 * math.Pi / 2},
		{60, 10, 60, 100, 6371 * math.Acos(0.75)}, {20, 30, -20, -150, 6371 * math.Pi},
		{0, 0, 1, 0, 6371 * math.Pi / 180}, {0, 179.5, 0, -179.5, 6371 * math.Pi / 180},
	} {
		if got := distance(c.lat1, c.lon1, c.lat2, c.lon2); math.Abs(got-c.want) > 1e-3 {
			t.Errorf("%+v: %.3f km", c, got)
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
