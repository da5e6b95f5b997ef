package sun

import (
	"math"
	"testing"

	"candleclock/engine/units"
)

const megajoule = 1 / 3.6 // kWh

func TestDailyExtraterrestrial(t *testing.T) {
	// Duffie & Beckman ex. 1.10.1: 43°N, 15 April, declination 9.4°, 33.8 MJ/m².
	if got := extraterrestrial(43, 9.4, ExtraterrestrialNormal(105)) / megajoule; math.Abs(got-33.8) > 0.1 {
		t.Errorf("43°N, declination 9.4: %.2f MJ/m², want 33.8", got)
	}
	// Table 1.10.1 (recomputed from eq. 1.10.3), monthly mean days, MJ/m², with
	// the book's declination, which is up to 1° from the sun's, and distance.
	for _, row := range []struct {
		lat    float64
		months [12]float64
	}{
		{0, [12]float64{36.2, 37.5, 37.9, 36.8, 34.8, 33.5, 33.9, 35.7, 37.2, 37.4, 36.4, 35.7}},
		{20, [12]float64{26.9, 30.7, 34.8, 37.9, 39.3, 39.5, 39.3, 38.3, 35.8, 31.8, 27.8, 25.8}},
		{40, [12]float64{15.2, 20.5, 27.4, 34.6, 39.7, 41.8, 40.7, 36.5, 30.0, 22.5, 16.4, 13.8}},
		{60, [12]float64{3.4, 8.5, 16.8, 27.5, 36.6, 41.0, 38.9, 31.0, 20.6, 10.9, 4.5, 2.3}},
	} {
		for m, want := range row.months {
			day := MeanDay(m + 1)
			dec := 23.45 * sin(360*(284+float64(day))/365)                  // eq. 1.6.1a
			normal := solarConstant * (1 + 0.033*cos(360*float64(day)/365)) // eq. 1.4.1a
			if got := extraterrestrial(row.lat, dec, normal) / megajoule; math.Abs(got-want) > 0.1 {
				t.Errorf("%v°, month %d: %.2f MJ/m², want %.1f", row.lat, m+1, got, want)
			}
		}
	}
	// pvlib-python with its SPA, minute steps, 1367 W/m²; kWh/m².
	for _, c := range []struct {
		lat  units.Degrees
		date Date
		want float64
	}{
		{0, Date{2025, 3, 20}, 10.529}, {40, Date{2025, 12, 21}, 3.762}, {52, Date{2025, 12, 21}, 1.749},
		{25, Date{2025, 9, 10}, 9.867}, {-34, Date{2025, 6, 21}, 4.486},
	} {
		if got := DailyExtraterrestrial(c.lat, c.date.yearDay()); math.Abs(got/c.want-1) > 0.005 {
			t.Errorf("%v° on %v: %.3f kWh/m², want %.3f", c.lat, c.date, got, c.want)
		}
	}
}

func TestDayLength(t *testing.T) {
	for _, c := range []struct {
		lat       units.Degrees
		day       int
		want      units.Hours
		tolerance float64
	}{
		// Duffie & Beckman exs. 1.6.3 and 1.10.1, sunset at 87.76° and 98.9°; the
		// book's declination is up to 1° from the sun's, which is 0.12 h here.
		{43, 75, 2 * 87.76 / 15, 0.12}, {43, 105, 2 * 98.9 / 15, 0.12},
		{0, 1, 12, 1e-9}, {0, 172, 12, 1e-9},
		{80, 172, 24, 0}, {80, 355, 0, 0}, {-80, 172, 0, 0},
	} {
		if got := DayLength(c.lat, c.day); math.Abs(float64(got-c.want)) > c.tolerance {
			t.Errorf("%v°, day %d: %.3f h, want %.3f", c.lat, c.day, got, c.want)
		}
	}
	// The south has the night that the north has the day.
	for day := 1; day <= 365; day += 10 {
		if sum := DayLength(55, day) + DayLength(-55, day); math.Abs(float64(sum-24)) > 1e-9 {
			t.Errorf("day %d: 55°N and 55°S have %.3f h together, want 24", day, sum)
		}
	}
}

// Duffie & Beckman ex. 1.10.2: between 10 and 11 h, 43°N, 15 April, 3.79 MJ/m²
// with the book's declination of 9.4°; the sun's is 9.9°.
func TestHourAbove(t *testing.T) {
	w := newSweep(Site{Lat: 43}, Flat(), Shade{})
	_, eot := yearly(105)
	w.ahead = -eot // a clock that shows the sun's own time
	d := w.day(105)
	if got := d.hours[10].above * 3600 / 1e6; math.Abs(got-3.79) > 0.03 {
		t.Errorf("%.3f MJ/m², want 3.79", got)
	}
	sum := 0.0
	for _, h := range d.hours {
		sum += h.above / 1000
	}
	if math.Abs(sum/d.h0-1) > 0.002 {
		t.Errorf("hours sum to %.4f kWh/m², the day is %.4f", sum, d.h0)
	}
}

// The middle of the day's light is when the sun is highest, whatever the clock.
func TestHoursAreTheLocalClocks(t *testing.T) {
	for _, c := range []struct {
		lat, lon units.Degrees
		offset   units.Hours
	}{{45, 0, 0}, {45, 12, 0}, {-30, -70, -3}, {20, 100, 8}, {50, 5, 2}} {
		for _, month := range []int{2, 5, 7, 11} { // equation of time −14, +4, −6, +16 minutes
			d := newSweep(Site{Lat: c.lat, Lon: c.lon, Offset: c.offset}, Flat(), Shade{}).day(MeanDay(month))
			var sum, moment float64
			for h, hour := range d.hours {
				sum += hour.above
				moment += hour.above * (float64(h) + 0.5)
			}
			noon := DaylightOn(Date{2026, 1, MeanDay(month)}, c.lat, c.lon, c.offset).Noon
			if math.Abs(moment/sum-float64(noon)) > 2.0/60 {
				t.Errorf("%+v, month %d: the day's middle is %.3f h, noon %.3f", c, month, moment/sum, noon)
			}
		}
	}
}

// Spencer's formula as run in pvlib-python with 1366.1 W/m².
func TestExtraterrestrialNormal(t *testing.T) {
	for day, want := range map[int]float64{
		1: 1413.982, 47: 1400.43, 105: 1356.845, 172: 1321.624, 228: 1331.49, 288: 1374.19, 300: 1383.64, 355: 1412.709,
	} {
		if got := ExtraterrestrialNormal(day) * 1366.1 / solarConstant; math.Abs(got-want) > 0.01 {
			t.Errorf("day %d: %.2f W/m², want %.2f", day, got, want)
		}
	}
}

func TestMeanDayIsTypical(t *testing.T) {
	for _, lat := range []units.Degrees{-50, -20, 0, 30, 50} {
		for m := 1; m <= 12; m++ {
			sum, n := 0.0, Date{2026, m, 1}.monthDays()
			for d := 1; d <= n; d++ {
				sum += DailyExtraterrestrial(lat, Date{2026, m, d}.yearDay())
			}
			if got, want := DailyExtraterrestrial(lat, MeanDay(m)), sum/float64(n); math.Abs(got/want-1) > 0.02 {
				t.Errorf("%v°, month %d: mean day %.3f, month's mean %.3f kWh/m²", lat, m, got, want)
			}
		}
	}
}
