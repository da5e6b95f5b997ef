package sun

import (
	"cmp"
	_ "embed"
	"encoding/binary"
	"fmt"
	"math"
	"slices"
	"strings"
	"sync"

	"candleclock/engine/units"
)

//go:generate go run ./internal/pack $CLIMATE climate.bin

// climateFile is laid out as internal/pack says, which also names its sources.
//
//go:embed climate.bin
var climateFile string

// Climate is a place's months, January first.
type Climate struct {
	// Insolation of a horizontal plane, kWh/m² a day, the best estimate:
	// against published means its error is 5 to 10 % rms (see [ClimateSpread]).
	// A better figure for the place may be put in its stead.
	Insolation [12]float64
	// Low, Mean and High are the mean daily minimum, mean and mean daily
	// maximum; within 2 °C rms where a town is near.
	Low, Mean, High [12]units.Celsius
	// RecordCold is a wary estimate of the coldest that the place has known.
	// It lies 14 °C + 0.7 × (warmest less coldest month's mean), at most 34 °C,
	// below the coldest month's mean minimum: a record is some four standard
	// deviations of a winter night below the mean, and nights vary by 2 to 3 °C
	// in the tropics and by 6 to 8 °C inside continents. Against 16 known
	// records it was 2 to 17 °C too cold, most at mild coasts, never too warm.
	// A frost hollow can be colder than its town.
	RecordCold units.Celsius
	// Elevation is that of the place in m, as far as the towns around tell.
	Elevation float64
	// Town is the nearest, TownKm how far away.
	Town   string
	TownKm float64
}

// ClimateSpread is the relative standard error of [Climate.Insolation], the
// largest of what was measured: 4.6 % against the 30-year means of 75 US
// stations (NREL/TP-463-5607), 9.7 % against typical years in Central America,
// the Caribbean and Ethiopia (SWERA), where it ran 4 % high.
const ClimateSpread = 0.10

// dimSpread is the same error on the dim side, by a month's clearness index: a
// month may be much darker than its figure where skies are often grey, above all
// in the winters of the Pacific north-west and of the far north, and hardly
// brighter. Fitted to the months of 350 typical years (NREL TMY3, SWERA): of those
// with a clearness below 0.4 half were more than a fifth darker than the figure, 15
// in 100 by 30 % and more. Part of that is the typical years' own: airports with few
// years.
func dimSpread(clearness float64) float64 {
	const grey, at, clear = 0.28, 0.50, 0.60
	return ClimateSpread + (grey-ClimateSpread)*clamp((clear-clearness)/(clear-at), 0, 1)
}

// ClimateAt is the climate of a latitude, −90 to 90, and longitude, −180 to
// 180. Insolation joins a 2.5° satellite grid with the sunshine hours of the
// six nearest towns, temperature is the towns', with a coarse grid far from
// any; nearer towns weigh more.
func ClimateAt(lat, lon units.Degrees) (Climate, error) {
	if err := within("latitude", float64(lat), -90, 90); err != nil {
		return Climate{}, err
	}
	if err := within("longitude", float64(lon), -180, 180); err != nil {
		return Climate{}, err
	}
	return climateAt(lat, lon), nil
}

