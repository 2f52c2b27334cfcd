package report

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"pourplane/plot"
	"pourplane/plot/sheet"
	"pourplane/plot/table"
	"pourplane/surface/job"
	"pourplane/surface/water"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// waterOn names the surface on which water was followed.
func waterOn(on job.WaterOn) string {
	return [...]string{"floor as surveyed", "finished floor", "floor after the pour"}[on]
}

// standingOf is the water on the floor judged, as a list.
func standingOf(j *job.Judged) []*job.Standing {
	if j.Water == nil {
		return nil
	}
	return []*job.Standing{j.Water}
}

// pondName is the name of a pond on the map and in the list.
func pondName(i int) string { return fmt.Sprintf("pond %d", i+1) }

// waterRows are the ponds and what drains, in a line or two for each surface.
func waterRows(all []*job.Standing, u unit.Style) []AnswerRow {
	var rows []AnswerRow
	head := "Water"
	for _, s := range all {
		rows = append(rows, AnswerRow{Head: head, Text: waterOn(s.On) + ": " + pondsText(s, u) + "; " + drainsText(s, u)})
		head = ""
	}
	return rows
}

// pondsText is what holds water, in short.
func pondsText(s *job.Standing, u unit.Style) string {
	if len(s.Ponds) == 0 {
		return "no pond deeper than " + fine(job.ShallowWater, u)
	}
	deepest := deepestPond(s)
	var area, volume float64
	for _, p := range s.Ponds {
		area, volume = area+p.Area, volume+p.Volume
	}
	return fmt.Sprintf("%s, %s over %s (%s of the floor), deepest %s at %s", survey.Plural(len(s.Ponds), "pond"), u.SmallVolume(volume), u.Area(area), ofFloor(area/s.Area), fine(deepest.Depth, u), job.Beside(s.Floor, deepest.At).In(u))
}

func deepestPond(s *job.Standing) water.Pond {
	return slices.MaxFunc(s.Ponds, func(a, b water.Pond) int { return cmp.Compare(a.Depth, b.Depth) })
}

// ofFloor is a share of an area.
func ofFloor(share float64) string {
	switch percent := 100 * share; {
	case percent > 0 && percent < 0.5:
		return "under 1 %"
	case percent < 100 && percent >= 99.5:
		return "over 99 %"
	default:
		return fmt.Sprintf("%.0f %%", percent)
	}
}

// drainsText is what runs to an outlet, in short.
func drainsText(s *job.Standing, u unit.Style) string {
	if len(s.Outlets) == 0 {
		low := s.Closed[0]
		if s.Level > s.Area*(1-1e-9) {
			return "no drain or threshold is known, and the floor is dead level: no water runs off"
		}
		return fmt.Sprintf("no drain or threshold is known: no water leaves, it collects at %s", job.Beside(s.Floor, low.At).In(u))
	}
	var parts []string
	taking := slices.DeleteFunc(joined(s.Outlets, false), func(o water.Drained) bool { return o.Area < 0.005*s.Area })
	slices.SortStableFunc(taking, func(a, b water.Drained) int { return cmp.Compare(b.Area, a.Area) })
	const most = 3
	for _, o := range taking[:min(most, len(taking))] {
		parts = append(parts, fmt.Sprintf("%s to %s", ofFloor(o.Area/s.Area), o.Name))
	}
	if more := len(taking) - most; more > 0 {
		parts = append(parts, survey.Plural(more, "more outlet"))
	}
	text := "no part of it drains directly"
	if len(taking) > 0 {
		text = strings.Join(parts, ", ")
		if len(parts) > 1 {
			text = ofFloor(s.Draining()/s.Area) + " drains: " + text
		} else {
			text = strings.Replace(text, " to ", " drains to ", 1)
		}
	}
	held := 0.0
	for _, p := range s.Ponds {
		held += p.Drains
	}
	if held >= 0.005*s.Area {
		text += fmt.Sprintf(", %s runs into a pond first", ofFloor(held/s.Area))
	}
	if s.Level >= 0.005*s.Area {
		text += fmt.Sprintf(", %s is dead level and does not drain", ofFloor(s.Level/s.Area))
	}
	return text
}

// joined joins the outlets of one name, such as the ends of a channel; with oneLevel only those
// above which water leaves at one elevation.
func joined(all []water.Drained, oneLevel bool) []water.Drained {
	var out []water.Drained
	for _, o := range all {
		k := slices.IndexFunc(out, func(p water.Drained) bool {
			return p.Name == o.Name && p.Open == o.Open && (!oneLevel || math.Abs(p.Level-o.Level) < alikeLevel)
		})
		if k < 0 {
			out = append(out, o)
			continue
		}
		out[k].Area += o.Area
	}
	return out
}

