package e2e

import (
	"bytes"
	"compress/gzip"
	"fmt"
	"io"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/andybalholm/brotli"
	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/performance"
	"github.com/chromedp/chromedp/kb"

	"candleclock/engine/load"
	"candleclock/engine/plan"
	"candleclock/engine/units"
)

// slow is how much slower than this machine a cheap phone is taken to be.
const slow = 6

// throttle makes the tab's processor so many times slower.
func (b *tab) throttle(times float64) {
	b.t.Helper()
	command(b, emulation.SetCPUThrottlingRate, emulation.SetCPUThrottlingRateParams{Rate: times})
}

// emptySite is the site with the one-button page in the planner's place: the
// same files around it, and nothing on the page before it runs.
func emptySite(b *testing.B, s site) site {
	b.Helper()
	program := filepath.Join(b.TempDir(), "empty.wasm")
	build := exec.Command("go", "build", "-trimpath", "-buildvcs=false", "-ldflags", "-s -w -buildid=", "-o", program, "./empty")
	build.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm")
	if out, err := build.CombinedOutput(); err != nil {
		b.Fatalf("the empty page: %v\n%s", err, out)
	}
	content, err := os.ReadFile(program)
	if err != nil {
		b.Fatal(err)
	}
	s = s.with(s.wasmPath(b), content)
	page := string(s[pagePath])
	from, to := strings.Index(page, `<div id="app"`), strings.Index(page, `<section id="paper"`)
	if from < 0 || to < from {
		b.Fatal("the page has no #app before #paper")
	}
	page = page[:from] + `<div id="app"></div>` + page[to:]
	return s.with(pagePath, []byte(page))
}

// median is the middle one; both middle ones' mean where there are two.
func median(of []float64) float64 {
	s := slices.Sorted(slices.Values(of))
	return (s[(len(s)-1)/2] + s[len(s)/2]) / 2
}

// noting makes window.ready a promise of the moment when the condition first
// holds, in ms since the navigation began, and window.painted one of the first
// paint. Asking over and over would cost the page what is measured.
func noting(condition string) string {
	return fmt.Sprintf(`window.ready = new Promise(tell => {
		new MutationObserver(() => { if (%s) tell(performance.now()) }).observe(document, {subtree: true, childList: true, attributes: true});
	});
	window.painted = new Promise(tell => {
		new PerformanceObserver(list => list.getEntriesByName("first-contentful-paint").forEach(e => tell(e.startTime))).observe({type: "paint", buffered: true});
	});`, condition)
}

// start measures one opening: when the page was ready, and when it first
// showed anything.
func (b *tab) start(h *host) (ready, paint float64) {
	b.t.Helper()
	b.throttle(slow)
	b.load(h, "")
	return eval[float64](b, `window.ready`), eval[float64](b, `window.painted`)
}

// BenchmarkStart is the first opening, and one without the host, against the
// empty page's.
func BenchmarkStart(b *testing.B) {
	s := built(b)
	h, empty := serve(b, s), serve(b, emptySite(b, s))
	var ready, paint, again, emptyReady, emptyPaint []float64
	for range b.N {
		for range 7 {
			p := newProfile(b)
			t := p.newTab()
			t.before(noting(`document.documentElement.dataset.run === "running"`))
			r, f := t.start(h)
			ready, paint = append(ready, r), append(paint, f)
			t.throttle(1)
			t.offlineReady()
			h.stop()
			r, _ = t.start(h)
			again = append(again, r)
			h.again()
			t.close()

			t = newProfile(b).newTab()
			t.before(noting(`document.getElementById("count")`))
			r, f = t.start(empty)
			emptyReady, emptyPaint = append(emptyReady, r), append(emptyPaint, f)
			t.close()
		}
	}
	b.ReportMetric(0, "ns/op")
	b.ReportMetric(median(ready), "ready-ms")
	b.ReportMetric(median(paint), "paint-ms")
	b.ReportMetric(median(again), "offline-ready-ms")
	b.ReportMetric(median(emptyReady), "empty-ready-ms")
	b.ReportMetric(median(emptyPaint), "empty-paint-ms")
	b.ReportMetric(median(ready)/median(emptyReady), "ready/empty")
	b.ReportMetric(median(paint)/median(ready), "paint/ready")
}

// stopwatch has window.arm() make window.took a promise of how long after the
// next event of a type the text of an element changes.
func stopwatch(event, selector string) string {
	return fmt.Sprintf(`{
		let begun, tell;
		window.arm = () => { begun = undefined; window.took = new Promise(done => { tell = done }); return true };
		addEventListener(%q, () => { begun = performance.now() }, true);
		new MutationObserver(() => { if (begun !== undefined) tell(performance.now() - begun) })
			.observe(document.querySelector(%q), {subtree: true, childList: true, characterData: true});
	} true`, event, selector)
}

