package odds

import (
	"math"
	"testing"
)

// Of m equal draws all but those before the k-th last longer than it; a case to
// come ends before the k-th in k/(m+1) of all. That is kept to what it is for all
// the draws, unless one draw must decide.
func TestSpared(t *testing.T) {
	weights := func(heavy, light int, w float64) Chances {
		all := make(Chances, heavy+light)
		for i := range all {
			all[i].Weight = 1
			if i >= heavy {
				all[i].Weight = w
			}
		}
		return all
	}
	for _, c := range []struct {
		name string
		all  Chances
		want float64
	}{
		{"none", nil, 0},
		{"none with any weight", weights(0, 5, 0), 0},
		{"equal", weights(511, 0, 1), 51.1},
		{"all twice as heavy", weights(0, 511, 2), 102.2},
		{"a fifth of 500 are left", weights(100, 400, 0), 100 * (0.1 - 0.9*(0.01-0.002))},
		{"twelve of 500 are left", weights(12, 488, 0), 12 * (0.1 - 0.9*(1/12.-0.002))},
		{"one of 500 is left", weights(1, 499, 0), 0.02},
	} {
		if got := c.all.Spared(); math.Abs(got-c.want) > 1e-9 {
			t.Errorf("%s: got %v, want %v", c.name, got, c.want)
		}
	}
}
