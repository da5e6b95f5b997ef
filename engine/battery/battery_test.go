package battery

import (
	"bytes"
	"math"
	"reflect"
	"strings"
	"testing"

	"candleclock/engine/doc"
	"candleclock/engine/units"

	"pgregory.net/rapid"
)

func near(got, want, tolerance float64) bool { return math.Abs(got-want) <= tolerance }

const everyField = `{"chemistry":"agm","capacity_wh":1200,"age_years":2.5,"cycles":60,"room_c":-5.5,` +
	`"cutoff":0.05,"health":0.9,"self_discharge_month":0.04,"peukert":1.25,"rated_h":10,` +
	`"charge_efficiency":0.75,"colour":{"lid": "red"},"shelf":[1, 2]}`

func TestDocumentRoundTrip(t *testing.T) {
	for _, text := range []string{
		everyField,
		`{"chemistry":"lfp","capacity_wh":900}`,
		`{"chemistry":"agm","age_years":3,"room_c":-5}`, // what is known before its size is
		`{"chemistry":"nmc","capacity_wh":1,"cutoff":0,"health":1,"self_discharge_month":0}`,
	} {
		r := doc.Read([]byte(text), "battery")
		b := Read(r)
		if err := r.Err(); err != nil {
			t.Fatalf("%s: %v", text, err)
		}
		if got := string(b.Write().Bytes()); got != text {
			t.Errorf("written\n got %s\nwant %s", got, text)
		}
		again := Read(doc.Read(b.Write().Bytes(), "battery"))
		if !reflect.DeepEqual(again, b) {
			t.Errorf("read again\n got %+v\nwant %+v", again, b)
		}
	}
}

func TestRoomIsHeatedUnlessTold(t *testing.T) {
	b := Read(doc.Read([]byte(`{"chemistry":"lfp","capacity_wh":900}`), ""))
	if b.Room != 20 {
		t.Errorf("room got %v, want 20", b.Room)
	}
}

func TestReadRefuses(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{`{"capacity_wh":1}`, "battery.chemistry: must be there, one of lfp, nmc, agm, flooded"},
		{`{"chemistry":"tin","capacity_wh":1}`, `battery.chemistry: "tin" must be one of lfp, nmc, agm, flooded`},
		{`{"chemistry":"lfp","capacity_wh":0}`, "battery.capacity_wh: 0 must be between 1 and 1,000,000 Wh"},
		{`{"chemistry":"lfp","capacity_wh":9,"age_years":41}`, "battery.age_years: 41 must be between 0 and 40 years"},
		{`{"chemistry":"lfp","capacity_wh":9,"cycles":-1}`, "battery.cycles: -1 must be between 0 and 20,000 cycles"},
		{`{"chemistry":"lfp","capacity_wh":9,"room_c":61}`, "battery.room_c: 61 must be between -30 and 60 °C"},
		{`{"chemistry":"lfp","capacity_wh":9,"cutoff":0.96}`, "battery.cutoff: 0.96 must be between 0 and 0.95"},
		{`{"chemistry":"lfp","capacity_wh":9,"health":90}`, "battery.health: 90 must be between 0.1 and 1"},
		{`{"chemistry":"lfp","capacity_wh":9,"self_discharge_month":3}`, "battery.self_discharge_month: 3 must be between 0 and 1"},
		{`{"chemistry":"lfp","capacity_wh":9,"peukert":0.9}`, "battery.peukert: 0.9 must be between 1 and 2"},
		{`{"chemistry":"lfp","capacity_wh":9,"rated_h":0}`, "battery.rated_h: 0 must be between 1 and 100 hours"},
		{`{"chemistry":"lfp","capacity_wh":9,"charge_efficiency":94}`, "battery.charge_efficiency: 94 must be between 0.3 and 1"},
	} {
		r := doc.Read([]byte(c.text), "battery")
		Read(r)
		if err := r.Err(); err == nil || err.Error() != c.want {
			t.Errorf("%s\n got %v\nwant %s", c.text, err, c.want)
		}
	}
}

func FuzzRead(f *testing.F) {
	f.Add([]byte(everyField))
	f.Add([]byte(`{"chemistry":"flooded","capacity_wh":1e6,"rated_h":1,"peukert":2,"health":0.1}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		r := doc.Read(data, "")
		b := Read(r)
		if r.Err() != nil {
			return
		}
		text := b.Write().Bytes()
		again := doc.Read(text, "")
		if got := Read(again).Write().Bytes(); again.Err() != nil || !bytes.Equal(got, text) {
			t.Fatalf("second reading: %v\n got %s\nwant %s", again.Err(), got, text)
		}
		m := b.Model()
		if !(m.Usable >= 0 && m.Usable <= m.Aged && m.Aged <= m.Rated && m.Drain >= 0) {
			t.Fatalf("%s: %+v", text, m)
		}
	})
}

// anyBattery draws a battery from the whole of every range.
func anyBattery(t *rapid.T) Battery {
	in := func(name string, r doc.Range) float64 { return rapid.Float64Range(r.Low, r.High).Draw(t, name) }
	maybe := func(name string, r doc.Range) *float64 {
		if !rapid.Bool().Draw(t, name+" known") {
			return nil
		}
		return new(in(name, r))
	}
	return Battery{
		Chemistry:        rapid.SampledFrom(Chemistries).Draw(t, "chemistry"),
		Capacity:         units.WattHours(in("capacity", CapacityRange)),
		AgeYears:         in("age", AgeRange),
		Cycles:           in("cycles", CyclesRange),
		Room:             units.Celsius(in("room", RoomRange)),
		Cutoff:           maybe("cutoff", CutoffRange),
		Health:           maybe("health", HealthRange),
		SelfDischarge:    maybe("self-discharge", SelfDischargeRange),
		Peukert:          maybe("peukert", PeukertRange),
		RatedHours:       maybe("rated hours", RatedHoursRange),
		ChargeEfficiency: maybe("charge efficiency", ChargeEfficiencyRange),
	}
}

func TestAnyBatteryRoundTrips(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := anyBattery(t)
		r := doc.Read(b.Write().Bytes(), "")
		if got := Read(r); r.Err() != nil || !reflect.DeepEqual(got, b) {
			t.Fatalf("%v\n got %+v\nwant %+v", r.Err(), got, b)
		}
	})
}

func TestEveryChemistryHasItsFigures(t *testing.T) {
	for _, c := range Chemistries {
		if strings.TrimSpace(c.Name()) == "" {
			t.Errorf("%s: no name", c)
		}
		for _, err := range []error{
			CutoffRange.Check("cutoff", c.Cutoff()),
			SelfDischargeRange.Check("self-discharge", c.SelfDischarge()),
			RatedHoursRange.Check("rated hours", float64(c.RatedHours())),
			ChargeEfficiencyRange.Check("charge efficiency", c.ChargeEfficiency()),
		} {
			if err != nil {
				t.Errorf("%s: %v", c, err)
			}
		}
		if c.Lead() {
			if err := PeukertRange.Check("peukert", c.Peukert()); err != nil {
				t.Errorf("%s: %v", c, err)
			}
		}
	}
}
