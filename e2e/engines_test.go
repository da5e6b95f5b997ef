package e2e

import (
	"testing"
)

// The main story in every engine: a plan made by hand, its answer, and both
// there again when the host is gone.
func TestEveryEnginePlansAhead(t *testing.T) {
	t.Parallel()
	inEach(t, func(t *testing.T, e engine) {
		h := serve(t, built(t))
		p := e.fresh(t)
		b := p.newTab()
		b.open(h, "")
		b.on("start")
		b.planAhead()
		said := b.answer()
		kept := b.plans(1)[0]
		agree(t, said, kept.Encode())

		b.offlineReady()
		h.stop()
		b.open(h, "")
		b.on("tonight")
		if got := b.answer(); got != said {
			t.Errorf("opened again without the host: got %q, want %q", got, said)
		}
		b.turn("loads")
		want(b, loadsInView, 5)
	})
}
