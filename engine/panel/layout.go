package panel

import (
	"cmp"
	"math"
	"slices"

	"candleclock/engine/doc"
	"candleclock/engine/units"
)

// MaxModules is the most panels of one kind that layouts are made of.
const MaxModules = 24

// CountRange is how many panels of one kind a plan may have.
var CountRange = doc.Range{Low: 0, High: MaxModules, Unit: "panels"}

// MatchTolerance is how far apart the voltages at work of strings side by side
// may be, as a share of the higher (common practice).
const MatchTolerance = 0.05

// Set is a number of equal panels, 0 to MaxModules; more count as MaxModules.
type Set struct {
	Module Module
	Count  int
}

// Layout is one way to wire panels to an input.
type Layout struct {
	Strings []String // side by side, in parallel
	Verdict Verdict

	VocCold units.Volts // open circuit on the coldest morning: what the input must withstand
	VmpHot  units.Volts // at work on the hottest noon: what must wake the input
	Isc     units.Amps  // 1.25 × short-circuit current: what wire and fuse must carry
	Array   units.Watts // the panels' rated power together
	Watts   units.Watts // of it, what the input takes in full sun; 0 unless Fits or Clipped

	NearMax   bool    // VocCold is less than 2 % below the input's limit
	Mismatch  float64 // share of Array lost because panels unlike each other share a current or a voltage; 0 to 1
	Unmatched bool    // strings side by side differ in voltage by more than MatchTolerance
	Why       string  // the verdict in a sentence, with its numbers

	offered, usable units.Watts // what the array can give at one voltage; what of it the input can take
}

// String is panels in series, by number, from the plus end to the minus end.
// Panels are numbered from 1, those of the first set first.
type String []int

// Series is the number of panels in the longest string.
func (l Layout) Series() int {
	most := 0
	for _, s := range l.Strings {
		most = max(most, len(s))
	}
	return most
}

// Parallel is the number of strings.
func (l Layout) Parallel() int { return len(l.Strings) }

// Modules is the number of panels wired.
func (l Layout) Modules() int {
	n := 0
	for _, s := range l.Strings {
		n += len(s)
	}
	return n
}

// NeedsFuses reports whether each string must have a fuse of its own: from
// three in parallel, two sound strings can drive more current back through a
// faulty third than it bears (NFPA 70 690.9; from memory).
func (l Layout) NeedsFuses() bool { return len(l.Strings) >= 3 }

// Layouts lists every way to wire equal panels, or some of them, as strings of
// one length in parallel, the best first: what works before what does not;
// then by the watts taken, a layout near the input's limit after all others
// that work; then by the panels wired, since a panel more than full sun needs
// still earns on a grey day; then by the lower current. No panels, no layouts.
func Layouts(set Set, in Input, air Extremes) []Layout {
	return MixedLayouts(set, Set{}, in, air)
}

// MixedLayouts lists the layouts of two kinds of panels: each kind alone,
// strings that all hold the same mix, and strings of one kind beside strings of
// the other. Order is as in Layouts. Count of either set may be 0.
func MixedLayouts(a, b Set, in Input, air Extremes) []Layout {
	na, nb := clamp(a.Count), clamp(b.Count)
	var out []Layout
	add := func(bunches ...bunch) {
		out = append(out, newLayout(bunches, na, in, air))
	}
	mix := func(i, j int) row { return newRow(a.Module, i, b.Module, j, air) }

	for i := 0; i <= na; i++ { // strings that all hold i of a and j of b
		for j := 0; j <= nb; j++ {
			for p := 1; i+j > 0 && p*i <= na && p*j <= nb; p++ {
				add(bunch{mix(i, j), p})
			}
		}
	}
	for sa := 1; sa <= na; sa++ { // strings of a beside strings of b
		for pa := 1; pa*sa <= na; pa++ {
			for sb := 1; sb <= nb; sb++ {
				for pb := 1; pb*sb <= nb; pb++ {
					add(bunch{mix(sa, 0), pa}, bunch{mix(0, sb), pb})
				}
			}
		}
	}
	slices.SortStableFunc(out, Compare)
	return out
}

func clamp(n int) int { return min(max(n, 0), MaxModules) }

// Compare orders layouts as Layouts does: below 0 when x is the better one.
func Compare(x, y Layout) int {
	return cmp.Or(
		-cmp.Compare(x.class(), y.class()),
		-cmp.Compare(math.Round(float64(x.Watts)*1e6), math.Round(float64(y.Watts)*1e6)),
		-cmp.Compare(x.Modules(), y.Modules()),
		cmp.Compare(x.Isc, y.Isc),
		cmp.Compare(x.Parallel(), y.Parallel()),
		slices.CompareFunc(x.Strings, y.Strings, func(s, t String) int { return slices.Compare(s, t) }),
	)
}

// class ranks what a layout is worth trying at all.
func (l Layout) class() int {
	switch {
	case l.Verdict == Damages:
		return 0
	case l.Verdict == WontStart:
		return 1
	case l.NearMax:
		return 2
	}
	return 3
}
