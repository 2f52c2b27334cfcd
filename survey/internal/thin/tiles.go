package thin

import (
	"cmp"
	"iter"
	"math/bits"
	"slices"
)

// square is a place in the grid, counted from 0,0 to the north and to the east.
type square struct{ row, col int64 }

// tileBits gives the side of a tile, 2^tileBits squares: large enough that few tiles have to
// be found, small enough that a lone point costs little memory.
const (
	tileBits = 3
	tileSize = 1 << (2 * tileBits)
)

// tile is a square block of squares. What it holds of them is in one array, so that a point
// of a dense scan costs one look into memory: in the order in which the squares were found,
// and once half of them were, in the order of their places.
type tile[T any] struct {
	at    square // its own row and column among the tiles
	of    []T
	taken uint64          // a bit for each square that has a point
	where [tileSize]uint8 // index in of of each square taken, unless of has all
}

// tiles hold a T for each square that has a point. Neighbours are in one tile; tiles are
// found in a hash table.
type tiles[T any] struct {
	all   []*tile[T]
	table []entry[T] // the length is a power of two
	last  *tile[T]   // the tile found last: neighbours in a scan are often in one
	n     int        // squares that have a point
}

// entry is where a tile is; nil if free.
type entry[T any] struct {
	at square
	*tile[T]
}

func newTiles[T any]() tiles[T] { return tiles[T]{table: make([]entry[T], 64)} }

// split returns the tile of a square, and its place in it.
func split(at square) (of square, in uint) {
	const rest = 1<<tileBits - 1
	return square{at.row >> tileBits, at.col >> tileBits}, uint(at.row&rest)<<tileBits | uint(at.col&rest)
}

// place returns what is held of a square, and whether it is new. It is valid until the next
// call.
func (x *tiles[T]) place(at square) (of *T, fresh bool) {
	tile, in := split(at)
	if x.last == nil || x.last.at != tile {
		x.last = x.tile(tile)
	}
	return x.in(x.last, in)
}

// in returns what is held of square in of tile t.
func (x *tiles[T]) in(t *tile[T], in uint) (of *T, fresh bool) {
	if t.taken&(1<<in) != 0 {
		if len(t.of) == tileSize {
			return &t.of[in], false
		}
		return &t.of[t.where[in]], false
	}
	return x.first(t, in), true
}

// first makes room for a square that has had no point.
func (x *tiles[T]) first(t *tile[T], in uint) *T {
	k := bits.OnesCount64(t.taken)
	t.taken |= 1 << in
	x.n++
	switch {
	case len(t.of) == tileSize:
		return &t.of[in]
	case k == tileSize/2:
		all := make([]T, tileSize)
		for rest := t.taken &^ (1 << in); rest != 0; rest &= rest - 1 {
			i := bits.TrailingZeros64(rest)
			all[i] = t.of[t.where[i]]
		}
		t.of = all
		return &t.of[in]
	case k == len(t.of):
		more := make([]T, max(2, 4*k)) // 2, 8, 32
		copy(more, t.of)
		t.of = more
	}
	t.where[in] = uint8(k)
	return &t.of[k]
}

// tile returns a tile, and makes it if it is new.
func (x *tiles[T]) tile(at square) *tile[T] {
	i := x.slot(at)
	if t := x.table[i].tile; t != nil {
		return t
	}
	t := &tile[T]{at: at}
	x.all = append(x.all, t)
	x.table[i] = entry[T]{at, t}
	if 2*len(x.all) > len(x.table) {
		x.table = make([]entry[T], 2*len(x.table))
		for _, t := range x.all {
			x.table[x.slot(t.at)] = entry[T]{t.at, t}
		}
	}
	return t
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
			for rest := t.taken; rest != 0; rest &= rest - 1 {
				in := uint(bits.TrailingZeros64(rest))
				of, _ := x.in(t, in)
				if !yield(t.square(in), of) {
					return
				}
			}
		}
	}
}

// square returns the place of square in of a tile.
func (t *tile[T]) square(in uint) square {
	return square{t.at.row<<tileBits | int64(in>>tileBits), t.at.col<<tileBits | int64(in&(1<<tileBits-1))}
}

// inOrder gives the squares row by row from the south, each row from west to east.
func (x *tiles[T]) inOrder() iter.Seq2[square, *T] {
	order := slices.SortedFunc(slices.Values(x.all), func(a, b *tile[T]) int {
		return cmp.Or(cmp.Compare(a.at.row, b.at.row), cmp.Compare(a.at.col, b.at.col))
	})
	return func(yield func(square, *T) bool) {
		for rest := order; len(rest) > 0; {
			n := 1 // tiles side by side
			for n < len(rest) && rest[n].at.row == rest[0].at.row {
				n++
			}
			for row := range uint(1) << tileBits {
				for _, t := range rest[:n] {
					for few := t.taken >> (row << tileBits) & (1<<(1<<tileBits) - 1); few != 0; few &= few - 1 {
						in := row<<tileBits | uint(bits.TrailingZeros64(few))
						of, _ := x.in(t, in)
						if !yield(t.square(in), of) {
							return
						}
					}
				}
			}
			rest = rest[n:]
		}
	}
}
