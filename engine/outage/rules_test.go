package outage

import (
	"math"
	"slices"
	"testing"

	"candleclock/engine/battery"
	"candleclock/engine/charge"
	"candleclock/engine/load"
	"candleclock/engine/plan"
	"candleclock/engine/units"
)

// steady is a load on 12 V that draws so much all the time.
func steady(name string, rank load.Rank, w units.Watts) load.Load {
	return load.Load{Name: name, Rank: rank, Outlet: load.DC, Running: w, Duty: 1, PowerFactor: 1}
}

// What a few lines on paper give, of a battery that loses nothing.
func TestRulesOnPaper(t *testing.T) {
	never := math.Inf(1)
	// 100 Wh at 10 W fall to 20 in 8 h; 100 W by a generator, net of the load,
	// lift them to 90 in 7/9 h and burn 0.5 L/h of 0.5 L. The rest lasts 2/9 h when
	// it starts again 7 h later, of which it leaves a minute's.
	const again = 2.0/9 - 1.0/60
	const dry = 8 + 7.0/9 + 7 + again + (20+90*again)/10
	sun := func(from, hours int, w units.Watts) []units.Watts { // of the clock, from noon's midnight on
		s := make([]units.Watts, from+hours)
		for h := from; h < from+hours; h++ {
			s[h] = w
		}
		return s
	}
	for _, c := range []struct {
		name                            string
		capacity                        units.WattHours
		loads                           []load.Load
		change                          func(p *plan.Plan)
		sun                             []units.Watts
		until, empty, vital, any, first float64 // h; first is how long the first load is without
		litres                          float64
	}{
		// 1000 Wh: 100 W to 400 Wh in 6 h, then 20 W for 20 h.
		{"comfort dropped at 40 %", 1000, []load.Load{steady("Lamp", load.Comfort, 80), steady("Mask", load.Vital, 20)},
			func(p *plan.Plan) { p.Outage.ComfortBelow = new(0.4) }, nil, 30, 26, 26, 6, 24, 0},
		// 100 W to 500 Wh in 5 h, 60 W to 200 Wh in 5 h, 10 W for 20 h.
		{"comfort, then useful", 1000, []load.Load{steady("Router", load.Useful, 50), steady("Lamp", load.Comfort, 40), steady("Mask", load.Vital, 10)},
			func(p *plan.Plan) { p.Outage.ComfortBelow, p.Outage.UsefulBelow = new(0.5), new(0.2) }, nil, 28, never, never, 5, 18, 0},
		// Only useful is told, and comfort goes along: 100 W to 200 Wh in 8 h.
		{"comfort with useful", 1000, []load.Load{steady("Lamp", load.Comfort, 40), steady("Router", load.Useful, 50), steady("Mask", load.Vital, 10)},
			func(p *plan.Plan) { p.Outage.UsefulBelow = new(0.2) }, nil, 20, never, never, 8, 12, 0},
		// Empty at ten in the evening, charged at 30 W from midnight: 10 of 100 Wh
		// are back after 20 minutes.
		{"back at a tenth", 100, []load.Load{steady("Mask", load.Vital, 10)}, func(p *plan.Plan) {}, sun(24, 3, 30), 15, 10, 10, 10, 2 + 1.0/3, 0},
		{"back at a half", 100, []load.Load{steady("Mask", load.Vital, 10)}, func(p *plan.Plan) { p.Supply.BackOn = new(0.5) }, sun(24, 3, 30), 15, 10, 10, 10, 2 + 5.0/3, 0},
		// 60 W by the car in four hours of each day carry 10 W for good.
		{"the car by the clock", 300, []load.Load{steady("Mask", load.Vital, 10)}, func(p *plan.Plan) {
			p.Supply.Inputs = []charge.Input{{Kind: charge.Car, Volts: 12, Amps: 5, Fuse: 10}}
			p.Outage.Refills = []plan.Refill{{Kind: charge.Car, From: new(load.Minute(600)), To: new(load.Minute(840))}}
		}, nil, 2000, never, never, never, 0, 0},
		{"the generator by the charge", 100, []load.Load{steady("Mask", load.Vital, 10)}, func(p *plan.Plan) {
			p.Supply.Inputs = []charge.Input{{Kind: charge.Generator, Watts: 100, Fuel: []charge.FuelPoint{{}, {}}}}
			p.Supply.Inputs[0].Fuel[0].LPerH, p.Supply.Inputs[0].Fuel[1].LPerH, p.Supply.Inputs[0].Fuel[1].Load = 0.4, 0.5, 100
			p.Outage.Refills = []plan.Refill{{Kind: charge.Generator, Below: new(0.2), Litres: 0.5}}
		}, nil, 100, dry, dry, dry, 100 - dry, 0.5 * (1 - 1.0/60)},
		// At night 0 °C keep back 13 % of 1000 Wh: 50 W end at 130 Wh, at 05:24;
		// at nine the 130 are back, for 2.6 h.
		{"a cold night", 1000, []load.Load{steady("Mask", load.Vital, 50)}, func(p *plan.Plan) { p.Supply.Battery.Night = new(0.0) }, nil, 30, 17.4, 17.4, 17.4, 3.6 + 6.4, 0},
	} {
		p := household(t, lossless(c.capacity), c.loads...)
		p.Supply.Battery.ChargeEfficiency = new(1.0)
		c.change(&p)
		k := AsPlanned(1)
		k.Sun = c.sun
		got := NewRig(p).Through(k, units.Hours(c.until), nil)
		const tolerance = 11.0 / 3600 // h: a second of the generator, and what it brings for ten more
		for what, pair := range map[string][2]float64{"empty": {float64(got.Empty), c.empty}, "vital out": {float64(got.VitalOut), c.vital},
			"anything out": {float64(got.AnyOut), c.any}, "without": {float64(got.Without[0]), c.first}, "litres": {got.Litres, c.litres}} {
			if pair[0] != pair[1] && !(math.Abs(pair[0]-pair[1]) < tolerance) {
				t.Errorf("%s: %s: got %v, want %v", c.name, what, pair[0], pair[1])
			}
		}
	}
	// The headline's course counts what the night keeps back too.
	p := household(t, lossless(1000), steady("Mask", load.Vital, 50))
	p.Supply.Battery.Night = new(0.0)
	if got := NewRig(p).Run(AsPlanned(1), Horizon, nil).Empty; math.Abs(float64(got)-17.4) > 1e-9 {
		t.Errorf("Run: got %v h, want 17.4", got)
	}
}

