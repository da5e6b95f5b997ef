package load

import (
	"slices"
	"strings"
	"unicode"

	"candleclock/engine/units"
)

// Entry is one kind of thing people plug in, with the draw that is usual for
// its kind. Real things differ: a measured figure beats any entry.
type Entry struct {
	Key   string   // stable kebab-case id
	Name  string   // plain and generic, at most 40 characters
	Group string   // one of Groups
	Words []string // synonyms and everyday names to search by; shared, don't change
	Rank  Rank     // a first proposal
	// Outlet is where it is plugged in. What may go either way is AC, where the
	// inverter's own draw counts too.
	Outlet Outlet

	// Low, Typical and High are the draw at the outlet while it runs, W. For
	// what has a DailyWh they are the draw while it charges.
	Low, Typical, High units.Watts
	// Starting is the peak while it starts, W; 0 means no more than running.
	Starting units.Watts
	// Burst is what it draws instead for minutes now and then, W, whatever it is
	// called to do: a defrost heater, a second element. No part of High, which it
	// is too seldom for; 0 means none.
	Burst units.Watts
	// Duty is the share of the time switched on in which it runs, 0 < Duty ≤ 1;
	// DutyLow and DutyHigh are its usual range.
	Duty, DutyLow, DutyHigh float64
	// DailyWh, where it isn't 0, is the energy at the outlet a day, Wh, however
	// fast it charges: the figure to plan with instead of the draw. Duty then
	// has no meaning and is 1.
	DailyWh units.WattHours
	// CyclesItself: a thermostat, pressure switch or float restarts it with
	// nobody there.
	CyclesItself bool
	// PowerFactor is W/VA while running, 0 < PowerFactor ≤ 1; 1 on DC outlets.
	PowerFactor float64

	// Source says where the figures come from, in words fit to be shown.
	Source string
}

// The groups, in the order of the catalogue.
const (
	groupCare    = "Breathing and care"
	groupCold    = "Cold"
	groupLight   = "Light"
	groupPhones  = "Phones and internet"
	groupKitchen = "Kitchen"
	groupHeat    = "Heating and cooling"
	groupWater   = "Water"
	groupWork    = "Work"
	groupOther   = "Other"
)

// Groups returns the names of the groups in the order of the catalogue.
func Groups() []string {
	return []string{
		groupCare, groupCold, groupLight, groupPhones, groupKitchen,
		groupHeat, groupWater, groupWork, groupOther,
	}
}

// Catalogue returns every entry, in a fixed order: by group, and within a
// group what matters most or is met most often first.
func Catalogue() []Entry { return slices.Clone(catalogue) }

// Find returns the entry with that key, and whether there is one.
func Find(key string) (Entry, bool) {
	for _, e := range catalogue {
		if e.Key == key {
			return e, true
		}
	}
	return Entry{}, false
}

// Burst is the Burst of the entry that a load is called by, W: by its whole name,
// or without a number behind it ("Refrigerator, modern 2"). 0 where there is none.
func Burst(name string) units.Watts {
	name = strings.TrimRight(name, " 0123456789")
	for _, e := range catalogue {
		if strings.TrimRight(e.Name, " 0123456789") == name {
			return e.Burst
		}
	}
	return 0
}

// Load is the entry as a load of a plan: one of it, known as typical things are.
func (e Entry) Load() Load {
	l := Load{Name: e.Name, Rank: e.Rank, Outlet: e.Outlet, Count: 1, Duty: 1, PowerFactor: e.PowerFactor, Basis: Typical}
	if e.DailyWh > 0 {
		l.Daily = e.DailyWh
		return l
	}
	low, high := float64(e.Low), float64(e.High)
	l.Running, l.Low, l.High = e.Typical, &low, &high
	l.Starting, l.Duty, l.CyclesItself = e.Starting, e.Duty, e.CyclesItself
	return l
}

// kinds tells, by what people call a thing, whether such things start harder than
// they run: by the names of the entries, with and without what follows a comma or
// bracket; and lastWords by the last word alone, where all that are called by it
// do: a fridge, but not a pump.
var kinds, lastWords = func() (map[string]bool, map[string]bool) {
	names, short, last := map[string]bool{}, map[string]bool{}, map[string]bool{}
	all := func(of map[string]bool, name string, hard bool) {
		before, seen := of[name]
		of[name] = hard && (before || !seen)
	}
	for _, e := range catalogue {
		hard, name := e.Starting > 0, e.Name
		names[called(name)] = hard
		if i := strings.IndexAny(name, ",("); i > 0 {
			name = name[:i]
		}
		all(short, called(name), hard)
		all(last, lastWord(called(name)), hard)
	}
	for name, hard := range short {
		if _, ok := names[name]; !ok && hard {
			names[name] = true
		}
	}
	return names, last
}()

// called is a name as kinds has it: in small letters, without a number behind it.
func called(name string) string {
	return strings.TrimRight(strings.ToLower(strings.TrimSpace(name)), " 0123456789")
}

func lastWord(name string) string { return name[strings.LastIndexByte(name, ' ')+1:] }

// startsHard reports whether things that are called so start harder than they
// run, as far as the catalogue knows; known is false where it has none of the name.
func startsHard(name string) (hard, known bool) {
	name = called(name)
	if hard, known = kinds[name]; known {
		return hard, true
	}
	return lastWords[lastWord(name)], false
}

// maxSearchRunes bounds the work of one Search.
const maxSearchRunes = 100

// Search returns the entries in which every typed word begins some word of the
// name or of Words, whatever the case, accents and order. Whole words come
// before begun ones and the name before Words; equals keep the order of the
// catalogue. Hyphens don't part words: "wi-fi" is "wifi". No words return all
// entries. Only the first 100 characters count.
func Search(words string) []Entry {
	typed := foldWords(joinHyphens(firstRunes(words, maxSearchRunes)))
	if len(typed) == 0 {
		return Catalogue()
	}
	type hit struct{ entry, distance int }
	var hits []hit
	for i, x := range catalogueIndex {
		if d, ok := x.distance(typed); ok {
			hits = append(hits, hit{i, d})
		}
	}
	slices.SortStableFunc(hits, func(a, b hit) int { return a.distance - b.distance })
	found := make([]Entry, len(hits))
	for i, h := range hits {
		found[i] = catalogue[h.entry]
	}
	return found
}

// indexed holds the folded words of one entry.
type indexed struct{ name, words []string }

// How far a typed word is from a word of an entry.
const (
	nameWhole = iota
	nameBegun
	wordWhole
	wordBegun
	noMatch
)

// distance is the sum over the typed words of how far each is from its best
// match; false when one has none.
func (x indexed) distance(typed []string) (int, bool) {
	sum := 0
	for _, t := range typed {
		d := min(nearest(t, x.name, nameWhole, nameBegun), nearest(t, x.words, wordWhole, wordBegun))
		if d == noMatch {
			return 0, false
		}
		sum += d
	}
	return sum, true
}

// nearest is whole if typed is one of the words, begun if it begins one, and
// noMatch otherwise.
func nearest(typed string, words []string, whole, begun int) int {
	best := noMatch
	for _, w := range words {
		if w == typed {
			return whole
		}
		if strings.HasPrefix(w, typed) {
			best = begun
		}
	}
	return best
}

// firstRunes returns at most the first n runes of s.
func firstRunes(s string, n int) string {
	for i := range s {
		if n == 0 {
			return s[:i]
		}
		n--
	}
	return s
}

func joinHyphens(s string) string { return strings.ReplaceAll(s, "-", "") }

// bothWays lists the words of s with its hyphenated ones both parted and
// joined, so that they are found by either.
func bothWays(s string) []string { return foldWords(s + " " + joinHyphens(s)) }

// foldWords splits s into words of letters and digits, in lower case and
// without accents.
func foldWords(s string) []string {
	var b strings.Builder
	for _, r := range s {
		switch r = unicode.ToLower(r); {
		case r >= 0x300 && r <= 0x36F: // combining accents
		case unicode.IsLetter(r) || unicode.IsDigit(r):
			b.WriteString(foldLetter(r))
		default:
			b.WriteByte(' ')
		}
	}
	return strings.Fields(b.String())
}

// foldLetter writes a lower-case Latin letter without its accent. It covers
// the letters of the European languages; others stay as they are.
func foldLetter(r rune) string {
	if r < 0x80 {
		return string(r)
	}
	for _, f := range foldedLetters {
		if strings.ContainsRune(f.accented, r) {
			return f.plain
		}
	}
	return string(r)
}

