package gauge

import (
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

	"pgregory.net/rapid"
)

// readAt is a plan in an outage, whose gauge of five bars showed so many at minutes
// since it began.
func readAt(p plan.Plan, at []int, bars []int) plan.Plan {
	p.Supply.Gauge = plan.Gauge{Kind: plan.Bars, Bars: 5}
	p.Outage.UnderWay, p.Outage.Log = true, plan.Log{}
	begin := p.Outage.Starts
	for i, n := range bars {
		r := Bars(begin.After(units.Hours(at[i])/60), n, 5)
		p.Outage.Log = p.Outage.Log.Read(plan.Reading{At: r.At, SOCLow: r.Low, SOC: r.High})
		p.Outage.Starts, p.Outage.SOC, p.Outage.SOCLow = r.At, r.High, new(r.Low)
	}
	return p
}

// lungs runs oxygen, a mask with its heater, a fridge, a router and a lamp on 1,000 Wh.
func lungs(t *testing.T) plan.Plan {
	t.Helper()
	p := plan.New("Lungs", plan.At(time.Date(2026, 8, 20, 21, 40, 0, 0, time.UTC)))
	p.Supply.Battery.Chemistry, p.Supply.Battery.Capacity, p.Supply.Battery.Room = "lfp", 1000, 20
	for _, key := range []string{"oxygen-5l", "cpap-humidifier", "fridge", "modem-router", "lamp-led"} {
		e, ok := load.Find(key)
		if !ok {
			t.Fatal(key)
		}
		p.Loads = append(p.Loads, e.Load())
	}
	return p
}

// A gauge that is lit has something left, however little of what is listed is drawn:
// what is counted on is then no less than the last reading alone tells, but for what
// the readings before it leave open.
func TestALitGauge(t *testing.T) {
	for _, c := range []struct{ at, bars []int }{
		{[]int{0, 60}, []int{4, 3}},
		{[]int{0, 60, 148}, []int{4, 3, 2}},
		{[]int{0, 30}, []int{4, 4}},
		{[]int{0, 50}, []int{4, 3}},
		{[]int{0, 60, 120, 180, 240}, []int{5, 5, 5, 5, 4}},
		{[]int{0, 120, 240, 360}, []int{4, 3, 2, 1}},
	} {
		l := LeftOf(readAt(lungs(t), c.at, c.bars), sampler())
		if l.Read == nil || len(l.Clash) > 0 || l.CountOn <= 0 || l.CountOn < 0.8*l.Runtime.CountOn {
			t.Errorf("%v bars at %v: counts on %v h, by the last alone %v; clash %v", c.bars, c.at, l.CountOn, l.Runtime.CountOn, l.Clash)
		}
		if l.Read != nil && l.Read.Pace.Likely > 1 {
			t.Errorf("%v bars at %v: pace %+v", c.bars, c.at, l.Read.Pace)
		}
	}
}

// Nothing ends before what a lit gauge showed after it, whatever was read before.
func TestNothingEndsBeforeItsReading(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := plantest.Any(t)
		if !p.HasSupply() {
			t.Skip()
		}
		at, bars := []int{0}, []int{rapid.IntRange(1, 5).Draw(t, "bars")}
		for range rapid.IntRange(1, 4).Draw(t, "readings") {
			at = append(at, at[len(at)-1]+rapid.IntRange(1, 600).Draw(t, "minutes"))
			bars = append(bars, rapid.IntRange(1, 5).Draw(t, "bars"))
		}
		p.Supply.Battery.Cutoff = nil
		l := LeftOf(readAt(p, at, bars), odds.NewSampler(63, odds.Seed))
		if l.CountOn < 0 || l.Likely < l.CountOn || l.AtBest < l.Likely {
			t.Fatalf("%v bars at %v: %v, %v, %v h", bars, at, l.CountOn, l.Likely, l.AtBest)
		}
	})
}

