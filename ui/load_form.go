package ui

import (
	"slices"
	"strconv"
	"strings"

	"candleclock/engine/doc"
	"candleclock/engine/load"
	"candleclock/engine/plan"
	"candleclock/engine/units"
	"candleclock/ui/say"
)

// loadForm builds the questions about one load of the plan in view. edit puts
// an answer into the plan.
func loadForm(p plan.Plan, at int, clock say.Clock, edit func(change func(l *load.Load))) *Form {
	l := p.Loads[at]
	now, told := l, edit // as it stands, for what is said beside a box
	edit = func(change func(l *load.Load)) { change(&now); told(change) }
	f := &Form{}
	add := func(it Item) { f.items = append(f.items, it) }

	add(Item{Field: text("load-name", "Name", l.Name, load.NameMost, func(s string) string {
		for i, other := range p.Loads {
			if i != at && plan.SameName(other.Name, s) {
				return "Name: " + quote(s) + wTaken
			}
		}
		return ""
	}, func(s string) { edit(func(l *load.Load) { l.Name = s }) })})

	add(Item{Choice: &Choice{ID: "load-rank", Legend: "How much is it needed?", Value: string(l.Rank),
		Options: options(load.Ranks, rankNames),
		take:    func(v string) { edit(func(l *load.Load) { l.Rank = load.Rank(v) }) }}})

	// What a load is given by: watts while it runs, or energy a day.
	given := &Choice{ID: "load-given", Legend: "What is known of its use?", Options: []Option{
		{"watts", "Power, in watts", "most things"},
		{"daily", "Energy a day, in watt-hours", "phones and other things with a battery of their own"},
	}, Value: "watts"}
	if l.Daily > 0 {
		given.Value = "daily"
	}
	byWatts := func() bool { return given.Value == "watts" }
	byDay := func() bool { return given.Value == "daily" }
	runningField := number("load-watts", "Power while it runs", watts, load.RunningRange, 1, amount(float64(l.Running)),
		func(v float64) {
			edit(func(l *load.Load) {
				// Another figure than the catalogue's has another range.
				l.Running, l.Daily, l.Low, l.High = units.Watts(v), 0, nil, nil
			})
		})
	dailyField := number("load-daily", "Energy a day", wattHours, doc.Range{Low: 0.1, High: load.DailyRange.High, Unit: "Wh"}, 1, amount(float64(l.Daily)),
		func(v float64) {
			edit(func(l *load.Load) {
				l.Daily, l.Running, l.Starting, l.Duty, l.Low, l.High = units.WattHours(v), 0, 0, 1, nil, nil
			})
		})
	// A first figure that can't stand leaves what is known the other way.
	was := l
	before := func() {
		edit(func(now *load.Load) {
			now.Running, now.Daily, now.Starting, now.Duty, now.Low, now.High = was.Running, was.Daily, was.Starting, was.Duty, was.Low, was.High
		})
	}
	runningField.none, dailyField.none = before, before
	given.take = func(v string) {
		edit(func(now *load.Load) { was = *now })
		// What stands in the box that is now asked is what counts.
		if v == "watts" {
			runningField.retake()
		} else {
			dailyField.retake()
		}
	}
	add(Item{Choice: given})
	add(Item{Field: runningField, show: byWatts})
	add(Item{Field: dailyField, show: byDay})

	known := options(load.Bases, basisNames)
	known[slices.Index(load.Bases, string(load.Measured))].Hint = "with a plug-in meter, while it runs"
	basis := &Choice{ID: "load-basis", Legend: "How well is that known?", Value: string(l.Basis),
		Options: known,
		take:    func(v string) { edit(func(l *load.Load) { l.Basis = load.Basis(v) }) }}
	add(Item{Choice: basis})

	add(Item{Field: number("load-count", "How many alike", plain, load.CountRange, 1, strconv.Itoa(max(l.Count, 1)),
		func(v float64) { edit(func(l *load.Load) { l.Count = int(v) }) }).whole()})

	add(Item{Choice: &Choice{ID: "load-outlet", Legend: "Where is it plugged in?", Value: string(l.Outlet),
		Options: options(load.Outlets, outletNames),
		take:    func(v string) { edit(func(l *load.Load) { l.Outlet = load.Outlet(v) }) }}})

	// Hours of use: day and night, or one stretch; a plan with more keeps them
	// until one of the boxes is typed in.
	use := &Choice{ID: "load-use", Legend: "When is it on?", Value: "always",
		Options: []Option{{"always", "Day and night", ""}, {"hours", "Only some hours of the day", ""}}}
	from, to := load.Minute(18*60), load.Minute(23*60)
	if len(l.Use) > 0 {
		use.Value, from, to = "hours", l.Use[0].From, l.Use[0].To
	}
	someHours := func() bool { return use.Value == "hours" }
	setUse := func() {
		edit(func(l *load.Load) {
			if !someHours() {
				l.Use = nil
				return
			}
			rest := l.Use[min(1, len(l.Use)):]
			l.Use = append([]load.Window{{From: from, To: to}}, rest...)
		})
	}
	use.take = func(string) { setUse() }
	add(Item{Choice: use})
	add(Item{Field: clockField("load-from", "On from", clock, from, func(m load.Minute) { from = m; setUse() }), show: someHours})
	add(Item{Field: clockField("load-to", "Until", clock, to, func(m load.Minute) { to = m; setUse() }), show: someHours})
	if len(l.Use) > 1 {
		var more []string
		for _, w := range l.Use[1:] {
			more = append(more, clock.Minute(w.From)+wTo+clock.Minute(w.To))
		}
		add(Item{Text: "And also " + strings.Join(more, wAnd) + ".", show: someHours})
	}

	add(Item{Heading: "Motors and thermostats", show: byWatts})
	duty := number("load-duty", "Share of that time it really runs", percent, load.DutyRange, 0.01, plainNumber(l.Duty*100),
		func(v float64) { edit(func(l *load.Load) { l.Duty = v }) })
	duty.Hint = "A fridge runs about a third of the time: 33. A lamp: 100. What goes on and off by itself makes up for hours in which it may not run."
	add(Item{Field: duty, show: byWatts})
	// A meter's watts at one moment tell nothing of that share.
	add(Item{Tick: &Tick{ID: "load-measured-day", Label: "A meter ran for a day or more to find that share", Hint: "else it is counted as a guess", On: l.MeasuredDay,
		take: func(on bool) { edit(func(l *load.Load) { l.MeasuredDay = on }) }},
		show: func() bool { return byWatts() && basis.Value == string(load.Measured) }})
	cycles := &Tick{ID: "load-cycles", Label: "It starts again by itself", Hint: "a thermostat or pressure switch", On: l.CyclesItself,
		take: func(on bool) { edit(func(l *load.Load) { l.CyclesItself = on }) }}
	add(Item{Tick: cycles, show: byWatts})
	add(Item{Field: number("load-cycle", "From one such start to the next", minutes, load.CycleRange, 1, amount(l.Cycle),
		func(v float64) { edit(func(l *load.Load) { l.Cycle = v }) }).
		orEmpty(func() { edit(func(l *load.Load) { l.Cycle = 0 }) }, func() string { return wWeCountOn + "30 minutes" }), show: func() bool { return byWatts() && cycles.On }})
	starting := number("load-starting", "Power in its first moment", watts, load.StartingRange, 1, amount(float64(l.Starting)),
		func(v float64) { edit(func(l *load.Load) { l.Starting = units.Watts(v) }) }).
		orEmpty(func() { edit(func(l *load.Load) { l.Starting = 0 }) },
			func() string {
				if first, guessed := now.Start(); guessed {
					return wWeCountOn + "5 times its power, " + say.Watts(float64(first))
				}
				return "Left empty: no more than while it runs"
			})
	starting.Hint = "A compressor’s start takes 3 to 6 times its running power."
	add(Item{Field: starting, show: byWatts})
	pf := number("load-pf", "Power factor", plain, load.PowerFactorRange, 1, amount(l.PowerFactor),
		func(v float64) { edit(func(l *load.Load) { l.PowerFactor = v }) }).
		orEmpty(func() { edit(func(l *load.Load) { l.PowerFactor = 0 }) }, func() string { return wWeCountOn + "1" })
	pf.Hint = "Watts divided by volt-amperes; a plug-in meter shows it. 1 for heaters and kettles, about 0.7 for motors."
	add(Item{Field: pf, show: byWatts})
	return f
}

