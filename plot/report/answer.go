package report

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
	"pourplane/surface/job"
	"pourplane/surface/order"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// What a terminal shows without --verbose.
const (
	mostLines = 25
	mostWide  = 100
	headWide  = 13 // of the words at the start of a line of figures

	fewLimits = 2 // of the plane of least cost in the short answer

	mostEstimated = 0.20 // of the area of a floor: above this the short answer gives the estimate along the walls as well; own choice
)

// AnswerRow is one line of figures, with what the reader must know beside it.
type AnswerRow struct {
	Head, Text string
	Topic      survey.Topic
	table      []string // lines printed as they are, instead
	leftOut    bool     // a few rows left out are named below it
	spare      string   // what it is about, for the count of what is left to read: in short it is shown where warnings leave room
	extra      bool     // warnings beside figures have the room that they would have without it
	first      bool     // of a spare row: it comes before warnings that are beside no figure
	later      bool     // of a spare row: never in short
}

// facts are rows while they are collected.
type facts []AnswerRow

func (f *facts) add(head, format string, args ...any) {
	*f = append(*f, AnswerRow{Head: head, Text: fmt.Sprintf(format, args...)})
}

func (r AnswerRow) lines() []string {
	if r.table != nil {
		return r.table
	}
	return table.Hang(fmt.Sprintf("%-*s", headWide, r.Head), Printable(r.Text), mostWide)
}

// answer is the result in a few lines: what to order first, then its reasons.
func (s *Summary) answer() []AnswerRow {
	f, u := s.Fill, s.Style
	rows := []AnswerRow{}
	row := func(topic survey.Topic, head, format string, args ...any) {
		rows = append(rows, AnswerRow{Head: head, Text: fmt.Sprintf(format, args...), Topic: topic})
	}
	head, text := s.toOrder()
	row(survey.AboutOrder, head, "%s", text)
	rows = append(rows, s.Extra...)
	row(survey.General, "Fill", "%s%s over %s", u.SmallVolume(f.Fill), sureOf(s.Filled, u), u.Area(f.FillArea))
	rows = append(rows, s.sureRows()...)
	row(survey.AboutDepth, "Depth", "min %s, mean %s, max %s%s; max at %s%s", u.Depth(f.Least), meanText(f, u), u.Depth(f.Greatest), s.MaxDoubt.In(u), s.Place(f.GreatestAt).In(u), job.NorthAt(s.Floor, f.GreatestAt))
	if text := s.DoubtsOnOrder().In(u); text != "" {
		row(survey.General, "In doubt", "%s", text)
	}
	if cut, _ := s.Ground(); cut > 0 {
		row(survey.General, "Cut", "%s%s", cutText(s.Filled, u), s.CutDoubt().In(u))
	}
	row(survey.AboutTarget, "Target", "%s%s%s", topText(s.Filled, u), s.Falling.Ends().In(u)+s.DrainsText().In(u), lineOfSight(s.Survey))
	most := fewLimits
	if s.Verbose {
		most = math.MaxInt
	}
	if text := bestText(s.Best, most, u); text != "" {
		row(survey.General, "Least cost", "%s", text)
	}
	rows = append(rows, rampRows(s.Filled, u)...)
	if text := broughtText(s.Filled, u); text != "" {
		row(survey.General, "Volume", "%s", text)
	}
	if len(s.Thresholds) > 0 {
		row(survey.General, "Thresholds", "%s", doorsInShort(s.Filled, u))
	}
	floor := fmt.Sprintf("%s, %d shots used of %d %s", u.Area(f.Area), s.Floor.Used, s.Survey.Rows, rowsOf(s.Survey, "points read"))
	if n := len(s.Survey.Drains()); n > 0 {
		floor += fmt.Sprintf(", %s left out", survey.Plural(n, "drain"))
	}
	if n := len(f.Regions); n > 1 {
		floor += fmt.Sprintf(", %d regions", n)
	}
	rows = append(rows, AnswerRow{Head: "Floor", Text: floor, leftOut: true})
	if text := gratesText(s.Filled, u); text != "" {
		row(survey.General, "Drains", "%s", text)
	}
	rows = append(rows, waterRows(s.Water, u)...)
	if !s.Verbose && f.FittedArea > mostEstimated*f.Area { // --verbose has it anyway
		row(survey.General, "At the walls", "%s", s.atWalls())
	}
	if k := s.Survey.Book; k != nil {
		row(survey.General, "Level book", "%s", closes(k, s.Style))
	}
	if s.After != "" {
		row(survey.AboutFlatness, "As poured", "%s", s.After)
	}
	return rows
}

