package plan

import (
	"slices"

	"candleclock/engine/load"
)

// VitalAlone is the plan with only what is vital on, of what is on now. some is
// false where nothing vital is on, rest where nothing else is.
func (p Plan) VitalAlone() (q Plan, some, rest bool) {
	p.Loads = slices.Clone(p.Loads)
	for i := range p.Loads {
		l := &p.Loads[i]
		if l.Off {
			continue
		}
		if l.Rank == load.Vital {
			some = true
			continue
		}
		l.Off, rest = true, true
	}
	return p, some, rest
}
