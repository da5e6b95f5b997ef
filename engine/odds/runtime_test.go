package odds

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"candleclock/engine/battery"
	"candleclock/engine/inverter"
	"candleclock/engine/load"
	"candleclock/engine/outage"
	"candleclock/engine/plan"
	"candleclock/engine/plan/plantest"
	"candleclock/engine/units"

	"pgregory.net/rapid"
)

// better returns the plan with one thing better, and what.
func better(t *rapid.T, p plan.Plan) (plan.Plan, string) {
	p.Loads = slices.Clone(p.Loads)
	share := rapid.Float64Range(0, 1).Draw(t, "share")
	what := rapid.SampledFrom([]string{"a larger battery", "fewer watts", "a load off", "warmer", "younger", "fewer cycles", "fuller"}).Draw(t, "what")
	switch what {
	case "a larger battery":
		p.Supply.Battery.Capacity *= units.WattHours(1 + 2*share)
	case "fewer watts", "a load off":
		if len(p.Loads) == 0 {
			break
		}
		l := &p.Loads[rapid.IntRange(0, len(p.Loads)-1).Draw(t, "load")]
		if what == "a load off" {
			l.Off = true
			break
		}
		l.Running *= units.Watts(share)
		if l.Daily > 0 {
			l.Daily *= units.WattHours(max(share, 1e-6))
		}
	case "warmer":
		p.Supply.Battery.Room += units.Celsius(30 * share)
	case "younger":
		p.Supply.Battery.AgeYears *= share
	case "fewer cycles":
		p.Supply.Battery.Cycles *= share
	case "fuller":
		p.Outage.SOC += (1 - p.Outage.SOC) * share
	}
	return p, what
}

// Each draw gives a thing the same circumstances whatever else the plan holds,
// so what is better lasts no shorter in every single draw, and neither do the
// quantiles: Count on doesn't wiggle. Rounding alone is allowed for.
func TestBetterNeverLastsShorter(t *testing.T) {
	s := NewSampler(63, Seed)
	rapid.Check(t, func(t *rapid.T) {
		p := anyPlan(t)
		if b := p.Supply.Battery; b.Chemistry.Lead() || b.Peukert != nil {
			for i := range p.Loads { // what cycles takes by a share more that hangs on the others a little
				p.Loads[i].CyclesItself = false
			}
		}
		q, what := better(t, p)
		worse, than := s.Runtime(p), s.Runtime(q)
		const rounding = 1 - 1e-9
		for name, pair := range map[string][2]units.Hours{
			"Box":     {worse.Box, than.Box},
			"Likely":  {worse.Likely, than.Likely},
			"CountOn": {worse.CountOn, than.CountOn},
			"AtBest":  {worse.AtBest, than.AtBest},
		} {
			if pair[1] < pair[0]*rounding {
				t.Fatalf("%s: %s fell from %v to %v h", what, name, pair[0], pair[1])
			}
		}
	})
}

func TestFiguresAreOrdered(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := anyPlan(t)
		n := rapid.IntRange(1, 40).Draw(t, "draws")
		r := NewSampler(n, rapid.Uint64().Draw(t, "seed")).Runtime(p)
		if !(0 <= r.CountOn && r.CountOn <= r.Likely && r.Likely <= r.Box && r.Likely <= r.AtBest) {
			t.Fatalf("count on %v, likely %v, at best %v, box %v", r.CountOn, r.Likely, r.AtBest, r.Box)
		}
		if len(r.Ends) != n || !slices.IsSorted(r.Ends) {
			t.Fatalf("%d ends, sorted: %v", len(r.Ends), slices.IsSorted(r.Ends))
		}
		if r.Lasts(r.CountOn) < 0.9 || r.Lasts(r.Likely) < 0.5 {
			t.Fatalf("of %d draws %v last for count on, %v for likely", n, r.Lasts(r.CountOn), r.Lasts(r.Likely))
		}
	})
}

// Of an even number of draws the shorter middle one is likely, not the longer.
func TestLikelyOfEvenDraws(t *testing.T) {
	r := NewSampler(2, Seed).Runtime(certain(1000, 8))
	if r.Ends[0] == r.Ends[1] || r.Likely != r.Ends[0] {
		t.Errorf("likely %v of the ends %v", r.Likely, r.Ends)
	}
}

