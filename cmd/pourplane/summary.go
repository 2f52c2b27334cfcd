package main

import (
	"bytes"
	"cmp"
	"fmt"
	"io"
	"math"
	"path/filepath"
	"strings"
	"text/tabwriter"
	"unicode"

	"pourplane/surface"
	"pourplane/surface/order"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// summary is the result as a person reads it.
type summary struct {
	*work
	f       *fillFlags
	style   unit.Style
	written []output
}

func (s *summary) print(w io.Writer) error {
	var b bytes.Buffer
	f, u := s.fill, s.style
	fmt.Fprintf(&b, "%s\n\n", s.f.name(s.survey))
	t := tabwriter.NewWriter(&b, 0, 8, 3, ' ', 0)
	row := func(name, format string, args ...any) {
		fmt.Fprintf(t, "%s\t%s\n", name, fmt.Sprintf(format, args...))
	}
	row("Points", "%s", s.points())
	row("Floor", "%s, walls %s%s", u.Area(f.Area), u.Length(s.floor.Perimeter), s.regions())
	if d := s.found; d != nil {
		row("As found", "%s", foundText(d, u))
	}
	row("Target", "%s", targetText(f.Target, u))
	row("Fill depth", "mean %s, least %s at %s, greatest %s at %s", u.Depth(f.Mean), u.DepthDown(f.Least), at(f.LeastAt, u), u.Depth(f.Greatest), at(f.GreatestAt, u))
	row("Fill", "%s = %.3f m³ over %s", u.Volume(f.Fill), f.Fill, u.Area(f.FillArea))
	row("Cut", "%s", s.cut())
	if f.FittedArea > 0 {
		row("At the walls", "%s (%.0f %%) of the floor and %s of the fill rest on elevations fitted at the edge, where no shot stands", u.Area(f.FittedArea), 100*f.FittedArea/f.Area, u.Volume(f.FittedFill))
	}
	m := s.mix
	if len(s.bags) > 0 {
		row("Bags", "%s", strings.Join(s.bags, ", "))
	}
	if m.Order > 0 || len(s.bags) == 0 {
		row("Order", "%s + %g %% allowance, in steps of %s: %.2f m³ = %.2f yd³", u.Volume(s.ordered()), percentOf(m.Allowance), u.Volume(m.Step), m.Order, m.Order/order.CubicYard)
	}
	if lines := s.lines(); len(lines) > 3 { // more than net, allowance and rounding
		for _, l := range lines {
			row("", "%s %s: %s", u.Volume(l.Volume), l.Name, l.How)
		}
	}
	if d := s.delivery; d.Trucks > 0 && !s.onSite {
		trucks := fmt.Sprintf("%d trucks, the last with %s", d.Trucks, u.Volume(d.Last))
		if d.Trucks == 1 {
			trucks = "1 truck"
		}
		row("", "%s", trucks)
	}
	weight := cmp.Or(s.weighs, "at "+u.UnitWeight(m.UnitWeight))
	row("Weight", "%s, %s: mean %s, at the deepest %s", u.Mass(m.Load.Mass), weight, u.Load(m.Load.Mean), u.Load(m.Load.Most))
	if err := t.Flush(); err != nil {
		return err
	}
	s.bands(&b)
	s.doors(&b)
	s.book(&b)
	say(&b, s.notes)
	if len(s.written) > 0 {
		fmt.Fprintf(&b, "\nWritten:\n")
		for _, o := range s.written {
			fmt.Fprintf(&b, "  %s\n", filepath.Join(s.f.out, o.name))
		}
	}
	_, err := io.WriteString(w, printable(b.String()))
	return err
}

// printable shows control characters, which a name in a file may hold, instead of
// sending them to a terminal; likewise those that turn the direction of what
// follows, so that 12 reads 21.
func printable(text string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsControl(r) && r != '\n' || unicode.Is(unicode.Bidi_Control, r) {
			return '\ufffd'
		}
		return r
	}, text)
}

