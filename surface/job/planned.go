package job

import (
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"math"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"pourplane/surface"
	"pourplane/surface/setout"
	"pourplane/surface/uncertainty"
	"pourplane/survey"
	"pourplane/survey/file"
	"pourplane/survey/text"
	"pourplane/survey/unit"
)

// PlanOptions are what the command plan asks beside a job.
type PlanOptions struct {
	Want    string // the ± that is wanted at 90 %: of the volume, or of the mean depth
	Spacing string // of the grid, instead
	Floor   string // kind of floor, see [FloorKinds]; empty: usual
}

// Planned is a grid of shots for a floor that is not surveyed yet.
type Planned struct {
	Survey   *survey.Survey // the outline
	Title    string
	Floor    *surface.Floor // with the shots at elevation 0
	Area     float64        // m²
	Kind     FloorKind
	Accuracy Accuracy
	Want     float64 // m³; 0: a spacing was asked for
	GridChoice
	Grids []setout.ShotGrid
	// FarWall is the place on a wall that is farthest from a shot, FarOff m, if that is far for
	// the spacing, as along a wall askew to the grid; else 0.
	FarWall surface.Spot
	FarOff  float64
	Choices []GridChoice // coarser and finer grids, the finest first, with the one that was chosen
}

// GridChoice is one grid and how sure the volume is with it.
type GridChoice struct {
	Spacing float64    // m, that was asked for: between lines away from the walls
	Apart   [2]float64 // m: max distance between neighbouring columns, and rows
	Shots   int
	SD      uncertainty.Parts // of the volume to any target above it
}

// Widest returns the max distance between neighbouring lines of the grid, m.
func (c GridChoice) Widest() float64 { return max(c.Apart[0], c.Apart[1]) }

// In90 returns the half width of the interval in which 90 % of the values are, of a standard
// deviation: the 95 % point of the normal distribution.
func In90(sd float64) float64 { return 1.6448536269514722 * sd }

// FloorKind is what a floor is expected to be like before anyone has measured it.
type FloorKind struct {
	Name string
	uncertainty.Field
}

// FloorKinds are the kinds of floors, the usual one first.
var FloorKinds = []FloorKind{{"usual", uncertainty.UsualFloor}, {"even", uncertainty.EvenFloor}, {"rough", uncertainty.RoughFloor}}

// Words names a floor of the kind in a sentence: "a usual floor".
func (k FloorKind) Words() string {
	if strings.ContainsAny(k.Name[:1], "aeio") {
		return "an " + k.Name + " floor"
	}
	return "a " + k.Name + " floor"
}

// FloorKindNames returns the names of [FloorKinds].
func FloorKindNames() (names []string) {
	for _, k := range FloorKinds {
		names = append(names, k.Name)
	}
	return names
}

// Spacings of grids that are tried, m, in metric and in US units: round figures of a tape.
var gridSpacings = func() [2][]float64 {
	var metric, us []float64
	for k := 1.; k <= 12; k++ {
		metric = append(metric, 0.25*k)
	}
	metric = append(metric, 3.5, 4, 4.5, 5, 6, 7, 8, 9, 10)
	for k := 2.; k <= 20; k++ {
		us = append(us, 0.5*k*0.3048)
	}
	for _, feet := range []float64{11, 12, 14, 16, 18, 20, 25, 30} {
		us = append(us, feet*0.3048)
	}
	return [2][]float64{metric, us}
}()

// Where shots are along walls: from the wall to the middle of the rod, clear of skirting and of
// dirt in the corner, and the marks of a tape that a line is at. Own choice.
var (
	metricRule = setout.GridRule{Off: 0.10, Mark: 0.01}
	usRule     = setout.GridRule{Off: 4 * 0.0254, Mark: 0.0254 / 2}
)

// Planning lays a grid over the outline of a job that gives its volume as wanted.
func Planning(j *Job, asked PlanOptions, files fs.FS, watch Watch) (*Planned, error) {
	f := inputOf(j)
	f.Files = files
	p := &planner{input: &f, watch: watch, Planned: Planned{Title: j.Title}}
	if err := p.check(asked); err != nil {
		return nil, err
	}
	if err := p.open(j.paths(j.Survey.Files)[0]); err != nil {
		return nil, err
	}
	if err := p.one(asked); err != nil {
		return nil, err
	}
	if err := p.choose(asked); err != nil {
		return nil, survey.ErrorIn(err, StyleOf(p.Survey, j.Show))
	}
	p.farWalls()
	return &p.Planned, nil
}

