package errand

import (
	"encoding/binary"
	"errors"
	"math"
	"unicode/utf8"
)

// coder writes a message, or reads one: the same description of it serves both,
// so that the two can't differ. What can't be read makes it bad, and leaves
// zeros behind. Numbers are held against their bounds as they are read.
type coder struct {
	reading bool
	data    []byte // written so far, or still to be read
	bad     bool
}

var errBad = errors.New("a message between the page and its worker is damaged")

// written is the message that fields describe.
func written(fields func(*coder)) []byte {
	c := &coder{}
	fields(c)
	return c.data
}

// read reads all of data.
func read(data []byte, fields func(*coder)) error {
	c := &coder{reading: true, data: data}
	fields(c)
	if c.bad || len(c.data) > 0 {
		return errBad
	}
	return nil
}

// take is the next n bytes.
func (c *coder) take(n int) []byte {
	if n > len(c.data) {
		c.bad, c.data = true, nil
		return make([]byte, min(n, 8))
	}
	b := c.data[:n]
	c.data = c.data[n:]
	return b
}

// whole is a whole number from least to most, 0 ≤ least.
func (c *coder) whole(v *int, least, most int) {
	if !c.reading {
		c.data = binary.AppendUvarint(c.data, uint64(*v))
		return
	}
	u, n := binary.Uvarint(c.data)
	if n <= 0 || u < uint64(least) || u > uint64(most) {
		c.bad, c.data, *v = true, nil, least
		return
	}
	*v, c.data = int(u), c.data[n:]
}

// yes is true or false.
func (c *coder) yes(v *bool) {
	n := 0
	if *v {
		n = 1
	}
	c.whole(&n, 0, 1)
	*v = n == 1
}

// number is a number from low to high, which may be infinite; never NaN.
func number[T ~float64](c *coder, v *T, low, high float64) {
	if !c.reading {
		c.data = binary.BigEndian.AppendUint64(c.data, math.Float64bits(float64(*v)))
		return
	}
	f := math.Float64frombits(binary.BigEndian.Uint64(c.take(8)))
	if !(low <= f && f <= high) {
		c.bad, f = true, low
	}
	*v = T(f)
}

// bytes is at most most bytes.
func (c *coder) bytes(v *[]byte, most int) {
	n := len(*v)
	c.whole(&n, 0, most)
	if !c.reading {
		c.data = append(c.data, *v...)
		return
	}
	if n <= len(c.data) {
		*v = c.take(n)
	} else {
		c.take(n)
	}
}

// text is at most most bytes of UTF-8.
func (c *coder) text(s *string, most int) {
	b := []byte(*s)
	c.bytes(&b, most)
	if c.bad = c.bad || !utf8.Valid(b); !c.bad {
		*s = string(b)
	}
}

// list is at most most things, each written or read by one. None takes less
// than a byte, so that a length alone can't ask for much memory.
func list[T any](c *coder, l *[]T, most int, one func(*coder, *T)) {
	n := len(*l)
	c.whole(&n, 0, most)
	if c.reading {
		if n > len(c.data) {
			c.bad, c.data, n = true, nil, 0
		}
		*l = make([]T, n)
	}
	for i := range *l {
		one(c, &(*l)[i])
	}
}
