package start

import (
	"fmt"
	"slices"
	"testing"

	"candleclock/engine/inverter"
	"candleclock/engine/load"
	"candleclock/engine/units"

	"pgregory.net/rapid"
)

// runs is a load on AC that draws and starts as given.
func runs(name string, running, starting units.Watts) load.Load {
	return load.Load{Name: name, Outlet: load.AC, Count: 1, Running: running, Starting: starting, Duty: 1, PowerFactor: 1}
}

// limits of an inverter that carries continuous, W and VA, and starts surge.
func limits(continuous, surge float64) inverter.Limits {
	return inverter.Limits{Continuous: units.Watts(continuous), ContinuousVA: units.VoltAmps(continuous), Surge: units.Watts(surge), SurgeS: 3}
}

// highest is the highest draw when the loads are switched on in the order
// given, found by adding up one moment after another.
func highest(loads []load.Load, order []int) units.Watts {
	var on, most units.Watts
	for _, i := range order {
		l := loads[i]
		for range max(1, l.Count) {
			most = max(most, on+max(l.Starting, l.Running))
			on += l.Running
			most = max(most, on)
		}
	}
	return most
}

// permutations shows every order of the indices.
func permutations(of []int, see func([]int)) {
	var from func(int)
	from = func(k int) {
		if k == len(of) {
			see(of)
			return
		}
		for i := k; i < len(of); i++ {
			of[k], of[i] = of[i], of[k]
			from(k + 1)
			of[k], of[i] = of[i], of[k]
		}
	}
	from(0)
}

// No order has a lower highest peak than the one found, tried on all orders of
// up to 8 loads.
func TestOrderBeatsEveryOther(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.SampledFrom([]int{1, 2, 3, 4, 5, 6, 6, 7, 7, 8}).Draw(t, "loads")
		var loads []load.Load
		for i := range n {
			// Whole watts: sums are then the same in any order.
			l := runs(fmt.Sprintf("Load %d", i), units.Watts(rapid.IntRange(0, 500).Draw(t, "running")), units.Watts(rapid.IntRange(0, 2000).Draw(t, "starting")))
			l.Count = rapid.IntRange(1, 3).Draw(t, "count")
			loads = append(loads, l)
		}
		q := Order(loads, limits(1e6, 1e6))
		if len(q.Steps) != n {
			t.Fatalf("%d steps for %d loads", len(q.Steps), n)
		}
		var order []int
		for _, s := range q.Steps {
			order = append(order, s.Load)
		}
		if got := highest(loads, order); got != q.Peak {
			t.Fatalf("the order peaks at %v W, Peak says %v", got, q.Peak)
		}
		permutations(slices.Clone(order), func(other []int) {
			if got := highest(loads, other); got < q.Peak {
				t.Fatalf("%v peaks at %v W, the order found, %v, at %v", other, got, order, q.Peak)
			}
		})
	})
}

func TestSteps(t *testing.T) {
	loads := []load.Load{
		runs("Lamp", 20, 0),
		runs("Freezer", 100, 600),
		runs("Fan", 60, 180),
		{Name: "Router", Outlet: load.DC, Running: 10, Starting: 50, Duty: 1},
		{Name: "Heater", Outlet: load.AC, Running: 900, Duty: 1, Off: true},
		runs("Pump", 200, 700),
	}
	q := Order(loads, limits(1000, 1200))
	// The freezer and the pump exceed by 500 each: the plan's order stands.
	want := []Step{{1, 600}, {5, 800}, {2, 480}, {0, 380}}
	if !slices.Equal(q.Steps, want) {
		t.Errorf("got %v, want %v", q.Steps, want)
	}
	if q.Running != 380 || q.VA != 380 || q.Peak != 800 || !q.Fits || len(q.Never) != 0 {
		t.Errorf("got %+v", q)
	}
}

