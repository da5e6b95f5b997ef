package ui

import (
	"bytes"
	"cmp"
	"slices"
	"strconv"
	"strings"

	"candleclock/engine/charge"
	"candleclock/engine/doc"
	"candleclock/engine/plan"
)

// candidateAt is the address of a candidate's form.
func candidateAt(i int) string { return "#" + pageChoose + "=" + strconv.Itoa(i) }

// Choosing reports whether the supply in view is one to choose from, not the
// plan's own.
func (a *App) Choosing() bool { return a.route.Page == pageChoose }

// candidate is the one in view; false when none is, or it has just gone.
func (a *App) candidate() (c plan.Candidate, ok bool) {
	if !a.Choosing() || a.book == nil || a.route.At >= len(a.book.Plan.Candidates) {
		return c, false
	}
	return a.book.Plan.Candidates[a.route.At], true
}

// editCandidate changes one. The list is copied: an undo may hold the old one.
func (a *App) editCandidate(at int, change func(c *plan.Candidate)) {
	if a.book == nil || at >= len(a.book.Plan.Candidates) {
		return // a tap on a page that has just gone
	}
	a.edit(func(p *plan.Plan) {
		p.Candidates = slices.Clone(p.Candidates)
		change(&p.Candidates[at])
	})
}

var kilograms = unit{"kilograms", "kg", "12", map[string]float64{"kg": 1, "kilograms": 1, "lb": 0.45359237, "lbs": 0.45359237, "pounds": 0.45359237}}

// candidateForm asks what stands on the label of a supply to choose from.
func (a *App) candidateForm(at int) *Form {
	c := a.book.Plan.Candidates[at]
	edit := func(change func(c *plan.Candidate)) { a.editCandidate(at, change) }
	maybeField := func(id, label string, u unit, in doc.Range, get func(c *plan.Candidate) **float64) Item {
		return Item{Field: number(id, label, u, in, 1, maybe(*get(&c), 1), func(v float64) { edit(func(c *plan.Candidate) { *get(c) = &v }) }).
			orEmpty(func() { edit(func(c *plan.Candidate) { *get(c) = nil }) }, func() string { return "" })}
	}
	count := number("candidate-units", wCandUnits, plain, plan.UnitsRange, 1, plainNumber(float64(max(c.Units, 1))),
		func(v float64) { edit(func(c *plan.Candidate) { c.Units = int(v) }) }).whole()
	count.Hint = wJudgeUnits
	f := &Form{items: []Item{
		{Field: text("candidate-name", wCandName, c.Supply.Name, plan.NameMost, nil,
			func(s string) { edit(func(c *plan.Candidate) { c.Supply.Name = s }) })},
		maybeField("candidate-price", wCandPrice, plain, plan.PriceRange, func(c *plan.Candidate) **float64 { return &c.Supply.Price }),
		maybeField("candidate-weight", wCandWeight, kilograms, plan.WeightRange, func(c *plan.Candidate) **float64 { return &c.Supply.Weight }),
		maybeField("candidate-life", wCandLife, plain, plan.LifeRange, func(c *plan.Candidate) **float64 { return &c.Life }),
		{Field: count},
	}}
	supply := supplyForm(func() plan.Supply {
		if at < len(a.book.Plan.Candidates) {
			return a.book.Plan.Candidates[at].Supply
		}
		return c.Supply // it has just gone
	}, a.prefs.Fahrenheit, func(change func(s *plan.Supply)) { edit(func(c *plan.Candidate) { change(&c.Supply) }) })
	in, lacks := charge.Input{Kind: charge.Panel}, ""
	if i := inputAt(c.Supply, charge.Panel); i >= 0 {
		in = c.Supply.Inputs[i]
	}
	input := inputItems(wCandInput, &in, func() {
		var any bool
		if lacks, any = inputLacks(in); lacks != "" {
			return // the plan keeps what it had
		}
		edit(func(c *plan.Candidate) {
			if any {
				setInput(&c.Supply, charge.Panel, in)
			} else {
				dropInput(&c.Supply, charge.Panel)
			}
		})
	})
	for _, it := range supply.items {
		if it.Text == wSupplySun { // here they are not
			f.items = append(append(f.items, input...), Item{note: &lacks})
			continue
		}
		f.items = append(f.items, it)
	}
	return f
}

