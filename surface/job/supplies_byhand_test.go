package job

import (
	"fmt"
	"strings"
	"testing"
	"testing/fstest"
)

// Film and foam by hand in feet. A room of 20 × 15 ft has 70 ft of walls, with 4 in of fill. Film stands 2 in
// above it and 3 in on the floor: 9 in. With 10 % for corners it is 77 ft, two rolls of 50, which
// lap twice by 6 in: 78 ft. Behind it are 70 × 9 in, 52.5 ft². Foam of 2 in is laid in two courses: 140
// ft, with 10 % 154, in pieces of 8 ft 20. Of 1/4 in it takes the place of 70 × 1/3 × 1/48 ft³.
func TestFilmAndFoamInFeetByHand(t *testing.T) {
	t.Parallel()
	const foot = 0.3048
	const keys = "[edge]\nfilm = true\nabove = \"2in\"\nfoot = \"3in\"\nlap = \"6in\"\nroll = \"50ft\"\nprice-per-roll = 30.0\nfoam = \"1/4in\"\nfoam-piece = \"8ft\"\nfoam-height = \"2in\"\nprice-per-piece = 2.5\nallowance-percent = 10\n"
	r := solved(t, hundredFeet+keys, roomInFeet(4))
	e := r.Edging
	near(t, "walls, ft", e.Length/foot, 70)
	near(t, "film, in high", e.FilmHeight/0.0254, 9)
	near(t, "film, ft", e.FilmLength/foot, 78)
	near(t, "film, ft bought", BoughtLength(e.FilmLength, true)/foot, 78)
	near(t, "film, ft²", e.FilmArea/foot/foot, 52.5)
	near(t, "foam, in high", e.FoamHeight/0.0254, 4)
	near(t, "foam, ft", e.FoamLength/foot, 154)
	near(t, "foam, ft bought", BoughtLength(e.FoamLength, true)/foot, 154)
	near(t, "mix displaced, ft³", e.Displaced/foot/foot/foot, 70.0/3/48)
	if e.Laps != 2 || e.Rolls != 2 || e.Pieces != 20 {
		t.Errorf("%d laps, %d rolls, %d pieces; by hand 2, 2 and 20", e.Laps, e.Rolls, e.Pieces)
	}
	// Two rolls at 30.00 and 20 pieces at 2.50.
	sum := 0.0
	for _, l := range r.Supplies.Total.Lines {
		if text := l.Item.In(styleOf(r)); strings.Contains(text, "ilm") || strings.Contains(text, "oam") {
			sum += l.Amount()
		}
	}
	near(t, "price of film and foam", sum, 60+50)
	// On a wedge of 2 to 6 in film is as high as at the deepest wall: 11 in. Behind it is the same area:
	// the mean depth of the walls is 4 in too.
	text := "point,x (ft),y (ft),z (ft)\n"
	for i := range 25 {
		x, y := float64(i/5)*5, float64(i%5)*3.75
		text += fmt.Sprintf("%d,%g,%g,%.9f\n", 100+i, x, y, 100-(2+4*x/20)/12)
	}
	files := fstest.MapFS{"floor.csv": {Data: []byte(text)}, "walls.csv": roomInFeet(4)["walls.csv"]}
	e = solved(t, hundredFeet+keys, files).Edging
	isWithin(t, "film on a wedge, in high", e.FilmHeight/0.0254, 11, 1e-6)
	isWithin(t, "film on a wedge, ft²", e.FilmArea/foot/foot, 52.5, 1e-6)
	isWithin(t, "foam on a wedge, in high", e.FoamHeight/0.0254, 6, 1e-6)
	isWithin(t, "mix displaced on a wedge, ft³", e.Displaced/foot/foot/foot, 70.0/3/48, 1e-6)
}

// Joints by hand in feet: 20 ft, 1/2 in wide, in 4 in of fill. The cut is a quarter, 1 in. A stiff filler
// takes 240 × 1/2 × 1 = 120 in³, 1.97 L, 7 packs of 0.3 L. An elastic one is half as deep as wide, 1/4
// in: 30 in³, 0.49 L, 2 packs, over 20 ft of rod of 5/8 in, for which 3/4 in are left. With 10 % the rod is
// 22 ft, at 0.25 a foot 5.50.
func TestJointsInFeetByHand(t *testing.T) {
	t.Parallel()
	const foot, inch = 0.3048, 0.0254
	litre := func(cubicInches float64) float64 { return cubicInches * inch * inch * inch * 1000 }
	for _, c := range []struct {
		keys       string
		fill       float64 // in
		filler     float64 // in³
		packs      int
		rod, price float64 // ft; of all
	}{
		{"", 1, 120, 7, 0, 56}, {"elastic = true\n", 0.25, 30, 2, 20, 16 + 5}, {"elastic = true\nallowance-percent = 10\n", 0.25, 33, 2, 22, 16 + 5.50},
	} {
		r := solved(t, hundredFeet+"[joints]\nkind = \"contraction\"\nlength = \"20ft\"\nwidth = \"1/2in\"\npack-litres = 0.3\nprice-per-pack = 8.0\nrod-price-per-ft = 0.25\n"+c.keys, roomInFeet(4))
		j := r.Joints
		near(t, c.keys+"cut, in", j.Cut/inch, 1)
		near(t, c.keys+"filler deep, in", j.Fill/inch, c.fill)
		near(t, c.keys+"filler, L", j.Filler, litre(c.filler))
		near(t, c.keys+"rod, ft", j.Rod/foot, c.rod)
		if c.rod > 0 {
			near(t, c.keys+"rod thick, in", j.Bore/inch, 0.625)
		}
		sum := 0.0
		for _, l := range r.Supplies.Total.Lines {
			sum += l.Amount()
		}
		if near(t, c.keys+"price", sum, c.price); j.Packs != c.packs {
			t.Errorf("%s%d packs, by hand %d", c.keys, j.Packs, c.packs)
		}
	}
}