// A generator that is asked for by the charge runs from a fifth of 300 Wh to nine
// tenths: of 100 W, 10 go to the load, and of the rest a fifth is lost. What the
// battery loses by itself, d W, makes that 210 Wh ÷ (72 W − d), to the last bit
// but for rounding. It burns half a litre an hour.
func TestGeneratorOnPaper(t *testing.T) {
	p := household(t, lossless(300), steady("Mask", load.Vital, 10))
	p.Supply.Battery.ChargeEfficiency, p.Supply.Battery.SelfDischarge = new(0.8), new(0.3)
	p.Supply.Inputs = []charge.Input{{Kind: charge.Generator, Watts: 100, Fuel: []charge.FuelPoint{{}, {}}}}
	p.Supply.Inputs[0].Fuel[0].LPerH, p.Supply.Inputs[0].Fuel[1].LPerH, p.Supply.Inputs[0].Fuel[1].Load = 0.4, 0.5, 100
	p.Outage.Refills = []plan.Refill{{Kind: charge.Generator, Below: new(0.2), Litres: 10}}
	d := float64(p.Supply.Battery.Model().Drain)
	starts, runs := 240/(10+d), 210/(72-d)
	var from, to units.Hours
	left, steps := units.WattHours(0), 0
	got := NewRig(p).Through(AsPlanned(1), 36, func(s Step) {
		if s.Fed > 0 && s.To > s.From {
			from, to, left = s.From, s.To, s.LeftTo
			steps++
		}
	})
	if steps != 1 {
		t.Errorf("the stop was found in %d steps, not solved for", steps)
	}
	b := got.Balance
	for what, pair := range map[string][2]float64{"starts": {float64(from), starts}, "stops": {float64(to), starts + runs}, "left": {float64(left), 270},
		"fed": {float64(b.Fed), 100 * runs}, "lost in charging": {float64(b.Charging), 0.2 * 90 * runs}, "litres": {got.Litres, runs / 2}} {
		const tolerance = 1e-6
		if math.Abs(pair[0]-pair[1]) > tolerance {
			t.Errorf("%s: got %v, want %v", what, pair[0], pair[1])
		}
	}
	// Asked for from 0.85 on, it goes on to 0.95.
	p.Outage.Refills[0].Below, p.Supply.Battery.SelfDischarge = new(0.85), new(0.0)
	most := units.WattHours(0)
	NewRig(p).Through(AsPlanned(0.86), 5, func(s Step) { most = max(most, s.LeftTo) })
	if math.Abs(float64(most)-0.95*300) > 1e-6 {
		t.Errorf("from 0.85 on it fills to %v Wh, want 285", most)
	}
}

