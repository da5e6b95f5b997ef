package doc

import (
	"math"
	"testing"
)

func TestRangeCheck(t *testing.T) {
	watts := Range{Low: 0, High: 20000, Unit: "W"}
	for _, v := range []float64{0, 1, 20000} {
		if err := watts.Check("w", v); err != nil {
			t.Errorf("%v: got %v, want nil", v, err)
		}
	}
	for _, c := range []struct {
		v    float64
		want string
	}{
		{-0.5, "w: -0.5 must be between 0 and 20,000 W"},
		{20000.5, "w: 20,000.5 must be between 0 and 20,000 W"},
		{math.NaN(), "w: not a number must be between 0 and 20,000 W"},
		{math.Inf(1), "w: +Inf must be between 0 and 20,000 W"},
	} {
		if err := watts.Check("w", c.v); err == nil || err.Error() != c.want {
			t.Errorf("%v: got %v, want %s", c.v, err, c.want)
		}
	}
	if got, want := (Range{Low: 0, High: 1}).String(), "between 0 and 1"; got != want {
		t.Errorf("no unit: got %q, want %q", got, want)
	}
}

func TestNumber(t *testing.T) {
	for _, c := range []struct {
		v    float64
		want string
	}{
		{0, "0"}, {7, "7"}, {999, "999"}, {1000, "1,000"}, {-1000, "-1,000"}, {-999.25, "-999.25"},
		{1234567.5, "1,234,567.5"}, {0.1, "0.1"}, {1e14, "100,000,000,000,000"}, {1e15, "1e+15"}, {1.25e15, "1.25e+15"},
		{1e-7, "0.0000001"},
	} {
		if got := Number(c.v); got != c.want {
			t.Errorf("%v: got %q, want %q", c.v, got, c.want)
		}
	}
}
