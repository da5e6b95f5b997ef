package outage

// lesser is the smaller of two numbers. The builtin takes care of NaN and of the
// sign of nothing, for which it needs a call under wasm: a fifth of a course.
func lesser(a, b float64) float64 {
	if b < a {
		return b
	}
	return a
}

// greater is the larger of two numbers.
func greater(a, b float64) float64 {
	if b > a {
		return b
	}
	return a
}
