package aids

import (
	"math"
	"strings"
	"testing"

	"candleclock/engine/units"

	"pgregory.net/rapid"
)

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if math.IsNaN(got) || math.Abs(got-want) > tolerance {
		t.Errorf("%s = %v, want %v ± %v", what, got, want, tolerance)
	}
}

func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

// NFPA 70 Chapter 9 Table 8, Ω per 1000 ft at 75 °C.
func TestAWG(t *testing.T) {
	solid := map[string]float64{"18": 7.77, "16": 4.89, "14": 3.07, "12": 1.93, "10": 1.21, "8": 0.764}
	stranded := map[string]float64{"18": 7.95, "16": 4.99, "14": 3.14, "12": 1.98, "10": 1.24, "8": 0.778, "6": 0.491, "4": 0.308,
		"3": 0.245, "2": 0.194, "1": 0.154, "1/0": 0.122, "2/0": 0.0967, "3/0": 0.0766, "4/0": 0.0608}
	for m, table := range map[Make]map[string]float64{Solid: solid, Stranded: stranded} {
		for size, want := range table {
			c := must(AWG(size, m))
			near(t, size, c.OhmPerKm(75)*0.3048, want, 1e-12)
		}
	}
	if _, err := AWG("6", Solid); err == nil {
		t.Error("6 AWG solid was found, want an error")
	}
	// Table 8 note 2: 1.98 at 75 °C is 1.692 at 30 °C; at 20 °C about 0.82 of the table.
	near(t, "12 AWG at 30 °C", must(AWG("12", Stranded)).OhmPerKm(30)*0.3048, 1.692, 0.001)
	near(t, "share at 20 °C", must(AWG("12", Solid)).OhmPerKm(20)*0.3048/1.93, 0.82, 0.005)
}

// IEC 60228 Tables 1 to 3, Ω/km at 20 °C.
func TestMetric(t *testing.T) {
	mm2 := []float64{0.5, 0.75, 1, 1.5, 2.5, 4, 6, 10, 16, 25, 35, 50, 70, 95, 120}
	class2 := []float64{36.0, 24.5, 18.1, 12.1, 7.41, 4.61, 3.08, 1.83, 1.15, 0.727, 0.524, 0.387, 0.268, 0.193, 0.153}
	class5 := []float64{39.0, 26.0, 19.5, 13.3, 7.98, 4.95, 3.3, 1.91, 1.21, 0.78, 0.554, 0.386, 0.272, 0.206, 0.161}
	for i, s := range mm2 {
		near(t, "class 2", must(Metric(s, Solid)).OhmPerKm(20), class2[i], 1e-12)
		near(t, "class 5", must(Metric(s, Stranded)).OhmPerKm(20), class5[i], 1e-12)
	}
	near(t, "3.9 mm² counts as 2.5", must(Metric(3.9, Solid)).OhmPerKm(20), 7.41, 1e-12)
	for _, bad := range []float64{0.49, 121, math.NaN()} {
		if _, err := Metric(bad, Solid); err == nil || !strings.Contains(err.Error(), "between 0.5 and 120 mm²") {
			t.Errorf("Metric(%v): error %v, want one that names the range", bad, err)
		}
	}
	// IEC 60228 Annex B, factors to 20 °C; it rounds 0.00393 to 0.004.
	at := []float64{5, 10, 30, 40, 50, 60, 70, 90}
	kt := []float64{1.064, 1.042, 0.962, 0.926, 0.893, 0.862, 0.833, 0.781}
	c := must(Metric(4, Stranded))
	for i := range at {
		near(t, "kt", c.OhmPerKm(20)/c.OhmPerKm(units.Celsius(at[i])), kt[i], 0.004)
	}
}