// alikeLevel is the max difference of two elevations that are one, m: more than rounding leaves.
const alikeLevel = 1e-9

// pondTable lists the ponds, the largest first.
func pondTable(s *job.Standing, u unit.Style) table.Table {
	m := measuresOf(u)
	t := table.Table{Title: "Ponds, " + waterOn(s.On), Columns: []table.Column{{Name: "Pond", Whole: true}, {Name: "Deepest at"}, numbers("Depth", m.thinName, 1), numbers("Area", m.areaName, m.areaDigits()), numbers("Volume", m.volumeName, 4),
		{Name: "Full at", Right: true}, {Name: "Spills at"}, {Name: "Then runs to", Whole: true}}}
	var volumes []float64
	for _, p := range s.Ponds {
		volumes = append(volumes, p.Volume)
	}
	write := handVolumesLike(u, volumes...)
	for i, p := range s.Ponds {
		t.Rows = append(t.Rows, []table.Cell{table.Text(strconv.Itoa(i + 1)), table.Text(job.Beside(s.Floor, p.At).In(u)), table.Quantity(fine(p.Depth, u), job.Rounded(p.Depth/m.thin, 1e-6)), m.areaCell(p.Area),
			table.Quantity(write(p.Volume), p.Volume/m.volume), table.Text(u.Level(p.SpillZ)), table.Text(job.Beside(s.Floor, p.SpillsAt).In(u)), table.Text(Printable(runsTo(s, p.To)))})
	}
	if s.Shallow > 0 {
		t.Notes = append(t.Notes, fmt.Sprintf("%s less than %s deep, %s in all: not listed.", upperFirst(survey.Plural(s.Shallow, "pond")), fine(job.ShallowWater, u), u.Area(s.ShallowArea)))
	}
	return t
}

// runsTo names where water runs.
func runsTo(s *job.Standing, to water.Target) string {
	switch to.Kind {
	case water.ToOutlet:
		return s.Outlets[to.Index].Name
	case water.ToPond:
		return pondName(to.Index)
	case water.ToLowest:
		return "the lowest place: no outlet"
	}
	return "nowhere"
}

// drainTable lists what each outlet takes, and what none does.
func drainTable(s *job.Standing, u unit.Style) table.Table {
	m := measuresOf(u)
	t := table.Table{Title: "What drains where, " + waterOn(s.On), Columns: []table.Column{{Name: "Water runs to"}, numbers("From", m.areaName, m.areaDigits()), {Name: "Share", Right: true}, {Name: "Above", Right: true}}}
	row := func(name string, area float64, level string) {
		t.Rows = append(t.Rows, []table.Cell{table.Text(Printable(name)), m.areaCell(area), table.Text(ofFloor(area / s.Area)), table.Text(level)})
	}
	for _, o := range joined(s.Outlets, true) {
		row(o.Name, o.Area, u.Level(o.Level))
	}
	held := 0.0
	for _, p := range s.Ponds {
		held += p.Drains
	}
	if held > 0 {
		row("a pond", held, "")
	}
	for _, c := range s.Closed {
		if c.Runs > 0 {
			row("the lowest place, "+job.Beside(s.Floor, c.At).In(u)+": no outlet", c.Runs, "")
		}
	}
	if s.Level > 0 {
		row("nowhere: dead level", s.Level, "")
	}
	t.Notes = []string{"By steepest descent over the triangles, before any pond is full. Walls hold water; thresholds let it out above their elevation."}
	return t
}

// fallTable compares the falls of a surface with published least falls and the fall of the
// target.
func fallTable(s *job.Standing, u unit.Style) table.Table {
	t := table.Table{Title: "Falls, " + waterOn(s.On), Columns: []table.Column{{Name: "Least fall"}, {Name: "Of", Right: true}, {Name: "Floor with less", Right: true}, {Name: "Source"}}}
	for i, area := range s.Flatter {
		name, fall, source := "the target", 0.0, "as given"
		if i < len(job.LeastFalls) {
			l := job.LeastFalls[i]
			name, fall, source = l.For, l.Fall, l.Source
		} else {
			fall = s.Wanted
		}
		t.Rows = append(t.Rows, text(name, percentFall(fall), ofFloor(area/s.Area), source))
	}
	t.Notes = []string{
		fmt.Sprintf("The flattest hundredth of the floor falls %s or less, at %s.", percentFall(s.Least.Fall), job.Beside(s.Floor, s.Least.At).In(u)),
		"Least falls as quoted by their sources, not verified against the published standards; a floor that need not drain has none. No published limit for the depth of a pond was found.",
	}
	return t
}

func percentFall(fall float64) string { return fmt.Sprintf("%.2f %%", 100*fall) }

