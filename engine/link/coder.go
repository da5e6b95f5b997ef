package link

import (
	"encoding/binary"
	"encoding/hex"
	"math"
	"slices"
	"strings"
	"unicode"

	"candleclock/engine/load"
	"candleclock/engine/plan"
	"candleclock/engine/units"
)

// coder writes the fields of a plan, or reads them: the same description of
// the plan (fields.go) serves both, so that the two can't differ. What can't be
// read makes it bad, and leaves zeros behind.
type coder struct {
	reading bool
	in, out []byte
	bad     bool

	version int // that what was written needs at least
}

// part is an object of the plan: a mask with one bit a field, then the fields
// whose bit is set. The others are as they usually are.
type part struct {
	*coder
	mask  uint64
	next  int
	since int // the version that brought the fields from here on
}

// part writes or reads an object, and reports whether all is as usual in it.
func (c *coder) part(fields func(*part)) (usual bool) {
	p := &part{coder: c}
	if c.reading {
		c.uint(&p.mask)
		fields(p)
		c.bad = c.bad || p.mask>>p.next != 0 // a field that this version has not
	} else {
		before := c.out
		c.out = nil
		fields(p)
		c.out = append(binary.AppendUvarint(before, p.mask), c.out...)
	}
	return p.mask == 0
}

// has tells, on reading, whether the next field is there; on writing it notes
// whether it is.
func (p *part) has(told bool) bool {
	bit := uint64(1) << p.next
	p.next++
	if !p.reading && told {
		p.mask |= bit
		p.version = max(p.version, p.since)
	}
	return p.mask&bit != 0
}

// part is an object within the part, left out when all is as usual in it.
func (p *part) part(fields func(*part)) {
	switch before := len(p.out); {
	case !p.reading:
		if !p.has(!p.coder.part(fields)) {
			p.out = p.out[:before]
		}
	case p.has(false):
		p.coder.part(fields)
	default:
		fields(&part{coder: p.coder}) // sets what is usual
	}
}

// list is a list of at most most objects.
func list[T any](p *part, l *[]T, most int, one func(*coder, *T)) {
	if !p.has(len(*l) > 0) {
		return
	}
	n := uint64(len(*l))
	p.uint(&n)
	if p.reading {
		if n > uint64(most) {
			p.bad = true
			return
		}
		*l = make([]T, n)
	}
	for i := range *l {
		one(p.coder, &(*l)[i])
	}
}

// uint is a number that is seldom large.
func (c *coder) uint(v *uint64) {
	if !c.reading {
		c.out = binary.AppendUvarint(c.out, *v)
		return
	}
	n := 0
	if *v, n = binary.Uvarint(c.in); n <= 0 {
		c.in, c.bad, *v = nil, true, 0
		return
	}
	c.in = c.in[n:]
}

// bytes takes the next n bytes.
func (c *coder) bytes(n uint64) []byte {
	if n > uint64(len(c.in)) {
		c.in, c.bad = nil, true
		return nil
	}
	b := c.in[:n]
	c.in = c.in[n:]
	return b
}

// How a number is told: the low three bits of its first varint. Up to four
// decimals they are how many; the rest of the varint is the digits. The
// quotient digits ÷ 10ⁿ of two exact doubles is the double nearest to the
// decimal, so what was typed comes back bit by bit. All else takes its eight
// bytes.
const (
	decimalsMost = 4
	negative     = 5 // below 0: three more bits for the decimals, then the digits
	unknown      = 6 // no number
	inFull       = 7
)

const digitsMost = 1 << 46

func (c *coder) writeNumber(v float64) {
	size := math.Abs(v)
	for n, tens := uint64(0), 1.0; n <= decimalsMost; n, tens = n+1, tens*10 {
		digits := math.Round(size * tens)
		if !(digits < digitsMost) || digits/tens != size {
			continue
		}
		u := uint64(digits)<<3 | n
		if math.Signbit(v) {
			u = u<<3 | negative
		}
		c.uint(&u)
		return
	}
	c.out = binary.LittleEndian.AppendUint64(append(c.out, inFull), math.Float64bits(v))
}

// readNumber reads a number; known is false for none.
func (c *coder) readNumber() (v float64, known bool) {
	decimal := func(u uint64) float64 {
		tens := 1.0
		for range u & 7 {
			tens *= 10
		}
		return float64(u>>3) / tens
	}
	var u uint64
	c.uint(&u)
	switch u & 7 {
	default:
		return decimal(u), true
	case negative:
		return -decimal(u >> 3), true
	case unknown:
		return 0, false
	case inFull:
		b := c.bytes(8)
		if b == nil {
			return 0, true
		}
		v = math.Float64frombits(binary.LittleEndian.Uint64(b))
		if math.IsNaN(v) || math.IsInf(v, 0) {
			c.bad, v = true, 0
		}
		return v, true
	}
}

func same(a, b float64) bool { return math.Float64bits(a) == math.Float64bits(b) }

// number is a number that is usually def.
func number[T ~float64](p *part, v *T, def T) {
	if p.reading {
		*v = def
	}
	if !p.has(!same(float64(*v), float64(def))) {
		return
	}
	if !p.reading {
		p.writeNumber(float64(*v))
		return
	}
	read, known := p.readNumber()
	*v, p.bad = T(read), p.bad || !known
}

