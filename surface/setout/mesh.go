package setout

import (
	"cmp"
	"math"
	"slices"

	"pourplane/surface"
	"pourplane/surface/internal/sum"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// MeshRules are how sheets of mesh are laid, in metres. Length, Width and Mass are required;
// any other zero field has the default given with it: the second figure for a crew that
// works in feet and inches.
type MeshRules struct {
	Length, Width float64 // of a sheet; Length runs along the main wall
	Mass          float64 // kg/m²
	Lap           float64 // 0: 0.2, 8 in (a square of 150 mm and 50 mm, 6 in and 2 in; from memory of ACI 318)
	Cover         float64 // above the mesh and below it; 0: 0.02, 3/4 in (own choice)
	US            bool    // the second figures are the defaults
}

// edge is the distance from walls to the mesh: 50 mm, 2 in (own choice).
func (r MeshRules) edge() float64 { return usual(r.US, 0.05, 2*inch) }

func (r MeshRules) filled() (MeshRules, error) {
	r.Lap = cmp.Or(r.Lap, usual(r.US, 0.2, 8*inch))
	r.Cover = cmp.Or(r.Cover, usual(r.US, 0.02, 0.75*inch))
	err := check(length(PartSheetLength, r.Length), length(PartSheetWidth, r.Width),
		measure{PartMeshMass, r.Mass, 1e-3, 1000, "a mass in kg/m² above 0", ""}, length(PartSheetLap, r.Lap), length("cover of mesh", r.Cover))
	switch {
	case err != nil:
	case r.Lap >= min(r.Length, r.Width):
		err = measured(PartSheetLap, unit.Textf("%s", unit.Distance(r.Lap)), unit.Textf("less than the sheet is wide, %s", unit.Distance(min(r.Length, r.Width))))
	}
	return r, err
}

// Sheet is a sheet of mesh as laid, before it is trimmed to walls that run across it.
type Sheet struct {
	Room    string
	Corners [4]surface.Vec // counter-clockwise
	Length  float64        // m; the last of a row and the last row are cut
	Width   float64
}

// Mesh is the sheets that cover a floor.
type Mesh struct {
	Rules  MeshRules
	Sheets []Sheet
	Count  int     // sheets to buy: one for each laid, cut or whole
	Area   float64 // m² as laid, laps counted twice, before sheets are trimmed
	Lapped float64 // m² of double layer
	Mass   float64 // kg of Count whole sheets
	Thin   Thin    // where the depth is less than Cover above and below together, and where nothing is filled; sheets are still laid and counted there
	Notes  []survey.Note
}

// LayMesh lays sheets of mesh on f for a pour to target: rows along the longest wall of each
// room, each sheet lapping the last and each row the one before. A row continues as long as
// there is floor anywhere under it; sheets are trimmed to openings and skew walls.
//
// Errors are [*survey.Error]: rules or a target that are not lengths, a floor that is above
// the target everywhere, a floor with no room for a sheet.
func LayMesh(f *surface.Floor, target surface.Target, r MeshRules) (Mesh, error) {
	r, err := r.filled()
	if err == nil {
		err = checkTarget(target)
	}
	if err == nil {
		err = r.checkFloor(f, target)
	}
	if err != nil {
		return Mesh{}, err
	}
	m := meshLaying{Mesh: Mesh{Rules: r, Notes: hull(f)}}
	for _, room := range roomsOf(f) {
		name := ""
		if len(f.Regions) > 1 {
			name = f.Regions[room.regions[0]].Name
		}
		m.room(name, room)
	}
	out := m.Mesh
	out.Count = len(out.Sheets)
	if out.Count == 0 {
		return Mesh{}, measured("mesh", unit.Textf("no room for a sheet %s from the walls", unit.Depth(r.edge())), unit.Textf("a wider floor"))
	}
	out.Area, out.Lapped = m.area.Value(), m.lapped.Value()
	out.Mass = float64(out.Count) * r.Length * r.Width * r.Mass
	if out.Thin, err = Shallow(f, target, 2*r.Cover); err != nil {
		return Mesh{}, err
	}
	out.note()
	return out, nil
}

// checkFloor refuses a floor that nothing is filled on, and one that takes too many sheets.
func (r MeshRules) checkFloor(f *surface.Floor, target surface.Target) error {
	if _, greatest := f.Depths(target); greatest <= 0 {
		return &survey.Error{Part: "mesh", Element: "mesh", Found: "a floor that is at the target or above it everywhere", Want: "a fill to lay it in"}
	}
	lo, hi := f.Bounds()
	if n := (hi.X - lo.X) * (hi.Y - lo.Y) / ((r.Length - r.Lap) * (r.Width - r.Lap)); n > mostBars {
		return followed(PartSheetLength, unit.Textf("%s by %s with laps of %s, about %.0f sheets on a floor of %s by %s", unit.Distance(r.Length), unit.Distance(r.Width), unit.Depth(r.Lap), n, unit.Distance(hi.X-lo.X), unit.Distance(hi.Y-lo.Y)),
			unit.Textf("sheets of which no more than %d cover the floor", mostBars))
	}
	return nil
}

// meshLaying is mesh while it is laid row by row.
type meshLaying struct {
	Mesh
	area, lapped sum.Sum // m²
}

// room lays the rows of one room.
func (m *meshLaying) room(name string, in room) {
	r, a := m.Rules, in.main()
	p := in.on(a)
	low, high := p.lo.Y+r.edge(), p.hi.Y-r.edge()
	var last []surface.Span // coverage of the row before
	for y := low; y < high-same; y += r.Width - r.Lap {
		top := min(y+r.Width, high)
		if y > low && top-y <= r.Lap+same {
			break // the row before reaches that far
		}
		var row []surface.Span
		for _, s := range p.shadow(y, top) {
			if s = (surface.Span{Lo: s.Lo + r.edge(), Hi: s.Hi - r.edge()}); s.Hi <= s.Lo {
				continue
			}
			row = append(row, s)
			m.row(name, a, s, surface.Span{Lo: y, Hi: top})
			for _, b := range last {
				m.lapped.Add(max(0, min(s.Hi, b.Hi)-max(s.Lo, b.Lo)) * r.Lap)
			}
		}
		last = row
	}
}

// row lays the sheets of one row, between walls at the ends of x.
func (m *meshLaying) row(name string, a axes, x, y surface.Span) {
	r, wide := m.Rules, y.Hi-y.Lo
	for at := x.Lo; at < x.Hi-same; at += r.Length - r.Lap {
		end := min(at+r.Length, x.Hi)
		if at > x.Lo && end-at <= r.Lap+same {
			break
		}
		m.Sheets = append(m.Sheets, Sheet{name, [4]surface.Vec{
			a.out(surface.Vec{X: at, Y: y.Lo}), a.out(surface.Vec{X: end, Y: y.Lo}),
			a.out(surface.Vec{X: end, Y: y.Hi}), a.out(surface.Vec{X: at, Y: y.Hi})}, end - at, wide})
		m.area.Add((end - at) * wide)
		if at > x.Lo {
			m.lapped.Add(r.Lap * wide)
		}
	}
}

// note adds what is to be known of sheets as laid.
func (m *Mesh) note() {
	note := func(k survey.NoteKind, format string, args ...any) {
		m.Notes = append(m.Notes, survey.Notef(k, survey.Pos{}, format, args...))
	}
	note(survey.Assumed, "the area of mesh is as laid, before sheets are trimmed to walls and openings")
	note(survey.Assumed, "a whole sheet is counted for each that is cut: offcuts may serve elsewhere")
	note(survey.Caution, "mesh, laps and cover are as entered: they are chosen by a designer, and local codes take precedence")
}

// shadow returns the stretches along x that have floor somewhere between y and top. Between
// two corners the ends of the floor are straight, so they are farthest at one of the two.
func (p layout) shadow(y, top float64) []surface.Span {
	cuts := []float64{y, top}
	for _, w := range p.walls {
		if w.a.Y > y && w.a.Y < top {
			cuts = append(cuts, w.a.Y)
		}
	}
	slices.Sort(cuts)
	var all []surface.Span
	for i := 1; i < len(cuts); i++ {
		lo, hi := cuts[i-1], cuts[i]
		if hi-lo < hair {
			continue
		}
		mid := (lo + hi) / 2
		type end struct{ at, low, high float64 }
		var ends []end
		for _, w := range p.walls {
			if (w.a.Y <= mid) != (w.b.Y <= mid) {
				x := func(y float64) float64 { return w.a.X + (y-w.a.Y)/(w.b.Y-w.a.Y)*(w.b.X-w.a.X) }
				ends = append(ends, end{x(mid), min(x(lo), x(hi)), max(x(lo), x(hi))})
			}
		}
		slices.SortFunc(ends, func(a, b end) int { return cmp.Compare(a.at, b.at) })
		for j := 1; j < len(ends); j += 2 {
			all = append(all, surface.Span{Lo: ends[j-1].low, Hi: ends[j].high})
		}
	}
	slices.SortFunc(all, func(a, b surface.Span) int { return cmp.Compare(a.Lo, b.Lo) })
	var out []surface.Span
	for _, s := range all {
		if n := len(out); n > 0 && s.Lo <= out[n-1].Hi+hair {
			out[n-1].Hi = math.Max(out[n-1].Hi, s.Hi)
			continue
		}
		out = append(out, s)
	}
	return out
}