// waterTables are all tables of a surface.
func waterTables(s *job.Standing, u unit.Style) []table.Table {
	var out []table.Table
	if len(s.Ponds) > 0 {
		out = append(out, pondTable(s, u))
	}
	return append(out, drainTable(s, u), fallTable(s, u))
}

// printWater prints the tables, with the ponds that fit.
func printWater(all []*job.Standing, b interface{ WriteString(string) (int, error) }, u unit.Style) {
	for _, s := range all {
		b.WriteString("\nWater, " + waterOn(s.On) + "\n")
		for i, t := range waterTables(s, u) {
			if i > 0 {
				b.WriteString("\n")
			}
			b.WriteString(firstRows(t, mostPonds))
			for _, n := range t.Notes {
				b.WriteString(n + "\n")
			}
		}
	}
}

// waterMap draws the ponds of a surface, the largest named, and the ways of water.
func waterMap(s *job.Standing, title string, u unit.Style) *plot.WaterMap {
	m := &plot.WaterMap{Title: title, Summary: upperFirst(waterOn(s.On)) + ": " + shortPonds(s, u), Floor: s.Floor, Units: u, Limits: waterLimits(s, u), Channels: s.Channels}
	if len(s.Ponds) == 0 {
		m.Limits = nil
	}
	for _, from := range m.Limits {
		m.Under = append(m.Under, s.Under(from))
	}
	const most = 20 // more would hide the floor; the list has them all
	for i, p := range s.Ponds[:min(most, len(s.Ponds))] {
		m.Ponds = append(m.Ponds, plot.Spot{Name: fmt.Sprintf("%d: %s", i+1, fine(p.Depth, u)), At: p.At})
	}
	if n := len(s.Ponds); n > most {
		m.Note = fmt.Sprintf("The %d largest of %d ponds are named", most, n)
	}
	lo, hi := s.Floor.Bounds()
	for _, f := range s.Flows(max(hi.X-lo.X, hi.Y-lo.Y) / 12) {
		if len(f.Line) > 1 {
			m.Flows = append(m.Flows, f.Line)
		}
	}
	for _, o := range s.Outlets {
		p := survey.Point{X: o.Place.X, Y: o.Place.Y}.Named(o.Name)
		if o.Open {
			m.Doors = append(m.Doors, p)
		} else {
			m.Drains = append(m.Drains, p)
		}
	}
	return m
}

// shortPonds is what holds water and what drains, short enough for a map.
func shortPonds(s *job.Standing, u unit.Style) string {
	text := "no pond deeper than " + fine(job.ShallowWater, u)
	if len(s.Ponds) > 0 {
		text = fmt.Sprintf("%s, deepest %s", survey.Plural(len(s.Ponds), "pond"), fine(deepestPond(s).Depth, u))
	}
	switch drains := s.Draining(); {
	case len(s.Outlets) == 0:
		return text + "; no drain or threshold is known"
	default:
		return text + "; " + ofFloor(drains/s.Area) + " of the floor drains without one"
	}
}

// waterLimits are up to four depths of water at which the blue of the map changes: 0, and those
// that divide the area under water about into quarters.
func waterLimits(s *job.Standing, u unit.Style) []float64 {
	out := []float64{0}
	if len(s.Ponds) == 0 {
		return out
	}
	deepest, step, few := deepestPond(s).Depth, 0.001, 0.005
	if u.Imperial {
		step, few = 0.0254/16, 0.0254/4
	}
	if deepest < few {
		step /= 2
	}
	all := s.Deeper(0)
	for _, share := range []float64{0.75, 0.5, 0.25} {
		least, most := 0.0, deepest
		for range 12 {
			if middle := (least + most) / 2; s.Deeper(middle) > share*all {
				least = middle
			} else {
				most = middle
			}
		}
		if limit := step * math.Round((least+most)/2/step); limit > out[len(out)-1]+step/2 && limit < deepest {
			out = append(out, limit)
		}
	}
	return out
}

// mostPonds are listed on a page: more is the noise of a scan.
const mostPonds = 30

// waterParts are the tables and the map of a surface for the record.
func waterParts(s *job.Standing, u unit.Style) ([]table.Table, sheet.Picture) {
	tables := waterTables(s, u)
	if n := len(s.Ponds) - mostPonds; n > 0 {
		tables[0].Rows = tables[0].Rows[:mostPonds]
		tables[0].Notes = append(tables[0].Notes, fmt.Sprintf("And %s less in volume: in result.json.", survey.Plural(n, "pond")))
	}
	return tables, sheet.Picture{Drawing: waterMap(s, "", u), Caption: "Where water stays and which way it runs: " + waterOn(s.On), Most: 0.6}
}