// amount writes a quantity into a box; 0 leaves it empty.
func amount(v float64) string {
	if v == 0 {
		return ""
	}
	return plainNumber(v)
}

// retake takes what stands in the box once more.
func (f *Field) retake() {
	f.Echo, f.wrong = f.take(f.Raw)
	f.Err = ""
}

// again is retake as if it had been typed anew.
func (f *Field) again() {
	f.retake()
	f.Err = f.wrong
}

// clockField is a field for a time of day.
func clockField(id, label string, c say.Clock, at load.Minute, set func(load.Minute)) *Field {
	example := c.Minute(22*60 + 30)
	f := &Field{ID: id, Label: label, Mode: "text", Raw: c.Minute(at)}
	f.Hint = "A time of day, like " + example + "."
	f.take = func(raw string) (echo, wrong string) {
		m, ok := say.ParseClock(raw)
		if strings.TrimSpace(raw) == "" {
			return "", label + ": " + wEnterTime + example + "."
		}
		if !ok {
			return "", label + ": " + quote(strings.TrimSpace(raw)) + " must be a time between 00:00 and 23:59, like " + example + "."
		}
		set(m)
		if s := c.Minute(m); !strings.EqualFold(s, strings.TrimSpace(raw)) {
			echo = wReadAs + s
		}
		return echo, ""
	}
	return f
}
