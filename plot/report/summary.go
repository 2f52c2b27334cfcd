package report

import (
	"bytes"
	"cmp"
	"fmt"
	"math"
	"path/filepath"
	"slices"
	"strings"
	"text/tabwriter"
	"unicode"

	"pourplane/surface"
	"pourplane/surface/job"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// Summary is the result for a reader.
type Summary struct {
	*job.Filled
	Style      unit.Style
	Out        string // folder of what was written
	Verbose    bool
	Written    []Output
	Extra      []AnswerRow   // of a job: prices
	After      string        // the result for the floor, if it was surveyed again
	AfterNotes []survey.Note // of that survey
}

// whole writes everything: the answer, its basis, and every note.
func (s *Summary) whole(b *bytes.Buffer) error {
	f, u := s.Fill, s.Style
	fmt.Fprintf(b, "%s\n\n", s.Title)
	t := tabwriter.NewWriter(b, 0, 8, 3, ' ', 0)
	row := func(name, format string, args ...any) {
		fmt.Fprintf(t, "%s\t%s\n", name, fmt.Sprintf(format, args...))
	}
	shown := map[survey.Topic]bool{}
	beside := func(topic survey.Topic) {
		if topic == survey.General {
			return
		}
		shown[topic] = true
		for _, n := range s.allNotes() {
			if n.Topic == topic && n.Kind == survey.Warning {
				row("", "! %s", Printable(n.In(s.Style)))
			}
		}
	}
	for _, r := range s.answer() {
		row(r.Head, "%s", r.Text)
		beside(r.Topic)
	}
	row("Load", "%s", s.load())
	beside(survey.AboutLoad)
	if err := t.Flush(); err != nil {
		return err
	}
	fmt.Fprintf(b, "\n")
	t = tabwriter.NewWriter(b, 0, 8, 3, ' ', 0)
	row("Points", "%s", s.points())
	row("Room", "%s, walls %s%s", u.Area(f.Area), u.Length(s.Floor.Perimeter), s.regions())
	if d := s.Found; d != nil {
		row("As found", "%s", s.foundText(d))
	}
	row("Min depth", "%s at %s", u.Depth(f.Least), s.onPlan(f.LeastAt))
	row("Max depth", "%s at %s", u.Depth(f.Greatest), s.onPlan(f.GreatestAt))
	if f.Cut == 0 {
		row("Cut", "%s", s.cut())
	}
	if f.FittedArea > 0 {
		row("At the walls", "%s", s.atWalls())
	}
	if s.Mix.Order > 0 {
		row("Take-off", "%s + %g %% allowance, in steps of %s: %s", u.Volume(s.ordered()), percentOf(s.Mix.Allowance), u.Volume(s.Mix.Step), u.Volume(s.Mix.Order))
	}
	lines, _, up := shownLines(s.Filled, u)
	if up.Name != "" {
		lines = append(lines, up)
	}
	for _, l := range lines {
		row("", "%s %s: %s", u.Volume(l.Volume), l.Name, l.How.In(u))
	}
	if err := t.Flush(); err != nil {
		return err
	}
	s.bands(b)
	s.doors(b)
	s.book(b)
	say(b, s.Notes, shown, s.Style)
	if len(s.Written) > 0 {
		fmt.Fprintf(b, "\nWritten:\n")
		for _, o := range s.Written {
			fmt.Fprintf(b, "  %s\n", filepath.Join(s.Out, o.Name))
		}
	}
	return nil
}

// load is the weight of the fill.
func (s *Summary) load() string {
	m, u := s.Mix, s.Style
	weight := cmp.Or(s.Weighs, "at "+u.UnitWeight(m.UnitWeight))
	return fmt.Sprintf("mean %s, max %s; %s in all, %s", u.Load(m.Load.Mean), u.Load(m.Load.Most), u.Mass(m.Load.Mass), weight)
}

// atWalls writes how much of the floor has no shots.
func (s *Summary) atWalls() string {
	f, u := s.Fill, s.Style
	return fmt.Sprintf("%s (%.0f %%) along the walls is estimated: no shots there. It holds %s of the fill", u.Area(f.FittedArea), 100*f.FittedArea/f.Area, u.Volume(f.FittedFill))
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
	parts := []string{fmt.Sprintf("%d read, %d floor shots used", s.Survey.Rows, s.Floor.Used)}
	for _, c := range []struct {
		n    int
		what string
	}{
		{len(s.Survey.Finished), "on adjoining finished floor"},
		{len(s.Survey.Control) - drains, "benchmarks, turning points and checks"},
		{s.count(survey.LeftOut), "left out"},
	} {
		if c.n > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", c.n, c.what))
		}
	}
	if drains > 0 {
		parts = append(parts, survey.Plural(drains, "drain")+" left out of the floor")
	}
	return strings.Join(parts, ", ")
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
	var parts []string
	for i, r := range s.Fill.Regions {
		parts = append(parts, fmt.Sprintf("%s %s with %s of fill", s.Floor.Regions[i].Name, s.Style.Area(r.Area), s.Style.Volume(r.Fill)))
	}
	return fmt.Sprintf("; %d regions: %s", len(parts), strings.Join(parts, ", "))
}

