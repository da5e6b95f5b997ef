package panel

import (
	"math"
	"reflect"
	"strings"
	"testing"

	"candleclock/engine/units"

	"pgregory.net/rapid"
)

var hundred = FromLabel(Label{Pmax: 100, Vmp: 18.2, Imp: 5.5, Voc: 21.8, Isc: 5.9, VocPct: new(-0.29), PmaxPct: new(-0.38), NOCT: new(units.Celsius(45))})

func find(t *testing.T, ls []Layout, series, parallel int) Layout {
	t.Helper()
	for _, l := range ls {
		if l.Series() == series && l.Parallel() == parallel {
			return l
		}
	}
	t.Fatalf("no layout %d × %d", series, parallel)
	return Layout{}
}

func TestVerdicts(t *testing.T) {
	at := Extremes{-29, 35}
	for _, c := range []struct {
		name             string
		in               Input
		series, parallel int
		want             Verdict
		watts            float64
	}{
		// Cold: 2 × 21.8 × (1 + 0.0029·54) = 50.43 V.
		{"two in series", Input{MinV: 14, MaxV: 58, MaxA: 12, MaxW: 300}, 2, 1, Fits, 200},
		{"two in parallel", Input{MinV: 14, MaxV: 58, MaxA: 12, MaxW: 300}, 1, 2, Fits, 200},
		{"a limit the label keeps and the cold breaks", Input{MinV: 14, MaxV: 48, MaxA: 12, MaxW: 300}, 2, 1, Damages, 0},
		{"above the limit by a hair", Input{MinV: 14, MaxV: 50.4, MaxA: 12, MaxW: 300}, 2, 1, Damages, 0},
		{"hot noon below the least", Input{MinV: 16, MaxV: 58, MaxA: 12, MaxW: 300}, 1, 2, WontStart, 0},
		{"power clips", Input{MinV: 14, MaxV: 58, MaxA: 12, MaxW: 150}, 2, 1, Clipped, 150},
		{"current clips", Input{MinV: 14, MaxV: 58, MaxA: 8, MaxW: 300}, 1, 2, Clipped, 145.6},
		{"no current told", Input{MinV: 14, MaxV: 58, MaxW: 300}, 1, 2, Fits, 200},
		{"no power told", Input{MinV: 14, MaxV: 58, MaxA: 8}, 1, 2, Clipped, 145.6},
		{"current that nothing limits", Input{MinV: 14, MaxV: 58, MaxA: 12, MaxW: 300, Unlimited: true}, 1, 2, Damages, 0},
		{"current within, unlimited", Input{MinV: 14, MaxV: 58, MaxA: 15, MaxW: 300, Unlimited: true}, 1, 2, Fits, 200},
	} {
		l := find(t, Layouts(Set{hundred, 2}, c.in, at), c.series, c.parallel)
		if l.Verdict != c.want || math.Abs(float64(l.Watts)-c.watts) > 1e-9 {
			t.Errorf("%s: %v %v W (%s), want %v %v W", c.name, l.Verdict, l.Watts, l.Why, c.want, c.watts)
		}
	}
}

// What an input bears or needs, it bears or needs to the last bit: at 25 °C and
// above a panel's Voc is the label's, and in the cold its Vmp is.
func TestVerdictsAtTheLimit(t *testing.T) {
	m := Module{Pmax: 128, Vmp: 16, Imp: 8, Voc: 20, Isc: 8, PmaxPct: -0.4, NOCT: 45}
	warm, cold := Extremes{25, 40}, Extremes{25, -40}
	for _, c := range []struct {
		name string
		in   Input
		at   Extremes
		want Verdict
	}{
		{"cold voltage at the most", Input{MaxV: 20}, warm, Fits},
		{"cold voltage above it", Input{MaxV: 19.99}, warm, Damages},
		{"voltage at work at the least", Input{MinV: 16, MaxV: 60}, cold, Fits},
		{"voltage at work below it", Input{MinV: 16.01, MaxV: 60}, cold, WontStart},
		// 1.25 × 8 A.
		{"unlimited current at the most", Input{MaxV: 60, MaxA: 10, Unlimited: true}, warm, Fits},
		{"unlimited current above it", Input{MaxV: 60, MaxA: 9.99, Unlimited: true}, warm, Damages},
		{"power at the most", Input{MaxV: 60, MaxW: 128}, warm, Fits},
		{"power above it", Input{MaxV: 60, MaxW: 127.9}, warm, Clipped},
	} {
		if l := one(m, 1, 1, c.in, c.at); l.Verdict != c.want {
			t.Errorf("%s: got %v (%s), want %v", c.name, l.Verdict, l.Why, c.want)
		}
	}
	if l := one(m, 1, 1, Input{MaxV: 20}, warm); !l.NearMax || !strings.Contains(l.Why, "less than 2 % below") {
		t.Errorf("at the limit itself: near it is %v, %q", l.NearMax, l.Why)
	}
}