// Common practice: with 650 W on and a highest peak of 1,200 W, what runs at
// 150 W and starts at 600 W trips the inverter when it is switched on last and
// runs when it is first; but when its thermostat starts it again later, all
// else running, it trips it whatever the order was.
func TestCompressorFirst(t *testing.T) {
	loads := []load.Load{runs("Heater", 650, 0), runs("Fridge", 150, 600)}
	loads[1].CyclesItself = true
	limit := limits(1000, 1200)
	if last := highest(loads, []int{0, 1}); last <= limit.Surge {
		t.Fatalf("switched on last: peak %v W, which fits", last)
	}
	q := Order(loads, limit)
	if want := []Step{{1, 600}, {0, 800}}; !slices.Equal(q.Steps, want) || !q.Fits {
		t.Errorf("got %v, fits: %v, want %v that fit", q.Steps, q.Fits, want)
	}
	if got, want := q.WorstRestart(loads, limit), (Restart{Load: 1, Peak: 1250, PeakVA: 1250, Fits: false}); got != want {
		t.Errorf("restart: got %+v, want %+v", got, want)
	}
}

func TestWorstRestart(t *testing.T) {
	self := func(l load.Load) load.Load { l.CyclesItself = true; return l }
	poor := self(runs("Old fridge", 200, 500)) // 600 VA beside its 400
	poor.PowerFactor = 0.5
	for _, c := range []struct {
		name  string
		loads []load.Load
		want  Restart
	}{
		{"nothing", nil, Restart{-1, 0, 0, true}},
		{"nothing by itself", []load.Load{runs("Pump", 300, 1000)}, Restart{-1, 300, 300, true}},
		{"the greatest excess, first in the list", []load.Load{self(runs("Freezer", 100, 600)), self(runs("Fridge", 100, 500))}, Restart{0, 700, 700, true}},
		{"the greatest excess", []load.Load{runs("Pump", 300, 1000), self(runs("Fridge", 100, 500)), self(runs("Freezer", 100, 600))}, Restart{2, 1000, 1000, true}},
		{"no excess", []load.Load{self(runs("Heater", 400, 0))}, Restart{0, 400, 400, true}},
		{"just with a tenth to spare", []load.Load{runs("Lamp", 480, 0), self(runs("Fridge", 100, 600))}, Restart{1, 1080, 1080, true}},
		{"a watt beyond that", []load.Load{runs("Lamp", 481, 0), self(runs("Fridge", 100, 600))}, Restart{1, 1081, 1081, false}},
		{"what is refused does not run", []load.Load{self(runs("Furnace", 1100, 0)), self(runs("Fridge", 100, 600))}, Restart{1, 600, 600, true}},
		{"too much in VA only, of another", []load.Load{runs("Lamp", 120, 0), self(runs("Freezer", 100, 450)), poor}, Restart{2, 720, 1220, false}},
	} {
		limit := limits(1000, 1200)
		if got := Order(c.loads, limit).WorstRestart(c.loads, limit); got != c.want {
			t.Errorf("%s: got %+v, want %+v", c.name, got, c.want)
		}
	}
}

func TestNever(t *testing.T) {
	two := runs("Two fridges", 300, 781) // the second starts on top of the first
	two.Count = 2
	poor := runs("Old motor", 600, 0)
	poor.PowerFactor = 0.5
	startsPoor := runs("Concentrator", 320, 811) // 1,081 VA by a factor of 0.75
	startsPoor.PowerFactor = 0.75
	dc := load.Load{Name: "Winch", Outlet: load.DC, Running: 5000, Duty: 1}
	off := runs("Oven", 5000, 0)
	off.Off = true
	itself := func(running units.Watts, factor float64) load.Load {
		return load.Load{Name: "Own", Outlet: load.AC, Running: running, Duty: 0.3, PowerFactor: factor, CyclesItself: true}
	}
	for _, c := range []struct {
		name string
		load load.Load
		want []Refusal
	}{
		{"too many watts", runs("Oven", 1001, 0), []Refusal{{0, TooManyWatts, false}}},
		{"just enough watts", runs("Oven", 1000, 0), nil},
		{"too many volt-amperes", poor, []Refusal{{0, TooManyVA, false}}},
		{"a hard start", runs("Pump", 300, 1081), []Refusal{{0, HardStart, false}}},
		{"just no hard start, a tenth to spare", runs("Pump", 300, 1080), nil},
		{"a hard start in volt-amperes", startsPoor, []Refusal{{0, HardStart, false}}},
		{"a hard start after another of its kind", two, []Refusal{{0, HardStart, false}}},
		{"a start that nobody told", itself(217, 0), []Refusal{{0, HardStart, true}}},
		{"of poor power factor", itself(160, 0.7), []Refusal{{0, HardStart, true}}},
		{"that just fits", itself(216, 0), nil},
		{"of what heats", itself(900, 1), nil},
		{"not on ac", dc, nil},
		{"switched off", off, nil},
	} {
		if got := Order([]load.Load{c.load}, limits(1000, 1200)).Never; !slices.Equal(got, c.want) {
			t.Errorf("%s: got %v, want %v", c.name, got, c.want)
		}
	}
}

