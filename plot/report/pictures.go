package report

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"time"

	"pourplane/plot"
	"pourplane/surface"
	"pourplane/surface/job"
	"pourplane/survey"
	"pourplane/survey/landxml"
	"pourplane/survey/unit"

	"gonum.org/v1/plot/vg"
)

// picture is a drawing and the name of its files.
type picture struct {
	name    string
	drawing plot.Drawing
}

// depthMap is the map of the fill.
func depthMap(w *job.Filled, style unit.Style) plot.DepthMap {
	fill := w.Fill
	m := plot.DepthMap{
		Title:   w.Title,
		Summary: fmt.Sprintf("Fill %s, mean depth %s; target %s%s", style.SmallVolume(fill.Fill), meanText(fill, style), topText(w, style), rampsInShort(w)),
		Note:    mapNote(w),
		Floor:   w.Floor, Target: fill.Target, Levels: w.LevelsIn(style.Imperial),
		Finished: w.FinishedBeside(), Units: style, Shots: true, Drains: w.Survey.Drains(),
	}
	m.Drains, m.Channels = append(m.Drains, fallsTo(w)...), channelsOf(w)
	m.Ramps, m.Stops = rampOutlines(w)
	if f := w.Falling; f != nil && f.Place != nil {
		m.Drains = append(m.Drains, survey.Point{X: f.Place.X, Y: f.Place.Y}.Named(f.Name))
	}
	for _, b := range w.Blunders {
		m.Ringed = append(m.Ringed, b.Shot)
	}
	return m
}

// mostNext is how many next shots are numbered on a map of the depths, between the depths at its shots.
// Own choice: with more, too few of those have room.
const mostNext = 5

// numberNext numbers the next shots on a map of the depths, or says where they are.
func numberNext(m *plot.DepthMap, w *job.Filled) {
	s := w.Sure()
	if s == nil {
		return
	}
	next := s.Next()
	if len(next) > mostNext && noErrorMap(s, w.Old) == "" {
		m.Note = strings.TrimSpace(fmt.Sprintf("%d next shots: numbered on the map of the ±, depth-error\n", len(next)) + m.Note)
		return
	}
	for i, n := range next {
		m.Spots = append(m.Spots, plot.Spot{Name: strconv.Itoa(i + 1), At: n.At, Next: true})
	}
}

// FillPictures lists the maps of a fill.
func FillPictures(w *job.Filled, style unit.Style) []picture {
	m := depthMap(w, style)
	numberNext(&m, w)
	return fillPictures(w, m, errorMap(w, style), style)
}

// fillPictures lists the maps of a fill, that of the depth first; that of the ± of the depth is nil if
// it is not known.
func fillPictures(w *job.Filled, m plot.DepthMap, plusMinus *plot.DepthMap, style unit.Style) []picture {
	floor, fill := w.Floor, w.Fill
	// Black and white has no bands, so it needs lines between their limits.
	lines := plot.ContourMap(m)
	for _, r := range floor.Regions {
		lines.Contours = append(lines.Contours, r.TIN.Contours(r.TIN.Depths(fill.Target), slices.Concat(m.Levels, surface.Between(m.Levels)))...)
	}
	all := []picture{{"depth", &m}, {"contours", &lines}}
	if plusMinus != nil {
		all = append(all, picture{"depth-error", plusMinus})
	}
	for i, line := range w.Profiles {
		from, to := line[0], line[1]
		name := "profile"
		if len(w.Profiles) > 1 {
			name = fmt.Sprintf("profile-%d", i+1)
		}
		all = append(all, picture{name, &plot.Profile{
			Title:   m.Title,
			Summary: fmt.Sprintf("Profile from %s to %s", job.At(from).In(style), job.At(to).In(style)),
			Note:    m.Note,
			Floor:   floor, Target: fill.Target, From: from, To: to, Units: style,
		}})
	}
	if t := tradeOff(w.Best, style); t != nil {
		t.Title = w.Title
		all = append(all, picture{"trade-off", t})
	}
	for _, s := range w.Water {
		name := "water"
		if s.On == job.AsPlanned {
			name = "water-target"
		}
		all = append(all, picture{name, waterMap(s, w.Title, style)})
	}
	return all
}

// dpiOf is how many dots to an inch a PNG has; 0: as usual. A map of a ± has no small lettering in it.
func dpiOf(d plot.Drawing) int {
	if m, ok := d.(*plot.DepthMap); ok && m.Plain() {
		return 180
	}
	return 0
}

