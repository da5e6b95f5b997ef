package ui

import (
	"reflect"
	"strings"
	"testing"

	"candleclock/engine/odds"
	"candleclock/engine/plan"
	"candleclock/engine/plan/plantest"
	"candleclock/ui/errand"
)

// ahead is a page with the cottage's plan that looks ahead, its worker at work.
func ahead(t *testing.T, change ...func(w *world)) *world {
	t.Helper()
	w := openPage(t, new(disk), change...)
	w.act(w.app.OpenFile)
	w.act(func() { w.accept("plan.json", []byte(plantest.CottageFile), nil) })
	w.visit("ahead")
	return w
}

func (w *world) busy() *Busy { return &Busy{App: w.app, Kind: errand.Whole} }

func TestErrandIsAnswered(t *testing.T) {
	w := ahead(t)
	quick := w.app.outlook.got
	if w.worker.errand == nil || !w.busy().Waits() {
		t.Fatal("the page opens and asks its worker nothing")
	}
	if quick == nil || w.app.Ahead().Chance() == "" {
		t.Error("there is no quick answer meanwhile")
	}
	w.worker.say(errand.Reply{Done: 1, All: 3}.Encode(), nil)
	if got := w.busy().Says(); !strings.Contains(got, "33%") {
		t.Errorf("a third of the way it says %q", got)
	}
	checkPage(t, w.html())
	w.worker.work()
	want, _ := errand.Follow(w.app.outlook.plan, odds.NewSampler(odds.Draws, odds.Seed), nil)
	if got := w.app.outlook.got; !reflect.DeepEqual(got.Ensemble, want.Ensemble) || len(got.Poor) != len(want.Poor) {
		t.Errorf("answered: %+v, want what the page's own thread would have found, %+v", got.Ensemble, want.Ensemble)
	}
	if got := w.busy().Says(); got != "" || w.busy().Waits() || !w.worker.idle {
		t.Errorf("answered, it says %q; waits %v; the worker is let go: %v", got, w.busy().Waits(), w.worker.idle)
	}
	checkPage(t, w.html())
}

func TestErrandNewestWins(t *testing.T) {
	w := ahead(t)
	old := w.worker.heard
	first := w.worker.errand
	w.act(func() { w.app.edit(func(p *plan.Plan) { p.Loads[1].Off = true }) })
	if w.worker.started < 2 || string(w.worker.errand) == string(first) {
		t.Fatal("another plan is no other question")
	}
	before := w.app.outlook.got
	// The first errand's answer was on its way.
	w.act(func() { old(errand.Work(first, nil).Encode(), nil) })
	if w.app.outlook.got != before || !w.busy().Waits() {
		t.Error("the answer to a question that is no more was taken")
	}
	w.act(func() { old(nil, errBroken) })
	if !w.busy().Waits() {
		t.Error("the death of a worker that was let go ends the errand of its successor")
	}
	w.worker.work()
	if w.busy().Says() != "" {
		t.Errorf("answered, it says %q", w.busy().Says())
	}
}

func TestErrandIsLeftWithItsPage(t *testing.T) {
	w := ahead(t)
	w.visit("loads")
	if w.worker.errand != nil || !w.worker.idle {
		t.Error("the page that asked is gone, and the worker works on")
	}
	w.visit("ahead")
	if w.worker.errand == nil {
		t.Error("back on the page nothing is asked")
	}
	started := w.worker.started
	w.act(w.onWake)
	if w.worker.started != started {
		t.Error("the clock alone asks the worker")
	}
}

func TestErrandStops(t *testing.T) {
	w := ahead(t)
	quick := w.app.outlook.got
	late := w.worker.heard
	question := w.worker.errand
	b := w.busy()
	w.act(b.Stop)
	if w.worker.errand != nil || b.Waits() || b.Says() != wBusyStopped || !b.Again() {
		t.Errorf("stopped: waits %v, says %q", b.Waits(), b.Says())
	}
	w.act(func() { late(errand.Work(question, nil).Encode(), nil) })
	if w.app.outlook.got != quick || b.Says() != wBusyStopped {
		t.Error("a late answer is taken although it was stopped")
	}
	w.act(b.Stop) // tapped twice
	checkPage(t, w.html())
	w.act(b.Ask)
	if !b.Waits() || w.worker.errand == nil {
		t.Error("asked again, nothing happens")
	}
	w.worker.work()
	if b.Says() != "" {
		t.Errorf("answered, it says %q", b.Says())
	}
}

func TestErrandFails(t *testing.T) {
	for name, fail := range map[string]func(w *world){
		"dead":    func(w *world) { w.worker.say(nil, errBroken) },
		"babbles": func(w *world) { w.worker.say([]byte("hello"), nil) },
		"refuses": func(w *world) { w.worker.say(errand.Reply{Refused: "no"}.Encode(), nil) },
	} {
		w := ahead(t)
		quick := w.app.outlook.got
		fail(w)
		if b := w.busy(); b.Says() != wBusyFailed || !b.Again() || w.app.outlook.got != quick {
			t.Errorf("%s: it says %q", name, b.Says())
		}
		if !w.worker.idle {
			t.Errorf("%s: it is not let go", name)
		}
		checkPage(t, w.html())
		w.act(w.busy().Ask)
		w.worker.work()
		if b := w.busy(); b.Says() != "" {
			t.Errorf("%s: another try says %q", name, b.Says())
		}
	}
	w := ahead(t, func(w *world) { w.worker.missing = true })
	if b := w.busy(); b.Says() != wBusyFailed || w.app.Ahead().Chance() == "" {
		t.Errorf("without workers: it says %q, and the quick answer is %q", b.Says(), w.app.Ahead().Chance())
	}
}
