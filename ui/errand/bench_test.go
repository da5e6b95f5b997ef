package errand

import (
	"fmt"
	"testing"

	"candleclock/engine/odds"
	"candleclock/engine/plan/plantest"
	"candleclock/engine/units"
)

// BenchmarkFollow is what the page does by itself when it looks ahead (the first
// three), and what its worker does.
func BenchmarkFollow(b *testing.B) {
	p := plantest.Cottage(b)
	for _, c := range []struct {
		days  units.Hours
		draws int
	}{{3, 100}, {14, 21}, {90, 20}, {14, odds.Draws}} {
		b.Run(fmt.Sprintf("%vdays%ddraws", c.days, c.draws), func(b *testing.B) {
			p.Outage.Hours = c.days * 24
			for b.Loop() {
				Follow(p, odds.NewSampler(c.draws, odds.Seed), nil)
			}
		})
	}
}