// takePreset makes the candidate in view one of a size.
func (a *App) takePreset(p preset) {
	before, ok := a.candidate()
	if !ok {
		return
	}
	at := a.route.At
	a.editCandidate(at, func(c *plan.Candidate) { p.apply(&c.Supply) })
	a.folds["presets"] = false
	a.build()
	a.tell(p.label+".", func() {
		a.editCandidate(at, func(c *plan.Candidate) { *c = before })
		a.build()
	})
	a.ports.Device.Focus("title")
}

// CanUse reports whether the candidate in view can be the plan's supply.
func (a *App) CanUse() bool {
	c, ok := a.candidate()
	return ok && c.Known() && c.Units <= 1 && !bytes.Equal(a.using(c).Encode(), a.book.Plan.Encode())
}

// using is the plan with the candidate for its supply. What the plan knows of
// its own price and weight goes with it.
func (a *App) using(c plan.Candidate) plan.Plan {
	p := a.book.Plan
	p.Supply = c.Supply
	return p
}

// UseSays says what making it the plan's own would be.
func (a *App) UseSays() string {
	c, ok := a.candidate()
	switch {
	case !ok:
		return ""
	case !c.Known():
		return wOwnEmpty
	case c.Units > 1:
		return wCandTwo
	case !a.CanUse():
		return wCandSame
	}
	return wCandWould
}

// UseChanges lists what would change.
func (a *App) UseChanges() []string {
	c, ok := a.candidate()
	if !ok || !a.CanUse() {
		return nil
	}
	return becoming(a.prefs, func(f *facts) { f.supply(a.book.Plan) }, func(f *facts) { f.supply(a.using(c)) })
}

// Use makes it the plan's supply, with a way back. It stays among those to
// choose from, and the one before comes to them while there is room.
func (a *App) Use() {
	c, ok := a.candidate()
	if !ok || !a.CanUse() {
		return // tapped twice
	}
	before, others := a.book.Plan.Supply, a.book.Plan.Candidates
	old := plan.Candidate{Supply: before, Units: 1}
	old.Supply.Name = cmp.Or(strings.TrimSpace(before.Name), wCandBefore)
	known := slices.ContainsFunc(others, func(o plan.Candidate) bool { return bytes.Equal(a.using(o).Encode(), a.using(old).Encode()) })
	a.edit(func(p *plan.Plan) {
		if old.Known() && !known && len(others) < plan.MostCandidates {
			p.Candidates = append(slices.Clip(others), old)
		}
		p.Supply = c.Supply
	})
	a.Go(pageSupply)
	a.tell(wCandDone+named(c.Supply.Name)+". "+a.answer.News(), func() {
		a.edit(func(p *plan.Plan) { p.Supply, p.Candidates = before, others })
		a.build()
	})
}

// RemoveCandidate removes the one in view, with a way back.
func (a *App) RemoveCandidate() {
	c, ok := a.candidate()
	if !ok {
		return // tapped twice
	}
	before, at := a.book.Plan.Candidates, a.route.At
	a.edit(func(p *plan.Plan) { p.Candidates = slices.Delete(slices.Clone(before), at, at+1) })
	a.Go(pageOwn)
	a.tell(wRemoved+named(c.Supply.Name)+".", func() {
		a.edit(func(p *plan.Plan) { p.Candidates = before })
	})
}

// AfterSupply is where the form of a supply leads, AfterSupplySays the words for
// it.
func (a *App) AfterSupply() string {
	if a.Choosing() {
		return "#" + pageOwn
	}
	return "#" + pageTonight
}

func (a *App) AfterSupplySays() string {
	if a.Choosing() {
		return wCandBack
	}
	return wSeeAnswer
}
