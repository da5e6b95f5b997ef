package odds

import (
	"math"

	"candleclock/engine/outage"
	"candleclock/engine/plan"
	"candleclock/engine/yield"
)

// Each shows every draw's circumstances in turn.
func (s *Sampler) Each(p plan.Plan, y *yield.Yield, use func(draw int, c outage.Case) bool) {
	days := int(math.Ceil(float64(p.Outage.Hours)/24)) + 1
	i, on := 0, true
	s.cases(p, func(c outage.Case) {
		if !on {
			return
		}
		if y != nil {
			c.Sun = y.Series(s.seed+uint64(i)<<32, p.Outage.Starts, days)
		}
		on = use(i, c)
		i++
	})
}
