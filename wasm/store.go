//go:build js && wasm

package main

import (
	"errors"
	"sync"

	"candleclock/ui"
)

// store keeps bytes in IndexedDB.
type store struct {
	factory  object // indexedDB
	keyRange object // IDBKeyRange

	mu   sync.Mutex
	db   object // the open database; undefined when there is none
	told func() // that the browser has closed it
}

// OnGone is described at ui.Store.
func (s *store) OnGone(gone func()) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.told = gone
}

// gone tells who listens.
func (s *store) gone() {
	s.mu.Lock()
	told := s.told
	s.mu.Unlock()
	if told != nil {
		told()
	}
}

// All is described at ui.Store.
func (s *store) All(prefix string) (map[string][]byte, error) {
	var all map[string][]byte
	err := s.transact("readonly", func(t *transaction) {
		under := s.keyRange.call("bound", prefix, prefix+"\uffff")
		t.ask("getAllKeys", []any{under.Value}, func(keys object) {
			t.ask("getAll", []any{under.Value}, func(values object) {
				all = map[string][]byte{}
				for i := range keys.get("length").num() {
					key := orUndefined(keys.Index(i)).str()
					value, err := orUndefined(values.Index(i)).bytes()
					if err != nil {
						t.refuse(err)
						return
					}
					all[key] = value
				}
			})
		})
	})
	if err != nil {
		return nil, err
	}
	return all, nil
}

// Txn is described at ui.Store.
func (s *store) Txn(keys []string, decide func(got map[string][]byte) (put map[string][]byte, err error)) error {
	decided := false
	err := s.transact("readwrite", func(t *transaction) {
		got := map[string][]byte{}
		// read asks for the keys one after the other, and decides inside the
		// last answer: a transaction ends as soon as nothing is asked of it.
		var read func(keys []string)
		read = func(keys []string) {
			if len(keys) > 0 {
				t.ask("get", []any{keys[0]}, func(value object) {
					if value.truthy() {
						b, err := value.bytes()
						if err != nil {
							t.refuse(err)
							return
						}
						got[keys[0]] = b
					}
					read(keys[1:])
				})
				return
			}
			decided = true
			put, err := decide(got)
			if err != nil {
				t.refuse(err)
				return
			}
			for key, value := range put {
				if value == nil {
					t.ask("delete", []any{key}, nil)
				} else {
					t.ask("put", []any{uint8Array(value).Value, key}, nil)
				}
			}
		}
		read(keys)
	})
	if err == nil && !decided { // complete, but its answers never came
		return ui.ErrStoreLost
	}
	return err
}

// transact runs body in a transaction and waits until it is complete. When the
// connection turns out to be lost, it is opened anew and body runs once more.
func (s *store) transact(mode string, body func(t *transaction)) error {
	db, err := s.open()
	if err != nil {
		return err
	}
	err = run(db, mode, body)
	if !errors.Is(err, ui.ErrStoreLost) {
		return err
	}
	s.drop(db)
	if db, err = s.open(); err != nil {
		return err
	}
	if err = run(db, mode, body); errors.Is(err, ui.ErrStoreLost) {
		s.drop(db)
	}
	return err
}
