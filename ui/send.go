package ui

import (
	"slices"
	"strings"
	"unicode/utf8"

	"candleclock/engine/link"
	"candleclock/engine/load"
	"candleclock/engine/plan"
	"candleclock/engine/start"
	"candleclock/engine/units"
	"candleclock/ui/say"
)

// Parcel is the plan in view made ready to be sent: words that help without
// this page, and a link that brings the whole plan.
type Parcel struct {
	Short string // at most shortMost characters
	Full  string
	Link  string // "" for a plan too big for one, or a page without an address

	homeless bool // the page has no address
}

// shortMost is the most characters of the short message: two text messages.
const shortMost = 300

// longLink is from how many characters on a link may be cut off on its way;
// messengers differ, and the shortest bound that is told of is 2,000 (common
// practice).
const longLink = 2000

// pack makes the parcel of the plan in view.
func (a *App) pack() {
	a.withSun(nil) // the words tell it too
	a.answer.askVital(a.sampler)
	a.parcel = Parcel{Short: a.answer.Short(), Full: a.answer.Full()}
	address := a.ports.Device.Address()
	if a.parcel.homeless = address == ""; a.parcel.homeless {
		return
	}
	if code := link.Text(a.book.Plan); code != "" {
		a.parcel.Link = address + "#" + linkKey + "=" + code
	}
}

// Parcel is what the page Send shows.
func (a *App) Parcel() Parcel { return a.parcel }

// LinkNote says what is to be known of the link.
func (p Parcel) LinkNote() string {
	switch {
	case p.homeless:
		return wSendHomeless
	case p.Link == "":
		return wSendTooBig
	case len(p.Link) > longLink:
		return wSendLong + say.Number(float64(len(p.Link)), 0) + wSendLongThen
	}
	return wSendWhole
}

// CanShare reports whether the device has a share sheet.
func (a *App) CanShare() bool { return a.route.Page == pageSend && a.ports.Device.CanShare() }

// ShareParcel hands the short message and the link to the share sheet.
func (a *App) ShareParcel() {
	a.ports.Device.Share(a.PlanName(), a.parcel.Short, a.parcel.Link, func() { a.tell(wShareFailed, nil) })
}

// CopyShort, CopyFull and CopyLink put a part of the parcel on the clipboard.
func (a *App) CopyShort() { a.copyField("send-short", a.parcel.Short) }
func (a *App) CopyFull()  { a.copyField("send-full", a.parcel.Full) }
func (a *App) CopyLink()  { a.copyField("send-link", a.parcel.Link) }

// copyField copies what stands in a field; where the browser does not let it,
// the field is selected, to be copied by hand.
func (a *App) copyField(id, text string) {
	a.ports.Device.Copy(text, func(copied bool) {
		if copied {
			a.tell(wCopied, nil)
			return
		}
		a.tell(wCopyByHand, nil)
		a.ports.Device.Select(id)
	})
}

// Short is the answer for someone who has only this message, perhaps a day
// later: what must stay on, until when, what to turn off first.
func (a *Answer) Short() string { return say.OnPaper(a.short) }

func (a *Answer) short() string {
	s := named(room(a.plan.Name, 40)) + ": " + a.dated()
	if !a.Ready() {
		return plainText(s)
	}
	if v := a.alone; v.some && v.rest && a.Alone() != "" && !beyond(v.countOn) {
		s += " " + wSendAlone + dated(a.clock, a.until(a.aloneEnds())) + "."
	}
	add := func(label string, names []string, most int) {
		// The names that fit, and how many do not.
		for most := min(len(names), most); most > 0; most-- {
			if more := " " + label + listing(names, most) + "."; utf8.RuneCountInString(plainText(s+more)) <= shortMost {
				s += more
				return
			}
		}
	}
	// What must stay on needs its room too.
	alone, together := a.leftOut()
	if a.plan.Supply.Inverter.Continuous == 0 {
		add(wStartNotCounted, append(alone, together...), 3) // by a guess
	} else {
		most := 3 - min(len(together), 1)
		add(wSendUnmet, alone, most)
		add(wCardNotWithRest, together, 3-min(len(alone), most))
	}
	add(wSendOff, a.offFirst(), 3)
	add(wSendKeep, a.vital(), len(a.plan.Loads))
	return plainText(s)
}

// dated says the answer with dates, in a way that holds whenever it is read.
func (a *Answer) dated() string {
	o := a.plan.Outage
	until := func() string { return dated(a.clock, a.until(a.run.CountOn)) }
	dark := ""
	if of := a.uncounted(); of != "" {
		dark = " " + lowerFirst(wWithout) + of
	}
	switch {
	case !a.Ready():
		return a.Missing
	case a.Passed():
		return wSendOut + wSendPassed + until() + ". " + wSendAnyMoment
	case o.UnderWay && beyond(a.run.CountOn):
		return wSendOut + a.trip(a.without(wPlanOnSentence+a.longer())) + wSendCounted + dated(a.clock, a.from()) + "."
	case o.UnderWay:
		return wSendOut + a.trip(a.without(wPlanOnUntil+" "+until())) + dark + wSendRead + dated(a.clock, o.Starts) + "."
	case beyond(a.run.CountOn):
		return a.trip(a.without(wIfItFails + dated(a.clock, o.Starts) + wPlanOn + " " + a.longer() + "."))
	}
	return a.trip(a.without(wIfItFails + dated(a.clock, o.Starts) + wPlanOn + " " + a.Big() + dark + ", " + wUntilAbout + until() + "."))
}

// dated says a moment with its day, so that it holds whenever it is read.
func dated(c say.Clock, m plan.Moment) string { return c.Moment(m, m.After(7)) }

