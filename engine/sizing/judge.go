package sizing

import (
	"cmp"
	"math"
	"slices"

	"candleclock/engine/aids"
	"candleclock/engine/charge"
	"candleclock/engine/load"
	"candleclock/engine/odds"
	"candleclock/engine/outage"
	"candleclock/engine/panel"
	"candleclock/engine/plan"
	"candleclock/engine/start"
	"candleclock/engine/units"
	"candleclock/engine/yield"
)

// Own is the number of the plan's own supply among the candidates.
const Own = -1

// Verdict is what a supply would do for a wish, with the plan's loads and
// panels. Several units alike stand side by side: each has some of the loads,
// its own idle draw, its own limits and an equal share of the panels, of the
// generator with its fuel and of the vehicle's socket; plugs are not moved when one
// of them is empty, and they are never wired together.
type Verdict struct {
	Candidate int     // index in the plan, or Own
	Carries   [][]int // loads by unit, by index

	// How long until the first unit is empty, as odds.Runtime has it: without
	// any input; +Inf beyond outage.Horizon.
	CountOn, Likely units.Hours
	// The same with the sun and what the plan's rules charge, within Window; nil
	// where nothing is brought in.
	Sun *odds.WithSun

	Chance float64 // that all that is wished for gets through the wished hours, and no unit trips
	Meets  bool    // it is the wished sureness or more

	Beyond  []int // loads that it can't carry or can't start, by index
	Starts  bool  // all the rest can be started in the best order, and restart by itself
	Restart bool  // what starts again by itself is carried

	Wiring *Wired // the best way for the plan's panels (a unit's share), whatever its verdict; nil without panels or input
	Counts []int  // how many panels of the plan's kind work at its input and bring more than fewer do in full sun, rising

	// What of one full charge reaches the loads of the wish, with everything as
	// the plan says: outage.FullCharge, of all units.
	ToLoads units.WattHours
	// What a full charge brings to the loads, in 9 of 10 draws at least: for
	// the loads of the wish, until all units are empty.
	Delivered units.WattHours
	PerKWh    *float64 // price of the whole by kWh of a full charge, in the owner's money
	// PerKWhLife is that over the cycles that the maker promises, of which a
	// battery has lost a fifth at the end (IEEE Std 450, see battery) and so a
	// tenth on average.
	PerKWhLife   *float64
	PerVitalHour *float64 // price by hour to count on with nothing but the vital loads; nil where one of them is Beyond
	WhPerKg      *float64 // Delivered by weight
}

// Wired is a way to wire panels to an input: see panel.Layout.
type Wired struct {
	Verdict          panel.Verdict
	Series, Parallel int
	Watts            units.Watts // taken in full sun
}

// Judge holds the plan's own supply, if it has one, and each candidate whose
// capacity is known against a wish; the best first: those that fulfil the wish
// and start all of it before those that fulfil it only if no start trips them,
// both the cheaper before the dearer; the rest by their chance.
// What the wish does not carry is off. Draws and seed are those of
// odds.NewSampler. tell is as in NewFront.
func Judge(p plan.Plan, w Wish, draws int, seed uint64, tell func(done, all int) bool) ([]Verdict, bool) {
	list := []int{}
	if p.HasSupply() {
		list = append(list, Own)
	}
	for i, c := range p.Candidates {
		if c.Known() {
			list = append(list, i)
		}
	}
	var out []Verdict
	price := func(v Verdict) float64 {
		if m := CandidateOf(p, v.Candidate).Price(); m != nil {
			return *m
		}
		return math.Inf(1)
	}
	j := &judge{wish: w, draws: draws, seed: seed}
	j.steps(len(list), tell)
	for _, i := range list {
		c := CandidateOf(p, i)
		v := j.verdict(p, c)
		if j.stopped {
			return nil, false
		}
		v.Candidate = i
		out = append(out, v)
		j.next()
	}
	slices.SortStableFunc(out, func(a, b Verdict) int {
		switch {
		case a.class() != b.class():
			return a.class() - b.class()
		case a.Meets:
			return cmp.Or(cmp.Compare(price(a), price(b)), -cmp.Compare(a.CountOn, b.CountOn))
		}
		return cmp.Or(-cmp.Compare(a.Chance, b.Chance), -cmp.Compare(a.CountOn, b.CountOn), cmp.Compare(price(a), price(b)))
	})
	return out, !j.stopped
}

// class is 0 for what fulfils the wish, 1 for what does if no start trips it, 2
// for what does not.
func (v *Verdict) class() int {
	switch {
	case !v.Meets:
		return 2
	case v.Starts && v.Restart:
		return 0
	}
	return 1
}

// CandidateOf is a candidate of the plan by its number, or its own supply.
func CandidateOf(p plan.Plan, number int) plan.Candidate {
	if number == Own {
		return plan.Candidate{Supply: p.Supply, Units: 1}
	}
	return p.Candidates[number]
}

type judge struct {
	progress
	wish  Wish
	draws int
	seed  uint64
}

