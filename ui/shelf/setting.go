package shelf

// Setting returns a small thing kept under a name of 1 to 40 characters, nil
// when there is none. The errors are ErrDamaged, when it is there but cannot be
// read (the caller goes on as without it; SetSetting replaces it), *doc.Error
// for the name, and those of the Store.
func (s *Shelf) Setting(name string) ([]byte, error) {
	if err := check("the setting's name", name, "", 0, 0); err != nil {
		return nil, err
	}
	key := setPrefix + name
	all, err := s.store.All(key)
	if err != nil {
		return nil, told("read the setting "+name, err)
	}
	raw, ok := all[key]
	if !ok {
		return nil, nil
	}
	_, data, why := unpack(key, raw)
	if why != "" {
		return nil, ErrDamaged
	}
	return data, nil
}

// SetSetting keeps data, at most MostSettingBytes, under a name of 1 to 40
// characters, over what was there: the last to write wins. nil removes it. It
// returns once the data is stored for good.
func (s *Shelf) SetSetting(name string, data []byte) error {
	if err := check("the setting's name", name, "the setting "+name, len(data), MostSettingBytes); err != nil {
		return err
	}
	key := setPrefix + name
	err := s.store.Txn([]string{key}, func(map[string][]byte) (map[string][]byte, error) {
		if data == nil {
			return map[string][]byte{key: nil}, nil
		}
		return map[string][]byte{key: pack(key, 1, data)}, nil
	})
	return told("keep the setting "+name, err)
}
