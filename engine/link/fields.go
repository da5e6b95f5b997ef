package link

import (
	"candleclock/engine/battery"
	"candleclock/engine/charge"
	"candleclock/engine/inverter"
	"candleclock/engine/load"
	"candleclock/engine/panel"
	"candleclock/engine/plan"
	"candleclock/engine/units"
)

// The fields of a plan in the order of their bits. Neither the order nor what
// is usual nor the words may change within a version: links that were sent stay
// what they were.

func planPart(c *coder, pl *plan.Plan) {
	c.part(func(p *part) {
		text(p, &pl.Name, "")
		text(p, &pl.ID, "")
		p.part(func(p *part) { outagePart(p, &pl.Outage) })
		p.part(func(p *part) { supplyPart(p, &pl.Supply) })
		list(p, &pl.Loads, plan.MostLoads, loadPart)
		p.part(func(p *part) { placePart(p, &pl.Place) })
		p.part(func(p *part) { panelsPart(p, &pl.Panels) })
		number(p, &pl.Mains, 230)
	})
}

func outagePart(p *part, o *plan.Outage) {
	p.moment(&o.Starts)
	number(p, &o.Hours, 24)
	number(p, &o.SOC, 1)
	p.maybe(&o.SOCLow, nil)
	number(p, &o.Confidence, 0.9)
	p.yes(&o.UnderWay, false)
	p.since = 2
	p.maybe(&o.ComfortBelow, nil)
	p.maybe(&o.UsefulBelow, nil)
	list(p, &o.Refills, len(plan.RefillKinds), func(c *coder, f *plan.Refill) {
		c.part(func(p *part) {
			p.since = 2
			text(p, &f.Kind, "", plan.RefillKinds...)
			p.maybeMinute(&f.From)
			p.maybeMinute(&f.To)
			p.maybe(&f.Below, nil)
			number(p, &f.Litres, 0)
		})
	})
}

func placePart(p *part, o *plan.Place) {
	text(p, &o.Name, "")
	p.maybe(&o.Lat, nil)
	p.maybe(&o.Lon, nil)
	text(p, &o.Zone, "")
	p.maybe(&o.Offset, nil)
}

func supplyPart(p *part, s *plan.Supply) {
	p.part(func(p *part) { batteryPart(p, &s.Battery) })
	p.part(func(p *part) { inverterPart(p, &s.Inverter) })
	list(p, &s.Inputs, charge.MostInputs, inputPart)
	text(p, &s.Name, "")
	text(p, &s.Gauge.Kind, "percent", "bars", "volts", "none")
	p.whole(&s.Gauge.Bars, 0)
	p.yes(&s.OneInput, false)
	number(p, &s.DCEfficiency, 0.9)
	p.maybe(&s.Price, nil)
	p.maybe(&s.Weight, nil)
	p.since = 2
	p.maybe(&s.BackOn, nil)
}

func batteryPart(p *part, b *battery.Battery) {
	text(p, &b.Chemistry, "", "lfp", "nmc", "agm", "flooded")
	number(p, &b.Capacity, 0)
	number(p, &b.AgeYears, 0)
	number(p, &b.Cycles, 0)
	number(p, &b.Room, 20)
	p.maybe(&b.Cutoff, nil)
	p.maybe(&b.Health, nil)
	p.maybe(&b.SelfDischarge, nil)
	p.maybe(&b.Peukert, nil)
	p.maybe(&b.RatedHours, nil)
	p.maybe(&b.ChargeEfficiency, nil)
	p.since = 2
	p.maybe(&b.Night, nil)
	p.maybe(&b.StandsAt, nil)
	p.maybe(&b.Lowest, nil)
}

