//go:build js && wasm

package main

import (
	"encoding/base64"
	"errors"
	"fmt"
	"strings"
	"time"

	"candleclock/ui"
	"candleclock/ui/shelf"
)

// spare keeps second copies in Cache Storage, which a browser keeps apart from
// IndexedDB, in files of their own. The cache is the whole origin's, as the
// database is, and none of the site's: public/sw.js neither answers from it nor
// clears it.
type spare struct {
	caches object // undefined where there are none, or not for this page
	under  string // the address that keys stand behind
}

const copiesName = "candleclock.plans"

func newSpare(window object) spare {
	location := window.get("location")
	if !strings.HasPrefix(location.get("protocol").str(), "http") {
		return spare{} // a file on this device
	}
	return spare{window.get("caches"), location.get("origin").str() + "/" + copiesName + "/"}
}

// Keys is described at shelf.Spare.
func (s spare) Keys() ([]string, error) {
	cache, err := s.open()
	if err != nil {
		return nil, err
	}
	all, err := s.ask(cache, "keys")
	if err != nil {
		return nil, err
	}
	var keys []string
	decode := global("decodeURIComponent")
	for i := range all.get("length").num() {
		if name, ok := strings.CutPrefix(orUndefined(all.Index(i)).get("url").str(), s.under); ok {
			keys = append(keys, orUndefined(decode.Invoke(name)).str())
		}
	}
	return keys, nil
}

// Get is described at shelf.Spare.
func (s spare) Get(key string) ([]byte, error) {
	cache, err := s.open()
	if err != nil {
		return nil, err
	}
	found, err := s.ask(cache, "match", s.at(key))
	if err != nil || !found.truthy() {
		return nil, err
	}
	content, err := s.ask(found, "arrayBuffer")
	if err != nil {
		return nil, err
	}
	return content.bytes()
}

// Put is described at shelf.Spare.
func (s spare) Put(key string, value []byte) error {
	cache, err := s.open()
	if err != nil {
		return err
	}
	_, err = s.ask(cache, "put", s.at(key), global("Response").create(uint8Array(value).Value).Value)
	return err
}

// Drop is described at shelf.Spare.
func (s spare) Drop(key string) error {
	cache, err := s.open()
	if err != nil {
		return err
	}
	_, err = s.ask(cache, "delete", s.at(key))
	return err
}

func (s spare) at(key string) string {
	return s.under + orUndefined(global("encodeURIComponent").Invoke(key)).str()
}

// open opens the cache by its name, each time: one that was cleared away goes on
// taking what is put into it, and gives it back, and all of that is lost.
func (s spare) open() (object, error) {
	if !s.caches.truthy() {
		return undefined, shelf.ErrNoSpare
	}
	return s.ask(s.caches, "open", copiesName)
}

// ask calls a method that answers with a promise, and waits for it.
func (s spare) ask(of object, method string, args ...any) (object, error) {
	promise, err := of.Call(method, args...)
	if err != nil {
		return undefined, fmt.Errorf("%w: %w", ui.ErrStoreLost, err)
	}
	type settled struct{ value, reason object }
	done := make(chan settled, 1)
	// Never released where we give up: the answer may come long after.
	fulfilled := releasable(func(args []object) { done <- settled{value: args[0]} })
	rejected := releasable(func(args []object) { done <- settled{reason: args[0]} })
	object{promise}.call("then", fulfilled.Value(), rejected.Value())
	clock := time.NewTimer(patience)
	defer clock.Stop()
	select {
	case end := <-done:
		fulfilled.Release()
		rejected.Release()
		if !end.reason.truthy() {
			return end.value, nil
		}
		if err = storeError(end.reason); errors.Is(err, ui.ErrStoreDenied) {
			err = shelf.ErrNoSpare
		}
		return undefined, err
	case <-clock.C:
		return undefined, ui.ErrStoreLost
	}
}

// last keeps copies in the browser's local storage, which holds little and writes
// it seconds later, but which the browser does not clear with the rest when a
// disk that is full upsets its books.
type last struct{ window object }

const lastPrefix = "candleclock.copy/"

func (l last) storage() object { return l.window.get("localStorage") }

func (l last) Keys() ([]string, error) {
	storage := l.storage()
	var keys []string
	for i := range storage.get("length").num() {
		if key, ok := strings.CutPrefix(storage.call("key", i).str(), lastPrefix); ok {
			keys = append(keys, key)
		}
	}
	return keys, nil
}

func (l last) Get(key string) ([]byte, error) {
	text := l.storage().call("getItem", lastPrefix+key).str()
	if text == "" {
		return nil, nil
	}
	return base64.StdEncoding.DecodeString(text)
}

func (l last) Put(key string, value []byte) error {
	_, err := l.storage().Call("setItem", lastPrefix+key, base64.StdEncoding.EncodeToString(value))
	return err
}

func (l last) Drop(key string) error {
	l.storage().call("removeItem", lastPrefix+key)
	return nil
}

// marks keeps its words in the browser's local storage, the whole origin's too.
type marks struct{ window object }

const markPrefix = "candleclock.kept/"

func (m marks) All() map[string]string {
	storage := m.window.get("localStorage")
	all := map[string]string{}
	for i := range storage.get("length").num() {
		key := storage.call("key", i).str()
		if id, ok := strings.CutPrefix(key, markPrefix); ok {
			all[id] = storage.call("getItem", key).str()
		}
	}
	return all
}

func (m marks) Set(id, name string) {
	storage := m.window.get("localStorage")
	if name == "" {
		storage.call("removeItem", markPrefix+id)
	} else {
		storage.call("setItem", markPrefix+id, name)
	}
}
