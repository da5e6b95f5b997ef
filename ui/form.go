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
	Echo      string    // how it was read, where that could be doubted
	Err       string    // in words; "" while there is none, or while it is being typed
	Either    []Meaning // the two numbers that what was typed may be; none where there is no question
	wrong     string    // what Err will be when the field is left
	good      string    // what stood here when it was last left in order
	typing    bool
	blank     func() string // what is counted on while the box is empty; nil: it must not be
	none      func()        // takes back what was half typed where nothing stood before; nil: nothing was

	// take puts what was typed where it belongs. It returns how it was read
	// (may be "") and, when it can't stand, why; nothing is changed then.
	take func(raw string) (echo, wrong string)
}

// Meaning is a number that what was typed may be, and the mark that those write
// before decimals who mean it.
type Meaning struct{ Says, decimal string }

// Means says one of the two numbers that what was typed may be; "" where there is
// no question.
func (f *Field) Means(n int) string {
	if n >= len(f.Either) {
		return ""
	}
	return f.Either[n].Says
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
	f.Err = f.wrong
	if len(f.Either) > 0 {
		f.Err = "" // the question stands beside the box, and must not move as it is answered
		defer func(asked []Meaning) { f.Either = asked }(f.Either)
	}
	if f.wrong != "" {
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
	if f.Err != "" || len(f.Either) > 0 {
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
	wattHours = unit{"watt-hours", "Wh", "1000", map[string]float64{"wh": 1, "kwh": 1000, "watthours": 1}}
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
		f.Either = nil
		raw = strings.TrimSpace(raw)
		if raw == "" {
			return "", label + ": " + wEnterNumber + example + "."
		}
		read := say.Readings(raw)
		factor, ok := 1.0, len(read) > 0
		if ok && read[0].Unit != "" {
			factor, ok = u.scale[strings.ReplaceAll(read[0].Unit, " ", "")]
		}
		if !ok {
			return "", label + ": " + quote(raw) + " must be a number, like " + example + "."
		}
		v, ask := settle(raw, read, func(typed float64) float64 { return typed * factor }, shown, u.mark)
		if f.Either = ask; ask != nil {
			return wEitherWay, label + ": " + quote(raw) + wEitherWrong
		}
		if wrong := outside(shown, label, raw, v); wrong != "" {
			return "", wrong
		}
		// 95 × 0.01 is a bit more than 0.95, and a file with that is refused.
		set(max(in.Low, min(v*scale, in.High)))
		if factor != 1 || len(read) == 2 || strings.ContainsAny(raw, ",' ") {
			echo = wReadAs + say.Amount(v, 4, u.mark)
			if v >= 1000 || len(read) == 2 {
				echo += " (" + say.Spelled(v) + ")"
			}
		}
		return echo, ""
	}
	return f
}

// settle takes the number that is meant by a text of one or two readings; value is
// what one comes to in the range. Where a lone mark leaves it open, it is the only
// one in the range, or what the mark is between thousands in the device's language,
// or as its owner has told; else ask is to be asked.
func settle(text string, read []say.Typed, value func(typed float64) float64, in doc.Range, mark string) (v float64, ask []Meaning) {
	first := value(read[0].Value)
	if len(read) < 2 {
		return first, nil
	}
	second, use := value(read[1].Value), say.InUse()
	point := "."
	if strings.Contains(text, ",") {
		point = ","
	}
	switch fits := func(v float64) bool { return in.Check("", v) == nil }; {
	case !fits(first) && fits(second):
		return second, nil
	case !fits(second), use.Told, point == use.Group:
		return first, nil
	}
	for _, t := range read {
		decimal := point
		if math.Abs(t.Value) >= 1000 { // it stands between thousands
			decimal = strings.Trim(".,", point)
		}
		ask = append(ask, Meaning{strings.TrimRight(say.Spelled(value(t.Value))+" "+mark, " "), decimal})
	}
	return first, ask
}

// outside says that v, typed as raw, is not in the range; "" when it is.
func outside(in doc.Range, label, raw string, v float64) string {
	if math.Abs(v) >= 1e15 { // too great to be written out: said as it was typed
		return label + ": " + quote(raw) + " must be " + say.Local(in.String()) + "."
	}
	if err := in.Check(label, v); err != nil {
		return say.Local(err.Error()) + "."
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

// plainNumber writes a number into a box: no thousands marks, and never just three
// decimals, which might be taken for thousands.
func plainNumber(v float64) string {
	s := doc.Number(math.Round(v*1e4)/1e4 + 0)
	whole, part, some := strings.Cut(strings.ReplaceAll(s, ",", ""), ".")
	if !some {
		return whole
	}
	if len(part) == 3 {
		part += "0"
	}
	return whole + say.InUse().Decimal + part
}

// maybe writes a number that may be unknown.
func maybe(v *float64, scale float64) string {
	if v == nil {
		return ""
	}
	return plainNumber(*v * scale)
}
