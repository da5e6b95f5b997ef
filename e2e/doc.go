// Package e2e holds the tests that drive a real browser against the built
// site. They hold on to ids, roles and states, not to wording.
//
//	CANDLECLOCK_SITE   the site's folder, beside which the single file and the
//	                   gallery of components lie; ../.build/site unless told
//	CANDLECLOCK_AXE    axe.min.js of axe-core, for the tests of accessibility
//	CANDLECLOCK_SOAK   how many times as many kills
//	CANDLECLOCK_ALBUM  a folder: TestAlbum saves its pictures there
//
// A missing site or browser fails a test; nothing is skipped for it. Only
// chromium_test.go and tab_test.go know which browser it is.
package e2e
