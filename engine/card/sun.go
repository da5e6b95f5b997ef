package card

import (
	"fmt"
	"slices"
	"time"

	"candleclock/engine/panel"
	"candleclock/engine/plan"
	"candleclock/engine/units"
	"candleclock/engine/yield"
)

// Sun is how to use the panels.
type Sun struct {
	Wiring *Wiring  // the best way to wire them; nil where no way works
	Never  []Wiring // ways that would damage the input, the shortest chains first
	More   int      // of those, left out for want of room

	// Known says that the place is known, and with it all that follows.
	Known   bool
	Mount   plan.Mount
	Tilt    units.Degrees // from level
	Azimuth units.Degrees // clockwise from north
	Month   time.Month    // of the outage, whose sun it is
	Noon    units.Watts   // what the display shows about noon on a cloudless day of it
}

// Wiring is a way to wire panels.
type Wiring struct {
	Panels, Series, Parallel int
	Fuses                    bool // each chain needs one of its own
}

// String is the wiring in words.
func (w Wiring) String() string {
	switch {
	case w.Panels == 1:
		return "1 panel"
	case w.Parallel == 1:
		return fmt.Sprintf("%d panels in a chain: + of each to − of the next", w.Panels)
	case w.Series == 1:
		return fmt.Sprintf("%d panels side by side: + to +, − to −", w.Panels)
	case w.Panels == w.Series*w.Parallel:
		return fmt.Sprintf("%d chains of %d panels, side by side", w.Parallel, w.Series)
	}
	return fmt.Sprintf("%d panels in %d chains side by side, the longest of %d", w.Panels, w.Parallel, w.Series)
}

const damagesMost = 4

func sunOf(p plan.Plan, y *yield.Yield) *Sun {
	air := yield.UnknownAir
	if site, ok := p.Site(); ok {
		air = yield.Air(site.Climate)
	}
	all := yield.Wirings(p, air)
	if len(all) == 0 {
		return nil
	}
	s := &Sun{}
	if all[0].Watts > 0 {
		w := wiringOf(all[0])
		s.Wiring = &w
	}
	for _, w := range all {
		if bad := wiringOf(w); w.Verdict == panel.Damages && !slices.Contains(s.Never, bad) {
			s.Never = append(s.Never, bad)
		}
	}
	slices.SortStableFunc(s.Never, func(a, b Wiring) int {
		if a.Series != b.Series {
			return a.Series - b.Series
		}
		return a.Panels - b.Panels
	})
	if n := len(s.Never); n > damagesMost {
		s.Never, s.More = s.Never[:damagesMost], n-damagesMost
	}
	if y != nil {
		s.Known, s.Mount, s.Tilt, s.Azimuth = true, p.Panels.Mount, y.Lies.Tilt, y.Lies.Azimuth
		_, s.Month, _ = p.Outage.Starts.Date()
		s.Noon = slices.Max(y.ClearDay(p.Outage.Starts))
	}
	return s
}

func wiringOf(w yield.Wiring) Wiring {
	return Wiring{w.Modules(), w.Series(), w.Parallel(), w.NeedsFuses()}
}
