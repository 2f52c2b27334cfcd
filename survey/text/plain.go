package text

import (
	"bytes"
	"encoding/binary"
	"math"
	"math/bits"
	"strings"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// lineUp is how the columns of a list of elevations line up with what is scanned. A plain
// row has a decimal in the columns of x, y and z, and no more fields than there are
// columns. It becomes a point without the row decoder, the same point as through it. Any
// other row is cut into cells.
type lineUp struct {
	sep     byte
	fields  []holds
	units   [3]unit.Length // of x, y and z
	reaches int            // index of the last of these columns
	names   []string       // of the row decoder, one for each field that it can take
	tenths  bool           // feet.inches are looked for
	three   bool           // the columns are x, y and z, all in metres
	cut     int            // lines at the start that are cut into cells, even plain ones
	tagged  survey.Point   // with the tag of all points
	form    *form
}

// holds is what a column of a list holds.
type holds uint8

const (
	fieldX holds = iota
	fieldY
	fieldZ
	fieldName
	fieldText  // the code, or the description where there is no code
	fieldOther // not used
	fieldEmpty // without a head, behind text: empty in a plain row
)

// decodeAll is set by tests, which compare.
var decodeAll bool

// lineUp returns how the rows of f are scanned, and nil if they go through the row decoder.
func (f *Reader) lineUp(names []string) *lineUp {
	if decodeAll || f.manner != byElevation || f.outline || f.cells != nil || f.num.comma || f.comma >= 0x80 {
		return nil
	}
	up := &lineUp{sep: byte(f.comma), names: names, tenths: f.up.unit == unit.Foot, tagged: survey.Point{}.With(survey.Tag{At: survey.Pos{File: f.name, Line: 1}}), form: f.form}
	for i, c := range []*column{f.x, f.y, f.up} {
		// Whole inches may be dates that a spreadsheet made of fractions.
		if c == nil || c.unit == unit.None || c.unit == unit.Inch || c.feetInches {
			return nil
		}
		up.units[i], up.reaches = c.unit, max(up.reaches, c.index)
	}
	switch {
	case f.code != nil && f.of[isRemark] != nil: // both are read
		up.cut = math.MaxInt
	case f.o.Thin.Cell == 0: // readings are kept as written
		up.cut = mostReadings
	}
	text := f.code
	if text == nil {
		text = f.of[isRemark]
	}
	for i, c := range f.layout.columns {
		kind := fieldOther
		switch {
		case !scanRoles[c.role]:
			return nil
		case names[i] == string(isExtra):
			kind = fieldEmpty
		case f.of[c.role] != c:
		case c == f.x:
			kind = fieldX
		case c == f.y:
			kind = fieldY
		case c == f.up:
			kind = fieldZ
		case c.role == isName:
			kind = fieldName
		case c == text:
			kind = fieldText
		}
		up.fields = append(up.fields, kind)
	}
	up.three = len(up.fields) == 3 && up.reaches == 2 && up.units == [3]unit.Length{unit.Metre, unit.Metre, unit.Metre}
	return up
}

// scanned is the rows of a chunk, plain rows apart from the others.
type scanned struct {
	pts   []survey.Point // of the plain rows, without code, with a gap for each other row
	gaps  []int
	texts []string // the texts of their field of codes, each once
	text  []int32  // for each of pts the index in texts; nil without such a field
	said  []said   // for each of texts
	names string   // of pts, one behind the other
	ends  []int32  // in names of each of the first pts; the others have no names
	odd   []int32  // those of pts whose height may mean no data
	seen  tenths
}

// scan reads the lines of data, of which the first is number line of the file. Plain rows
// become points in room, which has enough of it; rest are the others. passed counts lines
// without a row; it is nil if these are empty lines already. ok is false if all must be cut
// into cells.
func (up *lineUp) scan(data []byte, line int, passed *passedOver, room []survey.Point) (s scanned, rest []decodedRow, ok bool) {
	var v [3]float64
	words := words{size: len(data), room: len(room), last: -1}
	marker := leastMarker * up.units[2].Metres()
	n, end := 0, len(data)
	for at := 0; at < end; line++ {
		begin := at
		if up.three {
			if next := up.put(data, at, line, &room[n], n, &s.odd); next > 0 {
				n, at = n+1, next
				continue
			}
		}
		if c := data[at]; c-'0' > 9 && !(c == '-' && at+1 < end && data[at+1]-'0' <= 9) {
			stop := lineEnd(data, at)
			if passed == nil && stop == at || passed != nil && passed.look(line, data[at:stop], up.form) {
				at = stop + 1
				continue
			}
		}
		r, plain := up.row(data, at, &v)
		at = r.next
		if !plain {
			if up.tenths { // their order counts
				return s, nil, false
			}
			stop := lineEnd(data, begin)
			rest = append(rest, decodedRow{up.cells(string(data[begin:stop])), line})
			s.gaps = append(s.gaps, n)
			n, at = n+1, stop+1
			continue
		}
		p := &room[n]
		if p.Put(&up.tagged, uint32(line), v[0], v[1], v[2]); line > math.MaxUint32 {
			*p = p.OnLine(line)
		}
		if z := math.Abs(v[2]); z == 0 || z >= marker && isMarker(v[2], up.units[2]) {
			s.odd = append(s.odd, int32(n))
		}
		if up.tenths {
			s.seen.see(r.height, p.At())
		}
		if len(r.name) > 0 {
			words.name(&s, n, r.name)
		}
		if len(r.text) > 0 || s.text != nil {
			words.text(&s, n, r.text)
		}
		n++
	}
	if len(s.gaps) < n {
		s.pts = room[:n]
	}
	s.names = string(words.names)
	return s, rest, true
}

// plainRow is what a plain row holds besides x, y and z.
type plainRow struct {
	name, text []byte
	height     []byte // as written
	next       int    // where the next row begins
}

// row reads a plain row at data[at:] and its x, y and z. It reports false for any other row.
func (up *lineUp) row(data []byte, at int, v *[3]float64) (r plainRow, plain bool) {
	end := len(data)
	for k, kind := range up.fields {
		stop := at
		plain = true
		if kind <= fieldZ {
			if v[kind], stop, plain = up.decimal(data, at, end, kind); kind == fieldZ {
				r.height = data[at:stop]
			}
		} else {
			stop = up.fieldEnd(data, at)
			switch kind {
			case fieldName:
				r.name = data[at:stop]
			case fieldText:
				r.text = data[at:stop]
			case fieldEmpty:
				plain = len(bytes.TrimSpace(data[at:stop])) == 0
			}
		}
		if at = stop + 1; !plain {
			return r, false
		}
		if stop >= end || data[stop] == '\n' {
			if n := len(r.name); n > 0 && !(visible(r.name[0]) && visible(r.name[n-1])) {
				r.name = bytes.TrimSpace(r.name)
			}
			r.next = at
			rule := len(r.name) > 0 && (r.name[0] == '-' || r.name[0] == '=') // a drawn one, perhaps
			return r, k >= up.reaches && !rule
		}
	}
	return r, false // there are more fields
}

// visible reports whether c is a character of ASCII but no blank.
func visible(c byte) bool { return c > ' ' && c < 0x7f }

// fieldEnd returns the end of the field at data[at:], found in eight bytes at a time.
func (up *lineUp) fieldEnd(data []byte, at int) int {
	const ones, high = 0x0101010101010101, 0x8080808080808080
	for seps := ones * uint64(up.sep); at+8 <= len(data); at += 8 {
		w := binary.LittleEndian.Uint64(data[at:])
		a, b := w^seps, w^ones*'\n'
		// The first of the bytes found to be 0 is so.
		if found := ((a-ones)&^a | (b-ones)&^b) & high; found != 0 {
			return at + bits.TrailingZeros64(found)/8
		}
	}
	for at < len(data) && data[at] != up.sep && data[at] != '\n' {
		at++
	}
	return at
}

// words keeps the names and texts of plain rows.
type words struct {
	size, room int // bytes and lines of the chunk
	names      []byte
	index      map[string]int32 // of texts
	last       int32            // index of the text of the row before, -1 at first
	lastText   []byte
}

// name keeps the name of point n.
func (w *words) name(s *scanned, n int, name []byte) {
	if w.names == nil {
		w.names, s.ends = make([]byte, 0, w.size/3), make([]int32, 0, w.room)
	}
	for len(s.ends) < n {
		s.ends = append(s.ends, int32(len(w.names)))
	}
	w.names = append(w.names, name...)
	s.ends = append(s.ends, int32(len(w.names)))
}

// text keeps the text of point n.
func (w *words) text(s *scanned, n int, text []byte) {
	if s.text == nil {
		s.text, w.index = make([]int32, 0, w.room), map[string]int32{}
	}
	for len(s.text) < n {
		s.text = append(s.text, -1)
	}
	if w.last < 0 || !bytes.Equal(text, w.lastText) {
		k, known := w.index[string(text)]
		if !known {
			k = int32(len(s.texts))
			s.texts = append(s.texts, string(text))
			w.index[s.texts[k]] = k
		}
		w.last, w.lastText = k, text
	}
	s.text = append(s.text, w.last)
}

// lineEnd returns the end of the line that begins at data[at].
func lineEnd(data []byte, at int) int {
	if i := bytes.IndexByte(data[at:], '\n'); i >= 0 {
		return at + i
	}
	return len(data)
}

// name returns the name of one of the points.
func (s *scanned) name(i int) string {
	switch {
	case i >= len(s.ends):
		return ""
	case i == 0:
		return s.names[:s.ends[0]]
	}
	return s.names[s.ends[i-1]:s.ends[i]]
}

// cutAll cuts the lines of chunk into cells. line is the number of the first.
func (up *lineUp) cutAll(chunk []byte, line int) []decodedRow {
	rows := make([]decodedRow, 0, bytes.Count(chunk, []byte("\n"))+1)
	text := string(chunk)
	for ; text != ""; line++ {
		var l string
		if l, text, _ = strings.Cut(text, "\n"); l != "" {
			rows = append(rows, decodedRow{up.cells(l), line})
		}
	}
	return rows
}

// cells cuts a line without quotes into cells, as the row decoder does.
func (up *lineUp) cells(l string) *scanRow {
	r := &scanRow{}
	for i, more := 0, true; more; i++ {
		var text string
		if text, l, more = strings.Cut(l, string(rune(up.sep))); i >= len(up.names) {
			break
		}
		var c *cell
		switch role(up.names[i]) {
		case isName:
			c = &r.Name
		case isX:
			c = &r.X
		case isY:
			c = &r.Y
		case isZ:
			c = &r.Z
		case isCode:
			c = &r.Code
		case isRemark:
			c = &r.Remark
		case isFree:
			c = &r.Free
		case isExtra:
			r.Extra.UnmarshalCSV(text)
			continue
		default:
			continue
		}
		c.UnmarshalCSV(text)
	}
	return r
}

// put reads a row of three decimals at data[at:], in metres, each as decimal reads nearly every
// number, into p, point n. It returns where the next row begins, and 0 for any other row.
func (up *lineUp) put(data []byte, at, line int, p *survey.Point, n int, odd *[]int32) (next int) {
	if len(data)-at < longestThree || len(up.fields) != 3 || line > math.MaxUint32 {
		return 0
	}
	var v [4]float64
	for k, of := range (*[3]holds)(up.fields) {
		neg := uint64(0)
		if data[at] == '-' {
			neg = 1
		}
		at += int(neg)
		w := binary.LittleEndian.Uint64(data[at:])
		first, second, t := nonDigits(w)
		want := up.sep
		if k == 2 {
			want = '\n'
		}
		if second >= 64 || second <= 8 || byte(w>>(first&63)) != '.' || byte(w>>(second&63)) != want {
			return 0
		}
		f := float64(digits(t, first, second)) / tens[((second-first)/8-1)&7]
		v[of&3] = math.Float64frombits(math.Float64bits(f) | neg<<63)
		at += int(second/8) + 1
	}
	p.Put(&up.tagged, uint32(line), v[fieldX], v[fieldY], v[fieldZ])
	if z := math.Abs(v[fieldZ]); z == 0 || z >= leastMarker && isMarker(v[fieldZ], unit.Metre) {
		*odd = append(*odd, int32(n))
	}
	return at
}

// longestThree is the number of bytes of the longest row that put reads: signs, and numbers of
// seven characters.
const longestThree = 3 * (1 + 7 + 1)

// threes reads the lines of data[:end], which must be nothing but rows of put, in two halves in
// turn: where a number begins is known only when the one before it has been read, and meanwhile the
// processor reads the other half. It reports false for any other lines. Behind them are
// longestThree bytes of whatever value.
func (up *lineUp) threes(data []byte, end, line int, room []survey.Point) (s scanned, ok bool) {
	mid := min(lineEnd(data[:end], end/2)+1, end)
	from := bytes.Count(data[:mid], []byte("\n"))
	var later []int32
	a, b, i, j := 0, mid, 0, from
	for a < mid || b < end {
		if a < mid {
			if a = up.put(data, a, line+i, &room[i], i, &s.odd); a == 0 {
				return s, false
			}
			i++
		}
		if b < end {
			if b = up.put(data, b, line+j, &room[j], j, &later); b == 0 {
				return s, false
			}
			j++
		}
	}
	s.pts, s.odd = room[:j], append(s.odd, later...)
	return s, b == end && j == len(room)
}

// nonDigits returns where the first and the second byte of w that is no digit begin, in
// bits, and the values of the digits in t. A byte that is no digit is found right up to the
// second one; no more are needed.
func nonDigits(w uint64) (first, second uint, t uint64) {
	const zeros, high = 0x3030303030303030, 0x8080808080808080
	t = w ^ zeros
	other := ((t + 0x7676767676767676) | t) & high
	return uint(bits.TrailingZeros64(other)) &^ 7, uint(bits.TrailingZeros64(other&(other-1))) &^ 7, t
}

// digits returns the number whose digits are in the bytes of t up to second, but for the
// decimal point at first: its gap is closed, and eight digits are folded with three
// multiplications.
func digits(t uint64, first, second uint) uint32 {
	whole := uint64(1)<<(first&63) - 1
	d := (t&whole | t>>8&^whole) << ((72 - second) & 63)
	d = d*10 + d>>8
	return uint32((d&0x000000FF000000FF*0x000F424000000064 + d>>16&0x000000FF000000FF*0x0000271000000001) >> 32)
}

// decimal reads the field at data[at:], which must be a decimal, in metres. stop is its
// end.
func (up *lineUp) decimal(data []byte, at, end int, of holds) (v float64, stop int, ok bool) {
	from := at
	neg := at < end && data[at] == '-'
	if neg {
		at++
	}
	// Nearly every number is of at most seven characters, which fit in one word with the
	// separator behind them. The digits are found in it all at once.
	if at+8 <= len(data) {
		w := binary.LittleEndian.Uint64(data[at:])
		first, second, t := nonDigits(w)
		if second < 64 && byte(w>>first) == '.' && second > 8 {
			after := byte(w >> second)
			if stop = at + int(second/8); stop <= end && (stop == end || after == up.sep || after == '\n') {
				m, decimals := digits(t, first, second), (second-first)/8-1
				if up.units[of] == unit.Metre {
					v = float64(m) / tens[decimals&7]
					if neg {
						v = -v
					}
					return v, stop, true
				}
				return unit.OfDecimal(int64(m), int(decimals), neg, up.units[of]), stop, true
			}
		}
	}
	if up.units[of] == unit.Metre {
		if m, decimals, stop := mantissa(data, at); stop > 0 && (stop == end || data[stop] == up.sep || data[stop] == '\n') {
			v = float64(m) / tens[decimals&15]
			if neg {
				v = -v
			}
			return v, stop, !survey.IsFar(v)
		}
	}
	stop = up.fieldEnd(data, at)
	v, ok = unit.ParsePlain(bytes.Trim(data[from:stop], " "), up.units[of])
	return v, stop, ok && !survey.IsFar(v)
}

// mantissa reads a number of up to 15 digits with a point among them, which is m divided by a
// power of ten, rounded once since both are whole float64. stop is its end, and 0 for any other
// number.
func mantissa(data []byte, at int) (m int64, decimals, stop int) {
	point := 0
	for stop = at; stop < len(data) && stop-at <= 16; stop++ {
		c := data[stop] - '0'
		if c <= 9 {
			m = 10*m + int64(c)
		} else if data[stop] == '.' && point == 0 && stop > at {
			point = stop
		} else {
			break
		}
	}
	if point == 0 || stop == point+1 || stop-at > 16 {
		return 0, 0, 0
	}
	return m, stop - point - 1, stop
}

// tens are powers of ten.
var tens = [16]float64{1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15}
