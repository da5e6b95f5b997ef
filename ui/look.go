package ui

import (
	"bytes"
	"errors"
	"strconv"
	"strings"

	"candleclock/engine/link"
	"candleclock/engine/plan"
	"candleclock/ui/say"
)

// linkKey stands before a plan's code in the address.
const linkKey = "p"

// Look is a plan that came by a link or in a file and is only looked at:
// nothing of it is kept until its owner says so.
type Look struct {
	link   string // as it stands in the address; "" for a plan file
	fault  string // why it can't be read; then nothing else is set
	plan   plan.Plan
	answer Answer
	same   *Book // the plan of this device with the same id; nil when there is none
	diff   comparison
	outage plan.Outage     // of the plan here, its reading carried on to now
	chosen map[string]bool // keys of the changes that are ticked
	would  string          // what the plan here would say with them
}

// lookAt makes the link in the address the one that is looked at, if it names
// one and is not that already.
func (a *App) lookAt(r Route) {
	if r.Page != pageLook {
		a.look = nil
		return
	}
	if r.Link == insideKey {
		if a.ports.Parts.Inside() == nil {
			a.look = nil // the file has none
		} else if a.look == nil || a.look.link != insideKey {
			a.look = &Look{link: insideKey}
			a.look.plan, a.look.fault = a.readInside()
		}
	} else if r.Link != "" && (a.look == nil || a.look.link != r.Link) {
		a.look = &Look{link: r.Link}
		code := strings.TrimPrefix(r.Link, linkKey+"=")
		p, err := link.Parse(code)
		if code == "" {
			err = link.ErrCutOff
		}
		if err != nil {
			a.look.fault = faultSays(err)
			return
		}
		a.look.plan = p
	}
	if a.look != nil && a.look.fault == "" {
		a.setBeside()
	}
}

// setBeside works out what is said of the plan that is looked at, against what
// is kept here now.
func (a *App) setBeside() {
	l := a.look
	a.tick()
	l.answer = a.answerTo(l.plan)
	l.same = nil
	if b := a.find(l.plan.ID); b != nil && b.Sealed == nil {
		l.same, l.diff, l.outage = b, compare(b.Plan, l.plan, a.prefs), b.Plan.Outage
		if here := a.answerTo(b.Plan); b.Plan.Outage.UnderWay && here.Ready() && here.from() != l.outage.Starts {
			l.outage = here.carriedFrom(l.outage, a.sampler)
		}
	}
	if l.chosen == nil {
		l.chosen = map[string]bool{}
	}
	a.foresee()
}

// merged is the plan here with what is ticked. In an outage other loads or
// another supply count from now on only: what was used is used.
func (l *Look) merged() plan.Plan {
	p := l.diff.take(l.chosen)
	if l.ticked() > 0 && !l.chosen["outage"] {
		p.Outage = l.outage
		if !sameDraw(p, l.same.Plan) {
			p.Outage.Log = plan.Log{Power: p.Outage.Log.Power} // the rest is of the loads as they were
		}
	}
	return p
}

// sameDraw reports whether two plans have the same loads on the same supply.
func sameDraw(a, b plan.Plan) bool {
	b.Name, b.Place, b.Mains, b.Panels, b.Outage, b.Candidates, b.Unknown = a.Name, a.Place, a.Mains, a.Panels, a.Outage, a.Candidates, a.Unknown
	return bytes.Equal(a.Encode(), b.Encode())
}

// foresee works out what the plan here would say with what is ticked.
func (a *App) foresee() {
	l := a.look
	if l.same == nil {
		return
	}
	would := a.answerTo(l.merged())
	l.would = wLookAsHere
	if l.ticked() > 0 {
		l.would = wLookWould
	}
	l.would += would.dated()
}

