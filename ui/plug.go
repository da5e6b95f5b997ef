package ui

import (
	"math"
	"strings"

	"candleclock/engine/doc"
	"candleclock/engine/load"
	"candleclock/engine/odds"
	"candleclock/engine/plan"
	"candleclock/engine/shed"
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

// plugUsual is what people most ask about, shown before anything is typed.
var plugUsual = []string{"phone", "laptop", "microwave", "kettle", "hair-dryer", "heater"}

// plugUsual230 are the entries for mains of about 230 V where they differ.
var plugUsual230 = map[string]string{"kettle": "kettle-230", "heater": "heater-230"}

// PlugFound lists what the search finds, or else what people most ask about, each
// with the verdict.
func (a *App) PlugFound() []Found {
	found := a.FoundNow()
	found = found[:min(len(found), 6)]
	if a.query == "" && a.plug.of == nil {
		for _, key := range plugUsual {
			if at230 := plugUsual230[key]; at230 != "" && a.book != nil && a.book.Plan.Mains > 150 {
				key = at230
			}
			if e, ok := load.Find(key); ok {
				found = append(found, Found{Key: key, Name: e.Name, Line: describe(e.Load(), a.prefs.clock())})
			}
		}
	}
	if a.book == nil || !a.book.Plan.HasSupply() || a.Answered() && a.answer.Passed() {
		return found
	}
	for i := range found {
		if e, ok := load.Find(found[i].Key); ok {
			says, _ := a.plugMay(e.Load())
			word, _, _ := strings.Cut(says[0], ".")
			word, _, _ = strings.Cut(word, ":")
			found[i].Line = word + ": " + found[i].Line
		}
	}
	return found
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
	a.catchUp()
	a.answer.now = a.now
	if a.Answered() && a.answer.Passed() {
		a.plug.says = append([]string{wPlugNotNow}, plugDanger(*l, a.book.Plan.Loads, false)...)
		return
	}
	says, refused := a.plugMay(*l)
	if bySize := a.book.Plan.Supply.Inverter.Continuous == 0; !refused || bySize {
		cost, empties := a.plugCosts(*l)
		if empties && strings.HasPrefix(says[0], wPlugYes) {
			says[0] = wPlugNotYet + " " + strings.TrimSpace(strings.TrimPrefix(says[0], wPlugYes))
		}
		says = append(says, cost...)
	}
	a.plug.says = append(says, plugDanger(*l, a.book.Plan.Loads, refused)...)
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

// PlugClass is the class of a sentence of the answer: the first is the verdict.
func (a *App) PlugClass(n int) string {
	if n == 0 && a.plug.of != nil {
		return "verdict"
	}
	return ""
}

// suppliesSay says what a supply carries for long or starts: as a fact only where
// its owner has entered it.
func suppliesSay(s plan.Supply, watts units.Watts, known, bySize string) string {
	if ofPreset(s) {
		known = bySize
	}
	return known + say.Watts(float64(watts)) + "."
}

// plugMay says whether the supply carries it, and starts it, with what is
// switched on; refused where it can't even alone, or should not be tried.
func (a *App) plugMay(l load.Load) (says []string, refused bool) {
	s := a.book.Plan.Supply
	switch {
	case l.Outlet != load.AC:
		return []string{wPlugYes + " " + wPlugOwnOutlet}, false
	case s.Inverter.Continuous == usbOnly:
		return []string{wPlugNo + " " + wPlugNoMains}, true
	}
	limit := s.UsualInverter().Limits()
	m := start.Plug(a.book.Plan.Loads, l, limit)
	w := func(v units.Watts) string { return say.Watts(float64(v)) }
	va := func(v units.VoltAmps) string { return say.Amount(math.Ceil(float64(v)), 0, "VA") }
	if s.Inverter.Continuous == 0 {
		if m.Never != "" {
			return []string{wPlugNo + " " + named(l.Name) + wPlugDraws + w(l.Peak()+l.Excess()) + wPlugGuess + w(limit.Continuous) + wPlugGuessSo}, true
		}
		return []string{wPlugUnknown + wPlugDraws2 + w(l.Peak()) + wPlugWithRest + w(m.Running) + "."}, false
	}
	carries := func() string { return suppliesSay(s, limit.Continuous, wSupplyCarries, wPlugUsually) }
	carriesVA := func() string {
		known := wSupplyCarries
		if s.Inverter.ContinuousVA == nil {
			known = wPlugAsVA
		}
		return known + va(limit.ContinuousVA) + "."
	}
	starts := func() string {
		known := wSupplyStarts
		if s.Inverter.SurgeW == nil {
			known = wPlugNoSurge
		}
		return suppliesSay(s, limit.Surge, known, wPlugUsually)
	}
	switch m.Never {
	case start.HardStart:
		return []string{wPlugNo + " " + named(l.Name) + wPlugHard + w(l.Peak()+l.Excess()) + starts()}, true
	case start.TooManyVA:
		return []string{wPlugNo + " " + named(l.Name) + wPlugAlone + va(l.Apparent()) + carriesVA()}, true
	case start.TooManyWatts:
		says = []string{wPlugNo + " " + named(l.Name) + wPlugAlone + w(l.Peak()) + carries()}
		if l.Low != nil && l.Basis == load.Typical && units.Watts(*l.Low) <= limit.Spared().Continuous {
			says = append(says, wPlugSome+w(units.Watts(*l.Low))+wPlugSomeIs)
		}
		return says, true
	}
	switch m.Over {
	case start.TooManyWatts:
		return []string{wPlugNotYet + " " + wPlugTogether + w(m.Running) + carries() + wPlugSpare + wPlugTurnOff}, false
	case start.TooManyVA:
		return []string{wPlugNotYet + " " + wPlugTogether + va(m.VA) + carriesVA() + wPlugSpare + wPlugTurnOff}, false
	}
	verdict := wPlugYes
	if !m.Fits {
		verdict = wPlugNotYet
	}
	if m.LastFits {
		says = append(says, verdict+" "+wPlugLimits+w(m.Last)+starts())
	} else {
		says = append(says, verdict+" "+wPlugLast+w(m.Last)+wPlugTrips+starts()+wPlugSpare)
		if !m.BestFits {
			return append(says, wPlugNoOrder), false
		}
		says = append(says, wPlugFirst+wPlugFirstIs+w(m.Best)+wPlugFirstFits)
	}
	if again := m.Restart; again.Load >= 0 && !again.Fits {
		name := l.Name
		if again.Load < len(a.book.Plan.Loads) {
			name = a.book.Plan.Loads[again.Load].Name
		}
		says = append(says, wPlugRestart+lowerFirst(name)+wPlugRestartIs+w(again.Peak)+wPlugRestartDo)
	}
	return says, false
}

// leastLost is what is worth telling of the time that a thing costs.
const leastLost units.Hours = 5. / 60

// plugCosts says what it takes of the time the battery lasts, and whether that is
// all of it.
func (a *App) plugCosts(l load.Load) (says []string, empties bool) {
	p, may := a.counted(), odds.Chances(nil)
	if a.Answered() {
		p, may = a.ahead()
	} else {
		may = a.sampler.Chances(p)
	}
	if len(p.Loads) >= plan.MostLoads {
		return nil, false
	}
	long := units.Hours(a.plug.minutes / 60)
	cost, per := shed.Plug(p, l, long, may), say.Hours(long)+wPlugMinutesIs
	if l.Daily > 0 && long == 0 {
		long, per = shed.ChargeTakes, wPlugCharge
	}
	lost := cost.Lost()
	if cost.Empties {
		if long == 0 || !(cost.Before > 0) {
			return []string{wPlugEmptyNow}, true
		}
		return []string{wPlugEmpties}, true
	}
	if !a.Answered() { // it would be all that is on
		if beyond(cost.After) || long > 0 {
			return nil, false
		}
		return []string{wPlugOnly + say.Hours(say.Down(cost.After)) + "."}, false
	}
	before := a.answer.left(a.answer.run.CountOn) // as it stands on Tonight
	after := max(0, before-lost)
	switch {
	case beyond(a.answer.run.CountOn):
		if long > 0 || beyond(cost.After) {
			return []string{wPlugNothing}, false
		}
		return []string{wPlugCosts + say.Hours(say.Down(cost.After)) + "."}, false
	case lost < leastLost:
		return []string{wPlugNothing}, false
	case long > 0:
		return []string{per + say.Hours(say.Up(lost)) + wPlugOfTheNight}, false
	case lost < say.Grain(before): // both are rounded down, and would seem alike or further apart
		return []string{wPlugStays + say.Hours(say.Up(lost)) + wPlugOfTheNight}, false
	}
	return []string{wPlugCosts + say.Hours(after) + wPlugInstead + say.Hours(before) + "."}, false
}

// plugged adds a load that is switched on now. In an outage that is noted: the
// readings so far are not explained by what came later. Counted from one reading
// alone it draws since then, for it may have been forgotten, and not be new.
func plugged(p *plan.Plan, now plan.Moment, l load.Load) {
	p.Loads = append(p.Loads[:len(p.Loads):len(p.Loads)], l)
	if p.Outage.UnderWay {
		p.Outage.Log = p.Outage.Log.Switched(plan.Switch{At: now, Load: l.Name, On: true})
	}
}
