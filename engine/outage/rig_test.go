package outage

import (
	"math"
	"slices"
	"testing"

	"candleclock/engine/battery"
	"candleclock/engine/inverter"
	"candleclock/engine/load"
	"candleclock/engine/plan"
	"candleclock/engine/units"

	"pgregory.net/rapid"
)

// known is a supply whose inverter carries 1,000 W and 1,200 VA and idles at
// 10 W, and whose DC outlets lose a fifth.
func known() plan.Supply {
	s := lossless(1000)
	s.Inverter = inverter.Inverter{Continuous: 1000, ContinuousVA: new(1200.0), IdleW: new(10.0), Efficiency: new(1.0)}
	s.DCEfficiency = 0.8
	return s
}

func TestPower(t *testing.T) {
	ac := func(w units.Watts) load.Load {
		return load.Load{Name: "Fan", Running: w, Outlet: load.AC, Duty: 1, PowerFactor: 1}
	}
	dc := load.Load{Name: "Router", Running: 8, Outlet: load.DC, Duty: 1, PowerFactor: 1}
	usb := load.Load{Name: "Phones", Running: 4, Outlet: load.USB, Duty: 1, PowerFactor: 1}
	evening := ac(50)
	evening.Use = window(t, "17:00", "22:00")
	off := ac(50)
	off.Off = true
	huge := ac(1500)
	for _, c := range []struct {
		name          string
		loads         []load.Load
		offWhenUnused bool
		day, evening  float64 // at noon and at 18:00
	}{
		{"nothing", nil, false, 0, 0},
		{"dc needs no inverter", []load.Load{dc, usb}, false, 15, 15},
		{"ac idles the inverter", []load.Load{ac(100)}, false, 110, 110},
		{"idle stays while nothing is due", []load.Load{evening, dc}, false, 20, 70},
		{"off when unused", []load.Load{evening, dc}, true, 10, 70},
		{"switched off", []load.Load{off, dc}, false, 10, 10},
		{"beyond the limit is left out, and the inverter left on", []load.Load{huge}, false, 10, 10},
		{"beyond the limit and off when unused", []load.Load{huge}, true, 0, 0},
	} {
		p := household(t, known(), c.loads...)
		p.Supply.Inverter.OffWhenUnused = c.offWhenUnused
		r := NewRig(p)
		for at, want := range map[load.Minute]float64{12 * 60: c.day, 18 * 60: c.evening} {
			if got := float64(r.Power(at)); math.Abs(got-want) > 1e-9 {
				t.Errorf("%s: at %v got %v W, want %v", c.name, at, got, want)
			}
		}
	}
}

// What the limits can't carry is left out, the least needed first, and the
// course is that of the rest.
func TestBeyondTheLimits(t *testing.T) {
	heater := load.Load{Name: "Heater", Rank: load.Comfort, Running: 700, Outlet: load.AC, Duty: 1, PowerFactor: 1}
	mask := load.Load{Name: "Mask", Rank: load.Vital, Running: 400, Outlet: load.AC, Duty: 1, PowerFactor: 1}
	motor := load.Load{Name: "Motor", Rank: load.Useful, Running: 500, Outlet: load.AC, Duty: 1, PowerFactor: 0.5}
	lamp := load.Load{Name: "Lamp", Rank: load.Comfort, Running: 50, Outlet: load.AC, Duty: 1, PowerFactor: 1}
	r := NewRig(household(t, known(), heater, mask, motor, lamp))
	var got Step
	r.Run(AsPlanned(1), 1, func(s Step) { got = s })
	// The mask 400 W and VA; the motor would make 1,400 VA, the heater 1,100 W.
	if !slices.Equal(got.Running, []int{1, 3}) || !slices.Equal(got.CannotRun, []int{2, 0}) {
		t.Errorf("running %v, cannot %v, want [1 3], [2 0]", got.Running, got.CannotRun)
	}
	if got.ToLoads != 450 {
		t.Errorf("%v W to loads, want 450", got.ToLoads)
	}
	// Exactly at the limit runs.
	r = NewRig(household(t, known(), load.Load{Name: "Kettle", Running: 1000, Outlet: load.AC, Duty: 1, PowerFactor: 1}))
	if u := r.FirstUnmet(); !math.IsInf(float64(u.Any), 1) {
		t.Errorf("1,000 W at a limit of 1,000 W: unmet at %v", u.Any)
	}
	r = NewRig(household(t, known(), load.Load{Name: "Motor", Running: 600, Outlet: load.AC, Duty: 1, PowerFactor: 0.5}))
	if u := r.FirstUnmet(); !math.IsInf(float64(u.Any), 1) {
		t.Errorf("1,200 VA at a limit of 1,200 VA: unmet at %v", u.Any)
	}
	// What cycles counts by its peak, not by its average.
	r = NewRig(household(t, known(), load.Load{Name: "Pump", Running: 1100, Outlet: load.AC, Duty: 0.1, PowerFactor: 1}))
	if u := r.FirstUnmet(); u.Any != 0 {
		t.Errorf("1,100 W a tenth of the time: unmet at %v, want 0", u.Any)
	}
}

