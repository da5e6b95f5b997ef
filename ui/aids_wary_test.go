package ui

import (
	"math"
	"strings"
	"testing"

	"candleclock/engine/aids"
	"candleclock/engine/battery"
	"candleclock/engine/outage"
	"candleclock/engine/plan"
	"candleclock/engine/units"
	"candleclock/ui/say"
)

// The fuel of a day brings what the plan takes and what charging loses: of what
// goes into a lead battery 70 % comes out again.
func TestFuelForWhatChargingLoses(t *testing.T) {
	for chemistry, efficiency := range map[battery.Chemistry]float64{battery.AGM: 0.70, battery.LFP: 0.94} {
		w := steady(t, new(disk))
		w.act(func() { w.app.editSupply(func(s *plan.Supply) { s.Battery.Chemistry = chemistry }) })
		w.visit("aids")
		day := float64(outage.NewRig(w.app.book.Plan).Day())
		got, _ := parse(w.app.form.field("gen-energy").Raw)
		if want := day / efficiency; got < want || got > want+100 || math.IsNaN(got) {
			t.Errorf("%s: %v Wh to bring, want %v", chemistry, got, want)
		}
	}
}

// A cylinder whose gauge shows nothing is not one whose gauge nobody has read.
func TestOxygenGaugeAtNothing(t *testing.T) {
	w := steady(t, new(disk))
	w.visit("aids")
	w.pick("oxygen-by", "uk")
	w.pick("oxygen-size-uk", "E")
	w.typeIn("oxygen-flow", "2")
	if html := w.html(); !strings.Contains(html, wOxygenAsk) {
		t.Error("a gauge that was not read: no question")
	}
	w.typeIn("oxygen-gauge", "0")
	if html := w.html(); !strings.Contains(html, wOxygenNone) || strings.Contains(html, wOxygenAsk) {
		t.Error("a gauge at 0 does not say to change over")
	}
}

// notes are the answers of the page's form.
func notes(w *world) string {
	var all []string
	for _, it := range w.app.Form().Shown() {
		all = append(all, it.Note())
	}
	return spaced(strings.Join(all, " "))
}

// 3,000 W through a cord of 18 AWG is a fire at any mains voltage, and nothing is
// said of what it loses on the way.
func TestCordThatBurns(t *testing.T) {
	w := steady(t, new(disk))
	w.visit("aids")
	w.typeIn("cable-watts", "3000")
	w.typeIn("cable-length", "10")
	w.pick("cable-size", "awg 18")
	for volts, amps := range map[string]string{"12": "250 A", "120": "25 A", "230": "13.1 A"} {
		w.typeIn("cable-volts", volts)
		got := notes(w)
		for _, want := range []string{wCordNo + amps, "18 AWG" + wCordMayIs + "10 A", "fire", "burns"} {
			if !strings.Contains(got, want) {
				t.Errorf("at %s V it says %q, not %q", volts, got, want)
			}
		}
		if strings.Contains(got, strings.TrimSpace(wCableLoses)) || strings.Contains(got, wCordWell) {
			t.Errorf("at %s V it goes on about the loss: %q", volts, got)
		}
	}
	w.typeIn("cable-volts", "120")
	if got := notes(w); !strings.Contains(got, wCordTake+"12 AWG") { // 25 A: NFPA 70 Table 400.5(A)(1)
		t.Errorf("no cord that would do: %q", got)
	}
	w.pick("cable-size", "awg 12")
	if got := notes(w); !strings.Contains(got, wCordBarely+"25 A") {
		t.Errorf("25 A over 12 AWG: %q", got)
	}
	w.pick("cable-size", "1") // 10 A
	w.typeIn("cable-volts", "230")
	if got := notes(w); !strings.Contains(got, wCordNo+"13.1 A") || !strings.Contains(got, wCordTake+"1.5 mm²") {
		t.Errorf("13 A over 1 mm²: %q", got)
	}
	html := spaced(w.html())
	for _, s := range []aids.Source{aids.CordSource, aids.MetricCordSource} {
		if !strings.Contains(html, wSource+s.Cite+wFromMemory) {
			t.Errorf("the source is not there: %q", s.Cite)
		}
	}
	// What is said to be borne is borne by the table, whatever the size.
	for _, of := range wires {
		most, err := of.ampacity()
		if err != nil {
			t.Fatal(err)
		}
		for _, amps := range []units.Amps{0.8 * most, most, most + 0.01} {
			says, bears := cord(of, amps)
			if bears != (amps <= most) || bears == strings.HasPrefix(says, wCordNo) {
				t.Errorf("%v A over %s, which may carry %v: %q", amps, of.name, most, says)
			}
		}
	}
}

