package e2e

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
)

// TestAlbum saves a picture of every state, whole pages, on a phone and on a
// desk, in each look and as it is printed; one of every component with all its
// states; and a page that shows them all. Also as printed nothing may stand out
// to the side.
func TestAlbum(t *testing.T) {
	dir := os.Getenv("CANDLECLOCK_ALBUM")
	if dir == "" {
		t.Skip("CANDLECLOCK_ALBUM names no folder")
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	h := serve(t, built(t))
	index := []byte(galleryHead)
	save := func(b *tab, name string) {
		t.Helper()
		b.settle()
		picture, err := chromedp.Run(b.ctx, chromedp.FullScreenshot(100))
		if err == nil {
			err = os.WriteFile(filepath.Join(dir, name), picture, 0o644)
		}
		if err != nil {
			t.Fatal(err)
		}
		index = fmt.Appendf(index, "<figure><a href=%q><img src=%[1]q alt=%[1]q loading=lazy></a><figcaption>%[1]s</figcaption></figure>\n", name)
	}
	eachState(t, h, func(b *tab, name string) {
		index = fmt.Appendf(index, "</section>\n<section><h2>%s</h2>\n", name)
		for _, size := range [][2]int64{{360, 740}, {1280, 800}} {
			b.tall(size[0], size[1])
			for _, look := range looks {
				b.look(look)
				save(b, fmt.Sprintf("%s-%d-%s.png", name, size[0], look))
			}
		}
		b.look(looks[0])
		b.size(718, 1047) // A4 without its margins
		command(b, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Media: "print"})
		if s := eval[string](b, overflow); s != "" {
			t.Errorf("%s, printed: %s", name, s)
		}
		save(b, name+"-print.png")
		command(b, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{})
		b.size(360, 740)
	})
	b := newProfile(t).newTab()
	b.enter(hung(t))
	for _, of := range eval[[]string](b, `[...document.querySelectorAll(".hall[id]")].map(e => e.id)`) {
		index = fmt.Appendf(index, "</section>\n<section><h2>%s</h2>\n", of)
		eval[bool](b, fmt.Sprintf(`document.querySelectorAll(".hall").forEach(e => e.hidden = e.id !== %q), true`, of))
		b.eachManner(func(manner string) {
			b.tall(eval[int64](b, `innerWidth`), 740)
			save(b, fmt.Sprintf("component-%s-%s.png", of, manner))
		})
	}
	if err := os.WriteFile(filepath.Join(dir, "index.html"), append(index, "</section>\n"...), 0o644); err != nil {
		t.Fatal(err)
	}
}

// tall makes the screen so wide, and as high as the page but no lower than
// least: what keeps to the foot of the screen then covers nothing.
func (b *tab) tall(width, least int64) {
	b.t.Helper()
	b.size(width, least)
	b.settle()
	b.size(width, max(least, eval[int64](b, `document.documentElement.scrollHeight`)))
}

// galleryHead begins the page that shows all pictures.
const galleryHead = `<!doctype html>
<html lang="en"><meta charset="utf-8"><title>Every page in every state</title>
<style>section{display:flex;flex-wrap:wrap;gap:1em;align-items:start}h1,h2{width:100%}figure{margin:0}img{width:180px;border:1px solid}</style>
<h1>Every page in every state</h1>
<p>Below them, and <a href=components.html>on a page of their own</a>: every component.</p>
<section>
`
