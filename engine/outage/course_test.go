package outage

import (
	"math"
	"slices"
	"testing"

	"candleclock/engine/battery"
	"candleclock/engine/charge"
	"candleclock/engine/inverter"
	"candleclock/engine/load"
	"candleclock/engine/plan"
	"candleclock/engine/units"

	"pgregory.net/rapid"
)

// What was there at the start is left, or went somewhere, to 1e-9 of it.
func TestEnergyCloses(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := anyPlan(t)
		until := units.Hours(rapid.Float64Range(0, float64(Horizon)).Draw(t, "until"))
		b := NewRig(p).Run(anyCase(t, p), until, nil).Balance
		if gap := math.Abs(b.Gap()); !(gap <= 1e-9*float64(b.Start)) {
			t.Fatalf("%g Wh of %v are unexplained: %+v", gap, b.Start, b)
		}
		for _, part := range []units.WattHours{b.Start, b.Left, b.ToLoads, b.Conversion, b.Idle, b.Rate, b.SelfDrain} {
			if !(part >= 0) {
				t.Fatalf("a part below zero: %+v", b)
			}
		}
	})
}

func TestStoreAddsUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := anyPlan(t)
		s := NewRig(p).Run(anyCase(t, p), 1, nil).Battery
		if sum := s.Age + s.Cut + s.Cold + s.Usable; !(math.Abs(float64(sum-s.Rated)) <= 1e-9*float64(s.Rated)) {
			t.Fatalf("%+v sums to %v", s, sum)
		}
	})
}

// The steps follow one another without a gap in time or energy, none of them
// holds a schedule's edge inside, and they say what Run answers.
func TestStepsTile(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := anyPlan(t)
		until := units.Hours(rapid.Float64Range(0, 200).Draw(t, "until"))
		r := NewRig(p)
		var steps []Step
		out := r.Run(anyCase(t, p), until, func(s Step) { steps = append(steps, s) })
		at, left := units.Hours(0), out.Balance.Start
		for _, s := range steps {
			if math.Abs(float64(s.From-at)) > 1e-9 || s.LeftFrom != left {
				t.Fatalf("a step from %v with %v left follows one to %v with %v", s.From, s.LeftFrom, at, left)
			}
			if s.To < s.From || s.LeftTo > s.LeftFrom || s.LeftTo < 0 {
				t.Fatalf("a step runs backwards: %+v", s)
			}
			for i, l := range p.Loads {
				first := load.Minute(math.Floor(math.Mod(float64(p.Outage.Starts.Minute())+float64(s.From)*60+1e-6, 1440)))
				due := !l.Off && l.OnAt(first)
				for k := 1.0; k < float64(s.To-s.From)*60-1e-6; k++ {
					if m := (first + load.Minute(k)) % load.Day; !l.Off && l.OnAt(m) != due {
						t.Fatalf("load %d changes at %v inside %+v", i, m, s)
					}
				}
				if in := slices.Contains(s.Running, i) || slices.Contains(s.CannotRun, i); in != due {
					t.Fatalf("load %d is due: %v, in the step: %v; %+v", i, due, in, s)
				}
			}
			at, left = s.To, s.LeftTo
		}
		if end := min(out.Empty, until); math.Abs(float64(at-end)) > 1e-9 {
			t.Fatalf("the steps end at %v, the course at %v", at, end)
		}
		if left != out.Balance.Left {
			t.Fatalf("the steps leave %v, the course %v", left, out.Balance.Left)
		}
	})
}

// unswung is a plan in which the rate's loss is that of averages: where nothing
// cycles by itself on what is drawn by Peukert's law.
func unswung(p plan.Plan) plan.Plan {
	if b := p.Supply.Battery; b.Chemistry.Lead() || b.Peukert != nil {
		for i := range p.Loads {
			p.Loads[i].CyclesItself = false
		}
	}
	return p
}

// waits is by how much more an inverter draws by itself where its losses are doubted
// more than its idle draw is: by as much, from the lower of its points on.
func waits(v inverter.Inverter, ac float64, c Case) float64 {
	at := v.Point().At
	if v.Efficiency2 != nil && v.Efficiency2AtW != nil {
		at = min(at, units.Watts(*v.Efficiency2AtW))
	}
	return float64(v.Idle()) * max(0, c.Loss-c.Idle) * min(1, ac/float64(at))
}

