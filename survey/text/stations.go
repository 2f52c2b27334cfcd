package text

import (
	"errors"
	"strings"

	"pourplane/survey"
)

// stationHeads name a shot, or the place of the instrument.
var stationHeads = set("station|stn|sta")

// perSetup is how many readings a set-up has on average, at least, where its column is
// known by values that repeat. Own choice.
const perSetup = 3

// stationColumn decides what a column headed station holds beside another that names
// the shots. Beside readings it is the set-up where its values repeat, and else it is
// asked; elevations do not depend on it.
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

// maybeSetups head a column of set-ups in some lists of rod readings, and something else
// in others.
var maybeSetups = set("day|from|inst|instr|position")

// setupColumn takes a column that may hold the set-up for it in a list of rod readings
// where each of its values is in one run of rows, and there are at least two. Else it is
// not used, as other columns of no known head.
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

// notGuessed adds to an error of a set-up how a column is headed that was taken for the
// set-ups and holds something else.
func (f *table) notGuessed(err error) error {
	var e *survey.Error
	if f.guessed == nil || !errors.As(err, &e) || e.File != f.name {
		return err
	}
	*e = *e.AlsoHinted(`; where %s is not the set-up of the instrument, head it "note"`, f.guessed)
	return err
}

// cellCount is what the sampled rows have in a column.
type cellCount struct {
	n        int // cells with something in them
	runs     int // of one value after the other
	distinct map[string]bool
}

// filled counts the sampled rows with a figure in them, and their cells in a column.
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

// hiddenBook refuses a level book whose sights stand under another head: read as
// a list of shots from nowhere, nothing would give its elevations.
func (f *table) hiddenBook() error {
	unnamed := f.manner == bySight && f.of[isSight] == nil
	if !unnamed && (!f.s.Relative || f.s.Book != nil) {
		return nil
	}
	return hiddenSights(f.s.Points)
}

// hiddenSights is the error for shots whose codes are kinds of sights.
func hiddenSights(shots []survey.Point) error {
	for _, p := range shots {
		if isSightWord(p.Code) {
			return &survey.Error{Pos: p.At, Found: "sights (BS, IS, FS) in a column that is not named so", Want: "a level book with a column of set-ups and one of sights", Hint: "name those columns setup and sight"}
		}
	}
	return nil
}
