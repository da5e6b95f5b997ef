package ui

import (
	"bytes"
	"slices"
	"strconv"

	"candleclock/engine/battery"
	"candleclock/engine/charge"
	"candleclock/engine/doc"
	"candleclock/engine/inverter"
	"candleclock/engine/load"
	"candleclock/engine/panel"
	"candleclock/engine/plan"
	"candleclock/ui/say"
)

// Change is one thing in which a plan that came differs from the one here.
type Change struct {
	Key   string   // tells it from the others of its comparison
	Title string   // what taking it would do
	Lines []string // what is said here, and what there
}

// comparison is two plans of one household beside each other. Taking all of its
// changes makes ours say what theirs says; taking none leaves ours as it is.
type comparison struct {
	ours, theirs plan.Plan
	slots        []slot
	changes      []Change
}

// slot is a load of either plan or of both.
type slot struct {
	key          string // of its change; "" when it is the same in both
	ours, theirs int    // its index there; -1 when it is not there
}

// orderKey is the key of the change of the loads' order.
const orderKey = "order"

// parts are what is compared and taken as a whole; the loads are compared one
// by one.
var parts = []struct {
	key, title string
	facts      func(f *facts, p plan.Plan)
	take       func(to *plan.Plan, from plan.Plan)
}{
	{"name", "The plan’s name", (*facts).name, func(to *plan.Plan, from plan.Plan) { to.Name = from.Name }},
	{"supply", "The supply", (*facts).supply, func(to *plan.Plan, from plan.Plan) { to.Supply = from.Supply }},
	{"candidates", wOwnSale, (*facts).candidates, func(to *plan.Plan, from plan.Plan) { to.Candidates = from.Candidates }},
	{"panels", "The panels", (*facts).panels, func(to *plan.Plan, from plan.Plan) { to.Panels = from.Panels }},
	{"place", "The place", (*facts).place, func(to *plan.Plan, from plan.Plan) { to.Place = from.Place }},
	{"outage", "The outage", (*facts).outage, func(to *plan.Plan, from plan.Plan) { to.Outage = from.Outage }},
	{"mains", "The mains", (*facts).mains, func(to *plan.Plan, from plan.Plan) { to.Mains = from.Mains }},
	{"rest", "What a newer version added", (*facts).rest, func(to *plan.Plan, from plan.Plan) { to.Unknown = from.Unknown }},
}

// compare finds what differs, put in the words that prefs ask for. What ours
// holds and a link can't carry is no difference where theirs says nothing of it,
// and stays.
func compare(ours, theirs plan.Plan, prefs Prefs) comparison {
	c := comparison{ours: ours, theirs: theirs, slots: pair(ours.Loads, theirs.Loads)}
	c.lend()
	for _, s := range c.slots {
		if s.key != "" {
			c.changes = append(c.changes, c.loadChange(s, prefs))
		}
	}
	if mine, came := c.shared(true), c.shared(false); !slices.Equal(mine, came) {
		c.changes = append(c.changes, Change{orderKey, wDiffOrder, []string{wDiffOrderSent + c.first(came)}})
	}
	here := ours.Encode()
	for _, part := range parts {
		p := ours
		part.take(&p, c.theirs)
		if !bytes.Equal(p.Encode(), here) {
			c.changes = append(c.changes, Change{part.key, part.title, differing(prefs,
				func(f *facts) { part.facts(f, ours) }, func(f *facts) { part.facts(f, c.theirs) })})
		}
	}
	return c
}

// take is ours with the chosen changes, by their keys.
func (c *comparison) take(chosen map[string]bool) plan.Plan {
	p := c.ours
	for _, part := range parts {
		if chosen[part.key] {
			part.take(&p, c.theirs)
		}
	}
	stays := func(s slot) bool {
		return s.ours >= 0 && s.theirs >= 0 || (s.ours >= 0) != chosen[s.key]
	}
	order, other := c.order(true, stays), c.order(false, stays)
	if chosen[orderKey] {
		order, other = other, order
	}
	p.Loads = nil
	for _, i := range woven(order, other) {
		if s := c.slots[i]; s.ours < 0 || s.theirs >= 0 && chosen[s.key] {
			p.Loads = append(p.Loads, c.theirs.Loads[s.theirs])
		} else {
			p.Loads = append(p.Loads, c.ours.Loads[s.ours])
		}
	}
	return p
}