// strokes does act so often and returns how long each took until what it
// changes stood on the page, in ms.
func (b *tab) strokes(n int, act func(i int)) []float64 {
	b.t.Helper()
	var took []float64
	for i := range n {
		eval[bool](b, `arm()`)
		act(i)
		took = append(took, eval[float64](b, `window.took`))
	}
	return took
}

// BenchmarkAnswer is a keystroke until the new answer stands above the form,
// with a plan of 20 loads.
func BenchmarkAnswer(b *testing.B) {
	s := built(b)
	h, empty := serve(b, s), serve(b, emptySite(b, s))
	p := household()
	p.Name = "Twenty"
	p.Loads = catalogued("cpap", "cpap-humidifier", "oxygen-5l", "fridge", "freezer-chest", "router", "phone", "lamp-led", "fridge-old", "lantern")
	for _, l := range p.Loads {
		l.Name += " upstairs"
		p.Loads = append(p.Loads, l)
	}
	t := newProfile(b).newTab()
	t.open(h, "")
	t.choose("#door-file", "plan.json", p.Encode())
	t.on("tonight")
	t.answer()
	at := slices.IndexFunc(p.Loads, func(l load.Load) bool { return l.Daily == 0 })
	t.show(fmt.Sprintf("load=%d", at))
	t.fill("load-watts", "40")
	t.until(`document.querySelector(".strip").checkVisibility()`)
	eval[bool](t, stopwatch("input", ".strip"))

	e := newProfile(b).newTab()
	e.load(empty, "")
	e.until(`document.getElementById("count")`)
	eval[bool](e, stopwatch("click", "#count"))

	for range b.N {
		t.throttle(slow)
		// 40, 400, 40, ...: each changes the hours.
		answers := t.strokes(40, func(i int) { t.key([]string{"0", kb.Backspace}[i%2]) })
		e.throttle(slow)
		clicks := e.strokes(40, func(int) { e.tap("#count") })
		b.ReportMetric(0, "ns/op")
		b.ReportMetric(median(answers), "answer-ms")
		b.ReportMetric(slices.Max(answers), "answer-worst-ms")
		b.ReportMetric(median(clicks), "empty-click-ms")
		b.ReportMetric(median(answers)/median(clicks), "answer/empty")
	}
}

// working is how long the tab's page has been at work so far, of any kind, by
// the browser's own count, in ms.
func (b *tab) working() float64 {
	b.t.Helper()
	for _, m := range command(b, performance.GetMetrics, cdp.Empty{}).Metrics {
		if m.Name == "TaskDuration" {
			return m.Value * 1e3
		}
	}
	b.t.Fatal("the browser does not count its work")
	return 0
}

// BenchmarkRest is what the open page costs that nobody touches, in a minute,
// before an outage and in one, against the empty page's; the second empty page
// tells how much of it is noise.
func BenchmarkRest(b *testing.B) {
	s := built(b)
	h, empty := serve(b, s), serve(b, emptySite(b, s))
	opened := func(p plan.Plan) *tab {
		t := newProfile(b).newTab()
		t.open(h, "")
		t.choose("#door-file", "plan.json", p.Encode())
		t.on("tonight")
		t.answer()
		t.offlineReady()
		t.settle()
		return t
	}
	blank := func() *tab {
		t := newProfile(b).newTab()
		t.load(empty, "")
		t.until(`document.getElementById("count")`)
		return t
	}
	out := household()
	out.Outage.UnderWay, out.Outage.Starts = true, plan.At(time.Now())
	tabs := []*tab{opened(household()), opened(out), blank(), blank()}
	for _, t := range tabs {
		command(t, performance.Enable, performance.EnableParams{})
	}
	const minute = 60 * time.Second
	for range b.N {
		time.Sleep(100 * time.Second) // the browser's own tidying after a page has opened is over by then
		var before, took [4]float64
		for i, t := range tabs {
			before[i] = t.working()
		}
		time.Sleep(minute)
		for i, t := range tabs {
			took[i] = t.working() - before[i]
		}
		b.ReportMetric(0, "ns/op")
		b.ReportMetric(took[0], "rest-ms/min")
		b.ReportMetric(took[1], "in-an-outage-ms/min")
		b.ReportMetric(took[2], "empty-ms/min")
		b.ReportMetric(took[3], "empty-again-ms/min")
	}
}

