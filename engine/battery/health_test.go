package battery

import "testing"

func TestStateOfHealth(t *testing.T) {
	for _, c := range []struct {
		what string
		b    Battery
		want float64 // tolerance 1e-9
	}{
		{"new", Battery{Chemistry: LFP}, 1},
		{"LFP at its usual years", Battery{Chemistry: LFP, AgeYears: 10}, 0.8},
		{"LFP at its usual cycles", Battery{Chemistry: LFP, Cycles: 2500}, 0.8},
		{"NMC at its usual cycles", Battery{Chemistry: NMC, Cycles: 500}, 0.8},
		{"AGM at its usual years", Battery{Chemistry: AGM, AgeYears: 5}, 0.8},
		{"AGM half of each", Battery{Chemistry: AGM, AgeYears: 2.5, Cycles: 200}, 0.8},
		{"LFP 2 years and 60 cycles", Battery{Chemistry: LFP, AgeYears: 2, Cycles: 60}, 1 - 0.04 - 0.0048},
		{"flooded, twice its years: the second half counts double", Battery{Chemistry: Flooded, AgeYears: 10}, 0.4},
		{"worn out", Battery{Chemistry: NMC, AgeYears: 40, Cycles: 20000}, 0.1},
		{"measured", Battery{Chemistry: NMC, AgeYears: 40, Health: new(0.93)}, 0.93},
	} {
		if got := c.b.StateOfHealth(); !near(got, c.want, 1e-9) {
			t.Errorf("%s: got %v, want %v", c.what, got, c.want)
		}
	}
}
