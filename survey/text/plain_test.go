package text

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// ways reads text through the row decoder, and then as rows are read otherwise: cut into
// cells, and scanned. It returns what differs.
func ways(text []byte, o survey.Options) error {
	defer func(most, size int) { mostReadings, chunkSize, decodeAll = most, size, false }(mostReadings, chunkSize)
	read := func(decoded bool) string {
		decodeAll = decoded
		s, err := readText(bytes.Clone(text), "f", o, false)
		return all(s) + fmt.Sprint(err)
	}
	chunkSize = 40 // bytes
	for _, mostReadings = range []int{mostReadings, 0, 3} {
		if want, got := read(true), read(false); got != want {
			return fmt.Errorf("readings up to %d:\n%s\ndecoded:\n%s", mostReadings, got, want)
		}
	}
	return nil
}

// all writes all of a survey.
func all(s *survey.Survey) string {
	if s == nil {
		return "nothing "
	}
	c := *s
	text := fmt.Sprintln(c.Notes)
	if c.Book != nil {
		text += fmt.Sprintf("%+v\n", *c.Book)
	}
	c.Book, c.Notes = nil, nil
	return text + fmt.Sprintf("%+v", c)
}

// Each file of the samples and of the demo gives the same survey, or the same error,
// however its rows are read.
func TestRowsAreReadTheSameInEveryWay(t *testing.T) {
	for _, dir := range []string{samples, "../../testdata/demo"} {
		files, err := filepath.Glob(filepath.Join(dir, "*.*"))
		if err != nil || len(files) == 0 {
			t.Fatal(err, files)
		}
		for _, name := range files {
			b, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			for _, u := range []unit.Length{unit.Metre, unit.Foot} {
				for _, order := range []string{"", "XYZ", "PNEZD"} {
					if err := ways(b, survey.Options{Unit: u, Order: order}); err != nil {
						t.Errorf("%s in %s, order %q: %v", name, u, order, err)
					}
				}
			}
		}
	}
	for _, text := range []string{
		"x,y,z\n0,0,5.9\n1,0,5.10\n2,0,5.9\n3,0,5.11\n4,0,5.8\n5,0,5.7\n", // feet.inches
		"x,y,z\n0,0,5.9\n1,0,5.10\n,,\n3,0,5.11\n4,0,x\n5,0,5.7\n6,0,5.11\n",
		"x,y,z\n0.5,0,.5\n1.5,0.5,.\n2.5,.,1.5\n",
		"id,x,y,z\n--- row 3 ---,1,2,3\n=== ,1,2,3\n-1,1,2,3\n4,5,6,7\n",
	} {
		if err := ways([]byte(text), survey.Options{Unit: unit.Foot}); err != nil {
			t.Errorf("%s: %v", text, err)
		}
	}
}