// order lists the slots that fit, as ours or theirs has them.
func (c *comparison) order(ours bool, fits func(slot) bool) []int {
	at := func(s slot) int {
		if ours {
			return s.ours
		}
		return s.theirs
	}
	var out []int
	for i, s := range c.slots {
		if at(s) >= 0 && fits(s) {
			out = append(out, i)
		}
	}
	slices.SortFunc(out, func(i, j int) int { return at(c.slots[i]) - at(c.slots[j]) })
	return out
}

// shared lists the loads that both have, in the order of one of them.
func (c *comparison) shared(ours bool) []int {
	return c.order(ours, func(s slot) bool { return s.ours >= 0 && s.theirs >= 0 })
}

// woven is base with what only other has put behind what it follows there.
func woven(base, other []int) []int {
	out := slices.Clone(base)
	for k, i := range other {
		if slices.Contains(out, i) {
			continue
		}
		at := 0
		if k > 0 {
			at = slices.Index(out, other[k-1]) + 1
		}
		out = slices.Insert(out, at, i)
	}
	return out
}

// pair finds which loads are the same thing: those of one name, and those that
// differ in nothing but their name.
func pair(ours, theirs []load.Load) []slot {
	var out []slot
	paired := make([]bool, len(theirs))
	for i := range ours {
		j := findLoad(theirs, ours[i].Name)
		if j >= 0 {
			paired[j] = true
		}
		out = append(out, slot{ours: i, theirs: j})
	}
	for i, s := range out {
		if s.theirs >= 0 {
			continue
		}
		out[i].theirs = slices.IndexFunc(theirs, func(l load.Load) bool {
			j := findLoad(theirs, l.Name)
			l = lendLoad(l, ours[s.ours])
			l.Name = ours[s.ours].Name
			return !paired[j] && sameLoad(l, ours[s.ours])
		})
		if j := out[i].theirs; j >= 0 {
			paired[j] = true
		}
	}
	for j := range theirs {
		if !paired[j] {
			out = append(out, slot{ours: -1, theirs: j})
		}
	}
	for i, s := range out {
		switch {
		case s.ours < 0:
			out[i].key = "new " + theirs[s.theirs].Name
		case s.theirs < 0 || !sameLoad(ours[s.ours], lendLoad(theirs[s.theirs], ours[s.ours])):
			out[i].key = "load " + ours[s.ours].Name
		}
	}
	return out
}

func sameLoad(a, b load.Load) bool { return bytes.Equal(a.Write().Bytes(), b.Write().Bytes()) }