func TestCableDrop(t *testing.T) {
	// 12 AWG solid, 100 ft, 10 A, 75 °C: 3.86 V, 3.2 % of 120 V.
	d := CableDrop(must(AWG("12", Solid)), 30.48, 10, 120, 75)
	near(t, "12 AWG", float64(d.Volts), 3.86, 0.01)
	near(t, "of 120 V", d.Share, 0.032, 0.0005)
	near(t, "heat", float64(d.Watts), 38.6, 0.1)
	// Cord of 1.5 mm², 20 m, 10 A: 5.32 V at 20 °C, 2.3 % of 230 V; 5.74 V at 40 °C.
	cord := must(Metric(1.5, Stranded))
	d = CableDrop(cord, 20, 10, 230, 20)
	near(t, "cord at 20 °C", float64(d.Volts), 5.32, 0.01)
	near(t, "of 230 V", d.Share, 0.023, 0.0005)
	near(t, "cord at 40 °C", float64(CableDrop(cord, 20, 10, 230, 40).Volts), 5.74, 0.01)
	// A conductor may be as cold as an arctic yard and as hot as the hottest
	// common insulation bears.
	for at, ok := range map[float64]bool{-41: false, -40: true, 0: true, 105: true, 106: false} {
		if err := CableTempRange.Check("t", at); (err == nil) != ok {
			t.Errorf("%v °C: got %v, want ok: %v", at, err, ok)
		}
	}
	// Resistance is in proportion to length: 6.505 Ω/1000 ft make 2.602 Ω in 400 ft.
	c := Conductor{ohmKm: 6.505 / 0.3048, at: 25}
	near(t, "400 ft", c.OhmPerKm(25)*0.12192, 2.602, 1e-9)
}

func TestCableDropGrowsWithAll(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := must(Metric(rapid.Float64Range(0.5, 120).Draw(t, "mm²"), Stranded))
		m, a := rapid.Float64Range(0, 500).Draw(t, "m"), rapid.Float64Range(0, 200).Draw(t, "A")
		at := units.Celsius(rapid.Float64Range(-40, 100).Draw(t, "°C"))
		d := CableDrop(c, m, units.Amps(a), 48, at)
		for _, more := range []Drop{
			CableDrop(c, m+1, units.Amps(a), 48, at),
			CableDrop(c, m, units.Amps(a+1), 48, at),
			CableDrop(c, m, units.Amps(a), 48, at+5),
		} {
			if more.Volts < d.Volts {
				t.Fatalf("more length, current or heat: %v → %v V", d.Volts, more.Volts)
			}
		}
	})
}

// NFPA 70 Table 400.5(A)(1): columns B (two) and A (three; 17 and 15 AWG not
// made), and 400.5(A)(3). 15 and 10 AWG and column A are from memory.
func TestCordAmpacity(t *testing.T) {
	for _, c := range []struct {
		awg      string
		carrying int
		want     units.Amps
	}{
		{"18", 2, 10}, {"17", 2, 12}, {"16", 2, 13}, {"15", 2, 16}, {"14", 2, 18}, {"12", 2, 25}, {"10", 2, 30},
		{"18", 3, 7}, {"16", 3, 10}, {"14", 3, 15}, {"12", 3, 20}, {"10", 3, 25}, {"8", 2, 40}, {"8", 3, 35},
		{"12", 4, 16}, {"12", 6, 16}, {"12", 7, 14}, {"12", 9, 14}, {"12", 10, 10}, {"12", 20, 10},
	} {
		got, err := CordAmpacity(c.awg, c.carrying)
		if err != nil || math.Abs(float64(got-c.want)) > 1e-9 {
			t.Errorf("CordAmpacity(%s, %d) = %v, %v, want %v", c.awg, c.carrying, got, err, c.want)
		}
	}
	for _, bad := range []struct {
		awg string
		n   int
	}{{"17", 3}, {"20", 2}, {"12", 1}, {"12", 21}} {
		if _, err := CordAmpacity(bad.awg, bad.n); err == nil {
			t.Errorf("CordAmpacity(%s, %d) gave no error", bad.awg, bad.n)
		}
	}
	// NFPA 70 210.20(A), from memory.
	near(t, "15 A breaker", float64(Continuous(15)), 12, 1e-9)
	near(t, "20 A breaker", float64(Continuous(20)), 16, 1e-9)
}

