package ui

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"candleclock/engine/load"
	"candleclock/engine/plan"
	"candleclock/ui/shelf"
)

func mustLoad(t testing.TB, d *disk) shelf.Contents {
	t.Helper()
	c, err := shelf.New(&d.Memory).Load()
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func names(w *world) []string {
	var out []string
	for _, b := range w.app.books {
		out = append(out, b.Name())
	}
	return out
}

// What is changed while a save is under way is saved by the next one.
func TestEditDuringSave(t *testing.T) {
	d := new(disk)
	w := planned(t, d)
	w.visit("supply")
	f := w.field("supply-capacity")
	w.do(func() { w.app.TypeText(f, "2000") }) // its save waits
	w.do(func() { w.app.TypeText(f, "2001") })
	w.do(func() { w.app.TypeText(f, "2002") })
	if len(w.queue) != 1 {
		t.Errorf("%d saves of one plan at once", len(w.queue))
	}
	w.run()
	if got := d.mustPlans(t)[0].Supply.Battery.Capacity; got != 2002 {
		t.Errorf("%v Wh are stored, want 2002", got)
	}
	if w.app.Kept() != wSaved+"." {
		t.Errorf("kept: %q", w.app.Kept())
	}
}

// A save whose answer is lost, and what follows, make no second plan.
func TestLostAnswer(t *testing.T) {
	d := new(disk)
	w := planned(t, d)
	w.visit("supply")
	for i, size := range []string{"1500", "1600", "1700"} {
		if i < 2 {
			d.lose = ErrStoreLost
		}
		f := w.field("supply-capacity")
		w.act(func() { w.app.TypeText(f, size) })
	}
	w.act(w.onWake)
	got := d.mustPlans(t)
	if len(got) != 1 || got[0].Supply.Battery.Capacity != 1700 || w.app.Trouble() != "" {
		t.Errorf("%d plans are stored, the first with %v Wh; told %q", len(got), got[0].Supply.Battery.Capacity, w.app.Trouble())
	}
}

// Two pages change one plan: both versions are kept and the person is told.
func TestConflict(t *testing.T) {
	d := new(disk)
	one := planned(t, d)
	two := openPage(t, d)
	two.visit("supply")
	two.typeIn("supply-capacity", "3000")
	// one has not heard of it yet.
	one.visit("supply")
	one.typeIn("supply-capacity", "4000")
	sizes := map[float64]bool{}
	for _, p := range d.mustPlans(t) {
		sizes[float64(p.Supply.Battery.Capacity)] = true
	}
	if len(sizes) != 2 || !sizes[3000] || !sizes[4000] {
		t.Errorf("stored are %v, want 3000 and 4000 Wh", sizes)
	}
	if one.app.News() == "" {
		t.Error("the conflict is not told")
	}
	if got := one.app.book.Plan.Supply.Battery.Capacity; got != 4000 {
		t.Errorf("in view are %v Wh, want those typed here", got)
	}
	if n := names(one); len(n) != 2 || n[0] == n[1] {
		t.Errorf("plans here: %q", n)
	}
}

// Another page's change comes into view, unless this page has its own.
func TestNewsFromAnotherPage(t *testing.T) {
	d := new(disk)
	one := planned(t, d)
	two := openPage(t, d)
	two.visit("supply")
	two.typeIn("supply-capacity", "3000")
	one.act(func() { one.onTell(two.told[len(two.told)-1]) })
	if got := one.app.book.Plan.Supply.Battery.Capacity; got != 3000 || one.app.News() == "" {
		t.Errorf("heard: %v Wh in view, told %q", got, one.app.News())
	}
	if len(d.mustPlans(t)) != 1 {
		t.Errorf("%d plans are stored", len(d.mustPlans(t)))
	}
	for _, word := range []string{"", "plan", "plan ", "plan nobody", "plan " + strings.Repeat("x", 10000), "nonsense", "plan \x00"} {
		one.act(func() { one.onTell(word) })
	}

	// Its own unsaved changes are not written over.
	one.visit("supply")
	f := one.field("supply-capacity")
	d.fail = ErrStoreLost
	one.act(func() { one.app.TypeText(f, "5000") })
	d.fail = nil
	two.typeIn("supply-capacity", "6000")
	one.act(func() { one.onTell(two.told[len(two.told)-1]) })
	if got := one.app.book.Plan.Supply.Battery.Capacity; got != 5000 {
		t.Errorf("what was typed here became %v Wh", got)
	}
	one.act(one.onWake)
	if n := len(d.mustPlans(t)); n != 2 {
		t.Errorf("%d plans are stored, want both versions", n)
	}
}

// What another page stored does not come into view over a change made here whose
// save is under way: both are kept.
func TestNewsDuringSave(t *testing.T) {
	d := new(disk)
	one := planned(t, d)
	two := openPage(t, d)
	two.visit("supply")
	two.typeIn("supply-capacity", "3000")
	one.visit("supply")
	f := one.field("supply-capacity")
	one.do(func() { one.app.TypeText(f, "4000") }) // its save waits
	one.do(func() { one.onTell(two.told[len(two.told)-1]) })
	if len(one.queue) != 2 {
		t.Fatalf("%d things wait, want the save and the reading", len(one.queue))
	}
	slices.Reverse(one.queue)
	one.run()
	if got := one.app.book.Plan.Supply.Battery.Capacity; got != 4000 {
		t.Errorf("in view are %v Wh, want those typed here", got)
	}
	sizes := map[float64]bool{}
	for _, p := range d.mustPlans(t) {
		sizes[float64(p.Supply.Battery.Capacity)] = true
	}
	if len(sizes) != 2 || !sizes[3000] || !sizes[4000] {
		t.Errorf("stored are %v, want 3000 and 4000 Wh", sizes)
	}
}

// A plan that another page goes on saving while it is removed here is gone all
// the same.
func TestRemovedWhileSavedElsewhere(t *testing.T) {
	d := new(disk)
	w := planned(t, d)
	id := w.app.book.ID
	saves := 0
	d.before = func(keys []string) {
		if saves == 2 || !slices.ContainsFunc(keys, func(k string) bool { return strings.Contains(k, id) }) {
			return
		}
		s := shelf.New(&d.Memory)
		c, err := s.Load()
		if err != nil {
			t.Fatal(err)
		}
		for _, p := range c.Plans {
			if _, err := s.Save(p.ID, p.Revision, append(p.Data, ' ')); err != nil {
				t.Fatal(err)
			}
			saves++
		}
	}
	w.visit("more")
	w.act(w.app.RemoveBook)
	if n := len(d.mustPlans(t)); n != 0 || saves != 2 {
		t.Errorf("after %d saves elsewhere %d plans are stored, want none after 2", saves, n)
	}
}

// Removed on another page: it goes here too, and what can be undone of it does
// not fall upon another plan.
func TestRemovedElsewhere(t *testing.T) {
	d := new(disk)
	one := planned(t, d)
	id := one.app.book.ID
	one.visit("more")
	one.act(one.app.NewBook)
	other := one.app.book.ID
	one.act(func() { one.app.AddFound("router") })
	one.act(func() { one.app.ShowBook(id) })
	one.act(one.app.PowerOut)
	two := openPage(t, d)
	two.act(func() { two.app.ShowBook(id) })
	two.visit("more")
	two.act(two.app.RemoveBook)
	one.act(func() { one.onTell(two.told[len(two.told)-1]) })
	if one.app.book == nil || one.app.book.ID != other {
		t.Fatalf("in view is %q", one.app.PlanName())
	}
	before := string(one.app.book.Plan.Encode())
	one.act(one.app.Undo)
	if string(one.app.book.Plan.Encode()) != before {
		t.Error("undo put a part of the plan that is gone into another one")
	}
	if len(d.mustPlans(t)) != 1 {
		t.Errorf("%d plans are stored, want 1", len(d.mustPlans(t)))
	}
}

// A plan removed while its save is under way does not come back.
func TestRemoveDuringSave(t *testing.T) {
	for _, order := range []string{"save first", "removal first"} {
		for _, fresh := range []bool{false, true} {
			d := new(disk)
			w := openPage(t, d)
			w.do(w.app.PlanAhead)
			if !fresh {
				w.run()
				w.do(func() { w.app.AddFound("fridge") })
			}
			w.do(w.app.RemoveBook)
			if order == "removal first" {
				for i, j := 0, len(w.queue)-1; i < j; i, j = i+1, j-1 {
					w.queue[i], w.queue[j] = w.queue[j], w.queue[i]
				}
			}
			w.run()
			if n := len(d.mustPlans(t)); n != 0 {
				t.Errorf("%s, never saved before: %v: %d plans are stored", order, fresh, n)
			}
			if w.app.Trouble() != "" || len(w.app.books) != 0 {
				t.Errorf("%s: told %q, plans here %q", order, w.app.Trouble(), names(w))
			}
		}
	}
}

func TestRemoveAndUndoIsKept(t *testing.T) {
	d := new(disk)
	w := planned(t, d)
	w.visit("more")
	w.act(w.app.RemoveBook)
	if n := len(d.mustPlans(t)); n != 0 {
		t.Errorf("removed, and %d are stored", n)
	}
	w.act(w.app.Undo)
	if got := d.mustPlans(t); len(got) != 1 || len(got[0].Loads) != 3 {
		t.Errorf("undone: stored are %d plans", len(got))
	}
}

// A plan of a newer version is listed, not opened, and its bytes stay.
func TestSealed(t *testing.T) {
	d := new(disk)
	newer := []byte(`{"candleclock": 7, "name": "Tomorrow", "wonder": [1, 2]}`)
	if _, err := shelf.New(d).Save("ffff", 0, newer); err != nil {
		t.Fatal(err)
	}
	w := openPage(t, d)
	if w.app.HasBook() || w.app.Page() != pageDoors {
		t.Errorf("page %q, in view %q", w.app.Page(), w.app.PlanName())
	}
	w.act(w.app.PlanAhead)
	w.visit("more")
	rows := w.app.BookRows()
	if len(rows) != 2 {
		t.Fatalf("%d plans are listed", len(rows))
	}
	w.html()
	for _, r := range rows {
		if r.Sealed {
			w.act(func() { w.app.ShowBook(r.ID) })
			if w.app.book.Sealed != nil {
				t.Error("a sealed plan is in view")
			}
			w.act(func() { w.app.SaveSealed(r.ID) })
		}
	}
	if len(w.files) != 1 || !bytes.Equal(w.files[0].data, newer) {
		t.Errorf("saved as a file: %q", w.files)
	}
	w.act(w.onWake)
	for _, p := range mustLoad(t, d).Plans {
		if p.ID == "ffff" && !bytes.Equal(p.Data, newer) {
			t.Errorf("its bytes are now %q", p.Data)
		}
	}
}

// A damaged newest version is told of, the one before opened, and the damaged
// bytes can be saved and cleared away.
func TestDamaged(t *testing.T) {
	d := new(disk)
	w := planned(t, d)
	w.visit("supply")
	w.typeIn("supply-capacity", "2000")
	id := w.app.book.ID
	latest := mustLoad(t, d).Plans[0].Data
	damage := func(whole bool) {
		all, _ := d.Memory.All("shelf/plan/" + id)
		for key, raw := range all {
			if whole || bytes.Contains(raw, latest) {
				raw[len(raw)/2] ^= 1
				if err := d.Memory.Txn([]string{key}, func(map[string][]byte) (map[string][]byte, error) {
					return map[string][]byte{key: raw}, nil
				}); err != nil {
					t.Fatal(err)
				}
			}
		}
	}
	damage(false)
	w = openPage(t, d)
	if !w.app.HasBook() || w.app.News() == "" || len(w.app.Aside()) != 1 {
		t.Fatalf("in view: %v, told %q, %d aside", w.app.HasBook(), w.app.News(), len(w.app.Aside()))
	}
	w.visit("more")
	w.html()
	a := w.app.Aside()[0]
	w.act(func() { w.app.SaveAside(a) })
	if len(w.files) != 1 || len(w.files[0].data) == 0 {
		t.Error("the damaged bytes were not handed over")
	}
	w.act(func() { w.app.DropAside(a) })
	if len(w.app.Aside()) != 0 || len(mustLoad(t, d).Aside) != 0 {
		t.Error("cleared away, and still there")
	}

	d.spare, d.last = pocket{none: true}, pocket{}
	damage(true)
	w = openPage(t, d)
	if w.app.HasBook() || w.app.News() == "" {
		t.Errorf("all damaged: in view %q, told %q", w.app.PlanName(), w.app.News())
	}
}

// A copy, a file and a plan set aside of the longest name can be read again.
func TestLongNames(t *testing.T) {
	for _, name := range []string{strings.Repeat("n", plan.NameMost), strings.Repeat("ü", plan.NameMost), "Löwe 🦁" + strings.Repeat("🕯", plan.NameMost-6)} {
		d := new(disk)
		w := planned(t, d)
		w.visit("more")
		w.typeIn("plan-name", name)
		if w.app.book.Plan.Name != name {
			t.Fatalf("a name of %d letters is not taken", plan.NameMost)
		}
		for range 12 {
			w.act(w.app.CopyBook)
		}
		seen := map[string]bool{}
		for _, p := range d.mustPlans(t) {
			seen[p.Name] = true
		}
		if len(seen) != 13 {
			t.Errorf("13 plans have %d names", len(seen))
		}
	}
	d := new(disk)
	w := openPage(t, d)
	w.act(w.app.PlanAhead)
	long := strings.Repeat("n", load.NameMost)
	w.app.book.Plan.Loads = []load.Load{{Name: long, Rank: "useful", Outlet: "ac", Count: 1, Running: 5, Duty: 1, PowerFactor: 1, Basis: "label"}}
	if got := freeLoadName(w.app.book.Plan.Loads, long); len([]rune(got)) > load.NameMost || got == long {
		t.Errorf("a free name beside the longest: %q", got)
	}
}

func TestManyPlans(t *testing.T) {
	d := new(disk)
	w := openPage(t, d)
	w.act(w.app.PlanAhead)
	for range shelf.MostPlans + 2 {
		w.act(w.app.NewBook)
	}
	if n := len(w.app.books); n != shelf.MostPlans || w.app.Trouble() != "" || w.app.News() == "" {
		t.Errorf("%d plans here, told %q, trouble %q", n, w.app.News(), w.app.Trouble())
	}
	w.visit("more")
	w.act(w.app.CopyBook)
	if n := len(w.app.books); n != shelf.MostPlans {
		t.Errorf("copied: %d plans here", n)
	}
	other := w.app.book.Plan
	other.ID = newID()
	w.act(w.app.OpenFile)
	w.act(func() { w.accept("plan.json", other.Encode(), nil) })
	if n := len(w.app.books); n != shelf.MostPlans || !strings.Contains(w.app.News(), wTooMany) {
		t.Errorf("a file opened: %d plans here, told %q", n, w.app.News())
	}
	if n := len(d.mustPlans(t)); n != shelf.MostPlans {
		t.Errorf("%d plans are stored", n)
	}
	checkPage(t, w.html())
}

func TestManyLoads(t *testing.T) {
	d := new(disk)
	w := openPage(t, d)
	w.act(w.app.PlanAhead)
	for range plan.MostLoads {
		w.do(func() { w.app.AddFound("lamp-led") })
	}
	w.run()
	w.act(func() { w.app.AddFound("lamp-led") })
	w.act(w.app.AddOwn)
	w.visit("out")
	w.tick("out-fridge", true)
	w.typeIn("out-other", "60")
	if n := len(w.app.book.Plan.Loads); n > plan.MostLoads {
		t.Errorf("%d loads", n)
	}
	w.visit("supply")
	w.typeIn("supply-capacity", "100000")
	for _, page := range []string{"tonight", "loads", "load=199", "add"} {
		w.visit(page)
		checkPage(t, w.html())
	}
	if n := len(d.mustPlans(t)[0].Loads); n != plan.MostLoads {
		t.Errorf("%d loads are stored", n)
	}
}

func TestFiles(t *testing.T) {
	d := new(disk)
	w := planned(t, d)
	w.visit("more")
	w.act(w.app.SaveFile)
	if len(w.files) != 1 || !strings.HasSuffix(w.files[0].name, ".json") {
		t.Fatalf("saved: %+v", w.files)
	}
	file := w.files[0].data
	w.act(w.app.OpenFile)
	w.act(func() { w.accept("plan.json", file, nil) })
	if len(w.app.books) != 1 || w.app.Page() != pageLook || !w.app.Looking().Equal() {
		t.Fatalf("opened: %q, page %q", names(w), w.app.Page())
	}
	w.act(w.app.KeepCopy)
	if len(w.app.books) != 2 || w.app.Page() != pageTonight || !w.app.CanUndo() {
		t.Fatalf("opened: %q, page %q", names(w), w.app.Page())
	}
	if n := names(w); plan.SameName(n[0], n[1]) {
		t.Errorf("two plans of one name: %q", n)
	}
	ids := map[string]bool{}
	for _, p := range d.mustPlans(t) {
		ids[p.ID] = true
	}
	if len(ids) != 2 {
		t.Error("the plan from the file has the id of the one here")
	}
	w.act(w.app.Undo)
	if len(w.app.books) != 1 || len(d.mustPlans(t)) != 1 {
		t.Errorf("undone: %q", names(w))
	}

	long := strings.Replace(string(file), `"My household"`, fmt.Sprintf("%q", strings.Repeat("n", plan.NameMost)), 1)
	for range 2 {
		w.act(w.app.OpenFile)
		w.act(func() { w.accept("plan.json", []byte(long), nil) })
		w.act(w.app.KeepCopy)
	}
	d.mustPlans(t)
	before := len(w.app.books)
	for name, bad := range map[string][]byte{
		"empty":    {},
		"text":     []byte("hello"),
		"half":     file[:len(file)/2],
		"list":     []byte("[1,2,3]"),
		"newer":    []byte(`{"candleclock": 2}`),
		"range":    []byte(strings.Replace(string(file), `"capacity_wh": 1000`, `"capacity_wh": -5`, 1)),
		"too much": bytes.Repeat([]byte(" "), plan.MostBytes+1),
		"bidi":     []byte(strings.Replace(string(file), "My household", "My \u202ehousehold", 1)),
	} {
		w.visit("more")
		w.act(w.app.OpenFile)
		w.act(func() { w.accept("plan.json", bad, nil) })
		if noPlan := name == "text" || name == "half"; noPlan != strings.HasSuffix(w.app.News(), wFileNoPlan) && name != "empty" {
			t.Errorf("%s: it says %q", name, w.app.News())
		}
		if len(w.app.books) != before || w.app.News() == "" {
			t.Errorf("%s: %d plans here, told %q", name, len(w.app.books), w.app.News())
		}
		checkPage(t, w.html())
	}
	w.act(w.app.OpenFile)
	w.act(func() { w.accept("plan.json", nil, errBroken) })
	if !strings.Contains(w.app.News(), "roken") {
		t.Errorf("a file that can't be read: told %q", w.app.News())
	}
	for _, name := range []string{"", "../../etc", "CON", "a/b\\c:d", "ü", "\u202e", "-"} {
		got := fileName(name, "json")
		if strings.ContainsAny(got, `/\:`) || strings.HasPrefix(got, ".") || strings.HasPrefix(got, "-") {
			t.Errorf("%q is saved as %q", name, got)
		}
	}
	// Whatever it is written in, a plan's file can be told from others.
	for name, want := range map[string]string{
		"Home 2":                 "home-2",
		"Дом у реки":             "дом-у-реки",
		"海邊小屋":                   "海邊小屋",
		"بيت البحر":              "بيت-البحر",
		"घर":                     "घर",
		"Café Ü":                 "café-ü",
		"🔋🔋":                     "plan",
		"\u0301\u0301":           "plan",
		"a\u202eb\u2067c\u0000d": "a-b-c-d",
		strings.Repeat("電", 60):  strings.Repeat("電", 60),
		strings.Repeat("𐐷", 60):  strings.Repeat("𐐷", 45),
	} {
		got := fileName(name, "json")
		if got != want+".candleclock.json" || len(got) > 220 || !utf8.ValidString(got) {
			t.Errorf("%q is saved as %q, want %q", name, got, want)
		}
	}
}
