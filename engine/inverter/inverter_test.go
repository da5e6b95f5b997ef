package inverter

import (
	"bytes"
	"math"
	"reflect"
	"testing"

	"candleclock/engine/doc"
	"candleclock/engine/units"

	"pgregory.net/rapid"
)

func near(got, want, tolerance float64) bool { return math.Abs(got-want) <= tolerance }

const everyField = `{"continuous_w":1200,"continuous_va":1500,"surge_w":2000,"surge_s":3,"idle_w":11,` +
	`"efficiency":0.89,"efficiency_at_w":500,"efficiency_2":0.87,"efficiency_2_at_w":1200,` +
	`"off_when_unused":true,"colour":{"lid": "red"},"shelf":[1, 2]}`

func TestDocumentRoundTrip(t *testing.T) {
	for _, text := range []string{everyField, `{}`, `{"idle_w":11,"efficiency":0.9}`, `{"continuous_w":300}`, `{"continuous_w":300,"surge_s":0,"idle_w":0}`} {
		r := doc.Read([]byte(text), "inverter")
		v := Read(r)
		if err := r.Err(); err != nil {
			t.Fatalf("%s: %v", text, err)
		}
		if got := string(v.Write().Bytes()); got != text {
			t.Errorf("written\n got %s\nwant %s", got, text)
		}
		again := Read(doc.Read(v.Write().Bytes(), "inverter"))
		if !reflect.DeepEqual(again, v) {
			t.Errorf("read again\n got %+v\nwant %+v", again, v)
		}
	}
}

func TestReadRefuses(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{`{"continuous_w":0}`, "inverter.continuous_w: 0 must be between 1 and 100,000 W"},
		{`{"continuous_w":9,"continuous_va":1e9}`, "inverter.continuous_va: 1,000,000,000 must be between 1 and 100,000 VA"},
		{`{"continuous_w":9,"surge_w":0}`, "inverter.surge_w: 0 must be between 1 and 300,000 W"},
		{`{"continuous_w":9,"surge_s":-1}`, "inverter.surge_s: -1 must be between 0 and 60 seconds"},
		{`{"continuous_w":9,"idle_w":1001}`, "inverter.idle_w: 1,001 must be between 0 and 1,000 W"},
		{`{"continuous_w":9,"efficiency":89}`, "inverter.efficiency: 89 must be between 0.3 and 1"},
		{`{"continuous_w":9,"efficiency_at_w":0}`, "inverter.efficiency_at_w: 0 must be between 1 and 100,000 W"},
		{`{"continuous_w":9,"efficiency_2":0.2}`, "inverter.efficiency_2: 0.2 must be between 0.3 and 1"},
		{`{"continuous_w":9,"efficiency_2_at_w":0}`, "inverter.efficiency_2_at_w: 0 must be between 1 and 100,000 W"},
		{`{"continuous_w":9,"off_when_unused":1}`, "inverter.off_when_unused: 1 must be true or false"},
	} {
		r := doc.Read([]byte(c.text), "inverter")
		Read(r)
		if err := r.Err(); err == nil || err.Error() != c.want {
			t.Errorf("%s\n got %v\nwant %s", c.text, err, c.want)
		}
	}
}