// RoSPA's table of flexes, after BS 7671 Table 4F3A: 3, 6, 10, 13 and 16 A. That
// standard has 25 A for 2.5 mm² and 32 A for 4 mm² (from memory): no figure is above
// it, and none above that of the US cord next up in copper.
func TestMetricCordAmpacity(t *testing.T) {
	for mm2, want := range map[float64]units.Amps{0.5: 3, 0.74: 3, 0.75: 6, 1: 10, 1.25: 13, 1.5: 16, 2: 16} {
		if got, err := MetricCordAmpacity(mm2); err != nil || got != want {
			t.Errorf("%v mm² carries %v A, %v, want %v", mm2, got, err, want)
		}
	}
	for mm2, most := range map[float64]units.Amps{2.5: 25, 4: 32} {
		if got := must(MetricCordAmpacity(mm2)); got > most {
			t.Errorf("%v mm² carries %v A, more than %v", mm2, got, most)
		}
	}
	us := map[string]float64{"18": 0.823, "16": 1.31, "14": 2.08, "12": 3.31, "10": 5.26, "8": 8.37} // mm²
	last := units.Amps(0)
	for _, mm2 := range []float64{0.5, 0.75, 1, 1.25, 1.5, 2.5, 4, 6, 10} {
		got := must(MetricCordAmpacity(mm2))
		if got <= last {
			t.Errorf("%v mm² carries %v A, the thinner one %v A", mm2, got, last)
		}
		last = got
		for awg, section := range us {
			if mm2 >= 2.5 && section >= mm2 && got > must(CordAmpacity(awg, 2)) {
				t.Errorf("%v mm² carries %v A, %s AWG, which is thicker, %v A", mm2, got, awg, must(CordAmpacity(awg, 2)))
			}
		}
	}
	for _, bad := range []float64{0.49, 10.1, math.NaN()} {
		if _, err := MetricCordAmpacity(bad); err == nil {
			t.Errorf("MetricCordAmpacity(%v) gave no error", bad)
		}
	}
}

func TestBear(t *testing.T) {
	for amps, want := range map[units.Amps]Bears{0: BearsWell, 8: BearsWell, 8.1: BearsBarely, 10: BearsBarely, 10.01: BearsNot, units.Amps(math.Inf(1)): BearsNot, units.Amps(math.NaN()): BearsNot} {
		if got := Bear(amps, 10); got != want {
			t.Errorf("%v A through a cord for 10 A: %v, want %v", amps, got, want)
		}
	}
}

func TestOxygenMinutes(t *testing.T) {
	size := map[string]Cylinder{}
	for _, c := range Cylinders {
		size[c.Size] = c
	}
	for name, want := range map[string]float64{"D": 0.16, "E": 0.28, "G": 2.41, "H": 3.14, "K": 3.14, "M": 1.56} {
		if size[name].Factor != want {
			t.Errorf("factor of %s = %v, want %v", name, size[name].Factor, want)
		}
	}
	for _, c := range []struct {
		name                 string
		cylinder             Cylinder
		gauge, reserve, flow float64
		want, tolerance      float64
	}{
		{"D, AAOS reserve", size["D"], 2000, OxygenReserve, 0.5, 576, 1e-9},
		{"E, no reserve", size["E"], 2200, 0, 2, 308, 1e-9},
		{"H", size["H"], 1100, 0, 5, 690.8, 1e-9},
		{"H, factor rounded to 3", Cylinder{"H", 3, 0}, 1100, 0, 5, 660, 1e-9},
		// Nagelhout & Zaglaniczy (2001) table 14-1: an E holds 660 L at 1900 psi.
		{"E by litres", Cylinder{"E", 660.0 / 1900, 1900}, 500, 0, 6, 28.9, 0.1},
		{"below the reserve", size["E"], 150, OxygenReserve, 2, 0, 0},
	} {
		got, err := OxygenMinutes(c.cylinder, c.gauge, c.reserve, c.flow)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
		}
		near(t, c.name, got, c.want, c.tolerance)
	}
	// Ours is the wary one of the two factors for an E.
	if size["E"].Factor > 660.0/1900 {
		t.Error("the factor of an E is above what 660 L at 1900 psi gives")
	}
	for _, bad := range [][3]float64{{-1, 0, 1}, {2000, -1, 1}, {2000, 0, 0}, {math.NaN(), 0, 1}} {
		if _, err := OxygenMinutes(size["E"], bad[0], bad[1], bad[2]); err == nil {
			t.Errorf("OxygenMinutes(%v) gave no error", bad)
		}
	}
}

