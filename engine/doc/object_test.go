package doc

import (
	"bytes"
	"encoding/json"
	"reflect"
	"strings"
	"testing"
)

// thing has a field of every sort.
type thing struct {
	name  string
	kind  string
	watts float64
	share *float64
	bars  int
	on    bool
	inner *thing
	list  []thing
	rest  Unknown
}

var (
	wattsRange = Range{Low: 0, High: 1000, Unit: "W"}
	shareRange = Range{Low: 0, High: 1}
	barsRange  = Range{Low: 2, High: 10, Unit: "bars"}
)

func readThing(r *Reader) thing {
	v := thing{
		name:  r.Text("name", 8),
		kind:  r.Choice("kind", []string{"a", "b"}, "a"),
		watts: r.Number("watts", wattsRange, 5),
		share: r.Maybe("share", shareRange),
		bars:  r.Whole("bars", barsRange, 4),
		on:    r.Yes("on"),
	}
	if in := r.Object("inner"); in != nil {
		inner := readThing(in)
		v.inner = &inner
	}
	for _, one := range r.Objects("list", 3) {
		v.list = append(v.list, readThing(one))
	}
	v.rest = r.Unknown()
	return v
}

func (v thing) write() *Writer {
	w := new(Writer)
	w.Text("name", v.name)
	if v.kind != "a" {
		w.Text("kind", v.kind)
	}
	w.Number("watts", v.watts, 5)
	w.Maybe("share", v.share)
	w.Number("bars", float64(v.bars), 4)
	w.Yes("on", v.on)
	if v.inner != nil {
		w.Object("inner", v.inner.write())
	}
	var list []*Writer
	for _, one := range v.list {
		list = append(list, one.write())
	}
	w.Objects("list", list)
	w.Keep(v.rest)
	return w
}

const everyField = `{"name":"Tea <3","kind":"b","watts":12.5,"share":0.125,"bars":5,"on":true,` +
	`"inner":{"watts":7,"new":[1, {"x": null}]},"list":[{},{"name":"two","newer":"ü"}],` +
	`"a & b":1,"when":{"deep": {"er": [true, 1e400]}}}`

func TestReadAndWriteAgain(t *testing.T) {
	for _, text := range []string{`{}`, everyField} {
		r := Read([]byte(text), "")
		v := readThing(r)
		if err := r.Err(); err != nil {
			t.Fatalf("%s: %v", text, err)
		}
		got := v.write().Bytes()
		if !sameJSON(t, got, []byte(text)) {
			t.Errorf("written\n got %s\nwant %s", got, text)
		}
		again := readThing(Read(got, ""))
		if !reflect.DeepEqual(again, v) {
			t.Errorf("read again\n got %+v\nwant %+v", again, v)
		}
	}
}

// sameJSON compares two texts as JSON, numbers by how they are written.
func sameJSON(t *testing.T, a, b []byte) bool {
	t.Helper()
	var v [2]any
	for i, text := range [][]byte{a, b} {
		d := json.NewDecoder(bytes.NewReader(text))
		d.UseNumber()
		if err := d.Decode(&v[i]); err != nil {
			t.Fatalf("%s: %v", text, err)
		}
	}
	return reflect.DeepEqual(v[0], v[1])
}

func TestAbsentAndNull(t *testing.T) {
	for _, text := range []string{`{}`, ` { "name" : null , "kind":null, "watts": null ,"share":null,"bars":null,"on":null,"inner":null,"list":null } `} {
		r := Read([]byte(text), "")
		got := readThing(r)
		if want := (thing{kind: "a", watts: 5, bars: 4}); r.Err() != nil || !reflect.DeepEqual(got, want) {
			t.Errorf("%s\n got %+v, %v\nwant %+v", text, got, r.Err(), want)
		}
	}
}

func TestHas(t *testing.T) {
	r := Read([]byte(`{"watts":1,"share":null}`), "")
	if !r.Has("watts") || r.Has("share") || r.Has("bars") {
		t.Errorf("got %v, %v, %v, want true, false, false", r.Has("watts"), r.Has("share"), r.Has("bars"))
	}
	if r.Number("watts", wattsRange, 0); r.Has("watts") {
		t.Error("after reading: got true, want false")
	}
}

