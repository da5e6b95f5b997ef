// Package say turns figures into the words that stand on the screen and on the
// card, and reads what people type. What is said of a time that matters is
// rounded to the safe side: down.
package say

import (
	"math"
	"strconv"
	"strings"
	"unicode"

	"candleclock/engine/doc"
)

// Number writes v rounded to the nearest with at most the given decimals, 0 to
// 6, in the marks in use: no trailing zeros, no minus before a zero.
func Number(v float64, decimals int) string {
	p := math.Pow(10, float64(decimals))
	if math.Abs(v) < 1e15 { // beyond, there are no decimals, and v*p might overflow
		v = math.Round(v*p) / p
	}
	return Local(doc.Number(v + 0)) // -0 + 0 is 0
}

// Amount writes v as Number does and its unit behind a space that does not
// break: "1,024 Wh".
func Amount(v float64, decimals int, unit string) string {
	return Number(v, decimals) + nbsp + unit
}

const nbsp = "\u00a0"

// Watts says a power: whole watts from 10 on, one decimal below.
func Watts(w float64) string { return scaled(w, "W") }

// WattHours says an energy.
func WattHours(wh float64) string { return scaled(wh, "Wh") }

func scaled(v float64, unit string) string {
	if math.Abs(v) < 9.95 {
		return Amount(v, 1, unit)
	}
	return Amount(v, 0, unit)
}

// Percent says a share of 1, at least 0, as whole percent, rounded down: "99%"
// is not yet full. A billionth of a percent is taken for noise of reckoning.
func Percent(share float64) string { return Number(math.Floor(share*100+1e-9), 0) + "%" }

// InTen says a chance, 0 to 1, as people count: "8 times in 10", above 9 in
// 10 as "95 times in 100". It is never more than the chance.
func InTen(p float64) string {
	switch {
	case p > 0.99:
		return "more than 99 times in 100"
	case p >= 0.91:
		return strconv.Itoa(parts(p, 100)) + " times in 100"
	case p >= 0.2:
		return strconv.Itoa(parts(p, 10)) + " times in 10"
	case p >= 0.1:
		return "1 time in 10"
	}
	return "fewer than 1 time in 10"
}

// parts is how many whole nths of 1 there are in p, a double that is the
// nearest to k/n counting as k.
func parts(p float64, n int) int {
	k := int(p * float64(n))
	switch {
	case float64(k)/float64(n) > p:
		k--
	case float64(k+1)/float64(n) <= p:
		k++
	}
	return k
}

// Typed is a number as somebody typed it.
type Typed struct {
	Value float64 // never NaN; ±Inf when it is too great for a float64
	Unit  string  // as typed, lower case, "" when none was
}

// ParseNumber reads a number as Readings does, where it can be either as the
// language in use has it.
func ParseNumber(s string) (Typed, bool) {
	all := Readings(s)
	if len(all) == 0 {
		return Typed{}, false
	}
	return all[0], true
}

// Readings are the numbers that somebody may have meant: none, one, or two, the
// one that is meant in the marks in use first.
//
// A number may have a comma or a point as its decimal mark, spaces, apostrophes,
// commas or points between thousands, the digits of any script, an exponent, and
// a unit behind it. A unit has no digits: what follows a number in any other way
// ("1/2", "6 to 8", "5½") makes it no number.
//
// When comma and point both occur, the later one is the decimal mark; so is a
// comma or a point after thousands set apart by spaces or apostrophes. A lone
// comma or point before exactly three digits, as in "1,500" or "1.024", may be
// either: by itself it is a thousands mark in one language and a decimal mark in
// the next.
func Readings(s string) []Typed {
	mark, twoWays := loneMark(s)
	if !twoWays {
		if t, ok := parse(s, 0); ok {
			return []Typed{t}
		}
		return nil
	}
	whole, ok1 := parse(s, mark)
	part, ok2 := parse(s, 0)
	switch {
	case !ok1 || !ok2:
		return nil
	case string(mark) != marks.Decimal:
		return []Typed{whole, part}
	}
	return []Typed{part, whole}
}

// loneMark finds the one comma or point of a number that stands after one to
// three digits, the first not 0, and before three: between thousands, or before
// decimals.
func loneMark(s string) (mark byte, twoWays bool) {
	s = strings.TrimLeft(latin(s), "-+− ")
	num := s[:len(s)-len(strings.TrimLeft(s, "0123456789.,' "))]
	num = strings.TrimRight(num, " ")
	at := strings.IndexAny(num, ".,")
	if at < 1 || at > 3 || num[0] == '0' || len(num) != at+4 || !digits(num[:at]) || !digits(num[at+1:]) {
		return 0, false
	}
	return num[at], true
}

