package outage

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"candleclock/engine/load"
	"candleclock/engine/plan"
	"candleclock/engine/units"
)

func fridge(t testing.TB, windows ...string) load.Load {
	l := load.Load{Name: "Fridge", Rank: load.Useful, Outlet: load.DC, Running: 140, Duty: 0.33, CyclesItself: true}
	for i := 0; i < len(windows); i += 2 {
		l.Use = append(l.Use, window(t, windows[i], windows[i+1])...)
	}
	return l
}

// took is what loads took between two hours of a course, Wh.
func took(run func(units.Hours, func(Step)), from, to units.Hours) (wh float64) {
	run(to, func(s Step) {
		h := min(s.To, to) - max(s.From, from)
		wh += float64(s.ToLoads) * max(0, float64(h))
	})
	return wh
}

// A fridge that may run from 7 to 9 and from 19 to 21 runs all of both hours, but
// for what it is first allowed: until then the mains kept it cold.
func TestCatchUpOnPaper(t *testing.T) {
	p := household(t, lossless(1e6), fridge(t, "07:00", "09:00", "19:00", "21:00"))
	p.Outage.Starts = clock(t, "18:00")
	r := NewRig(p)
	run := func(until units.Hours, see func(Step)) { r.Run(AsPlanned(1), until, see) }
	// 0.33 h owed at 19:00 take 0.33/0.67 h without a pause.
	first := 0.33/0.67 + (2-0.33/0.67)*0.33
	for _, c := range []struct{ from, to, want float64 }{
		{0, 1, 0},
		{1, 1 + 0.33/0.67, 0.33 / 0.67},
		{1, 3, first},
		{3, 13, 0},
		{13, 15, 2},
		{25, 27, 2},
		{13, 13 + 5*24, 20},
	} {
		if got := took(run, units.Hours(c.from), units.Hours(c.to)) / 140; math.Abs(got-c.want) > 1e-9 {
			t.Errorf("between %v and %v h after the start it runs %v h, want %v", c.from, c.to, got, c.want)
		}
	}
	if got := float64(r.Day()); math.Abs(got-560) > 1e-9 {
		t.Errorf("a day takes %v Wh, want 560", got)
	}
	// What a kilowatt-hour lasts: two days of it, and what is left after the third window.
	p.Supply = lossless(1000)
	r = NewRig(p)
	rest := (1000 - 140*(first+6)) / 140
	if got := float64(r.Run(AsPlanned(1), Horizon, nil).Empty); math.Abs(got-(49+rest)) > 1e-9 || r.Box(1) != units.Hours(got) {
		t.Errorf("it lasts %v h, the box figure is %v, want %v", got, r.Box(1), 49+rest)
	}
	f := r.Floor(AsPlanned(1), 49+units.Hours(rest))
	if math.Abs(float64(f.Need)-1000) > 1e-6 || math.Abs(float64(f.Saves[0])-1000) > 1e-6 {
		t.Errorf("until then %v Wh are needed, of which it saves %v: want all 1,000", f.Need, f.Saves[0])
	}
}

// With an inverter that draws 10 W while the fridge may run: the fourth window, not
// the ninth.
func TestRationedFridgeIsNotHopeful(t *testing.T) {
	p := household(t, known(), fridge(t, "07:00", "09:00", "19:00", "21:00"))
	p.Loads[0].Outlet = load.AC
	p.Supply.Inverter.OffWhenUnused = true
	p.Outage.Starts = clock(t, "18:00")
	first := 140 * (0.33/0.67 + (2-0.33/0.67)*0.33)
	want := 37 + (1000-first-20-600)/150
	if got := float64(NewRig(p).Run(AsPlanned(1), Horizon, nil).Empty); math.Abs(got-want) > 1e-9 {
		t.Errorf("lasts %v h, want %v", got, want)
	}
	p.Loads[0].CyclesItself = false // what it lasts where nothing is made up for
	if got := NewRig(p).Run(AsPlanned(1), Horizon, nil).Empty; got < 97 {
		t.Errorf("lasts %v h where nothing is made up for", got)
	}
}

