package job

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strings"

	"pourplane/surface"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// shotNames lists the names of all shots, each once, in the order of the files.
func shotNames(s *survey.Survey) []string {
	var out []string
	seen := map[string]bool{"": true}
	for _, list := range [][]survey.Point{s.Points, s.Control, s.Finished, s.Heights, s.Places} {
		for i := range list {
			if name := list[i].Name(); !seen[name] {
				seen[name] = true
				out = append(out, name)
			}
		}
	}
	return out
}

// floorNames lists the names of the floor shots, each once.
func floorNames(s *survey.Survey) []string { return shotNames(&survey.Survey{Points: s.Points}) }

// meant asks for the name that a wrong one may mean, and lists those that there are.
func meant(wrong string, names []string, ask func(name string) unit.Option) unit.Text {
	if near := nearestShot(wrong, names); near != "" {
		return unit.Textf("did you mean %s? The shots here are %s", ask(near), some(names))
	}
	return unit.Textf("the shots here are %s", some(names))
}

// some lists names, ten max.
func some(names []string) string {
	switch {
	case len(names) == 0:
		return "none has a name"
	case len(names) > 10:
		return strings.Join(names[:10], ", ") + ", …"
	}
	return strings.Join(names, ", ")
}

// nearestShot returns the name that is wrong but for spaces and marks, the only one with its
// number, or else the one most similar; "" if none is.
func nearestShot(wrong string, names []string) string {
	bare := func(name string) string {
		return strings.Map(func(r rune) rune {
			if strings.ContainsRune(" -_.#", r) {
				return -1
			}
			return r
		}, strings.ToUpper(name))
	}
	number := func(name string) string {
		return strings.TrimLeft(strings.TrimLeft(bare(name), "ABCDEFGHIJKLMNOPQRSTUVWXYZ"), "0")
	}
	for _, same := range []func(name string) bool{
		func(name string) bool { return bare(name) == bare(wrong) },
		func(name string) bool { return number(wrong) != "" && number(name) == number(wrong) },
	} {
		var found []string
		for _, name := range names {
			if same(name) {
				found = append(found, name)
			}
		}
		if len(found) == 1 {
			return found[0]
		}
	}
	return nearestName(wrong, names)
}

// plainNumber matches a length as a decimal and what follows it.
var plainNumber = regexp.MustCompile(`^([-+−]?)([0-9]*)(?:\.([0-9]*))?([^0-9.].*)?$`)

// slips writes a length with its decimal point moved by up to three places, and with other units.
func slips(text string, u unit.Length) []string {
	p := plainNumber.FindStringSubmatch(strings.TrimSpace(text))
	if p == nil || p[2]+p[3] == "" {
		return nil
	}
	sign, whole, part, own := p[1], p[2], p[3], strings.TrimSpace(p[4])
	if own == "" {
		own = u.String()
	}
	var out []string
	for _, other := range []string{"ft", "m", "mm", "in", "cm"} {
		out = append(out, sign+whole+strings.TrimRight("."+part, ".")+other)
	}
	for _, by := range []int{1, -1, 2, -2, 3, -3} {
		digits, at := "000"+whole+part+"000", 3+len(whole)+by
		w, f := strings.TrimLeft(digits[:at], "0"), strings.TrimRight(digits[at:], "0")
		if w == "" {
			w = "0"
		}
		out = append(out, sign+w+strings.TrimRight("."+f, ".")+own)
	}
	return out
}

// slip asks for the targets that a slip of the decimal point or of the unit would explain, and
// gives the elevations of the floor.
func (f *targetFlags) slip(l *Lengths, floor *surface.Floor, target surface.Target) unit.Text {
	field, text, of := f.targetFlag(), f.target, ""
	if f.part != "" {
		of = f.part + "="
	}
	if f.finish != "" {
		text = f.finish
	}
	least, greatest := floor.Depths(target)
	plane, ok := surface.IsPlane(target)
	if !ok || !plane.Level() || text == "" {
		return unit.Text{}
	}
	where := unit.Textf("floor is at %s to %s", unit.Elevation(plane.Z-greatest), unit.Elevation(plane.Z-least))
	given, err := l.Parse(field, text)
	if err != nil {
		return unit.Textf("the %s", where)
	}
	// A fill is seldom deeper than the one, nor a floor higher above its target than the other.
	const deep, high = 0.6, 0.3
	var asks []unit.Text
	for _, other := range slips(text, l.shown(Elevation)) {
		z, err := l.Parse(field, other)
		if by := z - given; err == nil && greatest+by > 0 && greatest+by < deep && least+by > -high && math.Abs(by) > 1 && len(asks) < 2 {
			if ask := unit.Textf("%s", unit.Ask(field, of+other)); !slices.Contains(asks, ask) {
				asks = append(asks, ask)
			}
		}
	}
	if asks == nil {
		return unit.Textf("the %s", where)
	}
	return unit.Textf("did you mean %s? The %s", unit.Join(asks, " or "), where)
}

// noShot refuses a name that no shot has.
func noShot(s *survey.Survey, field, name, want string) *survey.Error {
	names := shotNames(s)
	e := &survey.Error{Pos: survey.Pos{File: s.Name}, Found: fmt.Sprintf("no shot named %q", name), Want: want}
	return e.Hinting(meant(name, names, func(near string) unit.Option { return unit.Ask(field, near) }))
}
