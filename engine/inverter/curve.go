package inverter

import "candleclock/engine/units"

// Curve is DC power drawn against AC power given, worked out for a simulation:
//
//	P_dc = P_idle + P_ac + max(0, k1·P_ac + k2·P_ac²)
//
// the loss form of Schmidt and Sauer, Sonnenenergie 4 (1996) 43–47 (from
// memory). It never falls with P_ac, and the loss is never below the idle draw.
// It is a plain value, cheap to make and to copy.
type Curve struct {
	idle      float64 // W
	low, high loss    // up to, and from, the power turn
	turn      float64 // W of AC
}

// loss is the part of the loss that comes with the load.
type loss struct {
	k1 float64 // W per W
	k2 float64 // W per W²
}

func (l loss) at(ac float64) float64 {
	if w := (l.k1 + l.k2*ac) * ac; w > 0 { // the builtin max costs wasm a call
		return w
	}
	return 0
}

// Curve fits v's idle draw and its one or two efficiency points.
func (v Inverter) Curve() Curve {
	c := Curve{idle: float64(v.Idle())}
	a, la := c.share(v.Point())
	if v.Efficiency2 == nil || v.Efficiency2AtW == nil {
		return c.one(a, la)
	}
	b, lb := c.share(Point{At: units.Watts(*v.Efficiency2AtW), Efficiency: *v.Efficiency2})
	if b < a {
		a, la, b, lb = b, lb, a, la
	}
	return c.two(a, la, b, lb)
}

// share turns an efficiency point into its power and the load's own loss there
// per watt given. A point that the idle draw alone would put lower claims too
// much: its own loss is then 0, and the curve runs below the point.
func (c Curve) share(p Point) (at, per float64) {
	at = float64(p.At)
	return at, max(0, 1/p.Efficiency-1-c.idle/at)
}

// one fits a single point. One point leaves open how much of the loss goes with
// the current and how much with its square. Below the point all of it is taken
// to go with the current, above it all with the square: no k1, k2 >= 0 through
// the point lose more anywhere.
func (c Curve) one(at, per float64) Curve {
	c.turn = at
	c.low = loss{k1: per}
	c.high = loss{k2: per / at}
	return c
}

// two fits two points, a <= b. Where the loss grows faster than the power the
// fitted parabola goes on above b; where it grows slower (k2 < 0) the loss goes
// on in proportion from b, so that it never bends down. Points too near one
// another, or at odds with a draw that rises with the load, are taken as one
// with the greater loss of the two on both sides.
func (c Curve) two(a, la, b, lb float64) Curve {
	const apart = 1.2 // least b/a for a slope worth trusting
	if b < apart*a {
		return c.one(a, max(la, lb))
	}
	k2 := (lb - la) / (b - a)
	k1 := la - k2*a
	c.turn = b
	c.low = loss{k1: k1, k2: k2}
	c.high = c.low
	if k2 < 0 {
		// Half of what the draw's own rise allows: the odds try up to twice
		// this loss.
		if k1+2*k2*b < -0.5 {
			lb = max(la, lb)
			c.low = loss{k1: lb}
		}
		c.high = loss{k1: lb}
	}
	return c
}

// DC is the power drawn from the battery while the inverter is on and gives ac
// (>= 0).
func (c Curve) DC(ac units.Watts) units.Watts {
	p := float64(ac)
	l := c.low
	if p > c.turn {
		l = c.high
	}
	return units.Watts(c.idle + p + l.at(p))
}

// Idle is the draw with nothing plugged in.
func (c Curve) Idle() units.Watts { return units.Watts(c.idle) }
