// Package doc reads and writes the JSON objects of a plan file by hand: every
// number is held against its range, an error names the path, the value and the
// range, and a field that this version does not know is kept and written again.
package doc

import (
	"bytes"
	"encoding/json"
	"fmt"
	"sort"
	"strconv"
	"strings"
	"unicode/utf8"
)

// Unknown holds the fields of an object that this version does not know.
type Unknown map[string]json.RawMessage

// Reader reads one JSON object. The first error stops it: later calls return
// zero values, and Err tells.
type Reader struct {
	path string
	rest map[string]json.RawMessage
	err  *error
}

// Read opens the JSON object in data; path names it in errors ("" at the top).
func Read(data []byte, path string) *Reader {
	var err error
	r := &Reader{path: path, err: &err}
	r.open(data)
	return r
}

func (r *Reader) open(data []byte) {
	if t := bytes.TrimSpace(data); len(t) == 0 || t[0] != '{' {
		r.fail("", short(data), "an object in { }")
		return
	}
	if err := json.Unmarshal(data, &r.rest); err != nil {
		*r.err = &Error{Field: r.field(""), Value: short(data), Want: "well-formed JSON (" + err.Error() + ")"}
	}
}

// Err is the first error met, by this reader or one opened from it.
func (r *Reader) Err() error { return *r.err }

// Fail records an error at the field unless one is recorded already.
func (r *Reader) Fail(field, value, want string) { r.fail(field, value, want) }

func (r *Reader) fail(field, value, want string) {
	if *r.err == nil {
		*r.err = &Error{Field: r.field(field), Value: value, Want: want}
	}
}

func (r *Reader) field(name string) string {
	switch {
	case name == "" && r.path == "":
		return "the document"
	case name == "":
		return r.path
	case r.path == "":
		return name
	}
	return r.path + "." + name
}

// Unknown returns what has not been read, to be kept.
func (r *Reader) Unknown() Unknown {
	if len(r.rest) == 0 {
		return nil
	}
	return r.rest
}

// take removes a field and returns its text; null counts as absent.
func (r *Reader) take(name string) (json.RawMessage, bool) {
	raw, ok := r.rest[name]
	if !ok || *r.err != nil {
		return nil, false
	}
	delete(r.rest, name)
	return raw, string(raw) != "null"
}

// Has reports whether the field is there, not null, and not yet read.
func (r *Reader) Has(name string) bool {
	raw, ok := r.rest[name]
	return ok && string(raw) != "null"
}

// Number reads a number in range; absent gives def, which is not checked.
func (r *Reader) Number(name string, in Range, def float64) float64 {
	raw, ok := r.take(name)
	if !ok {
		return def
	}
	v, err := strconv.ParseFloat(string(raw), 64)
	if err != nil || raw[0] == '"' { // a quoted number is a word
		r.fail(name, short(raw), "a number "+in.String())
		return def
	}
	if e, bad := in.Check("", v).(*Error); bad {
		r.fail(name, e.Value, e.Want)
		return def
	}
	return v
}

// Maybe reads a number in range; absent gives nil.
func (r *Reader) Maybe(name string, in Range) *float64 {
	if !r.Has(name) {
		r.take(name)
		return nil
	}
	v := r.Number(name, in, 0)
	return &v
}

// Whole reads a whole number in range; absent gives def.
func (r *Reader) Whole(name string, in Range, def int) int {
	v := r.Number(name, in, float64(def))
	if v != float64(int(v)) {
		r.fail(name, Number(v), "a whole number "+in.String())
		return def
	}
	return int(v)
}

// Text reads a text of at most max characters, none of them a control
// character or a mark that turns the direction of writing; absent gives "".
func (r *Reader) Text(name string, max int) string {
	raw, ok := r.take(name)
	if !ok {
		return ""
	}
	var s string
	if json.Unmarshal(raw, &s) != nil {
		r.fail(name, short(raw), "a text in quotes")
		return ""
	}
	if err := CheckText(r.field(name), s, max); err != nil {
		if *r.err == nil {
			*r.err = err
		}
		return ""
	}
	return s
}

// CheckText returns an *Error when s is longer than max characters, is not
// UTF-8, or holds a control or direction-turning character.
func CheckText(field, s string, max int) error {
	if n := utf8.RuneCountInString(s); n > max {
		return &Error{Field: field, Value: "a text of " + Number(float64(n)) + " characters", Want: "at most " + Number(float64(max)) + " characters long"}
	}
	for _, c := range s {
		// Bidirectional controls (UAX #9) could make a name read as another.
		if c < 0x20 || c == 0x7f || c >= 0x80 && c <= 0x9f || c == utf8.RuneError ||
			c >= 0x202a && c <= 0x202e || c >= 0x2066 && c <= 0x2069 || c == 0x200e || c == 0x200f || c == 0x61c ||
			c == 0x2028 || c == 0x2029 { // and what breaks a line
			return &Error{Field: field, Value: strconv.QuoteToASCII(clip(s)), Want: "text without control characters"}
		}
	}
	return nil
}