// Of one steady load whose draw is known, the ends are those of capacity ÷
// draw: at each quantile of the strata the capacity's own quantile.
func TestEndsOfOneSteadyLoad(t *testing.T) {
	const n = 511
	got := NewSampler(n, Seed).Runtime(certain(1000, 8))
	for i, end := range got.Ends {
		want := units.Hours(1000 * capacity.at((float64(i)+0.5)/n) / 8)
		if math.Abs(float64(end/want)-1) > 1e-12 { // rounding
			t.Fatalf("draw %d: got %v, want %v h", i, end, want)
		}
	}
	// The triangle from 0.90 by 0.97 to 1: its median is
	// 0.90 + √(½·0.10·0.07), its 10th percentile 0.90 + √(0.1·0.10·0.07).
	for _, c := range []struct {
		what      string
		got, want float64
	}{
		{"likely", float64(got.Likely), 125 * (0.90 + math.Sqrt(0.5*0.10*0.07))},
		{"count on", float64(got.CountOn), 125 * (0.90 + math.Sqrt(0.1*0.10*0.07))},
		{"box", float64(got.Box), 125},
	} {
		const tolerance = 125 * 0.001 // a stratum is a 511th wide
		if math.Abs(c.got-c.want) > tolerance {
			t.Errorf("%s: got %v, want %v h", c.what, c.got, c.want)
		}
	}
}

// triangle is the chance of at most x in the triangular distribution.
func triangle(low, mode, high, x float64) float64 {
	switch {
	case x <= low:
		return 0
	case x >= high:
		return 1
	case x < mode:
		return (x - low) * (x - low) / (high - low) / (mode - low)
	}
	return 1 - (high-x)*(high-x)/(high-low)/(high-mode)
}

// With the draw uncertain too, the distribution of capacity ÷ draw is an
// integral over the capacity. The share of draws that end by t is never far
// from it: by less than a plain sample of as many would be.
func TestEndsOfOneUncertainLoad(t *testing.T) {
	p := certain(1000, 8)
	p.Loads[0].Low, p.Loads[0].High = new(6.0), new(11.0)
	endsBy := func(t float64) float64 {
		const steps = 500
		sum := 0.0
		for i := range steps {
			c := 1000 * capacity.at((float64(i)+0.5)/steps)
			sum += 1 - triangle(6, 8, 11, c/t)
		}
		return sum / steps
	}
	for _, n := range []int{511, 10220} {
		// Half of what a plain sample of n would be off by somewhere one time
		// in twenty (Kolmogorov).
		tolerance := 1.36 / math.Sqrt(float64(n)) / 2
		for i, end := range NewSampler(n, Seed).Runtime(p).Ends {
			share := (float64(i) + 0.5) / float64(n)
			if want := endsBy(float64(end)); math.Abs(share-want) > tolerance {
				t.Fatalf("of %d draws %v have ended by %v h, want %v", n, share, end, want)
			}
		}
	}
}

// plainDraws is what all loads of a household are off by, each in part as the
// others are. The sum of two that are even, one half as wide again, rises as a
// square, straight, and as a square.
func plainDraws(p plan.Plan, random *rand.Rand) []float64 {
	household, season := random.Float64(), random.Float64()
	draw := func(low, mode, high, common float64) float64 {
		u := random.Float64() + 1.5*common
		switch {
		case u < 1:
			u = u * u / 3
		case u < 1.5:
			u = (u - 0.5) / 1.5
		default:
			u = 1 - (2.5-u)*(2.5-u)/3
		}
		return spread{low, mode, high}.at(u)
	}
	var out []float64
	for _, l := range p.Loads {
		low, mode, high := l.WattsSpread()
		watts := draw(low, mode, high, household)
		low, mode, high = l.DutySpread()
		out = append(out, watts*draw(low, mode, high, season))
	}
	return out
}

