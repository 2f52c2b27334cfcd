package scan

import (
	"encoding/binary"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// units sets the unit of x and y and the unit of z.
func (l *las) units() error {
	plan, up, err := l.stated()
	if err != nil {
		return err
	}
	asked := l.o.Unit
	if asked != unit.None && plan != unit.None && up != unit.None && asked.Imperial() != plan.Imperial() && asked.Imperial() != up.Imperial() {
		return (&survey.Error{Pos: l.file, Found: fmt.Sprintf("x and y in %s, z in %s", plan, up),
			Want: asked.String() + ", the unit asked for: one of the two is wrong"}).Hinted("%s to take the units of the file", unit.LeaveOut("units"))
	}
	settle := func(what string, u *unit.Length, other unit.Length) error {
		switch {
		case *u != unit.None:
			return nil
		case asked != unit.None:
			*u = asked
		case other != unit.None:
			*u = other
		default:
			return (&survey.Error{Pos: l.file, Found: "coordinates without a unit", Want: "a unit: neither GeoTIFF keys nor well-known text before the points state one"}).Hinting(survey.AskUnit)
		}
		if other != unit.None && *u != other { // the unit given by the option
			l.s.Notes = append(l.s.Notes, survey.Notef(survey.Warning, l.file, "the file states %s for the other coordinates and no unit of %s: taken as %s, as asked; is that right?", other, what, *u).About(survey.AboutDepth))
			return nil
		}
		l.s.Notes = append(l.s.Notes, survey.Notef(survey.Assumed, l.file, "the file does not state the unit of %s: taken as %s", what, *u))
		return nil
	}
	statedPlan, statedUp := plan, up
	if err := settle("x and y", &plan, statedUp); err != nil {
		return err
	}
	if err := settle("z", &up, statedPlan); err != nil {
		return err
	}
	l.s.Plan, l.s.Unit = plan, up
	return nil
}

// stated returns the units stated in the file, None if not stated.
func (l *las) stated() (plan, up unit.Length, err error) {
	if l.text != "" && (l.wkt || l.keys == nil) {
		return l.textUnits()
	}
	if len(l.keys) < 8 {
		return
	}
	le := binary.LittleEndian
	n := int(le.Uint16(l.keys[6:]))
	for i := 8; n > 0 && i+8 <= len(l.keys); i, n = i+8, n-1 {
		key, place, value := le.Uint16(l.keys[i:]), le.Uint16(l.keys[i+2:]), le.Uint16(l.keys[i+6:])
		if place != 0 {
			continue // the value is in another record
		}
		switch key {
		case 1024: // GTModelTypeGeoKey
			if value == 2 {
				return plan, up, l.angles()
			}
		case 3076: // ProjLinearUnitsGeoKey
			plan, err = l.geoUnit("linear unit of x and y", value)
		case 4099: // VerticalUnitsGeoKey
			up, err = l.geoUnit("unit of z", value)
		}
		if err != nil {
			return
		}
	}
	return
}

func (l *las) angles() error {
	return l.refuse("coordinate system", "longitude and latitude", "x and y on a plane, in a unit of length")
}

// geoUnit returns the unit of a GeoTIFF key. 32767 is a unit defined elsewhere, 0 is no
// unit.
func (l *las) geoUnit(element string, code uint16) (unit.Length, error) {
	switch code {
	case 9001:
		return unit.Metre, nil
	case 9002:
		return unit.Foot, nil
	case 9003:
		return unit.SurveyFoot, nil
	case 0, 32767:
		return unit.None, nil
	}
	return l.settled((&survey.Error{Pos: l.file, Element: element, Found: fmt.Sprintf("code %d", code), Want: "9001 (metre), 9002 (foot) or 9003 (US survey foot)"}).Hinting(survey.AskUnit))
}

// settled returns the unit of the option if the unit of the file cannot be used. e is
// the reason and the error without the option.
func (l *las) settled(e *survey.Error, may ...unit.Length) (unit.Length, error) {
	u := l.o.Unit
	if u == unit.None || len(may) > 0 && !slices.Contains(may, u) {
		return unit.None, e
	}
	l.s.Notes = append(l.s.Notes, survey.Notef(survey.Assumed, l.file, "%s: %s is taken as %s, as asked", e.Element, e.Found, u))
	return u, nil
}

var (
	wktUnit     = regexp.MustCompile(`(?i)\b(?:LENGTH)?UNIT\s*[\[(]\s*"([^"]*)"\s*,\s*([0-9.eE+-]+)`)
	wktVertical = regexp.MustCompile(`(?i)\bVERT(?:_CS|CS|CRS|ICALCRS)\s*[\[(]`)
	wktPlane    = regexp.MustCompile(`(?i)\bPROJ(?:CS|CRS|ECTEDCRS)\s*[\[(]`)
	wktAngles   = regexp.MustCompile(`(?i)\bGEO(?:GCS|GCRS|DCRS|GRAPHICCRS|DETICCRS)\s*[\[(]`)
)

// textUnits returns the units of well-known text. The plan unit is the last unit of
// length before the vertical system; in a projected system it follows the units of the
// ellipsoid and the angles. The vertical unit is the last one of the vertical part.
func (l *las) textUnits() (plan, up unit.Length, err error) {
	horizontal, vertical := l.text, ""
	if i := wktVertical.FindStringIndex(l.text); i != nil {
		horizontal, vertical = l.text[:i[0]], l.text[i[0]:]
	}
	if wktAngles.MatchString(horizontal) && !wktPlane.MatchString(horizontal) {
		return plan, up, l.angles()
	}
	if plan, err = l.lastUnit("unit of x and y", horizontal); err == nil {
		up, err = l.lastUnit("unit of z", vertical)
	}
	return
}

func (l *las) lastUnit(element, text string) (unit.Length, error) {
	all := wktUnit.FindAllStringSubmatch(text, -1)
	if len(all) == 0 {
		return unit.None, nil
	}
	name, factor := all[len(all)-1][1], all[len(all)-1][2]
	v, err := strconv.ParseFloat(strings.TrimSpace(factor), 64)
	if err != nil {
		v = math.NaN()
	}
	found := (&survey.Error{Pos: l.file, Element: element, Found: fmt.Sprintf("%q of %s m", name, factor), Want: "metre, foot or US survey foot"}).Hinting(survey.AskUnit)
	named := namedUnits(name)
	var may []unit.Length // units of the option that can settle it: near the factor, or named
	for u := unit.Metre; u <= unit.Inch; u++ {
		off := math.Abs(v/u.Metres() - 1)
		// The two feet differ by 2 in a million; files write eight digits or more. The
		// name "foot" alone is the international foot (EPSG 9002).
		if off < 1e-7 && (named == nil || named[0] == u) {
			return u, nil
		}
		if off < 1e-3 || slices.Contains(named, u) {
			may = append(may, u)
		}
	}
	if named != nil {
		found.Want = "a name and a factor of the same unit; one of the two is wrong"
	}
	if len(may) > 0 {
		var ways []unit.Text
		for _, u := range may {
			ways = append(ways, unit.Textf("%s", unit.Ask("units", u.String())))
		}
		found = found.Hinting(unit.Join(ways, " or "))
	}
	return l.settled(found, may...)
}

// namedUnits returns the units that a name in well-known text can mean, the correct
// reading first; nil if the name is not known. A plain foot may be either foot: files
// write Foot_US, US survey foot, Foot (International), ft, metre.
func namedUnits(name string) []unit.Length {
	words := strings.FieldsFunc(strings.ToLower(name), func(r rune) bool { return !unicode.IsLetter(r) })
	has := func(any ...string) bool {
		return slices.ContainsFunc(words, func(w string) bool { return slices.Contains(any, w) })
	}
	foot := has("foot", "feet", "ft")
	switch {
	case has("ftus", "usft") || foot && has("us", "survey", "usa"):
		return []unit.Length{unit.SurveyFoot}
	case foot && has("international", "intl"):
		return []unit.Length{unit.Foot}
	case foot && len(words) == 1:
		return []unit.Length{unit.Foot, unit.SurveyFoot}
	case len(words) == 1:
		if u, ok := unit.ParseLength(words[0]); ok {
			return []unit.Length{u}
		}
	}
	return nil
}
