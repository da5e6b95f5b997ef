// Package card is what the printed card for the fridge door says, as data:
// nothing here knows how it looks. It is made for who never saw the plan, at any
// hour and at any charge.
package card

import (
	"time"

	"candleclock/engine/doc"
	"candleclock/engine/odds"
	"candleclock/engine/plan"
	"candleclock/engine/yield"
)

// Card is what the card says. Loads are told by their index in the plan, and by
// name where they stand in a sentence.
type Card struct {
	Title       string
	Made, Drill plan.Moment // the day it was made; the day to try it again

	Start   Start
	Never   Never
	Ladder  Ladder
	Morning Morning
	Sun     *Sun // nil without panels and an input for them
	Food    Food
	Oxygen  *Oxygen // nil without an oxygen concentrator
	Lines   []string
	Basis   Basis
}

// drillMonths is how long a battery is trusted before it is tried again (common
// practice: with the seasons).
const drillMonths = 3

// Make makes the card of a plan, which must hold a supply: the error is a
// *doc.Error that says so. y is the plan's yield, nil where it has none; s draws
// the odds.
func Make(p plan.Plan, y *yield.Yield, s *odds.Sampler, made plan.Moment) (Card, error) {
	if !p.HasSupply() {
		return Card{}, &doc.Error{Field: "supply.battery", Want: "there, with chemistry and capacity_wh"}
	}
	l := NewLadder(p, s)
	return Card{
		Title:   p.Name,
		Made:    made,
		Drill:   monthsLater(made, drillMonths),
		Start:   startOf(without(p, l.LeftOut)), // what the table is without is in no order
		Never:   neverOf(p),
		Ladder:  l,
		Morning: l.morning(),
		Sun:     sunOf(p, y),
		Food:    FoodOf(p.Loads),
		Oxygen:  oxygenOf(p.Loads),
		Lines:   linesOf(p.Loads),
		Basis:   basisOf(p, l, s),
	}, nil
}

// monthsLater is the same day of a later month, or its last where it is shorter.
func monthsLater(m plan.Moment, n int) plan.Moment {
	if m.IsZero() {
		return m
	}
	year, month, day := m.Date()
	last := time.Date(year, month+time.Month(n)+1, 0, 0, 0, 0, 0, time.UTC)
	return plan.At(time.Date(last.Year(), last.Month(), min(day, last.Day()), 0, 0, 0, 0, time.UTC))
}