// bySeconds is the course found by looking at every second: what is due by the
// clock, what the inverter carries of it, what that costs, what the sun brings,
// what the battery takes of it, what is left. empty is +Inf when it is beyond
// the hours given; left is told at each minute before.
func bySeconds(p plan.Plan, c Case, hours float64) (empty float64, left []float64) {
	b := p.Supply.Battery
	b.Capacity *= units.WattHours(c.Capacity)
	b.Room += c.Warmer
	if b.Health == nil {
		b.Health = new(max(0.05, 1-(1-b.StateOfHealth())*c.Ageing))
	}
	m := b.Model()
	keptBack := float64(m.Cut) / float64(m.Aged)
	wh := float64(m.Usable) * max(0, c.SOC-keptBack) / (1 - keptBack)
	pack := charge.Pack{Capacity: m.Usable, Efficiency: m.ChargeEfficiency, Taper: charge.Lithium, MayCharge: m.MayCharge}
	if b.Chemistry.Lead() {
		pack.Taper = charge.Lead
	}

	inv := p.Supply.UsualInverter()
	curve, limits := inv.Curve(), inv.Limits()
	anyAC := slices.ContainsFunc(p.Loads, func(l load.Load) bool { return !l.Off && l.Outlet == load.AC })
	begin := int(p.Outage.Starts.Minute()) * 60
	power, asked, spare, sun := 0.0, 0.0, 0.0, 0.0 // W
	// What goes on and off by itself makes up for what it missed: seconds of running.
	missed, on, busy := make([]float64, len(p.Loads)), make([]bool, len(p.Loads)), make([]bool, len(p.Loads))
	for second := 0; second < int(hours*3600); second++ {
		changed := false
		for i, l := range p.Loads {
			if !l.CyclesItself || l.Duty >= 1 || l.Daily > 0 {
				continue
			}
			if missed[i] = missed[i] + l.Duty; on[i] && busy[i] {
				missed[i]--
			} else if on[i] {
				missed[i] = 0
			}
			if was := busy[i]; was != (missed[i] > 0.5) {
				busy[i], changed = !was, true
			}
		}
		if clock := begin + second; clock%60 == 0 || changed { // schedules change on the minute, the sun on the hour
			clear(on)
			ac, dc := 0.0, 0.0
			var watts units.Watts
			var va units.VoltAmps
			inverterOn := anyAC && !inv.OffWhenUnused
			for _, rank := range load.Ranks {
				for i, l := range p.Loads {
					if string(l.Rank) != rank || l.Off || !l.OnAt(load.Minute(clock/60%1440)) {
						continue
					}
					draw := float64(l.Steady()) * c.Draw[i]
					if busy[i] {
						draw = float64(l.Peak()) * c.Draw[i]
					}
					if l.Outlet != load.AC {
						dc += draw
						on[i] = true
						continue
					}
					if watts+l.Peak() <= limits.Continuous && va+l.Apparent() <= limits.ContinuousVA {
						watts, va = watts+l.Peak(), va+l.Apparent()
						ac += draw
						inverterOn, on[i] = true, true
					}
				}
			}
			power = dc + dc*(1/p.Supply.DCEfficiency-1)*c.Loss
			if inverterOn {
				idle := float64(curve.Idle())
				power += idle*c.Idle + ac + (float64(curve.DC(units.Watts(ac)))-idle-ac)*c.Loss + waits(inv, ac, c)
			}
			if sun = 0; clock/3600 < len(c.Sun) {
				sun = float64(c.Sun[clock/3600])
			}
			asked, spare = max(0, power-sun), max(0, sun-power)
			if asked > 0 {
				asked /= m.RateFactor(units.Watts(asked))
			}
			if clock%60 == 0 {
				left = append(left, wh)
			}
		}
		wh -= (asked + float64(m.Drain)) / 3600
		if spare > 0 {
			wh = max(0, wh)
			if full := float64(pack.Capacity); full > 0 {
				wh = min(full, wh+float64(pack.Takes(units.Watts(spare), wh/full))*pack.Efficiency/3600)
			}
		} else if wh <= 0 {
			return float64(second+1) / 3600, left
		}
	}
	return math.Inf(1), left
}

// The exact course agrees with the second-by-second one to 0.1 %, or to the
// two seconds that stepping can be off.
func TestRunAgainstSeconds(t *testing.T) {
	const longest = 150.0 // hours: half a million steps
	met := 0
	rapid.Check(t, func(t *rapid.T) {
		p := unswung(anyPlan(t))
		c := anyCase(t, p)
		got := float64(NewRig(p).Run(c, longest, nil).Empty)
		want, _ := bySeconds(p, c, longest)
		if math.IsInf(got, 1) != math.IsInf(want, 1) && min(got, want) < longest*0.999 {
			t.Fatalf("got %v h, by seconds %v h", got, want)
		}
		if !math.IsInf(got, 1) && !math.IsInf(want, 1) {
			met++
			if math.Abs(got-want) > max(0.001*want, 2.0/3600) {
				t.Fatalf("got %v h, by seconds %v h", got, want)
			}
		}
	})
	if met < 20 {
		t.Errorf("only %d of the plans ended: the test says too little", met)
	}
}

