package ui

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"candleclock/engine/charge"
	"candleclock/engine/gauge"
	"candleclock/engine/inverter"
	"candleclock/engine/load"
	"candleclock/engine/odds"
	"candleclock/engine/outage"
	"candleclock/engine/plan"
	"candleclock/engine/start"
	"candleclock/engine/units"
	"candleclock/engine/yield"
	"candleclock/ui/say"
)

// Answer is what the page says of the plan in view. It is worked out at each
// change of the plan; only Now moves on by itself.
type Answer struct {
	Missing string // what the plan still needs, in words; "" when there is an answer

	clockBefore bool // the clock is before the last reading; then something is missing

	plan    plan.Plan
	mains   string // what is counted on since the power came back; "" while that is of no matter
	clock   say.Clock
	now     plan.Moment
	run     odds.Runtime
	read    *gauge.Estimate // what the readings tell together; nil with fewer than two
	told    gauge.Left      // how long it lasts by all that is known
	middle  []point         // the course in the middle of all, each edge
	full    units.WattHours
	planned outage.Outcome         // one full charge, all as the plan says
	draw    units.Watts            // at the battery, now
	unmet   []int                  // loads that the inverter can't carry with the rest
	runs    map[int]bool           // loads that run at some time of the day
	over    map[int]units.VoltAmps // of those unmet, with what is needed more, where only these are too many
	starts  start.Sequence
	restart start.Restart
	trips   float64         // chance that the supply trips within the outage; 0 where its limit is not known
	buys    []units.Hours   // what turning each load off buys in the middle course; 0 where nothing
	lit     *withSun        // with the panels; nil until asked for
	adds    []units.Hours   // what it adds to the time to plan on; nil until asked for, and where that takes too long
	addsOf  units.WattHours // what the middle course had left when that was asked
	alone   vitalAlone
}

// vitalAlone is how long what is vital lasts without the rest.
type vitalAlone struct {
	asked      bool
	none       bool        // none of it can run or start
	some, rest bool        // something vital is on, something else is
	countOn    units.Hours // from when it was asked
	of         units.Hours // that all of it was counted on then
}

// point is how much is left at a time since the start.
type point struct {
	h    units.Hours
	left units.WattHours
}

// think works out the answer for p as seen at now.
func think(p plan.Plan, sampler *odds.Sampler, now plan.Moment, clock say.Clock) Answer {
	a := Answer{clock: clock, now: now, mains: mainsSays(p, now, clock)}
	p = asOf(p, now)
	a.plan = p
	on := false
	for _, l := range p.Loads {
		on = on || !l.Off
	}
	switch {
	case p.Outage.UnderWay && now.Since(p.Outage.Starts) < -units.Hours(slipMost.Hours()):
		a.clockBefore = true
		a.Missing = wClockBefore + clock.Moment(p.Outage.Starts, now) + wClockBeforeSo
	case len(p.Loads) == 0 && !p.HasSupply():
		a.Missing = wMissingBoth
	case len(p.Loads) == 0:
		a.Missing = wMissingLoads
	case !p.HasSupply():
		a.Missing = wMissingSupply
	case !on:
		a.Missing = wAllOff
	case outage.NewRig(p).NoneRuns():
		carries := wNoneRuns
		if p.Supply.Inverter.Continuous == 0 {
			carries = wNoneRunsGuess
		}
		a.Missing = carries + say.Watts(float64(p.Supply.UsualInverter().Continuous)) + "."
	}
	if a.Missing != "" {
		return a
	}
	a.told = gauge.LeftOf(p, sampler)
	a.run, a.read = a.told.Runtime, a.told.Read
	a.run.CountOn, a.run.Likely, a.run.AtBest = a.told.CountOn, a.told.Likely, a.told.AtBest
	rig := outage.NewRig(p)
	middle := odds.Middle(p)
	if a.read != nil {
		middle = gauge.Paced(rig, middle, a.run.Likely)
	}
	seen := map[int]bool{}
	a.runs, a.over = map[int]bool{}, map[int]units.VoltAmps{}
	inv := p.Supply.UsualInverter().Limits()
	o := rig.Run(middle, outage.Horizon, func(s outage.Step) {
		if len(a.middle) == 0 {
			a.middle = append(a.middle, point{s.From, s.LeftFrom})
		}
		a.middle = append(a.middle, point{s.To, s.LeftTo})
		if s.From < 24 {
			for _, i := range s.Running {
				a.runs[i] = true
			}
			for _, i := range s.CannotRun {
				if !seen[i] {
					if w, va := beside(p.Loads, s.Running, i); w <= inv.Continuous && va > inv.ContinuousVA {
						a.over[i] = va
					}
				}
				seen[i] = true
			}
		}
	})
	a.full = o.Battery.Usable
	for i := range p.Loads {
		if seen[i] {
			a.unmet = append(a.unmet, i)
		}
	}
	a.planned = outage.FullCharge(p)
	a.draw = rig.Power(a.from().Minute())
	limit := inv
	if p.Supply.Inverter.Continuous == 0 {
		limit.Surge = units.Watts(math.Inf(1)) // a guess refuses no start
	}
	a.starts = start.Order(p.Loads, limit)
	if len(a.unmet) > 0 { // what the hours leave out is not to be switched on
		loads := slices.Clone(p.Loads)
		for _, i := range a.unmet {
			loads[i].Off = !slices.ContainsFunc(a.starts.Never, func(r start.Refusal) bool { return r.Load == i })
		}
		a.starts = start.Order(loads, limit)
	}
	a.restart = a.starts.WorstRestart(p.Loads, limit)
	a.trips = a.tripChance(p, sampler)
	a.buys = make([]units.Hours, len(p.Loads))
	for i, l := range p.Loads {
		if !l.Off {
			a.buys[i] = offBuys(p, middle, i, o.Empty)
		}
	}
	return a
}

