package text

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"pourplane/survey"
)

// ringRow is a corner of a ring or a vertex of a breakline.
type ringRow struct {
	pt   int
	role survey.Role
	name string
	wall string
}

// corner reads a row of an outline file.
func (f *Reader) corner(r *row, p survey.Point, m survey.Meaning) {
	errs := len(f.errs)
	if c := f.of[isZ]; c != nil {
		if z, ok := f.length(c, &r.Z); ok {
			p.Z = z
		}
	}
	as := survey.Outline
	switch c := f.of[isRing]; {
	case c != nil:
		switch word := strings.ToLower(strings.TrimSpace(r.Ring.text)); word {
		case "outer", "outline", "edge", "":
		case "hole", "inner", "void", "opening":
			as = survey.Void
		case "line", "break", "breakline", "step":
			as = survey.Break
		default:
			f.fail(&survey.Error{Pos: f.cellPos(c), Element: c.String(), Found: strconv.Quote(r.Ring.text), Want: "outer, hole or line"})
		}
	case f.of[isCode] != nil && (m.Role == survey.Outline || m.Role == survey.Void || m.Role == survey.Break):
		as = m.Role
		t := p.Tag()
		t.Part = cmp.Or(t.Part, m.Name)
		p = p.With(t)
	}
	seq := math.NaN()
	if c := f.of[isSeq]; c != nil && strings.TrimSpace(r.Seq.text) != "" {
		v, err := strconv.Atoi(strings.TrimSpace(r.Seq.text))
		if err != nil {
			f.fail(&survey.Error{Pos: f.cellPos(c), Element: c.String(), Found: strconv.Quote(r.Seq.text), Want: "a whole number"})
		}
		seq = float64(v)
	}
	if len(f.errs) > errs {
		return
	}
	name := p.Part()
	if f.of[isRing] == nil && f.of[isCode] == nil && f.of[isPart] == nil {
		name = "" // all rows are one ring
	}
	f.rings = append(f.rings, ringRow{len(f.pts), as, name, strings.TrimSpace(r.Wall.text)})
	f.seqs = append(f.seqs, seq)
	f.keep(p, as)
}

// lines joins corners into rings and vertices into breaklines. Rows with the same name
// belong together wherever they are. Rows without a name do so in an outline file; in a
// list of shots they must follow one another.
func (f *Reader) lines(drop map[int]bool) {
	type key struct {
		role survey.Role
		name string
		run  int
	}
	groups := map[key][]int{}
	var order []key
	run := 0
	for i, r := range f.rings {
		if i > 0 {
			if last := f.rings[i-1]; last.role != r.role || last.name != r.name || !f.outline && r.pt != last.pt+1 {
				run++
			}
		}
		k := key{r.role, r.name, 0}
		if r.name == "" && !f.outline {
			k.run = run
		}
		if groups[k] == nil {
			order = append(order, k)
		}
		groups[k] = append(groups[k], i)
	}
	for _, k := range order {
		members := groups[k]
		if f.seqs != nil && !slices.ContainsFunc(members, func(i int) bool { return math.IsNaN(f.seqs[i]) }) {
			slices.SortStableFunc(members, func(a, b int) int { return int(f.seqs[a] - f.seqs[b]) })
		}
		var pts []survey.Point
		var walls []string
		named := false
		for _, i := range members {
			p := f.pts[f.rings[i].pt]
			if drop[f.rings[i].pt] {
				p.Z = math.NaN() // the place is valid, only the elevation is missing
			}
			t := p.Tag()
			t.Part = k.name
			pts = append(pts, p.With(t))
			walls = append(walls, f.rings[i].wall)
			named = named || f.rings[i].wall != ""
		}
		at := pts[0].At()
		if k.role == survey.Break {
			f.s.Breaklines = append(f.s.Breaklines, survey.Breakline{Name: k.name, Points: pts, At: at})
			continue
		}
		if n := len(pts); n > 1 && pts[0].X == pts[n-1].X && pts[0].Y == pts[n-1].Y {
			pts = pts[:n-1]
			walls = walls[:n-1]
		}
		if !named {
			walls = nil
		}
		kind := survey.Outer
		if k.role == survey.Void {
			kind = survey.Hole
		}
		f.s.Rings = append(f.s.Rings, survey.Ring{Name: k.name, Kind: kind, Points: pts, Walls: walls, At: at})
	}
}

// tooFew returns an error for each ring and line that has too few points.
func (f *dialect) tooFew() error {
	var errs []error
	refuse := func(at survey.Pos, what, name string, n, want int) {
		if n < want {
			errs = append(errs, &survey.Error{Pos: at, Element: strings.TrimSpace(what + " " + name), Found: fmt.Sprintf("%d points", n), Want: fmt.Sprintf("at least %d", want)})
		}
	}
	for _, r := range f.s.Rings {
		refuse(r.At, "ring", r.Name, len(r.Points), 3)
	}
	for _, l := range f.s.Breaklines {
		refuse(l.At, "line", l.Name, len(l.Points), 2)
	}
	return survey.JoinErrors(errs)
}
