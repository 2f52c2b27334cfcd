package survey

import (
	"fmt"
	"sync"
	"sync/atomic"
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

// tags holds the tags of all points. A point has the number of its tag in place of the tag:
// most points of a scan have the same one but for its line, and lists of millions of points
// without pointers cost the garbage collector nothing. Tags are never removed; a command
// reads its files once.
var tags = tagTable{shared: map[Tag]uint32{}}

func init() { tags.find("", 0, Tag{}) } // number 0, of points without a tag

// tagTable has its entries on pages, so that a point can be asked for its tag while
// another goroutine adds one.
type tagTable struct {
	pages  atomic.Pointer[[]*tagPage]
	mu     sync.Mutex
	used   uint32
	last   uint32         // the entry that was found last
	shared map[Tag]uint32 // entries without name and column
}

const pageBits = 12

type tagPage [1 << pageBits]tagEntry

// tagEntry is one tag but for its line. Points of one file and code share the rest.
type tagEntry struct {
	name string
	col  int
	rest *Tag // without name, line and column, but for a line that a point has no room for
}

func (t *tagTable) at(n uint32) *tagEntry {
	return &(*t.pages.Load())[n>>pageBits][n&(1<<pageBits-1)]
}

// add adds an entry. The caller holds the lock.
func (t *tagTable) add(e tagEntry) uint32 {
	n := t.used
	if n&(1<<pageBits-1) == 0 {
		var pages []*tagPage
		if old := t.pages.Load(); old != nil {
			pages = *old
		}
		pages = append(pages, new(tagPage)) // readers of the old list see no more than its length
		t.pages.Store(&pages)
	}
	if t.used++; t.used == 0 {
		panic("survey: more than 2³² tags")
	}
	*t.at(n) = e
	return n
}

// find returns the number of an entry, and adds it if there is none. Names and columns
// occur once mostly, so those of before are not looked for. The caller holds the lock.
func (t *tagTable) find(name string, col int, rest Tag) uint32 {
	bare := name == "" && col == 0
	if t.used > 0 {
		last := t.at(t.last)
		same := *last.rest == rest
		switch {
		case same && last.name == name && last.col == col:
			return t.last
		case same && !bare:
			t.last = t.add(tagEntry{name, col, last.rest})
			return t.last
		}
	}
	n, known := t.shared[rest]
	if !known {
		n = t.add(tagEntry{rest: &rest})
		if rest.Remark == "" { // a remark occurs once mostly
			t.shared[rest] = n
		}
	}
	if !bare {
		n = t.add(tagEntry{name, col, t.at(n).rest})
	}
	t.last = n
	return n
}

// With returns the point with another tag.
func (p Point) With(t Tag) Point {
	name, col := t.Name, t.At.Col
	t.Name, t.At.Col, p.line = "", 0, 0
	if line := uint32(t.At.Line); int(line) == t.At.Line {
		t.At.Line, p.line = 0, line
	}
	tags.mu.Lock()
	p.tag = tags.find(name, col, t)
	tags.mu.Unlock()
	return p
}

// Like returns the point with the tag of q, but on its own line.
func (p Point) Like(q Point) Point {
	if tags.at(q.tag).rest.At.Line != 0 || tags.at(p.tag).rest.At.Line != 0 {
		t := q.Tag()
		t.At.Line = p.At().Line
		return p.With(t)
	}
	p.tag = q.tag
	return p
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

// OnLine returns the point with the number of another line of its file.
func (p Point) OnLine(n int) Point {
	if tags.at(p.tag).rest.At.Line == 0 && int(uint32(n)) == n {
		p.line = uint32(n)
		return p
	}
	t := p.Tag()
	t.At.Line = n
	return p.With(t)
}

// NameAll gives pts[i] the name name(i), where that is not empty. It is faster than
// [Point.Named].
func NameAll(pts []Point, name func(i int) string) {
	tags.mu.Lock()
	defer tags.mu.Unlock()
	for i := range pts {
		if n := name(i); n != "" {
			e := *tags.at(pts[i].tag)
			e.name = n
			pts[i].tag = tags.add(e)
		}
	}
}

// Tag returns all that is known of the point besides its place.
func (p Point) Tag() Tag {
	e := tags.at(p.tag)
	t := *e.rest
	t.Name, t.At = e.name, p.At()
	return t
}

// At returns where the point is in its file.
func (p Point) At() Pos {
	e := tags.at(p.tag)
	at := e.rest.At
	if at.Col = e.col; p.line != 0 {
		at.Line = int(p.line)
	}
	return at
}

// Name returns the name of the point as written: 007 and 7 are two names; empty in scans.
func (p Point) Name() string { return tags.at(p.tag).name }

// Code returns the code of the point as written.
func (p Point) Code() string { return tags.at(p.tag).rest.Code }

// Remark returns the text of a column headed as remarks.
func (p Point) Remark() string { return tags.at(p.tag).rest.Remark }

// Part returns the region, ring or line of the point; often empty.
func (p Point) Part() string { return tags.at(p.tag).rest.Part }

// String writes the point with its tag.
func (p Point) String() string {
	return fmt.Sprint(p.X, p.Y, p.Z, p.Tag())
}
