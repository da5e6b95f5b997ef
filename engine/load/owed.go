package load

import "candleclock/engine/units"

// OwedMost is for how long a standing still is made up for, at most: what stood
// for longer is as warm as its room, or thawed, and pulls down no longer than
// that (from memory: a nearly empty fridge 60 hours, a full freezer 72; what is
// inside is not known, so the longer counts).
const OwedMost units.Hours = 72

// Ledger is the run time that something which goes on and off by itself still
// owes. A compressor that stood makes up for it: until it has, it runs without a
// pause.
//
// A store with one warmth obeys y' = D·(1 − (T − set)/(room − set)) − on, with y
// the cold it lacks in hours of running: at most D − on. What a queue serves
// grows with what arrives, so no such store, however quickly it warms, has ever
// run for longer than the ledger says.
type Ledger struct {
	Duty float64     // share of its time that it runs where it always may, above 0 and below 1
	Most units.Hours // that it may owe
	Owed units.Hours // 0 and more
}

// Ledger is the ledger of a load that owes nothing; ok is false for one that does
// not go on and off by itself.
func (l Load) Ledger() (g Ledger, ok bool) {
	_, duty, ok := l.Cycles()
	return Ledger{Duty: duty, Most: OwedMost * units.Hours(duty)}, ok
}

// Rest is for how long it was without power.
func (g *Ledger) Rest(h units.Hours) { g.Owed = min(g.Owed+units.Hours(g.Duty)*h, g.Most) }

// CatchUp is for how long it now runs without a pause, if it may.
func (g *Ledger) CatchUp() units.Hours { return g.Owed / units.Hours(1-g.Duty) }

// Run is for how long it had power: all the time while it owes, then its duty's
// share. It returns for how long it ran.
func (g *Ledger) Run(h units.Hours) (ran units.Hours) {
	g.Owed = min(g.Owed, g.Most)
	t := g.CatchUp()
	if h < t {
		g.Owed -= units.Hours(1-g.Duty) * h
		return h
	}
	g.Owed = 0
	return t + (h-t)*units.Hours(g.Duty)
}

// needs is the share of its hours of use that it must run to have run enough, day
// after day; above 1 where they are too few. By the ledger a settled day's run is
// min(hours of use, 24 × duty).
func (l Load) needs() float64 {
	d := l.duty()
	if _, _, ok := l.Cycles(); ok && len(l.Use) > 0 {
		return d * 24 / float64(l.HoursADay())
	}
	return d
}