func FuzzRead(f *testing.F) {
	f.Add([]byte(everyField))
	f.Add([]byte(`{"continuous_w":1,"idle_w":1000,"efficiency":1,"efficiency_at_w":1}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		r := doc.Read(data, "")
		v := Read(r)
		if r.Err() != nil {
			return
		}
		text := v.Write().Bytes()
		again := doc.Read(text, "")
		if got := Read(again).Write().Bytes(); again.Err() != nil || !bytes.Equal(got, text) {
			t.Fatalf("second reading: %v\n got %s\nwant %s", again.Err(), got, text)
		}
		c := v.Curve()
		if got := c.DC(v.Continuous); !(got >= v.Continuous+c.Idle()) || math.IsInf(float64(got), 0) {
			t.Fatalf("%s: %v W from the battery for %v W", text, got, v.Continuous)
		}
	})
}

// anyInverter draws an inverter from the whole of every range.
func anyInverter(t *rapid.T) Inverter {
	in := func(name string, r doc.Range) float64 { return rapid.Float64Range(r.Low, r.High).Draw(t, name) }
	maybe := func(name string, r doc.Range) *float64 {
		if !rapid.Bool().Draw(t, name+" known") {
			return nil
		}
		return new(in(name, r))
	}
	return Inverter{
		Continuous:     units.Watts(in("continuous", ContinuousRange)),
		ContinuousVA:   maybe("continuous VA", ContinuousVARange),
		SurgeW:         maybe("surge", SurgeRange),
		SurgeS:         maybe("surge time", SurgeTimeRange),
		IdleW:          maybe("idle", IdleRange),
		Efficiency:     maybe("efficiency", EfficiencyRange),
		EfficiencyAtW:  maybe("efficiency at", EfficiencyAtRange),
		Efficiency2:    maybe("efficiency 2", EfficiencyRange),
		Efficiency2AtW: maybe("efficiency 2 at", EfficiencyAtRange),
		OffWhenUnused:  rapid.Bool().Draw(t, "off when unused"),
	}
}

func TestAnyInverterRoundTrips(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := anyInverter(t)
		r := doc.Read(v.Write().Bytes(), "")
		if got := Read(r); r.Err() != nil || !reflect.DeepEqual(got, v) {
			t.Fatalf("%v\n got %+v\nwant %+v", r.Err(), got, v)
		}
	})
}

// Usual no-load draws of inverters that run from a battery, from memory, good
// to half or double; ours must lean to the upper half.
func TestIdleWhenNotKnown(t *testing.T) {
	for _, c := range []struct{ rated, usual float64 }{{300, 5}, {1000, 12}, {2000, 20}, {3000, 30}} {
		got := float64(Inverter{Continuous: units.Watts(c.rated)}.Idle())
		if got < c.usual || got > 2*c.usual {
			t.Errorf("%v W: got %v W, want %v to %v", c.rated, got, c.usual, 2*c.usual)
		}
	}
	if got := (Inverter{Continuous: 1000, IdleW: new(0.0)}).Idle(); got != 0 {
		t.Errorf("told as none: got %v, want 0", got)
	}
	if got := (Inverter{Continuous: 100000}).Idle(); got != 1000 {
		t.Errorf("biggest: got %v, want the top of the range, 1000", got)
	}
}

func TestLimits(t *testing.T) {
	for _, c := range []struct {
		what string
		of   Inverter
		want Limits
	}{
		{"all told", Inverter{Continuous: 1200, ContinuousVA: new(1500.0), SurgeW: new(2000.0), SurgeS: new(3.0)},
			Limits{Continuous: 1200, ContinuousVA: 1500, Surge: 2000, SurgeS: 3}},
		{"nothing told: no surge, no credit for power factor", Inverter{Continuous: 1200},
			Limits{Continuous: 1200, ContinuousVA: 1200, Surge: 1200}},
		{"surge without a time", Inverter{Continuous: 1200, SurgeW: new(2000.0)},
			Limits{Continuous: 1200, ContinuousVA: 1200, Surge: 2000, SurgeS: 0.5}},
		{"a surge that no motor starts in", Inverter{Continuous: 1200, SurgeW: new(2000.0), SurgeS: new(0.4)},
			Limits{Continuous: 1200, ContinuousVA: 1200, Surge: 1200}},
		{"one of no time at all", Inverter{Continuous: 1200, SurgeW: new(2000.0), SurgeS: new(0.0)},
			Limits{Continuous: 1200, ContinuousVA: 1200, Surge: 1200}},
		{"one that is just long enough", Inverter{Continuous: 1200, SurgeW: new(2000.0), SurgeS: new(0.5)},
			Limits{Continuous: 1200, ContinuousVA: 1200, Surge: 2000, SurgeS: 0.5}},
		{"too short, and the two swapped", Inverter{Continuous: 2000, SurgeW: new(1200.0), SurgeS: new(0.1)},
			Limits{Continuous: 1200, ContinuousVA: 2000, Surge: 1200}},
		{"a time without a surge", Inverter{Continuous: 1200, SurgeS: new(3.0)},
			Limits{Continuous: 1200, ContinuousVA: 1200, Surge: 1200}},
		{"the two swapped", Inverter{Continuous: 2000, SurgeW: new(1200.0), SurgeS: new(3.0)},
			Limits{Continuous: 1200, ContinuousVA: 2000, Surge: 1200, SurgeS: 3}},
	} {
		if got := c.of.Limits(); got != c.want {
			t.Errorf("%s: got %+v, want %+v", c.what, got, c.want)
		}
	}
}

// Without limits an inverter loses what it did with them, at any load.
func TestFreeLosesTheSame(t *testing.T) {
	for _, v := range []Inverter{
		{Continuous: 600},
		{Continuous: 600, ContinuousVA: new(500.0), SurgeW: new(700.0), SurgeS: new(0.1), IdleW: new(3.0)},
		{Continuous: 2000, Efficiency: new(0.93), EfficiencyAtW: new(300.0), Efficiency2: new(0.88), Efficiency2AtW: new(1800.0)},
	} {
		f := v.Free()
		for _, w := range []units.Watts{0, 5, 150, 600, 3000} {
			if got, want := f.Curve().DC(w), v.Curve().DC(w); got != want {
				t.Errorf("%+v at %v W: draws %v W, with its limits %v", v, w, got, want)
			}
		}
		if l := f.Limits(); l.Continuous < 50000 || l.ContinuousVA < 50000 || l.Surge < 50000 {
			t.Errorf("%+v: still limited, %+v", v, l)
		}
	}
}
