package text

import (
	"bytes"
	"cmp"

	"pourplane/survey"
)

// readChunk reads the rows from one cut to the next. It changes no more of f than the room
// for their points, so that chunks can be read concurrently. head and kind are for the row
// decoder.
func (f *Reader) readChunk(up *lineUp, head string, kind any, from, to cut, room []survey.Point) (b batch) {
	data := f.data[from.at:to.at]
	quotes := bytes.IndexByte(data, '"') >= 0
	scans, ok := up != nil && !quotes && from.rows >= up.cut, false
	if scans && f.form.sep != blanks {
		if b.plain, b.rows, ok = up.scan(data, from.line, &b.passed, room); ok {
			return b
		}
	}
	data, passed := f.prepared(from, to)
	switch {
	case up == nil || quotes:
		b = f.decodeRows(head, data, from.line, kind)
	case scans && f.form.sep == blanks:
		if b.plain, b.rows, ok = up.scan(data, from.line, nil, room); ok {
			break
		}
		fallthrough
	default:
		b = batch{rows: up.cutAll(data, from.line)}
	}
	b.passed = passed
	return b
}

// prepared returns the lines from one cut to the next in the form of the row decoder.
func (f *Reader) prepared(from, to cut) ([]byte, passedOver) {
	return f.form.prepare(f.data[from.at:to.at], from.line, len(f.layout.columns), f.lastIsText())
}

// use takes the rows of a batch in the order of the file. It returns errStop after
// mostErrors errors.
func (f *Reader) use(up *lineUp, b batch, from, to cut) error {
	if len(b.plain.pts) > 0 && f.keepsReadings() {
		// So many rows before it were no points.
		data, _ := f.prepared(from, to)
		b = batch{rows: up.cutAll(data, from.line)}
	}
	n := 0
	for i, d := range b.rows {
		if b.plain.pts != nil {
			gap := b.plain.gaps[i]
			f.usePlain(&b.plain, n, gap)
			n = gap + 1
		}
		f.line = d.line
		if err := f.take(d.row); err != nil {
			return err
		}
	}
	f.usePlain(&b.plain, n, len(b.plain.pts))
	f.tenths.join(b.plain.seen)
	return nil
}

// usePlain takes the plain rows from index n to to.
func (f *Reader) usePlain(s *scanned, n, to int) {
	if n >= to {
		return
	}
	if s.said == nil {
		s.said = make([]said, len(s.texts))
	}
	f.readings = nil
	at, pts := len(f.pts), s.pts[n:to]
	f.s.Rows += len(pts)
	if end := at + len(pts); end <= cap(f.pts) && &f.pts[:end][at] == &pts[0] {
		f.pts = f.pts[:end]
	} else {
		f.pts = append(f.pts, pts...)
	}
	for len(s.odd) > 0 && int(s.odd[0]) < to {
		if i := int(s.odd[0]) - n + at; f.pts[i].Z == 0 {
			f.zeros = append(f.zeros, i)
		} else {
			f.markers = append(f.markers, i)
		}
		s.odd = s.odd[1:]
	}
	defer func() {
		if n < len(s.ends) {
			survey.NameAll(f.pts[at:], func(i int) string { return s.name(n + i) })
		}
	}()
	if s.text == nil && f.roles == nil {
		return
	}
	for i := n; i < to; i++ {
		p, as := &f.pts[at+i-n], survey.Floor
		if i < len(s.text) && s.text[i] >= 0 {
			as = f.meaning(s, i, at+i-n, p)
		}
		if as != survey.Floor && f.roles == nil {
			f.roles = make([]survey.Role, at+i-n, cap(f.pts))
		}
		if f.roles != nil {
			f.roles = append(f.roles, as)
		}
	}
}

// said is what a text says of its point, once it has been looked up.
type said struct {
	like  survey.Point // with its code
	m     survey.Meaning
	known bool
}

// meaning gives p, point at, the code or description of point i of s, and returns its role.
// p has no name yet.
func (f *Reader) meaning(s *scanned, i, at int, p *survey.Point) survey.Role {
	k := s.text[i]
	text, t := s.texts[k], &s.said[k]
	switch c := f.of[isRemark]; {
	case t.known:
		p.TagLike(&t.like)
	case f.code != nil:
		tag := p.Tag()
		tag.Code = f.once(text)
		*p = p.With(tag)
		*t = said{*p, f.codes.Code(text), true}
	case text == "":
	default:
		tag := p.Tag()
		tag.Name = s.name(i)
		t.m = f.readDescription(text, &tag)
		tag.Name = ""
		*p = p.With(tag)
		t.like, t.known = *p, !c.prose && !f.codeLike(text) // these are counted
		if t.m.Role == survey.Floor {
			f.leaveUncoded(text, at)
		}
	}
	if t.m.Role != survey.Floor {
		f.ringOf(at, p.Part(), t.m, "")
	}
	return t.m.Role
}

// ringOf remembers that point i is a corner, if m says so.
func (f *Reader) ringOf(i int, part string, m survey.Meaning, wall string) {
	if m.Role == survey.Outline || m.Role == survey.Void || m.Role == survey.Break {
		f.rings = append(f.rings, ringRow{i, m.Role, cmp.Or(part, m.Name), wall})
	}
}
