package ui

import (
	"encoding/json"
	"errors"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"candleclock/engine/load"
	"candleclock/engine/plan"
	"candleclock/engine/units"
	"candleclock/ui/say"
	"candleclock/ui/shelf"
)

// nameForm asks for the name of the plan in view.
func (a *App) nameForm() *Form {
	return &Form{items: []Item{{Field: text("plan-name", "Name of this plan", a.book.Plan.Name, plan.NameMost, func(s string) string {
		if a.nameTaken(s, a.book) {
			return "Name of this plan: " + quote(s) + " is the name of another plan here."
		}
		return ""
	}, func(s string) { a.edit(func(p *plan.Plan) { p.Name = s }) })}}}
}

// settingsForm asks how the page is to read.
func (a *App) settingsForm() *Form {
	clock := &Choice{ID: "set-clock", Legend: "Clock", Value: "12", Options: []Option{{"12", "5pm, 1:30am", ""}, {"24", "17:00, 01:30", ""}}}
	if a.prefs.Hour24 {
		clock.Value = "24"
	}
	clock.take = func(v string) { a.prefs.Hour24 = v == "24"; a.savePrefs(); a.think() }
	heat := &Choice{ID: "set-heat", Legend: "Temperature", Value: "c", Options: []Option{{"c", "Celsius, °C", ""}, {"f", "Fahrenheit, °F", ""}}}
	if a.prefs.Fahrenheit {
		heat.Value = "f"
	}
	heat.take = func(v string) { a.prefs.Fahrenheit = v == "f"; a.savePrefs() }
	look := &Choice{ID: "set-look", Legend: "Look", Value: a.prefs.Look, Options: []Option{
		{"night", "Night", "light letters on dark"},
		{"dark-room", "Dark room", "dim amber on black, for eyes used to the dark; turn the screen’s brightness down too"},
		{"day", "Day", "dark letters on light, for bright surroundings"}}}
	look.take = func(v string) {
		a.prefs.Look = v
		a.savePrefs()
		a.ports.Device.Dress(a.Title(), v)
	}
	marks := &Choice{ID: "set-decimal", Legend: wMarks, Value: a.prefs.Decimal, Options: []Option{
		{"", wMarksDevice, ""}, {".", wMarksPoint, ""}, {",", wMarksComma, ""}}}
	marks.take = func(v string) { a.prefs.Decimal = v; a.useMarks(); a.savePrefs(); a.think() }
	items := []Item{{Choice: look}, {Choice: clock}, {Choice: heat}, {Choice: marks}}
	if a.book != nil {
		mains := &Choice{ID: "set-mains", Legend: "Mains of this household", Value: "230", Options: []Option{{"120", "120 V", ""}, {"230", "230 V", ""}}}
		if a.book.Plan.Mains < 175 {
			mains.Value = "120"
		}
		mains.take = func(v string) {
			volts := units.Volts(230)
			if v == "120" {
				volts = 120
			}
			a.edit(func(p *plan.Plan) { p.Mains = volts })
		}
		items = append(items, Item{Choice: mains})
	}
	return &Form{items: items}
}

// prepareForm asks which outage to prepare for.
func (a *App) prepareForm() *Form {
	clock := a.prefs.clock()
	o := a.book.Plan.Outage
	at := clockField("prepare-at", "It begins at", clock, o.Starts.Minute(), func(m load.Minute) {
		a.edit(func(p *plan.Plan) {
			s := &p.Outage.Starts
			*s = s.After(hoursOf(int(m) - int(s.Minute())))
		})
	})
	at.Hint = "The evening is the hardest: everyone is home, and the sun is gone. " + at.Hint
	long := number("prepare-hours", "It lasts", hours, plan.HoursRange, 1, plainNumber(float64(o.Hours)),
		func(v float64) { a.edit(func(p *plan.Plan) { p.Outage.Hours = units.Hours(v) }) })
	full := number("prepare-soc", "The battery is then charged to", percent, plan.SOCRange, 0.01, plainNumber(o.SOC*100),
		func(v float64) { a.edit(func(p *plan.Plan) { p.Outage.SOC, p.Outage.SOCLow = v, nil }) })
	return &Form{items: []Item{{Field: at}, {Field: long}, {Field: full}}}
}

