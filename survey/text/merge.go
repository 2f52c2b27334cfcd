package text

import (
	"math"
	"runtime"
	"slices"

	"pourplane/survey"
)

// parts is the number of parts in which points are compared: the table of one part stays
// in the cache of a processor.
const parts = 1 << 8

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

// repeats lists the points of the same x, y and z as one before them. It divides the points
// by a hash of their coordinates and compares those of a part.
func repeats(pts []survey.Point) []repeat {
	workers := runtime.GOMAXPROCS(0)
	if len(pts) < 1<<14 {
		workers = 1
	}
	// Each worker counts, then places, the points of its share, so that those of a part stay
	// in the order of the file.
	hashes := make([]uint32, len(pts))
	counts := make([][parts + 1]int, workers)
	share := func(k int) (from, to int) { return len(pts) * k / workers, len(pts) * (k + 1) / workers }
	each(workers, func(k int) {
		from, to := share(k)
		for i := from; i < to; i++ {
			p := &pts[i]
			// 0.0 and -0.0 are the same place.
			x, y, z := math.Float64bits(p.X+0), math.Float64bits(p.Y+0), math.Float64bits(p.Z+0)
			h := x*0x9e3779b97f4a7c15 ^ y*0xc2b2ae3d27d4eb4f ^ z*0x165667b19e3779f9
			h ^= h >> 29
			h *= 0xbf58476d1ce4e5b9
			hashes[i] = uint32(h >> 32)
			counts[k][hashes[i]%parts]++
		}
	})
	starts, at := [parts + 1]int{}, 0
	for p := range parts {
		starts[p] = at
		for k := range workers {
			n := counts[k][p]
			counts[k][p] = at
			at += n
		}
	}
	starts[parts] = at
	keys := make([]uint64, len(pts)) // the hash, and the index of the point
	each(workers, func(k int) {
		from, to := share(k)
		for i := from; i < to; i++ {
			to := &counts[k][hashes[i]%parts]
			keys[*to] = uint64(hashes[i])<<32 | uint64(i)
			*to++
		}
	})
	found := make([][]repeat, workers)
	each(workers, func(k int) {
		var table []uint64
		for p := k; p < parts; p += workers {
			table = firsts(pts, keys[starts[p]:starts[p+1]], table, &found[k])
		}
	})
	all := slices.Concat(found...)
	slices.SortFunc(all, func(a, b repeat) int { return a.at - b.at })
	return all
}

// firsts appends to found the points of keys that repeat one before them. table is room.
func firsts(pts []survey.Point, keys, table []uint64, found *[]repeat) []uint64 {
	size := 16
	for size < 2*len(keys) {
		size *= 2
	}
	if size > len(table) {
		table = make([]uint64, size)
	} else {
		clear(table[:size])
	}
	const none = 0 // no key: indices count from 1 in the table
next:
	for _, key := range keys {
		p := &pts[uint32(key)]
		i := int(key>>32/parts) & (size - 1)
		for ; table[i] != none; i = (i + 1) & (size - 1) {
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
	return table
}
