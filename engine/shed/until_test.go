package shed

import (
	"fmt"
	"math"
	"math/bits"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"candleclock/engine/battery"
	"candleclock/engine/inverter"
	"candleclock/engine/load"
	"candleclock/engine/odds"
	"candleclock/engine/outage"
	"candleclock/engine/plan"
	"candleclock/engine/plan/plantest"
	"candleclock/engine/units"
)

// household is a plan of n loads of every kind; some of them off, and often
// more than the inverter carries.
func household(r *rand.Rand, n int) plan.Plan {
	between := func(low, high float64) float64 { return low + (high-low)*r.Float64() }
	maybe := func(low, high float64) *float64 {
		if r.IntN(2) == 0 {
			return nil
		}
		return new(between(low, high))
	}
	p := plan.New("Test", plan.At(time.Date(2026, 1, 14, r.IntN(24), r.IntN(60), 0, 0, time.UTC)))
	p.Outage.SOC = between(0.3, 1)
	if r.IntN(20) == 0 {
		p.Outage.SOC = 0
	}
	if r.IntN(3) == 0 {
		p.Outage.SOCLow = new(p.Outage.SOC * between(0.7, 1))
	}
	p.Supply.Battery = battery.Battery{
		Chemistry: battery.Chemistries[r.IntN(len(battery.Chemistries))],
		Capacity:  units.WattHours(between(100, 3000)),
		AgeYears:  between(0, 6), Room: units.Celsius(between(-5, 25)),
		Cutoff: maybe(0, 0.3), Health: maybe(0.5, 1),
	}
	p.Supply.DCEfficiency = between(0.7, 1)
	all := 0.0
	for i := range n {
		l := load.Load{
			Name: fmt.Sprintf("Load %d", i), Rank: []load.Rank{load.Vital, load.Useful, load.Useful, load.Comfort, load.Comfort}[r.IntN(5)], Outlet: load.Outlet(load.Outlets[max(0, r.IntN(5)-2)]),
			Running: units.Watts(between(2, 120)), Duty: between(0.2, 1), PowerFactor: between(0.5, 1),
			Basis: load.Basis(load.Bases[r.IntN(3)]), Off: r.IntN(8) == 0,
		}
		for range r.IntN(3) {
			l.Use = append(l.Use, load.Window{From: load.Minute(r.IntN(1440)), To: load.Minute(r.IntN(1440))})
		}
		all += float64(l.Apparent())
		p.Loads = append(p.Loads, l)
	}
	if r.IntN(4) > 0 {
		p.Supply.Inverter = inverter.Inverter{
			Continuous: units.Watts(all * between(0.3, 2)), IdleW: maybe(0, 20),
			Efficiency: maybe(0.7, 0.98), EfficiencyAtW: maybe(20, 200),
			Efficiency2: maybe(0.7, 0.98), Efficiency2AtW: maybe(200, 600), OffWhenUnused: r.IntN(3) == 0,
		}
	}
	return p
}

// everyChoice is what Until must find, by asking what to count on with every
// choice there is among loads.
func everyChoice(p plan.Plan, countOn func(plan.Plan) units.Hours, target units.Hours, loads []int) (off []int, on units.Hours, ok bool) {
	missed := func(off []int) (useful, comfort int) {
		for _, i := range off {
			if p.Loads[i].Rank == load.Comfort {
				comfort++
			} else {
				useful++
			}
		}
		return
	}
	// better tells whether a is missed less than b.
	better := func(a, b []int) bool {
		ua, ca := missed(a)
		ub, cb := missed(b)
		if ua != ub {
			return ua < ub
		}
		if ca != cb {
			return ca < cb
		}
		for _, comfort := range []bool{false, true} {
			for i, l := range p.Loads {
				if (l.Rank == load.Comfort) != comfort {
					continue
				}
				if x, y := slices.Contains(a, i), slices.Contains(b, i); x != y {
					return y
				}
			}
		}
		return false
	}
	for set := range uint(1) << len(loads) {
		var choice []int
		for rest := set; rest != 0; rest &= rest - 1 {
			choice = append(choice, loads[bits.TrailingZeros(rest)])
		}
		if ok && !better(choice, off) {
			continue
		}
		if h := countOn(without(p, choice)); h >= target {
			off, on, ok = choice, h, true
		}
	}
	return off, on, ok
}