func TestNearMaxSaysSo(t *testing.T) {
	at := Extremes{-29, 35}
	cold := 2 * float64(hundred.ColdVoc(-29))
	for _, c := range []struct {
		maxV float64
		near bool
	}{{cold / 0.981, true}, {cold / 0.979, false}, {cold * 0.999, false}} {
		ls := Layouts(Set{hundred, 2}, Input{MinV: 12, MaxV: units.Volts(c.maxV), MaxA: 12, MaxW: 400}, at)
		l := find(t, ls, 2, 1)
		if l.NearMax != c.near || strings.Contains(l.Why, "less than 2 %") != c.near {
			t.Errorf("limit %.2f V for %.2f V: NearMax = %v, %q, want %v", c.maxV, cold, l.NearMax, l.Why, c.near)
		}
		if c.near && ls[0].Series() == 2 {
			t.Errorf("limit %.2f V: the layout near it is listed before one that is not", c.maxV)
		}
	}
}

func TestBestFirst(t *testing.T) {
	// At equal watts, series: half the current, a quarter of the cable's loss.
	ls := Layouts(Set{hundred, 2}, Input{MinV: 14, MaxV: 58, MaxA: 12, MaxW: 300}, Extremes{-25, 35})
	if ls[0].Series() != 2 || ls[0].Parallel() != 1 {
		t.Errorf("best = %d × %d, want 2 × 1", ls[0].Series(), ls[0].Parallel())
	}
	if len(ls) != 3 { // 1 × 1, 2 × 1, 1 × 2
		t.Errorf("%d layouts of two panels, want 3", len(ls))
	}
	// A third panel adds nothing at noon to an input of 200 W, and earns on grey days.
	ls = Layouts(Set{hundred, 3}, Input{MinV: 12, MaxV: 100, MaxA: 12, MaxW: 200}, Extremes{-25, 35})
	if ls[0].Modules() != 3 || ls[0].Verdict != Clipped || ls[0].Watts != 200 {
		t.Errorf("best = %+v, want three panels, clipped to 200 W", ls[0])
	}
	for count, want := range map[int]int{-1: 0, 0: 0, 24: 84, 99: 84} { // 84 = Σ ⌊24/s⌋
		if got := Layouts(Set{hundred, count}, Input{MaxV: 60}, Extremes{}); len(got) != want {
			t.Errorf("%d panels make %d layouts, want %d", count, len(got), want)
		}
	}
}

func TestWires(t *testing.T) {
	ls := Layouts(Set{hundred, 4}, Input{MinV: 12, MaxV: 60, MaxA: 20, MaxW: 400}, Extremes{-25, 35})
	var got []string
	for _, w := range find(t, ls, 2, 2).Wires() {
		got = append(got, w.String())
	}
	want := []string{
		"input plus to panel 1 plus", "panel 1 minus to panel 2 plus", "panel 2 minus to input minus",
		"input plus to panel 3 plus", "panel 3 minus to panel 4 plus", "panel 4 minus to input minus",
	}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("wires = %q, want %q", got, want)
	}
	if find(t, ls, 2, 2).NeedsFuses() || !find(t, ls, 1, 3).NeedsFuses() {
		t.Error("string fuses are wanted from three strings on, not before")
	}
}