// A cylinder of 680 L at 137 bar, whose bottle holds 4.7 L of water (from memory),
// is one cylinder, however it is told; 680 is never read as the bottle. As the
// bottle it would last 680 L × 123 bar ÷ 2 L/min, 697 h, for 5.1.
func TestOxygenByLitres(t *testing.T) {
	const full, gauge, reserve, flow = 137 * PSIPerBar, 137 * PSIPerBar, 200, 2
	var uk Cylinder
	for _, c := range UKCylinders {
		if c.Size == "E" {
			uk = c
		}
	}
	want := 680 * (137 - 200/PSIPerBar) / 137 / 2 // minutes
	near(t, "by its letter", must(OxygenMinutes(uk, gauge, reserve, flow)), want, 0.01)
	near(t, "by its gas", must(OxygenMinutes(must(OxygenByGas(680, full)), gauge, reserve, flow)), want, 0.01)
	bottle := must(OxygenMinutes(must(OxygenByBottle(4.7)), gauge, reserve, flow))
	if bottle > want || bottle < 0.9*want {
		t.Errorf("by its bottle %v minutes, want a little below %v", bottle, want)
	}
	for _, bad := range []float64{680, 170, 61, 0.2, math.NaN()} {
		if c, err := OxygenByBottle(bad); err == nil {
			t.Errorf("a bottle of %v L: %+v, want an error", bad, c)
		}
	}
	for _, bad := range [][2]float64{{4.7, full}, {60, full}, {99, full}, {12001, full}, {680, 137}, {680, 0}, {680, 4501}} {
		if c, err := OxygenByGas(bad[0], bad[1]); err == nil {
			t.Errorf("%v L of gas at %v psi: %+v, want an error", bad[0], bad[1], c)
		}
	}
	// What lies between the two ranges is neither.
	if OxygenBottleRange.High >= OxygenGasRange.Low {
		t.Error("a number may be both litres of gas and of the bottle")
	}
}

// One letter is two sizes: as the UK's, a G of the US holds more by two fifths
// (4,820 L at 2,000 psi, 3,400 L).
func TestOxygenLettersByCountry(t *testing.T) {
	us := map[string]Cylinder{}
	for _, c := range Cylinders {
		us[c.Size] = c
	}
	litres := map[string]float64{"C": 170, "D": 340, "E": 680, "F": 1360, "G": 3400, "J": 6800}
	if len(UKCylinders) != len(litres) {
		t.Errorf("%d letters, want %d", len(UKCylinders), len(litres))
	}
	for _, c := range UKCylinders {
		near(t, "UK "+c.Size, c.Factor*c.Full, litres[c.Size], 1e-6)
		near(t, "UK "+c.Size+" full, bar", c.Full/PSIPerBar, 137, 1e-9)
	}
	near(t, "US G at 2,000 psi", us["G"].Factor*2000, 4820, 1)
	// A gauge far above full belongs to another cylinder.
	for gauge, ok := range map[float64]bool{2200: true, 2500: true, 2600: false, 4400: false} {
		if _, err := OxygenMinutes(us["E"], gauge, 200, 2); (err == nil) != ok {
			t.Errorf("a US E at %v psi: %v", gauge, err)
		}
	}
	for _, c := range []struct {
		c    Cylinder
		want bool
	}{{us["E"], true}, {us["M"], false}, {us["H"], false}, {UKCylinders[3], true}, {UKCylinders[4], false}, {must(OxygenByBottle(5)), true}, {must(OxygenByBottle(10)), false}} {
		if c.c.Carried() != c.want {
			t.Errorf("%+v is carried: %v", c.c, !c.want)
		}
	}
}

