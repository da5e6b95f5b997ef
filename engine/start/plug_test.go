package start

import (
	"testing"

	"candleclock/engine/inverter"
	"candleclock/engine/load"
	"candleclock/engine/units"

	"pgregory.net/rapid"
)

// One thing more, by hand: each limit by itself says no, and at nine tenths of
// it yes.
func TestPlugByHand(t *testing.T) {
	fridge := runs("Fridge", 100, 600)
	fridge.CyclesItself = true
	weak := func(running units.Watts, factor float64) load.Load {
		l := runs("Weak", running, 0)
		l.PowerFactor = factor
		return l
	}
	usb := runs("Phone", 5000, 0)
	usb.Outlet = load.USB
	for _, c := range []struct {
		name string
		on   []load.Load
		more load.Load
		of   inverter.Limits
		want May
	}{
		{"within all", []load.Load{runs("Lamp", 100, 0)}, runs("Fan", 50, 0), limits(1000, 2000),
			May{Running: 150, VA: 150, Last: 150, Best: 150, Restart: Restart{Load: -1, Fits: true}, LastFits: true, BestFits: true, Fits: true}},
		{"too many watts alone", nil, runs("Kettle", 1500, 0), limits(1000, 2000), May{Never: TooManyWatts}},
		{"too many volt-amperes alone", nil, weak(600, 0.5), limits(1000, 2000), May{Never: TooManyVA}},
		{"too hard a start alone", nil, runs("Pump", 500, 2500), limits(1000, 2000), May{Never: HardStart}},
		{"at nine tenths together", []load.Load{runs("Lamp", 100, 0)}, runs("Iron", 800, 0), limits(1000, 2000),
			May{Running: 900, VA: 900, Last: 900, Best: 900, Restart: Restart{Load: -1, Fits: true}, LastFits: true, BestFits: true, Fits: true}},
		{"a watt above", []load.Load{runs("Lamp", 100, 0)}, runs("Iron", 801, 0), limits(1000, 2000),
			May{Over: TooManyWatts, Running: 901, VA: 901, Last: 901, Best: 901, Restart: Restart{Load: -1, Fits: true}, LastFits: true, BestFits: true}},
		// 300 W at 0.5 and 200 W at 0.4: 1,100 VA, of 1,000.
		{"only the volt-amperes together", []load.Load{weak(300, 0.5)}, weak(200, 0.4), limits(1000, 2000),
			May{Over: TooManyVA, Running: 500, VA: 1100, Last: 500, Best: 500, Restart: Restart{Load: -1, Fits: true}, LastFits: true, BestFits: true}},
		// 300 W running and a start of 700 W make 1,000; the start alone is 700.
		{"last trips, first does not", []load.Load{runs("Heater", 300, 0)}, runs("Pump", 100, 700), limits(1000, 1000),
			May{Running: 400, VA: 400, Last: 1000, Best: 700, Restart: Restart{Load: -1, Fits: true}, BestFits: true}},
		{"the fridge trips it later", []load.Load{fridge}, runs("Heater", 400, 0), limits(1000, 1000),
			May{Running: 500, VA: 500, Last: 500, Best: 600, Restart: Restart{Load: 0, Peak: 1000}, LastFits: true, BestFits: true}},
		{"itself later", []load.Load{runs("Heater", 400, 0)}, fridge, limits(1000, 1000),
			May{Running: 500, VA: 500, Last: 1000, Best: 600, Restart: Restart{Load: 1, Peak: 1000}, BestFits: true}},
		{"not through the inverter", []load.Load{runs("Heater", 990, 0)}, usb, limits(1000, 1000),
			May{Restart: Restart{Load: -1, Fits: true}, LastFits: true, BestFits: true, Fits: true}},
		{"beside what can't run anyway", []load.Load{runs("Kettle", 1500, 0)}, runs("Fan", 50, 0), limits(1000, 1000),
			May{Running: 50, VA: 50, Last: 50, Best: 50, Restart: Restart{Load: -1, Fits: true}, LastFits: true, BestFits: true, Fits: true}},
	} {
		got := Plug(c.on, c.more, c.of)
		if c.want.Never != "" {
			if got.Never != c.want.Never || got.Fits {
				t.Errorf("%s: %+v", c.name, got)
			}
			continue
		}
		if c.want.Restart.Load < 0 {
			got.Restart.Peak = 0
		}
		if got.Restart.Load != c.want.Restart.Load || got.Restart.Peak != c.want.Restart.Peak || got.Restart.Fits != c.want.Restart.Fits {
			t.Errorf("%s: the worst restart is %+v", c.name, got.Restart)
		}
		got.Restart, c.want.Restart = Restart{}, Restart{}
		if got != c.want {
			t.Errorf("%s:\n got %+v\nwant %+v", c.name, got, c.want)
		}
	}
}

// Whatever may be plugged in leaves every limit a tenth: running, in VA, as it is
// switched on last, and at the worst restart; added up thing by thing.
func TestPlugKeepsEveryLimit(t *testing.T) {
	yes := 0
	rapid.Check(t, func(t *rapid.T) {
		thing := func(name string) load.Load {
			l := runs(name, units.Watts(rapid.Float64Range(1, 400).Draw(t, name)), 0)
			l.PowerFactor = rapid.Float64Range(0.3, 1).Draw(t, name+" factor")
			if rapid.Bool().Draw(t, name+" has a motor") {
				l.Starting = l.Running * units.Watts(rapid.Float64Range(1, 5).Draw(t, name+" starts"))
				l.CyclesItself = rapid.Bool().Draw(t, name+" goes on by itself")
			}
			return l
		}
		var on []load.Load
		for i := range rapid.IntRange(0, 4).Draw(t, "on") {
			on = append(on, thing("Thing "+string(rune('A'+i))))
		}
		more := thing("More")
		limit := limits(rapid.Float64Range(200, 1500).Draw(t, "carries"), rapid.Float64Range(200, 4000).Draw(t, "starts"))
		limit.Surge = max(limit.Surge, limit.Continuous)
		if !Plug(on, more, limit).Fits {
			return
		}
		yes++
		var w, surge float64
		var va float64
		for _, l := range append(on, more) {
			if len(Order([]load.Load{l}, limit).Never) > 0 {
				continue // it stays unplugged
			}
			w, va = w+float64(l.Running), va+float64(l.Running)/l.PowerFactor
			if l.CyclesItself || l.Name == "More" {
				surge = max(surge, float64(max(l.Starting, l.Running)-l.Running))
			}
		}
		const room = 0.9 + 1e-9
		if w > room*float64(limit.Continuous) || va > room*float64(limit.ContinuousVA) || w+surge > room*float64(limit.Surge) {
			t.Fatalf("yes at %v W, %v VA, %v W in the worst moment; the limits are %+v", w, va, w+surge, limit)
		}
	})
	if yes == 0 {
		t.Error("never yes")
	}
}
