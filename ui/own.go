package ui

import (
	"math"
	"slices"
	"strings"

	"candleclock/engine/load"
	"candleclock/engine/odds"
	"candleclock/engine/outage"
	"candleclock/engine/panel"
	"candleclock/engine/plan"
	"candleclock/engine/sizing"
	"candleclock/engine/start"
	"candleclock/engine/units"
	"candleclock/ui/errand"
	"candleclock/ui/say"
)

// ownShow is what the page What to own shows.
type ownShow struct {
	rank  load.Rank // the wish; "": all
	plan  plan.Plan // with a guessed place where it names none
	sizes *errand.Sizes
	rough bool // of few draws
}

// roughDraws is how many draws the first answer is made of, on the page's own
// thread.
const roughDraws = 21

// reckonOwn works out a rough answer, and has the worker make it a good one.
func (a *App) reckonOwn() {
	o := &a.own
	if o.rank == "" {
		o.rank = load.Comfort
	}
	o.plan = a.placed()
	o.sizes, _ = errand.NewSizes(o.plan, o.rank, roughDraws, nil)
	o.rough = true
	sizes := o.sizes
	a.ask(errand.Question{Kind: errand.Owning, Draws: odds.Draws, Plan: o.plan, Rank: o.rank}, func(got errand.Answer) {
		if s, ok := got.(*errand.Sizes); ok && o.sizes == sizes && s.Of(o.plan) {
			o.sizes, o.rough = s, false
		}
	})
}

// Own is what the page shows.
func (a *App) Own() *ownShow { return &a.own }

// ownForm asks for the wish, but for its hours.
func (a *App) ownForm() *Form {
	if a.own.rank == "" {
		a.own.rank = load.Comfort
	}
	carries := &Choice{ID: "own-carries", Legend: wOwnCarries, Value: string(a.own.rank), Options: []Option{
		{string(load.Vital), carriesSays[load.Vital], ""}, {string(load.Useful), carriesSays[load.Useful], ""}, {string(load.Comfort), carriesSays[load.Comfort], ""}},
		take: func(v string) { a.own.rank = load.Rank(v); a.reckon() }}
	sure := &Choice{ID: "own-sure", Legend: wOwnHowSure, Value: plainNumber(a.book.Plan.Outage.Confidence * 100),
		take: func(v string) {
			for _, p := range sureness {
				if plainNumber(p*100) == v {
					a.edit(func(pl *plan.Plan) { pl.Outage.Confidence = p })
				}
			}
		}}
	for _, p := range sureness {
		sure.Options = append(sure.Options, Option{plainNumber(p * 100), say.InTen(p), ""})
	}
	return &Form{items: []Item{{Choice: carries}, {Choice: sure}}}
}

// carriesSays says what a wish carries, by the least needed rank.
var carriesSays = map[load.Rank]string{load.Vital: wOwnVital, load.Useful: wOwnUseful, load.Comfort: wOwnAll}

// sureness is what can be asked for.
var sureness = []float64{0.8, 0.9, 0.95, 0.99}

// sureSays says how sure; the surest that can be asked for is not more than it
// is.
func sureSays(p float64) string { return say.InTen(min(p, 0.99)) }

func (o *ownShow) front() sizing.Front {
	if o.sizes == nil {
		return sizing.Front{}
	}
	return o.sizes.Front
}

// Wish is the wish in words.
func (o *ownShow) Wish() string {
	return carriesSays[o.rank] + wOwnFor + say.Hours(o.front().Wish.Hours) + wOwnSure + sureSays(o.front().Wish.Confidence) + "."
}

