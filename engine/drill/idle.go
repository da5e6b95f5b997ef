package drill

import (
	"math"

	"candleclock/engine/gauge"
	"candleclock/engine/inverter"
	"candleclock/engine/outage"
)

// idle is what the inverter draws by itself, W, so that two tests tell the same
// capacity; nil and why where that is not to be told. fell are the shares of the
// charge by which the gauge fell in each.
func idle(heavy, light bench, fellHeavy, fellLight gauge.Range) (*gauge.Range, Refusal) {
	switch {
	case fellLight.High <= 0:
		return nil, NoFall
	case fellLight.Low <= 0:
		return nil, TooVague
	case light.watts() > heavy.watts()/2:
		return nil, TooAlike
	}
	own := float64(heavy.plan.Supply.Inverter.Idle())
	// With more of an idle draw both tests tell more of a capacity, the one with
	// less on by more.
	where := func(h, l outage.Case, fellHeavy, fellLight, minutes float64) float64 {
		low, high := 0.0, inverter.IdleRange.High/own
		for range 26 {
			mid := (low + high) / 2
			h.Idle, l.Idle = mid, mid
			if light.health(fellLight, l, minutes) < heavy.health(fellHeavy, h, -minutes) {
				low = mid
			} else {
				high = mid
			}
		}
		return high * own
	}
	// The less the heavy test took and the more the light one, the less is left
	// for the idle draw. The losses are those of one inverter, and grow with the
	// load. The room is one too; where only the heavy test is fast enough to cost
	// capacity it does not drop out, and either end of it may count.
	r := gauge.Range{Low: math.Inf(1), Likely: where(likely(heavy.spread), likely(light.spread), fellHeavy.Likely, fellLight.Likely, 0)}
	for _, warmer := range []float64{heavy.warmer.low, heavy.warmer.high} {
		r.Low = min(r.Low, where(heavy.at(lowest, lowest, warmer), light.at(highest, lowest, warmer), fellHeavy.High, fellLight.Low, 1))
		r.High = max(r.High, where(heavy.at(highest, highest, warmer), light.at(lowest, highest, warmer), fellHeavy.Low, fellLight.High, -1))
	}
	if r.High > mostIdle*r.Low {
		return nil, TooVague
	}
	return &r, ""
}

// watts is what the loads of the bench draw.
func (b bench) watts() (w float64) {
	for i, l := range b.plan.Loads {
		w += float64(l.Draw()) * b.draw[i].likely
	}
	return w
}