// asOf is a plan as it counts at a moment; what is kept stays. One of some time
// ago is for the next such hour. On the mains the battery fills, and the next
// outage may begin at any moment.
func asOf(p plan.Plan, now plan.Moment) plan.Plan {
	o := &p.Outage
	switch since := now.Since(o.Starts); {
	case o.UnderWay:
	case o.OnMains() && since >= 0 && p.HasSupply():
		low, soc := yield.Mains(p, since)
		o.Starts, o.SOC, o.SOCLow = now, soc, nil
		o.Log = plan.Log{Power: []plan.Power{{At: now, Back: true}}} // as if with so much it came back just now
		if low < soc {
			o.SOCLow = &low
		}
	default:
		p, _ = p.Rolled(now)
	}
	return p
}

// mainsSays tells what is counted on since the power came back.
func mainsSays(p plan.Plan, now plan.Moment, clock say.Clock) string {
	o := p.Outage
	if !o.OnMains() || now.Since(o.Starts) < 0 || !p.HasSupply() {
		return ""
	}
	at := clock.Moment(o.Starts, now)
	was := wMainsBack + at + wMainsHad
	if slices.ContainsFunc(o.Log.Readings, func(r plan.Reading) bool { return r.At == o.Starts }) {
		was = wMainsRead + at + wMainsShowed
	}
	between := func(o plan.Outage) string {
		if o.SOCLow == nil || say.Percent(*o.SOCLow) == say.Percent(o.SOC) {
			return say.Percent(o.SOC)
		}
		return say.Percent(*o.SOCLow) + wTo + say.Percent(o.SOC)
	}
	is := asOf(p, now).Outage
	had := was + between(o)
	if then := between(is); then != between(o) {
		had += wMainsNow + then
	}
	adapter := charge.Power(p.Supply.Inputs, charge.Wall)
	var by string
	switch {
	case is.SOC >= 1 && is.SOCLow == nil && adapter > 0:
		return was + between(o) + wMainsFull + say.Watts(float64(adapter)) + wMainsFullIs
	case !yield.Pack(p).MayCharge:
		by = wMainsFrost
	case adapter > 0:
		by = wMainsBy + say.Watts(float64(adapter)) + wMainsByIs
	default:
		by = wMainsUnknown
	}
	return had + by
}

