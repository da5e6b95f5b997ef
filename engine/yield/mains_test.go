package yield

import (
	"math"
	"testing"

	"candleclock/engine/battery"
	"candleclock/engine/charge"
	"candleclock/engine/plan"
	"candleclock/engine/plan/plantest"
	"candleclock/engine/units"

	"pgregory.net/rapid"
)

// back is a plan whose power came back at a charge, with a wall adapter or none.
func back(chemistry battery.Chemistry, capacity units.WattHours, soc float64, low *float64, adapter units.Watts) plan.Plan {
	p := plan.New("Test", plan.Moment{})
	p.Supply.Battery = battery.Battery{Chemistry: chemistry, Capacity: capacity, Room: 20, Health: new(1.0)}
	p.Outage.SOC, p.Outage.SOCLow = soc, low
	if adapter > 0 {
		p.Supply.Inputs = []charge.Input{{Kind: charge.Wall, Watts: adapter}}
	}
	return p
}

// By hand: an hour of 250 W puts 250 Wh into a battery of 1,000 Wh at its input,
// of which the share that it stores is kept: from a tenth to a good third. Below
// nine tenths lithium takes all (common practice), so the hours count alike.
func TestMainsByHand(t *testing.T) {
	p := back(battery.LFP, 1000, 0.1, nil, 250)
	stores := p.Supply.Battery.Model().ChargeEfficiency
	if stores < 0.85 || stores > 1 {
		t.Fatalf("stores %v", stores)
	}
	low, soc := Mains(p, 1)
	if want := 0.1 + 0.25*stores; math.Abs(soc-want) > 1e-12 || low != soc {
		t.Errorf("after an hour %v to %v, want %v", low, soc, want)
	}
	if _, two := Mains(p, 2); math.Abs(two-(0.1+0.5*stores)) > 1e-12 {
		t.Errorf("after two hours %v", two)
	}
	if _, none := Mains(p, 0); none != 0.1 {
		t.Errorf("after no time %v", none)
	}
	// The cut-off is filled as the rest is.
	p.Supply.Battery.Cutoff = new(0.2)
	if _, got := Mains(p, 1); math.Abs(got-soc) > 1e-12 {
		t.Errorf("with a cut-off %v, without %v", got, soc)
	}
}

// The taper as it is published for lead: from 80 % on it takes what it still
// lacks, and ln(0.2 ÷ 0.02) ÷ 0.9 = 2.56 hours pass to full however strong the
// charger; the ampere-hour rule's half hour brings it to 80 % + 0.2222·(1 −
// e^(−0.45)) = 88.1 %.
func TestMainsTapers(t *testing.T) {
	p := back(battery.Flooded, 1200, 0.8, nil, 2000)
	if _, soc := Mains(p, 2.5); soc >= 1 {
		t.Errorf("full after 2.5 h")
	}
	if _, soc := Mains(p, 2.6); soc != 1 {
		t.Errorf("after 2.6 h %v", soc)
	}
	if _, soc := Mains(p, 0.5); math.Abs(soc-0.8805) > 2e-4 {
		t.Errorf("after half an hour %v", soc)
	}
}

// An adapter that nobody told counts for little: the lower end for nothing.
func TestMainsUnknownAdapter(t *testing.T) {
	p := back(battery.LFP, 1000, 0.3, new(0.1), 0)
	low, soc := Mains(p, 1)
	if low != 0.1 || soc <= 0.3 || soc > 0.4 {
		t.Errorf("%v to %v", low, soc)
	}
	if low, _ := Mains(p, 100); low != 0.1 {
		t.Errorf("after 100 hours from %v", low)
	}
	// Lithium below freezing is not charged.
	p = back(battery.LFP, 1000, 0.3, nil, 250)
	p.Supply.Battery.Room = -5
	if low, soc := Mains(p, 10); low != 0.3 || soc != 0.3 {
		t.Errorf("in frost %v to %v", low, soc)
	}
}

// Time never empties it, the ends stay in order, and never more is stored than
// the adapter gave.
func TestMainsIsBound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := plantest.Any(t)
		low := p.Outage.SOC * rapid.Float64Range(0, 1).Draw(t, "low")
		p.Outage.SOCLow = &low
		watts := units.Watts(rapid.Float64Range(1, 2000).Draw(t, "adapter"))
		p.Supply.Inputs = []charge.Input{{Kind: charge.Wall, Watts: watts}}
		h := units.Hours(rapid.Float64Range(0, 48).Draw(t, "hours"))
		l, s := Mains(p, h)
		most := p.Outage.SOC + float64(watts)*float64(h)/float64(p.Supply.Battery.Model().Aged)
		if l < low || s < p.Outage.SOC || l > s+1e-12 || s > 1 || s > most*(1+1e-9) {
			t.Fatalf("from %v to %v: after %v h %v to %v, at most %v", low, p.Outage.SOC, h, l, s, most)
		}
		if l2, s2 := Mains(p, h+1); l2 < l-1e-12 || s2 < s-1e-12 {
			t.Fatalf("an hour later %v to %v, before %v to %v", l2, s2, l, s)
		}
	})
}
