package e2e

import (
	"bytes"
	"context"
	"encoding/xml"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"unicode"

	"github.com/chromedp/cdproto/emulation"

	"candleclock/engine/link"
	"candleclock/engine/plan"
)

// stocked is a household with so many things, and everything else that a card
// can speak of.
func stocked(t *testing.T, things int) plan.Plan {
	t.Helper()
	p, err := plan.Decode(withPanels("Harbour cottage by the old pier", 44.65, -63.57, "2026-01-14T17:00"))
	if err != nil {
		t.Fatal(err)
	}
	p.Loads = catalogued("oxygen-5l", "fridge", "phone", "router", "lamp-led", "freezer-chest", "kettle", "cpap-humidifier",
		"medicine-fridge", "cooler-12v", "tablet", "satellite-internet", "tv", "radio", "fan-table", "furnace-blower", "sump-pump",
		"microwave", "alarm", "hair-dryer")[:things]
	p.Supply.Gauge.Kind, p.Supply.Gauge.Bars = plan.Bars, 5
	p.Supply.Battery.AgeYears = 2
	p.Supply.Name = "Power station"
	return p
}

// printed is what came out on paper.
type printed struct {
	file string // PDF
	text string // without any spaces
}

// print prints the page in view as the browser would, and reads the result.
func (b *tab) print() printed {
	b.t.Helper()
	var pdf []byte
	b.ask("printing", func(ctx context.Context) (err error) { pdf, err = b.w.print(ctx); return err })
	file := filepath.Join(b.t.TempDir(), "card.pdf")
	if err := os.WriteFile(file, pdf, 0o600); err != nil {
		b.t.Fatal(err)
	}
	return printed{file, solid(string(tool(b.t, "pdftotext", "-raw", file, "-")))}
}

// tool runs a program and returns what it says.
func tool(t testing.TB, name string, args ...string) []byte {
	t.Helper()
	var errs bytes.Buffer
	c := exec.Command(name, args...)
	c.Stderr = &errs
	out, err := c.Output()
	if err != nil {
		t.Fatalf("%s: %v: %s (./build.sh test fetches it)", name, err, errs.Bytes())
	}
	return out
}

// solid is a text without spaces, and with letters that were joined apart.
func solid(s string) string {
	s = strings.NewReplacer("ﬁ", "fi", "ﬂ", "fl", "ﬀ", "ff", "ﬃ", "ffi", "\u00ad", "").Replace(s)
	return strings.Map(func(r rune) rune {
		if unicode.IsSpace(r) {
			return -1
		}
		return r
	}, s)
}

var pageSize = regexp.MustCompile(`Page size:\s+([\d.]+) x ([\d.]+) pts`)

// size is how many pages there are, and how large, in mm.
func (p printed) size(t *testing.T) (pages int, wide, high float64) {
	t.Helper()
	info := tool(t, "pdfinfo", p.file)
	n := regexp.MustCompile(`Pages:\s+(\d+)`).FindSubmatch(info)
	at := pageSize.FindSubmatch(info)
	if n == nil || at == nil {
		t.Fatalf("pdfinfo says %s", info)
	}
	pages, _ = strconv.Atoi(string(n[1]))
	wide, _ = strconv.ParseFloat(string(at[1]), 64)
	high, _ = strconv.ParseFloat(string(at[2]), 64)
	return pages, wide * 25.4 / 72, high * 25.4 / 72
}

// lowest is the height of the lowest word in points: ascent and descent of its
// face, more than the size of its letters.
func (p printed) lowest(t *testing.T) (height float64, word string) {
	t.Helper()
	var doc struct {
		Words []struct {
			YMin float64 `xml:"yMin,attr"`
			YMax float64 `xml:"yMax,attr"`
			Text string  `xml:",chardata"`
		} `xml:"body>doc>page>word"`
	}
	if err := xml.Unmarshal(tool(t, "pdftotext", "-bbox", p.file, "-"), &doc); err != nil {
		t.Fatal(err)
	}
	height = math.Inf(1)
	for _, w := range doc.Words {
		if h := w.YMax - w.YMin; h < height {
			height, word = h, w.Text
		}
	}
	return height, word
}

// code reads the QR code off the paper.
func (p printed) code(t *testing.T) string {
	t.Helper()
	to := filepath.Join(t.TempDir(), "page")
	tool(t, "pdftoppm", "-r", "300", "-gray", "-png", "-singlefile", p.file, to)
	return strings.TrimSpace(string(tool(t, "zbarimg", "--raw", "-q", "-Sdisable", "-Sqrcode.enable", to+".png")))
}

// facts are what the card says, element by element.
const facts = `[...document.querySelectorAll(".leaf :is(.title, h2, p, li, th, td, .write span, figcaption)")]
	.filter(e => e.checkVisibility()).map(e => e.textContent.trim()).filter(s => s)`

// letters is the size of the smallest letters in view in the card, in points.
const letters = `Math.min(...[...document.querySelectorAll(".leaf *")].filter(e => e.checkVisibility() && [...e.childNodes].some(n => n.nodeType === 3 && n.data.trim()))
	.map(e => parseFloat(getComputedStyle(e).fontSize))) * 72 / 96`

