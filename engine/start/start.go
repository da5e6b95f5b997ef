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
	HardStart    Reason = "starting_w" // it starts beyond the surge limit, alone or after the others of its kind
)

// Refusal is a thing that this inverter can't run or start even alone.
type Refusal struct {
	Load int
	Why  Reason
}

// Sequence is the best order, and what it asks of the inverter.
type Sequence struct {
	Steps   []Step // in the order to switch on
	Never   []Refusal
	Running units.Watts    // all of Steps, running at once
	VA      units.VoltAmps // the same
	Peak    units.Watts    // the highest of the steps
	Fits    bool           // Running, VA and Peak are within the limits
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
		switch {
		case l.Peak() > limit.Continuous:
			q.Never = append(q.Never, Refusal{i, TooManyWatts})
		case l.Apparent() > limit.ContinuousVA:
			q.Never = append(q.Never, Refusal{i, TooManyVA})
		case l.Peak()+l.Excess() > limit.Surge:
			q.Never = append(q.Never, Refusal{i, HardStart})
		default:
			q.Steps = append(q.Steps, Step{Load: i})
		}
	}
	slices.SortStableFunc(q.Steps, func(a, b Step) int {
		return cmp.Compare(loads[b.Load].Excess(), loads[a.Load].Excess())
	})
	for n := range q.Steps {
		l := loads[q.Steps[n].Load]
		q.Running += l.Peak()
		q.VA += l.Apparent()
		q.Steps[n].Peak = q.Running + l.Excess()
		q.Peak = max(q.Peak, q.Steps[n].Peak)
	}
	q.Fits = q.Running <= limit.Continuous && q.VA <= limit.ContinuousVA && q.Peak <= limit.Surge
	return q
}

// Restart is the worst that can happen when something starts again by itself
// while everything runs, whatever order it was all switched on in.
type Restart struct {
	Load int // index, or -1 when nothing restarts by itself
	Peak units.Watts
	Fits bool
}

// WorstRestart is the sum of what runs plus the greatest excess among the loads
// that cycle by themselves.
func (q Sequence) WorstRestart(loads []load.Load, limit inverter.Limits) Restart {
	r := Restart{Load: -1, Peak: q.Running}
	// The steps go by descending excess: the first that cycles is the worst.
	if i := slices.IndexFunc(q.Steps, func(s Step) bool { return loads[s.Load].CyclesItself }); i >= 0 {
		r.Load = q.Steps[i].Load
		r.Peak += loads[r.Load].Excess()
	}
	r.Fits = r.Peak <= limit.Surge
	return r
}