func climateAt(lat, lon units.Degrees) Climate {
	a := atlas()
	cells := a.around(float64(lat), float64(lon))
	towns := a.nearest(float64(lat), float64(lon), 6)
	nearest := towns[0].km

	c := Climate{Town: a.towns[towns[0].index].Name(), TownKm: nearest}
	for _, t := range towns {
		c.Elevation += t.weight * a.towns[t.index].Elevation
	}
	// Sunshine hours of a near town beat the grid; the further, the less.
	trustSunshine := 0.7 / (1 + nearest*nearest/(600*600))
	trustTown := 1 / (1 + nearest*nearest/(1000*1000))
	if len(cells) == 0 {
		trustSunshine, trustTown = 1, 1
	}
	for m := range 12 {
		var k, share, mean, low, high float64
		for _, g := range cells {
			k += g.weight * float64(a.clearness[m][g.cell]) / 160
			mean += g.weight * (2*float64(a.temperature[m][g.cell]) - 60)
		}
		for _, t := range towns {
			town := &a.towns[t.index]
			share += t.weight * town.sunshine[m]
			low += t.weight * town.low[m]
			high += t.weight * town.high[m]
		}
		// FAO Irrigation and Drainage Paper 56 (1998) eq. 35, with both
		// coefficients 5.4 % lower: as printed it ran 5.7 % above the means of
		// NREL/TP-463-5607 in every month alike.
		fromSunshine := 0.946 * (0.25 + 0.50*share)
		h0 := DailyExtraterrestrial(lat, MeanDay(m+1))
		trust := trustSunshine
		if DayLength(lat, MeanDay(m+1)) < 2 {
			trust = 0 // no sunshine recorder answers to so low a sun
		}
		k = trust*fromSunshine + (1-trust)*k
		// No month anywhere is clearer; where the sun hardly rises the grid
		// may say so.
		c.Insolation[m] = math.Min(k, 0.85) * h0

		// FAO-56 eq. 50 turned round: the day's range from the clearness.
		half := clamp((k/0.16)*(k/0.16), 4, 18) / 2
		c.Low[m] = units.Celsius(trustTown*low + (1-trustTown)*(mean-half))
		c.High[m] = units.Celsius(trustTown*high + (1-trustTown)*(mean+half))
		c.Mean[m] = (c.Low[m] + c.High[m]) / 2
	}
	c.RecordCold = recordCold(&c)
	return c
}

func recordCold(c *Climate) units.Celsius {
	swing := slices.Max(c.Mean[:]) - slices.Min(c.Mean[:])
	return slices.Min(c.Low[:]) - min(14+0.7*swing, 34)
}

// AtElevation is the climate moved up or down to an elevation in m, −430 to
// 6000, at 6.5 °C per km (ICAO standard atmosphere). Insolation stays.
func (c Climate) AtElevation(m float64) (Climate, error) {
	if err := within("elevation (m)", m, -430, 6000); err != nil {
		return Climate{}, err
	}
	return c.moved(m), nil
}

func (c Climate) moved(m float64) Climate {
	by := units.Celsius(-0.0065 * (m - c.Elevation))
	for i := range 12 {
		c.Low[i] += by
		c.Mean[i] += by
		c.High[i] += by
	}
	c.RecordCold += by
	c.Elevation = m
	return c
}

func within(name string, v, low, high float64) error {
	if v >= low && v <= high {
		return nil
	}
	return fmt.Errorf("%s is %v, not between %v and %v", name, v, low, high)
}

// Town is a place with a known climate.
type Town struct {
	Place, Country string
	Lat, Lon       units.Degrees
	Elevation      float64 // m

	folded              string      // Name without case and accents
	low, high, sunshine [12]float64 // °C, °C, share of the day
}

// Name is "Place, Country", or the place alone where both are the same.
func (t *Town) Name() string {
	if t.Place == t.Country {
		return t.Place
	}
	return t.Place + ", " + t.Country
}

// Climate is the town's, at its own elevation.
func (t *Town) Climate() Climate { return climateAt(t.Lat, t.Lon).moved(t.Elevation) }

const (
	gridRows, gridColumns = 54, 144
	gridSouth, gridWest   = -56.25, -178.75
	gridStep              = 2.5
	gridCells             = gridRows * gridColumns
)

// atlasData is climateFile unpacked.
type atlasData struct {
	present                [gridCells]bool
	clearness, temperature [12][gridCells]byte
	towns                  []Town
	zones                  []zone
}

type zone struct {
	name     string
	lat, lon units.Degrees
}

var atlas = sync.OnceValue(func() *atlasData {
	a := new(atlasData)
	r := reader(climateFile)
	mask := r.take(gridCells / 8)
	for cell := range gridCells {
		a.present[cell] = mask[cell/8]>>(cell%8)&1 == 1
	}
	a.unpackGrid(&r, &a.clearness)
	a.unpackGrid(&r, &a.temperature)

	a.towns = make([]Town, r.int16())
	for i := range a.towns {
		a.towns[i].Lat = units.Degrees(r.int16()) / 100
	}
	for i := range a.towns {
		a.towns[i].Lon = units.Degrees(r.int16()) / 100
	}
	for i := range a.towns {
		a.towns[i].Elevation = float64(r.int16())
	}
	country := r.take(len(a.towns))
	r.months(a.towns, func(t *Town, m int, v float64) { t.low[m] = (v - 160) / 2 })
	r.months(a.towns, func(t *Town, m int, v float64) { t.high[m] = t.low[m] + v/2 })
	r.months(a.towns, func(t *Town, m int, v float64) { t.sunshine[m] = v / 100 })
	a.zones = make([]zone, r.int16())
	for i := range a.zones {
		a.zones[i].lat = units.Degrees(r.int16()) / 100
	}
	for i := range a.zones {
		a.zones[i].lon = units.Degrees(r.int16()) / 100
	}

	countries, names, zones := r.lines(), r.lines(), r.lines()
	for i := range a.towns {
		t := &a.towns[i]
		t.Place, t.Country = names[i], countries[country[i]]
		t.folded = fold(t.Name())
	}
	for i := range a.zones {
		a.zones[i].name = zones[i]
	}
	return a
})

