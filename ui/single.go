package ui

import (
	"errors"
	"fmt"
	"hash/crc32"

	"candleclock/engine/plan"
	"candleclock/ui/onefile"
	"candleclock/ui/say"
	"candleclock/ui/still"
)

// The page as one file: handing a plan on in one, and being one.

// insideKey stands in the address for the plan that came in the file.
const insideKey = "inside"

// SaveSingle hands over the planner as one file with the plan in view inside.
func (a *App) SaveSingle() {
	if a.book == nil || a.packing {
		return // tapped twice
	}
	a.packing = true
	name := fileName(a.book.Plan.Name, "html")
	in := onefile.Inside{Home: a.ports.Device.Address(), Plan: a.book.Plan.Encode(), Card: a.cardHTML()}
	a.tell(wSendOneMaking, nil)
	a.ports.Spawn(func() {
		file, err := a.emptySingle()
		if err == nil {
			file, err = onefile.Fill(file, in)
		}
		a.ports.Do(func() {
			a.packing = false
			if err != nil {
				a.tell(wSendOneFailed+err.Error()+".", nil)
				return
			}
			a.ports.Device.SaveFile(name, "text/html", file)
			a.tell(wFileSaved+name+", "+say.Number(float64(len(file))/1e6, 1)+wSendOneSize, nil)
		})
	})
}

// emptySingle is the file to put the plan in: this page's own where it is one.
func (a *App) emptySingle() ([]byte, error) {
	if own := a.ports.Parts.Own(); own != nil {
		return own, nil
	}
	return onefile.Make(a.ports.Parts)
}

// cardHTML is the card of the plan in view as HTML; "" while it has none.
func (a *App) cardHTML() string {
	a.makeCard()
	if a.card.view == nil {
		return ""
	}
	leaf, err := still.HTML(&Leaf{V: a.card.view})
	text, textErr := still.HTML(&CardText{Parts: a.Reading()})
	if err != nil || textErr != nil {
		return "" // the file has the sheet too
	}
	// On a phone the card is small: the text is for reading there.
	return `<div class="desk">` + leaf + "</div>\n<details><summary>" + wSingleText + "</summary>" + text + "</details>\n"
}

// Single reports whether this page is one file.
func (a *App) Single() bool { return a.site == SiteSingle }

// HasInside reports whether a plan came in the file.
func (a *App) HasInside() bool { return a.Single() && a.ports.Parts.Inside() != nil }

// readInside reads the plan that came in the file.
func (a *App) readInside() (p plan.Plan, fault string) {
	p, err := plan.Decode(a.ports.Parts.Inside())
	var newer *plan.NewerError
	switch {
	case errors.As(err, &newer):
		fault = wSingleBroken + wSingleNewer
	case err != nil:
		fault = wSingleBroken + firstUpper(err.Error()) + "."
	}
	return p, fault
}

// opening is the address that the page opens with: where none is named, the plan
// that came in the file, until it has been answered.
func (a *App) opening() string {
	route := a.ports.Device.Route()
	if route != "" || a.ports.Parts.Inside() == nil {
		return route
	}
	p, fault := a.readInside()
	if b := a.find(p.ID); fault == "" && b != nil && b.Sealed == nil {
		if a.prefs.Inside == insideMark(a.ports.Parts.Inside()) || len(compare(b.Plan, p, a.prefs).changes) == 0 {
			a.show(b.ID)
			return route
		}
	}
	a.ports.Device.ReplaceRoute(insideKey)
	return insideKey
}

// insideMark is by what a plan that came in a file is known again.
func insideMark(file []byte) string { return fmt.Sprintf("%08x", crc32.ChecksumIEEE(file)) }
