package ui

import (
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"candleclock/engine/battery"
	"candleclock/engine/load"
	"candleclock/engine/odds"
	"candleclock/engine/outage"
	"candleclock/engine/plan"
	"candleclock/engine/units"
	"candleclock/ui/say"
)

// What a quarter of an hour of a kettle costs is what following the night with it
// tells, as an hour of use in the plan: cold and a hard pull take their share.
func TestPlugForMinutesByTheCourse(t *testing.T) {
	for _, c := range []struct {
		chemistry battery.Chemistry
		room      units.Celsius
		capacity  units.WattHours
		empties   bool
	}{{battery.LFP, 20, 2000, false}, {battery.LFP, -15, 2000, false}, {battery.AGM, 20, 4000, false}, {battery.AGM, 0, 4000, false}, {battery.AGM, 0, 1000, true}} {
		w := steady(t, new(disk))
		w.act(func() {
			w.app.edit(func(p *plan.Plan) {
				p.Supply.Battery = battery.Battery{Chemistry: c.chemistry, Capacity: c.capacity, Room: c.room}
				p.Supply.Inverter.Continuous = 2000
			})
		})
		w.visit("plug")
		w.typeIn("plug-watts", "1500")
		w.typeIn("plug-minutes", "15")
		said := w.app.PlugSays()[1]

		p, s := w.app.book.Plan, odds.NewSampler(odds.Draws, odds.Seed)
		before := s.Runtime(p).CountOn
		at := p.Outage.Starts.Minute()
		p.Loads = append(p.Loads[:len(p.Loads):len(p.Loads)], load.Load{Name: "Kettle", Rank: load.Comfort, Outlet: load.AC, Count: 1,
			Running: 1500, Duty: 1, PowerFactor: 1, Basis: load.Label, Use: []load.Window{{From: at, To: at + 15}}})
		// A label is the most it may draw; the page counts with that.
		p.Loads[len(p.Loads)-1].Basis = load.Measured
		lost := before - s.Runtime(p).CountOn
		if c.empties {
			if said != wPlugEmpties || before-lost > 0.25 {
				t.Errorf("%s at %v °C: %q, and it lasts %v", c.chemistry, c.room, said, before-lost)
			}
			continue
		}
		_, after, found := strings.Cut(said, wPlugMinutesIs)
		after, _, _ = strings.Cut(after, wPlugOfTheNight)
		got := hoursSaid(t, after)
		if grain := say.Grain(lost); !found || got < lost-units.Hours(0.05) || got > lost+grain+units.Hours(0.05) {
			t.Errorf("%s at %v °C: %q, want about %v", c.chemistry, c.room, said, lost)
		}
	}
}

// hoursSaid reads "1 hour 45 minutes".
func hoursSaid(t *testing.T, s string) (h units.Hours) {
	f := strings.Fields(spaced(s))
	for i := 0; i+1 < len(f); i += 2 {
		v, ok := parse(f[i])
		switch unit := strings.TrimSuffix(f[i+1], "s"); {
		case !ok:
			t.Fatalf("%q says no time", s)
		case unit == "hour":
			h += units.Hours(v)
		case unit == "minute":
			h += units.Hours(v / 60)
		}
	}
	return h
}

// It makes less than 5 minutes of difference only where it does: two times that
// are rounded to the same words may lie an hour apart.
func TestPlugNothingIsNothing(t *testing.T) {
	for _, capacity := range []units.WattHours{1024, 2000, 5000, 10000, 20000} {
		w := steady(t, new(disk))
		w.act(func() { w.app.edit(func(p *plan.Plan) { p.Supply.Battery.Capacity = capacity }) })
		w.visit("plug")
		for _, watts := range []string{"0.1", "1", "2", "3", "4", "6"} {
			w.typeIn("plug-watts", watts)
			said := w.app.PlugSays()[1]
			p, s := w.app.book.Plan, odds.NewSampler(odds.Draws, odds.Seed)
			v, _ := parse(watts)
			// It draws the most that it may, as the page counts it.
			q := p
			q.Loads = append(q.Loads[:len(q.Loads):len(q.Loads)], load.Load{Name: plugName, Rank: load.Comfort, Outlet: load.AC, Count: 1,
				Running: units.Watts(v), Duty: 1, PowerFactor: 1, Basis: load.Measured})
			lost := s.Runtime(p).CountOn - s.Runtime(q).CountOn
			const unsure = 0.004 // a meter's own error, of 3 %
			if (said == wPlugNothing) != (lost < 5./60) && math.Abs(float64(lost)-5./60) > unsure || s.Runtime(p).CountOn > outage.Horizon {
				t.Errorf("%v Wh, %s W: %q, and it costs %v h", capacity, watts, said, lost)
			}
		}
	}
}

