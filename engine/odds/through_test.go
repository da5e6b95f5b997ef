package odds

import (
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"runtime"
	"slices"
	"testing"
	"time"

	"candleclock/engine/battery"
	"candleclock/engine/charge"
	"candleclock/engine/inverter"
	"candleclock/engine/load"
	"candleclock/engine/outage"
	"candleclock/engine/plan"
	"candleclock/engine/plan/plantest"
	"candleclock/engine/units"
	"candleclock/engine/yield"

	"pgregory.net/rapid"
)

// fortnight is two weeks of April on a battery that the sun can carry most of
// the time: two compressors, a vital machine at night, rules for everything.
func fortnight(t testing.TB) plan.Plan {
	p := sunny(plantest.Cottage(t), 900, 44.65, time.April)
	p.Outage.Hours = 14 * 24
	p.Supply.Battery = battery.Battery{Chemistry: battery.LFP, Capacity: 3000, Room: 15, Night: new(4.0)}
	p.Supply.Inverter = inverter.Inverter{Continuous: 1500}
	p.Loads = []load.Load{
		{Name: "Machine", Rank: load.Vital, Outlet: load.DC, Running: 30, Duty: 1, PowerFactor: 1, Basis: load.Measured,
			Use: []load.Window{{From: 22 * 60, To: 7 * 60}}},
		{Name: "Fridge", Rank: load.Useful, Outlet: load.AC, Running: 110, Duty: 0.35, PowerFactor: 0.8, CyclesItself: true, Cycle: 40, Basis: load.Label},
		{Name: "Freezer", Rank: load.Useful, Outlet: load.AC, Running: 90, Duty: 0.4, PowerFactor: 0.8, CyclesItself: true, Basis: load.Typical},
		{Name: "Router", Rank: load.Useful, Outlet: load.DC, Running: 9, Duty: 1, PowerFactor: 1, Basis: load.Measured},
		{Name: "Screen", Rank: load.Comfort, Outlet: load.AC, Running: 80, Duty: 1, PowerFactor: 1, Basis: load.Typical,
			Use: []load.Window{{From: 19 * 60, To: 22 * 60}}},
		{Name: "Lamps", Rank: load.Comfort, Outlet: load.USB, Running: 12, Duty: 1, PowerFactor: 1, Basis: load.Typical,
			Use: []load.Window{{From: 18 * 60, To: 23 * 60}}},
	}
	p.Outage.ComfortBelow, p.Outage.UsefulBelow = new(0.4), new(0.2)
	p.Supply.Inputs = append(p.Supply.Inputs, charge.Input{Kind: charge.Car, Volts: 12, Amps: 8, Fuse: 10})
	p.Outage.Refills = []plan.Refill{{Kind: charge.Car, Below: new(0.15), From: new(load.Minute(8 * 60)), To: new(load.Minute(20 * 60))}}
	return p
}

// Of one steady load of a known draw and without sun the outs are those of
// capacity ÷ draw, and so the survival curve is that distribution's.
func TestThroughOfOneSteadyLoad(t *testing.T) {
	const n = 511
	p := certain(1000, 8)
	p.Outage.Hours = 200
	e, ok := NewSampler(n, Seed).Through(p, nil)
	if !ok || e.Draws != n || e.Hours != 200 {
		t.Fatalf("%v, %d draws of %v h", ok, e.Draws, e.Hours)
	}
	for i := range n {
		want := units.Hours(1000 * capacity.at((float64(i)+0.5)/n) / 8)
		if math.Abs(float64(e.All[i]/want)-1) > 1e-12 || e.Vital[i] != e.All[i] { // rounding
			t.Fatalf("draw %d: got %v, vital %v, want %v h", i, e.All[i], e.Vital[i], want)
		}
	}
	for _, pt := range e.Survival() {
		want := 1 - triangle(capacity.low, capacity.mode, capacity.high, float64(pt.H)*8/1000)
		if math.Abs(pt.PAll-want) > 1.0/n || pt.PVital != pt.PAll { // a stratum
			t.Errorf("after %v h: got %v, want %v", pt.H, pt.PAll, want)
		}
	}
	// What is missing of 200 h is spent without: 75 h and what the capacity's
	// mean, (0.90 + 0.97 + 1)/3, lacks.
	if want := 200 - 125*(0.90+0.97+1)/3; math.Abs(float64(e.Without[0])-want) > 0.05 {
		t.Errorf("without for %v h, want %v", e.Without[0], want)
	}
	if e.Hold() != 0 || e.HoldAll() != 0 {
		t.Errorf("holds with %v, %v", e.Hold(), e.HoldAll())
	}
	p.Outage.Hours = 112.5 // the least that any capacity lasts
	if e, _ = NewSampler(n, Seed).Through(p, nil); e.Hold() != 1 || e.HoldAll() != 1 {
		t.Errorf("holds with %v, %v", e.Hold(), e.HoldAll())
	}
}