// Mains tells what is counted on since the power came back; "" where that is of
// no matter.
func (a *Answer) Mains() string { return a.mains }

// beside is what a load draws at most together with what runs and is needed more.
func beside(loads []load.Load, running []int, i int) (w units.Watts, va units.VoltAmps) {
	w, va = loads[i].Peak(), loads[i].Apparent()
	for _, j := range running {
		l := loads[j]
		if l.Outlet == load.AC && cmp.Or(cmp.Compare(l.Rank.Order(), loads[i].Rank.Order()), cmp.Compare(j, i)) < 0 {
			w, va = w+l.Peak(), va+l.Apparent()
		}
	}
	return w, va
}

// vitalUnmet lists the vital things that the hours are without: the supply can't
// run them.
func (a *Answer) vitalUnmet() []int {
	return slices.DeleteFunc(slices.Clone(a.unmet), func(i int) bool { return a.plan.Loads[i].Rank != load.Vital })
}

// without begins what is said of the hours where they are without something
// vital: no one may take them for its own.
func (a *Answer) without(says string) string {
	if lacks := a.vitalUnmet(); len(lacks) > 0 {
		return wWithout + nameList(a.plan, lacks) + ": " + lowerFirst(says)
	}
	return says
}

// Cannot says which vital things this supply can't run or start; "" when it can.
func (a *Answer) Cannot() string {
	var out []string
	say := func(says string, of []int, then string) {
		if of = ofRank(a.plan.Loads, of, load.Vital); len(of) > 0 {
			out = append(out, says+nameList(a.plan, of)+then)
		}
	}
	told, guessed := hardStarts(a.starts.Never)
	guessed = slices.DeleteFunc(guessed, func(i int) bool { return slices.Contains(a.unmet, i) })
	says := wCannotRun
	if a.plan.Supply.Inverter.Continuous == 0 {
		says = wMayNotRun
	}
	say(says, slices.DeleteFunc(slices.Clone(a.unmet), func(i int) bool { return slices.Contains(told, i) }), wCannotRunIs)
	say(wCannotStart, told, wCannotRunIs)
	say(wMayNotStart, guessed, wMayNotStartIs)
	if a.trips > 0 {
		out = append(out, wTripsThen)
	}
	return strings.Join(out, " ")
}

// offBuys is how much longer the middle course lasts without one load; 0 where
// hardly anything is then left on, and the time says nothing.
func offBuys(p plan.Plan, c outage.Case, without int, with units.Hours) units.Hours {
	p.Loads = append([]load.Load(nil), p.Loads...)
	p.Loads[without].Off = true
	if !slices.ContainsFunc(p.Loads, func(l load.Load) bool { return !l.Off }) {
		return 0
	}
	longer := outage.NewRig(p).Run(c, outage.Horizon, nil).Empty
	if math.IsInf(float64(longer), 1) {
		return 0
	}
	return max(0, longer-with)
}

// Ready reports whether there is an answer.
func (a *Answer) Ready() bool { return a.Missing == "" }

// from is the moment the hours are counted from: now while the outage is under
// way, else when it is planned to start.
func (a *Answer) from() plan.Moment {
	if a.plan.Outage.UnderWay && a.now.Since(a.plan.Outage.Starts) > 0 {
		return a.now
	}
	return a.plan.Outage.Starts
}

// left is the time from from() until h hours after the start.
func (a *Answer) left(h units.Hours) units.Hours {
	return h - a.from().Since(a.plan.Outage.Starts)
}

// until is the clock time to say for the end h hours after the start: rounded
// down to the grain that suits how far it is, and never before from().
func (a *Answer) until(h units.Hours) plan.Moment {
	left := a.left(h)
	if left <= 0 {
		return a.plan.Outage.Starts.After(h)
	}
	grain := int(math.Round(float64(say.Grain(left)) * 60))
	if grain > 60 {
		grain = 60 // clock times are said to the hour at least
	}
	m := a.from().After(left)
	m = m.After(-units.Hours(float64(int(m.Minute())%grain) / 60))
	least := a.from()
	if h > a.run.CountOn && !a.Passed() {
		least = a.until(a.run.CountOn) // a coarser grain must not make a later end sound earlier
	}
	if m.Since(least) < 0 {
		return least
	}
	return m
}

