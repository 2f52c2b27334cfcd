package exact

// Crossing is how two closed segments meet.
type Crossing uint8

const (
	Apart   Crossing = iota // nothing
	Touch                   // one place, an end of at least one of them
	Cross                   // one place, inside both
	Overlap                 // more than one place
)

// SegmentsCross reports how the segments a–b and c–d meet. It is exact for all finite input;
// a segment may be a single place.
func SegmentsCross(ax, ay, bx, by, cx, cy, dx, dy float64) Crossing {
	c := Orient(ax, ay, bx, by, cx, cy)
	d := Orient(ax, ay, bx, by, dx, dy)
	if c*d > 0 {
		return Apart
	}
	a := Orient(cx, cy, dx, dy, ax, ay)
	b := Orient(cx, cy, dx, dy, bx, by)
	if a*b > 0 {
		return Apart
	}
	if c*d < 0 && a*b < 0 {
		return Cross
	}
	if a != 0 || b != 0 || c != 0 || d != 0 {
		return Touch // an end of one is on the other
	}
	// All in one row, where the order by x, then y, is the order along the row.
	if Less(bx, by, ax, ay) {
		ax, ay, bx, by = bx, by, ax, ay
	}
	if Less(dx, dy, cx, cy) {
		cx, cy, dx, dy = dx, dy, cx, cy
	}
	if Less(ax, ay, cx, cy) {
		ax, ay = cx, cy
	}
	if Less(dx, dy, bx, by) {
		bx, by = dx, dy
	}
	switch { // a to b is now the overlap
	case Less(ax, ay, bx, by):
		return Overlap
	case Less(bx, by, ax, ay):
		return Apart
	}
	return Touch
}

// Less orders places from west to east, then from south to north.
func Less(ax, ay, bx, by float64) bool { return ax < bx || ax == bx && ay < by }