// Things of a household err together: of many small ones the sum is not known much
// better than of one as big as all.
func TestManyThingsAreNoSurer(t *testing.T) {
	sure := func(n int, basis load.Basis, duty float64) float64 {
		p := certain(1000, 160)
		p.Loads = nil
		for i := range n {
			p.Loads = append(p.Loads, load.Load{Name: fmt.Sprint("Thing ", i), Rank: load.Useful, Outlet: load.AC, Count: 1,
				Running: units.Watts(160 / float64(n)), Duty: duty, PowerFactor: 0.9, Basis: basis})
		}
		r := NewSampler(Draws, Seed).Runtime(p)
		return float64(r.CountOn / r.Likely)
	}
	for _, basis := range []load.Basis{load.Typical, load.Label, load.Measured} {
		for _, duty := range []float64{1, 0.4} {
			one := sure(1, basis, duty)
			for _, n := range []int{2, 4, 16, 40} {
				if many := sure(n, basis, duty); many > one+0.06 || many < one-0.02 {
					t.Errorf("%s, duty %v: Count on is %.3f of Likely for one, %.3f for %d", basis, duty, one, many, n)
				}
			}
			t.Logf("%s, duty %v: %.3f for one, %.3f for sixteen", basis, duty, one, sure(16, basis, duty))
		}
	}
}

// A heater draws what its plate says: Count on by the label is never beyond what
// a measured one gives. A meter's watts tell nothing of a duty that was guessed: a
// fridge that runs 43 % of its time instead of 33 lasts as long as counted on, and
// only a meter that ran for a day tells better.
func TestHowWellALoadIsKnown(t *testing.T) {
	p := certain(4000, 1500)
	p.Supply.Inverter.Continuous = 2000
	p.Loads[0].PowerFactor, p.Loads[0].Outlet = 1, load.AC
	on := func(basis load.Basis) float64 {
		p.Loads[0].Basis = basis
		return float64(NewSampler(Draws, Seed).Runtime(p).CountOn)
	}
	measured, label := on(load.Measured), on(load.Label)
	if label > measured || label < 0.9*measured {
		t.Errorf("a heater: Count on %v h by its label, %v measured", label, measured)
	}
	p.Loads[0].PowerFactor = 0.7
	if motor := on(load.Label); motor <= label {
		t.Errorf("a motor: Count on %v h by its label, a heater's %v", motor, label)
	}

	p = plan.New("Fridge", plantest.Cottage(t).Outage.Starts)
	p.Supply.Battery.Chemistry, p.Supply.Battery.Capacity, p.Supply.Battery.Room = "lfp", 1000, 20
	p.Supply.Inverter.Continuous = 1000
	p.Loads = []load.Load{{Name: "Fridge", Rank: load.Vital, Outlet: load.AC, Count: 1, Running: 140, Duty: 0.33, PowerFactor: 0.7, CyclesItself: true, Basis: load.Measured}}
	once := NewSampler(Draws, Seed).Runtime(p)
	p.Loads[0].MeasuredDay = true
	day := NewSampler(Draws, Seed).Runtime(p)
	p.Loads[0].Duty = 0.43
	really := outage.NewRig(p).Run(outage.AsPlanned(1), outage.Horizon, nil).Empty
	if once.CountOn > really || day.CountOn <= once.CountOn*1.1 {
		t.Errorf("a fridge: Count on %v h measured at one moment, %v over a day; at 43 %% it lasts %v", once.CountOn, day.CountOn, really)
	}
}

