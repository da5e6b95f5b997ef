package shed

import (
	"cmp"
	"slices"

	"candleclock/engine/odds"
	"candleclock/engine/outage"
	"candleclock/engine/plan"
	"candleclock/engine/units"
)

// workMost bounds a search, counted in courses followed and as much work: about
// a second on a desk. Twenty loads that ask for more than the inverter carries
// may need more; where it carries all of them, a few hundredths of that are usual.
const workMost = 1e6

// margin keeps rounding from ruling a choice out.
const margin = 1e-9

// search looks for the first of all choices of a given size that reaches.
type search struct {
	plan   plan.Plan
	may    odds.Chances // hardest first
	spared float64      // weight
	target units.Hours

	loads []int // of all groups, in order
	group []int // of each of them
	rows  []row // for each of the hardest chances, and the last for the box figure

	// Where the inverter might go off: of each stretch of the day, how many
	// loads of a load's group, none of them before it, keep it on, and how many
	// do of those that are decided to stay on.
	keeps   [][]int // by load, by stretch
	keeping []int   // by stretch

	off  []int // the choice looked at
	on   units.Hours
	work float64

	firsts, free []int // scratch of hopeless
}

// row is the floor of one chance, Wh. Loads count by their place in the search.
type row struct {
	weight float64
	lack   float64     // to be saved for it to last
	idle   []float64   // what the inverter takes at rest, by stretch
	saves  []float64   // at most, by load
	most   [][]float64 // that any m loads of n's group, none of them before n, save at most: by n, by m
	saved  float64     // by the choice looked at
}

func newSearch(p plan.Plan, may odds.Chances, target units.Hours, groups [][]int) *search {
	q := &search{plan: p, spared: may.Spared(), target: target}
	groups = slices.DeleteFunc(slices.Clone(groups), func(loads []int) bool { return len(loads) == 0 })
	for g, loads := range groups {
		for _, i := range loads {
			q.loads, q.group = append(q.loads, i), append(q.group, g)
		}
	}
	rig := outage.NewRig(p)
	keepers := rig.Keepers()
	q.keeping = make([]int, len(keepers))
	q.keeps = make([][]int, len(q.loads))
	for n := len(q.loads) - 1; n >= 0; n-- {
		q.keeps[n] = make([]int, len(keepers))
		for t, loads := range keepers {
			if n+1 < len(q.loads) && q.group[n] == q.group[n+1] {
				q.keeps[n][t] = q.keeps[n+1][t]
			}
			if slices.Contains(loads, q.loads[n]) {
				q.keeps[n][t]++
			}
		}
	}
	for t, loads := range keepers {
		for _, i := range loads {
			if !slices.Contains(q.loads, i) {
				q.keeping[t]++
			}
		}
	}
	type chance struct {
		odds.Chance
		f outage.Floor
	}
	all := make([]chance, 0, len(may))
	for _, c := range may {
		all = append(all, chance{c, rig.Floor(c.Case, target)})
	}
	slices.SortStableFunc(all, func(a, b chance) int {
		return cmp.Compare(float64(b.f.Least)*float64(a.f.Has), float64(a.f.Least)*float64(b.f.Has))
	})
	rowed := 0.0 // no more are needed to rule a choice out, but for where their order changes
	for _, c := range all {
		q.may = append(q.may, c.Chance)
		if rowed <= 3*q.spared {
			rowed += c.Weight
			q.rows = append(q.rows, q.row(c.f, c.Weight))
		}
	}
	q.rows = append(q.rows, q.row(rig.BoxFloor(p.Outage.SOC, target), 0))
	return q
}

func (q *search) row(f outage.Floor, weight float64) row {
	r := row{weight: weight, lack: float64(f.Least-f.Has) - margin*float64(f.Least)}
	for _, w := range f.Idle {
		r.idle = append(r.idle, float64(w))
	}
	for _, i := range q.loads {
		r.saves = append(r.saves, float64(f.Saves[i]))
	}
	r.most = make([][]float64, len(q.loads)+1)
	var best []float64 // of the group from n on, greatest first
	for n := len(q.loads) - 1; n >= 0; n-- {
		if n == len(q.loads)-1 || q.group[n] != q.group[n+1] {
			best = nil
		}
		at, _ := slices.BinarySearchFunc(best, r.saves[n], func(a, b float64) int { return cmp.Compare(b, a) })
		best = slices.Insert(best, at, r.saves[n])
		sums := make([]float64, len(best)+1)
		for m, w := range best {
			sums[m+1] = sums[m] + w
		}
		r.most[n] = sums
	}
	return r
}

