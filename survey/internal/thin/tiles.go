package thin

import (
	"cmp"
	"iter"
	"math/bits"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"
)

// square is a place in the grid, counted from 0,0 to the north and to the east.
type square struct{ row, col int64 }

// tileBits gives the side of a tile, 2^tileBits squares: large enough that few tiles have to
// be found, small enough that a lone point costs little memory.
const (
	tileBits = 4
	tileSide = 1 << tileBits
	tileSize = 1 << (2 * tileBits)
)

// full is what is held of every square of a tile.
type full[T any] = [tileSize]T

// mostFew is the number of squares from which on a tile has room for all.
const mostFew = tileSize / 8

// tile is a square block of squares. What it holds of them is in the order in which they
// were found, and once it is more than mostFew, in the order of their places.
type tile[T any] struct {
	at    square // its own row and column among the tiles
	full  *full[T]
	few   []T
	taken [tileSide]uint16 // for each row, a bit for each square that has a point
	n     int              // squares that have a point
	where [tileSize]uint8  // index in few of each square taken
}

// tiles hold a T for each square that has a point. Neighbours are in one tile; tiles are
// found in a hash table.
type tiles[T any] struct {
	all   []*tile[T]
	table []entry[T] // the length is a power of two
	last  *tile[T]   // the tile found last: neighbours in a scan are often in one
	sheet sheet[T]
	room  []full[T] // for the next tiles
	gave  int       // tiles that there was room for at the last time
}

// mostRoom is the max number of tiles for which room is made at once: 8 MB of means.
const mostRoom = 1 << 10

// full returns room for every square of a tile.
func (x *tiles[T]) full() *full[T] {
	if len(x.room) == 0 {
		x.gave = min(max(2*x.gave, 1), mostRoom)
		x.room = make([]full[T], x.gave)
		inLargePages(x.room)
	}
	of := &x.room[0]
	x.room = x.room[1:]
	return of
}

// sheet is the tiles of a rectangle row by row, where they fill a good part of it, so that
// they need not be searched. It is laid out again whenever the table grows.
type sheet[T any] struct {
	from       square
	tall, wide int64
	of         []entry[T] // without their places
}

// at returns the entry of a tile, nil outside the rectangle.
func (s *sheet[T]) at(tile square) *entry[T] {
	row, col := tile.row-s.from.row, tile.col-s.from.col
	if uint64(row) < uint64(s.tall) && uint64(col) < uint64(s.wide) {
		return &s.of[row*s.wide+col]
	}
	return nil
}

// lay lays out the tiles.
func (x *tiles[T]) lay() {
	lo, hi := x.all[0].at, x.all[0].at
	for _, t := range x.all {
		lo = square{min(lo.row, t.at.row), min(lo.col, t.at.col)}
		hi = square{max(hi.row, t.at.row), max(hi.col, t.at.col)}
	}
	tall, wide := hi.row-lo.row+1, hi.col-lo.col+1
	if float64(tall)*float64(wide) > float64(3*len(x.all)) {
		x.sheet = sheet[T]{}
		return
	}
	x.sheet = sheet[T]{from: lo, tall: tall, wide: wide, of: make([]entry[T], tall*wide)}
	for _, t := range x.all {
		*x.sheet.at(t.at) = entry[T]{tile: t, full: t.full}
	}
}

// entry is where a tile is; nil if free. A point of a full tile costs one look into memory
// beside it.
type entry[T any] struct {
	at square
	*tile[T]
	full *full[T]
}

func newTiles[T any]() tiles[T] { return tiles[T]{table: make([]entry[T], 64)} }

// split returns the tile of a square, and its place in it.
func split(at square) (of square, in uint) {
	const rest = tileSide - 1
	return square{at.row >> tileBits, at.col >> tileBits}, uint(at.row&rest)<<tileBits | uint(at.col&rest)
}

// squares returns the number of squares that have a point.
func (x *tiles[T]) squares() (n int) {
	for _, t := range x.all {
		n += t.n
	}
	return n
}

// place returns what is held of a square, and whether it is new. It is valid until the next
// call.
func (x *tiles[T]) place(at square) (of *T, fresh bool) {
	tile, in := split(at)
	if x.last == nil || x.last.at != tile {
		x.last = x.find(tile).tile
	}
	if t := x.last; !t.has(in) {
		return x.first(t, in), true
	}
	return x.last.in(in), false
}

// has reports whether square in of a tile has a point.
func (t *tile[T]) has(in uint) bool { return t.taken[in>>tileBits]&(1<<(in%tileSide)) != 0 }

// in returns what is held of square in, which has a point.
func (t *tile[T]) in(in uint) *T {
	if t.full != nil {
		return &t.full[in]
	}
	return &t.few[t.where[in]]
}

// held returns what is held of square in, nil if it has no point.
func (t *tile[T]) held(in uint) *T {
	if !t.has(in) {
		return nil
	}
	return t.in(in)
}

// square returns the place of square in.
func (t *tile[T]) square(in uint) square {
	return square{t.at.row<<tileBits | int64(in>>tileBits), t.at.col<<tileBits | int64(in%tileSide)}
}

