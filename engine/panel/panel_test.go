package panel

import (
	"math"
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

// NFPA 70 Table 690.7(A), editions 2008 to 2023: both ends of every band.
func TestColdVocByTable(t *testing.T) {
	bands := []struct{ warm, cold, factor float64 }{
		{24, 20, 1.02}, {19, 15, 1.04}, {14, 10, 1.06}, {9, 5, 1.08}, {4, 0, 1.10},
		{-1, -5, 1.12}, {-6, -10, 1.14}, {-11, -15, 1.16}, {-16, -20, 1.18}, {-21, -25, 1.20},
		{-26, -30, 1.21}, {-31, -35, 1.23}, {-36, -40, 1.25},
	}
	m := Module{Voc: 100}
	for _, b := range bands {
		for _, at := range []float64{b.warm, b.cold, b.warm + 0.5} {
			// Half a degree above a band counts to that band, the colder one.
			if got := float64(m.ColdVoc(units.Celsius(at))) / 100; math.Abs(got-b.factor) > 1e-12 {
				t.Errorf("factor at %v °C = %v, want %v", at, got, b.factor)
			}
		}
	}
	if got := m.ColdVoc(25); got != 100 {
		t.Errorf("at 25 °C = %v, want the label's 100", got)
	}
	// Past the table the voltage goes on rising.
	near(t, "at -50 °C", float64(m.ColdVoc(-50)), 129, 1e-9)
}

func TestColdVocWorkedExamples(t *testing.T) {
	// Two modules of 38.9 V at -20 °C by the table: 2 × 38.9 × 1.18 = 91.8 V.
	near(t, "table string", 2*float64(Module{Voc: 38.9}.ColdVoc(-20)), 91.8, 0.1)
	// NFPA 70 690.7(A)(1) with the maker's coefficient.
	near(t, "49.5 V at -10 °C", float64(Module{Voc: 49.5, VocPct: new(-0.27)}.ColdVoc(-10)), 54.18, 0.05)
	near(t, "45 V at -26 °C", float64(Module{Voc: 45, VocPct: new(-0.27)}.ColdVoc(-26)), 51.2, 0.05)
}

// The longest string of the first example below a limit of 600 V is 11.
func TestLongestStringBelowLimit(t *testing.T) {
	m := FromLabel(Label{Pmax: 400, Vmp: 41, Voc: 49.5, VocPct: new(-0.27)})
	longest := 0
	for _, l := range Layouts(Set{m, 14}, Input{MaxV: 600, MaxA: 50, MaxW: 20000}, Extremes{-10, 35}) {
		if l.Parallel() == 1 && l.Verdict != Damages {
			longest = max(longest, l.Series())
		}
	}
	if longest != 11 {
		t.Errorf("longest string = %d, want 11", longest)
	}
}

// NFPA 70 690.8(A)(1) and (B)(1): three strings of 10.07 A.
func TestCodeCurrent(t *testing.T) {
	near(t, "125 %", float64(CodeCurrent(10.07, 3)), 37.76, 0.01)
	near(t, "156 %", 1.25*float64(CodeCurrent(10.07, 3)), 47.2, 0.01)
}

// Ross R.G. (1980); the cases of the general PV modelling library's test_ross.
func TestCellTemperature(t *testing.T) {
	for _, c := range []struct{ g, air, noct, want float64 }{
		{1000, 30, 50, 67.5}, {800, 20, 50, 50}, {700, 30, 50, 56.25}, {600, 40, 50, 62.5},
	} {
		near(t, "Tc", float64(CellTemperature(units.Celsius(c.air), c.g, units.Celsius(c.noct))), c.want, 0.01)
	}
}

func TestHotVmp(t *testing.T) {
	// 35 °C, NOCT 45: cell 35 + 25/800·1000 = 66.25 °C; 18.2·(1 − 0.0038·41.25).
	m := Module{Vmp: 18.2, PmaxPct: -0.38, NOCT: 45}
	near(t, "hot Vmp", float64(m.HotVmp(35)), 15.347, 0.001)
	if got := m.HotVmp(-40); got != 18.2 {
		t.Errorf("in the cold = %v, want no more than the label's 18.2", got)
	}
}

// Old 156 mm cells, from memory: Vmp 18, 30.5, 37 V and Voc 22, 37.5, 45 V, ±10 %.
// Newer cells have up to 0.73 V each, and the guess must cover them.
func TestFromWattsAndCells(t *testing.T) {
	for _, c := range []struct {
		cells    int
		vmp, voc float64
	}{{36, 18, 22}, {60, 30.5, 37.5}, {72, 37, 45}, {120, 30.5, 37.5}, {144, 37, 45}} {
		m := FromWattsAndCells(300, c.cells)
		near(t, "Vmp", float64(m.Vmp), c.vmp, 0.1*c.vmp)
		if v := float64(m.Voc); v < 1.1*c.voc || v > 1.25*c.voc {
			t.Errorf("%d cells: Voc = %v, want above every kind's, %v to %v", c.cells, v, 1.1*c.voc, 1.25*c.voc)
		}
		near(t, "Vmp × Imp", float64(m.Vmp)*float64(m.Imp), 300, 1e-9)
		for _, field := range []string{"voc_v", "vmp_v", "imp_a", "isc_a", "voc_pct_per_c", "pmax_pct_per_c", "noct_c"} {
			if !m.guessed(field) {
				t.Errorf("%d cells: %s is not marked as a guess", c.cells, field)
			}
		}
	}
}

// A hundred cells are whole ones; one more, and they are halves.
func TestHalfCutCells(t *testing.T) {
	for cells, want := range map[int]float64{1: 0.73, 100: 73, 101: 51 * 0.73, 200: 73} {
		near(t, "Voc", float64(FromWattsAndCells(300, cells).Voc), want, 1e-9)
	}
}

// The coldest air ever met is -89.2 °C, the hottest 56.7 °C (WMO archive of
// weather and climate extremes, from memory).
func TestExtremesOnEarth(t *testing.T) {
	if LowRange.Check("low", -89.2) != nil || LowRange.Check("low", -91) == nil || LowRange.Check("low", 51) == nil {
		t.Errorf("coldest air %v, want -89.2 within", LowRange)
	}
	if HighRange.Check("high", 56.7) != nil || HighRange.Check("high", -40) != nil || HighRange.Check("high", -41) == nil || HighRange.Check("high", 61) == nil {
		t.Errorf("hottest air %v, want 56.7 within", HighRange)
	}
}

func (m Module) guessed(field string) bool {
	for _, g := range m.Guessed {
		if g.Field == field {
			return true
		}
	}
	return false
}

func TestFromLabelKeepsWhatIsKnown(t *testing.T) {
	l := Label{Pmax: 100, Vmp: 18.2, Imp: 5.5, Voc: 21.8, Isc: 5.9, VocPct: new(-0.29), PmaxPct: new(-0.38), NOCT: new(units.Celsius(45))}
	m := FromLabel(l)
	if len(m.Guessed) != 0 || m.Voc != 21.8 || *m.VocPct != -0.29 || m.PmaxPct != -0.38 || m.NOCT != 45 {
		t.Errorf("FromLabel = %+v, want the label and no guess", m)
	}
	// Each gap is filled on the wary side.
	if m := FromLabel(Label{Pmax: 100, Vmp: 18.2}); m.Voc < 21.8 || !m.guessed("voc_v") {
		t.Errorf("Voc guessed from Vmp 18.2 = %v, want at least 21.8, marked", m.Voc)
	}
	if m := FromLabel(Label{Pmax: 100, Voc: 21.8}); m.Vmp > 18.2 || !m.guessed("vmp_v") {
		t.Errorf("Vmp guessed from Voc 21.8 = %v, want at most 18.2, marked", m.Vmp)
	}
	if m := FromLabel(Label{Vmp: 18.2, Imp: 5.5, Cells: 36}); math.Abs(float64(m.Pmax)-100.1) > 1e-9 {
		t.Errorf("Pmax from Vmp × Imp = %v, want 100.1", m.Pmax)
	}
	if m := FromLabel(Label{Pmax: 100, Imp: 5.5, Cells: 36}); m.Imp != 5.5 || m.guessed("imp_a") {
		t.Errorf("Imp = %v, want the label's 5.5", m.Imp)
	}
}

// aPanel draws a label that can be.
func aPanel(t *rapid.T) Label {
	vmp := rapid.Float64Range(5, 60).Draw(t, "vmp")
	imp := rapid.Float64Range(0.5, 18).Draw(t, "imp")
	l := Label{
		Pmax: units.Watts(vmp * imp),
		Vmp:  units.Volts(vmp), Imp: units.Amps(imp),
		Voc: units.Volts(vmp * rapid.Float64Range(1.1, 1.35).Draw(t, "voc/vmp")),
		Isc: units.Amps(imp * rapid.Float64Range(1, 1.2).Draw(t, "isc/imp")),
	}
	if rapid.Bool().Draw(t, "has β") {
		l.VocPct = new(rapid.Float64Range(-0.36, -0.2).Draw(t, "β"))
	}
	return l
}

func anInput(t *rapid.T) Input {
	minV := rapid.Float64Range(0, 60).Draw(t, "min V")
	return Input{
		MinV:      units.Volts(minV),
		MaxV:      units.Volts(minV + rapid.Float64Range(1, 150).Draw(t, "max V − min V")),
		MaxA:      units.Amps(rapid.Float64Range(1, 30).Draw(t, "max A")),
		MaxW:      units.Watts(rapid.Float64Range(50, 2000).Draw(t, "max W")),
		Unlimited: rapid.Bool().Draw(t, "unlimited"),
	}
}

func air(t *rapid.T) Extremes {
	return Extremes{
		Low:  units.Celsius(rapid.Float64Range(-60, 30).Draw(t, "low")),
		High: units.Celsius(rapid.Float64Range(30, 50).Draw(t, "high")),
	}
}

func TestColdVocRisesAsItGetsColder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := FromLabel(aPanel(t))
		a := rapid.Float64Range(-90, 50).Draw(t, "a")
		b := rapid.Float64Range(-90, 50).Draw(t, "b")
		if b > a {
			a, b = b, a
		}
		if m.ColdVoc(units.Celsius(b)) < m.ColdVoc(units.Celsius(a)) {
			t.Fatalf("Voc at %v °C is below that at %v °C", b, a)
		}
	})
}
