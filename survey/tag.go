package survey

import (
	"fmt"
	"sync/atomic"
	"unique"
)

// Tag is what a file says of a point besides its place, and where it says it.
type Tag struct {
	Name   string // as written: 007 and 7 are two names; empty in scans
	Code   string // as written
	Remark string // text of a column headed as remarks
	Part   string // the region, ring or line of the point; often empty
	At     Pos
}

// Label returns the name for the start of a note.
func (t Tag) Label() string {
	if t.Name == "" {
		return ""
	}
	return Abridged(t.Name) + ": "
}

// tag is the Tag of a point but for its line and column, which the point has. Points of one
// file and code share the rest.
type tag struct {
	name string
	rest unique.Handle[Tag] // without name, line and column, but for one that a point has no room for
}

// untagged is the rest of a point without a tag.
var untagged = unique.Make(Tag{})

// latest is the tag that was given last: the next point is mostly of the same file and code.
var latest atomic.Pointer[tag]

// tagged returns a tag, the latest one again if it is the same.
func tagged(name string, rest Tag) *tag {
	if rest == (Tag{}) && name == "" {
		return nil
	}
	t := &tag{name: name}
	if l := latest.Load(); l == nil || l.rest.Value() != rest {
		t.rest = unique.Make(rest)
	} else if t.rest = l.rest; l.name == name {
		return l
	}
	latest.Store(t)
	return t
}

// rest returns the Tag of p but for its name, line and column.
func (p Point) rest() unique.Handle[Tag] {
	if p.tag == nil {
		return untagged
	}
	return p.tag.rest
}

// With returns the point with another tag.
func (p Point) With(t Tag) Point {
	name := t.Name
	t.Name, p.line, p.col = "", 0, 0
	if n := uint32(t.At.Line); int(n) == t.At.Line {
		p.line, t.At.Line = n, 0
	}
	if n := uint32(t.At.Col); int(n) == t.At.Col {
		p.col, t.At.Col = n, 0
	}
	p.tag = tagged(name, t)
	return p
}

// Equal reports whether two points have the same place and the same tag.
func (p Point) Equal(q Point) bool {
	return p.X == q.X && p.Y == q.Y && p.Z == q.Z && p.Tag() == q.Tag()
}

// Like returns the point with the tag of q, but on its own line.
func (p Point) Like(q Point) Point {
	if p.line != 0 && q.line != 0 {
		p.tag, p.col = q.tag, q.col
		return p
	}
	q.X, q.Y, q.Z = p.X, p.Y, p.Z
	return q.OnLine(p.At().Line)
}

// TagLike makes p what [Point.Like] returns. It is faster for many points.
func (p *Point) TagLike(q *Point) {
	if p.line == 0 || q.line == 0 {
		*p = p.Like(*q)
		return
	}
	p.tag, p.col = q.tag, q.col
}

// Named returns the point with another name.
func (p Point) Named(name string) Point {
	if name == p.Name() {
		return p
	}
	t := p.Tag()
	t.Name = name
	return p.With(t)
}

// OnLine returns the point with the number of another line of its file. It is fast for a
// point that has one.
func (p Point) OnLine(n int) Point {
	if p.line == 0 || int(uint32(n)) != n {
		return p.onLine(n)
	}
	p.line = uint32(n)
	return p
}

// Put makes p a point at x, y, z with the tag of like, which has a line, on line n. It is faster
// than [Point.OnLine] for many points.
func (p *Point) Put(like *Point, n uint32, x, y, z float64) {
	p.X, p.Y, p.Z = x, y, z
	p.tag, p.line, p.col = like.tag, n, like.col
}

func (p Point) onLine(n int) Point {
	t := p.Tag()
	t.At.Line = n
	return p.With(t)
}

// NameAll gives pts[i] the name name(i), where that is not empty. It is faster than
// [Point.Named].
func NameAll(pts []Point, name func(i int) string) {
	all := make([]tag, 0, len(pts))
	for i := range pts {
		if n := name(i); n != "" {
			all = append(all, tag{n, pts[i].rest()})
			pts[i].tag = &all[len(all)-1]
		}
	}
}

// Tag returns all that is known of the point besides its place.
func (p Point) Tag() Tag {
	t := p.rest().Value()
	t.Name, t.At = p.Name(), p.At()
	return t
}

// At returns where the point is in its file.
func (p Point) At() Pos {
	at := p.rest().Value().At
	if p.line != 0 {
		at.Line = int(p.line)
	}
	if p.col != 0 {
		at.Col = int(p.col)
	}
	return at
}

// Name returns the name of the point as written: 007 and 7 are two names; empty in scans.
func (p Point) Name() string {
	if p.tag == nil {
		return ""
	}
	return p.tag.name
}

// Code returns the code of the point as written.
func (p Point) Code() string { return p.rest().Value().Code }

// Remark returns the text of a column headed as remarks.
func (p Point) Remark() string { return p.rest().Value().Remark }

// Part returns the region, ring or line of the point; often empty.
func (p Point) Part() string { return p.rest().Value().Part }

// String writes the point with its tag.
func (p Point) String() string {
	return fmt.Sprint(p.X, p.Y, p.Z, p.Tag())
}
