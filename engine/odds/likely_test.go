package odds

import (
	"math"
	"testing"

	"candleclock/engine/plan/plantest"

	"pgregory.net/rapid"
)

// Of draws that weigh the same, Likely is what Runtime has; what weighs nothing
// does not count.
func TestLikelyOfChances(t *testing.T) {
	s := NewSampler(31, Seed)
	rapid.Check(t, func(t *rapid.T) {
		p := plantest.Any(t)
		want := s.Runtime(p)
		all := s.Chances(p)
		if got := all.Likely(p); math.Abs(float64(got-min(want.Likely, want.Box))) > 1e-9 && got != want.Likely {
			t.Fatalf("likely %v, want %v", got, want.Likely)
		}
		for i := range all[1:] {
			all[1+i].Weight = 0
		}
		if got, one := all.Likely(p), all[:1].Likely(p); got != one {
			t.Fatalf("of one that weighs anything %v, want %v", got, one)
		}
		if got := (Chances)(nil).Likely(p); got != 0 {
			t.Fatalf("of none %v", got)
		}
	})
}