type planner struct {
	*input
	watch Watch
	Planned
	us    bool
	asked string         // the ± wanted, as typed
	data  surface.Data   // of the outline
	bare  *surface.Floor // of it, without shots
}

// check refuses calls that are wrong whatever the outline is.
func (p *planner) check(asked PlanOptions) error {
	kind := cmp.Or(asked.Floor, FloorKinds[0].Name)
	i := slices.IndexFunc(FloorKinds, func(k FloorKind) bool { return k.Name == kind })
	if i < 0 {
		names := FloorKindNames()
		return misused("floor", strconv.Quote(asked.Floor), strings.Join(names[:len(names)-1], ", ")+" or "+names[len(names)-1])
	}
	p.Kind = FloorKinds[i]
	return nil
}

// one refuses a grid that neither a ± nor a spacing sets, or both set. The examples are in the
// units of the outline.
func (p *planner) one(asked PlanOptions) error {
	if (asked.Want == "") != (asked.Spacing == "") {
		return nil
	}
	found := "neither"
	if asked.Want != "" {
		found = "both"
	}
	want, spacing := "0.1m3", lengthOptions["spacing"].Metric
	if p.us {
		want, spacing = "0.1yd3", lengthOptions["spacing"].US
	}
	return misuse("want", "found %s of %s and %s", found, unit.Ask("want", ""), unit.Ask("spacing", "")).
		Hinted("%s for a grid whose volume is that sure, or %s for what a grid gives", unit.Ask("want", want), unit.Ask("spacing", spacing))
}

// open reads the outline.
func (p *planner) open(name string) error {
	o, err := p.options()
	if err != nil {
		return err
	}
	p.watch.Say(Reading, 0, 0)
	o.InUnit = nil
	s, err := openOutline(name, o, true)
	if err != nil {
		if sheet := readingsIn(name, o); sheet != nil {
			return sheet
		}
		return inFile(err, name)
	}
	if heights := heightsOf(s); heights != "" && s.Delimiter != "" && len(s.Rings) == 1 && s.Rings[0].Name == "" {
		return &survey.Error{Pos: survey.Pos{File: name}, Found: heights + ", as a list of shots has", Want: "an outline: the corners of the walls, one a row in order around the room",
			Hint: "if its rows are the corners, leave that column out"}
	}
	if len(s.Rings) == 0 {
		return &survey.Error{Pos: survey.Pos{File: name}, Found: "no outline", Want: "the corners of the walls, one a row in order around the room (columns x,y)"}
	}
	s.Name = name
	p.Survey = s
	p.given.knowAll(s)
	p.us = StyleOf(s, p.show).Imperial
	p.Title = cmp.Or(p.Title, strings.TrimSuffix(filepath.Base(name), filepath.Ext(name)))
	if err := p.accuracies(); err != nil {
		return err
	}
	p.data = surface.Data{Rings: withoutHeights(s.Rings)}
	for _, l := range s.Breaklines { // one with elevations is part of a survey
		if !slices.ContainsFunc(l.Points, survey.Point.HasZ) {
			p.data.Lines = append(p.data.Lines, l)
		}
	}
	d := p.data
	d.Shots = setout.CornerShots(d.Rings, d.Lines)
	if p.bare, err = surface.NewFloor(d); err != nil {
		return named(s, err)
	}
	for _, r := range p.bare.Regions {
		p.Area += r.TIN.PlanArea()
	}
	if err := p.across(s, p.bare); err != nil {
		return err
	}
	return p.idle(s)
}

// readingsIn refuses a sheet of readings, filled in or not, as an outline; nil if it is none.
func readingsIn(name string, o survey.Options) error {
	s, err := file.Open(name, o)
	e := &survey.Error{Pos: survey.Pos{File: name}, Found: "a sheet with readings filled in", Want: "the outline of the floor: a plan comes before the readings"}
	then := "pourplane read shows how it is understood; for the depths: pourplane fill"
	switch {
	case errors.Is(err, text.ErrNoReadings):
		e.Found, then = "a sheet to fill in, with no readings yet", "type the readings into it, then: pourplane fill"
	case err != nil || !s.GridCells:
		return nil
	}
	return e.Hinted(then+" %s %s %s", name, unit.Ask("outline", "WALLS"), unit.Ask("target", "Z"))
}

// withoutHeights returns rings without elevations: those are measured anew.
func withoutHeights(rings []survey.Ring) []survey.Ring {
	out := slices.Clone(rings)
	for i := range out {
		out[i].Points = slices.Clone(out[i].Points)
		for k := range out[i].Points {
			out[i].Points[k].Z = math.NaN()
		}
	}
	return out
}