// toOrder is what to buy: by the truck, in bags, or both, and what is not included.
func (s *Summary) toOrder() (head, text string) {
	head, text = s.bought()
	if less := s.UnservedText().In(s.Style); less != "" {
		text += lessing([]string{less})
	}
	return head, text + s.MoreOnOrder + s.tooThin()
}

// mostlyTooThin is the share of the filled area from which the order itself gives the part
// that is too thin for it. Own choice.
const mostlyTooThin = 0.5

// tooThin is what an order of concrete does not suit, where that is most of the floor.
func (s *Summary) tooThin() string {
	share := s.Thin.Area / s.Fill.FillArea
	if s.Open || !(share >= mostlyTooThin) {
		return ""
	}
	return fmt.Sprintf("; but %.0f %% of the filled area is too thin for concrete: choose a material for it", 100*share)
}

func (s *Summary) bought() (head, text string) {
	m, u := s.Mix, s.Style
	switch {
	case s.Open:
		return "Order", openText(s.Filled, u)
	case len(s.Bags) > 0 && m.Order == 0:
		return "Bags", unit.Join(s.Bags, ", ").In(u)
	case m.Order == 0:
		return "Order", "nothing"
	}
	text = sold(s.Filled, m.Order, u) + s.OrderDoubt().In(u)
	if s.Mixed != "" {
		text += " " + s.Mixed
	}
	if how := delivered(s.Filled, u); how != "" {
		text += ", " + how
	}
	if len(s.Bags) > 0 {
		text += "; and " + unit.Join(s.Bags, ", ").In(u)
	}
	return "Order", text
}

// sold writes a volume in steps of the plant, in the system of the step first.
func sold(w *job.Filled, volume float64, u unit.Style) string {
	return order.SoldIn(volume, w.Mix.Step, w.Survey.Unit.Imperial()).In(u)
}

// delivered is how an order comes.
func delivered(w *job.Filled, u unit.Style) string {
	d, short := w.Delivery, ""
	if d.Short && len(d.Loads) == 0 { // beside the order: the warning may have no room below it
		short = " (a short load, usually charged extra)"
	}
	switch {
	case w.OnSite:
		return "mixed on site"
	case len(d.Loads) > 1: // the warning beside it has the loads
		return fmt.Sprintf("%d trucks", d.Trucks)
	case d.Trucks == 1:
		return "1 truck" + short
	case d.Trucks > 1:
		return fmt.Sprintf("%d trucks of %s, the last with %s%s", d.Trucks, sold(w, d.Full, u), sold(w, d.Last, u), short)
	}
	return ""
}

// openText is the order of a fill whose material is open.
func openText(w *job.Filled, u unit.Style) string {
	more := ""
	if risk, margin := w.Margin(); margin > 0 {
		more = fmt.Sprintf("%s for a risk of %g %% and ", u.PartVolume(margin, w.Fill.Fill), percentOf(risk))
	}
	return fmt.Sprintf("%s with %s%g %% allowance; no material chosen: too thin for concrete", u.SmallVolume(w.Takeoff.Need), more, percentOf(w.Mix.Allowance))
}

// Print writes the answer first. Without --verbose it stops at [mostLines] lines, none wider
// than [mostWide], and counts the rest.
func (s *Summary) Print(w io.Writer) error {
	var b bytes.Buffer
	if s.Verbose {
		s.whole(&b)
	} else {
		s.short(&b)
	}
	_, err := io.WriteString(w, Printable(b.String()))
	return err
}