func (j *judge) verdict(p plan.Plan, c plan.Candidate) Verdict {
	p.Supply = c.Supply
	q := j.wish.of(p)
	parts, carries := share(q, max(c.Units, 1))
	v := Verdict{Carries: carries, Starts: true, Restart: true}
	limit := c.Supply.UsualInverter().Limits()
	for _, part := range parts {
		s := start.Order(part.Loads, limit)
		for _, r := range s.Never {
			v.Beyond = append(v.Beyond, r.Load)
		}
		v.Beyond = append(v.Beyond, unmet(part)...)
		v.Starts = v.Starts && s.Fits
		v.Restart = v.Restart && s.WorstRestart(part.Loads, limit).Fits
	}
	slices.Sort(v.Beyond)
	v.Beyond = slices.Compact(v.Beyond)
	v.wire(parts[0])

	alone := func(rig *outage.Rig, p plan.Plan, c outage.Case, until units.Hours) outage.Outcome {
		return rig.Run(c, until, nil)
	}
	dark := j.run(parts, nil, outage.Horizon, alone)
	v.CountOn, v.Likely = dark.quantile(0.1), dark.quantile(0.5)
	none := !slices.ContainsFunc(parts, func(p plan.Plan) bool { return !outage.NewRig(p).NoneRuns() })
	if none { // how long an inverter idles helps nobody
		v.CountOn, v.Likely = 0, 0
	}
	lit := dark
	if y := yield.Of(parts[0]); y != nil || ruled(parts[0]) {
		window := min(max(j.wish.Hours, odds.SunWindow), outage.Horizon)
		lit = j.run(parts, y, window, follow)
		v.Sun = &odds.WithSun{Window: window, CountOn: lit.quantile(0.1), Likely: lit.quantile(0.5)}
		if none {
			v.Sun.CountOn, v.Sun.Likely = 0, 0
		}
	}
	if len(v.Beyond) == 0 {
		v.Chance = float64(lit.held) / float64(j.draws)
		v.Meets = j.draws-lit.held <= j.wish.spared(j.draws)
	}

	full := slices.Clone(parts)
	for i := range full {
		full[i].Outage.SOC, full[i].Outage.SOCLow = 1, nil
		v.ToLoads += outage.FullCharge(full[i]).Balance.ToLoads
	}
	given := j.run(full, nil, outage.Horizon, alone).given
	slices.Sort(given)
	v.Delivered = given[int(0.1*float64(len(given)))]
	vital, _ := share(Wish{Hours: j.wish.Hours, Rank: load.Vital}.of(q), len(parts))
	v.prices(c, j.run(vital, nil, outage.Horizon, alone).quantile(0.1), vital)
	return v
}

// course is what came of every draw.
type course struct {
	ends  []units.Hours     // when the first unit was empty, shortest first
	held  int               // draws in which none was empty, nor had tripped, within the wished hours
	given []units.WattHours // to the loads, of all units
}

// quantile counts as odds does: the shorter of two.
func (c course) quantile(q float64) units.Hours {
	if q == 0.5 {
		return c.ends[(len(c.ends)-1)/2]
	}
	return c.ends[int(q*float64(len(c.ends)))]
}

// run follows all units through each draw. They stand in the same weather; all
// else of each is drawn anew, which is wary: that the first is empty soon is
// then likelier than of units that are all good or all bad.
func (j *judge) run(parts []plan.Plan, y *yield.Yield, window units.Hours,
	run func(*outage.Rig, plan.Plan, outage.Case, units.Hours) outage.Outcome) course {
	c := course{ends: make([]units.Hours, j.draws), given: make([]units.WattHours, j.draws)}
	trips := make([]bool, j.draws)
	var suns [][]units.Watts
	for k, part := range parts {
		part.Outage.Hours = window
		rig := outage.NewRig(part)
		box := rig.Box(part.Outage.SOC)
		weather := y
		if k > 0 {
			weather = nil
		}
		odds.NewSampler(j.draws, j.seed+uint64(k)).Each(part, weather, func(i int, at outage.Case) bool {
			switch {
			case k > 0 && y != nil:
				at.Sun = suns[i]
			case len(parts) > 1:
				suns = append(suns, slices.Clone(at.Sun))
			}
			o := run(rig, part, at, window)
			if o.Balance.Sun+o.Balance.Fed == 0 && box < window { // without sun no better than the box figure
				o.Empty = min(o.Empty, box)
			}
			if k == 0 {
				c.ends[i] = o.Empty
			}
			c.ends[i] = min(c.ends[i], o.Empty)
			trips[i] = trips[i] || rig.Trips(at, j.wish.Hours) < j.wish.Hours
			c.given[i] += o.Balance.ToLoads
			if i%64 == 0 {
				j.ask()
			}
			return !j.stopped
		})
	}
	for i, end := range c.ends {
		if end >= j.wish.Hours && !trips[i] {
			c.held++
		}
	}
	slices.Sort(c.ends)
	return c
}

