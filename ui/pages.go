package ui

import (
	"math"
	"slices"
	"strings"

	"candleclock/engine/battery"
	"candleclock/engine/doc"
	"candleclock/engine/gauge"
	"candleclock/engine/load"
	"candleclock/engine/plan"
	"candleclock/engine/units"
	"candleclock/ui/say"
)

func hoursOf(minutes int) units.Hours { return units.Hours(float64(minutes) / 60) }

// The doors.

// OutNow opens the page of three questions.
func (a *App) OutNow() {
	if a.book == nil || !a.bare() {
		a.add(a.newPlan("My household"))
	}
	// Until the third question is answered the gauge counts as unread.
	a.tick()
	a.unread()
	a.Go(pageOut)
}

// PlanAhead opens an empty plan at its list of loads.
func (a *App) PlanAhead() {
	if a.book == nil || !a.bare() {
		a.add(a.newPlan("My household"))
	}
	a.edit(func(p *plan.Plan) { p.Outage.UnderWay, p.Outage.Starts = false, a.evening() })
	a.Go(pageLoads)
}

// The page of three questions.

// outKeys are the things most often asked for first.
var outKeys = []string{"cpap", "cpap-humidifier", "oxygen-5l", "fridge", "freezer-chest", "router", "phone", "lamp-led"}

// outForm builds the three questions.
func (a *App) outForm() *Form {
	f := &Form{}
	add := func(it Item) { f.items = append(f.items, it) }
	p := a.book.Plan

	add(Item{Heading: "1. " + wOutOn})
	add(Item{Text: wOutOnHint})
	for _, e := range firstThings() {
		add(Item{Tick: &Tick{ID: "out-" + e.Key, Label: e.Name, Hint: describe(e.Load(), a.prefs.clock()),
			On: findLoad(p.Loads, e.Name) >= 0, take: func(on bool) { a.put(e, on) }}})
	}
	other := findLoad(p.Loads, wOutOtherNm)
	raw := ""
	if other >= 0 {
		raw = amount(float64(p.Loads[other].Running))
	}
	add(Item{Field: number("out-other", wOutOther, watts, load.RunningRange, 1, raw,
		func(v float64) { a.putOther(v) }).
		orEmpty(func() { a.putOther(0) }, func() string { return "" })})

	add(Item{Heading: "2. " + wOutSize})
	capacity := capacityField("out-capacity", wOutExact, p.Supply.Battery.Capacity, func(v units.WattHours) {
		a.editSupply(func(s *plan.Supply) { setCapacity(s, v) })
	})
	size := &Choice{ID: "out-size", Legend: "About how big is it?"}
	for _, pr := range presets {
		size.Options = append(size.Options, Option{pr.key, pr.label, pr.hint})
		if p.Supply.Name == pr.label {
			size.Value = pr.key
		}
	}
	size.take = func(v string) {
		for _, pr := range presets {
			if pr.key == v {
				a.editSupply(pr.apply)
				capacity.Raw = amount(float64(pr.capacity))
				capacity.retake()
			}
		}
	}
	add(Item{Choice: size})
	add(Item{Field: capacity})

	add(Item{Heading: "3. " + wOutGauge})
	kind := &Choice{ID: "out-gauge", Legend: "It shows", Value: "unknown", Options: []Option{
		{"percent", "A percentage", ""}, {"bars", "Bars", ""}, {"unknown", wNoIdea, "we count on little"}}}
	is := func(v string) func() bool { return func() bool { return kind.Value == v } }
	lit, all, read := 0.0, 5.0, false
	shows := number("out-percent", "It shows", percent, plan.SOCRange, 0.01, "",
		func(v float64) { a.reading(v, nil) })
	percentUnread := func() {
		a.unread()
		a.editSupply(func(s *plan.Supply) { s.Gauge.Kind = plan.Percent })
	}
	shows.none = percentUnread
	litField := number("out-lit", "Bars that are lit", plain, doc.Range{Low: 0, High: plan.BarsRange.High, Unit: "bars"}, 1, "",
		func(v float64) { lit, read = v, true; a.readBars(int(lit), int(all)) }).whole()
	allField := number("out-bars", "Bars when full", plain, plan.BarsRange, 1, "5",
		func(v float64) {
			all = v
			a.editSupply(func(s *plan.Supply) { s.Gauge.Kind, s.Gauge.Bars = plan.Bars, int(v) })
			if read {
				a.readBars(int(lit), int(all))
			}
		}).whole()
	litField.none = func() {
		read = false
		a.unread()
		allField.retake()
	}
	kind.take = func(v string) {
		switch v {
		case "percent":
			percentUnread()
			shows.retake()
		case "bars":
			a.unread()
			allField.retake()
		default:
			a.unread()
		}
	}
	unread := notRead(p.Outage)
	switch {
	case p.Supply.Gauge.Kind == plan.Bars:
		kind.Value = "bars"
		all = float64(p.Supply.Gauge.Bars)
		allField.Raw = plainNumber(all)
		if !unread {
			lit, read = math.Round(p.Outage.SOC*all), true
			litField.Raw = plainNumber(lit)
		}
	case p.Supply.Gauge.Kind == plan.Percent:
		kind.Value = "percent"
		if !unread {
			shows.Raw = plainNumber(math.Round(p.Outage.SOC * 100))
		}
	}
	add(Item{Choice: kind})
	add(Item{Field: shows, show: is("percent")})
	add(Item{Field: litField, show: is("bars")})
	add(Item{Field: allField, show: is("bars")})
	return f
}

