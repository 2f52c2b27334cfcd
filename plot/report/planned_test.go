package report

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/xuri/excelize/v2"

	"pourplane/surface/job"
	"pourplane/survey/unit"
)

// outlines are walls of every sort of grid.
var planOutlines = map[string]string{
	"room":   "x_m,y_m\n0,0\n4.2,0\n4.2,3.4\n0,3.4\n",
	"L":      "part,ring,x_m,y_m\nroom,outer,10,20\nroom,outer,18,20\nroom,outer,18,24\nroom,outer,14,24\nroom,outer,14,28\nroom,outer,10,28\ncolumn,hole,12.8,22.8\ncolumn,hole,13.2,22.8\ncolumn,hole,13.2,23.2\ncolumn,hole,12.8,23.2\n",
	"rooms":  "part,ring,x_m,y_m\nkitchen,outer,0,0\nkitchen,outer,4.2,0\nkitchen,outer,4.2,3.4\nkitchen,outer,0,3.4\nWC,outer,4.35,0\nWC,outer,6.15,0\nWC,outer,6.15,5\nWC,outer,4.35,5\n",
	"turned": "x_m,y_m\n1000,2000\n1003.464,2002\n1001.464,2005.464\n998,2003.464\n", // 4 m by 4 m at 30°
	"feet":   "x_ft,y_ft\n0,0\n17.5,0\n17.5,12.25\n0,12.25\n",
	"step":   "part,ring,x_m,y_m\nroom,outer,0,0\nroom,outer,6,0\nroom,outer,6,4\nroom,outer,0,4\nstep,line,0,2.5\nstep,line,6,2.5\n",
}

func planned(t *testing.T, outline string, asked job.PlanOptions) (*job.Planned, unit.Style) {
	t.Helper()
	j := &job.Job{Survey: job.Survey{Files: []string{"walls.csv"}}}
	p, err := job.Planning(j, asked, fstest.MapFS{"walls.csv": {Data: []byte(outline)}}, nil)
	if err != nil {
		t.Fatal(err)
	}
	return p, job.StyleOf(p.Survey, "")
}

// hills is the floor of the tests, m.
func hills(x, y float64) float64 {
	return 9.98 + 0.02*math.Sin(x) + 0.015*math.Cos(1.3*y) + 0.001*math.Remainder(x, 3)
}

// filledIn types a reading into each empty cell of plan.csv, from a height of instrument of 11.5
// m, and the benchmark into its rows.
func filledIn(t *testing.T, p *job.Planned, data []byte, read func(rod float64) string) []byte {
	t.Helper()
	r := csv.NewReader(bytes.NewReader(data))
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	grid, row, marks := -1, 0, 0
	for _, cells := range rows {
		switch {
		case cells[0] == "BM":
			if cells[1] = read(1.5); marks == 0 {
				cells[2] = "10 m"
			}
			marks++
		case strings.HasPrefix(cells[1], "A = "):
			grid++
			row = len(p.Grids[grid].Rows)
		case strings.Contains(cells[0], " = "):
			row--
			g := &p.Grids[grid]
			for c := range g.Columns {
				switch at := g.At(row, c); {
				case g.On[row][c] != (cells[c+1] == ""):
					t.Errorf("cell %s is %q, on the floor: %v", g.Name(row, c), cells[c+1], g.On[row][c])
				case g.On[row][c]:
					cells[c+1] = read(11.5 - hills(at.X, at.Y))
				}
			}
		}
	}
	if grid+1 != len(p.Grids) || row != 0 || marks != 2 {
		t.Fatalf("%d sheets, the last ends at row %d, %d rows of benchmarks", grid+1, row, marks)
	}
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	w.WriteAll(rows)
	return b.Bytes()
}

