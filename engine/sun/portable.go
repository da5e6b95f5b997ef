package sun

import "math"

// math.Exp, Log and Pow are assembly on amd64 and plain Go under wasm, and may
// differ in the last bit. Exp2 and Log1p are plain Go on both, so that the same
// seed gives the same watts; what they lose, some 1e-15, is nothing here.

func exp(x float64) float64 { return math.Exp2(x * math.Log2E) }

// log is for x > 0.
func log(x float64) float64 { return math.Log1p(x - 1) }

// pow is x to the n for x > 0.
func pow(x, n float64) float64 { return exp(n * log(x)) }
