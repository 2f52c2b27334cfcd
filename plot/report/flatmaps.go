package report

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"math"
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
	for i := range j.Work.Marks {
		m := &j.Work.Marks[i]
		var walls, named [2]string
		for k, o := range job.WallsOf(j.Floor, m.At) {
			walls[k], named[k] = num(o.Distance/size, 3), job.WallShort(o)
		}
		what, passes, bags := "low", "", ""
		if m.High {
			what, passes = "high", strconv.Itoa(m.Passes)
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
	var all []picture
	if j.Floor != nil {
		m := &plot.DepthMap{
			Title:   title,
			Summary: "Departures from the plane: " + mapShare(j, style),
			Floor:   j.Floor, Target: j.Plane, Units: style, Departure: true, Shots: len(j.Survey.Points) <= 400,
		}
		// More than a dozen of a kind would hide the floor; the list has them all.
		drawn := map[bool]int{}
		for i := range j.Work.Marks {
			v := &j.Work.Marks[i]
			if drawn[v.High]++; drawn[v.High] <= 12 {
				m.Marks = append(m.Marks, plot.Mark{Name: markName(v), At: v.At, Rings: v.Rings})
			}
		}
		if n := len(j.Work.Marks); n > len(m.Marks) {
			m.Note = fmt.Sprintf("The %d largest of %d places are outlined; the list has them all", len(m.Marks), n)
		}
		all = append(all, picture{"departures", m})
		if h := histogram(j, title, style); h != nil {
			all = append(all, picture{"histogram", h})
		}
		for i, e := range j.Edges {
			if i >= j.Asked || !e.Fits {
				continue
			}
			one := &plot.DepthMap{
				Title:   title,
				Summary: fmt.Sprintf("%s straightedge: largest gap %s", job.EdgeLength(e.Length, style), fine(e.Gap, style)) + between(j, e.Length, style),
				Note:    "Numbered: the worst places, each with its straightedge",
				Floor:   j.Floor, Target: j.Plane, Units: style, Departure: true, Levels: m.Levels,
			}
			for k, w := range e.Worst {
				one.Marks = append(one.Marks, plot.Mark{Name: strconv.Itoa(k+1) + ": " + fine(w.Gap, style), At: w.LowAt, Lines: [][2]surface.Vec{{w.From, w.To}}})
			}
			if e.Swing > 0 {
				one.Note += "; rocks: the straightedge rocks most here, on a hump: each end moves " + fine(e.Swing, style)
				one.Marks = append(one.Marks, plot.Mark{Name: "rocks", At: e.Rock.LowAt, Lines: [][2]surface.Vec{{e.Rock.From, e.Rock.To}}})
			}
			suffix := ""
			if i > 0 {
				suffix = fmt.Sprintf("-%d", i+1)
			}
			all = append(all, picture{"straightedge" + suffix, one})
			if q := edgeProfile(j.Floor, e.Straightedge, title, style); q != nil {
				q.Summary += between(j, e.Length, style)
				all = append(all, picture{"worst-gap" + suffix, q})
			}
		}
	}
	if j.Floor == nil {
		for i, e := range j.Edges {
			if q := runProfile(j, e, title, style); i < j.Asked && q != nil {
				q.Summary += between(j, e.Length, style)
				suffix := ""
				if i > 0 {
					suffix = fmt.Sprintf("-%d", i+1)
				}
				all = append(all, picture{"worst-gap" + suffix, q})
			}
		}
	}
	if j.Whole != nil {
		m := &plot.RunMap{Title: title, Summary: fmt.Sprintf("FF %s, FL %s; %s", j.Whole.FF, j.Whole.FL, flatness.Method), Units: style}
		placed := false
		for _, sec := range j.Whole.Sections {
			for i := range sec.Lines {
				l := &sec.Lines[i]
				run := survey.Run{Name: l.Run, Step: l.Step, Stations: make([]survey.Station, l.Readings())}
				run.Start, run.End = survey.Point{X: l.Start.X, Y: l.Start.Y}, survey.Point{X: l.End.X, Y: l.End.Y}
				placed = placed || run.Placed()
				m.Runs = append(m.Runs, run)
				m.Text = append(m.Text, fmt.Sprintf("FF %s FL %s", l.FF, l.FL))
			}
		}
		if j.Floor != nil {
			for _, r := range j.Floor.Regions {
				m.Outlines = append(m.Outlines, r.Rings...)
			}
		}
		for _, r := range j.Survey.Rings {
			if j.Floor == nil {
				var ring []surface.Vec
				for _, q := range r.Points {
					ring = append(ring, surface.Vec{X: q.X, Y: q.Y})
				}
				m.Outlines = append(m.Outlines, ring)
			}
		}
		if placed {
			all = append(all, picture{"runs", m})
		}
	}
	return all
}

// mapShare is how much is within the tolerance, short enough for a map.
func mapShare(j *job.Judged, style unit.Style) string {
	if j.LevelLack(style) != "" {
		return fmt.Sprintf("%s (not the whole floor) within ±%s", nearShots(j), fine(j.Tol, style))
	}
	return fmt.Sprintf("%.1f %% of the area within ±%s", 100*j.Off.Within, fine(j.Tol, style))
}

// between qualifies a gap under a straightedge if the readings are too far apart for it.
func between(j *job.Judged, length float64, style unit.Style) string {
	if text := j.TooSparse(length, style); text != "" {
		return " at the " + j.Readings() + "; " + text
	}
	return ""
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
	shares, err := flatness.Shares(j.Floor, j.Plane, from, step, n)
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
			return &plot.EdgeProfile{Title: title, Summary: fmt.Sprintf("Run %s: gap %s under a straightedge of %s", r.Name, fine(e.Gap, style), job.EdgeLength(e.Length, style)),
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
			return &plot.EdgeProfile{Title: title, Summary: fmt.Sprintf("%s straightedge: gap %s", job.EdgeLength(e.Length, style), fine(e.Gap, style)), Note: job.Stretch(floor, e.From, e.To, style),
				Line: run, From: along(e.From), To: along(e.To), A: along(e.SupportA), B: along(e.SupportB), Low: along(e.LowAt), Gap: e.Gap, Units: style}
		}
	}
	return nil
}