// At no moment has a store of one warmth with a thermostat run for longer than a
// course has it, whatever its windows, its time constant and where it stands in its
// cycle; but for the stroke of that.
func TestCatchUpIsNeverLess(t *testing.T) {
	random := rand.New(rand.NewPCG(7, 8))
	for n := range 40 {
		l := fridge(t)
		l.Duty, l.Cycle = 0.1+0.8*random.Float64(), 5+60*random.Float64()
		for range 1 + random.IntN(3) {
			from := random.IntN(1440)
			l.Use = append(l.Use, load.Window{From: load.Minute(from), To: load.Minute((from + 20 + random.IntN(400)) % 1440)})
		}
		p := household(t, lossless(1e6), l)
		p.Outage.Starts = clock(t, "00:00")
		begin := random.IntN(1440)
		p.Outage.Starts = p.Outage.Starts.After(units.Hours(begin) / 60)
		tau, room, set := 8+60*random.Float64(), 25.0, 3.0
		const hours = 72
		var ran []float64 // by minute
		warm, sum := set, 0.0
		for m := range hours * 60 {
			ran = append(ran, sum)
			const step = 1.0 / 3600
			for range 60 {
				down, pull := 0.0, (room-set)/l.Duty
				if l.OnAt(load.Minute((begin + m) % 1440)) {
					down = min(1, max(0, ((warm-set)+step/tau*(room-set))/(step/tau*pull)))
				}
				warm += step / tau * (room - warm - down*pull)
				sum += down * step
			}
		}
		r := NewRig(p)
		stroke := l.Duty * (1 - l.Duty) * l.Cycle / 60
		for _, phase := range []float64{-1, 0, 0.2, 0.5, 0.9} {
			c, slack := AsPlanned(1), 1e-3
			if phase >= 0 {
				c.Phase = []float64{phase}
				slack += stroke + phase // it starts as far ahead as its cycle had brought it
			}
			booked, at := 0.0, 0
			follow := func(s Step) {
				for ; at < len(ran) && float64(at)/60 <= float64(s.To); at++ {
					here := booked + float64(s.ToLoads)*max(0, float64(at)/60-float64(s.From))/140
					if ran[at] > here+slack {
						t.Fatalf("%d: after %v h a store with τ %v has run %v h, by the course %v: %+v", n, float64(at)/60, tau, ran[at], here, l)
					}
				}
				booked += float64(s.ToLoads) * float64(s.To-s.From) / 140
			}
			if phase < 0 {
				r.Run(c, hours, follow)
			} else {
				r.Through(c, hours, follow)
			}
		}
	}
}

// What stood for hours runs without a pause when there is power again, whatever
// kept it from running.
func TestCatchUpAfterAStandstill(t *testing.T) {
	always := fridge(t)
	useful := func(p *plan.Plan) {
		p.Outage.UsefulBelow = new(0.5)
	}
	for name, c := range map[string]struct {
		change func(p *plan.Plan)
		soc    float64
	}{
		"an empty supply":   {func(*plan.Plan) {}, 0},
		"dropped by a rule": {useful, 0.2},
	} {
		p := household(t, lossless(1000), always, steady("Radio", load.Vital, 1))
		p.Outage.Starts = clock(t, "00:00")
		c.change(&p)
		k := AsPlanned(c.soc)
		k.Phase = []float64{0.5, 0}
		k.Sun = append(make([]units.Watts, 10), slices.Repeat([]units.Watts{5000}, 40)...)
		r := NewRig(p)
		run := func(until units.Hours, see func(Step)) { r.Through(k, until, see) }
		fridgeAlone := func(from, to units.Hours) float64 {
			return (took(run, from, to) - float64(to-from)) / 140
		}
		// Ten hours at a third are 3.3 h owed, made up for in nearly five.
		if got := fridgeAlone(10.5, 14.5); math.Abs(got-4) > 1e-6 {
			t.Errorf("%s: of four hours after it, it runs %v", name, got)
		}
		if got := fridgeAlone(16, 36); math.Abs(got-20*0.33) > 0.2 {
			t.Errorf("%s: of twenty hours once it has made up for it, it runs %v", name, got)
		}
	}
}