// mark is the clock time at which the candle and its table set a moment h hours
// after the start: rounded down to one grain for all of them, fine enough for
// the candle's height, so that the fall looks in the table as it does in the
// picture.
func (a *Answer) mark(h units.Hours) plan.Moment {
	grain, m := 60, a.from().After(max(0, a.left(h)))
	for _, g := range []int{5, 10, 15, 30} {
		if a.left(a.run.Likely) <= units.Hours(g)*1.2 { // 72 steps at the most
			grain = g
			break
		}
	}
	if m = m.After(-hoursOf(int(m.Minute()) % grain)); m.Since(a.from()) < 0 {
		return a.from()
	}
	return m
}

// likelyEnd is the likely end as candle, table and alarms tell it: no earlier
// than the time to plan on.
func (a *Answer) likelyEnd() plan.Moment {
	end, least := a.mark(a.run.Likely), a.until(a.run.CountOn)
	if end.Since(least) < 0 {
		return least
	}
	return end
}

// beyond reports whether h is too far to follow.
func beyond(h units.Hours) bool { return h >= outage.Horizon }

// Lead is the line above the big figure.
func (a *Answer) Lead() string {
	switch {
	case a.plan.Outage.UnderWay && a.Passed():
		return wPassedLead
	case a.plan.Outage.UnderWay && beyond(a.run.CountOn):
		return a.trip(a.without(wPlanOnFor))
	case a.plan.Outage.UnderWay:
		return a.trip(a.without(wPlanOnUntil))
	}
	return a.trip(a.without(wIfItFails + a.clock.Moment(a.plan.Outage.Starts, a.now) + wPlanOn))
}

// Passed reports whether the time to plan on is over.
func (a *Answer) Passed() bool { return a.left(min(a.run.CountOn, outage.Horizon)) <= 0 }

// Big is the figure to count on: a clock time in an outage, hours before one.
func (a *Answer) Big() string {
	switch {
	case !a.Passed() && beyond(a.run.CountOn):
		return a.longer()
	case a.plan.Outage.UnderWay:
		return a.clock.Moment(a.until(min(a.run.CountOn, outage.Horizon)), a.from())
	}
	return say.Hours(a.run.CountOn)
}

// longer says that there is no end as far as the course was followed, which is
// from the start and not from now.
func (a *Answer) longer() string {
	if left := a.left(outage.Horizon); left < outage.Horizon {
		return wMoreThan + say.Hours(left)
	}
	return say.Hours(units.Hours(math.Inf(1)))
}

// Under is the line under the big figure: the same in the other manner.
func (a *Answer) Under() string {
	switch {
	case a.Passed():
		return wPassed
	case beyond(a.run.CountOn):
		return ""
	case a.plan.Outage.UnderWay:
		return say.Hours(a.toPlanOn()) + wFromNow
	}
	return wUntilAbout + a.clock.Moment(a.until(a.run.CountOn), a.from())
}

// askVital works out how long what is vital lasts without the rest, once: it
// asks every draw.
func (a *Answer) askVital(sampler *odds.Sampler) {
	if v := &a.alone; a.Ready() && !v.asked {
		_, v.some, v.rest = a.plan.VitalAlone()
		v.asked = true
		if v.some && v.rest {
			p, may := a.ahead(sampler)
			alone, _, _ := p.VitalAlone()
			v.none = outage.NewRig(alone).NoneRuns()
			v.countOn = may.CountOn(alone)
			v.of = a.left(min(a.run.CountOn, outage.Horizon))
		}
	}
}

