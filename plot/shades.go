package plot

import "fmt"

// Shade is a class of depth on a depth map, m, and the colour of its ground as #rrggbb.
type Shade struct {
	From, To float64
	Color    string
}

// Shades lists the classes of depth that occur on m, from the shallowest, with the depths
// that they have there.
func (m *DepthMap) Shades() []Shade {
	b := newSheet(m, true).bands
	least, greatest := m.Floor.Depths(m.Target)
	var out []Shade
	for _, i := range b.listed {
		from, to := least, greatest
		if i > 0 && len(out) > 0 {
			from = b.limits[i-1]
		}
		if i < len(b.limits) && i != b.listed[len(b.listed)-1] {
			to = b.limits[i]
		}
		c := b.colors[i]
		out = append(out, Shade{from, to, fmt.Sprintf("#%02x%02x%02x", c.R, c.G, c.B)})
	}
	return out
}
