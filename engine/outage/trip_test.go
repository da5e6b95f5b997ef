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
	"candleclock/engine/start"
	"candleclock/engine/units"
)

// motors is a plan of things that start hard and go on and off by themselves, or by
// the clock, on an inverter that just carries them by what is told, and a case.
func motors(random *rand.Rand, cycling bool) (plan.Plan, Case) {
	between := func(low, high float64) float64 { return low + (high-low)*random.Float64() }
	p := plan.New("Test", plan.Moment{})
	p.Outage.Starts, _ = plan.ParseMoment(fmt.Sprintf("2026-01-14T%02d:%02d", random.IntN(24), random.IntN(60)))
	p.Supply.Battery = lossless(1e6).Battery
	c := AsPlanned(1)
	watts, va, starts := 0.0, 0.0, 0.0
	for i := range 1 + random.IntN(6) {
		l := load.Load{Name: fmt.Sprint("Thing ", i), Rank: load.Rank(load.Ranks[random.IntN(3)]), Outlet: load.AC, Count: 1 + random.IntN(2),
			Running: units.Watts(between(20, 300)), Duty: 1, PowerFactor: between(0.5, 0.99)}
		if random.IntN(3) > 0 {
			l.Starting = l.Running * units.Watts(between(1, 6))
		}
		if random.IntN(2) == 0 {
			l.Use = []load.Window{{From: load.Minute(random.IntN(1440)), To: load.Minute(random.IntN(1440))}}
		}
		if cycling && random.IntN(2) == 0 {
			l.CyclesItself, l.Duty, l.Cycle = true, between(0.1, 0.9), between(10, 60)
			l.Starting = max(l.Starting, l.Running) // told
		}
		watts, va = watts+float64(l.Peak()), va+float64(l.Apparent())
		starts = max(starts, float64(l.Apparent()+l.ExcessVA()))
		p.Loads = append(p.Loads, l)
		duty := 1.0 // runs longer or shorter than told: no matter of what it draws while it runs
		if l.CyclesItself {
			duty = between(0.7, 1.4)
		}
		c.Draw, c.Duty, c.Phase = append(c.Draw, between(0.6, 1.3)*duty), append(c.Duty, duty), append(c.Phase, random.Float64())
	}
	p.Loads = append(p.Loads, steady("Radio", load.Vital, 5))
	c.Draw, c.Duty, c.Phase = append(c.Draw, 1), append(c.Duty, 1), append(c.Phase, 0)
	for i := range p.Loads { // whatever else is asked, each may be had alone
		p.Loads[i].Basis = load.Typical
	}
	p.Supply.Inverter = inverter.Inverter{Continuous: units.Watts(watts * between(1, 1.6)), ContinuousVA: new(va * between(1, 1.6)),
		SurgeW: new(max(va, starts) / 0.9 * between(1, 1.7))}
	return p, c
}

// byMinutes is when an inverter trips, told by looking at every minute of the clock
// and by nothing of the engine: what is on, by the plan's hours and each thing's own
// cycle; what has just come on starts, the hardest first, beside what was on before.
func byMinutes(p plan.Plan, c Case, hours int) float64 {
	v := p.Supply.Inverter
	watts, va := 0.9*float64(v.Continuous), 0.9**v.ContinuousVA
	surge, surgeVA := 0.9**v.SurgeW, max(0.9**v.SurgeW, va)
	was := make([]bool, len(p.Loads))
	for m := range hours * 60 {
		at := load.Minute((int(p.Outage.Starts.Minute()) + m) % 1440)
		var fresh []int
		on, onVA := 0.0, 0.0
		is := make([]bool, len(p.Loads))
		for i, l := range p.Loads {
			if l.Outlet != load.AC || !l.OnAt(at) {
				continue
			}
			if l.CyclesItself {
				turn := c.Phase[i] + float64(m)/l.Cycle
				if turn-math.Floor(turn) >= l.Duty {
					continue
				}
			}
			is[i] = true
			if !was[i] {
				fresh = append(fresh, i)
				continue
			}
			w := float64(l.Running) * float64(l.Count) * c.Draw[i] / c.Duty[i]
			on, onVA = on+w, onVA+w/l.PowerFactor
		}
		slices.SortStableFunc(fresh, func(a, b int) int {
			excess := func(i int) float64 { return float64(max(0, p.Loads[i].Starting-p.Loads[i].Running)) }
			return int(math.Copysign(1, excess(b)-excess(a)))
		})
		for _, i := range fresh {
			l := p.Loads[i]
			one := float64(l.Running) * c.Draw[i] / c.Duty[i]
			for range l.Count {
				first := max(one, float64(l.Starting))
				if on+first > surge || onVA+first/l.PowerFactor > surgeVA {
					return float64(m) / 60
				}
				on, onVA = on+one, onVA+one/l.PowerFactor
			}
		}
		if on > watts || onVA > va {
			return float64(m) / 60
		}
		was = is
	}
	return math.Inf(1)
}