// short writes the answer, then as many notes as there are lines for.
func (s *Summary) short(b *bytes.Buffer) {
	Brief{style: s.Style, Title: s.Title, Rows: s.answer(), Notes: s.allNotes(), Tail: s.writtenInShort(), Most: mostLines}.Print(b)
}

// Brief is what a terminal shows without --verbose: figures, then as many notes as fit, and
// the number left to read.
type Brief struct {
	Title string
	Rows  []AnswerRow
	Notes []survey.Note
	style unit.Style
	more  []string // what else is left to read
	Tail  []string
	Most  int // lines
}

// briefPage is a brief while it is laid out: the blocks of its rows, and which notes they show.
type briefPage struct {
	Brief
	notes  []foldedNote
	shown  []bool
	blocks [][]string // a row and the lines beside it
	left   int        // lines
}

// Print lays out the brief. Warnings first come beside their figure, then alone, then the
// other notes by kind.
func (r Brief) Print(b *bytes.Buffer) {
	p := briefPage{Brief: r, notes: folded(r.Notes), left: r.Most - len(r.Tail) - 4} // title, two blank lines, the count of what is left out
	p.shown = make([]bool, len(p.notes))
	extra := 0
	for _, row := range r.Rows {
		var lines []string
		if row.spare == "" {
			lines = row.lines()
		}
		p.blocks = append(p.blocks, lines)
		if row.extra {
			extra += len(lines)
		} else {
			p.left -= len(lines)
		}
	}
	p.load()
	for i, r := range p.Rows {
		if r.leftOut {
			p.nameLeftOut(i)
		}
	}
	// A wrong reading changes the order itself: the first comes before advice on trucks.
	if i := slices.IndexFunc(p.Rows, func(r AnswerRow) bool { return r.Topic == survey.AboutDepth }); i >= 0 {
		p.beside(i, 1)
	}
	for i, r := range p.Rows {
		if r.Topic != survey.General {
			p.beside(i, len(p.notes))
		}
	}
	p.left -= extra
	p.spares()
	rest := p.rest()
	fmt.Fprintf(b, "%s\n\n", table.Cut(r.Title, mostWide))
	for _, line := range slices.Concat(slices.Concat(p.blocks...), rest) {
		fmt.Fprintln(b, line)
	}
	fmt.Fprintln(b)
	if more := p.leftOut(); len(more) > 0 {
		fmt.Fprintf(b, "More: %s; %s prints all\n", strings.Join(more, ", "), unit.Flag("verbose"))
	}
	for _, line := range r.Tail {
		fmt.Fprintln(b, line)
	}
}

// spares shows the rows that need not be read first, where the warnings and the rows left out that
// are still to come have room with them.
func (p *briefPage) spares() {
	need := 0 // lines
	for _, kind := range []survey.NoteKind{survey.Warning, survey.LeftOut} {
		lines := 0
		for i, n := range p.notes {
			if n.Kind == kind && !p.shown[i] {
				lines += len(table.Hang("  ", Printable(noteLine(n.Note, p.style)), mostWide))
			}
		}
		if lines > 0 {
			need += lines + 2 // blank line, head
		}
	}
	for i, r := range p.Rows {
		if r.spare == "" {
			continue
		}
		kept := need
		if r.first {
			kept = 0
		}
		if lines := r.lines(); !r.later && p.left-len(lines) >= kept {
			p.blocks[i], p.left = lines, p.left-len(lines)
		} else if !slices.Contains(p.more, r.spare) {
			p.more = append(slices.Clip(p.more), r.spare)
		}
	}
}

// of lists the notes of a kind on a topic that are not shown yet.
func (p *briefPage) of(t survey.Topic, kind survey.NoteKind) (out []int) {
	for i, n := range p.notes {
		if n.Kind == kind && n.Topic == t && !p.shown[i] {
			out = append(out, i)
		}
	}
	return out
}

