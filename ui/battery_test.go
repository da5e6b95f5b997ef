package ui

import (
	"strings"
	"testing"

	"candleclock/engine/battery"
	"candleclock/engine/load"
	"candleclock/engine/plan"
	"candleclock/engine/units"
	"candleclock/ui/say"
)

// A night that stops the battery takes its share in the cold, not by lasting beyond
// 90 days; a heated room is no cold at all.
func TestEnergyOfAColdNight(t *testing.T) {
	for _, c := range []struct {
		name      string
		of        battery.Chemistry
		room      units.Celsius
		night     *float64
		row, none string
	}{
		{"lithium in a heated room", battery.LFP, 20, nil, "", wLostCold},
		{"lead in a heated room", battery.AGM, 20, nil, wLostCool, wLostCold},
		{"lithium in frost", battery.LFP, -5, nil, wLostCold, wLostCool},
		{"a night of -30 °C", battery.LFP, 20, new(-30.0), wLostCold, wNotUsed},
		{"a night of -15 °C", battery.LFP, 20, new(-15.0), wLostCold, wNotUsed},
		{"a night of 0 °C on lead", battery.Flooded, 20, new(0.0), wLostCold, wNotUsed},
	} {
		w := steady(t, new(disk))
		w.act(func() {
			w.app.edit(func(p *plan.Plan) {
				p.Supply.Battery.Chemistry, p.Supply.Battery.Room, p.Supply.Battery.Night = c.of, c.room, c.night
				p.Loads = append(p.Loads[:1], load.Load{Name: "Lamp", Rank: load.Useful, Outlet: load.DC, Count: 1, Running: 60, Duty: 1, Basis: load.Measured})
			})
		})
		var rows []string
		for _, r := range w.app.Energy() {
			rows = append(rows, r.Label)
		}
		all := strings.Join(rows, "; ")
		if c.row != "" && !strings.Contains(all, c.row) || strings.Contains(all, c.none) {
			t.Errorf("%s: %s", c.name, all)
		}
	}
}

// What the warmth of its room keeps a battery from is among what to take note of.
func TestBatteryNotes(t *testing.T) {
	for _, c := range []struct {
		b    battery.Battery
		want []string
	}{
		{battery.Battery{Chemistry: battery.LFP, Room: 20}, nil},
		{battery.Battery{Chemistry: battery.LFP, Room: -25}, []string{"Too cold: the battery gives nothing below -20\u00a0°C (-4\u00a0°F), unless its label says otherwise"}},
		{battery.Battery{Chemistry: battery.LFP, Room: -25, Lowest: new(-30.0)}, nil},
		{battery.Battery{Chemistry: battery.NMC, Room: -12, Lowest: new(-10.0)}, []string{"gives nothing below -10\u00a0°C (14\u00a0°F). Bring"}},
		{battery.Battery{Chemistry: battery.LFP, Room: -17}, []string{"A few degrees colder"}},
		{battery.Battery{Chemistry: battery.LFP, Room: 15, Night: new(-21.0)}, []string{"Too cold at night: the battery gives nothing", "Too cold to charge at night"}},
		{battery.Battery{Chemistry: battery.LFP, Room: 15, Night: new(-1.0)}, []string{"Too cold to charge at night"}},
		{battery.Battery{Chemistry: battery.LFP, Room: 38}, []string{"hot car"}},
		{battery.Battery{Chemistry: battery.AGM, Room: 50}, nil},
		{battery.Battery{Chemistry: battery.Flooded, Room: -12}, []string{"Lead freezes"}},
		{battery.Battery{Chemistry: battery.AGM, Room: 5, Night: new(-8.0)}, []string{"Lead freezes"}},
	} {
		got := batteryNotes(c.b)
		if len(got) != len(c.want) {
			t.Errorf("%+v: %q, want %q", c.b, got, c.want)
			continue
		}
		for i, want := range c.want {
			if !strings.Contains(got[i], want) {
				t.Errorf("%+v: %q, want %q", c.b, got[i], want)
			}
		}
	}
}

// A battery in a hot place: nothing goes into it, and the page says why.
func TestTooHotToCharge(t *testing.T) {
	p := plan.Plan{}
	p.Supply.Battery.Room = 50
	if got := noCharge(p, Prefs{}); !strings.Contains(got, "above 40\u00a0°C") || !strings.Contains(got, "hot car") {
		t.Error(got)
	}
}

// A fridge that may run only some hours is said to run as it then does.
func TestDescribeWhatMakesUp(t *testing.T) {
	fridge := load.Load{Name: "Fridge", Running: 140, Duty: 0.33, CyclesItself: true}
	at := func(hours ...load.Minute) (out []load.Window) {
		for i := 0; i < len(hours); i += 2 {
			out = append(out, load.Window{From: hours[i] * 60, To: hours[i+1] * 60})
		}
		return out
	}
	for _, c := range []struct {
		use  []load.Window
		says string
	}{
		{nil, "140\u00a0W, running about a third of the time"},
		{at(7, 9, 19, 21), "140\u00a0W, running all of the time, 7am to 9am and 7pm to 9pm, when it makes up for the hours between"},
		{at(6, 22), "140\u00a0W, running half the time, 6am to 10pm, when it makes up for the hours between"},
	} {
		fridge.Use = c.use
		if got := describe(fridge, say.Clock{}); got != c.says {
			t.Errorf("%q, want %q", got, c.says)
		}
	}
	fridge.CyclesItself = false
	fridge.Use = at(7, 9)
	if got := describe(fridge, say.Clock{}); strings.Contains(got, wMakesUp) {
		t.Errorf("what does not go on by itself: %q", got)
	}
}
