package text

import (
	"fmt"
	"slices"
	"strings"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// layout is the columns of a file and their roles.
type layout struct {
	pos     survey.Pos // of the header, or of the first row without one
	columns []*column
	of      map[role]*column
	x, y    *column // of[isX] and of[isY], kept for every row
	code    *column // of[isCode]
	order   string
	asked   bool // o.Order decided, or confirmed, a direction
}

// claims are the columns whose heads name a role. If several name one, or a head can mean
// another, the other columns decide.
type claims struct {
	of    map[role][]*column
	pos   survey.Pos
	notes []survey.Note
}

// resolve assigns a column to each role. It returns notes on choices that the heads leave
// open, and an error if a role can be either of two columns.
func resolve(pos survey.Pos, columns []*column, order string) (*layout, []survey.Note, error) {
	c := &claims{of: map[role][]*column{}, pos: pos}
	if err := c.collect(columns); err != nil {
		return nil, nil, err
	}
	c.otherDirection()
	c.numbersOfShots()
	c.foundElevation()
	if err := c.refuseDegrees(); err != nil {
		return nil, nil, err
	}
	c.onlyHeights()
	c.sightsAsReadings()
	l := &layout{pos: pos, columns: columns}
	var err error
	if l.of, err = c.chosen(); err != nil {
		return nil, nil, err
	}
	if err := l.agrees(order); err != nil {
		return nil, nil, err
	}
	notes := append(c.notes, l.bareDirections(order)...)
	notes = append(notes, l.unused()...)
	l.x, l.y, l.code = l.of[isX], l.of[isY], l.of[isCode]
	var letters []string
	for _, c := range columns {
		if l.of[c.role] == c && c.role != isIgnored {
			letters = append(letters, c.letter())
		}
	}
	l.order = strings.Join(letters, " ")
	return l, notes, nil
}

// collect sorts columns by the role that their heads name. It refuses units that are not
// supported.
func (c *claims) collect(columns []*column) error {
	for _, one := range columns {
		if one.role == "" {
			continue
		}
		if one.foreign != "" && one.role != isRemark && one.role != isIgnored && one.role != isName {
			return &survey.Error{Pos: c.pos, Element: one.String(), Found: fmt.Sprintf("unit %q", one.foreign), Want: "m, cm, mm, ft, US survey ft, in or feet and inches"}
		}
		c.of[one.role] = append(c.of[one.role], one)
	}
	return nil
}

// otherDirection resolves two columns for one direction and none for the other: the one
// headed by a bare letter takes the other direction.
func (c *claims) otherDirection() {
	for _, p := range [][2]role{{isX, isY}, {isY, isX}} {
		have, want := c.of[p[0]], c.of[p[1]]
		if len(have) != 2 || len(want) != 0 || have[0].bare == have[1].bare {
			continue
		}
		for i, one := range have {
			if one.bare {
				one.role, one.bare = p[1], false
				c.of[p[0]], c.of[p[1]] = []*column{have[1-i]}, []*column{one}
			}
		}
	}
}

// numbersOfShots takes a column N as shot numbers if x and y are given.
func (c *claims) numbersOfShots() {
	y := c.of[isY]
	if len(y) != 2 || len(c.of[isX]) != 1 {
		return
	}
	for i, one := range y {
		if headForm(one.head) == "n" && !one.stated && headForm(inBrackets.ReplaceAllString(y[1-i].head, "")) != "n" {
			c.of[isY] = []*column{y[1-i]}
			one.role, one.bare = isName, false
			c.of[isName] = append(c.of[isName], one)
			return
		}
	}
}

// foundElevation selects the measured one of several level columns. FFL and the like are
// target levels if another level column is present.
func (c *claims) foundElevation() {
	all := c.of[isZ]
	if len(all) < 2 {
		return
	}
	z := all
	for _, fits := range []func(*column) bool{
		func(c *column) bool { return c.measured },
		func(c *column) bool { return !c.weak },
	} {
		var some []*column
		for _, one := range z {
			if fits(one) {
				some = append(some, one)
			}
		}
		if len(some) > 0 {
			z = some
		}
	}
	if len(z) == 1 {
		for _, one := range all {
			if one != z[0] {
				one.role = isDesign
			}
		}
	}
	c.of[isZ] = z
}

// refuseDegrees refuses latitude and longitude without plan positions in a length.
func (c *claims) refuseDegrees() error {
	lat, long := c.of[isLat], c.of[isLong]
	if len(lat) == 0 || len(long) == 0 || len(c.of[isX]) > 0 && len(c.of[isY]) > 0 {
		return nil
	}
	return &survey.Error{Pos: c.pos, Element: lat[0].String() + " and " + long[0].String(), Found: "latitude and longitude, which are degrees", Want: "plan positions in a length, headed such as easting and northing",
		Hint: "export the points on a plane grid"}
}

// onlyHeights takes heights above the ellipsoid, or a column "grade", as elevations if no
// other column holds heights.
func (c *claims) onlyHeights() {
	if len(c.of[isZ]) > 0 || len(c.of[isRod]) > 0 {
		return
	}
	grade := slices.IndexFunc(c.of[isDesign], func(c *column) bool { return headForm(inBrackets.ReplaceAllString(c.head, "")) == "grade" })
	switch some := c.of[isEllipsoid]; {
	case len(some) == 1:
		some[0].role, c.of[isZ] = isZ, some
		c.notes = append(c.notes, survey.Notef(survey.Warning, c.pos, "%s is above the ellipsoid: differences over a floor hold, but no elevation of a drawing or benchmark fits them", some[0]).About(survey.AboutTarget))
	case grade >= 0 && len(c.of[isDesign]) == 1 && len(c.of[isBS])+len(c.of[isDiff])+len(c.of[isLow])+len(c.of[isHigh]) == 0:
		one := c.of[isDesign][0]
		one.role, c.of[isZ], c.of[isDesign] = isZ, []*column{one}, nil
		c.notes = append(c.notes, survey.Notef(survey.Assumed, c.pos, "%s read as the elevation found: no other column holds heights", one))
	}
}

// sightsAsReadings takes columns of foresights and intermediate sights as rod readings if
// there are no backsights.
func (c *claims) sightsAsReadings() {
	if len(c.of[isBS]) > 0 || len(c.of[isRod]) > 0 {
		return
	}
	sights := slices.Concat(c.of[isIS], c.of[isFS])
	if len(sights) == 0 {
		return
	}
	delete(c.of, isIS)
	delete(c.of, isFS)
	c.of[isRod] = sights
	for _, one := range sights {
		one.role = isRod
	}
}

// chosen returns the column of each role. Only names, parts, remarks and codes may have
// several, and the lowest rank is used.
func (c *claims) chosen() (map[role]*column, error) {
	of := map[role]*column{}
	for _, r := range []role{isX, isY, isZ, isRod, isGrade, isHI, isBS, isIS, isFS, isRise, isFall, isDiff, isSign, isLow, isHigh, isSetup, isSight, isDist, isBackDist, isForeDist, isRing, isSeq, isWall, isRun, isX0, isY0, isX1, isY1, isBearing, isStep} {
		switch list := c.of[r]; {
		case len(list) > 1:
			return nil, c.askWhich(r, list)
		case len(list) == 1:
			of[r] = list[0]
		}
	}
	for _, r := range []role{isName, isPart, isRemark, isCode} {
		for _, one := range c.of[r] {
			if first := of[r]; first == nil || one.rank < first.rank {
				of[r] = one
			}
		}
	}
	return of, nil
}

// askWhich returns the error for several columns of one role.
func (c *claims) askWhich(r role, list []*column) error {
	var names []string
	for _, one := range list {
		names = append(names, one.String())
	}
	hint := "rename the columns, such as \"elevation existing\" and \"elevation target\""
	if r == isWall {
		hint = "rename the other one, such as \"note\""
	}
	return &survey.Error{Pos: c.pos, Element: strings.Join(names, " and "),
		Want: fmt.Sprintf("one column of %s; the heads do not show which is meant", roleNames[r]), Hint: hint}
}

// bareDirections decides which of a bare x and y is north: order does if it names N and
// E, else y.
func (l *layout) bareDirections(order string) []survey.Note {
	x, y := l.of[isX], l.of[isY]
	if x == nil || y == nil || !x.bare || !y.bare {
		return nil
	}
	order = strings.ToUpper(order)
	n, e := strings.Index(order, "N"), strings.Index(order, "E")
	l.asked = n >= 0 && e >= 0
	switch {
	case n >= 0 && e >= 0 && (n < e) == (x.index < y.index):
		l.of[isX], l.of[isY] = y, x
		x.role, y.role = isY, isX
		return []survey.Note{survey.Notef(survey.Assumed, l.pos, "%s read as northing and %s as easting, per the given order", x, y)}
	case n < 0 || e < 0:
		return []survey.Note{survey.Notef(survey.Assumed, l.pos, "%s read as easting and %s as northing", x, y)}
	}
	return []survey.Note{survey.Notef(survey.Assumed, l.pos, "%s read as easting and %s as northing, per the given order; the heads name the other columns", x, y)}
}

// agrees refuses an order that names another kind of height than the head of its column.
func (l *layout) agrees(order string) error {
	given, err := fromOrder(order, 0)
	if err != nil {
		return err
	}
	heights := []role{isZ, isRod, isGrade, isBS, isIS, isFS, isDiff, isLow, isHigh}
	for i, g := range given[:min(len(given), len(l.columns))] {
		c := l.columns[i]
		if (g.role == isZ || g.role == isRod) && c.role != g.role && slices.Contains(heights, c.role) {
			return (&survey.Error{Pos: l.pos, Element: c.String(), Found: "an order that names it as " + roleNames[g.role], Want: "an order and a header that agree; the header names the columns"}).Hinted("%s", unit.LeaveOut("order"))
		}
	}
	return nil
}

// unused notes the columns that are not read.
func (l *layout) unused() []survey.Note {
	var notes []survey.Note
	var names []string
	for _, c := range l.columns {
		switch {
		case c.role == isDesign && (l.of[isZ] != nil || l.of[isRod] != nil):
			notes = append(notes, survey.Notef(survey.Assumed, l.pos, "%s is a level to reach: not read", c))
		case c.head == "" || c.role == isDesign:
		case l.of[c.role] != c || c.role == isIgnored || c.role == isEllipsoid || c.role == isLat || c.role == isLong:
			names = append(names, c.String())
		}
	}
	if len(names) > 0 {
		notes = append(notes, survey.Notef(survey.Assumed, l.pos, "not used: %s", strings.Join(names, ", ")))
	}
	return notes
}
