package ui

import (
	"strings"

	"candleclock/engine/doc"
	"candleclock/engine/units"
	"candleclock/ui/say"
)

// Prefs is how the owner of the device likes to read, and what was in view.
type Prefs struct {
	Hour24     bool
	Fahrenheit bool
	Look       string // "night", "day", "dark-room"
	Current    string // id of the plan in view
	Paper      string // of the card: a key of sheets
	LargeCard  bool   // the card in large letters
	Decimal    string // the mark that its owner told to write before decimals, "." or ","; "" as the device's language has it
	Inside     string // mark of the plan that came in this file, once it has been answered
	Asked      bool   // the browser has been asked to keep things for good

	unknown doc.Unknown
}

var looks = []string{"night", "day", "dark-room"}

// guessPrefs goes by what the device says of itself.
func guessPrefs(c Clock) Prefs {
	return Prefs{Hour24: c.Hour24(), Fahrenheit: readsFahrenheit(c.Language()), Look: "night", Paper: guessPaper(c.Language())}
}

// guessPaper goes by the region of the language: letter paper in North America,
// else A4 (Unicode CLDR, paperSize; from memory).
func guessPaper(language string) string {
	switch region(language) {
	case "US", "CA", "MX":
		return "letter"
	}
	return "a4"
}

// region is the region of a language as in "en-CA" or "zh-Hant-TW", or "".
func region(language string) string {
	parts := strings.Split(language, "-")
	for _, p := range parts[1:] {
		if len(p) == 2 {
			return strings.ToUpper(p)
		}
	}
	return ""
}

// readsFahrenheit goes by the region of the language: the countries that
// measure the weather in °F (Unicode CLDR, unitPreferenceData, temperature,
// weather; from memory).
func readsFahrenheit(language string) bool {
	switch region(language) {
	case "US", "BS", "BZ", "KY", "PR", "PW":
		return true
	}
	return false
}

// guessMains goes by the continent of the zone: 120 V in the Americas, else 230
// V (IEC world plugs; a first guess that the owner can change).
func guessMains(zone string) units.Volts {
	if strings.HasPrefix(zone, "America/") {
		return 120
	}
	return 230
}

func readPrefs(data []byte, fallback Prefs) Prefs {
	r := doc.Read(data, "")
	p := Prefs{
		Hour24:     r.Yes("hour24"),
		Fahrenheit: r.Yes("fahrenheit"),
		Look:       r.Choice("look", looks, "night"),
		Current:    r.Text("current", 40),
		Paper:      r.Choice("paper", sheetKeys(), fallback.Paper),
		LargeCard:  r.Yes("large_card"),
		Decimal:    r.Choice("decimal", decimals, ""),
		Inside:     r.Text("inside", 8),
		Asked:      r.Yes("asked"),
	}
	p.unknown = r.Unknown()
	if r.Err() != nil {
		return fallback
	}
	return p
}

func (p Prefs) write() []byte {
	w := new(doc.Writer)
	w.Yes("hour24", p.Hour24)
	w.Yes("fahrenheit", p.Fahrenheit)
	w.Text("look", p.Look)
	w.Text("current", p.Current)
	w.Text("paper", p.Paper)
	w.Yes("large_card", p.LargeCard)
	w.Text("decimal", p.Decimal)
	w.Text("inside", p.Inside)
	w.Yes("asked", p.Asked)
	w.Keep(p.unknown)
	return w.Bytes()
}

// decimals are the marks before decimals.
var decimals = []string{"", ".", ","}

// marks are those that the owner told, or else those of a device that writes
// 1234567.8 like this.
func (p Prefs) marks(device string) say.Marks {
	m := say.MarksOf(device)
	if p.Decimal == "" {
		return m
	}
	m.Decimal, m.Told = p.Decimal, true
	if m.Group == m.Decimal {
		m.Group = "."
		if m.Decimal == "." {
			m.Group = ","
		}
	}
	return m
}

func (p Prefs) clock() say.Clock { return say.Clock{Hour24: p.Hour24} }
