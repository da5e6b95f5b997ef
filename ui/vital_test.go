package ui

import (
	"strings"
	"testing"
	"time"

	"candleclock/engine/load"
	"candleclock/engine/plan"
)

// Tonight tells two times: of all that is on, and of what is vital alone, which
// is what the page then says once the rest is turned off. So before an outage, in
// one, and by readings.
func TestVitalAloneOnTonight(t *testing.T) {
	for name, then := range map[string]func(w *world){
		"planned": func(w *world) {
			w.act(func() { w.app.edit(func(p *plan.Plan) { p.Outage.UnderWay, p.Outage.Log = false, plan.Log{} }) })
		},
		"begun":       func(*world) {},
		"later":       func(w *world) { w.pass(3 * time.Hour); w.act(w.onWake) },
		"read once":   func(w *world) { w.pass(2 * time.Hour); w.read("70") },
		"read thrice": func(w *world) { w.pass(2 * time.Hour); w.read("70"); w.pass(time.Hour); w.read("55") },
	} {
		w := steady(t, new(disk))
		then(w)
		w.visit("tonight")
		a := &w.app.answer
		says, all := w.app.Alone(), a.run.CountOn
		ends := a.aloneEnds()
		if ends <= all || !strings.HasPrefix(says, wAlone) && !strings.HasPrefix(says, wAloneUntil) {
			t.Errorf("%s: %q, %v h where all lasts %v", name, says, ends, all)
		}
		w.visit("send")
		if short := w.app.Parcel().Short; !strings.Contains(short, plainText(wSendAlone)) {
			t.Errorf("%s: the message says %q", name, short)
		}
		w.visit("tonight")
		said := a.clock.Moment(a.until(ends), a.from())
		if !strings.HasSuffix(says, said+".") {
			t.Errorf("%s: %q, and ends at %s", name, says, said)
		}
		checkPage(t, w.html())
		left := a.left(ends)
		w.act(func() { w.app.Toggle(1) })
		w.act(func() { w.app.Toggle(2) })
		// Each carries the reading on, which may lose a little.
		if got := a.left(a.run.CountOn); got > left+1e-6 || got < 0.93*left {
			t.Errorf("%s: told %v h, and with the rest off it is %v", name, left, got)
		}
		if got := w.app.Alone(); got != wAloneAll {
			t.Errorf("%s: with nothing else on: %q", name, got)
		}
	}
}

// While the page stays open the rest goes on using what is there: the time of
// what is vital alone comes nearer, and no later than a new answer has it.
func TestVitalAloneComesNearer(t *testing.T) {
	w := steady(t, new(disk))
	a := &w.app.answer
	w.app.Alone()
	last := a.aloneEnds()
	for range 4 {
		w.pass(time.Hour)
		w.act(w.onWake)
		w.app.Alone()
		aged := a.aloneEnds()
		if aged >= last {
			t.Errorf("at %v: %v h, before %v", w.now, aged, last)
		}
		last = aged
		w.act(w.app.think)
		w.app.Alone()
		if fresh := a.aloneEnds(); aged > fresh*1.05+1e-6 || aged < 0.9*fresh {
			t.Errorf("at %v: carried on %v h, anew %v", w.now, aged, fresh)
		}
	}
	w.act(func() {
		w.app.edit(func(p *plan.Plan) { p.Loads[0].Rank = load.Useful })
	})
	if got := w.app.Alone(); got != wAloneNone {
		t.Errorf("with nothing vital: %q", got)
	}
}
