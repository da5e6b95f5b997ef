package ui

import (
	"slices"

	"candleclock/engine/inverter"
	"candleclock/engine/load"
	"candleclock/engine/odds"
	"candleclock/engine/plan"
	"candleclock/engine/start"
	"candleclock/engine/units"
	"candleclock/ui/say"
)

// The words of what trips the supply, and of what can't start.
const (
	wTripsIs        = " outages like this the supply trips."
	wTripsThen      = "When it trips, all on its mains sockets goes off, until somebody is there to switch it on again."
	wTripsDraws     = "Your things may draw more than is usual for them. In "
	wTripsDrawsThen = " outages like this that is more than this supply carries with a tenth to spare, and it trips. Leave something off, or measure what they draw."
	wTenth          = ", of which a tenth is kept free"
	wCountedIn      = ". The hours here count it as running, “Will it hold?” as without power."
	wHardStartMay   = " may not start on this supply. How hard it starts isn’t known; by what such things take, up to "
	wMayNotStart    = "This supply may not start "
	wMayNotStartIs  = ": how hard that starts isn’t known. The hours here count it as running, “Will it hold?” as without power."
	wStartsAsk      = "How hard these start isn’t known, and we count on 5 times their power: "
	wStartsAskIs    = ". Find it on the label, or ask the maker, and enter it under Things: “Power in its first moment”."
	wStartGuess     = "May be too hard to start; how hard isn’t known: "

	wAheadTripsIn    = "In "
	wAheadTripsIs    = " the supply trips, and all on its mains sockets is without power from then on. See “Take note” on Tonight."
	wAheadTripsGuess = " the supply would trip if it carried no more than we count on, "
	wAheadTripsAsk   = ". What it carries isn’t known: enter it under Supply."
	wAheadCannot     = "What can’t start on this supply has no power here: "
	wAheadMayNot     = "How hard this starts isn’t known. By what such things take it has no power here: "
	wAheadMayNotWe   = "What this supply carries isn’t known. By what we count on this can’t start, and has no power here: "
	wAheadSeeTonight = ". See “Take note” on Tonight."
)

// hardStarts lists what can't start on an inverter even alone: by what is told of
// its start, and by what is only guessed.
func hardStarts(never []start.Refusal) (told, guessed []int) {
	for _, r := range never {
		switch {
		case r.Why != start.HardStart:
		case r.Guessed:
			guessed = append(guessed, r.Load)
		default:
			told = append(told, r.Load)
		}
	}
	return told, guessed
}

// ofRank keeps the loads of a rank.
func ofRank(loads []load.Load, of []int, rank load.Rank) []int {
	return slices.DeleteFunc(slices.Clone(of), func(i int) bool { return loads[i].Rank != rank })
}

// tripsOf20 is in how many of 20 outages the supply trips, rounded up.
func tripsOf20(chance float64) int { return 20 - odds.Twenty(1-chance) }

// tripChance is the chance that the supply of a plan trips, as fast as its readings
// say that it drains. Of one whose limit is not known none can be told.
func (a *Answer) tripChance(p plan.Plan, s *odds.Sampler) float64 {
	if p.Supply.Inverter.Continuous == 0 {
		return 0
	}
	before := s.Pace
	s.Pace = a.pace()
	defer func() { s.Pace = before }()
	return s.Trips(p)
}

// trip begins what is said of the hours with the chance that the supply trips
// before they are over: they are told as if it did not.
func (a *Answer) trip(says string) string {
	if a.trips == 0 || a.Passed() {
		return says
	}
	return wAheadIn + of20(tripsOf20(a.trips)) + wTripsIs + " " + says
}

// startSays tells what is drawn in a first moment and what of it the supply bears:
// in watts, or in volt-amperes where only these are too many.
func startSays(w units.Watts, va units.VoltAmps, limit inverter.Limits) string {
	if spared := limit.Spared(); w <= spared.Surge && va > spared.SurgeVA() {
		return say.Amount(float64(va), 0, "VA") + wVoltAmps + wSupplyStarts + say.Amount(float64(limit.SurgeVA()), 0, "VA") + wTenth
	}
	return say.Watts(float64(w)) + wSupplyStarts + say.Watts(float64(limit.Surge)) + wTenth
}

// loadStarts is startSays of one load alone.
func loadStarts(l load.Load, limit inverter.Limits) string {
	return startSays(l.Peak()+l.Excess(), l.Apparent()+l.ExcessVA(), limit)
}

// askStarts asks for the starts that nobody told, of what is on.
func (a *Answer) askStarts() []string {
	var asked []int
	for i, l := range a.plan.Loads {
		if _, guessed := l.Start(); guessed && !l.Off {
			asked = append(asked, i)
		}
	}
	if len(asked) == 0 {
		return nil
	}
	return []string{wStartsAsk + nameList(a.plan, asked) + wStartsAskIs}
}

// trouble says of the outages looked at what can't start, and how many of them the
// supply trips in.
func (v *Ahead) trouble() []string {
	var out []string
	inv := v.plan.Supply.UsualInverter()
	told, guessed := hardStarts(start.Order(v.plan.Loads, inv.Limits()).Never)
	known := v.plan.Supply.Inverter.Continuous > 0
	list := func(says string, of []int) {
		if len(of) > 0 {
			out = append(out, says+nameList(v.plan, of)+wAheadSeeTonight)
		}
	}
	if known {
		list(wAheadCannot, told)
	} else {
		list(wAheadMayNotWe, told)
	}
	list(wAheadMayNot, guessed)
	switch k := tripsOf20(v.got.Trips); {
	case v.got.Trips == 0:
	case known:
		out = append(out, wAheadTripsIn+of20(k)+wAheadTripsIs)
	default:
		out = append(out, wAheadTripsIn+of20(k)+wAheadTripsGuess+say.Watts(float64(inv.Continuous))+wAheadTripsAsk)
	}
	return out
}
