package e2e

import (
	"testing"

	"candleclock/engine/plan/plantest"
)

func TestShot(t *testing.T) {
	h := serve(t, built(t))
	b := newProfile(t).newTab()
	b.before(watched)
	b.open(h, "")
	b.choose("#door-file", "plan.json", []byte(plantest.CottageFile))
	b.on("tonight")
	b.answer()
	b.show("ahead")
	b.until(`!document.querySelector(".busy").checkVisibility()`)
	b.picture("ahead")
}