func TestErrorsNameFieldValueAndWant(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{``, `plan: must be an object in { }`},
		{`[1]`, `plan: [1] must be an object in { }`},
		{`{"watts":1001}`, `plan.watts: 1,001 must be between 0 and 1,000 W`},
		{`{"watts":"9"}`, `plan.watts: "9" must be a number between 0 and 1,000 W`},
		{`{"watts":1e999}`, `plan.watts: 1e999 must be a number between 0 and 1,000 W`},
		{`{"watts":{}}`, `plan.watts: {} must be a number between 0 and 1,000 W`},
		{`{"share":-0.1}`, `plan.share: -0.1 must be between 0 and 1`},
		{`{"bars":4.5}`, `plan.bars: 4.5 must be a whole number between 2 and 10 bars`},
		{`{"kind":"c"}`, `plan.kind: "c" must be one of a, b`},
		{`{"on":"yes"}`, `plan.on: "yes" must be true or false`},
		{`{"name":7}`, `plan.name: 7 must be a text in quotes`},
		{`{"name":"123456789"}`, `plan.name: a text of 9 characters must be at most 8 characters long`},
		{`{"name":"a\nb"}`, `plan.name: "a\nb" must be text without control characters`},
		{`{"name":"a\u202eb"}`, `plan.name: "a\u202eb" must be text without control characters`},
		{`{"inner":3}`, `plan.inner: 3 must be an object in { }`},
		{`{"inner":{"inner":{"watts":-1}}}`, `plan.inner.inner.watts: -1 must be between 0 and 1,000 W`},
		{`{"list":{}}`, `plan.list: {} must be a list in [ ]`},
		{`{"list":[{},{},{},{}]}`, `plan.list: a list of 4 must be at most 3 long`},
		{`{"list":[{},{"bars":1}]}`, `plan.list[1].bars: 1 must be between 2 and 10 bars`},
		{`{"list":[null]}`, `plan.list[0]: null must be an object in { }`},
		{`{"watts":-1,"share":-1}`, `plan.watts: -1 must be between 0 and 1,000 W`},
	} {
		r := Read([]byte(c.text), "plan")
		readThing(r)
		if err := r.Err(); err == nil || err.Error() != c.want {
			t.Errorf("%s\n got %v\nwant %s", c.text, err, c.want)
		}
	}
	r := Read([]byte(`{"watts":1,}`), "")
	if err := r.Err(); err == nil || !strings.HasPrefix(err.Error(), `the document: {"watts":1,} must be well-formed JSON`) {
		t.Errorf("broken JSON: got %v", err)
	}
}

func TestEmpty(t *testing.T) {
	w := new(Writer)
	w.Text("name", "")
	if !w.Empty() {
		t.Error("nothing written: got false, want true")
	}
	if w.Yes("on", true); w.Empty() {
		t.Error("a field written: got true, want false")
	}
}

func TestErrorsStayReadable(t *testing.T) {
	long := `{"watts":"` + strings.Repeat("ü", 1000) + `"}`
	r := Read([]byte(long), "")
	readThing(r)
	if err := r.Err(); err == nil || len([]rune(err.Error())) > 120 {
		t.Errorf("got %v, want at most 120 characters", err)
	}
}

// What is read and written again keeps every field this version does not know,
// and says the same the second time.
func FuzzReadAndWriteAgain(f *testing.F) {
	f.Add([]byte(everyField))
	f.Add([]byte(`{"watts":-0,"bars":1e1,"":"","watts ":1}`))
	f.Add([]byte("{\"a\xff\":\"\xff\",\"a\\u2028\":1}"))
	f.Add([]byte(`{"list":[{"list":[{"list":[{"x":[[]]}]}]}]}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		r := Read(data, "plan")
		v := readThing(r)
		if err := r.Err(); err != nil {
			if !strings.HasPrefix(err.Error(), "plan") {
				t.Fatalf("error without its field: %v", err)
			}
			return
		}
		var before map[string]json.RawMessage
		if err := json.Unmarshal(data, &before); err != nil {
			t.Fatalf("read what is not JSON: %v", err)
		}
		text := v.write().Bytes()
		var after map[string]json.RawMessage
		if err := json.Unmarshal(text, &after); err != nil {
			t.Fatalf("%v: %s", err, text)
		}
		for _, known := range []string{"name", "kind", "watts", "share", "bars", "on", "inner", "list"} {
			delete(before, known)
			delete(after, known)
		}
		if len(before) != len(after) {
			t.Fatalf("kept %d of %d unknown fields", len(after), len(before))
		}
		for name, want := range before {
			if got := after[name]; !bytes.Equal(got, want) {
				t.Fatalf("%q: got %s, want %s", name, got, want)
			}
		}
		r = Read(text, "plan")
		if again := readThing(r); r.Err() != nil || !reflect.DeepEqual(again, v) {
			t.Fatalf("second reading: %v\n got %+v\nwant %+v", r.Err(), again, v)
		}
	})
}