// Readings of before the power last came back, or before a charge that rose and was
// shown twice, tell of another charge.
func TestWhatIsCountedSince(t *testing.T) {
	p := readAt(lungs(t), []int{0, 40, 80}, []int{4, 3, 2})
	all := LeftOf(p, sampler())
	if all.Read == nil || all.Since != units.Hours(80)/60 {
		t.Fatalf("all: since %v", all.Since)
	}
	back := p
	back.Outage.Log.Power = []plan.Power{{At: p.Outage.Log.Readings[0].At.After(0.5), Back: true}, {At: p.Outage.Log.Readings[0].At.After(0.6)}}
	if l := LeftOf(back, sampler()); l.Read == nil || l.Since != units.Hours(40)/60 {
		t.Errorf("the power came back after the first: since %v", l.Since)
	}
	back.Outage.Log.Power[0].At = p.Outage.Starts
	if l := LeftOf(back, sampler()); l.Read != nil || l.CountOn != l.Runtime.CountOn {
		t.Errorf("the power came back after the last: %+v", l)
	}
	once := LeftOf(readAt(lungs(t), []int{0, 40, 80}, []int{3, 2, 5}), sampler())
	if len(once.Clash) == 0 || once.CountOn >= once.Runtime.CountOn {
		t.Errorf("a charge that rose: counts on %v h, by the last alone %v; clash %v", once.CountOn, once.Runtime.CountOn, once.Clash)
	}
	twice := LeftOf(readAt(lungs(t), []int{0, 40, 80, 85}, []int{3, 2, 5, 5}), sampler())
	if len(twice.Clash) > 0 || twice.CountOn <= once.CountOn || twice.Since != units.Hours(5)/60 {
		t.Errorf("and is shown twice: %+v h, since %v, clash %v", twice.CountOn, twice.Since, twice.Clash)
	}
	before := p
	before.Outage.UnderWay = false
	if l := LeftOf(before, sampler()); l.Read != nil || l.CountOn != sampler().Runtime(before).CountOn {
		t.Error("not under way: readings count")
	}
}

// The middle course at the pace found ends when it is asked to.
func TestPaced(t *testing.T) {
	p := lungs(t)
	rig := outage.NewRig(p)
	for _, h := range []units.Hours{0.3, 1, 4, 30} {
		if got := rig.Run(Paced(rig, odds.Middle(p), h), outage.Horizon, nil).Empty; got < 0.999*h || got > 1.001*h {
			t.Errorf("asked for %v h, it ends at %v", h, got)
		}
	}
}

// An evening in which what is listed was not on tells nothing of a machine that
// only comes on at night, nor of what is vital and was measured. By hand: 97 % of
// 1,000 Wh, of which some 900 Wh can be given, are 7 to 8 hours after 21:00 for a
// concentrator of 100 W from 22:00 on; 72 % are 8 to 9 hours of 60 W and an inverter.
func TestEveningTellsOnlyOfItself(t *testing.T) {
	supply := func(p *plan.Plan) {
		p.Outage.UnderWay = true
		p.Supply.Battery = battery.Battery{Chemistry: battery.LFP, Capacity: 1000, Room: 20}
		p.Supply.Inverter = inverter.Inverter{Continuous: 1000, IdleW: new(8.0), Efficiency: new(0.9)}
		p.Supply.Gauge.Kind = plan.Percent
	}
	six := plan.At(time.Date(2026, 1, 14, 18, 0, 0, 0, time.UTC))
	window := func(from, to load.Minute) []load.Window { return []load.Window{{From: from * 60, To: to * 60}} }
	thing := func(name string, rank load.Rank, watts units.Watts, basis load.Basis, use []load.Window) load.Load {
		return load.Load{Name: name, Rank: rank, Outlet: load.AC, Count: 1, Running: watts, Duty: 1, PowerFactor: 0.9, Basis: basis, Use: use}
	}
	for _, c := range []struct {
		name  string
		loads []load.Load
		shown []float64 // one, and three hours later the last
		hours units.Hours
		truth float64 // at most, of what is vital alone
	}{
		{"comes on later", []load.Load{thing("Concentrator", load.Vital, 100, load.Measured, window(22, 6)), thing("Lamps", load.Comfort, 60, load.Typical, window(17, 22))}, []float64{1, 0.97}, 3, 8},
		{"runs beside what is off", []load.Load{thing("Machine", load.Vital, 60, load.Measured, nil), thing("Blanket", load.Comfort, 200, load.Typical, nil)}, []float64{1, 0.72}, 4, 8.7},
	} {
		p := plan.New("Test", six)
		supply(&p)
		p.Loads = c.loads
		last := six.After(c.hours)
		p.Outage.Starts, p.Outage.SOC = last, c.shown[1]
		p.Outage.Log.Readings = []plan.Reading{{At: six, SOCLow: c.shown[0], SOC: c.shown[0]}, {At: last, SOCLow: c.shown[1], SOC: c.shown[1]}}
		for seed := range uint64(3) {
			l := LeftOf(p, odds.NewSampler(odds.Draws, seed+1))
			alone := l.CountOn
			if l.Read != nil {
				onward, may := l.Read.Onward(last)
				q, _, _ := onward.VitalAlone()
				alone = may.CountOn(q)
			}
			if float64(l.CountOn) > c.truth || float64(alone) > c.truth || alone < 3 {
				t.Errorf("%s, seed %d: counts on %v h, what is vital alone on %v, of %v", c.name, seed+1, l.CountOn, alone, c.truth)
			}
		}
	}
}
