package report

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"math"
	"slices"
	"strconv"

	"pourplane/plot"
	"pourplane/surface"
	"pourplane/surface/flatness"
	"pourplane/surface/job"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// Places is the list of numbered places for a spreadsheet.
func Places(j *job.Judged, style unit.Style) []byte {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	name, size := style.Places().String(), style.Places().Metres()
	head := []string{"number", "what", "x_" + name, "y_" + name, "from_wall_1_" + name, "from_wall_2_" + name, "off_plane_m", "area_m2", "volume_m3", "passes", "bags", "wall_1", "wall_2"}
	if style.Imperial {
		head = append(head, "off_plane_in", "area_ft2", "volume_ft3")
	}
	w.Write(head)
	num := func(v float64, digits int) string { return strconv.FormatFloat(v, 'f', digits, 64) }
	for i := range j.Work.Spots {
		m := &j.Work.Spots[i]
		var walls, named [2]string
		for k, o := range j.Floor.Sides(m.At) {
			walls[k], named[k] = num(o.Distance/size, 3), o.Short()
		}
		what, passes, bags := "low", "", ""
		if m.High {
			what = "high"
		}
		if m.High && !m.NotMeasured {
			passes = strconv.Itoa(m.Passes)
		}
		if m.Bags > 0 {
			bags = strconv.Itoa(m.Bags)
		}
		row := []string{markName(m), what, num(m.At.X/size, 3), num(m.At.Y/size, 3), walls[0], walls[1], num(m.Off, 4), num(m.Area, 3), num(m.Volume, 5), passes, bags, named[0], named[1]}
		if style.Imperial {
			const foot = 0.3048 // m
			row = append(row, num(m.Off/foot*12, 3), num(m.Area/(foot*foot), 2), num(m.Volume/(foot*foot*foot), 4))
		}
		w.Write(row)
	}
	w.Flush()
	return b.Bytes()
}

// FlatnessPictures lists the maps of flatness under a title.
func FlatnessPictures(j *job.Judged, title string, style unit.Style) []picture {
	f := flatMaps{j, title, style}
	var all []picture
	if j.Floor != nil {
		all = append(all, picture{"departures", f.departures()})
		if h := histogram(j, title, style); h != nil {
			all = append(all, picture{"histogram", h})
		}
		all = append(all, f.edgesOnFloor()...)
	} else {
		all = append(all, f.edgesOnRuns()...)
	}
	if j.Whole != nil {
		if m := f.runs(); slices.ContainsFunc(m.Runs, survey.Run.Placed) {
			all = append(all, picture{"runs", m})
		}
	}
	if j.Water != nil {
		name := "water"
		if j.InJob { // beside the maps of the fill
			name = "water-after"
		}
		all = append(all, picture{name, waterMap(j.Water, title, style)})
	}
	return all
}

// flatMaps draws the maps of flatness of a floor.
type flatMaps struct {
	*job.Judged
	title string
	style unit.Style
}

// split returns the floor with its triangles split for the target.
func (f flatMaps) split() *surface.Floor {
	if floor, err := f.Floor.Under(f.Target); err == nil { // else the flatness has been refused
		return floor
	}
	return f.Floor
}

// departures maps how far the floor is from the plane, with the largest highs and lows.
func (f flatMaps) departures() *plot.DepthMap {
	m := &plot.DepthMap{
		Title:   f.title,
		Summary: "Departures from the plane: " + mapShare(f.Judged, f.style),
		Floor:   f.split(), Target: f.Target, Units: f.style, Departure: true, Shots: len(f.Survey.Points) <= 400,
	}
	// More than a dozen of a kind would hide the floor; the list has them all.
	drawn := map[bool]int{}
	for i := range f.Work.Spots {
		v := &f.Work.Spots[i]
		if drawn[v.High]++; drawn[v.High] <= 12 {
			m.Spots = append(m.Spots, plot.Spot{Name: markName(v), At: v.At, Rings: v.Rings})
		}
	}
	if n := len(f.Work.Spots); n > len(m.Spots) {
		m.Note = fmt.Sprintf("The %d largest of %d places are outlined; the list has them all", len(m.Spots), n)
	}
	return m
}

