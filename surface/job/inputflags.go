package job

import (
	"maps"
	"strconv"
	"strings"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// levelFlags are how a level book is checked and adjusted.
type levelFlags struct {
	adjust, allow string
}

var adjustments = map[string]survey.Adjust{
	"none": survey.NoAdjustment, "setups": survey.BySetups, "distance": survey.ByDistance, "least-squares": survey.LeastSquares,
}

func (f *levelFlags) options(o *survey.Options, l *Lengths) error {
	a, ok := adjustments[f.adjust]
	if !ok {
		return misused("adjust", strconv.Quote(f.adjust), "none, setups, distance or least-squares")
	}
	o.Adjust = a
	switch f.allow {
	case "":
		return nil
	case "third-order":
		o.Allow = survey.ThirdOrder
		return nil
	case "construction":
		o.Allow = survey.Construction
		return nil
	case "third-order-setups":
		o.Allow = survey.ThirdOrderSetups
		return nil
	}
	text, each := strings.CutSuffix(f.allow, "/setup")
	o.Allow.Per = survey.Whole
	if each {
		o.Allow.Per = survey.PerSetup
	}
	return l.later(o, "allow", text, f.allow, func(o *survey.Options, v float64) { o.Allow.Each = v })
}

// gridFlags are the places of the crossings of a grid.
type gridFlags struct {
	spacing, letters, numbers, values string
	origins                           []string
	apart                             bool // origins may name sheets of the other survey
}

func (f *gridFlags) options(o *survey.Options, l *Lengths) error {
	o.Grid.OthersToo = f.apart
	if err := f.readSpacing(o, l); err != nil {
		return err
	}
	if err := f.readBearings(&o.Grid); err != nil {
		return err
	}
	for _, text := range f.origins {
		if err := readOrigin(text, o, l); err != nil {
			return err
		}
	}
	switch f.values {
	case "":
	case "rod":
		o.Grid.Values, o.Grid.HasValues = survey.Rod, true
	case "elevation":
		o.Grid.Values, o.Grid.HasValues = survey.Elevation, true
	case "depth":
		o.Grid.Values, o.Grid.HasValues = survey.Drop, true
	default:
		return misused("grid-values", strconv.Quote(f.values), "rod, elevation or depth")
	}
	return nil
}

// readSpacing reads the spacing of the letters and of the numbers: one length for both,
// or one each.
func (f *gridFlags) readSpacing(o *survey.Options, l *Lengths) error {
	if f.spacing == "" {
		return nil
	}
	a, b, two := strings.Cut(f.spacing, ",")
	if !two {
		b = a
	}
	if err := l.later(o, "grid-spacing", a, f.spacing, func(o *survey.Options, v float64) { o.Grid.LetterStep = v }); err != nil {
		return err
	}
	return l.later(o, "grid-spacing", b, f.spacing, func(o *survey.Options, v float64) { o.Grid.NumberStep = v })
}

// readBearings reads the directions in which numbers and letters increase. If the
// numbers go along an axis of the survey, the letters need no direction.
func (f *gridFlags) readBearings(g *survey.Grid) error {
	if f.numbers != "" {
		n, err := bearing("grid-numbers", f.numbers)
		if err != nil {
			return err
		}
		g.Bearings = &survey.GridBearings{Letters: 90, Numbers: n}
		switch n {
		case 0, 180:
		case 90, 270:
			g.Bearings.Letters = n - 90
		default:
			if f.letters == "" {
				return misuse("grid-numbers", "%s is a bearing, and %s is not given", unit.Ask("grid-numbers", ""), unit.Ask("grid-letters", "")).Hinted("%s", unit.Ask("grid-letters", "DIRECTION"))
			}
		}
	}
	if f.letters == "" {
		return nil
	}
	if g.Bearings == nil {
		return misuse("grid-letters", "%s without %s", unit.Ask("grid-letters", ""), unit.Ask("grid-numbers", "")).Hinted("%s or %s", unit.Ask("grid-numbers", "north"), unit.Ask("grid-numbers", "south"))
	}
	l, err := bearing("grid-letters", f.letters)
	if err != nil {
		return err
	}
	if d := (int(l-g.Bearings.Numbers) + 720) % 180; d == 0 {
		return misuse("grid-letters", "%s and %s go along one line", unit.Ask("grid-letters", ""), unit.Ask("grid-numbers", ""))
	}
	g.Bearings.Letters = l
	return nil
}

// readOrigin reads the place of the first crossing of a grid, X,Y or SHEET=X,Y.
func readOrigin(text string, o *survey.Options, l *Lengths) error {
	name, place, named := strings.Cut(text, "=")
	if !named {
		name, place = "", text
	}
	x, y, ok := strings.Cut(place, ",")
	if !ok {
		return misused("grid-origin", strconv.Quote(text), "X,Y or SHEET=X,Y")
	}
	key := strings.ToUpper(strings.TrimSpace(name))
	for i, t := range []string{strings.TrimSpace(x), strings.TrimSpace(y)} {
		err := l.later(o, "grid-origin", t, text, func(o *survey.Options, v float64) {
			all := maps.Clone(o.Grid.Origins) // one map for each file: their units may differ
			if all == nil {
				all = map[string][2]float64{}
			}
			at := all[key]
			at[i] = v
			all[key] = at
			o.Grid.Origins = all
		})
		if err != nil {
			return err
		}
	}
	return nil
}

// bearing reads a direction in degrees clockwise from north.
func bearing(field, text string) (float64, error) {
	switch strings.ToLower(text) {
	case "north", "n":
		return 0, nil
	case "east", "e":
		return 90, nil
	case "south", "s":
		return 180, nil
	case "west", "w":
		return 270, nil
	}
	v, err := strconv.ParseFloat(text, 64)
	if err != nil || !(v >= 0 && v < 360) {
		return 0, misused(field, strconv.Quote(text), "north, east, south, west or a bearing from 0 to 360")
	}
	return v, nil
}

// thinFlags are how scans are thinned while they are read.
type thinFlags struct{ cell, keep string }

func (f *thinFlags) options(o *survey.Options, l *Lengths) error {
	keep, ok := map[string]survey.Kept{"mean": survey.Mean, "lowest": survey.Lowest, "median": survey.Median}[f.keep]
	if !ok {
		return misused("thin-keep", strconv.Quote(f.keep), "mean, lowest or median")
	}
	if f.cell == "" {
		if f.keep != "mean" {
			return misuse("thin-keep", "%s without %s", unit.Ask("thin-keep", ""), unit.Ask("thin", "")).Hinted("%s", unit.Ask("thin", "50mm"))
		}
		return nil
	}
	if bare(f.cell) && o.Unit == unit.None {
		// A scan is thinned while it is read: its unit may be known too late.
		return misuse("thin", "found %q without a unit", f.cell).Hinted("%s, or 2in", unit.Ask("thin", "50mm"))
	}
	v, err := l.part("thin", f.cell, f.cell)
	if err != nil {
		return err
	}
	o.Thin = survey.Thin{Cell: v, Keep: keep}
	return nil
}