// Fuel that nobody told is one litre: two hours at half a litre an hour.
func TestFuelThatIsNotTold(t *testing.T) {
	p := household(t, lossless(1000), steady("Mask", load.Vital, 100))
	p.Supply.Inputs = []charge.Input{{Kind: charge.Generator, Watts: 100, Fuel: []charge.FuelPoint{{}, {}}}}
	p.Supply.Inputs[0].Fuel[0].LPerH, p.Supply.Inputs[0].Fuel[1].LPerH, p.Supply.Inputs[0].Fuel[1].Load = 0.4, 0.5, 100
	p.Outage.Refills = []plan.Refill{{Kind: charge.Generator, From: new(load.Minute(0)), To: new(load.Minute(0))}}
	got := NewRig(p).Through(AsPlanned(1), 24, nil)
	if math.Abs(got.Litres-1) > 0.01 || math.Abs(float64(got.Balance.Fed)-200) > 2 {
		t.Errorf("%v L bring %v Wh, want 1 and 200", got.Litres, got.Balance.Fed)
	}
}

// A car and a generator at once, the car's taken first: of 80 Wh in half an hour
// 30 are the car's and 50 the generator's, at 100 W a quarter of a litre.
func TestCarBeforeGenerator(t *testing.T) {
	p := household(t, lossless(1000), steady("Mask", load.Vital, 10))
	p.Supply.Battery.ChargeEfficiency = new(1.0)
	p.Supply.Inputs = []charge.Input{{Kind: charge.Car, Volts: 12, Amps: 5, Fuse: 10}, {Kind: charge.Generator, Watts: 100, Fuel: []charge.FuelPoint{{}, {}}}}
	p.Supply.Inputs[1].Fuel[0].LPerH, p.Supply.Inputs[1].Fuel[1].LPerH, p.Supply.Inputs[1].Fuel[1].Load = 0.4, 0.5, 100
	p.Outage.Refills = []plan.Refill{{Kind: charge.Car, From: new(load.Minute(600)), To: new(load.Minute(840))},
		{Kind: charge.Generator, From: new(load.Minute(600)), To: new(load.Minute(840)), Litres: 5}}
	got := NewRig(p).Through(AsPlanned(0.2), 0.5, nil)
	if math.Abs(float64(got.Balance.Fed)-80) > 1e-9 || math.Abs(got.Litres-0.25) > 1e-9 {
		t.Errorf("%v Wh and %v litres, want 80 and 0.25", got.Balance.Fed, got.Litres)
	}
}

