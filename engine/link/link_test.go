package link

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"reflect"
	"strings"
	"testing"
	"time"

	"candleclock/engine/battery"
	"candleclock/engine/charge"
	"candleclock/engine/doc"
	"candleclock/engine/inverter"
	"candleclock/engine/load"
	"candleclock/engine/panel"
	"candleclock/engine/plan"
	"candleclock/engine/plan/plantest"
	"candleclock/engine/units"
)

// household is a plan as the page makes it, of things from the catalogue.
func household(t testing.TB, keys ...string) plan.Plan {
	t.Helper()
	p := plantest.Cottage(t)
	p.ID = "5f0c33a1b2d4e687"
	p.Loads = plantest.Catalogued(t, keys...)
	p.Place.Offset = new(-3.0)
	p.Outage.SOC, p.Outage.SOCLow, p.Outage.UnderWay = 0.8, new(0.6), true
	return p
}

// written is p as its file carries it.
func written(t testing.TB, p plan.Plan) plan.Plan {
	t.Helper()
	again, err := plan.Decode(p.Encode())
	if err != nil {
		t.Fatal(err)
	}
	return again
}

func roundTrip(t testing.TB, p plan.Plan) {
	t.Helper()
	want := written(t, p)
	for _, s := range []string{Text(p), QR(p)} {
		got, err := Parse(s)
		if err != nil {
			t.Fatalf("%v in the link of\n%s", err, p.Encode())
		}
		if !reflect.DeepEqual(got, want) {
			t.Fatalf("got\n%s\nwant\n%s", got.Encode(), want.Encode())
		}
	}
}

var six = []string{"cpap", "freezer-chest", "modem-router", "phone", "lamp-led", "fridge"}

var twenty = []string{"oxygen-5l", "cpap-humidifier", "fridge", "freezer-chest", "modem-router", "phone", "tablet", "laptop-charge",
	"lamp-led", "lamp-led-small", "lantern", "radio", "tv", "fan-table", "boiler", "sump-pump", "microwave", "alarm", "electric-blanket", "hearing-aids"}

// Messengers cut long links; a QR code beyond 300 characters is hard to scan
// (version 13 at level M has 69 modules).
func TestLinksAreShort(t *testing.T) {
	for _, c := range []struct {
		what       string
		plan       plan.Plan
		text, code int
	}{
		{"5 things of their own names", plantest.Cottage(t), 300, 350},
		{"6 things", household(t, six...), 300, 300},
		{"20 things", household(t, twenty...), 1000, 400},
		{"20 things of their own names and figures", ownThings(household(t, twenty...)), 1000, 1000},
	} {
		roundTrip(t, c.plan)
		text, code := len(Text(c.plan)), len(QR(c.plan))
		t.Logf("%s: %d and %d characters", c.what, text, code)
		if text > c.text || code > c.code {
			t.Errorf("%s: %d and %d characters, want at most %d and %d", c.what, text, code, c.text, c.code)
		}
	}
}

// ownThings renames and measures every load.
func ownThings(p plan.Plan) plan.Plan {
	p.Loads = append([]load.Load(nil), p.Loads...)
	for i := range p.Loads {
		l := &p.Loads[i]
		l.Name = fmt.Sprintf("Thing of room %d", i)
		if l.Daily == 0 {
			l.Running, l.Low, l.High, l.Basis = l.Running+1.5, nil, nil, load.Measured
		}
		if i%3 == 0 {
			l.Use = []load.Window{{From: 18 * 60, To: 22*60 + 30}}
		}
	}
	return p
}

func TestCharactersMayStandInAnAddress(t *testing.T) {
	p := household(t, twenty...)
	if s := strings.Trim(Text(p), "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_"); s != "" {
		t.Errorf("the text holds %q", s)
	}
	// QR's alphanumeric mode (ISO/IEC 18004), without what RFC 3986 keeps out of a fragment.
	if s := strings.Trim(QR(p), "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ$*+-./:"); s != "" {
		t.Errorf("the code holds %q", s)
	}
}