// Alone says until when to plan on what is vital without the rest; "" where that
// is not asked or no answer stands.
func (a *Answer) Alone() string {
	switch v := a.alone; {
	case !v.asked || a.Passed() || v.none: // that none of it can run is said beside
		return ""
	case !v.some:
		return wAloneNone
	case !v.rest:
		return wAloneAll
	case beyond(v.countOn):
		return a.without(wAlone + say.Hours(units.Hours(math.Inf(1))) + ".")
	default:
		h := a.aloneEnds()
		m := a.clock.Moment(a.until(h), a.from())
		if a.plan.Outage.UnderWay {
			return a.without(wAloneUntil + m + ".")
		}
		return a.without(wAlone + say.Hours(h) + ", " + wUntilAbout + m + ".")
	}
}

// aloneEnds is that time since the plan's start. What the rest has used since
// it was asked is gone: nothing is left when all of it ends.
func (a *Answer) aloneEnds() units.Hours {
	now := a.from().Since(a.plan.Outage.Starts)
	left := a.alone.countOn
	if of := a.alone.of; of > 0 {
		left *= max(0, min(1, a.left(min(a.run.CountOn, outage.Horizon))/of))
	}
	return now + left
}

// toPlanOn is the time to count on as it is said: in an outage it is counted to
// the clock time said, so that the two agree.
func (a *Answer) toPlanOn() units.Hours {
	if a.plan.Outage.UnderWay {
		return a.until(a.run.CountOn).Since(a.from())
	}
	return a.run.CountOn
}

// Range says the spread in a sentence.
func (a *Answer) Range() string {
	low, likely, best := a.toPlanOn(), a.left(a.run.Likely), a.left(a.run.AtBest)
	switch {
	case !a.Passed() && beyond(a.run.CountOn):
		return ""
	case a.Passed() && likely > 0 && !beyond(a.run.Likely):
		return a.dark(wItMayStill) + a.clock.Moment(a.until(a.run.Likely), a.from()) + "."
	case a.Passed():
		return wReadAgain
	}
	s := a.dark(wItCouldLast) + say.Hours(low)
	if hi := say.Hours(best); hi != say.Hours(low) {
		s += wTo + hi
	}
	s += "."
	if l := say.Hours(likely); l != say.Hours(low) {
		s += wAbout + l + wMostLikely
	}
	return s
}

// uncounted names what may charge the supply, and is in none of the answer's
// times: "the sun", "the sun and a generator"; "" where there is nothing.
func (a *Answer) uncounted() string {
	var of []string
	if hasPanels(a.plan) {
		of = append(of, wTheSun)
	}
	for _, kind := range []charge.Kind{charge.Car, charge.Generator} {
		if refillAt(a.plan.Outage.Rules, kind) >= 0 && charge.Power(a.plan.Supply.Inputs, kind) > 0 {
			of = append(of, refillNames[kind])
		}
	}
	if n := len(of); n > 1 {
		return strings.Join(of[:n-1], ", ") + wAnd + of[n-1]
	}
	return strings.Join(of, "")
}

// dark begins what is said of the times with what they are counted without.
func (a *Answer) dark(says string) string {
	if of := a.uncounted(); of != "" {
		return wWithout + of + " " + lowerFirst(says)
	}
	return says
}

// hasPanels reports whether the plan has panels and an input for them.
func hasPanels(p plan.Plan) bool { return p.Panels.Count+p.Panels.Second.Count > 0 && hasPanelInput(p) }

// NineInTen says how sure the time to plan on is; "" where none is told.
func (a *Answer) NineInTen() string {
	if a.Passed() || beyond(a.run.CountOn) {
		return ""
	}
	return wNineInTen + say.Hours(a.toPlanOn()) + "."
}

// Sentence says the whole answer once, for the status line and the strip on
// other pages.
func (a *Answer) Sentence() string {
	switch {
	case !a.Ready():
		return a.Missing
	case a.Passed():
		return wPassedLead + " " + a.Big() + "."
	case beyond(a.run.CountOn):
		return a.trip(a.without(wPlanOnSentence + a.longer() + "."))
	case a.plan.Outage.UnderWay:
		return a.trip(a.without(wPlanOnUntil + " " + a.Big() + ", " + a.Under() + "."))
	}
	return a.trip(a.without(wPlanOnSentence + a.Big() + ", " + a.Under() + "."))
}

