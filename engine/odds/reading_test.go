package odds

import (
	"math/rand/v2"
	"testing"

	"candleclock/engine/load"
	"candleclock/engine/outage"
	"candleclock/engine/plan"
)

// What one reading of a gauge tells to count on holds 9 times in 10 though the
// gauge be off by as much as it may: where little is left that is most of what
// counts. Taken at its word, 10% failed 4 times in 10.
func TestAReadingMayBeOff(t *testing.T) {
	begins, _ := plan.ParseMoment("2026-01-14T19:00")
	p := plan.New("Reading", begins)
	p.Supply.Battery.Chemistry, p.Supply.Battery.Capacity, p.Supply.Battery.Room = "lfp", 1000, 20
	p.Supply.Inverter.Continuous = 600
	p.Loads = []load.Load{{Name: "Mask", Rank: load.Vital, Outlet: load.AC, Count: 1, Running: 100, Duty: 1, PowerFactor: 1, Basis: load.Typical}}
	s := NewSampler(Draws, Seed)
	for _, kind := range []plan.GaugeKind{plan.Percent, plan.Bars} {
		for _, soc := range []float64{0, 0.06, 0.08, 0.1, 0.15, 0.2, 0.5, 0.97, 1} {
			p.Supply.Gauge = plan.Gauge{Kind: kind, Bars: 5}
			p.Outage.SOC, p.Outage.UnderWay, p.Outage.Log = soc, true, plan.Log{Readings: []plan.Reading{{At: begins, SOC: soc, SOCLow: soc}}}
			on := s.Runtime(p).CountOn
			rig, random := outage.NewRig(p), rand.New(rand.NewPCG(5, 6))
			all, short := 0, 0
			s.Cases(p, func(c outage.Case) {
				for range 20 {
					// Half of the error is the gauge's own, half comes with the reading.
					off := plan.GaugeError / 2 * (2*random.Float64() - 1 + 2*random.Float64() - 1)
					c.SOC = min(max(soc+off, 0), 1)
					all++
					if rig.Run(c, outage.Horizon, nil).Empty < on {
						short++
					}
				}
			})
			if fails := float64(short) / float64(all); fails > 0.115 {
				t.Errorf("%s, read %v: %v h fail %.0f times in 100, want 10", kind, soc, on, 100*fails)
			}
		}
	}

	// A charge that is only planned, one carried on from a reading, and one that
	// was told as an interval by a voltmeter or by nobody are what the plan says.
	p.Outage.SOC = 0.1
	exactly := func(name string, p plan.Plan) {
		s.Cases(p, func(c outage.Case) {
			if c.SOC != 0.1 {
				t.Fatalf("%s: a draw begins with %v, want 0.1", name, c.SOC)
			}
		})
	}
	planned := p
	planned.Outage.UnderWay, planned.Outage.Log = false, plan.Log{}
	exactly("planned", planned)
	carried := p
	carried.Outage.Starts = begins.After(1)
	exactly("carried on", carried)
	volts := p
	volts.Supply.Gauge = plan.Gauge{Kind: plan.Volts}
	exactly("a voltmeter", volts)
}
