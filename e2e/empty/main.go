//go:build js && wasm

// Command empty is a page with one button, as small as this way of building
// pages allows: what the benchmarks measure the planner against. It is no part
// of the site.
package main

import (
	"strconv"

	"github.com/vugu/vugu"
	"github.com/vugu/vugu/domrender"
)

// button counts how often it was clicked.
type button struct{ clicks int }

// Build is described at vugu.Builder.
func (b *button) Build(in *vugu.BuildIn) *vugu.BuildOut {
	n := &vugu.VGNode{Type: vugu.ElementNode, Data: "button", Attr: []vugu.VGAttribute{{Key: "id", Val: "count"}}}
	n.SetInnerHTML(vugu.HTML(strconv.Itoa(b.clicks)))
	n.DOMEventHandlerSpecList = append(n.DOMEventHandlerSpecList, vugu.DOMEventHandlerSpec{
		EventType: "click",
		Func:      func(vugu.DOMEvent) { b.clicks++ },
	})
	root := &vugu.VGNode{Type: vugu.ElementNode, Data: "div", Attr: []vugu.VGAttribute{{Key: "id", Val: "app"}}}
	root.AppendChild(n)
	return &vugu.BuildOut{Out: []*vugu.VGNode{root}}
}

func main() {
	renderer, err := domrender.New("#app")
	if err != nil {
		panic(err)
	}
	builder, err := vugu.NewBuildEnv(renderer.EventEnv())
	if err != nil {
		panic(err)
	}
	root := new(button)
	for ok := true; ok; ok = renderer.EventWait() {
		if err := renderer.Render(builder.RunBuild(root)); err != nil {
			panic(err)
		}
	}
}
