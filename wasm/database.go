//go:build js && wasm

package main

import (
	"fmt"
	"time"

	"candleclock/ui"
)

// The database has one object store, of byte arrays by string.
const (
	databaseName    = "candleclock"
	databaseVersion = 1
	objectStore     = "kept"
)

// patience is how long the browser's storage may take to answer. Some browsers
// lose the connection to it and never say so.
const patience = 10 * time.Second

// clearing is how long a browser may go on clearing after it has closed the
// database; what is written meanwhile would go too.
const clearing = 2 * time.Second

// open returns the open database, and opens it when there is none.
func (s *store) open() (object, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.db.truthy() {
		return s.db, nil
	}
	request, err := s.factory.Call("open", databaseName, databaseVersion)
	if err != nil { // no IndexedDB, or not for us
		return undefined, fmt.Errorf("%w: %w", ui.ErrStoreDenied, err)
	}
	db, err := opened(object{request})
	if err != nil {
		return undefined, err
	}
	s.db = db
	db.set("onversionchange", function(func([]object) {
		// A newer page wants to change the database and waits for us.
		db.call("close")
		go s.drop(db)
	}).Value)
	// Comes when the browser closes it by itself: what is kept was cleared.
	db.set("onclose", function(func([]object) {
		go func() {
			s.drop(db)
			time.Sleep(clearing)
			s.gone()
		}()
	}).Value)
	return db, nil
}

// drop forgets the database db, so that the next use opens it anew.
func (s *store) drop(db object) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.db.Equal(db.Value) {
		s.db = undefined
	}
	db.call("close")
}

// opened waits for the database that request opens. Its handlers are never
// released: an answer may come long after we gave up.
func opened(request object) (object, error) {
	type answer struct {
		db  object
		err error
	}
	answers := make(chan answer, 1)
	tell := func(a answer) {
		select {
		case answers <- a:
		default: // we have our answer, and no longer wait for the database
			a.db.call("close")
		}
	}
	request.set("onupgradeneeded", function(func([]object) {
		request.get("result").call("createObjectStore", objectStore)
	}).Value)
	request.set("onsuccess", function(func([]object) { tell(answer{db: request.get("result")}) }).Value)
	request.set("onerror", function(func([]object) { tell(answer{err: storeError(request.get("error"))}) }).Value)
	// Comes instead of the others while a page of another version is open.
	request.set("onblocked", function(func([]object) {
		tell(answer{err: fmt.Errorf("%w: close the other open pages of this app", ui.ErrStoreLost)})
	}).Value)
	select {
	case a := <-answers:
		return a.db, a.err
	case <-time.After(patience):
		tell(answer{err: ui.ErrStoreLost})
		a := <-answers
		return a.db, a.err
	}
}

// storeError is the port's error for what the browser says.
func storeError(e object) error {
	kind := ui.ErrStoreLost
	switch e.get("name").str() {
	case "QuotaExceededError":
		kind = ui.ErrStoreFull
	case "SecurityError", "NotAllowedError", "InvalidStateError":
		kind = ui.ErrStoreDenied
	}
	return fmt.Errorf("%w: %s: %s", kind, e.get("name").str(), e.get("message").str())
}
