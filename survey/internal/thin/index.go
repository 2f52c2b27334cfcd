package thin

import (
	"cmp"
	"iter"
	"slices"
)

// square is a place in the grid, counted from 0,0 to the north and to the east.
type square struct{ row, col int64 }

// tileBits gives the side of a tile, 2^tileBits squares: large enough that few tiles have to
// be found, small enough that a lone point costs little memory.
const tileBits = 3

// tile is a square block of squares. Each is 0, or 1 plus its index.
type tile struct {
	at      square // its own row and column among the tiles
	squares [1 << (2 * tileBits)]int32
}

// index numbers squares in the order in which they are found. Neighbours are in one tile;
// tiles are found in a hash table.
type index struct {
	squares []square // by number
	tiles   []tile
	table   []entry // the length is a power of two
	last    int     // the tile found last: neighbours in a scan are often in one
}

// entry is where a tile is: 0, or 1 plus its index.
type entry struct {
	at square
	k  int32
}

func newIndex() index { return index{table: make([]entry, 64), last: -1} }

// place returns the number of a square, the next number for a new one.
func (x *index) place(at square) int {
	of := square{at.row >> tileBits, at.col >> tileBits}
	if x.last < 0 || x.tiles[x.last].at != of {
		x.last = x.tile(of)
	}
	const rest = 1<<tileBits - 1
	n := &x.tiles[x.last].squares[(at.row&rest)<<tileBits|at.col&rest]
	if *n == 0 {
		x.squares = append(x.squares, at)
		*n = int32(len(x.squares))
	}
	return int(*n) - 1
}

// tile returns the index of a tile, and makes it if it is new.
func (x *index) tile(at square) int {
	i := x.slot(at)
	if k := x.table[i].k; k != 0 {
		return int(k) - 1
	}
	x.tiles = append(x.tiles, tile{at: at})
	x.table[i] = entry{at, int32(len(x.tiles))}
	if 2*len(x.tiles) > len(x.table) {
		x.table = make([]entry, 2*len(x.table))
		for k := range x.tiles {
			at := x.tiles[k].at
			x.table[x.slot(at)] = entry{at, int32(k) + 1}
		}
	}
	return len(x.tiles) - 1
}

// slot returns the place of a tile in the table, free if it is new.
func (x *index) slot(at square) int {
	h := uint64(at.row)*0x9e3779b97f4a7c15 ^ uint64(at.col)*0xc2b2ae3d27d4eb4f
	h ^= h >> 32
	h *= 0xbf58476d1ce4e5b9
	i := int(h>>32) & (len(x.table) - 1)
	for x.table[i].k != 0 && x.table[i].at != at {
		i = (i + 1) & (len(x.table) - 1)
	}
	return i
}

// inOrder gives the numbers of the squares row by row from the south, each row from west to
// east.
func (x *index) inOrder() iter.Seq[int] {
	order := make([]int32, len(x.tiles))
	for i := range order {
		order[i] = int32(i)
	}
	slices.SortFunc(order, func(a, b int32) int {
		p, q := x.tiles[a].at, x.tiles[b].at
		return cmp.Or(cmp.Compare(p.row, q.row), cmp.Compare(p.col, q.col))
	})
	return func(yield func(int) bool) {
		for rest := order; len(rest) > 0; {
			n := 1 // tiles side by side
			for n < len(rest) && x.tiles[rest[n]].at.row == x.tiles[rest[0]].at.row {
				n++
			}
			for row := range 1 << tileBits {
				for _, k := range rest[:n] {
					for _, i := range x.tiles[k].squares[row<<tileBits : (row+1)<<tileBits] {
						if i != 0 && !yield(int(i)-1) {
							return
						}
					}
				}
			}
			rest = rest[n:]
		}
	}
}
