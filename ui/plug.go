package ui

import (
	"math"
	"slices"
	"strings"

	"candleclock/engine/doc"
	"candleclock/engine/load"
	"candleclock/engine/outage"
	"candleclock/engine/plan"
	"candleclock/engine/start"
	"candleclock/engine/units"
	"candleclock/ui/say"
)

// plugIn is the one more thing that is asked about.
type plugIn struct {
	of      *load.Load // nil while nothing is chosen
	minutes float64    // 0: it stays on
	says    []string   // the answer
}

// plugName is how a thing is called of which only the watts are known.
const plugName = "This"

// plugForm asks what it is, and for how long.
func (a *App) plugForm() *Form {
	a.plug = plugIn{}
	l := load.Load{Name: plugName, Rank: load.Comfort, Outlet: load.AC, Count: 1, Duty: 1, Basis: load.Label}
	what := &Field{ID: "plug-what", Label: wPlugWhat, Hint: wPlugWhatHint, Mode: "text", Wide: true}
	what.take = func(raw string) (echo, wrong string) { a.Search(raw); return "", "" }
	own := func() {
		if l.Running == 0 {
			a.choose(nil)
			return
		}
		one := l
		a.choose(&one)
	}
	watts1 := number("plug-watts", wPlugWatts, watts, load.RunningRange, 1, "", func(v float64) { l.Running = units.Watts(v); own() }).
		orEmpty(func() { l.Running = 0; own() }, func() string { return "" })
	hard := number("plug-starting", wPlugStarting, watts, load.StartingRange, 1, "", func(v float64) { l.Starting = units.Watts(v); l.CyclesItself = v > 0; own() }).
		orEmpty(func() { l.Starting = 0; l.CyclesItself = false; own() }, func() string { return "" })
	long := number("plug-minutes", wPlugMinutesNm, minutes, plugMinutes, 1, "", func(v float64) { a.plug.minutes = v; a.choose(a.plug.of) }).
		orEmpty(func() { a.plug.minutes = 0; a.choose(a.plug.of) }, func() string { return "" })
	long.Label, long.Hint = wPlugMinutes, wPlugEmpty
	return &Form{items: []Item{{Field: what}, {Field: watts1}, {Field: hard}, {Field: long}}}
}

// PlugSearch is the box to search in; what it finds stands right below it.
func (a *App) PlugSearch() *Form {
	if a.route.Page != pagePlug || a.form == nil {
		return nil // a drawing of the page that has just gone
	}
	return &Form{items: a.form.items[:1]}
}

// PlugFigures are the other boxes.
func (a *App) PlugFigures() *Form {
	if a.route.Page != pagePlug || a.form == nil {
		return nil
	}
	return &Form{items: a.form.items[1:]}
}

var (
	minutes     = unit{"minutes", "min", "10", map[string]float64{"min": 1, "minute": 1, "minutes": 1, "h": 60, "hour": 60, "hours": 60}}
	plugMinutes = doc.Range{Low: 1, High: 24 * 60, Unit: "minutes"}
)

// PlugFound lists what the search finds.
func (a *App) PlugFound() []Found {
	found := a.FoundNow()
	return found[:min(len(found), 6)]
}

// Plug is a tap on a thing of the catalogue.
func (a *App) Plug(key string) {
	e, ok := load.Find(key)
	if !ok || a.book == nil {
		return
	}
	l := e.Load()
	a.query = ""
	a.choose(&l)
	a.ports.Device.Focus("plug-says")
}

// choose works the answer out anew.
func (a *App) choose(l *load.Load) {
	a.plug.of = l
	a.plug.says = nil
	if l == nil || !a.book.Plan.HasSupply() {
		return
	}
	a.plug.says = a.plugMay(*l)
	refused := strings.HasPrefix(a.plug.says[0], wPlugNo+" ")
	if !refused {
		a.plug.says = append(a.plug.says, a.plugCosts(*l)...)
	}
	a.plug.says = append(a.plug.says, plugDanger(*l, a.book.Plan.Loads, refused)...)
}

// PlugName is what is asked about, PlugSays the answer.
func (a *App) PlugName() string {
	if a.plug.of == nil {
		return ""
	}
	return named(a.plug.of.Name) + ": " + describe(*a.plug.of, a.prefs.clock())
}

// PlugSays is the answer in sentences.
func (a *App) PlugSays() []string {
	switch {
	case a.book == nil || !a.book.Plan.HasSupply():
		return []string{wPlugNoSupply}
	case a.plug.of == nil:
		return []string{wPlugNone}
	}
	return a.plug.says
}