// first makes room for a square that has had no point.
func (x *tiles[T]) first(t *tile[T], in uint) *T {
	k := t.n
	t.n++
	if t.full == nil && k == mostFew {
		t.full = x.full()
		for at := range uint(tileSize) {
			if t.has(at) {
				t.full[at] = t.few[t.where[at]]
			}
		}
		t.few = nil
		x.find(t.at).full = t.full
	}
	t.taken[in>>tileBits] |= 1 << (in % tileSide)
	if t.full != nil {
		return &t.full[in]
	}
	if k == len(t.few) {
		more := make([]T, min(max(4, 4*k), mostFew)) // 4, 16, 32
		copy(more, t.few)
		t.few = more
	}
	t.where[in] = uint8(k)
	return &t.few[k]
}

// find returns the entry of a tile, and makes the tile if it is new. It is valid until the
// next call.
func (x *tiles[T]) find(at square) *entry[T] {
	if e := x.sheet.at(at); e != nil && e.tile != nil {
		return e
	}
	if e := &x.table[x.slot(at)]; e.tile != nil {
		return e
	}
	x.insert(&tile[T]{at: at})
	return &x.table[x.slot(at)]
}

// insert takes a tile that is new.
func (x *tiles[T]) insert(t *tile[T]) {
	x.all = append(x.all, t)
	x.table[x.slot(t.at)] = entry[T]{t.at, t, t.full}
	if 2*len(x.all) > len(x.table) {
		x.table = make([]entry[T], 2*len(x.table))
		for _, t := range x.all {
			x.table[x.slot(t.at)] = entry[T]{t.at, t, t.full}
		}
		x.lay()
	} else if e := x.sheet.at(t.at); e != nil {
		*e = entry[T]{tile: t, full: t.full}
	}
}

// merge takes the squares of o, which is not used again: a tile that is new as it is, of
// others each square that is new, or by join.
func (x *tiles[T]) merge(o *tiles[T], join func(at square, of, more *T)) {
	for _, t := range o.all {
		if x.table[x.slot(t.at)].tile == nil {
			x.insert(t)
			continue
		}
		for row := range uint(tileSide) {
			t.row(row, func(at square, more *T) bool {
				if of, fresh := x.place(at); fresh {
					*of = *more
				} else {
					join(at, of, more)
				}
				return true
			})
		}
	}
}

// slot returns the place of a tile in the table, free if it is new.
func (x *tiles[T]) slot(at square) int {
	h := uint64(at.row)*0x9e3779b97f4a7c15 ^ uint64(at.col)*0xc2b2ae3d27d4eb4f
	h ^= h >> 32
	h *= 0xbf58476d1ce4e5b9
	i := int(h>>32) & (len(x.table) - 1)
	for x.table[i].tile != nil && x.table[i].at != at {
		i = (i + 1) & (len(x.table) - 1)
	}
	return i
}

// each gives the squares in no order.
func (x *tiles[T]) each() iter.Seq2[square, *T] {
	return func(yield func(square, *T) bool) {
		for _, t := range x.all {
			for row := range uint(tileSide) {
				if !t.row(row, yield) {
					return
				}
			}
		}
	}
}

// row gives the squares of a row of a tile from west to east, until yield returns false.
func (t *tile[T]) row(row uint, yield func(square, *T) bool) bool {
	for rest := t.taken[row]; rest != 0; rest &= rest - 1 {
		col := uint(bits.TrailingZeros16(rest))
		if in := row<<tileBits | col; !yield(t.square(in), t.in(in)) {
			return false
		}
	}
	return true
}

// bands returns the tiles in rows from the south, each row from west to east.
func (x *tiles[T]) bands() (all [][]*tile[T]) {
	order := slices.SortedFunc(slices.Values(x.all), func(a, b *tile[T]) int {
		return cmp.Or(cmp.Compare(a.at.row, b.at.row), cmp.Compare(a.at.col, b.at.col))
	})
	for len(order) > 0 {
		n := 1
		for n < len(order) && order[n].at.row == order[0].at.row {
			n++
		}
		all, order = append(all, order[:n]), order[n:]
	}
	return all
}

// inOrder gives the squares row by row from the south, each row from west to east.
func (x *tiles[T]) inOrder() iter.Seq2[square, *T] {
	return func(yield func(square, *T) bool) {
		for _, band := range x.bands() {
			if !ordered(band, yield) {
				return
			}
		}
	}
}

// ordered gives the squares of a row of tiles in order, until yield returns false.
func ordered[T any](band []*tile[T], yield func(square, *T) bool) bool {
	for row := range uint(tileSide) {
		for _, t := range band {
			if !t.row(row, yield) {
				return false
			}
		}
	}
	return true
}

// made returns what is made of each square, in order. It is made on every processor.
func made[T, P any](x *tiles[T], one func(at square, of *T) P) []P {
	bands := x.bands()
	out := make([]P, x.squares())
	room := make([][]P, len(bands)) // of each band
	rest := out
	for k, band := range bands {
		n := 0
		for _, t := range band {
			n += t.n
		}
		room[k], rest = rest[:n], rest[n:]
	}
	var next atomic.Int64
	var wait sync.WaitGroup
	for range runtime.GOMAXPROCS(0) {
		wait.Go(func() {
			for k := int(next.Add(1)) - 1; k < len(bands); k = int(next.Add(1)) - 1 {
				i := 0
				ordered(bands[k], func(at square, of *T) bool {
					room[k][i] = one(at, of)
					i++
					return true
				})
			}
		})
	}
	wait.Wait()
	return out
}
