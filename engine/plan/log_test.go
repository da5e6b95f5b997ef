package plan

import (
	"errors"
	"strings"
	"testing"
	"time"

	"candleclock/engine/doc"
	"candleclock/engine/units"
)

func later(h float64) Moment {
	return At(time.Date(2026, 1, 14, 17, 0, 0, 0, time.UTC)).After(units.Hours(h))
}

func TestLogIsKept(t *testing.T) {
	p := New("Test", later(0))
	p.Outage.UnderWay = true
	p.Outage.Log = p.Outage.Log.Read(Reading{At: later(0), SOCLow: 0.8, SOC: 1}).
		Read(Reading{At: later(2), SOCLow: 0.5, SOC: 0.5}).
		Switched(Switch{At: later(1), Load: "Lamp"}).
		Switched(Switch{At: later(1.5), Load: "Lamp", On: true}).
		Came(Power{At: later(-30)}).Came(Power{At: later(-24), Back: true, SOCLow: new(0.1), SOC: new(0.3)}).Came(Power{At: later(0)})
	p.Outage.Log.Readings[0].Unknown = doc.Unknown{"by": []byte(`"Ann"`)}
	p.Outage.Log.Switches[1].Unknown = doc.Unknown{"later": []byte(`1`)}
	p.Outage.Log.Power[1].Unknown = doc.Unknown{"said_by": []byte(`"radio"`)}
	same(t, p)
	back, err := Decode(p.Encode())
	if err != nil {
		t.Fatal(err)
	}
	g := back.Outage.Log
	if len(g.Readings) != 2 || g.Readings[0].SOCLow != 0.8 || g.Readings[1].SOCLow != 0.5 || g.Readings[1].At != later(2) {
		t.Errorf("readings: got %+v", g.Readings)
	}
	if len(g.Switches) != 2 || g.Switches[0].On || !g.Switches[1].On || g.Switches[1].Load != "Lamp" {
		t.Errorf("switches: got %+v", g.Switches)
	}
	if len(g.Power) != 3 || g.Power[0].Back || !g.Power[1].Back || g.Power[1].At != later(-24) || g.Power[2].Back {
		t.Errorf("power: got %+v", g.Power)
	}
	if e := g.Power[1]; e.SOC == nil || *e.SOC != 0.3 || *e.SOCLow != 0.1 || g.Power[0].SOC != nil {
		t.Errorf("charged: got %+v", g.Power)
	}
	// A load's new name is of no matter to the power.
	if r := g.Renamed("Lamp", "Torch"); len(r.Power) != 3 || r.Switches[0].Load != "Torch" {
		t.Errorf("renamed: %+v", r)
	}
}

func TestPowerIsInOrderAndBounded(t *testing.T) {
	var g Log
	if _, known := g.Out(); known {
		t.Error("out though nothing is noted")
	}
	for i := range MostPower + 5 {
		g = g.Came(Power{At: later(float64(i)), Back: i%2 == 1})
	}
	if len(g.Power) != MostPower || g.Power[0].At != later(5) {
		t.Errorf("%d moments from %v", len(g.Power), g.Power[0].At)
	}
	if since, known := g.Out(); !known || since != later(MostPower+4) {
		t.Errorf("out since %v, %v", since, known)
	}
	was := g
	g = g.Came(Power{At: later(MostPower + 4), Back: true}) // in the same minute
	if n := len(g.Power); n != MostPower || !g.Power[n-1].Back || was.Power[n-1].Back {
		t.Errorf("the same minute: %d moments, the last %+v", n, g.Power[n-1])
	}
	if _, known := g.Out(); known {
		t.Error("out though it came back")
	}
	if g = g.Came(Power{At: later(20.5)}); len(g.Power) != 17 || g.Power[15].At != later(20) {
		t.Errorf("set back: %d moments, the last but one %v", len(g.Power), g.Power[15].At)
	}
}

func TestLogIsInOrderAndBounded(t *testing.T) {
	var g Log
	for i := range MostReadings + 5 {
		g = g.Read(Reading{At: later(float64(i)), SOC: 1})
	}
	if len(g.Readings) != MostReadings || g.Readings[0].At != later(5) {
		t.Errorf("%d readings from %v", len(g.Readings), g.Readings[0].At)
	}
	// The same minute again, and a clock that was set back.
	was := g
	g = g.Read(Reading{At: later(MostReadings + 4), SOC: 0.5})
	if n := len(g.Readings); n != MostReadings || g.Readings[n-1].SOC != 0.5 || was.Readings[n-1].SOC != 1 {
		t.Errorf("the same minute: %d readings, the last %+v, before %+v", n, g.Readings[n-1], was.Readings[n-1])
	}
	g = g.Read(Reading{At: later(20.5), SOC: 0.4})
	if n := len(g.Readings); n != 17 || g.Readings[n-2].At != later(20) {
		t.Errorf("set back: %d readings, the last but one %v", n, g.Readings[n-2].At)
	}
	for i := range MostSwitches + 5 {
		g = g.Switched(Switch{At: later(float64(i)), Load: "Lamp"})
	}
	g = g.Switched(Switch{At: later(300.5), Load: "Lamp"})
	if n := len(g.Switches); n != 297 || g.Switches[0].At != later(5) {
		t.Errorf("%d switches from %v", n, g.Switches[0].At)
	}
}

