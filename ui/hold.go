package ui

import (
	"math"
	"strings"

	"candleclock/engine/charge"
	"candleclock/engine/load"
	"candleclock/engine/odds"
	"candleclock/engine/outage"
	"candleclock/engine/plan"
	"candleclock/engine/shed"
	"candleclock/engine/units"
	"candleclock/engine/yield"
	"candleclock/ui/say"
)

// Hold is what it takes to have power until a wished time.
type Hold struct {
	until plan.Moment // wished for
	off   []int       // loads to turn off; none where nothing has to be, or nothing can
	says  []string
	vital string // what it would take besides; "" where that says nothing
	short bool   // turning off is not enough
}

// Says is the answer in sentences.
func (h *Hold) Says() []string {
	if h == nil {
		return nil
	}
	return h.says
}

// Vital says which vital things would have to be off too; "" where that is all of
// them, or nothing helps.
func (h *Hold) Vital() string {
	if h == nil {
		return ""
	}
	return h.vital
}

// Does is the text of the button that turns off.
func (h *Hold) Does() string {
	if h != nil && h.short {
		return wHoldDoShort
	}
	return wHoldDo
}

// Holding is what was worked out; nil while nothing is asked for.
func (a *App) Holding() *Hold { return a.hold }

// CanHold reports whether there is something to turn off.
func (a *App) CanHold() bool { return a.hold != nil && len(a.hold.off) > 0 }

// OpenHold asks until when.
func (a *App) OpenHold() {
	was := a.Open("hold")
	a.folds["read"], a.form = false, nil
	a.closeHold()
	if was {
		return
	}
	a.folds["hold"] = true
	f := &Field{ID: "hold-until", Label: wHoldWhen, Hint: wHoldHint, Mode: "text"}
	f.take = func(raw string) (echo, wrong string) {
		until, ok := a.wished(raw)
		if !ok {
			return "", quote(strings.TrimSpace(raw)) + wHoldWrong
		}
		return wReadAs + a.answer.clock.Moment(until, a.answer.from()), ""
	}
	f.wrong = quote("") + wHoldWrong
	a.form = &Form{items: []Item{{Field: f}}}
	a.ports.Device.Focus(f.ID)
}

func (a *App) closeHold() { a.folds["hold"], a.hold = false, nil }

// wished reads until when power is wished: the next such clock time, or so long
// from when the hours are counted.
func (a *App) wished(raw string) (until plan.Moment, ok bool) {
	from := a.answer.from()
	if m, ok := say.ParseClock(raw); ok {
		minutes := int(m) - int(from.Minute())
		if minutes <= 0 {
			minutes += 24 * 60
		}
		until := from.After(hoursOf(minutes))
		// By the wall: where clocks are put meanwhile that is sooner or later.
		if by := a.answer.clock.Wall(until).Since(until); a.answer.clock.Wall(until.After(-by)) == until {
			return until.After(-by), true
		}
		return until, true
	}
	n, ok := say.ParseNumber(raw)
	scale, known := hours.scale[n.Unit]
	if n.Unit == "min" || n.Unit == "minutes" {
		scale, known = 1.0/60, true
	}
	h := n.Value * scale
	if !ok || !known || plan.HoursRange.Check("", h) != nil {
		return plan.Moment{}, false
	}
	return from.After(units.Hours(h)), true
}

// SaveHold works out what to turn off for the time typed.
func (a *App) SaveHold() {
	if a.form == nil || a.form.field("hold-until") == nil || !a.Answered() {
		return // tapped twice
	}
	f := a.form.field("hold-until")
	a.catchUp()
	until, ok := a.wished(f.Raw)
	if f.Leave(); f.Err != "" || !ok {
		a.ports.Device.Focus(f.ID)
		return
	}
	a.hold = a.holdUntil(until)
	a.status = strings.TrimSpace(strings.Join(a.hold.says, " ") + " " + a.hold.vital)
}

// onward is the plan in view from now on: in an outage its reading is moved on,
// since what is switched off now saves nothing of what is past.
func (a *App) onward() plan.Plan {
	return a.answer.onward(a.sampler)
}

func (a *Answer) onward(sampler *odds.Sampler) plan.Plan {
	p := a.plan
	if p.Outage.UnderWay && a.from() != p.Outage.Starts {
		p.Outage = a.carried(sampler)
	}
	return p
}