// load adds a row with the first caution on the weight of the fill: that about a suspended
// floor, where it is one.
func (p *briefPage) load() {
	load := p.of(survey.AboutLoad, survey.Caution)
	if len(load) == 0 {
		return
	}
	p.shown[load[0]] = true
	lines := table.Hang(fmt.Sprintf("%-*s", headWide, "Load"), Printable(noteSentence(p.notes[load[0]].Note, p.style)), mostWide)
	p.Rows = append(slices.Clip(p.Rows), AnswerRow{Topic: survey.AboutLoad})
	p.blocks = append(p.blocks, lines)
	p.left -= len(lines)
}

// beside adds up to most warnings below the row that they change. Of advice on an order the
// first is always shown, more if there is room.
func (p *briefPage) beside(i, most int) {
	for _, k := range p.of(p.Rows[i].Topic, survey.Warning) {
		if most == 0 {
			return
		}
		lines := table.Hang(strings.Repeat(" ", headWide)+"! ", Printable(noteLine(p.notes[k].Note, p.style)), mostWide)
		if advice := p.Rows[i].Topic == survey.AboutOrder; advice && len(lines) > p.left && len(p.blocks[i]) > len(p.Rows[i].lines()) {
			continue
		}
		most--
		p.shown[k], p.left = true, p.left-len(lines)
		p.blocks[i] = append(p.blocks[i], lines...)
	}
}

// nameLeftOut names the first rows left out below row i. Where many are, as of a scan, none
// is named.
func (p *briefPage) nameLeftOut(i int) {
	const some, many = 3, 12 // own choice
	left := p.of(survey.General, survey.LeftOut)
	if len(left) > many {
		return
	}
	for _, k := range left[:min(some, len(left))] {
		if p.notes[k].of > 1 { // cells of a grid
			continue
		}
		lines := table.Hang(strings.Repeat(" ", headWide)+"left out: ", Printable(p.notes[k].In(p.style)), mostWide)
		p.shown[k], p.left = true, p.left-len(lines)
		p.blocks[i] = append(p.blocks[i], lines...)
	}
}

// rest lists the notes beside no figure, as many as fit. There are no assumptions while a
// warning has no room. The first rows left out keep their room: a blank cell is a shot that the
// crew meant to have.
func (p *briefPage) rest() (rest []string) {
	kept := 0 // lines
	for _, lines := range keptLeftOut(p.notesToShow(survey.LeftOut), p.style) {
		kept += len(lines)
	}
	if kept > 0 {
		kept += 2 // blank line, head
	}
	p.left -= kept
	full := false
	for _, k := range kinds {
		var lines []string
		hidden := false
		if k.kind == survey.LeftOut {
			p.left += kept
		} else if full {
			continue
		}
		for i, n := range p.notes {
			if n.Kind != k.kind || p.shown[i] {
				continue
			}
			text := table.Hang("  ", Printable(noteLine(n.Note, p.style)), mostWide)
			if len(lines)+len(text)+2 > p.left { // blank line, head
				hidden = true
				break
			}
			p.shown[i] = true
			lines = append(lines, text...)
		}
		if len(lines) > 0 {
			rest = append(append(rest, "", k.head), lines...)
			p.left -= len(lines) + 2
		}
		full = full || hidden && k.kind == survey.Warning
	}
	return rest
}

// notesToShow returns the notes of a kind, if none is shown yet.
func (p *briefPage) notesToShow(kind survey.NoteKind) (out []survey.Note) {
	for i, n := range p.notes {
		switch {
		case n.Kind != kind:
		case p.shown[i]:
			return nil
		default:
			out = append(out, n.Note)
		}
	}
	return out
}

// keptLeftOut returns the lines of the first rows left out. Where many are, as of a scan, there
// are none.
func keptLeftOut(notes []survey.Note, style unit.Style) (out [][]string) {
	const some, many = 3, 12 // own choice
	notes = slices.DeleteFunc(slices.Clone(notes), func(n survey.Note) bool { return n.Kind != survey.LeftOut })
	if len(notes) > many {
		return nil
	}
	for _, n := range notes[:min(some, len(notes))] {
		out = append(out, table.Hang("  ", Printable(noteLine(n, style)), mostWide))
	}
	return out
}