// A plain random sample of twenty times the draws agrees within its own error,
// the width of two strata, and the error that a plain sample of as many draws has:
// where many things matter alike, strata of each do little better.
func TestRuntimeAgainstPlainSampling(t *testing.T) {
	for name, p := range map[string]plan.Plan{"cottage": plantest.Cottage(t), "one load": certain(1000, 8)} {
		const n = 511
		got := NewSampler(n, Seed).Runtime(p)

		random := rand.New(rand.NewPCG(7, 7))
		rig := outage.NewRig(p)
		store, rest, lost := capacity, idle, losses
		if p.Supply.Inverter.IdleW == nil {
			rest = idleByRule
		}
		if p.Supply.Inverter.Efficiency == nil {
			lost = lossesByRule
		}
		var ends []float64
		for range 20 * n {
			c := outage.Case{
				Capacity: store.at(random.Float64()), Ageing: ageing.at(random.Float64()),
				Idle: rest.at(random.Float64()), Loss: lost.at(random.Float64()),
				Warmer: units.Celsius(warmer.at(random.Float64())), SOC: p.Outage.SOC,
			}
			c.Draw = plainDraws(p, random)
			ends = append(ends, float64(rig.Run(c, outage.Horizon, nil).Empty))
		}
		slices.Sort(ends)
		for _, q := range []float64{0.1, 0.5, 0.9} {
			// 3.3 standard errors of a share: one in a thousand.
			width := 3.3*math.Sqrt(q*(1-q)/float64(len(ends))) + 2.0/n + math.Sqrt(q*(1-q)/n)
			low, high := ends[int((q-width)*float64(len(ends)))], ends[int((q+width)*float64(len(ends)))]
			if end := float64(got.Ends[int(q*n)]); end < low || end > high {
				t.Errorf("%s, quantile %v: got %v, plain sampling %v to %v h", name, q, end, low, high)
			}
		}
	}
}

func TestSameSeedSameAnswer(t *testing.T) {
	p := plantest.Cottage(t)
	first := NewSampler(Draws, 42).Runtime(p)
	s := NewSampler(Draws, 42)
	s.Runtime(certain(500, 30)) // what a sampler saw before makes no difference
	for range keepMost + 10 {   // nor that it forgot
		s.quantiles(rand.Uint64())
	}
	again := s.Runtime(p)
	if !slices.Equal(first.Ends, again.Ends) || first.Box != again.Box {
		t.Error("the same seed gave other ends")
	}
	other := NewSampler(Draws, 43).Runtime(p)
	if slices.Equal(first.Ends, other.Ends) {
		t.Error("another seed gave the same ends")
	}
}

// The seed moves the figures by 2 % at most.
func TestSeedsAgree(t *testing.T) {
	const tolerance = 0.02
	p := plantest.Cottage(t)
	want := NewSampler(20*Draws, Seed).Runtime(p)
	for seed := range uint64(20) {
		got := NewSampler(Draws, seed).Runtime(p)
		if math.Abs(float64(got.Likely/want.Likely)-1) > tolerance || math.Abs(float64(got.CountOn/want.CountOn)-1) > tolerance {
			t.Errorf("seed %d: likely %v, count on %v, want %v, %v", seed, got.Likely, got.CountOn, want.Likely, want.CountOn)
		}
	}
}

// Every machine gives the same bits, the browser's included. The figure stands
// for the sums of the whole engine: who changes them on purpose changes it.
func TestSameBitsEverywhere(t *testing.T) {
	h := uint64(14695981039346656037)
	for _, end := range NewSampler(Draws, Seed).Runtime(plantest.Cottage(t)).Ends {
		for b, i := math.Float64bits(float64(end)), 0; i < 8; i++ {
			h = (h ^ b>>(8*i)&0xff) * 1099511628211
		}
	}
	const want uint64 = 0x4f265f2d2d91ecf6
	if h != want {
		t.Errorf("got %#x, want %#x", h, want)
	}
}

func TestExtremes(t *testing.T) {
	none := certain(1000, 8)
	none.Loads = nil
	off := certain(1000, 8)
	off.Loads[0].Off = true
	flat := certain(1000, 8)
	flat.Outage.SOC = 0
	flatAndBare := flat
	flatAndBare.Loads = nil
	never := units.Hours(math.Inf(1))
	for _, c := range []struct {
		name       string
		plan       plan.Plan
		box, count units.Hours
		hold       float64
	}{
		{"no loads", none, never, never, 1},
		{"all off", off, never, never, 1},
		{"empty", flat, 0, 0, 0},
		{"empty, no loads", flatAndBare, 0, 0, 0},
		{"a watt-hour", certain(1, 8), 0.125, units.Hours(0.125 * capacity.at(51.5/511)), 0},
	} {
		r := NewSampler(Draws, Seed).Runtime(c.plan)
		if r.Box != c.box || r.CountOn != c.count && math.Abs(float64(r.CountOn/c.count)-1) > 1e-12 {
			t.Errorf("%s: box %v, count on %v, want %v, %v", c.name, r.Box, r.CountOn, c.box, c.count)
		}
		e, _ := NewSampler(Draws, Seed).Through(c.plan, nil)
		curve := e.Survival()
		if got := e.Hold(); got != c.hold || curve[len(curve)-1].PAll != c.hold {
			t.Errorf("%s: hold %v, the curve ends with %+v", c.name, got, curve[len(curve)-1])
		}
	}
}

