package ui

import (
	"math"
	"strings"

	"candleclock/ui/qr"
)

// How large the letters of the card can be so that it stays on one page. The
// page is laid out by public/card.css; the sums here follow it, with letters as
// wide as those of the widest faces in use (DejaVu Sans, Verdana), so that a
// card that fits here fits on every device. All lengths are in em, the size of
// the card's text, unless they say otherwise.

// paper is a sheet: its sides, and the margin kept white, mm.
type sheetSize struct {
	key, label            string
	width, height, margin float64
}

var sheets = []sheetSize{
	{"a4", "A4", 210, 297, 10},
	{"letter", "Letter", 215.9, 279.4, 10},
	{"a5", "A5", 148, 210, 6},
}

func sheetKeys() []string {
	var keys []string
	for _, s := range sheets {
		keys = append(keys, s.key)
	}
	return keys
}

func sheetOf(key string) sheetSize {
	for _, s := range sheets {
		if s.key == key {
			return s
		}
	}
	return sheets[0]
}

// Sizes of the card's text, points, largest first. Nothing on the card is
// smaller than the last.
var (
	cardSizes  = []float64{18, 16, 15, 14, 13, 12, 11.5, 11, 10.5, 10, 9.5, 9}
	usualMost  = 12.0 // without large letters
	largeLeast = 13.0 // what large letters promise
)

// The code: the room it may take, and the smallest module that the cameras of
// phones read with ease (common practice: 0.33 mm; ours are larger).
const codeModule = 0.4 // mm

// codeSides are the sides a code is printed with, mm.
var codeSides = []float64{24, 30, 36, 42, 48}

// codeMost is the most modules of a code on the sheet.
func (s sheetSize) codeMost() int {
	return int(min(s.width/4, codeSides[len(codeSides)-1]) / codeModule)
}

// codeSide is how large a code is printed, mm.
func codeSide(c qr.Code) float64 {
	for _, s := range codeSides {
		if float64(c.Modules)*codeModule <= s {
			return s
		}
	}
	return codeSides[len(codeSides)-1]
}

const (
	mmToPt    = 72 / 25.4
	lineHigh  = 1.2
	boldWider = 1.13
)

// size is the largest size of letters, points, with which the card fits; fits
// is false when even the smallest is too large.
func (v *CardView) size(large bool) (points float64, fits bool) {
	for _, pt := range cardSizes {
		if (large || pt <= usualMost) && v.height(pt) <= (v.sheet.height-2*v.sheet.margin)*0.985 {
			return pt, true
		}
	}
	return cardSizes[len(cardSizes)-1], false
}

// measure is the heights of what stands on the card, in em.
type measure struct {
	title, head, gap, row, cell, write float64
}

var (
	roomy = measure{title: 1.6, head: 1.1*1.2 + 0.26, gap: 0.5, row: 0.4, cell: 1.1, write: 2.4}
	tight = measure{title: 1.3, head: 1.2 + 0.2, gap: 0.35, row: 0.24, cell: 1, write: 2.4}
)

// height is how high the card is with letters of pt points, mm.
func (v *CardView) height(pt float64) float64 {
	m := roomy
	if v.tight {
		m = tight
	}
	em := pt / mmToPt // mm
	full := (v.sheet.width - 2*v.sheet.margin) / em
	half := (full - 1.2) / 2

	sum := rows(v.Title, full/m.title, boldWider)*m.title*1.1 + rows(v.Made, full, 1)*lineHigh + 0.15
	order := m.head
	for _, l := range v.Order {
		order += rows(l.Text, half-1.9, boldWider) * lineHigh
	}
	never := 0.0
	if len(v.Never) > 0 {
		never = v.part(CardPart{wNever, v.Never}, half-1.4, m) + 1
	}
	sum += m.gap + max(order, never)

	// The table: the first column takes 26 %, the others share the rest.
	sum += m.gap + m.head
	first, other := full*0.26-0.9, full*0.74/float64(max(1, len(v.Heads)-1))-0.9
	high := 0.0
	for i, s := range v.Heads {
		wide := other
		if i == 0 {
			wide = first
		}
		high = max(high, rows(s, wide, boldWider))
	}
	sum += high*lineHigh + m.row
	for _, r := range v.Rows {
		high := 0.0
		for _, s := range r.Cells {
			high = max(high, rows(s, other/m.cell, boldWider)*m.cell)
		}
		bars := 0.0
		if n := len(r.Bars); n > 0 {
			bars = float64(n)*0.5 + 0.4
		}
		sum += max(high, rows(r.Reading, max(1, first-bars), boldWider))*lineHigh + m.row
	}
	sum += stack(v.Under, full) + 0.2

	if v.tight {
		sum += m.gap
		for _, p := range v.More {
			sum += v.part(p, full, m)
		}
	} else {
		for i := 0; i < len(v.More); i += 2 {
			tallest := 0.0
			for _, p := range v.More[i:min(i+2, len(v.More))] {
				tallest = max(tallest, v.part(p, half, m))
			}
			sum += m.gap + tallest
		}
	}

	sum += m.gap + m.head + math.Ceil(float64(len(v.Write))/2)*m.write

	small := max(9, pt*0.85) / pt
	code, side := 0.0, 0.0
	if v.HasCode() {
		side = codeSide(v.Code) / em
		code = side + rows(v.CodeSays(), side/small, 1)*lineHigh*small
		side += small
	}
	sum += m.gap + max(code, stack(v.Small, (full-side)/small)*small)
	return sum * em
}

// part is how high paragraphs under a heading are, or run in behind it.
func (v *CardView) part(p CardPart, wide float64, m measure) float64 {
	if !v.tight {
		return m.head + stack(p.Lines, wide)
	}
	// The heading is bold, so a little wider than the rest.
	return rows(p.Head+": "+p.Head[:len(p.Head)/4]+strings.Join(p.Lines, " "), wide, 1)*lineHigh + 0.15
}

// stack is how high paragraphs are in a column.
func stack(paragraphs []string, wide float64) float64 {
	sum := 0.0
	for _, s := range paragraphs {
		sum += rows(s, wide, 1)*lineHigh + 0.15
	}
	return sum
}

// rows is how many lines a text takes in a column; bold is how much wider than
// usual its letters are.
func rows(text string, wide, bold float64) float64 {
	wide = max(wide, 3)
	n, at := 1.0, 0.0
	for word := range strings.FieldsFuncSeq(text, func(r rune) bool { return r == ' ' }) {
		w := 0.0
		for _, r := range word {
			w += letterWide(r) * bold
		}
		if at > 0 && at+0.33*bold+w > wide {
			n, at = n+1, 0
		}
		if at > 0 {
			at += 0.33 * bold
		}
		if w > wide { // a word that must be broken
			n += math.Ceil(w/(wide-1)) - 1
		}
		at += w
		for at > wide {
			at -= wide - 1
		}
	}
	return n
}

// letterWide is about how wide a letter is in DejaVu Sans, or wider.
func letterWide(r rune) float64 {
	switch {
	case strings.ContainsRune("iIjl.,:;'’|! \u00a0", r):
		return 0.33
	case strings.ContainsRune("ftr-/()[]", r):
		return 0.41
	case strings.ContainsRune("mwMW%@—…&", r):
		return 1
	case strings.ContainsRune("cszJ", r):
		return 0.56
	case strings.ContainsRune("vxyk", r):
		return 0.6
	case r >= 'A' && r <= 'Z':
		return 0.74
	case r < 0x80:
		return 0.64
	case r < 0x250: // Latin with marks, the degree
		return 0.8
	}
	return 1.1
}