// News is the answer as it can be said of a past moment: it holds no "from now",
// which would be wrong a little later.
func (a *Answer) News() string {
	if !a.Ready() {
		return a.Missing
	}
	return a.Lead() + " " + a.Big() + "."
}

// Row is a line of the energy table.
type Row struct {
	Label, Value string
	Strong       bool
}

// Energy says where one full charge goes, from the label to the things.
func (a *Answer) Energy() []Row {
	b, s := a.planned.Balance, a.planned.Battery
	rows := []Row{{Label: wOnTheLabel, Value: say.WattHours(float64(s.Rated)), Strong: true}}
	loss := func(label string, v units.WattHours) {
		if v >= 0.05 {
			rows = append(rows, Row{Label: label, Value: "−" + say.WattHours(float64(v))})
		}
	}
	loss(wLostAge, s.Age)
	loss(wLostCut, s.Cut)
	cold := wLostCold
	if b.Held == 0 && a.plan.Supply.Battery.Room >= coolRoom {
		cold = wLostCool
	}
	loss(cold, s.Cold+b.Held)
	loss(wLostRate, b.Rate)
	loss(wLostIdle, b.Idle)
	loss(wLostConversion, b.Conversion)
	loss(wLostSelf, b.SelfDrain)
	loss(wNotUsed, b.Left-b.Held)
	share := float64(b.ToLoads) / float64(s.Rated)
	return append(rows, Row{Label: wReaches, Value: say.WattHours(float64(b.ToLoads)) + " (" + say.Percent(share) + ")", Strong: true})
}

// Box sets the box figure beside the honest one.
func (a *Answer) Box() string {
	if beyond(a.run.Box) {
		return ""
	}
	return wBoxSays + say.Hours(a.run.Box) + wBoxBut
}

// Advice lists what the plan asks of its supply that it can't give, most
// pressing first.
func (a *Answer) Advice() []string {
	out := batteryNotes(a.plan.Supply.Battery)
	name := func(i int) string { return named(a.plan.Loads[i].Name) }
	limit := a.plan.Supply.UsualInverter().Limits()
	unknown := a.plan.Supply.Inverter.Continuous == 0
	alone, carries, together := wTooMuch, wSupplyCarries, wTooMuchTogether
	if unknown { // what is counted on is no fact
		alone, carries, together = wTooMuchMay, wSupplyGuess, wTooMuchGuess
	}
	never := map[int]bool{}
	for _, n := range a.starts.Never {
		if n.Guessed && slices.Contains(a.unmet, n.Load) {
			continue // that is sure
		}
		never[n.Load] = true
		l := a.plan.Loads[n.Load]
		switch n.Why {
		case start.HardStart:
			if n.Guessed {
				out = append(out, name(n.Load)+wHardStartMay+loadStarts(l, limit)+wCountedIn)
			} else {
				out = append(out, name(n.Load)+wHardStart+loadStarts(l, limit)+wLeftOut)
			}
		case start.TooManyVA:
			out = append(out, name(n.Load)+alone+say.Amount(float64(l.Apparent()), 0, "VA")+carries+say.Amount(float64(limit.ContinuousVA), 0, "VA")+wLeftOut)
		default:
			out = append(out, name(n.Load)+alone+say.Watts(float64(l.Peak()))+carries+say.Watts(float64(limit.Continuous))+wLeftOut)
		}
	}
	for _, i := range a.unmet {
		switch va := a.over[i]; {
		case never[i]:
		case va > 0:
			togetherVA := wTooMuchVA
			if unknown {
				togetherVA = wTooMuchVAMay
			}
			out = append(out, name(i)+togetherVA+say.Amount(math.Ceil(float64(va)), 0, "VA")+wVoltAmps+carries+say.Amount(float64(limit.ContinuousVA), 0, "VA")+wLeftOut)
		default:
			out = append(out, name(i)+together+say.Watts(float64(limit.Continuous))+wLeftOut)
		}
	}
	if unknown {
		// Nothing can be said to trip; what it would have to carry can.
		no := math.Inf(1)
		all := start.Order(a.plan.Loads, inverter.Limits{Continuous: units.Watts(no), ContinuousVA: units.VoltAmps(no), Surge: units.Watts(no)})
		if most := max(all.Peak, all.WorstRestart(a.plan.Loads, limit).Peak); most > 0 {
			out = append(out, wLimitUnknown+say.Watts(float64(most))+wLimitAsk)
		}
		return append(out, a.askStarts()...)
	}
	spared, before := limit.Spared(), len(out)
	if len(a.starts.Never) == 0 && len(a.unmet) == 0 {
		switch {
		case a.starts.Running > spared.Continuous:
			out = append(out, wAllAtOnce+say.Watts(float64(a.starts.Running))+wSupplyCarries+say.Watts(float64(limit.Continuous))+wTenth+wNotTogether)
		case a.starts.VA > spared.ContinuousVA:
			out = append(out, wAllAtOnce+say.Amount(float64(a.starts.VA), 0, "VA")+wVoltAmps+wSupplyCarries+say.Amount(float64(limit.ContinuousVA), 0, "VA")+wTenth+wNotTogether)
		case !a.starts.Fits:
			out = append(out, wStartsPeak+startSays(a.starts.Peak, a.starts.PeakVA, limit)+wStartFewer)
		}
	}
	if a.restart.Load >= 0 && !a.restart.Fits {
		out = append(out, name(a.restart.Load)+wRestartTrips+startSays(a.restart.Peak, a.restart.PeakVA, limit)+wRestartDo)
	}
	if a.trips > 0 && len(out) == before {
		out = append(out, wTripsDraws+of20(tripsOf20(a.trips))+wTripsDrawsThen)
	}
	out = append(out, a.askStarts()...)
	out = append(out, burstTrips(a.plan.Loads, a.starts, limit.Continuous)...)
	if ofPreset(a.plan.Supply) && len(out) > len(batteryNotes(a.plan.Supply.Battery)) {
		out = append(out, wLimitBySize)
	}
	return out
}