// Lists of any rows are read the same, on one processor and on several.
func TestAnyRowsAreReadTheSame(t *testing.T) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(0))
	number := rapid.Custom(func(t *rapid.T) string {
		switch rapid.IntRange(0, 400).Draw(t, "kind") {
		case 0:
			return rapid.SampledFrom([]string{"", " ", "-", "x", "1,5", "1.5 m", "5'-3", "1e3", "0x10", "nan", "1.2.3", ".", "+", "1_0", "\u22121.5", "3e12", "999999999", "1 234.5", "=A1", "2026-11-29", "é", "(1.5)", "-9999", "99999"}).Draw(t, "odd")
		case 1, 2, 3:
			return "0"
		case 4, 5, 6:
			return rapid.StringMatching(`[ ]?[-+]?(\d{1,9}\.?\d{0,12}|\.\d{1,5})[ ]?`).Draw(t, "long")
		}
		return rapid.StringMatching(`-?\d{1,2}\.\d{1,4}`).Draw(t, "decimal")
	})
	line := rapid.Custom(func(t *rapid.T) []string {
		n := 5
		switch rapid.IntRange(0, 40).Draw(t, "row") {
		case 0:
			return []string{rapid.SampledFrom([]string{"", " ", "# a comment", "-----", "id,x,y,z,code", "after lunch", "moved laser", "total,,,5,", "//", ",,,,", "--- row 3 ---,1,2,3,"}).Draw(t, "line")}
		case 1:
			n = rapid.IntRange(1, 9).Draw(t, "fields")
		}
		out := []string{rapid.SampledFrom([]string{"", "1", "007", " A1 ", "BM", "Mean", "\"q\"", "point", "void near wall", "sill", "ä"}).Draw(t, "name")}
		for len(out) < min(n, 4) {
			out = append(out, number.Draw(t, "number"))
		}
		for len(out) < n {
			out = append(out, rapid.SampledFrom([]string{"", "SL", "SL", " sl", "OUT a", "VOID", "BM", "drain 2", "FFL", "BL x", "BS", "a remark", "sill", "bm at door", "1.5", "say \"no\"", "own"}).Draw(t, "code"))
		}
		return out
	})
	rapid.Check(t, func(t *rapid.T) {
		head := rapid.SampledFrom([][]string{{"id", "x", "y", "z", "code"}, {"id", "x", "y", "z", "remarks"}, {"id", "x", "y", "z", "description"}, {"remarks", "x", "y", "z", "code"}, {"id", "x (ft)", "y (ft)", "z (ft)", "red"}, {"id", "x", "y", "z"}, nil}).Draw(t, "head")
		sep := rapid.SampledFrom([]string{",", ";", "\t", " ", "|"}).Draw(t, "separator")
		var b strings.Builder
		for _, l := range append([][]string{head}, rapid.SliceOfN(line, 1, 30).Draw(t, "lines")...) {
			if l != nil {
				b.WriteString(strings.Join(l, sep) + rapid.SampledFrom([]string{"\n", "\n", "\n", "\r\n"}).Draw(t, "end"))
			}
		}
		o := survey.Options{Unit: rapid.SampledFrom([]unit.Length{unit.Metre, unit.Millimetre, unit.SurveyFoot}).Draw(t, "unit"), Zeros: survey.ZerosMeasured, Codes: map[string]survey.Role{"OWN": survey.Control}}
		if head == nil {
			o.Order = "PENZD"
		} else if strings.Contains(head[1], "ft") {
			o.Unit = unit.None
		}
		if rapid.Bool().Draw(t, "thin") {
			o.Thin = survey.Thin{Cell: 0.001, Keep: survey.Lowest}
		}
		runtime.GOMAXPROCS(rapid.SampledFrom([]int{1, 4}).Draw(t, "processors"))
		if err := ways([]byte(b.String()), o); err != nil {
			t.Fatalf("%s\n%v", b.String(), err)
		}
	})
}

// randomDecimal returns up to 18 digits, most with a point among them, some with a sign.
func randomDecimal(r *rand.Rand) string {
	text := strconv.FormatInt(r.Int64N(int64(math.Pow10(1+r.IntN(18)))), 10)
	if k := r.IntN(len(text) + 2); k < len(text) {
		text = text[:k] + "." + text[k:]
	}
	if r.IntN(3) == 0 {
		text = "-" + text
	}
	return text
}

// A row of three decimals is read as strconv reads each, or not at all. Those of up to six
// digits and a point are.
func TestRowsOfDecimals(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	up := &lineUp{sep: ';', fields: []holds{fieldY, fieldZ, fieldX}, tagged: survey.Point{}.With(survey.Tag{At: survey.Pos{File: "f", Line: 1}})}
	var p survey.Point
	var odd []int32
	behind := strings.Repeat("1234567", 4)
	for range 1_000_000 / 3 {
		var texts [3]string
		easy := true
		for k := range texts {
			texts[k] = randomDecimal(r)
			if digits, _ := strings.CutPrefix(texts[k], "-"); r.IntN(2) == 0 && len(digits) > 7 {
				texts[k] = texts[k][:len(texts[k])-len(digits)+7]
			}
			digits, _ := strings.CutPrefix(texts[k], "-")
			easy = easy && len(digits) <= 7 && len(digits) > 1 && strings.Contains(digits, ".")
		}
		row := strings.Join(texts[:], ";") + "\n"
		odd = nil
		next := up.put([]byte("x"+row+behind), 1, 12, &p, 5, &odd)
		v := [3]float64{p.X, p.Y, p.Z}
		if next == 0 && easy || next != 0 && next != 1+len(row) {
			t.Fatalf("%q: next row at %d", row, next)
		}
		if next > 0 && (p.At() != survey.Pos{File: "f", Line: 12} || len(odd) > 0 != (p.Z == 0 || isMarker(p.Z, unit.Metre))) {
			t.Fatalf("%q: at %v, odd %v", row, p.At(), odd)
		}
		for k, text := range texts {
			if want, err := strconv.ParseFloat(text, 64); next > 0 && (err != nil || math.Float64bits(v[up.fields[k]]) != math.Float64bits(want)) {
				t.Fatalf("%q: %v, want %v, %v", text, v[up.fields[k]], want, err)
			}
		}
	}
	for _, row := range []string{"1.5;2.5;3.5;", "1.5;2.5;3.5 ", " 1.5;2.5;3.5", "1.5;2.5\n3.5\n4", "1.5;2.5;", "1.5;+2.5;3.5\n", "1..5;2.5;3.5\n", "1.5;--2.5;3.5\n", "-;2.5;3.5\n", ".;2.5;3.5\n", "1,5;2.5;3.5\n", "1.5;2.5;3.5e1\n", ""} {
		if next := up.put([]byte(row+behind), 0, 1, &p, 0, &odd); next != 0 {
			t.Errorf("%q: read as %v", row, p)
		}
	}
}

