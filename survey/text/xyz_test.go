package text

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"

	"pourplane/survey"
	"pourplane/survey/internal/check"
	"pourplane/survey/internal/input"
	"pourplane/survey/internal/thin"
	"pourplane/survey/unit"
)

// thinned reads text whole and as a stream. Both must give the same result.
func thinned(t *testing.T, text []byte, o survey.Options) (*survey.Survey, error) {
	t.Helper()
	whole, wholeErr := readText(bytes.Clone(text), "f.xyz", o, false)
	s, err := Read(bytes.NewReader(text), "f.xyz", o)
	if (err == nil) != (wholeErr == nil) {
		t.Fatalf("streamed: %v\nin one piece: %v", err, wholeErr)
	}
	if err != nil {
		return nil, err
	}
	same := func(what string, a, b any) {
		if fmt.Sprint(a) != fmt.Sprint(b) {
			t.Errorf("%s: streamed %v\nin one piece %v", what, a, b)
		}
	}
	same("points", s.Points, whole.Points)
	same("rows", s.Rows, whole.Rows)
	same("units", []unit.Length{s.Unit, s.Plan}, []unit.Length{whole.Unit, whole.Plan})
	places := func(s *survey.Survey) (out []survey.Pos) {
		for _, n := range s.LeftOut() {
			out = append(out, n.Pos)
		}
		return out
	}
	same("left out", places(s), places(whole))
	return s, nil
}

// streamable reports whether text is read row by row.
func streamable(text []byte, o survey.Options) bool {
	f, err := understand(bytes.Clone(text), "f", o, false, nil)
	return err == nil && f.streams(text)
}