// Steps lists what to switch on, in order, with the draw at each start.
func (a *Answer) Steps() []string {
	out := make([]string, len(a.starts.Steps))
	for i, s := range a.starts.Steps {
		out[i] = named(a.plan.Loads[s.Load].Name) + wDrawsUpTo + say.Watts(float64(s.Peak))
	}
	return out
}

// Mark is a line of the candle's text twin.
type Mark struct{ Gauge, Clock string }

// Marks lists what the gauge should show and when, on the middle course, with
// the time to plan on among them.
func (a *Answer) Marks() []Mark {
	type mark struct {
		at    plan.Moment
		label string
	}
	var at []mark
	for _, g := range a.gaugeMarks() {
		if h, ok := a.when(g.left); ok && a.left(h) >= 0 {
			at = append(at, mark{a.mark(h), g.label})
		}
	}
	if len(at) == 0 || beyond(a.run.Likely) || a.lastInDoubt() || a.Passed() {
		return nil
	}
	at = append(at, mark{a.until(a.run.CountOn), firstUpper(wPlanOnIt)}, mark{a.likelyEnd(), firstUpper(wLikelyEnd)})
	slices.SortStableFunc(at, func(x, y mark) int { return cmp.Compare(x.at.Since(y.at), 0) })
	out := make([]Mark, len(at))
	for i, m := range at {
		out[i] = Mark{m.label, a.clock.Moment(m.at, a.from())}
	}
	return out
}

// gaugeMark is a mark of the supply's gauge and what is left there.
type gaugeMark struct {
	label string
	left  units.WattHours
}

// gaugeMarks lists the marks of the gauge, highest first.
func (a *Answer) gaugeMarks() []gaugeMark {
	g := a.plan.Supply.Gauge
	n, label := 10, func(i int) string { return say.Percent(float64(i) / 10) }
	switch {
	case g.Kind == plan.Bars && g.Bars > 0:
		n, label = g.Bars, func(i int) string {
			if i == 1 {
				return "1 bar"
			}
			return say.Number(float64(i), 0) + " bars"
		}
	case g.Kind == plan.NoGauge, g.Kind == plan.Volts: // volts say too little for more
		n, label = 4, func(i int) string { return []string{"", "1 quarter", "half", "3 quarters", "full"}[i] }
	}
	cut := float64(a.planned.Battery.Cut / (a.planned.Battery.Rated - a.planned.Battery.Age))
	var out []gaugeMark
	for i := n; i >= 1; i-- {
		if share := (float64(i)/float64(n) - cut) / (1 - cut); share > 0 {
			out = append(out, gaugeMark{label(i), units.WattHours(share * float64(a.full))})
		}
	}
	return out
}

