package surface

import (
	"slices"

	"pourplane/surface/internal/exact"
)

// OneMore returns what one more shot at a place would do to the integral of the surface: on the
// triangles as they are it changes it by shift, m³, as the edges round it run otherwise, and each
// metre above them adds weight, m². The triangles are those of the Delaunay triangulation with
// that shot; creases are not kept, and elevations at walls stay as they are. False off the surface.
func (l *Locator) OneMore(at Vec) (weight, shift float64, ok bool) {
	t := l.t
	z, k, ok := l.At(at)
	if !ok {
		return 0, 0, false
	}
	x, y := at.X-t.Origin.X, at.Y-t.Origin.Y
	// The triangles whose circles hold the place make way for a star round it.
	gone := []int32{int32(k)}
	for i := 0; i < len(gone); i++ {
		one := gone[i]
		shift -= t.area(int(one)) * (t.Z[t.V[3*one]] + t.Z[t.V[3*one+1]] + t.Z[t.V[3*one+2]]) / 3
		for h := 3 * one; h < 3*one+3; h++ {
			if twin := t.Twin[h]; twin >= 0 {
				next := twin / 3
				a, b, c := t.V[3*next], t.V[3*next+1], t.V[3*next+2]
				if !slices.Contains(gone, next) && exact.InCircle(t.X[a], t.Y[a], t.X[b], t.Y[b], t.X[c], t.Y[c], x, y) > 0 {
					gone = append(gone, next)
				}
			}
		}
	}
	for _, one := range gone {
		for h := 3 * one; h < 3*one+3; h++ {
			if twin := t.Twin[h]; twin >= 0 && slices.Contains(gone, twin/3) {
				continue
			}
			a, b := t.V[h], t.V[Next(h)]
			area := ((t.X[a]-x)*(t.Y[b]-y) - (t.X[b]-x)*(t.Y[a]-y)) / 2
			weight += area / 3
			shift += area * (t.Z[a] + t.Z[b] + z) / 3
		}
	}
	return weight, shift, true
}