func TestStreamedTextIsReadAsInOnePiece(t *testing.T) {
	xyz := survey.Options{Unit: unit.Metre, Order: "XYZ"}
	m := survey.Options{Unit: unit.Metre}
	var zeros strings.Builder
	for i := range 40 {
		fmt.Fprintf(&zeros, "%d %d %g\n", i, i%3, []float64{0, 9.98, 9.97, -9999, 9.99, 9.98, 9.97, 9.99}[i%8])
	}
	for _, c := range []struct {
		name, text string
		o          survey.Options
		rows, left int
		streams    bool
	}{
		{"plain", "0.1 0.2 9.98\n0.3 0.2 9.97\n1.1 0.2 9.96\n", xyz, 3, 0, true},
		{"blanks and tabs", "  0.1\t0.2   9.98\n0.3 0.2 9.97  \n 1.1 0.2 9.96", xyz, 3, 0, true},
		{"colours", "0.1,0.2,9.98,255,0,0\n0.3,0.2,9.97,0,x y,0\n1.1, 0.2 ,9.96,1,2\n", xyz, 3, 0, true},
		{"carriage returns", "0.1;0.2;9.98\r\n0.3;0.2;9.97\r\n1.1;0.2;9.96\r\n", xyz, 3, 0, true},
		{"a header and names", "\xef\xbb\xbfid,x,y,z,intensity\nA-1,0.1,0.2,9.98,3\nR 2,0.3,0.2,9.97,3\n#3,1.1,0.2,9.96,3\n", m, 3, 0, true},
		{"units in the header", "x_ft,y_ft,z_mm\n1,2,3000\n4,5,3010\n7,8,3012.5\n", survey.Options{}, 3, 0, true},
		{"a header in a comment", "// x y z i\n0.1 0.2 9.98 3\n0.3 0.2 9.97 3\n\n# note\n1.1 0.2 9.96 3\n", m, 3, 0, true},
		{"a count", "3\n0.1 0.2 9.98 3\n0.3 0.2 9.97 3\n1.1 0.2 9.96 3\n", xyz, 3, 0, true},
		{"exponents and long numbers", "1e-1 2E0 +9.98\n.3 0.200000000000000000001 9.97\n1.1 0.2 -.96\n", xyz, 3, 0, true},
		{"cells with units", "x,y,z\n0.1 m,0.2 m,9980 mm\n0.3 m,20 cm,9.97 m\n1.1,0.2,9.96\n", m, 3, 0, true},
		{"missing cells", "x,y,z\n0.1,0.2,9.98\n0.3,0.2,-\n,,\n0.5,,9.9\n1.1,0.2,9.96\n", m, 4, 2, true},
		{"no data and zeros", zeros.String(), xyz, 40, 10, true},
		{"zeros that were measured", "0 0 0\n1 0 0.01\n2 0 -0.01\n3 0 0\n4 0 0.02\n", xyz, 5, 0, true},
		{"inches", "x in,y in,z in\n1,2,3\n4,5 3/8,6\n7,8,9.5\n", survey.Options{}, 3, 0, true},
		{"feet", "0.1 0.2 5.1\n0.3 0.2 5.11\n1.1 0.2 5.10\n", survey.Options{Unit: unit.Foot, Order: "XYZ"}, 3, 0, true},
		{"the mark of old systems", "0.1 0.2 9.98\n0.3 0.2 9.97\n1.1 0.2 9.96\n\x1a\x1a\x00", xyz, 3, 0, true},
		{"one place twice", "0.1 0.2 9.98\n0.1 0.2 9.98\n0.3 0.2 9.96\n", xyz, 3, 0, true},
		{"a header once more", "x,y,z\n0.1,0.2,9.98\nx,y,z\n0.3,0.2,9.96\n1.1,0.2,9.96\n", m, 3, 0, true},
		{"decimal commas", "x;y;z\n0,1;0,2;9,98\n0,3;0,2;9,97\n1,1;0,2;9,96\n", m, 3, 0, true},
		{"codes", "x,y,z,code\n0,0,9.98,OUT\n1,0,9.97,OUT\n1,1,9.96,OUT\n0.5,0.5,9.9,\n", m, 4, 0, false},
		{"rod readings", "x,y,rod\n0,0,1.5\n1,0,1.6\n1,1,1.55\n", survey.Options{Unit: unit.Metre, Instrument: 11, HasInstrument: true}, 3, 0, false},
		{"carriage returns alone", "0.1 0.2 9.98\r0.3 0.2 9.97\r1.1 0.2 9.96\r", xyz, 3, 0, false},
		{"names in quotes", "id,x,y,z\n\"a\nb\",0.1,0.2,9.98\n2,0.3,0.2,9.97\n", m, 2, 0, false},
	} {
		for _, keep := range []survey.Kept{survey.Mean, survey.Lowest, survey.Median} {
			t.Run(c.name+"/"+keep.String(), func(t *testing.T) {
				o := c.o
				o.Thin = survey.Thin{Cell: 1, Keep: keep}
				if got := streamable([]byte(c.text), o); got != c.streams {
					t.Errorf("streams: %v, want %v", got, c.streams)
				}
				s, err := thinned(t, []byte(c.text), o)
				if err != nil {
					t.Fatal(err)
				}
				if n := len(s.LeftOut()); s.Rows != c.rows || n != c.left {
					t.Errorf("%d rows, %d left out, want %d and %d", s.Rows, n, c.rows, c.left)
				}
				if len(s.Readings) > 0 {
					t.Errorf("%d readings beside thinned points", len(s.Readings))
				}
			})
		}
	}
}

