package survey

import (
	"encoding/binary"
	"math"
)

// lasPoint is a record as it stands in a file: class with its flag bits, and the
// byte of flags of formats 6 to 10.
type lasPoint struct {
	x, y, z     int32
	class, flag byte
}

// lasFile writes LAS files. Zero fields stand for what most files have: version
// 1.2, format 0, scale 0.001.
type lasFile struct {
	minor, format byte
	record        int // 0: the least
	scale, offset [3]float64
	vlrs          [][]byte
	points        []lasPoint
	encoding      uint16
	change        func([]byte) // the file, before it is read
}

func (f lasFile) bytes() []byte {
	le := binary.LittleEndian
	if f.minor == 0 {
		f.minor = 2
	}
	if f.record == 0 {
		f.record = lasRecords[f.format]
	}
	if f.scale == [3]float64{} {
		f.scale = [3]float64{0.001, 0.001, 0.001}
	}
	size := map[byte]int{2: 227, 3: 235, 4: 375}[f.minor]
	b := make([]byte, size)
	copy(b, "LASF")
	le.PutUint16(b[6:], f.encoding)
	b[24], b[25] = 1, f.minor
	le.PutUint16(b[94:], uint16(size))
	le.PutUint32(b[100:], uint32(len(f.vlrs)))
	b[104] = f.format
	le.PutUint16(b[105:], uint16(f.record))
	if f.format < 6 {
		le.PutUint32(b[107:], uint32(len(f.points)))
	}
	if f.minor == 4 {
		le.PutUint64(b[247:], uint64(len(f.points)))
	}
	for i := range 3 {
		le.PutUint64(b[131+8*i:], math.Float64bits(f.scale[i]))
		le.PutUint64(b[155+8*i:], math.Float64bits(f.offset[i]))
	}
	for _, v := range f.vlrs {
		b = append(b, v...)
	}
	le.PutUint32(b[96:], uint32(len(b)))
	for _, p := range f.points {
		r := make([]byte, f.record)
		le.PutUint32(r, uint32(p.x))
		le.PutUint32(r[4:], uint32(p.y))
		le.PutUint32(r[8:], uint32(p.z))
		if f.format < 6 {
			r[15] = p.class
		} else {
			r[15], r[16] = p.flag, p.class
		}
		b = append(b, r...)
	}
	if f.change != nil {
		f.change(b)
	}
	return b
}