// lend gives theirs what ours holds and a link can't carry, wherever theirs holds
// nothing of the kind: what a newer version wrote, the supplies to choose from,
// the outage's log, and the outages that are over.
func (c *comparison) lend() {
	ours, p := &c.ours, &c.theirs
	lendTo(&p.Unknown, ours.Unknown)
	lendTo(&p.Place.Unknown, ours.Place.Unknown)
	p.Loads = slices.Clone(p.Loads)
	for _, s := range c.slots {
		if s.ours >= 0 && s.theirs >= 0 {
			p.Loads[s.theirs] = lendLoad(p.Loads[s.theirs], ours.Loads[s.ours])
		}
	}
	lendTo(&p.Supply.Unknown, ours.Supply.Unknown)
	lendTo(&p.Supply.Battery.Unknown, ours.Supply.Battery.Unknown)
	lendTo(&p.Supply.Inverter.Unknown, ours.Supply.Inverter.Unknown)
	lendTo(&p.Supply.Gauge.Unknown, ours.Supply.Gauge.Unknown)
	p.Supply.Inputs = slices.Clone(p.Supply.Inputs)
	for i := range p.Supply.Inputs {
		if in := &p.Supply.Inputs[i]; i < len(ours.Supply.Inputs) && in.Kind == ours.Supply.Inputs[i].Kind {
			mine := ours.Supply.Inputs[i]
			lendTo(&in.Unknown, mine.Unknown)
			in.Fuel = slices.Clone(in.Fuel)
			for k := range in.Fuel[:min(len(in.Fuel), len(mine.Fuel))] {
				lendTo(&in.Fuel[k].Unknown, mine.Fuel[k].Unknown)
			}
		}
	}
	lendTo(&p.Panels.Unknown, ours.Panels.Unknown)
	lendTo(&p.Panels.Label.Unknown, ours.Panels.Label.Unknown)
	lendTo(&p.Panels.Second.Unknown, ours.Panels.Second.Unknown)
	lendTo(&p.Panels.Second.Label.Unknown, ours.Panels.Second.Label.Unknown)
	lendTo(&p.Outage.Unknown, ours.Outage.Unknown)
	p.Outage.Refills = slices.Clone(p.Outage.Refills)
	for i := range p.Outage.Refills[:min(len(p.Outage.Refills), len(ours.Outage.Refills))] {
		lendTo(&p.Outage.Refills[i].Unknown, ours.Outage.Refills[i].Unknown)
	}
	if len(p.Candidates) == 0 {
		p.Candidates = ours.Candidates
	}
	if len(p.History) == 0 {
		p.History = ours.History
	}
	if g := p.Outage.Log; len(g.Readings)+len(g.Switches)+len(g.Power) == 0 {
		// A link can't carry the log. That of another reading is of no use.
		q := *ours
		q.Outage = p.Outage
		q.Outage.Log = ours.Outage.Log
		if bytes.Equal(q.Encode(), ours.Encode()) {
			p.Outage.Log = ours.Outage.Log
		}
	}
}

func lendTo(to *doc.Unknown, from doc.Unknown) {
	if len(*to) == 0 {
		*to = from
	}
}

func lendLoad(to, from load.Load) load.Load {
	lendTo(&to.Unknown, from.Unknown)
	to.Use = slices.Clone(to.Use)
	for i := range to.Use[:min(len(to.Use), len(from.Use))] {
		lendTo(&to.Use[i].Unknown, from.Use[i].Unknown)
	}
	return to
}

// loadChange puts what happens to a load into words.
func (c *comparison) loadChange(s slot, prefs Prefs) Change {
	switch {
	case s.ours < 0:
		l := c.theirs.Loads[s.theirs]
		return Change{s.key, wDiffAdd + named(l.Name), []string{rankShort[string(l.Rank)] + ": " + describe(l, prefs.clock())}}
	case s.theirs < 0:
		l := c.ours.Loads[s.ours]
		return Change{s.key, wRemove + " " + named(l.Name), []string{wDiffGone}}
	}
	ours, theirs := c.ours.Loads[s.ours], c.theirs.Loads[s.theirs]
	return Change{s.key, wDiffChange + named(ours.Name), differing(prefs,
		func(f *facts) { f.load(ours) }, func(f *facts) { f.load(theirs) })}
}

// mostNamed is how many loads a line names.
const mostNamed = 6

// first names the first of the loads in these slots.
func (c *comparison) first(of []int) string {
	var names []string
	for _, i := range of {
		names = append(names, named(c.ours.Loads[c.slots[i].ours].Name))
	}
	return listing(names, mostNamed)
}

// listing is the first names in a row, and how many more there are.
func listing(names []string, most int) string {
	s := ""
	for i, n := range names {
		switch {
		case i == most:
			return s + wAnd + say.Number(float64(len(names)-most), 0) + " more"
		case i > 0:
			s += "; " // names have commas
		}
		s += n
	}
	return s
}

// facts is what a part of a plan says, line by line.
type facts struct {
	prefs Prefs
	lines []fact
}

type fact struct{ label, value string }

// differing puts the facts of the plan here and of one that came beside each
// other, where they differ.
func differing(prefs Prefs, ours, theirs func(f *facts)) []string {
	return between(prefs, ours, theirs, func(here, there string) string { return here + wDiffHere + there + wDiffThere })
}

