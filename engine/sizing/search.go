package sizing

// search finds the least step at which enough draws hold. A draw that holds at
// a step is taken to hold at every greater one, so what is once known of a draw
// is not asked again: a search asks two or three questions of each.
type search struct {
	holds  func(draw, step int) bool
	spared int // how many draws may fail

	fails []int // by draw: the greatest step known to fail; -1: none
	held  []int // by draw: the least step known to hold
	order []int // draws, those that failed last first: they settle a step soonest
}

func newSearch(draws, spared int, holds func(draw, step int) bool) *search {
	s := &search{holds: holds, spared: spared}
	for i := range draws {
		s.fails, s.held, s.order = append(s.fails, -1), append(s.held, len(steps)), append(s.order, i)
	}
	return s
}

// forgetFails is called when more may hold than before, and no less.
func (s *search) forgetFails() {
	for i := range s.fails {
		s.fails[i] = -1
	}
}

// first is the least step, from low on and below high, at which enough draws hold
// that may fail at greater ones; high where none is. It asks anew at each step,
// mostly no more than it takes to fail.
func (s *search) first(low, high int) int {
	q := newSearch(len(s.order), s.spared, s.holds)
	copy(q.order, s.order)
	for ; low < high; low++ {
		for i := range q.held {
			q.held[i] = len(steps)
		}
		if q.enough(q.order, q.spared, low) {
			return low
		}
	}
	return high
}

// enough reports whether no more than the spared of the draws given fail at a
// step.
func (s *search) enough(draws []int, spared, step int) bool {
	failed := 0
	for at, i := range draws {
		switch {
		case s.fails[i] >= step:
		case s.held[i] <= step:
			continue
		case s.holds(i, step):
			s.held[i] = step
			continue
		default:
			s.fails[i] = step
		}
		draws[at], draws[failed] = draws[failed], draws[at]
		if failed++; failed > spared {
			return false
		}
	}
	return true
}

// Of many draws a sample is asked first.
const many, sample = 128, 64

// least is the least step, from low on and below high, at which enough draws
// hold; high where none is.
func (s *search) least(low, high int) int {
	n, guess := len(s.order), high // none: the middle
	if n > many {
		few := make([]int, sample) // tell about where it is
		for i := range few {
			few[i] = i * n / sample
		}
		guess = s.among(few, s.spared*sample/n, low, high, high)
	}
	return s.among(s.order, s.spared, low, high, guess)
}

// among is least for the draws given: outward from a guess, or the middle where
// that is out of range, in strides that double, then by halving.
func (s *search) among(draws []int, spared, low, high, guess int) int {
	for stride := 1; low < high; stride *= 2 {
		if guess < low || guess >= high {
			guess = (low + high) / 2
		}
		if s.enough(draws, spared, guess) {
			high, guess = guess, guess-stride
		} else {
			low, guess = guess+1, guess+stride
		}
	}
	return high
}
