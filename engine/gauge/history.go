package gauge

import (
	"cmp"
	"math"
	"slices"

	"candleclock/engine/outage"
	"candleclock/engine/plan"
	"candleclock/engine/units"
)

// history is an outage so far and to come, in stretches between which loads
// were switched.
type history struct {
	parts []part
	past  int           // how many of them end by the last reading; the next begins there
	read  []units.Hours // when the gauge was read, since the start

	shown []float64 // scratch: what was left then, Wh
	from  units.Hours
	see   func(outage.Step)
}

// part is a stretch with the same loads on.
type part struct {
	rig         *outage.Rig
	from, until units.Hours // since the start
}

// newHistory lays the stretches out. Before its first change a load was as the
// change found it; after the last of all changes and readings all is as the
// plan says. Both lists are in order of time.
func newHistory(p plan.Plan, readings []Reading, changes []Change) *history {
	h := &history{shown: make([]float64, len(readings))}
	begin := p.Outage.Starts
	for _, r := range readings {
		h.read = append(h.read, r.At.Since(begin))
	}
	now := p
	now.Loads = slices.Clone(p.Loads)
	known := make([]bool, len(p.Loads))
	for _, c := range changes {
		if !known[c.Load] {
			now.Loads[c.Load].Off, known[c.Load] = c.On, true
		}
	}
	at := begin
	end := func(until plan.Moment) {
		if until.Since(at) > 0 {
			now.Outage.Starts = at
			h.parts = append(h.parts, part{outage.NewRig(now), at.Since(begin), until.Since(begin)})
			at = until
		}
	}
	// The last reading ends a stretch, so that one can begin there.
	read := func() {
		if len(readings) > 0 {
			end(readings[len(readings)-1].At)
		}
		h.past = len(h.parts)
	}
	unread := true
	for _, c := range changes {
		if unread && c.At.Since(begin) > h.seen() {
			read()
			unread = false
		}
		end(c.At)
		now.Loads = slices.Clone(now.Loads)
		now.Loads[c.Load].Off = !c.On
	}
	if unread {
		read()
	}
	now.Loads = p.Loads
	now.Outage.Starts = at
	h.parts = append(h.parts, part{outage.NewRig(now), at.Since(begin), outage.Horizon})
	h.see = func(s outage.Step) {
		for i, t := range h.read {
			if t -= h.from; t >= s.From { // what a later step shows counts more
				h.shown[i] = float64(s.LeftFrom)
				if s.To > s.From {
					h.shown[i] += float64(s.LeftTo-s.LeftFrom) * min(1, float64((t-s.From)/(s.To-s.From)))
				}
			}
		}
	}
	return h
}

// seen is when the gauge was last read, since the start.
func (h *history) seen() units.Hours {
	if len(h.read) == 0 {
		return 0
	}
	return h.read[len(h.read)-1]
}

// follow goes through some of the parts under c, at most until a time since the
// start; empty is since the start too. c has what is left at the end.
func (h *history) follow(c *outage.Case, parts []part, until units.Hours, see func(outage.Step)) (empty units.Hours, store outage.Store) {
	for _, part := range parts {
		if part.from >= until {
			break
		}
		h.from = part.from
		o := part.rig.Run(*c, min(part.until, until)-part.from, see)
		store = o.Battery
		cut := float64(store.Cut / (store.Rated - store.Age))
		c.SOC = chargeOf(float64(o.Balance.Left), store, cut)
		if !math.IsInf(float64(o.Empty), 1) {
			return part.from + o.Empty, store
		}
	}
	return units.Hours(math.Inf(1)), store
}

// run is when the supply is empty under c, which begins at the start.
func (h *history) run(c outage.Case, see func(outage.Step)) units.Hours {
	empty, _ := h.follow(&c, h.parts, outage.Horizon, see)
	return empty
}

// onward is how long after the last reading the supply is empty under c, which
// begins there.
func (h *history) onward(c outage.Case, see func(outage.Step)) units.Hours {
	empty, _ := h.follow(&c, h.parts[h.past:], outage.Horizon, see)
	return empty - h.seen()
}

// chargeAt is the state of charge at a time since the start, at or after the last
// reading, under c, which begins with that reading; 0 where it is empty by then.
func (h *history) chargeAt(c outage.Case, until units.Hours) float64 {
	if empty, _ := h.follow(&c, h.parts[h.past:], until, nil); empty <= until {
		return 0
	}
	return c.SOC
}

// used fills in what a full charge has lost by each reading, as shares of all that
// it can give; all is the last. What is taken does not hang on how full the
// battery is, so this tells of any charge at the start. Where c takes more than
// all of it the rest is reckoned in proportion to time.
func (h *history) used(c outage.Case, used []float64) (all float64, store outage.Store) {
	for i := range h.shown {
		h.shown[i] = math.NaN()
	}
	empty, store := h.follow(&c, h.parts[:h.past], outage.Horizon, h.see)
	if h.past == 0 {
		store = h.parts[0].rig.Run(c, 0, nil).Battery
	}
	full := float64(store.Usable)
	for i, left := range h.shown {
		switch t := h.read[i]; {
		case full <= 0:
			used[i] = 1
		case t <= 0:
			used[i] = 0
		case t > empty:
			used[i] = float64(t / max(empty, 1./60))
		default:
			used[i] = 1 - left/full
		}
	}
	return used[len(used)-1], store
}

// chargeOf is the state of charge where so much can still be given.
func chargeOf(left float64, s outage.Store, cut float64) float64 {
	if s.Usable <= 0 {
		return cut
	}
	return cut + (1-cut)*left/float64(s.Usable)
}

// inOrder sorts a log by time, and tells where each reading stood.
func inOrder(readings []Reading, changes []Change) ([]Reading, []Change, []int) {
	place := make([]int, len(readings))
	for i := range place {
		place[i] = i
	}
	slices.SortStableFunc(place, func(a, b int) int { return cmp.Compare(readings[a].At.Since(readings[b].At), 0) })
	sorted := make([]Reading, len(readings))
	for i, n := range place {
		sorted[i] = readings[n]
	}
	changes = slices.Clone(changes)
	slices.SortStableFunc(changes, func(a, b Change) int { return cmp.Compare(a.At.Since(b.At), 0) })
	return sorted, changes, place
}