// unknownLow is the lower end of the charge of a battery whose gauge nobody can
// read: anything from a quarter to full.
const unknownLow = 0.25

// unread begins the outage now with a gauge that nobody has read.
func (a *App) unread() {
	low := unknownLow
	a.editSupply(func(s *plan.Supply) { s.Gauge.Kind = plan.NoGauge })
	a.edit(func(p *plan.Plan) {
		o := &p.Outage
		o.SOC, o.SOCLow = 1, &low
		a.begin(o)
	})
}

// notRead reports whether the outage counts on what unread put in.
func notRead(o plan.Outage) bool {
	return o.SOCLow != nil && *o.SOCLow == unknownLow && o.SOC == 1
}

func firstThings() []load.Entry {
	var out []load.Entry
	for _, k := range outKeys {
		if e, ok := load.Find(k); ok {
			out = append(out, e)
		}
	}
	return out
}

// put adds or removes a thing of the catalogue.
func (a *App) put(e load.Entry, on bool) {
	a.edit(func(p *plan.Plan) {
		at := findLoad(p.Loads, e.Name)
		switch {
		case on && at < 0 && len(p.Loads) < plan.MostLoads:
			p.Loads = append(p.Loads[:len(p.Loads):len(p.Loads)], e.Load())
		case !on && at >= 0:
			p.Loads = without(p.Loads, at)
		}
	})
}

// putOther sets the one thing that is known by its watts only; 0 removes it.
func (a *App) putOther(w float64) {
	a.edit(func(p *plan.Plan) {
		at := findLoad(p.Loads, wOutOtherNm)
		if w == 0 {
			if at >= 0 {
				p.Loads = without(p.Loads, at)
			}
			return
		}
		other := load.Load{Name: wOutOtherNm, Rank: load.Useful, Outlet: load.AC, Count: 1,
			Running: units.Watts(w), Duty: 1, Basis: load.Label}
		if at < 0 {
			if len(p.Loads) < plan.MostLoads {
				p.Loads = append(p.Loads[:len(p.Loads):len(p.Loads)], other)
			}
			return
		}
		p.Loads = append([]load.Load(nil), p.Loads...)
		p.Loads[at].Running = other.Running
	})
}

func findLoad(loads []load.Load, name string) int {
	for i, l := range loads {
		if plan.SameName(l.Name, name) {
			return i
		}
	}
	return -1
}

func without(loads []load.Load, at int) []load.Load {
	return append(append([]load.Load(nil), loads[:at]...), loads[at+1:]...)
}