// waterSection is where water stays before the pour and on the target.
func (h *Handover) waterSection() sheet.Section {
	if len(h.Water) == 0 {
		return sheet.Section{}
	}
	s := sheet.Section{Title: "Water"}
	for _, r := range waterRows(h.Water, h.Style) {
		s.Text = append(s.Text, sentence(r.Text))
	}
	for _, w := range h.Water {
		tables, picture := waterParts(w, h.Style)
		s.Tables, s.Pictures = append(s.Tables, tables...), append(s.Pictures, picture)
	}
	return s
}

// pondJSON is a place where water stands.
type pondJSON struct {
	Surface  string     `json:"surface"` // as_surveyed, target or after_pour
	Name     string     `json:"name"`
	At       [2]float64 `json:"at"`
	Depth    float64    `json:"depth_m"`
	Area     float64    `json:"area_m2"`
	Volume   float64    `json:"volume_m3"`
	SpillsAt [2]float64 `json:"spills_at"`
	SpillZ   float64    `json:"spill_z_m"`
	SpillsTo string     `json:"spills_to"` // name of an outlet or of a pond; empty: nowhere
	Drains   float64    `json:"draining_area_m2"`
}

// drainageJSON is what drains on one surface.
type drainageJSON struct {
	Surface     string       `json:"surface"`
	Area        float64      `json:"area_m2"`
	Drains      float64      `json:"draining_m2"`
	Share       float64      `json:"draining_share"`
	Level       float64      `json:"dead_level_m2"`
	Ponds       int          `json:"ponds"`
	Shallow     int          `json:"shallow_ponds"` // not listed
	ShallowArea float64      `json:"shallow_area_m2"`
	ShallowTo   float64      `json:"shallow_to_m"`
	LeastFall   float64      `json:"least_fall"` // of the flattest hundredth of the floor, rise over run
	LeastFallAt [2]float64   `json:"least_fall_at"`
	Outlets     []outletJSON `json:"outlets"`
	Closed      []closedJSON `json:"no_outlet"`
	Flatter     []flatter    `json:"flatter"`
}

type outletJSON struct {
	Name  string     `json:"name"`
	Kind  string     `json:"kind"` // drain or threshold
	At    [2]float64 `json:"at"`
	Z     float64    `json:"z_m"`   // of the floor there
	Level float64    `json:"out_m"` // above which water leaves
	Area  float64    `json:"area_m2"`
}

// closedJSON is a part of the floor from which no water leaves.
type closedJSON struct {
	At   [2]float64 `json:"at"` // the lowest place
	Z    float64    `json:"z_m"`
	Area float64    `json:"area_m2"`
	Runs float64    `json:"collects_m2"` // from which water runs there before any pond is full
}

type flatter struct {
	Fall   float64 `json:"fall"`
	For    string  `json:"for"`
	Source string  `json:"source"`
	Area   float64 `json:"area_m2"`
}

// waterJSON lists ponds and drainage of some surfaces; nil where they were not asked for.
func waterJSON(all []*job.Standing) (ponds *[]pondJSON, drainage []drainageJSON) {
	for _, s := range all {
		if ponds == nil {
			ponds = &[]pondJSON{}
		}
		on := [...]string{"as_surveyed", "target", "after_pour"}[s.On]
		for i, p := range s.Ponds {
			to := ""
			if p.To.Kind == water.ToOutlet || p.To.Kind == water.ToPond {
				to = runsTo(s, p.To)
			}
			*ponds = append(*ponds, pondJSON{on, pondName(i), pt(p.At), p.Depth, p.Area, p.Volume, pt(p.SpillsAt), p.SpillZ, to, p.Drains})
		}
		d := drainageJSON{Surface: on, Area: s.Area, Drains: s.Draining(), Share: s.Draining() / s.Area, Level: s.Level, Ponds: len(s.Ponds), Shallow: s.Shallow, ShallowArea: s.ShallowArea, ShallowTo: job.ShallowWater,
			LeastFall: s.Least.Fall, LeastFallAt: pt(s.Least.At), Outlets: []outletJSON{}, Closed: []closedJSON{}, Flatter: []flatter{}}
		for _, o := range s.Outlets {
			kind := "drain"
			if o.Open {
				kind = "threshold"
			}
			d.Outlets = append(d.Outlets, outletJSON{o.Name, kind, pt(o.Place), o.Floor, o.Level, o.Area})
		}
		for _, c := range s.Closed {
			d.Closed = append(d.Closed, closedJSON{pt(c.At), c.Z, c.Area, c.Runs})
		}
		for i, area := range s.Flatter {
			one := flatter{s.Wanted, "the target", "as given", area}
			if i < len(job.LeastFalls) {
				l := job.LeastFalls[i]
				one = flatter{l.Fall, l.For, l.Source, area}
			}
			d.Flatter = append(d.Flatter, one)
		}
		drainage = append(drainage, d)
	}
	return ponds, drainage
}
