package survey

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
)

// Limits of an input; own choice. What is beyond them is no list of a floor.
const (
	mostColumns = 1000
	mostLine    = 1_000_000 // bytes in a line, and so in a cell
)

// Limits of a place; own choice. No floor is beyond them.
const (
	farthestShot = 100_000_000 // m from 0; grid coordinates with the number of their zone are below it
	widestFloor  = 100_000     // m from the middle shot to any other, along x and along y
)

// checkLines refuses a line that no list has.
func checkLines(name string, body []byte) error {
	for n := 1; len(body) > 0; n++ {
		end := bytes.IndexByte(body, '\n')
		if end < 0 {
			end = len(body)
		}
		if end > mostLine {
			return &Error{Pos: Pos{File: name, Line: n}, Found: "a line of " + Bytes(int64(end)), Want: "a list of points, one a line, with lines up to " + Bytes(mostLine)}
		}
		body = body[min(end+1, len(body)):]
	}
	return nil
}

// checkColumns refuses a file of more columns than a list or a sheet has.
func (f *form) checkColumns(name string) error {
	n, at := f.fields, f.first
	if len(f.head) > mostColumns {
		n, at = len(f.head), f.headLine
	}
	if n <= mostColumns {
		return nil
	}
	return &Error{Pos: Pos{File: name, Line: at}, Found: fmt.Sprintf("%d columns", n), Want: fmt.Sprintf("up to %d", mostColumns), Hint: "save the columns of the shots alone"}
}

// isFar reports whether a length is beyond what a coordinate or a height may be.
func isFar(v float64) bool { return math.Abs(v) > farthestShot }

// inPieces reads r to its end without knowing how long it is: no more than one piece
// is room that stays empty.
func inPieces(r io.Reader) ([]byte, error) {
	const first, most = 1 << 16, 1 << 24 // bytes
	var pieces [][]byte
	for size := first; ; size = min(2*size, most) {
		piece := make([]byte, size)
		n, err := io.ReadFull(r, piece)
		pieces = append(pieces, piece[:n])
		switch err {
		case nil:
		case io.EOF, io.ErrUnexpectedEOF:
			return bytes.Join(pieces, nil), nil
		default:
			return nil, err
		}
	}
}

// checkNear refuses shots of a survey that are beyond the limits of a place.
func (s *Survey) checkNear() error {
	for _, pts := range [][]Point{s.Points, s.Finished, s.Control} {
		for _, p := range pts {
			if isFar(p.X) || isFar(p.Y) || isFar(p.Z) {
				return &Error{Pos: p.At, Found: fmt.Sprintf("%g, %g, %g m", p.X, p.Y, p.Z), Want: wantNear}
			}
		}
	}
	for _, u := range s.Surfaces {
		for _, p := range u.Vertices {
			if isFar(p.X) || isFar(p.Y) || isFar(p.Z) {
				return &Error{Pos: p.At, Found: fmt.Sprintf("%g, %g, %g m", p.X, p.Y, p.Z), Want: wantNear}
			}
		}
	}
	return nil
}

var errFar = errors.New(wantNear)

// wantNear is what is wanted instead of a coordinate that is too far out.
const wantNear = "a length within 100,000 km of 0"

// checkWide refuses a shot that no floor has with the others.
func (s *Survey) checkWide() error {
	xs, ys := make([]float64, len(s.Points)), make([]float64, len(s.Points))
	for i, p := range s.Points {
		xs[i], ys[i] = p.X, p.Y
	}
	if len(xs) == 0 || max(slices.Max(xs)-slices.Min(xs), slices.Max(ys)-slices.Min(ys)) <= widestFloor {
		return nil
	}
	slices.Sort(xs)
	slices.Sort(ys)
	x, y := xs[len(xs)/2], ys[len(ys)/2]
	for _, p := range s.Points {
		if d := max(math.Abs(p.X-x), math.Abs(p.Y-y)); d > widestFloor {
			return &Error{Pos: p.At, Found: fmt.Sprintf("%sa shot %.0f km from the others", label(p), d/1000), Want: "shots of one floor, within 100 km of one another", Hint: "correct x and y of the shot, or put # before its row"}
		}
	}
	return nil
}