func TestRuleOfThumbWithoutLosses(t *testing.T) {
	for _, c := range []struct {
		capacity units.WattHours
		running  units.Watts
		outlet   load.Outlet
		want     units.Hours
	}{
		{1000, 100, load.AC, 10},
		{1000, 40, load.DC, 25},
		{512, 64, load.USB, 8},
		{1, 4, load.AC, 0.25},
		{5000, 2.5, load.DC, 2000},
	} {
		p := household(t, lossless(c.capacity), load.Load{Name: "Lamp", Running: c.running, Outlet: c.outlet, Duty: 1, PowerFactor: 1})
		r := NewRig(p)
		got := r.Run(AsPlanned(1), Horizon, nil)
		const tolerance = 1e-12 // relative: rounding only
		if math.Abs(float64(got.Empty/c.want)-1) > tolerance || math.Abs(float64(r.Box(1)/c.want)-1) > tolerance {
			t.Errorf("%v Wh at %v W: got %v, box %v, want %v h", c.capacity, c.running, got.Empty, r.Box(1), c.want)
		}
		if math.Abs(float64(got.Balance.ToLoads-c.capacity)) > tolerance*float64(c.capacity) {
			t.Errorf("%v Wh reach the loads, want all %v", got.Balance.ToLoads, c.capacity)
		}
	}
}

// Common practice: a 1,500 Wh lithium station carries 750 W for 1.5 to 2.5 h.
// One of which nothing but the capacity and the inverter's power is known is
// taken to be worse than most, yet stays within it.
func TestLithiumStationUnderHeavyLoad(t *testing.T) {
	for _, c := range []struct {
		name string
		plan.Supply
		least units.Hours
	}{
		{"lfp", plan.Supply{Battery: battery.Battery{Chemistry: battery.LFP, Capacity: 1500, Room: 20, AgeYears: 1, Cutoff: new(0.05)},
			Inverter: inverter.Inverter{Continuous: 1500, IdleW: new(15.0), Efficiency: new(0.88)}, DCEfficiency: 0.9}, 1.5},
		{"nmc", plan.Supply{Battery: battery.Battery{Chemistry: battery.NMC, Capacity: 1500, Room: 20, AgeYears: 1, Cutoff: new(0.05)},
			Inverter: inverter.Inverter{Continuous: 1500, IdleW: new(15.0), Efficiency: new(0.9)}, DCEfficiency: 0.9}, 1.5},
		{"nothing known", plan.Supply{Battery: battery.Battery{Chemistry: battery.LFP, Capacity: 1500, Room: 20},
			Inverter: inverter.Inverter{Continuous: 1500}, DCEfficiency: 0.9}, 1.5},
	} {
		p := household(t, c.Supply, load.Load{Name: "Heater", Running: 750, Outlet: load.AC, Duty: 1, PowerFactor: 1})
		r := NewRig(p)
		got := r.Run(AsPlanned(1), Horizon, nil).Empty
		if got < c.least || got > 2.5 || got >= r.Box(1) {
			t.Errorf("%s: got %v h, want %v to 2.5 and less than the box's %v", c.name, got, c.least, r.Box(1))
		}
	}
}

func TestScheduleAcrossMidnight(t *testing.T) {
	// 100 W from 22:00 to 02:00: four hours a night.
	night := load.Load{Name: "Machine", Running: 100, Outlet: load.DC, Duty: 1, PowerFactor: 1, Use: window(t, "22:00", "02:00")}
	for _, c := range []struct {
		starts   string
		capacity units.WattHours
		want     units.Hours
	}{
		{"12:00", 100, 11}, // at 23:00
		{"12:00", 200, 12}, // at midnight, exactly
		{"12:00", 250, 12.5},
		{"12:00", 400, 14}, // at 02:00, as the first night's use ends
		{"12:00", 500, 35}, // one hour into the second night
		{"22:00", 100, 1},  // starting on the edge
		{"21:59", 100, 1 + 1.0/60},
		{"01:30", 50, 0.5}, // within the window, after midnight
		{"01:30", 100, 21}, // half an hour, then from 22:00
		{"02:00", 100, 21}, // starting as it closes
		{"00:00", 300, 23}, // two hours, then from 22:00
		{"23:59", 100, 1},
	} {
		p := household(t, lossless(c.capacity), night)
		p.Outage.Starts = clock(t, c.starts)
		r := NewRig(p)
		const tolerance = 1e-9 // h
		for what, got := range map[string]units.Hours{"Empty": r.Run(AsPlanned(1), Horizon, nil).Empty, "Box": r.Box(1)} {
			if math.Abs(float64(got-c.want)) > tolerance {
				t.Errorf("from %s, %v Wh: %s got %v, want %v h", c.starts, c.capacity, what, got, c.want)
			}
		}
	}
}