// accuracies sets how exact the readings will be: by the options, or as usual for a rod that
// is read to its usual step.
func (p *planner) accuracies() (err error) {
	p.Accuracy, err = p.accuracy(&survey.Survey{Relative: true})
	p.Survey.Notes = append(p.Survey.Notes, p.Accuracy.notes(survey.AboutDepth)...)
	if err == nil && !p.Accuracy.ReadingGiven {
		p.Accuracy.Step = 0.001
		if p.us {
			p.Accuracy.Step = 0.0254 / 16
		}
		p.Accuracy.Reading = uncertainty.Rounded(p.Accuracy.Reading, p.Accuracy.Step)
	}
	return err
}

// want reads the ± that is wanted, m³: of a volume, or of a mean depth times the area.
func (p *planner) want(text string) (float64, error) {
	if v, err := unit.ParseVolume(text); err == nil && v > 0 {
		return v, p.sensible(v)
	}
	if depth, err := unit.Parse(text, unit.None); err == nil && depth > 0 && depth < 0.3 {
		return depth * p.Area, p.sensible(depth * p.Area)
	}
	return 0, misused("want", strconv.Quote(text), "a volume with its unit, such as 0.1yd3 or 0.08m3, or a mean depth below 1 ft, such as 1/16in or 1mm")
}

// mostPlanned is the max number of shots of a grid that is worked out: more are not shot by hand
// in a day. Own choice.
const mostPlanned = 1500

// choose finds the grid.
func (p *planner) choose(asked PlanOptions) error {
	if asked.Spacing != "" {
		h, err := p.given.Parse("spacing", asked.Spacing)
		if err != nil {
			return err
		}
		err = p.lay(h)
		var many tooManyShots
		var e *survey.Error
		switch {
		case errors.As(err, &many):
			return misused("spacing", fmt.Sprintf("%d shots", int(many)), fmt.Sprintf("up to %d: a wider spacing", mostPlanned))
		case errors.As(err, new(tooFewShots)):
			return misused("spacing", strconv.Quote(asked.Spacing)+", which leaves fewer than 3 shots on a part of the floor", "a narrower spacing")
		case errors.As(err, &e) && e.Part == "spacing":
			return misused("spacing", e.Found, e.Want)
		case err != nil:
			return err
		}
		if most := p.ends(); most < h {
			return (&survey.Error{Field: "spacing", Usage: true}).Measured(unit.Textf("%s, though the lines beside the walls are no more than %s apart", strconv.Quote(asked.Spacing), unit.Distance(most)), unit.Textf("up to that"), unit.Text{})
		}
		return p.compare()
	}
	var err error
	p.asked = asked.Want
	if p.Want, err = p.want(asked.Want); err != nil {
		return err
	}
	tried := p.spacings()
	if In90(p.Accuracy.Setup*p.Area) >= p.Want {
		for _, h := range tried { // the finest grid that can be laid
			if p.lay(h) == nil {
				break
			}
		}
		return p.tooLoose()
	}
	for i, h := range slices.Backward(tried) {
		p.watch.Say("trying grids", int64(len(tried)-i), int64(len(tried)))
		err := p.lay(h)
		if errors.As(err, new(tooManyShots)) {
			break
		}
		if err == nil && In90(p.SD.Total) <= p.Want {
			return p.compare()
		}
	}
	return p.tooLoose()
}

// tooManyShots is a number of shots above [mostPlanned].
type tooManyShots int

// tooFewShots is the refusal of a floor for which a grid is too wide.
type tooFewShots struct{ error }

func (n tooManyShots) Error() string { return fmt.Sprintf("%d shots", int(n)) }

// spacings returns the spacings that are tried: none that leaves fewer than three lines each
// way on the longer side.
func (p *planner) spacings() []float64 {
	of := gridSpacings[0]
	if p.us {
		of = gridSpacings[1]
	}
	lo, hi := p.bare.Bounds()
	long := max(hi.X-lo.X, hi.Y-lo.Y)
	return slices.DeleteFunc(slices.Clone(of), func(h float64) bool { return h > long/2 && h > of[0] })
}

// lay lays the grid of a spacing and works out how sure its volume is.
func (p *planner) lay(h float64) error {
	one, floor, grids, err := p.grid(h)
	if err == nil {
		p.GridChoice, p.Floor, p.Grids = one, floor, grids
	}
	return err
}