func inverterPart(p *part, v *inverter.Inverter) {
	number(p, &v.Continuous, 0)
	p.maybe(&v.ContinuousVA, nil)
	p.maybe(&v.SurgeW, nil)
	p.maybe(&v.SurgeS, nil)
	p.maybe(&v.IdleW, nil)
	p.maybe(&v.Efficiency, nil)
	p.yes(&v.OffWhenUnused, false)
	p.maybe(&v.EfficiencyAtW, nil)
	p.maybe(&v.Efficiency2, nil)
	p.maybe(&v.Efficiency2AtW, nil)
}

func inputPart(c *coder, in *charge.Input) {
	c.part(func(p *part) {
		text(p, &in.Kind, "", "panel", "wall", "car", "generator")
		number(p, &in.MaxV, 0)
		number(p, &in.MinV, 0)
		number(p, &in.MaxA, 0)
		number(p, &in.MaxW, 0)
		number(p, &in.Watts, 0)
		number(p, &in.Volts, 0)
		number(p, &in.Amps, 0)
		number(p, &in.Fuse, 0)
		p.yes(&in.Unlimited, false)
		number(p, &in.Tank, 0)
		list(p, &in.Fuel, 2, func(c *coder, f *charge.FuelPoint) {
			c.part(func(p *part) {
				number(p, &f.Load, 0)
				number(p, &f.LPerH, 0)
			})
		})
	})
}

func panelsPart(p *part, o *plan.Panels) {
	setFields(p, &o.PanelSet)
	p.maybe(&o.Tilt, nil)
	p.maybe(&o.Azimuth, nil)
	text(p, &o.Mount, "leaned", "flat", "rail", "wall", "turned")
	p.maybe(&o.CableM, nil)
	p.maybe(&o.CableMM2, nil)
	p.maybeMinute(&o.SunFrom)
	p.maybeMinute(&o.SunTo)
	number(p, &o.Shade, 0)
	p.part(func(p *part) { setFields(p, &o.Second) })
}

func setFields(p *part, s *plan.PanelSet) {
	p.whole(&s.Count, 0)
	p.part(func(p *part) { labelPart(p, &s.Label) })
}

func labelPart(p *part, l *panel.Label) {
	number(p, &l.Pmax, 0)
	number(p, &l.Vmp, 0)
	number(p, &l.Imp, 0)
	number(p, &l.Voc, 0)
	number(p, &l.Isc, 0)
	p.maybe(&l.VocPct, nil)
	p.maybe(&l.PmaxPct, nil)
	noct := (*float64)(l.NOCT)
	p.maybe(&noct, nil)
	l.NOCT = (*units.Celsius)(noct)
	p.whole(&l.Cells, 0)
}

// loadPart is a load as what sets it apart from a thing of the catalogue, or
// from nothing.
func loadPart(c *coder, l *load.Load) {
	n := thingOf(l.Name)
	c.uint(&n)
	base, ok := thing(n)
	if !ok {
		c.bad = true
		return
	}
	c.part(func(p *part) {
		text(p, &l.Name, base.Name)
		number(p, &l.Running, base.Running)
		text(p, &l.Rank, base.Rank, "vital", "useful", "comfort")
		text(p, &l.Basis, base.Basis, "measured", "label", "typical")
		list(p, &l.Use, load.WindowsMost, func(c *coder, w *load.Window) {
			c.minute(&w.From)
			c.minute(&w.To)
		})
		p.maybe(&l.Low, base.Low)
		p.maybe(&l.High, base.High)
		p.whole(&l.Count, base.Count)
		text(p, &l.Outlet, base.Outlet, "ac", "12v", "usb")
		number(p, &l.Starting, base.Starting)
		number(p, &l.Duty, base.Duty)
		number(p, &l.PowerFactor, base.PowerFactor)
		p.yes(&l.CyclesItself, base.CyclesItself)
		number(p, &l.Daily, base.Daily)
		p.yes(&l.Off, false)
		p.since = 2
		number(p, &l.Cycle, 0)
		p.since = 3
		p.yes(&l.MeasuredDay, false)
	})
}
