package pieces

import (
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/vugu/vugu"
)

// shown is a component built by hand; within it may be another.
type shown struct {
	root   *vugu.VGNode
	within []vugu.Builder
}

func (s *shown) Build(*vugu.BuildIn) *vugu.BuildOut {
	return &vugu.BuildOut{Out: []*vugu.VGNode{s.root}, Components: s.within}
}

// joined is the attributes and properties of a node as the page's script has them.
func joined(t *testing.T, n *vugu.VGNode) (out [][2]string) {
	t.Helper()
	held := ""
	put := func(key, value string) {
		if len(value) > Most || !utf8.ValidString(value) {
			t.Errorf("%s: a piece of %d bytes, in whole characters: %v", key, len(value), utf8.ValidString(value))
		}
		if held += value; key != Held {
			out = append(out, [2]string{key, held})
			held = ""
		}
	}
	for _, a := range n.Attr {
		put(a.Key, a.Val)
	}
	for _, p := range n.Prop {
		put(p.Key, string(p.JSONVal))
	}
	if held != "" {
		t.Errorf("%d bytes are held for nothing", len(held))
	}
	return out
}

// However long a text and whatever its letters, it comes whole and in its order,
// in pieces that fit; in components within components too, and twice over.
func TestCut(t *testing.T) {
	for _, letter := range []string{"a", "ж", "電", "🔋", "aж電🔋"} {
		for _, length := range []int{0, 1, Most - 3, Most - 1, Most, Most + 1, Most + 3, 5 * Most, 100000} {
			text := strings.Repeat(letter, length/len(letter)+1)
			inner := &shown{root: &vugu.VGNode{Type: vugu.ElementNode, Data: "textarea"}}
			inner.root.Attr = []vugu.VGAttribute{{Key: "id", Val: "x"}, {Key: "d", Val: text}, {Key: "title", Val: text + "!"}}
			inner.root.Prop = []vugu.VGProperty{{Key: "checked", JSONVal: []byte("true")}, {Key: "value", JSONVal: []byte(`"` + text + `"`)}, {Key: "open", JSONVal: []byte("false")}}
			outer := &shown{root: &vugu.VGNode{Type: vugu.ElementNode, Data: "div"}, within: []vugu.Builder{inner}}
			outer.root.AppendChild(&vugu.VGNode{Component: inner})
			env, err := vugu.NewBuildEnv()
			if err != nil {
				t.Fatal(err)
			}
			built := env.RunBuild(outer)
			want := [][2]string{{"id", "x"}, {"d", text}, {"title", text + "!"}, {"checked", "true"}, {"value", `"` + text + `"`}, {"open", "false"}}
			for range 2 {
				Cut(built)
				got := joined(t, inner.root)
				if len(got) != len(want) {
					t.Fatalf("%d bytes of %q: %d came of %d", len(text), letter, len(got), len(want))
				}
				for i := range want {
					if got[i] != want[i] {
						t.Errorf("%d bytes of %q: %s came as %s, with %d bytes", len(text), letter, want[i][0], got[i][0], len(got[i][1]))
					}
				}
			}
		}
	}
}

// What people write stays as it is; what is heaped on one letter is thinned, so
// that a line can be broken beside it.
func TestMarksAreBounded(t *testing.T) {
	for _, c := range []struct{ what, text, want string }{
		{"plain", "Lamp &amp; café", "Lamp &amp; café"},
		{"two marks a letter, many letters", strings.Repeat("e\u0323\u0302", 20), strings.Repeat("e\u0323\u0302", 20)},
		{"pointed Hebrew", "בְּרֵאשִׁ֖ית", "בְּרֵאשִׁ֖ית"},
		{"Devanagari", "बिजली का पंखा", "बिजली का पंखा"},
		{"a family of four", "👨\u200d👩\u200d👧\u200d👦", "👨\u200d👩\u200d👧\u200d👦"},
		{"58 marks over one letter", "a" + strings.Repeat("\u0301", 58) + "b\u0301", "a" + strings.Repeat("\u0301", 6) + "b\u0301"},
		{"20 signs joined to one", strings.Repeat("🔋\u200d", 19) + "🔋", strings.Repeat(strings.Repeat("🔋\u200d", 6)+"🔋", 2) + strings.Repeat("🔋\u200d", 5) + "🔋"},
		{"marks on joined signs", strings.Repeat("🔋\ufe0f\u200d", 9), strings.Repeat("🔋\ufe0f\u200d", 6) + "🔋" + strings.Repeat("🔋\ufe0f\u200d", 2)},
	} {
		name := &shown{root: &vugu.VGNode{Type: vugu.ElementNode, Data: "p", InnerHTML: &c.text}}
		env, err := vugu.NewBuildEnv()
		if err != nil {
			t.Fatal(err)
		}
		built := env.RunBuild(name)
		for range 2 {
			Cut(built)
			if got := *name.root.InnerHTML; got != c.want {
				t.Errorf("%s: %q is shown as %q, want %q", c.what, c.text, got, c.want)
			}
		}
	}
}
