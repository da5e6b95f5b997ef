package errand

import (
	"errors"
	"math"

	"candleclock/engine/odds"
	"candleclock/engine/outage"
	"candleclock/engine/plan"
	"candleclock/engine/yield"
)

// Sunny is how long the supply lasts with its panels.
type Sunny struct{ odds.WithSun }

var errNoYield = errors.New("the plan has no panels, or no place")

func (s *Sunny) code(c *coder) {
	number(c, &s.Window, 0, float64(outage.Horizon))
	number(c, &s.Likely, 0, math.Inf(1))
	number(c, &s.CountOn, 0, math.Inf(1))
}

func sunny(p plan.Plan, s *odds.Sampler) (Answer, error) {
	y := yield.Of(p)
	if y == nil {
		return nil, errNoYield
	}
	return &Sunny{s.WithSun(p, y)}, nil
}