// Every change of one character, every cut and every doubled end is refused.
func TestOneWrongCharacter(t *testing.T) {
	for _, p := range []plan.Plan{plantest.Cottage(t), household(t, six...), plan.New("x", plan.At(time.Date(2026, 1, 14, 17, 0, 0, 0, time.UTC)))} {
		for _, c := range []struct{ s, letters string }{
			{Text(p), "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_.=+/%~"},
			{QR(p), letters41 + "+.%abc"},
		} {
			for i := range c.s {
				for _, x := range []byte(c.letters) {
					if x == c.s[i] {
						continue
					}
					if _, err := Parse(c.s[:i] + string(x) + c.s[i+1:]); err == nil {
						t.Fatalf("%q for %q at %d of %s passed", x, c.s[i], i, c.s)
					}
				}
				if _, err := Parse(c.s[:i]); i > 0 && err != ErrCutOff {
					t.Fatalf("%d of %d characters: got %v, want %v", i, len(c.s), err, ErrCutOff)
				}
				if _, err := Parse(c.s + c.s[i:]); err == nil {
					t.Fatalf("passed with its own end from %d behind it", i)
				}
			}
		}
	}
}

func TestRefused(t *testing.T) {
	good := Text(plantest.Cottage(t))
	sealed := func(version byte, data ...byte) string { return inText.mark + inText.write(frame(version, data)) }
	for _, c := range []struct {
		what, s string
		want    error
	}{
		{"nothing", "", ErrNotOurs},
		{"a page of ours", "tonight", ErrNotOurs},
		{"an address", "https://example.org/", ErrNotOurs},
		{"the mark alone", "c", ErrCutOff},
		{"foreign letters", "c!!!!!!!!", ErrDamaged},
		{"too long", "c" + strings.Repeat("A", Most), ErrTooLong},
		{"far too long", strings.Repeat(" ", 3*Most), ErrTooLong},
		{"no data", sealed(1), ErrDamaged},
		{"version 0", sealed(0, 0), ErrDamaged},
		{"an unknown field", sealed(1, 0x80, 0x80, 0x01), ErrDamaged},
		{"a length that never ends", inText.mark + inText.write([]byte{1, 255, 255, 255, 255, 255, 255, 255, 255, 255, 255, 255, 255}), ErrDamaged},
		{"more loads than fit", sealed(1, 0x10, 0xff, 0xff, 0x03), ErrDamaged},
		{"a text longer than all", sealed(1, 0x01, 0xfc, 0xff, 0xff, 0xff, 0x0f), ErrDamaged},
		{"something left over", sealed(1, 0, 0), ErrDamaged},
	} {
		if _, err := Parse(c.s); err != c.want {
			t.Errorf("%s: got %v, want %v", c.what, err, c.want)
		}
	}
	var newer *NewerError
	if _, err := Parse(sealed(Version+1, 9, 9, 9)); !errors.As(err, &newer) || newer.Version != Version+1 {
		t.Errorf("a newer link: got %v", err)
	}
	if _, err := Parse("https://example.org/app/#" + good[:40] + "\r\n  " + good[40:] + " "); err != nil {
		t.Errorf("a wrapped address: %v", err)
	}
	// What plan.Decode refuses is refused here in its own words.
	for _, c := range []struct {
		field string
		spoil func(*plan.Plan)
	}{
		{"name", func(p *plan.Plan) { p.Name = "" }},
		{"name", func(p *plan.Plan) { p.Name = "a\u202eb" }},
		{"name", func(p *plan.Plan) { p.Name = strings.Repeat("x", 61) }},
		{"mains_v", func(p *plan.Plan) { p.Mains = 1e9 }},
		{"loads[1].name", func(p *plan.Plan) { p.Loads[1].Name = p.Loads[0].Name }},
		{"loads[0].rank", func(p *plan.Plan) { p.Loads[0].Rank = "royal" }},
		{"loads[0].duty", func(p *plan.Plan) { p.Loads[0].Duty = 1.5 }},
		{"supply.gauge.bars", func(p *plan.Plan) { p.Supply.Gauge.Bars = math.MaxInt32 }},
		{"outage.starts", func(p *plan.Plan) { p.Outage.Starts = plan.Moment{} }},
		{"outage.starts", func(p *plan.Plan) { p.Outage.Starts = plan.At(time.Date(2250, 1, 1, 0, 0, 0, 0, time.UTC)) }},
	} {
		p := written(t, plantest.Cottage(t))
		c.spoil(&p)
		var bad *doc.Error
		if _, err := Parse(Text(p)); !errors.As(err, &bad) || bad.Field != c.field {
			t.Errorf("%s spoilt: got %v", c.field, err)
		}
	}
	// What no page writes is damage.
	for what, spoil := range map[string]func(*plan.Plan){
		"not a number":                        func(p *plan.Plan) { p.Mains = units.Volts(math.NaN()) },
		"the minute after the last of a day":  func(p *plan.Plan) { p.Loads[0].Use = []load.Window{{From: 0, To: load.Day}} },
		"more bars than a small number holds": func(p *plan.Plan) { p.Supply.Gauge.Bars = math.MaxInt32 + 1 },
	} {
		p := written(t, plantest.Cottage(t))
		spoil(&p)
		if _, err := Parse(Text(p)); err != ErrDamaged {
			t.Errorf("%s: got %v", what, err)
		}
	}
}

