// Package qr draws a text as a QR code (ISO/IEC 18004) at level M, which bears
// 15 % of it unreadable: a crease, a drop of coffee.
package qr

import (
	"strconv"
	"strings"

	"rsc.io/qr/coding"
)

// Quiet is how many modules of white stand around the code, as the standard
// asks.
const Quiet = 4

// Code is a drawn code.
type Code struct {
	// Modules is the side with the white around it, in modules.
	Modules int
	// Paths are the dark modules, as SVG paths to be stroked one unit wide in a
	// view of Modules by Modules; each of at most pathMost bytes.
	Paths []string
}

// Of draws text as the smallest code that holds it. Characters at its end that
// take less room (digits, capitals, "$%*+-./: ") are stored so. ok is false when
// there is no text, or a side would need more than most modules.
func Of(text string, most int) (c Code, ok bool) {
	parts := segments(text)
	if parts == nil {
		return Code{}, false
	}
	for v := coding.Version(coding.MinVersion); v <= coding.MaxVersion; v++ {
		side := 17 + 4*int(v)
		if side+2*Quiet > most {
			break
		}
		bits := 0
		for _, p := range parts {
			bits += p.Bits(v)
		}
		if bits > v.DataBytes(coding.M)*8 {
			continue
		}
		best := clearest(v, parts)
		return Code{side + 2*Quiet, paths(best)}, best != nil
	}
	return Code{}, false
}

// segments splits a text before the part at its end that is alphanumeric.
func segments(text string) []coding.Encoding {
	at := len(text)
	for at > 0 && coding.Alpha(text[at-1:at]).Check() == nil {
		at--
	}
	var parts []coding.Encoding
	if at > 0 {
		parts = append(parts, coding.String(text[:at]))
	}
	if at < len(text) {
		parts = append(parts, coding.Alpha(text[at:]))
	}
	return parts
}

// clearest is the code under the mask with the least penalty.
func clearest(v coding.Version, parts []coding.Encoding) *coding.Code {
	var best *coding.Code
	least := 0
	for mask := coding.Mask(0); mask < 8; mask++ {
		plan, err := coding.NewPlan(v, coding.M, mask)
		if err != nil {
			return nil
		}
		c, err := plan.Encode(parts...)
		if err != nil {
			return nil
		}
		if p := penalty(c); best == nil || p < least {
			best, least = c, p
		}
	}
	return best
}

// penalty is how much a code looks like what a reader searches for, or is hard
// to tell apart (ISO/IEC 18004, evaluation of data masking results).
func penalty(c *coding.Code) int {
	n, dark, sum := c.Size, 0, 0
	at := func(line, i int, across bool) bool {
		if across {
			return c.Black(i, line)
		}
		return c.Black(line, i)
	}
	for _, across := range []bool{true, false} {
		for line := range n {
			run := 0
			var last uint // the last eleven modules of the line
			for i := range n {
				b := at(line, i, across)
				if i > 0 && b == at(line, i-1, across) {
					run++
				} else {
					run = 1
				}
				switch {
				case run == 5:
					sum += 3
				case run > 5:
					sum++
				}
				last = last << 1 & 0x7ff
				if b {
					last |= 1
				}
				// 1:1:3:1:1 with four light ones before or after it.
				if i >= 10 && (last == 0b10111010000 || last == 0b00001011101) {
					sum += 40
				}
			}
		}
	}
	for y := range n {
		for x := range n {
			b := c.Black(x, y)
			if b {
				dark++
			}
			if x > 0 && y > 0 && b == c.Black(x-1, y) && b == c.Black(x, y-1) && b == c.Black(x-1, y-1) {
				sum += 3
			}
		}
	}
	off := dark*20 - n*n*10 // twentieths of the code by which half is missed
	if off < 0 {
		off = -off
	}
	return sum + off/(n*n)*10
}

// pathMost keeps a path below what the page can draw, 16 KB.
const pathMost = 12 << 10

// paths draws each run of dark modules in a row as a line along its middle.
func paths(c *coding.Code) (all []string) {
	if c == nil {
		return nil
	}
	var b strings.Builder
	for y := range c.Size {
		if b.Len() > pathMost-8*c.Size/2 { // a row has at most so many bytes
			all = append(all, b.String())
			b.Reset()
		}
		fresh, from := true, 0 // the pen is not in this row yet; where it is
		for x := 0; x < c.Size; x++ {
			if !c.Black(x, y) {
				continue
			}
			end := x
			for end < c.Size && c.Black(end, y) {
				end++
			}
			if fresh {
				b.WriteString("M" + strconv.Itoa(x+Quiet) + " " + strconv.Itoa(y+Quiet) + ".5")
			} else {
				b.WriteString("m" + strconv.Itoa(x-from) + " 0")
			}
			b.WriteString("h" + strconv.Itoa(end-x))
			fresh, from, x = false, end, end
		}
	}
	return append(all, b.String())
}
