package order

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"pourplane/survey"
	"pourplane/survey/unit"
)

func TestFilmAndFoamByHand(t *testing.T) {
	// A room of 6 × 4 m with a column of 0.4 × 0.4 m. Depths are 20 to 80 mm along the long
	// sides, 50 mm on average; the column is in 50 mm.
	walls := []Wall{{wallNamed("south"), 6, 0.02, 0.08, false}, {wallNamed("east"), 4, 0.08, 0.08, false}, {wallNamed("north"), 6, 0.08, 0.02, false}, {wallNamed("west"), 4, 0.02, 0.02, true}, {wallNamed("column"), 1.6, 0.05, 0.05, true}}
	e := Edge{Above: 0.05, Foot: 0.07, Lap: 0.1, Roll: 10, Width: 0.65, Strip: 0.005, Piece: 2, Height: 0.05}
	got, err := e.Along(walls)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "length", got.Length, 21.6)
	// 80 + 50 + 70 mm.
	near(t, "film height", got.FilmHeight, 0.2)
	// Wetted 0.30 + 0.32 + 0.30 + 0.08 + 0.08 = 1.08 m²; and 0.12 × 21.6 = 2.592.
	near(t, "film area", got.FilmArea, 3.672)
	// Two loops, the room and the column, and rolls that end twice: (21.6 + 0.1) / 9.9 =
	// 2.19, three pieces; four laps, 22 m. A roll of 0.65 m is slit in three.
	near(t, "film length", got.FilmLength, 22)
	if got.Laps != 4 || got.Rolls != 1 {
		t.Errorf("%d laps, %d rolls, want 4 and 1", got.Laps, got.Rolls)
	}
	// Foam of 50 mm: two courses where the fill is 80 deep: 6, 4, 6 m twice, 4 and 1.6 once: 37.6 m,
	// 18.8 pieces. 1.08 m² × 5 mm = 0.0054 m³.
	near(t, "foam height", got.FoamHeight, 0.08)
	near(t, "foam length", got.FoamLength, 37.6)
	near(t, "displaced", got.Displaced, 0.0054)
	if got.Pieces != 19 || len(got.Notes) != 1 || got.Faces[0].Courses != 2 || got.Faces[3].Courses != 1 {
		t.Errorf("%d pieces, %d notes, %+v; want 19, 1, two courses on three sides", got.Pieces, len(got.Notes), got.Faces)
	}
	if want := "foam of 50 mm is lower than the fill along south, east and north, 16.000 m, max depth 80 mm: up to 2 courses there"; !strings.Contains(words(got.Notes, survey.Warning), want) {
		t.Errorf("notes %v, want %q", got.Notes, want)
	}
	near(t, "film at the west wall", got.Faces[3].Film, 0.14)
}

// Foam of 2 in reaches 8 in in four courses, also where elevations in feet with nine decimals
// make that 0.1 nm more; 10 nm more take a fifth.
func TestCoursesAreNotMoreByRoundingOfDecimals(t *testing.T) {
	for depth, courses := range map[float64]int{(100 - 99.333333333) * foot: 4, 8*inch + 1e-8: 5} {
		got, err := Edge{Strip: 0.005, Height: 2 * inch}.Along([]Wall{{wallNamed("south"), 6, depth, depth, false}})
		if err != nil {
			t.Fatal(err)
		}
		if got.Faces[0].Courses != courses {
			t.Errorf("%.12g m deep: %d courses, want %d", depth, got.Faces[0].Courses, courses)
		}
	}
}

// A wall measured in pieces is one wall, and pieces without names give no number of walls.
func TestPiecesOfAWallAreOneWall(t *testing.T) {
	for want, names := range map[string][5]string{
		"along south and east, 5.000 m, max": {"south", "south", "east", "south", "east"},
		"along 5 walls, 5.000 m, max":        {"a", "b", "c", "d", "e"},
		"along 5.000 m of wall, max":         {},
	} {
		var walls []Wall
		for _, name := range names {
			walls = append(walls, Wall{wallNamed(name), 1, 0.08, 0.08, false})
		}
		got, err := Edge{Strip: 0.005, Height: 0.05}.Along(walls)
		if err != nil || !strings.Contains(words(got.Notes, survey.Warning), want) {
			t.Errorf("%v, %v, want %q", got.Notes, err, want)
		}
	}
}

func TestWallsThatRiseOutOfTheFill(t *testing.T) {
	// By hand: 40 mm to −20 mm along 6 m: filled for 4 m, a triangle of 0.08 m². The other
	// wall is in no fill: 2 + 3 m are dry.
	got, err := Edge{Strip: 0.006}.Along([]Wall{{wallNamed("a"), 6, 0.04, -0.02, false}, {wallNamed("b"), 3, -0.01, 0, true}})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "length", got.Length, 4)
	near(t, "displaced", got.Displaced, 0.08*0.006)
	near(t, "foam length", got.FoamLength, 4)
	near(t, "film height", got.FilmHeight, 0.09)    // 40 + 50 mm, the default
	near(t, "film area", got.FilmArea, 0.08+0.05*4) // and the part above
	near(t, "film length", got.FilmLength, 4+0.1)   // one lap, the default
	if len(got.Faces) != 1 || len(got.Notes) != 1 || got.Notes[0].Text.String() != "5.000 m of wall is where nothing is filled: no film and no foam there" {
		t.Errorf("%d faces, notes %v; want one, and a word of 5 m", len(got.Faces), got.Notes)
	}
	// A dry loop takes no lap. A loop with fill takes one, even if its last wall is dry.
	got, err = Edge{}.Along([]Wall{{wallNamed("dry"), 1, -0.1, -0.1, true}, {wallNamed("wet"), 2, 0.1, 0.1, false}, {wallNamed("its end"), 1, -0.1, -0.1, true}, {wallNamed("column"), 1, 0.1, 0.1, true}})
	if err != nil || got.Laps != 2 {
		t.Errorf("%d laps, %v; want 2", got.Laps, err)
	}
	// Foam only, once round a column.
	got, err = Edge{Strip: 0.006, NoFilm: true}.Along([]Wall{{wallNamed("column"), 0.9, 0.1, 0.1, true}})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "foam round a column", got.FoamLength, 0.9)
	if got.FilmLength != 0 || got.FilmArea != 0 || got.FilmHeight != 0 {
		t.Errorf("no film is wanted, got %+v", got)
	}
	if got, err = (Edge{}).Along(nil); err != nil || got.FilmLength != 0 || got.Laps != 0 {
		t.Errorf("no walls: %+v, %v", got, err)
	}
}