// edgesOnFloor maps each straightedge asked for, and draws the floor under its worst place.
func (f flatMaps) edgesOnFloor() (all []picture) {
	for i, e := range f.Edges[:min(f.Asked, len(f.Edges))] {
		if !e.Fits {
			continue
		}
		all = append(all, picture{"straightedge" + edgeSuffix(i), f.edgeMap(e)})
		if q := edgeProfile(f.Floor, e.Straightedge, f.title, f.style); q != nil {
			q.Summary = f.gapTitle(e)
			all = append(all, picture{"worst-gap" + edgeSuffix(i), q})
		}
	}
	return all
}

// edgeMap maps the worst places of a straightedge, and where it rocks.
func (f flatMaps) edgeMap(e job.Laid) *plot.DepthMap {
	m := &plot.DepthMap{
		Title:   f.title,
		Summary: f.gapTitle(e),
		Note:    "Numbered: the worst places, each with its straightedge",
		Floor:   f.split(), Target: f.Target, Units: f.style, Departure: true,
	}
	for k, w := range e.Worst {
		m.Spots = append(m.Spots, plot.Spot{Name: strconv.Itoa(k+1) + ": " + fine(w.Gap, f.style), At: w.LowAt, Lines: [][2]surface.Vec{{w.From, w.To}}})
	}
	if e.Swing > 0 {
		m.Note += "; where it says rocks, the straightedge sits on a hump: press one end down and the other lifts " + fine(e.Swing, f.style)
		m.Spots = append(m.Spots, plot.Spot{Name: "rocks", At: e.Rock.LowAt, Lines: [][2]surface.Vec{{e.Rock.From, e.Rock.To}}})
	}
	return m
}

// edgesOnRuns draws the run with the worst place of each straightedge asked for.
func (f flatMaps) edgesOnRuns() (all []picture) {
	for i, e := range f.Edges[:min(f.Asked, len(f.Edges))] {
		if q := runProfile(f.Judged, e, f.title, f.style); q != nil {
			q.Summary = f.gapTitle(e)
			all = append(all, picture{"worst-gap" + edgeSuffix(i), q})
		}
	}
	return all
}

// edgeSuffix ends the name of a picture of straightedge i: nothing for the first.
func edgeSuffix(i int) string {
	if i == 0 {
		return ""
	}
	return fmt.Sprintf("-%d", i+1)
}

// runs maps the runs of readings with their F-numbers, in the outline of the floor.
func (f flatMaps) runs() *plot.RunMap {
	m := &plot.RunMap{Title: f.title, Summary: numbersInBrief(f.Whole) + "; " + flatness.Method, Units: f.style}
	for _, sec := range f.Whole.Sections {
		for i := range sec.Lines {
			l := &sec.Lines[i]
			run := survey.Run{Name: l.Run, Step: l.Step, Stations: make([]survey.Station, l.Readings())}
			run.Start, run.End = survey.Point{X: l.Start.X, Y: l.Start.Y}, survey.Point{X: l.End.X, Y: l.End.Y}
			m.Runs = append(m.Runs, run)
			m.Text = append(m.Text, fmt.Sprintf("FF %s FL %s", l.FF, l.FL))
		}
	}
	if f.Floor != nil {
		for _, r := range f.Floor.Regions {
			m.Outlines = append(m.Outlines, r.Rings...)
		}
		return m
	}
	for _, r := range f.Survey.Rings {
		var ring []surface.Vec
		for _, q := range r.Points {
			ring = append(ring, surface.Vec{X: q.X, Y: q.Y})
		}
		m.Outlines = append(m.Outlines, ring)
	}
	return m
}

// mapShare is how much is within the tolerance, short enough for a map.
func mapShare(j *job.Judged, style unit.Style) string {
	if j.LevelLack().In(style) != "" {
		return fmt.Sprintf("%s (not the whole floor) within ±%s", nearShots(j), fine(j.Tol, style))
	}
	return fmt.Sprintf("%s of the area within ±%s", unit.Percent(j.Off.Within), fine(j.Tol, style))
}

