package report

import (
	"bytes"
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"pourplane/plot/table"
	"pourplane/surface"
	"pourplane/surface/job"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// mostReadLines is the max number of lines of a file or of a level book on a terminal
// without --verbose.
const mostReadLines = 40

// holdingRows are the contents of the file and how it was understood. They list up to some
// surfaces, runs and suspects; more counts the others.
func holdingRows(h *job.Holding, style unit.Style, some int) (rows facts, more []string) {
	l := &holdingList{Holding: h, style: style, some: some}
	l.file()
	l.counts()
	l.surfaces()
	l.runs()
	l.codes()
	l.extent()
	if h.S.Book != nil {
		l.rows.add("Level book", "%s; %s", survey.Plural(len(h.S.Book.Setups), "set-up"), closes(h.S.Book, style))
	}
	density(h, &l.rows, style)
	l.outside()
	l.suspects()
	return l.rows, l.more
}

// holdingList is the contents of a file while they are listed.
type holdingList struct {
	*job.Holding
	style unit.Style
	some  int // max number listed of a kind
	rows  facts
	more  []string // what is not listed
}

// listed returns how many of n things of a kind are listed, and counts the others.
func (l *holdingList) listed(n int, what string) int {
	if n > l.some {
		l.more = append(l.more, survey.Plural(n-l.some, what))
	}
	return min(l.some, n)
}

// file lists the file, its parts, and how its columns and units were read.
func (l *holdingList) file() {
	s := l.S
	l.rows.add("File", "%s", s.Name)
	how := s.Format
	if s.Encoding != "" {
		how += ", " + s.Encoding
	}
	if s.Delimiter != "" && s.Delimiter != "cells" {
		how += ", fields separated by " + separatorWord(s.Delimiter)
	}
	l.rows.add("Format", "%s", how)
	for _, v := range s.Files[:l.listed(len(s.Files), "file")] {
		l.rows.add("", "%s: %s, %d rows", v.Name, v.Format, v.Rows)
	}
	if s.Order != "" {
		l.rows.add("Columns", "%s", s.Order)
	}
	l.rows.add("Units", "%s", units(l.Holding))
}

// rowsOf names what is counted as the rows of a survey: of a grid sheet its cells, with and without a
// reading.
func rowsOf(s *survey.Survey, other string) string {
	if s.GridCells && len(s.Files) == 0 {
		return "cells"
	}
	return other
}

// counts lists how many things of each kind the file holds.
func (l *holdingList) counts() {
	s := l.S
	out, drains := len(s.LeftOut()), len(s.Drains())
	counts := []string{fmt.Sprintf("%d %s", s.Rows, rowsOf(s, "rows"))}
	for _, c := range []struct {
		n    int
		what string
	}{{len(s.Points), "floor shots"}, {len(s.Levels), "levels without a place"}, {len(s.Finished), "on adjoining finished floor"}, {marksOf(s), "benchmarks, turning points and checks"}, {drains, "drains"},
		{len(s.Rings), "rings"}, {len(s.Breaklines), "lines"}, {len(s.Outlines), "closed lines"}, {len(s.Surfaces), "surfaces"}, {out, "left out"}} {
		if c.n == 1 {
			c.what = singular(c.what)
		}
		if c.n > 0 {
			counts = append(counts, fmt.Sprintf("%d %s", c.n, c.what))
		}
	}
	l.rows.add("Holds", "%s", strings.Join(counts, ", "))
}

// surfaces lists the surfaces of the file.
func (l *holdingList) surfaces() {
	for _, u := range l.S.Surfaces[:l.listed(len(l.S.Surfaces), "surface")] {
		l.rows.add("", "surface %q: %s, %s, %s, %s, %s", u.Name, fmt.Sprintf("%d vertices", len(u.Vertices)), survey.Plural(len(u.Faces), "face"), survey.Plural(len(u.Points), "point"), survey.Plural(len(u.Rings), "ring"), survey.Plural(len(u.Breaklines), "breakline"))
	}
}

// runs lists the runs of readings, with their step and place.
func (l *holdingList) runs() {
	for _, r := range l.S.Runs[:l.listed(len(l.S.Runs), "run")] {
		place := "not placed"
		if r.Placed() {
			place = fmt.Sprintf("from %s to %s", job.At(surface.Vec{X: r.Start.X, Y: r.Start.Y}).In(l.style), job.At(surface.Vec{X: r.End.X, Y: r.End.Y}).In(l.style))
		}
		step := fmt.Sprintf("step not stated (%s)", unit.Flag("step"))
		if r.Step > 0 {
			step = "every " + l.style.Depth(r.Step)
		}
		l.rows.add("", "run %s: %d readings, %s, %s", r.Name, len(r.Stations), step, place)
	}
}

// codes lists the feature codes, if there are any, with their number of points.
func (l *holdingList) codes() {
	if len(l.Codes) == 0 || len(l.Codes) == 1 && l.Codes[0].Code == "" {
		return
	}
	var codes []string
	for i, k := range l.Codes {
		if i == 15 {
			codes = append(codes, fmt.Sprintf("and %d more codes", len(l.Codes)-i))
			break
		}
		codes = append(codes, fmt.Sprintf("%s %d", cmp.Or(k.Code, "(none)"), k.N))
	}
	l.rows.add("Codes", "%s", strings.Join(codes, ", "))
}

// extent lists the range of the places and of the elevations.
func (l *holdingList) extent() {
	style := l.style
	if l.HasPlan {
		l.rows.add("Extent", "east %s to %s, north %s to %s", plan(l.Lo.X, style), plan(l.Hi.X, style), plan(l.Lo.Y, style), plan(l.Hi.Y, style))
	}
	if !l.HasZ {
		return
	}
	if low, high, ok := l.rods(); ok {
		lo, hi := l.FloorRange()
		l.rows.add("", "floor, rods %s to %s: %s from lowest to highest", low, high, span(hi-lo, style))
		return
	}
	word := "elevations"
	if len(l.S.Points) > 0 {
		word = "floor"
	}
	if l.S.Relative {
		word += ", relative,"
	}
	lo, hi := l.FloorRange()
	l.rows.add("", "%s %s to %s: %s from lowest to highest", word, style.Elevation(lo), style.Elevation(hi), span(hi-lo, style))
}

// rods returns the smallest and the largest rod reading of the floor as written. ok is false
// unless all were read from one set-up of no known height.
func (l *holdingList) rods() (low, high string, ok bool) {
	s := l.S
	if !s.Relative || len(s.Points) == 0 || s.Book != nil && len(s.Book.Setups) != 1 {
		return "", "", false
	}
	of := map[survey.Pos]*survey.Reading{}
	for i := range s.Readings {
		of[s.Readings[i].At] = &s.Readings[i]
	}
	var least, most *survey.Reading
	for _, p := range s.Points {
		r := of[p.At()]
		if r == nil || r.Measure != survey.Rod || r.Text == "" {
			return "", "", false
		}
		if least == nil || r.Value < least.Value {
			least = r
		}
		if most == nil || r.Value > most.Value {
			most = r
		}
	}
	named := func(r *survey.Reading) string {
		if plain := strings.Trim(r.Text, "0123456789.,") == ""; plain && !r.FeetInches {
			return r.Text + " " + r.Unit.String()
		}
		return r.Text
	}
	return named(least), named(most), true
}

// outside names the floor shots that the outline leaves out.
func (l *holdingList) outside() {
	if l.Floor == nil || l.Floor.Hull {
		return
	}
	var notes []survey.Note
	for _, n := range l.Floor.Notes {
		if n.Kind == survey.LeftOut {
			notes = append(notes, n)
		}
	}
	for i, n := range notes[:l.listed(len(notes), "unused shot")] {
		head := ""
		if i == 0 {
			head = "Not used"
		}
		l.rows.add(head, "%s: %s", n.Pos, n.Text.In(l.style))
	}
}

// suspects lists the shots that may be misread. Without any it gives the reason.
func (l *holdingList) suspects() {
	for i, v := range l.Suspects[:l.listed(len(l.Suspects), "suspect")] {
		head := ""
		if i == 0 {
			head = "Suspects"
		}
		l.rows.add(head, "%s: %s", v.Shot.At(), job.BlunderText(v).In(l.style))
	}
	if len(l.Suspects) > 0 && l.Floor != nil && l.Floor.Hull {
		// fill and the record have the walls, and may give another figure for the same shot.
		l.rows.add("", "Looked for without walls: with %s shots beyond a wall or step do not count as nearby, and figures may change", l.Walls())
	}
	if len(l.Suspects) > 0 {
		for _, n := range l.Unsearched {
			l.rows.add("", "%s", n.Text.In(l.style))
		}
	}
	if l.Floor == nil || len(l.Suspects) > 0 {
		return
	}
	none := "none"
	if len(l.S.Points) == 0 {
		none = "not looked for: the file holds a surface, no shots"
	} else if len(l.Unsearched) > 0 {
		none = "none found; " + l.Unsearched[0].Text.In(l.style)
	}
	l.rows.add("Suspects", "%s", none)
}

// Written names the files that read has written; empty: not written.
type Written struct{ Map, Cells string }

// HoldingText writes the contents of the file. Without verbose it stops at [mostReadLines]
// lines.
func HoldingText(h *job.Holding, style unit.Style, files Written, verbose bool) []byte {
	var b bytes.Buffer
	var tail []string
	if files.Map != "" {
		tail = []string{"Map: " + Printable(files.Map)}
	}
	if files.Cells != "" {
		tail = append(tail, "Cells: "+Printable(files.Cells))
	}
	if verbose {
		rows, _ := holdingRows(h, style, math.MaxInt)
		for _, r := range rows {
			fmt.Fprintf(&b, "%-*s%s\n", headWide, r.Head, Printable(r.Text))
		}
		b.WriteString(strings.Join(append([]string{""}, thumbnail(h, 24)...), "\n") + "\n")
		for _, line := range tail {
			fmt.Fprintf(&b, "\n%s\n", line)
		}
		say(&b, h.S.Notes, nil, style)
		return b.Bytes()
	}
	var rows facts
	var more []string
	used := mostReadLines
	for some := 5; some > 0 && used > mostReadLines-4; some-- { // room for a warning
		rows, more = holdingRows(h, style, some)
		used = 4 + len(tail) // title, blank lines, what is left to read
		for _, r := range rows[1:] {
			used += len(r.lines())
		}
	}
	// The map is as tall as the warnings leave room for.
	warnings := 0
	for _, n := range h.S.Notes {
		if n.Kind == survey.Warning && warnings < 12 {
			warnings += len(table.Hang("  ", Printable(noteLine(n, style)), mostWide))
		}
	}
	for i, lines := range keptLeftOut(h.S.Notes, style) {
		if i == 0 {
			warnings += 2 // blank line, head
		}
		warnings += len(lines)
	}
	if tall := min(12, mostReadLines-used-warnings-6); tall >= 5 {
		if lines := thumbnail(h, tall); len(lines) > 0 {
			rows = append(rows, AnswerRow{table: append([]string{""}, lines...)})
		}
	}
	Brief{Title: rows[0].Head + strings.Repeat(" ", headWide-len(rows[0].Head)) + Printable(rows[0].Text), Rows: rows[1:], Notes: h.S.Notes, style: style, more: more, Tail: tail, Most: mostReadLines}.Print(&b)
	return b.Bytes()
}

// density writes the number of shots per area.
func density(h *job.Holding, rows *facts, style unit.Style) {
	if h.Floor == nil {
		if why := h.Why.In(style); why != "" {
			rows.add("Surface", "none: %s", why)
		}
		return
	}
	f := h.Floor
	area := 0.0
	for _, r := range f.Regions {
		plan, _ := r.TIN.Area()
		area += plan
	}
	edge := "inside the outline"
	if f.Hull {
		edge = fmt.Sprintf("no walls given: the line around the outermost shots is used. Walls are farther out: %s gives them", h.Walls())
	} else if len(h.S.Surfaces) > 0 {
		edge = "of the surface"
	}
	rows.add("Area", "%s (%s)", style.Area(area), edge)
	if len(h.S.Points) == 0 {
		return
	}
	least, most := surface.UsualShots(area)
	within := "1 mm"
	if style.Imperial {
		within = style.Depth(style.Step()) // the smallest step shown, at least 1 mm
	}
	verdict := "enough on a grid for"
	if enough := surface.EnoughShots(area, style.Imperial); float64(f.Used) < 0.9*enough {
		verdict = fmt.Sprintf("about %.0f on a grid give", enough)
	}
	verdict += " an average depth within " + within + ", 90 % sure, set-up error aside (pourplane plan counts it)"
	rows.add("Density", "%d shots, one to %s; crews take %.0f to %.0f on such a floor; %s", f.Used, style.Area(area/float64(max(1, f.Used))), least, most, verdict)
}

// thumbnail draws the shots with characters, in at most tall lines plus two of words: 0 for
// the lowest tenth of the sound range to 9 for the highest. What is outside that range has a
// sign of its own, so that one bad reading does not make all others the same.
func thumbnail(h *job.Holding, tall int) []string {
	pts := h.S.Points
	if len(pts) == 0 {
		for _, u := range h.S.Surfaces {
			pts = append(pts, u.Vertices...)
		}
	}
	if len(pts) < 3 || !h.HasPlan {
		return nil
	}
	const wide = 66
	lo, hi := pts[0], pts[0]
	for _, p := range pts {
		lo.X, hi.X = min(lo.X, p.X), max(hi.X, p.X)
		lo.Y, hi.Y = min(lo.Y, p.Y), max(hi.Y, p.Y)
	}
	// A character is twice as tall as wide.
	scale := max((hi.X-lo.X)/(wide-1), (hi.Y-lo.Y)/float64(2*(tall-1)))
	if scale == 0 {
		return nil
	}
	cols, rows := int((hi.X-lo.X)/scale)+1, int((hi.Y-lo.Y)/(2*scale))+1
	cell := func(p survey.Point) int {
		i := min(max(int((p.X-lo.X)/scale+0.5), 0), cols-1)
		j := min(max(int((p.Y-lo.Y)/(2*scale)+0.5), 0), rows-1)
		return (rows-1-j)*cols + i
	}
	suspect := map[surface.Vec]bool{}
	sign := map[int]byte{}
	for _, v := range h.Suspects {
		suspect[surface.Vec{X: v.Shot.X, Y: v.Shot.Y}] = true
	}
	least, most := soundRange(pts, suspect)
	sum, n := make([]float64, cols*rows), make([]int, cols*rows)
	outside := false
	for _, p := range pts {
		if k := cell(p); p.HasZ() && !suspect[surface.Vec{X: p.X, Y: p.Y}] {
			switch {
			case p.Z < least:
				sign[k], outside = '<', true
			case p.Z > most:
				sign[k], outside = '>', true
			default:
				sum[k] += p.Z
				n[k]++
			}
		}
	}
	for _, v := range h.Suspects {
		sign[cell(v.Shot)] = '!'
	}
	var out []string
	for j := range rows {
		line := make([]byte, cols)
		for i := range cols {
			k := j*cols + i
			switch {
			case sign[k] != 0:
				line[i] = sign[k]
			case n[k] == 0:
				line[i] = ' '
			case most == least:
				line[i] = '0'
			default:
				line[i] = '0' + byte(min(9, int(10*(sum[k]/float64(n[k])-least)/(most-least))))
			}
		}
		out = append(out, strings.TrimRight("  "+string(line), " "))
	}
	words := "  north is up; 0 lowest to 9 highest tenth of the elevations"
	if len(h.Suspects) > 0 {
		words += "; ! suspect"
	}
	out = append(out, words)
	if outside {
		out = append(out, "  the tenths leave out the few far below (<) and far above (>) all others")
	}
	return out
}

// soundRange returns the range of the elevations that are not suspect, without those far out:
// more than three times the range of the middle half below or above that half. Source: J. W.
// Tukey, Exploratory Data Analysis (1977), outer fences.
func soundRange(pts []survey.Point, suspect map[surface.Vec]bool) (least, most float64) {
	var all []float64
	for _, p := range pts {
		if p.HasZ() && !suspect[surface.Vec{X: p.X, Y: p.Y}] {
			all = append(all, p.Z)
		}
	}
	if len(all) == 0 {
		return 0, 0
	}
	slices.Sort(all)
	low, high := all[len(all)/4], all[len(all)-1-len(all)/4]
	if fence := 3 * (high - low); fence > 0 {
		all = slices.DeleteFunc(all, func(z float64) bool { return z < low-fence || z > high+fence })
	}
	return all[0], all[len(all)-1]
}