func TestRunStopsAtTheHoursAsked(t *testing.T) {
	p := household(t, lossless(1000), load.Load{Name: "Lamp", Running: 100, Outlet: load.DC, Duty: 1, PowerFactor: 1})
	r := NewRig(p)
	for _, c := range []struct{ until, want, left float64 }{
		{4, math.Inf(1), 600},
		{4.123, math.Inf(1), 587.7},
		{10, 10, 0},
		{11, 10, 0},
		{0, math.Inf(1), 1000},
	} {
		got := r.Run(AsPlanned(1), units.Hours(c.until), nil)
		if float64(got.Empty) != c.want || math.Abs(float64(got.Balance.Left)-c.left) > 1e-9 {
			t.Errorf("until %v: empty %v, left %v, want %v, %v", c.until, got.Empty, got.Balance.Left, c.want, c.left)
		}
	}
}

func TestNothingLeftAtTheStart(t *testing.T) {
	for name, p := range map[string]plan.Plan{
		"nothing plugged in": household(t, lossless(1000)),
		"due later": household(t, lossless(1000),
			load.Load{Name: "Lamp", Running: 10, Outlet: load.DC, Duty: 1, PowerFactor: 1, Use: window(t, "20:00", "22:00")}),
	} {
		r := NewRig(p)
		if out := r.Run(AsPlanned(0), Horizon, nil); out.Empty != 0 || r.Box(0) != 0 {
			t.Errorf("%s: got %v, box %v, want 0", name, out.Empty, r.Box(0))
		}
	}
	p := household(t, lossless(1000), load.Load{Name: "Lamp", Running: 10, Outlet: load.DC})
	p.Supply.Battery.Cutoff = new(0.2)
	if out := NewRig(p).Run(AsPlanned(0.2), Horizon, nil); out.Empty != 0 {
		t.Errorf("at the cut-off: got %v, want 0", out.Empty)
	}
	// Half of what is above the cut-off: 400 Wh at 10 W.
	if out := NewRig(p).Run(AsPlanned(0.6), Horizon, nil); math.Abs(float64(out.Empty)-40) > 1e-9 {
		t.Errorf("half way above the cut-off: got %v, want 40", out.Empty)
	}
}

// What the box would carry beyond the horizon is not told, at whatever time of
// day it ends.
func TestBoxEndsAtTheHorizon(t *testing.T) {
	for hours, want := range map[units.Hours]units.Hours{2155: 2155, 2160: 2160, 2160.5: units.Hours(math.Inf(1)), 2165: units.Hours(math.Inf(1))} {
		p := household(t, lossless(units.WattHours(hours)*10), steady("Mask", load.Vital, 10))
		if got := NewRig(p).Box(1); math.Abs(float64(got-want)) > 1e-9 && got != want {
			t.Errorf("%v h at 10 W: got %v", hours, got)
		}
	}
}

func TestNothingPluggedInLasts(t *testing.T) {
	r := NewRig(household(t, lossless(1)))
	if out := r.Run(AsPlanned(1), Horizon, nil); !math.IsInf(float64(out.Empty), 1) || out.Balance.Left != 1 {
		t.Errorf("got %v with %v left, want beyond the horizon with 1", out.Empty, out.Balance.Left)
	}
	if got := r.Box(1); !math.IsInf(float64(got), 1) {
		t.Errorf("box: got %v", got)
	}
}

// The circumstances never help by being worse.
func TestWorseNeverLasts(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := anyPlan(t)
		c := anyCase(t, p)
		worse := c
		share := rapid.Float64Range(0, 1).Draw(t, "share")
		what := rapid.SampledFrom([]string{"capacity", "ageing", "idle", "cold", "charge"}).Draw(t, "what")
		switch what {
		case "capacity":
			worse.Capacity *= 1 - 0.5*share
		case "ageing":
			worse.Ageing += share
		case "idle":
			worse.Idle += share
		case "cold":
			worse.Warmer -= units.Celsius(20 * share)
		case "charge":
			worse.SOC *= share
		}
		r := NewRig(p)
		got, want := r.Run(worse, Horizon, nil).Empty, r.Run(c, Horizon, nil).Empty
		const rounding = 1 + 1e-9
		if got > want*rounding {
			t.Fatalf("worse %s lasts %v h, better %v h", what, got, want)
		}
	})
}
