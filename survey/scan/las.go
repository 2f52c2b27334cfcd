// Package scan reads scans of a floor: LAS and PLY.
package scan

import (
	"bufio"
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"
	"runtime"
	"slices"
	"strconv"
	"sync"

	"pourplane/survey"
	"pourplane/survey/internal/input"
	"pourplane/survey/internal/thin"
	"pourplane/survey/unit"
)

// ReadLAS reads the points of a LAS file, version 1.2, 1.3 or 1.4, point data record
// formats 0 to 10, not compressed. name is used in messages only. The file is streamed.
// With o.Thin memory grows only with the squares of the grid.
//
// The unit comes from the GeoTIFF keys or the well-known text before the points; a
// record after the points (EVLR) is not read. If the file states no unit, it is o.Unit,
// and None is an error. An unknown unit, or one whose name and factor disagree, is an
// error that o.Unit settles. Angles (longitude and latitude) are refused.
//
// Points marked as withheld and points classified as noise (7, 18) are not used. Scans
// have thousands of them, so each of the two kinds has one Warning with the count
// instead of a note for every point.
//
// Errors are [*survey.Error], without a line: the element names the field or the point.
//
// Source: ASPRS LAS Specification 1.4 (public header block, variable length records,
// point data records; legacy layouts of 1.2 and 1.3 as given there) and GeoTIFF 1.0,
// sections 6.2 and 6.3. Key and unit numbers of GeoTIFF, the record of the compressor
// and its format bits are from memory.
func ReadLAS(r io.Reader, name string, o survey.Options) (*survey.Survey, error) {
	if err := thin.Check(o.Thin); err != nil {
		return nil, err
	}
	size := int64(0) // 0: not known
	if known, ok := r.(interface{ Size() int64 }); ok {
		size = known.Size()
	}
	l := &las{size: size, r: input.Watch(r, o.Progress), s: &survey.Survey{Name: name, Order: "E N Z"}, o: o, file: survey.Pos{File: name}}
	l.tagged = survey.Point{}.With(survey.Tag{At: l.file})
	for _, step := range []func() error{l.header, l.records, l.units, l.points} {
		if err := step(); err != nil {
			return nil, err
		}
	}
	return l.s, nil
}

// las is a LAS file being read.
type las struct {
	r    *bufio.Reader
	s    *survey.Survey
	o    survey.Options
	file survey.Pos

	tagged   survey.Point // at no place
	size     int64        // of the file, bytes; 0 if not known
	at       int64        // bytes read
	begin    int64        // offset of the points, bytes
	headers  int64        // size of the public header block
	vlrs     uint32
	wkt      bool // the coordinate system is given as text
	format   byte // of the point records
	record   int  // length of a point record, bytes
	count    uint64
	next     int64 // offset of the first thing known to follow the points; 0: none known
	scale    [3]float64
	parts    [3]float64 // number of steps in one unit, where the scale is one part of a whole number; else 0
	offset   [3]float64
	keys     []byte // GeoTIFF
	text     string // well-known text
	withheld int
	noise    int
}

// lasRecords gives the minimum length of each point data record format, bytes.
var lasRecords = [...]int{20, 28, 26, 34, 57, 63, 30, 36, 38, 59, 67}

func (l *las) refuse(element, found, want string) error {
	return &survey.Error{Pos: l.file, Element: element, Found: found, Want: want}
}

// read returns the next n bytes, n at most [scanBuffer]. They are valid until the next
// call.
func (l *las) read(element string, n int) ([]byte, error) {
	b, err := l.r.Peek(n)
	if err != nil {
		return nil, l.short(element, len(b), n, err)
	}
	l.r.Discard(n)
	l.at += int64(n)
	return b, nil
}

// skipTo skips to byte to.
func (l *las) skipTo(element string, to int64) error {
	n, err := io.CopyN(io.Discard, l.r, to-l.at)
	if l.at += n; err != nil {
		return l.short(element, 0, int(to-l.at), err)
	}
	return nil
}

