package load

import (
	"math"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"candleclock/engine/doc"
	"candleclock/engine/units"
)

// entry is the entry with that key; the test fails without one.
func entry(t *testing.T, key string) Entry {
	t.Helper()
	e, ok := Find(key)
	if !ok {
		t.Fatalf("no entry %q", key)
	}
	return e
}

// daily is what an entry takes in a whole day of being switched on, Wh.
func daily(e Entry) float64 { return float64(e.Typical) * e.Duty * 24 }

func TestEntriesAreWellFormed(t *testing.T) {
	all := Catalogue()
	if len(all) < 75 {
		t.Errorf("%d entries, want at least 75", len(all))
	}
	keys, names := map[string]bool{}, map[string]bool{}
	group := 0
	for _, e := range all {
		if keys[e.Key] || names[e.Name] {
			t.Errorf("%s, %q: key or name is there twice", e.Key, e.Name)
		}
		keys[e.Key], names[e.Name] = true, true
		if e.Key == "" || strings.Trim(e.Key, "abcdefghijklmnopqrstuvwxyz0123456789-") != "" ||
			strings.HasPrefix(e.Key, "-") || strings.HasSuffix(e.Key, "-") || strings.Contains(e.Key, "--") {
			t.Errorf("%q is no kebab-case key", e.Key)
		}
		if n := utf8.RuneCountInString(e.Name); n < 3 || n > 40 {
			t.Errorf("%s: a name of %d characters, want 3 to 40", e.Key, n)
		}
		if !strings.ContainsAny(e.Name[:1], "ABCDEFGHIJKLMNOPQRSTUVWXYZ") {
			t.Errorf("%s: the name %q begins without a capital letter", e.Key, e.Name)
		}
		if !slices.Contains(Ranks, string(e.Rank)) || !slices.Contains(Outlets, string(e.Outlet)) {
			t.Errorf("%s: rank %q, outlet %q", e.Key, e.Rank, e.Outlet)
		}
		g := slices.Index(Groups(), e.Group)
		if g < group {
			t.Errorf("%s: group %q is unknown or out of its order", e.Key, e.Group)
		}
		group = max(group, g)
		if len(e.Words) == 0 {
			t.Errorf("%s: no words to search by", e.Key)
		}
		if n := len(e.Source); n < 20 || n > 400 {
			t.Errorf("%s: a source of %d bytes, want 20 to 400", e.Key, n)
		}
	}
}

func TestEntriesAreInRange(t *testing.T) {
	within := func(e Entry, what string, x float64, r doc.Range) {
		if !(r.Low <= x && x <= r.High) {
			t.Errorf("%s: %s %v, want %s", e.Key, what, x, r)
		}
	}
	for _, e := range Catalogue() {
		if !(0 < e.Low && e.Low <= e.Typical && e.Typical <= e.High) {
			t.Errorf("%s: watts %v, %v, %v are not rising from above 0", e.Key, e.Low, e.Typical, e.High)
		}
		if !(e.DutyLow <= e.Duty && e.Duty <= e.DutyHigh) {
			t.Errorf("%s: duty %v, %v, %v is not rising", e.Key, e.DutyLow, e.Duty, e.DutyHigh)
		}
		if e.Starting != 0 && e.Starting < e.Typical {
			t.Errorf("%s: starting %v W is less than running", e.Key, e.Starting)
		}
		// A start of less than it may draw while it runs is none, and trips what was
		// sized by it.
		if e.Starting != 0 && e.Starting < e.High {
			t.Errorf("%s: starting %v W is less than the %v W it may run at", e.Key, e.Starting, e.High)
		}
		if e.Burst != 0 && e.Burst <= e.Typical {
			t.Errorf("%s: a burst of %v W is less than running", e.Key, e.Burst)
		}
		if e.CyclesItself && e.Duty == 1 {
			t.Errorf("%s restarts by itself and yet never rests", e.Key)
		}
		if e.DailyWh != 0 && (e.Duty != 1 || e.Starting != 0) {
			t.Errorf("%s is given per day and yet has a duty or a start", e.Key)
		}
		if e.Outlet != AC && e.PowerFactor != 1 {
			t.Errorf("%s: power factor %v on a DC outlet", e.Key, e.PowerFactor)
		}
		if e.Outlet == USB && e.High > 100 || e.Outlet == DC && e.High > 180 {
			t.Errorf("%s: %v W is more than its outlet gives", e.Key, e.High)
		}
		// Even the slowest charger is done within the day.
		if float64(e.DailyWh) > float64(e.Low)*24 {
			t.Errorf("%s: %v Wh a day won't go through %v W", e.Key, e.DailyWh, e.Low)
		}
		within(e, "watts", float64(e.High), RunningRange)
		within(e, "starting", float64(e.Starting), StartingRange)
		within(e, "daily", float64(e.DailyWh), DailyRange)
		within(e, "lowest duty", e.DutyLow, DutyRange)
		within(e, "highest duty", e.DutyHigh, DutyRange)
		within(e, "power factor", e.PowerFactor, PowerFactorRange)
	}
}

