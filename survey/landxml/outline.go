package landxml

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// sagitta is the max distance of an arc from its chords, m.
const sagitta = 0.001

// touch is the max distance, m, between the ends of two pieces that are one corner: half
// the last digit of files in millimetres. It does not grow with the coordinates, which
// are millions in some grids.
const touch = 0.0005

// features reads PlanFeatures or Parcels: named outlines.
func (l *reader) features(kind string) error {
	return l.x.each(func(e *element) error {
		switch e.name {
		case kind:
			return l.feature(e)
		case "Parcels":
			return l.features(kind)
		}
		return l.x.skip()
	})
}

func (l *reader) feature(e *element) error {
	return l.x.each(func(c *element) error {
		switch c.name {
		case "CoordGeom":
			return l.coordGeom(e)
		case "Parcels":
			return l.features("Parcel")
		}
		return l.x.skip()
	})
}

// geometry is a CoordGeom as read. Its pieces may refer to points further down in the
// file.
type geometry struct {
	owner  element
	pieces []geometryPiece
	whole  bool // every piece is of a supported kind
}

type geometryPiece struct {
	start, end, center survey.Point
	middle             []survey.Point
	curve, ccw         bool
	at                 survey.Pos
}

func (g *geometry) what() string { return g.owner.name + " " + unit.Quote(g.owner.get("name")) }

func (l *reader) coordGeom(owner *element) error {
	g := geometry{owner: *owner, whole: true}
	err := l.x.each(func(e *element) error {
		switch e.name {
		case "Line", "IrregularLine", "Curve":
		default:
			g.whole = false // spirals and chains are not supported
			return l.x.skip()
		}
		p := geometryPiece{curve: e.name == "Curve", at: e.at}
		if p.curve {
			switch rot := e.get("rot"); strings.ToLower(rot) {
			case "ccw":
				p.ccw = true
			case "cw":
			default:
				return &survey.Error{Pos: e.at, Element: "rot of a Curve of " + g.what(), Found: strconv.Quote(rot), Want: "cw or ccw"}
			}
		}
		found := map[string]bool{}
		err := l.x.each(func(c *element) error {
			var err error
			switch c.name {
			case "PntList2D", "PntList3D":
				p.middle, err = l.list(c, map[string]int{"PntList2D": 2, "PntList3D": 3}[c.name], g.what())
				return err
			case "Start":
				p.start, err = l.end(c, g.what())
			case "End":
				p.end, err = l.end(c, g.what())
			case "Center":
				p.center, err = l.end(c, g.what())
			default:
				return l.x.skip()
			}
			found[c.name] = true
			return err
		})
		if err != nil {
			return err
		}
		want := 2
		if p.curve {
			want = 3
		}
		if len(found) != want || found["Center"] != p.curve {
			return &survey.Error{Pos: e.at, Element: e.name + " of " + g.what(), Found: fmt.Sprintf("%d places", len(found)), Want: map[int]string{2: "Start and End", 3: "Start, Center and End"}[want]}
		}
		g.pieces = append(g.pieces, p)
		return nil
	})
	l.geometries = append(l.geometries, g)
	return err
}

// end reads a place that may be a reference. A reference has an infinite elevation until
// it is resolved.
func (l *reader) end(e *element, what string) (survey.Point, error) {
	p, n, err := l.place(func() string { return e.name + " of " + what }, e)
	if n == 0 {
		p = p.Named(e.get("pntRef"))
		p.Z = math.Inf(1)
	}
	return p, err
}

// outline joins pieces end to start into a ring. An open line is not an outline and has
// a note.
func (l *reader) outline(g *geometry) error {
	r := survey.Ring{Name: g.owner.get("name"), At: g.owner.at}
	gap, arcs := 0.0, 0
	for i := range g.pieces {
		p := &g.pieces[i]
		ends := []survey.Point{p.start, p.end, p.center}
		if err := l.resolveAll(ends, false); err != nil {
			return err
		}
		p.start, p.end, p.center = ends[0], ends[1], ends[2]
		if i > 0 {
			gap = max(gap, l.apart(g.pieces[i-1].end, p.start))
		}
		switch {
		case p.curve:
			p.middle = l.chords(p)
			arcs++
			// The end must be on the arc, within the tolerance for a gap.
			gap = max(gap, math.Abs(l.apart(p.center, p.start)-l.apart(p.center, p.end)))
		default: // the list usually repeats start and end: drop them, they are added below
			if n := len(p.middle); n > 0 && l.apart(p.middle[n-1], p.end) <= touch {
				p.middle = p.middle[:n-1]
			}
			if len(p.middle) > 0 && l.apart(p.middle[0], p.start) <= touch {
				p.middle = p.middle[1:]
			}
		}
		r.Points = append(append(r.Points, p.start), p.middle...)
	}
	if n := len(g.pieces); n > 0 {
		gap = max(gap, l.apart(g.pieces[n-1].end, g.pieces[0].start))
	}
	switch {
	case !g.whole, gap <= touch && len(r.Points) < 3:
		l.note(survey.Assumed, g.owner.at, "%s is not a closed line that can be followed, and no outline", g.what())
		return nil
	case gap > touch:
		l.note(survey.Assumed, g.owner.at, "%s has a gap of %.3f m: it is not closed, and no outline", g.what(), gap)
		return nil
	}
	for i := range r.Points {
		r.Points[i].Z = math.NaN()
	}
	if arcs > 0 {
		l.note(survey.Assumed, g.owner.at, "%s has %s, which straight pieces follow to %g mm", g.what(), survey.Plural(arcs, "curved side"), 1000*sagitta)
	}
	l.s.Outlines = append(l.s.Outlines, r)
	return nil
}

// apart returns the distance between two places, m.
func (l *reader) apart(a, b survey.Point) float64 {
	return l.unit.metres(math.Hypot(a.X-b.X, a.Y-b.Y))
}

// chords returns the points on an arc from start to end, so close that the arc is
// [sagitta] max from its chords.
func (l *reader) chords(p *geometryPiece) []survey.Point {
	from := math.Atan2(p.start.Y-p.center.Y, p.start.X-p.center.X)
	sweep := math.Atan2(p.end.Y-p.center.Y, p.end.X-p.center.X) - from
	if p.ccw && sweep <= 0 {
		sweep += 2 * math.Pi
	}
	if !p.ccw && sweep >= 0 {
		sweep -= 2 * math.Pi
	}
	radius := math.Hypot(p.start.X-p.center.X, p.start.Y-p.center.Y)
	step := math.Pi / 4
	if most := sagitta / l.unit.metres(1); most < radius {
		step = min(step, 2*math.Acos(1-most/radius))
	}
	n := int(min(math.Ceil(math.Abs(sweep)/step), 1e5))
	var out []survey.Point
	for i := 1; i < n; i++ {
		angle := from + sweep*float64(i)/float64(n)
		out = append(out, survey.Point{X: p.center.X + radius*math.Cos(angle), Y: p.center.Y + radius*math.Sin(angle)}.With(survey.Tag{At: p.at}))
	}
	return out
}