// maybe is a number that may not be known, and is usually def.
func (p *part) maybe(v **float64, def *float64) {
	if p.reading {
		*v = def
	}
	usual := *v == def || *v != nil && def != nil && same(**v, *def)
	switch {
	case !p.has(!usual):
	case p.reading:
		*v = nil
		if read, known := p.readNumber(); known {
			*v = &read
		}
	case *v == nil:
		p.out = append(p.out, unknown)
	default:
		p.writeNumber(**v)
	}
}

// whole is a whole number from 0 on that is usually def.
func (p *part) whole(v *int, def int) {
	if p.reading {
		*v = def
	}
	if !p.has(*v != def) {
		return
	}
	u := uint64(*v)
	p.uint(&u)
	if p.reading {
		*v = int(u & math.MaxInt32)
		p.bad = p.bad || u > math.MaxInt32
	}
}

// yes is true or false, usually def.
func (p *part) yes(v *bool, def bool) { *v = p.has(*v != def) != def }

// minute is a time of day.
func (c *coder) minute(m *load.Minute) {
	u := uint64(*m)
	c.uint(&u)
	if c.reading {
		*m = load.Minute(u % uint64(load.Day))
		c.bad = c.bad || u >= uint64(load.Day)
	}
}

// maybeMinute is a time of day that may not be known.
func (p *part) maybeMinute(m **load.Minute) {
	if !p.has(*m != nil) {
		return
	}
	if p.reading {
		*m = new(load.Minute)
	}
	p.minute(*m)
}

// epoch is where the minutes of a moment count from.
var epoch, _ = plan.ParseMoment("2000-01-01T00:00")

// moment is a date and time of the years 2000 to 2099.
func (p *part) moment(m *plan.Moment) {
	if !p.has(!m.IsZero()) {
		return
	}
	u := uint64(math.Round(float64(m.Since(epoch)) * 60))
	p.uint(&u)
	if p.reading {
		// What lies beyond 2099 is refused by Decode; After bears a century.
		const century = 100 * 366 * 24 * 60
		*m = epoch.After(units.Hours(min(u, century)) / 60)
	}
}

// How a text is told: the low two bits of its first varint.
const (
	plainText  = iota // the rest is its length; its UTF-8 follows
	nibbleText        // the rest is the number of half bytes that follow
	hexText           // the rest is half the number of lower-case hexadecimal digits
	wordText          // the rest is the word's place in words
)

// letters are the characters of nibbleText. The first 13 take one half byte;
// the others two, of which the first is 14 or 15. 13 makes the next letter a
// capital. Texts of a plan shrink to about 6 tenths.
const (
	letters = " etaoinrslhdc" + "ubfgjkmpqvwxyz0123456789-/_,.()'"
	common  = 13
	capital = 13
)

// nibbles is s in half bytes; ok is false where a character has none.
func nibbles(s string) (half []byte, ok bool) {
	for i := range len(s) {
		x := s[i]
		if 'A' <= x && x <= 'Z' {
			half = append(half, capital)
			x += 'a' - 'A'
		}
		switch at := strings.IndexByte(letters, x); {
		case at < 0:
			return nil, false
		case at < common:
			half = append(half, byte(at))
		default:
			at -= common
			half = append(half, byte(capital+1+at/16), byte(at%16))
		}
	}
	return half, true
}

func (c *coder) writeText(s string, words []string) {
	put := func(n, kind int) {
		u := uint64(n)<<2 | uint64(kind)
		c.uint(&u)
	}
	if at := slices.Index(words, s); at >= 0 {
		put(at, wordText)
		return
	}
	if b, _ := hex.DecodeString(s); hex.EncodeToString(b) == s {
		put(len(b), hexText)
		c.out = append(c.out, b...)
		return
	}
	if half, ok := nibbles(s); ok && len(half) < 2*len(s) {
		put(len(half), nibbleText)
		for i, h := range half {
			if i%2 == 0 {
				c.out = append(c.out, h)
			} else {
				c.out[len(c.out)-1] |= h << 4
			}
		}
		return
	}
	put(len(s), plainText)
	c.out = append(c.out, s...)
}

func (c *coder) readText(words []string) string {
	var u uint64
	c.uint(&u)
	switch n := u >> 2; u & 3 {
	case nibbleText:
		return c.readNibbles(n)
	case hexText:
		return hex.EncodeToString(c.bytes(n))
	case wordText:
		if n >= uint64(len(words)) {
			c.bad = true
			return ""
		}
		return words[n]
	default:
		return string(c.bytes(n))
	}
}

func (c *coder) readNibbles(n uint64) string {
	b := c.bytes(n/2 + n%2)
	if b == nil {
		return ""
	}
	var s []byte
	page, raised := 0, false
	for i := range n {
		at := int(b[i/2] >> (i % 2 * 4) & 15)
		switch {
		case page > 0:
			at += common + 16*(page-1)
			page = 0
		case at > capital:
			page = at - capital
			continue
		case at == capital:
			raised = true
			continue
		}
		x := letters[at]
		if raised {
			x, raised = byte(unicode.ToUpper(rune(x))), false
		}
		s = append(s, x)
	}
	c.bad = c.bad || page > 0 || raised
	return string(s)
}

// text is a text that is usually def; words are those it is often.
func text[T ~string](p *part, v *T, def T, words ...string) {
	if p.reading {
		*v = def
	}
	switch {
	case !p.has(*v != def):
	case p.reading:
		*v = T(p.readText(words))
	default:
		p.writeText(string(*v), words)
	}
}