// A figure is either from a publication that is named or says it is recalled.
func TestSourcesAreNamedOrSaidToBeRecalled(t *testing.T) {
	published := []string{"US DOE Energy Saver", "10 CFR 430.32(a)", "WHO, ", "NFPA 70", "FSEC-PF-344-98"}
	for _, e := range Catalogue() {
		named := slices.ContainsFunc(published, func(p string) bool { return strings.Contains(e.Source, p) })
		if !named && !strings.Contains(e.Source, "from memory") &&
			e.Source != srcUSB && !strings.HasPrefix(e.Source, srcAirline) {
			t.Errorf("%s: source %q", e.Key, e.Source)
		}
		if e.Starting != 0 && !strings.Contains(e.Source, "from memory") {
			t.Errorf("%s: starting watts are recalled, the source doesn't say so: %q", e.Key, e.Source)
		}
	}
}

// US DOE Energy Saver, Estimating Appliance and Home Electronic Energy Use:
// nameplate watts. Where the page prints a range, the entry keeps within it;
// where it prints one figure, the entry's range takes it in.
func TestEnergySaverWatts(t *testing.T) {
	for _, c := range []struct {
		key       string
		low, high units.Watts
	}{
		{"clock-radio", 10, 10},
		{"coffee-maker", 900, 1200},
		{"washing-machine", 350, 500},
		{"dryer", 1800, 5000},
		{"dishwasher", 1200, 2400},
		{"dehumidifier", 785, 785},
		{"electric-blanket", 60, 100},
		{"fan-ceiling", 65, 175},
		{"fan-box", 55, 250},
		{"furnace-blower", 750, 750},
		{"hair-dryer", 1200, 1875},
		{"heater", 750, 1500},
		{"iron", 1000, 1800},
		{"microwave", 750, 1100},
		{"desktop", 120, 120},
		{"laptop", 50, 50},
		{"stereo", 70, 400},
		{"fridge-old", 725, 725},
		{"toaster", 800, 1400},
		{"toaster-oven", 1225, 1225},
		{"vacuum", 1000, 1440},
		{"water-heater", 4500, 5500},
		{"well-pump-deep", 250, 1100},
	} {
		e := entry(t, c.key)
		if c.low == c.high {
			if e.Low > c.low || c.low > e.High {
				t.Errorf("%s: %v to %v W, want %v W within", c.key, e.Low, e.High, c.low)
			}
		} else if e.Low < c.low || e.High > c.high {
			t.Errorf("%s: %v to %v W, want within %v to %v", c.key, e.Low, e.High, c.low, c.high)
		}
		if !strings.Contains(e.Source, "Energy Saver") {
			t.Errorf("%s: source %q doesn't name the list", c.key, e.Source)
		}
	}
	// Sets of 19 to 36 inches, 65 to 133 W; newer ones draw less.
	if tv := entry(t, "tv"); tv.Typical < 65 || tv.High > 133 {
		t.Errorf("tv: %v, at most %v W, want 65 to 133", tv.Typical, tv.High)
	}
	// Same page: a refrigerator runs a third of the time it is plugged in.
	const third = 1.0 / 3
	if got := entry(t, "fridge-old").Duty; math.Abs(got-third) > 0.01 {
		t.Errorf("old refrigerator: duty %v, want %v", got, third)
	}
	// 725 W for 8 of 24 hours is the upper bound of the old stock.
	if got, most := daily(entry(t, "fridge-old")), 725.0*8; got > most {
		t.Errorf("old refrigerator: %.0f Wh a day, want at most %.0f", got, most)
	}
}

