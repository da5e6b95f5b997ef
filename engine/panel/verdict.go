package panel

import (
	"candleclock/engine/units"
)

// Input is the panel input of a supply, as its manual tells it.
type Input struct {
	MinV, MaxV units.Volts // between which it works; it withstands no more than MaxV
	MaxA       units.Amps  // the most it takes; 0 when the manual does not say
	MaxW       units.Watts // the most it takes; 0 when the manual does not say

	// Unlimited says that the input does not hold its own current down: too
	// much current then damages it. Nearly all inputs do hold it down, and take
	// no more than they can (common practice). No input withstands too much
	// voltage. MaxA must then be known.
	Unlimited bool
}

// takes is what of a power, offered at a voltage and current, the input takes.
func (in Input) takes(v units.Volts, i units.Amps) units.Watts {
	if in.MaxA > 0 {
		i = min(i, in.MaxA)
	}
	w := power(v, i)
	if in.MaxW > 0 {
		w = min(w, in.MaxW)
	}
	return w
}

// Verdict is what comes of wiring panels to an input in one way. A greater
// verdict is a better one.
type Verdict int

// The four verdicts.
const (
	Damages   Verdict = iota // too much voltage on the coldest morning, or current that the input does not limit
	WontStart                // too little voltage on the hottest noon
	Clipped                  // works, and gives less than the panels could
	Fits                     // works, and takes all
)

// String is the word for a verdict in files: damages, wont_start, clipped, fits.
func (v Verdict) String() string {
	switch v {
	case WontStart:
		return "wont_start"
	case Clipped:
		return "clipped"
	case Fits:
		return "fits"
	}
	return "damages"
}

// nearMax is how close below the input's limit a cold Voc must be to say so: a
// panel may be a few percent above its label, and a record may be broken.
const nearMax = 0.02

// judge gives a layout its verdict from its numbers.
func (l *Layout) judge(in Input) {
	over := in.Unlimited && l.Isc > in.MaxA
	switch {
	case l.VocCold > in.MaxV || over:
		l.Verdict = Damages
	case l.VmpHot < in.MinV:
		l.Verdict = WontStart
	case l.usable < l.offered*(1-1e-9): // a hair of rounding is no loss
		l.Verdict, l.Watts = Clipped, l.usable
	default:
		l.Verdict, l.Watts = Fits, l.usable
	}
	l.NearMax = l.VocCold <= in.MaxV && float64(l.VocCold) > (1-nearMax)*float64(in.MaxV)
	l.Why = l.why(in)
}