// A plain random sample of twenty times the draws, weather and all, agrees within
// its own error and that of the draws.
func TestThroughAgainstPlainSampling(t *testing.T) {
	const n = 511
	p := fortnight(t)
	p.Outage.Hours = 96
	p.Supply.Battery.Capacity, p.Outage.Rules = 3000, plan.Rules{UsefulBelow: new(0.15)}
	p.Outage.SOCLow = new(0.4)
	e, _ := NewSampler(n, Seed).Through(p, nil)

	random := rand.New(rand.NewPCG(8, 8))
	rig, y := outage.NewRig(p), yield.Of(p)
	sky := make([]units.Watts, hoursOf(p.Outage.Hours))
	var vital, all []units.Hours
	without := make([]float64, len(p.Loads))
	squares := make([]float64, len(p.Loads))
	for range 20 * n {
		c := outage.Case{
			Capacity: capacity.at(random.Float64()), Ageing: ageing.at(random.Float64()),
			Idle: idleByRule.at(random.Float64()), Loss: losses.at(random.Float64()),
			Warmer: units.Celsius(warmer.at(random.Float64())), SOC: 0.4 + 0.6*random.Float64(),
			Sun: y.SeriesInto(sky, random.Uint64(), p.Outage.Starts),
		}
		c.Draw = plainDraws(p, random)
		for range p.Loads {
			c.Phase = append(c.Phase, random.Float64())
		}
		w := rig.Through(c, p.Outage.Hours, nil)
		vital, all = append(vital, w.VitalOut), append(all, w.AnyOut)
		for i, h := range w.Without {
			without[i] += float64(h) / (20 * n)
			squares[i] += float64(h*h) / (20 * n)
		}
	}
	slices.Sort(vital)
	slices.Sort(all)
	told := 0
	for h := units.Hours(0.5); h <= 96; h += 0.5 {
		for what, pair := range map[string][2]float64{"vital": {share(e.Vital, h), share(vital, h)}, "all": {share(e.All, h), share(all, h)}} {
			// 3.3 standard errors of the difference: one in a thousand.
			width := 3.3*math.Sqrt(pair[1]*(1-pair[1])*(1.0/n+1.0/(20*n))) + 1.0/n
			if math.Abs(pair[0]-pair[1]) > width {
				t.Errorf("%s, %v h: got %v, plain sampling %v", what, h, pair[0], pair[1])
			}
			if pair[1] > 0.05 && pair[1] < 0.95 {
				told++
			}
		}
	}
	for i, h := range e.Without {
		width := 3.3*math.Sqrt((squares[i]-without[i]*without[i])*(1.0/n+1.0/(20*n))) + 1e-9
		if math.Abs(float64(h)-without[i]) > width {
			t.Errorf("%s: without for %v h, plain sampling %v", p.Loads[i].Name, h, without[i])
		}
	}
	if told < 10 {
		t.Errorf("only %d chances were open: the test says too little", told)
	}
}