// begin gives a battery that nothing is said of yet what the form shows of it.
func begin(b *battery.Battery) {
	if b.Chemistry == "" {
		b.Chemistry, b.Room = battery.LFP, battery.DefaultRoom
	}
}

// setCapacity sets the size of a battery that may not be described yet.
func setCapacity(s *plan.Supply, v units.WattHours) {
	begin(&s.Battery)
	s.Battery.Capacity = v
}

// Reading the gauge.

// reading counts the outage from now on with what the gauge shows. On the page
// of three questions it is still being typed: the first of the log. On the mains
// it corrects the charge.
func (a *App) reading(soc float64, low *float64) {
	a.note()
	a.edit(func(p *plan.Plan) {
		o := &p.Outage
		if !o.OnMains() || a.route.Page == pageOut {
			if !o.UnderWay || a.route.Page == pageOut {
				a.begin(o)
			}
			o.UnderWay = true
		}
		o.SOC, o.SOCLow, o.Starts = soc, low, a.now
		r := plan.Reading{At: a.now, SOCLow: soc, SOC: soc}
		if low != nil {
			r.SOCLow = *low
		}
		o.Log = o.Log.Read(r)
	})
}

// begin notes that the power is out from now on, at the charge that counts. Of
// what was noted before, it keeps when the power went and came.
func (a *App) begin(o *plan.Outage) {
	power := o.Log.Power
	if n := len(power); o.UnderWay && n > 0 && !power[n-1].Back {
		power = power[:n-1] // still being told
	}
	low := o.SOC
	if o.SOCLow != nil {
		low = *o.SOCLow
	}
	o.Log = plan.Log{Power: power}.Came(plan.Power{At: a.now, SOCLow: &low, SOC: new(o.SOC)})
	o.UnderWay, o.Starts = true, a.now
	a.note()
}

// readBars is a reading of n bars lit out of all.
func (a *App) readBars(n, all int) {
	low, soc := barCharge(min(n, all), all)
	a.reading(soc, &low)
}

// barCharge is the charge at n bars lit out of all: it lies between the bar that
// has gone out and the last that is lit.
func barCharge(n, all int) (low, soc float64) {
	return math.Max(0, float64(n-1)/float64(all)), float64(n) / float64(all)
}

// Bars lists the readings of a bar gauge, fullest first; none for other gauges.
func (a *App) Bars() []int {
	if a.book == nil {
		return nil
	}
	g := a.book.Plan.Supply.Gauge
	if g.Kind != plan.Bars {
		return nil
	}
	var out []int
	for n := g.Bars; n >= 0; n-- {
		out = append(out, n)
	}
	return out
}

// BarSays is the text of a bar reading.
func BarSays(n int) string {
	if n == 1 {
		return "1 bar"
	}
	return say.Number(float64(n), 0) + " bars"
}

// ReadBars is a tap on a bar reading.
func (a *App) ReadBars(n int) {
	before := a.book.Plan.Outage
	a.tick()
	a.readBars(n, a.book.Plan.Supply.Gauge.Bars)
	a.readDone(BarSays(n), before)
}

// OpenReading shows the question, with a box for gauges without bars.
func (a *App) OpenReading() {
	a.closeHold()
	a.Fold("read")
	if !a.Open("read") {
		a.form = nil
		return
	}
	if len(a.Bars()) > 0 {
		a.ports.Device.Focus("read-bars")
		return
	}
	f := a.percentBox()
	if a.book.Plan.Supply.Gauge.Kind == plan.Volts {
		f = a.voltsBox()
	}
	a.form = &Form{items: []Item{{Field: f}}}
	a.ports.Device.Focus(f.ID)
}

