package text

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"pourplane/survey"
)

// Heads of a sheet whose columns and rows have a name and a distance: "A = 100 mm" and
// "1 = 100 mm".
var (
	namedColumn = regexp.MustCompile(`^([A-Za-z]{1,2})\s*=\s*(\d.*)$`)
	namedRow    = regexp.MustCompile(`^(\d{1,3})\s*=\s*(\d.*)$`)
)

// namedHead parses the head of a sheet whose columns have a letter and a distance.
func namedHead(cells []string, head line) (sheet, bool) {
	last := ""
	for _, c := range cells[1:] {
		m := namedColumn.FindStringSubmatch(strings.TrimSpace(c))
		if m == nil {
			return sheet{}, false
		}
		name := strings.ToUpper(m[1])
		if len(name) < len(last) || len(name) == len(last) && name <= last {
			return sheet{}, false
		}
		last = name
	}
	return sheet{head: head, cells: cells[1:], named: true}, true
}

// placeNamed is [crossings.place] for heads with a name and a distance.
func (c *crossings) placeNamed(line int, row, across string) (name string, a, b float64) {
	f := c.f
	m, n := namedColumn.FindStringSubmatch(strings.TrimSpace(across)), namedRow.FindStringSubmatch(strings.TrimSpace(row))
	if n == nil {
		f.fail(&survey.Error{Pos: f.at(line), Element: "row head", Found: strconv.Quote(row), Want: "a number and a distance such as 1 = 100 mm, as the columns have a letter and a distance"})
		return "", 0, 0
	}
	a, err1 := f.num.length(c.plan, m[2])
	b, err2 := f.num.length(c.plan, n[2])
	for _, one := range []struct {
		err  error
		line int
		what string
		text string
	}{{err1, c.head.n, "column head", across}, {err2, line, "row head", row}} {
		if one.err != nil {
			f.fail((&survey.Error{Pos: f.at(one.line), Element: one.what, Found: strconv.Quote(one.text), Want: one.err.Error(), Err: one.err}).Hinting(unitHint(one.err)))
			return "", 0, 0
		}
	}
	return strings.ToUpper(m[1]) + n[1], a, b
}

// sheetOrigin is a line above a sheet, Origin,12 m,3 m: where its distances are from. A third
// cell turns it: letters 70 deg is the bearing in which the columns are counted.
type sheetOrigin struct {
	at    survey.Pos
	cells []string
}

var originTurn = regexp.MustCompile(`(?i)^letters\s+(\d+(?:[.,]\d+)?)\s*(?:deg|degrees|°)$`)

// ownOrigin returns g with the origin that the file gives a sheet. One of the options
// overrules it.
func (f *Reader) ownOrigin(s *sheet, g survey.Grid) (survey.Grid, error) {
	if s.origin == nil {
		return g, nil
	}
	refuse := func(found string, err error) error {
		e := &survey.Error{Pos: s.origin.at, Element: "origin", Found: found, Want: "x and y with their unit, such as Origin,12 m,3 m; for a turned grid with the bearing of its letters behind them, letters 70 deg"}
		if err != nil {
			e.Err = err
		}
		return e
	}
	var cells []string
	for _, c := range s.origin.cells {
		if c = strings.TrimSpace(c); c != "" {
			cells = append(cells, c)
		}
	}
	if len(cells) < 2 || len(cells) > 3 {
		return g, refuse(fmt.Sprintf("%d cells", len(cells)), nil)
	}
	var at [2]float64
	for i := range at {
		v, err := f.num.length(&column{head: "origin"}, cells[i])
		if err != nil {
			return g, refuse(strconv.Quote(cells[i]), err)
		}
		at[i] = v
	}
	if len(cells) == 3 {
		m := originTurn.FindStringSubmatch(cells[2])
		if m == nil {
			return g, refuse(strconv.Quote(cells[2]), nil)
		}
		if turn, _ := strconv.ParseFloat(strings.Replace(m[1], ",", ".", 1), 64); g.Bearings == nil && !s.letters && !s.numbers {
			g.Bearings = &survey.GridBearings{Letters: turn, Numbers: turn - 90}
		}
	}
	if _, asked := originOf(g, f.name, s.name); !asked {
		g.Origins = map[string][2]float64{"": at}
	}
	return g, nil
}

// turned words the bearing of the distances of a sheet, if it is turned.
func turned(g survey.Grid) string {
	if g.Bearings == nil || g.Bearings.Letters == 90 && g.Bearings.Numbers == 0 {
		return ""
	}
	return fmt.Sprintf(", turned to the bearings %g° and %g°", g.Bearings.Letters, g.Bearings.Numbers)
}