func TestTooBigForALink(t *testing.T) {
	p := plantest.Cottage(t)
	p.Loads = nil
	for i := range plan.MostLoads {
		p.Loads = append(p.Loads, load.Load{Name: fmt.Sprintf("%03d %s", i, strings.Repeat("long ", 10)), Running: 1})
	}
	if Text(p) != "" || QR(p) != "" {
		t.Error("got a link, want none")
	}
	p.Loads = p.Loads[:50]
	roundTrip(t, p)
}

// A link may have Most characters, and as many again before it.
func TestTheLongestLink(t *testing.T) {
	p := plantest.Cottage(t)
	p.Loads = nil
	for i := range plan.MostLoads {
		p.Loads = append(p.Loads, load.Load{Name: fmt.Sprint(i, strings.Repeat("+", 20)), Rank: load.Useful, Outlet: load.AC, Count: 1, Running: 1, Duty: 1, PowerFactor: 1, Basis: load.Typical})
	}
	i := 0
	longer := func() string { // by a byte: "+" is none of letters
		if len(p.Loads[i].Name) == 60 {
			i++
		}
		p.Loads[i].Name += "+"
		return Text(p)
	}
	s := longer()
	for len(s) < Most && s != "" {
		s = longer()
	}
	if len(s) != Most {
		t.Fatalf("got a link of %d characters, want %d", len(s), Most)
	}
	if got, err := Parse(strings.Repeat("x", Most-1) + "#" + s); err != nil || !reflect.DeepEqual(got, written(t, p)) {
		t.Errorf("got %v", err)
	}
	if s = longer(); s != "" {
		t.Errorf("got a link of %d characters, want none", len(s))
	}
}

// Unknown fields stay behind; all else comes along.
func TestUnknownFieldsStayBehind(t *testing.T) {
	want := plantest.Cottage(t)
	p := plantest.Cottage(t)
	p.Unknown = doc.Unknown{"x": []byte("1")}
	p.Loads[0].Unknown = doc.Unknown{"y": []byte(`"z"`)}
	got, err := Parse(Text(p))
	if err != nil || !reflect.DeepEqual(got, want) {
		t.Errorf("got %+v, %v", got, err)
	}
}

// Every field of every part of a plan comes back, whatever fields there will be.
func TestEveryFieldIsCarried(t *testing.T) {
	p := plan.Plan{}
	count := 0
	fill(reflect.ValueOf(&p).Elem(), &count)
	if count < 100 {
		t.Fatalf("only %d fields filled", count)
	}
	w := &coder{}
	planPart(w, &p)
	r := &coder{reading: true, in: w.out}
	var got plan.Plan
	planPart(r, &got)
	if r.bad || len(r.in) > 0 || !reflect.DeepEqual(got, p) {
		t.Errorf("got\n%+v\nwant\n%+v", got, p)
	}
}

