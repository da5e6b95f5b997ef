package ui

import (
	"errors"
	"math"

	"candleclock/engine/battery"
	"candleclock/engine/doc"
	"candleclock/engine/drill"
	"candleclock/engine/gauge"
	"candleclock/engine/load"
	"candleclock/engine/plan"
	"candleclock/engine/units"
	"candleclock/ui/say"
)

// drillShow is a drill as far as it is typed in. It lives as long as the page.
type drillShow struct {
	of     string // id of its plan
	on     string // "meter" or "plan"
	watts  float64
	second bool
	tests  [2]drillTest

	plan   plan.Plan
	result drill.Result
	err    error
	done   bool // result or err holds
}

// drillTest is one of the tests.
type drillTest struct {
	hours    float64
	from, to string // "full" or "shown"; "off" or "shown"
	showed   [2]float64
	read     [2]bool // showed was typed
}

// Drill is what the page shows.
func (a *App) Drill() *drillShow { return &a.drill }

var ranFor = unit{"hours", "hours", "6.5", map[string]float64{"h": 1, "hr": 1, "hrs": 1, "hour": 1, "hours": 1,
	"m": 1.0 / 60, "min": 1.0 / 60, "minutes": 1.0 / 60, "d": 24, "day": 24, "days": 24}}

// drillForm asks what was done and seen.
func (a *App) drillForm() *Form {
	if !a.book.Plan.HasSupply() {
		return &Form{items: []Item{{Text: wDrillMissing}}}
	}
	d := &a.drill
	if d.of != a.book.ID {
		*d = drillShow{of: a.book.ID, on: "meter", tests: [2]drillTest{{from: "full", to: "shown"}, {from: "full", to: "shown"}}}
	}
	metered := number("drill-watts", wDrillWatts, watts, load.RunningRange, 1, amount(d.watts), func(v float64) { d.watts = v; a.measure() })
	on := &Choice{ID: "drill-on", Legend: wDrillOn, Value: d.on, Options: []Option{{"meter", wDrillMeter, ""}, {"plan", wDrillPlan, ""}},
		take: func(v string) { d.on = v; a.measure() }}
	f := &Form{items: []Item{{Heading: wDrillTest}, {Choice: on}, {Field: metered, show: func() bool { return d.on == "meter" }}}}
	f.items = append(f.items, a.drillItems("drill-", 0, func() bool { return true })...)
	second := &Tick{ID: "drill-second", Label: wDrillSecond, Hint: wDrillSecondH, On: d.second, take: func(on bool) { d.second = on; a.measure() }}
	f.items = append(f.items, Item{Tick: second})
	f.items = append(f.items, a.drillItems("drill2-", 1, func() bool { return d.second })...)
	a.measure()
	return f
}

// drillItems asks for one test.
func (a *App) drillItems(id string, n int, shown func() bool) []Item {
	t, g := &a.drill.tests[n], a.book.Plan.Supply.Gauge
	long := number(id+"hours", wDrillLong, ranFor, doc.Range{Low: math.Ceil(drill.MinutesRange.Low/60*100) / 100, High: drill.MinutesRange.High / 60, Unit: "hours"}, 1,
		amount(t.hours), func(v float64) { t.hours = v; a.measure() })
	items := []Item{{Field: long, show: shown}}
	end := func(id, legend, sure, sureSays string, end int, value *string) {
		c := &Choice{ID: id, Legend: legend, Value: *value, Options: []Option{{sure, sureSays, ""}, {"shown", wDrillShown, ""}},
			take: func(v string) { *value = v; a.measure() }}
		raw := ""
		if t.read[end] {
			raw = plainNumber(t.showed[end])
		}
		set := func(v float64) { t.showed[end], t.read[end] = v, true; a.measure() }
		shows := number(id+"-gauge", wDrillGauge, percent, doc.Range{Low: 0, High: 100, Unit: "%"}, 1, raw, set)
		if g.Kind == plan.Bars {
			shows = number(id+"-gauge", wDrillBars, plain, doc.Range{Low: 0, High: float64(g.Bars), Unit: "bars"}, 1, raw, set).whole()
		}
		items = append(items, Item{Choice: c, show: shown}, Item{Field: shows, show: func() bool { return shown() && *value == "shown" }})
	}
	end(id+"from", wDrillFrom, "full", wDrillFull, 0, &t.from)
	end(id+"to", wDrillTo2, "off", wDrillOff, 1, &t.to)
	return items
}

