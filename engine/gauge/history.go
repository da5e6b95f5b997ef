package gauge

import (
	"cmp"
	"math"
	"slices"

	"candleclock/engine/load"
	"candleclock/engine/outage"
	"candleclock/engine/plan"
	"candleclock/engine/units"
)

// history is an outage so far and to come, in stretches between which loads
// were switched.
type history struct {
	parts []part
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
	for _, c := range changes {
		end(c.At)
		now.Loads = slices.Clone(now.Loads)
		now.Loads[c.Load].Off = !c.On
	}
	if !slices.EqualFunc(now.Loads, p.Loads, func(a, b load.Load) bool { return a.Off == b.Off }) && len(readings) > 0 {
		end(readings[len(readings)-1].At)
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

// run follows the outage under c. soc is filled with the state of charge at
// each reading; below 0 where the supply was empty by then, by how much it
// keeps back.
func (h *history) run(c outage.Case, soc []float64) (empty units.Hours, store outage.Store) {
	clear(h.shown)
	empty = units.Hours(math.Inf(1))
	var cut float64
	for _, part := range h.parts {
		h.from = part.from
		o := part.rig.Run(c, part.until-part.from, h.see)
		store = o.Battery
		cut = float64(store.Cut / (store.Rated - store.Age))
		if !math.IsInf(float64(o.Empty), 1) {
			empty = part.from + o.Empty
			break
		}
		c.SOC = charge(float64(o.Balance.Left), store, cut)
	}
	for i, left := range h.shown {
		if soc[i] = charge(left, store, cut); left <= 0 {
			soc[i] = -cut
		}
	}
	return empty, store
}

// charge is the state of charge where so much can still be given.
func charge(left float64, s outage.Store, cut float64) float64 {
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