// uneven gives the chances weights and charges of their own, as readings of the
// gauge do, and returns what is to be counted on then.
func uneven(r *rand.Rand, may odds.Chances) func(plan.Plan) units.Hours {
	total := 0.0
	for i := range may {
		may[i].Weight = r.Float64() * r.Float64()
		may[i].SOC *= 0.8 + 0.2*r.Float64()
		total += may[i].Weight
	}
	return func(p plan.Plan) units.Hours {
		rig, box := outage.NewRig(p), outage.NewRig(p).Box(p.Outage.SOC)
		longest := units.Hours(0)
		for _, c := range may {
			end, sooner := rig.Run(c.Case, outage.Horizon, nil).Empty, 0.0
			for _, other := range may {
				if rig.Run(other.Case, outage.Horizon, nil).Empty < end {
					sooner += other.Weight
				}
			}
			if sooner <= may.Spared() {
				longest = max(longest, end)
			}
		}
		return min(longest, box)
	}
}

func TestAgainstEveryChoice(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	// Of ten draws just one is spared, of eleven a little more than one.
	samplers := []*odds.Sampler{odds.NewSampler(10, odds.Seed), odds.NewSampler(11, odds.Seed)}
	seen := map[string]int{}
	for trial := range 1000 {
		s := samplers[trial%2]
		n := r.IntN(10)
		if trial%20 == 0 {
			n = 12
		}
		p := household(r, n)
		var rest, vital []int
		for i, l := range p.Loads {
			switch {
			case l.Off:
			case l.Rank == load.Vital:
				vital = append(vital, i)
			default:
				rest = append(rest, i)
			}
		}
		may := s.Chances(p)
		countOn := func(p plan.Plan) units.Hours { return s.Runtime(p).CountOn }
		if r.IntN(2) == 0 {
			countOn = uneven(r, may)
		}
		shortest := min(countOn(p), outage.Horizon)
		longest := min(countOn(without(p, slices.Concat(rest, vital))), 100)
		bare := min(countOn(without(p, rest)), 100)
		target := shortest + units.Hours(r.Float64()*1.1)*max(0, bare-shortest)
		switch {
		case r.IntN(4) == 0:
			target = bare + units.Hours(r.Float64())*max(0, longest-bare)
		case longest <= shortest:
			target = shortest + 1
		case r.IntN(4) == 0: // to the last bit what some choice lasts
			var some []int
			for _, i := range rest {
				if r.IntN(2) == 0 {
					some = append(some, i)
				}
			}
			if on := countOn(without(p, some)); on > shortest && on <= 100 {
				target = on
				seen["to the last bit"]++
			}
		}

		got := Until(p, may, target)
		if alone, some, _ := p.VitalAlone(); some && outage.NewRig(alone).NoneRuns() {
			if got.Reaches || got.CountOn != 0 {
				t.Fatalf("plan %d: got %+v, of what is vital nothing can run", trial, got)
			}
			seen["nothing vital can run"]++
			continue
		}
		off, on, ok := everyChoice(p, countOn, target, rest)
		if !got.Exact || got.Reaches != ok {
			t.Fatalf("plan %d: got %+v, want it to reach: %v", trial, got, ok)
		}
		if !ok {
			off, on = rest, countOn(without(p, rest))
			spared, _, helps := everyChoice(without(p, rest), countOn, target, vital)
			if !slices.Equal(got.Vital, spared) || helps != (got.Vital != nil) || got.Lacks <= 0 {
				t.Fatalf("plan %d: got %+v, want vital %v", trial, got, spared)
			}
			seen[fmt.Sprintf("short, vital helps: %v", helps)]++
		} else {
			seen[fmt.Sprintf("%d off", min(len(off), 3))]++
			if got.Lacks != 0 || got.Vital != nil {
				t.Fatalf("plan %d: got %+v, which reaches", trial, got)
			}
			if outage.NewRig(p).FirstUnmet().Any < target {
				seen["more than the inverter carries"]++
			}
		}
		if !slices.Equal(got.Off, off) || got.CountOn != on {
			t.Fatalf("plan %d of %d loads, until %v h: got %+v, want off %v, until %v h", trial, n, target, got, off, on)
		}
	}
	for _, what := range []string{"0 off", "1 off", "2 off", "3 off", "short, vital helps: true", "short, vital helps: false", "more than the inverter carries", "to the last bit"} {
		if seen[what] < 10 {
			t.Errorf("%s: seen %d times", what, seen[what])
		}
	}
	t.Log(seen)
}

