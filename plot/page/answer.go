package page

import (
	"bytes"
	"encoding/binary"
	"math"
	"slices"

	"pourplane/plot/report"
	"pourplane/surface"
	"pourplane/surface/blunder"
	"pourplane/surface/job"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// Answer is the answer to a job: in words, in numbers, and the floor to draw.
type Answer struct {
	Title   string           `json:"title"`
	Facts   []report.Fact    `json:"facts"`
	Remarks []report.Remarks `json:"remarks,omitempty"`
	Tables  []report.Grid    `json:"tables"`
	Takeoff []report.Part    `json:"takeoff,omitempty"`
	Units   Units            `json:"units"`
	Target  Target           `json:"target"`

	Fill     float64 `json:"fill_m3"`
	Cut      float64 `json:"cut_m3"`
	FillArea float64 `json:"fill_area_m2"`
	Area     float64 `json:"area_m2"`
	Order    float64 `json:"order_m3"`
	Mass     float64 `json:"mass_kg"`
	Least    float64 `json:"least_depth_m"`
	Greatest float64 `json:"greatest_depth_m"`
	Mean     float64 `json:"mean_depth_m"`

	Sure       *report.Grid   `json:"sure,omitempty"`    // what the ± of the fill is made of
	Falls      *report.Grid   `json:"falls,omitempty"`   // what each drain of the target serves
	Heights    *report.Grid   `json:"heights,omitempty"` // what other heights of the target take, with the solved job
	Trade      *Trade         `json:"trade,omitempty"`   // grinding against filling, of a plane of least cost
	Shades     []report.Shade `json:"shades"`            // colours of depths
	Thresholds []Threshold    `json:"thresholds"`
	Floor      *Floor         `json:"floor,omitempty"`
	After      *After         `json:"after,omitempty"` // the floor as poured, where it was surveyed
}

// Trade is what is ground and filled as grinding gets dearer, with the plane of each price.
type Trade struct {
	*report.Trade
	Planes []Target `json:"planes"`
}

func tradeOf(sum *report.Summary) *Trade {
	t := sum.Trade()
	if t == nil {
		return nil
	}
	out := &Trade{Trade: t}
	for _, p := range t.Points {
		out.Planes = append(out.Planes, targetOf(p.Plane, nil, sum.Style))
	}
	return out
}

// Units are the units that figures are shown in.
type Units struct {
	Show        string  `json:"show"`        // metric or feet
	Denominator int     `json:"denominator"` // of inches; 0: millimetres
	Size        float64 `json:"size"`        // m, unit of places and elevations
	Unit        string  `json:"unit"`        // its name
	Step        float64 `json:"step"`        // m, smallest step of a depth shown
}

// Target is the plane of the target: its elevation at a place and its slopes, rise over run. One
// that bends is given where it is highest; its elevation at each vertex is in the parcel.
type Target struct {
	X      float64 `json:"x"`
	Y      float64 `json:"y"`
	Z      float64 `json:"z"`
	SlopeX float64 `json:"slope_x"`
	SlopeY float64 `json:"slope_y"`
	Text   string  `json:"text"` // its elevation

	Bends  bool     `json:"bends,omitempty"`
	Fixed  bool     `json:"fixed,omitempty"`  // parts or ramps of their own: no one height moves all of it
	Up     float64  `json:"up,omitempty"`     // m, of the target above the elevations in the parcel
	Drains []Drain  `json:"drains,omitempty"` // that it falls to
	Lines  []Crease `json:"lines,omitempty"`  // along which it bends, worth a line on a plan
}

// Drain is a drain or a channel that the target falls to.
type Drain struct {
	Name string       `json:"name"`
	Ends [][2]float64 `json:"ends"` // two of a channel
	Text string       `json:"text"` // elevation of the fill there
}

// Crease is a line along which a target bends: x, y and elevation of its places.
type Crease struct {
	Valley bool         `json:"valley,omitempty"`
	Places [][3]float64 `json:"places"`
}

// Threshold is a shot on an adjoining finished floor.
type Threshold struct {
	Name string  `json:"name"`
	X    float64 `json:"x"`
	Y    float64 `json:"y"`
	Text string  `json:"text"` // how far it is above or below the top of fill
	Sign string  `json:"sign"` // the same, short: +5/8"
}

// Floor is the floor before the pour, in metres on the grid of the survey. The vertices and
// triangles of its regions are in the parcel: for each region x, y and elevation of each
// vertex as float64, then three vertices of each triangle as uint32, and with Tops the elevation
// of the target at each vertex as float64.
type Floor struct {
	Lo       [2]float64       `json:"lo"`
	Hi       [2]float64       `json:"hi"`
	Regions  []Region         `json:"regions"`
	Openings [][][2]float64   `json:"openings"`
	Shots    []Shot           `json:"shots"`
	Doors    []Shot           `json:"doors"`
	Drains   []Shot           `json:"drains,omitempty"` // that were shot
	Pins     []report.PinMark `json:"pins"`
	Marks    []Benchmark      `json:"benchmarks"`
	Hull     bool             `json:"hull"` // no walls given
	Tops     bool             `json:"tops,omitempty"`
	Parts    []string         `json:"parts,omitempty"`      // of the outline, if it has several
	Left     []string         `json:"not_filled,omitempty"` // of them
}

// Region is a part of the floor.
type Region struct {
	Name      string         `json:"name"`
	X         float64        `json:"x"` // origin of its vertices
	Y         float64        `json:"y"`
	Vertices  int            `json:"vertices"`
	Triangles int            `json:"triangles"`
	Rings     [][][2]float64 `json:"rings"`
}

// Shot is a measured point.
type Shot struct {
	Name  string  `json:"name"`
	X     float64 `json:"x"`
	Y     float64 `json:"y"`
	Z     float64 `json:"z"`
	Doubt string  `json:"doubt,omitempty"` // why its reading is in doubt
	Code  string  `json:"code,omitempty"`  // of a shot on an adjoining finished floor
}

// Benchmark is a place of known elevation.
type Benchmark struct {
	Name string  `json:"name"`
	Z    float64 `json:"z"`
}

// mostShots is the max number of shots that a page lists one by one; a scan has no names.
const mostShots = 20_000

func newAnswer(r *job.Result, style unit.Style, sum *report.Summary) *Answer {
	f := r.Fill
	a := &Answer{Title: r.Title, Units: unitsOf(style), Fill: f.Fill, Cut: f.Cut, FillArea: f.FillArea, Area: f.Area, Order: r.Mix.Order, Mass: r.Mix.Load.Mass,
		Least: f.Least, Greatest: f.Greatest, Mean: f.Mean, Thresholds: []Threshold{},
		Target: plannedOf(r.Filled, style)}
	for _, t := range r.Thresholds {
		a.Thresholds = append(a.Thresholds, Threshold{t.Point.Name(), t.Point.X, t.Point.Y, report.DoorText(t, style), report.DoorSign(t, style)})
	}
	a.Facts, a.Remarks = sum.Facts()
	a.Sure = sum.SureGrid()
	a.Falls, a.Tables, a.Shades = sum.FallsGrid(), sum.Grids(), sum.Shades()
	return a
}

// plannedOf is the target of a fill, with what it falls to.
func plannedOf(w *job.Filled, style unit.Style) Target {
	t := targetOf(w.Fill.Target, w.Floor, style)
	if t.Bends {
		t.Up = w.RaisedBy
	}
	_, parts := w.Fill.Target.(surface.PartTargets)
	t.Fixed = parts || len(w.Ramps) > 0
	if w.Falls == nil {
		return t
	}
	if !t.Fixed {
		t.Z = w.Falls.Highest.Z + w.RaisedBy // the facets of a fall are a little below it
		t.Text = "highest " + style.LevelDown(t.Z)
	}
	for _, d := range w.Falls.Served {
		one := Drain{Name: d.Name, Text: style.LevelDown(d.Z + w.RaisedBy)}
		for _, at := range d.Ends() {
			one.Ends = append(one.Ends, [2]float64{at.X, at.Y})
		}
		t.Drains = append(t.Drains, one)
	}
	for _, c := range w.Falls.Creases {
		one := Crease{Valley: c.Valley}
		for _, p := range c.Points {
			one.Places = append(one.Places, [3]float64{p.At.X, p.At.Y, p.Z + w.RaisedBy})
		}
		t.Lines = append(t.Lines, one)
	}
	return t
}

// targetOf is a target over a floor.
func targetOf(target surface.Target, floor *surface.Floor, style unit.Style) Target {
	p, plane := surface.IsPlane(target)
	if plane {
		return Target{X: p.At.X, Y: p.At.Y, Z: p.Z, SlopeX: p.SlopeX, SlopeY: p.SlopeY, Text: style.LevelDown(p.Z)}
	}
	_, z, _, at := floor.RangeOf(target)
	return Target{X: at.X, Y: at.Y, Z: z, Text: "highest " + style.LevelDown(z), Bends: true}
}

func unitsOf(style unit.Style) Units {
	if !style.Imperial {
		return Units{"metric", 0, 1, "m", style.Step()}
	}
	return Units{"feet", int(math.Round(0.0254 / style.Step())), style.Places().Metres(), style.Places().String(), style.Step()}
}

func newFloor(h *report.Handover) (*Floor, [][]byte) {
	f, parts := floorUnder(h.Result.Floor, h.Result.Fill.Target)
	f.Pins = h.PinMarks()
	for _, p := range h.Result.NotFilled {
		if p.Name != "" && !slices.Contains(f.Left, p.Name) {
			f.Left = append(f.Left, p.Name)
		}
	}
	f.Parts = partsOf(append(h.Result.Floor.Parts(), f.Left...))
	f.surveyed(h.Result.Survey, h.Result.Blunders, h.Style)
	return f, parts
}

// partsOf are the names of the parts of a floor in order, none if it has one part.
func partsOf(names []string) []string {
	slices.Sort(names)
	if names = slices.Compact(names); len(names) < 2 {
		return nil
	}
	return names
}

// surveyed adds the survey of a floor.
func (f *Floor) surveyed(s *survey.Survey, blunders []blunder.Finding, style unit.Style) {
	doubts := map[string]string{}
	for _, b := range blunders {
		doubts[b.Shot.At().String()] = job.BlunderText(b).In(style)
	}
	if len(s.Points) <= mostShots {
		for _, p := range s.Points {
			f.Shots = append(f.Shots, Shot{Name: p.Name(), X: p.X, Y: p.Y, Z: p.Z, Doubt: doubts[p.At().String()]})
		}
	}
	for _, p := range s.Finished {
		f.Doors = append(f.Doors, Shot{Name: p.Name(), X: p.X, Y: p.Y, Z: p.Z, Code: p.Code()})
	}
	for _, p := range s.Drains() {
		if !math.IsNaN(p.X + p.Y) { // its elevation may not be known
			f.Drains = append(f.Drains, Shot{Name: p.Name(), X: p.X, Y: p.Y, Code: p.Code()})
		}
	}
	if k := s.Book; k != nil && !k.Relative {
		for _, b := range k.Benchmarks {
			f.Marks = append(f.Marks, Benchmark{b.Name, b.Elevation})
		}
	}
}

// floorOf is a floor without its survey, and the parts of the parcel with its triangles.
func floorOf(floor *surface.Floor) (*Floor, [][]byte) { return floorUnder(floor, surface.Plane{}) }

// floorUnder is the same with the elevations of a target that bends. The floor has been split for
// it.
func floorUnder(floor *surface.Floor, target surface.Target) (*Floor, [][]byte) {
	_, plane := surface.IsPlane(target)
	lo, hi := floor.Bounds()
	f := &Floor{Lo: [2]float64{lo.X, lo.Y}, Hi: [2]float64{hi.X, hi.Y}, Openings: rings(floor.Openings), Shots: []Shot{}, Doors: []Shot{}, Pins: []report.PinMark{}, Marks: []Benchmark{}, Hull: floor.Hull, Tops: !plane}
	var parts [][]byte
	for _, g := range floor.Regions {
		t := g.TIN
		f.Regions = append(f.Regions, Region{g.Name, t.Origin.X, t.Origin.Y, len(t.X), t.Len(), rings(g.Rings)})
		at := make([]float64, 0, 3*len(t.X))
		for i := range t.X {
			at = append(at, t.X[i], t.Y[i], t.Z[i])
		}
		parts = append(parts, binaryOf(at), binaryOf(t.V))
		if !plane {
			top := t.Depths(target)
			for v := range top {
				top[v] += t.Z[v]
			}
			parts = append(parts, binaryOf(top))
		}
	}
	return f, parts
}

func rings(all [][]surface.Vec) [][][2]float64 {
	out := make([][][2]float64, len(all))
	for i, ring := range all {
		for _, p := range ring {
			out[i] = append(out[i], [2]float64{p.X, p.Y})
		}
	}
	return out
}

// binaryOf writes numbers of a fixed size, low bytes first, and fills up to eight bytes.
func binaryOf(numbers any) []byte {
	var b bytes.Buffer
	if err := binary.Write(&b, binary.LittleEndian, numbers); err != nil {
		panic(err) // a type of no fixed size is a bug in this file
	}
	b.Write(make([]byte, (8-b.Len()%8)%8))
	return b.Bytes()
}