// when is the time on the middle course at which left is left.
func (a *Answer) when(left units.WattHours) (units.Hours, bool) {
	for i := 1; i < len(a.middle); i++ {
		p, q := a.middle[i-1], a.middle[i]
		if q.left <= left && left <= p.left && p.left > q.left {
			f := float64((p.left - left) / (p.left - q.left))
			return p.h + units.Hours(f)*(q.h-p.h), true
		}
	}
	return 0, false
}

// carried is the outage with its reading moved on to now: a charge from the
// figure counted on to the one in the middle, such that with nothing else
// changed no more is counted on than before.
func (a *Answer) carried(sampler *odds.Sampler) plan.Outage {
	p := a.plan
	since := a.from().Since(p.Outage.Starts)
	b := a.planned.Battery
	cut := float64(b.Cut / (b.Rated - b.Age))
	charge := func(h units.Hours) float64 {
		left := a.leftAt(h)
		if left <= 0 {
			return 0
		}
		return min(cut+(1-cut)*float64(left/a.full), a.plan.Outage.SOC)
	}
	// The course counted on is taken as the middle one at a quicker pace.
	soc, low := charge(since), 0.0
	switch end := a.middle[len(a.middle)-1].h; {
	case a.Passed():
	case beyond(a.run.CountOn):
		low = charge(end) // more is known of no course
	case end <= a.run.CountOn:
		low = soc
	default:
		low = charge(since * end / a.run.CountOn)
	}
	most := a.left(a.run.CountOn)
	p.Outage.Starts = a.from()
	gains := func(share float64) bool {
		l := low * share
		p.Outage.SOC, p.Outage.SOCLow = soc*share, &l
		return sampler.Runtime(p).CountOn > most
	}
	// What was uncertain so far is drawn anew from here on, as if it had nothing
	// to do with what happened: that must not count as a gain.
	if gains(1) {
		none, all := 0.0, 1.0
		for range 8 {
			if half := (none + all) / 2; gains(half) {
				all = half
			} else {
				none = half
			}
		}
		gains(none)
	}
	return p.Outage
}

// carriedFrom is the same of the outage as it is kept, with its log.
func (a *Answer) carriedFrom(kept plan.Outage, sampler *odds.Sampler) plan.Outage {
	o := a.carried(sampler)
	kept.Starts, kept.SOC, kept.SOCLow = o.Starts, o.SOC, o.SOCLow
	return kept
}

// readLow is the least charge that a reading of just now may stand for: taken as a
// plain interval it counts on no more than the reading does, of which the gauge may
// be off.
func (a *Answer) readLow(sampler *odds.Sampler) *float64 {
	p := a.plan
	p.Outage.UnderWay = false
	none, most := 0.0, p.Outage.SOC
	if low := p.Outage.SOCLow; low != nil {
		most = *low
	}
	for range 10 {
		half := (none + most) / 2
		p.Outage.SOCLow = &half
		if sampler.Runtime(p).CountOn > a.run.CountOn {
			most = half
		} else {
			none = half
		}
	}
	return &none
}

// leftAt is what is left on the middle course at a time since the start.
func (a *Answer) leftAt(h units.Hours) units.WattHours {
	for i := 1; i < len(a.middle); i++ {
		p, q := a.middle[i-1], a.middle[i]
		if h <= q.h {
			if q.h <= p.h {
				return q.left
			}
			f := float64((max(h, p.h) - p.h) / (q.h - p.h))
			return p.left + units.WattHours(f)*(q.left-p.left)
		}
	}
	return 0
}