// ask puts a thing of so many watts to the page, for minutes or for good.
func (w *world) ask(watts, minutes string) (verdict, all string) {
	w.t.Helper()
	w.visit("plug")
	w.typeIn("plug-watts", watts)
	w.typeIn("plug-minutes", minutes)
	says := w.app.PlugSays()
	return spaced(says[0]), spaced(strings.Join(says, " "))
}

// A kettle for an hour costs what an hour of a kettle takes, also where it is
// more than the supply is counted to carry, and nobody has told what that is.
func TestPlugCountsWhatWasAskedFor(t *testing.T) {
	w := steady(t, new(disk))
	w.act(func() {
		w.app.edit(func(p *plan.Plan) {
			p.Supply.Inverter.Continuous, p.Supply.Battery.Capacity = 0, 2200
			p.Loads = append(p.Loads, load.Load{Name: "All the rest", Rank: load.Useful, Outlet: load.AC, Count: 1, Running: 600, Duty: 1, PowerFactor: 1, Basis: load.Measured})
		})
	})
	for _, c := range []struct{ watts, minutes, want string }{
		{"1500", "60", wPlugEmpties}, {"1500", "", ""}, {"300", "60", "1 hour" + wPlugMinutesIs}, {"300", "", ""}, {"1500", "10", "10 minutes" + wPlugMinutesIs},
	} {
		if verdict, all := w.ask(c.watts, c.minutes); strings.Contains(all, wPlugNothing) || !strings.Contains(all, c.want) || strings.HasPrefix(verdict, wPlugYes) {
			t.Errorf("%s W for %q minutes: %q", c.watts, c.minutes, all)
		}
	}
}

// No limit is told as a fact that its owner has not entered.
func TestPlugTellsNoGuessAsFact(t *testing.T) {
	w := steady(t, new(disk))
	supply := func(change func(s *plan.Supply)) { w.act(func() { w.app.editSupply(change) }) }
	for name, c := range map[string]struct {
		change func(s *plan.Supply)
		fact   bool
	}{
		"entered":                  {func(s *plan.Supply) { s.Inverter.Continuous, s.Inverter.SurgeW = 600, new(900.0) }, true},
		"nothing known":            {func(s *plan.Supply) { s.Inverter.Continuous, s.Inverter.SurgeW = 0, nil }, false},
		"taken by its size":        {func(s *plan.Supply) { presets[3].apply(s) }, false},
		"a size, and then its own": {func(s *plan.Supply) { presets[3].apply(s); s.Inverter.Continuous = 900 }, true},
	} {
		supply(c.change)
		for _, watts := range []string{"3000", "20"} {
			_, all := w.ask(watts, "")
			if fact := strings.Contains(all, wSupplyCarries) || strings.Contains(all, wSupplyStarts); fact != c.fact {
				t.Errorf("%s, %s W: %q", name, watts, all)
			}
		}
	}
	supply(func(s *plan.Supply) { presets[0].apply(s) })
	if verdict, all := w.ask("30", ""); !strings.HasPrefix(verdict, wPlugNo) || strings.Contains(all, " 1 W") {
		t.Errorf("a power bank without a mains socket: %q", all)
	}
}