func (p *planner) grid(h float64) (c GridChoice, floor *surface.Floor, grids []setout.ShotGrid, err error) {
	rule := metricRule
	if p.us {
		rule = usRule
	}
	rule.Spacing = h
	if grids, err = setout.LayShotGrids(p.bare, rule); err != nil {
		return c, nil, nil, err
	}
	d := p.data
	for i := range grids {
		d.Shots = append(d.Shots, grids[i].Shots()...)
	}
	c = GridChoice{Spacing: h, Apart: p.apart(grids), Shots: len(d.Shots)}
	if c.Shots > mostPlanned {
		return c, nil, nil, tooManyShots(c.Shots)
	}
	if floor, err = surface.NewFloor(d); err != nil { // a part of it has too few shots
		return c, nil, nil, tooFewShots{err}
	}
	c.SD = uncertainty.Expected(floor, p.Kind.Field, uncertainty.Errors{Reading: p.Accuracy.Reading, Setup: p.Accuracy.Setup})
	return c, floor, grids, nil
}

// compare adds coarser and finer grids to the one that was chosen, each number of shots once: of
// those with as many shots, the surest.
func (p *planner) compare() error {
	const beside = 2 // on each side
	all := p.spacings()
	i, found := slices.BinarySearchFunc(all, p.Spacing, func(a, b float64) int {
		if math.Abs(a-b) < 1e-6 {
			return 0
		}
		return cmp.Compare(a, b)
	})
	finer, coarser := all[:i], all[i:]
	if found {
		coarser = all[i+1:]
	}
	one := map[int]GridChoice{p.Shots: p.GridChoice}
	add := func(h float64) int {
		c, _, _, err := p.grid(h)
		if have, known := one[c.Shots]; err == nil && (!known || c.Shots != p.Shots && c.SD.Total < have.SD.Total) {
			one[c.Shots] = c
		}
		return len(one)
	}
	for _, h := range slices.Backward(finer) {
		if add(h) == 1+beside {
			break
		}
	}
	most := len(one) + beside
	for _, h := range coarser {
		if add(h) == most {
			break
		}
	}
	p.Choices = slices.SortedFunc(maps.Values(one), func(a, b GridChoice) int { return cmp.Compare(a.Spacing, b.Spacing) })
	return nil
}

// ends returns the max distance between the first and the last line of a grid, m.
func (p *planner) ends() (most float64) {
	for i := range p.Grids {
		for _, lines := range [][]float64{p.Grids[i].Columns, p.Grids[i].Rows} {
			most = max(most, lines[len(lines)-1]-lines[0])
		}
	}
	return most
}

// farWalls finds the place on a wall that is farthest from any shot.
func (p *planner) farWalls() {
	const far = 0.85 // of the spacing: between shots beside a straight wall it is up to half
	const step = 0.1 // m
	for _, r := range p.Floor.Data.Rings {
		for i, a := range r.Points {
			b := r.Points[(i+1)%len(r.Points)]
			n := math.Ceil(math.Hypot(b.X-a.X, b.Y-a.Y) / step)
			for k := range int(n) {
				t := float64(k) / n
				at := surface.Vec{X: a.X + t*(b.X-a.X), Y: a.Y + t*(b.Y-a.Y)}
				off := math.Inf(1)
				for _, s := range p.Floor.Data.Shots {
					off = min(off, math.Hypot(s.X-at.X, s.Y-at.Y))
				}
				if r.Kind == survey.Outer && off > max(p.FarOff, far*p.Spacing) {
					p.FarOff, p.FarWall = off, surface.Spot{Floor: p.Floor, At: at}
				}
			}
		}
	}
}

// leastWant and mostWant bound the ± wanted, of the mean depth, m. Own choice: a rod is read to
// ten times the least, and few floors are out by the most.
const leastWant, mostWant = 0.0001, 0.1

// sensible refuses a ± that no survey gives, or that any does.
func (p *planner) sensible(m3 float64) error {
	found := unit.Textf("%s over %s", strconv.Quote(p.asked), unit.Area(p.Area))
	e := &survey.Error{Field: "want", Usage: true}
	switch depth := m3 / p.Area; {
	case depth < leastWant*(1-1e-9):
		return e.Measured(found, unit.Textf("±%s or more, %s of mean depth: no rod is read finer", unit.SmallVolume(leastWant*p.Area), SD(leastWant)), unit.Text{})
	case depth > mostWant*(1+1e-9):
		return e.Measured(found, unit.Textf("±%s or less, %s of mean depth: any few shots give that", unit.SmallVolume(mostWant*p.Area), unit.Depth(mostWant)), unit.Text{})
	}
	return nil
}

