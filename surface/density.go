package surface

import "math"

// densities is how many shots a floor takes. Usual is what crews take (common practice, no
// source). Within gives the mean depth within 1 mm, and within 1/16 in, in 9 cases of 10 on a
// usual floor, read to 1 mm, with shots on a grid from wall to wall and without the error of the
// set-up: the means of what the grids planned by surface/job take on a square and on a room of
// 8 to 5, which a test there computes.
var densities = []struct {
	area        float64 // m²
	least, most float64 // usual
	within      [2]float64
}{
	{10, 5, 9, [2]float64{14, 9}},
	{30, 9, 16, [2]float64{18, 14}},
	{100, 20, 35, [2]float64{25, 16}},
	{1000, 60, 130, [2]float64{48, 33}},
}

// UsualShots returns the min and max number of shots that crews usually take on a floor of
// an area in m².
func UsualShots(area float64) (least, most float64) {
	i, at := densityAt(area)
	a, b := densities[i], densities[i+1]
	return at(a.least, b.least), at(a.most, b.most)
}

// EnoughShots returns how many shots on a grid give the mean depth of a usual floor of an area in
// m² within 1 mm, or within 1/16 in, in 9 cases of 10, the error of the set-up left out.
func EnoughShots(area float64, us bool) float64 {
	k := 0
	if us {
		k = 1
	}
	i, at := densityAt(area)
	return at(densities[i].within[k], densities[i+1].within[k])
}

// densityAt returns the row of densities at or before an area, and what is between a figure of
// it and one of the next.
func densityAt(area float64) (row int, between func(a, b float64) float64) {
	d := densities
	i := 0
	for i < len(d)-2 && area > d[i+1].area {
		i++
	}
	// Straight lines on log-log scales, extended beyond both ends.
	t := math.Log(area/d[i].area) / math.Log(d[i+1].area/d[i].area)
	return i, func(a, b float64) float64 { return a * math.Pow(b/a, t) }
}