// Every machine gives the same bits of whole outages, and the same seed the same
// ones.
func TestSameBitsThrough(t *testing.T) {
	h := uint64(14695981039346656037)
	add := func(v float64) {
		for b, i := math.Float64bits(v), 0; i < 8; i++ {
			h = (h ^ b>>(8*i)&0xff) * 1099511628211
		}
	}
	p := fortnight(t)
	for seed := range uint64(3) {
		s := NewSampler(41, seed)
		e, _ := s.Through(p, nil)
		again, _ := NewSampler(41, seed).Through(p, nil)
		if !reflect.DeepEqual(e, again) {
			t.Errorf("seed %d: %+v and %+v", seed, e, again)
		}
		for i := range e.All {
			add(float64(e.All[i]))
			add(float64(e.Vital[i]))
		}
		for _, w := range e.Without {
			add(float64(w))
		}
		for _, c := range s.Course(p, yield.Of(p), e.Poor) {
			add(float64(c.To))
			add(float64(c.LeftTo))
			add(float64(c.Out))
		}
	}
	const want uint64 = 0x1f508b70b3d450ec
	if h != want {
		t.Errorf("got %#x, want %#x", h, want)
	}
}

// In each draw a larger battery, or more sun, is never sooner empty for the first
// time, as long as no rule looks at the charge and the nights are not cold. After
// that a larger one may be worse: it comes back at the same share of a charge,
// which takes longer. Rules that drop loads break more: the larger battery drops
// them later, and may have less for the night after. So do cold nights, which
// hold back a share of the whole battery even where little is in it.
func TestLargerNeverEmptySooner(t *testing.T) {
	helped := 0
	rapid.Check(t, func(t *rapid.T) {
		p := anyPlan(t)
		p.Supply.Battery.SelfDischarge = new(0.0) // it is that of the rated capacity, so a larger one loses more
		p = sunny(p, units.Watts(rapid.Float64Range(10, 600).Draw(t, "pmax")), rapid.Float64Range(-60, 60).Draw(t, "lat"),
			time.Month(rapid.IntRange(1, 12).Draw(t, "month")))
		p.Outage.Hours = 120
		for i := range p.Loads {
			p.Loads[i].CyclesItself = rapid.Bool().Draw(t, "cycles")
		}
		q := p
		if rapid.Bool().Draw(t, "larger") {
			q.Supply.Battery.Capacity *= units.WattHours(rapid.Float64Range(1, 3).Draw(t, "times"))
		} else {
			q.Panels.Label.Pmax *= 2
		}
		s := NewSampler(9, Seed)
		ends := func(p plan.Plan) (ends []units.Hours) {
			rig := outage.NewRig(p)
			s.Each(p, yield.Of(p), func(_ int, c outage.Case) bool {
				ends = append(ends, rig.Through(c, p.Outage.Hours, nil).Empty)
				return true
			})
			return
		}
		less, more := ends(p), ends(q)
		for i := range less {
			const rounding = 1 - 1e-9
			if more[i] < less[i]*rounding {
				t.Fatalf("draw %d: empty at %v h, with more at %v h", i, less[i], more[i])
			}
			if more[i] > less[i] {
				helped++
			}
		}
	})
	if helped < 20 {
		t.Errorf("more helped %d times: the test says too little", helped)
	}
}

func TestThroughTellsAndStops(t *testing.T) {
	p := fortnight(t)
	p.Outage.Hours = 24
	var told []int
	if _, ok := NewSampler(50, Seed).Through(p, func(done, all int) bool {
		if all != 50 {
			t.Errorf("of %d", all)
		}
		told = append(told, done)
		return true
	}); !ok || !slices.Equal(told, []int{16, 32, 48, 50}) {
		t.Errorf("%v, told %v", ok, told)
	}
	told = nil
	if _, ok := NewSampler(50, Seed).Through(p, func(done, all int) bool {
		told = append(told, done)
		return done < 32
	}); ok || !slices.Equal(told, []int{16, 32}) {
		t.Errorf("%v, told %v", ok, told)
	}
	// Told to stop at the very end it has finished.
	if e, ok := NewSampler(16, Seed).Through(p, func(done, all int) bool { return false }); !ok || len(e.All) != 16 {
		t.Errorf("%v, %d", ok, len(e.All))
	}
}