// 680 is litres of oxygen, never the bottle's size, and a letter is one country's.
func TestOxygenByLitresOnThePage(t *testing.T) {
	w := steady(t, new(disk))
	w.visit("aids")
	w.pick("oxygen-unit", "bar")
	w.typeIn("oxygen-gauge", "137")
	w.typeIn("oxygen-flow", "2")
	if got := notes(w); !strings.Contains(got, wOxygenAsk) {
		t.Errorf("no size told, and it says %q", got)
	}
	w.pick("oxygen-by", "bottle")
	w.typeIn("oxygen-bottle", "680")
	w.app.form.field("oxygen-bottle").Leave()
	if got := w.app.form.field("oxygen-bottle").Err; !strings.Contains(got, wOxygenIsGas) {
		t.Errorf("680 as a bottle: %q", got)
	}
	if got := notes(w); !strings.Contains(got, wOxygenAsk) {
		t.Errorf("680 as a bottle counts: %q", got)
	}
	w.pick("oxygen-by", "gas")
	w.typeIn("oxygen-gas", "4.7")
	w.app.form.field("oxygen-gas").Leave()
	if got := w.app.form.field("oxygen-gas").Err; !strings.Contains(got, wOxygenIsBot) {
		t.Errorf("4.7 as gas: %q", got)
	}
	w.typeIn("oxygen-gas", "680")
	w.typeIn("oxygen-full", "137") // read as bar: no cylinder is full at 137 psi
	want := 680. * (137 - 200/aids.PSIPerBar) / 137 / 2 / 60
	if got := notes(w); !strings.Contains(got, wOxygenLasts+spaced(say.Hours(say.Down(units.Hours(want))))) {
		t.Errorf("680 L at 137 bar, 2 L/min: %q, want %v h", got, want)
	}
	for typed, echo := range map[string]string{"137": "137 bar", "2015": "2,015 psi", "200 bar": "", "2015 psi": "", "500": "", "20": ""} {
		w.typeIn("oxygen-full", typed)
		f := w.app.form.field("oxygen-full")
		f.Leave()
		if bad := typed == "500" || typed == "20"; (f.Err != "") != bad || echo != "" && !strings.Contains(spaced(f.Echo), wReadAs+echo) {
			t.Errorf("full at %q: %q, %q", typed, f.Echo, f.Err)
		}
	}
	w.typeIn("oxygen-full", "") // as 300 bar: less
	if got := notes(w); !strings.Contains(got, wOxygenLasts+spaced(say.Hours(say.Down(units.Hours(680.*(137-200/aids.PSIPerBar)/300/2/60))))) {
		t.Errorf("full pressure not told: %q", got)
	}
	// The same letter under the other country's is asked for anew.
	w.pick("oxygen-by", "us")
	if got := notes(w); !strings.Contains(got, wOxygenAsk) {
		t.Errorf("no letter picked yet: %q", got)
	}
	w.pick("oxygen-size", "G")
	american := notes(w)
	w.pick("oxygen-by", "uk")
	w.pick("oxygen-size-uk", "G")
	if british := notes(w); american == british || strings.Contains(british, wOxygenAsk) {
		t.Errorf("a G is the same in both countries: %q", british)
	}
	w.typeIn("oxygen-gauge", "200") // 137 bar is full
	if got := notes(w); !strings.Contains(got, wOxygenOver) {
		t.Errorf("a UK G at 200 bar: %q", got)
	}
	// One that can be carried seldom lasts for more than half a day.
	w.typeIn("oxygen-gauge", "137")
	w.pick("oxygen-size-uk", "F")
	w.typeIn("oxygen-flow", "0.5")
	if got := notes(w); !strings.Contains(got, wOxygenLasts+"12 hours"+wOxygenUntil) || !strings.Contains(got, strings.TrimSpace(wOxygenDoubt)) {
		t.Errorf("an F at half a litre: %q", got)
	}
	checkPage(t, w.html())
}