// Two things may be switched in one minute, and one thing off and on again.
func TestSwitchesOfOneMinute(t *testing.T) {
	p := New("Test", later(0))
	for _, s := range []Switch{{At: later(1), Load: "Lamp"}, {At: later(1), Load: "Radio"}, {At: later(1), Load: "Lamp"}} {
		p.Outage.Log = p.Outage.Log.Switched(s)
	}
	if n := len(p.Outage.Log.Switches); n != 3 {
		t.Errorf("got %d switches, want 3", n)
	}
	same(t, p)
}

// A file may be as deep as it may be, and no deeper.
func TestNesting(t *testing.T) {
	for deep, ok := range map[int]bool{nestingMost: true, nestingMost + 1: false} {
		lists := strings.Repeat("[", deep-1) + strings.Repeat("]", deep-1) // in the file's own object
		_, err := Decode([]byte(`{"candleclock":1,"name":"x","outage":{"starts":"2026-01-14T17:00"},"later":` + lists + `}`))
		if (err == nil) != ok {
			t.Errorf("%d deep: got %v, want it read: %v", deep, err, ok)
		}
	}
}

func TestLogRefused(t *testing.T) {
	for _, c := range []struct{ log, field, want string }{
		{`"readings":[{"at":"soon","soc":1}]`, "outage.readings[0].at", "2026-01-14T17:00"},
		{`"readings":[{"at":"2026-01-14T17:00","soc":1.5}]`, "outage.readings[0].soc", "between 0 and 1"},
		{`"readings":[{"at":"2026-01-14T17:00","soc":0.5,"soc_low":0.6}]`, "outage.readings[0].soc_low", "at most soc, 0.5"},
		{`"readings":[{"at":"2026-01-14T17:00"},{"at":"2026-01-14T16:59"}]`, "outage.readings[1].at", "2026-01-14T17:00"},
		{`"switches":[{"at":"2026-01-14T17:00","load":"Lamp","on":"yes"}]`, "outage.switches[0].on", "true or false"},
		{`"switches":[{"at":"2026-01-14T17:00"},{"at":"2025-01-14T17:00"}]`, "outage.switches[1].at", "2026-01-14T17:00"},
		{`"power":[{"back":true}]`, "outage.power[0].at", "2026-01-14T17:00"},
		{`"power":[{"at":"2026-01-14T17:00","back":1}]`, "outage.power[0].back", "true or false"},
		{`"power":[{"at":"2026-01-14T17:00","soc":0.2,"soc_low":0.3}]`, "outage.power[0].soc_low", "at most soc, 0.2"},
		{`"power":[{"at":"2026-01-14T17:00","soc":2}]`, "outage.power[0].soc", "between 0 and 1"},
		{`"power":[{"at":"2026-01-14T17:00"},{"at":"2026-01-14T16:00","back":true}]`, "outage.power[1].at", "2026-01-14T17:00"},
		{`"power":[` + strings.Repeat(`{"at":"2026-01-14T17:00"},`, MostPower) + `{"at":"2026-01-14T17:00"}]`, "outage.power", "at most 200 long"},
		{`"readings":[` + strings.Repeat(`{"at":"2026-01-14T17:00"},`, MostReadings) + `{"at":"2026-01-14T17:00"}]`, "outage.readings", "at most 200 long"},
	} {
		_, err := Decode([]byte(`{"candleclock":1,"name":"x","outage":{"starts":"2026-01-14T17:00",` + c.log + `}}`))
		var e *doc.Error
		if !errors.As(err, &e) || e.Field != c.field || !strings.Contains(e.Want, c.want) {
			t.Errorf("%.60s: got %v, want %s to be %s", c.log, err, c.field, c.want)
		}
	}
}

// The charge counts from when the power came back, or from a reading since, until
// somebody plans something else.
func TestOnMains(t *testing.T) {
	var o Outage
	o.Starts, o.SOC = later(9), 0.2
	o.Log = o.Log.Came(Power{At: later(0)})
	if o.OnMains() {
		t.Error("though the power is out")
	}
	o.Log = o.Log.Came(Power{At: later(9), Back: true})
	if !o.OnMains() {
		t.Error("not when it came back")
	}
	read := o
	read.Log, read.Starts = o.Log.Read(Reading{At: later(10), SOC: 0.3, SOCLow: 0.3}), later(10)
	if !read.OnMains() {
		t.Error("not when the gauge was read since")
	}
	o.Starts = later(20)
	if o.OnMains() {
		t.Error("though another outage is planned")
	}
	read.UnderWay = true
	if read.OnMains() {
		t.Error("though an outage is under way")
	}
}
