package plan

import "candleclock/engine/doc"

// Past is an outage that is over: what was planned, and what happened.
type Past struct {
	Began, Ended Moment
	Planned      *float64 // hours that could be counted on when it began; nil: not known, or beyond what is followed
	Pace         *float64 // how much faster the charge went than was likely, 1.2 is a fifth; nil where the readings don't tell
	Corrected    bool     // the plan has been corrected by it

	Unknown doc.Unknown
}

// MostPast is the most outages that a plan remembers: the newest.
const MostPast = 50

// PaceRange is what Past.Pace may be.
var PaceRange = doc.Range{Low: 0.01, High: 100}

// Over returns the plan with an outage that is over remembered.
func (p Plan) Over(o Past) Plan {
	p.History = append(p.History[:len(p.History):len(p.History)], o)
	p.History = p.History[max(0, len(p.History)-MostPast):]
	return p
}

func readPast(r *doc.Reader) Past {
	o := Past{Began: readMoment(r, "began"), Ended: readMoment(r, "ended"),
		Planned: r.Maybe("planned_h", doc.Range{Low: 0, High: HoursRange.High, Unit: "hours"}), Pace: r.Maybe("pace", PaceRange), Corrected: r.Yes("corrected")}
	if o.Ended.Since(o.Began) < 0 {
		r.Fail("ended", `"`+o.Ended.String()+`"`, "at or after began, "+o.Began.String())
	}
	o.Unknown = r.Unknown()
	return o
}

func (o Past) write() *doc.Writer {
	w := new(doc.Writer)
	w.Text("began", o.Began.String())
	w.Text("ended", o.Ended.String())
	w.Maybe("planned_h", o.Planned)
	w.Maybe("pace", o.Pace)
	w.Yes("corrected", o.Corrected)
	w.Keep(o.Unknown)
	return w
}
