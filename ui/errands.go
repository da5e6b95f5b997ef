package ui

import (
	"strconv"

	"candleclock/ui/errand"
)

// The kinds by the names that templates know.
const (
	wholeErrand  = errand.Whole
	owningErrand = errand.Owning
)

// errands is what the worker is asked: one at a time, and of each kind only the
// newest.
type errands struct {
	tasks   [errand.Kinds]Task
	waiting []*job
	running *job // nil: the worker is at rest
}

// job is one question on its way to its answer.
type job struct {
	kind     errand.Kind
	question []byte
	got      func(errand.Answer)
}

// Task is how the errand of a kind stands.
type Task struct {
	state     taskState
	done, all int
}

type taskState int

const (
	taskNone    taskState = iota // nothing was asked, or the answer is there
	taskWaits                    // asked
	taskStopped                  // by the person
	taskFailed                   // there is no worker, or it is lost
)

// ask has the worker answer a question, in place of an older one of its kind.
// got is called at most once, with the page's state held: not when the errand
// is stopped, dropped or fails. What the page has worked out by itself stands
// until then.
func (a *App) ask(q errand.Question, got func(errand.Answer)) {
	a.drop(q.Kind)
	a.errands.tasks[q.Kind] = Task{state: taskWaits}
	a.errands.waiting = append(a.errands.waiting, &job{q.Kind, q.Encode(), got})
	a.nextErrand()
}

// drop ends an errand that no one waits for any more.
func (a *App) drop(kind errand.Kind) {
	e := &a.errands
	e.tasks[kind] = Task{}
	for i, j := range e.waiting {
		if j.kind == kind {
			e.waiting = append(e.waiting[:i:i], e.waiting[i+1:]...)
			break
		}
	}
	if e.running != nil && e.running.kind == kind {
		a.endErrand()
	}
}

// dropAll ends all errands: the plan that they are about, or the page that
// waited for them, is no more.
func (a *App) dropAll() {
	a.errands.waiting = nil
	for kind := range errand.Kinds {
		a.drop(kind)
	}
}

// endErrand lets the worker go, and the next errand begin.
func (a *App) endErrand() {
	a.ports.Worker.Stop()
	a.errands.running = nil
	a.nextErrand()
}

func (a *App) nextErrand() {
	e := &a.errands
	if e.running != nil || len(e.waiting) == 0 {
		return
	}
	j := e.waiting[0]
	e.running, e.waiting = j, e.waiting[1:]
	a.ports.Worker.Start(j.question, func(message []byte, err error) { a.hearErrand(j, message, err) })
}

// hearErrand takes a message of the worker. One that was on its way when its
// errand ended is no longer asked for.
func (a *App) hearErrand(j *job, message []byte, err error) {
	if a.errands.running != j {
		return
	}
	var r errand.Reply
	if err == nil {
		r, err = errand.DecodeReply(message, j.kind)
	}
	t := &a.errands.tasks[j.kind]
	switch {
	case err != nil || r.Refused != "":
		*t = Task{state: taskFailed}
	case r.Answer != nil:
		*t = Task{}
		j.got(r.Answer)
	default:
		t.done, t.all = r.Done, r.All
		return
	}
	a.endErrand()
}

// task is how the errand of a kind stands.
func (a *App) task(kind errand.Kind) *Task { return &a.errands.tasks[kind] }

// reckon asks the worker for what the page in view wants to know more finely.
// It is called when a page is opened and when the plan changes, never by a
// timer: a page that nobody touches does no work.
func (a *App) reckon() {
	a.dropAll()
	switch a.route.Page {
	case pageOwn:
		a.reckonOwn()
	case pageAhead:
		if a.lookAhead(); a.outlook.Ready() {
			a.reckonAhead()
		}
	}
}

// Says is what stands beside the quick answer; "" when there is nothing to say.
func (b *Busy) Says() string {
	switch t := b.App.task(b.Kind); t.state {
	case taskWaits:
		if t.all == 0 {
			return wBusy
		}
		return wBusy + " " + strconv.Itoa(t.done*100/t.all) + "% done."
	case taskStopped:
		return wBusyStopped
	case taskFailed:
		return wBusyFailed
	}
	return ""
}

// Waits reports whether the errand can be stopped, Again whether it can be
// asked for again.
func (b *Busy) Waits() bool { return b.App.task(b.Kind).state == taskWaits }
func (b *Busy) Again() bool { return b.Says() != "" && !b.Waits() }

// ID is the id of one of its buttons.
func (b *Busy) ID(of string) string { return of + "-" + strconv.Itoa(int(b.Kind)) }

// Stop is a tap on its button: the quick answer is good enough.
func (b *Busy) Stop() {
	if !b.Waits() {
		return // the answer has just come
	}
	b.App.drop(b.Kind)
	b.App.task(b.Kind).state = taskStopped
	b.App.status = wBusyStopped
	b.App.ports.Device.Focus(b.ID("again"))
}

// Ask is a tap on the button that asks anew.
func (b *Busy) Ask() {
	b.App.reckon()
	b.App.ports.Device.Focus(b.ID("stop"))
}
