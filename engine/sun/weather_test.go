package sun

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"candleclock/engine/units"
)

// The matrices' own long-run behaviour, recomputed from the published tables
// with rows renormalised and states at their middles.
func TestMatricesInTheLongRun(t *testing.T) {
	mean := [10]float64{0.2414, 0.3339, 0.3745, 0.4288, 0.476, 0.5262, 0.5749, 0.6204, 0.6684, 0.7281}
	sd := [10]float64{0.1547, 0.1658, 0.1651, 0.1659, 0.1658, 0.1551, 0.1518, 0.1343, 0.1163, 0.0708}
	lag1 := [10]float64{0.3911, 0.0232, 0.2869, 0.3126, 0.3307, 0.3166, 0.2314, 0.2429, 0.2043, 0.2646}
	lowest := [10]float64{0.1665, 0.0965, 0.0647, 0.0314, 0.0181, 0.0209, 0.0148, 0.0098, 0.0021, 0}
	highest := [10]float64{0.0119, 0.0332, 0.0142, 0.0349, 0.018, 0.0108, 0.0695, 0.0385, 0.1265, 0.0266}
	const tolerance = 0.002
	for i := range matrices() {
		m := &matrices()[i]
		var first, second, product float64
		middle := func(s int) float64 { return m.low + m.step*(float64(s)+0.5) }
		for s, w := range m.stationary {
			first += w * middle(s)
			second += w * middle(s) * middle(s)
			before := 0.0
			for c, upTo := range m.cumulative[s] {
				product += w * (upTo - before) * middle(s) * middle(c)
				before = upTo
			}
		}
		variance := second - first*first
		for _, c := range []struct {
			what      string
			got, want float64
		}{
			{"mean", first, mean[i]}, {"standard deviation", math.Sqrt(variance), sd[i]},
			{"lag 1", (product - first*first) / variance, lag1[i]},
			{"lowest state", m.stationary[0], lowest[i]}, {"highest state", m.stationary[states-1], highest[i]},
		} {
			if math.Abs(c.got-c.want) > tolerance {
				t.Errorf("matrix %d: %s %.4f, want %.4f", i+1, c.what, c.got, c.want)
			}
		}
		// Each mean lies in the span of monthly means that its matrix serves.
		below := 0.0
		if i > 0 {
			below = aguiar[i-1].upTo
		}
		if first <= below || first > aguiar[i].upTo {
			t.Errorf("matrix %d: mean %.4f outside %v to %v", i+1, first, below, aguiar[i].upTo)
		}

		draw := rand.NewPCG(1, uint64(i))
		k, sum, squares := m.first(draw), 0.0, 0.0
		const days = 100_000
		for range days {
			sum += k
			squares += k * k
			k = m.next(k, draw)
		}
		got := sum / days
		if math.Abs(got-mean[i]) > 0.005 || math.Abs(math.Sqrt(squares/days-got*got)-sd[i]) > 0.005 {
			t.Errorf("matrix %d: %d days have mean %.4f, deviation %.4f; want %.4f, %.4f",
				i+1, days, got, math.Sqrt(squares/days-got*got), mean[i], sd[i])
		}
	}
}

func TestMatrixRows(t *testing.T) {
	for i, a := range aguiar {
		for r, row := range a.perMille {
			sum := 0
			for _, v := range row {
				sum += int(v)
			}
			if sum < 996 || sum > 1004 {
				t.Errorf("matrix %d row %d sums to %d per mille", i+1, r+1, sum)
			}
		}
	}
}

// The share of days below a quantile is the share it was asked for.
func TestRank(t *testing.T) {
	for i := range matrices() {
		m := &matrices()[i]
		for p := 0.0; p <= 1; p += 0.01 {
			if got := m.rank(m.quantile(p)); math.Abs(got-p) > 1e-9 {
				t.Errorf("matrix %d: %v of days are below the quantile of %v", i+1, got, p)
			}
		}
	}
}

