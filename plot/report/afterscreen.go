package report

import (
	"fmt"

	"pourplane/surface"
	"pourplane/surface/flatness"
	"pourplane/surface/job"
	"pourplane/survey/unit"
)

// AfterFacts are the floor as poured, the verdict first, with its tables and all notes that
// are beside none of its lines.
func AfterFacts(j *job.Judged, style unit.Style) ([]Fact, []Grid, []Remarks) {
	out := []Fact{{Head: "As poured", Text: Printable(Verdict(j, style))}}
	for _, r := range flatRows(j, style, true) {
		out = append(out, Fact{Head: r.Head, Text: Printable(r.Text)})
	}
	tolerances, _ := toleranceTable(j, style, inResult)
	grids := []Grid{gridOf(tolerances)}
	if len(j.Work.Spots) > 0 {
		grids = append([]Grid{gridOf(placesTable(j, style).Pick("Place", "From two walls", "From plane", "Area", "Volume", "To do"))}, grids...)
	}
	if j.Whole != nil {
		t := runTable(j.Whole, style)
		t.Title = "Runs"
		grids = append(grids, gridOf(t))
	}
	return out, grids, remarks(j.Notes, nil, style)
}

// AfterShades are the classes of the departures from the plane, as on the map of them: depths,
// which are positive below the plane.
func AfterShades(j *job.Judged, style unit.Style) []Shade {
	m := flatMaps{Judged: j, style: style}.departures()
	out := []Shade{}
	for _, v := range m.Shades() {
		out = append(out, Shade{v.From, v.To, v.Color, fromTo(sideOf(-v.To, style), sideOf(-v.From, style))})
	}
	return out
}

// SpotMark is a high or a low of the floor as poured.
type SpotMark struct {
	Name  string         `json:"name"`
	High  bool           `json:"high"`
	At    [2]float64     `json:"at"`
	Off   float64        `json:"off_m"` // from the plane, negative below
	Text  string         `json:"text"`  // what to do
	Where string         `json:"where"`
	Rings [][][2]float64 `json:"rings"`
}

// SpotMarks are the highs and lows to work on.
func SpotMarks(j *job.Judged, style unit.Style) []SpotMark {
	out := []SpotMark{}
	for i := range j.Work.Spots {
		m := &j.Work.Spots[i]
		one := SpotMark{markName(m), m.High, [2]float64{m.At.X, m.At.Y}, m.Off, sideOf(m.Off, style) + ": " + taskOf(m), job.CellOf(j.Floor, m.At).In(style), nil}
		for _, ring := range m.Rings {
			var r [][2]float64
			for _, p := range ring {
				r = append(r, [2]float64{p.X, p.Y})
			}
			one.Rings = append(one.Rings, r)
		}
		out = append(out, one)
	}
	return out
}

// EdgeMark is a straightedge laid along a line on a floor.
type EdgeMark struct {
	Fits bool       `json:"fits"`
	Gap  float64    `json:"gap_m"`
	Low  [2]float64 `json:"low"` // where the gap is largest; without a gap this and the supports are 0
	A    [2]float64 `json:"a"`   // its supports
	B    [2]float64 `json:"b"`
	Text string     `json:"text"`
}

// EdgeOn lays a straightedge from one place to another.
func EdgeOn(floor *surface.Floor, from, to surface.Vec, style unit.Style) (EdgeMark, error) {
	length := from.Distance(to)
	if !(length > 0) {
		return EdgeMark{Text: "a straightedge without length"}, nil
	}
	const whole = 1 - 1e-9 // of the line: its ends may be a rounding apart from those of the profile
	e, err := flatness.LayAlong(floor.Profile(from, to), flatness.Laying{Length: length * whole})
	if err != nil {
		return EdgeMark{}, err
	}
	if !e.Fits {
		return EdgeMark{Text: fmt.Sprintf("%s does not fit there: the longest clear line is %s", style.Length(length), style.Length(e.Longest))}, nil
	}
	if e.From == e.To { // it rests everywhere, or on a hump
		return EdgeMark{Fits: true, Text: fmt.Sprintf("no gap under %s: the floor is straight there, or higher in the middle", style.Length(length))}, nil
	}
	vec := func(p surface.Vec) [2]float64 { return [2]float64{p.X, p.Y} }
	return EdgeMark{true, e.Gap, vec(e.LowAt), vec(e.SupportA), vec(e.SupportB),
		fmt.Sprintf("largest gap %s under %s, %s", fine(e.Gap, style), style.Length(length), job.Beside(floor, e.LowAt).In(style))}, nil
}
