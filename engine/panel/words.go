package panel

import (
	"fmt"
	"math"

	"candleclock/engine/doc"
	"candleclock/engine/units"
)

func watts(w units.Watts) string { return doc.Number(math.Round(float64(w))) + " W" }

// why says the verdict with its numbers.
func (l Layout) why(in Input) string {
	switch {
	case l.VocCold > in.MaxV:
		return fmt.Sprintf("%.1f V on the coldest morning is above the %.4g V that the input withstands", l.VocCold, float64(in.MaxV))
	case l.Verdict == Damages:
		return fmt.Sprintf("%.1f A is above the %.4g A of an input that does not limit current", l.Isc, float64(in.MaxA))
	case l.Verdict == WontStart:
		return fmt.Sprintf("%.1f V on a hot noon is below the %.4g V that the input needs", l.VmpHot, float64(in.MinV))
	}
	s := "takes all " + watts(l.Watts)
	if l.Verdict == Clipped {
		s = "takes " + watts(l.Watts) + " of the " + watts(l.offered) + " offered"
	}
	if l.Mismatch > 0 {
		s += fmt.Sprintf("; %.0f %% of the panels' %s is lost because they are unlike", 100*l.Mismatch, watts(l.Array))
	}
	if l.Unmatched {
		s += "; the strings differ by more than 5 % in voltage, and the lower one may be driven backwards"
	}
	if l.NearMax {
		s += fmt.Sprintf("; %.1f V on the coldest morning is less than 2 %% below the limit of %.4g V", l.VocCold, float64(in.MaxV))
	}
	return s
}

// Terminal is one end of a panel, or of the input (Module 0).
type Terminal struct {
	Module int
	Plus   bool
}

// String names a terminal: "panel 2 plus", "input minus".
func (t Terminal) String() string {
	end := "minus"
	if t.Plus {
		end = "plus"
	}
	if t.Module == 0 {
		return "input " + end
	}
	return fmt.Sprintf("panel %d %s", t.Module, end)
}

// Wire joins two terminals.
type Wire struct{ From, To Terminal }

// String says a wire: "panel 1 minus to panel 2 plus".
func (w Wire) String() string { return w.From.String() + " to " + w.To.String() }

// Wires lists the joints of a layout, string by string from the input's plus to
// its minus. Strings in parallel share the input's terminals. Within a string
// minus always meets plus: every other joint would be a short circuit or a
// panel turned round.
func (l Layout) Wires() []Wire {
	var out []Wire
	for _, s := range l.Strings {
		at := Terminal{0, true}
		for _, m := range s {
			out = append(out, Wire{at, Terminal{m, true}})
			at = Terminal{m, false}
		}
		out = append(out, Wire{at, Terminal{0, false}})
	}
	return out
}
