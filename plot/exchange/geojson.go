package exchange

import (
	"bufio"
	"bytes"
	"encoding/json"
	"io"
	"math"
	"slices"

	"pourplane/surface"
)

// gridNote is in every GeoJSON file.
const gridNote = "Coordinates are metres on the grid of the survey, east first, then north. " +
	"They are no longitudes and latitudes, which RFC 7946 asks for: place the file by hand."

// WriteGeoJSON writes p as a FeatureCollection with the structure of RFC 7946: areas as
// Polygon, outer rings counter-clockwise, openings clockwise, all closed; lines as
// LineString, closed ones ending where they begin; marks as Point. The order is by layer as
// in the plan, one feature per line of the file. Every feature has the properties layer,
// elevation_m (metres above the datum of the survey, if it has an elevation) and its own
// properties; a mark also has its text.
//
// The coordinates are metres on a local grid, not the longitudes and latitudes of WGS 84
// that RFC 7946, section 4, requires. The members note and unit beside the features state
// this.
func WriteGeoJSON(w io.Writer, p Plan) error {
	if err := p.check(); err != nil {
		return err
	}
	g := newGeoJSON(w)
	g.raw(`{"type":"FeatureCollection","title":`)
	g.value(p.Title)
	g.raw(`,"note":`)
	g.value(gridNote)
	g.raw(`,"unit":"m","features":[`)
	for _, l := range p.Layers {
		for _, a := range l.Areas {
			rings := make([][][2]float64, len(a.Rings))
			for k, ring := range a.Rings {
				rings[k] = positions(ring, true)
				if surface.RingArea(ring) > 0 != (k == 0) {
					slices.Reverse(rings[k])
				}
			}
			g.feature("Polygon", rings, l.Name, nil, a.Elevation, a.Properties)
		}
		for _, n := range l.Lines {
			g.feature("LineString", positions(n.Points, n.Closed), l.Name, nil, n.Elevation, n.Properties)
		}
		for _, m := range l.Labels {
			g.feature("Point", positions([]surface.Vec{m.At}, false)[0], l.Name, &m.Text, m.Elevation, m.Properties)
		}
	}
	g.raw("\n]}\n")
	if g.err != nil {
		return g.err
	}
	return g.Flush()
}

// positions returns points as GeoJSON positions.
func positions(points []surface.Vec, closed bool) [][2]float64 {
	out := make([][2]float64, 0, len(points)+1)
	for _, v := range points {
		out = append(out, [2]float64{v.X + 0, v.Y + 0}) // -0 + 0 is 0
	}
	if closed {
		out = append(out, out[0])
	}
	return out
}

// geojson is a file being written; its members keep their order.
type geojson struct {
	*bufio.Writer      // keeps its first error
	first         bool // no feature yet
	err           error
	one           bytes.Buffer // of a value
	values        *json.Encoder
}

func newGeoJSON(w io.Writer) *geojson {
	g := &geojson{Writer: bufio.NewWriterSize(w, streamed), first: true}
	g.values = json.NewEncoder(&g.one)
	g.values.SetEscapeHTML(false)
	return g
}

func (g *geojson) raw(s string) { g.WriteString(s) }

func (g *geojson) value(v any) {
	g.one.Reset()
	if err := g.values.Encode(v); err != nil && g.err == nil {
		g.err = err
	}
	g.Write(bytes.TrimSuffix(g.one.Bytes(), []byte("\n"))) // the line end that Encode adds
}

// feature writes one feature. A nil text is not written.
func (g *geojson) feature(kind string, coordinates any, layer string, text *string, elevation float64, properties []Property) {
	if !g.first {
		g.raw(",")
	}
	g.first = false
	g.raw("\n" + `{"type":"Feature","geometry":{"type":"` + kind + `","coordinates":`)
	g.value(coordinates)
	g.raw(`},"properties":{"layer":`)
	g.value(layer)
	if text != nil {
		g.raw(`,"text":`)
		g.value(*text)
	}
	if !math.IsNaN(elevation) {
		g.raw(`,"elevation_m":`)
		g.value(elevation + 0)
	}
	for _, p := range properties {
		g.raw(",")
		g.value(p.Name)
		g.raw(":")
		g.value(p.Value)
	}
	g.raw("}}")
}