// What a table gives no chance is never drawn, whatever the draw, and the last
// state ends at the matrix's highest clearness.
func TestDrawsKeepToTheTable(t *testing.T) {
	below := math.Nextafter(1, 0) // the highest draw, nearly
	for i := range matrices() {
		m := &matrices()[i]
		for r := range m.cumulative {
			draws := []float64{0, below}
			for _, upTo := range m.cumulative[r][:states-1] {
				if upTo < 1 {
					draws = append(draws, upTo)
				}
			}
			for _, u := range draws {
				s := m.state(m.pick(&m.cumulative[r], u, 0.5))
				if aguiar[i].perMille[r][s] == 0 {
					t.Errorf("matrix %d: after state %d a draw of %v gives state %d, which never follows", i+1, r+1, u, s+1)
				}
			}
		}
		if got := m.quantile(0); math.Abs(got-aguiar[i].low) > 1e-9 {
			t.Errorf("matrix %d begins at %.4f, want %.4f", i+1, got, aguiar[i].low)
		}
		for _, p := range []float64{below, 1} {
			if got := m.quantile(p); math.Abs(got-aguiar[i].high) > 1e-9 {
				t.Errorf("matrix %d ends at %.4f, want %.4f", i+1, got, aguiar[i].high)
			}
		}
	}
}

// Aguiar, Collares-Pereira & Conde (1988): up to 0.30 the first matrix, from
// there to 0.35 the second, and so on; above 0.70 the tenth.
func TestMatrixByTheMean(t *testing.T) {
	for mean, want := range map[float64]int{
		0: 1, 0.1: 1, 0.30: 1, 0.301: 2, 0.35: 2, 0.36: 3, 0.5: 5, 0.501: 6, 0.7: 9, 0.71: 10, 0.79: 10,
	} {
		if got := newMonthWeather(mean, 0.8).matrix; got != &matrices()[want-1] {
			t.Errorf("a mean of %v is not served by matrix %d", mean, want)
		}
	}
}

func TestMonthWeatherKeepsItsMean(t *testing.T) {
	for k := 0.15; k < 0.74; k += 0.01 {
		w := newMonthWeather(k, 0.8)
		if got := w.mean(func(k float64) float64 { return k }); math.Abs(got-k) > 1e-3 {
			t.Errorf("mean %.4f, want %.4f", got, k)
		}
		if w.quantile(0.1) >= w.quantile(0.5) || w.quantile(0.5) > w.quantile(0.9) || w.quantile(1) > 0.8 {
			t.Errorf("%.2f: quantiles %.3f, %.3f, %.3f, %.3f", k, w.quantile(0.1), w.quantile(0.5), w.quantile(0.9), w.quantile(1))
		}
	}
	// In the polar night nothing is clear.
	w := newMonthWeather(0.4, 0)
	if got := w.quantile(0.9); got != 0 {
		t.Errorf("no sky, clearness %v", got)
	}
}

var flat100 = Array{Pmax: 100, Gamma: -0.004, NOCT: 45, Losses: UsualLosses()}

// yardWith is a yard whose months have the given clearness.
func yardWith(t testing.TB, lat, lon float64, offset int, clearness [12]float64) *Yard {
	t.Helper()
	c := climateOf(t, lat, lon)
	for m, k := range clearness {
		c.Insolation[m] = k * DailyExtraterrestrial(units.Degrees(lat), MeanDay(m+1))
	}
	y, err := NewYard(Site{units.Degrees(lat), units.Degrees(lon), units.Hours(offset), c}, flat100)
	if err != nil {
		t.Fatal(err)
	}
	return y
}

// moments are the mean, standard deviation and lag-1 correlation.
func moments(k []float64) (mean, sd, lag1 float64) {
	for _, v := range k {
		mean += v / float64(len(k))
	}
	var squares, products float64
	for i, v := range k {
		squares += (v - mean) * (v - mean)
		if i > 0 {
			products += (v - mean) * (k[i-1] - mean)
		}
	}
	return mean, math.Sqrt(squares / float64(len(k))), products / squares
}