// What was switched stays so for five minutes. On paper: 300 W take 30 of 100 Wh
// in six minutes; a generator of 400 W brings 20 back in twelve, stops, and for
// five minutes another 25 go, down to 65. And of 210 W beside a car's 150, 60
// take ten of 50 Wh in ten minutes, 200 W of comfort are dropped, and the 11.7 Wh
// of five minutes, more than the five that would do, last till the end.
func TestFiveMinutes(t *testing.T) {
	p := household(t, lossless(100), steady("Pump", load.Vital, 300))
	p.Supply.Battery.ChargeEfficiency = new(1.0)
	p.Supply.Inputs = []charge.Input{{Kind: charge.Generator, Watts: 400}, {Kind: charge.Wall, Watts: 400}}
	p.Outage.Refills = []plan.Refill{{Kind: charge.Generator, Below: new(0.7), Litres: 50}}
	if got := NewRig(p).Through(AsPlanned(1), 1, nil).Least; math.Abs(float64(got)-65) > 1e-6 {
		t.Errorf("the least is %v Wh, want 65", got)
	}
	p = household(t, lossless(100), steady("Mask", load.Vital, 10), steady("Heater", load.Comfort, 200))
	p.Supply.Battery.ChargeEfficiency = new(1.0)
	p.Supply.Inputs = []charge.Input{{Kind: charge.Car, Volts: 12, Amps: 12.5, Fuse: 20}}
	p.Outage.Refills = []plan.Refill{{Kind: charge.Car, From: new(load.Minute(600)), To: new(load.Minute(840))}}
	p.Outage.ComfortBelow = new(0.4)
	if got := NewRig(p).Through(AsPlanned(0.5), 0.4, nil).Without[1]; math.Abs(float64(got)-5.0/60) > 1e-6 {
		t.Errorf("dropped for %v h, want five minutes", got)
	}
}

// In a cold in which lead gives nothing it takes nothing: an hour of sun carries
// the load, and what is off then does not come back with the next.
func TestFrozen(t *testing.T) {
	p := household(t, lossless(1000), steady("Mask", load.Vital, 10))
	p.Supply.Battery.Chemistry = battery.Flooded
	c := AsPlanned(1)
	for p.Supply.Battery.Room > -200 && p.Supply.Battery.Model().Usable > 0 {
		p.Supply.Battery.Room--
	}
	c.Sun = sunny(100, 30, 36)
	c.Sun[12] = 100
	for _, night := range []*float64{nil, new(-100.0)} {
		p.Supply.Battery.Night = night
		got := NewRig(p).Through(c, 24, nil)
		if got.Empty != 1 || math.Abs(float64(got.Without[0])-23) > 1e-9 || got.Balance.Charging != 0 || got.Balance.Left != 0 {
			t.Errorf("empty %v, without %v, %+v", got.Empty, got.Without, got.Balance)
		}
		// What a generator brings goes to the load alone.
		q := p
		q.Supply.Inputs = []charge.Input{{Kind: charge.Generator, Watts: 100}}
		q.Outage.Refills = []plan.Refill{{Kind: charge.Generator, Below: new(0.2), Litres: 50}}
		b := NewRig(q).Through(AsPlanned(1), 24, nil).Balance
		if b.Fed != b.ToLoads || !(b.Fed > 0) || b.Left != 0 {
			t.Errorf("with a generator %+v", b)
		}
	}
}

// Many hours of use leave room for few cycles: the largest loads keep theirs.
func TestFewCycles(t *testing.T) {
	metronome := steady("Metronome", load.Useful, 0)
	for m := load.Minute(0); m < load.Day; m += 10 {
		metronome.Use = append(metronome.Use, load.Window{From: m, To: m + 5})
	}
	p := household(t, lossless(1000), metronome)
	for i := range 5 {
		l := steady("Fridge", load.Useful, units.Watts(10+i))
		l.CyclesItself, l.Duty = true, 0.5
		p.Loads = append(p.Loads, l)
	}
	// 288 stretches at three levels in 2⁴ ways are 13,824, in 2⁵ too many.
	w := NewRig(p).newWhole()
	if len(w.flows) != 13824 || len(w.able) != 4 || slices.ContainsFunc(w.able, func(c cycle) bool { return c.load == 1 }) {
		t.Errorf("%d flows, cycles of %+v", len(w.flows), w.able)
	}
}