// Says is the answer in a sentence.
func (o *ownShow) Says() string {
	f := o.front()
	if len(f.Points) == 0 {
		return ""
	}
	s := ""
	if o.rough {
		s = wOwnRough
	}
	s += wOwnFor2 + say.Hours(f.Wish.Hours) + ", " + sureSays(f.Wish.Confidence) + ": " + say.WattHours(float64(f.Points[0].Battery)) + wOwnNo
	if len(f.Points) > 1 {
		p := f.Points[len(f.Points)-1]
		for _, other := range f.Points { // the first that halves it
			if other.Battery <= f.Points[0].Battery/2 {
				p = other
				break
			}
		}
		s += wOwnOr + say.WattHours(float64(p.Battery)) + wOwnWith + say.Watts(float64(p.Panels)) + wOwnPanels
	}
	return s + "."
}

// Notes is what more is to be said of it.
func (o *ownShow) Notes() []string {
	f := o.front()
	var out []string
	for _, w := range f.Why {
		s := whyOwn[string(w)]
		if w == sizing.TooWeak {
			s += loadNames(o.plan.Loads, f.Beyond) + "."
		}
		out = append(out, s)
	}
	if len(f.Points) == 0 {
		return out
	}
	if b := o.plan.Supply.Battery.Capacity; b > 0 {
		have := wOwnYours + say.WattHours(float64(b))
		switch {
		case f.With == nil:
			out = append(out, have+wOwnYourNot)
		case f.With.Panels == 0:
			out = append(out, have+wOwnYourYes)
		default:
			out = append(out, have+wOwnYourIs+say.Watts(float64(f.With.Panels))+wOwnPanels+".")
		}
	}
	if f.Inverter > 0 && (o.plan.Supply.Inverter.Continuous == 0 || f.Is(sizing.TooWeak)) {
		carry := wOwnCarry + say.Watts(float64(f.Inverter))
		if f.Idle > 0 {
			carry += wOwnIdle + say.Watts(math.Floor(float64(f.Idle)))
		}
		out = append(out, carry+".")
	}
	out = append(out, refillsSay(o.plan)...)
	if o.plan.HasSupply() {
		return append(out, wOwnCount)
	}
	return append(out, wOwnCountNo)
}

func loadNames(loads []load.Load, of []int) string {
	var out []string
	for _, i := range of {
		if i < len(loads) {
			out = append(out, named(loads[i].Name))
		}
	}
	return listing(out, mostNamed)
}

// FrontChart is the front drawn in 328 by 190.
type FrontChart struct {
	Line, Mark string // paths
	Top, Far   string // labels: the battery without panels, the most panels
}

// Chart draws the front as steps: each size of battery holds until panels of the
// next size are there.
func (o *ownShow) Chart() FrontChart {
	f := o.front()
	if len(f.Points) < 2 {
		return FrontChart{}
	}
	last := f.Points[len(f.Points)-1]
	wide, high := last.Panels*1.1, f.Points[0].Battery*1.1
	x := func(w units.Watts) string { return px(8 + 312*float64(w/wide)) }
	y := func(b units.WattHours) string { return px(168 - 144*float64(b/high)) }
	var c FrontChart
	var line strings.Builder
	for i, p := range f.Points {
		if i == 0 {
			line.WriteString("M" + x(p.Panels) + " " + y(p.Battery))
			continue
		}
		line.WriteString("H" + x(p.Panels) + "V" + y(p.Battery))
	}
	c.Line = line.String() + "H320"
	c.Top, c.Far = say.WattHours(float64(f.Points[0].Battery))+wOwnNo, say.Watts(float64(last.Panels))+wOwnPanels
	if b := o.plan.Supply.Battery.Capacity; b > 0 {
		if own := sizing.Rated(o.plan.Panels); own <= wide && b <= high {
			c.Mark = "M" + x(own) + " " + y(b) + "m-5-5l10 10m0-10l-10 10"
		}
	}
	return c
}

// Drawn reports whether there is a chart to see.
func (o *ownShow) Drawn() bool { return len(o.front().Points) > 1 }

// MarkSays explains the cross.
func (o *ownShow) MarkSays() string {
	if o.Chart().Mark == "" {
		return ""
	}
	return wOwnMark
}