// Whatever minute the things really go on and off by themselves, the inverter trips
// no later than a minute-by-minute look tells; where none does, in the very minute.
func TestTripsAgainstMinutes(t *testing.T) {
	const hours = 30
	tripped, held, later := 0, 0, 0
	for seed := range uint64(2000) {
		cycling := seed%2 == 0
		p, c := motors(rand.New(rand.NewPCG(seed, 7)), cycling)
		limit := p.Supply.Inverter.Limits()
		if slices.ContainsFunc(p.Loads, func(l load.Load) bool { why, _ := start.Alone(l, limit); return why != "" }) {
			t.Fatalf("seed %d: something can't be had alone", seed)
		}
		rig := NewRig(p)
		got, want := float64(rig.Trips(c, hours)), byMinutes(p, c, hours)
		whole := rig.Through(c, hours, nil)
		if float64(whole.Tripped) != got {
			t.Fatalf("seed %d: Through trips at %v h, Trips says %v", seed, whole.Tripped, got)
		}
		switch {
		case got > want, !cycling && math.Abs(got-want) > 1e-9 && got != want:
			t.Fatalf("seed %d: trips at %v h, by minutes at %v", seed, got, want)
		case math.IsInf(want, 1):
			held++
		case got < want:
			later++
		default:
			tripped++
		}
	}
	if tripped < 300 || held < 300 || later < 20 {
		t.Errorf("%d trip, %d hold, %d trip later: the test says too little", tripped, held, later)
	}
}

