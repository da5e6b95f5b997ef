package ui

import (
	"strings"
	"testing"

	"candleclock/engine/battery"
	"candleclock/engine/card"
	"candleclock/engine/inverter"
	"candleclock/engine/load"
	"candleclock/engine/odds"
	"candleclock/engine/plan"
	"candleclock/engine/units"
)

// The sum on the paper sheet is no more hopeful than the planner, for what the
// sheet speaks of: watts that are known, a battery that is neither very old nor
// very cold, give or take a fiftieth; at the last bars of an older one, an eighth.
func TestPaperIsWary(t *testing.T) {
	steps := strings.Join(paper.steps, " ")
	for _, part := range []string{"half its watts", "Add 20 more", "50 if it carries more than 1,000 W", "Take 6 tenths of that", "one bar fewer than are lit",
		"Of a lead battery take 5 tenths", "80% counts as 30%"} {
		if !strings.Contains(steps, part) {
			t.Errorf("the sheet does not say %q", part)
		}
	}
	for _, keys := range [][]string{{"lamp-led"}, {"cpap"}, {"fridge"}, {"cpap", "fridge", "lamp-led"}, {"freezer-chest", "fan-table"}} {
		for _, chemistry := range []battery.Chemistry{battery.LFP, battery.NMC, battery.AGM} {
			for _, age := range []float64{0, 3} {
				for _, carries := range []units.Watts{600, 1000, 2400} {
					p := plan.New("Household", plan.Moment{})
					p.Supply.Battery = battery.Battery{Chemistry: chemistry, Capacity: 1000, Room: 15, AgeYears: age}
					p.Supply.Inverter = inverter.Inverter{Continuous: carries, SurgeW: new(3 * float64(carries))}
					p.Supply.Gauge = plan.Gauge{Kind: plan.Bars, Bars: 5}
					draw := 20.0
					if carries > 1000 {
						draw = 50
					}
					for _, key := range keys {
						l := mustFind(key).Load()
						l.Basis, l.Use, l.Low, l.High = load.Measured, nil, nil, nil
						w := float64(l.Running) * float64(l.Count)
						if l.CyclesItself {
							w, l.Duty = w/2, 1./3
						}
						draw += w
						p.Loads = append(p.Loads, l)
					}
					hours := func(share float64) units.Hours {
						if chemistry.Lead() {
							return units.Hours(max(0, share-0.5) * 0.5 * 1000 / draw)
						}
						return units.Hours(share * 0.6 * 1000 / draw)
					}
					l := card.NewLadder(p, odds.NewSampler(odds.Draws, odds.Seed))
					check := func(reading string, share float64, planner units.Hours) {
						t.Helper()
						most := 1.02
						if age > 0 {
							most = 1.125
						}
						if h := hours(share); h > planner*units.Hours(most) {
							t.Errorf("%v, %s, %v years, %v W, %s: %.2f h on paper, %.2f by the planner", keys, chemistry, age, carries, reading, h, planner)
						}
					}
					check("full", 1, l.Full[0])
					for _, r := range l.Rungs {
						check(r.Reading.Words, float64(r.Reading.Bars-1)/5, r.CountOn[0])
					}
				}
			}
		}
	}
}
