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
	{"a5", "A5", 148, 210, 8},
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
	cardSizes = []float64{18, 16, 15, 14, 13, 12, 11.5, 11, 10.5, 10, 9.5, 9}
	usualMost = 12.0 // without large letters
)

// The code: the room it may take, and the smallest module that the cameras of
// phones read with ease (common practice: 0.33 mm; ours are larger).
const codeModule = 0.4 // mm

// codeSides are the sides a code is printed with, mm.
var codeSides = []float64{24, 30, 36, 42, 48}

// codeMost is the most modules of a code on the sheet.
func (s sheetSize) codeMost() int { return int(min(s.width/4, codeSides[len(codeSides)-1]) / codeModule) }

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
	lineHigh  = 1.25
	headHigh  = 1.1*1.2 + 0.32 // a heading with its line and the gap under it
	boldWider = 1.14
)

// size picks the class of the largest letters with which the card fits; fits is
// false when even the smallest don't.
func (v *CardView) size(large bool) (pt float64, fits bool) {
	for _, pt := range cardSizes {
		if (large || pt <= usualMost) && v.height(pt) <= (v.sheet.height-2*v.sheet.margin)*0.985 {
			return pt, true
		}
	}
	return cardSizes[len(cardSizes)-1], false
}

// height is how high the card is with letters of pt points, mm.
func (v *CardView) height(pt float64) float64 {
	em := pt / mmToPt // mm
	full := (v.sheet.width - 2*v.sheet.margin) / em
	half := (full - 1.2) / 2
	const gap = 0.6

	sum := rows(v.Title, full/1.6, boldWider)*1.6*1.1 + rows(v.Made, full, 1)*lineHigh
	order := headHigh
	for _, l := range v.Order {
		order += rows(l.Text, half-1.9, boldWider) * lineHigh
	}
	never := 0.0
	if len(v.Never) > 0 {
		never = headHigh + stack(v.Never, half-1.4) + 1
	}
	sum += gap + max(order, never)

	// The table: the first column takes 26 %, the others share the rest.
	sum += gap + headHigh
	first, other := full*0.26-0.9, full*0.74/float64(max(1, len(v.Heads)-1))-0.9
	head := 0.0
	for i, s := range v.Heads {
		head = max(head, rows(s, pick(i == 0, first, other), boldWider))
	}
	sum += head*lineHigh + 0.55
	for _, r := range v.Rows {
		cell := 0.0
		for _, s := range r.Cells {
			cell = max(cell, rows(s, other/1.1, boldWider)*1.1)
		}
		bars := 0.0
		if n := len(r.Bars); n > 0 {
			bars = float64(n)*0.55 + 0.4
		}
		cell = max(cell, rows(r.Reading, max(1, first-bars), boldWider))
		sum += cell*lineHigh + 0.55
	}
	sum += stack(v.Under, full)

	for i := 0; i < len(v.More); i += 2 {
		tallest := 0.0
		for _, p := range v.More[i:min(i+2, len(v.More))] {
			tallest = max(tallest, headHigh+stack(p.Lines, half))
		}
		sum += gap + tallest
	}

	sum += gap + headHigh + math.Ceil(float64(len(v.Write))/2)*writeHigh

	small := max(9, pt*0.85) / pt
	code := 0.0
	side := 0.0
	if v.HasCode() {
		side = codeSide(v.Code) / em
		code = side + rows(wCodeSays, side/small, 1)*lineHigh*small
		side++
	}
	sum += gap + max(code, stack(v.Small, (full-side)/small)*small)
	return sum * em
}

// writeHigh is a line to write on with its words.
const writeHigh = 2.7

func pick(first bool, a, b float64) float64 {
	if first {
		return a
	}
	return b
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
	case strings.ContainsRune("iIjl.,:;'’|!()[] \u00a0", r):
		return 0.35
	case strings.ContainsRune("ftr-/", r):
		return 0.42
	case strings.ContainsRune("mwMW%@—…&", r):
		return 1
	case r >= 'A' && r <= 'Z':
		return 0.7
	case r < 0x80:
		return 0.63
	case r < 0x250: // Latin with marks, the degree
		return 0.68
	}
	return 1.1
}