// percentBox is for a gauge that shows percents.
func (a *App) percentBox() *Field {
	f := &Field{ID: "read-percent", Label: wReadPercent + ", in percent", Unit: "%", Mode: "decimal"}
	soc := 0.0
	f.take = func(raw string) (echo, wrong string) {
		typed, ok := say.ParseNumber(raw)
		if !ok || typed.Unit != "" && typed.Unit != "%" && typed.Unit != "percent" {
			return "", wReadPercent + ": " + quote(strings.TrimSpace(raw)) + " must be a number, like 80."
		}
		if wrong := outside(doc.Range{Low: 0, High: 100, Unit: "%"}, wReadPercent, raw, typed.Value); wrong != "" {
			return "", wrong
		}
		soc = typed.Value / 100
		return "", ""
	}
	f.wrong = wReadPercent + ": " + wEnterNumber + "80."
	a.readBox = func() plan.Reading { return plan.Reading{SOC: soc, SOCLow: soc} }
	return f
}

// voltsBox is for a lead battery's voltmeter, which tells its charge in a wide
// interval.
func (a *App) voltsBox() *Field {
	f := &Field{ID: "read-volts", Label: wReadPercent + ", in volts", Hint: wReadVoltsHint, Unit: "V", Mode: "decimal"}
	var read gauge.Reading
	f.take = func(raw string) (echo, wrong string) {
		typed, ok := say.ParseNumber(raw)
		if unit := strings.ToLower(typed.Unit); !ok || unit != "" && unit != "v" && unit != "volts" {
			return "", wReadPercent + ": " + quote(strings.TrimSpace(raw)) + " must be a number, like 12.4."
		}
		if wrong := outside(gauge.VoltsRange, wReadPercent, raw, typed.Value); wrong != "" {
			return "", wrong
		}
		if !a.book.Plan.Supply.Battery.Chemistry.Lead() {
			return "", wReadNotLead
		}
		if read, ok = gauge.Volts(a.now, a.book.Plan.Supply.Battery.Chemistry, units.Volts(typed.Value)); !ok {
			return "", wReadPercent + ": " + quote(strings.TrimSpace(raw)) + wReadNoSuch
		}
		return wReadMeans + shown(plan.Reading{SOC: read.High, SOCLow: read.Low}, plan.Gauge{}) + ".", ""
	}
	f.wrong = wReadPercent + ": " + wEnterNumber + "12.4."
	a.readBox = func() plan.Reading { return plan.Reading{SOC: read.High, SOCLow: read.Low} }
	return f
}

// Form is the form of the page in view.
func (a *App) Form() *Form { return a.form }

// FormIf is the form while a part of the page is open.
func (a *App) FormIf(fold string) *Form {
	if !a.Open(fold) {
		return nil
	}
	return a.form
}

// SaveReading counts from what was typed.
func (a *App) SaveReading() {
	if a.form == nil {
		return // tapped twice
	}
	f := a.form.items[0].Field
	if f.Leave(); f.Err != "" {
		a.ports.Device.Focus(f.ID)
		return
	}
	before := a.book.Plan.Outage
	a.tick()
	r := a.readBox()
	if r.SOCLow == r.SOC {
		a.reading(r.SOC, nil)
	} else {
		a.reading(r.SOC, &r.SOCLow)
	}
	a.readDone(shown(r, plan.Gauge{}), before)
}

func (a *App) readDone(what string, before plan.Outage) {
	a.folds["read"], a.form = false, nil
	a.tell(wReadDone+a.prefs.clock().Minute(a.now.Minute())+": "+what+". "+a.answer.News(), a.undoOutage(before))
	a.ports.Device.Focus("title")
}

func (a *App) undoOutage(before plan.Outage) func() {
	return func() { a.edit(func(p *plan.Plan) { p.Outage = before }) }
}

// PowerOut begins the outage now, at the charge of the plan, or what the mains
// have put back. Nobody has read that.
func (a *App) PowerOut() {
	before := a.book.Plan.Outage
	a.think()
	counted, how := a.answer.plan.Outage, wOutAsPlanned
	if before.OnMains() {
		how = wOutReckoned
	}
	a.edit(func(p *plan.Plan) {
		o := &p.Outage
		o.SOC, o.SOCLow = counted.SOC, counted.SOCLow
		a.begin(o)
	})
	charge := say.Percent(counted.SOC)
	if l := counted.SOCLow; l != nil {
		charge = say.Percent(*l) + wTo + charge
	}
	a.tell(wOutSince+a.prefs.clock().Minute(a.now.Minute())+wOutCharge+charge+how+a.answer.News(), a.undoOutage(before))
}

