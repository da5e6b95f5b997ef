package link

import (
	"encoding/base64"
	"encoding/binary"
	"hash/crc32"
	"math"
	"strings"
)

// The frame is the same in every version of links:
//
//	version (1 byte) · length of the data (varint) · data · CRC-32 of all before (4 bytes, low first)
//
// The length tells a link that was cut off. The CRC (IEEE 802.3) finds every
// change within 32 neighbouring bits, so every change of one character. It is
// looked at before the version, which may itself be what was changed.
const checksum = crc32.Size

func frame(version byte, data []byte) []byte {
	f := binary.AppendUvarint([]byte{version}, uint64(len(data)))
	f = append(f, data...)
	return binary.LittleEndian.AppendUint32(f, crc32.ChecksumIEEE(f))
}

// unframe returns the data in a link.
func unframe(s string) ([]byte, error) {
	var f []byte
	whole := false
	switch {
	case strings.HasPrefix(s, inText.mark):
		f, whole = inText.read(s[1:])
	case strings.HasPrefix(s, inQR.mark):
		f, whole = inQR.read(s[1:])
	default:
		return nil, ErrNotOurs
	}
	if f == nil {
		return nil, ErrDamaged
	}
	if len(f) == 0 {
		return nil, ErrCutOff
	}
	size, n := binary.Uvarint(f[1:])
	start := 1 + n
	switch end := uint64(start) + size; {
	case n < 0 || size > Most:
		return nil, ErrDamaged
	case n == 0 || uint64(len(f)) < end+checksum:
		return nil, ErrCutOff
	case !whole || uint64(len(f)) > end+checksum || crc32.ChecksumIEEE(f[:end]) != binary.LittleEndian.Uint32(f[end:]):
		return nil, ErrDamaged
	case f[0] > Version:
		return nil, &NewerError{int(f[0])}
	case f[0] < 1:
		return nil, ErrDamaged
	default:
		return f[start:end], nil
	}
}

// alphabet is a way to write bytes as characters; its mark, one character,
// stands before them.
type alphabet struct {
	mark  string
	write func([]byte) string
	// read returns the bytes of s, nil where a character is foreign. What is
	// short of a whole group is left out and whole is false.
	read func(s string) (b []byte, whole bool)
}

var (
	inText = alphabet{"c", base64.RawURLEncoding.EncodeToString, read64}
	inQR   = alphabet{"C", write41, read41}
)

func read64(s string) (b []byte, whole bool) {
	// Strict: bits that no byte needs must be zero, or a change of the last
	// character might go unseen.
	strict := base64.RawURLEncoding.Strict()
	if b, err := strict.DecodeString(s); err == nil {
		return append([]byte{}, b...), true
	}
	b, err := strict.DecodeString(s[:len(s)/4*4])
	if err != nil {
		return nil, false
	}
	return append([]byte{}, b...), false
}

// letters41 are 41 of the 45 characters of a QR code's alphanumeric mode
// (ISO/IEC 18004): without the space and "%", which an address can't hold, and
// without "." and "+", which some readers change. As in base 45 (RFC 9285) two
// bytes become three characters, lowest first: 41³ is enough.
const letters41 = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ-$/:*"

func write41(b []byte) string {
	var s strings.Builder
	put := func(v, n int) {
		for range n {
			s.WriteByte(letters41[v%41])
			v /= 41
		}
	}
	for ; len(b) >= 2; b = b[2:] {
		put(int(b[0])<<8|int(b[1]), 3)
	}
	if len(b) == 1 {
		put(int(b[0]), 2)
	}
	return s.String()
}

func read41(s string) (b []byte, whole bool) {
	b = []byte{}
	for len(s) > 0 {
		n := min(len(s), 3)
		v := 0
		for i := n - 1; i >= 0; i-- {
			letter := strings.IndexByte(letters41, s[i])
			if letter < 0 {
				return nil, false
			}
			v = v*41 + letter
		}
		s = s[n:]
		switch {
		case n == 3 && v <= math.MaxUint16:
			b = append(b, byte(v>>8), byte(v))
		case n == 2 && v <= math.MaxUint8:
			b = append(b, byte(v))
		default:
			return b, false
		}
	}
	return b, true
}