// Table is the front in figures.
func (o *ownShow) Table() []Row {
	var out []Row
	for _, p := range o.front().Points {
		r := Row{Label: say.Watts(float64(p.Panels)), Value: say.WattHours(float64(p.Battery))}
		if p.Panels == 0 {
			r.Label = wOwnNone
		}
		out = append(out, r)
	}
	return out
}

// Judged is a supply held against the wish.
type Judged struct {
	Name, Says   string
	Lines        []string
	Link, LinkTo string
	Class        string
}

// Judged lists the supplies, the best first, and last those of which too little
// is known.
func (o *ownShow) Judged() []Judged {
	if o.sizes == nil {
		return nil
	}
	var out []Judged
	for _, v := range o.sizes.Verdicts {
		out = append(out, o.judged(v))
	}
	for i, c := range o.plan.Candidates {
		if !c.Known() {
			out = append(out, Judged{Name: c.Supply.Name, Says: wOwnEmpty, Link: candidateAt(i), LinkTo: wOwnEdit})
		}
	}
	return out
}

func (o *ownShow) judged(v sizing.Verdict) Judged {
	c := sizing.CandidateOf(o.plan, v.Candidate)
	w := o.front().Wish
	j := Judged{Name: c.Supply.Name, Link: candidateAt(v.Candidate), LinkTo: wOwnEdit}
	if v.Candidate == sizing.Own {
		if j.Name == "" {
			j.Name = wSupply
		}
		j.Name, j.Link, j.LinkTo = named(j.Name)+wOwnMine, "#"+pageSupply, wOwnEditOwn
	}
	if c.Units > 1 {
		j.Name = say.Number(float64(c.Units), 0) + " × " + named(j.Name)
	}
	switch {
	case len(v.Beyond) > 0:
		j.Says = wJudgeNever + loadNames(o.plan.Loads, v.Beyond) + "."
	case v.Meets && v.Starts && v.Restart:
		j.Says, j.Class = wJudgeYes+say.Hours(w.Hours)+" "+o.often(v.Chance)+".", "vital"
	case v.Meets:
		j.Says = wJudgeYesIf + say.Hours(w.Hours) + " " + o.often(v.Chance) + "."
	default:
		j.Says = wJudgeNot + say.Hours(w.Hours) + " " + o.often(v.Chance) + "."
	}
	add := func(s string) { j.Lines = append(j.Lines, s) }
	if !v.Starts || !v.Restart {
		add(wJudgeStarts)
	}
	on := wJudgePlan
	switch {
	case o.countsUnstarted(v, c.Supply):
		on = wJudgeAsIf
	case len(v.Beyond) > 0:
		on = wJudgeRest
	}
	add(on + planHours(v.CountOn) + wJudgeLikely + planHours(v.Likely) + ".")
	if v.Sun != nil {
		with := wJudgeSun
		if len(o.plan.Outage.Refills) > 0 {
			with = wJudgeFed
		}
		if v.Sun.NeverEmpty() {
			add(with + wJudgeFedAll + say.Hours(v.Sun.Window) + wJudgeFedNine)
		} else {
			add(with + wJudgeFedOn + planHours(v.Sun.CountOn) + ".")
		}
	}
	if u := v.Wiring; u != nil {
		switch {
		case u.Watts > 0:
			takes := wJudgeTakes
			if len(v.Carries) > 1 {
				takes = wJudgeTakesEach
			}
			add(takes + say.Watts(float64(u.Watts)) + wiredSays(u) + ".")
		case u.Verdict == panel.Damages:
			add(wJudgeDamage)
		default:
			add(wJudgeWeak)
		}
	}
	if n := len(v.Counts); n > 0 {
		s := wJudgeCounts + say.Number(float64(v.Counts[0]), 0)
		if n > 1 {
			s += wTo + say.Number(float64(v.Counts[n-1]), 0)
		}
		add(s + ".")
	}
	if len(v.Carries) > 1 {
		for k, loads := range v.Carries {
			s := loadNames(o.plan.Loads, loads)
			if s == "" {
				s = wNothing
			}
			add(wJudgeUnit + say.Number(float64(k+1), 0) + ": " + s + ".")
		}
		add(wJudgeUnits)
	}
	if v.Delivered > 0 {
		of := wJudgeBrings
		if o.rank != load.Comfort {
			of = wJudgeBringsOf
		}
		add(of + say.WattHours(float64(v.ToLoads)) + wJudgeBringsNine + say.WattHours(math.Floor(float64(v.Delivered))) + ".")
	}
	if v.PerKWh != nil {
		s := wJudgeKWh + money(*v.PerKWh) + wJudgeOnce
		if v.PerKWhLife != nil {
			s += ", " + money(*v.PerKWhLife) + wJudgeLife
		}
		add(s + ".")
	}
	if v.PerVitalHour != nil {
		add(wJudgeHour + money(*v.PerVitalHour) + ".")
	}
	if v.WhPerKg != nil {
		add(wJudgeKg + say.Number(*v.WhPerKg, 0) + ".")
	}
	return j
}