// From the trip on all AC is without and 12 V is not; the charge goes on as if it
// had held, so that a trip makes nothing last longer.
func TestAfterATrip(t *testing.T) {
	fan := load.Load{Name: "Fan", Rank: load.Vital, Outlet: load.AC, Count: 1, Running: 60, Duty: 1, PowerFactor: 1}
	saw := load.Load{Name: "Saw", Rank: load.Comfort, Outlet: load.AC, Count: 1, Running: 30, Starting: 41, Duty: 1, PowerFactor: 1, Use: window(t, "15:00", "16:00")}
	for _, c := range []struct {
		name    string
		surge   float64
		trips   float64
		without [3]float64 // of fan, saw, radio
	}{
		{"holds", 113, math.Inf(1), [3]float64{0, 0, 4}},
		{"the saw's start", 112, 3, [3]float64{13, 1, 4}}, // 60 + 41 W, with a tenth to spare
	} {
		s := lossless(60*12 + 30 + 5*12)
		s.Inverter = inverter.Inverter{Continuous: 110, SurgeW: &c.surge, IdleW: new(0.0), Efficiency: new(1.0)}
		p := household(t, s, fan, saw, steady("Radio", load.Useful, 5))
		p.Outage.Starts = clock(t, "12:00")
		rig := NewRig(p)
		plain := rig.Run(AsPlanned(1), 16, nil)
		if math.Abs(float64(plain.Empty)-12) > 1e-9 {
			t.Fatalf("%s: empty at %v h", c.name, plain.Empty)
		}
		var after []Step
		o := rig.Through(AsPlanned(1), 16, func(s Step) {
			if float64(s.From) >= c.trips {
				after = append(after, s)
			}
		})
		if c.trips > 16 {
			c.without[0], c.without[1] = 4, 0
		}
		if float64(o.Tripped) != c.trips || o.Empty != plain.Empty {
			t.Errorf("%s: tripped at %v h, empty at %v", c.name, o.Tripped, o.Empty)
		}
		for i, want := range c.without {
			if math.Abs(float64(o.Without[i])-want) > 1e-9 {
				t.Errorf("%s: %s is without for %v h, want %v", c.name, p.Loads[i].Name, o.Without[i], want)
			}
		}
		if want := min(c.trips, 12); math.Abs(float64(o.VitalOut)-want) > 1e-9 || math.Abs(float64(o.AnyOut)-want) > 1e-9 {
			t.Errorf("%s: vital out at %v h, any at %v, want %v", c.name, o.VitalOut, o.AnyOut, want)
		}
		for _, s := range after {
			if !slices.Contains(s.CannotRun, 0) || slices.Contains(s.Running, 0) || slices.Contains(s.Running, 2) == s.Off {
				t.Errorf("%s: after the trip %+v", c.name, s)
			}
		}
	}
}

// A start that is told and too hard is never on, for the hours and for the odds. One
// that is only guessed, or an inverter that is, counts for the hours and not for the
// odds, and what it may draw is counted in both.
func TestWhatCannotStart(t *testing.T) {
	thing := load.Load{Name: "Own", Rank: load.Vital, Outlet: load.AC, Count: 1, Running: 100, Duty: 1, PowerFactor: 0.8}
	lamp := load.Load{Name: "Lamp", Rank: load.Useful, Outlet: load.AC, Count: 1, Running: 100, Duty: 1, PowerFactor: 1}
	told, guess := thing, thing
	told.Starting, guess.CyclesItself = 500, true
	for _, c := range []struct {
		name       string
		load       load.Load
		continuous units.Watts // of a surge of 600 W
		empty      float64
		without    float64
	}{
		{"told", told, 300, 10, 10},    // 625 VA of 540: the lamp alone
		{"guessed", guess, 300, 5, 10}, // 5 × 100 W likewise
		{"of an inverter that is not known", told, 0, 5, 10},
		{"heats", func() load.Load { l := guess; l.PowerFactor = 1; return l }(), 300, 5, 5},
	} {
		s := lossless(1000)
		s.Inverter = inverter.Inverter{Continuous: c.continuous, SurgeW: new(600.0), IdleW: new(0.0), Efficiency: new(1.0)}
		p := household(t, s, c.load, lamp)
		rig := NewRig(p)
		run, whole := rig.Run(AsPlanned(1), 10, nil), rig.Through(AsPlanned(1), 10, nil)
		empty := func(o Outcome) float64 { return min(float64(o.Empty), 10) }
		if got := empty(run); math.Abs(got-c.empty) > 1e-6 {
			t.Errorf("%s: empty at %v h, want %v", c.name, got, c.empty)
		}
		if got := empty(whole.Outcome); math.Abs(got-c.empty) > 1e-6 {
			t.Errorf("%s: through: empty at %v h, want %v", c.name, got, c.empty)
		}
		if got := float64(whole.Without[0]); math.Abs(got-c.without) > 1e-6 || !math.IsInf(float64(whole.Tripped), 1) {
			t.Errorf("%s: without for %v h, want %v; trips at %v", c.name, got, c.without, whole.Tripped)
		}
		if got, want := float64(whole.Without[1]), 10-c.empty; math.Abs(got-want) > 1e-6 {
			t.Errorf("%s: the lamp is without for %v h, want %v", c.name, got, want)
		}
	}
}