func TestFirstUnmet(t *testing.T) {
	never := units.Hours(math.Inf(1))
	pump := load.Load{Name: "Pump", Rank: load.Useful, Running: 1500, Outlet: load.AC, Duty: 1, PowerFactor: 1}
	for _, c := range []struct {
		starts, from, to string
		rank             load.Rank
		vital, any       units.Hours
	}{
		{"12:00", "17:00", "18:00", load.Useful, never, 5},
		{"12:00", "17:00", "18:00", load.Vital, 5, 5},
		{"17:00", "17:00", "18:00", load.Vital, 0, 0},
		{"17:59", "17:00", "18:00", load.Vital, 0, 0},
		{"18:00", "17:00", "18:00", load.Vital, 23, 23},
		{"12:00", "22:00", "02:00", load.Vital, 10, 10},
		{"00:30", "22:00", "02:00", load.Vital, 0, 0},
		{"02:00", "22:00", "02:00", load.Vital, 20, 20},
		{"12:00", "00:00", "02:00", load.Vital, 12, 12},
		{"12:00", "08:00", "08:00", load.Vital, 0, 0},
	} {
		l := pump
		l.Rank, l.Use = c.rank, window(t, c.from, c.to)
		p := household(t, known(), l)
		p.Outage.Starts = clock(t, c.starts)
		if got := NewRig(p).FirstUnmet(); got.Vital != c.vital || got.Any != c.any {
			t.Errorf("from %s, due %s to %s: got %+v, want %v, %v", c.starts, c.from, c.to, got, c.vital, c.any)
		}
	}
	off := pump
	off.Off = true
	if got := NewRig(household(t, known(), off)).FirstUnmet(); got.Any != never {
		t.Errorf("switched off: got %+v", got)
	}
}

// Box is the time in which the watts as entered, added up minute by minute
// along the schedule, reach the capacity.
func TestBoxAgainstMinutes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := anyPlan(t)
		r := NewRig(p)
		got := float64(r.Box(p.Outage.SOC))
		left := float64(p.Supply.Battery.Capacity) * p.Outage.SOC
		want, rounding := math.Inf(1), 1e-6
		debt := make([]float64, len(p.Loads)) // minutes of running that what cycles by itself has missed
		for minute := 0; minute < int(Horizon)*60; minute++ {
			at := (p.Outage.Starts.Minute() + load.Minute(minute)) % load.Day
			day := r.spans[r.again:] // what can't be carried is so every day
			unmet := day[slices.IndexFunc(day, func(s span) bool { return float64(at) < s.until })].unmet
			watts := 0.0
			for k, l := range p.Loads {
				if l.Off || !l.OnAt(at) || slices.Contains(unmet, k) {
					debt[k] += l.Duty
					continue
				}
				runs := l.Duty
				if l.CyclesItself && l.Duty < 1 && l.Daily == 0 {
					t := min(1, debt[k]/(1-l.Duty))
					runs = t + (1-t)*l.Duty
					debt[k] = max(0, debt[k]-(1-l.Duty))
				}
				if l.Daily > 0 {
					watts += float64(l.Draw())
				} else {
					watts += float64(l.Running) * runs * float64(l.Count)
				}
				if runs > l.Duty {
					rounding = 1.0 / 60
				}
			}
			if left <= 0 || watts > 0 && watts/60 >= left {
				want = float64(minute) / 60
				if left > 0 {
					want += left / watts
				}
				break
			}
			left -= watts / 60
		}
		if math.Abs(got-want) > max(1e-6*max(want, 1), rounding) && got != want {
			t.Fatalf("got %v, by minutes %v h", got, want)
		}
	})
}

func TestSpansTileTheDay(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := NewRig(anyPlan(t))
		from := 0.0
		for _, s := range r.spans[r.again:] {
			if s.until <= from {
				t.Fatalf("a span to %v after one to %v", s.until, from)
			}
			from = s.until
		}
		if from != float64(load.Day) {
			t.Fatalf("the spans end at %v", from)
		}
	})
}

// A day's need is what a course of one day takes out of the battery, once what
// may run only some hours has made up for the first of those in which it may not.
func TestDay(t *testing.T) {
	lasted := 0
	rapid.Check(t, func(t *rapid.T) {
		p := anyPlan(t)
		p.Supply.Battery.Capacity += 200000 // lasts a day of nearly anything
		r := NewRig(p)
		need := r.Day()
		first, out := r.Run(AsPlanned(1), 24, nil), r.Run(AsPlanned(1), 48, nil)
		if !math.IsInf(float64(out.Empty), 1) {
			return
		}
		lasted++
		if got := first.Balance.Left - out.Balance.Left; math.Abs(float64(got-need)) > 1e-9*float64(out.Balance.Start) {
			t.Fatalf("a day takes %v Wh, said to be %v", got, need)
		}
	})
	if lasted < 50 {
		t.Errorf("only %d batteries lasted a day", lasted)
	}
}

// Lead gives less the faster it is drawn: where a steady load empties a full
// battery in some hours, a day takes 24 hours' share of it, whatever the rate.
func TestDayAtARate(t *testing.T) {
	p := household(t, lossless(1000), steady("Pump", load.Vital, 300))
	p.Supply.Battery.Chemistry, p.Supply.Battery.Peukert = battery.AGM, new(1.3)
	r := NewRig(p)
	out := r.Run(AsPlanned(1), Horizon, nil)
	if out.Empty > 0.8*1000/300 {
		t.Fatalf("lasts %v h: the rate takes too little", out.Empty)
	}
	if got, want := float64(r.Day()), float64(out.Balance.Start)*24/float64(out.Empty); math.Abs(got/want-1) > 1e-9 {
		t.Errorf("a day takes %v Wh, want %v", got, want)
	}
	if got, want := float64(r.Floor(AsPlanned(1), out.Empty/2).Need), float64(out.Balance.Start)/2; math.Abs(got/want-1) > 1e-9 {
		t.Errorf("half of the time takes %v Wh, want %v", got, want)
	}
}
