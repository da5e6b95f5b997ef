package card

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"candleclock/engine/inverter"
	"candleclock/engine/load"
	"candleclock/engine/plan"
	"candleclock/engine/start"
	"candleclock/engine/units"
)

// stepsMost, refusedMost and usualMost are how many of each a page holds.
const (
	stepsMost   = 12
	refusedMost = 6
	usualMost   = 8
)

// Start is the order in which to switch things on.
type Start struct {
	Steps []Step
	More  int  // steps left out for want of room, none of them vital before others
	Fits  bool // in this order nothing trips
}

// Step is a thing to switch on.
type Step struct {
	Load   int
	Name   string
	Outlet load.Outlet
	Vital  bool
	Wait   bool // until its motor runs
}

// String is the step in words: "Router, on the 12 V socket".
func (s Step) String() string {
	switch s.Outlet {
	case load.DC:
		return s.Name + ", on the 12 V socket"
	case load.USB:
		return s.Name + ", on USB"
	}
	return s.Name
}

// startOf is the order of start.Order. What is not on the mains sockets loads no
// inverter: vital things there go first, the others last.
func startOf(p plan.Plan) Start {
	limit := p.Supply.UsualInverter().Limits()
	seq := start.Order(p.Loads, limit)
	fits := seq.Fits
	if guessed(p) { // what may start after all has its place in the order
		limit.Surge = units.Watts(math.Inf(1))
		seq = start.Order(p.Loads, limit)
	}
	var order []int
	direct := func(vital bool) {
		for i, l := range p.Loads {
			if !l.Off && l.Outlet != load.AC && (l.Rank == load.Vital) == vital {
				order = append(order, i)
			}
		}
	}
	direct(true)
	for _, s := range seq.Steps {
		order = append(order, s.Load)
	}
	direct(false)

	out := Start{Fits: fits}
	vital := 0
	for _, i := range order {
		if p.Loads[i].Rank == load.Vital {
			vital++
		}
	}
	others := max(0, stepsMost-vital)
	for _, i := range order {
		l := p.Loads[i]
		s := Step{Load: i, Name: l.Name, Outlet: l.Outlet, Vital: l.Rank == load.Vital, Wait: l.Outlet == load.AC && l.Excess() > 0}
		switch {
		case len(out.Steps) == stepsMost || !s.Vital && others == 0:
			out.More++
			continue
		case !s.Vital:
			others--
		}
		out.Steps = append(out.Steps, s)
	}
	return out
}

// without is the plan with some of its loads switched off.
func without(p plan.Plan, loads []int) plan.Plan {
	p.Loads = slices.Clone(p.Loads)
	for _, i := range loads {
		p.Loads[i].Off = true
	}
	return p
}

// Never is what must not be plugged in.
type Never struct {
	Refused []Refusal // things of the plan that the supply can't carry even alone
	More    int       // of those, left out for want of room
	Usual   []string  // heavy things of most households, beyond the supply's limit
	// OneMotor is the thing beside which nothing else with a motor may run: when
	// it starts again by itself, too little of the supply's limit is left for
	// another start. "" where there is none.
	OneMotor string
	// Trips says that even alone with all that is on it may trip the supply
	// then. Off is what to leave off so that it does not, what is needed least
	// first; none where that would take something vital.
	Trips   bool
	Off     []int
	Limit   units.Watts // that the supply carries for long
	Guessed bool        // the limit is not known but taken from the battery's size
}

// Refusal is a thing of the plan that can't run.
type Refusal struct {
	Load int
	Name string
	Why  start.Reason
	// Guessed says that its start is not told: it might start after all, and the
	// hours count it.
	Guessed bool
}

// heavy lists what people plug in without a thought, the likeliest first; the
// catalogue knows what each draws.
var heavy = []string{"kettle", "heater", "hair-dryer", "toaster", "microwave-large", "iron", "vacuum", "coffee-maker",
	"hotplate", "air-fryer", "circular-saw", "washing-machine-heater", "dryer", "air-conditioner-window"}

// heavy230 are the entries for mains of about 230 V where they differ.
var heavy230 = map[string]string{"kettle": "kettle-230", "heater": "heater-230"}

// guessed reports whether what the supply carries isn't known.
func guessed(p plan.Plan) bool { return p.Supply.Inverter.Continuous == 0 }

func neverOf(p plan.Plan) Never {
	limit := p.Supply.UsualInverter().Limits()
	seq := start.Order(p.Loads, limit)
	n := Never{Limit: limit.Continuous, Guessed: guessed(p)}
	for _, r := range seq.Never {
		if len(n.Refused) == refusedMost {
			n.More++
			continue
		}
		n.Refused = append(n.Refused, Refusal{r.Load, p.Loads[r.Load].Name, r.Why, r.Guessed})
	}
	for _, key := range heavy {
		if at230 := heavy230[key]; at230 != "" && p.Mains > 150 {
			key = at230
		}
		e, _ := load.Find(key)
		if len(n.Usual) < usualMost && tooHeavy(e, limit) && !names(p.Loads, e) {
			n.Usual = append(n.Usual, short(e.Name))
		}
	}
	if r := seq.WorstRestart(p.Loads, limit); r.Load >= 0 && p.Loads[r.Load].Excess() > 0 {
		spared := limit.Spared()
		if n.Trips = !r.Fits; n.Trips {
			n.Off = roomFor(p.Loads, seq, r.Load, r.Peak-spared.Surge, r.PeakVA-spared.SurgeVA())
		}
		fridge, _ := load.Find("fridge") // an ordinary motor's start
		if first := fridge.Load(); r.Peak+first.Excess()+first.Peak() > spared.Surge || r.PeakVA+first.ExcessVA()+first.Apparent() > spared.SurgeVA() {
			n.OneMotor = p.Loads[r.Load].Name
		}
	}
	return n
}

// roomFor lists what to leave off so that so many watts and volt-amperes less are
// drawn: the one thing that is needed least and is enough, or else several.
func roomFor(loads []load.Load, seq start.Sequence, keep int, watts units.Watts, va units.VoltAmps) []int {
	var may []int
	for _, s := range seq.Steps {
		if s.Load != keep && loads[s.Load].Rank != load.Vital {
			may = append(may, s.Load)
		}
	}
	// In a plan what is needed less comes later.
	slices.SortFunc(may, func(a, b int) int {
		return cmp.Or(loads[b].Rank.Order()-loads[a].Rank.Order(), b-a)
	})
	const rounding = 1e-9
	for _, i := range may {
		if loads[i].Peak() >= watts-rounding && loads[i].Apparent() >= va-rounding {
			return []int{i}
		}
	}
	for n, i := range may {
		watts, va = watts-loads[i].Peak(), va-loads[i].Apparent()
		if watts <= rounding && va <= rounding {
			return may[:n+1]
		}
	}
	return nil
}

// tooHeavy judges an entry at the high end of its range: which one the
// household has is not known.
func tooHeavy(e load.Entry, limit inverter.Limits) bool {
	l := e.Load()
	l.Running = max(l.Running, e.High)
	return len(start.Order([]load.Load{l}, limit).Never) > 0
}

// names reports whether one of the loads is called as the entry is. What its
// owner knows of it then counts.
func names(loads []load.Load, e load.Entry) bool {
	word := strings.ToLower(short(e.Name))
	for _, l := range loads {
		if strings.Contains(strings.ToLower(l.Name), word) {
			return true
		}
	}
	return false
}

// short is a name of the catalogue without what follows a comma or bracket.
func short(name string) string {
	if i := strings.IndexAny(name, ",("); i > 0 {
		return strings.TrimSpace(name[:i])
	}
	return name
}