func TestRollsReachRoundAndDeeperFillsTakeMore(t *testing.T) {
	depth := rapid.Float64Range(-0.05, 0.2)
	rapid.Check(t, func(t *rapid.T) {
		e := Edge{
			Above: rapid.Float64Range(0.01, 0.1).Draw(t, "above"), Foot: rapid.Float64Range(0, 0.1).Draw(t, "foot"), Lap: rapid.Float64Range(0.05, 0.2).Draw(t, "lap"),
			Roll: rapid.Float64Range(1, 50).Draw(t, "roll"), Width: rapid.Float64Range(0.6, 4).Draw(t, "width"), Strip: 0.006,
			Piece: rapid.Float64Range(0.5, 50).Draw(t, "piece"), Height: rapid.Float64Range(0.02, 0.3).Draw(t, "height"), Allowance: rapid.Float64Range(0, 0.2).Draw(t, "allowance"),
		}
		var walls, deeper []Wall
		for range rapid.IntRange(1, 6).Draw(t, "walls") {
			w := Wall{unit.Text{}, rapid.Float64Range(0, 30).Draw(t, "length"), depth.Draw(t, "start"), depth.Draw(t, "end"), rapid.Bool().Draw(t, "closed")}
			walls, deeper = append(walls, w), append(deeper, Wall{unit.Text{}, w.Length, w.Start + 0.01, w.End + 0.01, w.Closed})
		}
		a, err := e.Along(walls)
		if err != nil {
			t.Fatal(err)
		}
		b, err := e.Along(deeper)
		if err != nil {
			t.Fatal(err)
		}
		strips := math.Floor(e.Width/max(a.FilmHeight, 1e-3) + 1e-8) // to the last bits
		if held := float64(a.Rolls) * strips * e.Roll; held < a.FilmLength-1e-6 {
			t.Fatalf("%d rolls give %g m, want %g", a.Rolls, held, a.FilmLength)
		}
		if held := float64(a.Pieces) * e.Piece; held < a.FoamLength-1e-6 || held >= a.FoamLength+e.Piece {
			t.Fatalf("%d pieces give %g m, want %g and no whole piece more", a.Pieces, held, a.FoamLength)
		}
		for _, f := range a.Faces {
			if float64(f.Courses)*e.Height < max(f.Start, f.End)-1e-6 {
				t.Fatalf("%d courses of %g m do not reach %+v", f.Courses, e.Height, f.Wall)
			}
		}
		if b.FilmHeight < a.FilmHeight || b.FilmLength < a.FilmLength || b.FilmArea < a.FilmArea || b.FoamLength < a.FoamLength || b.Rolls < a.Rolls {
			t.Fatalf("10 mm deeper takes less: %+v, then %+v", a, b)
		}
	})
}

func TestBadEdgesAreRefusedByName(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	ok := Wall{wallNamed("w"), 1, 0.1, 0.1, false}
	for _, c := range []struct {
		element string
		edge    Edge
		wall    Wall
	}{
		{"film above the fill", Edge{Above: -1}, ok}, {"foot of the film", Edge{Foot: nan}, ok}, {"lap", Edge{Lap: 6}, ok}, {"roll of film", Edge{Roll: inf}, ok},
		{"roll of film", Edge{Roll: 0.1}, ok}, {"width of a roll", Edge{Width: -1}, ok}, {"width of a roll", Edge{Roll: 10, Width: 0.1}, ok},
		{"foam", Edge{Strip: 5}, ok}, {"piece of foam", Edge{Piece: nan}, ok}, {"height of foam", Edge{Height: -1}, ok}, {"height of foam", Edge{Strip: 0.005, Height: 1e-9}, ok},
		{"allowance", Edge{Allowance: 2}, ok}, {"film, packs", Edge{Roll: 0.1000000001}, Wall{wallNamed("w"), 1e6, 0.1, 0.1, false}}, {"foam, packs", Edge{Strip: 0.005, Piece: 1e-12}, ok},
		{"w, length", Edge{}, Wall{wallNamed("w"), -1, 0, 0, false}}, {"wall 1, length", Edge{}, Wall{unit.Text{}, inf, 0, 0, false}}, {"w, length", Edge{}, Wall{wallNamed("w"), 1e7, 0, 0, false}}, {"w, depth at its start", Edge{}, Wall{wallNamed("w"), 1, nan, 0, false}}, {"w, depth at its end", Edge{}, Wall{wallNamed("w"), 1, 0, 20, false}},
	} {
		_, err := c.edge.Along([]Wall{c.wall})
		refused(t, c.element, err)
	}
}

func wallNamed(name string) unit.Text { return unit.Textf("%s", name) }