// faultSays says why a link can't be opened.
func faultSays(err error) string {
	var newer *link.NewerError
	switch {
	case errors.Is(err, link.ErrCutOff):
		return wLinkCut
	case errors.Is(err, link.ErrDamaged):
		return wLinkDamaged
	case errors.As(err, &newer):
		return wLinkNewer
	case errors.Is(err, link.ErrNotOurs), errors.Is(err, link.ErrTooLong):
		return wLinkNotOurs
	}
	return firstUpper(err.Error()) + "."
}

// offer shows a plan that came as a file beside the one here with its id.
func (a *App) offer(p plan.Plan) {
	a.look = &Look{plan: p}
	a.Go(pageLook)
}

// Looking is what the page Look shows; never nil.
func (a *App) Looking() *Look {
	if a.look == nil {
		return &Look{}
	}
	return a.look
}

// Fault says why the link can't be opened; "" when it can.
func (l *Look) Fault() string { return l.fault }

// Heading is the heading of the page.
func (l *Look) Heading() string {
	switch {
	case l.fault != "":
		return wLookBroken
	case l.same != nil:
		return wLookSame + named(l.same.Plan.Name)
	}
	return wLookNew
}

// Known reports whether there is a plan to look at.
func (l *Look) Known() bool { return l.fault == "" }

// Name is the plan's name, Answer its answer in a sentence.
func (l *Look) Name() string { return l.plan.Name }
func (l *Look) Answer() string {
	if l.answer.Ready() {
		return l.answer.dated()
	}
	return l.answer.Missing
}

// Range says the spread of the answer.
func (l *Look) Range() string {
	if l.answer.Ready() {
		return l.answer.Range()
	}
	return ""
}

// Cannot says which vital things its supply can't run or start.
func (l *Look) Cannot() string {
	if l.answer.Ready() {
		return l.answer.Cannot()
	}
	return ""
}

// Advice lists what it asks of its supply that it can't give.
func (l *Look) Advice() []string {
	if l.answer.Ready() {
		return l.answer.Advice()
	}
	return nil
}

// Kept says that nothing is kept yet, or that the one here is not changed.
func (l *Look) Kept() string {
	switch {
	case l.Equal():
		return ""
	case l.same != nil:
		return wLookUnchanged
	}
	return wLookNotKept
}

// KeepSays, KeepClass and DropSays dress the buttons: where the plan is here
// already, a second one is the lesser choice.
func (l *Look) KeepSays() string {
	if l.same != nil {
		return wLookSecond
	}
	return wLookKeep
}

func (l *Look) KeepClass() string {
	if l.same != nil {
		return "go quiet"
	}
	return "go"
}

func (l *Look) DropSays() string {
	if l.same != nil {
		return wLookLeave
	}
	return wLookDrop
}

// mostLooked is how many loads are shown of a plan that is only looked at.
const mostLooked = 40

// Loads lists its loads, most needed first.
func (l *Look) Loads() []LoadRow {
	var out []LoadRow
	for n, i := range byNeed(l.plan.Loads) {
		if n == mostLooked {
			return append(out, LoadRow{Name: wLookMore + say.Number(float64(len(l.plan.Loads)-n), 0)})
		}
		ld := l.plan.Loads[i]
		r := LoadRow{Name: ld.Name, Line: rankShort[string(ld.Rank)] + ": " + describe(ld, l.answer.clock)}
		if ld.Off {
			r.Off = wOffMark
		}
		out = append(out, r)
	}
	return out
}

// Supply lists what it runs from.
func (l *Look) Supply() []string {
	if !l.plan.HasSupply() {
		return nil
	}
	return supplyLines(l.plan)
}

// Where is the place.
func (l *Look) Where() string {
	if n := strings.TrimSpace(l.plan.Place.Name); n != "" {
		return wPlaceSet + named(n)
	}
	return ""
}

// Same reports whether the plan is here already; Equal whether nothing differs.
func (l *Look) Same() bool  { return l.same != nil }
func (l *Look) Equal() bool { return l.same != nil && len(l.diff.changes) == 0 }

// Differs reports whether there is something to take over.
func (l *Look) Differs() bool { return l.same != nil && len(l.diff.changes) > 0 }

