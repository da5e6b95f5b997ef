// Package start knows in which order to switch things on so that no start
// trips the inverter, and what happens when one of them starts again by itself.
package start

import (
	"cmp"
	"slices"

	"candleclock/engine/inverter"
	"candleclock/engine/load"
	"candleclock/engine/units"
)

// Step is one thing switched on, after all the steps before it.
type Step struct {
	Load int         // index in the list given
	Peak units.Watts // the highest draw of everything together while it starts
}

// Reason says why a thing must not be plugged in.
type Reason string

// The reasons.
const (
	TooManyWatts Reason = "running_w" // it runs beyond the continuous limit, alone
	TooManyVA    Reason = "running_va"
	HardStart    Reason = "starting_w" // it starts beyond the surge limit, W or VA, alone or after the others of its kind
)

// Refusal is a thing that this inverter can't run or start even alone.
type Refusal struct {
	Load    int
	Why     Reason
	Guessed bool // its start is not told: it might start after all
}

// Alone says why an inverter can't run or start a load, with nothing else on; ""
// where it can. It runs at what is told of it; of the surge a tenth is kept to
// spare, in W and in VA, since a start is never known so well. guessed: only a
// start that nobody told is too hard.
func Alone(l load.Load, limit inverter.Limits) (why Reason, guessed bool) {
	spared := limit.Spared()
	first, guess := l.Start()
	excess := first - l.Running
	switch {
	case l.Peak() > limit.Continuous:
		return TooManyWatts, false
	case l.Apparent() > limit.ContinuousVA:
		return TooManyVA, false
	case excess > 0 && (above(l.Peak()+excess, spared.Surge) || above(l.Apparent()+l.ExcessVA(), spared.SurgeVA())):
		return HardStart, guess
	}
	return "", false
}

// above is > but for rounding: what is just within a limit is within it.
func above[T ~float64](v, limit T) bool { return v > limit*(1+1e-12) }

// Sequence is the best order, and what it asks of the inverter.
type Sequence struct {
	Steps   []Step // in the order to switch on
	Never   []Refusal
	Running units.Watts    // all of Steps, running at once
	VA      units.VoltAmps // the same
	Peak    units.Watts    // the highest of the steps
	PeakVA  units.VoltAmps // the same
	Fits    bool           // all of these are within the limits, with a tenth to spare
}

// Order finds the order in which to switch on the AC loads that are not
// switched off, whatever their hours. Loads that can't run even alone are
// refused and left out; several alike start one after another.
//
// Largest excess of starting over running draw first is best. Let eᵢ be the
// excess and rᵢ the running draw: the peak while i starts is the sum of rⱼ over
// all that is on, i included, plus eᵢ. Take two neighbours a, b in any order
// with e_a < e_b, S running before them: their peaks are S+r_a+e_a and
// S+r_a+r_b+e_b. Swapped, they are S+r_b+e_b and S+r_a+r_b+e_a, both at most
// the second peak before; nothing else changes. So swapping never raises the
// highest peak, and repeated swaps lead to the order by descending excess.
func Order(loads []load.Load, limit inverter.Limits) Sequence {
	var q Sequence
	for i, l := range loads {
		if l.Off || l.Outlet != load.AC {
			continue
		}
		if why, guessed := Alone(l, limit); why != "" {
			q.Never = append(q.Never, Refusal{i, why, guessed})
		} else {
			q.Steps = append(q.Steps, Step{Load: i})
		}
	}
	slices.SortStableFunc(q.Steps, func(a, b Step) int { return HarderFirst(loads[a.Load], loads[b.Load]) })
	for n := range q.Steps {
		l := loads[q.Steps[n].Load]
		q.Running += l.Peak()
		q.VA += l.Apparent()
		q.Steps[n].Peak = q.Running + l.Excess()
		q.Peak = max(q.Peak, q.Steps[n].Peak)
		q.PeakVA = max(q.PeakVA, q.VA+l.ExcessVA())
	}
	spared := limit.Spared()
	q.Fits = !above(q.Running, spared.Continuous) && !above(q.VA, spared.ContinuousVA) &&
		!above(q.Peak, spared.Surge) && !above(q.PeakVA, spared.SurgeVA())
	return q
}

// HarderFirst compares two loads for the order in which to switch them on.
func HarderFirst(a, b load.Load) int { return cmp.Compare(b.Excess(), a.Excess()) }

// Restart is the worst that can happen when something starts again by itself
// while everything runs, whatever order it was all switched on in.
type Restart struct {
	Load   int // index, or -1 when nothing restarts by itself
	Peak   units.Watts
	PeakVA units.VoltAmps
	Fits   bool // with a tenth of the surge to spare
}

// WorstRestart is the sum of what runs plus the greatest excess among the loads
// that cycle by themselves: in W, or in VA where only that is too much.
func (q Sequence) WorstRestart(loads []load.Load, limit inverter.Limits) Restart {
	r := Restart{Load: -1, Peak: q.Running, PeakVA: q.VA}
	spared := limit.Spared()
	inVA := -1
	for _, s := range q.Steps {
		l := loads[s.Load]
		if !l.CyclesItself {
			continue
		}
		if peak := q.Running + l.Excess(); r.Load < 0 || peak > r.Peak {
			r.Load, r.Peak = s.Load, peak
		}
		if peak := q.VA + l.ExcessVA(); inVA < 0 || peak > r.PeakVA {
			inVA, r.PeakVA = s.Load, peak
		}
	}
	tooMuch, tooMuchVA := above(r.Peak, spared.Surge), above(r.PeakVA, spared.SurgeVA())
	if tooMuchVA && !tooMuch && inVA >= 0 {
		r.Load, r.Peak = inVA, q.Running+loads[inVA].Excess()
	}
	r.Fits = !tooMuch && !tooMuchVA
	return r
}