func (l *las) short(element string, have, want int, err error) error {
	if !errors.Is(err, io.EOF) {
		return input.Unreadable(l.file.File, err)
	}
	return &survey.Error{Pos: l.file, Element: element, Found: fmt.Sprintf("the end of the file after %d bytes", l.at+int64(have)),
		Want: fmt.Sprintf("%d bytes more", want-have), Err: io.ErrUnexpectedEOF}
}

// header reads the public header block.
func (l *las) header() error {
	le := binary.LittleEndian
	const common = 227 // bytes, up to and including Min Z
	b, err := l.read("header", common)
	if err != nil {
		return err
	}
	if string(b[:4]) != "LASF" {
		return l.refuse("file signature", strconv.Quote(string(b[:4])), `"LASF"`)
	}
	l.wkt = le.Uint16(b[6:])&(1<<4) != 0
	major, minor := b[24], b[25]
	l.s.Format = fmt.Sprintf("LAS %d.%d", major, minor)
	if major != 1 || minor < 2 || minor > 4 {
		return l.refuse("version", fmt.Sprintf("%d.%d", major, minor), "1.2, 1.3 or 1.4")
	}
	l.headers, l.begin, l.vlrs = int64(le.Uint16(b[94:])), int64(le.Uint32(b[96:])), le.Uint32(b[100:])
	l.format, l.record = b[104], int(le.Uint16(b[105:]))
	if l.format&0xc0 != 0 {
		return l.compressed()
	}
	if int(l.format) >= len(lasRecords) {
		return l.refuse("point data record format", strconv.Itoa(int(l.format)), "0 to 10")
	}
	if least := lasRecords[l.format]; l.record < least {
		return l.refuse("point data record length", fmt.Sprintf("%d bytes", l.record), fmt.Sprintf("%d or more for format %d", least, l.format))
	}
	least := map[byte]int64{2: common, 3: 235, 4: 375}[minor]
	if l.headers < least {
		return l.refuse("header size", fmt.Sprintf("%d bytes", l.headers), fmt.Sprintf("%d or more for version 1.%d", least, minor))
	}
	if l.begin < l.headers {
		return l.refuse("offset to point data", strconv.FormatInt(l.begin, 10), fmt.Sprintf("%d or more, the size of the header", l.headers))
	}
	legacy := uint64(le.Uint32(b[107:]))
	l.count = legacy
	for i, axis := range []string{"x", "y", "z"} {
		l.scale[i] = math.Float64frombits(le.Uint64(b[131+8*i:]))
		l.offset[i] = math.Float64frombits(le.Uint64(b[155+8*i:]))
		if !(l.scale[i] > 0 && l.scale[i] <= math.MaxFloat64) {
			return l.refuse(axis+" scale factor", fmt.Sprint(l.scale[i]), "a number above 0")
		}
		if n := math.Round(1 / l.scale[i]); 1/n == l.scale[i] {
			l.parts[i] = n
		}
		if math.IsNaN(l.offset[i]) || math.IsInf(l.offset[i], 0) {
			return l.refuse(axis+" offset", fmt.Sprint(l.offset[i]), "a finite number")
		}
	}
	if minor >= 3 {
		if b, err = l.read("header", int(least)-common); err != nil {
			return err
		}
		l.follows(le.Uint64(b[227-common:])) // waveforms
	}
	if minor == 4 {
		if le.Uint32(b[243-common:]) > 0 {
			l.follows(le.Uint64(b[235-common:])) // extended variable length records
		}
		// The legacy count is 0 if the number does not fit or the format is new.
		if n := le.Uint64(b[247-common:]); n > 0 {
			l.count = n
			if legacy > 0 && legacy != n {
				l.warn("the header counts %d points, and %d in the field of older versions: the first is taken", n, legacy)
			}
		}
	}
	if l.count == 0 {
		return l.refuse("number of point records", "0", "a scan with points")
	}
	return l.skipTo("header", l.headers)
}

// follows keeps the lowest offset of what follows the points.
func (l *las) follows(at uint64) {
	if at := int64(at); at > l.begin && (l.next == 0 || at < l.next) {
		l.next = at
	}
}

func (l *las) warn(format string, args ...any) {
	l.s.Notes = append(l.s.Notes, survey.Notef(survey.Warning, l.file, format, args...).About(survey.AboutOrder))
}