// WHO, Technical specifications for oxygen concentrators (2015): no more than
// 70 W per L/min.
func TestOxygenConcentratorWatts(t *testing.T) {
	for _, c := range []struct {
		key  string
		flow units.Watts
	}{{"oxygen-5l", 5}, {"oxygen-10l", 10}} {
		e := entry(t, c.key)
		if most := 70 * c.flow; e.High != most {
			t.Errorf("%s: at most %v W, want the bound of %v W itself", c.key, e.High, most)
		}
	}
}

// Breathing masks: 15 to 60 W for the blower alone, 60 to 100 W with a heated
// humidifier (from memory).
func TestBreathingMaskWatts(t *testing.T) {
	for _, c := range []struct {
		key       string
		low, high units.Watts
	}{{"cpap", 15, 60}, {"cpap-humidifier", 60, 100}, {"cpap-12v", 10, 60}} { // without a converter's loss
		if e := entry(t, c.key); e.Low < c.low || e.High > c.high {
			t.Errorf("%s: %v to %v W, want within %v to %v", c.key, e.Low, e.High, c.low, c.high)
		}
	}
}

// 10 CFR 430.32(a): the most a year, kWh, for an adjusted volume, cubic feet.
// The adjusted volume counts a freezer's 1.76 times (appendices A and B to
// subpart B; factor from memory). A typical entry lies between the limit for
// the plain volume, which flatters it, and that for the adjusted one.
func TestColdEnergyLimits(t *testing.T) {
	const frozen = 1.76
	for _, c := range []struct {
		key             string
		perFoot, base   float64
		volume, freezer float64 // cubic feet
		least           float64 // share of the plain limit
	}{
		{"fridge", 8.07, 233.7, 20, 5, 1},            // class 3, freezer on top, a quarter of it
		{"fridge-inverter", 8.07, 233.7, 20, 5, 0.5}, // may need half as much (from memory)
		{"freezer-chest", 7.29, 107.8, 15, 15, 1},    // class 10
		{"freezer-upright", 8.62, 228.3, 15, 15, 1},  // class 9 (from memory)
	} {
		limit := func(volume float64) float64 { return (c.perFoot*volume + c.base) * 1000 / 365 }
		plain := limit(c.volume)
		adjusted := limit(c.volume + (frozen-1)*c.freezer)
		if got := daily(entry(t, c.key)); got < c.least*plain || got > adjusted {
			t.Errorf("%s: %.0f Wh a day, want %.0f to %.0f", c.key, got, c.least*plain, adjusted)
		}
	}
	// The limit for 20 cubic feet as printed: 395.1 kWh a year, 1.08 kWh a day.
	if got := 8.07*20 + 233.7; math.Abs(got-395.1) > 0.05 {
		t.Errorf("20 cubic feet: %v kWh a year, want 395.1", got)
	}
}

// NFPA 70: full-load amperes at 115 V (table 430.248), the most locked-rotor
// amperes at 115 V (table 430.251(A)), and the least locked-rotor kVA per
// horsepower of code letter J (table 430.7(B)), small single-phase motors being
// J or later (from memory). A motor starts at a power factor of 0.3 or more
// (from memory), and no draw in watts exceeds the volt-amperes.
func TestMotorWatts(t *testing.T) {
	const leastKVA, leastFactor, volts = 7.1, 0.3, 115
	for _, c := range []struct {
		key                   string
		hp, fullLoad, mostAmp float64
	}{
		{"furnace-blower", 1.0 / 3, 7.2, 6 * 7.2}, // 430.251(A) begins at ½ hp, at 6 times full load
		{"sump-pump", 1.0 / 3, 7.2, 6 * 7.2},
		{"well-pump-jet", 0.5, 9.8, 58.8},
		{"sewage-pump", 0.5, 9.8, 58.8},
		{"well-pump-deep", 0.75, 13.8, 82.8},
	} {
		e := entry(t, c.key)
		if got, most := float64(e.Typical)/e.PowerFactor, c.fullLoad*volts; got > most {
			t.Errorf("%s: %.0f VA running, want at most %.0f", c.key, got, most)
		}
		// What a supply must bear is the current: at the factor of its running the
		// start is that of code letter K at least, 8.0 kVA per horsepower.
		if got, want := float64(e.Starting)/e.PowerFactor, c.hp*8000; got < want {
			t.Errorf("%s: starting %.0f VA, want at least %.0f", c.key, got, want)
		}
		least, most := c.hp*leastKVA*1000*leastFactor, c.mostAmp*volts
		if got := float64(e.Starting); got < least || got > most {
			t.Errorf("%s: starting %.0f W, want %.0f to %.0f", c.key, got, least, most)
		}
	}
}

