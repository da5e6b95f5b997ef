package shelf

import (
	"bytes"
	"strings"
	"sync"
)

// Memory is a Store that lasts as long as the page: for a browser that lets the
// page keep nothing. The zero value is empty and ready. It never fails.
type Memory struct {
	mu    sync.Mutex
	pairs map[string][]byte
}

// All returns copies of every pair whose key begins with prefix.
func (m *Memory) All(prefix string) (map[string][]byte, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	all := map[string][]byte{}
	for key, value := range m.pairs {
		if strings.HasPrefix(key, prefix) {
			all[key] = bytes.Clone(value)
		}
	}
	return all, nil
}

// Txn is one transaction, as Store says. decide must not use the same Memory.
func (m *Memory) Txn(keys []string, decide func(got map[string][]byte) (put map[string][]byte, err error)) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	got := map[string][]byte{}
	for _, key := range keys {
		if value, ok := m.pairs[key]; ok {
			got[key] = bytes.Clone(value)
		}
	}
	put, err := decide(got)
	if err != nil {
		return err
	}
	for key, value := range put {
		if value == nil {
			delete(m.pairs, key)
			continue
		}
		if m.pairs == nil {
			m.pairs = map[string][]byte{}
		}
		m.pairs[key] = bytes.Clone(value)
	}
	return nil
}