// fill gives every field but the unknown ones a value of its own that is not
// the usual one.
func fill(v reflect.Value, n *int) {
	switch v.Interface().(type) {
	case doc.Unknown, plan.Log, []plan.Past, []plan.Candidate: // stay behind
		return
	case plan.Moment:
		v.Set(reflect.ValueOf(plan.At(time.Date(2031, 5, 6, 7, 8, 0, 0, time.UTC))))
		return
	case load.Minute:
		*n++
		v.SetInt(int64(*n))
		return
	}
	*n++
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			fill(v.Field(i), n)
		}
	case reflect.Slice:
		v.Set(reflect.MakeSlice(v.Type(), 2, 2))
		fill(v.Index(0), n)
		fill(v.Index(1), n)
	case reflect.Pointer:
		v.Set(reflect.New(v.Type().Elem()))
		fill(v.Elem(), n)
	case reflect.Float64:
		v.SetFloat(float64(*n) + 0.1)
	case reflect.Int:
		v.SetInt(int64(*n))
	case reflect.String:
		v.SetString(fmt.Sprint("text ", *n))
	case reflect.Bool:
		v.SetBool(true)
	default:
		panic("a field of kind " + v.Kind().String())
	}
}

func TestNumbersComeBackBitByBit(t *testing.T) {
	rnd := rand.New(rand.NewPCG(1, 2))
	try := func(v float64) {
		w := &coder{}
		w.writeNumber(v)
		r := &coder{reading: true, in: w.out}
		got, known := r.readNumber()
		if !known || r.bad || len(r.in) > 0 || !same(got, v) {
			t.Fatalf("%v came back as %v", v, got)
		}
		if len(w.out) > 9 {
			t.Fatalf("%v takes %d bytes", v, len(w.out))
		}
	}
	for _, v := range []float64{0, math.Copysign(0, -1), 1, -1, 0.1, 0.35, -63.57, 44.65, 1024, 1.0 / 3, 5e-324, math.MaxFloat64, -math.MaxFloat64, 1 << 46, 1<<46 - 1, 0.07, 1.1} {
		try(v)
	}
	for range 20000 {
		try(math.Round(rnd.NormFloat64()*1e6) / []float64{1, 10, 100, 1000, 1e4, 1e5}[rnd.IntN(6)])
		if v := math.Float64frombits(rnd.Uint64()); !math.IsNaN(v) && !math.IsInf(v, 0) {
			try(v)
		}
	}
	size := func(v float64) int {
		w := &coder{}
		w.writeNumber(v)
		return len(w.out)
	}
	// Three bits tell how, for a number below 0 six; seven go into a byte.
	for v, want := range map[float64]int{12: 1, 0.35: 2, 1200: 2, -63.57: 3, 0.1234: 2, 0.12345: 9} {
		if got := size(v); got != want {
			t.Errorf("%v takes %d bytes, want %d", v, got, want)
		}
	}
}

func TestTextsComeBack(t *testing.T) {
	for _, s := range []string{"a", "Z", "QUEEN Xx", "Harbour cottage", "America/Argentina/Buenos_Aires", "5f0c33a1b2d4e687", "5F", "Öl", "漢字", "\x00", " ", "12 V", "dead beef", "a+b", letters} {
		w := &coder{}
		w.writeText(s, nil)
		if most := len(s) + 2; len(w.out) > most {
			t.Errorf("%q takes %d bytes", s, len(w.out))
		}
		r := &coder{reading: true, in: w.out}
		if got := r.readText(nil); got != s || r.bad || len(r.in) > 0 {
			t.Errorf("%q came back as %q", s, got)
		}
	}
	// By hand: one byte tells how and how long. Two hexadecimal digits go into a
	// byte; so do two letters, of which a capital Z takes three and an apostrophe
	// two.
	for s, want := range map[string]int{"5f0c33a1b2d4e687": 1 + 8, "Zoe's tent": 1 + (8+3+2+1)/2, "Öl": 1 + 3} {
		w := &coder{}
		if w.writeText(s, nil); len(w.out) != want {
			t.Errorf("%q takes %d bytes, want %d", s, len(w.out), want)
		}
	}
	words := []string{"leaned", "flat"}
	for n, want := range append(words, "") {
		r := &coder{reading: true, in: []byte{byte(n<<2 | wordText)}}
		if got := r.readText(words); got != want || r.bad != (want == "") {
			t.Errorf("word %d is %q, bad: %v", n, got, r.bad)
		}
	}
}