// 10 CFR 430.32(b): 11 Btu/h per W below 14,000 Btu/h (from memory; 10.9 from
// 8,000 on). A typical entry is no better than the limit.
func TestRoomAirConditionerWatts(t *testing.T) {
	for _, c := range []struct {
		key       string
		btu, ceer float64
	}{{"air-conditioner-window", 6000, 11}, {"air-conditioner-large", 12000, 10.9}} {
		want := c.btu / c.ceer
		if e := entry(t, c.key); float64(e.Typical) < want || float64(e.Typical) > 1.25*want {
			t.Errorf("%s: %v W, want %.0f to a quarter more", c.key, e.Typical, want)
		}
	}
}

func TestSmallThings(t *testing.T) {
	// US DOE LED pages (from memory): 800 lm take 7 to 10 W.
	if e := entry(t, "lamp-led"); e.Low < 7 || e.High > 10 {
		t.Errorf("LED lamp: %v to %v W, want within 7 to 10", e.Low, e.High)
	}
	// Router and modem together 8 to 20 W (EU code of conduct, from memory).
	if e := entry(t, "modem-router"); e.Low < 8 || e.High > 20 {
		t.Errorf("modem and router in one: %v to %v W, want within 8 to 20", e.Low, e.High)
	}
	if r, m := entry(t, "router"), entry(t, "modem"); r.Typical+m.Typical < 8 || r.Typical+m.Typical > 20 {
		t.Errorf("router and modem: %v W together, want 8 to 20", r.Typical+m.Typical)
	}
	// A battery of 5,000 mAh at 3.85 V, and 1.25 to 1.4 times that from the outlet
	// (from memory).
	least, most := 5.0*3.85*1.25, 5.0*3.85*1.4
	if got := float64(entry(t, "phone").DailyWh); got < least || got > most {
		t.Errorf("phone: %v Wh a day, want %.1f to %.1f", got, least, most)
	}
	// A battery of 40 to 100 Wh, the most on an aircraft (ICAO, from memory).
	if got := float64(entry(t, "laptop-charge").DailyWh); got < 40*1.25 || got > 100*1.4 {
		t.Errorf("laptop: %v Wh a day, want 50 to 140", got)
	}
}

// Lists of watts for generators (from memory): furnace blowers 700 to 1,100 W,
// starting with 1,400 to 2,000 W and more; washing machines start with 2,200 W.
// Defrost heaters of cold things without frost: 300 to 600 W (from memory).
func TestWhatTripsASupply(t *testing.T) {
	if e := entry(t, "furnace-blower"); e.High < 1100 || e.Starting < 2000 {
		t.Errorf("furnace blower: up to %v W, starting %v W, want 1,100 and 2,000 within", e.High, e.Starting)
	}
	if e := entry(t, "washing-machine"); e.Starting < 2200 {
		t.Errorf("washing machine: starting %v W, want at least 2,200", e.Starting)
	}
	if e := entry(t, "air-conditioner-split"); e.Starting < 1800 {
		t.Errorf("split air conditioner: starting %v W, less than its running 1,800", e.Starting)
	}
	for _, key := range []string{"fridge", "fridge-old", "fridge-inverter", "freezer-upright"} {
		if e := entry(t, key); e.Burst < 600 || e.Starting < e.Burst || !strings.Contains(e.Source, "defrost heater") {
			t.Errorf("%s: bursts of %v W, starting %v W; want the defrost heater's 600 W in both, and said", key, e.Burst, e.Starting)
		}
	}
	for _, key := range []string{"freezer-chest", "medicine-fridge", "kettle"} {
		if e := entry(t, key); e.Burst != 0 {
			t.Errorf("%s: bursts of %v W, and it has no such heater", key, e.Burst)
		}
	}
}

func TestBurstByName(t *testing.T) {
	for name, want := range map[string]units.Watts{"Refrigerator, modern": 600, "Refrigerator, modern 2": 600, "Chest freezer": 0, "My fridge": 0, "": 0, "12": 0} {
		if got := Burst(name); got != want {
			t.Errorf("%q: %v W, want %v", name, got, want)
		}
	}
}