// Made-up years against six typical years (NREL TMY3, SWERA), given their
// months' true means. The spread of days must be within 0.06 of theirs and the
// lag-1 correlation within 0.17, on average over a station's year; single months
// of single years scatter by more.
func TestYearsAgainstTypicalYears(t *testing.T) {
	const years = 200
	for _, row := range rows(t, typicalDays) {
		v := numbers(t, row[1:])
		lat, lon, days := v[0], v[1], v[4:]
		clearness := make([]float64, 365)
		for i, g := range days {
			clearness[i] = g / 1000 / DailyExtraterrestrial(units.Degrees(lat), i+1)
		}
		var means [12]float64
		first := [13]int{}
		for m := range 12 {
			n := Date{2026, m + 1, 1}.monthDays()
			first[m+1] = first[m] + n
			var sum, above float64
			for i := first[m]; i < first[m+1]; i++ {
				sum += days[i] / 1000
				above += DailyExtraterrestrial(units.Degrees(lat), i+1)
			}
			means[m] = sum / above
		}
		y := yardWith(t, lat, lon, int(v[2]), means)

		made := make([][]float64, years)
		for i := range made {
			y.weather(rand.NewPCG(uint64(i), 1), Date{2026, 1, 1}, 365, func(_ int, _ Date, k float64) {
				made[i] = append(made[i], k)
			})
		}
		var sdReal, sdMade, lagReal, lagMade float64
		for m := range 12 {
			_, sd, lag := moments(clearness[first[m]:first[m+1]])
			sdReal += sd / 12
			lagReal += lag / 12
			var sum, want float64
			for i := first[m]; i < first[m+1]; i++ {
				h0 := DailyExtraterrestrial(units.Degrees(lat), i+1)
				want += days[i] / 1000
				for _, year := range made {
					sum += year[i] * h0 / years
				}
			}
			if math.Abs(sum/want-1) > 0.04 {
				t.Errorf("%s, month %d: %.1f kWh/m², want %.1f within 4 %%", row[0], m+1, sum, want)
			}
			for _, year := range made {
				_, sd, lag := moments(year[first[m]:first[m+1]])
				sdMade += sd / 12 / years
				lagMade += lag / 12 / years
			}
		}
		t.Logf("%-14s spread of a month's days %.3f, typical year %.3f; lag 1 %+.2f, %+.2f", row[0], sdMade, sdReal, lagMade, lagReal)
		if math.Abs(sdMade-sdReal) > 0.06 || math.Abs(lagMade-lagReal) > 0.17 {
			t.Errorf("%s: spread %.3f, want %.3f within 0.06; lag 1 %.2f, want %.2f within 0.17", row[0], sdMade, sdReal, lagMade, lagReal)
		}
	}
}

// A month's worst day, three days and week as a share of its mean, by the
// month's clearness: the median of made-up months must not be rosier than that
// of the typical years by more than 0.08. Typical years understate bad runs.
func TestWorstRuns(t *testing.T) {
	edges := [...]float64{0.20, 0.35, 0.42, 0.48, 0.54, 0.60, 0.66, 0.80}
	lengths := [3]int{1, 3, 7}
	var real, made [len(edges) - 1][3][]float64
	draw := rand.NewPCG(1, 2)
	for _, row := range rows(t, typicalMonths) {
		v := numbers(t, row[3:])
		lat := v[0]
		for m := range 12 {
			d := newSweep(Site{Lat: units.Degrees(lat)}, Flat(), Shade{}).day(MeanDay(m + 1))
			k := v[4+m] / d.h0
			if d.h0 < 1 || k < edges[0] || k >= edges[len(edges)-1] {
				continue
			}
			class := 0
			for k >= edges[class+1] {
				class++
			}
			for j := range lengths {
				real[class][j] = append(real[class][j], v[40+12*j+m])
			}
			w := d.weather(v[4+m])
			for range 10 {
				days, raw := make([]float64, 30), w.first(draw)
				for i := range days {
					days[i], raw = w.clearness(raw), w.tomorrow(raw, draw)
				}
				for j, n := range lengths {
					made[class][j] = append(made[class][j], worst(days, n))
				}
			}
		}
	}
	for class := range real {
		for j, n := range lengths {
			got, want := median(made[class][j]), median(real[class][j])
			t.Logf("clearness %.2f to %.2f, %3d months: worst %d days %.2f, typical years %.2f",
				edges[class], edges[class+1], len(real[class][j]), n, got, want)
			if got > want+0.08 {
				t.Errorf("clearness from %.2f: worst %d days %.2f of the mean, want at most %.2f + 0.08", edges[class], n, got, want)
			}
		}
	}
}

// worst is the lowest mean of n days in a row over that of all.
func worst(days []float64, n int) float64 {
	mean, _, _ := moments(days)
	low := math.Inf(1)
	for i := 0; i+n <= len(days); i++ {
		m, _, _ := moments(days[i : i+n])
		low = math.Min(low, m/mean)
	}
	return low
}

func median(v []float64) float64 {
	slices.Sort(v)
	return v[len(v)/2]
}
