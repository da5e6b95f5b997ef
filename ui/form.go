package ui

import (
	"math"
	"strings"

	"candleclock/engine/doc"
	"candleclock/ui/say"
)

// Field is a box to type in. It holds what was typed, letter by letter; the
// plan holds the last that made sense.
type Field struct {
	ID, Label string
	Hint      string
	Unit      string // stands behind the box; the label says it too
	Mode      string // the keyboard to offer: "decimal", "numeric", "text"
	Wide      bool
	Raw       string
	Echo      string // how it was read, where that could be doubted
	Err       string // in words; "" while there is none, or while it is being typed
	wrong     string // what Err will be when the field is left
	good      string // what stood here when it was last left in order
	typing    bool
	blank     func() string // what is counted on while the box is empty; nil: it must not be
	none      func()        // takes back what was half typed where nothing stood before; nil: nothing was

	// take puts what was typed where it belongs. It returns how it was read
	// (may be "") and, when it can't stand, why; nothing is changed then.
	take func(raw string) (echo, wrong string)
}

// Type is what happens at each keystroke.
func (f *Field) Type(raw string) {
	if raw == f.Raw {
		return
	}
	if !f.typing {
		f.good, f.typing = f.Raw, true
	}
	f.Raw = raw
	f.Echo, f.wrong = f.take(raw)
	// An error is taken back at once, but shown only when the field is left.
	if f.wrong == "" || f.Err != "" {
		f.Err = f.wrong
	}
}

// refresh says anew what an empty box stands for: it may hang on other answers.
func (f *Field) refresh() {
	if f.blank != nil && strings.TrimSpace(f.Raw) == "" {
		f.Echo = f.blank()
	}
}

// Leave shows what is wrong with the field, if anything is.
func (f *Field) Leave() {
	if f.Err = f.wrong; f.wrong != "" {
		// On the way to what can't stand a part of it may have counted, as "2"
		// does in "25:00": what stood before holds.
		if _, wrong := f.take(f.good); wrong != "" && f.none != nil {
			f.none()
		}
		return
	}
	f.typing = false
}

// About is the list of ids that describe the box to a screen reader.
func (f *Field) About() string {
	var ids []string
	if f.Hint != "" {
		ids = append(ids, f.ID+"-hint")
	}
	if f.Echo != "" {
		ids = append(ids, f.ID+"-echo")
	}
	if f.Err != "" {
		ids = append(ids, f.ID+"-err")
	}
	return strings.Join(ids, " ")
}

// Invalid is the value of aria-invalid.
func (f *Field) Invalid() string {
	if f.Err != "" {
		return "true"
	}
	return "false"
}

// Class is the class of the box.
func (f *Field) Class() string {
	if f.Wide {
		return "box wide"
	}
	return "box"
}

// Choice is a question with a few answers to tap.
type Choice struct {
	ID, Legend string
	Hint       string
	Options    []Option
	Value      string
	take       func(value string)
}

// Option is one answer.
type Option struct{ Value, Label, Hint string }

// Pick is what happens when an answer is tapped.
func (c *Choice) Pick(value string) {
	c.Value = value
	c.take(value)
}

// Tick is a box to tick.
type Tick struct {
	ID, Label string
	Hint      string
	On        bool
	take      func(on bool)
}

// Set is what happens when the box is tapped.
func (t *Tick) Set(on bool) {
	t.On = on
	t.take(on)
}

// Item is one part of a form: exactly one of its pointers or texts is set.
type Item struct {
	Heading string
	Text    string
	Field   *Field
	Choice  *Choice
	Tick    *Tick
	note    *string     // a text that may change; "" shows nothing
	show    func() bool // nil: always
}

// Note is a text that may change.
func (it Item) Note() string {
	if it.note == nil {
		return ""
	}
	return *it.note
}

// Form is a list of questions.
type Form struct{ items []Item }

// Shown lists the questions that apply now.
func (f *Form) Shown() []Item {
	if f == nil {
		return nil
	}
	out := make([]Item, 0, len(f.items))
	for _, it := range f.items {
		if it.show == nil || it.show() {
			out = append(out, it)
		}
	}
	return out
}

// refresh brings what the form says beside its boxes up to date.
func (f *Form) refresh() {
	if f == nil {
		return
	}
	for _, it := range f.items {
		if it.Field != nil {
			it.Field.refresh()
		}
	}
}

// Leave tells the field with this id that the focus has left it.
func (f *Form) Leave(id string) {
	if f == nil {
		return
	}
	for _, it := range f.items {
		if it.Field != nil && it.Field.ID == id {
			it.Field.Leave()
		}
	}
}

// field finds a field by its id; nil when there is none.
func (f *Form) field(id string) *Field {
	for _, it := range f.items {
		if it.Field != nil && it.Field.ID == id {
			return it.Field
		}
	}
	return nil
}

// unit is a quantity that can be typed: what it is called, and what a typed
// unit means in terms of the one in the plan.
type unit struct {
	name    string // in words: "watts"
	mark    string // behind the box: "W"
	example string
	scale   map[string]float64
}