// What somebody's breath, kidneys, voice or call for help hangs on is found by the
// words its people use.
func TestCareIsFound(t *testing.T) {
	for typed, key := range map[string]string{
		"12 v cpap": "cpap-12v", "hemodialysis": "haemodialysis", "home haemodialysis": "haemodialysis", "telecare": "telecare", "medical alert": "telecare",
		"breast pump": "breast-pump", "phototherapy": "phototherapy", "jaundice": "phototherapy", "vest": "airway-vest",
		"eye gaze": "speech-device", "speech": "speech-device", "riser recliner": "riser-recliner", "lift chair": "riser-recliner", "cylinder filler": "oxygen-filler",
		"ventilator external battery": "ventilator-battery", "medicine cooler": "medicine-cooler", "insulin cooler": "medicine-cooler",
		"blood pressure": "blood-pressure", "smoke": "smoke-alarm", "co alarm": "smoke-alarm", "carbon monoxide": "smoke-alarm",
		"condensate": "condensate-pump", "elevator": "home-lift",
	} {
		if got := keysOf(Search(typed)); !slices.Contains(got[:min(len(got), 3)], key) {
			t.Errorf("Search(%q) = %v, want %s among the first", typed, got, key)
		}
	}
}

// Every entry is of one kind, and each kind has its range of power factors and
// of starting over running watts. Ranges are of the trade, from memory; power
// factors within the classes of IEC 61000-3-2.
func TestKinds(t *testing.T) {
	kinds := []struct {
		kind                string
		factorLow, factorHi float64
		startLow, startHigh float64
		keys                string
	}{
		{"heating", 1, 1, 1, 1, `bottle-warmer lamp-incandescent kettle kettle-230 kettle-12v coffee-maker
			toaster toaster-oven air-fryer hotplate oven rice-cooker slow-cooker pressure-cooker electric-blanket
			heated-throw heating-pad heater heater-230 humidifier-steam pipe-heating water-heater aquarium-heater
			soldering-iron brooder-lamp incubator stock-tank-heater iron hair-dryer terrarium bread-maker griddle block-heater`},
		{"induction compressor", 0.6, 0.9, 3, 6, `medicine-fridge fridge fridge-old freezer-chest freezer-upright
			ice-maker air-conditioner-window air-conditioner-large air-conditioner-portable dehumidifier
			air-compressor water-heater-pump`},
		{"inverter compressor", 0.6, 0.95, 1, 1.5, `fridge-inverter air-conditioner-split`}, // of the most it runs at, or its heater
		{"motor that starts under load", 0.6, 0.9, 3, 5, `sump-pump well-pump-deep well-pump-jet sewage-pump oxygen-5l oxygen-10l
			furnace-blower oil-burner washing-machine oxygen-filler home-lift pool-pump`},
		{"small motor", 0.6, 0.9, 1, 3, `nebuliser suction-pump hospital-bed cooker-hood fan-table fan-ceiling
			fan-box boiler gas-fire garage-door air-purifier aquarium-pump pressure-mattress
			airway-vest riser-recliner fan-bathroom fan-attic fan-radon evaporative-cooler condensate-pump pond-pump`},
		{"brush motor", 0.85, 1, 1.5, 3, `blender drill circular-saw chainsaw sewing-machine vacuum pressure-washer`},
		{"motor and heater", 0.9, 1, 1, 2.5, `dialysis-cycler high-flow-humidifier dishwasher
			washing-machine-heater dryer printer-laser haemodialysis water-dispenser`},
		{"igniter", 0.6, 0.9, 3, 5, `pellet-stove`},
		{"magnetron or induction ring", 0.9, 1, 1, 1.5, `microwave microwave-large hob-induction`},
		{"LED lamp", 0.5, 0.9, 1, 1, `lamp-led lamp-led-small lamp-ceiling-led lamp-fluorescent`},
		{"supply without correction", 0.5, 0.65, 1, 1, `cpap cpap-humidifier bipap ventilator oxygen-portable
			cough-assist feeding-pump infusion-pump apnoea-monitor oximeter patient-lift wheelchair
			mobility-scooter stairlift baby-monitor router modem modem-router wifi-point telephone laptop
			laptop-charge monitor tv-box radio clock-radio stereo stove-igniter fan-ceiling-dc
			furnace-blower-variable humidifier ventilation water-treatment water-heater-gas power-tool-battery
			printer electric-fence shaver alarm doorbell-camera camera-recorder e-bike e-scooter aa-charger
			ventilator-battery telecare smoke-alarm speech-device blood-pressure breast-pump phototherapy phone-booster
			network-switch backup-unit`},
		{"supply with correction", 0.9, 1, 1, 1, `satellite-internet desktop tv tv-large game-console projector electric-car`},
		{"direct current", 1, 1, 1, 2, `glucose-devices hearing-aids cooler-12v cooler-thermoelectric lamp-usb
			lamp-12v lantern phone phone-basic tablet hotspot two-way-radio fan-usb water-pump-12v tyre-inflator
			cpap-12v medicine-cooler power-bank watch`},
		{"burner on 12 V", 1, 1, 3, 5, `parking-heater`},
	}
	seen := map[string]bool{}
	for _, k := range kinds {
		for _, key := range strings.Fields(k.keys) {
			if seen[key] {
				t.Errorf("%s is of two kinds", key)
			}
			seen[key] = true
			e := entry(t, key)
			if e.PowerFactor < k.factorLow || e.PowerFactor > k.factorHi {
				t.Errorf("%s, %s: power factor %v, want %v to %v", key, k.kind, e.PowerFactor, k.factorLow, k.factorHi)
			}
			start := max(1, float64(e.Starting)/float64(e.Typical))
			if k.kind == "inverter compressor" {
				start = max(1, float64(e.Starting)/float64(max(e.High, e.Burst)))
			}
			if start < k.startLow || start > k.startHigh {
				t.Errorf("%s, %s: starts at %.2f times its running draw, want %v to %v", key, k.kind, start, k.startLow, k.startHigh)
			}
		}
	}
	for _, e := range Catalogue() {
		if !seen[e.Key] {
			t.Errorf("%s is of no kind", e.Key)
		}
	}
}

