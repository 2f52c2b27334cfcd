package exchange

import (
	"fmt"
	"math"
	"strings"

	"pourplane/surface"
	"pourplane/survey"
)

// farthest is the largest coordinate written, m: more than the distance between any two
// places on earth, less than readers of plain decimals fail on.
const farthest = 1e8

// longestLayer is the max length of a layer name in release 12 of DXF.
const longestLayer = 31

// check returns an error for the first item in p that no writer can write.
func (p Plan) check() error {
	seen := map[string]bool{}
	for _, l := range p.Layers {
		if l.Name == "" || len(l.Name) > longestLayer || strings.Trim(l.Name, "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-_") != "" {
			return &survey.Error{Element: "layer", Found: fmt.Sprintf("the name %q", l.Name),
				Want: fmt.Sprintf("1 to %d capitals, digits and hyphens", longestLayer)}
		}
		if seen[l.Name] {
			return &survey.Error{Element: "layer " + l.Name, Found: "the name a second time", Want: "a name for each layer"}
		}
		seen[l.Name] = true
		for i, a := range l.Areas {
			element := fmt.Sprintf("layer %s, area %d", l.Name, i+1)
			if len(a.Rings) == 0 {
				return &survey.Error{Element: element, Found: "no ring", Want: "an outer ring"}
			}
			for k, ring := range a.Rings {
				at := fmt.Sprintf("%s, ring %d", element, k+1)
				if err := checkLine(at, ring, true); err != nil {
					return err
				}
				if surface.RingArea(ring) == 0 {
					return &survey.Error{Element: at, Found: "a ring without area", Want: "a ring around a piece of floor"}
				}
			}
			if err := checkRest(element, a.Elevation, a.Properties); err != nil {
				return err
			}
		}
		for i, n := range l.Lines {
			element := fmt.Sprintf("layer %s, line %d", l.Name, i+1)
			if err := checkLine(element, n.Points, n.Closed); err != nil {
				return err
			}
			if err := checkRest(element, n.Elevation, n.Properties); err != nil {
				return err
			}
		}
		for i, m := range l.Labels {
			element := fmt.Sprintf("layer %s, mark %d", l.Name, i+1)
			if err := checkPlace(element, m.At); err != nil {
				return err
			}
			if err := checkRest(element, m.Elevation, m.Properties); err != nil {
				return err
			}
		}
	}
	return nil
}

func checkLine(element string, points []surface.Vec, closed bool) error {
	least := 2
	if closed {
		least = 3
	}
	if len(points) < least {
		return &survey.Error{Element: element, Found: fmt.Sprintf("%d places", len(points)), Want: fmt.Sprintf("at least %d", least)}
	}
	for _, v := range points {
		if err := checkPlace(element, v); err != nil {
			return err
		}
	}
	if closed && points[0] == points[len(points)-1] {
		return &survey.Error{Element: element, Found: "the first place again at the end", Want: "each place once",
			Hint: "a closed line is closed without it"}
	}
	return nil
}

func checkPlace(element string, v surface.Vec) error {
	for _, c := range []float64{v.X, v.Y} {
		if err := checkLength(element, "the coordinate", c); err != nil {
			return err
		}
	}
	return nil
}

func checkLength(element, what string, v float64) error {
	if !(math.Abs(v) <= farthest) {
		return &survey.Error{Element: element, Found: fmt.Sprintf("%s %v m", what, v), Want: fmt.Sprintf("at most %v m", farthest)}
	}
	return nil
}

// checkRest checks what all items of a plan have.
func checkRest(element string, elevation float64, properties []Property) error {
	if math.IsNaN(elevation) {
		elevation = 0 // none
	}
	if err := checkLength(element, "the elevation", elevation); err != nil {
		return err
	}
	seen := map[string]bool{"layer": true, "text": true, "elevation_m": true}
	for _, p := range properties {
		if p.Name == "" || seen[p.Name] {
			return &survey.Error{Element: element, Found: fmt.Sprintf("the property name %q", p.Name),
				Want: "names that differ, other than layer, text and elevation_m"}
		}
		seen[p.Name] = true
		switch v := p.Value.(type) {
		case nil, string, int, bool:
		case float64:
			if math.IsNaN(v) || math.IsInf(v, 0) {
				return &survey.Error{Element: element + ", property " + p.Name, Found: fmt.Sprint(v), Want: "a finite number"}
			}
		default:
			return &survey.Error{Element: element + ", property " + p.Name, Found: fmt.Sprintf("a %T", v), Want: "a string, float64, int, bool or nil"}
		}
	}
	return nil
}