// Drawn draws pictures in memory, each as PNG, SVG and PDF.
func Drawn(all []picture, watch job.Watch) ([]Output, error) {
	return made(drawings(all), watch)
}

// drawings lists the files of pictures.
func drawings(all []picture) []making {
	heights := make([]vg.Length, len(all))
	// What the formats of a picture share is worked out with its height, before they are drawn at once.
	together(len(all), func(i int) error {
		heights[i] = all[i].drawing.Height(plot.DefaultWidth)
		return nil
	})
	var out []making
	for i, d := range all {
		for _, format := range []string{"png", "svg", "pdf"} {
			name := d.name + "." + format
			out = append(out, making{name, "drawing " + name, func(w io.Writer) error {
				err := plot.Write(w, d.drawing, plot.Output{Format: format, Height: heights[i], DPI: dpiOf(d.drawing)})
				if errors.Is(err, plot.ErrOffFloor) {
					return &survey.Error{Field: "profile", Found: "a line that does not cross the floor", Want: "X1,Y1,X2,Y2 on the floor", Err: err}
				}
				if err != nil {
					return fmt.Errorf("%s: %w", name, err)
				}
				return nil
			}})
		}
	}
	return out
}

// LandXML is the surfaces of the floor for another program.
func LandXML(w *job.Filled, day time.Time) Output {
	return Output{Name: "surface.xml", Stream: func(to io.Writer) error {
		return landxml.Write(to, landxml.Document{Project: w.Title, Date: day, Version: Version, Surfaces: w.Old.Surfaces()})
	}}
}

// leftOutText counts the rows left out and lists the first of them: shots by name, others by
// line. It is empty if none was left out.
func leftOutText(w *job.Filled) string {
	names := map[survey.Pos]string{} // of the rows left out
	for _, n := range w.Notes {
		if n.Kind == survey.LeftOut {
			names[n.Pos] = ""
		}
	}
	for _, list := range [][]survey.Point{w.Survey.Points, w.Survey.Finished, w.Survey.Control, w.Survey.Heights} {
		for i := 0; i < len(list) && len(names) > 0; i++ {
			if _, out := names[list[i].At()]; out {
				names[list[i].At()] = list[i].Name()
			}
		}
	}
	left, empty, dashes := 0, 0, 0
	var shots, where []string // each line once
	for _, n := range w.Notes {
		if n.Kind != survey.LeftOut {
			continue
		}
		left++
		if n.Empty {
			empty++
		}
		if n.Dash {
			dashes++
		}
		if name := cmp.Or(n.Shot, names[n.Pos]); name != "" {
			if strings.Contains(name, " ") { // more likely a line of text than a shot
				name = strconv.Quote(name)
			}
			shots = append(shots, name)
		} else if line := fmt.Sprint(n.Pos.Line); !slices.Contains(where, line) {
			where = append(where, line)
		}
	}
	const most = 5
	list := func(what string, of []string) string {
		if len(of) == 0 {
			return ""
		}
		if len(of) > 1 {
			what += "s"
		}
		more := ""
		if len(of) > most {
			of, more = of[:most], ", …"
		}
		return what + " " + strings.Join(of, ", ") + more
	}
	what := "row"
	switch left {
	case empty:
		what = "empty cell"
	case empty + dashes:
		what = "cell"
	}
	parts := slices.DeleteFunc([]string{list("shot", shots), list("line", where)}, func(t string) bool { return t == "" })
	if left == 0 {
		return ""
	}
	return fmt.Sprintf("%s left out (%s)", survey.Plural(left, what), strings.Join(parts, "; "))
}

// mapNote writes on the map what its reader must know: what was left out and how the edge is
// known.
func mapNote(w *job.Filled) string {
	floor, fill := w.Floor, w.Fill
	var lines []string
	if text := leftOutText(w); text != "" {
		lines = append(lines, text)
	}
	if floor.Hull {
		lines = append(lines, "No walls given: the line around the outermost shots is used; floor beyond it is missing")
	}
	if fill.FittedArea > 0 {
		lines = append(lines, fmt.Sprintf("%.0f %% of the area, along walls, is estimated: no shots there", 100*fill.FittedArea/fill.Area))
	}
	return strings.Join(lines, "\n")
}