// leftOut counts what is left to read, by kind.
func (p *briefPage) leftOut() []string {
	more := slices.Clone(p.more)
	for _, k := range kinds {
		n, all := 0, 0
		for i := range p.notes {
			if p.notes[i].Kind != k.kind {
				continue
			}
			all += p.notes[i].of
			if !p.shown[i] {
				n += p.notes[i].of
			}
		}
		switch {
		case k.kind == survey.Warning && 0 < n && n < all: // the record counts the same warnings
			more = append(more, fmt.Sprintf("%d of %d %s", n, all, k.many))
		case n == 1:
			more = append(more, "1 "+k.one)
		case n > 1:
			more = append(more, fmt.Sprintf("%d %s", n, k.many))
		}
	}
	return more
}

// kinds of notes in reading order, with the head of their list and the words for one and for
// several.
var kinds = []struct {
	kind            survey.NoteKind
	head, one, many string
}{
	{survey.Warning, "Warnings", "warning", "warnings"},
	{survey.LeftOut, "Left out", "row left out", "rows left out"},
	{survey.Assumed, "Assumptions", "assumption", "assumptions"},
	{survey.Caution, "Notes and checks", "safety note", "safety notes"},
}

// allNotes are the notes on the fill and on the floor as poured.
func (s *Summary) allNotes() []survey.Note {
	return slices.Concat(mostlyShort(s.Filled, s.Style), s.Notes, s.AfterNotes)
}

// writtenInShort names the first files of the results in one line.
func (s *Summary) writtenInShort() []string { return writtenInShort(s.Out, s.Written) }

func writtenInShort(out string, written []Output) []string {
	if len(written) == 0 {
		return nil
	}
	names := Names(written)
	for i, n := range names { // files for people before files for programs
		if n == "result.json" || n == "flatness.json" {
			names = append(slices.Delete(names, i, i+1), n)
			break
		}
	}
	// The folder is written in full, whatever its length: somebody looks for it.
	lines := table.Hang("Written to ", Printable(filepath.Clean(out))+":", mostWide)
	line := lines[len(lines)-1]
	for _, first := range []string{"record.pdf", "depth.pdf", "departures.pdf"} { // the one to open
		if i := slices.Index(names, first); i >= 0 {
			names = slices.Insert(slices.Delete(names, i, i+1), 0, "open "+first+" first;")
			break
		}
	}
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

// doorsInShort is the minimum and the maximum room that the fill leaves at thresholds.
func doorsInShort(s *job.Filled, u unit.Style) string {
	least, most := 0, 0
	for i, t := range s.Thresholds {
		if t.Room < s.Thresholds[least].Room {
			least = i
		}
		if t.Room > s.Thresholds[most].Room {
			most = i
		}
	}
	name := func(i int) string { return cmp.Or(s.Thresholds[i].Point.Name(), "unnamed") }
	of, below := "the fill", "below the new fill"
	if s.Surveyed {
		of, below = "the floor", "below the floor"
	}
	low, high := s.Thresholds[least].Room, s.Thresholds[most].Room
	switch sunk := strings.HasPrefix(u.Depth(low), "-"); {
	case len(s.Thresholds) == 1 && sunk:
		return fmt.Sprintf("%s %s %s", name(0), u.Depth(-low), below)
	case len(s.Thresholds) == 1:
		return fmt.Sprintf("%s above %s at %s", u.Depth(low), of, name(0))
	case sunk:
		to := u.Depth(high) + " above it"
		if strings.HasPrefix(to, "-") {
			to = u.Depth(-high) + " below it"
		}
		return fmt.Sprintf("%d, from %s %s %s to %s %s", len(s.Thresholds), name(least), u.Depth(-low), below, name(most), to)
	}
	if none := u.Depth(0); u.Depth(low) == none && u.Depth(high) == none {
		return fmt.Sprintf("%d, each level with %s", len(s.Thresholds), of)
	}
	if u.Depth(low) == u.Depth(high) {
		return fmt.Sprintf("%d, each above %s by %s", len(s.Thresholds), of, u.Depth(low))
	}
	return fmt.Sprintf("%d, above %s by %s (%s) to %s (%s)", len(s.Thresholds), of, u.Depth(low), name(least), u.Depth(high), name(most))
}