// PowerBack ends it, and remembers it. What is left is reckoned until the gauge,
// which it asks for, is read; the mains add to it from now on.
func (a *App) PowerBack() {
	before, history, loads := a.book.Plan.Outage, a.book.Plan.History, a.book.Plan.Loads
	a.catchUp()
	over, known := a.over()
	left := a.leftNow()
	a.note()
	a.edit(func(p *plan.Plan) {
		if known {
			*p = p.Over(over)
		}
		// What was turned off to hold out is no plan for the next time.
		if switches := p.Outage.Log.Switches; len(switches) > 0 {
			p.Loads = unswitched(*p, switches[0].At)
		}
		o := &p.Outage
		o.UnderWay, o.Starts, o.SOC, o.SOCLow = false, a.now, left.SOC, left.SOCLow
		low := left.SOC
		if l := left.SOCLow; l != nil {
			low = *l
		}
		o.Log = plan.Log{Power: o.Log.Power}.Came(plan.Power{At: a.now, Back: true, SOCLow: &low, SOC: new(left.SOC)})
	})
	news := wBackDone
	if known {
		news += wBackKept
	}
	if len(before.Log.Switches) > 0 {
		news += wBackSwitched
	}
	a.tell(news, func() {
		a.edit(func(p *plan.Plan) {
			p.Outage, p.History = before, history
			p.Loads = slices.Clone(p.Loads)
			for _, l := range loads {
				if i := findLoad(p.Loads, l.Name); i >= 0 {
					p.Loads[i].Off = l.Off
				}
			}
		})
	})
	if !a.Open("read") && a.HasSupply() && a.book.Plan.Supply.Gauge.Kind != plan.NoGauge {
		a.OpenReading()
	}
}

// leftNow is the outage under way with what is left now. Where that isn't
// known, since all is off or the clock is before the last reading, it may be
// nothing.
func (a *App) leftNow() plan.Outage {
	o := a.book.Plan.Outage
	switch {
	case !a.answer.Ready() && a.now != o.Starts:
		none := 0.0
		o.SOCLow = &none
	case a.answer.Ready() && a.answer.from() != o.Starts:
		o = a.answer.carriedFrom(o, a.sampler)
	case a.answer.Ready() && a.book.Plan.GaugeError() > 0:
		o.SOCLow = a.answer.readLow(a.sampler)
	}
	return o
}

// UnderWay reports whether the outage is on.
func (a *App) UnderWay() bool { return a.book != nil && a.book.Plan.Outage.UnderWay }

// Toggle is a tap on a load's switch. In an outage it holds from now on: what has
// been used since the last reading stays used.
func (a *App) Toggle(i int) {
	a.carry()
	if a.book == nil || i >= len(a.book.Plan.Loads) {
		return // a tap on a row that has just gone
	}
	a.edit(func(p *plan.Plan) { turn(p, a.now, i) })
	a.status = a.answer.Sentence()
}

// turn switches loads the other way, and notes it in an outage. The list is
// copied: an undo may hold the old one.
func turn(p *plan.Plan, now plan.Moment, loads ...int) {
	p.Loads = append([]load.Load(nil), p.Loads...)
	for _, i := range loads {
		l := &p.Loads[i]
		l.Off = !l.Off
		if p.Outage.UnderWay {
			p.Outage.Log = p.Outage.Log.Switched(plan.Switch{At: now, Load: l.Name, On: !l.Off})
		}
	}
}

// carry moves the reading of an outage under way on to now, to the charge that
// should be left. With everything off it stays: what the inverter went on eating
// isn't known.
func (a *App) carry() {
	a.catchUp()
	if !a.UnderWay() || !a.answer.Ready() || a.answer.from() == a.book.Plan.Outage.Starts {
		return
	}
	slip := a.noted[a.book.Plan.Outage.Starts].slip
	a.book.Plan.Outage = a.answer.carriedFrom(a.book.Plan.Outage, a.sampler)
	a.note()
	a.noted[a.now] = noted{a.noted[a.now].when, slip} // the reading is as old as it was
}