func TestMixed(t *testing.T) {
	small := FromLabel(Label{Pmax: 50, Vmp: 18.2, Imp: 2.75, Voc: 21.8, Isc: 3})
	in, at := Input{MinV: 14, MaxV: 58, MaxA: 12, MaxW: 300}, Extremes{-10, 35}
	ls := MixedLayouts(Set{hundred, 1}, Set{small, 1}, in, at)
	if len(ls) != 4 { // each alone, in series, side by side
		t.Fatalf("%d layouts, want 4", len(ls))
	}
	// Same voltage, different current: side by side nothing is lost, in series
	// the small one holds the large one back to its own current.
	if best := ls[0]; best.Parallel() != 2 || best.Mismatch != 0 || math.Abs(float64(best.Watts)-150) > 1e-9 {
		t.Errorf("best = %+v, want side by side, 150 W", best)
	}
	series := find(t, ls, 2, 1)
	near(t, "series watts", float64(series.Watts), 36.4*50/18.2, 1e-9)
	near(t, "series loss", series.Mismatch, 1-100.0/150, 1e-9)
	near(t, "series cold V", float64(series.VocCold), float64(hundred.ColdVoc(-10)+small.ColdVoc(-10)), 1e-9)

	// Different voltages side by side: said, and reckoned with.
	large := FromLabel(Label{Pmax: 300, Vmp: 32, Imp: 9.375, Voc: 39, Isc: 9.9})
	for _, l := range MixedLayouts(Set{hundred, 1}, Set{large, 1}, in, at) {
		if l.Parallel() == 2 && (!l.Unmatched || l.Watts >= 400 || !strings.Contains(l.Why, "5 %")) {
			t.Errorf("18.2 V beside 32 V = %+v, want unmatched, at a loss", l)
		}
		if l.Parallel() == 2 && math.Abs(float64(l.Watts)-300) > 1e-9 { // at 32 V the small one gives nothing
			t.Errorf("18.2 V beside 32 V = %v W, want 300", l.Watts)
		}
	}
}

// Strings of 18 V and of 20 V side by side, 22 V and 25 V open. At 20 V the
// first, half of the way to its open circuit, gives half of its 5 A: 2.5 A and
// 30 A make 650 W, more than 5 A and 30 A at 18 V.
func TestBetweenWorkAndOpenCircuit(t *testing.T) {
	a := FromLabel(Label{Pmax: 90, Vmp: 18, Voc: 22})
	b := FromLabel(Label{Pmax: 600, Vmp: 20, Voc: 25})
	ls := MixedLayouts(Set{a, 1}, Set{b, 1}, Input{MaxV: 60, MaxW: 1000}, Extremes{25, 25})
	l := find(t, ls, 1, 2)
	near(t, "watts", float64(l.Watts), 650, 1e-9)
	near(t, "lost", l.Mismatch, 1-650.0/690, 1e-9)
	if !l.Unmatched { // by 10 %
		t.Error("18 V beside 20 V is said to match")
	}
	// 19 V beside 20 V is 5 %, which is not more than 5 %.
	near5 := FromLabel(Label{Pmax: 95, Vmp: 19, Voc: 23})
	if l := find(t, MixedLayouts(Set{near5, 1}, Set{b, 1}, Input{MaxV: 60}, Extremes{25, 25}), 1, 2); l.Unmatched {
		t.Error("19 V beside 20 V is said not to match")
	}
}

func TestVerdictFollowsFromNumbers(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := FromLabel(aPanel(t)), FromLabel(aPanel(t))
		in, at := anInput(t), air(t)
		n := rapid.IntRange(0, 6).Draw(t, "a")
		m := rapid.IntRange(0, 6).Draw(t, "b")
		for _, l := range MixedLayouts(Set{a, n}, Set{b, m}, in, at) {
			want := Fits
			switch {
			case l.VocCold > in.MaxV, in.Unlimited && l.Isc > in.MaxA:
				want = Damages
			case l.VmpHot < in.MinV:
				want = WontStart
			case float64(l.Watts) < (1-l.Mismatch)*float64(l.Array)*(1-1e-6):
				want = Clipped
			}
			if l.Verdict != want && !(want == Fits && l.Verdict == Clipped) { // the last 1e-6 may be either
				t.Fatalf("verdict = %v, want %v from %+v", l.Verdict, want, l)
			}
			checkEnds(t, l, a, b, n, at)
			if l.Watts > in.MaxW || float64(l.Watts) > float64(l.Array)*(1+1e-9) || l.Watts < 0 {
				t.Fatalf("%v W of %v W at an input of %v W", l.Watts, l.Array, in.MaxW)
			}
			seen := map[int]bool{}
			for _, s := range l.Strings {
				for _, k := range s {
					if k < 1 || k > n+m || seen[k] {
						t.Fatalf("panel %d twice or not there in %v", k, l.Strings)
					}
					seen[k] = true
				}
			}
		}
	})
}