func (l *las) compressed() error {
	return &survey.Error{Pos: l.file, Found: "compressed points (LAZ)", Want: "a LAS file that is not compressed", Hint: "convert it with any LAS tool to LAS without compression, or to x y z text"}
}

// records reads the variable length records and skips to the points.
func (l *las) records() error {
	const head = 54 // bytes
	for i := range l.vlrs {
		element := fmt.Sprintf("variable length record %d of %d", i+1, l.vlrs)
		past := &survey.Error{Pos: l.file, Element: element, Found: "an end past the start of the points", Want: fmt.Sprintf("an end at byte %d or before", l.begin)}
		if l.at+head > l.begin {
			return past
		}
		b, err := l.read(element, head)
		if err != nil {
			return err
		}
		user := string(bytes.TrimRight(b[2:18], "\x00 "))
		id, n := binary.LittleEndian.Uint16(b[18:]), int(binary.LittleEndian.Uint16(b[20:]))
		if l.at+int64(n) > l.begin {
			return past
		}
		if b, err = l.read(element, n); err != nil {
			return err
		}
		switch {
		case user == "laszip encoded":
			return l.compressed()
		case user == "LASF_Projection" && id == 34735:
			l.keys = bytes.Clone(b)
		case user == "LASF_Projection" && id == 2112:
			l.text = string(bytes.TrimRight(b, "\x00"))
		}
	}
	return l.skipTo("point data", l.begin)
}

// Bytes of point records decoded at a time: in the first block, and the most. A file of a
// few points takes no more memory than it needs.
const (
	firstBlock = 1 << 14
	mostBlock  = 1 << 21
)

// shotsAtOnce is how many shots of a scan are taken into a grid at once.
const shotsAtOnce = 256

// lasPart is the share of one processor in the records of a block.
type lasPart struct {
	grid            *thin.Grid     // nil if every point is kept
	shots           []thin.Shot    // not yet in the grid
	pts             []survey.Point // room for the points of the share, then the points
	withheld, noise int
	bad             int // index in the block of the first record that is refused, -1 for none
	refusal         error
}

// points reads the point data records, block by block. The records of a block are decoded on
// every processor. The result does not depend on their number.
func (l *las) points() error {
	parts := make([]lasPart, runtime.GOMAXPROCS(0))
	if l.o.Thin.Cell > 0 {
		for k := range parts {
			parts[k].grid, parts[k].shots = thin.New(l.o.Thin, l.s.Name), make([]thin.Shot, 0, shotsAtOnce)
		}
	} else if most := l.size - l.begin; most > 0 {
		l.s.Points = make([]survey.Point, 0, min(l.count, uint64(most)/uint64(l.record)))
	}
	var block []byte
	for i := uint64(0); i < l.count; {
		if len(block) < mostBlock {
			block = make([]byte, max(4*len(block)/l.record, firstBlock/l.record, 1)*l.record)
		}
		n := min(uint64(len(block)/l.record), l.count-i)
		have, err := io.ReadFull(l.r, block[:n*uint64(l.record)])
		n = uint64(have / l.record)
		if e := l.decode(parts, block[:n*uint64(l.record)], i); e != nil {
			return e
		}
		i += n
		l.s.Rows += int(n)
		l.at += int64(n) * int64(l.record)
		if err != nil {
			if errors.Is(err, io.ErrUnexpectedEOF) {
				err = io.EOF
			}
			return l.short(fmt.Sprintf("point %d of %d", i+1, l.count), have%l.record, l.record, err)
		}
	}
	for k := range parts {
		l.withheld, l.noise = l.withheld+parts[k].withheld, l.noise+parts[k].noise
		if k > 0 && l.o.Thin.Cell > 0 {
			parts[0].grid.Merge(parts[k].grid)
		}
	}
	grid := parts[0].grid
	if l.next == 0 || l.next >= l.at+int64(l.record) {
		if _, err := l.r.Peek(l.record); err == nil {
			l.warn("the file goes on after the %d points that its header counts: what follows is not read, and may be points", l.count)
		}
	}
	for _, left := range []struct {
		n    int
		what string
	}{{l.withheld, "that the file marks as withheld"}, {l.noise, "that the file classifies as noise"}} {
		if left.n > 0 {
			l.s.Notes = append(l.s.Notes, survey.Notef(survey.Warning, l.file, "%d of %d points, %s, are not used", left.n, l.s.Rows, left.what))
		}
	}
	if grid != nil && grid.Seen > 0 {
		grid.Into(l.s, l.o.Cells)
	}
	if len(l.s.Points) == 0 {
		return l.refuse("", fmt.Sprintf("%d points, all of them withheld or noise", l.s.Rows), "a scan with points")
	}
	return nil
}

