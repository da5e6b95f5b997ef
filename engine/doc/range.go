package doc

import (
	"fmt"
	"math"
	"strconv"
)

// Range is the closed interval of values a number may take, and its unit in
// the words of an error message ("W", "hours", or "" for a plain number).
type Range struct {
	Low, High float64
	Unit      string
}

// Check returns nil when Low <= v <= High, else an *Error that names field,
// value and range. NaN is never in range.
func (r Range) Check(field string, v float64) error {
	if v >= r.Low && v <= r.High {
		return nil
	}
	return &Error{Field: field, Value: Number(v), Want: r.String()}
}

// String says the range in words: "between 0 and 20,000 W".
func (r Range) String() string {
	s := fmt.Sprintf("between %s and %s", Number(r.Low), Number(r.High))
	if r.Unit != "" {
		s += " " + r.Unit
	}
	return s
}

// Number writes v as people do: no exponent below 1e15, no needless digits,
// commas between thousands.
func Number(v float64) string {
	if math.IsNaN(v) {
		return "not a number"
	}
	if math.Abs(v) >= 1e15 {
		return strconv.FormatFloat(v, 'g', -1, 64)
	}
	s := strconv.FormatFloat(v, 'f', -1, 64)
	sign, whole, frac := "", s, ""
	if whole[0] == '-' {
		sign, whole = "-", whole[1:]
	}
	for i := 0; i < len(whole); i++ {
		if whole[i] == '.' {
			whole, frac = whole[:i], whole[i:]
			break
		}
	}
	for i := len(whole) - 3; i > 0; i -= 3 {
		whole = whole[:i] + "," + whole[i:]
	}
	return sign + whole + frac
}

// Error says which field of a document cannot stand, and why.
type Error struct {
	Field string // path inside the document: "loads[2].running_w"
	Value string // what stood there, shortened; empty when nothing did
	Want  string // what may stand there: "between 0 and 20,000 W"
}

func (e *Error) Error() string {
	if e.Value == "" {
		return e.Field + ": must be " + e.Want
	}
	return e.Field + ": " + e.Value + " must be " + e.Want
}