// tooLoose refuses a ± wanted that no grid gives, and says which other one or which error does
// with the finest grid.
func (p *planner) tooLoose() error {
	if p.Shots == 0 {
		return (&survey.Error{Pos: survey.Pos{File: p.Survey.Name}, Element: "outline"}).Measured(unit.Textf("%s, on which no grid of round spacings has a place", unit.Area(p.Area)), unit.Textf("a larger floor"), unit.Text{})
	}
	best, alone := In90(p.SD.Total), In90(p.SD.Setup)
	found := unit.Textf("±%s; %d shots %s apart still leave ±%s on %s", unit.SmallVolume(p.Want), p.Shots, unit.Distance(p.Widest()), unit.SmallVolume(best), p.Kind.Words())
	if alone >= p.Want {
		found = unit.Textf("±%s, which cannot be had with one set-up: its error alone is ±%s (%s over %s)", unit.SmallVolume(p.Want), unit.SmallVolume(alone), SD(p.Accuracy.Setup), unit.Area(p.Area))
	}
	between := math.Hypot(p.SD.Sampling, p.SD.Walls)
	setup := p.better(math.Hypot(between, p.SD.Reading), p.SD.Setup/p.Accuracy.Setup)
	reading := p.better(math.Hypot(between, p.SD.Setup), p.SD.Reading/p.Accuracy.Reading)
	want := p.wanting(max(1.05*best, min(1.5*alone, 1.5*best, 0.99*mostWant*p.Area)))
	hint := unit.Textf("%s: with this floor and these readings no set-up error is small enough", want)
	switch loosest := 1.05 * best; {
	case loosest > 0.99*mostWant*p.Area && setup != "": // any ± to be had is more than any few shots give
		hint = unit.Textf("%s: a better reading of the benchmark", unit.Ask("setup-sd", setup))
	case loosest > 0.99*mostWant*p.Area && reading != "":
		hint = unit.Textf("%s: a better reading of the rod", unit.Ask("reading-sd", reading))
	case loosest > 0.99*mostWant*p.Area:
		hint = unit.Textf("%s and smaller errors of the readings and the set-up", p.wanting(p.Want))
	case setup != "":
		hint = unit.Textf("%s, or a better reading of the benchmark: %s", want, unit.Ask("setup-sd", setup))
	case reading != "":
		hint = unit.Textf("%s, or a better reading of the rod: %s", want, unit.Ask("reading-sd", reading))
	}
	return (&survey.Error{Field: "want", Usage: true}).Measured(found, unit.Textf("more than that"), hint)
}

// better returns the largest error of one part that gives the ± wanted, beside a standard
// deviation of the others, m³: each metre of it has as many m³ of its own. Empty: none does that
// could be measured.
func (p *planner) better(others, each float64) string {
	step, least := 0.0001, 0.0001
	if p.us {
		step, least = 0.001*unit.Inch.Metres(), 0.004*unit.Inch.Metres()
	}
	left := p.Want/In90(1)*p.Want/In90(1) - others*others
	if !(left > 0 && each > 0) {
		return ""
	}
	v := math.Floor(0.999*math.Sqrt(left)/each/step) * step
	if v < least {
		return ""
	}
	return p.sdOption(v)
}

// wanting is the option for a ±, m³, to two digits.
func (p *planner) wanting(m3 float64) unit.Option {
	text := unit.Style{Imperial: p.us}.SmallVolume(m3)
	return unit.Ask("want", strings.NewReplacer(" ", "", "³", "3").Replace(text))
}

// sdOption writes a standard deviation as the value of an option.
func (p *planner) sdOption(m float64) string {
	if p.us {
		return strconv.FormatFloat(m/unit.Inch.Metres(), 'f', 3, 64) + "in"
	}
	return strconv.FormatFloat(1000*m, 'f', 1, 64) + "mm"
}

// apart returns the max distance between shots that are neighbours in a row, and in a column, with
// floor between them, m.
func (p *planner) apart(grids []setout.ShotGrid) (most [2]float64) {
	on := p.bare.Locators()
	for i := range grids {
		g := &grids[i]
		for along := range most {
			lines, others := g.Columns, g.Rows
			at := func(line, k int) (row, column int) { return line, k }
			if along == 1 {
				lines, others = g.Rows, g.Columns
				at = func(line, k int) (row, column int) { return k, line }
			}
			for line := range others {
				last, wall := -1, false
				for k := range lines {
					row, column := at(line, k)
					switch _, _, floor := on.At(g.At(row, column)); {
					case !g.On[row][column]:
						wall = wall || !floor
					default:
						if last >= 0 && !wall {
							most[along] = max(most[along], lines[k]-lines[last])
						}
						last, wall = k, false
					}
				}
			}
		}
	}
	return most
}