// countsUnstarted reports whether the hours count something that can't start.
func (o *ownShow) countsUnstarted(v sizing.Verdict, s plan.Supply) bool {
	return slices.ContainsFunc(start.Order(o.plan.Loads, s.UsualInverter().Limits()).Never, func(r start.Refusal) bool {
		return r.Why == start.HardStart && (r.Guessed || s.Inverter.Continuous == 0) && slices.Contains(v.Beyond, r.Load)
	})
}

// often says a chance; so few draws as of the rough answer tell none finer than
// how many of them it was.
func (o *ownShow) often(chance float64) string {
	if !o.rough {
		return say.InTen(chance)
	}
	return wJudgeTried + say.Number(chance*roughDraws, 0) + wJudgeTriedOf + say.Number(roughDraws, 0) + wJudgeTriedIs
}

// wiredSays says how panels are wired; nothing of a single one.
func wiredSays(u *sizing.Wired) string {
	series, parallel := say.Number(float64(u.Series), 0), say.Number(float64(u.Parallel), 0)
	switch {
	case u.Series > 1 && u.Parallel > 1:
		return wJudgeTakesOf + series + wJudgeRow + ", " + parallel + wJudgeRows
	case u.Series > 1:
		return wJudgeTakesOf + series + wJudgeRow
	case u.Parallel > 1:
		return wJudgeTakesOf + parallel + wJudgeBeside
	}
	return wJudgeTakesFull
}

// planHours says a time to count on, at most what is followed.
func planHours(h units.Hours) string {
	if beyond(h) {
		return wMoreThan + say.Hours(outage.Horizon)
	}
	return say.Hours(say.Down(h))
}

// money says a price: whole from 100 on, with two decimals below.
func money(v float64) string {
	if v >= 100 {
		return say.Number(v, 0)
	}
	return say.Number(v, 2)
}

// AddCandidate adds a supply to choose from, and opens its form.
func (a *App) AddCandidate() {
	if a.book == nil {
		return
	}
	n := len(a.book.Plan.Candidates)
	if n >= plan.MostCandidates {
		a.tell(wOwnFull, nil)
		return
	}
	c := plan.NewCandidate(wCandNew + say.Number(float64(n+1), 0))
	begin(&c.Supply.Battery)
	if b := a.book.Plan.Supply.Battery; b.Chemistry != "" { // it would stand where the plan's own stands
		c.Supply.Battery.Room, c.Supply.Battery.Night = b.Room, b.Night
	}
	a.edit(func(p *plan.Plan) { p.Candidates = append(slices.Clone(p.Candidates), c) })
	a.Go(candidateAt(n)[1:])
}
