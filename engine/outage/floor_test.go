package outage

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"candleclock/engine/inverter"
	"candleclock/engine/load"
	"candleclock/engine/plan"
	"candleclock/engine/units"

	"pgregory.net/rapid"
)

// crowded is a plan of mains loads side by side, often more than the inverter
// carries, on a supply whose losses take every form.
func crowded(t *rapid.T) plan.Plan {
	random := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 0))
	p := anyPlan(t)
	between := func(low, high float64) float64 { return low + (high-low)*random.Float64() }
	p.Loads = nil
	all := 0.0
	for i := range 2 + random.IntN(6) {
		w := between(5, 200)
		all += w
		p.Loads = append(p.Loads, load.Load{Name: fmt.Sprintf("Load %d", i), Outlet: load.AC, Running: units.Watts(w),
			Rank: load.Rank(load.Ranks[random.IntN(3)]), Duty: between(0.1, 1), PowerFactor: 1})
	}
	p.Supply.Inverter = inverter.Inverter{Continuous: units.Watts(between(0.3, 1.5) * all), IdleW: new(between(0, 20)),
		Efficiency: new(between(0.6, 1)), EfficiencyAtW: new(between(10, 100)),
		Efficiency2: new(between(0.6, 1)), Efficiency2AtW: new(between(100, 500)), OffWhenUnused: random.IntN(2) == 0}
	return p
}

// What is needed until a time says whether the course lasts that long, and no
// choice of switches gets below the floor.
func TestFloorAgainstCourses(t *testing.T) {
	const rounding = 1e-9 // of what is needed
	rapid.Check(t, func(t *rapid.T) {
		p := rapid.OneOf(rapid.Custom(anyPlan), rapid.Custom(crowded)).Draw(t, "plan")
		c := anyCase(t, p)
		until := units.Hours(rapid.Float64Range(0.1, 100).Draw(t, "until"))
		rig := NewRig(p)
		f := rig.Floor(c, until)
		slack := units.WattHours(rounding * float64(f.Need+f.Has+1e-9))
		end := rig.Run(c, Horizon, nil).Empty
		if f.Need < f.Has-slack && end < until || f.Need > f.Has+slack && end > until {
			t.Fatalf("needs %v of %v Wh until %v h, and ends at %v h", f.Need, f.Has, until, end)
		}
		box := rig.BoxFloor(c.SOC, until)
		if b := rig.Box(c.SOC); math.Abs(float64(box.Need-box.Has)) > rounding*float64(box.Has) && (b < until) != (box.Need > box.Has) {
			t.Fatalf("the box needs %v of %v Wh until %v h, and says %v h", box.Need, box.Has, until, b)
		}

		q := p
		q.Loads = slices.Clone(p.Loads)
		least, boxLeast := f.Least, box.Least
		for i := range q.Loads {
			if rapid.Bool().Draw(t, "switch off") {
				q.Loads[i].Off = true
				least -= f.Saves[i]
				boxLeast -= box.Saves[i]
			}
		}
		for n, keepers := range rig.Keepers() {
			if !slices.ContainsFunc(keepers, func(i int) bool { return !q.Loads[i].Off }) {
				least -= f.Idle[n]
			}
		}
		less := NewRig(q)
		if got := less.Floor(c, until).Need; got < least-slack {
			t.Fatalf("needs %v Wh, below the floor of %v", got, least)
		}
		if got := less.BoxFloor(c.SOC, until).Need; got < boxLeast-units.WattHours(rounding*float64(box.Need+1)) {
			t.Fatalf("the box needs %v Wh, below the floor of %v", got, boxLeast)
		}
	})
}
