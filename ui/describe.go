package ui

import (
	"slices"

	"candleclock/engine/load"
	"candleclock/ui/say"
)

// byNeed lists the loads' indices, most needed first, in the plan's own order
// within a rank.
func byNeed(loads []load.Load) []int {
	order := make([]int, len(loads))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		return loads[a].Rank.Order() - loads[b].Rank.Order()
	})
	return order
}

// describe says what a load draws and when, in a line: of what goes on and off by
// itself, and makes up in some hours for the others, as it then runs.
func describe(l load.Load, c say.Clock) string {
	var s string
	catchesUp := false
	if l.Daily > 0 {
		s = say.WattHours(float64(l.Daily)*float64(max(l.Count, 1))) + wADay
	} else {
		s = say.Watts(float64(l.Peak()))
		if duty := l.Duty; duty < 1 {
			if l.Steady() > 0 {
				duty *= float64(l.Draw() / l.Steady())
			}
			catchesUp = duty > l.Duty
			s += ", " + share(duty)
		}
	}
	if l.Count > 1 {
		s = say.Number(float64(l.Count), 0) + " × " + wTogether + s
	}
	for i, w := range l.Use {
		if i == 0 {
			s += ", "
		} else {
			s += wAnd
		}
		s += c.Minute(w.From) + wTo + c.Minute(w.To)
	}
	if catchesUp {
		s += wMakesUp
	}
	return s
}

// share says how much of its time a thing runs, in a word where there is one.
func share(duty float64) string {
	for _, w := range []struct {
		at   float64
		says string
	}{{0.25, wQuarter}, {1.0 / 3, wThird}, {0.5, wHalf}, {2.0 / 3, wTwoThirds}, {0.75, wThreeQuarters}} {
		if d := duty - w.at; d > -0.03 && d < 0.03 {
			return w.says
		}
	}
	if duty > 1-0.005 {
		return wAllTheTime
	}
	return wRunning + say.Percent(duty) + wOfTheTime
}
