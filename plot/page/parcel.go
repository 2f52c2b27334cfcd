package page

import (
	"encoding/binary"
	"encoding/json"
	"fmt"
)

// A parcel is the length of a head in four bytes, low byte first, the head in JSON, padding
// with spaces to a multiple of eight bytes, and the contents of files one after the other.
// Numbers in them can then be used in place, as typed arrays.

// pack returns a parcel.
func pack[Head any](head Head, files [][]byte) []byte {
	b, err := json.Marshal(head)
	if err != nil {
		panic(err) // a value that JSON cannot hold is a bug in this package
	}
	for (4+len(b))%8 != 0 {
		b = append(b, ' ')
	}
	n := 4 + len(b)
	for _, f := range files {
		n += len(f)
	}
	out := make([]byte, 0, n)
	out = binary.LittleEndian.AppendUint32(out, uint32(len(b)))
	out = append(out, b...)
	for _, f := range files {
		out = append(out, f...)
	}
	return out
}

// unpack reads the head of a request and cuts the contents of its files.
func unpack(parcel []byte, r *Request) ([][]byte, error) {
	if len(parcel) < 4 || int64(binary.LittleEndian.Uint32(parcel)) > int64(len(parcel)-4) {
		return nil, fmt.Errorf("found a request of %d bytes, cut short on its way", len(parcel))
	}
	n := int(binary.LittleEndian.Uint32(parcel))
	if err := json.Unmarshal(parcel[4:4+n], r); err != nil {
		return nil, fmt.Errorf("the request cannot be read: %w", err)
	}
	rest := parcel[4+n:]
	var out [][]byte
	for _, f := range r.Files {
		if f.Size < 0 {
			continue
		}
		if f.Size > int64(len(rest)) {
			return nil, fmt.Errorf("%s is cut short on its way", f.Name)
		}
		out = append(out, rest[:f.Size:f.Size])
		rest = rest[f.Size:]
	}
	if len(rest) > 0 {
		return nil, fmt.Errorf("the request has %d bytes too many", len(rest))
	}
	return out, nil
}