// Choice reads one of the words in of; absent gives def.
func (r *Reader) Choice(name string, of []string, def string) string {
	raw, ok := r.take(name)
	if !ok {
		return def
	}
	var s string
	if json.Unmarshal(raw, &s) == nil {
		for _, w := range of {
			if s == w {
				return s
			}
		}
	}
	r.fail(name, short(raw), "one of "+strings.Join(of, ", "))
	return def
}

// Yes reads true or false; absent gives false.
func (r *Reader) Yes(name string) bool {
	raw, ok := r.take(name)
	if !ok {
		return false
	}
	switch string(raw) {
	case "true":
		return true
	case "false":
		return false
	}
	r.fail(name, short(raw), "true or false")
	return false
}

// Object opens the object in a field, or returns nil when it is absent.
func (r *Reader) Object(name string) *Reader {
	raw, ok := r.take(name)
	if !ok {
		return nil
	}
	c := &Reader{path: r.field(name), err: r.err}
	c.open(raw)
	return c
}

// Objects opens each object of a list of at most max; absent gives none.
func (r *Reader) Objects(name string, max int) []*Reader {
	raw, ok := r.take(name)
	if !ok {
		return nil
	}
	var list []json.RawMessage
	if json.Unmarshal(raw, &list) != nil {
		r.fail(name, short(raw), "a list in [ ]")
		return nil
	}
	if len(list) > max {
		r.fail(name, "a list of "+Number(float64(len(list))), "at most "+Number(float64(max))+" long")
		return nil
	}
	out := make([]*Reader, len(list))
	for i, one := range list {
		out[i] = &Reader{path: fmt.Sprintf("%s[%d]", r.field(name), i), err: r.err}
		out[i].open(one)
	}
	return out
}

func short(raw []byte) string { return clip(strings.ToValidUTF8(string(bytes.TrimSpace(raw)), "?")) }

// clip keeps an error readable when the value is a whole file.
func clip(s string) string {
	const most = 40
	if utf8.RuneCountInString(s) <= most {
		return s
	}
	return string([]rune(s)[:most]) + "…"
}

// Writer writes one JSON object, fields in the order given, the unknown ones
// last in alphabetical order. The zero value is ready.
type Writer struct{ b bytes.Buffer }

func (w *Writer) key(name string) {
	if w.b.Len() > 0 {
		w.b.WriteByte(',')
	}
	w.b.WriteString(strconv.Quote(name)) // names are plain ASCII of our own
	w.b.WriteByte(':')
}

// Number writes a number unless it equals unless.
func (w *Writer) Number(name string, v, unless float64) {
	if v != unless {
		w.key(name)
		w.b.WriteString(strconv.FormatFloat(v, 'g', -1, 64))
	}
}

// Maybe writes a number unless it is nil.
func (w *Writer) Maybe(name string, v *float64) {
	if v != nil {
		w.key(name)
		w.b.WriteString(strconv.FormatFloat(*v, 'g', -1, 64))
	}
}

// Text writes a text unless it is empty.
func (w *Writer) Text(name, s string) {
	if s != "" {
		w.key(name)
		j, _ := json.Marshal(s) // a string always marshals
		w.b.Write(j)
	}
}

// Yes writes true; false is left out.
func (w *Writer) Yes(name string, v bool) {
	if v {
		w.key(name)
		w.b.WriteString("true")
	}
}

// Object writes an object that another Writer holds.
func (w *Writer) Object(name string, o *Writer) {
	w.key(name)
	w.b.Write(o.Bytes())
}

// Objects writes a list of objects; an empty list is left out.
func (w *Writer) Objects(name string, list []*Writer) {
	if len(list) == 0 {
		return
	}
	w.key(name)
	for i, o := range list {
		w.b.WriteByte("[,"[min(i, 1)])
		w.b.Write(o.Bytes())
	}
	w.b.WriteByte(']')
}

// Keep writes the fields that this version does not know.
func (w *Writer) Keep(u Unknown) {
	names := make([]string, 0, len(u))
	for n := range u {
		names = append(names, n)
	}
	sort.Strings(names)
	for _, n := range names {
		if w.b.Len() > 0 {
			w.b.WriteByte(',')
		}
		j, _ := json.Marshal(n)
		w.b.Write(j)
		w.b.WriteByte(':')
		w.b.Write(u[n])
	}
}

// Empty reports whether no field was written.
func (w *Writer) Empty() bool { return w.b.Len() == 0 }

// Bytes returns the object, braces and all.
func (w *Writer) Bytes() []byte {
	return append(append([]byte{'{'}, w.b.Bytes()...), '}')
}
