package card

import (
	"math"
	"slices"
	"strconv"
	"time"
	"unicode/utf8"

	"candleclock/engine/load"
	"candleclock/engine/odds"
	"candleclock/engine/outage"
	"candleclock/engine/plan"
	"candleclock/engine/start"
	"candleclock/engine/units"
)

// Ladder tells how long to count on from each reading of the gauge with each
// set of loads on, day and night, whatever their hours, and the least of it where
// nights are cold: so it holds at any time of day, and who keeps to the hours
// gets more. No input is counted. Hours are
// not rounded; +Inf is beyond outage.Horizon.
type Ladder struct {
	Sets  []Set         // most first; at most 3, no two the same; none without loads
	Full  []units.Hours // by set, just charged full
	Rungs []Rung        // highest reading first, at most 10

	// LeftOut are loads that can't run together with those needed more: they are
	// in no set.
	LeftOut []int
}

// Set is the loads that are on.
type Set struct {
	Words string // "Everything on", "Two lamps off", "Only Mask machine"
	Loads []int
	Off   []int // of what could be on
}

// Rung is one reading of the gauge.
type Rung struct {
	Reading Reading
	CountOn []units.Hours // by set
}

// Reading is what a gauge shows.
type Reading struct {
	Words string // "3 bars", "40%", "half"
	Bars  int    // lit, of a gauge with bars
	// SOC is the least state of charge that it may mean. The last bar lit may be
	// about to go out. Without a gauge, what is thought to be half may be nearer
	// to a quarter by up to half of the way. A percentage is itself, and may be off
	// as plan.GaugeError has it.
	SOC float64
}

const rungsMost = 10

// readings lists the readings of a gauge, highest first.
func readings(g plan.Gauge) []Reading {
	var out []Reading
	switch {
	case g.Kind == plan.Bars && g.Bars > 0:
		step := (g.Bars + rungsMost - 1) / rungsMost
		for n := g.Bars; n >= 1; n -= step {
			words := strconv.Itoa(n) + " bars"
			if n == 1 {
				words = "1 bar"
			}
			out = append(out, Reading{words, n, float64(n-1) / float64(g.Bars)})
		}
	case g.Kind == plan.Percent:
		for tens := 10; tens >= 1; tens-- {
			out = append(out, Reading{strconv.Itoa(10*tens) + "%", 0, float64(tens) / 10})
		}
	default: // volts say too little of the charge
		out = []Reading{{"full", 0, 1}, {"three quarters", 0, 0.625}, {"half", 0, 0.375}, {"a quarter", 0, 0.125}}
	}
	return out
}

// NewLadder works the ladder out. The plan must hold a supply.
func NewLadder(p plan.Plan, s *odds.Sampler) Ladder {
	p.Loads = dayAndNight(p.Loads)
	l := Ladder{}
	var refused []int // what the words of a set must not have on
	for _, r := range start.Order(p.Loads, p.Supply.UsualInverter().Limits()).Never {
		// Never on the card's list to switch on. A limit or a start that is guessed
		// keeps no one from trying: what may start after all is counted.
		if r.Why != start.HardStart || !r.Guessed && !guessed(p) {
			p.Loads[r.Load].Off = true
			refused = append(refused, r.Load)
		}
	}
	var could []int
	could, l.LeftOut = together(p)
	for _, last := range []load.Rank{load.Comfort, load.Useful, load.Vital} {
		set := Set{}
		for _, i := range could {
			if p.Loads[i].Rank.Order() <= last.Order() {
				set.Loads = append(set.Loads, i)
			} else {
				set.Off = append(set.Off, i)
			}
		}
		if n := len(set.Loads); n == 0 || len(l.Sets) > 0 && n == len(l.Sets[len(l.Sets)-1].Loads) {
			continue
		}
		set.Words = set.words(p.Loads, last, slices.Concat(l.LeftOut, refused))
		l.Sets = append(l.Sets, set)
	}
	if len(l.Sets) == 0 {
		return l
	}
	row := func(soc float64, read bool) (hours []units.Hours) {
		for _, set := range l.Sets {
			q := only(p, set, soc)
			q.Outage.UnderWay = read
			hours = append(hours, countOn(q, s))
		}
		return hours
	}
	l.Full = row(1, false)
	percent := p.Supply.Gauge.Kind == plan.Percent
	for _, r := range readings(p.Supply.Gauge) {
		if r.SOC == 1 && !percent {
			l.Rungs = append(l.Rungs, Rung{r, l.Full})
			continue
		}
		l.Rungs = append(l.Rungs, Rung{r, row(r.SOC, percent)})
	}
	return l
}