// measure works the drill out as far as it is typed in.
func (a *App) measure() {
	d := &a.drill
	d.done, d.plan = false, a.book.Plan
	first, ok := d.test(0)
	if !ok || d.on == "meter" && d.watts == 0 {
		return
	}
	if d.on == "meter" {
		first.Loads = []load.Load{drill.Metered(load.AC, units.Watts(d.watts))}
	} else {
		for _, l := range d.plan.Loads {
			if !l.Off {
				first.Loads = append(first.Loads, l)
			}
		}
	}
	var second *drill.Test
	if t, ok := d.test(1); ok && d.second {
		t.Inverter = true
		second = &t
	}
	d.result, d.err = drill.Measure(d.plan, first, second)
	d.done = true
}

// test is one of the tests, once it is whole.
func (d *drillShow) test(n int) (drill.Test, bool) {
	t, p := d.tests[n], d.plan
	read := func(end int) gauge.Reading {
		if g := p.Supply.Gauge; g.Kind == plan.Bars {
			return gauge.Bars(p.Outage.Starts, int(t.showed[end]), g.Bars)
		}
		return gauge.Percent(p.Outage.Starts, t.showed[end])
	}
	out := drill.Test{Minutes: math.Round(t.hours * 60), From: drill.Full(), To: drill.ShutOff(p)}
	if t.from == "shown" {
		out.From = read(0)
	}
	if t.to == "shown" {
		out.To = read(1)
	}
	return out, t.hours > 0 && (t.from == "full" || t.read[0]) && (t.to == "off" || t.read[1])
}

// Says is what the drill tells, in words.
func (d *drillShow) Says() []string {
	if !d.done {
		return nil
	}
	var refused drill.Refusal
	if errors.As(d.err, &refused) {
		return []string{drillRefusals[string(refused)]}
	}
	if d.err != nil {
		return []string{firstUpper(d.err.Error()) + "."}
	}
	r := d.result
	wh := func(v float64) string { return say.WattHours(math.Floor(v/10) * 10) }
	s := wDrillHolds + wh(r.Capacity.Low) + wAnd + wh(r.Capacity.High) + wDrillOf + say.WattHours(float64(d.plan.Supply.Battery.Capacity)) +
		wDrillOnLabel + wh(r.Capacity.Likely) + "."
	counts := wDrillCounts + wh(r.Assumed*float64(d.plan.Supply.Battery.Capacity))
	switch {
	case r.Assumed > r.Health.High:
		counts += wDrillLess
	case r.Assumed < r.Health.Low:
		counts += wDrillMore
	default:
		counts += wDrillAgrees
	}
	out := []string{s, counts}
	if r.Health.Low < battery.HealthRange.Low {
		out = append(out, wDrillDead)
	}
	if r.Idle != nil {
		out = append(out, wDrillIdle+say.Watts(r.Idle.Low)+wAnd+say.Watts(r.Idle.High)+".")
	}
	if r.NoIdle != "" {
		if r.NoIdle == drill.NoFall {
			r.NoIdle = drill.TooVague
		}
		out = append(out, drillRefusals[string(r.NoIdle)])
	}
	return out
}

// corrected is a plan with what the drill told.
func (d *drillShow) corrected(p plan.Plan) plan.Plan {
	if d.done && d.err == nil {
		if d.result.NewHealth != nil {
			p.Supply.Battery.Health = d.result.NewHealth
		}
		if d.result.NewIdle != nil {
			p.Supply.Inverter.IdleW = d.result.NewIdle
		}
	}
	return p
}

// DrillChanges lists what correcting the plan would change.
func (a *App) DrillChanges() []string {
	d := &a.drill
	if !d.done || d.err != nil || d.result.NewHealth == nil && d.result.NewIdle == nil {
		return nil
	}
	return becoming(a.prefs, func(f *facts) { f.supply(d.plan) }, func(f *facts) { f.supply(d.corrected(d.plan)) })
}

// CorrectByDrill does it, with a way back.
func (a *App) CorrectByDrill() {
	if len(a.DrillChanges()) == 0 {
		return // tapped twice
	}
	before := a.book.Plan.Supply
	a.edit(func(p *plan.Plan) { *p = a.drill.corrected(*p) })
	a.measure()
	a.tell(wDrillDone+a.answer.News(), func() {
		a.edit(func(p *plan.Plan) { p.Supply = before })
		a.measure()
	})
	a.ports.Device.Focus("title")
}
