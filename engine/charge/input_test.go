package charge

import (
	"bytes"
	"math"
	"strings"
	"testing"

	"candleclock/engine/doc"
	"candleclock/engine/units"
)

func read(t *testing.T, text string) Input {
	t.Helper()
	r := doc.Read([]byte(text), "")
	in := Read(r)
	if err := r.Err(); err != nil {
		t.Fatalf("Read(%s): %v", text, err)
	}
	return in
}

func TestInputRoundTrip(t *testing.T) {
	for _, text := range []string{
		`{"kind":"panel","min_v":12,"max_v":60,"max_a":12,"max_w":400}`,
		`{"kind":"panel","max_v":60,"max_a":12,"no_current_limit":true,"plug":"round"}`,
		`{"kind":"wall","watts":250,"min_v":3}`, // another kind's field is kept, and counts for nothing
		`{"kind":"car","volts":12,"amps":8,"fuse_a":15}`,
		`{"kind":"generator","watts":2000,"fuel":[{"load_w":1,"l_per_h":0.3},{"load_w":1000,"l_per_h":0.7}]}`,
		`{"kind":"generator","watts":2000,"tank_l":4,"fuel":[{"load_w":0,"l_per_h":0.3},{"load_w":1000,"l_per_h":0.7,"said":"manual"}]}`,
	} {
		if got := string(read(t, text).Write().Bytes()); got != text {
			t.Errorf("round trip = %s, want %s", got, text)
		}
	}
}

func TestReadRefuses(t *testing.T) {
	for _, c := range []struct{ in, want string }{
		{`{}`, "kind: must be one of panel, wall, car, generator"},
		{`{"kind":"wind"}`, "one of panel, wall, car, generator"},
		{`{"kind":"wall"}`, "watts: must be there, between 1 and 50,000 W"},
		{`{"kind":"wall","watts":0}`, "watts: 0 must be between 1 and 50,000 W"},
		{`{"kind":"car","volts":12}`, "amps"},
		{`{"kind":"car","volts":230,"amps":1}`, "volts: 230 must be between 5 and 60 V"},
		{`{"kind":"panel","min_v":12,"max_w":400}`, "max_v"},
		{`{"kind":"panel","min_v":60,"max_v":60,"max_w":400}`, "min_v: 60 must be below max_v, 60 V"},
		{`{"kind":"panel","max_v":60}`, "max_w"},
		{`{"kind":"panel","max_v":60,"max_w":400,"no_current_limit":true}`, "max_a"},
		{`{"kind":"generator","watts":2000,"fuel":[{"load_w":500,"l_per_h":1}]}`, "two loads"},
		{`{"kind":"generator","watts":2000,"fuel":[{"load_w":500,"l_per_h":1},{"load_w":500,"l_per_h":2}]}`, "fuel[1].load_w: 500 must be two different loads"},
		{`{"kind":"generator","watts":2000,"fuel":[{"load_w":500,"l_per_h":1},{"load_w":1000,"l_per_h":3}]}`, "fuel[1].l_per_h: 3 must be above 1 L/h"},
		{`{"kind":"generator","watts":2000,"fuel":[{"load_w":1000,"l_per_h":3},{"load_w":500,"l_per_h":1}]}`, "fuel[0].l_per_h: 3 must be above 1 L/h"},
	} {
		r := doc.Read([]byte(c.in), "")
		Read(r)
		if err := r.Err(); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("Read(%s): error %v, want one that says %q", c.in, err, c.want)
		}
	}
}

func TestPower(t *testing.T) {
	wall := Input{Kind: Wall, Watts: 250}
	generator := Input{Kind: Generator, Watts: 2000}
	for _, c := range []struct {
		name   string
		inputs []Input
		kind   Kind
		want   float64
	}{
		{"wall", []Input{wall}, Wall, 250},
		{"none of the kind", []Input{wall}, Car, 0},
		{"generator through the wall adapter", []Input{generator, wall}, Generator, 250},
		{"generator weaker than the adapter", []Input{{Kind: Generator, Watts: 200}, wall}, Generator, 200},
		{"generator, through whatever adapter", []Input{generator}, Generator, 100},
		{"weak generator, through whatever adapter", []Input{{Kind: Generator, Watts: 60}}, Generator, 60},
		{"car within what a socket bears", []Input{{Kind: Car, Volts: 12, Amps: 8}}, Car, 96},
		{"car above what a socket bears", []Input{{Kind: Car, Volts: 12, Amps: 15}}, Car, 100},
		{"car with its fuse known", []Input{{Kind: Car, Volts: 12, Amps: 15, Fuse: 20}}, Car, 180},
		{"car with a small fuse", []Input{{Kind: Car, Volts: 12, Amps: 15, Fuse: 10}}, Car, 96},
		{"panel by watts", []Input{{Kind: Panel, MaxV: 60, MaxA: 12, MaxW: 400}}, Panel, 400},
		{"panel by amps", []Input{{Kind: Panel, MaxV: 30, MaxA: 10, MaxW: 400}}, Panel, 300},
		{"panel, amps only", []Input{{Kind: Panel, MaxV: 30, MaxA: 10}}, Panel, 300},
		{"panel, watts only", []Input{{Kind: Panel, MaxV: 30, MaxW: 400}}, Panel, 400},
	} {
		if got := float64(Power(c.inputs, c.kind)); math.Abs(got-c.want) > 1e-9 {
			t.Errorf("%s: %v W, want %v", c.name, got, c.want)
		}
	}
}

func TestTogether(t *testing.T) {
	watts := []units.Watts{100, 250, -5}
	if got := Together(watts, true); got != 250 {
		t.Errorf("one at a time = %v, want the strongest, 250", got)
	}
	if got := Together(watts, false); got != 350 {
		t.Errorf("all at once = %v, want 350", got)
	}
}

func FuzzRead(f *testing.F) {
	f.Add([]byte(`{"kind":"panel","min_v":12,"max_v":60,"max_a":12,"max_w":400}`))
	f.Add([]byte(`{"kind":"car","volts":12,"amps":8,"x":{}}`))
	f.Add([]byte(`{"kind":"generator","watts":2000,"fuel":[{"load_w":500,"l_per_h":0.5},{"load_w":1000,"l_per_h":0.7}]}`))
	f.Fuzz(func(t *testing.T, text []byte) {
		r := doc.Read(text, "")
		in := Read(r)
		if r.Err() != nil {
			return
		}
		if m := in.Most(); !(m > 0) || math.IsInf(float64(m), 0) {
			t.Fatalf("%s brings %v W", text, m)
		}
		once := in.Write().Bytes()
		r = doc.Read(once, "")
		if again := Read(r); r.Err() != nil || !bytes.Equal(again.Write().Bytes(), once) {
			t.Fatalf("%s is not read back: %v", once, r.Err())
		}
	})
}
