//go:build !wasm

// Command site puts the web site together, or serves a folder for a look.
//
//	site -out DIR -single FILE -wasm FILE -public DIR -goroot DIR -vugu DIR
//	site -serve ADDRESS DIR
//
// The site is static, works under any path, and depends on nothing but its
// inputs: the same ones give the same bytes.
package main

import (
	"flag"
	"log"
)

func main() {
	log.SetFlags(0)
	log.SetPrefix("site: ")
	var in inputs
	out := flag.String("out", "", "folder to write the site to; must not exist")
	single := flag.String("single", "", "file to write the page to, with all that it needs inside")
	flag.StringVar(&in.wasm, "wasm", "", "the program, compiled for js/wasm")
	flag.StringVar(&in.public, "public", "", "folder of the files that go in as they are, and of the templates")
	flag.StringVar(&in.goroot, "goroot", "", "the Go installation that compiled the program")
	flag.StringVar(&in.vugu, "vugu", "", "folder of vugu's module")
	serve := flag.String("serve", "", "serve the folder named by the argument at this address instead")
	flag.Parse()

	var err error
	if *serve != "" {
		err = serveFolder(*serve, flag.Arg(0))
	} else {
		err = build(*out, *single, in)
	}
	if err != nil {
		log.Fatal(err)
	}
}
