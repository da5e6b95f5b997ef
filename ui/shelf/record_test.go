package shelf

import (
	"bytes"
	"testing"
)

// What unpack takes is exactly what pack makes; and a record with any one bit
// turned, or cut anywhere, is not taken.
func FuzzRecord(f *testing.F) {
	f.Add("shelf/plan/home/a", []byte(nil), uint(0))
	f.Add("shelf/plan/home/a", pack("shelf/plan/home/a", 1, nil), uint(3))
	f.Add("shelf/plan/home/b", pack("shelf/plan/home/b", mostRevision, []byte("{}")), uint(200))
	f.Add("k", pack("k", mostRevision+1, []byte("x")), uint(60))
	f.Add("k", pack("k", 0, []byte("x")), uint(64))
	f.Add("k", []byte(mark+"\x00\x00\x00\x00\x00\x00\x00\x01\xff\xff\xff\xff\xff\xff\xff\xff12345678"), uint(1))
	f.Fuzz(func(t *testing.T, key string, rec []byte, at uint) {
		r, data, why := unpack(key, rec)
		if (why == "") != (r != 0) {
			t.Fatalf("got revision %d and damage %q", r, why)
		}
		if why == "" && !bytes.Equal(pack(key, r, data), rec) {
			t.Fatalf("revision %d, data %q: packed again it differs", r, data)
		}

		rec = pack(key, 7, rec)
		bit := at % uint(len(rec)*8)
		rec[bit/8] ^= 1 << (bit % 8)
		if _, _, why := unpack(key, rec); why == "" {
			t.Errorf("bit %d turned, and taken for whole", bit)
		}
		rec[bit/8] ^= 1 << (bit % 8)
		if _, _, why := unpack(key, rec[:bit/8]); why == "" {
			t.Errorf("cut to %d bytes, and taken for whole", bit/8)
		}
		if _, _, why := unpack(key+"/", rec); why == "" {
			t.Error("under another key, and taken for whole")
		}
	})
}

// Records lie on devices for years: the layout must not drift.
func TestRecordLayout(t *testing.T) {
	got := pack("shelf/count", 258, []byte("hi"))
	want := "candle\x00\x01" + "\x00\x00\x00\x00\x00\x00\x01\x02" + "\x00\x00\x00\x00\x00\x00\x00\x02" + "hi"
	if string(got[:len(got)-tail]) != want {
		t.Errorf("got %q, want %q and a checksum", got, want)
	}
}
