package order

import (
	"fmt"
	"math"
	"slices"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// Wall is a straight face that the fill meets: a wall, or a part of it between two places
// where the depth bends. Faces of one wall have one name. The depth is linear from start to
// end; below 0 the floor is above the target and nothing is filled.
type Wall struct {
	Name       unit.Text // empty: it has none
	Length     float64   // m
	Start, End float64   // m, depth of fill
	Closed     bool      // the last wall of its loop: of a room, or of a column. Its film laps there
}

// Edge is what isolates the fill from walls and columns: a film hung on them, a strip of
// foam, or both. Without a roll or piece it is measured but not counted.
type Edge struct {
	NoFilm    bool    // foam only
	Above     float64 // m of film above the fill, trimmed later; 0: 0.05 (common practice, no source)
	Foot      float64 // m of film laid on the old floor; 0: none. A film under a bonded fill breaks its bond
	Lap       float64 // m of film at a joint; 0: 0.1 (UK specification for separating sheets; US common practice 6 in)
	Roll      float64 // m length of a roll of film
	Width     float64 // m of a roll, slit along its length into as many strips as possible; 0: a roll is as wide as required
	Strip     float64 // m, thickness of the foam; 0: none. UK 5 mm, US about 1/4 in
	Piece     float64 // m length of a roll or piece of foam
	Height    float64 // m of a piece; 0: as high as required. If the fill is deeper, courses are stacked
	Allowance float64 // share added to film and foam for corners and offcuts
}

const (
	usualAbove = 0.05 // m, see [Edge]
	usualLap   = 0.1  // m, see [Edge]
	wallMost   = 5.0  // m: deeper was entered in another unit; own choice
)

// Face is the film and foam for one wall.
type Face struct {
	Wall
	Film    float64 // m, height at the deeper end, foot included
	Courses int     // of foam
}

// Edging is an order of film and foam.
type Edging struct {
	Faces  []Face  // walls with fill, as given
	Length float64 // m of their filled parts together

	FilmHeight float64 // m, max
	FilmArea   float64 // m² of wall and floor behind it, without laps
	FilmLength float64 // m to cut, with laps and allowance
	Laps       int     // joints
	Rolls      int

	FoamHeight float64 // m, max depth: foam covers all of it
	FoamLength float64 // m, with courses and allowance
	Pieces     int
	Displaced  float64 // m³ of mix that the foam replaces

	Notes []survey.Note
}

// Along returns the film and foam for walls, where there is fill: film as high as the depth
// at the deeper end, plus the part above and the foot on the floor; foam over the full
// depth. Walls follow each other as built. Film goes once round each closed loop and laps
// where it meets itself and where a roll ends. Rolls and pieces are rounded up, never down.
// Doors are not walls: leave them out.
func (e Edge) Along(walls []Wall) (Edging, error) {
	e, err := e.checked()
	if err != nil {
		return Edging{}, err
	}
	t := edgeTally{Edge: e}
	for i, w := range walls {
		if err := t.wall(i, w); err != nil {
			return Edging{}, err
		}
	}
	t.note()
	out := t.Edging
	if !e.NoFilm && out.Length > 0 {
		if err := e.film(&out, max(1, t.loops)); err != nil {
			return Edging{}, err
		}
	}
	out.FoamLength, out.Displaced = t.courses*(1+e.Allowance), t.backed*e.Strip
	if e.Piece > 0 {
		n, err := packs("foam", out.FoamLength/e.Piece)
		if err != nil {
			return Edging{}, err
		}
		out.Pieces = n
	}
	return out, nil
}

// checked fills in defaults and refuses impossible sizes.
func (e Edge) checked() (Edge, error) {
	if e.Above == 0 {
		e.Above = usualAbove
	}
	if e.Lap == 0 {
		e.Lap = usualLap
	}
	size := func(name string, v float64) quantity {
		return quantity{name, v, 0, wallMost, "a length between 0 and 5 m"}
	}
	if err := check(size(PartFilmAbove, e.Above), size(PartFilmFoot, e.Foot), size(PartFilmLap, e.Lap), amount(PartFilmRoll, e.Roll, "a length in m"), amount(PartRollWidth, e.Width, "a width in m"),
		quantity{PartFoam, e.Strip, 0, 0.1, "a thickness between 0 and 0.1 m"}, amount(PartFoamPiece, e.Piece, "a length in m"), amount(PartFoamHeight, e.Height, "a height in m"), share(PartAllowance, e.Allowance)); err != nil {
		return e, err
	}
	if e.Roll > 0 && e.Roll <= e.Lap {
		return e, refuse(PartFilmRoll, fmt.Sprintf("%g m", e.Roll), fmt.Sprintf("a length beyond the lap, %g m", e.Lap))
	}
	return e, nil
}

// edgeTally adds up film and foam wall by wall.
type edgeTally struct {
	Edge
	Edging
	courses float64     // m of foam
	backed  float64     // m² of wall behind it
	stacked []unit.Text // names of walls with several courses, each once
	high    float64     // m of them
	highest int         // courses
	dry     float64     // m of wall where nothing is filled
	loops   int         // closed loops with fill
	begun   bool        // the loop that is still open has fill
}

// wall takes wall i.
func (t *edgeTally) wall(i int, w Wall) error {
	name := w.Name
	if name == (unit.Text{}) {
		w.Name = unit.Textf("wall %d", i+1)
	}
	of := w.Name.String()
	if err := check(quantity{of + ", length", w.Length, 0, 1e6, "a length in m, 0 to 1e6"}, quantity{of + ", depth at its start", w.Start, -wallMost, wallMost, "a depth within 5 m"},
		quantity{of + ", depth at its end", w.End, -wallMost, wallMost, "a depth within 5 m"}); err != nil {
		return err
	}
	greatest, length := max(w.Start, w.End), w.filled()
	t.dry += w.Length - length
	t.begun = t.begun || length > 0
	if t.begun && w.Closed {
		t.loops++
		t.begun = false
	}
	if length == 0 {
		return nil
	}
	f, wet := Face{Wall: w}, length*(greatest+max(0, min(w.Start, w.End)))/2
	t.Length += length
	if !t.NoFilm {
		f.Film = greatest + t.Above + t.Foot
		t.FilmHeight = max(t.FilmHeight, f.Film)
		t.FilmArea += wet + (t.Above+t.Foot)*length
	}
	if t.Strip > 0 {
		var err error
		if f.Courses, err = t.coursesTo(greatest); err != nil {
			return err
		}
		if f.Courses > 1 {
			t.high, t.highest = t.high+length, max(t.highest, f.Courses)
			if name != (unit.Text{}) && !slices.ContainsFunc(t.stacked, func(n unit.Text) bool { return n.String() == name.String() }) {
				t.stacked = append(t.stacked, name)
			}
		}
		t.courses += float64(f.Courses) * length
		t.FoamHeight = max(t.FoamHeight, greatest)
		t.backed += wet
	}
	t.Faces = append(t.Faces, f)
	return nil
}

// coursesTo returns how many courses of foam reach a depth.
func (e Edge) coursesTo(depth float64) (int, error) {
	n := 1.0
	if e.Height > 0 {
		n = stepsTo(depth, e.Height)
	}
	if n > 1000 {
		return 0, refuse(PartFoamHeight, fmt.Sprintf("%g m", e.Height), "a height that reaches the depth in no more than 1000 courses")
	}
	return int(n), nil
}

// note adds where there is no film, and where foam is in courses.
func (t *edgeTally) note() {
	if t.dry > hair {
		t.Notes = append(t.Notes, survey.Notef(survey.Assumed, survey.Pos{}, "%s of wall is where nothing is filled: no film and no foam there", unit.Distance(t.dry)))
	}
	if t.highest == 0 {
		return
	}
	where := unit.Textf("along %s of wall", unit.Distance(t.high))
	switch n := len(t.stacked); {
	case n > 3:
		where = unit.Textf("along %d walls, %s", n, unit.Distance(t.high))
	case n > 0:
		names := t.stacked[n-1]
		if n > 1 {
			names = unit.Textf("%s and %s", unit.Join(t.stacked[:n-1], ", "), names)
		}
		where = unit.Textf("along %s, %s", names, unit.Distance(t.high))
	}
	t.Notes = append(t.Notes, warning("foam of %s is lower than the fill %s, max depth %s: up to %d courses there; tape their joints", unit.Depth(t.Height), where, unit.DepthUp(t.FoamHeight), t.highest))
}

// film counts laps and rolls: one lap per loop, and one wherever a roll ends.
func (e Edge) film(out *Edging, loops int) error {
	round := out.Length * (1 + e.Allowance)
	out.Laps = loops
	if e.Roll > 0 {
		// n rolls reach round with their laps: n × roll = round + (loops + n − 1) × lap.
		n, err := packs("film", (round+float64(loops-1)*e.Lap)/(e.Roll-e.Lap))
		if err != nil {
			return err
		}
		strips := 1.0
		if e.Width > 0 {
			if strips = math.Floor(e.Width/out.FilmHeight + hair); strips < 1 {
				return (&survey.Error{Part: PartRollWidth, Element: named(PartRollWidth), Hint: "a wider roll, a smaller foot, or less film above the fill"}).
					Measured(unit.Textf("%s", unit.Depth(e.Width)), unit.Textf("at least the height of the film, %s", unit.Depth(out.FilmHeight)), unit.Text{})
			}
		}
		out.Laps, out.Rolls = loops+n-1, int(wholes(float64(n)/strips))
	}
	out.FilmLength = round + float64(out.Laps)*e.Lap
	return nil
}

// filled returns the length of w with fill, m.
func (w Wall) filled() float64 {
	lo, hi := min(w.Start, w.End), max(w.Start, w.End)
	switch {
	case hi <= hair:
		return 0
	case lo >= 0:
		return w.Length
	}
	return w.Length * (hi / (hi - lo)) // the share is at most 1
}