// The meanings are those of version 1: a link sent today must mean the same
// after any change to the catalogue. A new thing goes to the end of things and
// here. An entry whose figures changed needs a number of its own, and its old
// number the old figures.
func TestThingsKeepTheirMeaning(t *testing.T) {
	file, err := os.ReadFile("testdata/things.txt")
	if err != nil {
		t.Fatal(err)
	}
	var now []string
	for i, key := range things {
		l, ok := thing(uint64(i + 1))
		if !ok {
			t.Errorf("%d: %s is no longer in the catalogue", i+1, key)
		}
		now = append(now, meaning(i+1, l))
	}
	want := strings.Split(strings.TrimSpace(string(file)), "\n")
	for i := range max(len(want), len(now)) {
		switch {
		case i >= len(now):
			t.Errorf("number %d is gone: %s", i+1, want[i])
		case i >= len(want):
			t.Errorf("new, to be added to testdata/things.txt: %s", now[i])
		case now[i] != want[i]:
			t.Errorf("number %d in links means\n%s, but used to mean\n%s", i+1, now[i], want[i])
		}
	}
	for _, e := range load.Catalogue() {
		if numbers[e.Name] == 0 {
			t.Errorf("%s has no number: links with it are long", e.Key)
		}
	}
}

// meaning is all that a number stands for.
func meaning(n int, l load.Load) string {
	return fmt.Sprintf("%d %s", n, strings.Join(strings.Fields(string(l.Write().Bytes())), " "))
}

func TestThingOf(t *testing.T) {
	for name, key := range map[string]string{"Internet router": "router", "Internet router 2": "router", "Chest freezer": "freezer-chest", "My lamp": "", "": "", "12": ""} {
		want := uint64(0)
		for i, k := range things {
			if k == key {
				want = uint64(i + 1)
			}
		}
		if got := thingOf(name); got != want {
			t.Errorf("%q: got %d, want %d", name, got, want)
		}
	}
}

// Links of version 1, as they were sent.
func TestOldLinks(t *testing.T) {
	file, err := os.ReadFile("testdata/links.txt")
	if err != nil {
		t.Fatal(err)
	}
	sent := household(t, twenty...)
	for i := range sent.Loads { // with the figures that its things had then
		then, ok := thing(thingOf(sent.Loads[i].Name))
		if !ok {
			t.Fatal(sent.Loads[i].Name)
		}
		sent.Loads[i] = then
	}
	want := []plan.Plan{plantest.Cottage(t), plantest.Cottage(t), sent, sent}
	for i, s := range strings.Fields(string(file)) {
		got, err := Parse(s)
		if err != nil || !reflect.DeepEqual(got, written(t, want[i])) {
			t.Errorf("link %d: got %+v, %v", i, got, err)
		}
	}
}

// What the catalogue says of a thing now is what a link made now says, though its
// number means what it said before.
func TestChangedThings(t *testing.T) {
	for n := range former {
		e, ok := load.Find(things[n-1])
		before, _ := thing(n)
		if !ok || reflect.DeepEqual(before, e.Load()) {
			t.Errorf("%d, %s: it has no other figures now", n, things[n-1])
		}
		p := household(t, things[n-1])
		roundTrip(t, p)
		if got, err := Parse(Text(p)); err != nil || !reflect.DeepEqual(got.Loads[0], written(t, p).Loads[0]) || got.Loads[0].Daily != e.Load().Daily {
			t.Errorf("%s: %+v, %v", e.Key, got.Loads, err)
		}
	}
	if before, _ := thing(44); before.Daily != 20 {
		t.Errorf("a phone of before takes %v Wh a day, want 20", before.Daily)
	}
}

// A link has the least version that can tell its plan, so that older pages read
// all that they could.
func TestLeastVersion(t *testing.T) {
	version := func(p plan.Plan) byte {
		b, whole := inText.read(Text(p)[1:])
		if !whole || len(b) == 0 {
			t.Fatal("no link")
		}
		return b[0]
	}
	p := household(t, six...)
	if got := version(p); got != 1 {
		t.Errorf("without new fields: got %d", got)
	}
	for name, change := range map[string]func(p *plan.Plan){
		"cycle":   func(p *plan.Plan) { p.Loads[5].Cycle = 40 },
		"night":   func(p *plan.Plan) { p.Supply.Battery.Night = new(2.0) },
		"back on": func(p *plan.Plan) { p.Supply.BackOn = new(0.2) },
		"comfort": func(p *plan.Plan) { p.Outage.ComfortBelow = new(0.4) },
		"refill": func(p *plan.Plan) {
			p.Outage.Refills = []plan.Refill{{Kind: charge.Car, Below: new(0.3)}}
		},
	} {
		q := household(t, six...)
		q.Loads = append([]load.Load(nil), q.Loads...)
		change(&q)
		if got := version(q); got != 2 {
			t.Errorf("%s: got %d", name, got)
		}
		roundTrip(t, q)
	}
}