// BookRow is one plan in the list of plans.
type BookRow struct {
	ID, Name, Line string
	Here, Sealed   bool
}

// BookRows lists the plans of this device.
func (a *App) BookRows() []BookRow {
	var out []BookRow
	for _, b := range a.books {
		r := BookRow{ID: b.ID, Name: b.Name(), Here: b == a.book, Sealed: b.Sealed != nil}
		switch n := len(b.Plan.Loads); {
		case r.Sealed:
			r.Line = "kept untouched; save it as a file, or take the new version"
		case n == 1:
			r.Line = "1 load"
		default:
			r.Line = say.Number(float64(n), 0) + " loads"
		}
		out = append(out, r)
	}
	return out
}

func (a *App) find(id string) *Book {
	for _, b := range a.books {
		if b.ID == id {
			return b
		}
	}
	return nil
}

// ShowBook puts another plan in view.
func (a *App) ShowBook(id string) {
	a.show(id)
	a.Go(pageTonight)
}

// NewBook starts an empty plan beside the others.
func (a *App) NewBook() {
	if a.tooMany() {
		a.tell(wTooMany, nil)
		return
	}
	a.add(a.newPlan("New household"))
	a.Go(pageLoads)
}

// CopyBook copies the plan in view, under another name.
func (a *App) CopyBook() {
	if a.book == nil {
		return
	}
	if a.tooMany() {
		a.tell(wTooMany, nil)
		return
	}
	p := a.book.Plan
	p.Name = a.freeName(p.Name)
	a.add(p)
	a.build()
	a.think()
	a.tell("Copied. This is "+named(p.Name)+".", nil)
	a.ports.Device.Focus("plan-name")
}

// RemoveBook removes the plan in view, with a way back.
func (a *App) RemoveBook() {
	if a.book == nil {
		return // tapped twice
	}
	a.remove(a.book)
	news, undo := a.news, a.undo
	if a.book == nil {
		a.Go(pageDoors)
	} else {
		a.refresh()
	}
	a.news, a.undo = news, undo
	a.ports.Device.Focus("title")
}

// SaveFile hands the plan in view over as a file.
func (a *App) SaveFile() {
	name := fileName(a.book.Plan.Name, "json")
	a.ports.Device.SaveFile(name, "application/json", a.book.Plan.Encode())
	a.tell(wFileSaved+name+".", nil)
}

// SaveSealed hands a plan that can't be opened over as a file.
func (a *App) SaveSealed(id string) {
	if b := a.find(id); b != nil && b.Sealed != nil {
		a.ports.Device.SaveFile("sealed.candleclock.json", "application/json", b.Sealed)
	}
}

// Aside lists what was found damaged and is kept as it was.
func (a *App) Aside() []shelf.Aside { return a.aside }

// SaveAside hands a damaged record over as a file, for someone who may be able
// to mend it.
func (a *App) SaveAside(d shelf.Aside) {
	a.ports.Device.SaveFile("damaged.candleclock.json", "application/octet-stream", d.Data)
}

// DropAside removes it, once its owner has no more need of it.
func (a *App) DropAside(d shelf.Aside) {
	a.ports.Spawn(func() {
		if err := a.shelf.DropAside(d); err != nil {
			return
		}
		a.ports.Do(func() {
			a.aside = slices.DeleteFunc(a.aside, func(o shelf.Aside) bool { return o.Key == d.Key })
		})
	})
}

// fileNameMost is the most bytes that a plan's name has in a file's: file systems
// hold 255 for all of it (common practice), and what saves a file adds to it.
const fileNameMost = 180

// fileName makes a plan's name fit for any file system: of whatever is written,
// letters and digits, and the marks that belong to letters.
func fileName(name, ending string) string {
	var b strings.Builder
	for _, r := range strings.ToLower(name) {
		if b.Len()+utf8.RuneLen(r) > fileNameMost {
			break
		}
		switch {
		case unicode.IsLetter(r), unicode.IsDigit(r), unicode.IsMark(r) && b.Len() > 0:
			b.WriteRune(r)
		case b.Len() > 0 && !strings.HasSuffix(b.String(), "-"):
			b.WriteByte('-')
		}
	}
	s := strings.Trim(b.String(), "-")
	if s == "" {
		s = "plan"
	}
	return s + ".candleclock." + ending
}

