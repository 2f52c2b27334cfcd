package sheet

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"pourplane/plot"
	"pourplane/plot/table"
	"pourplane/survey"
)

// corners is a drawing with one word at its lower left corner and one that ends at its upper
// right corner.
type corners struct{ plot.Drawing }

func (corners) Draw(c draw.Canvas) error {
	f := font.Font{Typeface: "Liberation", Variant: "Sans", Size: 12}
	face := font.DefaultCache.Lookup(f, f.Size)
	c.FillString(face, c.Min, "Low")
	c.FillString(face, vg.Point{X: c.Max.X - plot.Lettering{Size: 12}.Width("High"), Y: c.Max.Y - 12}, "High")
	return nil
}

func (corners) Height(width vg.Length) vg.Length { return 0.8 * width }

func pinSheet(t testing.TB, n int) PinSheet {
	m := demo(t)
	plan := plot.ContourMap(*m)
	s := PinSheet{
		Title: "Bottling hall: grade pins", Date: "2026-11-25", Program: "pourplane 1.0",
		Plan: &plan, PlanWidth: 420, PlanHeight: 430, Scale: "1:50",
		Figures:  []Figure{{fmt.Sprint(n), "pins"}, {`4 1/2"`, "highest mark"}, {"99.930 ft", "top of the finished fill"}},
		Text:     []string{"Height is from the old floor up to the mark, rounded down to the eighth of an inch."},
		Cautions: []string{"Never drill or drive a pin where heating pipes, tendons, a membrane, gas or cables may lie: glue it on. Find out first."},
		Table: table.Table{
			Title:   "Pins",
			Columns: []table.Column{{Name: "Pin"}, {Name: "x (ft)", Right: true, Decimals: 1}, {Name: "y (ft)", Right: true, Decimals: 1}, {Name: "Height (in)", Right: true}, {Name: "Set"}},
			Notes:   []string{"Pins along a wall end in W."},
		},
	}
	for i := range n {
		s.Table.Rows = append(s.Table.Rows, []table.Cell{table.Text(fmt.Sprintf("P%d", i+1)), table.Number(float64(i%9) * 4), table.Number(float64(i/9) * 4),
			{Text: fmt.Sprintf("%d %d/8", 1+i%4, 1+2*(i%4)), Bold: true}, {Tick: true}})
	}
	return s
}

func writtenPins(t testing.TB, s PinSheet, p Paper) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := WritePins(&b, s, p); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func find(t *testing.T, p sheetPage, text string) word {
	t.Helper()
	for _, w := range p.Words {
		if w.Text == text {
			return w
		}
	}
	t.Fatalf("no %q on the page", text)
	return word{}
}

func TestPlanHasItsTrueSize(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name      string
		paper     Paper
		landscape bool
	}{{"a4", A4, false}, {"a4 across", A4, true}, {"letter", Letter, false}, {"letter across", Letter, true}} {
		t.Run(c.name, func(t *testing.T) {
			s := pinSheet(t, 30)
			s.Plan = corners{s.Plan}
			s.PlanWidth, s.PlanHeight = PlanRoom(c.paper, c.landscape)
			pages := read(t, writtenPins(t, s, c.paper))
			sound(t, pages, s.Title, narrow)
			p := pages[0]
			if (p.Width > p.Height) != c.landscape {
				t.Errorf("the page is %g by %g", p.Width, p.Height)
			}
			low, high := find(t, p, "Low"), find(t, p, "High")
			if w := high.XMax - low.XMin; math.Abs(w-s.PlanWidth.Points()) > 0.05 {
				t.Errorf("the plan is %.2f pt wide, want %.2f", w, s.PlanWidth.Points())
			}
			if h := low.YMax - high.YMax + 12; math.Abs(h-s.PlanHeight.Points()) > 0.05 {
				t.Errorf("the plan is %.2f pt high, want %.2f", h, s.PlanHeight.Points())
			}
			if !strings.Contains(p.text(), "Scale 1:50. Print at full size: this line is ") {
				t.Error("the scale is not stated")
			}
			if q := pages[1]; q.Width > q.Height {
				t.Error("the table lies across")
			}
			s.PlanWidth, s.PlanHeight = s.PlanWidth+1, s.PlanHeight+1
			var e *survey.Error
			var b bytes.Buffer
			if err := WritePins(&b, s, c.paper); !errors.As(err, &e) || b.Len() > 0 || !strings.Contains(err.Error(), `at scale 1:50: found `) {
				t.Errorf("a larger plan: %v", err)
			}
		})
	}
}

