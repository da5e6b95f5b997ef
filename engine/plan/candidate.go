package plan

import (
	"strings"

	"candleclock/engine/doc"
)

// Candidate is a supply that the household might buy, as its owner read it from
// a label. Name, price and weight are those of the supply, of one. A link does
// not carry candidates: each takes as much room as the plan's own supply.
type Candidate struct {
	Supply Supply
	Units  int      // alike and side by side, each with loads of its own
	Life   *float64 // full charges and discharges that its maker promises

	Unknown doc.Unknown
}

// MostCandidates is the most candidates that a plan may have.
const MostCandidates = 8

// The ranges of a candidate's own numbers.
var (
	UnitsRange = doc.Range{Low: 1, High: 4}
	LifeRange  = doc.Range{Low: 1, High: 100000, Unit: "cycles"}
)

// NewCandidate is a candidate of which nothing but a name is known.
func NewCandidate(name string) Candidate {
	c := Candidate{Supply: New("", Moment{}).Supply, Units: 1}
	c.Supply.Name = name
	return c
}

// Known reports whether the candidate says how big its battery is.
func (c Candidate) Known() bool { return c.Supply.Battery.Capacity > 0 }

// Price and Weight are those of all units; nil where one's is not known.
func (c Candidate) Price() *float64  { return c.times(c.Supply.Price) }
func (c Candidate) Weight() *float64 { return c.times(c.Supply.Weight) }

func (c Candidate) times(one *float64) *float64 {
	if one == nil {
		return nil
	}
	all := *one * float64(max(c.Units, 1))
	return &all
}

func readCandidate(r *doc.Reader) Candidate {
	c := NewCandidate("")
	if o := r.Object("supply"); o != nil {
		c.Supply = readSupply(o)
		if strings.TrimSpace(c.Supply.Name) == "" {
			o.Fail("name", "", "a name of 1 to 60 characters")
		}
	} else {
		r.Fail("supply", "", "there, with its name")
	}
	c.Units = r.Whole("units", UnitsRange, 1)
	c.Life = r.Maybe("life_cycles", LifeRange)
	c.Unknown = r.Unknown()
	return c
}

func (c Candidate) write() *doc.Writer {
	w := new(doc.Writer)
	w.Object("supply", c.Supply.write())
	w.Number("units", float64(max(c.Units, 1)), 1)
	w.Maybe("life_cycles", c.Life)
	w.Keep(c.Unknown)
	return w
}