// Lines that are all rows of three short decimals are points in their order, whatever is behind
// them. Any other lines are not taken.
func TestThrees(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	up := &lineUp{sep: ',', fields: []holds{fieldX, fieldY, fieldZ}, three: true, units: [3]unit.Length{unit.Metre, unit.Metre, unit.Metre},
		tagged: survey.Point{}.With(survey.Tag{At: survey.Pos{File: "f", Line: 1}})}
	for range 3000 {
		rows, text := 1+r.IntN(9), ""
		var want []string
		var odd []int32
		for i := range rows {
			z := float64(r.IntN(3))
			want = append(want, fmt.Sprint(float64(i)+0.5, -2.5, z, i+4))
			text += fmt.Sprintf("%d.5,-2.5,%.*f\n", i, 1+r.IntN(4), z)
			if z == 0 {
				odd = append(odd, int32(i))
			}
		}
		plain := true
		switch at := r.IntN(len(text)); r.IntN(4) {
		case 0:
			text, plain = text[:at]+string("\n# x\r\""[r.IntN(6)])+text[at:], false
		case 1:
			text, plain = text[:len(text)-1], false
		}
		lines := strings.Count(text, "\n")
		if !strings.HasSuffix(text, "\n") {
			lines++
		}
		behind := []string{strings.Repeat("\n", longestThree), strings.Repeat("1", longestThree), "\n" + strings.Repeat("1.5,2.5,3.5\n", 3)}[r.IntN(3)][:longestThree]
		s, ok := up.threes([]byte(text+behind), len(text), 4, make([]survey.Point, lines))
		if ok && !plain {
			t.Fatalf("%q is taken", text)
		}
		if !plain {
			continue
		}
		var got []string
		for _, p := range s.pts {
			got = append(got, fmt.Sprint(p.X, p.Y, p.Z, p.At().Line))
		}
		if !ok || !slices.Equal(got, want) || !slices.Equal(s.odd, odd) {
			t.Fatalf("%q: %t %v odd %v, want %v odd %v", text, ok, got, s.odd, want, odd)
		}
	}
}

// A decimal is the float64 that strconv gives, in every unit the one of the row decoder.
func TestScannedDecimals(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 1_000_000 {
		text := randomDecimal(r)
		for _, u := range []unit.Length{unit.Metre, unit.Foot} {
			up := &lineUp{sep: ',', units: [3]unit.Length{u, u, u}}
			line := []byte(text + ",12.345\n")
			got, stop, ok := up.decimal(line, 0, len(line), fieldX)
			want, err := unit.Parse(text, u)
			if ok != (err == nil && !survey.IsFar(want)) || ok && (stop != len(text) || math.Float64bits(got) != math.Float64bits(want)) {
				t.Fatalf("%q in %s: %v to %d, %t, want %v to %d, %v", text, u, got, stop, ok, want, len(text), err)
			}
			if bits, _ := strconv.ParseFloat(text, 64); ok && u == unit.Metre && math.Float64bits(got) != math.Float64bits(bits) {
				t.Fatalf("%q: %v, want %v", text, got, bits)
			}
		}
	}
}
