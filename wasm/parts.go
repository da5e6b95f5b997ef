//go:build js && wasm

package main

import (
	"errors"

	"candleclock/engine/plan"
)

// parts is what the page is made of: the files of the site, from this device or
// the host, or the page itself where it is a single file.
type parts struct {
	window object
	boot   object // of public/boot.js
	inside []byte
}

func newParts(window object) *parts {
	p := &parts{window: window, boot: window.get("candleclock")}
	if text := p.boot.call("inside", plan.MostBytes+1).str(); text != "" {
		p.inside = []byte(text)
	}
	return p
}

func (p *parts) Inside() []byte { return p.inside }

func (p *parts) Own() []byte {
	if text := p.boot.call("own").str(); text != "" {
		return []byte(text)
	}
	return nil
}

var (
	errNoPart = errors.New("a part of the page could not be read; connect to the internet, reload and try again")
	errNoPack = errors.New("this browser is too old for that; hand the plan on as a plan file")
)

// Read fetches a file of the site. The browser checks its hash.
func (p *parts) Read(path, hash string) ([]byte, error) {
	options := p.window.get("Object").create()
	options.set("integrity", hash)
	response, err := await(p.window.call("fetch", path, options.Value))
	if err != nil || !response.get("ok").truthy() {
		return nil, errNoPart
	}
	content, err := await(response.call("arrayBuffer"))
	if err != nil {
		return nil, errNoPart
	}
	return content.bytes()
}

func (p *parts) Pack(data []byte) ([]byte, error) {
	packer := p.window.get("CompressionStream").create("gzip")
	if !packer.truthy() {
		return nil, errNoPack
	}
	list := p.window.get("Array").call("of", uint8Array(data).Value)
	packed := p.window.get("Blob").create(list.Value).call("stream").call("pipeThrough", packer.Value)
	content, err := await(p.window.get("Response").create(packed.Value).call("arrayBuffer"))
	if err != nil {
		return nil, errNoPack
	}
	return content.bytes()
}