var foldedLetters = []struct{ plain, accented string }{
	{"a", "àáâãäåāăą"}, {"ae", "æ"}, {"c", "çćĉċč"}, {"d", "ďđð"},
	{"e", "èéêëēĕėęě"}, {"g", "ĝğġģ"}, {"h", "ĥħ"}, {"i", "ìíîïĩīĭįı"},
	{"j", "ĵ"}, {"k", "ķ"}, {"l", "ĺļľŀł"}, {"n", "ñńņňŉ"},
	{"o", "òóôõöøōŏő"}, {"oe", "œ"}, {"r", "ŕŗř"}, {"s", "śŝşšș"},
	{"ss", "ß"}, {"t", "ţťŧț"}, {"th", "þ"}, {"u", "ùúûüũūŭůűų"},
	{"w", "ŵ"}, {"y", "ýÿŷ"}, {"z", "źżž"},
}

// catalogueIndex holds the folded words of catalogue, entry by entry.
var catalogueIndex = func() []indexed {
	index := make([]indexed, len(catalogue))
	for i, e := range catalogue {
		index[i] = indexed{bothWays(e.Name), bothWays(strings.Join(e.Words, " "))}
	}
	return index
}()

// Where the figures come from, as shown to whoever asks.
const (
	// Read in published copies of these pages and tables.
	srcEnergySaver = "US DOE Energy Saver, Estimating Appliance and Home Electronic Energy Use (2003–2012 list of nameplate watts, an upper bound for newer things)"
	srcColdLimits  = "10 CFR 430.32(a), US energy limits for refrigerators and freezers, products made from September 2014"
	srcOxygen      = "WHO, Technical specifications for oxygen concentrators (2015): at most 70 W per L/min"
	srcMotors      = "NFPA 70 Tables 430.248 and 430.251(A): full-load and locked-rotor currents of single-phase motors"
	srcMetered     = "Florida Solar Energy Center, FSEC-PF-344-98, table 1 (1998): metered home electronics"

	// Known to be published; the figures themselves are recalled.
	srcLED       = "US DOE, LED lighting pages: 7 to 10 W for 800 lm (from memory)"
	srcBroadband = "EU Joint Research Centre, Code of Conduct on Energy Consumption of Broadband Equipment, version 7.1 (2020); range from memory"
	srcRoomAir   = "10 CFR 430.32(b), US limits for room air conditioners: 11 Btu/h per W or better (from memory)"
	srcAirline   = "ICAO dangerous goods rules: laptop batteries up to 100 Wh; usual sizes from memory"
	srcUSB       = "USB Implementers Forum: 2.5, 4.5, 7.5 or more W a port (from memory)"

	// Worked out.
	srcPhoneSum = "5,000 mAh × 3.85 V = 19.3 Wh, times 1.3 for charging losses; battery size and losses are common practice, from memory"

	// No published source found.
	srcPractice  = "Common practice, from memory; no agency's figure found"
	srcTherapy   = "Usual range of home breathing machines, from memory; no agency's figure found. It rises with the pressure set: measure yours"
	srcCare      = "Usual rating of home care equipment, from memory; no agency's figure found. Measure yours"
	andPractice  = "; typical draw from memory"
	andStart     = "; starting watts are common practice, from memory"
	andDefrost   = ". Now and then its defrost heater takes 300 to 600 W for about 20 minutes (from memory): a supply for less may trip"
	andTimesThat = "; share of time is common practice, from memory"
)

