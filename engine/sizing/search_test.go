package sizing

import (
	"math/rand/v2"
	"slices"
	"testing"
)

// The least step at which all but the spared hold is told by the draws' own in
// order. What is known of a draw is not asked again: to find the step each is
// asked a little less than twice.
func TestSearchAsksLittle(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	asked, draws := 0, 0
	for range 300 {
		n := 1 + r.IntN(600)
		spared := r.IntN(1+n/2) / (1 + 4*r.IntN(2))
		low, high := r.IntN(20), len(steps)-r.IntN(20)
		middle, width := r.IntN(len(steps)+40)-20, 1+r.IntN(100)
		own := make([]int, n) // the least step at which each holds
		for i := range own {
			own[i] = middle + r.IntN(width) - width/2
		}
		questions := 0
		fails, held := slices.Repeat([]int{low - 1}, n), slices.Repeat([]int{high}, n)
		s := newSearch(n, spared, func(draw, step int) bool {
			if step <= fails[draw] || step >= held[draw] {
				t.Fatalf("asked at %d, which failed at %d and held at %d", step, fails[draw], held[draw])
			}
			questions++
			if step >= own[draw] {
				held[draw] = step
			} else {
				fails[draw] = step
			}
			return step >= own[draw]
		})
		got := s.least(low, high)
		inOrder := slices.Sorted(slices.Values(own))
		if want := min(max(inOrder[n-1-spared], low), high); got != want {
			t.Fatalf("got %d, want %d of %d to %d", got, want, low, high)
		}
		if spared <= n/10 && n > many {
			asked += questions
			draws += n
		}
	}
	if each := float64(asked) / float64(draws); each > 1.95 {
		t.Errorf("%v questions of each draw", each)
	}
}

// Where a draw may fail at a greater step than one at which it holds, the first step
// at which enough hold is found all the same.
func TestFirstOfAny(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 8))
	for range 200 {
		n := 1 + r.IntN(40)
		spared, low, high := r.IntN(n), r.IntN(20), len(steps)-r.IntN(20)
		holds := make([][]bool, n)
		for i := range holds {
			holds[i] = make([]bool, len(steps))
			for step := range steps {
				holds[i][step] = r.IntN(4) == 0
			}
		}
		want := low
		for ; want < high; want++ {
			failed := 0
			for i := range holds {
				if !holds[i][want] {
					failed++
				}
			}
			if failed <= spared {
				break
			}
		}
		s := newSearch(n, spared, func(draw, step int) bool { return holds[draw][step] })
		if got := s.first(low, high); got != want {
			t.Fatalf("got %d, want %d of %d to %d", got, want, low, high)
		}
	}
}
