package outage

import (
	"math"
	"testing"

	"candleclock/engine/battery"
	"candleclock/engine/inverter"
	"candleclock/engine/load"
	"candleclock/engine/plan"
	"candleclock/engine/units"
)

// What cycles by itself costs lead more than its average. Run, which takes it so,
// must come to what Through tells of it going on and off, in the mean of many
// phases; lithium hardly differs.
func TestCyclesOnLead(t *testing.T) {
	for name, c := range map[string]struct {
		of    battery.Battery
		loads []load.Load
		more  float64 // than by its average, at least
	}{
		"flooded":       {battery.Battery{Chemistry: battery.Flooded, Capacity: 1200, Room: 20, Cutoff: new(0.0)}, []load.Load{compressor(150, 0.35)}, 1.25},
		"AGM":           {battery.Battery{Chemistry: battery.AGM, Capacity: 1200, Room: 20, Cutoff: new(0.0)}, []load.Load{compressor(150, 0.35)}, 1.1},
		"two":           {battery.Battery{Chemistry: battery.AGM, Capacity: 2400, Room: 20, Cutoff: new(0.0)}, []load.Load{compressor(150, 0.35), compressor(90, 0.5), steady("Mask", load.Vital, 20)}, 1.02},
		"LFP":           {battery.Battery{Chemistry: battery.LFP, Capacity: 1200, Room: 20, Cutoff: new(0.0)}, []load.Load{compressor(150, 0.35)}, 1},
		"steady on AGM": {battery.Battery{Chemistry: battery.AGM, Capacity: 1200, Room: 20, Cutoff: new(0.0)}, []load.Load{steady("Mask", load.Vital, 50)}, 1},
	} {
		p := household(t, plan.Supply{Battery: c.of, Inverter: inverter.Inverter{Continuous: 1000, IdleW: new(10.0), Efficiency: new(0.85)}, DCEfficiency: 0.92}, c.loads...)
		rig := NewRig(p)
		by := AsPlanned(1)
		got := float64(rig.Run(by, Horizon, nil).Empty)
		mean := 0.0
		const phases = 64
		for i := range phases {
			by.Phase = nil
			for k := range p.Loads {
				by.Phase = append(by.Phase, math.Mod((float64(i)+0.5)*[]float64{1, 19, 7}[k]/phases, 1))
			}
			mean += float64(rig.Through(by, Horizon, nil).Empty) / phases
		}
		if math.Abs(got/mean-1) > 0.02 {
			t.Errorf("%s: %v h, going on and off %v h", name, got, mean)
		}
		for i := range rig.spans {
			rig.spans[i].swing = 0
		}
		if flat := float64(rig.Run(AsPlanned(1), Horizon, nil).Empty); flat < got*c.more {
			t.Errorf("%s: by its average %v h, want %v times %v h", name, flat, c.more, got)
		} else {
			t.Logf("%s: %.2f h, on and off %.2f h, by its average %.2f h", name, got, mean, flat)
		}
	}
}

// compressor goes on and off by itself, three times an hour.
func compressor(w units.Watts, duty float64) load.Load {
	return load.Load{Name: "Compressor", Rank: load.Useful, Outlet: load.AC, Running: w, Duty: duty, PowerFactor: 1, CyclesItself: true, Cycle: 20}
}