// For lists without duplicate points, thinning while reading gives the same points as
// thinning after reading.
func TestStreamedTextIsThinnedAfterReading(t *testing.T) {
	var b bytes.Buffer
	r := rand.New(rand.NewPCG(1, 2))
	for i := range 60_000 { // more than is read to learn the form
		fmt.Fprintf(&b, "%.4f %.4f %.4f %d\n", 400000+float64(i%300)*0.0371+r.Float64()*0.01, 5_000_000+float64(i/300)*0.0371, 9+r.Float64(), i%255)
	}
	o := survey.Options{Unit: unit.Metre, Order: "XYZ"}
	all, err := Read(bytes.NewReader(b.Bytes()), "f.xyz", o)
	if err != nil {
		t.Fatal(err)
	}
	if len(all.Points) != all.Rows {
		t.Fatalf("%d points of %d rows: some are alike", len(all.Points), all.Rows)
	}
	for _, keep := range []survey.Kept{survey.Mean, survey.Lowest, survey.Median} {
		o.Thin = survey.Thin{Cell: 0.25, Keep: keep}
		var done, total int64
		o.Progress = func(d, n int64) { done, total = d, n }
		s, err := Read(bytes.NewReader(b.Bytes()), "f.xyz", o)
		if err != nil {
			t.Fatal(err)
		}
		want, err := thin.Points((&survey.Survey{Name: "f.xyz"}), o, all.Points)
		if err != nil {
			t.Fatal(err)
		}
		if !slices.EqualFunc(s.Points, want, survey.Point.Equal) {
			t.Errorf("%v: %d points, not the %d of thinning afterwards", keep, len(s.Points), len(want))
		}
		if n := int64(b.Len()); done != n || total != n {
			t.Errorf("progress %d of %d, want %d", done, total, n)
		}
		check.Notes(t, s.Notes, []string{fmt.Sprintf("assumed: 60000 points thinned to %d: %s each square of 250 mm", len(want),
			[]string{"the mean of", "the lowest point of", "the point of median elevation of"}[keep])})
	}
}

func TestStreamedTextRefuses(t *testing.T) {
	good := strings.Repeat("0.1 0.2 9.98\n", 3)
	table := "x,y,z\n" + strings.Repeat("0.1,0.2,9.98\n", 3)
	for _, c := range []struct{ name, text, want string }{
		{"a bad cell", good + "0.1  bad 9.98\n", `f.xyz:4:6: column 2: found "bad", want a length such as 1.482, 20 mm or 5' 3-3/8"`},
		{"a bad cell after commas", table + "0.1, 0.2,  1.x\n", `f.xyz:5:12: column 3 "z": found "1.x", want a length such as 1.482, 20 mm or 5' 3-3/8"`},
		{"a short row", good + "0.1 0.2\n", "f.xyz:4: column 3: found a row that ends before it, want 3 fields"},
		{"a long row", table + "0.1,0.2,9.98,x\n", `f.xyz:5: found "x" past the last column, want 3 fields`},
		{"a zero byte", good + strings.Repeat("0.1 0.2 9.98\n", 30) + "0.1 0.2 9.98 \x00\n", "f.xyz:34: found byte 00, want delimited text; this is not a text file"},
		{"infinity", good + "0.1 0.2 Inf\n", `f.xyz:4:9: column 3: found "Inf", want a length such as 1.482, 20 mm or 5' 3-3/8"`},
		{"too far", good + "0.1 2000000000 9.98\n", "f.xyz:4: found 0.1, 2e+09, 9.98 m, want coordinates within a million kilometres of 0"},
		{"empty", "", "f.xyz: found an empty file, want a list of points, one a line"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s, err := thinned(t, []byte(c.text), survey.Options{Unit: unit.Metre, Order: "XYZ", Thin: survey.Thin{Cell: 1}})
			if err == nil {
				t.Fatalf("%d points, want an error", len(s.Points))
			}
			if err.Error() != c.want {
				t.Errorf("%v\nwant %s", err, c.want)
			}
		})
	}
	rows := headSize/13 + 1 // past the part read to learn the form
	for _, c := range []struct{ name, text, want string }{
		{"an open quote", "x,y,z\n" + strings.Repeat("0.1,0.2,9.98\n", rows) + "0.1,\"0.2,9.98\n", fmt.Sprintf("f.xyz:%d: found a quotation mark that is not closed, want a row that ends on its line", rows+2)},
		{"a zero byte far on", strings.Repeat("0.1 0.2 9.98\n", rows) + "0.1 0.2 9.98 \x00\n", fmt.Sprintf("f.xyz:%d: found byte 00, want delimited text; this is not a text file", rows+1)},
		{"a line without end", good + strings.Repeat("1", input.BufferSize+1), "f.xyz:4: found a line of more than 65536 bytes, want a list of points, one a line"},
		{"text after the end", good + "\x1a\n0.1 0.2 9.98\n", "f.xyz:5: found a line after the mark that ends the file (byte 1A), want nothing after it"},
	} {
		_, err := Read(strings.NewReader(c.text), "f.xyz", survey.Options{Unit: unit.Metre, Order: "XYZ", Thin: survey.Thin{Cell: 1}})
		if err == nil || err.Error() != c.want {
			t.Errorf("%s: %v\nwant %s", c.name, err, c.want)
		}
	}
}