// BenchmarkKeystrokeWhileBusy is a keystroke on a load while the worker is at the
// heaviest errand that a plan can ask for.
func BenchmarkKeystrokeWhileBusy(b *testing.B) {
	h := serve(b, built(b))
	t := newProfile(b).newTab()
	// The errand is kept, to be begun again whenever it ends: a page that is left
	// gives its own up.
	t.before(`addEventListener("DOMContentLoaded", () => {
		const begin = window.candleclock?.worker;
		if (!begin) return; // the empty page before
		candleclock.worker = question => { window.question = question; return begin(question) };
		window.busy = () => {
			const worker = begin(question);
			worker.onmessage = ({data}) => {
				window.heard = (window.heard ?? 0) + 1;
				if (data === null) { worker.terminate(); busy() }
			};
		};
	})`)
	t.open(h, "")
	t.choose("#door-file", "plan.json", heaviest())
	t.on("tonight")
	t.answer()
	t.show("ahead")
	t.until(`window.question`)
	t.show("load=0")
	t.fill("load-watts", "40")
	t.until(`document.querySelector(".strip").checkVisibility()`)
	eval[bool](t, stopwatch("input", ".strip"))
	for range b.N {
		t.throttle(4)
		idle := t.strokes(20, func(i int) { t.key([]string{"0", kb.Backspace}[i%2]) })
		eval[bool](t, `busy(), true`)
		t.until(`window.heard > 0`)
		busy := t.strokes(40, func(i int) { t.key([]string{"0", kb.Backspace}[i%2]) })
		b.ReportMetric(0, "ns/op")
		b.ReportMetric(median(idle), "idle-ms")
		b.ReportMetric(median(busy), "busy-ms")
		b.ReportMetric(slices.Max(busy), "busy-worst-ms")
	}
}

// BenchmarkWhatToOwn is from asking what to own until the fine answer stands, for
// two days and for two weeks.
func BenchmarkWhatToOwn(b *testing.B) {
	h := serve(b, built(b))
	for range b.N {
		for _, days := range []int{2, 14} {
			p := choosing()
			p.Outage.Hours = units.Hours(24 * days)
			t := newProfile(b).newTab()
			t.opened(h, p)
			var took []float64
			for range 5 {
				t.show("own")
				begun := time.Now()
				t.refined()
				if says := t.text("#own-says"); strings.Contains(says, "rough") || !strings.Contains(says, "times in") {
					b.Fatalf("the fine answer: %q", says)
				}
				took = append(took, time.Since(begun).Seconds())
				t.show("supply")
			}
			b.ReportMetric(median(took), fmt.Sprintf("%d-days-s", days))
		}
		b.ReportMetric(0, "ns/op")
	}
}

// BenchmarkSize tells what of the site goes over the wire, and how large the
// single file is.
func BenchmarkSize(b *testing.B) {
	s, single := built(b), builtSingle(b)
	var table strings.Builder
	var raw, zipped, brotlied float64
	for range b.N {
		fmt.Fprintf(&table, "\n%9s %9s %9s  bytes", "raw", "gzip", "brotli")
		for _, p := range slices.Sorted(maps.Keys(s)) {
			g := packed(b, s[p], gzipped)
			r := packed(b, s[p], func(w io.Writer) (io.WriteCloser, error) {
				return brotli.NewWriterLevel(w, brotli.BestCompression), nil
			})
			fmt.Fprintf(&table, "\n%9d %9d %9d  %s", len(s[p]), g, r, p)
			raw, zipped, brotlied = raw+float64(len(s[p])), zipped+float64(g), brotlied+float64(r)
		}
		g := packed(b, single, gzipped)
		fmt.Fprintf(&table, "\n%9d %9d %9s  the single file", len(single), g, "")
		b.ReportMetric(float64(len(single)), "single-raw-B")
		b.ReportMetric(float64(g), "single-gzip-B")
	}
	fmt.Println(table.String()) // a log of a benchmark is cut off
	b.ReportMetric(0, "ns/op")
	b.ReportMetric(raw, "raw-B")
	b.ReportMetric(zipped, "gzip-B")
	b.ReportMetric(brotlied, "brotli-B")
}

func gzipped(w io.Writer) (io.WriteCloser, error) {
	return gzip.NewWriterLevel(w, gzip.BestCompression)
}

// packed is how many bytes content takes when packed.
func packed(b *testing.B, content []byte, packer func(io.Writer) (io.WriteCloser, error)) int {
	b.Helper()
	var out bytes.Buffer
	w, err := packer(&out)
	if err == nil {
		_, err = w.Write(content)
	}
	if err == nil {
		err = w.Close()
	}
	if err != nil {
		b.Fatal(err)
	}
	return out.Len()
}