// Never yes on an empty battery, nor once the time has passed, nor where it would
// empty it before it is done.
func TestPlugNeverYesOnEmpty(t *testing.T) {
	w := steady(t, new(disk))
	long := w.app.answer.run.CountOn
	if verdict, _ := w.ask("20", ""); !strings.HasPrefix(verdict, wPlugYes) {
		t.Fatalf("on a full battery: %q", verdict)
	}
	if verdict, all := w.ask("400", "1000"); !strings.HasPrefix(verdict, wPlugNotYet) || !strings.Contains(all, wPlugEmpties) {
		t.Errorf("for longer than it lasts: %q", all)
	}
	w.pass(time.Duration(float64(long)*float64(time.Hour)) + time.Minute)
	w.act(w.onWake)
	for _, key := range []string{"phone", "lamp-led", "kettle"} {
		w.visit("plug")
		for _, f := range w.app.PlugFound() {
			if strings.HasPrefix(f.Line, "Yes") {
				t.Errorf("the time has passed, and the list says %q", f.Line)
			}
		}
		w.act(func() { w.app.Plug(key) })
		if all := strings.Join(w.app.PlugSays(), " "); !strings.HasPrefix(all, wPlugNotNow) || strings.Contains(all, wPlugYes) {
			t.Errorf("the time has passed, and of a %s it says %q", key, all)
		}
	}
	w = steady(t, new(disk))
	w.visit("tonight")
	w.read("0")
	if verdict, _ := w.ask("20", ""); strings.HasPrefix(verdict, wPlugYes) {
		t.Errorf("at 0%%: %q", verdict)
	}
}

// Together within the watts and beyond the volt-amperes is no yes; each by itself
// is within both.
func TestPlugKeepsTheVoltAmperes(t *testing.T) {
	w := steady(t, new(disk)) // 100 W on, of which 60 are a heater
	w.act(func() {
		w.app.edit(func(p *plan.Plan) {
			p.Supply.Inverter.Continuous, p.Supply.Inverter.ContinuousVA = 600, new(600.0)
			p.Loads = append(p.Loads, load.Load{Name: "Pump", Rank: load.Useful, Outlet: load.AC, Count: 1, Running: 100, Duty: 1, PowerFactor: 0.25, Basis: load.Measured})
		})
	})
	if verdict, all := w.ask("20", ""); !strings.HasPrefix(verdict, wPlugYes) {
		t.Errorf("500 VA on and 20 more, of 600: %q", all)
	}
	if verdict, all := w.ask("90", ""); !strings.HasPrefix(verdict, wPlugNotYet) || !strings.Contains(all, wPlugTogether+"590 VA") {
		t.Errorf("500 VA on and 90 more, of 600: %q", all)
	}
}

// A thing of the catalogue is answered at once, above every empty box, and the
// things most asked about before anything is typed.
func TestPlugAnswersAtOnce(t *testing.T) {
	w := steady(t, new(disk))
	w.visit("plug")
	page := w.html()
	for _, f := range w.app.PlugFound() {
		word, _, _ := strings.Cut(f.Line, ":")
		if word != "Yes" && word != "No" && word != "Not as things are now" {
			t.Errorf("%s: %q", f.Name, f.Line)
		}
	}
	if len(w.app.PlugFound()) < 4 {
		t.Errorf("nothing to tap at first: %v", w.app.PlugFound())
	}
	if says, box := strings.Index(page, `id="plug-says"`), strings.Index(page, `id="plug-watts"`); says < 0 || says > box {
		t.Error("the answer stands below the boxes")
	}
	w.act(func() { w.app.Plug("phone") })
	if says := w.app.PlugSays(); len(says) < 2 || !strings.HasPrefix(says[0], wPlugYes) || w.focus[len(w.focus)-1] != "plug-says" {
		t.Errorf("a phone: %q, the focus is on %v", says, w.focus)
	}
	checkPage(t, w.html())
}

// Neither the card nor Tonight tells what is usual for a size as the supply's own.
func TestLimitsBySizeAreToldAsSuch(t *testing.T) {
	w := steady(t, new(disk))
	w.act(w.app.PowerBack)
	for _, own := range []bool{false, true} {
		w.act(func() {
			w.app.edit(func(p *plan.Plan) {
				presets[3].apply(&p.Supply)
				if own {
					p.Supply.Name = "Ours"
				}
				p.Loads[2].Running = 3000
			})
		})
		w.visit("card")
		var card []string
		for _, p := range w.app.Reading() {
			card = append(card, p.Lines...)
		}
		if got := strings.Contains(strings.Join(card, " "), wCardBySize); got == own {
			t.Errorf("own figures %v: the card says %q", own, w.app.Card().Never)
		}
		if got := slices.Contains(w.app.Advice(), wLimitBySize); got == own {
			t.Errorf("own figures %v: Tonight says %q", own, w.app.Advice())
		}
	}
}
