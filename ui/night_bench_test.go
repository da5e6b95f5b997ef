package ui

import (
	"testing"
	"time"
)

// BenchmarkNight is a tap late in a night with many readings and switches, and
// the question what to turn off.
func BenchmarkNight(b *testing.B) {
	w := steady(b, new(disk))
	for i := range 8 {
		w.pass(20 * time.Minute)
		if i%2 == 0 {
			w.act(func() { w.app.Toggle(1) })
		}
		w.read(plainNumber(float64(96 - 4*i)))
	}
	b.Run("reading", func(b *testing.B) {
		for b.Loop() {
			w.app.think()
		}
	})
	b.Run("switches", func(b *testing.B) {
		for b.Loop() {
			w.app.answer.adds = nil
			w.app.Switches()
		}
	})
	until, _ := w.app.wished("2 days")
	b.Run("hold", func(b *testing.B) {
		for b.Loop() {
			w.app.holdUntil(until)
		}
	})
	b.Run("moments", func(b *testing.B) {
		for b.Loop() {
			w.app.Moments()
		}
	})
}