// Changes lists what differs from the plan here.
func (l *Look) Changes() []Change {
	if l.same == nil {
		return nil
	}
	return l.diff.changes
}

// TickID is the id of the box of a change, by its place in the list.
func TickID(i int) string { return "take-" + strconv.Itoa(i) }

// Chosen reports whether a change is ticked.
func (l *Look) Chosen(c Change) bool { return l.chosen[c.Key] }

func (l *Look) ticked() int {
	n := 0
	for _, c := range l.Changes() {
		if l.chosen[c.Key] {
			n++
		}
	}
	return n
}

// Would is what the plan here would say with what is ticked.
func (l *Look) Would() string { return l.would }

// Count says how many are ticked.
func (l *Look) Count() string {
	return say.Number(float64(l.ticked()), 0) + wOf + say.Number(float64(len(l.Changes())), 0) + wLookTicked
}

// Choose ticks a change, or takes the tick off.
func (a *App) Choose(c Change, on bool) {
	if a.look != nil {
		a.look.chosen[c.Key] = on
		a.foresee()
		a.status = a.look.Count() + ". " + a.look.would
	}
}

// ChooseAll ticks every change, or none.
func (a *App) ChooseAll(on bool) {
	if a.look == nil {
		return // a tap on a page that has just gone
	}
	for _, c := range a.look.Changes() {
		a.look.chosen[c.Key] = on
	}
	a.foresee()
	a.status = a.look.Count() + ". " + a.look.would
}

// TakeOver changes the plan here by what is ticked, with a way back.
func (a *App) TakeOver() {
	l := a.look
	if l == nil || l.same == nil {
		return // tapped twice
	}
	b := a.find(l.plan.ID)
	if b == nil || b.Sealed != nil {
		a.setBeside() // it has just gone; it can still be kept
		return
	}
	a.setBeside() // against what is kept here now
	n := l.ticked()
	if n == 0 {
		a.tell(wLookNothing, nil)
		return
	}
	merged := l.merged()
	if merged.Name != b.Plan.Name && a.nameTaken(merged.Name, b) {
		merged.Name = a.freeName(merged.Name)
	}
	if len(merged.Loads) > plan.MostLoads {
		a.tell(wTooMany, nil)
		return
	}
	if _, err := plan.Decode(merged.Encode()); err != nil {
		a.tell(firstUpper(err.Error())+".", nil)
		return
	}
	before := b.Plan
	a.show(b.ID)
	a.edit(func(p *plan.Plan) { *p = merged })
	a.sortBooks()
	a.leaveLook()
	a.tell(wLookTaken+say.Number(float64(n), 0)+wOf+say.Number(float64(len(l.diff.changes)), 0)+".", func() {
		if a.find(b.ID) != b {
			return // removed meanwhile
		}
		a.show(b.ID)
		a.edit(func(p *plan.Plan) { *p = before })
		a.sortBooks()
		a.refresh()
	})
}

// KeepCopy keeps the plan that is looked at beside those of this device.
func (a *App) KeepCopy() {
	l := a.look
	if l == nil || l.fault != "" {
		return // tapped twice
	}
	if a.tooMany() {
		a.tell(wTooMany, nil)
		return
	}
	b := a.keep(l.plan)
	a.leaveLook()
	a.tell(wLookKept+named(b.Plan.Name)+".", func() { a.remove(b); a.refresh() })
}

// DontKeep leaves without keeping anything.
func (a *App) DontKeep() { a.leaveLook() }

// leaveLook goes to the answer; the address no longer holds the code, nor does
// the step back in the browser's history.
func (a *App) leaveLook() {
	if a.look != nil && a.look.link == insideKey {
		a.prefs.Inside = insideMark(a.ports.Parts.Inside())
		a.savePrefs()
	}
	a.look = nil
	a.ports.Device.ReplaceRoute(pageTonight)
	a.follow(pageTonight)
}