// becoming puts the facts that would change beside each other.
func becoming(prefs Prefs, now, then func(f *facts)) []string {
	return between(prefs, now, then, func(now, then string) string { return now + wDiffNow + then })
}

func between(prefs Prefs, ours, theirs func(f *facts), both func(here, there string) string) []string {
	mine, came := facts{prefs: prefs}, facts{prefs: prefs}
	ours(&mine)
	theirs(&came)
	var out []string
	line := func(label, here, there string) {
		if here != there {
			out = append(out, label+": "+both(orUnsaid(here), orUnsaid(there)))
		}
	}
	for _, f := range mine.lines {
		line(f.label, f.value, came.of(f.label))
	}
	for _, f := range came.lines {
		if mine.of(f.label) == "" {
			line(f.label, "", f.value)
		}
	}
	if out == nil {
		return []string{wDiffFiner}
	}
	return out
}

func orUnsaid(s string) string {
	if s == "" {
		return wDiffUnsaid
	}
	return s
}

// of is what is said under a label; "" when nothing is.
func (f *facts) of(label string) string {
	for _, l := range f.lines {
		if l.label == label {
			return l.value
		}
	}
	return ""
}

// text adds a fact; an empty one says nothing.
func (f *facts) text(label, value string) {
	if value != "" {
		f.lines = append(f.lines, fact{label, value})
	}
}

// called adds a name: it may hold anything, commas too.
func (f *facts) called(label, name string) {
	if name != "" {
		f.text(label, "“"+named(name)+"”")
	}
}

func (f *facts) yes(label string, v bool) {
	f.text(label, map[bool]string{true: "yes", false: "no"}[v])
}

// known adds a figure that is always known.
func (f *facts) known(label string, v float64, unit string) {
	s := say.Number(v, 4)
	if unit != "" {
		s = say.Amount(v, 4, unit)
	}
	f.text(label, s)
}

// some adds a figure of which 0 is none.
func (f *facts) some(label string, v float64, unit string) {
	if v != 0 {
		f.known(label, v, unit)
	}
}

// maybe adds a figure that may be unknown.
func (f *facts) maybe(label string, v *float64, unit string) {
	if v != nil {
		f.known(label, *v, unit)
	}
}

func (f *facts) share(label string, v *float64) {
	if v != nil {
		f.text(label, say.Number(*v*100, 4)+"%")
	}
}

// word is a word of the plan file in the words of the screen.
func word(names map[string]string, w string) string {
	if n, ok := names[w]; ok {
		return n
	}
	return w
}

func (f *facts) name(p plan.Plan)  { f.called("Name", p.Name) }
func (f *facts) mains(p plan.Plan) { f.known("Mains of this household", float64(p.Mains), "V") }
func (f *facts) rest(plan.Plan)    {}

func (f *facts) load(l load.Load) {
	f.called("Name", l.Name)
	f.text("How much it is needed", rankShort[string(l.Rank)])
	if l.Daily > 0 {
		f.known("Energy a day", float64(l.Daily), "Wh")
	} else {
		f.known("Power while it runs", float64(l.Running), "W")
	}
	f.maybe("Power at least", l.Low, "W")
	f.maybe("Power at most", l.High, "W")
	f.text("How well that is known", word(basisNames, string(l.Basis)))
	f.yes("The meter ran for a day or more", l.MeasuredDay)
	f.text("How many alike", strconv.Itoa(max(l.Count, 1)))
	f.text("Plugged in at", word(outletNames, string(l.Outlet)))
	use := "day and night"
	for i, w := range l.Use {
		span := f.prefs.clock().Minute(w.From) + wTo + f.prefs.clock().Minute(w.To)
		if i == 0 {
			use = span
		} else {
			use += wAnd + span
		}
	}
	f.text("On", use)
	f.share("Share of the time that it really runs", &l.Duty)
	f.some("Power as it starts", float64(l.Starting), "W")
	f.some("Power factor", l.PowerFactor, "")
	f.yes("Starts again by itself", l.CyclesItself)
	f.some("From one start to the next", l.Cycle, "minutes")
	f.yes("Switched off for now", l.Off)
}

