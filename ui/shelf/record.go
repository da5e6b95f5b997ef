package shelf

import (
	"encoding/binary"
	"hash/crc64"
)

// A record in the Store is, in this order, integers big-endian:
//
//	mark      8 bytes  "candle" 0 1
//	revision  8 bytes  1 or more
//	length    8 bytes  of data
//	data
//	checksum  8 bytes  CRC-64 (ECMA-182) of the key and all of the above
//
// The key is in the checksum so that a record in another's place is damage too.
const (
	mark = "candle\x00\x01"
	head = len(mark) + 16
	tail = 8
)

// mostRevision leaves room above for any counting; it is never reached.
const mostRevision = 1 << 53

var crcTable = crc64.MakeTable(crc64.ECMA)

// pack makes the record of data to stand under key.
func pack(key string, r Revision, data []byte) []byte {
	rec := make([]byte, 0, head+len(data)+tail)
	rec = append(rec, mark...)
	rec = binary.BigEndian.AppendUint64(rec, uint64(r))
	rec = binary.BigEndian.AppendUint64(rec, uint64(len(data)))
	rec = append(rec, data...)
	return binary.BigEndian.AppendUint64(rec, sum(key, rec))
}

// unpack reads a record found under key. why says in words how it is damaged;
// "" when it is whole, and only then is r not 0. data is part of rec.
func unpack(key string, rec []byte) (r Revision, data []byte, why string) {
	if len(rec) < head+tail {
		return 0, nil, "it is cut short"
	}
	if string(rec[:len(mark)]) != mark {
		return 0, nil, "it does not begin as this page writes"
	}
	revision := binary.BigEndian.Uint64(rec[len(mark):])
	length := binary.BigEndian.Uint64(rec[len(mark)+8:])
	body := rec[:len(rec)-tail]
	switch there := uint64(len(body) - head); {
	case length > there:
		return 0, nil, "it is cut short"
	case length < there:
		return 0, nil, "it is longer than it says"
	}
	if sum(key, body) != binary.BigEndian.Uint64(rec[len(body):]) {
		return 0, nil, "its checksum does not fit"
	}
	if revision < 1 || revision > mostRevision {
		return 0, nil, "its revision is out of range"
	}
	return Revision(revision), body[head:], ""
}

func sum(key string, body []byte) uint64 {
	return crc64.Update(crc64.Checksum([]byte(key), crcTable), crcTable, body)
}
