package plan

import (
	"reflect"
	"strings"
	"testing"

	"candleclock/engine/doc"
	"candleclock/engine/load"
)

// outageOf is a plan file whose outage has some fields more.
func outageOf(more string) []byte {
	return []byte(`{"candleclock":1,"name":"x","supply":{"battery":{"chemistry":"lfp","capacity_wh":500,"room_c":10,"night_c":2},"back_on":0.2},
		"loads":[{"name":"Fridge","running_w":90,"duty":0.3,"cycles_itself":true,"cycle_min":45}],
		"outage":{"starts":"2026-01-14T17:00",` + more + `}}`)
}

func TestRulesAreReadAndWritten(t *testing.T) {
	p, err := Decode(outageOf(`"comfort_below":0.5,"useful_below":0.2,"refills":[
		{"kind":"car","from":"08:00","to":"18:00"},{"kind":"generator","below":0.3,"litres":5,"later":1}]`))
	if err != nil {
		t.Fatal(err)
	}
	want := Rules{ComfortBelow: new(0.5), UsefulBelow: new(0.2), Refills: []Refill{
		{Kind: "car", From: new(load.Minute(480)), To: new(load.Minute(1080))},
		{Kind: "generator", Below: new(0.3), Litres: 5, Unknown: doc.Unknown{"later": []byte("1")}}}}
	if !reflect.DeepEqual(p.Outage.Rules, want) {
		t.Errorf("got %+v", p.Outage.Rules)
	}
	if *p.Supply.Battery.Night != 2 || p.Supply.Restarts() != 0.2 || p.Loads[0].Cycle != 45 {
		t.Errorf("got %+v", p)
	}
	again, err := Decode(p.Encode())
	if err != nil || !reflect.DeepEqual(settled(again), settled(p)) {
		t.Errorf("%v; written\n%s", err, p.Encode())
	}
	if none := New("x", Moment{}); none.Supply.Restarts() != DefaultBackOn || strings.Contains(string(none.Encode()), "back_on") {
		t.Errorf("written\n%s", none.Encode())
	}
}

func TestRefillHours(t *testing.T) {
	night := Refill{From: new(load.Minute(22 * 60)), To: new(load.Minute(6 * 60))}
	for m, want := range map[load.Minute]bool{22*60 - 1: false, 22 * 60: true, 0: true, 6*60 - 1: true, 6 * 60: false} {
		if got := night.Holds(m); got != want {
			t.Errorf("%v: got %v", m, got)
		}
		if !(Refill{}).Holds(m) {
			t.Errorf("%v: not at any hour", m)
		}
	}
}

func TestRefusesRules(t *testing.T) {
	for _, c := range []struct {
		more string
		want []string // in the error
	}{
		{`"comfort_below":0.01`, []string{"outage.comfort_below", "0.01", "0.05", "0.9"}},
		{`"useful_below":"low"`, []string{"outage.useful_below", "0.05"}},
		{`"comfort_below":0.2,"useful_below":0.3`, []string{"outage.useful_below", "0.3", "at most comfort_below, 0.2"}},
		{`"refills":[{"kind":"wall","below":0.3}]`, []string{"outage.refills[0].kind", "wall", "car"}},
		{`"refills":[{"below":0.3}]`, []string{"outage.refills[0].kind", "car or generator"}},
		{`"refills":[{"kind":"car"}]`, []string{"outage.refills[0].below", "0.05"}},
		{`"refills":[{"kind":"car","from":"08:00"}]`, []string{"outage.refills[0].to", "together with from"}},
		{`"refills":[{"kind":"car","to":"08:00"}]`, []string{"outage.refills[0].from", "together with to"}},
		{`"refills":[{"kind":"car","below":0.3},{"kind":"car","below":0.2}]`, []string{"outage.refills[1].kind", "different"}},
		{`"refills":[{"kind":"generator","below":0.3,"litres":0}]`, []string{"outage.refills[0].litres", "0", "0.1"}},
		{`"refills":[{},{},{}]`, []string{"outage.refills", "2"}},
	} {
		_, err := Decode(outageOf(c.more))
		if err == nil {
			t.Errorf("%s: no error", c.more)
			continue
		}
		for _, want := range c.want {
			if !strings.Contains(err.Error(), want) {
				t.Errorf("%s: %q lacks %q", c.more, err, want)
			}
		}
	}
	for file, want := range map[string]string{
		`"night_c":2`:    `"night_c":11`,
		`"back_on":0.2`:  `"back_on":0.6`,
		`"cycle_min":45`: `"cycle_min":4`,
	} {
		_, err := Decode([]byte(strings.Replace(string(outageOf(`"hours":5`)), file, want, 1)))
		name, value, _ := strings.Cut(want, ":")
		if err == nil || !strings.Contains(err.Error(), strings.Trim(name, `"`)) || !strings.Contains(err.Error(), value) {
			t.Errorf("%s: %v", want, err)
		}
	}
}

// Comfort and what is useful may go at the same level.
func TestRulesAtOneLevel(t *testing.T) {
	const file = `{"candleclock":1,"name":"x","outage":{"starts":"2026-01-14T17:00","comfort_below":0.3,"useful_below":0.3}}`
	if _, err := Decode([]byte(file)); err != nil {
		t.Error(err)
	}
}

// Fuel that nobody told is not taken for told, in the file either.
func TestFuelThatIsNotTold(t *testing.T) {
	for more, want := range map[string]float64{`"refills":[{"kind":"generator","below":0.3}]`: 0, `"refills":[{"kind":"generator","below":0.3,"litres":1}]`: 1} {
		p, err := Decode(outageOf(more))
		if err != nil {
			t.Fatal(err)
		}
		again, err := Decode(p.Encode())
		if err != nil || again.Outage.Refills[0].Litres != want {
			t.Errorf("%s: %v, %+v", more, err, again.Outage.Refills)
		}
		if litres, told := again.Outage.Refills[0].Fuel(); litres != UnknownFuel || told != (want > 0) {
			t.Errorf("%s: %v litres, told %v", more, litres, told)
		}
	}
}
