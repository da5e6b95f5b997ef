package e2e

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/chromedp/chromedp"
)

// TestAlbum saves a picture of every state, whole pages, on a phone and on a
// desk, in each look.
func TestAlbum(t *testing.T) {
	dir := os.Getenv("CANDLECLOCK_ALBUM")
	if dir == "" {
		t.Skip("CANDLECLOCK_ALBUM names no folder")
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	h := serve(t, built(t))
	eachState(t, h, func(b *tab, name string) {
		for _, size := range [][2]int64{{360, 740}, {1280, 800}} {
			b.size(size[0], size[1])
			for _, look := range looks {
				b.look(look)
				b.settle()
				picture, err := chromedp.Run(b.ctx, chromedp.FullScreenshot(100))
				if err != nil {
					t.Fatal(err)
				}
				file := filepath.Join(dir, fmt.Sprintf("%s-%d-%s.png", name, size[0], look))
				if err := os.WriteFile(file, picture, 0o644); err != nil {
					t.Fatal(err)
				}
			}
		}
		b.look(looks[0])
		b.size(360, 740)
	})
}
