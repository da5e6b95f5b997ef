package plan

import (
	"slices"

	"candleclock/engine/charge"
	"candleclock/engine/doc"
	"candleclock/engine/load"
)

// Rules are what the household does in an outage as the charge falls and the day
// goes. A zero Rules does nothing.
type Rules struct {
	// The charge that the gauge shows, a share of 1, from which on loads of a
	// rank are switched off; nil: they stay on. They come back on [BackAbove]
	// higher. What is comfort goes with what is useful at the latest.
	ComfortBelow, UsefulBelow *float64

	Refills []Refill // at most one of a kind
}

// BackAbove is how far the charge must rise above the one at which loads were
// switched off before they come back on (common practice).
const BackAbove = 0.05

// Refill is when a vehicle's socket or a generator charges the supply in an
// outage: in some hours of each day, or from a low charge on until the battery
// begins to take less, or from a low charge on within those hours only.
type Refill struct {
	Kind     charge.Kind  // Car or Generator
	From, To *load.Minute // each day, across midnight where To is not after From; nil both: at any hour
	Below    *float64     // the gauge's charge, a share of 1; nil: all of those hours
	Litres   float64      // of fuel at hand, of a Generator; 0: not told, see Fuel

	Unknown doc.Unknown
}

// UnknownFuel is counted on where nobody told how much fuel is at hand, litres:
// as little as one keeps (common practice).
const UnknownFuel = 1.0

// Fuel is the fuel at hand that is counted on, litres, and whether it was told.
func (f Refill) Fuel() (litres float64, told bool) {
	if f.Litres > 0 {
		return f.Litres, true
	}
	return UnknownFuel, false
}

// The ranges of the rules' numbers.
var (
	BelowRange  = doc.Range{Low: 0.05, High: 0.9}
	LitresRange = doc.Range{Low: 0.1, High: 1000, Unit: "litres"}
)

// RefillKinds lists the kinds of input that can charge by a rule in an outage.
var RefillKinds = []string{string(charge.Car), string(charge.Generator)}

// Holds reports whether the refill's hours hold a minute of the day.
func (f Refill) Holds(m load.Minute) bool {
	return f.From == nil || load.Window{From: *f.From, To: *f.To}.Holds(m)
}

func readRules(r *doc.Reader) Rules {
	u := Rules{ComfortBelow: r.Maybe("comfort_below", BelowRange), UsefulBelow: r.Maybe("useful_below", BelowRange)}
	if u.ComfortBelow != nil && u.UsefulBelow != nil && *u.UsefulBelow > *u.ComfortBelow {
		r.Fail("useful_below", doc.Number(*u.UsefulBelow), "at most comfort_below, "+doc.Number(*u.ComfortBelow))
	}
	for _, o := range r.Objects("refills", len(RefillKinds)) {
		f := readRefill(o)
		if slices.ContainsFunc(u.Refills, func(other Refill) bool { return other.Kind == f.Kind }) {
			o.Fail("kind", string(f.Kind), "different from that of the refill before it")
		}
		u.Refills = append(u.Refills, f)
	}
	return u
}

func readRefill(r *doc.Reader) Refill {
	if !r.Has("kind") {
		r.Fail("kind", "", "there, car or generator")
	}
	f := Refill{Kind: charge.Kind(r.Choice("kind", RefillKinds, "")), Below: r.Maybe("below", BelowRange)}
	f.From, f.To = load.MaybeMinute(r, "from"), load.MaybeMinute(r, "to")
	switch {
	case f.From == nil && f.To != nil:
		r.Fail("from", "", "there together with to")
	case f.From != nil && f.To == nil:
		r.Fail("to", "", "there together with from")
	case f.From == nil && f.Below == nil:
		r.Fail("below", "", "there, "+BelowRange.String()+" (or from and to)")
	}
	if f.Kind == charge.Generator {
		f.Litres = r.Number("litres", LitresRange, 0)
	}
	f.Unknown = r.Unknown()
	return f
}

func (u Rules) write(w *doc.Writer) {
	w.Maybe("comfort_below", u.ComfortBelow)
	w.Maybe("useful_below", u.UsefulBelow)
	var list []*doc.Writer
	for _, f := range u.Refills {
		o := new(doc.Writer)
		o.Text("kind", string(f.Kind))
		if f.From != nil && f.To != nil {
			o.Text("from", f.From.String())
			o.Text("to", f.To.String())
		}
		o.Maybe("below", f.Below)
		o.Number("litres", f.Litres, 0)
		o.Keep(f.Unknown)
		list = append(list, o)
	}
	w.Objects("refills", list)
}