func (s *summary) points() string {
	parts := []string{fmt.Sprintf("%d read, %d floor shots used", s.survey.Rows, s.floor.Used)}
	for _, c := range []struct {
		n    int
		what string
	}{
		{len(s.survey.Finished), "on finished floor next door"},
		{len(s.survey.Control), "benchmarks, turning points and checks"},
		{s.count(survey.LeftOut), "left out"},
	} {
		if c.n > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", c.n, c.what))
		}
	}
	return strings.Join(parts, ", ")
}

func (s *summary) count(k survey.NoteKind) int {
	n := 0
	for _, note := range s.notes {
		if note.Kind == k {
			n++
		}
	}
	return n
}

func (s *summary) regions() string {
	if len(s.fill.Regions) < 2 {
		return ""
	}
	var parts []string
	for i, r := range s.fill.Regions {
		parts = append(parts, fmt.Sprintf("%s %s with %s of fill", s.floor.Regions[i].Name, s.style.Area(r.Area), s.style.Volume(r.Fill)))
	}
	return fmt.Sprintf("; %d regions: %s", len(parts), strings.Join(parts, ", "))
}

func targetText(p surface.Plane, style unit.Style) string {
	if p.SlopeX == 0 && p.SlopeY == 0 {
		return "level at " + style.Elevation(p.Z)
	}
	return fmt.Sprintf("%s at %s, %s", style.Elevation(p.Z), at(p.At, style), strings.Replace(fallText(p), "falls", "falling", 1))
}

// ordered is the net volume that the plant delivers: all of it but what comes in bags.
func (s *summary) ordered() float64 {
	if len(s.bags) > 0 {
		return s.takeoff.Floor.Net
	}
	return s.mix.Net
}

func (s *summary) cut() string {
	f := s.fill
	if f.Cut == 0 {
		return "none: nothing stands above the target"
	}
	return fmt.Sprintf("%s = %.4f m³ over %s", s.style.Volume(f.Cut), f.Cut, s.style.Area(f.CutArea))
}

