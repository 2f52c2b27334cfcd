package surface

import "math"

// densities is how many shots a floor takes. Usual is what crews take (common practice, no
// source). Enough gives the mean depth within about 1 mm, walls included: computed on
// invented floors with a tilt, one broad dish and waves of 4 to 5 mm, read to 1 mm.
var densities = []struct {
	area        float64 // m²
	least, most float64 // usual
	enough      float64
}{
	{10, 5, 9, 15},
	{30, 9, 16, 20},
	{100, 20, 35, 35},
	{1000, 60, 130, 77},
}

// UsualShots returns the min and max number of shots that crews usually take on a floor of
// an area in m², and how many are enough for a mean depth good to about 1 mm.
func UsualShots(area float64) (least, most, enough float64) {
	d := densities
	i := 0
	for i < len(d)-2 && area > d[i+1].area {
		i++
	}
	// Straight lines on log-log scales, extended beyond both ends.
	t := math.Log(area/d[i].area) / math.Log(d[i+1].area/d[i].area)
	at := func(a, b float64) float64 { return a * math.Pow(b/a, t) }
	return at(d[i].least, d[i+1].least), at(d[i].most, d[i+1].most), at(d[i].enough, d[i+1].enough)
}
