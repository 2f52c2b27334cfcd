package text

import (
	"errors"
	"strings"

	"pourplane/survey"
)

// stationHeads are heads for the name of a shot, or for the place of the instrument.
var stationHeads = set("station|stn|sta")

// perSetup is the minimum mean number of readings a set-up, where a column is recognized
// as set-ups by values that repeat. Own choice.
const perSetup = 3

// stationColumn decides what a column headed station holds if another column names the
// shots. Beside rod readings it is the set-up if its values repeat; otherwise the user is
// asked. It is not used in a level book where its values repeat, and not beside
// elevations, which do not depend on it.
func (f *dialect) stationColumn(pos survey.Pos, columns []*column) error {
	var station, point *column
	rods, book := false, false
	for _, c := range columns {
		switch c.role {
		case isName:
			if stationHeads[headForm(inBrackets.ReplaceAllString(c.head, ""))] && !c.stated {
				station = c
			} else if point == nil {
				point = c
			}
		case isRod, isIS, isFS:
			rods = true
		case isBS:
			book = true
		case isRun:
			return nil // the station is the distance along it
		case isPart:
			if strings.HasPrefix(headForm(c.head), "line") {
				return nil
			}
		}
	}
	if station == nil || point == nil {
		return nil
	}
	rows, stations := f.filled(station)
	_, points := f.filled(point)
	repeats := stations.n == rows && perSetup*len(stations.distinct) <= stations.n && 2*len(points.distinct) > points.n
	switch {
	case !rods && !book, book && repeats:
		station.role = ""
	case repeats:
		station.role = isSetup
		f.note(survey.Assumed, pos, "%s read as the set-up of the instrument, as its values repeat; %s names the shots", station, point)
	default:
		return &survey.Error{Pos: pos, Element: station.String() + " and " + point.String(), Want: "to know which of them names the shots, and whether the other is the set-up of the instrument",
			Hint: `head the column of set-ups "setup", and one that is neither "note"`}
	}
	return nil
}

// maybeSetups head a column of set-ups in some lists of rod readings, and another column
// in others.
var maybeSetups = set("day|from|inst|instr|position")

// setupColumn takes a column that may hold the set-up as one, in a list of rod readings,
// if it has two or more values, each in one run of rows, with a mean of perSetup rows or
// more. Otherwise the column is not used.
func (f *table) setupColumn(pos survey.Pos, columns []*column) {
	var found *column
	rods := false
	for _, c := range columns {
		switch c.role {
		case isSetup, isRun, isBS:
			return
		case isRod:
			rods = true
		case "":
			if maybeSetups[headForm(c.head)] && found == nil {
				found = c
			}
		}
	}
	if !rods || found == nil {
		return
	}
	rows, values := f.filled(found)
	if n := len(values.distinct); values.n == rows && values.runs == n && n > 1 && perSetup*n <= rows {
		found.role, f.guessed = isSetup, found
		f.note(survey.Assumed, pos, "%s read as the set-up of the instrument, as its values repeat in runs", found)
	}
}

// hintGuessed adds a hint to err: how to head a column that was taken as set-ups and
// holds something else.
func (f *table) hintGuessed(err error) error {
	var e *survey.Error
	if f.guessed == nil || !errors.As(err, &e) || e.File != f.name {
		return err
	}
	*e = *e.AlsoHinted(`; where %s is not the set-up of the instrument, head it "note"`, f.guessed)
	return err
}

// cellCount describes the cells of the sampled rows in a column.
type cellCount struct {
	n        int // cells that are not empty
	runs     int // runs of equal values
	distinct map[string]bool
}

// filled counts the sampled rows with a figure outside column c, and their cells in c.
func (f *dialect) filled(c *column) (rows int, count cellCount) {
	count.distinct = map[string]bool{}
	last := ""
	for _, l := range f.form.content {
		figures := 0
		cells := split(l.text, f.form.sep)
		for i, cell := range cells {
			if i != c.index && looksNumeric(cell) {
				figures++
			}
		}
		if figures == 0 {
			continue
		}
		rows++
		if c.index < len(cells) && !missing(cells[c.index]) {
			count.n++
			value := strings.ToUpper(cells[c.index])
			count.distinct[value] = true
			if value != last {
				count.runs++
			}
			last = value
		}
	}
	return rows, count
}

// hiddenBook refuses a level book whose kinds of sight are under another head: as a list
// of shots it would have no elevations.
func (f *table) hiddenBook() error {
	unnamed := f.manner == bySight && f.of[isSight] == nil
	if !unnamed && (!f.s.Relative || f.s.Book != nil) {
		return nil
	}
	return hiddenSights(f.s.Points)
}

// hiddenSights returns the error for shots whose codes are kinds of sight, nil if none
// is.
func hiddenSights(shots []survey.Point) error {
	for _, p := range shots {
		if isSightWord(p.Code()) {
			return &survey.Error{Pos: p.At(), Found: "sights (BS, IS, FS) in a column that is not named so", Want: "a level book with a column of set-ups and one of sights", Hint: "name those columns setup and sight"}
		}
	}
	return nil
}