// USDA FSIS and FoodSafety.gov.
func TestFood(t *testing.T) {
	if Fridge != 4 || TooWarm != 2 {
		t.Errorf("fridge %v h, too warm %v h, want 4 and 2", Fridge, TooWarm)
	}
	near(t, "40 °F", float64(FoodLimit), (40.0-32)/1.8, 0.05)
	for _, c := range []struct {
		full float64
		want units.Hours
	}{{1, 48}, {0.99, 24}, {0.5, 24}, {0.25, 12}, {0, 0}, {-1, 0}} {
		if got := FreezerHours(c.full); got != c.want {
			t.Errorf("FreezerHours(%v) = %v, want %v", c.full, got, c.want)
		}
	}
	unknown := units.Celsius(math.NaN())
	for _, c := range []struct {
		ice  bool
		at   units.Celsius
		warm units.Hours
		want Thawed
	}{
		{true, unknown, 0, Refreeze},
		{false, 4, 0, Refreeze},
		{false, FoodLimit, 1.9, Refreeze}, // 40 °F or below
		{false, 5, 1, UseNow},
		{false, 5, 2, Discard},
		{true, 1, 3, Discard}, // ice again: it had been warm
		{false, unknown, 0, Discard},
	} {
		if got := AfterThaw(c.ice, c.at, c.warm); got != c.want {
			t.Errorf("AfterThaw(%v, %v, %v) = %v, want %v", c.ice, c.at, c.warm, got, c.want)
		}
	}
	// USDA FSIS: 50 lb hold a full 18 cubic foot freezer for two days.
	near(t, "dry ice", DryIce(509.7, 48), 22.68, 0.01)
	near(t, "for one day", DryIce(509.7, 24), 11.34, 0.01)
	near(t, "for twice the freezer", DryIce(1019.4, 48), 45.36, 0.02)
	if DryIce(50, 24) < DryIce(509.7, 24)/2 {
		t.Error("a small freezer gets less than half")
	}
}

// US FDA.
func TestInsulin(t *testing.T) {
	near(t, "59 °F", float64(InsulinLow), (59.0-32)/1.8, 1e-9)
	near(t, "86 °F", float64(InsulinHigh), (86.0-32)/1.8, 1e-9)
	near(t, "36 °F", float64(InsulinFridgeLow), (36.0-32)/1.8, 0.3)
	near(t, "46 °F", float64(InsulinFridgeHigh), (46.0-32)/1.8, 0.3)
	if InsulinDays != 28 || InsulinDilutedDays != 14 {
		t.Errorf("days = %d and %d, want 28 and 14", InsulinDays, InsulinDilutedDays)
	}
	for at, want := range map[units.Celsius]Insulin{-5: InsulinMayBeFrozen, 0: InsulinMayBeFrozen, 1: InsulinTooCold, 2: InsulinKeeps, 5: InsulinKeeps, 8: InsulinKeeps, 8.1: InsulinRoomTime, 20: InsulinRoomTime, 30: InsulinRoomTime, 31: InsulinTooHot} {
		if got := InsulinAt(at); got != want {
			t.Errorf("InsulinAt(%v) = %v, want %v", at, got, want)
		}
	}
}

// CEC-600-2007-002-D Table 2-5, Btu per US gallon; 1 kWh = 3412 Btu.
func TestFuels(t *testing.T) {
	btu := map[string]float64{"petrol": 111800, "diesel": 127500, "propane": 83200}
	for _, f := range Fuels {
		want := btu[f.Name] / 3412 / LitresPerGallon
		near(t, f.Name, f.KWhPerL, want, 0.01*want)
	}
}