// worthOff is how much longer the supply must last for it to be worth saying
// what to turn off.
const worthOff units.Hours = 5.0 / 60

// offFirst names what is on and not vital, and worth turning off, what is needed
// least first.
func (a *Answer) offFirst() []string {
	var names []string
	order := byNeed(a.plan.Loads)
	for k := len(order) - 1; k >= 0; k-- {
		i := order[k]
		if l := a.plan.Loads[i]; !l.Off && l.Rank != load.Vital && a.buys[i] >= worthOff {
			names = append(names, named(l.Name))
		}
	}
	return names
}

// vital names the vital things that are on and can run.
func (a *Answer) vital() []string {
	var names []string
	cannot := a.cannot()
	for i, l := range a.plan.Loads {
		if !l.Off && l.Rank == load.Vital && !slices.Contains(cannot, i) {
			names = append(names, named(l.Name))
		}
	}
	return names
}

// leftOut names what is on and can't run on this supply, or can't start, even
// alone; and what can't together with the rest.
func (a *Answer) leftOut() (alone, together []string) {
	for _, i := range a.cannot() {
		name := named(a.plan.Loads[i].Name)
		if slices.ContainsFunc(a.starts.Never, func(r start.Refusal) bool { return r.Load == i }) {
			alone = append(alone, name)
		} else {
			together = append(together, name)
		}
	}
	return alone, together
}

// cannot lists these loads.
func (a *Answer) cannot() []int {
	told, _ := hardStarts(a.starts.Never)
	return slices.Compact(slices.Sorted(slices.Values(slices.Concat(a.unmet, told))))
}

// Full is the whole plan in words.
func (a *Answer) Full() string { return say.OnPaper(a.inFull) }

func (a *Answer) inFull() string {
	var b strings.Builder
	line := func(s string) {
		if s != "" {
			b.WriteString(s + "\n")
		}
	}
	heading := func(s string) { b.WriteString("\n" + s + "\n") }
	p := a.plan
	line(named(p.Name))
	line(a.dated())
	if a.Ready() {
		line(a.Alone())
		line(a.Range())
		line(a.NineInTen())
		if a.lit != nil && a.lit.with != nil {
			line(withPanels(a.lit.with))
		}
	}
	if len(p.Loads) > 0 {
		heading(wSendLoads)
		for _, i := range byNeed(p.Loads) {
			l := p.Loads[i]
			s := "- " + named(l.Name) + " (" + rankShort[string(l.Rank)] + "): " + describe(l, a.clock)
			if l.Off {
				s += ", " + wOffMark
			}
			line(s)
		}
	}
	if a.Ready() && p.Outage.UnderWay {
		for n, m := range a.foodDeeds() {
			if n == 0 {
				heading(wFood + ":")
			}
			line("- " + dated(a.clock, m.at) + ": " + m.What)
		}
	}
	if a.Ready() && len(a.offFirst()) > 0 {
		heading(strings.TrimSpace(wSendOff))
		for _, n := range a.offFirst() {
			line("- " + n)
		}
	}
	if a.Ready() && len(a.starts.Steps) > 1 {
		heading(wStartOrder + ":")
		for _, s := range a.Steps() {
			line("- " + s)
		}
	}
	heading(wSendSupply)
	for _, s := range supplyLines(p) {
		line("- " + s)
	}
	b.WriteString("\n" + wTake + ":\n")
	for _, s := range a.fullAdvice() {
		line("- " + s)
	}
	return plainText(b.String())
}

// fullAdvice is what the plan asks for and the cautions that hold without it.
func (a *Answer) fullAdvice() []string {
	var out []string
	if a.Ready() {
		out = a.Advice()
	}
	return append(out, cautions...)
}

// supplyLines describes the supply and the panels, a line each.
func supplyLines(p plan.Plan) []string {
	if !p.HasSupply() {
		return []string{wMissingSupply}
	}
	b := p.Supply.Battery
	s := say.WattHours(float64(b.Capacity)) + ", " + b.Chemistry.Name()
	if b.AgeYears > 0 {
		s += ", " + say.Number(b.AgeYears, 1) + " years old"
	}
	out := []string{s}
	if w := p.Supply.Inverter.Continuous; w > 0 {
		out = append(out, wSendCarries+say.Watts(float64(w)))
	}
	sets := []plan.PanelSet{p.Panels.PanelSet, p.Panels.Second}
	for _, set := range sets {
		if set.Count > 0 {
			out = append(out, say.Number(float64(set.Count), 0)+" × "+wSendPanel+panelWatts(set))
		}
	}
	return out
}

func panelWatts(s plan.PanelSet) string {
	w := s.Label.Pmax
	if w == 0 {
		w = units.Watts(float64(s.Label.Vmp) * float64(s.Label.Imp))
	}
	return say.Watts(float64(w))
}

// room keeps a name within most characters, cut at a blank where there is one in
// its second half.
func room(name string, most int) string {
	r := []rune(name)
	if len(r) <= most {
		return name
	}
	kept := string(r[:most-1])
	if at := strings.LastIndexByte(kept, ' '); r[most-1] != ' ' && at >= len(kept)/2 {
		kept = kept[:at]
	}
	return strings.TrimRight(kept, " ,;") + "…"
}

// plainText writes with the letters of a text message what has its like there:
// others make it twice as dear.
func plainText(s string) string { return plainLetters.Replace(s) }

var plainLetters = strings.NewReplacer("\u00a0", " ", "’", "'", "“", `"`, "”", `"`, "–", "-", "−", "-", "×", "x", "…", "...")