// copiedInto types what is in the cells of typed, as numbers where they are numbers, into the empty
// cells of the same place of a workbook. Its first row is that of the text, its third the second.
func copiedInto(t *testing.T, book, typed []byte) []byte {
	t.Helper()
	f, err := excelize.OpenReader(bytes.NewReader(book))
	if err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(bytes.NewReader(typed)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	sheet := f.GetSheetName(0)
	for i, cells := range rows {
		for k, text := range cells {
			if i == 0 && k > 0 {
				continue // joined with the first
			}
			at, _ := excelize.CoordinatesToCellName(k+1, i+1+min(i, 1))
			var value any = text
			if v, err := strconv.ParseFloat(text, 64); err == nil {
				value = v
			}
			switch have, err := f.GetCellValue(sheet, at); {
			case err != nil:
				t.Fatal(err)
			case have == "" && text != "":
				if err := f.SetCellValue(sheet, at, value); err != nil {
					t.Fatal(err)
				}
			case have != text:
				t.Errorf("cell %s is %q in the workbook, %q in the text", at, have, text)
			}
		}
	}
	var b bytes.Buffer
	if err := f.Write(&b); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// A sheet that is filled in, text or workbook, is read back with no option: every shot by its name, at its place, at
// its elevation.
func TestPlannedSheetIsReadBack(t *testing.T) {
	for name, outline := range planOutlines {
		t.Run(name, func(t *testing.T) {
			spacing := map[bool]string{true: "3ft", false: "1m"}[name == "feet"]
			p, style := planned(t, outline, job.PlanOptions{Spacing: spacing})
			files, err := PlanFiles(p, style, "")
			if err != nil {
				t.Fatal(err)
			}
			read := func(rod float64) string { return fmt.Sprintf("%.2f", 1000*rod) }
			if style.Imperial {
				read = func(rod float64) string { return fmt.Sprintf("%.6f", rod/0.3048) }
			}
			typed := filledIn(t, p, files[1].Data, read)
			j := &job.Job{Survey: job.Survey{Files: []string{"plan.csv"}, Outline: "walls.csv"}}
			s, _, err := job.OpenFloor(j, fstest.MapFS{"plan.csv": {Data: typed}, "walls.csv": {Data: []byte(outline)}}, nil)
			if err != nil {
				t.Fatalf("%v\n%s", err, typed)
			}
			if len(s.Points) != p.Shots {
				t.Errorf("%d points read back of %d shots", len(s.Points), p.Shots)
			}
			at := map[string][3]float64{}
			for _, q := range s.Points {
				at[q.Name()] = [3]float64{q.X, q.Y, q.Z}
			}
			for i := range p.Grids {
				for _, q := range p.Grids[i].Shots() {
					name := q.Name()
					if len(p.Grids) > 1 {
						name = q.Part() + " " + name
					}
					got, known := at[name]
					if want := hills(q.X, q.Y); !known || math.Hypot(got[0]-q.X, got[1]-q.Y) > 1e-5 || math.Abs(got[2]-want) > 1e-5 {
						t.Errorf("%s read back at %v, want (%.4f, %.4f) and %.5f", name, got, q.X, q.Y, want)
					}
				}
			}
			j.Target.Elevation = "10.1m"
			with := fstest.MapFS{"plan.csv": {Data: typed}, "plan.xlsx": {Data: copiedInto(t, files[2].Data, typed)}, "walls.csv": {Data: []byte(outline)}}
			of, err := job.Fill(j, nil, with, nil)
			if err != nil {
				t.Fatal(err)
			}
			j.Survey.Files = []string{"plan.xlsx"}
			again, err := job.Fill(j, nil, with, nil)
			if err != nil {
				t.Fatalf("the workbook: %v", err)
			}
			if a, b := of.Survey, again.Survey; len(a.Points) != len(b.Points) || a.Book != nil != (b.Book != nil) || of.Fill.Fill != again.Fill.Fill || !of.Sure().Known || of.Sure().Parts != again.Sure().Parts {
				t.Errorf("text gives %d points, %v m³ ±%v; the workbook %d, %v m³ ±%v", len(a.Points), of.Fill.Fill, of.Sure().Parts, len(b.Points), again.Fill.Fill, again.Sure().Parts)
			}
			for i, q := range of.Survey.Points {
				if r := again.Survey.Points[i]; q.Name() != r.Name() || q.X != r.X || q.Y != r.Y || q.Z != r.Z {
					t.Errorf("%s at %v in the text, %s at %v in the workbook", q.Name(), q, r.Name(), r)
				}
			}
		})
	}
}

// The pages fit every size of room: each place off the floor is grey, a room with more columns than a
// page has them on the next.
func TestPlannedPages(t *testing.T) {
	for _, c := range []struct {
		name, outline string
		asked         job.PlanOptions
		paper         string
		pages         int
		texts         []string
	}{
		{"a bathroom", "x_m,y_m\n0,0\n2,0\n2,3\n0,3\n", job.PlanOptions{Spacing: "1m"}, "A4", 1, []string{"Scale 1:", "Rod on it at the end", "never look into the beam", "2.90 m"}},
		{"in feet", planOutlines["feet"], job.PlanOptions{Spacing: "3ft"}, "", 2, []string{"17'-2\"", "this line is 4 in long", "never sweep dry"}},
		{"two rooms", planOutlines["rooms"], job.PlanOptions{Spacing: "1m"}, "Letter", 2, []string{"walls: kitchen", "walls: WC"}},
		{"a hall", "x_m,y_m\n0,0\n30,0\n30,20\n0,20\n", job.PlanOptions{Spacing: "1m"}, "A4", 5, []string{"29.90 m", "AG"}},
		{"a corridor", "x_m,y_m\n0,0\n2,0\n2,60\n0,60\n", job.PlanOptions{Spacing: "1m"}, "A4", 4, []string{"walls, continued"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			p, style := planned(t, c.outline, c.asked)
			files, err := PlanFiles(p, style, c.paper)
			if err != nil {
				t.Fatal(err)
			}
			name := filepath.Join(t.TempDir(), files[0].Name)
			if err := os.WriteFile(name, files[0].Data, 0o644); err != nil {
				t.Fatal(err)
			}
			pages := pagesOf(t, name)
			if len(pages) != c.pages {
				t.Errorf("%d pages, want %d", len(pages), c.pages)
			}
			text := strings.Join(pages, " ")
			for _, want := range c.texts {
				if !strings.Contains(text, want) {
					t.Errorf("no %q in %s", want, text)
				}
			}
		})
	}
}