func TestTenThousandPlans(t *testing.T) {
	n := 10000
	if testing.Short() {
		n = 300
	}
	g := &maker{rand.New(rand.NewPCG(3, 4))}
	for range n {
		p := g.plan()
		got, err := Parse(Text(p))
		if err != nil || !reflect.DeepEqual(got, p) {
			t.Fatalf("%v; got\n%s\nwant\n%s", err, got.Encode(), p.Encode())
		}
		// The code differs in its alphabet only.
		text, err1 := unframe(Text(p))
		code, err2 := unframe(QR(p))
		if err1 != nil || err2 != nil || !bytes.Equal(text, code) {
			t.Fatalf("%v, %v; text and code differ for\n%s", err1, err2, p.Encode())
		}
	}
}

// maker makes plans that can stand.
type maker struct{ *rand.Rand }

func (g *maker) one(of []string) string { return of[g.IntN(len(of))] }

// in is a number in a range: round, with few decimals, or any.
func (g *maker) in(r doc.Range) float64 {
	v := r.Low + g.Float64()*(r.High-r.Low)
	switch g.IntN(4) {
	case 0:
		v = math.Round(v)
	case 1:
		v = math.Round(v*100) / 100
	case 2:
		v = []float64{r.Low, r.High}[g.IntN(2)]
	}
	return min(max(v, r.Low), r.High)
}

func (g *maker) maybe(r doc.Range) *float64 {
	if g.IntN(2) == 0 {
		return nil
	}
	return new(g.in(r))
}

func (g *maker) name(most int) string {
	letters := []rune("abc XYZ 0123 éß漢🕯-(),.’\"\\<&")
	s := "n"
	for range g.IntN(most) {
		s += string(letters[g.IntN(len(letters))])
	}
	return s
}

func (g *maker) minute() load.Minute { return load.Minute(g.IntN(1440)) }

func (g *maker) load(i int) load.Load {
	var l load.Load
	if g.IntN(2) == 0 {
		all := load.Catalogue()
		l = all[g.IntN(len(all))].Load()
	} else {
		l = load.Load{Name: g.name(20), Rank: load.Rank(g.one(load.Ranks)), Outlet: load.Outlet(g.one(load.Outlets)), Count: 1 + g.IntN(100),
			Starting: units.Watts(g.in(load.StartingRange)), Duty: g.in(load.DutyRange), PowerFactor: g.in(load.PowerFactorRange),
			CyclesItself: g.IntN(2) == 0, Basis: load.Basis(g.one(load.Bases))}
		if g.IntN(3) == 0 {
			l.PowerFactor = float64(g.IntN(2)) // not told, or told as 1
		}
		if g.IntN(3) == 0 {
			l.Daily = units.WattHours(max(0.001, g.in(load.DailyRange)))
		} else {
			l.Running = units.Watts(g.in(load.RunningRange))
			l.Low, l.High = g.maybe(doc.Range{Low: 0, High: float64(l.Running)}), g.maybe(doc.Range{Low: float64(l.Running), High: 20000})
		}
	}
	if g.IntN(3) == 0 {
		l.Running, l.Low, l.High = l.Running/3, nil, nil
	}
	if l.Name += fmt.Sprint(" ", i); g.IntN(2) == 0 {
		l.Off = true
	}
	for range g.IntN(3) {
		l.Use = append(l.Use, load.Window{From: g.minute(), To: g.minute()})
	}
	return l
}

