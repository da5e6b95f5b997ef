package sizing

import "slices"

// steps are the sizes that batteries, Wh, and panels, W, are told in: of two
// digits, none more than a tenth above the one before.
var steps = func() (all [5*35 + 1]float64) {
	i := 0
	add := func(from, to, by float64) {
		for v := from; v < to; v += by {
			all[i] = v
			i++
		}
	}
	for ten := 1.0; ten < 1e5; ten *= 10 {
		add(10*ten, 20*ten, ten)
		add(20*ten, 50*ten, 2*ten)
		add(50*ten, 100*ten, 5*ten)
	}
	all[i] = 1e6 // battery.CapacityRange.High
	return all
}()

// stepUp is the first step that is a size or above it, and the last where none
// is.
func stepUp(size float64) int {
	i, _ := slices.BinarySearch(steps[:], size)
	return min(i, len(steps)-1)
}