func targetText(p surface.Plane, floor *surface.Floor, style unit.Style) string {
	if p.Level() {
		return "level at " + style.Level(p.Z)
	}
	return fmt.Sprintf("%s at %s, %s", style.Level(p.Z), job.Beside(floor, p.At, style), job.FallText(p))
}

// onPlan writes a place by its coordinates, and by two walls if it faces some.
func (s *Summary) onPlan(p surface.Vec) string {
	at, beside := job.At(p, s.Style), s.Place(p)
	if at == beside {
		return at
	}
	return at + ", " + beside
}

// ordered is the net volume from the plant: everything except what comes in bags.
func (s *Summary) ordered() float64 {
	if len(s.Bags) > 0 {
		return s.Takeoff.Floor.Net
	}
	return s.Mix.Net
}

func (s *Summary) cut() string {
	f := s.Fill
	if f.Cut == 0 {
		return "none: no floor above the target"
	}
	return fmt.Sprintf("%s over %s", job.SmallVolume(f.Cut, s.Style), s.Style.Area(f.CutArea))
}

func (s *Summary) bands(b *bytes.Buffer) {
	fmt.Fprintln(b)
	t := tabwriter.NewWriter(b, 0, 8, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(t, "depth from\tto\tarea\tvolume\t")
	for _, band := range shownBands(s.Fill.Bands, s.Style) {
		fmt.Fprintf(t, "%s\t%s\t%s\t%s\t\n", s.Style.Depth(band.From), s.Style.Depth(band.To), s.Style.Area(band.Area), s.Style.Volume(band.Volume))
	}
	t.Flush() // into memory: cannot fail
}

// shownBands are the bands of depth as listed. A band whose area is written as 0 is joined
// to its neighbour on its side of the target. If it has no neighbour there and its volume is
// written as 0 too, it is left out. Areas and volumes add up as before.
func shownBands(bands []surface.Band, u unit.Style) []surface.Band {
	tiny := func(b surface.Band) bool { return u.Area(b.Area) == u.Area(0) }
	var out []surface.Band
	for _, b := range bands {
		if n := len(out); n > 0 && (tiny(out[n-1]) || tiny(b)) && (out[n-1].To <= 0) == (b.To <= 0) {
			last := &out[n-1]
			last.To, last.Area, last.Volume = b.To, last.Area+b.Area, last.Volume+b.Volume
			continue
		}
		out = append(out, b)
	}
	return slices.DeleteFunc(out, func(b surface.Band) bool {
		return tiny(b) && u.Volume(math.Abs(b.Volume)) == u.Volume(0)
	})
}

// foundText writes the shape of the old floor.
func (s *Summary) foundText(d *surface.Found) string {
	style := s.Style
	fall := math.Hypot(d.Robust.SlopeX, d.Robust.SlopeY)
	text := fmt.Sprintf("falls %.2f %% to the %s", 100*fall, surface.CompassPoint(-d.Robust.SlopeX, -d.Robust.SlopeY))
	if fall < 5e-5 {
		text = "no fall as a whole"
	}
	where := s.Place(surface.Vec{X: d.Worst.X, Y: d.Worst.Y})
	if d.Worst.Name != "" {
		where = "shot " + d.Worst.Name
	}
	text += fmt.Sprintf("; typical deviation from that plane %s, max %s (%s)", job.LessThanStep(d.Spread, style), style.Depth(math.Abs(d.Off)), where)
	if d.HasBowl {
		text += fmt.Sprintf("; from a smooth dish or dome %s", style.Depth(d.BowlSD))
	}
	return text
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

// doors prints what the target leaves at each threshold.
func (s *Summary) doors(b *bytes.Buffer) {
	if len(s.Thresholds) == 0 {
		return
	}
	u := s.Style
	fmt.Fprintln(b)
	t := tabwriter.NewWriter(b, 0, 8, 2, ' ', 0)
	head := "threshold\tfinished\ttop of fill\troom above"
	if s.Surveyed {
		head = "threshold\tfinished\tfloor there\troom above"
	}
	if s.Covering.Thickness > 0 {
		head += "\tbed to be flush"
	}
	if s.Covered {
		head += "\tchange of level"
	}
	if s.Finish != nil {
		head += "\toff the finished plane"
	}
	fmt.Fprintln(t, head)
	for i := range s.Thresholds {
		d := &s.Thresholds[i]
		row := fmt.Sprintf("%s %s\t%s\t%s\t%s", d.Point.Name, d.Point.Code, u.Level(d.Point.Z), u.Level(d.Top), u.Depth(d.Room))
		if s.Covering.Thickness > 0 {
			row += "\t" + u.Depth(d.Bed)
			switch c := s.Covering; {
			case c.Greatest > 0 && d.Bed < c.Least:
				row += ", min " + u.Depth(c.Least)
			case c.Greatest > 0 && d.Bed > c.Greatest:
				row += ", max " + u.Depth(c.Greatest)
			}
		}
		if s.Covered {
			row += "\t" + changeText(d.Change, u)
		}
		if s.Finish != nil {
			row += "\t" + u.Depth(d.Point.Z-s.Finish.Elevation(surface.Vec{X: d.Point.X, Y: d.Point.Y}))
		}
		fmt.Fprintln(t, row)
	}
	t.Flush() // into memory: cannot fail
}

func changeText(change float64, u unit.Style) string {
	switch {
	case math.Abs(change) < u.Step()/2:
		return "flush"
	case change > 0:
		return u.Depth(change) + " up to the new floor"
	}
	return u.Depth(-change) + " down to the new floor"
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
	for _, setup := range k.Setups {
		fmt.Fprintf(b, "  set-up %s: height of instrument %s\n", setup.Name, u.Level(setup.HI))
	}
	if k.Checks.Line {
		fmt.Fprintf(b, "  sum of backsights less sum of foresights: %s\n", u.Elevation(k.Checks.SumBS-k.Checks.SumFS))
	}
	fmt.Fprintf(b, "  %s\n", s.closes(k))
}

// say prints all notes by kind, except warnings on topics that are shown beside their
// figure.
func say(b *bytes.Buffer, notes []survey.Note, beside map[survey.Topic]bool, style unit.Style) {
	for _, kind := range kinds {
		var some []foldedNote
		for _, n := range folded(notes) {
			if n.Kind == kind.kind && !(n.Kind == survey.Warning && beside[n.Topic]) {
				some = append(some, n)
			}
		}
		if len(some) == 0 {
			continue
		}
		fmt.Fprintf(b, "\n%s\n", kind.head)
		for _, n := range some {
			fmt.Fprintf(b, "  %s\n", Printable(n.In(style)))
		}
	}
}
