package still

import (
	"testing"

	"github.com/vugu/vugu"
)

// shown is a component built by hand.
type shown struct{ root *vugu.VGNode }

func (s *shown) Build(*vugu.BuildIn) *vugu.BuildOut {
	return &vugu.BuildOut{Out: []*vugu.VGNode{s.root}}
}

func element(name string, children ...*vugu.VGNode) *vugu.VGNode {
	n := &vugu.VGNode{Type: vugu.ElementNode, Data: name}
	for _, c := range children {
		n.AppendChild(c)
	}
	return n
}

func text(s string) *vugu.VGNode { return &vugu.VGNode{Type: vugu.TextNode, Data: s} }

// field is an element with properties; their values are in JSON.
func field(name string, props ...string) *vugu.VGNode {
	n := element(name)
	for i := 0; i < len(props); i += 2 {
		n.Prop = append(n.Prop, vugu.VGProperty{Key: props[i], JSONVal: []byte(props[i+1])})
	}
	return n
}

func TestHTML(t *testing.T) {
	named := element("p")
	named.SetInnerHTML(`</p><!-- "A&B"`)
	link := element("a", text("x < y"))
	link.Attr = []vugu.VGAttribute{{Key: "title", Val: `"><script>`}, {Key: "hidden"}}
	link.Prop = []vugu.VGProperty{{Key: "value", JSONVal: []byte(`"x"`)}}
	for _, c := range []struct {
		what string
		root *vugu.VGNode
		want string
	}{
		{"text is escaped", element("p", text(`<b>&"`)), `<p>&lt;b&gt;&amp;&#34;</p>`},
		{"so is content", named, `<p>&lt;/p&gt;&lt;!-- &#34;A&amp;B&#34;</p>`},
		{"so are attributes; what is no field has no value", link, `<a title="&#34;&gt;&lt;script&gt;" hidden="">x &lt; y</a>`},
		{"what has no end tag", element("p", element("br"), element("input")), `<p><br><input></p>`},
		{"what is typed", field("input", "value", `"<\"1"`), `<input value="&lt;&#34;1">`},
		{"and in many lines", field("textarea", "value", `"a\n</textarea>"`), "<textarea>a\n&lt;/textarea&gt;</textarea>"},
		{"what is ticked", element("p", field("input", "checked", "true"), field("input", "checked", "false")), `<p><input checked=""><input></p>`},
		{"a template is its children", element("p", element("", text("a"), element("b"))), `<p>a<b></b></p>`},
		{"a comment is left out", element("p", &vugu.VGNode{Type: vugu.CommentNode, Data: "x"}), `<p></p>`},
	} {
		if got, err := HTML(&shown{c.root}); err != nil || got != c.want {
			t.Errorf("%s: got %q, %v; want %q", c.what, got, err, c.want)
		}
	}
	if got, err := HTML(&shown{field("input", "value", "1")}); err == nil {
		t.Errorf("a value that is no text: %q", got)
	}
	if got, err := HTML(&shown{&vugu.VGNode{Component: &shown{}}}); err == nil {
		t.Errorf("a component that was not built: %q", got)
	}
}
