package file

import (
	"bytes"
	"fmt"
	"io"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// inputs are files in memory.
type inputs map[string][]byte

func (in inputs) Open(name string) (io.ReadCloser, error) {
	b, ok := in[name]
	if !ok {
		return nil, fmt.Errorf("no file %s", name)
	}
	return io.NopCloser(bytes.NewReader(b)), nil
}

// wallToWall returns the places and elevations of points, without the files they are from.
func wallToWall(pts []survey.Point) (out [][3]float64) {
	for _, p := range pts {
		out = append(out, [3]float64{p.X, p.Y, p.Z})
	}
	return out
}

// Cells of parts of a scan, written, joined and read in any order and grouping, are the scan
// read in one go to the last bit; so are its parts thinned together.
func TestScanInParts(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 3))
	var lines []string
	for range 4000 {
		lines = append(lines, fmt.Sprintf("%.4f %.4f %.5f", 400_000+3*r.Float64(), 5_000_000+0.4*r.Float64(), 9.98+0.002*r.NormFloat64()))
	}
	for _, keep := range []survey.Kept{survey.Mean, survey.Lowest, survey.Median} {
		for _, cell := range []float64{0.05, 1} { // 1 m: more than 256 points a square
			o := survey.Options{Unit: unit.Foot, Order: "XYZ", Thin: survey.Thin{Cell: cell, Keep: keep}}
			in := inputs{"all.xyz": []byte(strings.Join(lines, "\n"))}
			o.Open = in.Open
			all, err := Open("all.xyz", o)
			if err != nil {
				t.Fatal(err)
			}
			want := wallToWall(all.Points)
			for round := range 3 {
				shuffled := slices.Clone(lines)
				r.Shuffle(len(lines), func(i, j int) { shuffled[i], shuffled[j] = shuffled[j], shuffled[i] })
				var scans, cells []string
				for k := 0; len(shuffled) > 0; k++ {
					n := min(len(shuffled), 1+r.IntN(2000))
					scan := fmt.Sprintf("%d.xyz", k)
					in[scan] = []byte(strings.Join(shuffled[:n], "\n"))
					scans, shuffled = append(scans, scan), shuffled[n:]
				}
				write := func(name string, o survey.Options, of ...string) {
					t.Helper()
					o.Cells = true
					s, err := OpenAll(of, o)
					if err != nil {
						t.Fatal(err)
					}
					var b bytes.Buffer
					if err := WriteCells(&b, s); err != nil {
						t.Fatal(err)
					}
					in[name] = b.Bytes()
				}
				for k, scan := range scans {
					name := fmt.Sprintf("%d.cells", k)
					write(name, o, scan)
					cells = append(cells, name)
				}
				bare := survey.Options{Open: in.Open} // cells say themselves what they are
				for k := 0; len(cells) > 2; k++ {     // joined a few at a time
					r.Shuffle(len(cells), func(i, j int) { cells[i], cells[j] = cells[j], cells[i] })
					n := 2 + r.IntN(len(cells)-1)
					name := fmt.Sprintf("j%d.cells", k)
					write(name, bare, cells[:n]...)
					cells = append(cells[n:], name)
				}
				mixed := append([]string{scans[0]}, slices.DeleteFunc(slices.Clone(scans), func(s string) bool { return s == scans[0] })...)
				for k := 1; k < len(mixed); k += 2 { // cells and scans, thinned alike
					name := mixed[k] + ".cells"
					write(name, o, mixed[k])
					mixed[k] = name
				}
				for what, c := range map[string]struct {
					names []string
					o     survey.Options
				}{"cells": {cells, bare}, "scans": {scans, o}, "both": {mixed, o}} {
					s, err := OpenAll(c.names, c.o)
					if err != nil {
						t.Fatalf("%s, %v: %v", keep, c.names, err)
					}
					if got := wallToWall(s.Points); !slices.Equal(got, want) || s.Rows != len(lines) || s.Unit != unit.Foot || s.Cells != nil {
						t.Fatalf("%s %g m, round %d, %s %v: %d points of %d rows in %s, want %d of %d", keep, cell, round, what, c.names, len(got), s.Rows, s.Unit, len(want), len(lines))
					}
				}
			}
		}
	}
}

