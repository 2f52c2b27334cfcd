package scan

import (
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"
	"runtime"
	"slices"
	"sync"

	"pourplane/survey"
	"pourplane/survey/internal/thin"
)

// plyRows are rows of one length, in which the coordinates are at fixed places.
type plyRows struct {
	*ply
	e     *plyElement
	order binary.ByteOrder
	size  int // of a row, bytes
	axes  []plyAxis
}

// plyAxis is where a coordinate is in a row.
type plyAxis struct {
	name     string
	axis, at int
	kind     plyType
}

// plyPart is the share of one processor in the rows of a block.
type plyPart struct {
	grid    *thin.Grid // nil if every point is kept
	shots   []thin.Shot
	refusal error // of the first row that is refused
}

// fixed returns the rows of binary vertices, if they have one length.
func (p *ply) fixed(e *plyElement) (*plyRows, bool) {
	b, ok := p.values.(*plyBinary)
	if !ok || e.name != "vertex" || slices.ContainsFunc(e.properties, func(q plyProperty) bool { return q.list }) {
		return nil, false
	}
	r := &plyRows{ply: p, e: e, order: b.order}
	for _, q := range e.properties {
		if k, ok := axis(q.name); ok {
			r.axes = append(r.axes, plyAxis{q.name, k, r.size, q.kind})
		}
		r.size += q.kind.size()
	}
	return r, true
}

// read reads the rows block by block. The rows of a block are decoded on every processor.
// The result does not depend on their number.
func (r *plyRows) read() error {
	parts := make([]plyPart, runtime.GOMAXPROCS(0))
	for k := range parts {
		if parts[k].shots = make([]thin.Shot, 0, shotsAtOnce); r.grid != nil && k > 0 {
			parts[k].grid = thin.New(r.o.Thin, r.s.Name)
		}
	}
	parts[0].grid = r.grid
	var block []byte
	for i := int64(0); i < r.e.rows; {
		if len(block) < mostBlock {
			block = make([]byte, max(4*len(block)/r.size, firstBlock/r.size, 1)*r.size)
		}
		n := min(int64(len(block)/r.size), r.e.rows-i)
		have, err := io.ReadFull(r.r, block[:n*int64(r.size)])
		n = int64(have / r.size)
		if e := r.decode(parts, block[:n*int64(r.size)], i+1); e != nil {
			return e
		}
		if i += n; err != nil {
			if errors.Is(err, io.ErrUnexpectedEOF) {
				err = io.EOF
			}
			return (&plyBinary{p: r.ply, e: r.e, n: i + 1}).cut(err)
		}
	}
	if r.grid != nil {
		for k := range parts[1:] {
			r.grid.Merge(parts[k+1].grid)
		}
	}
	return nil
}

// decode takes the rows of block, of which the first is row number first, from 1.
func (r *plyRows) decode(parts []plyPart, block []byte, first int64) error {
	n, from := len(block)/r.size, len(r.pts)
	if r.grid == nil {
		r.pts = slices.Grow(r.pts, n)[:from+n]
	}
	room, tagged := r.pts[from:], r.tagged.OnLine(0)
	var wait sync.WaitGroup
	for k := range parts {
		p, a, b := &parts[k], n*k/len(parts), n*(k+1)/len(parts)
		wait.Add(1)
		go func() {
			defer wait.Done()
			for i := a; i < b && p.refusal == nil; i++ {
				var v [3]float64
				if v, p.refusal = r.row(block[i*r.size:(i+1)*r.size], first+int64(i)); p.refusal != nil {
					break
				}
				if p.grid == nil {
					room[i] = tagged
					room[i].X, room[i].Y, room[i].Z = v[0], v[1], v[2]
					continue
				}
				if p.shots = append(p.shots, thin.Shot{X: v[0], Y: v[1], Z: v[2]}); len(p.shots) == cap(p.shots) {
					p.grid.AddAll(p.shots)
					p.shots = p.shots[:0]
				}
			}
			if p.grid != nil {
				p.grid.AddAll(p.shots)
				p.shots = p.shots[:0]
			}
		}()
	}
	wait.Wait()
	for k := range parts {
		if parts[k].refusal != nil {
			return parts[k].refusal
		}
	}
	return nil
}

// row returns the place of row number n, m.
func (r *plyRows) row(b []byte, n int64) (v [3]float64, err error) {
	for _, a := range r.axes {
		c := a.kind.value(b[a.at:], r.order)
		if v[a.axis] = r.s.Unit.ToMetres(c); math.IsNaN(v[a.axis]) || math.IsInf(v[a.axis], 0) {
			return v, &survey.Error{Pos: r.file, Element: r.e.row(n), Found: fmt.Sprintf("%s %g", a.name, c), Want: "a finite number"}
		}
	}
	if r.grid != nil && !(thin.Shot{X: v[0], Y: v[1], Z: v[2]}).Near() {
		return v, thin.TooFar(r.file, r.e.row(n), v[0], v[1], v[2])
	}
	return v, nil
}

// value reads a value at the start of c.
func (t plyType) value(c []byte, order binary.ByteOrder) float64 {
	switch t {
	case plyInt8:
		return float64(int8(c[0]))
	case plyUint8:
		return float64(c[0])
	case plyInt16:
		return float64(int16(order.Uint16(c)))
	case plyUint16:
		return float64(order.Uint16(c))
	case plyInt32:
		return float64(int32(order.Uint32(c)))
	case plyUint32:
		return float64(order.Uint32(c))
	case plyFloat32:
		return float64(math.Float32frombits(order.Uint32(c)))
	default:
		return math.Float64frombits(order.Uint64(c))
	}
}