func TestStreamedErrorsStopAtTwenty(t *testing.T) {
	text := strings.Repeat("0.1 0.2 9.98\n", 100) + strings.Repeat("0.1 bad 9.98\n", 50)
	_, err := Read(strings.NewReader(text), "f.xyz", survey.Options{Unit: unit.Metre, Order: "XYZ", Thin: survey.Thin{Cell: 1}})
	if n := strings.Count(fmt.Sprint(err), `found "bad"`); n != mostErrors {
		t.Errorf("%d errors, want %d", n, mostErrors)
	}
}

// Every text sample is thinned to the same points, streamed or not.
func TestSamplesThinAlike(t *testing.T) {
	files, err := os.ReadDir(samples)
	if err != nil {
		t.Fatal(err)
	}
	read, streamed := 0, 0
	for _, e := range files {
		b, err := os.ReadFile(filepath.Join(samples, e.Name()))
		if err != nil {
			t.Fatal(err)
		}
		for _, order := range []string{"", "PNEZD", "XYZ"} {
			o := survey.Options{Unit: unit.Metre, Order: order, Thin: survey.Thin{Cell: 0.5}}
			if _, err := thinned(t, b, o); err == nil {
				read++
				if streamable(b, o) {
					streamed++
				}
			}
		}
	}
	if read < 100 || streamed < 20 {
		t.Errorf("%d read, %d of them streamed: too few to tell", read, streamed)
	}
}

// A stream gives the same points, notes and errors when it is read in blocks, on one
// processor and on several, as line by line.
func TestBlocksOfAStream(t *testing.T) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(0))
	defer func(size int) { blockSize = size }(blockSize)
	r := rand.New(rand.NewPCG(7, 8))
	for round := range 24 {
		var b strings.Builder
		odd := []string{"# a comment", "", "0.1 0.2 0", "0.3 0.2 -9999", "-----", "1e-1 0.2 9.97", "0.1 m 0.2 m 9.98 m", "1234567.8901234 0.25 9.99"}
		if round%4 == 0 {
			odd = append(odd, "1 2", "x y z", "1 2 \"3\"", "1 2 3 4 5 6")
		}
		for range 4000 {
			if r.IntN(50) == 0 {
				b.WriteString(odd[r.IntN(len(odd))])
			} else {
				fmt.Fprintf(&b, "%.3f %.3f %.3f", 5*r.Float64(), 5*r.Float64()-2, 9.9+r.Float64()/10)
			}
			b.WriteString([]string{"\n", "\r\n"}[round%2])
		}
		text := b.String()
		if round%3 == 0 {
			text = strings.ReplaceAll(text, " ", ",")
		}
		o := survey.Options{Unit: []unit.Length{unit.Metre, unit.Foot, unit.Millimetre}[round%3], Order: "XYZ", Thin: survey.Thin{Cell: 0.05, Keep: survey.Kept(r.IntN(3))}}
		read := func() string {
			s, err := Read(strings.NewReader(text), "f", o)
			return all(s) + fmt.Sprint(err)
		}
		blockSize = 0
		want := read()
		for _, blockSize = range []int{1, 100_000} {
			for _, k := range []int{1, 4} {
				runtime.GOMAXPROCS(k)
				if got := read(); got != want {
					t.Fatalf("%d processors, blocks of %d bytes:\n%.600s\nline by line:\n%.600s", k, blockSize, got, want)
				}
			}
		}
	}
}