// What is lacking is what makes up for it: as much sun, taken by the loads
// while they run, and a little less is not enough.
func TestLacks(t *testing.T) {
	p := plan.New("Test", plan.At(time.Date(2026, 1, 14, 12, 0, 0, 0, time.UTC)))
	p.Supply.Battery = battery.Battery{Chemistry: battery.LFP, Capacity: 500, Room: 20}
	p.Loads = []load.Load{{Name: "Breathing machine", Rank: load.Vital, Outlet: load.DC, Running: 40, Duty: 1, Basis: load.Measured}}
	s := odds.NewSampler(odds.Draws, odds.Seed)
	const target = 20
	a := Until(p, s.Chances(p), target)
	if a.Reaches || a.Lacks <= 0 || !slices.Equal(a.Vital, []int{0}) {
		t.Fatalf("got %+v", a)
	}
	for _, c := range []struct {
		share float64
		want  bool
	}{{1.001, true}, {0.999, false}} {
		sun := make([]units.Watts, 48)
		for i := range sun {
			sun[i] = units.Watts(float64(a.Lacks) * c.share / target)
		}
		rig, late, may := outage.NewRig(p), 0.0, s.Chances(p)
		for _, k := range may {
			k.Sun = sun
			if rig.Run(k.Case, target, nil).Empty < target {
				late += k.Weight
			}
		}
		if got := late <= may.Spared(); got != c.want {
			t.Errorf("%v of %v Wh: reaches %v, %v end too soon", c.share, a.Lacks, got, late)
		}
	}
}

// What a cold night holds back is lacking too, but only if it must be left: not
// before there is a night, and not for what is taken after it.
func TestLacksInTheCold(t *testing.T) {
	s := odds.NewSampler(odds.Draws, odds.Seed)
	lacks := func(p plan.Plan, target units.Hours) units.WattHours {
		t.Helper()
		a := Until(p, s.Chances(p), target)
		if a.Reaches || !slices.Equal(a.Vital, []int{0}) {
			t.Fatalf("until %v h: got %+v", target, a)
		}
		return a.Lacks
	}
	for _, c := range []struct {
		name           string
		starts         int
		capacity       units.WattHours
		target, before units.Hours // when it is needed
		counts         bool
	}{
		{"the night through", 18, 1000, 15, 15, true},
		{"into the night", 12, 1000, 14, 14, true},
		{"until after the night", 18, 1000, 17, 15, true},
		{"until long after the night", 18, 1000, 23, 23, false},
		{"by day", 9, 400, 9, 9, false},
		{"until the second night", 9, 1600, 36, 36, true},
	} {
		p := plan.New("Test", plan.At(time.Date(2026, 1, 14, c.starts, 0, 0, 0, time.UTC)))
		p.Supply.Battery = battery.Battery{Chemistry: battery.LFP, Capacity: c.capacity, Room: 15, Peukert: new(1.0)}
		p.Loads = []load.Load{{Name: "Breathing machine", Rank: load.Vital, Outlet: load.DC, Running: 50, Duty: 1, Basis: load.Measured}}
		warm := units.WattHours(0)
		if !c.counts {
			warm = lacks(p, c.target)
		}
		p.Supply.Battery.Night = new(-5.0)
		got := lacks(p, c.target)
		if !c.counts && math.Abs(float64(got-warm)) > 1e-9*float64(warm) {
			t.Errorf("%s: lacks %v Wh, and without the cold %v", c.name, got, warm)
		}
		for share, want := range map[float64]bool{1.001: true, 0.999: false} {
			sun := make([]units.Watts, c.starts+int(c.before))
			for i := c.starts; i < len(sun); i++ {
				sun[i] = units.Watts(float64(got) * share / float64(c.before))
			}
			rig, late, may := outage.NewRig(p), 0.0, s.Chances(p)
			for _, k := range may {
				k.Sun = sun
				if rig.Run(k.Case, c.target, nil).Empty < c.target {
					late += k.Weight
				}
			}
			if reaches := late <= may.Spared(); reaches != want {
				t.Errorf("%s: %v of %v Wh: reaches %v, %v end too soon", c.name, share, got, reaches, late)
			}
		}
	}
}

func TestUntilIsNotAskedForMore(t *testing.T) {
	s := odds.NewSampler(odds.Draws, odds.Seed)
	p := plantest.Cottage(t)
	for _, target := range []units.Hours{-1, 0, 1} {
		if a := Until(p, s.Chances(p), target); !a.Reaches || len(a.Off) > 0 {
			t.Errorf("%v h: %+v", target, a)
		}
	}
	before := slices.Clone(p.Loads)
	a := Until(p, s.Chances(p), 1e9)
	if a.Reaches || a.Lacks <= 0 || a.CountOn >= outage.Horizon {
		t.Errorf("for ever: %+v", a)
	}
	for i := range before {
		if p.Loads[i].Off != before[i].Off {
			t.Error("the plan was changed")
		}
	}
	p.Loads = nil
	if a := Until(p, s.Chances(p), 2000); !a.Reaches {
		t.Errorf("nothing to carry: %+v", a)
	}
}

