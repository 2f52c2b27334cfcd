package survey

import (
	"fmt"
	"math"
	"sync"
	"testing"
	"unsafe"
)

// TestTag gives points tags and reads them back, also those that repeat, and while other
// goroutines add theirs.
func TestTag(t *testing.T) {
	if n := unsafe.Sizeof(Point{}); n > 40 {
		t.Errorf("a point has %d bytes", n)
	}
	all := []Tag{
		{}, {Name: "A1"}, {Name: "A1"}, {Code: "SLAB"}, {Name: "A1", Code: "SLAB", Remark: "wet", Part: "hall", At: Pos{"f.csv", 7, 3, "Sheet1"}},
		{At: Pos{File: "f.csv", Line: 1}}, {At: Pos{File: "f.csv", Line: 2, Col: 9}}, {At: Pos{File: "f.csv", Line: 3, Col: 9}}, {Remark: "dry"}, {Remark: "dry"},
		{Name: "far", At: Pos{File: "f.csv", Line: math.MaxUint32 + 5, Col: 1}}, {Name: "back", At: Pos{File: "f.csv", Line: -1}}, {At: Pos{File: "f.csv", Line: 4, Col: math.MaxUint32 + 1}},
	}
	var wait sync.WaitGroup
	for k := range 4 {
		wait.Add(1)
		go func() {
			defer wait.Done()
			for i := range 12_000 {
				want := all[(i+k)%len(all)]
				if i%3 == 0 {
					want.Name = fmt.Sprint(want.Name, i)
				}
				p := Point{X: 1, Y: 2, Z: 3}.With(want)
				if got := p.Tag(); got != want || p.X != 1 || p.Y != 2 || p.Z != 3 {
					t.Errorf("got %+v, want %+v", got, want)
					return
				}
				if p.Name() != want.Name || p.Code() != want.Code || p.Remark() != want.Remark || p.Part() != want.Part || p.At() != want.At {
					t.Errorf("%q %q %q %q %v, want %+v", p.Name(), p.Code(), p.Remark(), p.Part(), p.At(), want)
				}
				want.Name = "other"
				if got := p.Named("other").Tag(); got != want {
					t.Errorf("named: %+v, want %+v", got, want)
				}
				for _, n := range []int{12, 0, math.MaxUint32 + 1} {
					if want.At.Line = n; p.Named("other").OnLine(n).Tag() != want {
						t.Errorf("on line %d: %+v, want %+v", n, p.OnLine(n).Tag(), want)
					}
				}
				q := all[(i+1)%len(all)]
				like := q
				if like.At.Line = p.At().Line; p.Like(Point{}.With(q)).Tag() != like {
					t.Errorf("like %+v: %+v", q, p.Like(Point{}.With(q)).Tag())
				}
				other, to := p, Point{}.With(q)
				if other.TagLike(&to); other.Tag() != like {
					t.Errorf("tagged like %+v: %+v", q, other.Tag())
				}
			}
		}()
	}
	wait.Wait()

	// Points of one name and code share their tag: a scan has one.
	at := Pos{File: "shared.csv", Line: 5}
	p, q := (Point{}.With(Tag{Code: "JT", At: at})), (Point{}.With(Tag{Code: "JT", At: Pos{File: "shared.csv", Line: 6}}))
	if p.tag != q.tag {
		t.Errorf("%v and %v have two tags", p, q)
	}
	pts := []Point{Point{}.With(Tag{Code: "JT", At: at}), Point{}.With(Tag{At: at}), {}}
	NameAll(pts, func(i int) string { return []string{"a", "", "c"}[i] })
	for i, want := range []Tag{{Name: "a", Code: "JT", At: at}, {At: at}, {Name: "c"}} {
		if got := pts[i].Tag(); got != want {
			t.Errorf("%+v, want %+v", got, want)
		}
	}
}