// gapTitle is the largest gap under a straightedge; without a verdict it says so first.
func (f flatMaps) gapTitle(e job.Laid) string {
	length := job.EdgeLength(e.Length).In(f.style)
	if text := f.TooSparse(e.Length).In(f.style); text != "" {
		return fmt.Sprintf("%s straightedge: %s; the gap at the %s alone is %s", length, text, f.Readings(), fine(e.Gap, f.style))
	}
	return fmt.Sprintf("%s straightedge: largest gap %s", length, fine(e.Gap, f.style))
}

// histogram sorts the area by its departure.
func histogram(j *job.Judged, title string, style unit.Style) *plot.Histogram {
	high, low := j.Off.Highest, j.Off.Lowest
	step := 0.0005
	if style.Imperial {
		step = 0.0254 / 32
	}
	for (high-low)/step > 40 {
		step *= 2
	}
	from := step * math.Floor(low/step)
	n := int(math.Ceil((high-from)/step + 1e-9))
	if n < 1 {
		return nil
	}
	shares, err := flatness.Shares(j.Floor, j.Target, from, step, n)
	if err != nil {
		return nil
	}
	return &plot.Histogram{Title: title, Summary: mapShare(j, style) + " of the plane", From: from, Step: step, Shares: shares, Tolerance: j.Tol, Units: style}
}

// runProfile draws the run with the worst place of an edge, and its curvature.
func runProfile(j *job.Judged, e job.Laid, title string, style unit.Style) *plot.EdgeProfile {
	for _, r := range j.Runs {
		if r.Name != e.Run || !e.Fits {
			continue
		}
		profile, err := flatness.Stretches(r)
		if err != nil {
			return nil
		}
		along := func(v surface.Vec) float64 {
			if !r.Placed() {
				return v.X // places are metres along the run
			}
			return math.Hypot(v.X-r.Start.X, v.Y-r.Start.Y)
		}
		for _, line := range profile {
			if line[0].Distance > along(e.SupportA)+1e-6 || line[len(line)-1].Distance < along(e.SupportB)-1e-6 {
				continue
			}
			var h []float64
			for _, q := range line {
				h = append(h, q.Elevation)
			}
			return &plot.EdgeProfile{Title: title, Summary: fmt.Sprintf("Run %s: gap %s under a straightedge of %s", r.Name, fine(e.Gap, style), job.EdgeLength(e.Length).In(style)),
				Line: line, From: along(e.From), To: along(e.To), A: along(e.SupportA), B: along(e.SupportB), Low: along(e.LowAt), Gap: e.Gap, Curvature: flatness.Curvatures(h), Units: style}
		}
	}
	return nil
}

// edgeProfile draws the floor under the worst position of an edge, with a little on either
// side.
func edgeProfile(floor *surface.Floor, e flatness.Straightedge, title string, style unit.Style) *plot.EdgeProfile {
	length := e.From.Distance(e.To)
	if length == 0 {
		return nil
	}
	ux, uy := (e.To.X-e.From.X)/length, (e.To.Y-e.From.Y)/length
	more := 0.12 * length
	a := surface.Vec{X: e.From.X - more*ux, Y: e.From.Y - more*uy}
	b := surface.Vec{X: e.To.X + more*ux, Y: e.To.Y + more*uy}
	along := func(v surface.Vec) float64 { return (v.X-a.X)*ux + (v.Y-a.Y)*uy }
	for _, run := range floor.Profile(a, b) {
		if run[0].Distance <= along(e.SupportA)+1e-6 && run[len(run)-1].Distance >= along(e.SupportB)-1e-6 {
			return &plot.EdgeProfile{Title: title, Summary: fmt.Sprintf("%s straightedge: gap %s", job.EdgeLength(e.Length).In(style), fine(e.Gap, style)), Note: job.Stretch(floor, e.From, e.To).In(style),
				Line: run, From: along(e.From), To: along(e.To), A: along(e.SupportA), B: along(e.SupportB), Low: along(e.LowAt), Gap: e.Gap, Units: style}
		}
	}
	return nil
}