// An outage under way goes on from where it stood: what was owed since it began is
// not forgotten where the plan is counted from a later moment.
func TestOwedUnderWay(t *testing.T) {
	begin := household(t, lossless(1e6), fridge(t, "07:00", "09:00", "19:00", "21:00"))
	begin.Outage.Starts = clock(t, "18:00")
	begin.Outage.UnderWay = true
	begin.Outage.Log.Readings = []plan.Reading{{At: begin.Outage.Starts, SOC: 1, SOCLow: 1}}
	whole := NewRig(begin)
	run := func(until units.Hours, see func(Step)) { whole.Run(AsPlanned(1), until, see) }
	for _, later := range []units.Hours{0, 0.5, 1.25, 2, 9, 13.5, 30, 80} {
		p := begin
		p.Outage.Starts = begin.Outage.Starts.After(later)
		r := NewRig(p)
		onward := func(until units.Hours, see func(Step)) { r.Run(AsPlanned(1), until, see) }
		for _, h := range []units.Hours{3, 8, 20, 50} {
			if got, want := took(onward, 0, h), took(run, later, later+h); math.Abs(got-want) > 1e-6 {
				t.Errorf("%v h later, in %v h it takes %v Wh, want %v", later, h, got, want)
			}
		}
		p.Outage.UnderWay = false // planned for then: the mains run it until then
		r = NewRig(p)
		if got, want := took(onward, 0, 20), took(run, later, later+20); got > want+1e-6 || later == 9 && got >= want {
			t.Errorf("%v h later, on the mains until then, it takes %v Wh, and %v Wh without", later, got, want)
		}
	}
	// The power was back for a long time until an hour ago: the mains ran it.
	back := begin
	back.Outage.Starts = begin.Outage.Starts.After(12)
	back.Outage.Log.Power = []plan.Power{{At: begin.Outage.Starts}, {At: begin.Outage.Starts.After(4), Back: true}, {At: begin.Outage.Starts.After(11)}}
	r := NewRig(back)
	after := func(until units.Hours, see func(Step)) { r.Run(AsPlanned(1), until, see) }
	owes := 0.33 * 2 // since an hour, and until seven
	if got, want := took(after, 0, 3)/140, owes/0.67+(2-owes/0.67)*0.33; math.Abs(got-want) > 1e-6 {
		t.Errorf("after the power was back: from 6 to 9 it runs %v h, want %v", got, want)
	}
	// Switched off for six hours, it makes up for two.
	p := household(t, lossless(1e6), fridge(t))
	p.Outage.UnderWay = true
	p.Outage.Log.Switches = []plan.Switch{{At: p.Outage.Starts, Load: "FRIDGE"}, {At: p.Outage.Starts.After(6), Load: "Fridge", On: true}}
	p.Outage.Starts = p.Outage.Starts.After(6)
	r = NewRig(p)
	onward := func(until units.Hours, see func(Step)) { r.Run(AsPlanned(1), until, see) }
	if got, want := took(onward, 0, 24)/140, 24*0.33+6*0.33; math.Abs(got-want) > 1e-9 {
		t.Errorf("after six hours off it runs %v h in a day, want %v", got, want)
	}
	k := AsPlanned(1)
	k.Phase = []float64{0.9}
	through := func(until units.Hours, see func(Step)) { r.Through(k, until, see) }
	if got := took(through, 0, 2.9) / 140; math.Abs(got-2.9) > 1e-9 {
		t.Errorf("after six hours off it runs for %v of the next 2.9 h", got)
	}
}