// The card comes out on exactly one page of the paper chosen, with letters that
// can be read, with all that it says, and with a code that holds the plan.
func TestCardOnPaper(t *testing.T) {
	t.Parallel()
	h := serve(t, built(t))
	for _, things := range []int{3, 8, 20} {
		t.Run(fmt.Sprint(things, " things"), func(t *testing.T) {
			p := stocked(t, things)
			b := newProfile(t).newTab()
			b.open(h, "")
			b.choose("#door-file", "plan.json", p.Encode())
			b.on("tonight")
			b.answer()
			b.turn("card")
			b.until(`document.querySelector(".leaf")`)
			want(b, `document.querySelector("#paper-letter").ariaPressed`, "true") // this browser is set to en-US
			kept := b.kept()
			if len(kept.Plans) != 1 {
				t.Fatalf("%d plans are kept", len(kept.Plans))
			}
			stored, err := plan.Decode(kept.Plans[0].Data)
			if err != nil {
				t.Fatal(err)
			}
			for _, paper := range []struct {
				key        string
				wide, high float64
			}{{"a4", 210, 297}, {"letter", 215.9, 279.4}, {"a5", 148, 210}} {
				for _, size := range []string{"usual", "large"} {
					name := fmt.Sprintf("%s, %s letters", paper.key, size)
					b.tap("#paper-" + paper.key)
					b.tap("#letters-" + size)
					b.until(fmt.Sprintf(`document.querySelector(".leaf").classList.contains(%q) && document.querySelector("#letters-%s").ariaPressed === "true"`, paper.key, size))
					b.settle()
					if s := eval[string](b, overflow); s != "" {
						t.Errorf("%s: %s", name, s)
					}
					said := eval[[]string](b, facts)
					command(b, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Media: "print"})
					small := eval[float64](b, letters)
					command(b, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Media: ""})
					if small < 9-1e-3 {
						t.Errorf("%s: letters of %.2f pt", name, small)
					}

					out := b.print()
					pages, wide, high := out.size(t)
					if pages != 1 || math.Abs(wide-paper.wide) > 0.5 || math.Abs(high-paper.high) > 0.5 {
						t.Errorf("%s: %d pages of %.1f by %.1f mm, want one of %.1f by %.1f", name, pages, wide, high, paper.wide, paper.high)
					}
					if low, word := out.lowest(t); low < 9 {
						t.Errorf("%s: %q is %.2f pt high", name, word, low)
					}
					if len(said) < 30 {
						t.Errorf("%s: the card says only %q", name, said)
					}
					for _, s := range said {
						if !strings.Contains(out.text, solid(s)) {
							t.Errorf("%s: %q is not on the paper", name, s)
						}
					}
					for _, s := range []string{b.text("nav a"), "Print the card", "Usual letters"} {
						if s == "" || strings.Contains(out.text, solid(s)) {
							t.Errorf("%s: %q is on the paper", name, s)
						}
					}
					keep(t, fmt.Sprintf("card-%d-%s-%s", things, paper.key, size), out)
					read := out.code(t)
					if !strings.HasPrefix(read, h.url) {
						t.Errorf("%s: the code leads to %q", name, read)
					}
					_, code, _ := strings.Cut(read, "=")
					if got, err := link.Parse(code); err != nil || !bytes.Equal(got.Encode(), stored.Encode()) {
						t.Errorf("%s: the code reads %q: %v", name, read, err)
					}
					t.Logf("%s: %s, letters from %.2f pt, code of %s modules, %s mm", name, eval[string](b, `document.querySelector(".leaf").className`),
						small, eval[string](b, `document.querySelector(".qr").getAttribute("viewBox")`), eval[string](b, `document.querySelector("figure").className`))
				}
			}
		})
	}
}

// The button opens the browser's window for printing, and says so where there
// is none; as text the card is printed without the page around it.
func TestCardPrintButton(t *testing.T) {
	t.Parallel()
	h := serve(t, built(t))
	b := newProfile(t).newTab()
	b.before(`window.asked = 0; window.prints = true; window.print = () => { asked++; if (prints) dispatchEvent(new Event("beforeprint")); }`)
	b.open(h, "")
	p := stocked(t, 3)
	b.choose("#door-file", "plan.json", p.Encode())
	b.on("tonight")
	b.turn("card")
	b.tap("#print")
	want(b, `asked`, 1)
	if s := b.text("#no-print"); s != "" {
		t.Errorf("asked to print, the page says %q", s)
	}
	eval[bool](b, `prints = false, true`)
	b.tap("#print")
	b.until(`document.getElementById("no-print").checkVisibility()`)

	b.tap("#face-text")
	b.until(`document.getElementById("card-text")`)
	out := b.print()
	if !strings.Contains(out.text, solid(b.text("#card-text"))) {
		t.Error("the card as text is not on the paper as it is on the screen")
	}
	for _, s := range []string{"Print the card", b.text("nav a"), b.text("#no-print")} {
		if strings.Contains(out.text, solid(s)) {
			t.Errorf("%q is on the paper", s)
		}
	}
}

// keep saves a picture of a page into the album, where there is one.
func keep(t *testing.T, name string, p printed) {
	t.Helper()
	if dir := os.Getenv("CANDLECLOCK_ALBUM"); dir != "" {
		tool(t, "pdftoppm", "-r", "100", "-png", "-singlefile", p.file, filepath.Join(dir, name))
	}
}
