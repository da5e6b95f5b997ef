package ui

import (
	"slices"
	"strings"
	"unicode"

	"candleclock/engine/plan"
)

// nameList lists loads as people do within a sentence: "a, b and c".
func nameList(p plan.Plan, loads []int) string {
	var s string
	for n, i := range loads {
		switch {
		case n == 0:
		case n == len(loads)-1:
			s += wAnd
		default:
			s += ", "
		}
		s += lowerFirst(p.Loads[i].Name)
	}
	return s
}

// lowerFirst makes a name fit for the middle of a sentence; one like "TV" stays.
func lowerFirst(s string) string {
	r := []rune(s)
	if len(r) < 2 || !unicode.IsUpper(r[0]) || !unicode.IsLower(r[1]) && r[1] != ' ' {
		return named(s)
	}
	r[0] = unicode.ToLower(r[0])
	return named(string(r))
}

// named makes what people typed fit to stand beside other words. What holds
// letters that run from right to left is isolated, so that it does not turn the
// figures beside it around (Unicode Standard Annex #9, 2.4); its own marks for
// direction, which might reach beyond it, are left out. All else stays as it is.
func named(s string) string {
	if !strings.ContainsFunc(s, func(r rune) bool { return unicode.Is(rightToLeft, r) || directs(r) }) {
		return s
	}
	const isolate, pop = "\u2068", "\u2069"
	return isolate + strings.Map(func(r rune) rune {
		if directs(r) {
			return -1
		}
		return r
	}, s) + pop
}

// withNamesFit is p with its names as named has them.
func withNamesFit(p plan.Plan) plan.Plan {
	p.Name, p.Supply.Name = named(p.Name), named(p.Supply.Name)
	p.Loads = slices.Clone(p.Loads)
	for i := range p.Loads {
		p.Loads[i].Name = named(p.Loads[i].Name)
	}
	return p
}

// directs reports whether r opens or closes a run of a direction.
func directs(r rune) bool { return r >= 0x202A && r <= 0x202E || r >= 0x2066 && r <= 0x2069 }

// rightToLeft are the blocks for what is written from right to left, and the mark
// that counts as such a letter (DerivedBidiClass.txt of the Unicode Character
// Database: what is R or AL where nothing else is said).
var rightToLeft = &unicode.RangeTable{
	R16: []unicode.Range16{{0x0590, 0x08FF, 1}, {0x200F, 0x200F, 1}, {0xFB1D, 0xFDFF, 1}, {0xFE70, 0xFEFE, 1}},
	R32: []unicode.Range32{{0x10800, 0x10FFF, 1}, {0x1E800, 0x1EFFF, 1}},
}
