package main

import (
	"bytes"
	"cmp"
	"fmt"
	"io"
	"math"
	"path/filepath"
	"slices"
	"strings"

	"pourplane/plot/table"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// What a terminal shows without --verbose.
const (
	mostLines = 25
	mostWide  = 100
	headWide  = 13 // of the words that begin a line of figures
)

// answerRow is one line of figures, and what the reader must know beside it.
type answerRow struct {
	head, text string
	topic      survey.Topic
	table      []string // lines that are printed as they are, instead
}

func (r answerRow) lines() []string {
	if r.table != nil {
		return r.table
	}
	return table.Hang(fmt.Sprintf("%-*s", headWide, r.head), printable(r.text), mostWide)
}

// answer is the result in a few lines: what to order first, then what that follows from.
func (s *summary) answer() []answerRow {
	f, u := s.fill, s.style
	rows := []answerRow{}
	row := func(topic survey.Topic, head, format string, args ...any) {
		rows = append(rows, answerRow{head: head, text: fmt.Sprintf(format, args...), topic: topic})
	}
	head, text := s.toOrder()
	row(survey.AboutOrder, head, "%s", text)
	for _, l := range s.extra {
		row(survey.General, l.head, "%s", l.text)
	}
	row(survey.General, "Fill", "%s over %s", u.Volume(f.Fill), u.Area(f.FillArea))
	row(survey.AboutDepth, "Depth", "min %s, mean %s, max %s; max at %s", u.DepthDown(f.Least), meanText(f, u), u.Depth(f.Greatest), s.place(f.GreatestAt))
	if text := doubts(s.blunders, "", u); text != "" {
		row(survey.General, "In doubt", "%s", text)
	}
	if f.Cut > 0 {
		row(survey.General, "Cut", "%s", s.cut())
	}
	row(survey.AboutTarget, "Target", "%s%s", targetText(f.Target, s.floor, u), s.falling.ends(u))
	if len(s.thresholds) > 0 {
		row(survey.General, "Thresholds", "%s", s.doorsInShort())
	}
	floor := fmt.Sprintf("%s, %d shots used of %d points read", u.Area(f.Area), s.floor.Used, s.survey.Rows)
	if n := len(s.survey.Drains()); n > 0 {
		floor += fmt.Sprintf(", %s left out", plural(n, "drain"))
	}
	if n := len(f.Regions); n > 1 {
		floor += fmt.Sprintf(", %d regions", n)
	}
	row(survey.General, "Floor", "%s", floor)
	if k := s.survey.Book; k != nil {
		row(survey.General, "Level book", "%s", s.closes(k))
	}
	if s.after != "" {
		row(survey.AboutFlatness, "As poured", "%s", s.after)
	}
	return rows
}

// toOrder is what is bought: by the truck, in bags, or both.
func (s *summary) toOrder() (head, text string) {
	m, u := s.mix, s.style
	switch {
	case s.open:
		return "Order", openText(s.takeoff.Need, s.mix.Allowance, u)
	case len(s.bags) > 0 && m.Order == 0:
		return "Bags", strings.Join(s.bags, ", ")
	case m.Order == 0:
		return "Order", "nothing"
	}
	text = u.Volume(m.Order)
	if s.mixed != "" {
		text += " " + s.mixed
	}
	switch d := s.delivery; {
	case s.onSite:
		text += ", mixed on site"
	case d.Trucks == 1:
		text += ", 1 truck"
	case d.Trucks > 1:
		text += fmt.Sprintf(", %d trucks, the last with %s", d.Trucks, u.Volume(d.Last))
	}
	if len(s.bags) > 0 {
		text += "; and " + strings.Join(s.bags, ", ")
	}
	return "Order", text
}

// openText is the order of a fill whose material is open.
func openText(need, allowance float64, u unit.Style) string {
	return fmt.Sprintf("%s with %g %% allowance; material open: too thin for concrete", smallVolume(need, u), percentOf(allowance))
}

// print writes the answer first. Without --verbose it stops at [mostLines] lines, none
// wider than [mostWide], and counts what is left to read.
func (s *summary) print(w io.Writer) error {
	var b bytes.Buffer
	if s.verbose {
		if err := s.whole(&b); err != nil {
			return err
		}
	} else {
		s.short(&b)
	}
	_, err := io.WriteString(w, printable(b.String()))
	return err
}

// short writes the answer, then as many notes as there are lines for.
func (s *summary) short(b *bytes.Buffer) {
	brief{style: s.style, title: s.title, rows: s.answer(), notes: s.allNotes(), tail: s.writtenInShort(), most: mostLines}.print(b)
}

// brief is what a terminal shows without --verbose: figures, then as many notes as
// there are lines for, and how many are left to read.
type brief struct {
	title string
	rows  []answerRow
	notes []survey.Note
	style unit.Style
	more  []string // what else is left to read
	tail  []string
	most  int // lines
}

func (r brief) print(b *bytes.Buffer) {
	shown := map[int]bool{}
	notes := folded(r.notes)
	of := func(t survey.Topic, kind survey.NoteKind) (out []int) {
		for i, n := range notes {
			if n.Kind == kind && n.Topic == t && !shown[i] {
				out = append(out, i)
			}
		}
		return out
	}
	rows := r.rows
	blocks := make([][]string, len(rows)) // a row and what is printed beside it
	used := 2                             // title, blank line
	for i, r := range rows {
		blocks[i] = r.lines()
		used += len(blocks[i])
	}
	if load := of(survey.AboutLoad, survey.Caution); len(load) > 0 {
		var lines []string
		for k, i := range load {
			shown[i] = true
			head := "Load"
			if k > 0 {
				head = ""
			}
			lines = append(lines, table.Hang(fmt.Sprintf("%-*s", headWide, head), printable(notes[i].Text.In(r.style)), mostWide)...)
		}
		rows = append(rows, answerRow{topic: survey.AboutLoad})
		blocks = append(blocks, lines)
		used += len(lines)
	}
	left := r.most - used - len(r.tail) - 2 // blank line, count of what is left out
	// Warnings first come beside their figure, then on their own, then the rest by kind.
	beside := func(i, most int) {
		for _, k := range of(rows[i].topic, survey.Warning) {
			lines := table.Hang(strings.Repeat(" ", headWide)+"! ", printable(notes[k].In(r.style)), mostWide)
			if most == 0 {
				return
			}
			// What changes a figure is always below it; advice on an order comes in numbers, and
			// after the first as there is room.
			if advice := rows[i].topic == survey.AboutOrder; advice && len(lines) > left && len(blocks[i]) > len(rows[i].lines()) {
				continue
			}
			most--
			shown[k], left = true, left-len(lines)
			blocks[i] = append(blocks[i], lines...)
		}
	}
	// A wrong reading changes the order itself: the first comes before advice on trucks.
	if i := slices.IndexFunc(rows, func(r answerRow) bool { return r.topic == survey.AboutDepth }); i >= 0 {
		beside(i, 1)
	}
	for i, r := range rows {
		if r.topic != survey.General {
			beside(i, len(notes))
		}
	}
	var rest []string
	for _, k := range kinds {
		var lines []string
		room := left - 2 // blank line, head
		for i, n := range notes {
			if n.Kind != k.kind || shown[i] {
				continue
			}
			text := table.Hang("  ", printable(n.In(r.style)), mostWide)
			if len(lines)+len(text) > room {
				break
			}
			shown[i] = true
			lines = append(lines, text...)
		}
		if len(lines) > 0 {
			rest = append(append(rest, "", k.head), lines...)
			left -= len(lines) + 2
		}
	}
	fmt.Fprintf(b, "%s\n\n", table.Cut(r.title, mostWide))
	for _, line := range slices.Concat(slices.Concat(blocks...), rest) {
		fmt.Fprintln(b, line)
	}
	more := slices.Clone(r.more)
	for _, k := range kinds {
		n := 0
		for i := range notes {
			if notes[i].Kind == k.kind && !shown[i] {
				n += notes[i].of
			}
		}
		switch {
		case n == 1:
			more = append(more, "1 "+k.one)
		case n > 1:
			more = append(more, fmt.Sprintf("%d %s", n, k.many))
		}
	}
	fmt.Fprintln(b)
	if len(more) > 0 {
		fmt.Fprintf(b, "More: %s; --verbose prints all\n", strings.Join(more, ", "))
	}
	for _, line := range r.tail {
		fmt.Fprintln(b, line)
	}
}

// foldedNote is a note, or several that say the same of one file.
type foldedNote struct {
	survey.Note
	of int
}

// folded makes one note of the empty cells of each file: those outside a floor that is
// no rectangle are many, and none of them is news.
func folded(notes []survey.Note) []foldedNote {
	var out []foldedNote
	first := map[string]int{} // in out, by file
	for _, n := range notes {
		if i, ok := first[n.Pos.File]; ok && n.Empty {
			out[i].of++
			continue
		}
		if n.Empty {
			first[n.Pos.File] = len(out)
		}
		out = append(out, foldedNote{n, 1})
	}
	for i := range out {
		if n := &out[i]; n.of > 1 {
			n.Note = survey.Notef(n.Kind, survey.Pos{File: n.Pos.File}, "%d empty cells", n.of)
		}
	}
	return out
}

// kinds of notes in the order in which they are read, with the head of their list and
// the words for one and for several.
var kinds = []struct {
	kind            survey.NoteKind
	head, one, many string
}{
	{survey.Warning, "Warnings", "warning", "warnings"},
	{survey.LeftOut, "Left out", "row left out", "rows left out"},
	{survey.Assumed, "Assumptions", "assumption", "assumptions"},
	{survey.Caution, "Notes and checks", "safety note", "safety notes"},
}

// allNotes are those of the fill and of the floor as poured.
func (s *summary) allNotes() []survey.Note {
	return append(append([]survey.Note{}, s.notes...), s.afterNotes...)
}

// writtenInShort names the first files of the results in one line.
func (s *summary) writtenInShort() []string { return writtenInShort(s.out, s.written) }

func writtenInShort(out string, written []output) []string {
	if len(written) == 0 {
		return nil
	}
	names := names(written)
	for i, n := range names { // for a person before what is for a program
		if n == "result.json" || n == "flatness.json" {
			names = append(slices.Delete(names, i, i+1), n)
			break
		}
	}
	// The folder is written out, whatever it takes: somebody looks for it.
	lines := table.Hang("Written to ", printable(filepath.Clean(out))+":", mostWide)
	line := lines[len(lines)-1]
	for i, name := range names {
		rest := fmt.Sprintf(" and %d more", len(names)-i)
		if len([]rune(line))+len(name)+2+len(rest) > mostWide {
			line += rest
			break
		}
		line += " " + name
	}
	lines[len(lines)-1] = line
	return lines
}

// doorsInShort is the least and the greatest room that the fill leaves at thresholds.
func (s *summary) doorsInShort() string {
	least, most := 0, 0
	for i, t := range s.thresholds {
		if t.Room < s.thresholds[least].Room {
			least = i
		}
		if t.Room > s.thresholds[most].Room {
			most = i
		}
	}
	name := func(i int) string { return cmp.Or(s.thresholds[i].Point.Name, "unnamed") }
	u := s.style
	if len(s.thresholds) == 1 {
		return fmt.Sprintf("%s above the fill at %s", u.Depth(s.thresholds[0].Room), name(0))
	}
	return fmt.Sprintf("%d, above the fill by %s (%s) to %s (%s)", len(s.thresholds), u.DepthDown(s.thresholds[least].Room), name(least), u.Depth(s.thresholds[most].Room), name(most))
}

// closes says in one line how the level book closes.
func (s *summary) closes(k *survey.Book) string {
	c := k.Main()
	if c == nil {
		return "no closing shot on a benchmark: instrument movement cannot be ruled out"
	}
	adjusted := "not adjusted"
	if k.Adjust != survey.NoAdjustment {
		adjusted = "adjusted: " + k.Adjust.String()
	}
	u := s.style
	how := u.Depth(c.Misclosure()) + " high"
	switch off := c.Misclosure(); {
	case math.Abs(off) < u.Step()/2:
		how = "to within " + u.Depth(u.Step())
	case off < 0:
		how = u.Depth(-off) + " low"
	}
	return fmt.Sprintf("closes %s on %s, allowed %s; %s", how, c.On, u.Depth(c.Allowable), adjusted)
}
