package thin

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"io"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"pourplane/survey"
	"pourplane/survey/unit"
)

var cellsHead = Head{Plan: unit.Metre, Unit: unit.SurveyFoot, Rows: 12, Lost: 2, Notes: []survey.Note{
	{Kind: survey.Warning, Topic: survey.AboutOrder, Text: unit.Textf("%s", "a.las: 3 points are not used")}, {Text: unit.Textf("%s", "taken as m")}}}

func written(t interface{ Fatal(...any) }, g *Grid, h Head) []byte {
	var b bytes.Buffer
	if err := g.Write(&b, h); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// Cells that were written in parts, read and joined in any order are those of all points at
// once, byte for byte and point for point.
func TestCellsInParts(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		thin := survey.Thin{Cell: rapid.SampledFrom([]float64{0.001, 0.025, 0.3048, 1000}).Draw(t, "cell"), Keep: survey.Kept(rapid.IntRange(0, 2).Draw(t, "keep"))}
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		from := rapid.SampledFrom([]float64{0, -5, 6783020.123, -500_000, 999_900_000, -999_900_000}).Draw(t, "from")
		wide := rapid.SampledFrom([]float64{1e-9, 1, 4}).Draw(t, "cells wide") * thin.Cell
		pts := make([]Shot, rapid.SampledFrom([]int{1, 2, 50, 900}).Draw(t, "points"))
		for i := range pts {
			pts[i] = Shot{from + wide*r.Float64(), from - wide*r.Float64(), from/2 + math.Round(500*r.NormFloat64())/1e5, i}
		}
		one := New(thin, "f")
		files := make([][]byte, rapid.IntRange(1, 6).Draw(t, "parts"))
		for k := range files {
			g := New(thin, "part")
			for i, p := range pts {
				if i*len(files)/len(pts) == k {
					g.Add(p.X, p.Y, p.Z, p.Line)
					one.Add(p.X, p.Y, p.Z, p.Line)
				}
			}
			files[k] = nil
			if g.Seen > 0 {
				files[k] = written(t, g, cellsHead)
			}
		}
		files = slices.DeleteFunc(files, func(b []byte) bool { return b == nil })
		for len(files) > 1 { // joined two by two, and written again
			r.Shuffle(len(files), func(i, j int) { files[i], files[j] = files[j], files[i] })
			a, _, err := ReadCells(bytes.NewReader(files[0]), "a")
			if err != nil {
				t.Fatal(err)
			}
			b, _, err := ReadCells(bytes.NewReader(files[1]), "b")
			if err != nil {
				t.Fatal(err)
			}
			a.Merge(b)
			files = append(files[2:], written(t, a, cellsHead))
		}
		got, head, err := ReadCells(bytes.NewReader(files[0]), "f")
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(written(t, got, head), files[0]) {
			t.Fatal("read and written again, other bytes")
		}
		got.parts, got.inPart = nil, 0 // as if it had never been in parts
		if !bytes.Equal(written(t, got, head), written(t, one, cellsHead)) {
			t.Fatal("other bytes than of all points at once")
		}
		a, b := got.Points(), one.Points()
		for i := range b {
			b[i] = b[i].OnLine(0)
		}
		if !slices.Equal(a, b) || got.Seen != len(pts) {
			t.Fatalf("%v\nwant %v", a, b)
		}
	})
}

// A file that ends anywhere, or has any other byte, is refused; so is one that goes on.
func TestDamagedCells(t *testing.T) {
	for _, keep := range []survey.Kept{survey.Mean, survey.Lowest, survey.Median} {
		g := New(survey.Thin{Cell: 0.05, Keep: keep}, "f")
		r := rand.New(rand.NewPCG(1, 1))
		for range 300 {
			g.Add(0.01*r.Float64(), 0.2*r.Float64(), r.Float64(), 0)
			g.Add(0.049, 0.001, r.Float64(), 0)
		}
		b := written(t, g, cellsHead)
		refused := func(what string, b []byte, want string) {
			t.Helper()
			var e *survey.Error
			_, _, err := ReadCells(bytes.NewReader(b), "f.cells")
			if err == nil || !errors.As(err, &e) || e.File != "f.cells" || !strings.Contains(err.Error(), want) {
				t.Fatalf("%s, %s: %v, want %q", keep, what, err, want)
			}
		}
		for n := range b {
			refused("cut", b[:n], "the end of the file after")
			c := slices.Clone(b)
			c[n] ^= byte(1 + r.IntN(255))
			refused("changed", c, "f.cells: ")
		}
		refused("longer", append(slices.Clone(b), 'x'), "more bytes after the")
		last := slices.Clone(b)
		last[len(last)-1]++
		refused("checksum", last, "end: found other bytes than were written: the checksum is wrong, want a file of cells as it was written")
		later := slices.Clone(b)
		later[len(Magic)] = 2
		refused("version", later, "found cells of version 2, want version 1")
	}
}

// The refusal of a reader is passed on.
func TestCellsOfAReaderThatFails(t *testing.T) {
	_, _, err := ReadCells(io.MultiReader(strings.NewReader(Magic), failing{}), "f")
	if err == nil || !strings.Contains(err.Error(), "the disk is gone") {
		t.Error(err)
	}
}

type failing struct{}

func (failing) Read([]byte) (int, error) { return 0, errors.New("the disk is gone") }

// What is read from a damaged file whose checksum is right is what is written again.
func FuzzCells(f *testing.F) {
	for _, keep := range []survey.Kept{survey.Mean, survey.Lowest, survey.Median} {
		g := New(survey.Thin{Cell: 0.05, Keep: keep}, "f")
		for i := range 600 {
			g.Add(float64(i%3)/30, float64(i%7)/700, float64(i%290)/1000, 0)
			g.Add(999_999_999, -999_999_999, 999_999_999, 0)
		}
		b := written(f, g, cellsHead)
		f.Add(b[:len(b)-sha256.Size])
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		sum := sha256.Sum256(b)
		b = append(slices.Clip(b), sum[:]...)
		g, h, err := ReadCells(bytes.NewReader(b), "f")
		if err != nil {
			return
		}
		if again := written(t, g, h); !bytes.Equal(again, b) {
			t.Errorf("%x\nis written as %x", b, again)
		}
		for _, p := range g.Points() {
			if max(math.Abs(p.X), math.Abs(p.Y), math.Abs(p.Z)) > Farthest {
				t.Errorf("%v", p)
			}
		}
	})
}

func BenchmarkCells(b *testing.B) {
	const n = 1_000_000
	if testing.Short() {
		b.Skip("1M squares")
	}
	g := New(survey.Thin{Cell: 0.025}, "f")
	for i := range n {
		g.Add(float64(i%1000)*0.025, float64(i/1000)*0.025, float64(i%37)/1000, 0)
	}
	file := written(b, g, cellsHead)
	b.Run("write", func(b *testing.B) {
		b.SetBytes(int64(len(file)))
		for b.Loop() {
			g.Write(io.Discard, cellsHead)
		}
	})
	b.Run("read", func(b *testing.B) {
		b.SetBytes(int64(len(file)))
		for b.Loop() {
			if _, _, err := ReadCells(bytes.NewReader(file), "f"); err != nil {
				b.Fatal(err)
			}
		}
	})
}
