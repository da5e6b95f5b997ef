// Package still writes a component as the HTML that it has at this moment, to be
// read where no program runs. What is typed and ticked stands in it; handlers are
// left out.
package still

import (
	"encoding/json"
	"fmt"
	"html"
	"strings"

	"github.com/vugu/vugu"
)

// HTML builds the component and returns it as HTML.
func HTML(component vugu.Builder) (string, error) {
	env, err := vugu.NewBuildEnv()
	if err != nil {
		return "", err
	}
	w := writer{built: env.RunBuild(component)}
	err = w.component(component)
	return w.out.String(), err
}

type writer struct {
	built *vugu.BuildResults
	out   strings.Builder
}

func (w *writer) component(c any) error {
	built := w.built.ResultFor(c)
	if built == nil || len(built.Out) != 1 {
		return fmt.Errorf("%T has not one root", c)
	}
	return w.node(built.Out[0])
}

func (w *writer) node(n *vugu.VGNode) error {
	switch {
	case n.IsComponent():
		return w.component(n.Component)
	case n.IsTemplate():
		return w.children(n)
	case n.Type == vugu.TextNode:
		w.out.WriteString(html.EscapeString(n.Data))
		return nil
	case n.Type != vugu.ElementNode:
		return nil // a comment says nothing to anyone
	}
	w.out.WriteString("<" + n.Data)
	for _, a := range n.Attr {
		w.out.WriteString(" " + a.Key + `="` + html.EscapeString(a.Val) + `"`)
	}
	typed, ticked, err := state(n)
	if err != nil {
		return err
	}
	switch {
	case n.Data == "textarea":
		w.out.WriteString(">" + html.EscapeString(typed) + "</textarea>")
		return nil
	case typed != "":
		w.out.WriteString(` value="` + html.EscapeString(typed) + `"`)
	case ticked:
		w.out.WriteString(` checked=""`)
	}
	w.out.WriteString(">")
	if childless[n.Data] {
		return nil
	}
	if n.InnerHTML != nil { // vugu has escaped it
		w.out.WriteString(*n.InnerHTML)
	} else if err := w.children(n); err != nil {
		return err
	}
	w.out.WriteString("</" + n.Data + ">")
	return nil
}

// state is what is typed into a field, or whether it is ticked: for a program
// properties, without one its attributes or its content.
func state(n *vugu.VGNode) (typed string, ticked bool, err error) {
	if n.Data != "input" && n.Data != "textarea" {
		return "", false, nil
	}
	for _, p := range n.Prop {
		switch p.Key {
		case "value":
			err = json.Unmarshal(p.JSONVal, &typed)
		case "checked":
			err = json.Unmarshal(p.JSONVal, &ticked)
		}
		if err != nil {
			return "", false, fmt.Errorf("%s of <%s>: %w", p.Key, n.Data, err)
		}
	}
	return typed, ticked, nil
}

func (w *writer) children(n *vugu.VGNode) error {
	for c := n.FirstChild; c != nil; c = c.NextSibling {
		if err := w.node(c); err != nil {
			return err
		}
	}
	return nil
}

// childless are the elements in use that have no end tag (HTML, void elements).
var childless = map[string]bool{"br": true, "hr": true, "img": true, "input": true}