// The course of a draw is the one that its ensemble counted: no gaps, the whole
// outage, first without when the draw was, and half of all go no worse than the
// typical one.
func TestCourseOfADraw(t *testing.T) {
	p := fortnight(t)
	p.Supply.Battery.Capacity = 800
	s := NewSampler(101, Seed)
	e, _ := s.Through(p, nil)
	first := func(draw int) (all, vital units.Hours, dropped, off bool) {
		all, vital = units.Hours(math.Inf(1)), units.Hours(math.Inf(1))
		at := units.Hours(0)
		for _, c := range s.Course(p, yield.Of(p), draw) {
			if math.Abs(float64(c.From-at)) > 1e-9 || c.To <= c.From || c.LeftTo < 0 || c.To-c.From > 1+1e-6 {
				t.Fatalf("a stretch from %v to %v after %v, %v left", c.From, c.To, at, c.LeftTo)
			}
			at = c.To
			if len(c.Without) > 0 {
				all = min(all, c.From)
				dropped, off = dropped || !c.Off, off || c.Off
			}
			for _, i := range c.Without {
				if p.Loads[i].Rank == load.Vital {
					vital = min(vital, c.From)
				}
			}
		}
		if math.Abs(float64(at-p.Outage.Hours)) > 1e-9 {
			t.Fatalf("ends at %v h", at)
		}
		return all, vital, dropped, off
	}
	all, vital, dropped, _ := first(e.Typical)
	_, poor, _, _ := first(e.Poor)
	if got := e.Vital[(len(e.Vital)-1)/2]; got != vital && math.Abs(float64(got-vital)) > 1e-9 {
		t.Errorf("typical: vital out at %v h, the median is %v h", vital, got)
	}
	if got := e.Vital[10]; got != poor && math.Abs(float64(got-poor)) > 1e-9 {
		t.Errorf("poor: vital out at %v h, the tenth is %v h", poor, got)
	}
	if !dropped || !slices.ContainsFunc(e.All, func(h units.Hours) bool { return math.Abs(float64(h-all)) < 1e-9 }) {
		t.Errorf("typical: anything out at %v h, dropped: %v", all, dropped)
	}
}

// Typical and Poor are those of the draws in the order that Ensemble tells,
// followed here one by one: by what is vital as long as any of it is out, and
// where it never is by the rest.
func TestTypicalAndPoorInOrder(t *testing.T) {
	const n = 41
	for _, c := range []struct {
		capacity units.WattHours
		kettle   load.Rank // of one that the inverter can't carry: it is out at once, in every draw
	}{{1500, ""}, {7000, ""}, {1500, load.Vital}, {7000, load.Comfort}} {
		p := fortnight(t)
		p.Supply.Battery.Capacity = c.capacity
		if c.kettle != "" {
			p.Loads = append(p.Loads, load.Load{Name: "Kettle", Rank: c.kettle, Outlet: load.AC, Running: 3000, Duty: 1, PowerFactor: 1, Basis: load.Label})
		}
		s := NewSampler(n, Seed)
		e, _ := s.Through(p, nil)
		rig := outage.NewRig(p)
		var worse [n][6]float64 // the lower at the first that differs, the worse
		s.Each(p, yield.Of(p), func(draw int, c outage.Case) bool {
			w := rig.Through(c, p.Outage.Hours, nil)
			vital, all := 0.0, 0.0
			for i, h := range w.Without {
				all += float64(h)
				if p.Loads[i].Rank == load.Vital {
					vital += float64(h)
				}
			}
			worse[draw] = [6]float64{float64(w.VitalOut), -vital, float64(w.AnyOut), -all, float64(w.Least), float64(draw)}
			return true
		})
		slices.SortFunc(worse[:], func(a, b [6]float64) int { return slices.Compare(a[:], b[:]) })
		if typical, poor := int(worse[20][5]), int(worse[4][5]); e.Typical != typical || e.Poor != poor {
			t.Errorf("%+v: got draws %d and %d, want %d and %d", c, e.Typical, e.Poor, typical, poor)
		}
	}
}

