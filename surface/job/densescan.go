package job

import (
	"math"

	"pourplane/survey"
)

// isDense reports whether points are as close as no one shoots them by hand: a thousand or more, and
// three quarters of them with three others within 120 mm, as points 100 mm apart have. Own choice. A
// place shot over and over among others that are far apart does not make a scan.
func isDense(points []survey.Point) bool {
	const (
		fewest = 1000
		near   = 0.12 // m
		others = 3
		most   = 0.75
	)
	if len(points) < fewest {
		return false
	}
	type square [2]int
	of := map[square][]int{}
	in := func(p survey.Point) square {
		return square{int(math.Floor(p.X / near)), int(math.Floor(p.Y / near))}
	}
	for i, p := range points {
		of[in(p)] = append(of[in(p)], i)
	}
	dense := 0
	for i, p := range points {
		at, n := in(p), 0
		for dx := -1; dx <= 1 && n < others; dx++ {
			for dy := -1; dy <= 1 && n < others; dy++ {
				for _, j := range of[square{at[0] + dx, at[1] + dy}] {
					if d := math.Hypot(points[j].X-p.X, points[j].Y-p.Y); j != i && d <= near {
						if n++; n == others {
							break
						}
					}
				}
			}
		}
		if n == others {
			dense++
		}
	}
	return float64(dense) >= most*float64(len(points))
}