// 3 litres last 6 h at 600 W and 4 h at 1,200 W: half a litre and three quarters
// an hour.
func TestWillans(t *testing.T) {
	w := must(LineThrough(FuelPoint{1200, 0.75}, FuelPoint{600, 0.5}))
	near(t, "idle L/h", w.IdleLPerH, 0.25, 1e-12)      // 0.5 less what 600 W add, 0.25
	near(t, "slope L/kWh", w.LPerKWh, 0.25/0.6, 1e-12) // a quarter more for 600 W more
	near(t, "L/kWh at 600 W", w.PerKWh(600), 0.5/0.6, 1e-12)
	near(t, "L/kWh at 1,200 W", w.PerKWh(1200), 0.75/1.2, 1e-12)
	near(t, "6 h at 600 W", w.Litres(3600, 6), 3, 1e-12)
	for _, rated := range []units.Watts{800, 1000, 2000, 5000} {
		u := UsualPetrol(rated)
		full := u.PerKWh(rated)
		// Idle use is 30 to 60 % of full-load use (common practice).
		if share := u.IdleLPerH / u.LPerH(rated); share < 0.3 || share > 0.6 {
			t.Errorf("rated %v: idle share = %v, want 0.3 to 0.6", rated, share)
		}
		// A small engine turns 18 to 25 % of the fuel into work, its generator 70 to
		// 85 % of that into electricity (from memory): 0.54 to 0.92 litres.
		if low, high := 1/(Fuels[0].KWhPerL*0.25*0.85), 1/(Fuels[0].KWhPerL*0.18*0.7); full < low || full > high {
			t.Errorf("rated %v: %v L/kWh at full load, want %v to %v", rated, full, low, high)
		}
		// Never below what a good small inverter set takes at half load (from memory).
		if half := u.PerKWh(rated / 2); half < 0.6 {
			t.Errorf("rated %v: %v L/kWh at half load, want the wary 0.6 and more", rated, half)
		}
	}
	for _, bad := range [][2]FuelPoint{
		{{500, 1}, {500, 2}},  // one load
		{{500, 2}, {1000, 1}}, // falls
		{{500, 1}, {1000, 1}}, // does not rise
		{{500, 1}, {1000, 3}}, // burns less than nothing at no load
	} {
		if _, err := LineThrough(bad[0], bad[1]); err == nil {
			t.Errorf("LineThrough(%v) gave no error", bad)
		}
	}
	// Whichever way round they stand, the point at the greater load is at fault.
	for _, pair := range [][2]FuelPoint{{{500, 2}, {1000, 1}}, {{1000, 1}, {500, 2}}} {
		_, err := LineThrough(pair[0], pair[1])
		if want := "l_per_h: 1 must be above 2 L/h, and by no more than in proportion to the load"; err == nil || err.Error() != want {
			t.Errorf("got %v\nwant %s", err, want)
		}
	}
	// Just in proportion: nothing is burned at no load.
	if w, err := LineThrough(FuelPoint{500, 1}, FuelPoint{1000, 2}); err != nil || w.IdleLPerH != 0 {
		t.Errorf("in proportion: got %+v, %v, want no idle use", w, err)
	}
}

// A trade chart of a 20 kW diesel set, L/h at a quarter to full load, holds to
// its line within 20 %, and a kilowatt-hour costs less as the load rises.
func TestWillansShape(t *testing.T) {
	chart := []float64{2.7, 3.4, 4.9, 6.1}
	w := must(LineThrough(FuelPoint{5000, chart[0]}, FuelPoint{20000, chart[3]}))
	perKWh := []float64{0.54, 0.34, 0.33, 0.305}
	last := math.Inf(1)
	for i := range chart {
		load := units.Watts(5000 * (i + 1))
		near(t, "L/h", w.LPerH(load), chart[i], 0.2*chart[i])
		near(t, "L/kWh", w.PerKWh(load), perKWh[i], 0.2*perKWh[i])
		if w.PerKWh(load) >= last {
			t.Errorf("L/kWh at %v W does not fall", load)
		}
		last = w.PerKWh(load)
	}
}

// From memory: USB-IF specifications; SAE J563 and ISO 4165 sockets.
func TestSockets(t *testing.T) {
	want := []units.Watts{2.5, 4.5, 7.5, 15, 100, 240}
	for i, p := range USB {
		if p.Most != want[i] {
			t.Errorf("%s = %v W, want %v", p.Name, p.Most, want[i])
		}
	}
	if VehicleLow != 100 || VehicleHigh != 180 {
		t.Errorf("vehicle sockets %v to %v W, want 100 to 180", VehicleLow, VehicleHigh)
	}
	for _, c := range []struct {
		v    units.Volts
		fuse units.Amps
		want float64
	}{{12, 0, 100}, {24, 0, 200}, {12, 10, 96}, {12, 15, 144}} {
		near(t, "socket", float64(VehicleSocket(c.v, c.fuse)), c.want, 1e-9)
	}
}

func TestEverySourceIsThere(t *testing.T) {
	for _, s := range []Source{CableSource, CordSource, MetricCordSource, OxygenSource, FoodSource, DryIceSource, InsulinSource, GeneratorSource, FuelSource, USBSource, VehicleSource} {
		if s.Cite == "" || s.Caution == "" {
			t.Errorf("source %+v lacks its citation or its caution", s)
		}
	}
}
