package plantest

import (
	"fmt"
	"strings"
	"testing"

	"candleclock/engine/load"
	"candleclock/engine/plan"
	"candleclock/engine/units"
)

// Script is a kind of letters that names may be written in.
type Script struct{ Name, Letters string }

// Scripts are kinds of letters that are hard to show, from one to four bytes to
// the letter, without a blank to break a line at, and marks that all stand over
// one letter.
var Scripts = []Script{
	{"Latin", "Notstromverteilerdosenabdeckungsschraube<&'\""},
	{"Cyrillic", "Электроэнергоснабжение"},
	{"Chinese", "臥室裡的呼吸機與冰箱和路由器"},
	{"Arabic", "ثلاجةالمطبخالكبيرة"},
	{"emoji", "🔋💡🧊📻"},
	{"marks", "a" + strings.Repeat("\u0301\u0323", load.NameMost)},
}

// Largest is a plan with as many of everything as its file may hold, all names as
// long as they may be and in letters of the kinds given, one kind to a name, in an
// outage that is under way. Its log takes most of the sums' time and shows on
// Tonight only: see BeforeIt.
func Largest(t testing.TB, of ...Script) plan.Plan {
	t.Helper()
	name := func(i int) string {
		number := fmt.Sprint(i)
		letters := []rune(strings.Repeat(of[i%len(of)].Letters, load.NameMost))
		return string(letters[:load.NameMost-len(number)]) + number
	}
	p := Cottage(t)
	p.ID = "0123456789abcdef"
	p.Name, p.Place.Name, p.Supply.Name = name(0), name(0), name(0)
	p.Loads = nil
	for i := range plan.MostLoads {
		l := load.Load{Name: name(i), Rank: load.Rank(load.Ranks[i%len(load.Ranks)]), Outlet: load.Outlet(load.Outlets[i%len(load.Outlets)]), Count: 1,
			Running: units.Watts(1 + i%3), Duty: 0.9, PowerFactor: 0.8, Basis: load.Label,
			Use: []load.Window{{From: 6 * 60, To: 8 * 60}, {From: 17 * 60, To: 23 * 60}}}
		if i%4 == 0 {
			l.Outlet, l.Starting, l.CyclesItself, l.Use = load.AC, 500, true, nil
		}
		p.Loads = append(p.Loads, l)
	}
	p.Supply.Battery.Capacity, p.Supply.Inverter.Continuous, p.Supply.Inverter.ContinuousVA = 20000, 3000, nil
	p.Candidates = nil
	for i := range plan.MostCandidates {
		c := plan.NewCandidate(name(i))
		c.Supply.Battery, c.Supply.Inverter, c.Supply.Inputs = p.Supply.Battery, p.Supply.Inverter, p.Supply.Inputs
		c.Supply.Battery.Capacity += units.WattHours(500 * i)
		p.Candidates = append(p.Candidates, c)
	}
	o := &p.Outage
	began := o.Starts
	for i := range plan.MostPast {
		p.History = append(p.History, plan.Past{Began: began.After(units.Hours(48*i - 5000)), Ended: began.After(units.Hours(48*i - 4990)), Planned: new(8.0), Pace: new(1.1)})
	}
	for i := range plan.MostReadings {
		soc := 1 - 0.6*float64(i)/plan.MostReadings
		o.Log.Readings = append(o.Log.Readings, plan.Reading{At: began.After(units.Hours(i) / 30), SOC: soc, SOCLow: soc})
	}
	for i := range plan.MostSwitches {
		o.Log.Switches = append(o.Log.Switches, plan.Switch{At: began.After(units.Hours(i) / 100), Load: name(i % plan.MostLoads), On: i >= plan.MostLoads})
	}
	last := o.Log.Readings[plan.MostReadings-1]
	o.UnderWay, o.Starts, o.SOC, o.Hours = true, last.At, last.SOC, 240
	if _, err := plan.Decode(p.Encode()); err != nil {
		t.Fatalf("no file can hold the largest plan: %v", err)
	}
	return p
}

// BeforeIt is a plan before its outage: without a log, fully charged.
func BeforeIt(p plan.Plan) plan.Plan {
	o := &p.Outage
	o.UnderWay, o.Log, o.SOC, o.SOCLow = false, plan.Log{}, 1, nil
	return p
}
