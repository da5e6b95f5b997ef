package say

import (
	"strings"

	"candleclock/engine/doc"
)

// Marks are how a language writes numbers.
type Marks struct {
	Decimal string // "." or ","
	Group   string // between thousands: ",", ".", "’", a space of any width
	Told    bool   // by the device's owner: a number that can be either is then no question
}

// English is what is used until the device has told.
var English = Marks{Decimal: ".", Group: ","}

// marks are those in use. Only one thing at a time changes or says anything of
// the page's.
var marks = English

// Use has numbers said, and read, with these marks from now on; marks that no
// number can be read back with count as English ones.
func Use(m Marks) {
	if !m.sound() {
		m = English
	}
	marks = m
}

// InUse are the marks in use.
func InUse() Marks { return marks }

// MarksOf are those of a language that writes 1234567.8 like this, with the
// digits 0 to 9; English ones where that can't be told.
func MarksOf(number string) Marks {
	from, to := strings.IndexByte(number, '1'), strings.IndexByte(number, '2')
	before, after := strings.LastIndexByte(number, '7'), strings.LastIndexByte(number, '8')
	if from < 0 || to < from || before < to || after < before {
		return English
	}
	m := Marks{Decimal: number[before+1 : after], Group: number[from+1 : to]}
	if !m.sound() {
		return English
	}
	return m
}

// sound reports whether numbers with these marks can be read back.
func (m Marks) sound() bool {
	switch latin(m.Group) {
	case ",", ".", " ", "'":
		return (m.Decimal == "." || m.Decimal == ",") && m.Group != m.Decimal
	}
	return false
}

// thin is the narrow space that does not break.
const thin = "\u202f"

// OnPaper says things for a reader whose language is not known: a thin space
// between thousands, which nobody takes for a decimal mark (as the SI brochure,
// 5.4.4, asks).
func OnPaper[T any](say func() T) T {
	was := marks
	marks.Group = thin
	defer func() { marks = was }()
	return say()
}

// Local puts the numbers of a text that has English marks into those in use.
func Local(s string) string {
	if marks.Decimal == English.Decimal && marks.Group == English.Group {
		return s
	}
	var b strings.Builder
	isDigit := func(i int) bool { return i >= 0 && i < len(s) && s[i] >= '0' && s[i] <= '9' }
	for i := range len(s) {
		switch c := s[i]; {
		case c == ',' && isDigit(i-1) && isDigit(i+1) && isDigit(i+2) && isDigit(i+3) && !isDigit(i+4):
			b.WriteString(marks.Group)
		case c == '.' && isDigit(i-1) && isDigit(i+1):
			b.WriteString(marks.Decimal)
		default:
			b.WriteByte(c)
		}
	}
	return b.String()
}

// Spelled says a number so that no mark in it can be taken for another: "1
// thousand 24", "1 point 024".
func Spelled(v float64) string {
	whole, part, _ := strings.Cut(doc.Number(v), ".")
	groups := strings.Split(strings.TrimPrefix(whole, "-"), ",")
	names := []string{"", " thousand", " million", " thousand million", " million million"}
	var out []string
	for i, g := range groups {
		if g = strings.TrimLeft(g, "0"); g != "" && len(groups)-1-i < len(names) {
			out = append(out, g+names[len(groups)-1-i])
		}
	}
	s := strings.Join(out, " ")
	if s == "" {
		s = "0"
	}
	if whole[0] == '-' {
		s = "minus " + s
	}
	if part != "" {
		s += " point " + part
	}
	return s
}