// decode takes the records of block, of which the first is point number first, from 0.
func (l *las) decode(parts []lasPart, block []byte, first uint64) error {
	n, from := len(block)/l.record, len(l.s.Points)
	if l.o.Thin.Cell == 0 {
		l.s.Points = slices.Grow(l.s.Points, n)
	}
	room := l.s.Points[from:]
	var wait sync.WaitGroup
	for k := range parts {
		p, a, b := &parts[k], n*k/len(parts), n*(k+1)/len(parts)
		if l.o.Thin.Cell == 0 {
			p.pts = room[a:a:b]
		}
		wait.Add(1)
		go func() {
			defer wait.Done()
			p.bad = -1
			for i := a; i < b && p.bad < 0; i++ {
				if p.refusal = l.take(p, block[i*l.record:(i+1)*l.record], first+uint64(i)); p.refusal != nil {
					p.bad = i
				}
			}
			if p.grid != nil {
				p.grid.AddAll(p.shots)
				p.shots = p.shots[:0]
			}
		}()
	}
	wait.Wait()
	for k := range parts {
		if parts[k].bad >= 0 {
			return parts[k].refusal
		}
		if end := len(l.s.Points) + len(parts[k].pts); len(parts[k].pts) > 0 && &l.s.Points[:end][end-1] == &parts[k].pts[len(parts[k].pts)-1] {
			l.s.Points = l.s.Points[:end] // none before it was left out
		} else {
			l.s.Points = append(l.s.Points, parts[k].pts...)
		}
	}
	return nil
}

// take takes the record b of point number i, from 0.
func (l *las) take(p *lasPart, b []byte, i uint64) error {
	if !l.used(p, b) {
		return nil
	}
	x, y, z := l.coordinate(0, b, l.s.Plan), l.coordinate(1, b, l.s.Plan), l.coordinate(2, b, l.s.Unit)
	switch {
	case math.IsInf(x, 0) || math.IsInf(y, 0) || math.IsInf(z, 0):
		return l.refuse(fmt.Sprintf("point %d of %d", i+1, l.count), fmt.Sprintf("%g, %g, %g m", x, y, z), "finite coordinates")
	case p.grid == nil:
		one := l.tagged
		one.X, one.Y, one.Z = x, y, z
		p.pts = append(p.pts, one)
	default:
		shot := thin.Shot{X: x, Y: y, Z: z}
		if !shot.Near() {
			return thin.TooFar(l.file, fmt.Sprintf("point %d of %d", i+1, l.count), x, y, z)
		}
		if p.shots = append(p.shots, shot); len(p.shots) == cap(p.shots) {
			p.grid.AddAll(p.shots)
			p.shots = p.shots[:0]
		}
	}
	return nil
}

// used reports whether the record b is a point to use. It counts the others.
func (l *las) used(p *lasPart, b []byte) bool {
	withheld, class := b[15]&(1<<7) != 0, b[15]&0x1f
	if l.format >= 6 {
		withheld, class = b[15]&(1<<2) != 0, b[16]
	}
	switch {
	case withheld:
		p.withheld++
	case class == 7 || class == 18:
		p.noise++
	default:
		return true
	}
	return false
}

// coordinate returns coordinate i of the record b in metres.
func (l *las) coordinate(i int, b []byte, u unit.Length) float64 {
	v := float64(int32(binary.LittleEndian.Uint32(b[4*i:])))
	if n := l.parts[i]; n > 0 {
		v /= n // 9980 / 1000 is 9.98; 9980 * 0.001 is slightly more
	} else {
		v = float64(v * l.scale[i])
	}
	return u.ToMetres(v + l.offset[i])
}
