package report

import (
	"bytes"
	"cmp"
	"fmt"
	"math"
	"path/filepath"
	"slices"
	"strings"
	"unicode"

	"pourplane/plot"
	"pourplane/plot/table"
	"pourplane/surface"
	"pourplane/surface/job"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// Summary is the result for a reader.
type Summary struct {
	*job.Filled
	Style       unit.Style
	Out         string // folder of what was written
	Verbose     bool
	InJob       bool // options are named by the keys of a job
	SureApart   bool // the causes of the ± and the next shots are shown apart, see SureGrid and SureMarkOf
	Written     []Output
	Extra       []AnswerRow   // of a job: prices, steel
	MoreOnOrder string        // after the order, in its row
	Heights     []job.Tried   // at the prices of a job; nil: without prices
	After       string        // the result for the floor, if it was surveyed again
	AfterNotes  []survey.Note // of that survey
}

// whole writes everything: the answer, its basis, and every note.
func (s *Summary) whole(b *bytes.Buffer) {
	fmt.Fprintf(b, "%s\n\n", s.Title)
	shown := map[survey.Topic]bool{}
	var answer []AnswerRow
	for _, r := range append(s.answer(), AnswerRow{Head: "Load", Text: s.load(), Topic: survey.AboutLoad}) {
		answer = append(answer, r)
		if r.Topic == survey.General {
			continue
		}
		shown[r.Topic] = true
		for _, n := range s.allNotes() {
			if n.Topic == r.Topic && n.Kind == survey.Warning {
				answer = append(answer, AnswerRow{Text: "! " + noteLine(n, s.Style)})
			}
		}
	}
	b.WriteString(listed(answer) + "\n" + listed(slices.Concat(s.basis(), s.takeoffRows())))
	fmt.Fprintf(b, "\n%s", plainNotes(sureBandTable(s.Filled, s.Style)))
	if t := regionTable(s.Filled, s.Style); t.Rows != nil {
		fmt.Fprintf(b, "\n%s", plainNotes(t))
	}
	if t := tradeTable(s.Best, s.Style); t.Rows != nil {
		fmt.Fprintf(b, "\n%s", plainNotes(t))
	}
	if t := s.heightTable(); t.Rows != nil {
		fmt.Fprintf(b, "\n%s", plainNotes(t))
	}
	if len(s.Thresholds) > 0 {
		t := terminalThresholds(s.Filled, s.Style)
		fmt.Fprintf(b, "\n%s", plain(t))
		for _, note := range t.Notes {
			fmt.Fprintf(b, "%s\n", note)
		}
	}
	printRamps(s.Filled, b, s.Style)
	printWater(s.Water, b, s.Style)
	s.book(b)
	say(b, s.Notes, shown, s.Style)
	if len(s.Written) > 0 {
		fmt.Fprintf(b, "\nWritten:\n")
		for _, o := range s.Written {
			fmt.Fprintf(b, "  %s\n", filepath.Join(s.Out, o.Name))
		}
	}
}

// listed lists rows for a terminal, with their texts below each other.
func listed(rows []AnswerRow) string {
	return strings.Join(table.Plain(whatTable("", "", rows), 3), "\n") + "\n"
}

// whatTable is a table of rows under two heads.
func whatTable(head, found string, rows []AnswerRow) table.Table {
	t := table.Table{Columns: columns(head, found)}
	for _, r := range rows {
		t.Rows = append(t.Rows, text(r.Head, r.Text))
	}
	return t
}

// basis is what the answer is calculated from.
func (s *Summary) basis() []AnswerRow {
	f, u := s.Fill, s.Style
	rows := append(s.surveyed(),
		AnswerRow{Head: "Min depth", Text: u.Depth(f.Least) + " at " + s.onPlan(f.LeastAt)},
		AnswerRow{Head: "Max depth", Text: u.Depth(f.Greatest) + s.MaxDoubt.In(u) + " at " + s.onPlan(f.GreatestAt)})
	if cut, _ := s.Ground(); cut == 0 {
		rows = append(rows, AnswerRow{Head: "Cut", Text: cutText(s.Filled, u) + s.CutDoubt().In(u)})
	}
	return rows
}

// surveyed is the old floor as measured.
func (s *Summary) surveyed() []AnswerRow {
	f, u := s.Fill, s.Style
	rows := []AnswerRow{{Head: "Points", Text: s.points()}, {Head: "Room", Text: fmt.Sprintf("%s, walls %s%s", u.Area(f.Area), u.Length(s.Floor.Perimeter), s.regions())}}
	if s.Floor.Hull {
		rows = append(rows, AnswerRow{Head: "Outline", Text: "no walls given: the line around the outermost shots is used"})
	}
	if d := s.Found; d != nil {
		rows = append(rows, AnswerRow{Head: "As found", Text: s.foundText(d)})
	}
	if f.FittedArea > 0 {
		rows = append(rows, AnswerRow{Head: "At the walls", Text: s.atWalls()})
	}
	return rows
}

// takeoffRows are the order line by line.
func (s *Summary) takeoffRows() []AnswerRow {
	u, m := s.Style, s.Mix
	var rows []AnswerRow
	if m.Order > 0 {
		rows = append(rows, AnswerRow{Head: "Take-off", Text: fmt.Sprintf("%s, line by line:", u.Volume(m.Order))})
	}
	head := ""
	if len(rows) == 0 {
		head = "Take-off" // in bags
	}
	t := orderTable(s.Filled, u)
	for _, r := range t.Rows {
		if line, volume, how := r[0].Text, r[1].Text, r[2].Text; line != neededLine { // the order is in the first row
			rows = append(rows, AnswerRow{Head: head, Text: fmt.Sprintf("%s %s: %s", volume, line, how)})
			head = ""
		}
	}
	for _, n := range t.Notes {
		rows = append(rows, AnswerRow{Text: n})
	}
	return rows
}

// load is the weight of the fill.
func (s *Summary) load() string {
	m, u := s.Mix, s.Style
	return fmt.Sprintf("mean %s, max %s; %s in all, %s", u.Load(m.Load.Mean), u.Load(m.Load.Most), u.Mass(m.Load.Mass), weighed(s.Filled, u))
}

// weighed is the unit weight of the fill.
func weighed(w *job.Filled, u unit.Style) string {
	return cmp.Or(w.Weighs, "at "+u.UnitWeight(w.Mix.UnitWeight))
}

// atWalls writes how much of the floor has no shots.
func (s *Summary) atWalls() string {
	f, u := s.Fill, s.Style
	return fmt.Sprintf("%s (%.0f %%) along the walls is estimated: no shots there. It holds %s of the fill", u.Area(f.FittedArea), 100*f.FittedArea/f.Area, volumesLike(u, f.Fill, f.FittedFill)(f.FittedFill))
}

// Printable shows control characters, which a file name may contain, instead of sending them
// to a terminal. It does the same for those that reverse the direction of the following
// text, so that 12 reads 21.
func Printable(text string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsControl(r) && r != '\n' || unicode.Is(unicode.Bidi_Control, r) {
			return '\ufffd'
		}
		return r
	}, text)
}

