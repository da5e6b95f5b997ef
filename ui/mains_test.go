package ui

import (
	"strings"
	"testing"
	"time"

	"candleclock/engine/charge"
	"candleclock/engine/plan"
	"candleclock/engine/yield"
	"candleclock/ui/say"
)

// When the power comes back the battery holds what it held, and what an adapter
// puts in meanwhile; one that nobody told puts in little. Nobody's reading is
// noted.
func TestPowerComesAndGoes(t *testing.T) {
	for _, adapter := range []float64{0, 250} {
		w := steady(t, new(disk))
		if adapter > 0 {
			w.act(func() {
				w.app.edit(func(p *plan.Plan) { p.Supply.Inputs = []charge.Input{{Kind: charge.Wall, Watts: 250}} })
			})
		}
		began := plan.At(w.now)
		w.pass(6 * time.Hour)
		w.read("20")
		w.act(w.app.Recount) // what the readings tell together ends with the outage
		low := w.app.answer.left(w.app.answer.run.CountOn)
		w.act(w.app.PowerBack)
		back := plan.At(w.now)
		o := w.app.book.Plan.Outage
		if o.UnderWay || o.Starts != back || o.SOC > 0.2 || len(o.Log.Readings) != 0 {
			t.Fatalf("%v W: when it came back %+v", adapter, o)
		}
		if p := o.Log.Power; len(p) != 2 || p[0].At != began || p[0].Back || p[1].At != back || !p[1].Back {
			t.Errorf("%v W: noted %+v", adapter, p)
		}
		if !w.app.Open("read") || w.field("read-percent") == nil {
			t.Errorf("%v W: the gauge is not asked for", adapter)
		}
		if got := w.app.Big(); got != say.Hours(low) {
			t.Errorf("%v W: it says %q, and had %v h left", adapter, got, low)
		}
		checkPage(t, w.html())

		w.pass(time.Hour)
		w.act(w.onWake)
		says := w.app.Mains()
		if !strings.HasPrefix(says, wMainsBack+"1:03am"+wMainsHad+say.Percent(*w.app.book.Plan.Outage.Log.Power[1].SOCLow)+wTo+"20%") || strings.Contains(says, "100%") {
			t.Errorf("%v W: %q", adapter, says)
		}
		w.act(w.app.PowerOut)
		o = w.app.book.Plan.Outage
		// The gauge may have been off.
		least, most, had := 0.2, 0.2, *o.Log.Power[1].SOCLow
		if had < 0.05 || had > 0.15 {
			t.Errorf("%v W: it had at least %v", adapter, had)
		}
		if l := o.SOCLow; l != nil {
			least = *l
		} else {
			least = o.SOC
		}
		// By hand: 250 Wh, or 100 Wh, at the input of 1,024 Wh; LFP stores above 0.9.
		if adapter > 0 {
			most += 250. / 1024
			if least < had+0.9*250/1024 {
				t.Errorf("after an hour of 250 W at least %v", least)
			}
		} else {
			most += 100. / 1024 / 0.9
			if least != had {
				t.Errorf("after an hour of nobody knows what at least %v", least)
			}
		}
		if !o.UnderWay || o.SOC > most || o.Starts != plan.At(w.now) {
			t.Errorf("%v W: out again at %+v, at most %v", adapter, o, most)
		}
		if rows := w.app.Readings(); len(rows) != 0 || len(o.Log.Readings) != 0 {
			t.Errorf("%v W: readings that nobody took: %v, %v", adapter, rows, o.Log.Readings)
		}
		if p := o.Log.Power; len(p) != 3 || p[2].Back || p[2].At != plan.At(w.now) {
			t.Errorf("%v W: noted %+v", adapter, p)
		}
		if w.app.answer.began() != plan.At(w.now) {
			t.Errorf("%v W: it began at %s", adapter, w.app.answer.began())
		}
		if _, err := plan.Decode(w.app.book.Plan.Encode()); err != nil {
			t.Error(err)
		}
	}
}

// A reading taken on the mains corrects what is counted, begins no outage, and
// the next outage counts from it.
func TestReadingOnTheMains(t *testing.T) {
	w := steady(t, new(disk))
	w.pass(5 * time.Hour)
	w.read("40")
	w.act(w.app.PowerBack)
	w.pass(30 * time.Minute)
	w.act(w.onWake)
	w.typeIn("read-percent", "31")
	w.act(w.app.SaveReading)
	o := w.app.book.Plan.Outage
	if o.UnderWay || o.SOC != 0.31 || o.SOCLow != nil || o.Starts != plan.At(w.now) || !o.OnMains() {
		t.Fatalf("read on the mains: %+v", o)
	}
	if says := w.app.Mains(); !strings.HasPrefix(says, wMainsRead) || !strings.Contains(says, "31%") {
		t.Errorf("it says %q", says)
	}
	w.pass(2 * time.Hour)
	w.act(w.onWake)
	was := w.app.book.Plan
	low, soc := yield.Mains(was, 2)
	w.act(w.app.PowerOut)
	if o := w.app.book.Plan.Outage; !o.UnderWay || o.SOC != soc || *o.SOCLow != low || low != 0.31 || len(o.Log.Readings) != 0 {
		t.Errorf("out again: %+v, want %v to %v", o, low, soc)
	}
	w.act(w.app.Undo)
	if o := w.app.book.Plan.Outage; o.UnderWay || o.SOC != 0.31 || len(o.Log.Power) != 2 {
		t.Errorf("undone: %+v", o)
	}
	// Who plans another outage is taken at their word.
	w.visit("prepare")
	w.typeIn("prepare-at", "6pm")
	w.typeIn("prepare-soc", "100")
	w.visit("tonight")
	if w.app.Mains() != "" || w.app.answer.plan.Outage.SOC != 1 {
		t.Errorf("planned anew: %q, %+v", w.app.Mains(), w.app.answer.plan.Outage)
	}
}

// The answer goes on by itself while the battery fills, and never falls.
func TestMainsFillWhileThePageIsOpen(t *testing.T) {
	w := steady(t, new(disk))
	w.act(func() {
		w.app.edit(func(p *plan.Plan) { p.Supply.Inputs = []charge.Input{{Kind: charge.Wall, Watts: 300}} })
	})
	w.pass(4 * time.Hour)
	w.read("30")
	w.act(w.app.PowerBack)
	last := w.app.answer.run.CountOn
	for range 8 {
		w.pass(30 * time.Minute)
		w.act(w.onWake)
		if now := w.app.answer.run.CountOn; now < last {
			t.Errorf("at %v %v h, before %v h", w.now, now, last)
		} else {
			last = now
		}
	}
	if !strings.Contains(w.app.Mains(), "300") || !strings.Contains(w.app.Mains(), "full") {
		t.Errorf("after four hours of 300 W it says %q", w.app.Mains())
	}
}