// The list of loads.

// LoadRow is one load in the list.
type LoadRow struct{ Href, Name, Line, Off string }

// LoadGroup is the loads of one rank.
type LoadGroup struct {
	Title string
	Rows  []LoadRow
}

// LoadGroups lists the loads by rank; ranks without loads are left out.
func (a *App) LoadGroups() []LoadGroup {
	var out []LoadGroup
	for _, rank := range load.Ranks {
		g := LoadGroup{Title: rankShort[rank]}
		for i, l := range a.book.Plan.Loads {
			if string(l.Rank) == rank {
				r := LoadRow{Href: "#" + pageLoad + "=" + say.Number(float64(i), 0), Name: l.Name, Line: describe(l, a.prefs.clock())}
				if l.Off {
					r.Off = wOffMark
				}
				g.Rows = append(g.Rows, r)
			}
		}
		if len(g.Rows) > 0 {
			out = append(out, g)
		}
	}
	return out
}

// loadEditor edits the load at an index.
func (a *App) loadEditor(at int) func(func(l *load.Load)) {
	return func(change func(l *load.Load)) { a.editLoad(at, change) }
}

func (a *App) editSupply(change func(s *plan.Supply)) {
	a.edit(func(p *plan.Plan) { change(&p.Supply) })
}

// Found is an entry of the catalogue as the search shows it.
type Found struct {
	Key, Name, Line, Source, Added string
}

// mostFound keeps the list of a search short enough for a slow phone.
const mostFound = 25

// Search is a keystroke in the search box.
func (a *App) Search(query string) {
	r := []rune(query)
	a.query = string(r[:min(len(r), 100)])
	n := len(load.Search(a.query))
	if a.query != "" && n == 0 {
		a.status = wSearchNone
	} else if a.query != "" {
		a.status = say.Number(float64(n), 0) + " found"
	}
}

// Query is what stands in the search box.
func (a *App) Query() string { return a.query }

// FoundNow lists what matches, or the open group.
func (a *App) FoundNow() []Found {
	var entries []load.Entry
	switch {
	case strings.TrimSpace(a.query) != "":
		entries = load.Search(a.query)
	case a.picking != "":
		for _, e := range load.Catalogue() {
			if e.Group == a.picking {
				entries = append(entries, e)
			}
		}
	}
	out := make([]Found, 0, min(len(entries), mostFound))
	for _, e := range entries {
		if len(out) == mostFound && a.picking == "" {
			break
		}
		f := Found{Key: e.Key, Name: e.Name, Line: describe(e.Load(), a.prefs.clock()), Source: e.Source}
		if n := a.countNamed(e.Name); n > 0 {
			f.Added = say.Number(float64(n), 0) + " in the plan"
		}
		out = append(out, f)
	}
	return out
}

func (a *App) countNamed(name string) int {
	n := 0
	for _, l := range a.book.Plan.Loads {
		if plan.SameName(l.Name, name) || strings.HasPrefix(l.Name, name+" ") && strings.Trim(l.Name[len(name)+1:], "0123456789") == "" {
			n++
		}
	}
	return n
}

// FoundNote says that nothing or not everything is shown.
func (a *App) FoundNote() string {
	if strings.TrimSpace(a.query) == "" {
		return ""
	}
	switch n := len(load.Search(a.query)); {
	case n == 0:
		return wSearchNone
	case n > mostFound:
		return wSearchMore
	}
	return ""
}

// Groups lists the catalogue's groups.
func (a *App) Groups() []string { return load.Groups() }

// PickGroup opens or closes a group of the catalogue.
func (a *App) PickGroup(g string) {
	if a.picking == g {
		g = ""
	}
	a.picking, a.query = g, ""
}

// GroupOpen is the value of aria-expanded of a group.
func (a *App) GroupOpen(g string) string {
	if a.picking == g {
		return "true"
	}
	return "false"
}

