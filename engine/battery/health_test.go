package battery

import "testing"

func TestStateOfHealth(t *testing.T) {
	for _, c := range []struct {
		what string
		b    Battery
		want float64 // tolerance 1e-9
	}{
		{"new", Battery{Chemistry: LFP}, 1},
		{"NMC at its usual years", Battery{Chemistry: NMC, AgeYears: 7}, 0.8},
		{"LFP at its usual cycles", Battery{Chemistry: LFP, Cycles: 2500}, 0.8},
		{"NMC at its usual cycles", Battery{Chemistry: NMC, Cycles: 500}, 0.8},
		{"AGM at its usual years", Battery{Chemistry: AGM, AgeYears: 5}, 0.8},
		{"AGM half of each", Battery{Chemistry: AGM, AgeYears: 2.5, Cycles: 200}, 0.8},
		{"LFP 4 years and 60 cycles", Battery{Chemistry: LFP, AgeYears: 4, Cycles: 60}, 1 - 2*0.0677 - 0.0048},
		{"flooded, twice its years: the second half counts double", Battery{Chemistry: Flooded, AgeYears: 10}, 0.4},
		{"worn out", Battery{Chemistry: NMC, AgeYears: 40, Cycles: 20000}, 0.1},
		{"measured", Battery{Chemistry: NMC, AgeYears: 40, Health: new(0.93)}, 0.93},
	} {
		if got := c.b.StateOfHealth(); !near(got, c.want, 1e-9) {
			t.Errorf("%s: got %v, want %v", c.what, got, c.want)
		}
	}
}

// Lost in years of standing at 25 °C, full and half full, as published (Naumann et
// al. 2018); to a fiftieth of it, and half a tenth of a percent as it is rounded there.
func TestLFPThatStands(t *testing.T) {
	for _, c := range []struct{ years, full, half float64 }{{1, 6.77, 4.25}, {3, 11.7, 7.4}, {5, 15.1, 9.5}, {9.9, 21.3, 13.3}} {
		lost := func(at *float64) float64 {
			return 100 * (Battery{Chemistry: LFP, AgeYears: c.years, StandsAt: at}).standing()
		}
		for what, pair := range map[string][2]float64{
			"not told":  {lost(nil), c.full},
			"full":      {lost(new(1.0)), c.full},
			"half full": {lost(new(0.5)), c.half},
		} {
			if !near(pair[0], pair[1], 0.02*pair[1]+0.05) {
				t.Errorf("%v years, %s: lost %v %%, published %v", c.years, what, pair[0], pair[1])
			}
		}
	}
	last := 2.0
	for at := 0.0; at <= 1; at += 0.05 {
		h := Battery{Chemistry: LFP, AgeYears: 4, StandsAt: &at}.StateOfHealth()
		if h > last {
			t.Errorf("at %v: %v, more than %v at less", at, h, last)
		}
		last = h
	}
	if got := (Battery{Chemistry: LFP, AgeYears: 1}).StateOfHealth(); !near(got, 1-0.0677, 1e-9) {
		t.Errorf("a year old: %v", got)
	}
}
