// Package pieces cuts what is too long for vugu's way to the page. vugu 0.4 hands
// its instructions over in a buffer of 16,384 bytes; an attribute, a property or
// a text that is longer than that ends the program. Content (InnerHTML) it cuts
// itself; the site's script (ui/cmd/site) joins both kinds of pieces again.
//
// It also leaves out what is too much for one letter: a line can't be broken
// within a letter and its marks, however wide they stand.
package pieces

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/vugu/vugu"
)

// Held is the name under which all pieces but the last come: no attribute and no
// property is called so. What came under it goes before the next attribute's or
// property's text.
const Held = "+"

// Most is the most bytes of one piece, a quarter of vugu's buffer.
const Most = 4096

// MarksMost is the most marks that are shown over one letter, and the most signs
// that are joined to one. No language needs more (from memory: Hebrew and Tibetan
// come to four or five).
const MarksMost = 6

// Cut cuts the long attributes and properties of all that is built, and thins
// the content. Cut again, they stay as they are.
func Cut(built *vugu.BuildResults) {
	if built.Out != nil {
		c := cutter{built}
		c.all(built.Out.Out)
	}
}

type cutter struct{ built *vugu.BuildResults }

func (c cutter) all(nodes []*vugu.VGNode) {
	for _, n := range nodes {
		c.node(n)
	}
}

func (c cutter) node(n *vugu.VGNode) {
	if n.IsComponent() {
		if out := c.built.ResultFor(n.Component); out != nil {
			c.all(out.Out)
		}
		return
	}
	if n.InnerHTML != nil {
		if thin := thinned(*n.InnerHTML); len(thin) < len(*n.InnerHTML) {
			n.InnerHTML = &thin
		}
	}
	for i, a := range n.Attr {
		if len(a.Val) > Most {
			n.Attr = attributes(n.Attr, i)
			break
		}
	}
	for i, p := range n.Prop {
		if len(p.JSONVal) > Most {
			n.Prop = properties(n.Prop, i)
			break
		}
	}
	for child := n.FirstChild; child != nil; child = child.NextSibling {
		c.node(child)
	}
}

// attributes and properties cut those from i on that are too long.
func attributes(all []vugu.VGAttribute, i int) []vugu.VGAttribute {
	out := append([]vugu.VGAttribute(nil), all[:i]...)
	for _, a := range all[i:] {
		for len(a.Val) > Most {
			n := end(a.Val)
			out = append(out, vugu.VGAttribute{Namespace: a.Namespace, Key: Held, Val: a.Val[:n]})
			a.Val = a.Val[n:]
		}
		out = append(out, a)
	}
	return out
}

func properties(all []vugu.VGProperty, i int) []vugu.VGProperty {
	out := append([]vugu.VGProperty(nil), all[:i]...)
	for _, p := range all[i:] {
		for len(p.JSONVal) > Most {
			n := end(string(p.JSONVal))
			out = append(out, vugu.VGProperty{Key: Held, JSONVal: p.JSONVal[:n:n]})
			p.JSONVal = p.JSONVal[n:]
		}
		out = append(out, p)
	}
	return out
}

const joiner = '\u200d' // makes one sign of those beside it

// thinned is a text without the marks and joiners of a letter beyond MarksMost.
func thinned(s string) string {
	if len(s) <= MarksMost || !strings.ContainsFunc(s, joins) {
		return s
	}
	marks, joined, last := 0, 0, ' '
	return strings.Map(func(r rune) rune {
		switch {
		case r == joiner:
			joined++
			if joined > MarksMost {
				return -1
			}
		case joins(r):
			marks++
			if marks > MarksMost {
				return -1
			}
		case last != joiner:
			marks, joined = 0, 0
		}
		last = r
		return r
	}, s)
}

// joins reports whether r stands on or at the letter before it. Below the first
// of the marks there is none.
func joins(r rune) bool { return r >= '\u0300' && (r == joiner || unicode.IsMark(r)) }

// end is where the first piece of a text that is too long ends, between two
// characters.
func end(s string) int {
	n := Most
	for n > Most-utf8.UTFMax && !utf8.RuneStart(s[n]) {
		n--
	}
	return n
}