// freeLoadName adds a number to a name that another load has.
func freeLoadName(loads []load.Load, name string) string {
	free := name
	for n := 2; findLoad(loads, free) >= 0; n++ {
		free = numbered(name, n, load.NameMost)
	}
	return free
}

// AddFound adds an entry of the catalogue.
func (a *App) AddFound(key string) {
	e, ok := load.Find(key)
	if !ok || a.full() {
		return
	}
	l := e.Load()
	l.Name = freeLoadName(a.book.Plan.Loads, l.Name)
	before := a.book.Plan.Loads
	a.tick()
	a.edit(func(p *plan.Plan) { plugged(p, a.now, l) })
	a.tell(wAdded+named(l.Name)+".", func() {
		a.edit(func(p *plan.Plan) { p.Loads = before })
	})
}

// full reports, and tells, that no more loads fit.
func (a *App) full() bool {
	if len(a.book.Plan.Loads) < plan.MostLoads {
		return false
	}
	a.tell(wTooMany, nil)
	return true
}

// AddOwn adds a thing by name and watts, and opens it.
func (a *App) AddOwn() {
	if a.full() {
		return
	}
	before := a.book.Plan.Loads
	l := load.Load{Name: freeLoadName(before, wNewLoad), Rank: load.Useful, Outlet: load.AC, Count: 1,
		Running: 50, Duty: 1, Basis: load.Label}
	a.tick()
	a.edit(func(p *plan.Plan) { plugged(p, a.now, l) })
	a.Go(pageLoad + "=" + say.Number(float64(len(before)), 0))
	a.ports.Device.Focus("load-name")
}

// RemoveLoad removes the load in view, with a way back.
func (a *App) RemoveLoad() {
	if a.route.Page != pageLoad {
		return // tapped twice
	}
	before, at := a.book.Plan.Loads, a.route.At
	name := before[at].Name
	a.edit(func(p *plan.Plan) { p.Loads = without(before, at) })
	a.Go(pageLoads)
	a.tell(wRemoved+named(name)+".", func() {
		a.edit(func(p *plan.Plan) { p.Loads = before })
	})
}

// MoveLoad moves the load in view up (-1) or down (+1) among those of its rank.
func (a *App) MoveLoad(by int) {
	if a.route.Page != pageLoad {
		return
	}
	loads := append([]load.Load(nil), a.book.Plan.Loads...)
	at := a.route.At
	to := at + by
	for to >= 0 && to < len(loads) && loads[to].Rank != loads[at].Rank {
		to += by
	}
	if to < 0 || to >= len(loads) {
		return
	}
	loads[at], loads[to] = loads[to], loads[at]
	a.edit(func(p *plan.Plan) { p.Loads = loads })
	a.Go(pageLoad + "=" + say.Number(float64(to), 0))
	if by < 0 {
		a.ports.Device.Focus("load-up")
	} else {
		a.ports.Device.Focus("load-down")
	}
	a.status = a.placeSays()
}

// placeSays tells where in its rank the load in view stands.
func (a *App) placeSays() string {
	l := a.book.Plan.Loads[a.route.At]
	place, of := 0, 0
	for i, o := range a.book.Plan.Loads {
		if o.Rank == l.Rank {
			of++
			if i <= a.route.At {
				place++
			}
		}
	}
	return named(l.Name) + ": " + say.Number(float64(place), 0) + " of " + say.Number(float64(of), 0) + " that are " + rankShort[string(l.Rank)]
}

// Presets lists the supplies by size.
func (a *App) Presets() []preset { return presets }

// TakePreset makes the supply that of a preset.
func (a *App) TakePreset(p preset) {
	if a.Choosing() {
		a.takePreset(p)
		return
	}
	before := a.book.Plan.Supply
	a.editSupply(p.apply)
	a.folds["presets"] = false
	a.build()
	a.tell(p.label+".", func() {
		a.edit(func(pl *plan.Plan) { pl.Supply = before })
		a.build()
	})
	a.ports.Device.Focus("title")
}