func (f *facts) place(p plan.Plan) {
	f.called("Town", p.Place.Name)
	f.maybe("Latitude", p.Place.Lat, "°")
	f.maybe("Longitude", p.Place.Lon, "°")
	f.text("Time zone", p.Place.Zone)
	f.maybe("Its clock ahead of UTC", p.Place.Offset, "hours")
}

func (f *facts) supply(p plan.Plan) {
	s := p.Supply
	f.called("Called", s.Name)
	if p.HasSupply() {
		f.battery(s.Battery)
	}
	if s.Inverter.Continuous > 0 {
		f.inverter(s.Inverter)
	}
	f.share("Efficiency of its USB and 12 V sockets", &s.DCEfficiency)
	gauge := word(gaugeNames, string(s.Gauge.Kind))
	if s.Gauge.Kind == plan.NoGauge {
		gauge = "none"
	}
	f.text("Gauge", gauge)
	f.some("Bars when full", float64(s.Gauge.Bars), "")
	nth := map[charge.Kind]int{}
	for _, in := range s.Inputs {
		nth[in.Kind]++
		label := inputNames[in.Kind]
		if n := nth[in.Kind]; n > 1 {
			label += " " + strconv.Itoa(n)
		}
		f.input(label, in)
	}
	f.yes("Only one input charges at a time", s.OneInput)
	f.share("Charge at which it comes back once it was empty", s.BackOn)
	f.maybe("Price", s.Price, "")
	f.maybe("Weight", s.Weight, "kg")
}

func (f *facts) battery(b battery.Battery) {
	f.known("Capacity on the label", float64(b.Capacity), "Wh")
	f.text("Kind of battery", b.Chemistry.Name())
	f.known("Age", b.AgeYears, "years")
	f.known("Times used up and charged again", b.Cycles, "")
	f.warmth("Room it stands in", float64(b.Room))
	if b.Night != nil {
		f.warmth("The same at night", *b.Night)
	}
	f.share("Charge at which it mostly stands", b.StandsAt)
	if b.Lowest != nil {
		f.warmth("It works down to", *b.Lowest)
	}
	f.share("What a full charge really gives", b.Health)
	f.share("Share it keeps back", b.Cutoff)
	f.share("Lost by standing, a month", b.SelfDischarge)
	f.maybe("Peukert’s exponent", b.Peukert, "")
	f.maybe("Its capacity is told for a discharge of", b.RatedHours, "hours")
	f.share("What comes back of a charge", b.ChargeEfficiency)
}

func (f *facts) warmth(label string, c float64) {
	if f.prefs.Fahrenheit {
		f.known(label, c*1.8+32, "°F")
	} else {
		f.known(label, c, "°C")
	}
}

func (f *facts) inverter(v inverter.Inverter) {
	f.known("Power it carries for hours", float64(v.Continuous), "W")
	f.maybe("Apparent power it carries", v.ContinuousVA, "VA")
	f.maybe("Power it carries for a moment", v.SurgeW, "W")
	f.maybe("Length of that moment", v.SurgeS, "s")
	f.maybe("What it draws itself", v.IdleW, "W")
	f.share("Its efficiency", v.Efficiency)
	f.maybe("Its efficiency holds at", v.EfficiencyAtW, "W")
	f.share("Its second efficiency", v.Efficiency2)
	f.maybe("Its second efficiency holds at", v.Efficiency2AtW, "W")
	f.yes("Switched off while nothing on mains is needed", v.OffWhenUnused)
}

// candidates says of each, under its number, what a supply says.
func (f *facts) candidates(p plan.Plan) {
	for i, c := range p.Candidates {
		one := facts{prefs: f.prefs}
		one.supply(plan.Plan{Supply: c.Supply})
		one.known(wCandUnits, float64(max(c.Units, 1)), "")
		one.maybe(wCandLife, c.Life, "")
		for _, l := range one.lines {
			f.text(wCandNew+strconv.Itoa(i+1)+", "+l.label, l.value)
		}
	}
}

