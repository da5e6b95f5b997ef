package ui

import (
	"slices"

	"candleclock/engine/charge"
	"candleclock/engine/load"
	"candleclock/engine/plan"
	"candleclock/ui/say"
)

// ruleItems are the questions about what the household does as the charge falls
// in a long outage. They stand at the end of the supply's form.
func (a *App) ruleItems() []Item {
	o := a.book.Plan.Outage
	items := []Item{{Heading: wRules}, {Text: wRulesText}}
	edit := func(change func(r *plan.Rules)) { a.edit(func(p *plan.Plan) { change(&p.Outage.Rules) }) }
	below := func(id, label string, get func(r *plan.Rules) **float64, wrong func(v float64) string) {
		f := number(id, label, percent, plan.BelowRange, 0.01, maybe(*get(&o.Rules), 100), func(v float64) {
			if wrong(v) == "" {
				edit(func(r *plan.Rules) { *get(r) = &v })
			}
		})
		take := f.take
		f.take = func(raw string) (string, string) {
			echo, bad := take(raw)
			if typed, ok := say.ParseNumber(raw); ok && bad == "" {
				bad = wrong(typed.Value / 100)
			}
			return echo, bad
		}
		items = append(items, Item{Field: f.orEmpty(func() { edit(func(r *plan.Rules) { *get(r) = nil }) }, func() string { return wRulesEmpty })})
	}
	below("rule-comfort", wRuleComfort, func(r *plan.Rules) **float64 { return &r.ComfortBelow }, func(v float64) string {
		if u := a.book.Plan.Outage.UsefulBelow; u != nil && v < *u-nothing {
			return wRuleComfort + wRuleAtLeast + say.Percent(*u) + wRuleOfUseful
		}
		return ""
	})
	below("rule-useful", wRuleUseful, func(r *plan.Rules) **float64 { return &r.UsefulBelow }, func(v float64) string {
		if c := a.book.Plan.Outage.ComfortBelow; c != nil && v > *c+nothing {
			return wRuleUseful + wRuleAtMost + say.Percent(*c) + wRuleOfComfort
		}
		return ""
	})
	for _, kind := range []charge.Kind{charge.Car, charge.Generator} {
		items = append(items, a.refillItems(kind)...)
	}
	return items
}

// nothing is what two shares that were typed alike may differ by.
const nothing = 1e-9

// When an input is used in an outage.
const (
	refillNever = "never"
	refillLow   = "low"
	refillHours = "hours"
)

// refillItems ask when an input charges the supply in an outage.
func (a *App) refillItems(kind charge.Kind) []Item {
	f := plan.Refill{Kind: kind}
	when := refillNever
	low, from, to := 0.3, loadMinute(18), loadMinute(20)
	if i := refillAt(a.book.Plan.Outage.Rules, kind); i >= 0 {
		f = a.book.Plan.Outage.Refills[i]
		when = refillLow
		if f.From != nil && f.To != nil {
			when, from, to = refillHours, *f.From, *f.To
		}
		if f.Below != nil {
			low = *f.Below
		}
	}
	both := f.Below != nil && when == refillHours // of a plan that came
	set := func() {
		a.edit(func(p *plan.Plan) {
			r := f
			r.From, r.To, r.Below = nil, nil, nil
			if when == refillHours {
				x, y := from, to
				r.From, r.To = &x, &y
			}
			if when == refillLow || both {
				x := low
				r.Below = &x
			}
			rules := &p.Outage.Rules
			rules.Refills = slices.DeleteFunc(slices.Clone(rules.Refills), func(r plan.Refill) bool { return r.Kind == kind })
			if when != refillNever {
				rules.Refills = append(rules.Refills, r)
			}
		})
	}
	there := func() bool { return inputAt(a.book.Plan.Supply, kind) >= 0 }
	is := func(what string) func() bool { return func() bool { return there() && when == what } }
	id := "rule-" + string(kind)
	clock := a.prefs.clock()
	items := []Item{
		{Choice: &Choice{ID: id, Legend: refillAsks[kind], Value: when, Options: []Option{
			{refillNever, wRefillNever, ""}, {refillLow, wRefillLow, wRefillLowHint}, {refillHours, wRefillHours, ""}},
			take: func(v string) { when, both = v, false; set() }}, show: there},
		{Field: number(id+"-below", wRefillBelow, percent, plan.BelowRange, 0.01, plainNumber(low*100), func(v float64) { low = v; set() }), show: is(refillLow)},
		{Field: clockField(id+"-from", "From", clock, from, func(m load.Minute) { from = m; set() }), show: is(refillHours)},
		{Field: clockField(id+"-to", "Until", clock, to, func(m load.Minute) { to = m; set() }), show: is(refillHours)},
	}
	if kind == charge.Generator {
		items = append(items, Item{Field: number(id+"-litres", wRefillFuel, litresUnit, plan.LitresRange, 1, amount(f.Litres), func(v float64) { f.Litres = v; set() }).
			orEmpty(func() { f.Litres = 0; set() }, func() string { return wWeCountOn + say.Amount(plan.UnknownFuel, 0, "L") + wRefillFuelOnly }),
			show: func() bool { return there() && when != refillNever }})
	}
	return items
}

var litresUnit = unit{"litres", "L", "10", map[string]float64{"l": 1, "litre": 1, "litres": 1, "liter": 1, "liters": 1, "gal": 3.785411784, "gallon": 3.785411784, "gallons": 3.785411784}}

// refillAt is the index of the refill of a kind; -1 when there is none.
func refillAt(r plan.Rules, kind charge.Kind) int {
	return slices.IndexFunc(r.Refills, func(f plan.Refill) bool { return f.Kind == kind })
}
