package report

import (
	"fmt"
	"strings"

	"pourplane/surface"
	"pourplane/surface/job"
	"pourplane/survey/unit"
)

// partJSON is the target of one part of the floor and what the part takes.
type partJSON struct {
	Name string `json:"name"`
	Kind string `json:"kind"` // plane, falls or surface
	target
	Least    float64 `json:"least_m"` // of the target over the part
	Greatest float64 `json:"greatest_m"`
	Area     float64 `json:"area_m2"`
	Fill     float64 `json:"fill_m3"`
	Cut      float64 `json:"cut_m3"`
	FillArea float64 `json:"fill_area_m2"`
	CutArea  float64 `json:"cut_area_m2"`
	MinDepth float64 `json:"min_depth_m"`
	MaxDepth float64 `json:"max_depth_m"`
}

// leftJSON is a part of the floor that is not filled.
type leftJSON struct {
	Name  string  `json:"name"`
	Area  float64 `json:"area_m2"`
	Shots int     `json:"shots"`

	At *[2]float64 `json:"at"` // a place in a piece that the target surface does not cover; null for a whole part
}

// designJSON is a surface from a file that is the target.
type designJSON struct {
	File      string  `json:"file"`
	Name      string  `json:"name"` // of the surface; empty for points
	Triangles int     `json:"triangles"`
	Lowered   float64 `json:"lowered_m"` // by build-up and stay-low
}

// levelOf is the target of a part of the floor.
type levelOf struct {
	Name string `json:"name"`
	target
}

func partLevels(t surface.Target, floor *surface.Floor) []levelOf {
	out := []levelOf{}
	if of, ok := t.(surface.PartTargets); ok {
		for _, n := range floor.Parts() {
			out = append(out, levelOf{n, targetJSON(of.Within(n), floor.Only(n))})
		}
	}
	return out
}

func leftOf(parts []job.PartLeft) []leftJSON {
	out := []leftJSON{}
	for _, p := range parts {
		one := leftJSON{Name: p.Name, Area: p.Area, Shots: p.Shots}
		if p.At != nil {
			at := pt(*p.At)
			one.At = &at
		}
		out = append(out, one)
	}
	return out
}

// partsJSON lists the parts of a floor that have targets of their own.
func partsJSON(w *job.Filled) []partJSON {
	out := []partJSON{}
	of, ok := w.Fill.Target.(surface.PartTargets)
	if !ok {
		return out
	}
	for _, p := range job.PartsOf(w) {
		t := of.Within(p.Name)
		one := partJSON{Name: p.Name, Kind: "plane", target: targetJSON(t, p.Floor), Area: p.Area, Fill: p.Fill.Fill, Cut: p.Cut, FillArea: p.FillArea, CutArea: p.CutArea, MinDepth: p.Least, MaxDepth: p.Greatest}
		if _, plane := surface.IsPlane(t); !plane {
			one.Kind = "falls"
		}
		one.Least, one.Greatest, _, _ = p.Floor.RangeOf(t)
		out = append(out, one)
	}
	return out
}

// partsText writes the targets of the parts of a floor: those with one level together.
func partsText(target surface.PartTargets, floor *surface.Floor, style unit.Style) string {
	names, texts := map[string][]string{}, []string{}
	for _, n := range floor.Parts() {
		text := targetText(target.Within(n), floor.Only(n), style)
		if names[text] == nil {
			texts = append(texts, text)
		}
		names[text] = append(names[text], job.PartName(n))
	}
	for i, text := range texts {
		texts[i] = strings.Join(names[text], " and ") + " " + text
	}
	return strings.Join(texts, "; ")
}

// leftText is a sentence about what is not filled, after another one; "" where all is.
func leftText(w *job.Filled, u unit.Style) string {
	var all []string
	for _, p := range w.NotFilled {
		text := u.Area(p.Area)
		if p.Name != "" {
			text = p.Name + ", " + text
		}
		if p.At != nil {
			text += " by " + job.At(*p.At).In(u)
		}
		all = append(all, text)
	}
	if len(all) == 0 {
		return ""
	}
	const most = 5 // own choice; the JSON has all
	if n := len(all) - most; n > 0 {
		all = append(all[:most], fmt.Sprintf("and %d more", n))
	}
	return " Not filled: " + strings.Join(all, "; ") + "."
}
