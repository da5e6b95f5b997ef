package odds

import (
	"candleclock/engine/outage"
	"candleclock/engine/plan"
)

// Cases shows the circumstances that Runtime runs the plan under, each draw's
// in turn. What a thing is given does not hang on which other things are
// switched off. The Case shown is used again for the next.
func (s *Sampler) Cases(p plan.Plan, use func(outage.Case)) { s.cases(p, use) }

// Draws is how many cases there are.
func (s *Sampler) Draws() int { return s.n }

// Spared is how many of the draws may end before Count on.
func (s *Sampler) Spared() int { return int(0.1 * float64(s.n)) }
