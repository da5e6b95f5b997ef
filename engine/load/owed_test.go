package load

import (
	"math"
	"math/rand/v2"
	"testing"

	"candleclock/engine/units"
)

func hours(from, to float64) Window { // of the clock
	return Window{From: Minute(from * 60), To: Minute(math.Mod(to*60, 1440))}
}

// byLedger is for how long a load ran in each of its windows in a day, and what it
// owes at that day's end, when it owes nothing at the midnight before the first.
func byLedger(g Ledger, windows [][2]float64, day int) (ran []units.Hours, owed units.Hours) {
	for range day {
		ran = nil
		at := 0.0
		for _, w := range windows {
			g.Rest(units.Hours(w[0] - at))
			ran = append(ran, g.Run(units.Hours(w[1]-w[0])))
			at = w[1]
		}
		g.Rest(units.Hours(24 - at))
	}
	return ran, g.Owed
}

// Days worked out by hand, and with a cap on what may be owed.
func TestLedger(t *testing.T) {
	for _, c := range []struct {
		windows [][2]float64
		duty    float64
		owed    units.Hours // at first
		most    units.Hours
		day     int
		ran     []units.Hours
		after   units.Hours
	}{
		{[][2]float64{{7, 9}, {19, 21}}, 0.33, 0, 99, 1, []units.Hours{2, 2}, 3.92},
		{[][2]float64{{7, 9}, {19, 21}}, 0.33, 0, 99, 3, []units.Hours{2, 2}, 11.76},
		{[][2]float64{{0, 2}, {6, 8}, {12, 14}, {18, 20}}, 0.25, 0, 99, 2, []units.Hours{1.5, 1.5, 1.5, 1.5}, 1},
		{[][2]float64{{9, 17}}, 0.33, 0, 99, 2, []units.Hours{7.92}, 2.31},
		{[][2]float64{{9, 21}}, 0.33, 0, 99, 2, []units.Hours{7.92}, 0.99},
		{[][2]float64{{6, 7}, {7.5, 12}, {20, 23}}, 0.4 * 27 / 22, 0, 99, 3, []units.Hours{1, 4.5, 3}, 9.8455},
		{[][2]float64{{10, 15}}, 0.25 * 38 / 43, 0, 99, 4, []units.Hours{5}, 2.8953},
		{[][2]float64{{0, 24}}, 0.33, 0, 99, 1, []units.Hours{7.92}, 0},
		{[][2]float64{{0, 24}}, 0.2, 100, 12, 1, []units.Hours{16.8}, 0},
	} {
		ran, owed := byLedger(Ledger{c.duty, c.most, c.owed}, c.windows, c.day)
		for i, h := range ran {
			if math.Abs(float64(h-c.ran[i])) > 1e-4 {
				t.Errorf("%v, duty %v, day %d: ran %v h, want %v", c.windows, c.duty, c.day, ran, c.ran)
				break
			}
		}
		if math.Abs(float64(owed-c.after)) > 1e-4 {
			t.Errorf("%v, duty %v, day %d: owes %v h after it, want %v", c.windows, c.duty, c.day, owed, c.after)
		}
	}
}

// A store of one warmth with a thermostat, second by second, has at no moment run
// for longer than the ledger says, however quickly it warms: 60 random days of
// windows, each with its own duty and time constant, over five days.
func TestLedgerIsNeverLess(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 4))
	most := 0.0
	for range 60 {
		duty, tau := 0.1+0.7*random.Float64(), 8+60*random.Float64() // hours
		room, set := 18+14*random.Float64(), 3.0
		pull := (room - set) / duty // K that it cools to below the room in the end, running for good
		var on [1440]bool
		for range 1 + random.IntN(4) {
			for m, left := random.IntN(1440), 10+random.IntN(300); left > 0; left-- {
				on[m%1440] = true
				m++
			}
		}
		g := Ledger{Duty: duty, Most: OwedMost * units.Hours(duty)}
		warm, ran, booked := set, 0.0, units.Hours(0)
		for s := range 5 * 24 * 3600 {
			const step = 1.0 / 3600
			down := 0.0
			if on[s/60%1440] {
				// What share of the second keeps it at what is set.
				down = min(1, max(0, ((warm-set)+step/tau*(room-set))/(step/tau*pull)))
			}
			warm += step / tau * (room - warm - down*pull)
			ran += down * step
			if on[s/60%1440] {
				booked += g.Run(step)
			} else {
				g.Rest(step)
			}
			if over := ran - float64(booked); over > 1e-3 { // a second's rounding, summed
				t.Fatalf("duty %v, τ %v h: after %v h it ran %v h, by the ledger %v", duty, tau, float64(s)*step, ran, booked)
			}
		}
		most = max(most, float64(booked)/ran)
	}
	if most > 2 {
		t.Errorf("the ledger books up to %v times what runs: it says too little", most)
	}
}

// What may run only some hours takes its whole day's share in them, or all of them.
func TestDrawInWindows(t *testing.T) {
	fridge := Load{Name: "Fridge", Count: 2, Running: 140, Duty: 0.33, CyclesItself: true, Basis: Typical}
	for _, c := range []struct {
		use   []Window
		daily float64 // of one, Wh
	}{
		{nil, 24 * 0.33 * 140},
		{[]Window{hours(7, 9), hours(19, 21)}, 4 * 140},
		{[]Window{hours(0, 2), hours(6, 8), hours(12, 14), hours(18, 20)}, 24 * 0.33 * 140},
		{[]Window{hours(21, 9)}, 24 * 0.33 * 140},
		{[]Window{hours(9, 9)}, 24 * 0.33 * 140},
	} {
		l := fridge
		l.Use = c.use
		if got := float64(l.DailyEnergy()); math.Abs(got-2*c.daily) > 1e-9 {
			t.Errorf("%v: %v Wh a day, want %v", c.use, got, 2*c.daily)
		}
		if l.Peak() != 280 || math.Abs(float64(l.Steady())-280*0.33) > 1e-9 {
			t.Errorf("%v: peak %v, steady %v W", c.use, l.Peak(), l.Steady())
		}
		// A lamp that is on for part of its hours makes up for nothing.
		l.CyclesItself = false
		if got := float64(l.Draw()); math.Abs(got-280*0.33) > 1e-9 {
			t.Errorf("%v, not by itself: %v W", c.use, got)
		}
	}
}

// Where it runs in all its hours whatever its duty, only the watts are uncertain.
func TestSpreadInWindows(t *testing.T) {
	l := Load{Running: 100, Duty: 0.33, CyclesItself: true, Basis: Typical}
	for _, c := range []struct {
		use       []Window
		low, high float64
	}{
		{nil, 0.7 * 0.75, 1.4 * 1.5},
		{[]Window{hours(7, 9), hours(19, 21)}, 0.7, 1.4}, // 7.92 h wanted in 4
		{[]Window{hours(0, 7)}, 0.7 * 0.75 * 7.92 / 7, 1.4},
		{[]Window{hours(0, 12)}, 0.7 * 0.75, 1.4 * 1.5},
		{[]Window{hours(0, 8)}, 0.7 * 0.75, 1.4 * 8 / 7.92},
	} {
		l.Use = c.use
		if low, mode, high := l.Spread(); math.Abs(low-c.low) > 1e-9 || mode != 1 || math.Abs(high-c.high) > 1e-9 {
			t.Errorf("%v: %v, %v, %v, want %v, 1, %v", c.use, low, mode, high, c.low, c.high)
		}
	}
}