// first looks for the choice that is missed least, and reports whether it was
// found before the search was broken off; q.off and q.on tell it. Some choice
// must reach.
func (q *search) first() bool {
	size := make([]int, 0, 2) // of each group
	for n, g := range q.group {
		if n == 0 || g != q.group[n-1] {
			size = append(size, len(q.rows[0].most[n])-1)
		}
	}
	counts := make([]int, len(size))
	for !q.try(counts) {
		if q.work > workMost || !next(counts, size) {
			return false
		}
	}
	return true
}

// next goes on to the next counts, of which the last group's is the first to
// grow; it reports false when none is left.
func next(counts, size []int) bool {
	for g := len(size) - 1; g >= 0; g-- {
		if counts[g] < size[g] {
			counts[g]++
			return true
		}
		counts[g] = 0
	}
	return false
}

// try looks for the first choice with so many loads of each group off that
// reaches.
func (q *search) try(counts []int) bool {
	q.off = q.off[:0]
	for k := range q.rows {
		q.rows[k].saved = 0
	}
	return q.from(0, slices.Clone(counts))
}

// from goes on with the load n; counts are what is still to be switched off.
func (q *search) from(n int, counts []int) bool {
	if q.work > workMost || q.hopeless(n, counts) {
		return false
	}
	if n == len(q.loads) {
		return q.reaches()
	}
	g, i := q.group[n], q.loads[n]
	if counts[g] < len(q.rows[0].most[n])-1 { // fewer than there are
		for t := range q.keeping {
			q.keeping[t] += q.own(n, t)
		}
		if q.from(n+1, counts) {
			return true
		}
		for t := range q.keeping {
			q.keeping[t] -= q.own(n, t)
		}
	}
	if counts[g] == 0 {
		return false
	}
	counts[g]--
	q.off = append(q.off, i)
	for k := range q.rows {
		q.rows[k].saved += q.rows[k].saves[n]
	}
	if q.from(n+1, counts) {
		return true
	}
	for k := range q.rows {
		q.rows[k].saved -= q.rows[k].saves[n]
	}
	q.off = q.off[:len(q.off)-1]
	counts[g]++
	return false
}

// own is 1 where the load n itself keeps the inverter on.
func (q *search) own(n, stretch int) int {
	if n+1 < len(q.loads) && q.group[n] == q.group[n+1] {
		return q.keeps[n][stretch] - q.keeps[n+1][stretch]
	}
	return q.keeps[n][stretch]
}

// hopeless reports whether no choice that goes on from here can reach: more
// end too soon by their floors than Count on spares, or the box figure does.
func (q *search) hopeless(n int, counts []int) bool {
	firsts := q.firsts[:0] // of the rest of each group
	for m := n; m < len(q.loads); m++ {
		if m == n || q.group[m] != q.group[m-1] {
			firsts = append(firsts, m)
		}
	}
	free := q.free[:0] // stretches in which the inverter might go off
	for t, on := range q.keeping {
		for _, m := range firsts {
			on += max(0, q.keeps[m][t]-counts[q.group[m]])
		}
		if on == 0 {
			free = append(free, t)
		}
	}
	q.firsts, q.free = firsts, free
	short := func(r *row) bool {
		saved := r.saved
		for _, t := range free {
			saved += r.idle[t]
		}
		for _, m := range firsts {
			saved += r.most[m][counts[q.group[m]]]
		}
		return saved < r.lack
	}
	last := len(q.rows) - 1
	late := 0.0
	for k := range q.rows[:last] {
		q.work += 0.01
		if short(&q.rows[k]) {
			if late += q.rows[k].weight; late > q.spared {
				return true
			}
		}
	}
	return short(&q.rows[last])
}

// reaches asks the courses themselves: first until enough have ended too soon,
// then all.
func (q *search) reaches() bool {
	p := without(q.plan, q.off)
	rig := outage.NewRig(p)
	q.work += 25
	late := 0.0
	for _, c := range q.may {
		q.work++
		if rig.Run(c.Case, q.target, nil).Empty < q.target*(1-margin) {
			if late += c.Weight; late > q.spared {
				return false
			}
		}
	}
	q.on = q.may.CountOn(p)
	return q.on >= q.target
}
