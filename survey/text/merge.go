package text

import (
	"math"
	"runtime"
	"slices"

	"pourplane/survey"
)

// merge keeps the first of points with the same x, y and z, in place.
func (f *dialect) merge(pts []survey.Point) []survey.Point {
	again := repeats(pts)
	if len(again) == 0 {
		return pts
	}
	out := pts[:again[0].at]
	for i, r := range again {
		f.leaveShot(pts[r.at], "the same place and elevation as line %d: merged", r.line)
		end := len(pts)
		if i+1 < len(again) {
			end = int(again[i+1].at)
		}
		out = append(out, pts[r.at+1:end]...)
	}
	return out
}

// repeat is a point of the same place and elevation as one before it.
type repeat struct {
	at   int
	line int // of the first of them
}

// parts is the number of parts into which points are divided by their hashes: the table of
// one part stays in the cache of a processor.
const parts = 1 << 8

// repeats lists the points of the same x, y and z as one before them. It divides the points
// by a hash of their coordinates and compares those of a part.
func repeats(pts []survey.Point) []repeat {
	workers := runtime.GOMAXPROCS(0)
	if len(pts) < 1<<14 {
		workers = 1
	}
	keys := make([][parts][]uint64, workers) // of the share of each worker: the hash of a point, and its index
	each(workers, func(k int) {
		to := &keys[k]
		for p := range to {
			to[p] = make([]uint64, 0, len(pts)/parts/workers*9/8+16)
		}
		for i := len(pts) * k / workers; i < len(pts)*(k+1)/workers; i++ {
			h := hash(&pts[i])
			to[h%parts] = append(to[h%parts], uint64(h)<<32|uint64(i))
		}
	})
	found := make([][]repeat, workers)
	each(workers, func(k int) {
		var table []uint64
		for p := k; p < parts; p += workers {
			n := 0
			for w := range keys {
				n += len(keys[w][p])
			}
			table = room(table, n)
			for w := range keys { // in the order of the file
				firsts(pts, keys[w][p], table, &found[k])
			}
		}
	})
	all := slices.Concat(found...)
	slices.SortFunc(all, func(a, b repeat) int { return a.at - b.at })
	return all
}

// hash returns a hash of the coordinates of a point.
func hash(p *survey.Point) uint32 {
	// 0.0 and -0.0 are the same place.
	x, y, z := math.Float64bits(p.X+0), math.Float64bits(p.Y+0), math.Float64bits(p.Z+0)
	h := x*0x9e3779b97f4a7c15 ^ y*0xc2b2ae3d27d4eb4f ^ z*0x165667b19e3779f9
	h ^= h >> 29
	return uint32(h * 0xbf58476d1ce4e5b9 >> 32)
}

// room returns an empty table for n keys: table itself, if it is large enough.
func room(table []uint64, n int) []uint64 {
	size := 16
	for size < 2*n {
		size *= 2
	}
	if size > cap(table) {
		return make([]uint64, size)
	}
	table = table[:size]
	clear(table)
	return table
}

// firsts appends to found the points of keys that repeat one of the table or before them, and
// adds the others to the table.
func firsts(pts []survey.Point, keys, table []uint64, found *[]repeat) {
	const none = 0 // no key: indices count from 1 in the table
	last := len(table) - 1
next:
	for _, key := range keys {
		p := &pts[uint32(key)]
		i := int(key>>32/parts) & last
		for ; table[i] != none; i = (i + 1) & last {
			if table[i]>>32 != key>>32 {
				continue
			}
			if q := &pts[uint32(table[i])-1]; q.X == p.X && q.Y == p.Y && q.Z == p.Z {
				*found = append(*found, repeat{int(uint32(key)), q.At().Line})
				continue next
			}
		}
		table[i] = key + 1
	}
}
