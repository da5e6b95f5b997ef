package sizing

import (
	"testing"

	"candleclock/engine/load"
	"candleclock/engine/plan"
	"candleclock/engine/units"
)

// A supply that a start trips does not meet the wish, however cheap: two motors of
// 100 W that start with 500 draw 600 W for a moment, of which a tenth more must be
// there.
func TestWhatTripsIsNotTheBest(t *testing.T) {
	p := certain(1000, 100)
	motor := p.Loads[0]
	motor.Outlet, motor.Starting = load.AC, 500
	p.Loads = []load.Load{motor, motor}
	p.Loads[1].Name = "Another"
	p.Outage.Hours = 1
	of := func(name string, capacity units.WattHours, surge, price float64) plan.Candidate {
		c := plan.NewCandidate(name)
		c.Supply.Battery = p.Supply.Battery
		c.Supply.Battery.Capacity = capacity
		c.Supply.Inverter.Continuous, c.Supply.Inverter.SurgeW, c.Supply.Price = 560, &surge, &price
		return c
	}
	p.Supply = plan.New("", p.Outage.Starts).Supply
	p.Candidates = []plan.Candidate{of("trips, cheap", 2000, 560, 100), of("too small", 50, 700, 10), of("dear", 2000, 667, 900), of("less dear", 2000, 700, 800)}
	var got []string
	for _, v := range judged(t, p, WishOf(p, load.Comfort), 63) {
		got = append(got, p.Candidates[v.Candidate].Supply.Name)
		if trips := v.Candidate == 0; v.Starts == trips || len(v.Beyond) > 0 || trips && (v.Chance != 0 || v.Meets) {
			t.Errorf("%s: starts %v, beyond %v, chance %v", got[len(got)-1], v.Starts, v.Beyond, v.Chance)
		}
	}
	want := []string{"less dear", "dear", "trips, cheap", "too small"}
	for i := range want {
		if i >= len(got) || got[i] != want[i] {
			t.Fatalf("the best first: got %q, want %q", got, want)
		}
	}
}