func (s *Summary) points() string {
	drains := len(s.Survey.Drains())
	parts := []string{fmt.Sprintf("%d %s, %d floor shots used", s.Survey.Rows, rowsOf(s.Survey, "read"), s.Floor.Used)}
	for _, c := range []struct {
		n    int
		what string
	}{
		{len(s.Survey.Finished), "on adjoining finished floor"},
		{marksOf(s.Survey), "benchmarks, turning points and checks"},
		{s.count(survey.LeftOut), "left out"},
	} {
		if c.n > 0 {
			if c.n == 1 {
				c.what = singular(c.what)
			}
			parts = append(parts, fmt.Sprintf("%d %s", c.n, c.what))
		}
	}
	if drains > 0 {
		parts = append(parts, survey.Plural(drains, "drain")+" left out of the floor")
	}
	return strings.Join(parts, ", ")
}

// marksOf counts the benchmarks, turning points and checks of a survey.
func marksOf(s *survey.Survey) int { return len(s.Control) - len(s.Drains()) + s.MarkRows }

// singular returns what one thing of a list is called.
func singular(many string) string {
	if many == "benchmarks, turning points and checks" {
		return "benchmark, turning point or check"
	}
	return strings.TrimSuffix(many, "s")
}

func (s *Summary) count(k survey.NoteKind) int {
	n := 0
	for _, note := range s.Notes {
		if note.Kind == k {
			n++
		}
	}
	return n
}

func (s *Summary) regions() string {
	if len(s.Fill.Regions) < 2 {
		return ""
	}
	areas, volumes := regionShares(s.Filled, s.Style)
	var parts []string
	for i := range areas {
		parts = append(parts, fmt.Sprintf("%s %s with %s of fill", s.Floor.Regions[i].Name, s.Style.Area(areas[i]), s.Style.PartVolume(volumes[i], s.Fill.Fill)))
	}
	return fmt.Sprintf("; %d regions: %s", len(parts), strings.Join(parts, ", "))
}