func (a *atlasData) unpackGrid(r *reader, q *[12][gridCells]byte) {
	for m := range 12 {
		var left, leftBefore byte
		for cell := range gridCells {
			if !a.present[cell] {
				continue
			}
			var before byte
			if m > 0 {
				before = q[m-1][cell]
			}
			q[m][cell] = r.take(1)[0] + before + left - leftBefore
			left, leftBefore = q[m][cell], before
		}
	}
}

// reader takes climateFile apart from the front. The file is the program's own
// and tested, so a short one may panic.
type reader string

func (r *reader) take(n int) string {
	s := string((*r)[:n])
	*r = (*r)[n:]
	return s
}

func (r *reader) int16() int16 { return int16(binary.LittleEndian.Uint16([]byte(r.take(2)))) }

// months reads a quantity of every town and month, each a byte that is the
// difference from the month before.
func (r *reader) months(towns []Town, set func(t *Town, m int, v float64)) {
	v := make([]byte, len(towns))
	for m := range 12 {
		for i, b := range []byte(r.take(len(towns))) {
			v[i] += b
			set(&towns[i], m, float64(v[i]))
		}
	}
}

func (r *reader) lines() []string {
	text, rest, _ := strings.Cut(string(*r), "\n\n")
	*r = reader(rest)
	return strings.Split(text, "\n")
}

type weighedCell struct {
	cell   int
	weight float64
}

// around is the cells of the grid, four at most, for a bilinear mean at a
// place; the weights sum to 1. There are none far out at sea or in the
// far south and north.
func (a *atlasData) around(lat, lon float64) []weighedCell {
	y, x := (lat-gridSouth)/gridStep, (lon-gridWest)/gridStep
	row, column := math.Floor(y), math.Floor(x)
	var cells []weighedCell
	sum := 0.0
	for i := range 4 {
		dy, dx := float64(i/2), float64(i%2)
		r, c := int(row+dy), (int(column+dx)+gridColumns)%gridColumns
		w := (1 - math.Abs(y-row-dy)) * (1 - math.Abs(x-column-dx))
		if r < 0 || r >= gridRows || w == 0 || !a.present[r*gridColumns+c] {
			continue
		}
		cells = append(cells, weighedCell{r*gridColumns + c, w})
		sum += w
	}
	for i := range cells {
		cells[i].weight /= sum
	}
	return cells
}

type weighedTown struct {
	index      int
	km, weight float64
}

// nearest is the n nearest towns, nearest first, weighed by the inverse square
// of their distance, which counts as 30 km more than it is at right angles so
// that no town stands alone; the weights sum to 1.
func (a *atlasData) nearest(lat, lon float64, n int) []weighedTown {
	all := make([]weighedTown, len(a.towns))
	for i := range a.towns {
		all[i] = weighedTown{index: i, km: distance(lat, lon, float64(a.towns[i].Lat), float64(a.towns[i].Lon))}
	}
	slices.SortStableFunc(all, func(p, q weighedTown) int { return cmp.Compare(p.km, q.km) })
	all = all[:n]
	sum := 0.0
	for i := range all {
		all[i].weight = 1 / (all[i].km*all[i].km + 30*30)
		sum += all[i].weight
	}
	for i := range all {
		all[i].weight /= sum
	}
	return all
}

// distance on the earth's sphere, km, by the haversine.
func distance(lat1, lon1, lat2, lon2 float64) float64 {
	s, t := sin((lat2-lat1)/2), sin((lon2-lon1)/2)
	return 2 * 6371 * math.Asin(math.Min(1, math.Sqrt(s*s+cos(lat1)*cos(lat2)*t*t)))
}