func (s *summary) bands(b *bytes.Buffer) {
	fmt.Fprintln(b)
	t := tabwriter.NewWriter(b, 0, 8, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(t, "fill depth from\tto\tarea\tvolume\t")
	for _, band := range s.fill.Bands {
		fmt.Fprintf(t, "%s\t%s\t%s\t%s\t\n", s.style.Depth(band.From), s.style.Depth(band.To), s.style.Area(band.Area), s.style.Volume(band.Volume))
	}
	t.Flush() // into memory: cannot fail
}

// foundText says how the old floor lies as a whole.
func foundText(d *surface.Found, style unit.Style) string {
	fall := math.Hypot(d.Robust.SlopeX, d.Robust.SlopeY)
	text := fmt.Sprintf("falls %.2f %% to the %s", 100*fall, direction(-d.Robust.SlopeX, -d.Robust.SlopeY))
	if fall < 5e-5 {
		text = "no fall as a whole"
	}
	text += fmt.Sprintf("; typically off that plane by %s, at the most %s at %s", style.Depth(d.Spread), style.Depth(math.Abs(d.Off)), cmp.Or(d.Worst.Name, at(surface.Vec{X: d.Worst.X, Y: d.Worst.Y}, style)))
	if d.HasBowl {
		text += fmt.Sprintf("; off a dish or dome of second order by %s", style.Depth(d.BowlSD))
	}
	return text
}

// direction names the nearest of eight directions of the plan.
func direction(x, y float64) string {
	eight := []string{"east", "north-east", "north", "north-west", "west", "south-west", "south", "south-east"}
	return eight[(int(math.Round(math.Atan2(y, x)/(math.Pi/4)))+8)%8]
}

// straight tells whether a way is one of the eight directions but for rounding.
func straight(x, y float64) bool {
	return math.Abs(math.Remainder(math.Atan2(y, x), math.Pi/4)) < 1e-9
}

// doors prints what the target leaves at each threshold.
func (s *summary) doors(b *bytes.Buffer) {
	if len(s.thresholds) == 0 {
		return
	}
	u := s.style
	fmt.Fprintln(b)
	t := tabwriter.NewWriter(b, 0, 8, 2, ' ', 0)
	head := "threshold\tfinished\ttop of fill\troom above"
	if s.surveyed {
		head = "threshold\tfinished\tfloor there\troom above"
	}
	if s.covering.Thickness > 0 {
		head += "\tbed to be flush"
	}
	if s.covered {
		head += "\tchange of level"
	}
	if s.finish != nil {
		head += "\toff the finished plane"
	}
	fmt.Fprintln(t, head)
	for i := range s.thresholds {
		d := &s.thresholds[i]
		row := fmt.Sprintf("%s %s\t%s\t%s\t%s", d.Point.Name, d.Point.Code, u.Elevation(d.Point.Z), u.Elevation(d.Top), u.Depth(d.Room))
		if s.covering.Thickness > 0 {
			row += "\t" + u.Depth(d.Bed)
			switch c := s.covering; {
			case c.Greatest > 0 && d.Bed < c.Least:
				row += ", least " + u.Depth(c.Least)
			case c.Greatest > 0 && d.Bed > c.Greatest:
				row += ", greatest " + u.Depth(c.Greatest)
			}
		}
		if s.covered {
			row += "\t" + changeText(d.Change, u)
		}
		if s.finish != nil {
			row += "\t" + u.Depth(d.Point.Z-s.finish.Elevation(surface.Vec{X: d.Point.X, Y: d.Point.Y}))
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
func (s *summary) book(b *bytes.Buffer) {
	k := s.survey.Book
	if k == nil {
		return
	}
	u := s.style
	if k.Relative {
		fmt.Fprintf(b, "\nSet-ups, elevation 0 at the first line of sight\n")
	} else {
		fmt.Fprintf(b, "\nLevel book on %s at %s\n", k.Benchmarks[0].Name, u.Elevation(k.Benchmarks[0].Elevation))
	}
	for _, setup := range k.Setups {
		fmt.Fprintf(b, "  set-up %s: height of instrument %s\n", setup.Name, u.Elevation(setup.HI))
	}
	if k.Checks.Line {
		fmt.Fprintf(b, "  sum of backsights less sum of foresights: %s\n", u.Elevation(k.Checks.SumBS-k.Checks.SumFS))
	}
	spread := "not spread"
	if k.Adjust != survey.NoAdjustment {
		spread = "spread " + k.Adjust.String()
	}
	if c := k.Main(); c != nil {
		fmt.Fprintf(b, "  misclosure on %s: %s of %s allowed (observed less known; %s)\n", c.On, u.Depth(c.Misclosure()), u.Depth(c.Allowable), spread)
	} else {
		fmt.Fprintf(b, "  the book does not close on a known benchmark: nothing proves that the instrument stood still\n")
	}
}

// say prints notes by kind.
func say(b *bytes.Buffer, notes []survey.Note) {
	for _, kind := range []struct {
		k    survey.NoteKind
		head string
	}{
		{survey.Warning, "Look at this"},
		{survey.LeftOut, "Left out"},
		{survey.Assumed, "Understood as"},
		{survey.Caution, "Cautions"},
	} {
		const most = 20
		var some []survey.Note
		for _, n := range notes {
			if n.Kind == kind.k {
				some = append(some, n)
			}
		}
		if len(some) == 0 {
			continue
		}
		fmt.Fprintf(b, "\n%s\n", kind.head)
		for i, n := range some {
			if i == most {
				fmt.Fprintf(b, "  … and %d more; --json lists all\n", len(some)-most)
				break
			}
			fmt.Fprintf(b, "  %s\n", printable(n.String()))
		}
	}
}
