package ui

import (
	"slices"
	"strconv"
	"strings"

	"github.com/vugu/vugu"

	"candleclock/engine/outage"
	"candleclock/engine/units"
	"candleclock/engine/yield"
	"candleclock/ui/say"
)

// What the templates ask for.

// PlanName is the name of the plan in view.
func (a *App) PlanName() string {
	if a.book == nil || a.route.Page == pageLook { // there another's is looked at
		return wTitle
	}
	return a.book.Plan.Name
}

// HasBook reports whether a plan is in view.
func (a *App) HasBook() bool { return a.book != nil }

// HasSupply reports whether the plan in view has a battery.
func (a *App) HasSupply() bool { return a.book != nil && a.book.Plan.HasSupply() }

// Status is spoken, not seen: what just changed.
func (a *App) Status() string { return a.status }

// News is what just happened, Trouble what is wrong with keeping things.
func (a *App) News() string    { return a.news }
func (a *App) Trouble() string { return a.trouble }

// CanUndo reports whether what just happened can be taken back.
func (a *App) CanUndo() bool { return a.undo != nil }

// Answered reports whether there is an answer.
func (a *App) Answered() bool { return a.book != nil && a.answer.Ready() }

// Missing says what the answer waits for.
func (a *App) Missing() string { return a.answer.Missing }

// Strip is the answer in a line, for the pages where it is worked on.
func (a *App) Strip() string {
	switch a.route.Page {
	case pageLoads, pageLoad, pageAdd, pageSupply, pagePrepare:
		if a.Answered() {
			return a.answer.Sentence()
		}
	}
	return ""
}

// OutLead is the line above the answer on the page of three questions.
func (a *App) OutLead() string {
	switch {
	case !a.Answered():
		return a.answer.Missing
	case notRead(a.book.Plan.Outage):
		return wNotEntered + " " + a.answer.Lead()
	}
	return a.answer.Lead()
}

// Spread reports whether a spread is told, and not what may come after it.
func (a *App) Spread() bool { return a.Answered() && a.Range() != "" && !a.answer.Passed() }

// The answer's texts, empty while there is none.
func (a *App) Big() string    { return a.said((*Answer).Big) }
func (a *App) Under() string  { return a.said((*Answer).Under) }
func (a *App) Cannot() string { return a.said((*Answer).Cannot) }
func (a *App) Range() string  { return a.said((*Answer).Range) }
func (a *App) Mains() string  { return a.said((*Answer).Mains) }

// Alone says until when to plan on what is vital without the rest.
func (a *App) Alone() string {
	if a.Answered() {
		a.answer.askVital(a.sampler)
	}
	return a.said((*Answer).Alone)
}
func (a *App) NineInTen() string { return a.said((*Answer).NineInTen) }
func (a *App) Box() string       { return a.said((*Answer).Box) }
func (a *App) Steps() []string   { return listed(a, (*Answer).Steps) }
func (a *App) Energy() []Row     { return listed(a, (*Answer).Energy) }
func (a *App) Marks() []Mark     { return listed(a, (*Answer).Marks) }

// Advice is what to take note of.
func (a *App) Advice() []string {
	out := listed(a, (*Answer).Advice)
	if a.Answered() && len(a.book.Plan.Supply.Inputs) > 0 && !yield.Pack(a.book.Plan).MayCharge {
		out = append(out, noCharge(a.book.Plan, a.prefs))
	}
	return out
}

// Switches lists the loads with their switches, also when all are off: they must
// be turned on again somewhere.
func (a *App) Switches() []Switch {
	if !a.Answered() && a.answer.Missing != wAllOff {
		return nil
	}
	a.weigh()
	return a.answer.Switches()
}

// mostAdds is of how many loads it is worked out what turning them off adds to
// the time to plan on: each is asked of every draw.
const mostAdds = 30

