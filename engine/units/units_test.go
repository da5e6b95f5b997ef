package units

import (
	"math"
	"testing"
)

func TestEnergyIsPowerTimesTime(t *testing.T) {
	for _, c := range []struct {
		power  Watts
		time   Hours
		energy WattHours
	}{{60, 5, 300}, {1500, 0.25, 375}, {0.5, 24, 12}} {
		if got := c.power.For(c.time); got != c.energy {
			t.Errorf("%v W for %v h: got %v Wh, want %v", c.power, c.time, got, c.energy)
		}
		if got := c.energy.At(c.power); got != c.time {
			t.Errorf("%v Wh at %v W: got %v h, want %v", c.energy, c.power, got, c.time)
		}
	}
	if got := WattHours(300).At(0); !math.IsInf(float64(got), 1) {
		t.Errorf("at no power: got %v h, want +Inf", got)
	}
	if got := WattHours(0).At(0); !math.IsNaN(float64(got)) {
		t.Errorf("nothing at no power: got %v h, want NaN", got)
	}
}
