package ui

import (
	"strconv"
	"strings"

	"candleclock/engine/card"
	"candleclock/engine/link"
	"candleclock/engine/yield"
	"candleclock/ui/qr"
)

// CardView is the card for the fridge door, as it is drawn: on the screen and
// on paper alike.
type CardView struct {
	Title, Made string
	Order       []CardLine
	Never       []string
	Heads       []string // of the table's columns
	Rows        []CardRow
	Under       []string // under the table
	More        []CardPart
	Write       []string // what to write on the blank lines
	Small       []string // cautions and what was assumed
	Code        qr.Code  // of the plan; without paths where it has no room

	tight  bool // less white
	sheet  sheetSize
	points float64
	fits   bool
}

// CardLine is a step of the start order.
type CardLine struct {
	Text  string
	Vital bool
}

// Class is its class.
func (l CardLine) Class() string {
	if l.Vital {
		return "vital"
	}
	return ""
}

// CardRow is a row of the table: a reading of the gauge and how long is left.
type CardRow struct {
	Reading string
	Bars    []CardBar // none for a gauge without bars
	Cells   []string
}

// CardBar is one bar of a gauge.
type CardBar struct{ X, Class string }

// cardBars draws a gauge with lit of all bars lit.
func cardBars(lit, all int) []CardBar {
	bars := make([]CardBar, all)
	for i := range bars {
		bars[i] = CardBar{strconv.Itoa(1 + 9*i), "out"}
		if i < lit {
			bars[i].Class = "lit"
		}
	}
	return bars
}

// ViewBox is the box that the bars are drawn in.
func (r CardRow) ViewBox() string { return "0 0 " + strconv.Itoa(9*len(r.Bars)) + " 18" }

// CardPart is a paragraph or more under a heading.
type CardPart struct {
	Head  string
	Lines []string
}

// Class is the class of the card: its sheet and the size of its letters.
func (v *CardView) Class() string {
	class := "leaf " + v.sheet.key
	if v.tight {
		class += " tight"
	}
	return class + " pt" + strings.ReplaceAll(strconv.FormatFloat(v.points, 'f', -1, 64), ".", "-")
}

// HasCode reports whether the card has a code of the plan.
func (v *CardView) HasCode() bool { return len(v.Code.Paths) > 0 }

// CodeSays is what stands under the code.
func (v *CardView) CodeSays() string {
	if v.tight {
		return wCodeBrief
	}
	return wCodeSays
}

// CodeBox is the box that the code is drawn in.
func (v *CardView) CodeBox() string {
	side := strconv.Itoa(v.Code.Modules)
	return "0 0 " + side + " " + side
}

// CodeClass is the class of the code: its side, mm.
func (v *CardView) CodeClass() string { return "mm" + strconv.Itoa(int(codeSide(v.Code))) }

// Parts is the card as plain text, with the same facts: to be read out, or
// copied by hand.
func (v *CardView) Parts() []CardPart {
	parts := []CardPart{{v.Title, []string{v.Made}}}
	order := CardPart{Head: wStartOrder}
	for i, l := range v.Order {
		order.Lines = append(order.Lines, strconv.Itoa(i+1)+". "+l.Text)
	}
	parts = append(parts, order)
	if len(v.Never) > 0 {
		parts = append(parts, CardPart{wNever, v.Never})
	}
	ladder := CardPart{Head: wLadder}
	for _, r := range v.Rows {
		s := r.Reading + ": "
		for i, c := range r.Cells {
			if i > 0 {
				s += "; "
			}
			s += v.Heads[i+1] + ", " + c
		}
		ladder.Lines = append(ladder.Lines, s+".")
	}
	ladder.Lines = append(ladder.Lines, v.Under...)
	parts = append(parts, ladder)
	parts = append(parts, v.More...)
	write := CardPart{Head: wIfStops}
	for _, s := range v.Write {
		write.Lines = append(write.Lines, s+": ______________________")
	}
	return append(parts, write, CardPart{wCardSmall, v.Small})
}

// cardShow is the card in view and how it is shown.
type cardShow struct {
	made    *card.Card // nil while the plan has no answer
	view    *CardView
	plain   bool // as text
	noPrint bool // this browser was asked to print, and did not
}

// makeCard works the card out.
func (a *App) makeCard() {
	a.card.made, a.card.view = nil, nil
	if !a.Answered() {
		return
	}
	c, err := card.Make(withNamesFit(a.counted()), yield.Of(a.placed()), a.sampler, a.now)
	if err != nil {
		return
	}
	a.card.made = &c
	a.layCard()
}