// countOn is what to count on whenever it begins, where no load has hours. In a
// room that is cold by night a charge ends soonest when it is down to what the
// cold holds back just while it is night. However long that takes, it is so from
// one of two beginnings: when one's night is over, the other's has come.
func countOn(p plan.Plan, s *odds.Sampler) units.Hours {
	if p.Supply.Battery.Night == nil {
		return s.Runtime(p).CountOn
	}
	least := units.Hours(math.Inf(1))
	for _, m := range []load.Minute{outage.NightBegins, outage.NightEnds} {
		p.Outage.Starts = plan.At(time.Date(2000, 1, 1, 0, int(m), 0, 0, time.UTC))
		least = min(least, s.Runtime(p).CountOn)
	}
	return least
}

// dayAndNight is the loads without their hours, each drawing what it draws
// within them: what goes on and off by itself makes up there for the rest of the
// day.
func dayAndNight(loads []load.Load) []load.Load {
	out := append([]load.Load(nil), loads...)
	for i := range out {
		l := &out[i]
		l.Daily *= units.WattHours(24 / float64(l.HoursADay()))
		if l.CyclesItself && len(l.Use) > 0 && l.Peak() > 0 {
			l.Duty = float64(l.Draw()) / float64(l.Peak())
		}
		l.Use = nil
	}
	return out
}

// together parts the loads that are not switched off into those that the supply
// carries at once, the most needed first, and the rest; in the plan's order.
func together(p plan.Plan) (carried, rest []int) {
	runs := make([]bool, len(p.Loads))
	outage.NewRig(p).Run(outage.AsPlanned(1), 0.01, func(s outage.Step) {
		for _, i := range s.Running {
			runs[i] = true
		}
	})
	for i, l := range p.Loads {
		switch {
		case l.Off:
		case runs[i]:
			carried = append(carried, i)
		default:
			rest = append(rest, i)
		}
	}
	return carried, rest
}

// only is the plan with nothing but the set on, at a state of charge that is
// known.
func only(p plan.Plan, set Set, soc float64) plan.Plan {
	p.Loads = append([]load.Load(nil), p.Loads...)
	for i := range p.Loads {
		p.Loads[i].Off = true
	}
	for _, i := range set.Loads {
		p.Loads[i].Off = false
	}
	p.Outage.SOC, p.Outage.SOCLow = soc, nil
	p.Outage.UnderWay, p.Outage.Log = false, plan.Log{}
	return p
}

// wordsMost is how long the head of a column may be, in characters.
const wordsMost = 40

// words names the set by what is on or what is off, whichever is plainer.
func (s Set) words(loads []load.Load, last load.Rank, leftOut []int) string {
	off := append(append([]int(nil), s.Off...), leftOut...)
	named := ""
	switch {
	case len(off) == 0:
		return "Everything on"
	case len(s.Loads) == 1:
		named = "Only " + loads[s.Loads[0]].Name
	case len(off) == 1:
		named = loads[off[0]].Name + " off"
	case len(off) == 2:
		named = loads[off[0]].Name + " and " + loads[off[1]].Name + " off"
	}
	switch {
	case named != "" && utf8.RuneCountInString(named) <= wordsMost:
		return named
	case last == load.Vital:
		return "Only what is vital"
	case last == load.Useful:
		return "Without comforts"
	}
	return "All that can run together"
}

// Morning says what to leave on when it gets dark so that there is power until
// morning. The hours are those of a long evening and night (our own choice; a
// plan knows no bedtime).
type Morning struct {
	Dark, Morning load.Minute
	Keep          []Keep // one for each set of the ladder
}

// Keep is the lowest rung with which a set lasts until morning; -1 where none
// does, full or not.
type Keep struct{ Set, Rung int }

const (
	dark    load.Minute = 19 * 60
	morning load.Minute = 7 * 60
)

func (l Ladder) morning() Morning {
	night := units.Hours(load.Day+morning-dark) / 60
	m := Morning{Dark: dark, Morning: morning}
	for set := range l.Sets {
		k := Keep{set, -1}
		for rung, r := range l.Rungs {
			if r.CountOn[set] >= night {
				k.Rung = rung
			}
		}
		m.Keep = append(m.Keep, k)
	}
	return m
}

// lessInCold is the share of the hours lost when the battery's room is at t, by
// day and by night.
func (l Ladder) lessInCold(p plan.Plan, s *odds.Sampler, t units.Celsius) float64 {
	p.Loads = dayAndNight(p.Loads)
	p.Supply.Battery.Room, p.Supply.Battery.Night = t, nil
	most := 0.0
	for i, set := range l.Sets {
		if h := s.Runtime(only(p, set, 1)).CountOn; l.Full[i] > 0 && !math.IsInf(float64(l.Full[i]), 1) {
			most = max(most, 1-float64(h/l.Full[i]))
		}
	}
	return most
}
