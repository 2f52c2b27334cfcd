package text

import (
	"math"
	"regexp"
	"strconv"
	"strings"

	"pourplane/survey"
	"pourplane/survey/unit"
)

var spacingLine = regexp.MustCompile(`(?i)^\W*(?:grid )?(?:spacing|step)\s*[:=]?\s*(\d.*)$`)

// longestRod is longer than any rod, m. The longest in common use is 25 ft, 7.62 m
// (common practice, no source).
const longestRod = 7.7

// cellName matches the name of a grid crossing: letters and a number, in either order.
var cellName = regexp.MustCompile(`^(?:([A-Za-z]{1,2})[ .-]?(\d{1,3})|(\d{1,3})[ .-]?([A-Za-z]{1,2}))$`)

// crossing parses the name of a grid crossing. letters are upper case. A feature code is
// not a crossing.
func crossing(name string) (letters string, number int, ok bool) {
	m := cellName.FindStringSubmatch(strings.TrimSpace(name))
	if m == nil {
		return "", 0, false
	}
	letters = strings.ToUpper(m[1] + m[4])
	if _, isCode := survey.DefaultCodes[letters]; isCode || letters == "HI" || letters == "P" && m[1] == "" {
		return "", 0, false
	}
	number, err := strconv.Atoi(m[2] + m[3])
	return letters, number, err == nil
}

// letterIndex counts A as 0, Z as 25, AA as 26. If skips is set, I and O are not counted,
// as is common on building grids (common practice, no source).
func letterIndex(letters string, skips bool) int {
	n := 0
	for _, r := range letters {
		d := int(r-'A') + 1
		if base := 26; !skips {
			n = n*base + d
			continue
		}
		if r > 'O' {
			d--
		}
		if r > 'I' {
			d--
		}
		n = n*24 + d
	}
	return n - 1
}

// skipsLetters reports whether names go beyond I and none uses I or O.
func skipsLetters(letters []string) bool {
	beyond := false
	for _, l := range letters {
		if strings.ContainsAny(l, "IO") {
			return false
		}
		beyond = beyond || l > "I" && len(l) == 1
	}
	return beyond
}

// placeOn returns x and y, in m, of a crossing that is a metres along the letters and b
// along the numbers from the origin of a sheet in a file.
func placeOn(g survey.Grid, file, sheet string, a, b float64) (x, y float64) {
	turn := survey.GridBearings{Letters: 90, Numbers: 0}
	if g.Bearings != nil {
		turn = *g.Bearings
	}
	o, _ := originOf(g, file, sheet)
	ux, uy := heading(turn.Letters)
	vx, vy := heading(turn.Numbers)
	return o[0] + float64(a*ux) + float64(b*vx), o[1] + float64(a*uy) + float64(b*vy)
}

// originOf returns the origin that g gives a sheet of a file, if it does.
func originOf(g survey.Grid, file, sheet string) (at [2]float64, ok bool) {
	for _, name := range append([]string{strings.ToUpper(sheet)}, survey.Sheet{File: file}.Names()...) {
		if at, ok := g.Origins[name]; ok && name != "" {
			return at, true
		}
	}
	at, ok = g.Origins[""]
	return at, ok
}

// heading returns the unit vector, east and north, of a bearing in degrees. It is exact
// for multiples of 90°, so that places on a grid stay whole decimals.
func heading(bearing float64) (x, y float64) {
	switch math.Mod(math.Mod(bearing, 360)+360, 360) {
	case 0:
		return 0, 1
	case 90:
		return 1, 0
	case 180:
		return 0, -1
	case 270:
		return -1, 0
	}
	s, c := math.Sincos(bearing * math.Pi / 180)
	return s, c
}

// gridNamed reports whether rows without plan columns get their place from their
// names.
func (f *table) gridNamed() bool { return f.o.Grid.LetterStep > 0 && f.of[isX] == nil }

// placeByName sets the place of p from its name on the grid, and reports whether the name
// is a crossing.
func (f *dialect) placeByName(p *survey.Point) bool {
	letters, number, ok := crossing(p.Name())
	if !ok {
		return false
	}
	f.s.Served.Grid = true
	g := f.o.Grid
	p.X, p.Y = placeOn(g, f.name, "", float64(letterIndex(letters, false))*g.LetterStep, float64(number-1)*g.NumberStep)
	return true
}

// askGrid returns the error for a grid that is not fully described.
func askGrid(at survey.Pos, found, want string, hint unit.Text) error {
	return (&survey.Error{Pos: at, Element: "grid", Found: found, Want: want}).Hinting(hint)
}

var askNumbers = unit.Textf("%s or %s (or east, west, a bearing)", unit.Ask("grid-numbers", "north"), unit.Ask("grid-numbers", "south"))

// askDirections returns an error if the directions of the lettered and numbered lines are
// not given.
func (f *dialect) askDirections(at survey.Pos) error {
	if f.o.Grid.Bearings != nil {
		return nil
	}
	return askGrid(at, "lines A, B, C … and 1, 2, 3 …", "the direction in which the numbers are counted; the other direction mirrors the floor", askNumbers)
}
