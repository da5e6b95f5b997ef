package inverter

import (
	"math"

	"candleclock/engine/units"
)

// Curve is DC power drawn against AC power given, worked out for a simulation: the
// AC power and the whole loss, the idle draw with it. Up to the lower efficiency
// point the loss is in the form of Schmidt and Sauer, Sonnenenergie 4 (1996) 43–47
// (from memory):
//
//	loss = P_idle + max(0, k1·P_ac + k2·P_ac²)
//
// From there on it hangs on what is stated alone, so that of two inverters with the
// same efficiency the one that idles more never draws less. The draw never falls
// with P_ac, and the loss is never below the idle draw. It is a plain value, cheap
// to make and to copy.
type Curve struct {
	idle float64 // W
	low  loss    // up to a, beside the idle draw
	a, b mark    // the points
	base float64 // with mid the whole loss from a to b
	mid  loss
	high loss // above b beside the idle draw, where that is more than in proportion; with k2 > 0 only
	one  bool // a is b: above, the loss grows with the power 1.5
}

// mark is the whole loss at a power, W.
type mark struct{ at, loss float64 }

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
	a := stated(v.Point())
	if v.Efficiency2 == nil || v.Efficiency2AtW == nil {
		return c.single(a)
	}
	b := stated(Point{At: units.Watts(*v.Efficiency2AtW), Efficiency: *v.Efficiency2})
	if b.at < a.at {
		a, b = b, a
	}
	return c.two(a, b)
}

// stated is what an efficiency point says of the loss.
func stated(p Point) mark {
	at := float64(p.At)
	return mark{at, at/p.Efficiency - at}
}

// met is the loss at a point: where the idle draw alone is more than it says, it
// claims too much, and the curve runs below it.
func (c Curve) met(m mark) mark { return mark{m.at, max(m.loss, c.idle)} }

// share is the load's own loss at a point per watt given.
func (c Curve) share(m mark) float64 { return (m.loss - c.idle) / m.at }

// single fits one point. Below it all of the load's loss is taken to go with the
// current: no k1, k2 >= 0 through the point lose more. Above it the whole loss
// grows with the power 1.5: between half and full power that of published curves
// grows 2.0 to 2.9 times (NREL/TP-6A20-62641 (2014); the sets that European and
// Californian weights, and Schmidt and Sauer's form, are shown with), this one 2.8.
func (c Curve) single(m mark) Curve {
	c.a = c.met(m)
	c.b, c.one = c.a, true
	c.low = loss{k1: c.share(c.a)}
	return c
}

// two fits two points, a at or below b. Between them the loss goes straight, or
// along the parabola that an inverter without idle draw would have where that is
// less: no other through both is more. Above b it goes on in proportion, or along
// the parabola where that grows faster. Points too near one another are taken
// as one with the greater loss of the two; where the second claims a loss that falls
// faster than the load may rise, the first counts, and above it in proportion.
func (c Curve) two(a, b mark) Curve {
	const apart = 1.2 // least b/a for a slope worth trusting
	if b.at < apart*a.at {
		return c.single(mark{a.at, max(a.loss, b.loss/b.at*a.at)})
	}
	c.a, c.b = c.met(a), c.met(b)
	// Half of what the draw's own rise allows: the odds try up to twice this loss.
	if b.loss-a.loss < -0.5*(b.at-a.at) {
		c.low = loss{k1: c.share(c.a)}
		c.b = mark{b.at, c.a.loss * b.at / a.at}
		c.mid = loss{k1: c.a.loss / a.at}
		return c
	}
	la, lb := c.share(a), c.share(b)
	k2 := (lb - la) / (b.at - a.at)
	c.low = loss{k1: la - k2*a.at, k2: k2}
	if k2 > 0 {
		c.high = c.low
	}
	k1 := (c.b.loss - c.a.loss) / (b.at - a.at)
	c.base, c.mid = c.a.loss-k1*a.at, loss{k1: k1}
	if ra, rb := a.loss/a.at, b.loss/b.at; rb > ra && c.a == a && c.b == b {
		k2 := (rb - ra) / (b.at - a.at)
		c.base, c.mid = 0, loss{k1: ra - k2*a.at, k2: k2}
	}
	return c
}

// DC is the power drawn from the battery while the inverter is on and gives ac
// (>= 0).
func (c Curve) DC(ac units.Watts) units.Watts {
	p := float64(ac)
	switch {
	case p <= c.a.at:
		return units.Watts(c.idle + p + c.low.at(p))
	case c.one:
		x := p / c.a.at
		return units.Watts(p + c.a.loss*x*math.Sqrt(x))
	case p <= c.b.at:
		return units.Watts(p + c.base + (c.mid.k1+c.mid.k2*p)*p)
	}
	loss := c.b.loss * p / c.b.at
	if w := c.idle + c.high.at(p); w > loss {
		loss = w
	}
	return units.Watts(p + loss)
}

// Doubted is the loss beside the idle draw where the idle draw is so many times, and
// all other loss so many times, what is told. One that loses more than it states in
// giving does so in waiting too: else, at the same stated efficiency, more of an
// idle draw would lose less.
func (c Curve) Doubted(ac units.Watts, idle, loss float64) float64 {
	return c.beside(float64(ac))*loss + c.Waits(ac, idle, loss)
}

// beside is the loss beside the idle draw, never below 0 by rounding.
func (c Curve) beside(ac float64) float64 {
	if w := float64(c.DC(units.Watts(ac))) - ac - c.idle; w > 0 {
		return w
	}
	return 0
}

// Waits is the part of Doubted that is of the idle draw, W: none without a load, and
// all of what the doubts differ by from the lower efficiency point on.
func (c Curve) Waits(ac units.Watts, idle, loss float64) float64 {
	if loss <= idle {
		return 0
	}
	w := c.idle * (loss - idle)
	if p := float64(ac); p < c.a.at {
		w *= p / c.a.at
	}
	return w
}

// Idle is the draw with nothing plugged in.
func (c Curve) Idle() units.Watts { return units.Watts(c.idle) }