// checkEnds reckons a layout's numbers again from its strings, panel by panel.
func checkEnds(t *rapid.T, l Layout, a, b Module, na int, at Extremes) {
	var cold, isc, array float64
	hot := math.Inf(1)
	for _, s := range l.Strings {
		var stringCold, stringHot, strongest float64
		for _, k := range s {
			m := a
			if k > na {
				m = b
			}
			stringCold += float64(m.ColdVoc(at.Low))
			stringHot += float64(m.HotVmp(at.High))
			strongest = math.Max(strongest, float64(m.Isc))
			array += float64(m.Pmax)
		}
		cold, hot = math.Max(cold, stringCold), math.Min(hot, stringHot)
		isc += 1.25 * strongest
	}
	same := func(what string, got, want float64) {
		if math.Abs(got-want) > 1e-9*want {
			t.Fatalf("%s = %v, want %v in %v", what, got, want, l.Strings)
		}
	}
	same("VocCold", float64(l.VocCold), cold)
	same("VmpHot", float64(l.VmpHot), hot)
	same("Isc", float64(l.Isc), isc)
	same("Array", float64(l.Array), array)
}

func TestMoreVoltageIsNeverMilder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		label, in, at := aPanel(t), anInput(t), air(t)
		n := rapid.IntRange(1, 6).Draw(t, "n")
		low := FromLabel(label)
		label.Voc *= units.Volts(rapid.Float64Range(1, 1.5).Draw(t, "more Voc"))
		high := FromLabel(label)
		colder := at
		colder.Low -= units.Celsius(rapid.Float64Range(0, 30).Draw(t, "colder"))
		for series := 1; series <= n; series++ {
			for parallel := 1; series*parallel <= n; parallel++ {
				was := one(low, series, parallel, in, at)
				if now := one(high, series, parallel, in, colder); now.Verdict > was.Verdict {
					t.Fatalf("%v became %v with more voltage", was.Verdict, now.Verdict)
				}
			}
		}
	})
}

// one judges a single layout of equal panels.
func one(m Module, series, parallel int, in Input, at Extremes) Layout {
	return newLayout([]bunch{{newRow(m, series, Module{}, 0, at), parallel}}, series*parallel, in, at)
}

func TestSeriesOnlyRaisesVoc(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m, in, at := FromLabel(aPanel(t)), anInput(t), air(t)
		s := rapid.IntRange(1, 10).Draw(t, "series")
		p := rapid.IntRange(1, 3).Draw(t, "parallel")
		a, b := one(m, s, p, in, at), one(m, s+1, p, in, at)
		if b.VocCold <= a.VocCold || b.Isc != a.Isc {
			t.Fatalf("%d → %d in series: Voc %v → %v, Isc %v → %v", s, s+1, a.VocCold, b.VocCold, a.Isc, b.Isc)
		}
	})
}

func TestOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m, in, at := FromLabel(aPanel(t)), anInput(t), air(t)
		ls := Layouts(Set{m, rapid.IntRange(0, MaxModules).Draw(t, "n")}, in, at)
		for i := 1; i < len(ls); i++ {
			a, b := ls[i-1], ls[i]
			works := func(l Layout) bool { return l.Verdict >= Clipped }
			if works(b) && !works(a) || a.Verdict == Damages && b.Verdict != Damages {
				t.Fatalf("%v before %v", a.Verdict, b.Verdict)
			}
			if works(a) && works(b) && a.NearMax == b.NearMax && float64(b.Watts) > float64(a.Watts)+1e-5 {
				t.Fatalf("%v W before %v W", a.Watts, b.Watts)
			}
		}
	})
}

func TestSameListTwice(t *testing.T) {
	small := FromLabel(Label{Pmax: 50, Vmp: 18, Voc: 22})
	in, at := Input{MinV: 14, MaxV: 58, MaxA: 12, MaxW: 300}, Extremes{-10, 35}
	first := MixedLayouts(Set{hundred, 4}, Set{small, 4}, in, at)
	if !reflect.DeepEqual(first, MixedLayouts(Set{hundred, 4}, Set{small, 4}, in, at)) {
		t.Error("two lists of the same panels differ")
	}
}

func BenchmarkMixedLayouts(b *testing.B) {
	in, at := Input{MinV: 12, MaxV: 150, MaxA: 12, MaxW: 400}, Extremes{-10, 35}
	for b.Loop() {
		MixedLayouts(Set{hundred, 12}, Set{hundred, 12}, in, at)
	}
}
