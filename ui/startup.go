package ui

import (
	"strings"

	"strconv"

	"candleclock/ui/say"
)

// StartStep is one thing to switch on, in the order of starting.
type StartStep struct {
	ID, Name, Text string
	Done           bool
}

// StartSteps lists what to switch on, in order, with the highest draw at each.
func (a *App) StartSteps() []StartStep {
	if !a.Answered() {
		return nil
	}
	says := a.answer.Steps()
	out := make([]StartStep, len(says))
	for i, s := range a.answer.starts.Steps {
		name := a.answer.plan.Loads[s.Load].Name
		out[i] = StartStep{"start-" + strconv.Itoa(i), name, says[i], a.started[name]}
	}
	return out
}

// Starts reports whether there is anything to say of starting.
func (a *App) Starts() bool {
	return a.Answered() && (len(a.answer.starts.Steps) > 1 || len(a.answer.starts.Never) > 0)
}

// Started ticks a thing off, or takes the tick back. The tap has changed the
// box already.
func (a *App) Started(name string) { a.started[name] = !a.started[name] }

// SomeStarted reports whether a tick is set.
func (a *App) SomeStarted() bool {
	for _, s := range a.StartSteps() {
		if s.Done {
			return true
		}
	}
	return false
}

// StartAgain takes all ticks back.
func (a *App) StartAgain() {
	clear(a.started)
	a.ports.Device.Focus("title")
}

// WorstRestart says the worst that can happen once all runs.
func (a *App) WorstRestart() string { return a.said((*Answer).worstRestart) }

func (a *Answer) worstRestart() string {
	if a.restart.Load < 0 {
		return ""
	}
	s := wStartWorst + lowerFirst(a.plan.Loads[a.restart.Load].Name) + wStartWorstIs + say.Watts(float64(a.restart.Peak))
	if a.plan.Supply.Inverter.Continuous == 0 {
		return s + wStartNoLimit
	}
	return s + wStartOf + say.Watts(float64(a.plan.Supply.UsualInverter().Limits().Surge)) + wTenth + "."
}

// NeverStarts names what can't be started on this supply at all.
func (a *App) NeverStarts() string { return a.said((*Answer).neverStarts) }

func (a *Answer) neverStarts() string {
	var never, may []int
	for _, n := range a.starts.Never {
		if n.Guessed {
			may = append(may, n.Load)
		} else {
			never = append(never, n.Load)
		}
	}
	var out []string
	switch {
	case len(never) == 0:
	case a.plan.Supply.Inverter.Continuous == 0:
		out = append(out, wStartNotCounted+nameList(a.plan, never)+".")
	default:
		out = append(out, wStartNever+nameList(a.plan, never)+".")
	}
	if len(may) > 0 {
		out = append(out, wStartGuess+nameList(a.plan, may)+".")
	}
	return strings.Join(out, " ")
}
