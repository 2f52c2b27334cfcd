package plan

import (
	"cmp"
	"math"
	"slices"
)

// Overlap returns two triangles whose interiors overlap in plan. v has the corners of each,
// in k, counter-clockwise. Two convex figures do not
// overlap if a side of one of them separates them; that test is exact.
func Overlap(v []int32, k []Vec) (a, b int32, found bool) {
	n := len(v) / 3
	type box struct{ west, east, south, north float64 }
	boxes := make([]box, n)
	order := make([]int32, n)
	for i := range n {
		p, q, r := k[v[3*i]], k[v[3*i+1]], k[v[3*i+2]]
		boxes[i] = box{min(p.X, q.X, r.X), max(p.X, q.X, r.X), min(p.Y, q.Y, r.Y), max(p.Y, q.Y, r.Y)}
		order[i] = int32(i)
	}
	slices.SortFunc(order, func(i, j int32) int { return cmp.Compare(boxes[i].west, boxes[j].west) })
	parts := func(i, j int32) bool { // a side of i has all of j on its right or on it
		for e := range int32(3) {
			a, b := k[v[3*i+e]], k[v[3*i+(e+1)%3]]
			if Orient(a, b, k[v[3*j]]) <= 0 && Orient(a, b, k[v[3*j+1]]) <= 0 && Orient(a, b, k[v[3*j+2]]) <= 0 {
				return true
			}
		}
		return false
	}
	// Sweep from west to east; the active triangles are in rows by their south edge.
	south, north := math.Inf(1), math.Inf(-1)
	tallest := 0.0
	for _, b := range boxes {
		south, north = min(south, b.south), max(north, b.north)
		tallest = max(tallest, b.north-b.south)
	}
	rows := min(max(int(math.Sqrt(float64(n))), 1), 1<<14)
	height := max((north-south)/float64(rows), tallest/4, 1)
	row := func(y float64) int { return int((y - south) / height) }
	live := make([][]int32, row(north)+1)
	for _, j := range order {
		bj := boxes[j]
		for r := max(0, row(bj.south-tallest)); r <= row(bj.north); r++ {
			kept := live[r][:0]
			for _, i := range live[r] {
				bi := boxes[i]
				if bi.east <= bj.west {
					continue
				}
				kept = append(kept, i)
				if bi.south < bj.north && bj.south < bi.north && !parts(i, j) && !parts(j, i) {
					return i, j, true
				}
			}
			live[r] = kept
		}
		live[row(bj.south)] = append(live[row(bj.south)], j)
	}
	return 0, 0, false
}