// topOfFill is the target in one sentence, the same on all pages.
func topOfFill(w *job.Filled, u unit.Style) string {
	return "Target (top of fill): " + topText(w, u) + w.Falling.Ends().In(u) + w.DrainsText().In(u) + job.RampsText(w.Ramps).In(u) + lineOfSight(w.Survey) + "." + leftText(w, u)
}

// lineOfSight says what elevation 0 is, where it is that of the instrument.
func lineOfSight(s *survey.Survey) string {
	if s == nil {
		return ""
	}
	switch k := s.Book; {
	case k != nil && k.Relative && len(k.Setups) > 1:
		return "; 0 is the line of sight of set-up " + k.Setups[0].Name
	case k != nil && k.Relative || k == nil && s.Relative && s.Served.Rods:
		return "; 0 is the line of sight"
	}
	return ""
}

// targetText writes a target over a floor.
func targetText(target surface.Target, floor *surface.Floor, style unit.Style) string {
	if parts, ok := target.(surface.PartTargets); ok {
		return partsText(parts, floor, style)
	}
	target = surface.WithoutRamps(target)
	p, ok := surface.IsPlane(target)
	switch {
	case !ok:
		return bentText(target, floor, style, facetsBelow)
	case p.Level(), job.FallText(floor, p) == "level": // but for rounding
		return "level at " + style.LevelDown(p.Z)
	}
	return fmt.Sprintf("%s at %s, %s", style.LevelDown(p.Z), job.Beside(floor, p.At).In(style), job.FallText(floor, p))
}

// topText writes the target of a fill.
func topText(w *job.Filled, style unit.Style) string {
	return designText(w.Design, w.Fill.Target, w.Floor, style)
}

// designText writes a target over a floor; design is nil unless it is a surface from a file.
func designText(design *job.Design, target surface.Target, floor *surface.Floor, style unit.Style) string {
	if design == nil {
		return targetText(target, floor, style)
	}
	return design.Text().In(style) + bentText(target, floor, style, 0)
}

// bentText writes a target that bends, over a floor. Its elevations may be short by facets, m.
func bentText(target surface.Target, floor *surface.Floor, style unit.Style, facets float64) string {
	const alike = 1e-9 // m, by rounding
	least, greatest, leastAt, greatestAt := floor.RangeOf(target)
	if greatest-least < alike {
		return "level at " + style.LevelDown(greatest)
	}
	return fmt.Sprintf("highest %s at %s, lowest %s at %s, %s", style.LevelDown(greatest+facets), job.Beside(floor, greatestAt).In(style), style.LevelDown(least+facets), job.Beside(floor, leastAt).In(style), job.FallText(floor, target))
}

// onPlan writes a place by its coordinates, and by two walls if it faces some.
func (s *Summary) onPlan(p surface.Vec) string {
	at, beside := job.At(p).In(s.Style), s.Place(p).In(s.Style)
	if at == beside {
		return at
	}
	return at + ", " + beside
}

// cutText is what is ground off.
func cutText(w *job.Filled, u unit.Style) string {
	cut, area := w.Ground()
	if cut == 0 {
		return "none: no floor above the target"
	}
	return fmt.Sprintf("%s over %s", notZero(u.SmallVolume(cut)), notZero(u.Area(area)))
}

// groundTo goes on after "above the target", where the floor is ground lower: " or less than 10 mm
// below". Empty if it is ground to the target itself.
func groundTo(w *job.Filled, u unit.Style) string {
	if cut, _ := w.Ground(); cut == 0 || cut == w.Fill.Cut {
		return ""
	}
	return " or less than " + u.Depth(w.Best.MinDepth) + " below"
}

