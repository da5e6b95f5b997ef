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
		if rapid.Bool().Draw(t, "cold nights") {
			p.Supply.Battery.Night = new(float64(p.Supply.Battery.Room) - rapid.Float64Range(0, 25).Draw(t, "colder"))
		}
		until := units.Hours(rapid.Float64Range(0.1, 100).Draw(t, "until"))
		rig := NewRig(p)
		f := rig.Floor(c, until)
		slack := units.WattHours(rounding * float64(f.Need+f.Has+1e-9))
		end := rig.Run(c, Horizon, nil).Empty
		if need := f.Need + f.Held; need < f.Has-slack && end < until || need > f.Has+slack && end > until {
			t.Fatalf("needs %v and %v of %v Wh until %v h, and ends at %v h", f.Need, f.Held, f.Has, until, end)
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

// On paper, for ten hours: 60 and 40 W on an inverter that takes 10 W by itself
// and 0.15 W for each watt (0.8 at 100 W: 125 W for 100), 8 W on 12 V that take
// 10. Nothing bends, so that the floor is what is left: of 1350 Wh a lamp off
// saves 690 or 460, the router 100, the inverter off 100.
func TestFloorOnPaper(t *testing.T) {
	ac := func(name string, rank load.Rank, w units.Watts) load.Load {
		return load.Load{Name: name, Rank: rank, Running: w, Outlet: load.AC, Duty: 1, PowerFactor: 1}
	}
	supply := known()
	supply.Inverter = inverter.Inverter{Continuous: 500, IdleW: new(10.0), Efficiency: new(0.8), EfficiencyAtW: new(100.0)}
	for _, unused := range []bool{false, true} {
		supply.Inverter.OffWhenUnused = unused
		p := household(t, supply, ac("Lamp", load.Vital, 60), ac("Lamp 2", load.Vital, 40), steady("Router", load.Vital, 8))
		f := NewRig(p).Floor(AsPlanned(1), 10)
		want := Floor{Has: 1000, Need: 1350, Least: 1350, Saves: []units.WattHours{690, 460, 100}, Idle: []units.WattHours{100}}
		near := func(what string, got, want units.WattHours) {
			t.Helper()
			if math.Abs(float64(got-want)) > 1e-9*1350 {
				t.Errorf("off when unused %v: %s: got %v, want %v", unused, what, got, want)
			}
		}
		near("has", f.Has, want.Has)
		near("need", f.Need, want.Need)
		near("least", f.Least, want.Least)
		near("idle", f.Idle[0], want.Idle[0])
		for i := range want.Saves {
			near(p.Loads[i].Name, f.Saves[i], want.Saves[i])
		}
	}
	// An inverter that nothing is on takes nothing.
	if f := NewRig(household(t, supply, steady("Router", load.Vital, 8))).Floor(AsPlanned(1), 10); math.Abs(float64(f.Least)-100) > 1e-9 || f.Idle[0] != 0 {
		t.Errorf("the router alone: at least %v Wh, of which %v by the inverter, want 100 and none", f.Least, f.Idle[0])
	}
	// Of what may not be carried, or only with others off, nothing is sure: 300 W
	// run, 300 W more don't fit into 500, and 100 W run only while they don't.
	for _, ranks := range [][3]load.Rank{{load.Vital, load.Useful, load.Comfort}, {load.Useful, load.Useful, load.Useful}, {load.Vital, load.Useful, load.Useful}} {
		p := household(t, supply, ac("Heater", ranks[0], 300), ac("Heater 2", ranks[1], 300), ac("Lamp", ranks[2], 100))
		if s := NewRig(p).Floor(AsPlanned(1), 10).Saves; s[0] < 3000 || s[1] != 0 || s[2] != 0 {
			t.Errorf("%v: switched off they save %v, want more than 3000 and nothing", ranks, s)
		}
	}
}
