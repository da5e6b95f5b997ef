package odds

import (
	"math"
	"testing"

	"candleclock/engine/load"
	"candleclock/engine/outage"
	"candleclock/engine/plan/plantest"
)

// A pace multiplies what is drawn, the inverter's own too, and nothing else; a
// worker that has it works out what the page does.
func TestPaceIsOfAllThatDraws(t *testing.T) {
	p := plantest.Cottage(t)
	plain, paced := NewSampler(31, Seed), NewSampler(31, Seed)
	paced.Pace = 1.5
	var usual []outage.Case
	for _, c := range plain.Chances(p) {
		usual = append(usual, c.Case)
	}
	for i, c := range paced.Chances(p) {
		u := usual[i]
		for j := range p.Loads {
			if math.Abs(c.Draw[j]-1.5*u.Draw[j]) > 1e-12 {
				t.Fatalf("draw %d, %s: %v, want 1.5 of %v", i, p.Loads[j].Name, c.Draw[j], u.Draw[j])
			}
		}
		if c.Idle != 1.5*u.Idle || c.Capacity != u.Capacity || c.Loss != u.Loss || c.SOC != u.SOC || c.Warmer != u.Warmer {
			t.Fatalf("draw %d: %+v, without a pace %+v", i, c, u)
		}
	}
	p.Loads = p.Loads[:1]
	p.Loads[0].Rank = load.Vital
	slow, _ := plain.Through(p, nil)
	fast, _ := paced.Through(p, nil)
	for i := range slow.Vital {
		if fast.Vital[i] > slow.Vital[i] {
			t.Fatalf("faster, draw %d of all holds for %v, and %v as planned", i, fast.Vital[i], slow.Vital[i])
		}
	}
}
