package plan

import "testing"

// What is known of a supply is kept although what matters most of it isn't.
func TestSupplyKnownInPart(t *testing.T) {
	p := New("Home", mustMoment(t, "2026-01-14T17:00"))
	p.Supply.Inverter.IdleW = new(9.0)
	p.Supply.Inverter.Efficiency = new(0.93)
	p.Supply.Battery.Chemistry, p.Supply.Battery.Room = "agm", 5
	got, err := Decode(p.Encode())
	if err != nil {
		t.Fatal(err)
	}
	if v := got.Supply.Inverter; v.IdleW == nil || *v.IdleW != 9 || v.Efficiency == nil || *v.Efficiency != 0.93 {
		t.Errorf("inverter: got %+v", v)
	}
	if b := got.Supply.Battery; b.Chemistry != "agm" || b.Room != 5 || got.HasSupply() {
		t.Errorf("battery: got %+v", b)
	}
	// A known idle draw is not replaced by the usual one.
	got.Supply.Battery.Capacity = 1000
	if v := got.Supply.UsualInverter(); *v.IdleW != 9 || v.Continuous != 500 {
		t.Errorf("usual inverter: idle %v W, %v W", *v.IdleW, v.Continuous)
	}
}

func mustMoment(t *testing.T, s string) Moment {
	t.Helper()
	m, ok := ParseMoment(s)
	if !ok {
		t.Fatal(s)
	}
	return m
}
