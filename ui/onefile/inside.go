package onefile

import (
	"errors"
	"html"
	"strings"

	"candleclock/engine/plan"
)

// Inside is what goes into the file besides the program.
type Inside struct {
	Home string // address of the site that the plan was made on; "" for none
	Plan []byte // a plan file, JSON
	Card string // the card as HTML, for where no script runs; "" for none
}

// Fill puts a plan into a file that Make made, in place of what is in it. Its
// errors are words for the person.
func Fill(file []byte, in Inside) ([]byte, error) {
	text := string(file)
	home := ""
	if in.Home != "" {
		home = ` data-home="` + html.EscapeString(in.Home) + `"`
	}
	inside := inert.Replace(string(in.Plan))
	if len(inside) > plan.MostBytes {
		return nil, errors.New("the plan is too big for it")
	}
	text, err := between(text, planOpens, scriptCloses, home+">"+inside)
	if err != nil {
		return nil, err
	}
	text, err = between(text, cardOpens, cardCloses, in.Card)
	return []byte(text), err
}

// between puts content between two marks. The first must be there once.
func between(text, opens, closes, content string) (string, error) {
	before, rest, _ := strings.Cut(text, opens)
	_, after, found := strings.Cut(rest, closes)
	if !found || strings.Contains(after, opens) {
		return "", errors.New("this is not a one-file page: it must have " + opens + " once")
	}
	return before + opens + content + closes + after, nil
}

// inert writes JSON so that nothing in it means anything to HTML or to script.
// The signs stand only within its strings, where the escapes mean the same.
var inert = strings.NewReplacer("<", `\u003c`, ">", `\u003e`, "&", `\u0026`, "\u2028", `\u2028`, "\u2029", `\u2029`)