func TestPinsStandInColumnsInOrder(t *testing.T) {
	t.Parallel()
	for _, n := range []int{1, 7, 60, 5000} {
		t.Run(fmt.Sprint(n), func(t *testing.T) {
			s := pinSheet(t, n)
			a := writtenPins(t, s, Letter)
			if !bytes.Equal(a, writtenPins(t, s, Letter)) {
				t.Error("two runs differ")
			}
			pages := read(t, a)
			sound(t, pages, s.Title, narrow)
			next, name := 1, regexp.MustCompile(`^P\d+$`)
			for i, p := range pages {
				var names []word
				for _, w := range p.Words {
					if name.MatchString(w.Text) {
						names = append(names, w)
					}
				}
				slices.SortFunc(names, func(a, b word) int {
					return cmp.Or(cmp.Compare(math.Round(a.XMin), math.Round(b.XMin)), cmp.Compare(a.YMin, b.YMin))
				})
				columns := map[int]bool{}
				for _, w := range names {
					columns[int(math.Round(w.XMin))] = true
					if w.Text != fmt.Sprintf("P%d", next) {
						t.Fatalf("page %d: found %s, want P%d", i+1, w.Text, next)
					}
					next++
				}
				heads := strings.Count(p.text(), "Pin x (ft)")
				if heads != len(columns) {
					t.Errorf("page %d: %d heads over %d columns", i+1, heads, len(columns))
				}
				if n == 5000 && len(columns) > 0 && len(columns) < 2 {
					t.Errorf("page %d has one column", i+1)
				}
			}
			if next != n+1 {
				t.Errorf("%d pins in order, want %d", next-1, n)
			}
		})
	}
}

func TestPinSheetRefusals(t *testing.T) {
	t.Parallel()
	good := pinSheet(t, 2)
	for _, c := range []struct {
		name string
		edit func(*PinSheet)
		want string
	}{
		{"title", func(s *PinSheet) { s.Title = " " }, "pin sheet: found no title, want one for the head of every page"},
		{"pins", func(s *PinSheet) { s.Table.Rows = nil }, `pin sheet "Bottling hall: grade pins": found no pins, want at least one`},
		{"NaN", func(s *PinSheet) { s.PlanWidth = vg.Length(math.NaN()) }, `plan of "Bottling hall: grade pins" at scale 1:50: found NaN mm by 151.7 mm, want at most 188 mm by 239 mm, or 275 mm by 152 mm across; take a smaller scale`},
		{"negative", func(s *PinSheet) { s.PlanHeight = -1 }, "found 148.2 mm by -0.4 mm"},
		{"cells", func(s *PinSheet) { s.Table.Columns = s.Table.Columns[:2] }, "row 1: found 5 cells, want at most 2"},
	} {
		s := good
		c.edit(&s)
		var b bytes.Buffer
		err := WritePins(&b, s, A4)
		var e *survey.Error
		if !errors.As(err, &e) || !strings.Contains(err.Error(), c.want) || b.Len() > 0 {
			t.Errorf("%s: %v, want %s", c.name, err, c.want)
		}
	}
	if w, h := PlanRoom(9, false); w != 0 || h != 0 {
		t.Errorf("room of %g by %g on no paper", w, h)
	}
}

// A few rows more than fit on a page get smaller lettering; no page has a few rows alone
// that smaller lettering would have saved.
func TestFewPinsTakeNoPage(t *testing.T) {
	t.Parallel()
	before := 0
	for n := 40; n <= 80; n++ {
		s := pinSheet(t, n)
		pages := read(t, writtenPins(t, s, Letter))
		sound(t, pages, s.Title, narrow)
		on := func(p sheetPage) int {
			rows := 0
			for _, w := range p.Words {
				if strings.HasPrefix(w.Text, "P") && w.Text != "P" && w.Text != "Pin" && w.Text != "Pins" && w.Text != "Print" {
					rows++
				}
			}
			return rows
		}
		if last := on(pages[len(pages)-1]); last < 8 {
			t.Errorf("%d pins take %d pages, the last of them holds %d", n, len(pages), last)
		}
		if len(pages) < before {
			t.Errorf("%d pins take %d pages, fewer than one pin less", n, len(pages))
		}
		before = len(pages)
	}
}