// catalogue holds every entry. In a row, a duty left out is 1 (runs all the
// time it is on) and an outlet left out is AC: both are the wary reading.
// Power factors are common practice, from memory, within the classes of IEC
// 61000-3-2: heating 1; motors running 0.6 to 0.9; LED lamps 0.5 to 0.9; small
// supplies without correction 0.5 to 0.65, with it 0.9 or better.
var catalogue = assemble(
	section{groupCare, []Entry{
		{Key: "cpap", Name: "Breathing mask machine (CPAP), dry", Words: words("sleep apnoea apnea night mask pap apap air pressure no humidifier breathing"),
			Rank: Vital, Low: 15, Typical: 30, High: 60, PowerFactor: 0.6, Source: srcTherapy},
		{Key: "cpap-humidifier", Name: "CPAP with heated humidifier", Words: words("sleep apnoea apnea night mask pap apap heated hose tube breathing machine"),
			Rank: Vital, Low: 60, Typical: 80, High: 100, PowerFactor: 0.6, Source: srcTherapy},
		{Key: "cpap-12v", Name: "Breathing mask machine (CPAP) on 12 V", Words: words("dry sleep apnoea apnea night mask pap apap 12v dc car adapter lead air pressure breathing machine no humidifier"),
			Rank: Vital, Outlet: DC, Low: 12, Typical: 30, High: 60, PowerFactor: 1, Source: srcTherapy + ". The lead must be made for the machine"},
		{Key: "bipap", Name: "Bilevel breathing mask machine", Words: words("bipap bpap bi-level mask niv non-invasive ventilation sleep apnoea apnea breathing"),
			Rank: Vital, Low: 25, Typical: 50, High: 100, PowerFactor: 0.6, Source: srcTherapy},
		{Key: "ventilator", Name: "Home ventilator", Words: words("breathing respirator life support tracheostomy trach"),
			Rank: Vital, Low: 40, Typical: 100, High: 250, PowerFactor: 0.6, Source: srcTherapy},
		{Key: "high-flow-humidifier", Name: "High-flow humidified air device", Words: words("oxygen nasal heated humidifier breathing therapy"),
			Rank: Vital, Low: 100, Typical: 200, High: 300, PowerFactor: 0.9, Source: srcTherapy},
		{Key: "oxygen-portable", Name: "Oxygen concentrator, portable", Words: words("o2 poc pulse dose travel breathing copd"),
			Rank: Vital, Low: 40, Typical: 75, High: 150, PowerFactor: 0.6, Source: srcCare},
		{Key: "oxygen-5l", Name: "Oxygen concentrator, 5 L/min", Words: words("o2 stationary home litre liter breathing copd 5l lpm"),
			Rank: Vital, Low: 230, Typical: 320, High: 350, Starting: 1000, PowerFactor: 0.75, Source: srcOxygen + andPractice + andStart},
		{Key: "oxygen-10l", Name: "Oxygen concentrator, 10 L/min", Words: words("o2 stationary home litre liter high flow breathing copd 10l lpm"),
			Rank: Vital, Low: 450, Typical: 600, High: 700, Starting: 1800, PowerFactor: 0.75, Source: srcOxygen + andPractice + andStart},
		{Key: "nebuliser", Name: "Nebuliser", Words: words("nebulizer asthma inhaler mist compressor medicine breathing"),
			Rank: Vital, Low: 60, Typical: 120, High: 180, Starting: 300, PowerFactor: 0.7, Source: srcCare},
		{Key: "suction-pump", Name: "Suction pump", Words: words("aspirator secretions tracheostomy trach airway"),
			Rank: Vital, Low: 60, Typical: 110, High: 180, Starting: 300, PowerFactor: 0.7, Source: srcCare},
		{Key: "cough-assist", Name: "Cough-assist machine", Words: words("insufflator exsufflator airway secretions breathing"),
			Rank: Vital, Low: 50, Typical: 100, High: 180, PowerFactor: 0.6, Source: srcCare},
		{Key: "feeding-pump", Name: "Feeding pump", Words: words("enteral tube peg gastrostomy nutrition"),
			Rank: Vital, Low: 4, Typical: 10, High: 20, PowerFactor: 0.55, Source: srcCare},
		{Key: "infusion-pump", Name: "Infusion pump", Words: words("syringe driver iv drip medicine"),
			Rank: Vital, Low: 4, Typical: 10, High: 25, PowerFactor: 0.55, Source: srcCare},
		{Key: "dialysis-cycler", Name: "Peritoneal dialysis cycler", Words: words("kidney apd renal night heater bag"),
			Rank: Vital, Low: 250, Typical: 400, High: 550, Duty: 0.4, DutyLow: 0.2, DutyHigh: 0.7, CyclesItself: true, PowerFactor: 0.9, Source: srcCare},
		{Key: "apnoea-monitor", Name: "Apnoea monitor", Words: words("apnea infant baby breathing heart alarm"),
			Rank: Vital, Low: 4, Typical: 8, High: 15, PowerFactor: 0.55, Source: srcCare},
		{Key: "oximeter", Name: "Pulse oximeter, bedside", Words: words("spo2 saturation heart monitor"),
			Rank: Vital, Low: 3, Typical: 8, High: 20, PowerFactor: 0.55, Source: srcCare},
		{Key: "glucose-devices", Name: "Insulin pump or glucose reader charging", Words: words("diabetes cgm sensor receiver"),
			Rank: Vital, Outlet: USB, Low: 1, Typical: 2.5, High: 5, DailyWh: 5, PowerFactor: 1, Source: srcCare},
		{Key: "pressure-mattress", Name: "Alternating-pressure mattress", Words: words("air bed sore pad pump overlay"),
			Rank: Vital, Low: 5, Typical: 12, High: 30, PowerFactor: 0.6, Source: srcCare},
		{Key: "hospital-bed", Name: "Hospital bed, while it moves", Words: words("adjustable nursing care electric motor"),
			Rank: Useful, Low: 100, Typical: 200, High: 400, Starting: 500, Duty: 0.02, DutyLow: 0.01, DutyHigh: 0.05, PowerFactor: 0.7, Source: srcCare},
		{Key: "patient-lift", Name: "Patient hoist charging", Words: words("lift sling transfer care"),
			Rank: Useful, Low: 20, Typical: 40, High: 80, DailyWh: 80, PowerFactor: 0.6, Source: srcCare},
		{Key: "wheelchair", Name: "Powered wheelchair charging", Words: words("power electric chair charger mobility"),
			Rank: Vital, Low: 100, Typical: 200, High: 300, DailyWh: 800, PowerFactor: 0.65, Source: srcCare},
		{Key: "mobility-scooter", Name: "Mobility scooter charging", Words: words("electric charger disabled"),
			Rank: Useful, Low: 80, Typical: 150, High: 250, DailyWh: 600, PowerFactor: 0.65, Source: srcCare},
		{Key: "stairlift", Name: "Stairlift charging", Words: words("stair lift chair rail"),
			Rank: Useful, Low: 20, Typical: 50, High: 120, DailyWh: 300, PowerFactor: 0.6, Source: srcCare},
		{Key: "hearing-aids", Name: "Hearing-aid charger", Words: words("hearing aids deaf ear"),
			Rank: Vital, Outlet: USB, Low: 1, Typical: 2.5, High: 5, DailyWh: 5, PowerFactor: 1, Source: srcCare},
		{Key: "baby-monitor", Name: "Baby monitor", Words: words("child camera audio video intercom"),
			Rank: Useful, Low: 2, Typical: 5, High: 10, PowerFactor: 0.55, Source: srcMetered + " (2 W, sound only); with a picture from memory"},
		{Key: "bottle-warmer", Name: "Bottle warmer", Words: words("baby milk steriliser sterilizer"),
			Rank: Useful, Low: 200, Typical: 300, High: 500, Duty: 0.6, DutyLow: 0.4, DutyHigh: 1, CyclesItself: true, PowerFactor: 1, Source: srcPractice},
		{Key: "ventilator-battery", Name: "Ventilator battery, charging", Words: words("external spare pack breathing life support charger"),
			Rank: Vital, Low: 40, Typical: 80, High: 150, DailyWh: 260, PowerFactor: 0.6, Source: srcCare + ". A 200 Wh pack a day, times 1.3 for losses"},
		{Key: "oxygen-filler", Name: "Oxygen cylinder filler, by itself", Words: words("home fill compressor o2 bottle refill breathing"),
			Rank: Useful, Low: 130, Typical: 200, High: 300, Starting: 800, PowerFactor: 0.75, Source: srcCare + ". The concentrator that feeds it comes on top"},
		{Key: "airway-vest", Name: "Airway-clearance vest", Words: words("cystic fibrosis chest wall percussion shaking secretions breathing"),
			Rank: Vital, Low: 80, Typical: 250, High: 550, Starting: 700, PowerFactor: 0.7, Source: srcCare},
		{Key: "haemodialysis", Name: "Home haemodialysis machine", Words: words("hemodialysis kidney renal blood cleaning heater"),
			Rank: Vital, Low: 300, Typical: 1000, High: 2000, Starting: 2000, Duty: 0.6, DutyLow: 0.3, DutyHigh: 1, CyclesItself: true, PowerFactor: 0.95, Source: srcCare + ". Its water treatment comes on top"},
		{Key: "blood-pressure", Name: "Blood pressure meter", Words: words("cuff heart monitor hypertension"),
			Rank: Useful, Low: 1, Typical: 4, High: 6, Duty: 0.05, DutyLow: 0.01, DutyHigh: 0.2, PowerFactor: 0.5, Source: srcCare + ". Most run on batteries too"},
		{Key: "telecare", Name: "Telecare base or medical alert unit", Words: words("pendant button emergency call fall detector alarm elderly"),
			Rank: Vital, Low: 2, Typical: 4, High: 8, PowerFactor: 0.5, Source: srcCare + ". Its own battery lasts a day or so; the line it calls by may not"},
		{Key: "smoke-alarm", Name: "Smoke or carbon monoxide alarm", Words: words("co fire gas detector mains wired"),
			Rank: Vital, Low: 0.3, Typical: 1, High: 4, PowerFactor: 0.5, Source: srcPractice + ". Most have a battery of their own: try it"},
		{Key: "speech-device", Name: "Speech device or eye-gaze tablet", Words: words("aac communication talker voice als disabled charging"),
			Rank: Vital, Low: 15, Typical: 30, High: 65, DailyWh: 150, PowerFactor: 0.6, Source: srcCare},
		{Key: "riser-recliner", Name: "Riser-recliner chair, while it moves", Words: words("lift armchair electric motor care elderly"),
			Rank: Useful, Low: 60, Typical: 120, High: 250, Starting: 350, Duty: 0.02, DutyLow: 0.01, DutyHigh: 0.05, PowerFactor: 0.7, Source: srcCare},
		{Key: "home-lift", Name: "Home lift, while it moves", Words: words("elevator through floor platform wheelchair fixed wiring"),
			Rank: Useful, Low: 800, Typical: 1500, High: 3000, Starting: 6000, Duty: 0.02, DutyLow: 0.01, DutyHigh: 0.05, PowerFactor: 0.75, Source: srcCare + ". Nobody should ride it on a battery that may trip"},
		{Key: "breast-pump", Name: "Breast pump", Words: words("milk baby nursing feeding mother"),
			Rank: Vital, Low: 5, Typical: 12, High: 30, PowerFactor: 0.6, Source: srcCare},
		{Key: "phototherapy", Name: "Phototherapy lamp for a newborn", Words: words("jaundice bilirubin blanket blue light baby"),
			Rank: Vital, Low: 15, Typical: 60, High: 200, PowerFactor: 0.6, Source: srcCare},
	}},
	section{groupCold, []Entry{
		{Key: "medicine-fridge", Name: "Medicine fridge, small", Words: words("refrigerator insulin vaccine compact mini bar"),
			Rank: Vital, Low: 45, Typical: 70, High: 100, Starting: 400, Duty: 0.4, DutyLow: 0.25, DutyHigh: 0.6, CyclesItself: true, PowerFactor: 0.65, Source: srcPractice},
		{Key: "fridge", Name: "Refrigerator, modern", Words: words("fridge freezer combination icebox compressor 2014"),
			Rank: Useful, Low: 90, Typical: 140, High: 220, Starting: 800, Burst: 600, Duty: 0.33, DutyLow: 0.25, DutyHigh: 0.5, CyclesItself: true, PowerFactor: 0.7, Source: srcColdLimits + "; watts and share of time from memory" + andStart + andDefrost},
		{Key: "fridge-old", Name: "Refrigerator, old (before 2000)", Words: words("fridge freezer combination icebox compressor frost-free"),
			Rank: Useful, Low: 200, Typical: 400, High: 725, Starting: 2000, Burst: 600, Duty: 0.33, DutyLow: 0.3, DutyHigh: 0.6, CyclesItself: true, PowerFactor: 0.65, Source: srcEnergySaver + " (725 W; runs a third of the time)" + andPractice + andStart + andDefrost},
		{Key: "fridge-inverter", Name: "Refrigerator, inverter compressor", Words: words("fridge freezer combination icebox variable speed linear quiet"),
			Rank: Useful, Low: 40, Typical: 75, High: 150, Starting: 600, Burst: 600, Duty: 0.6, DutyLow: 0.4, DutyHigh: 0.9, CyclesItself: true, PowerFactor: 0.65, Source: srcColdLimits + "; watts and share of time from memory" + andDefrost},
		{Key: "freezer-chest", Name: "Chest freezer", Words: words("deep freeze box food"),
			Rank: Useful, Low: 60, Typical: 90, High: 150, Starting: 500, Duty: 0.33, DutyLow: 0.25, DutyHigh: 0.5, CyclesItself: true, PowerFactor: 0.7, Source: srcColdLimits + "; watts and share of time from memory" + andStart},
		{Key: "freezer-upright", Name: "Upright freezer, frost-free", Words: words("deep freeze standing cabinet food"),
			Rank: Useful, Low: 100, Typical: 150, High: 250, Starting: 800, Burst: 600, Duty: 0.34, DutyLow: 0.25, DutyHigh: 0.55, CyclesItself: true, PowerFactor: 0.7, Source: srcColdLimits + " (this class from memory); watts and share of time from memory" + andStart + andDefrost},
		{Key: "cooler-12v", Name: "Cooler with compressor, 12 V", Words: words("12v fridge camping car portable freezer box"),
			Rank: Useful, Outlet: DC, Low: 35, Typical: 50, High: 70, Starting: 70, Duty: 0.4, DutyLow: 0.2, DutyHigh: 0.7, CyclesItself: true, PowerFactor: 1, Source: srcPractice},
		{Key: "cooler-thermoelectric", Name: "Cooler, thermoelectric, 12 V", Words: words("12v peltier cool box camping car insulin no compressor"),
			Rank: Comfort, Outlet: DC, Low: 35, Typical: 48, High: 65, PowerFactor: 1, Source: srcPractice + ". It has no thermostat: it never rests"},
		{Key: "medicine-cooler", Name: "Medicine cooler for travel, 12 V", Words: words("12v insulin vaccine small box peltier thermoelectric car"),
			Rank: Vital, Outlet: DC, Low: 8, Typical: 35, High: 60, PowerFactor: 1, Source: srcPractice + ". It cools to some 20 °C below the room, no further"},
		{Key: "ice-maker", Name: "Ice maker, countertop", Words: words("cubes compressor"),
			Rank: Comfort, Low: 90, Typical: 130, High: 200, Starting: 600, Duty: 0.9, DutyLow: 0.7, DutyHigh: 1, CyclesItself: true, PowerFactor: 0.7, Source: srcPractice},
	}},
	section{groupLight, []Entry{
		{Key: "lamp-led", Name: "LED lamp, bright (800 lumens)", Words: words("light bulb 60 w room ceiling table"),
			Rank: Useful, Low: 7, Typical: 9, High: 10, PowerFactor: 0.6, Source: srcLED},
		{Key: "lamp-led-small", Name: "LED lamp, small (450 lumens)", Words: words("light bulb 40 w bedside reading"),
			Rank: Useful, Low: 4, Typical: 5, High: 7, PowerFactor: 0.55, Source: srcPractice},
		{Key: "lamp-usb", Name: "USB light", Words: words("led lamp reading strip camping"),
			Rank: Useful, Outlet: USB, Low: 0.5, Typical: 2.5, High: 5, PowerFactor: 1, Source: srcUSB},
		{Key: "lamp-12v", Name: "LED lamp, 12 V", Words: words("12v light camping car shed strip"),
			Rank: Useful, Outlet: DC, Low: 2, Typical: 5, High: 12, PowerFactor: 1, Source: srcPractice},
		{Key: "lantern", Name: "Rechargeable lantern or torch", Words: words("flashlight lamp light headlamp camping battery charging"),
			Rank: Useful, Outlet: USB, Low: 2.5, Typical: 5, High: 10, DailyWh: 20, PowerFactor: 1, Source: srcPractice + ". Some 3 W for 5 hours, and charging losses"},
		{Key: "lamp-ceiling-led", Name: "LED ceiling panel or strip", Words: words("light kitchen under cabinet"),
			Rank: Comfort, Low: 12, Typical: 24, High: 50, PowerFactor: 0.7, Source: srcPractice},
		{Key: "lamp-incandescent", Name: "Incandescent or halogen lamp", Words: words("light bulb old filament 60 w"),
			Rank: Comfort, Low: 40, Typical: 60, High: 100, PowerFactor: 1, Source: srcPractice + ". Its watts are printed on it"},
		{Key: "lamp-fluorescent", Name: "Compact fluorescent lamp", Words: words("light bulb cfl energy saving tube"),
			Rank: Useful, Low: 9, Typical: 14, High: 25, PowerFactor: 0.55, Source: srcPractice + ". Its watts are printed on it"},
	}},
	section{groupPhones, []Entry{
		{Key: "phone", Name: "Mobile phone, one charge a day", Words: words("cell smartphone telephone handset charger charging"),
			Rank: Useful, Outlet: USB, Low: 5, Typical: 10, High: 25, DailyWh: 25, PowerFactor: 1, Source: srcPhoneSum},
		{Key: "phone-basic", Name: "Basic mobile phone with keys", Words: words("cell telephone handset button charger charging"),
			Rank: Useful, Outlet: USB, Low: 2, Typical: 4, High: 5, DailyWh: 3, PowerFactor: 1, Source: srcPractice + ". A charge every two days"},
		{Key: "tablet", Name: "Tablet, one charge a day", Words: words("pad screen reader charger charging"),
			Rank: Comfort, Outlet: USB, Low: 8, Typical: 15, High: 30, DailyWh: 40, PowerFactor: 1, Source: srcPractice + ". A 30 Wh battery and charging losses"},
		{Key: "router", Name: "Internet router", Words: words("wi-fi wireless network broadband gateway"),
			Rank: Useful, Low: 6, Typical: 10, High: 20, PowerFactor: 0.55, Source: srcBroadband},
		{Key: "modem", Name: "Modem or fibre terminal", Words: words("fiber ont cable dsl internet broadband box"),
			Rank: Useful, Low: 4, Typical: 8, High: 15, PowerFactor: 0.55, Source: srcBroadband},
		{Key: "modem-router", Name: "Modem and router in one", Words: words("internet box wi-fi gateway hub broadband"),
			Rank: Useful, Low: 8, Typical: 14, High: 20, PowerFactor: 0.55, Source: srcBroadband},
		{Key: "wifi-point", Name: "Wi-Fi repeater or mesh point", Words: words("wireless extender access node"),
			Rank: Comfort, Low: 3, Typical: 7, High: 12, PowerFactor: 0.55, Source: srcBroadband},
		{Key: "hotspot", Name: "Mobile hotspot", Words: words("cellular lte 4g 5g wifi internet dongle"),
			Rank: Useful, Outlet: USB, Low: 1.5, Typical: 3, High: 7, PowerFactor: 1, Source: srcPractice},
		{Key: "phone-booster", Name: "Mobile signal booster", Words: words("cell repeater antenna coverage"),
			Rank: Useful, Low: 6, Typical: 12, High: 30, PowerFactor: 0.55, Source: srcPractice},
		{Key: "network-switch", Name: "Network switch or smart-home hub", Words: words("ethernet bridge zigbee controller"),
			Rank: Comfort, Low: 2, Typical: 6, High: 20, PowerFactor: 0.55, Source: srcPractice},
		{Key: "power-bank", Name: "Power bank, one charge a day", Words: words("usb battery pack charger charging"),
			Rank: Useful, Outlet: USB, Low: 10, Typical: 18, High: 60, DailyWh: 100, PowerFactor: 1, Source: srcPractice + ". 20,000 mAh × 3.7 V = 74 Wh, times 1.35 for losses"},
		{Key: "watch", Name: "Watch, e-reader or earphones charging", Words: words("smartwatch smart ereader book fitness"),
			Rank: Comfort, Outlet: USB, Low: 1, Typical: 2.5, High: 5, DailyWh: 3, PowerFactor: 1, Source: srcPractice},
		{Key: "satellite-internet", Name: "Satellite internet dish", Words: words("antenna terminal low orbit rural router"),
			Rank: Useful, Low: 25, Typical: 75, High: 150, PowerFactor: 0.9, Source: srcPractice + ". Melting snow takes the high figure"},
		{Key: "telephone", Name: "Cordless telephone base", Words: words("landline phone dect voip answering"),
			Rank: Useful, Low: 1.5, Typical: 3, High: 5, PowerFactor: 0.5, Source: srcPractice},
		{Key: "laptop", Name: "Laptop, in use", Words: words("notebook computer portable pc work"),
			Rank: Useful, Low: 20, Typical: 50, High: 90, PowerFactor: 0.6, Source: srcEnergySaver + " (50 W); range from memory"},
		{Key: "laptop-charge", Name: "Laptop, one charge a day", Words: words("notebook computer portable pc charger charging"),
			Rank: Useful, Low: 30, Typical: 60, High: 100, DailyWh: 80, PowerFactor: 0.6, Source: srcAirline + ". A 60 Wh battery, times 1.3 for losses"},
		{Key: "desktop", Name: "Desktop computer", Words: words("pc tower workstation"),
			Rank: Comfort, Low: 50, Typical: 120, High: 300, PowerFactor: 0.95, Source: srcEnergySaver + " (120 W); range from memory"},
		{Key: "backup-unit", Name: "Battery backup of a computer (UPS)", Words: words("uninterruptible power supply"),
			Rank: Comfort, Low: 10, Typical: 30, High: 150, PowerFactor: 0.6, Source: srcPractice + ", by itself, with what it charges; what hangs on it comes on top"},
		{Key: "monitor", Name: "Computer screen", Words: words("monitor display pc flat"),
			Rank: Comfort, Low: 15, Typical: 30, High: 70, PowerFactor: 0.6, Source: srcPractice},
		{Key: "tv", Name: "Television", Words: words("tv telly screen news led flat"),
			Rank: Comfort, Low: 30, Typical: 80, High: 130, PowerFactor: 0.9, Source: srcEnergySaver + " (65 to 133 W)" + andPractice},
		{Key: "tv-large", Name: "Television, large (over 55 in)", Words: words("tv telly screen big oled 65"),
			Rank: Comfort, Low: 80, Typical: 140, High: 250, PowerFactor: 0.95, Source: srcPractice},
		{Key: "tv-box", Name: "Television box or streaming stick", Words: words("tv set-top cable satellite receiver decoder"),
			Rank: Comfort, Low: 2, Typical: 10, High: 25, PowerFactor: 0.55, Source: srcPractice},
		{Key: "radio", Name: "Radio, small", Words: words("news wireless fm am weather receiver transistor"),
			Rank: Useful, Low: 1, Typical: 4, High: 10, PowerFactor: 0.5, Source: srcPractice},
		{Key: "clock-radio", Name: "Clock radio", Words: words("alarm bedside"),
			Rank: Comfort, Low: 2, Typical: 5, High: 10, PowerFactor: 0.5, Source: srcEnergySaver + " (10 W)" + andPractice},
		{Key: "stereo", Name: "Stereo", Words: words("hi-fi music amplifier audio"),
			Rank: Comfort, Low: 70, Typical: 100, High: 400, PowerFactor: 0.6, Source: srcEnergySaver + " (70 to 400 W)" + andPractice},
		{Key: "two-way-radio", Name: "Two-way radio, 12 V", Words: words("12v transceiver ham cb marine vhf amateur emergency"),
			Rank: Useful, Outlet: DC, Low: 5, Typical: 15, High: 60, PowerFactor: 1, Source: srcPractice + ". Mostly listening"},
		{Key: "game-console", Name: "Game console", Words: words("video games play children"),
			Rank: Comfort, Low: 50, Typical: 130, High: 220, PowerFactor: 0.95, Source: srcPractice},
	}},
	section{groupKitchen, []Entry{
		{Key: "kettle", Name: "Kettle (120 V countries)", Words: words("water boil tea electric jug"),
			Rank: Comfort, Low: 1000, Typical: 1500, High: 1500, PowerFactor: 1, Source: srcPractice},
		{Key: "kettle-230", Name: "Kettle (230 V countries)", Words: words("water boil tea electric jug 230v"),
			Rank: Comfort, Low: 1800, Typical: 2200, High: 3000, PowerFactor: 1, Source: srcPractice},
		{Key: "kettle-12v", Name: travelKettle, Words: words("12v water boil tea car camping jug"),
			Rank: Comfort, Outlet: DC, Low: 100, Typical: 150, High: 180, PowerFactor: 1, Source: srcPractice},
		{Key: "microwave", Name: "Microwave oven, small", Words: words("compact heat food 600 700 w cooking"),
			Rank: Comfort, Low: 900, Typical: 1050, High: 1100, Starting: 1500, PowerFactor: 0.9, Source: srcEnergySaver + " (750 to 1,100 W)" + andPractice + andStart},
		{Key: "microwave-large", Name: "Microwave oven, large", Words: words("heat food 900 1000 w cooking inverter"),
			Rank: Comfort, Low: 1300, Typical: 1550, High: 1800, Starting: 2200, PowerFactor: 0.9, Source: srcPractice + ". The watts on the door are what reaches the food; the plug draws half as much again"},
		{Key: "coffee-maker", Name: "Coffee maker", Words: words("café filter drip machine espresso"),
			Rank: Comfort, Low: 900, Typical: 1000, High: 1200, PowerFactor: 1, Source: srcEnergySaver + " (900 to 1,200 W)" + andPractice},
		{Key: "toaster", Name: "Toaster", Words: words("bread toast"),
			Rank: Comfort, Low: 800, Typical: 1000, High: 1400, PowerFactor: 1, Source: srcEnergySaver + " (800 to 1,400 W)" + andPractice},
		{Key: "toaster-oven", Name: "Toaster oven", Words: words("mini small bake grill"),
			Rank: Comfort, Low: 1000, Typical: 1225, High: 1500, Duty: 0.8, DutyLow: 0.5, DutyHigh: 1, CyclesItself: true, PowerFactor: 1, Source: srcEnergySaver + " (1,225 W); range from memory" + andTimesThat},
		{Key: "air-fryer", Name: "Hot-air fryer", Words: words("air-fryer chips"),
			Rank: Comfort, Low: 1000, Typical: 1500, High: 1800, Duty: 0.8, DutyLow: 0.5, DutyHigh: 1, CyclesItself: true, PowerFactor: 1, Source: srcPractice},
		{Key: "hob-induction", Name: "Induction hob, one ring", Words: words("stove cooktop burner cooker plate portable"),
			Rank: Comfort, Low: 1000, Typical: 1800, High: 2200, Duty: 0.7, DutyLow: 0.4, DutyHigh: 1, CyclesItself: true, PowerFactor: 0.95, Source: srcPractice},
		{Key: "hotplate", Name: "Electric hotplate, one ring", Words: words("stove hob cooktop burner cooker ceramic portable"),
			Rank: Comfort, Low: 800, Typical: 1200, High: 2000, Duty: 0.7, DutyLow: 0.4, DutyHigh: 1, CyclesItself: true, PowerFactor: 1, Source: srcPractice},
		{Key: "oven", Name: "Electric oven (fixed wiring)", Words: words("stove range cooker bake"),
			Rank: Comfort, Low: 2000, Typical: 3000, High: 5000, Duty: 0.5, DutyLow: 0.3, DutyHigh: 0.8, CyclesItself: true, PowerFactor: 1, Source: srcPractice},
		{Key: "rice-cooker", Name: "Rice cooker", Words: words("steamer pot"),
			Rank: Comfort, Low: 300, Typical: 500, High: 800, Duty: 0.7, DutyLow: 0.4, DutyHigh: 1, CyclesItself: true, PowerFactor: 1, Source: srcPractice},
		{Key: "slow-cooker", Name: "Slow cooker", Words: words("pot stew casserole"),
			Rank: Comfort, Low: 100, Typical: 220, High: 320, Duty: 0.8, DutyLow: 0.5, DutyHigh: 1, CyclesItself: true, PowerFactor: 1, Source: srcPractice},
		{Key: "pressure-cooker", Name: "Electric pressure cooker", Words: words("multi pot multicooker stew beans"),
			Rank: Comfort, Low: 700, Typical: 1000, High: 1200, Duty: 0.4, DutyLow: 0.2, DutyHigh: 0.7, CyclesItself: true, PowerFactor: 1, Source: srcPractice},
		{Key: "bread-maker", Name: "Bread maker", Words: words("baking dough loaf machine"),
			Rank: Comfort, Low: 400, Typical: 550, High: 750, Duty: 0.4, DutyLow: 0.2, DutyHigh: 0.6, CyclesItself: true, PowerFactor: 1, Source: srcPractice},
		{Key: "griddle", Name: "Griddle or waffle maker", Words: words("pancake grill sandwich hot plate raclette"),
			Rank: Comfort, Low: 700, Typical: 1200, High: 1800, Duty: 0.7, DutyLow: 0.4, DutyHigh: 1, CyclesItself: true, PowerFactor: 1, Source: srcPractice},
		{Key: "water-dispenser", Name: "Water dispenser, hot and cold", Words: words("cooler drinking bottle"),
			Rank: Comfort, Low: 80, Typical: 350, High: 650, Starting: 700, Duty: 0.25, DutyLow: 0.1, DutyHigh: 0.4, CyclesItself: true, PowerFactor: 0.95, Source: srcPractice},
		{Key: "blender", Name: "Blender or food processor", Words: words("mixer liquidiser smoothie puree purée grinder"),
			Rank: Comfort, Low: 300, Typical: 500, High: 1000, Starting: 1000, PowerFactor: 0.95, Source: srcPractice},
		{Key: "cooker-hood", Name: "Cooker hood", Words: words("range extractor fan kitchen vent"),
			Rank: Comfort, Low: 50, Typical: 120, High: 250, Starting: 250, PowerFactor: 0.75, Source: srcPractice},
		{Key: "stove-igniter", Name: "Gas cooker igniter and clock", Words: words("stove hob range spark"),
			Rank: Useful, Low: 1, Typical: 3, High: 10, PowerFactor: 0.5, Source: srcPractice + ". A gas oven with a glow igniter takes 300 to 500 W"},
		{Key: "dishwasher", Name: "Dishwasher", Words: words("dishes washing up plates"),
			Rank: Comfort, Low: 1200, Typical: 1800, High: 2400, Duty: 0.4, DutyLow: 0.2, DutyHigh: 0.6, CyclesItself: true, PowerFactor: 0.95, Source: srcEnergySaver + " (1,200 to 2,400 W)" + andPractice + andTimesThat},
	}},
	section{groupHeat, []Entry{
		{Key: "fan-table", Name: "Table or stand fan", Words: words("desk pedestal floor cooling air breeze"),
			Rank: Useful, Low: 15, Typical: 40, High: 70, Starting: 90, PowerFactor: 0.7, Source: srcPractice},
		{Key: "fan-ceiling", Name: "Ceiling fan", Words: words("cooling air breeze"),
			Rank: Comfort, Low: 65, Typical: 75, High: 175, Starting: 225, PowerFactor: 0.75, Source: srcEnergySaver + " (65 to 175 W)" + andPractice + andStart},
		{Key: "fan-ceiling-dc", Name: "Ceiling fan with brushless motor", Words: words("bldc dc cooling air breeze quiet"),
			Rank: Comfort, Low: 15, Typical: 30, High: 45, PowerFactor: 0.65, Source: srcPractice},
		{Key: "fan-box", Name: "Box or window fan", Words: words("cooling air breeze vent"),
			Rank: Comfort, Low: 55, Typical: 100, High: 250, Starting: 250, PowerFactor: 0.7, Source: srcEnergySaver + " (55 to 250 W)" + andPractice + andStart},
		{Key: "fan-usb", Name: "USB fan", Words: words("small desk baby pram cooling"),
			Rank: Comfort, Outlet: USB, Low: 1, Typical: 3, High: 7.5, PowerFactor: 1, Source: srcUSB},
		{Key: "fan-bathroom", Name: "Bathroom extractor fan", Words: words("vent toilet exhaust air"),
			Rank: Comfort, Low: 10, Typical: 25, High: 60, Starting: 70, PowerFactor: 0.7, Source: srcPractice},
		{Key: "fan-attic", Name: "Attic or whole-house fan", Words: words("loft vent exhaust cooling air"),
			Rank: Comfort, Low: 200, Typical: 350, High: 750, Starting: 1000, PowerFactor: 0.7, Source: srcPractice},
		{Key: "fan-radon", Name: "Radon fan", Words: words("soil gas basement vent mitigation"),
			Rank: Comfort, Low: 20, Typical: 50, High: 140, Starting: 140, PowerFactor: 0.7, Source: srcPractice},
		{Key: "evaporative-cooler", Name: "Evaporative cooler", Words: words("swamp desert cooling air water"),
			Rank: Comfort, Low: 50, Typical: 150, High: 400, Starting: 450, PowerFactor: 0.7, Source: srcPractice},
		{Key: "furnace-blower", Name: "Gas furnace blower (fixed wiring)", Words: words("warm air fan heating central forced"),
			Rank: Useful, Low: 350, Typical: 600, High: 1100, Starting: 2400, Duty: 0.4, DutyLow: 0.2, DutyHigh: 0.8, CyclesItself: true, PowerFactor: 0.75, Source: srcEnergySaver + " (750 W); lists for generators (700 to 1,100 W, starting 1,400 to 2,000 W and more) and the rest from memory"},
		{Key: "furnace-blower-variable", Name: "Furnace blower, variable speed", Words: words("ecm gas warm air fan heating central forced fixed wiring"),
			Rank: Useful, Low: 80, Typical: 250, High: 500, Duty: 0.5, DutyLow: 0.3, DutyHigh: 1, CyclesItself: true, PowerFactor: 0.6, Source: srcPractice},
		{Key: "boiler", Name: "Boiler pump and controls", Words: words("central heating circulator radiator gas combi hydronic"),
			Rank: Useful, Low: 40, Typical: 100, High: 180, Starting: 200, Duty: 0.6, DutyLow: 0.3, DutyHigh: 1, CyclesItself: true, PowerFactor: 0.7, Source: srcPractice},
		{Key: "oil-burner", Name: "Oil boiler with burner (fixed wiring)", Words: words("central heating furnace pump kerosene"),
			Rank: Useful, Low: 150, Typical: 280, High: 450, Starting: 840, Duty: 0.4, DutyLow: 0.2, DutyHigh: 0.8, CyclesItself: true, PowerFactor: 0.7, Source: srcPractice},
		{Key: "pellet-stove", Name: "Pellet stove", Words: words("wood heating auger fan igniter"),
			Rank: Useful, Low: 60, Typical: 120, High: 200, Starting: 450, CyclesItself: true, Duty: 0.9, DutyLow: 0.6, DutyHigh: 1, PowerFactor: 0.8, Source: srcPractice + ". Lighting takes 300 to 450 W for about ten minutes"},
		{Key: "parking-heater", Name: "Diesel heater, 12 V", Words: words("12v parking night cabin van boat air"),
			Rank: Useful, Outlet: DC, Low: 8, Typical: 30, High: 60, Starting: 150, PowerFactor: 1, Source: srcPractice + ". Its glow plug takes 100 to 150 W for some minutes. Its exhaust must go outside"},
		{Key: "gas-fire", Name: "Gas stove or fireplace fan", Words: words("wood insert blower heating"),
			Rank: Useful, Low: 20, Typical: 50, High: 120, Starting: 120, PowerFactor: 0.7, Source: srcPractice},
		{Key: "electric-blanket", Name: "Electric blanket", Words: words("heated underblanket bed warm"),
			Rank: Comfort, Low: 60, Typical: 80, High: 100, Duty: 0.5, DutyLow: 0.3, DutyHigh: 1, CyclesItself: true, PowerFactor: 1, Source: srcEnergySaver + " (60 to 100 W)" + andTimesThat},
		{Key: "heated-throw", Name: "Heated throw", Words: words("electric blanket sofa shawl warm"),
			Rank: Comfort, Low: 80, Typical: 100, High: 130, Duty: 0.6, DutyLow: 0.4, DutyHigh: 1, CyclesItself: true, PowerFactor: 1, Source: srcPractice},
		{Key: "heating-pad", Name: "Heating pad or foot warmer", Words: words("warm cushion back"),
			Rank: Comfort, Low: 30, Typical: 60, High: 100, Duty: 0.6, DutyLow: 0.3, DutyHigh: 1, CyclesItself: true, PowerFactor: 1, Source: srcPractice},
		{Key: "heater", Name: "Portable heater (120 V countries)", Words: words("space fan oil radiator electric fire warm"),
			Rank: Comfort, Low: 750, Typical: 1500, High: 1500, Duty: 0.8, DutyLow: 0.4, DutyHigh: 1, CyclesItself: true, PowerFactor: 1, Source: srcEnergySaver + " (750 to 1,500 W)" + andTimesThat},
		{Key: "heater-230", Name: "Portable heater (230 V countries)", Words: words("space fan oil radiator electric fire warm 230v"),
			Rank: Comfort, Low: 1000, Typical: 2000, High: 3000, Duty: 0.8, DutyLow: 0.4, DutyHigh: 1, CyclesItself: true, PowerFactor: 1, Source: srcPractice},
		{Key: "air-conditioner-window", Name: "Window air conditioner, small", Words: words("aircon ac cooling room 5000 6000 btu"),
			Rank: Comfort, Low: 400, Typical: 550, High: 700, Starting: 2200, Duty: 0.7, DutyLow: 0.4, DutyHigh: 1, CyclesItself: true, PowerFactor: 0.85, Source: srcRoomAir + ": 6,000 Btu/h" + andTimesThat + andStart},
		{Key: "air-conditioner-large", Name: "Window air conditioner, large", Words: words("aircon ac cooling room 12000 btu"),
			Rank: Comfort, Low: 900, Typical: 1200, High: 1500, Starting: 4800, Duty: 0.7, DutyLow: 0.4, DutyHigh: 1, CyclesItself: true, PowerFactor: 0.85, Source: srcRoomAir + ": 12,000 Btu/h" + andTimesThat + andStart},
		{Key: "air-conditioner-portable", Name: "Portable air conditioner", Words: words("aircon ac cooling room hose"),
			Rank: Comfort, Low: 900, Typical: 1200, High: 1500, Starting: 4500, Duty: 0.8, DutyLow: 0.5, DutyHigh: 1, CyclesItself: true, PowerFactor: 0.85, Source: srcPractice},
		{Key: "air-conditioner-split", Name: "Split air conditioner, inverter", Words: words("aircon ac mini-split heat pump cooling heating wall"),
			Rank: Comfort, Low: 300, Typical: 800, High: 1800, Starting: 2000, Duty: 0.9, DutyLow: 0.6, DutyHigh: 1, CyclesItself: true, PowerFactor: 0.9, Source: srcPractice},
		{Key: "condensate-pump", Name: "Condensate pump", Words: words("furnace boiler aircon ac drain water"),
			Rank: Useful, Low: 40, Typical: 80, High: 150, Starting: 240, Duty: 0.05, DutyLow: 0.01, DutyHigh: 0.2, CyclesItself: true, PowerFactor: 0.7, Source: srcPractice},
		{Key: "dehumidifier", Name: "Dehumidifier", Words: words("damp moisture basement dry air"),
			Rank: Comfort, Low: 250, Typical: 500, High: 785, Starting: 2000, Duty: 0.7, DutyLow: 0.3, DutyHigh: 1, CyclesItself: true, PowerFactor: 0.75, Source: srcEnergySaver + " (785 W)" + andPractice + andStart},
		{Key: "humidifier", Name: "Humidifier, cool mist", Words: words("ultrasonic moist air vapour vapor"),
			Rank: Comfort, Low: 20, Typical: 35, High: 60, PowerFactor: 0.55, Source: srcPractice},
		{Key: "humidifier-steam", Name: "Humidifier, warm steam", Words: words("vaporiser vaporizer moist air"),
			Rank: Comfort, Low: 150, Typical: 300, High: 450, PowerFactor: 1, Source: srcPractice},
		{Key: "air-purifier", Name: "Air purifier", Words: words("filter cleaner smoke allergy dust"),
			Rank: Comfort, Low: 8, Typical: 45, High: 100, Starting: 130, PowerFactor: 0.65, Source: srcPractice},
		{Key: "ventilation", Name: "House ventilation unit", Words: words("heat recovery hrv mvhr fresh air fan"),
			Rank: Comfort, Low: 25, Typical: 80, High: 200, PowerFactor: 0.6, Source: srcPractice},
		{Key: "pipe-heating", Name: "Pipe heating cable", Words: words("heat tape frost freeze protection trace"),
			Rank: Useful, Low: 30, Typical: 90, High: 250, Duty: 0.6, DutyLow: 0.3, DutyHigh: 1, CyclesItself: true, PowerFactor: 1, Source: srcPractice},
	}},
	section{groupWater, []Entry{
		{Key: "sump-pump", Name: "Sump pump", Words: words("basement cellar flood drain water"),
			Rank: Useful, Low: 350, Typical: 600, High: 1050, Starting: 2800, Duty: 0.2, DutyLow: 0.02, DutyHigh: 0.6, CyclesItself: true, PowerFactor: 0.75, Source: srcMotors + " (a third of a horsepower)" + andTimesThat + andStart},
		{Key: "well-pump-deep", Name: "Well pump, deep (fixed wiring)", Words: words("borehole submersible bore water pressure tank"),
			Rank: Useful, Low: 500, Typical: 900, High: 1100, Starting: 4500, Duty: 0.05, DutyLow: 0.02, DutyHigh: 0.15, CyclesItself: true, PowerFactor: 0.75, Source: srcEnergySaver + " (250 to 1,100 W); " + srcMotors + andTimesThat + andStart},
		{Key: "well-pump-jet", Name: "Well pump, shallow jet", Words: words("water pressure tank booster cistern"),
			Rank: Useful, Low: 450, Typical: 800, High: 1050, Starting: 3800, Duty: 0.06, DutyLow: 0.02, DutyHigh: 0.15, CyclesItself: true, PowerFactor: 0.75, Source: srcMotors + " (half a horsepower)" + andTimesThat + andStart},
		{Key: "water-pump-12v", Name: "Water pump, 12 V", Words: words("12v pressure camping boat caravan tap"),
			Rank: Useful, Outlet: DC, Low: 30, Typical: 60, High: 120, Starting: 120, Duty: 0.05, DutyLow: 0.01, DutyHigh: 0.15, CyclesItself: true, PowerFactor: 1, Source: srcPractice},
		{Key: "sewage-pump", Name: "Sewage or septic pump", Words: words("toilet macerator effluent waste lift"),
			Rank: Useful, Low: 400, Typical: 700, High: 1100, Starting: 3500, Duty: 0.04, DutyLow: 0.02, DutyHigh: 0.1, CyclesItself: true, PowerFactor: 0.75, Source: srcMotors + " (half a horsepower)" + andTimesThat + andStart},
		{Key: "water-treatment", Name: "Water softener or UV filter", Words: words("ultraviolet drinking purifier lamp"),
			Rank: Useful, Low: 5, Typical: 30, High: 60, PowerFactor: 0.6, Source: srcPractice},
		{Key: "water-heater-gas", Name: "Gas water heater, electronics and fan", Words: words("tankless instant hot shower geyser boiler"),
			Rank: Comfort, Low: 25, Typical: 60, High: 120, Duty: 0.1, DutyLow: 0.03, DutyHigh: 0.3, CyclesItself: true, PowerFactor: 0.6, Source: srcPractice},
		{Key: "water-heater", Name: "Electric water heater (fixed wiring)", Words: words("hot tank cylinder immersion geyser boiler shower"),
			Rank: Comfort, Low: 4500, Typical: 4500, High: 5500, Duty: 0.1, DutyLow: 0.05, DutyHigh: 0.3, CyclesItself: true, PowerFactor: 1, Source: srcEnergySaver + " (4,500 to 5,500 W for 40 US gallons)" + andTimesThat},
		{Key: "water-heater-pump", Name: "Heat-pump water heater (fixed wiring)", Words: words("hot tank cylinder compressor boiler shower"),
			Rank: Comfort, Low: 350, Typical: 550, High: 1000, Starting: 2200, Burst: 4500, Duty: 0.3, DutyLow: 0.1, DutyHigh: 0.6, CyclesItself: true, PowerFactor: 0.85, Source: srcPractice + ". Its second element takes 2,000 to 4,500 W when much is drawn"},
		{Key: "pool-pump", Name: "Pool pump (fixed wiring)", Words: words("swimming filter spa"),
			Rank: Comfort, Low: 500, Typical: 1100, High: 2200, Starting: 5500, PowerFactor: 0.8, Source: srcPractice},
		{Key: "pond-pump", Name: "Pond pump or aerator", Words: words("fish koi air bubbler garden"),
			Rank: Useful, Low: 10, Typical: 40, High: 120, Starting: 120, PowerFactor: 0.6, Source: srcPractice},
		{Key: "aquarium-pump", Name: "Aquarium pump and filter", Words: words("fish tank air bubbler"),
			Rank: Useful, Low: 3, Typical: 10, High: 30, PowerFactor: 0.6, Source: srcPractice},
		{Key: "aquarium-heater", Name: "Aquarium heater", Words: words("fish tank tropical warm"),
			Rank: Useful, Low: 25, Typical: 100, High: 300, Duty: 0.5, DutyLow: 0.2, DutyHigh: 0.9, CyclesItself: true, PowerFactor: 1, Source: srcPractice},
	}},
	section{groupWork, []Entry{
		{Key: "power-tool-battery", Name: "Power tool battery, one a day", Words: words("drill cordless charger pack saw 18 v charging"),
			Rank: Comfort, Low: 50, Typical: 90, High: 300, DailyWh: 120, PowerFactor: 0.6, Source: srcPractice + ". A 90 Wh pack, times 1.3 for losses"},
		{Key: "drill", Name: "Corded drill", Words: words("power tool hammer"),
			Rank: Comfort, Low: 400, Typical: 700, High: 1100, Starting: 1400, PowerFactor: 0.95, Source: srcPractice},
		{Key: "circular-saw", Name: "Circular saw", Words: words("power tool wood cutting"),
			Rank: Comfort, Low: 1000, Typical: 1400, High: 1800, Starting: 3500, PowerFactor: 0.95, Source: srcPractice},
		{Key: "chainsaw", Name: "Corded chainsaw", Words: words("chain saw tree power tool"),
			Rank: Comfort, Low: 1400, Typical: 1800, High: 2200, Starting: 4000, PowerFactor: 0.95, Source: srcPractice},
		{Key: "pressure-washer", Name: "Pressure washer", Words: words("jet cleaning hose power"),
			Rank: Comfort, Low: 1200, Typical: 1700, High: 2300, Starting: 4500, PowerFactor: 0.95, Source: srcPractice},
		{Key: "air-compressor", Name: "Air compressor, small", Words: words("tyre tire workshop tool"),
			Rank: Comfort, Low: 700, Typical: 1100, High: 1600, Starting: 5000, Duty: 0.5, DutyLow: 0.2, DutyHigh: 1, CyclesItself: true, PowerFactor: 0.8, Source: srcPractice},
		{Key: "tyre-inflator", Name: "Tyre inflator, 12 V", Words: words("12v tire pump car air compressor"),
			Rank: Comfort, Outlet: DC, Low: 60, Typical: 120, High: 180, Starting: 180, PowerFactor: 1, Source: srcPractice},
		{Key: "soldering-iron", Name: "Soldering iron", Words: words("solder workshop repair"),
			Rank: Comfort, Low: 20, Typical: 50, High: 80, Duty: 0.7, DutyLow: 0.3, DutyHigh: 1, CyclesItself: true, PowerFactor: 1, Source: srcPractice},
		{Key: "sewing-machine", Name: "Sewing machine", Words: words("needle stitch clothes mending"),
			Rank: Comfort, Low: 40, Typical: 80, High: 120, Starting: 160, PowerFactor: 0.9, Source: srcPractice},
		{Key: "printer", Name: "Inkjet printer", Words: words("office paper scan copy"),
			Rank: Comfort, Low: 5, Typical: 15, High: 40, PowerFactor: 0.55, Source: srcPractice},
		{Key: "printer-laser", Name: "Laser printer", Words: words("office paper copy"),
			Rank: Comfort, Low: 300, Typical: 500, High: 1100, Starting: 1100, Duty: 0.3, DutyLow: 0.1, DutyHigh: 1, CyclesItself: true, PowerFactor: 0.95, Source: srcPractice + ". Its drum heater pulls the high figure in bursts"},
		{Key: "electric-fence", Name: "Electric fence energiser", Words: words("energizer livestock cattle horse farm"),
			Rank: Useful, Low: 2, Typical: 6, High: 20, PowerFactor: 0.5, Source: srcPractice},
		{Key: "brooder-lamp", Name: "Chicken-coop heat lamp", Words: words("brooder chicks hens poultry coop infrared farm"),
			Rank: Useful, Low: 100, Typical: 175, High: 250, PowerFactor: 1, Source: srcPractice + ". Its watts are printed on it"},
		{Key: "incubator", Name: "Egg incubator", Words: words("hatch chicks eggs poultry farm"),
			Rank: Useful, Low: 30, Typical: 80, High: 200, Duty: 0.6, DutyLow: 0.3, DutyHigh: 0.9, CyclesItself: true, PowerFactor: 1, Source: srcPractice},
		{Key: "stock-tank-heater", Name: "Livestock trough heater", Words: words("stock tank drinker water farm ice"),
			Rank: Useful, Low: 250, Typical: 1000, High: 1500, Duty: 0.5, DutyLow: 0.2, DutyHigh: 1, CyclesItself: true, PowerFactor: 1, Source: srcPractice},
	}},
	section{groupOther, []Entry{
		{Key: "washing-machine", Name: "Washing machine, hot-water fed", Words: words("washer laundry clothes top loader cold"),
			Rank: Comfort, Low: 350, Typical: 450, High: 500, Starting: 2250, Duty: 0.6, DutyLow: 0.4, DutyHigh: 1, PowerFactor: 0.7, Source: srcEnergySaver + " (350 to 500 W)" + andTimesThat + "; starting watts by lists for generators (2,200 W), from memory"},
		{Key: "washing-machine-heater", Name: "Washing machine that heats its water", Words: words("washer laundry clothes front loader 230 v"),
			Rank: Comfort, Low: 1800, Typical: 2100, High: 2400, Duty: 0.3, DutyLow: 0.1, DutyHigh: 0.5, CyclesItself: true, PowerFactor: 0.95, Source: srcPractice},
		{Key: "dryer", Name: "Clothes dryer (often fixed wiring)", Words: words("tumble drier laundry"),
			Rank: Comfort, Low: 1800, Typical: 3500, High: 5000, Starting: 5000, Duty: 0.8, DutyLow: 0.6, DutyHigh: 1, CyclesItself: true, PowerFactor: 0.95, Source: srcEnergySaver + " (1,800 to 5,000 W)" + andPractice + andTimesThat + andStart},
		{Key: "vacuum", Name: "Vacuum cleaner", Words: words("carpet rug dust floor"),
			Rank: Comfort, Low: 1000, Typical: 1200, High: 1440, Starting: 2400, PowerFactor: 0.95, Source: srcEnergySaver + " (1,000 to 1,440 W)" + andPractice + andStart},
		{Key: "iron", Name: "Clothes iron", Words: words("ironing steam press laundry"),
			Rank: Comfort, Low: 1000, Typical: 1400, High: 1800, Duty: 0.5, DutyLow: 0.3, DutyHigh: 0.8, CyclesItself: true, PowerFactor: 1, Source: srcEnergySaver + " (1,000 to 1,800 W)" + andPractice + andTimesThat},
		{Key: "hair-dryer", Name: "Hair dryer", Words: words("drier blow hairdryer"),
			Rank: Comfort, Low: 1200, Typical: 1500, High: 1875, PowerFactor: 1, Source: srcEnergySaver + " (1,200 to 1,875 W)" + andPractice},
		{Key: "shaver", Name: "Shaver or toothbrush charging", Words: words("razor electric tooth brush bathroom"),
			Rank: Comfort, Low: 1, Typical: 2, High: 5, DailyWh: 5, PowerFactor: 0.5, Source: srcPractice},
		{Key: "garage-door", Name: "Garage door opener", Words: words("gate motor"),
			Rank: Useful, Low: 300, Typical: 550, High: 750, Starting: 1400, Duty: 0.01, DutyLow: 0.01, DutyHigh: 0.02, PowerFactor: 0.75, Source: srcPractice},
		{Key: "alarm", Name: "Alarm panel", Words: words("security burglar fire system"),
			Rank: Useful, Low: 5, Typical: 14, High: 22, PowerFactor: 0.5, Source: srcMetered + " (5 to 22 W, mean 14 to 15 W)"},
		{Key: "doorbell-camera", Name: "Doorbell or security camera", Words: words("cctv door bell video surveillance"),
			Rank: Useful, Low: 2, Typical: 5, High: 12, PowerFactor: 0.5, Source: srcPractice},
		{Key: "camera-recorder", Name: "Camera recorder with four cameras", Words: words("cctv security surveillance nvr"),
			Rank: Comfort, Low: 20, Typical: 40, High: 80, PowerFactor: 0.6, Source: srcPractice},
		{Key: "e-bike", Name: "E-bike, one charge a day", Words: words("e-bike electric bicycle pedelec cycle charger charging"),
			Rank: Comfort, Low: 80, Typical: 150, High: 300, DailyWh: 600, PowerFactor: 0.65, Source: srcPractice + ". A 500 Wh battery and charging losses"},
		{Key: "e-scooter", Name: "Electric scooter, one charge a day", Words: words("kick e-scooter charger charging"),
			Rank: Comfort, Low: 50, Typical: 80, High: 150, DailyWh: 400, PowerFactor: 0.6, Source: srcPractice},
		{Key: "electric-car", Name: "Electric car, slow charging", Words: words("ev vehicle charger granny cable"),
			Rank: Comfort, Low: 1200, Typical: 1400, High: 2400, PowerFactor: 0.98, Source: srcPractice + ". It takes all that a battery here holds for a few kilometres"},
		{Key: "block-heater", Name: "Engine block heater", Words: words("car truck cold start winter plug"),
			Rank: Comfort, Low: 400, Typical: 800, High: 1500, PowerFactor: 1, Source: srcPractice},
		{Key: "aa-charger", Name: "AA and AAA battery charger", Words: words("cells rechargeable batteries nimh"),
			Rank: Useful, Low: 3, Typical: 8, High: 20, DailyWh: 20, PowerFactor: 0.5, Source: srcPractice + ". Four cells a day"},
		{Key: "terrarium", Name: "Terrarium heat mat and lamp", Words: words("reptile vivarium snake lizard pet heating"),
			Rank: Useful, Low: 15, Typical: 60, High: 150, Duty: 0.7, DutyLow: 0.4, DutyHigh: 1, CyclesItself: true, PowerFactor: 1, Source: srcPractice},
		{Key: "projector", Name: "Video projector", Words: words("beamer cinema film"),
			Rank: Comfort, Low: 40, Typical: 150, High: 300, PowerFactor: 0.9, Source: srcPractice},
	}},
)

// section is the rows of one group.
type section struct {
	group string
	rows  []Entry
}

// assemble lines the sections up and fills in what their rows leave out.
func assemble(sections ...section) []Entry {
	var all []Entry
	for _, s := range sections {
		for _, e := range s.rows {
			e.Group = s.group
			if e.Outlet == "" {
				e.Outlet = AC
			}
			if e.Duty == 0 {
				e.Duty, e.DutyLow, e.DutyHigh = 1, 1, 1
			}
			all = append(all, e)
		}
	}
	return all
}

// words lists the space-separated words of s.
func words(s string) []string { return strings.Fields(s) }
