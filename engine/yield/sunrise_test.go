package yield

import (
	"slices"
	"testing"

	"candleclock/engine/units"
)

func TestFromSunrise(t *testing.T) {
	for _, c := range []struct{ day, want []units.Watts }{
		{[]units.Watts{0, 0, 3, 5, 0}, []units.Watts{3, 5, 0, 0, 0}},
		{[]units.Watts{2, 0, 3}, []units.Watts{2, 0, 3}},
		{[]units.Watts{0, 0}, []units.Watts{0, 0}},
		{nil, nil},
	} {
		if got := FromSunrise(c.day); !slices.Equal(got, c.want) {
			t.Errorf("FromSunrise(%v) = %v, want %v", c.day, got, c.want)
		}
	}
}
