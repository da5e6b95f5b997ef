package ui

import (
	"math"
	"slices"

	"candleclock/engine/plan"
	"candleclock/ui/errand"
	"candleclock/ui/say"
)

// pace is how much faster than planned the readings say that it drains; 1 where
// they don't, or say slower: what is yet to come is not counted on for that.
func (a *App) pace() float64 { return a.answer.pace() }

func (a *Answer) pace() float64 { return min(a.told.Pace(), errand.MostPace) }

// Learned says what the readings have told, in sentences.
func (a *App) Learned() []string { return listed(a, (*Answer).learned) }

func (a *Answer) learned() []string {
	if a.read == nil {
		if a.told.Charged {
			return []string{wPaceFed}
		}
		return nil
	}
	var out []string
	switch pace := a.read.Pace; {
	case len(a.told.Clash) > 0: // what the readings tell together is then not known
	case math.Abs(pace.Likely-1) < 0.05, pace.Low <= 1 && 1 <= pace.High && math.Abs(pace.Likely-1) < 0.15:
		out = append(out, wPaceAs)
	case pace.Low <= 1 && 1 <= pace.High && pace.Likely > 1:
		out = append(out, wPaceMay+aboutShare(pace.Likely-1)+wPaceMayFaster)
	case pace.Low <= 1 && 1 <= pace.High:
		out = append(out, wPaceMay+aboutShare(1-pace.Likely)+wPaceMaySlower)
	case pace.Likely > 1:
		out = append(out, wPace+aboutShare(pace.Likely-1)+wPaceFaster)
	default:
		out = append(out, wPace+aboutShare(1-pace.Likely)+wPaceSlower)
	}
	return out
}

// PaceIsOff reports whether the readings say for sure that what is listed is not
// what is drawn.
func (a *App) PaceIsOff() bool {
	if !a.Answered() || a.answer.read == nil || len(a.answer.told.Clash) > 0 {
		return false
	}
	pace := a.answer.read.Pace
	return (pace.Low > 1 || pace.High < 1) && math.Abs(pace.Likely-1) >= 0.05
}

// Clash says beside the time to plan on that readings don't fit together, and what
// it counts with; "" where they do.
func (a *App) Clash() string { return a.said((*Answer).clash) }

func (a *Answer) clash() string {
	if len(a.told.Clash) == 0 {
		return ""
	}
	log := a.plan.Outage.Log.Readings
	out := wClash
	for n, i := range a.told.Clash {
		switch {
		case n == 0:
		case n == len(a.told.Clash)-1:
			out += wAnd
		default:
			out += ", "
		}
		out += shown(log[i], a.plan.Supply.Gauge) + wDoubtAt + a.clock.Moment(log[i].At, a.from())
	}
	if a.read == nil {
		return out + wClashAlone
	}
	return out + wClashAll
}

// lastInDoubt reports whether the newest reading does not fit: what the gauge
// will show when is not known then.
func (a *Answer) lastInDoubt() bool {
	return slices.Contains(a.told.Clash, len(a.plan.Outage.Log.Readings)-1)
}

// InDoubt reports whether a reading does not fit the others, and the last alone
// would tell of more time than is counted with.
func (a *App) InDoubt() bool {
	return a.Answered() && a.answer.read != nil && len(a.answer.told.Clash) > 0
}

// Recount counts from the last reading alone, with a way back.
func (a *App) Recount() {
	if !a.UnderWay() {
		return
	}
	before := a.book.Plan.Outage
	a.edit(func(p *plan.Plan) {
		if n := len(p.Outage.Log.Readings); n > 0 {
			last := p.Outage.Log.Readings[n-1]
			p.Outage.Log.Readings = []plan.Reading{last}
		}
	})
	a.tell(wRecounted+a.answer.News(), a.undoOutage(before))
	a.ports.Device.Focus("title")
}

// aboutShare says a share of 1 as people do: "a fifth".
func aboutShare(v float64) string {
	if v > 0.85 {
		return say.Number(math.Round(v*10)*10, 0) + "%"
	}
	shares := []struct {
		at   float64
		says string
	}{{0.05, "a twentieth"}, {0.1, "a tenth"}, {0.2, "a fifth"}, {0.25, "a quarter"}, {1. / 3, "a third"}, {0.5, "half"}, {2. / 3, "two thirds"}, {0.75, "three quarters"}}
	best := shares[0]
	for _, s := range shares {
		if math.Abs(s.at-v) < math.Abs(best.at-v) {
			best = s
		}
	}
	return best.says
}