// shownBands are the bands of depth as listed. A sliver, or a band whose area is written as 0, is
// joined to its neighbour on its side of the target. If it has no neighbour there and its volume is
// written as 0 too, it is left out. Areas and volumes add up as before.
func shownBands(bands []surface.Band, u unit.Style) []surface.Band {
	tiny := func(b surface.Band) bool { return u.NoArea(b.Area) }
	var out []surface.Band
	for i, b := range bands {
		n := len(out)
		sliver := n == 1 && plot.Sliver(out[0], b, u) || n > 0 && i == len(bands)-1 && plot.Sliver(b, out[n-1], u)
		if n > 0 && (sliver || tiny(out[n-1]) || tiny(b)) && (out[n-1].To <= 0) == (b.To <= 0) {
			last := &out[n-1]
			switch {
			case n == 1 && plot.Sliver(*last, b, u): // no limit of its own
				last.From, last.To = b.From, b.To
			case i < len(bands)-1 || !plot.Sliver(b, *last, u):
				last.To = b.To
			}
			last.Area, last.Volume = last.Area+b.Area, last.Volume+b.Volume
			continue
		}
		out = append(out, b)
	}
	return slices.DeleteFunc(out, func(b surface.Band) bool {
		return tiny(b) && u.Volume(math.Abs(b.Volume)) == u.Volume(0)
	})
}

// foundText writes the shape of the old floor: its fall, its lowest shot, the shot farthest
// off the fall, and the deviation that half of the shots are within.
func (s *Summary) foundText(d *surface.Found) string {
	style := s.Style
	fall := math.Hypot(d.Robust.SlopeX, d.Robust.SlopeY)
	text := fmt.Sprintf("falls %.2f %% toward the %s", 100*fall, surface.CompassPoint(-d.Robust.SlopeX, -d.Robust.SlopeY))
	if fall < 5e-5 {
		text = "no fall as a whole"
	}
	if low, found := lowestShot(s.Floor); found {
		text += fmt.Sprintf("; lowest spot %s, at %s", style.Level(low.Z), s.shotText(low))
	}
	if off := style.Depth(math.Abs(d.Off)); off != style.Depth(0) {
		side := "below"
		if d.Off > 0 {
			side = "above"
		}
		text += fmt.Sprintf("; max deviation from that plane %s %s, at %s", off, side, s.shotText(d.Worst))
	}
	return text + "; typical deviation " + job.LessThanStep(d.Spread/surface.SpreadOfMedian).In(style) + " (half of the shots are nearer)"
}

// shotText is a shot by its name, or else by its place.
func (s *Summary) shotText(p survey.Point) string {
	if p.Name() != "" {
		return "shot " + p.Name()
	}
	return s.Place(surface.Vec{X: p.X, Y: p.Y}).In(s.Style)
}

// lowestShot returns the lowest shot of a floor; of equally low ones the most westerly, then
// the most southerly.
func lowestShot(f *surface.Floor) (low survey.Point, found bool) {
	for _, r := range f.Regions {
		for _, q := range r.Shots {
			if !found || cmp.Or(cmp.Compare(q.Z, low.Z), cmp.Compare(q.X, low.X), cmp.Compare(q.Y, low.Y)) < 0 {
				low, found = q, true
			}
		}
	}
	return low, found
}

// meanDepth is the mean depth and its area: the filled part, if the rest is cut. Netting cut
// against fill would make a floor of humps and hollows look as if it took nothing.
func meanDepth(f surface.Fill) (depth float64, of string) {
	if f.Cut > 0 && f.FillArea > 0 {
		return f.Fill / f.FillArea, " where filled"
	}
	return f.Mean, ""
}

func meanText(f surface.Fill, style unit.Style) string {
	depth, of := meanDepth(f)
	return style.Depth(depth) + of
}

// book prints the level book as a surveyor closes it.
func (s *Summary) book(b *bytes.Buffer) {
	k := s.Survey.Book
	if k == nil {
		return
	}
	u := s.Style
	if k.Relative {
		fmt.Fprintf(b, "\nSet-ups, elevation 0 at the first line of sight\n")
	} else {
		name, z := k.Origin()
		fmt.Fprintf(b, "\nLevel book on %s at %s\n", name, u.Level(z))
	}
	for i, setup := range k.Setups {
		fmt.Fprintf(b, "  set-up %s: %s\n", setup.Name, k.InstrumentText(i, u.Level).In(u))
	}
	if k.Checks.Line {
		fmt.Fprintf(b, "  sum of backsights less sum of foresights: %s\n", u.Elevation(k.Checks.SumBS-k.Checks.SumFS))
	}
	fmt.Fprintf(b, "  %s\n", closes(k, s.Style))
}

// say prints all notes by kind, except warnings on topics that are shown beside their
// figure.
func say(b *bytes.Buffer, notes []survey.Note, beside map[survey.Topic]bool, style unit.Style) {
	for _, r := range remarks(notes, beside, style) {
		fmt.Fprintf(b, "\n%s\n", r.Head)
		for _, n := range r.Notes {
			fmt.Fprintf(b, "  %s\n", n)
		}
	}
}