// OpenFile lets the person choose a plan file, and adds it beside the others,
// or compares it with the one that has its id.
func (a *App) OpenFile() {
	a.ports.Device.PickFile(".json,application/json", plan.MostBytes, func(name string, data []byte, err error) {
		p, fault := plan.Plan{}, ""
		if err == nil {
			p, err = plan.Decode(data)
		}
		if b := a.find(p.ID); err == nil && b != nil && b.Sealed == nil {
			a.offer(p)
			return
		}
		var newer *plan.NewerError
		switch {
		case errors.As(err, &newer):
			fault = wFileNewer
		case err != nil && data != nil && len(data) <= plan.MostBytes && !json.Valid(data):
			fault = wFileNoPlan
		case err != nil:
			fault = firstUpper(err.Error()) + "."
		case a.tooMany():
			fault = wTooMany
		}
		if fault != "" {
			a.tell(wFileBad+fault, nil)
			a.ports.Device.Focus("title")
			return
		}
		b := a.keep(p)
		a.Go(pageTonight)
		a.tell(wFileOpened+named(b.Plan.Name)+".", func() { a.remove(b); a.refresh() })
	})
}

func (a *App) tooMany() bool { return len(a.books) >= shelf.MostPlans }

func firstUpper(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

// SiteSays says whether the page opens without the internet.
func (a *App) SiteSays() string {
	switch a.site {
	case SiteKept, SiteOutdated:
		return wOffline
	case SiteKeeping:
		return wOfflineSoon
	case SiteOnline:
		return wOfflineNever
	case SiteSingle:
		return wSingle
	}
	return ""
}

// Outdated reports whether a newer version waits.
func (a *App) Outdated() bool { return a.site == SiteOutdated }

// Update takes it.
func (a *App) Update() { a.ports.Site.Update() }

// SourceRow is where a figure comes from.
type SourceRow struct{ What, Source string }

// Sources lists where the figures of the plan in view, and the sums, come from.
func (a *App) Sources() []SourceRow {
	out := []SourceRow{
		{"What a battery gives in the cold, lead", "IEEE Std 485, table 1, cell size correction"},
		{"What a battery gives in the cold, lithium", "typical of papers and data sheets; recalled, not read"},
		{"Too cold to give, too cold or hot to charge, lithium", "charging from 0 to 40\u00a0°C (32 to 104\u00a0°F): US Fire Administration; that it gives nothing below -20\u00a0°C (-4\u00a0°F) is recalled, not read"},
		{"A fridge that stood", "it makes up for that: no store that warms as the air around it lets it has run for longer than is counted; the most that counts, 72 hours, is recalled"},
		{"Lead batteries drawn fast", "Peukert’s law (1897), in its rated-time form, down to where the supply stops; exponents are common practice"},
		{"Age", "80% as the end of life after IEEE Std 450; LFP that stands by Naumann and others (2018), as modelled by Gasper and others (2022); other years and cycles are common practice"},
		{"Inverter", "loss curve of Schmidt and Sauer (1996); idle draw as you enter it, else common practice"},
		{"Count on", "511 courses of the same outage, each with other draws, capacity, age, cold and losses within what is usual (Latin hypercube, McKay, Beckman and Conover 1979). 9 of 10 last at least that long. The ranges are common practice."},
		{"Start order", "largest excess of starting over running power first. Of two that start one after the other, put the one with the greater excess first: neither peak is then above the higher one of before, and nothing else changes. So swapping leads to this order and never raises the highest peak."},
	}
	if a.book == nil {
		return out
	}
	seen := map[string]bool{}
	for _, l := range a.book.Plan.Loads {
		if l.Basis != load.Typical {
			continue
		}
		for _, e := range load.Catalogue() {
			if strings.HasPrefix(l.Name, e.Name) && !seen[e.Name] {
				seen[e.Name] = true
				out = append(out, SourceRow{e.Name, e.Source})
			}
		}
	}
	return out
}

// Cautions lists the usual cautions.
func (a *App) Cautions() []string { return cautions }