// What each could do alone may be too much together.
func TestTogetherTooMuch(t *testing.T) {
	limit := limits(1000, 1200)
	poor := func(name string) load.Load {
		l := runs(name, 300, 0)
		l.PowerFactor = 0.5
		return l
	}
	starts := runs("Motor", 100, 500) // 1,000 VA
	starts.PowerFactor = 0.5
	for name, loads := range map[string][]load.Load{
		"watts":                   {runs("Heater", 600, 0), runs("Kettle", 301, 0)},
		"volt-amperes":            {poor("Motor"), poor("Pump")},
		"peak":                    {runs("Pump", 300, 1000), runs("Fan", 300, 900)},
		"peak of volt-amperes":    {starts, runs("Saw", 600, 1050)}, // the saw first; then the motor beside it: 600 + 1,000 VA
		"within, but for a tenth": {runs("Pump", 300, 1000), runs("Fan", 300, 800)},
	} {
		if q := Order(loads, limit); q.Fits || len(q.Steps) != len(loads) || len(q.Never) != 0 {
			t.Errorf("%s: got %+v", name, q)
		}
	}
	// Of each limit nine tenths may be reached.
	for name, loads := range map[string][]load.Load{
		"watts":        {runs("Heater", 600, 0), runs("Kettle", 300, 0)},
		"volt-amperes": {poor("Motor"), runs("Kettle", 300, 0)},
		"peak":         {runs("Pump", 300, 1080), runs("Fan", 300, 780)},
	} {
		if q := Order(loads, limit); !q.Fits || q.Running != 900 && q.VA != 900 && q.Peak != 1080 {
			t.Errorf("%s just within: got %+v", name, q)
		}
	}
	if q := Order(nil, limit); !q.Fits || q.Peak != 0 {
		t.Errorf("nothing: got %+v", q)
	}
}

// A surge that is over before a motor has started starts none, neither first nor
// by itself later; one without a time does.
func TestSurgeTooShort(t *testing.T) {
	freezer := runs("Freezer", 150, 560)
	freezer.CyclesItself = true
	for _, c := range []struct {
		seconds *float64
		starts  bool
	}{{new(0.0), false}, {new(0.2), false}, {new(0.5), true}, {new(5.0), true}, {nil, true}} {
		limit := inverter.Inverter{Continuous: 400, SurgeW: new(800.0), SurgeS: c.seconds}.Limits()
		all := []load.Load{freezer, runs("Lamp", 100, 0)}
		q := Order(all, limit)
		if refused := slices.Contains(q.Never, Refusal{0, HardStart, false}); refused == c.starts {
			t.Errorf("%+v: refused %v", limit, q.Never)
		}
		all[0].Starting = 355 // alone it would start
		if q = Order(all, limit); len(q.Never) > 0 || q.WorstRestart(all, limit).Fits != c.starts {
			t.Errorf("%+v: %+v, restarts %+v", limit, q, q.WorstRestart(all, limit))
		}
	}
}
