package text

import (
	"math"
	"runtime"
	"slices"

	"pourplane/survey"
)

// merge keeps the first of points with the same x, y and z, in place. hashed are their hashes,
// nil if they are not known yet.
func (f *dialect) merge(pts []survey.Point, hashed []hashes) []survey.Point {
	if hashed == nil {
		hashed = hashesOf(pts)
	}
	again := repeats(pts, hashed)
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

// parts is the number of parts into which points are divided by their hashes: the bits of
// one part stays in the cache of a processor.
const parts = 1 << 5

// hashes are those of a block of points.
type hashes struct {
	from   int               // index of the first point
	keys   []uint64          // hash and index in the block of each point, one part behind the other, each in the order of the file
	ends   [parts + 1]uint32 // in keys: that of part k is at k+1
	extent survey.Extent
}

// hashBlock is how many points are in a block of hashes: their memory stays in the cache of a
// processor.
const hashBlock = 1 << 15

// hashesOf returns the hashes of points in blocks.
func hashesOf(pts []survey.Point) []hashes {
	all := make([]hashes, (len(pts)+hashBlock-1)/hashBlock)
	workers := min(runtime.GOMAXPROCS(0), max(len(all), 1))
	each(workers, func(k int) {
		for i := k; i < len(all); i += workers {
			all[i] = hashesOfBlock(pts[i*hashBlock : min((i+1)*hashBlock, len(pts))])
			all[i].from = i * hashBlock
		}
	})
	return all
}

// hashesOfBlock returns the hashes of one block.
func hashesOfBlock(pts []survey.Point) hashes {
	h := hashes{keys: make([]uint64, len(pts)), extent: survey.NoExtent()}
	of := make([]uint32, len(pts))
	for i := range pts {
		of[i] = hash(&pts[i])
		h.ends[of[i]%parts+1]++
		h.extent.See(&pts[i])
	}
	for p := range parts {
		h.ends[p+1] += h.ends[p]
	}
	at := h.ends
	for i, v := range of {
		to := &at[v%parts]
		h.keys[*to] = uint64(v)<<32 | uint64(i)
		*to++
	}
	return h
}

// repeats lists the points of the same x, y and z as one before them. Those of equal hashes are
// compared, part by part.
func repeats(pts []survey.Point, hashed []hashes) []repeat {
	workers := min(runtime.GOMAXPROCS(0), max(len(hashed), 1))
	found := make([][]repeat, workers)
	each(workers, func(k int) {
		var s sieve
		for p := k; p < parts; p += workers {
			firsts(pts, s.doubted(hashed, p), &s.table, &found[k])
		}
	})
	all := slices.Concat(found...)
	slices.SortFunc(all, func(a, b repeat) int { return a.at - b.at })
	return all
}

// sieve finds the few points of a part whose hashes may be equal, with a bit for each of many
// ends of a hash: a table of all points takes twice the time.
type sieve struct {
	seen, twice []uint64
	ends        []uint32 // that were seen again
	keys        []uint64 // hash and index of each point of such an end
	table       []uint64
}

// doubted returns the keys of a part that may be equal to another, in the order of the file.
func (s *sieve) doubted(hashed []hashes, part int) []uint64 {
	n := 0
	for i := range hashed {
		n += int(hashed[i].ends[part+1] - hashed[i].ends[part])
	}
	s.seen = room(s.seen, n/8) // 16 bits or more for each point
	last := uint64(len(s.seen))*64 - 1
	s.ends, s.keys = s.ends[:0], s.keys[:0]
	for i := range hashed {
		h := &hashed[i]
		for _, key := range h.keys[h.ends[part]:h.ends[part+1]] {
			end := key >> 32 / parts & last
			w, bit := &s.seen[end/64], uint64(1)<<(end%64)
			if *w&bit != 0 {
				s.ends = append(s.ends, uint32(end))
			}
			*w |= bit
		}
	}
	if len(s.ends) == 0 {
		return nil
	}
	s.twice = room(s.twice, n/8)
	for _, end := range s.ends {
		s.twice[end/64] |= 1 << (end % 64)
	}
	for i := range hashed {
		h := &hashed[i]
		for _, key := range h.keys[h.ends[part]:h.ends[part+1]] {
			if end := key >> 32 / parts & last; s.twice[end/64]>>(end%64)&1 != 0 {
				s.keys = append(s.keys, key+uint64(h.from))
			}
		}
	}
	return s.keys
}

// hash returns a hash of the coordinates of a point.
func hash(p *survey.Point) uint32 {
	// 0.0 and -0.0 are the same place.
	x, y, z := math.Float64bits(p.X+0), math.Float64bits(p.Y+0), math.Float64bits(p.Z+0)
	h := x*0x9e3779b97f4a7c15 ^ y*0xc2b2ae3d27d4eb4f ^ z*0x165667b19e3779f9
	h ^= h >> 29
	return uint32(h * 0xbf58476d1ce4e5b9 >> 32)
}

// room returns an empty table for n keys, of a length that is a power of two: table itself, if it
// is large enough.
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

// firsts appends to found the points of keys that repeat one before them.
func firsts(pts []survey.Point, keys []uint64, table *[]uint64, found *[]repeat) {
	*table = room(*table, len(keys))
	slots := *table
	const none = 0 // no key: indices count from 1 in the table
	last := len(slots) - 1
next:
	for _, key := range keys {
		p := &pts[uint32(key)]
		i := int(key>>32/parts) & last
		for ; slots[i] != none; i = (i + 1) & last {
			if slots[i]>>32 != key>>32 {
				continue
			}
			if q := &pts[uint32(slots[i])-1]; q.X == p.X && q.Y == p.Y && q.Z == p.Z {
				*found = append(*found, repeat{int(uint32(key)), q.At().Line})
				continue next
			}
		}
		slots[i] = key + 1
	}
}