// weigh works that out, once for each answer, when the switches are shown.
func (a *App) weigh() {
	n := 0
	for _, b := range a.answer.buys {
		if b > 0 {
			n++
		}
	}
	if a.answer.adds != nil || n == 0 || n > mostAdds {
		return
	}
	p, may := a.ahead()
	now := max(0, a.answer.left(min(a.answer.run.CountOn, outage.Horizon)))
	adds := make([]units.Hours, len(a.answer.buys))
	for i, b := range a.answer.buys {
		if b == 0 {
			continue
		}
		q := p
		q.Loads = slices.Clone(p.Loads)
		q.Loads[i].Off = true
		if on := may.CountOn(q); !beyond(on) {
			adds[i] = max(0, on-now)
		}
	}
	a.answer.adds, a.answer.addsOf = adds, a.answer.leftAt(a.answer.from().Since(a.answer.plan.Outage.Starts))
}

func (a *App) said(of func(*Answer) string) string {
	if !a.Answered() {
		return ""
	}
	return of(&a.answer)
}

func listed[T any](a *App, of func(*Answer) []T) []T {
	if !a.Answered() {
		return nil
	}
	return of(&a.answer)
}

// Candle is the picture; one without wax where there is nothing to show.
func (a *App) Candle() *Candle {
	if a.Answered() {
		if c := a.answer.Candle(); c != nil {
			return c
		}
	}
	return &Candle{CountOn: &Notch{}, Doubt: Band{"0", "0"}} // a length must not be empty
}

// OnNow is the heading over the switches.
func (a *App) OnNow() string {
	if !a.Answered() {
		return wOnNow + wNothing
	}
	return wOnNow + say.Watts(float64(a.answer.draw)) + wAtBattery
}

// Power is a tap on the button beside the gauge's.
func (a *App) Power() {
	if a.UnderWay() {
		a.PowerBack()
	} else {
		a.PowerOut()
	}
}

// PowerSays is its text.
func (a *App) PowerSays() string {
	if a.UnderWay() {
		return wPowerBack
	}
	return wPowerOut
}

// Caution is the one that stands under every answer.
func (a *App) Caution() string { return cautions[0] }

// SearchFor is a keystroke in the search box.
func (a *App) SearchFor(event vugu.DOMEvent) { a.Search(event.PropString("target", "value")) }

// Kept says whether the plan in view is on the device.
func (a *App) Kept() string {
	switch {
	case a.book == nil || a.trouble != "":
		return ""
	case a.book.saving || a.book.dirty || a.owes(a.book):
		return wSaving
	}
	return wSaved + "."
}

// NameClass is the class of a load's name.
func (s Switch) NameClass() string {
	if s.Vital {
		return "name vital"
	}
	return "name"
}

// ID is the switch's id.
func (s Switch) ID() string { return "sw-" + strconv.Itoa(s.Index) }

// Class is the class of a row of the energy table.
func (r Row) Class() string {
	if r.Strong {
		return "strong"
	}
	return ""
}

// Current is the value of aria-current, Mark the word for it.
func (b BookRow) Current() string {
	if b.Here {
		return "true"
	}
	return "false"
}

// Mark is the word for the plan in view.
func (b BookRow) Mark() string {
	if b.Here {
		return "in view"
	}
	return ""
}

// ticks draws short lines at the heights given.
func ticks(at []Notch, from, to string) string {
	var b strings.Builder
	for _, t := range at {
		b.WriteString("M" + from + " " + t.Y + "H" + to)
	}
	return b.String()
}

// GaugeTicks, HourTicks and CountTick are the candle's lines.
func (c *Candle) GaugeTicks() string { return ticks(c.Gauge, "75", "84") }
func (c *Candle) HourTicks() string  { return ticks(c.Notches, "150", "168") }

// PlanOn is what stands under the time to plan on, where there is room.
func (c *Candle) PlanOn() string {
	if c.Under == "" {
		return ""
	}
	return wPlanOnIt
}
func (c *Candle) CountTick() string {
	if c.CountOn.Y == "" {
		return ""
	}
	return ticks([]Notch{*c.CountOn}, "82", "174")
}
