package qr

import (
	"image"
	"image/color"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

var steps = regexp.MustCompile(`[Mmh][-\d. ]*`)

// paint draws a code's path, a module as so many pixels.
func paint(t *testing.T, c Code, pixels int) *image.Gray {
	t.Helper()
	side := c.Modules * pixels
	g := image.NewGray(image.Rect(0, 0, side, side))
	for i := range g.Pix {
		g.Pix[i] = 255
	}
	x, y := 0, 0
	for _, s := range steps.FindAllString(strings.Join(c.Paths, ""), -1) {
		var n []int
		for f := range strings.FieldsSeq(s[1:]) {
			v, err := strconv.Atoi(strings.TrimSuffix(f, ".5"))
			if err != nil {
				t.Fatalf("%q in the path", s)
			}
			n = append(n, v)
		}
		switch s[0] {
		case 'M':
			x, y = n[0], n[1]
		case 'm':
			x += n[0]
		case 'h':
			for px := x * pixels; px < (x+n[0])*pixels; px++ {
				for py := y * pixels; py < (y+1)*pixels; py++ {
					g.SetGray(px, py, color.Gray{})
				}
			}
			x += n[0]
		}
	}
	return g
}

// A reader that is not ours reads what was drawn.
func TestReads(t *testing.T) {
	reader, err := exec.LookPath("zbarimg")
	if err != nil {
		t.Skip("zbarimg (Debian's package zbar-tools) is not there")
	}
	payload := "https://example.org/some/path/#C" + strings.Repeat("0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ$*+-./:", 50)
	for _, n := range []int{1, 16, 32, 33, 60, 100, 200, 300, 450, 1200, 2000} {
		text := payload[:n]
		c, ok := Of(text, 177+2*Quiet)
		if !ok {
			t.Fatalf("%d characters: no code", n)
		}
		for _, p := range c.Paths {
			if len(p) > pathMost {
				t.Errorf("%d characters: a path of %d bytes, want at most %d", n, len(p), pathMost)
			}
		}
		g := paint(t, c, 4)
		for i := range Quiet * 4 * g.Rect.Dx() {
			if g.Pix[i] != 255 || g.Pix[len(g.Pix)-1-i] != 255 {
				t.Fatalf("%d characters: the white around the code is not white", n)
			}
		}
		file := filepath.Join(t.TempDir(), "code.png")
		f, err := os.Create(file)
		if err != nil {
			t.Fatal(err)
		}
		if err := png.Encode(f, g); err != nil {
			t.Fatal(err)
		}
		f.Close()
		out, err := exec.Command(reader, "--raw", "-q", "-Sdisable", "-Sqrcode.enable", file).Output()
		if got := strings.TrimSuffix(string(out), "\n"); err != nil || got != text {
			t.Errorf("%d characters: read %q (%v), want %q", n, got, err, text)
		}
	}
}

func TestTooMuch(t *testing.T) {
	for _, text := range []string{"", strings.Repeat("A", 4000)} {
		if _, ok := Of(text, 200); ok {
			t.Errorf("%d characters: a code", len(text))
		}
	}
	if c, ok := Of("https://example.org/#CARD", 33); !ok || c.Modules > 33 {
		t.Errorf("a short one: %d modules, %v", c.Modules, ok)
	}
	if c, ok := Of("https://example.org/#CARD", 28); ok {
		t.Errorf("no room: %d modules", c.Modules)
	}
}

// Segments take the least room.
func TestSegments(t *testing.T) {
	for text, want := range map[string]int{"": 0, "ABC": 1, "abc": 1, "abc#ABC": 2, "#": 1} {
		if got := len(segments(text)); got != want {
			t.Errorf("%q: %d segments, want %d", text, got, want)
		}
	}
}
