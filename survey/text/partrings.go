package text

import (
	"fmt"
	"math"
	"strings"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// partRings reads an outline with a column for parts and none for rings. Where every part has the
// corners of a ring of its own and none is inside another, each is a room. Where no two rows have
// the same part, its cells name the corners of one ring. All else can be read two ways, and is
// refused.
func (f *Reader) partRings() error {
	if !f.outline || f.of[isPart] == nil || f.of[isRing] != nil || f.of[isCode] != nil {
		return nil
	}
	corners := map[string][]survey.Point{}
	var names []string
	for _, r := range f.rings {
		if corners[r.name] == nil {
			names = append(names, r.name)
		}
		p := f.pts[r.pt]
		if first := corners[r.name]; len(first) > 0 && p.X == first[0].X && p.Y == first[0].Y {
			continue // closes it
		}
		corners[r.name] = append(corners[r.name], p)
	}
	few, least, most := "", math.MaxInt, 0
	for _, name := range names {
		if n := len(corners[name]); n < least {
			few, least = name, n
		}
		most = max(most, len(corners[name]))
	}
	if len(names) < 2 || most == 1 {
		for i := range f.rings {
			f.rings[i].name = ""
		}
		return nil
	}
	refuse := func(at survey.Pos, found, want string) error {
		return &survey.Error{Pos: at, Element: f.of[isPart].String(), Found: found + ", and no column ring", Want: want,
			Hint: "add a column ring: outer in each row of a room or a pit, hole in each of a column, line in each of a step; or delete the column part, if all rows are the corners of one room"}
	}
	if least < 3 {
		return refuse(corners[few][0].At(), fmt.Sprintf("%s for %s", survey.Plural(least, "corner"), partName(few)), "at least 3 corners for each part")
	}
	for _, in := range names {
		for _, around := range names {
			if in != around && isInside(corners[in], corners[around]) {
				return refuse(corners[in][0].At(), fmt.Sprintf("%s inside %s", partName(in), partName(around)), "whether that is a hole or a floor of its own")
			}
		}
	}
	return nil
}

func partName(name string) string {
	if name == "" {
		return "rows without a part"
	}
	return "part " + unit.Quote(strings.TrimSpace(name))
}

// isInside reports whether a ring is inside another, or on its edge, by its corners and the middles
// of its sides.
func isInside(ring, around []survey.Point) bool {
	for i, p := range ring {
		q := ring[(i+1)%len(ring)]
		if !inOrOn(p.X, p.Y, around) || !inOrOn((p.X+q.X)/2, (p.Y+q.Y)/2, around) {
			return false
		}
	}
	return true
}

// inOrOn reports whether a place is in a ring or within a micrometre of its edge.
func inOrOn(x, y float64, ring []survey.Point) bool {
	const same = 1e-6 // m
	in := false
	for i, a := range ring {
		b := ring[(i+1)%len(ring)]
		dx, dy := b.X-a.X, b.Y-a.Y
		t := 0.0
		if along := dx*dx + dy*dy; along > 0 {
			t = min(1, max(0, ((x-a.X)*dx+(y-a.Y)*dy)/along))
		}
		if math.Hypot(x-a.X-t*dx, y-a.Y-t*dy) <= same {
			return true
		}
		if (a.Y > y) != (b.Y > y) && x < a.X+(y-a.Y)/dy*dx {
			in = !in
		}
	}
	return in
}