// share gives each unit of several its loads, in the order of need: each to
// the unit that so far has the least energy a day to bring, of those that carry
// and start it beside what they have. The panels are shared evenly, what is left
// over is not used; and so is what charges by a rule.
func share(p plan.Plan, n int) (parts []plan.Plan, carries [][]int) {
	parts, carries = make([]plan.Plan, n), make([][]int, n)
	daily := make([]units.WattHours, n)
	for k := range parts {
		parts[k] = only(p, func(load.Load) bool { return false })
		parts[k].Panels.Count /= n
		parts[k].Panels.Second.Count /= n
		parts[k].Supply.Inputs, parts[k].Outage.Refills = shareFeeds(p, n)
	}
	limit := p.Supply.UsualInverter().Limits()
	for _, i := range byNeed(p.Loads) {
		l := p.Loads[i]
		best, bestFits := 0, false
		for k := range parts {
			parts[k].Loads[i].Off = false
			s := start.Order(parts[k].Loads, limit)
			fits := s.Fits && len(s.Never) == 0 && s.WorstRestart(parts[k].Loads, limit).Fits
			parts[k].Loads[i].Off = true
			if k == 0 || fits && !bestFits || fits == bestFits && daily[k] < daily[best] {
				best, bestFits = k, fits
			}
		}
		parts[best].Loads[i].Off = false
		daily[best] += l.DailyEnergy()
		carries[best] = append(carries[best], i)
	}
	return parts, carries
}

// shareFeeds gives one unit of several its share of the vehicle's socket, of the
// generator and of the fuel at hand. There is one generator: what it burns to turn
// it burns for each unit, as if no two were ever filled at once, which is wary.
func shareFeeds(p plan.Plan, n int) ([]charge.Input, []plan.Refill) {
	if n == 1 {
		return p.Supply.Inputs, p.Outage.Refills
	}
	inputs, refills := slices.Clone(p.Supply.Inputs), slices.Clone(p.Outage.Refills)
	for i := range inputs {
		switch in := &inputs[i]; in.Kind {
		case charge.Car:
			if most := in.Most(); most > 0 {
				in.Amps = units.Amps(float64(most) / float64(in.Volts) / float64(n))
			}
		case charge.Generator:
			line, _ := in.FuelLine() // of the whole set
			in.Fuel = []charge.FuelPoint{{FuelPoint: aids.FuelPoint{LPerH: line.LPerH(0)}},
				{FuelPoint: aids.FuelPoint{Load: in.Watts, LPerH: line.LPerH(in.Watts)}}}
			in.Watts /= units.Watts(n)
		}
	}
	for i := range refills {
		if refills[i].Kind == charge.Generator {
			litres, _ := refills[i].Fuel()
			refills[i].Litres = litres / float64(n)
		}
	}
	return inputs, refills
}

// byNeed lists the loads that are on, most needed first, in the plan's order
// within a rank.
func byNeed(loads []load.Load) (order []int) {
	for rank := range load.Ranks {
		for i, l := range loads {
			if !l.Off && l.Rank.Order() == rank {
				order = append(order, i)
			}
		}
	}
	return order
}

// wire tells how the panels of a unit's plan go with its input.
func (v *Verdict) wire(p plan.Plan) {
	air := yield.UnknownAir
	if site, ok := p.Site(); ok {
		air = yield.Air(site.Climate)
	}
	if all := yield.Wirings(p, air); len(all) > 0 {
		best := all[0]
		v.Wiring = &Wired{best.Verdict, best.Series(), best.Parallel(), best.Watts}
	}
	if !p.Panels.Label.Known() {
		return
	}
	p.Panels.Count, p.Panels.Second = panel.MaxModules, plan.PanelSet{}
	if !slices.ContainsFunc(p.Supply.Inputs, func(in charge.Input) bool { return in.Kind == charge.Panel }) {
		return
	}
	var takes [panel.MaxModules + 1]units.Watts
	for _, w := range yield.Wirings(p, air) {
		takes[w.Modules()] = max(takes[w.Modules()], w.Watts)
	}
	most := units.Watts(0)
	for n, w := range takes {
		if w > most*(1+1e-9) { // a hair of rounding is no more
			v.Counts, most = append(v.Counts, n), w
		}
	}
}

// lifelong is the share of its capacity that a battery has on average over the
// cycles that its maker promises: they are told until 0.8 of it is left.
const lifelong = 0.9

func (v *Verdict) prices(c plan.Candidate, vitalHours units.Hours, vital []plan.Plan) {
	kWh := float64(v.Delivered) / 1000
	per := func(what *float64, by float64) *float64 {
		if what == nil || !(by > 0) || math.IsInf(by, 1) {
			return nil
		}
		x := *what / by
		return &x
	}
	v.PerKWh = per(c.Price(), kWh)
	if c.Life != nil {
		v.PerKWhLife = per(c.Price(), kWh*lifelong**c.Life)
	}
	carried, beyond := false, false
	for _, p := range vital {
		for i, l := range p.Loads {
			carried = carried || !l.Off && l.Draw() > 0
			beyond = beyond || !l.Off && slices.Contains(v.Beyond, i)
		}
	}
	if carried && !beyond {
		v.PerVitalHour = per(c.Price(), float64(vitalHours))
	}
	if kg := c.Weight(); kg != nil {
		v.WhPerKg = per((*float64)(&v.Delivered), *kg)
	}
}