// What does not belong together is refused, with what to type.
func TestCellsApart(t *testing.T) {
	const list = "0 0 9.98\n1 0 9.97\n1 1 9.97\n"
	in := inputs{"list.xyz": []byte(list), "sill.csv": []byte("x (m),y (m),z (m),code\n0,0,9.98,FLR\n1,0,9.98,FLR\n1,1,10,ADJ\n"), "rods.csv": []byte("x (m),y (m),rod (m)\n0,0,1.98\n1,0,1.98\n1,1,1.9\n")}
	asked := func(cell float64, keep survey.Kept) survey.Options {
		return survey.Options{Unit: unit.Metre, Order: "XYZ", Cells: true, Open: in.Open, Thin: survey.Thin{Cell: cell, Keep: keep}}
	}
	for name, o := range map[string]survey.Options{"a.cells": asked(0.025, survey.Mean), "b.cells": asked(0.05, survey.Mean), "c.cells": asked(0.025, survey.Median)} {
		s, err := OpenAll([]string{"list.xyz"}, o)
		if err != nil {
			t.Fatal(err)
		}
		var b bytes.Buffer
		if err := WriteCells(&b, s); err != nil {
			t.Fatal(err)
		}
		in[name] = b.Bytes()
	}
	in["cut.cells"] = in["a.cells"][:len(in["a.cells"])-9]
	raw := asked(0, survey.Mean)
	raw.Cells = false
	feet := survey.Options{Open: in.Open, Unit: unit.Foot}
	for _, c := range []struct {
		names      []string
		o          survey.Options
		want, hint string
	}{
		{[]string{"a.cells", "b.cells"}, raw, "b.cells: found squares of 50mm, mean, want squares of 25mm, mean, as a.cells has", ""},
		{[]string{"a.cells", "c.cells"}, raw, "c.cells: found squares of 25mm, median, want squares of 25mm, mean, as a.cells has", ""},
		{[]string{"a.cells", "list.xyz"}, raw, "list.xyz: found 3 points that are not thinned, beside the cells of a.cells, want points that are thinned alike", "--thin 25mm and --thin-keep mean"},
		{[]string{"list.xyz", "a.cells"}, raw, "list.xyz: found 3 points that are not thinned, beside the cells of a.cells", ""},
		{[]string{"a.cells"}, asked(0.05, survey.Mean), "a.cells: found squares of 25mm, mean, want squares of 50mm, mean, as asked", "--thin 25mm and --thin-keep mean"},
		{[]string{"a.cells"}, feet, "a.cells: found cells of a scan in m, want ft, the unit asked for", "leave --units out"},
		{[]string{"list.xyz"}, asked(0, survey.Mean), "list.xyz: found 3 points that are not thinned, want for --cells a scan that is thinned, or cells", "--thin 25mm"},
		{[]string{"cut.cells"}, raw, "cut.cells: end: found the end of the file after", ""},
	} {
		_, err := OpenAll(c.names, c.o)
		if err == nil || !strings.Contains(err.Error(), c.want) || c.hint != "" && !slices.Contains(survey.Hints(err), c.hint) {
			t.Errorf("%v: %v, hints %q; want %s, %s", c.names, err, survey.Hints(err), c.want, c.hint)
		}
	}
	s, err := OpenAll([]string{"a.cells"}, survey.Options{Open: in.Open, Cells: true})
	if err != nil {
		t.Fatal(err)
	}
	var again bytes.Buffer
	if err := WriteCells(&again, s); err != nil {
		t.Fatal(err)
	}
	in["again.cells"] = again.Bytes()
	if _, err := OpenAll([]string{"a.cells", "again.cells"}, raw); err == nil || !strings.Contains(err.Error(), "again.cells: found cells that are in an earlier file too, want each part once: its points would count twice") {
		t.Errorf("the same cells twice: %v", err)
	}
	for name, want := range map[string]string{"sill.csv": "sill.csv: found 1 point of finished floor beside the points, want a scan of a floor and nothing else", "rods.csv": "rods.csv: found elevations that other readings may still move"} {
		s, err := OpenAll([]string{name}, survey.Options{Cells: true, Open: in.Open, Thin: survey.Thin{Cell: 0.05}})
		if err != nil {
			t.Fatal(err)
		}
		if err := WriteCells(io.Discard, s); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v, want %s", name, err, want)
		}
	}
}

// What reading a part has warned of is not lost: notes go with the cells, each once, and
// rows left out are counted.
func TestCellsKeepTheirNotes(t *testing.T) {
	in := inputs{"a.xyz": []byte("0 0 61.98\n1 0 61.97\n1 1 61.97\n0 1 61.97\n2 1 61.97\n2 0 61.98\n3 0 61.98\n3 1 61.98\n0.5 0.5 0\n0.6 0.5 0\n")}
	o := survey.Options{Unit: unit.Metre, Order: "XYZ", Open: in.Open, Thin: survey.Thin{Cell: 0.05}, Cells: true}
	names := []string{"a.xyz"}
	for _, name := range []string{"a.cells", "b.cells"} {
		s, err := OpenAll(names, o)
		if err != nil {
			t.Fatal(err)
		}
		var b bytes.Buffer
		if err := WriteCells(&b, s); err != nil {
			t.Fatal(err)
		}
		in[name], names = b.Bytes(), []string{name}
	}
	if !bytes.Equal(in["a.cells"], in["b.cells"]) {
		t.Error("read and written again, the cells have other bytes")
	}
	s, err := OpenAll(names, o)
	if err != nil {
		t.Fatal(err)
	}
	var notes []string
	for _, n := range s.Notes {
		notes = append(notes, fmt.Sprint(n.Kind, " ", n))
	}
	all := strings.Join(notes, "\n")
	for _, want := range []string{"warning a.xyz:9: 2 heights of exactly 0 not used", "assumed b.cells: 8 points thinned to 8", "assumed b.cells: 2 rows of the scans in it were left out when they were read"} {
		if !strings.Contains(all, want) {
			t.Errorf("%q is not in\n%s", want, all)
		}
	}
}

// Squares of several files keep the file and the line of a point as measured.
func TestPlaceOfAPointInItsFile(t *testing.T) {
	in := inputs{"a.xyz": []byte("0 0 9.98\n1 0 9.97\n1 1 9.97\n"), "b.xyz": []byte("0 0 9.99\n1 0 9.96\n1 2 9.97\n")}
	s, err := OpenAll([]string{"a.xyz", "b.xyz"}, survey.Options{Unit: unit.Metre, Order: "XYZ", Open: in.Open, Thin: survey.Thin{Cell: 0.5, Keep: survey.Lowest}})
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, p := range s.Points {
		got = append(got, p.At().String())
	}
	if want := []string{"a.xyz:1", "b.xyz:2", "a.xyz:3", "b.xyz:3"}; !slices.Equal(got, want) {
		t.Errorf("%v, want %v", got, want)
	}
}
