package report

import (
	"bytes"
	"cmp"
	"fmt"
	"math"
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
func holdingRows(h *job.Holding, style unit.Style, some int) (rows []AnswerRow, more []string) {
	s := h.S
	row := func(head, format string, args ...any) {
		rows = append(rows, AnswerRow{Head: head, Text: fmt.Sprintf(format, args...)})
	}
	left := func(n int, what string) {
		if n > some {
			more = append(more, job.Plural(n-some, what))
		}
	}
	row("File", "%s", s.Name)
	how := s.Format
	if s.Encoding != "" {
		how += ", " + s.Encoding
	}
	if s.Delimiter != "" && s.Delimiter != "cells" {
		how += ", fields separated by " + separatorWord(s.Delimiter)
	}
	row("Format", "%s", how)
	left(len(s.Files), "file")
	for _, v := range s.Files[:min(some, len(s.Files))] {
		row("", "%s: %s, %d rows", v.Name, v.Format, v.Rows)
	}
	if s.Order != "" {
		row("Columns", "%s", s.Order)
	}
	row("Units", "%s", units(h))
	out, drains := len(s.LeftOut()), len(s.Drains())
	counts := []string{fmt.Sprintf("%d rows", s.Rows)}
	for _, c := range []struct {
		n    int
		what string
	}{{len(s.Points), "floor shots"}, {len(s.Levels), "levels without a place"}, {len(s.Finished), "on adjoining finished floor"}, {len(s.Control) - drains, "benchmarks, turning points and checks"}, {drains, "drains"},
		{len(s.Rings), "rings"}, {len(s.Breaklines), "lines"}, {len(s.Outlines), "closed lines"}, {len(s.Surfaces), "surfaces"}, {out, "left out"}} {
		if c.n == 1 {
			c.what = strings.TrimSuffix(c.what, "s")
		}
		if c.n > 0 {
			counts = append(counts, fmt.Sprintf("%d %s", c.n, c.what))
		}
	}
	row("Holds", "%s", strings.Join(counts, ", "))
	left(len(s.Surfaces), "surface")
	for _, u := range s.Surfaces[:min(some, len(s.Surfaces))] {
		row("", "surface %q: %s, %s, %s, %s, %s", u.Name, fmt.Sprintf("%d vertices", len(u.Vertices)), job.Plural(len(u.Faces), "face"), job.Plural(len(u.Points), "point"), job.Plural(len(u.Rings), "ring"), job.Plural(len(u.Breaklines), "breakline"))
	}
	left(len(s.Runs), "run")
	for _, r := range s.Runs[:min(some, len(s.Runs))] {
		place := "not placed"
		if r.Placed() {
			place = fmt.Sprintf("from %s to %s", job.At(surface.Vec{X: r.Start.X, Y: r.Start.Y}, style), job.At(surface.Vec{X: r.End.X, Y: r.End.Y}, style))
		}
		step := "step not stated (--step)"
		if r.Step > 0 {
			step = "every " + style.Depth(r.Step)
		}
		row("", "run %s: %d readings, %s, %s", r.Name, len(r.Stations), step, place)
	}
	if len(h.Codes) > 1 || len(h.Codes) == 1 && h.Codes[0].Code != "" {
		var codes []string
		for i, k := range h.Codes {
			if i == 15 {
				codes = append(codes, fmt.Sprintf("and %d more codes", len(h.Codes)-i))
				break
			}
			codes = append(codes, fmt.Sprintf("%s %d", cmp.Or(k.Code, "(none)"), k.N))
		}
		row("Codes", "%s", strings.Join(codes, ", "))
	}
	if h.HasPlan {
		row("Extent", "east %s to %s, north %s to %s", plan(h.Lo.X, style), plan(h.Hi.X, style), plan(h.Lo.Y, style), plan(h.Hi.Y, style))
	}
	if h.HasZ {
		word := "elevations"
		if len(s.Points) > 0 {
			word = "floor"
		}
		if s.Relative {
			word += ", relative,"
		}
		lo, hi := h.FloorRange()
		row("", "%s %s to %s: %s from lowest to highest", word, style.Elevation(lo), style.Elevation(hi), span(hi-lo, style))
	}
	if s.Book != nil {
		row("Level book", "%s; %s", job.Plural(len(s.Book.Setups), "set-up"), closing(s.Book, style))
	}
	density(h, row, style)
	left(len(h.Suspects), "suspect")
	for i, v := range h.Suspects[:min(some, len(h.Suspects))] {
		head := ""
		if i == 0 {
			head = "Suspects"
		}
		row(head, "%s: %s", v.Shot.At, job.BlunderText(v, style))
	}
	if h.Floor != nil && len(h.Suspects) == 0 {
		none := "none"
		if len(s.Points) == 0 {
			none = "not looked for: the file holds a surface, no shots"
		} else if len(h.Unsearched) > 0 {
			none = "none found; " + h.Unsearched[0].Text.In(style)
		}
		row("Suspects", "%s", none)
	}
	return rows, more
}

// HoldingText writes the contents of the file. Without verbose it stops at [mostReadLines]
// lines.
func HoldingText(h *job.Holding, style unit.Style, picture string, verbose bool) []byte {
	var b bytes.Buffer
	var tail []string
	if picture != "" {
		tail = []string{"Map: " + Printable(picture)}
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
	var rows []AnswerRow
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
			warnings += len(table.Hang("  ", Printable(n.In(style)), mostWide))
		}
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
func density(h *job.Holding, row func(string, string, ...any), style unit.Style) {
	if h.Floor == nil {
		if h.Why != "" {
			row("Surface", "none: %s", h.Why)
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
		edge = "hull of the shots; walls are farther out, --outline FILE gives them"
	} else if len(h.S.Surfaces) > 0 {
		edge = "of the surface"
	}
	row("Area", "%s (%s)", style.Area(area), edge)
	if len(h.S.Points) == 0 {
		return
	}
	least, most, enough := surface.UsualShots(area)
	within := "1 mm"
	if style.Imperial {
		within = style.Depth(style.Step()) // the smallest step shown, at least 1 mm
	}
	verdict := "average depth is good to about " + within
	if n := float64(f.Used); n < 0.9*enough {
		verdict = fmt.Sprintf("about %.0f make the average depth good to %s", enough, within)
	}
	row("Density", "%d shots, one to %s; crews take %.0f to %.0f on such a floor; %s", f.Used, style.Area(area/float64(max(1, f.Used))), least, most, verdict)
}

// thumbnail draws the shots with characters, in at most tall lines plus two of words: 0 for
// the lowest tenth of the range to 9 for the highest.
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
		if p.HasZ() {
			lo.Z, hi.Z = min(lo.Z, p.Z), max(hi.Z, p.Z)
		}
	}
	// A character is twice as tall as wide.
	scale := max((hi.X-lo.X)/(wide-1), (hi.Y-lo.Y)/float64(2*(tall-1)))
	if scale == 0 {
		return nil
	}
	cols, rows := int((hi.X-lo.X)/scale)+1, int((hi.Y-lo.Y)/(2*scale))+1
	sum, n := make([]float64, cols*rows), make([]int, cols*rows)
	mark := map[int]bool{}
	cell := func(p survey.Point) int {
		i := min(max(int((p.X-lo.X)/scale+0.5), 0), cols-1)
		j := min(max(int((p.Y-lo.Y)/(2*scale)+0.5), 0), rows-1)
		return (rows-1-j)*cols + i
	}
	for _, p := range pts {
		if p.HasZ() {
			k := cell(p)
			sum[k] += p.Z
			n[k]++
		}
	}
	for _, v := range h.Suspects {
		mark[cell(v.Shot)] = true
	}
	var out []string
	for j := range rows {
		line := make([]byte, cols)
		for i := range cols {
			k := j*cols + i
			switch {
			case mark[k]:
				line[i] = '!'
			case n[k] == 0:
				line[i] = ' '
			case hi.Z == lo.Z:
				line[i] = '0'
			default:
				line[i] = '0' + byte(min(9, int(10*(sum[k]/float64(n[k])-lo.Z)/(hi.Z-lo.Z))))
			}
		}
		out = append(out, strings.TrimRight("  "+string(line), " "))
	}
	words := "  north is up; 0 lowest to 9 highest tenth of the elevations"
	if len(h.Suspects) > 0 {
		words += "; ! suspect"
	}
	return append(out, words)
}