func TestSurvivalOfAnEnsemble(t *testing.T) {
	p := fortnight(t)
	p.Supply.Battery.Capacity = 500
	for _, hours := range []units.Hours{0.5, 1, 30.25, 336, 2160} {
		p.Outage.Hours = hours
		e, _ := NewSampler(11, Seed).Through(p, nil)
		curve := e.Survival()
		last := curve[len(curve)-1]
		if n := len(curve); n < 2 || n > 99 || curve[0] != (Point{0, 1, 1}) || last.H < hours || last.H >= hours+1 {
			t.Fatalf("%v h: %d points from %+v to %+v", hours, n, curve[0], last)
		}
		if last.PVital != e.Hold() || last.PAll != e.HoldAll() {
			t.Errorf("%v h: ends with %+v, holds %v, %v", hours, last, e.Hold(), e.HoldAll())
		}
		for i, pt := range curve[1:] {
			if before := curve[i]; !(pt.PVital <= before.PVital && pt.PAll <= before.PAll && pt.PAll <= pt.PVital && pt.PAll >= 0) {
				t.Fatalf("%+v after %+v", pt, before)
			}
		}
	}
}

func TestTwenty(t *testing.T) {
	for chance, want := range map[float64]int{0: 0, 0.04: 0, 0.05: 1, 0.9: 18, 0.949: 18, 0.95: 19, 510.0 / 511: 19, 1: 20, 0.15: 3, 0.35: 7, 0.55: 11} {
		if got := Twenty(chance); got != want {
			t.Errorf("%v: got %d, want %d", chance, got, want)
		}
	}
}

// Only a few numbers of each draw are kept.
func TestThroughKeepsLittle(t *testing.T) {
	p := fortnight(t)
	p.Outage.Hours = 24
	bytes := func(draws int) float64 {
		s := NewSampler(draws, Seed)
		s.Through(p, nil)
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		s.Through(p, nil)
		runtime.ReadMemStats(&after)
		return float64(after.TotalAlloc - before.TotalAlloc)
	}
	const most = 200 // bytes a draw: six figures, its outs twice while they are sorted
	if got := (bytes(2000) - bytes(1000)) / 1000; got > most {
		t.Errorf("%v bytes a draw, want at most %d", got, most)
	}
}

func benchmarkThrough(b *testing.B, p plan.Plan, draws int) {
	s := NewSampler(draws, Seed)
	s.Through(p, nil)
	b.ReportAllocs()
	for b.Loop() {
		s.Through(p, nil)
	}
}

// A thousand outages of a fortnight.
func BenchmarkThrough14Days(b *testing.B) { benchmarkThrough(b, fortnight(b), 1000) }

// How the cost grows: with days, draws and loads.
func BenchmarkThroughDays(b *testing.B) {
	for _, days := range []units.Hours{1, 4, 14, 90} {
		p := fortnight(b)
		p.Outage.Hours = 24 * days
		b.Run(fmt.Sprint(days), func(b *testing.B) { benchmarkThrough(b, p, 64) })
	}
}

func BenchmarkThroughDraws(b *testing.B) {
	for _, draws := range []int{64, 256, 1024} {
		b.Run(fmt.Sprint(draws), func(b *testing.B) { benchmarkThrough(b, fortnight(b), draws) })
	}
}

func BenchmarkThroughLoads(b *testing.B) {
	for _, loads := range []int{1, 5, 20, 80} {
		p := fortnight(b)
		all := twenty(b).Loads
		p.Loads = nil
		for i := range loads {
			l := all[i%len(all)]
			l.Name = fmt.Sprint(l.Name, i)
			p.Loads = append(p.Loads, l)
		}
		b.Run(fmt.Sprint(loads), func(b *testing.B) { benchmarkThrough(b, p, 64) })
	}
}

// The courses alone, of weather made up before, with cycles and without.
func BenchmarkThroughCourses(b *testing.B) { benchmarkCourses(b, true) }

func BenchmarkThroughAveraged(b *testing.B) { benchmarkCourses(b, false) }

func benchmarkCourses(b *testing.B, cycles bool) {
	p := fortnight(b)
	rig := outage.NewRig(p)
	NewSampler(1, Seed).Each(p, yield.Of(p), func(_ int, c outage.Case) bool {
		if !cycles {
			c.Phase = nil
		}
		for b.Loop() {
			for range 100 {
				rig.Through(c, p.Outage.Hours, nil)
			}
		}
		return true
	})
}
