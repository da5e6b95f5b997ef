package ui

import (
	"strings"
	"testing"

	"candleclock/engine/inverter"
	"candleclock/engine/load"
	"candleclock/engine/odds"
	"candleclock/engine/plan"
	"candleclock/engine/units"
)

// Will it hold? has no power where a start trips the supply or can't be had at all,
// and says why; Tonight says so before it says any hours, and of what it leaves out;
// and the message that is sent names what can't start.
func TestChanceOfWhatTrips(t *testing.T) {
	for _, c := range []struct {
		name            string
		surge           float64
		starting        []units.Watts // of two motors of 100 W, beside a mask
		trips, no, asks bool          // no: one of them can't start at all; asks: it may not, for all that is known
	}{
		{name: "all starts fit", surge: 1200, starting: []units.Watts{500, 500}},
		{name: "one can't start alone", surge: 1200, starting: []units.Watts{1500, 500}, no: true},
		{name: "just within the surge, without a tenth to spare", surge: 1200, starting: []units.Watts{1200, 500}, no: true},
		{name: "not beside the rest", surge: 680, starting: []units.Watts{600, 600}, trips: true},
		{name: "not told", surge: 540, starting: []units.Watts{0, 110}, asks: true},
	} {
		w := steady(t, new(disk))
		w.act(func() {
			w.app.edit(func(p *plan.Plan) {
				p.Supply.Inverter.SurgeW, p.Outage.Hours = &c.surge, 1
				p.Loads = p.Loads[:1]
				for i, s := range c.starting {
					p.Loads = append(p.Loads, load.Load{Name: []string{"Medicine fridge", "Pump"}[i], Rank: load.Vital, Outlet: load.AC, Count: 1,
						Running: 100, Starting: s, Duty: 1, PowerFactor: 0.99, Basis: load.Measured, CyclesItself: true})
				}
			})
		})
		a := &w.app.answer
		for _, s := range []string{a.Lead(), a.Sentence(), a.dated()} {
			s = strings.TrimPrefix(s, wSendOut)
			if strings.HasPrefix(s, "In 20 of 20"+wTripsIs) != c.trips || strings.Contains(s, wWithout+"medicine fridge: ") != c.no {
				t.Errorf("%s: it says %q", c.name, s)
			}
		}
		cannot, advice := w.app.Cannot(), strings.Join(w.app.Advice(), " ")
		if strings.Contains(cannot, wCannotStart+"medicine fridge"+wCannotRunIs) != c.no || strings.Contains(cannot, wMayNotStart+"medicine fridge") != c.asks ||
			strings.Contains(cannot, wTripsThen) != c.trips {
			t.Errorf("%s: beside the hours it says %q", c.name, cannot)
		}
		if strings.Contains(advice, "Medicine fridge"+wHardStart) != c.no || strings.Contains(advice, "Medicine fridge"+wHardStartMay) != c.asks ||
			strings.Contains(advice, wStartsAsk+"medicine fridge") != c.asks {
			t.Errorf("%s: it advises %q", c.name, advice)
		}
		w.visit("ahead")
		chance, beside := w.app.Ahead().Chance(), strings.Join(w.app.Ahead().Beside(), " ")
		if strings.HasPrefix(chance, "In 20 of 20") == (c.trips || c.no || c.asks) || strings.HasPrefix(chance, "In none of 20") != (c.trips || c.no || c.asks) {
			t.Errorf("%s: %q", c.name, chance)
		}
		if strings.Contains(beside, wAheadCannot+"medicine fridge") != c.no || strings.Contains(beside, wAheadMayNot+"medicine fridge") != c.asks ||
			strings.Contains(beside, wAheadTripsIn+"20 of 20"+wAheadTripsIs) != c.trips {
			t.Errorf("%s: %q", c.name, beside)
		}
		w.visit("send")
		if short := w.app.Parcel().Short; strings.Contains(short, plainText(wSendUnmet)+"Medicine fridge.") != c.no {
			t.Errorf("%s: the message says %q", c.name, short)
		}
	}
}

// What is drawn may be too much though what is told is not: Tonight tells in how
// many of 20 outages, as many as the whole outage is not held in; the hours are
// told as if it held. Of a supply whose limit is not known nothing is told to trip.
func TestTonightTellsTheTrips(t *testing.T) {
	w := steady(t, new(disk))
	set := func(continuous units.Watts) {
		w.act(func() {
			w.app.edit(func(p *plan.Plan) {
				p.Supply.Battery.Capacity, p.Outage.Hours = 10000, 24
				p.Supply.Inverter = inverter.Inverter{Continuous: continuous, IdleW: new(10.0), Efficiency: new(0.9), EfficiencyAtW: new(100.0)}
				p.Loads = []load.Load{{Name: "Ventilator", Rank: load.Vital, Outlet: load.AC, Count: 1, Running: 180, Low: new(100.0), High: new(250.0),
					Duty: 1, PowerFactor: 1, Basis: load.Typical}}
			})
		})
	}
	set(1000)
	free := w.app.Big()
	if s := w.app.answer.Lead(); strings.Contains(s, wTripsIs) {
		t.Fatalf("with 1000 W: %q", s)
	}
	set(200)
	a := &w.app.answer
	e, _ := odds.NewSampler(odds.Draws, odds.Seed).Through(a.plan, nil)
	// Of the triangle from 100 to 250 W about 180, (250 − 180) ÷ 150 are above the
	// 180 W that 200 W leave: 47 in 100.
	if k := tripsOf20(a.trips); k != 10 || odds.Twenty(e.Hold()) != 20-k {
		t.Errorf("trips in %v, %d of 20; held in %v", a.trips, k, e.Hold())
	}
	if s := a.Lead(); !strings.HasPrefix(s, "In 10 of 20"+wTripsIs+" "+wPlanOnUntil) || w.app.Big() != free {
		t.Errorf("it says %q %q, with 1000 W %q", s, w.app.Big(), free)
	}
	if advice := strings.Join(w.app.Advice(), " "); !strings.Contains(advice, wTripsDraws+"10 of 20"+wTripsDrawsThen) {
		t.Errorf("it advises %q", advice)
	}
	set(0)
	if s := w.app.answer.Lead() + w.app.Cannot(); strings.Contains(s, wTripsIs) || strings.Contains(s, wTripsThen) {
		t.Errorf("of an unknown limit: %q", s)
	}
}

// Of what is vital and can't start, no hours of its own are told.
func TestVitalAloneWithoutWhatCannotStart(t *testing.T) {
	w := steady(t, new(disk))
	thing := func(name string, rank load.Rank, starting units.Watts) load.Load {
		return load.Load{Name: name, Rank: rank, Outlet: load.AC, Count: 1, Running: 60, Starting: starting, Duty: 1, PowerFactor: 1, Basis: load.Measured}
	}
	alone := func(loads ...load.Load) string {
		w.act(func() {
			w.app.edit(func(p *plan.Plan) {
				p.Supply.Inverter.SurgeW = new(900.0)
				p.Loads = append(loads, thing("Lamp", load.Comfort, 0))
			})
		})
		w.visit("loads")
		w.visit("tonight")
		return w.app.Alone()
	}
	hard := thing("Concentrator", load.Vital, 1000)
	if got := alone(hard); got != "" {
		t.Errorf("nothing vital starts: %q", got)
	}
	if got := alone(hard, thing("Mask", load.Vital, 0)); !strings.HasPrefix(got, wWithout+"concentrator: "+lowerFirst(wAloneUntil)) {
		t.Errorf("one of two starts: %q", got)
	}
}