// layCard fits the card to the sheet: with all that it can say, or with shorter
// lists where the letters would get too small.
func (a *App) layCard() {
	sheet, enough := sheetOf(a.prefs.Paper), cardSizes[len(cardSizes)-1]
	if a.prefs.LargeCard {
		enough = largeLeast
	}
	code, _ := qr.Of(a.planAddress(), sheet.codeMost())
	a.card.view = nil
	for _, cut := range cuts {
		v := newCardView(*a.card.made, a.book.Plan, a.prefs, cut)
		v.sheet, v.Code = sheet, code
		v.points, v.fits = v.size(a.prefs.LargeCard)
		// Where none fits, the shortest.
		if best := a.card.view; best == nil || !best.fits || v.fits && v.points > best.points {
			a.card.view = v
		}
		if a.card.view.fits && a.card.view.points >= enough {
			return
		}
	}
}

// planAddress is where the code leads: to this page with the plan.
func (a *App) planAddress() string {
	address := a.ports.Device.Address()
	if l := link.QR(a.book.Plan); l != "" && address != "" {
		return address + "#" + linkKey + "=" + l
	}
	return ""
}

// noCode says why the card has no code.
func (a *App) noCode() string {
	if a.ports.Device.Address() == "" {
		return wCardHomeless
	}
	return wCardNoCode
}

// Reading is the card as plain text, with all that it can say.
func (a *App) Reading() []CardPart {
	return newCardView(*a.card.made, a.book.Plan, a.prefs, cuts[0]).Parts()
}

// Card is the card on the page.
func (a *App) Card() *CardView { return a.card.view }

// CardMissing says what the card waits for.
func (a *App) CardMissing() string {
	if a.card.view == nil {
		return a.answer.Missing
	}
	return ""
}

// ShowsLeaf and ShowsReading tell which of the two faces is shown.
func (a *App) ShowsLeaf() bool    { return a.card.view != nil && !a.card.plain }
func (a *App) ShowsReading() bool { return a.card.view != nil && a.card.plain }

// CardGroup is a row of buttons of which one is pressed.
type CardGroup struct {
	Name    string
	Options []CardOption
}

// CardOption is one of them.
type CardOption struct{ ID, Label, Pressed string }

// CardChoices lists how the card can be had.
func (a *App) CardChoices() []CardGroup {
	if a.card.view == nil {
		return nil
	}
	option := func(id, label string, on bool) CardOption {
		return CardOption{id, label, strconv.FormatBool(on)}
	}
	paper := CardGroup{Name: wCardPaper}
	for _, s := range sheets {
		paper.Options = append(paper.Options, option("paper-"+s.key, s.label, s.key == a.card.view.sheet.key))
	}
	return []CardGroup{paper,
		{wCardLetters, []CardOption{option("letters-usual", wCardUsual, !a.prefs.LargeCard), option("letters-large", wCardLarge, a.prefs.LargeCard)}},
		{wCardFace, []CardOption{option("face-card", wCardAsCard, !a.card.plain), option("face-text", wCardAsText, a.card.plain)}}}
}

// PickCard is a tap on one of those buttons.
func (a *App) PickCard(id string) {
	if a.card.view == nil {
		return // a tap on a page that has just gone
	}
	switch what, value, _ := strings.Cut(id, "-"); what {
	case "paper":
		a.prefs.Paper = value
	case "letters":
		a.prefs.LargeCard = value == "large"
	default:
		a.card.plain = value == "text"
		return
	}
	a.savePrefs()
	a.layCard()
	a.status = a.CardNote()
}

// CardNote says what could not be had on the sheet chosen.
func (a *App) CardNote() string {
	v := a.card.view
	var say []string
	switch {
	case v == nil:
		return ""
	case a.prefs.LargeCard && v.fits && v.points < largeLeast:
		say = append(say, wCardNotLarge)
	case !v.fits:
		say = append(say, wCardTooLong)
	}
	if !v.HasCode() {
		say = append(say, a.noCode())
	}
	return strings.Join(say, " ")
}

// PrintCard opens the browser's window for printing.
func (a *App) PrintCard() {
	a.card.noPrint = false
	a.ports.Device.Print(func() {
		a.card.noPrint = true
		a.status = wNoPrint
	})
}

// NoPrint reports whether the browser was asked to print, and did not.
func (a *App) NoPrint() bool { return a.card.view != nil && a.card.noPrint }
