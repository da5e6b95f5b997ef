package outage

import (
	"math"
	"testing"

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