func TestFind(t *testing.T) {
	for _, want := range Catalogue() {
		if got, ok := Find(want.Key); !ok || got.Name != want.Name {
			t.Errorf("Find(%q) = %q, %v", want.Key, got.Name, ok)
		}
	}
	if e, ok := Find("no-such-thing"); ok {
		t.Errorf("Find of an unknown key gave %q", e.Name)
	}
}

// An entry told by its day goes into a plan by its day, any other by its draw.
func TestEntryAsALoad(t *testing.T) {
	phone := entry(t, "phone")
	if got := phone.Load(); got.Daily != phone.DailyWh || got.Daily == 0 || got.Running != 0 || got.Low != nil || got.High != nil {
		t.Errorf("phone: got %+v, want its %v Wh a day alone", got, phone.DailyWh)
	}
	fridge := entry(t, "fridge")
	got := fridge.Load()
	if got.Daily != 0 || got.Running != fridge.Typical || got.Starting != fridge.Starting || got.Duty != fridge.Duty || !got.CyclesItself {
		t.Errorf("fridge: got %+v, want the draw of %+v", got, fridge)
	}
	if *got.Low != float64(fridge.Low) || *got.High != float64(fridge.High) {
		t.Errorf("fridge: got %v to %v W, want %v to %v", *got.Low, *got.High, fridge.Low, fridge.High)
	}
}

// U+0300 to U+036F are the combining diacritical marks (Unicode chart U0300).
func TestFoldWords(t *testing.T) {
	for typed, want := range map[string][]string{
		"Cre\u0300me bru\u0302le\u0301e": {"creme", "brulee"},
		"a\u0300b\u036fc":                {"abc"},
		"a\u02ffb a\u0370b":              {"a", "b", "aͱb"}, // a modifier parts words; a Greek letter does not
		"Größe 3½":                       {"grosse", "3"},
	} {
		if got := foldWords(typed); !slices.Equal(got, want) {
			t.Errorf("%q: got %q, want %q", typed, got, want)
		}
	}
}

func TestCatalogueIsACopy(t *testing.T) {
	Catalogue()[0].Name = "changed"
	Search("")[0].Name = "changed"
	if got := Catalogue()[0].Name; got == "changed" {
		t.Error("a caller can change the catalogue")
	}
}

