package plan

import (
	"testing"

	"candleclock/engine/load"
)

func TestVitalAlone(t *testing.T) {
	p := New("Test", later(0))
	thing := func(name string, rank load.Rank, off bool) {
		p.Loads = append(p.Loads, load.Load{Name: name, Rank: rank, Off: off})
	}
	thing("Lamp", load.Useful, false)
	if q, some, rest := p.VitalAlone(); some || !rest || !q.Loads[0].Off || p.Loads[0].Off {
		t.Errorf("nothing vital: %+v, %v, %v", q.Loads, some, rest)
	}
	thing("Pump", load.Vital, true)
	if _, some, _ := p.VitalAlone(); some {
		t.Error("what is off counts as on")
	}
	thing("Mask", load.Vital, false)
	thing("Kettle", load.Comfort, false)
	q, some, rest := p.VitalAlone()
	if !some || !rest || !q.Loads[0].Off || !q.Loads[1].Off || q.Loads[2].Off || !q.Loads[3].Off {
		t.Errorf("%+v, %v, %v", q.Loads, some, rest)
	}
	if _, some, rest := q.VitalAlone(); !some || rest {
		t.Errorf("of that again: %v, %v", some, rest)
	}
}
