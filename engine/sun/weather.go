package sun

import (
	"math"
	"math/rand/v2"
	"sync"
)

// states is the number of states a day's clearness can be in.
const states = 10

// matrix is one of the library of aguiar, ready to draw from.
type matrix struct {
	low, step  float64
	cumulative [states][states]float64 // each row ends in 1
	stationary [states]float64         // how often each state comes up in the long run
}

var matrices = sync.OnceValue(func() *[len(aguiar)]matrix {
	var all [len(aguiar)]matrix
	for i, a := range aguiar {
		m := &all[i]
		m.low, m.step = a.low, (a.high-a.low)/states
		var p [states][states]float64
		for r, row := range a.perMille {
			sum := 0
			for _, v := range row {
				sum += int(v)
			}
			// Counted whole: a row then ends in 1 at its last state of any chance.
			total := 0
			for c, v := range row {
				total += int(v)
				p[r][c] = float64(v) / float64(sum)
				m.cumulative[r][c] = float64(total) / float64(sum)
			}
		}
		// Power iteration: the chains forget their start within weeks.
		for s := range m.stationary {
			m.stationary[s] = 1.0 / states
		}
		for range 200 {
			var next [states]float64
			for r, weight := range m.stationary {
				for c := range next {
					next[c] += weight * p[r][c]
				}
			}
			m.stationary = next
		}
	}
	return &all
})

// state is the one that holds an unscaled clearness index; values beyond the
// matrix's limits, carried over from another month's, count as in the last.
func (m *matrix) state(k float64) int {
	return int(clamp(math.Floor((k-m.low)/m.step), 0, states-1))
}

// next draws tomorrow's unscaled clearness index from today's: Aguiar,
// Collares-Pereira & Conde (1988), even within a state.
func (m *matrix) next(k float64, draw *rand.PCG) float64 {
	return m.pick(&m.cumulative[m.state(k)], uniform(draw), uniform(draw))
}

// first draws a day that nothing is known of.
func (m *matrix) first(draw *rand.PCG) float64 {
	return m.quantile(uniform(draw))
}

// pick takes u and within from 0 up to 1: the state by its share, and the place
// in it.
func (m *matrix) pick(cumulative *[states]float64, u, within float64) float64 {
	s := 0
	for u >= cumulative[s] {
		s++
	}
	return m.low + m.step*(float64(s)+within)
}

// quantile is the unscaled clearness index that a share p of days stay below.
func (m *matrix) quantile(p float64) float64 {
	for s, weight := range m.stationary {
		if p < weight {
			return m.low + m.step*(float64(s)+p/weight)
		}
		p -= weight
	}
	return m.low + m.step*states
}

// rank is the share of days that stay below an unscaled clearness index: quantile
// turned round.
func (m *matrix) rank(k float64) float64 {
	s := m.state(k)
	share := m.stationary[s] * clamp((k-m.low)/m.step-float64(s), 0, 1)
	for _, weight := range m.stationary[:s] {
		share += weight
	}
	return share
}

// uniform is an even draw from 0 up to 1, of the generator's 53 highest bits.
func uniform(draw *rand.PCG) float64 { return float64(draw.Uint64()>>11) / (1 << 53) }

// monthWeather is how the days of one month are, at one place.
type monthWeather struct {
	*matrix
	scale  float64 // of the matrix's clearness to the place's
	utmost float64 // clearness of the clearest day
	holds  float64 // chance that tomorrow is as today, whatever the matrix says
}

// newMonthWeather takes the matrix that serves a monthly mean clearness index,
// 0 to 1, and scales its days so that their long-run mean is that index, no day
// passing the utmost.
func newMonthWeather(mean, utmost float64) monthWeather {
	i := 0
	for mean > aguiar[i].upTo {
		i++
	}
	w := monthWeather{matrix: &matrices()[i], utmost: utmost, holds: holding(mean)}
	low, high := 0.0, 4.0
	for range 40 {
		w.scale = (low + high) / 2
		if w.mean(func(k float64) float64 { return k }) < mean {
			low = w.scale
		} else {
			high = w.scale
		}
	}
	return w
}

// holding is the chance that weather holds for a day more, by a month's mean
// clearness: the chain knows today only, and its grey weeks come too seldom in grey
// months. How often each state comes up stays as it is. Fitted to the worst weeks of
// 350 typical years (NREL TMY3, SWERA).
func holding(mean float64) float64 {
	const grey, clear = 0.20, 0.05
	return clear + (grey-clear)*clamp((0.50-mean)/(0.50-0.40), 0, 1)
}

// tomorrow draws the unscaled clearness index of the day after one in this month.
func (w *monthWeather) tomorrow(k float64, draw *rand.PCG) float64 {
	if uniform(draw) < w.holds {
		return k
	}
	return w.next(k, draw)
}

// clearness is a day's, from the matrix's own.
func (w *monthWeather) clearness(k float64) float64 { return math.Min(w.scale*k, w.utmost) }

// quantile is the clearness that a share p of the month's days stay below.
func (w *monthWeather) quantile(p float64) float64 { return w.clearness(w.matrix.quantile(p)) }

// mean is the long-run mean of a quantity that follows from a day's clearness.
func (w *monthWeather) mean(of func(clearness float64) float64) float64 {
	const parts = 4
	sum := 0.0
	for s, weight := range w.stationary {
		for i := range parts {
			k := w.low + w.step*(float64(s)+(float64(i)+0.5)/parts)
			sum += weight / parts * of(w.clearness(k))
		}
	}
	return sum
}