// twenty loads with hours of their own, so many of them useful and the rest
// comfort.
func twenty(t testing.TB, useful int) plan.Plan {
	p := plantest.Cottage(t)
	p.Supply.Battery.Capacity = 1000
	p.Loads = nil
	for i := range 20 {
		from := load.Minute(60 * i)
		l := load.Load{
			Name: string(rune('A' + i)), Rank: load.Comfort, Outlet: load.AC, Running: units.Watts(10 + i), Duty: 0.5,
			PowerFactor: 0.9, Basis: load.Typical, Use: []load.Window{{From: from, To: (from + 600) % load.Day}},
		}
		if i < useful {
			l.Rank = load.Useful
		}
		p.Loads = append(p.Loads, l)
	}
	return p
}

// About half of the loads can stay on, which leaves most to choose from. The
// search stays a twenty-fifth of what it is broken off at, and so quick.
func TestTwentyLoads(t *testing.T) {
	s := odds.NewSampler(odds.Draws, odds.Seed)
	try := func(what string, p plan.Plan, target units.Hours) {
		t.Helper()
		q := newSearch(p, s.Chances(p), target, groupsOf(p))
		q.first()
		// The choice that is found alone takes a course of each draw.
		if q.work > workMost/25 || q.work < odds.Draws {
			t.Fatalf("%s, %v h: work %v", what, target, q.work)
		}
		if got := s.Runtime(without(p, q.off)).CountOn; got < target || got != q.on {
			t.Errorf("%s, until %v h: lasts %v, said %v", what, target, got, q.on)
		}
	}
	for _, useful := range []int{0, 10, 20} {
		for _, unused := range []bool{false, true} {
			for _, target := range []units.Hours{10, 14, 17, 20, 30} {
				p := twenty(t, useful)
				p.Supply.Inverter.OffWhenUnused = unused
				p.Supply.Inverter.Efficiency, p.Supply.Inverter.EfficiencyAtW = new(0.80), new(100.0)
				p.Supply.Inverter.Efficiency2, p.Supply.Inverter.Efficiency2AtW = new(0.90), new(600.0)
				try(fmt.Sprintf("%d useful, off when unused: %v", useful, unused), p, target)
			}
		}
	}
	// The inverter takes more by itself than any load, so all hangs on when it
	// may go off; two vital loads keep it on for part of the day.
	p := twenty(t, 0)
	p.Supply.Inverter.OffWhenUnused, p.Supply.Inverter.IdleW = true, new(40.0)
	p.Supply.Battery.Capacity *= 2
	p.Loads[10].Rank, p.Loads[19].Rank = load.Vital, load.Vital
	try("an inverter of 40 W", p, 20)
}

// A search that is broken off still reaches, and needs all it switches off.
func TestOneByOne(t *testing.T) {
	r, s := rand.New(rand.NewPCG(3, 4)), odds.NewSampler(31, odds.Seed)
	for range 50 {
		p := household(r, 12)
		p.Supply.Inverter.Continuous = 20000
		all := slices.Concat(groupsOf(p)...)
		target := min(s.Runtime(without(p, all)).CountOn, 30)
		off, on := oneByOne(p, s.Chances(p), target, all)
		if got := s.Runtime(without(p, off)).CountOn; got != on || on < target {
			t.Fatalf("until %v h: lasts %v, said %v", target, got, on)
		}
		for n := range off {
			if s.Runtime(without(p, slices.Delete(slices.Clone(off), n, n+1))).CountOn >= target {
				t.Fatalf("%v: load %d is not needed off", off, off[n])
			}
		}
	}
}

func groupsOf(p plan.Plan) [][]int {
	groups := make([][]int, 2)
	for i, l := range p.Loads {
		if !l.Off && l.Rank != load.Vital {
			groups[l.Rank.Order()-1] = append(groups[l.Rank.Order()-1], i)
		}
	}
	return groups
}

func BenchmarkUntil(b *testing.B) {
	p, s := twenty(b, 10), odds.NewSampler(odds.Draws, odds.Seed)
	for b.Loop() {
		Until(p, s.Chances(p), 17)
	}
}
