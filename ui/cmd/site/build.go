//go:build !wasm

package main

import (
	"crypto/sha256"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"

	"candleclock/ui/onefile"
)

// inputs are the places that a site is put together from.
type inputs struct {
	wasm   string // the compiled program
	public string // files and templates
	goroot string // has lib/wasm/wasm_exec.js
	vugu   string // has domrender/renderer-js-script.js
}

// site is the files of a site by their path, with "/" between folders.
type site map[string][]byte

// Templates in public, filled in rather than copied.
const (
	pagePath   = "index.html"
	workerPath = "sw.js"
)

// errandPath is the script of the page's own worker in public.
const errandPath = "errand.js"

// build writes the site made of in to the new folder out, and the same page as a
// single file.
func build(out, single string, in inputs) error {
	s, err := readFolder(in.public)
	if err != nil {
		return err
	}
	program, err := os.ReadFile(in.wasm)
	if err != nil {
		return err
	}
	// The name changes with the program, so that a page and a program of two
	// versions never meet: while a host is half-way through a deploy, the
	// program is not found and the page says so.
	wasm := fmt.Sprintf("candleclock-%.8x.wasm", sha256.Sum256(program))
	s[wasm] = program

	// wasm_exec.js must be of the Go that compiled the program.
	s["wasm_exec.js"], err = os.ReadFile(filepath.Join(in.goroot, "lib", "wasm", "wasm_exec.js"))
	if err != nil {
		return err
	}
	s["vugu.js"], err = vuguScript(in.vugu)
	if err != nil {
		return err
	}
	// It brings Go's script along and has its content in its name, as the
	// program has: it must fit the page that starts it.
	script := slices.Concat(s["wasm_exec.js"], s[errandPath])
	errand := fmt.Sprintf("errand-%.8x.js", sha256.Sum256(script))
	s[errand] = script
	delete(s, errandPath)
	s[pagePath], err = page(s, wasm, errand)
	if err != nil {
		return err
	}
	s[workerPath], err = worker(s)
	if err != nil {
		return err
	}
	file, err := onefile.Make(parts{s})
	if err != nil {
		return err
	}
	if err := os.WriteFile(single, file, 0o644); err != nil {
		return err
	}
	return s.write(out)
}

// readFolder returns the files in dir and below.
func readFolder(dir string) (site, error) {
	s := site{}
	files := os.DirFS(dir)
	err := fs.WalkDir(files, ".", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		s[path], err = fs.ReadFile(files, path)
		return err
	})
	return s, err
}

// write puts the files into the new folder dir.
func (s site) write(dir string) error {
	if _, err := os.Stat(dir); err == nil {
		return fmt.Errorf("%s is there already", dir)
	}
	for path, content := range s {
		file := filepath.Join(dir, filepath.FromSlash(path))
		if err := os.MkdirAll(filepath.Dir(file), 0o755); err != nil {
			return err
		}
		if err := os.WriteFile(file, content, 0o644); err != nil {
			return err
		}
	}
	return nil
}