func TestMiddleIsNearLikely(t *testing.T) {
	p := plantest.Cottage(t)
	p.Outage.SOCLow = new(0.8)
	middle := outage.NewRig(p).Run(Middle(p), outage.Horizon, nil).Empty
	const tolerance = 0.05 // the median of a course is not the course of the medians
	if likely := NewSampler(Draws, Seed).Runtime(p).Likely; math.Abs(float64(middle/likely)-1) > tolerance {
		t.Errorf("the middle case ends at %v, likely is %v h", middle, likely)
	}
}

// Of an odd number of draws the one in the middle stands at the median, so each
// circumstance of the middle case is the middle one of all draws.
func TestMiddleIsTheMedianOfDraws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := anyPlan(t)
		if rapid.Bool().Draw(t, "health measured") {
			p.Supply.Battery.Health = new(0.8)
		}
		if rapid.Bool().Draw(t, "idle draw known") {
			p.Supply.Inverter.IdleW = new(10.0)
		}
		if rapid.Bool().Draw(t, "efficiency known") {
			p.Supply.Inverter.Efficiency = new(0.9)
		}
		figures := func(c outage.Case) []float64 {
			f := append([]float64{c.Capacity, c.Ageing, c.Idle, c.Loss, float64(c.Warmer), c.SOC}, c.Duty...)
			for i := range c.Draw {
				f = append(f, c.Draw[i]/c.Duty[i])
			}
			return f
		}
		var all [][]float64
		NewSampler(21, Seed).Cases(p, func(c outage.Case) { all = append(all, figures(c)) })
		for i, got := range figures(Middle(p)) {
			var of []float64
			for _, f := range all {
				of = append(of, f[i])
			}
			slices.Sort(of)
			const rounding = 1e-12
			if want := of[10]; math.Abs(got-want) > rounding*max(1, math.Abs(want)) {
				t.Fatalf("figure %d: got %v, the middle of the draws is %v", i, got, want)
			}
		}
	})
}

// What the inverter can't carry is out from the moment it is due.
func TestHoldOfWhatCannotRun(t *testing.T) {
	p := certain(1000, 8)
	p.Supply.Inverter.Continuous = 500
	p.Supply.Inverter.IdleW = new(0.0)
	p.Loads = append(p.Loads, load.Load{Name: "Pump", Rank: load.Vital, Outlet: load.AC, Running: 800, Duty: 1, PowerFactor: 1,
		Use: []load.Window{{From: 18 * 60, To: 19 * 60}}}) // six hours after the start
	through := func() Ensemble {
		e, _ := NewSampler(Draws, Seed).Through(p, nil)
		return e
	}
	for hours, want := range map[units.Hours]float64{5: 1, 6: 1, 7: 0} {
		p.Outage.Hours = hours
		if got := through().Hold(); got != want {
			t.Errorf("%v h: got %v, want %v", hours, got, want)
		}
	}
	p.Loads[1].Rank = load.Comfort
	p.Loads[0].Rank = load.Vital
	e := through()
	if got := e.Hold(); got != 1 {
		t.Errorf("a comfort that can't run: got %v, want 1", got)
	}
	for _, pt := range e.Survival() {
		if pt.H > 6 && pt.PAll != 0 || pt.PVital != 1 {
			t.Fatalf("%+v", pt)
		}
	}
}

