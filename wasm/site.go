//go:build js && wasm

package main

import "candleclock/ui"

// site is the page's copy on this device, which public/boot.js looks after.
type site struct {
	boot object
	do   func(func())
}

var siteStates = map[string]ui.SiteState{
	"unknown":  ui.SiteUnknown,
	"online":   ui.SiteOnline,
	"keeping":  ui.SiteKeeping,
	"kept":     ui.SiteKept,
	"outdated": ui.SiteOutdated,
	"single":   ui.SiteSingle,
}

func (s site) OnState(changed func(ui.SiteState)) {
	s.boot.call("onSite", function(func(args []object) {
		state := siteStates[args[0].str()]
		go s.do(func() { changed(state) })
	}).Value)
}

func (s site) Update() { s.boot.call("update") }

func (s site) Check() { s.boot.call("check") }
