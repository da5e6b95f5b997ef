package panel

import (
	"bytes"
	"strings"
	"testing"

	"candleclock/engine/doc"
)

func TestReadRefuses(t *testing.T) {
	for _, c := range []struct{ in, want string }{
		{`{}`, "pmax_w"},
		{`{"pmax_w":100}`, "voc_v"},
		{`{"pmax_w":"100","voc_v":21.8}`, "pmax_w"},
		{`{"pmax_w":1e9,"voc_v":21.8}`, "between 0.5 and 2,000 W"},
		{`{"pmax_w":100,"voc_v":18,"vmp_v":21.8}`, "above vmp_v, 21.8 V"},
		{`{"pmax_w":100,"voc_v":18,"vmp_v":18}`, "above vmp_v, 18 V"},
		{`{"pmax_w":100,"voc_v":21.8,"imp_a":5.9,"isc_a":5.5}`, "at least imp_a, 5.9 A"},
		{`{"pmax_w":200,"voc_v":21.8,"vmp_v":18.2,"imp_a":5.5}`, "within 20 % of vmp_v × imp_a, 100 W"},
		{`{"pmax_w":100,"voc_v":21.8,"imp_a":4}`, "above pmax_w ÷ imp_a, 25 V"},
		{`{"pmax_w":100,"voc_v":21.8,"voc_pct_per_c":-0.0029}`, "between -0.6 and -0.1 % per °C"},
		{`{"pmax_w":100,"voc_v":20,"imp_a":5}`, "above pmax_w ÷ imp_a, 20 V"},
		{`{"pmax_w":100,"voc_v":21.8,"pmax_pct_per_c":-0.0038}`, "between -0.8 and -0.1 % per °C"},
		{`{"pmax_w":100,"voc_v":21.8,"pmax_pct_per_c":-0.9}`, "between -0.8 and -0.1 % per °C"},
		{`{"pmax_w":100,"cells":36.5}`, "whole number"},
	} {
		r := doc.Read([]byte(c.in), "panels.module")
		Read(r)
		if err := r.Err(); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("Read(%s): error %v, want one that says %q", c.in, err, c.want)
		}
	}
}

// Half a label is a label, and figures may stand at the edge of what is possible.
func TestReadAccepts(t *testing.T) {
	for _, in := range []string{
		`{"pmax_w":100,"voc_v":21.8}`,
		`{"pmax_w":100,"vmp_v":18}`,
		`{"pmax_w":100,"cells":36}`,
		`{"pmax_w":100,"imp_a":5,"cells":36}`,
		`{"pmax_w":100,"voc_v":21.8,"imp_a":5}`,
		`{"vmp_v":18,"imp_a":5}`,
		`{"vmp_v":18,"imp_a":5,"isc_a":5}`,
		`{"pmax_w":125,"vmp_v":20,"imp_a":5}`, // a fifth below what it says
	} {
		r := doc.Read([]byte(in), "")
		if l := Read(r); r.Err() != nil || !l.Known() {
			t.Errorf("%s: got %+v, %v", in, l, r.Err())
		}
	}
}

// Any one figure makes a label known.
func TestKnown(t *testing.T) {
	for _, l := range []Label{{Pmax: 1}, {Vmp: 1}, {Imp: 1}, {Voc: 1}, {Isc: 1}, {Cells: 36}} {
		if !l.Known() {
			t.Errorf("%+v: got unknown", l)
		}
	}
	if (Label{}).Known() {
		t.Error("an empty label: got known")
	}
}

func TestLabelRoundTrip(t *testing.T) {
	in := `{"pmax_w":100,"vmp_v":18.2,"imp_a":5.5,"voc_v":21.8,"isc_a":5.9,"voc_pct_per_c":-0.29,"pmax_pct_per_c":-0.38,"noct_c":45,"cells":36,"glued":{"to":"the roof"}}`
	r := doc.Read([]byte(in), "")
	l := Read(r)
	if err := r.Err(); err != nil {
		t.Fatal(err)
	}
	if got := string(l.Write().Bytes()); got != in {
		t.Errorf("round trip = %s, want %s", got, in)
	}
}

func FuzzRead(f *testing.F) {
	f.Add([]byte(`{"pmax_w":100,"vmp_v":18.2,"imp_a":5.5,"voc_v":21.8,"isc_a":5.9,"voc_pct_per_c":-0.29,"noct_c":45}`))
	f.Add([]byte(`{"pmax_w":100,"cells":36,"x":[1,2]}`))
	f.Add([]byte(`{"vmp_v":18,"imp_a":5}`))
	f.Fuzz(func(t *testing.T, in []byte) {
		r := doc.Read(in, "")
		l := Read(r)
		if r.Err() != nil {
			return
		}
		m := FromLabel(l)
		if !(m.Voc > m.Vmp && m.Vmp > 0 && m.Isc >= m.Imp && m.Imp > 0 && m.Pmax > 0) {
			t.Fatalf("%s makes a module that cannot be: %+v", in, m)
		}
		once := l.Write().Bytes()
		r = doc.Read(once, "")
		again := Read(r)
		if r.Err() != nil || !bytes.Equal(again.Write().Bytes(), once) {
			t.Fatalf("%s is not read back: %v", once, r.Err())
		}
	})
}
