package survey

// Thin describes how points are thinned to one for each square of a grid while a file is
// read. The zero value keeps every point.
//
// The sides of the squares are whole multiples of Cell from 0,0. The result depends
// neither on the order of the points nor on the first of them. Only shots on the floor
// are thinned: outlines, finished floor, benchmarks and surfaces with faces are
// unchanged. Thinned points have no name and no code.
type Thin struct {
	Cell float64 // side of a square, m, to the nearest nanometre; 0: every point is kept
	Keep Kept
}

// Cells are the squares of thinned scans that Points were made from. Those of several files
// are joined before points are made of them.
type Cells interface{ Points() []Point }

// Kept is the point that represents a square.
type Kept uint8

const (
	Mean   Kept = iota // mean of x, of y and of z: noise is averaged out
	Lowest             // the lowest point as measured; among equals the most western, then the most southern
	Median             // the point of median elevation, the lower of two: a few strays do not change it. Of more than 256 points, one up to 0.1 mm lower, or as the note says
)

func (k Kept) String() string { return [...]string{"mean", "lowest", "median"}[k] }