func (g *maker) label() panel.Label {
	l := panel.Label{Pmax: units.Watts(g.in(panel.PmaxRange)), VocPct: g.maybe(panel.VocPctRange), PmaxPct: g.maybe(panel.PmaxPctRange), Cells: 1 + g.IntN(200)}
	if g.IntN(2) == 0 {
		l.Voc = units.Volts(g.in(panel.VoltsRange))
	}
	if t := g.maybe(panel.NOCTRange); t != nil {
		l.NOCT = new(units.Celsius(*t))
	}
	return l
}

func (g *maker) input() charge.Input {
	in := charge.Input{Kind: charge.Kind(g.one(charge.Kinds))}
	switch in.Kind {
	case charge.Panel:
		in.MaxV, in.MaxA = units.Volts(g.in(charge.MaxVRange)), units.Amps(g.in(charge.MaxARange))
		in.MinV = in.MaxV / 3
		in.Unlimited = g.IntN(2) == 0
	case charge.Car:
		in.Volts, in.Amps, in.Fuse = units.Volts(g.in(charge.VoltsRange)), units.Amps(g.in(charge.AmpsRange)), units.Amps(g.in(charge.AmpsRange))
	case charge.Generator:
		in.Fuel = make([]charge.FuelPoint, 2)
		in.Fuel[0].LPerH = 0.25
		in.Fuel[1].Load, in.Fuel[1].LPerH = 1500, 0.75
		in.Tank = g.in(charge.TankRange)
		fallthrough
	case charge.Wall:
		in.Watts = units.Watts(g.in(charge.WattsRange))
	}
	return in
}

func (g *maker) plan() plan.Plan {
	p := plan.New(g.name(30), plan.At(time.Date(2000+g.IntN(100), 1, 1+g.IntN(365), 0, g.IntN(1440), 0, 0, time.UTC)))
	if g.IntN(2) == 0 {
		p.ID = fmt.Sprintf("%016x", g.Uint64())
	}
	p.Mains = units.Volts(g.in(plan.MainsRange))
	p.Place = plan.Place{Name: g.name(30), Lat: g.maybe(plan.LatRange), Lon: g.maybe(plan.LonRange),
		Zone: []string{"", "America/Halifax", "Europe/Berlin", "UTC", "Etc/GMT+3", "America/"}[g.IntN(6)], Offset: g.maybe(plan.OffsetRange)}
	for i := range g.IntN(6) {
		p.Loads = append(p.Loads, g.load(i))
	}
	s := &p.Supply
	if g.IntN(5) > 0 {
		s.Name = g.name(30)
		s.Battery = battery.Battery{Chemistry: battery.Chemistries[g.IntN(4)], Capacity: units.WattHours(g.in(battery.CapacityRange)),
			AgeYears: g.in(battery.AgeRange), Cycles: g.in(battery.CyclesRange), Room: units.Celsius(g.in(battery.RoomRange)),
			Cutoff: g.maybe(battery.CutoffRange), Health: g.maybe(battery.HealthRange), SelfDischarge: g.maybe(battery.SelfDischargeRange),
			Peukert: g.maybe(battery.PeukertRange), RatedHours: g.maybe(battery.RatedHoursRange), ChargeEfficiency: g.maybe(battery.ChargeEfficiencyRange)}
	}
	if g.IntN(2) == 0 {
		s.Inverter = inverter.Inverter{Continuous: units.Watts(g.in(inverter.ContinuousRange)), ContinuousVA: g.maybe(inverter.ContinuousVARange),
			SurgeW: g.maybe(inverter.SurgeRange), SurgeS: g.maybe(inverter.SurgeTimeRange), IdleW: g.maybe(inverter.IdleRange),
			Efficiency: g.maybe(inverter.EfficiencyRange), EfficiencyAtW: g.maybe(inverter.EfficiencyAtRange),
			Efficiency2: g.maybe(inverter.EfficiencyRange), Efficiency2AtW: g.maybe(inverter.EfficiencyAtRange), OffWhenUnused: g.IntN(2) == 0}
	}
	s.DCEfficiency = g.in(plan.DCRange)
	s.Gauge.Kind = plan.GaugeKind(g.one(plan.Gauges))
	if s.Gauge.Kind == plan.Bars {
		s.Gauge.Bars = 2 + g.IntN(19)
	}
	for range g.IntN(4) {
		s.Inputs = append(s.Inputs, g.input())
	}
	s.OneInput, s.Price, s.Weight = g.IntN(2) == 0, g.maybe(plan.PriceRange), g.maybe(plan.WeightRange)
	if g.IntN(2) == 0 {
		p.Panels = plan.Panels{PanelSet: plan.PanelSet{Label: g.label(), Count: g.IntN(25)}, Mount: plan.Mount(g.one(plan.Mounts)),
			Tilt: g.maybe(plan.TiltRange), Azimuth: g.maybe(plan.AzimuthRange), Shade: g.in(plan.ShadeRange), CableM: g.maybe(plan.CableRange)}
		if g.IntN(2) == 0 {
			p.Panels.SunFrom, p.Panels.SunTo = new(load.Minute(g.IntN(700))), new(700+load.Minute(g.IntN(700)))
		}
		if g.IntN(2) == 0 {
			p.Panels.Second = plan.PanelSet{Label: g.label(), Count: g.IntN(25)}
		}
	}
	o := &p.Outage
	o.Hours, o.Confidence, o.UnderWay = units.Hours(g.in(plan.HoursRange)), g.in(plan.ConfidenceRange), g.IntN(2) == 0
	o.SOC = g.in(plan.SOCRange)
	o.SOCLow = g.maybe(doc.Range{Low: 0, High: o.SOC})
	if g.IntN(2) == 0 {
		g.rules(&p)
	}
	return p
}