// plugMay says whether the supply carries it, and starts it, with what is
// switched on.
func (a *App) plugMay(l load.Load) []string {
	if l.Outlet != load.AC {
		return []string{wPlugYes + " " + wPlugOwnOutlet}
	}
	s := a.book.Plan.Supply
	if s.Inverter.Continuous == 0 {
		return []string{wPlugUnknown}
	}
	limit := s.UsualInverter().Limits()
	w := func(v units.Watts) string { return say.Watts(float64(v)) }
	// On its own first; then last of all; then in the best order.
	alone := start.Order([]load.Load{l}, limit)
	if len(alone.Never) > 0 {
		switch alone.Never[0].Why {
		case start.HardStart:
			return []string{wPlugNo + " " + named(l.Name) + wPlugHard + w(l.Peak()+l.Excess()) + wSupplyStarts + w(limit.Surge) + "."}
		case start.TooManyVA:
			return []string{wPlugNo + " " + named(l.Name) + wPlugAlone + say.Amount(float64(l.Apparent()), 0, "VA") + wSupplyCarries + say.Amount(float64(limit.ContinuousVA), 0, "VA") + "."}
		}
		return []string{wPlugNo + " " + named(l.Name) + wPlugAlone + w(l.Peak()) + wSupplyCarries + w(limit.Continuous) + "."}
	}
	on := start.Order(a.book.Plan.Loads, limit) // without what it can't run anyway
	all := append(append([]load.Load(nil), a.book.Plan.Loads...), l)
	best := start.Order(all, limit)
	switch {
	case best.Running > limit.Continuous:
		return []string{wPlugNotYet + " " + wPlugTogether + w(best.Running) + wSupplyCarries + w(limit.Continuous) + wPlugTurnOff}
	case best.VA > limit.ContinuousVA:
		return []string{wPlugNotYet + " " + wPlugTogether + say.Amount(float64(best.VA), 0, "VA") + wSupplyCarries + say.Amount(float64(limit.ContinuousVA), 0, "VA") + wPlugTurnOff}
	}
	last := on.Running + l.Peak() + l.Excess()
	again := best.WorstRestart(all, limit)
	var out []string
	if last <= limit.Surge {
		out = append(out, wPlugYes+" "+wPlugLimits+w(last)+wSupplyStarts+w(limit.Surge)+".")
	} else {
		out = append(out, wPlugNotYet+" "+wPlugLast+w(last)+wPlugTrips+w(limit.Surge)+".")
		if best.Peak > limit.Surge {
			return append(out, wPlugNoOrder)
		}
		out = append(out, wPlugFirst+wPlugFirstIs+w(best.Peak)+wPlugFirstFits)
	}
	if again.Load >= 0 && !again.Fits {
		out[0] = strings.Replace(out[0], wPlugYes, wPlugNotYet, 1)
		out = append(out, wPlugRestart+lowerFirst(all[again.Load].Name)+wPlugRestartIs+w(again.Peak)+wPlugRestartDo)
	}
	return out
}

// plugCosts says what it takes of the time the battery lasts.
func (a *App) plugCosts(l load.Load) []string {
	if !a.Answered() || a.answer.Passed() || len(a.book.Plan.Loads) >= plan.MostLoads {
		return nil
	}
	a.tick()
	a.answer.now = a.now
	p := a.onward()
	l.Name = freeLoadName(p.Loads, l.Name)
	if a.plug.minutes > 0 {
		return a.plugWhile(l)
	}
	before := a.countOn(p, func(*plan.Plan) {})
	after := a.countOn(p, func(p *plan.Plan) { plugged(p, a.now, l) })
	switch {
	case beyond(after) || before-after < leastLost:
		return []string{wPlugNothing}
	case say.Hours(after) == say.Hours(before): // both are rounded down, to hours at most
		return []string{wPlugStays + say.Hours(say.Up(before-after)) + wPlugOfTheNight}
	}
	return []string{wPlugCosts + say.Hours(after) + wPlugInstead + say.Hours(before) + "."}
}

// leastLost is what is worth telling of the time that a thing costs.
const leastLost units.Hours = 5. / 60

// plugged adds a load that is switched on now. In an outage that is noted: the
// readings so far are not explained by what came later. Counted from one reading
// alone it draws since then, for it may have been forgotten, and not be new.
func plugged(p *plan.Plan, now plan.Moment, l load.Load) {
	p.Loads = append(p.Loads[:len(p.Loads):len(p.Loads)], l)
	if p.Outage.UnderWay {
		p.Outage.Log = p.Outage.Log.Switched(plan.Switch{At: now, Load: l.Name, On: true})
	}
}

// plugWhile says what some minutes of it take: the outage is followed from now on
// with it plugged in so long, drawing the most that it may.
func (a *App) plugWhile(l load.Load) []string {
	l.Use = nil // whatever its usual hours
	if !l.CyclesItself && l.Daily == 0 {
		l.Duty = 1 // it runs while it is used
	}
	p, may := a.ahead()
	with, after := p, p
	plugged(&with, a.now, l)
	long := units.Hours(a.plug.minutes / 60)
	after.Outage.Starts = p.Outage.Starts.After(long)
	meanwhile, then, never := outage.NewRig(with), outage.NewRig(after), outage.NewRig(p)
	_, _, most := l.Spread()
	before := units.Hours(may.Tenth(func(c outage.Case) float64 { return float64(never.Run(c, outage.Horizon, nil).Empty) }))
	left := units.Hours(may.Tenth(func(c outage.Case) float64 {
		c.Draw = append(slices.Clone(c.Draw), most)
		o := meanwhile.Run(c, long, nil)
		if b := o.Battery; math.IsInf(float64(o.Empty), 1) && b.Usable > 0 {
			cut := float64(b.Cut / (b.Rated - b.Age))
			c.SOC = cut + (1-cut)*float64(o.Balance.Left/b.Usable)
			return float64(long + then.Run(c, outage.Horizon, nil).Empty)
		}
		return float64(o.Empty)
	}))
	lost := before - left
	switch {
	case left <= long:
		return []string{wPlugEmpties}
	case beyond(before) || math.IsNaN(float64(lost)) || lost < leastLost:
		return []string{wPlugNothing}
	}
	return []string{say.Hours(long) + wPlugMinutesIs + say.Hours(say.Up(lost)) + wPlugOfTheNight}
}
