package sun

import "testing"

func BenchmarkNewYard(b *testing.B) {
	site := Site{40, -90, -6, climateOf(b, 40, -90)}
	array := Array{Pmax: 180, Gamma: -0.004, NOCT: 45, Mounting: Leaned(35, 180), Losses: UsualLosses()}
	for b.Loop() {
		if _, err := NewYard(site, array); err != nil {
			b.Fatal(err)
		}
	}
}

// A year of hourly output, the yard and its geometry included.
func BenchmarkYear(b *testing.B) {
	site := Site{40, -90, -6, climateOf(b, 40, -90)}
	array := Array{Pmax: 180, Gamma: -0.004, NOCT: 45, Mounting: Leaned(35, 180), Losses: UsualLosses()}
	for b.Loop() {
		y, err := NewYard(site, array)
		if err != nil {
			b.Fatal(err)
		}
		y.Run(1, Date{2026, 1, 1}, 365)
	}
}

func BenchmarkFiveHundredFortnights(b *testing.B) {
	y, err := NewYard(Site{40, -90, -6, climateOf(b, 40, -90)},
		Array{Pmax: 180, Gamma: -0.004, NOCT: 45, Mounting: Leaned(35, 180), Losses: UsualLosses()})
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		for seed := range uint64(500) {
			y.Run(seed, Date{2026, 1, 14}, 14)
		}
	}
}

func BenchmarkClimateAt(b *testing.B) {
	for b.Loop() {
		climateOf(b, 40, -90)
	}
}

func BenchmarkAt(b *testing.B) {
	for b.Loop() {
		At(1.7e9, 40, -90)
	}
}