func (a *App) holdUntil(until plan.Moment) *Hold {
	p, may := a.ahead()
	clock, start := a.answer.clock, p.Outage.Starts
	found := shed.Until(p, may, until.Since(start))
	// The answer as it would be said with those off.
	then := Answer{plan: p, clock: clock, now: a.now}
	then.run.CountOn = found.CountOn
	at := func(m plan.Moment) string { return clock.Moment(m, start) }
	h := &Hold{until: until}
	tell := func(s string) { h.says = append(h.says, s) }
	switch {
	case found.Reaches && len(found.Off) == 0:
		later := until
		if m := then.until(min(found.CountOn, outage.Horizon)); m.Since(later) > 0 {
			later = m
		}
		tell(wHoldNothing + at(later) + ".")
		return h
	case found.Reaches:
		h.off = found.Off
		tell(wHoldOff + nameList(p, found.Off) + ". " + wHoldThen + at(until) + ".")
		if !found.Exact {
			tell(wHoldInexact)
		}
		tell(wHoldNotAWord)
		return h
	}
	h.off, h.short = found.Off, true
	if len(found.Off) > 0 {
		tell(wHoldCant + at(until) + ".")
		tell(wHoldEven + nameList(p, found.Off) + ".")
	} else {
		tell(wHoldCantAll + at(until) + ".")
	}
	if then.Passed() {
		tell(wHoldNow)
	} else {
		tell(wHoldReach + at(then.until(found.CountOn)) + ".")
	}
	if found.Lacks > 0 {
		lacks := math.Ceil(float64(found.Lacks)/10) * 10 // to be brought: rounded up
		tell(wHoldLacks + say.WattHours(lacks) + wHoldLacksIs)
		for _, s := range a.bring(p, units.WattHours(lacks)) {
			tell(s)
		}
	}
	tell(wHoldLeave)
	vital := 0
	for _, l := range p.Loads {
		if !l.Off && l.Rank == load.Vital {
			vital++
		}
	}
	if n := len(found.Vital); n > 0 && n < vital { // with all of them off nothing is left to hold for
		h.vital = wHoldVital + nameList(p, found.Vital) + wHoldVitalIs
	}
	return h
}

// ahead is the plan from now on and what there may be, by the readings where
// they tell it.
func (a *App) ahead() (plan.Plan, odds.Chances) {
	return a.answer.ahead(a.sampler)
}

func (a *Answer) ahead(sampler *odds.Sampler) (plan.Plan, odds.Chances) {
	if a.read != nil {
		return a.read.Onward(a.from())
	}
	p := a.onward(sampler)
	return p, sampler.Chances(p)
}

// bring says what the supply's inputs would need to put so much into the
// battery.
func (a *App) bring(p plan.Plan, lacks units.WattHours) []string {
	var out []string
	pack := yield.Pack(p)
	for _, kind := range []charge.Kind{charge.Generator, charge.Car} {
		w := charge.Power(p.Supply.Inputs, kind)
		if w <= 0 || !pack.MayCharge {
			continue
		}
		h := units.Hours(float64(lacks) / pack.Efficiency / float64(w))
		out = append(out, inputNames[kind]+wHoldBy+say.Watts(float64(w))+wHoldByHours+say.Hours(say.Up(h))+".")
	}
	if !pack.MayCharge {
		out = append(out, noCharge(p, a.prefs))
	}
	if len(out) == 0 {
		out = append(out, wHoldElse)
	}
	if y := yield.Of(a.placed()); y != nil && pack.MayCharge {
		_, month, _ := p.Outage.Starts.Date()
		day := y.Month(int(month))
		out = append(out, wHoldSun+say.WattHours(float64(day.Poor))+wHoldSunUsual+month.String()+wHoldSunIs+say.WattHours(float64(day.Usual))+".")
	}
	return out
}

// TurnOff does what Hold proposes, with a way back.
func (a *App) TurnOff() {
	if !a.CanHold() {
		return // tapped twice
	}
	off := a.hold.off
	loads, before := a.book.Plan.Loads, a.book.Plan.Outage
	what := nameList(a.book.Plan, off)
	a.carry()
	a.edit(func(p *plan.Plan) { turn(p, a.now, off...) })
	a.folds["hold"], a.form = false, nil
	a.tell(wHoldDone+what+". "+a.answer.News(), func() {
		a.edit(func(p *plan.Plan) { p.Loads, p.Outage = loads, before })
	})
	a.ports.Device.Focus("title")
}