func TestSearch(t *testing.T) {
	for _, c := range []struct {
		typed string
		want  []string // keys of the first results, in order
	}{
		{"cpap", []string{"cpap", "cpap-humidifier"}},
		{"CPAP", []string{"cpap", "cpap-humidifier"}},
		{"humidifier cpap", []string{"cpap-humidifier"}},
		{"heated cp", []string{"cpap-humidifier"}},
		{"bipap", []string{"bipap"}},
		{"oxygen 10", []string{"oxygen-10l"}},
		{"10 oxy", []string{"oxygen-10l"}},
		{"fridg", []string{"medicine-fridge", "fridge"}},
		{"old fridge", []string{"fridge-old"}},
		{"refrigerateur", nil},
		{"réfrigérator", []string{"fridge"}},
		{"CAFÉ", []string{"coffee-maker"}},
		{"cafe", []string{"coffee-maker"}},
		{"cafe\u0301", []string{"coffee-maker"}}, // the accent as a letter of its own
		{"purée", []string{"blender"}},
		{"cell phone", []string{"phone", "phone-basic"}},
		{"wi-fi", []string{"wifi-point", "router"}},
		{"wifi", []string{"wifi-point", "router", "modem-router"}},
		{"frost-free", []string{"freezer-upright"}},
		{"free frost", []string{"freezer-upright"}},
		{"ebike", []string{"e-bike"}},
		{"12v cooler", []string{"cooler-12v", "cooler-thermoelectric"}},
		{"flashl", []string{"lantern"}},
		{"fiber", []string{"modem"}},
		{"fibre", []string{"modem"}},
		{"well", []string{"well-pump-deep", "well-pump-jet"}},
		{"blender", []string{"blender"}},
		{"fan", []string{"fan-table", "fan-ceiling"}},
		{"iron", []string{"soldering-iron", "iron"}},
		{"stove", []string{"pellet-stove"}},
		{"xyzzy", nil},
		{"cpap xyzzy", nil},
		{"冷蔵庫", nil},
	} {
		got := Search(c.typed)
		if c.want == nil {
			if len(got) != 0 {
				t.Errorf("Search(%q) found %q and more, want none", c.typed, got[0].Key)
			}
			continue
		}
		for i, key := range c.want {
			if i >= len(got) || got[i].Key != key {
				t.Errorf("Search(%q) = %v, want %v first", c.typed, keysOf(got), c.want)
				break
			}
		}
	}
}

func keysOf(entries []Entry) []string {
	var keys []string
	for _, e := range entries {
		keys = append(keys, e.Key)
	}
	return keys
}

func TestSearchForNothingFindsAll(t *testing.T) {
	want := keysOf(Catalogue())
	for _, typed := range []string{"", " ", "\t\n", "-,.!", "\u0301", "\xff"} {
		if got := keysOf(Search(typed)); !slices.Equal(got, want) {
			t.Errorf("Search(%q) found %d entries, want all %d in order", typed, len(got), len(want))
		}
	}
}

// Each entry is found by its name typed in full, first of all, and by the
// halves of its words in any order.
func TestSearchFindsEveryEntryByItsName(t *testing.T) {
	for _, e := range Catalogue() {
		if got := Search(strings.ToUpper(e.Name)); len(got) == 0 || got[0].Key != e.Key {
			t.Errorf("%q found %v first", e.Name, keysOf(got))
		}
		var halves []string
		for _, w := range foldWords(e.Name) {
			halves = append(halves, w[:(len(w)+1)/2])
		}
		slices.Reverse(halves)
		typed := strings.Join(halves, " ")
		if !slices.Contains(keysOf(Search(typed)), e.Key) {
			t.Errorf("%q does not find %s", typed, e.Key)
		}
	}
}

func TestSearchReadsAHundredCharacters(t *testing.T) {
	pad := strings.Repeat(" ", maxSearchRunes-len("cpap"))
	if got := Search(pad + "cpap" + " xyzzy"); len(got) == 0 || got[0].Key != "cpap" {
		t.Errorf("what follows 100 characters counts: found %v", keysOf(got))
	}
	if got := Search(strings.Repeat("é", 1_000_000)); len(got) != 0 {
		t.Errorf("a million letters found %v", keysOf(got))
	}
}

func FuzzSearch(f *testing.F) {
	f.Add("cpap")
	f.Add("Öl brenner \xff 12")
	all := len(Catalogue())
	f.Fuzz(func(t *testing.T, typed string) {
		got := Search(typed)
		if len(got) > all {
			t.Errorf("Search(%q) found %d of %d", typed, len(got), all)
		}
		// What is typed further can only narrow it.
		if typed = firstRunes(typed, maxSearchRunes-1); len(Search(typed+"a")) > len(Search(typed)) {
			t.Errorf("one letter more than %q finds more", typed)
		}
	})
}

func BenchmarkSearch(b *testing.B) {
	for b.Loop() {
		Search("heated humidifier")
	}
}