func (f *facts) input(label string, in charge.Input) {
	f.text(label, "there")
	f.some(label+", lowest voltage", float64(in.MinV), "V")
	f.some(label+", highest voltage", float64(in.MaxV), "V")
	f.some(label+", highest current", float64(in.MaxA), "A")
	f.some(label+", highest power", float64(in.MaxW), "W")
	if in.Kind == charge.Panel {
		f.yes(label+", too much current damages it", in.Unlimited)
	}
	f.some(label+", power", float64(in.Watts), "W")
	f.some(label+", voltage", float64(in.Volts), "V")
	f.some(label+", current", float64(in.Amps), "A")
	f.some(label+", fuse", float64(in.Fuse), "A")
	f.some(label+", tank", in.Tank, "litres")
	for i, p := range in.Fuel {
		n := " " + strconv.Itoa(i+1)
		f.known(label+", fuel figure"+n+", at", float64(p.Load), "W")
		f.known(label+", fuel figure"+n, p.LPerH, "litres an hour")
	}
}

func (f *facts) panels(p plan.Plan) {
	f.set("", p.Panels.PanelSet)
	f.set("Others, ", p.Panels.Second)
	f.text("They are", word(mountNames, string(p.Panels.Mount)))
	f.maybe("Tilt from level", p.Panels.Tilt, "°")
	f.maybe("Facing, by compass", p.Panels.Azimuth, "°")
	if p.Panels.SunFrom != nil && p.Panels.SunTo != nil {
		f.text("Sun from", f.prefs.clock().Minute(*p.Panels.SunFrom))
		f.text("Sun until", f.prefs.clock().Minute(*p.Panels.SunTo))
	}
	f.share("Light lost to branches or a window pane", &p.Panels.Shade)
	f.maybe("Length of the cable", p.Panels.CableM, "m")
	f.maybe("Its conductor", p.Panels.CableMM2, "mm²")
}

func (f *facts) set(of string, s plan.PanelSet) {
	if of == "" || s.Count > 0 {
		f.known(of+"How many alike", float64(s.Count), "")
	}
	f.label(of, s.Label)
}

func (f *facts) label(of string, l panel.Label) {
	f.some(of+"Power of one (Pmax)", float64(l.Pmax), "W")
	f.some(of+"Voltage at full power (Vmp)", float64(l.Vmp), "V")
	f.some(of+"Current at full power (Imp)", float64(l.Imp), "A")
	f.some(of+"Open-circuit voltage (Voc)", float64(l.Voc), "V")
	f.some(of+"Short-circuit current (Isc)", float64(l.Isc), "A")
	f.maybe(of+"Voltage change with heat", l.VocPct, "%/°C")
	f.maybe(of+"Power change with heat", l.PmaxPct, "%/°C")
	f.maybe(of+"Cell temperature (NOCT)", (*float64)(l.NOCT), "°C")
	f.some(of+"Cells", float64(l.Cells), "")
}

func (f *facts) outage(p plan.Plan) {
	o := p.Outage
	f.yes("Under way", o.UnderWay)
	f.text("It begins, or the gauge was last read", dated(f.prefs.clock(), o.Starts))
	f.share("The battery is then charged to", &o.SOC)
	f.share("Or only to", o.SOCLow)
	f.known("It lasts", float64(o.Hours), "hours")
	f.share("Sureness asked for", &o.Confidence)
	f.some("Readings noted", float64(len(o.Log.Readings)), "")
	f.some("Switchings noted", float64(len(o.Log.Switches)), "")
	f.some("Times noted at which the power went or came", float64(len(o.Log.Power)), "")
	f.share("Comfort is dropped below", o.ComfortBelow)
	f.share("Useful is dropped below", o.UsefulBelow)
	for _, r := range o.Refills {
		label := inputNames[r.Kind]
		f.text(label, "charges in the outage")
		if r.From != nil && r.To != nil {
			f.text(label+", from", f.prefs.clock().Minute(*r.From))
			f.text(label+", until", f.prefs.clock().Minute(*r.To))
		}
		f.share(label+", below a charge of", r.Below)
		f.some(label+", fuel at hand", r.Litres, "litres")
	}
}
