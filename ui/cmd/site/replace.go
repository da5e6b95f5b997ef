//go:build !wasm

package main

import (
	"bytes"
	"fmt"
)

// replacement is one exact change of a text.
type replacement struct {
	what     string // for errors
	old, new string
}

// replaceOnce makes all changes, in order, or fails: each old text must be
// there exactly once.
func replaceOnce(text []byte, changes ...replacement) ([]byte, error) {
	for _, c := range changes {
		if n := bytes.Count(text, []byte(c.old)); n != 1 {
			return nil, fmt.Errorf("%s: its place is there %d times, must be once:\n%s", c.what, n, c.old)
		}
		text = bytes.Replace(text, []byte(c.old), []byte(c.new), 1)
	}
	return text, nil
}