// twenty is a plan of twenty loads with windows of their own.
func twenty(t testing.TB) plan.Plan {
	p := plantest.Cottage(t)
	p.Loads = nil
	for i := range 20 {
		from := load.Minute(60 * i)
		p.Loads = append(p.Loads, load.Load{
			Name: string(rune('A' + i)), Rank: load.Useful, Outlet: load.AC, Count: 1, Running: units.Watts(3 + i), Duty: 0.5,
			PowerFactor: 0.9, Basis: load.Typical, Use: []load.Window{{From: from, To: (from + 300) % load.Day}},
		})
	}
	return p
}

// A draw allocates nothing; an answer only what the plan needs once.
func TestRuntimeAllocatesLittle(t *testing.T) {
	p, s := twenty(t), NewSampler(Draws, Seed)
	s.Runtime(p)
	const most = 150 // 20 loads: spans of the day, and a few lists
	if got := testing.AllocsPerRun(5, func() { s.Runtime(p) }); got > most {
		t.Errorf("%v allocations for %d draws, want at most %d", got, Draws, most)
	}
}

func BenchmarkRuntime(b *testing.B) {
	p, s := twenty(b), NewSampler(Draws, Seed)
	b.ReportAllocs()
	for b.Loop() {
		s.Runtime(p)
	}
}

// At the same efficiency an inverter that idles more never lasts longer: in every
// draw, and so in each figure.
func TestMoreIdleNeverLastsLonger(t *testing.T) {
	s := NewSampler(63, Seed)
	rapid.Check(t, func(t *rapid.T) {
		p := anyPlan(t)
		for i := range p.Loads { // what cycles on lead takes by a share more that hangs on the rest a little
			p.Loads[i].CyclesItself = false
		}
		low := rapid.Float64Range(0, 60).Draw(t, "idle")
		p.Supply.Inverter.IdleW = &low
		less := s.Runtime(p)
		p.Supply.Inverter.IdleW = new(rapid.Float64Range(low, 120).Draw(t, "more"))
		more := s.Runtime(p)
		for name, pair := range map[string][2]units.Hours{
			"Likely": {less.Likely, more.Likely}, "CountOn": {less.CountOn, more.CountOn}, "AtBest": {less.AtBest, more.AtBest},
		} {
			if pair[1] > pair[0]*(1+1e-9) {
				t.Fatalf("%s rose from %v to %v h", name, pair[0], pair[1])
			}
		}
	})
}

// What the trade expects (common practice, from memory): 750 W on a lithium station
// of 1,500 Wh for 1.5 to 2.5 h, 300 W on 100 Ah of AGM, half of it, for as long.
func TestAsTheTradeExpects(t *testing.T) {
	heater := func(w units.Watts, b battery.Battery, v inverter.Inverter) Runtime {
		p := certain(1, w)
		b.Room = battery.DefaultRoom
		p.Supply.Battery, p.Supply.Inverter = b, v
		p.Loads[0].Outlet, p.Loads[0].Basis, p.Loads[0].Running, p.Loads[0].PowerFactor = load.AC, load.Measured, w, 1
		return NewSampler(Draws, Seed).Runtime(p)
	}
	for name, r := range map[string]Runtime{
		"1,500 Wh, inverter unknown": heater(750, battery.Battery{Chemistry: battery.LFP, Capacity: 1500}, inverter.Inverter{}),
		"1,500 Wh, of 1,500 W":       heater(750, battery.Battery{Chemistry: battery.LFP, Capacity: 1500}, inverter.Inverter{Continuous: 1500}),
		"1,500 Wh, of 1,800 W, 12 W": heater(750, battery.Battery{Chemistry: battery.LFP, Capacity: 1500}, inverter.Inverter{Continuous: 1800, IdleW: new(12.0)}),
		"AGM, inverter unknown":      heater(300, battery.Battery{Chemistry: battery.AGM, Capacity: 1200}, inverter.Inverter{}),
		"AGM, of 1,000 W":            heater(300, battery.Battery{Chemistry: battery.AGM, Capacity: 1200}, inverter.Inverter{Continuous: 1000}),
	} {
		if r.Likely < 1.5 || r.Likely > 2.5 || r.CountOn < 1.3 || r.CountOn > r.Likely {
			t.Errorf("%s: likely %v, count on %v h", name, r.Likely, r.CountOn)
		}
	}
}