// rules are the fields that came with version 2.
func (g *maker) rules(p *plan.Plan) {
	o := &p.Outage
	o.UsefulBelow, o.ComfortBelow = g.maybe(doc.Range{Low: 0.05, High: 0.4}), g.maybe(doc.Range{Low: 0.4, High: 0.9})
	p.Supply.BackOn = g.maybe(plan.BackOnRange)
	if p.Supply.Battery.Chemistry != "" {
		p.Supply.Battery.Night = g.maybe(doc.Range{Low: -30, High: float64(p.Supply.Battery.Room)})
	}
	for i := range p.Loads {
		if g.IntN(2) == 0 {
			p.Loads[i].Cycle = g.in(load.CycleRange)
		}
	}
	for _, kind := range plan.RefillKinds[:g.IntN(3)] {
		f := plan.Refill{Kind: charge.Kind(kind), Below: new(g.in(plan.BelowRange))}
		if g.IntN(2) == 0 {
			f.From, f.To = new(load.Minute(g.IntN(1440))), new(load.Minute(g.IntN(1440)))
		}
		if f.Kind == charge.Generator {
			f.Litres = g.in(plan.LitresRange)
		}
		o.Refills = append(o.Refills, f)
	}
}

// Whatever comes in is refused, or is a plan whose own link comes back the same.
func FuzzParse(f *testing.F) {
	f.Add("")
	f.Add("card")
	f.Add(Text(plantest.Cottage(f)))
	f.Add(QR(plantest.Cottage(f)))
	f.Add(QR(household(f, twenty...)))
	f.Fuzz(func(t *testing.T, s string) {
		if p, err := Parse(s); err == nil {
			roundTrip(t, p)
		}
	})
}

// The same past the checksum, where chance seldom leads.
func FuzzData(f *testing.F) {
	for _, p := range []plan.Plan{plantest.Cottage(f), household(f, six...), household(f, twenty...)} {
		c := &coder{}
		planPart(c, &p)
		f.Add(c.out)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		s := inText.mark + inText.write(frame(Version, data))
		p, err := Parse(s)
		if err != nil {
			return
		}
		if Text(p) == "" { // data that tells the usual at length
			return
		}
		roundTrip(t, p)
	})
}

// Fuel that nobody told is not told in a link either.
func TestFuelThatIsNotTold(t *testing.T) {
	p := plantest.Cottage(t)
	p.Supply.Inputs = append(p.Supply.Inputs, charge.Input{Kind: charge.Generator, Watts: 2000})
	p.Outage.Refills = []plan.Refill{{Kind: charge.Generator, Below: new(0.3)}}
	got, err := Parse(Text(p))
	if err != nil || len(got.Outage.Refills) != 1 || got.Outage.Refills[0].Litres != 0 {
		t.Errorf("%v, %+v", err, got.Outage.Refills)
	}
}