var (
	watts     = unit{"watts", "W", "30", map[string]float64{"w": 1, "watt": 1, "watts": 1, "kw": 1000, "va": 1}}
	voltamps  = unit{"volt-amperes", "VA", "1200", map[string]float64{"va": 1, "kva": 1000, "w": 1, "kw": 1000}}
	wattHours = unit{"watt-hours", "Wh", "1024", map[string]float64{"wh": 1, "kwh": 1000, "watthours": 1}}
	percent   = unit{"percent", "%", "80", map[string]float64{"%": 1, "percent": 1}}
	hours     = unit{"hours", "hours", "24", map[string]float64{"h": 1, "hr": 1, "hrs": 1, "hour": 1, "hours": 1, "d": 24, "day": 24, "days": 24}}
	years     = unit{"years", "years", "2", map[string]float64{"y": 1, "year": 1, "years": 1, "months": 1.0 / 12, "month": 1.0 / 12}}
	seconds   = unit{"seconds", "s", "3", map[string]float64{"s": 1, "sec": 1, "second": 1, "seconds": 1}}
	plain     = unit{"", "", "5", nil}
)

// number is a field for a quantity. label names it without the unit. scale
// turns the number typed into the one that in checks and set takes: 0.01 for
// percent. The box must not be empty.
func number(id, label string, u unit, in doc.Range, scale float64, raw string, set func(v float64)) *Field {
	f := &Field{ID: id, Label: label, Unit: u.mark, Mode: "decimal", Raw: raw}
	if u.name != "" {
		f.Label = label + ", in " + u.name
	}
	shown := doc.Range{Low: in.Low / scale, High: in.High / scale, Unit: u.mark}
	example := u.example
	if v, ok := say.ParseNumber(example); ok && shown.Check("", v.Value) != nil {
		example = plainNumber(max(shown.Low, min(v.Value, shown.High)))
	}
	f.take = func(raw string) (echo, wrong string) {
		raw = strings.TrimSpace(raw)
		if raw == "" {
			return "", label + ": " + wEnterNumber + example + "."
		}
		typed, ok := say.ParseNumber(raw)
		factor := 1.0
		if typed.Unit != "" {
			var known bool
			if factor, known = u.scale[strings.ReplaceAll(typed.Unit, " ", "")]; !known {
				ok = false
			}
		}
		if !ok {
			return "", label + ": " + quote(raw) + " must be a number, like " + example + "."
		}
		v := typed.Value * factor
		if wrong := outside(shown, label, raw, v); wrong != "" {
			return "", wrong
		}
		// 95 × 0.01 is a bit more than 0.95, and a file with that is refused.
		set(max(in.Low, min(v*scale, in.High)))
		if factor != 1 || strings.ContainsAny(raw, ",' ") {
			echo = wReadAs + say.Amount(v, 4, u.mark)
		}
		return echo, ""
	}
	return f
}

// outside says that v, typed as raw, is not in the range; "" when it is.
func outside(in doc.Range, label, raw string, v float64) string {
	if math.Abs(v) >= 1e15 { // too great to be written out: said as it was typed
		return label + ": " + quote(raw) + " must be " + in.String() + "."
	}
	if err := in.Check(label, v); err != nil {
		return err.Error() + "."
	}
	return ""
}

// whole lets only whole numbers in: 1.9 things alike are not 1.
func (f *Field) whole() *Field {
	f.Mode = "numeric"
	take := f.take
	f.take = func(raw string) (echo, wrong string) {
		if typed, ok := say.ParseNumber(raw); ok && !math.IsInf(typed.Value, 0) && typed.Value != math.Trunc(typed.Value) {
			return "", f.Label + ": " + quote(strings.TrimSpace(raw)) + " must be a whole number, like 5."
		}
		return take(raw)
	}
	return f
}

// orEmpty lets a field be empty: clear is then called, and blank says what is
// counted on instead.
func (f *Field) orEmpty(clear func(), blank func() string) *Field {
	take := f.take
	f.blank = blank
	f.take = func(raw string) (echo, wrong string) {
		if strings.TrimSpace(raw) == "" {
			clear()
			return blank(), ""
		}
		return take(raw)
	}
	f.refresh()
	return f
}

// quote shortens what was typed for an error message.
func quote(raw string) string {
	r := []rune(raw)
	if len(r) > 24 {
		r = append(r[:24], '…')
	}
	return "“" + named(string(r)) + "”"
}

// text is a field for a name.
func text(id, label, raw string, most int, check func(s string) string, set func(s string)) *Field {
	f := &Field{ID: id, Label: label, Mode: "text", Raw: raw, Wide: true}
	f.take = func(raw string) (echo, wrong string) {
		s := strings.TrimSpace(raw)
		if s == "" {
			return "", label + ": " + wEnterName
		}
		if err := doc.CheckText(label, s, most); err != nil {
			return "", err.Error() + "."
		}
		if check != nil {
			if w := check(s); w != "" {
				return "", w
			}
		}
		set(s)
		return "", ""
	}
	return f
}

// options builds the answers of a choice from words of the plan file.
func options(values []string, label map[string]string) []Option {
	out := make([]Option, len(values))
	for i, v := range values {
		out[i] = Option{Value: v, Label: label[v]}
	}
	return out
}

// plainNumber writes a number into a box: no thousands marks, so that it reads
// the same back everywhere.
func plainNumber(v float64) string { return strings.ReplaceAll(say.Number(v, 4), ",", "") }

// maybe writes a number that may be unknown.
func maybe(v *float64, scale float64) string {
	if v == nil {
		return ""
	}
	return plainNumber(*v * scale)
}