// parse reads a number; a lone mark that is given stands between its thousands.
func parse(s string, thousands byte) (Typed, bool) {
	s = strings.TrimSpace(latin(s))
	sign := ""
	for _, mark := range []string{"-", "+", "−"} {
		if rest, ok := strings.CutPrefix(s, mark); ok {
			s = strings.TrimSpace(rest)
			if mark != "+" {
				sign = "-"
			}
			break
		}
	}
	end := 0
	for end < len(s) && strings.IndexByte("0123456789.,' ", s[end]) >= 0 {
		end++
	}
	num, ok := plain(strings.TrimRight(s[:end], " "), thousands)
	if !ok {
		return Typed{}, false
	}
	exp := exponent(s[end:])
	unit := strings.TrimSpace(s[end+len(exp):])
	if !isUnit(unit) {
		return Typed{}, false
	}
	v, err := strconv.ParseFloat(sign+num+exp, 64)
	if err != nil && !math.IsInf(v, 0) {
		return Typed{}, false
	}
	return Typed{Value: v + 0, Unit: strings.ToLower(unit)}, true
}

// gaps turns the marks in use in numbers into one of each kind.
var gaps = strings.NewReplacer(nbsp, " ", thin, " ", "\u2009", " ", "’", "'", "٫", ".", "٬", "'", "،", ",")

// latin is s with one kind of each mark and with the digits 0 to 9, whatever
// script they were typed in: those of each script follow one another from 0 on
// (Unicode, general category Nd).
func latin(s string) string {
	s = gaps.Replace(s)
	return strings.Map(func(r rune) rune {
		if r < 0x80 || !unicode.IsDigit(r) {
			return r
		}
		for _, block := range unicode.Nd.R16 {
			if lo, hi := rune(block.Lo), rune(block.Hi); lo <= r && r <= hi {
				return '0' + (r-lo)%10
			}
		}
		return r
	}, s)
}

// plain turns a number without sign and exponent into digits with at most one
// point.
func plain(s string, thousands byte) (string, bool) {
	decimal := -1 // where the decimal mark is
	point, comma := strings.LastIndexByte(s, '.'), strings.LastIndexByte(s, ',')
	points, commas := strings.Count(s, "."), strings.Count(s, ",")
	switch {
	case points > 0 && commas > 0:
		decimal = max(point, comma)
	case points == 1 && thousands != '.':
		decimal = point
	case commas == 1 && thousands != ',':
		decimal = comma
	}
	whole, part := s, ""
	if decimal >= 0 {
		whole, part = s[:decimal], s[decimal+1:]
	}
	for _, mark := range []string{",", ".", "'", " "} {
		if strings.Contains(whole, mark) {
			if !grouped(whole, mark) {
				return "", false
			}
			whole = strings.ReplaceAll(whole, mark, "")
			break
		}
	}
	if !digits(whole) || !digits(part) || whole+part == "" {
		return "", false
	}
	return whole + "." + part, true
}

// grouped reports whether mark stands between thousands in s, or, a comma,
// between hundreds above the thousands as in "1,50,000".
func grouped(s, mark string) bool {
	groups := strings.Split(s, mark)
	for i, g := range groups {
		switch {
		case !digits(g):
			return false
		case i == 0 && (len(g) < 1 || len(g) > 3),
			i > 0 && len(g) != 3 && !(len(g) == 2 && mark == "," && i < len(groups)-1):
			return false
		}
	}
	return true
}

func digits(s string) bool { return strings.Trim(s, "0123456789") == "" }

// exponent is the exponent that s begins with, "" when it begins otherwise.
func exponent(s string) string {
	if s == "" || s[0] != 'e' && s[0] != 'E' {
		return ""
	}
	i := 1
	if i < len(s) && (s[i] == '+' || s[i] == '-') {
		i++
	}
	n := len(s[i:]) - len(strings.TrimLeft(s[i:], "0123456789"))
	if n == 0 {
		return ""
	}
	return s[:i+n]
}

// isUnit reports whether s may be a unit: letters, currency signs and the marks
// of units, or nothing.
func isUnit(s string) bool {
	for _, c := range s {
		if !unicode.IsLetter(c) && !unicode.Is(unicode.Sc, c) && !strings.ContainsRune("%°²³/·. ", c) {
			return false
		}
	}
	return s == "" || s[0] != '/' && s[0] != '.'
}
