package main

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"text/tabwriter"

	"pourplane/plot"
	"pourplane/plot/table"
	"pourplane/surface"
	"pourplane/surface/flatness"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// flatJSON is what flatness --json prints. Fields are added, never renamed.
// F-numbers are null where no departure was measured.
type flatJSON struct {
	Method       string          `json:"method"`
	Runs         []runFlat       `json:"runs"`
	LaidOut      bool            `json:"runs_laid_out"`
	NoF          string          `json:"no_f_numbers,omitempty"`
	Section      *sectionFlat    `json:"section"`
	Sections     []sectionFlat   `json:"sections"`
	Settings     []settingFlat   `json:"settings"`
	Chords       []chordFlat     `json:"chords"`
	Straightedge []edgeFlat      `json:"straightedge"`
	Departure    *departureFlat  `json:"departure"`
	Classes      []classFlat     `json:"classes"`
	Highs        []markFlat      `json:"highs"`
	Lows         []markFlat      `json:"lows"`
	Small        int             `json:"places_too_small_to_list"`
	Compensation *compensateFlat `json:"compensation"`
	Placed       *placedFlat     `json:"placed"`
	Bed          *bedFlat        `json:"bedding"`
	Thresholds   []threshold     `json:"thresholds"`
	Assumed      []string        `json:"assumed"`
	Warnings     []string        `json:"warnings"`
	Cautions     []string        `json:"cautions"`
	LeftOut      []rejected      `json:"left_out"`
}

type runFlat struct {
	Name     string        `json:"name"`
	From     int           `json:"from_station"`
	Readings int           `json:"readings"`
	Step     float64       `json:"step_m"`
	FF       flatness.F    `json:"ff"`
	FL       flatness.F    `json:"fl"`
	FFRange  [2]flatness.F `json:"ff_ci90"`
	FLRange  [2]flatness.F `json:"fl_ci90"`
	Infinite bool          `json:"ff_no_departure"`
	Level    bool          `json:"fl_no_departure"`
	Start    *[2]float64   `json:"start"`
	End      *[2]float64   `json:"end"`
}

type sectionFlat struct {
	Name     string        `json:"name"`
	Basis    string        `json:"basis"`
	Area     float64       `json:"area_m2"`
	FF       flatness.F    `json:"ff"`
	FL       flatness.F    `json:"fl"`
	FFRange  [2]flatness.F `json:"ff_ci90"`
	FLRange  [2]flatness.F `json:"fl_ci90"`
	LocalFF  flatness.F    `json:"local_ff"`
	LocalFL  flatness.F    `json:"local_fl"`
	Infinite bool          `json:"ff_no_departure"`
	Level    bool          `json:"fl_no_departure"`
	Readings int           `json:"readings"`
	Required int           `json:"readings_required"`
	Rules    []ruleFlat    `json:"rules"`
}

type ruleFlat struct {
	Rule   string `json:"rule"`
	Met    *bool  `json:"met"` // null: cannot be told
	Found  string `json:"found"`
	Source string `json:"source"`
}

type settingFlat struct {
	Name   string `json:"name"`
	Value  string `json:"value"`
	Other  string `json:"otherwise"`
	Source string `json:"source"`
	Known  string `json:"known"`
}

type chordFlat struct {
	Length float64 `json:"length_m"`
	N      int     `json:"departures"`
	RMS    float64 `json:"rms_m"`
	Worst  float64 `json:"worst_m"`
	Run    string  `json:"run"`
}

type edgeFlat struct {
	Length   float64    `json:"length_m"`
	Fits     bool       `json:"fits"`
	Gap      *float64   `json:"max_gap_m"`
	From     [2]float64 `json:"from"`
	To       [2]float64 `json:"to"`
	LowAt    [2]float64 `json:"low_at"`
	Within   *float64   `json:"within_share"` // of positions, within the tolerance; null: not known
	Spacing  float64    `json:"line_spacing_m"`
	Run      string     `json:"run,omitempty"`
	Rocking  float64    `json:"rocking_share"`
	Position float64    `json:"positions_m"`
	Carried  bool       `json:"carries_verdict"` // readings are close enough
	Apart    *float64   `json:"readings_apart_m"`
	Wanted   float64    `json:"readings_apart_wanted_m"` // at most
}

type departureFlat struct {
	Plane     target     `json:"plane"`
	Fitted    bool       `json:"fitted"`
	Highest   float64    `json:"highest_m"` // above the plane
	HighestAt [2]float64 `json:"highest_at"`
	Lowest    float64    `json:"lowest_m"` // negative below the plane
	LowestAt  [2]float64 `json:"lowest_at"`
	Mean      float64    `json:"mean_m"`
	RMS       float64    `json:"rms_m"`
	Tolerance float64    `json:"tolerance_m"`
	Within    float64    `json:"within_share"` // of the area
}

type classFlat struct {
	Standard string      `json:"standard"`
	Edition  string      `json:"edition"`
	Class    string      `json:"class"`
	Name     string      `json:"rule"`
	Measure  string      `json:"measure"`
	Length   float64     `json:"length_m"`
	Limit    *float64    `json:"limit"` // null: by a length that was not measured
	Measured *float64    `json:"measured"`
	Rounded  *float64    `json:"rounded"`
	Rounding string      `json:"rounding"`
	Pass     *bool       `json:"pass"` // null: not measured
	Share    *float64    `json:"share_within"`
	From     *[2]float64 `json:"from"`
	To       *[2]float64 `json:"to"`
	Where    string      `json:"where"`
	Note     string      `json:"note"`
	Apart    *float64    `json:"readings_apart_m"`        // too far for a verdict; null otherwise
	Wanted   *float64    `json:"readings_apart_wanted_m"` // at most, for one
	Source   string      `json:"source"`
	Known    string      `json:"known"`
}

type markFlat struct {
	Number int        `json:"number"`
	At     [2]float64 `json:"at"`
	Height float64    `json:"height_m"` // above the plane; of lows the depth below it, positive
	Beyond float64    `json:"beyond_m"` // the tolerance
	Area   float64    `json:"area_m2"`
	Volume float64    `json:"volume_m3"`
	Passes int        `json:"passes,omitempty"`
	Bags   int        `json:"bags,omitempty"`
	Walls  []float64  `json:"from_walls_m"`
	Beside []sideFlat `json:"beside"` // as printed: east or west first
}

type sideFlat struct {
	Wall     string  `json:"wall"`
	Distance float64 `json:"distance_m"`
}

func pt(v surface.Vec) [2]float64 { return [2]float64{v.X, v.Y} }

func ptOrNil(v surface.Vec) *[2]float64 {
	if math.IsNaN(v.X + v.Y) {
		return nil
	}
	return &[2]float64{v.X, v.Y}
}

func newFlat(j *judged) flatJSON {
	r := flatJSON{
		Method: flatness.Method, Runs: []runFlat{}, LaidOut: j.laidOut, NoF: j.why, Sections: []sectionFlat{}, Settings: []settingFlat{}, Chords: []chordFlat{},
		Straightedge: []edgeFlat{}, Classes: []classFlat{}, Highs: []markFlat{}, Lows: []markFlat{}, Thresholds: []threshold{},
	}
	step := j.settings.Step
	if w := j.whole; w != nil {
		one := sectionFlat{FF: w.FF, FL: w.FL, FFRange: [2]flatness.F{w.FFRange.Low, w.FFRange.High}, FLRange: [2]flatness.F{w.FLRange.Low, w.FLRange.High},
			LocalFF: w.LocalFF.F, LocalFL: w.LocalFL.F, Infinite: w.FF.Infinite(), Level: w.FL.Infinite(), Rules: []ruleFlat{}}
		for _, sec := range w.Sections {
			s := sectionOf(sec)
			r.Sections = append(r.Sections, s)
			one.Area += s.Area
			one.Readings += s.Readings
			one.Required += s.Required
			one.Rules = append(one.Rules, s.Rules...)
			one.Basis = s.Basis
			for i := range sec.Lines {
				l := &sec.Lines[i]
				step = l.Step
				r.Runs = append(r.Runs, runFlat{l.Run, l.First, l.Readings(), l.Step, l.FF, l.FL, [2]flatness.F{l.FFRange.Low, l.FFRange.High}, [2]flatness.F{l.FLRange.Low, l.FLRange.High},
					l.FF.Infinite(), l.FL.Infinite(), ptOrNil(l.Start), ptOrNil(l.End)})
			}
		}
		if len(w.Sections) == 1 {
			one.Name = w.Sections[0].Name
		}
		r.Section = &one
		for _, s := range j.settings.Table(step) {
			r.Settings = append(r.Settings, settingFlat(s))
		}
	}
	for _, c := range j.chords {
		r.Chords = append(r.Chords, chordFlat{c.Length, c.N, c.RMS, c.Worst, c.Run})
	}
	for _, e := range j.edges {
		out := edgeFlat{Length: e.Length, Fits: e.Fits, Spacing: e.Spacing, Run: e.run, Position: e.Positions,
			Carried: j.settings.Carries(j.apart, e.Length), Apart: finite(j.apart), Wanted: j.settings.Wanted(e.Length)}
		if e.Fits {
			gap := e.Gap
			out.Gap, out.From, out.To, out.LowAt = &gap, pt(e.From), pt(e.To), pt(e.LowAt)
			if j.tol > 0 {
				out.Within = finite(e.Within(j.tol))
			}
			if e.Positions > 0 {
				out.Rocking = e.Rocking / e.Positions
			}
		}
		r.Straightedge = append(r.Straightedge, out)
	}
	if j.floor != nil {
		r.Departure = &departureFlat{planeJSON(j.plane), j.fitted, j.off.Highest, pt(j.off.HighestAt), j.off.Lowest, pt(j.off.LowestAt), j.off.Mean, j.off.RMS, j.tol, j.off.Within}
	}
	for i := range j.verdicts {
		v := &j.verdicts[i]
		out := classFlat{Standard: v.Row.Standard, Edition: v.Row.Edition, Class: v.Row.Class, Name: v.Row.Name, Measure: v.Row.Kind.String(), Length: v.Length, Limit: finite(v.Limit),
			Measured: finite(v.Value), Rounded: finite(v.Rounded), Rounding: v.Rounding, Share: finite(v.Share), From: ptOrNil(v.From), To: ptOrNil(v.To), Where: v.Where, Note: v.Note, Source: v.Row.Source, Known: v.Row.Known}
		if v.Wanted > 0 {
			out.Apart, out.Wanted = finite(v.Apart), &v.Wanted
		}
		if v.Outcome != flatness.NotMeasured {
			pass := v.Outcome == flatness.Pass
			out.Pass = &pass
		}
		r.Classes = append(r.Classes, out)
	}
	r.marks(j)
	if w := j.doors; w != nil {
		for i := range w.thresholds {
			r.Thresholds = append(r.Thresholds, w.threshold(&w.thresholds[i]))
		}
	}
	r.Assumed, r.Warnings, r.Cautions, r.LeftOut = told(j.notes, unit.StyleOf(j.survey.Plan, j.survey.Unit))
	return r
}

func sectionOf(r *flatness.Result) sectionFlat {
	out := sectionFlat{Name: r.Name, Basis: r.Basis, Area: r.Area, FF: r.FF, FL: r.FL, FFRange: [2]flatness.F{r.FFRange.Low, r.FFRange.High}, FLRange: [2]flatness.F{r.FLRange.Low, r.FLRange.High},
		LocalFF: r.FF, LocalFL: r.FL, Infinite: r.FF.Infinite(), Level: r.FL.Infinite(), Readings: r.Differences, Required: r.Required, Rules: []ruleFlat{}}
	for _, u := range r.Rules {
		one := ruleFlat{Rule: u.Rule, Found: u.Found, Source: u.Source}
		if u.Met != flatness.Unknown {
			met := u.Met == flatness.Met
			one.Met = &met
		}
		out.Rules = append(out.Rules, one)
	}
	return out
}

type compensateFlat struct {
	Offset  float64 `json:"raise_m"`
	Grind   float64 `json:"grind_m3"`
	Fill    float64 `json:"fill_m3"`
	GrindAt float64 `json:"grind_unmoved_m3"`
	FillAt  float64 `json:"fill_unmoved_m3"`
	Deepest float64 `json:"deepest_m"`
}

type placedFlat struct {
	Area      float64    `json:"area_m2"`
	Placed    float64    `json:"placed_m3"`
	Lost      float64    `json:"lower_than_before_m3"`
	LostArea  float64    `json:"lower_than_before_m2"`
	Net       float64    `json:"net_m3"`
	Mean      float64    `json:"mean_m"`
	Most      float64    `json:"most_m"`
	MostAt    [2]float64 `json:"most_at"`
	Least     float64    `json:"least_m"`
	LeastAt   [2]float64 `json:"least_at"`
	Ordered   *float64   `json:"ordered_m3"`
	Remainder *float64   `json:"remainder_m3"`
}

type bedFlat struct {
	Volume   float64 `json:"volume_m3"`
	Proud    float64 `json:"in_the_way_m3"`
	Least    float64 `json:"least_m"`
	Greatest float64 `json:"greatest_m"`
	Mean     float64 `json:"mean_m"`
}

// marks adds highs and lows, and what follows from them.
func (r *flatJSON) marks(j *judged) {
	for _, m := range j.work.Marks {
		out := markFlat{Number: m.Number, At: pt(m.At), Height: math.Abs(m.Off), Beyond: m.Beyond, Area: m.Area, Volume: m.Volume, Passes: m.Passes, Bags: m.Bags, Walls: []float64{}, Beside: []sideFlat{}}
		for _, w := range m.Walls {
			out.Walls = append(out.Walls, w.Distance)
		}
		for _, s := range wallsOf(j.floor, m.At) {
			out.Beside = append(out.Beside, sideFlat{wallShort(s), s.Distance})
		}
		if m.High {
			r.Highs = append(r.Highs, out)
		} else {
			r.Lows = append(r.Lows, out)
		}
	}
	r.Small = j.work.Small
	if c := j.raised; c != nil {
		r.Compensation = &compensateFlat{c.Offset, c.Grind, c.Fill, c.GrindAt, c.FillAt, c.Deepest}
	}
	if p := j.placed; p != nil {
		r.Placed = &placedFlat{p.Area, p.Placed, p.Lost, p.LostArea, p.Net, p.Mean, p.Most, pt(p.MostAt), p.Least, pt(p.LeastAt), nil, nil}
		if p.Ordered > 0 {
			r.Placed.Ordered, r.Placed.Remainder = &p.Ordered, &p.Remainder
		}
	}
	if b := j.bed; b != nil {
		r.Bed = &bedFlat{b.Volume, b.Proud, b.Least, b.Greatest, b.Mean}
	}
}

// markName is what a place is called on the map and in the list.
func markName(m *flatness.Mark) string {
	if m.High {
		return fmt.Sprintf("H%d", m.Number)
	}
	return fmt.Sprintf("L%d", m.Number)
}

// taskOf says what is to be done about a place.
func taskOf(m *flatness.Mark) string {
	switch {
	case m.High && m.Passes == 1:
		return "grind, 1 pass"
	case m.High:
		return fmt.Sprintf("grind, %d passes", m.Passes)
	case m.Bags > 0:
		return "fill, " + plural(m.Bags, "bag")
	}
	return "fill"
}

// tellMarks writes what was placed, what is to be done, and what follows from that.
func (j *judged) tellMarks(style unit.Style, row func(string, string, ...any)) {
	if p := j.placed; p != nil {
		row("Placed", "%s net over %s, mean %s; most %s at %s, least %s at %s", style.Volume(p.Net), style.Area(p.Area), style.Depth(p.Mean), style.Depth(p.Most), beside(j.floor, p.MostAt, style), style.Depth(p.Least), beside(j.floor, p.LeastAt, style))
		if p.Ordered > 0 {
			what := "left over, lost in pump and hopper, or thicker than surveyed"
			if p.Remainder < 0 {
				what = "more lies there than was ordered"
			}
			row("", "ordered %s: difference %s, %s", style.Volume(p.Ordered), style.Volume(p.Remainder), what)
		}
		if p.LostArea > 0 {
			row("", "%s of it lies lower than before, %s: settled, or surveyed otherwise", style.Area(p.LostArea), style.Volume(p.Lost))
		}
	}
	if j.covered && j.bed == nil && j.floor != nil {
		how := "--finish Z or --finish-code CODE with --buildup L"
		if j.inJob {
			how = "target.finish or target.finish-codes with target.buildup, instead of target.elevation"
		}
		row("Bed", "not known: give the finished level as well, %s", how)
	}
	if v := j.bed; v != nil {
		row("Bed", "%s to bring the covering to the finished level; thickness %s to %s, mean %s", style.Volume(v.Volume), style.Depth(v.Least), style.Depth(v.Greatest), style.Depth(v.Mean))
		if v.Proud > 0 {
			row("", "the floor stands in the way of the covering by %s at the most", style.Depth(-v.Least))
		}
		if l := j.covering; v.Least < l.Least {
			row("", "thinner than the least bed of %s by %s at the most", style.Depth(l.Least), style.Depth(l.Least-v.Least))
		}
		if l := j.covering; l.Greatest > 0 && v.Greatest > l.Greatest {
			row("", "thicker than the greatest bed of %s by %s at the most", style.Depth(l.Greatest), style.Depth(v.Greatest-l.Greatest))
		}
	}
	if j.floor == nil {
		return
	}
	w := j.work
	if len(w.Marks)+w.Small == 0 {
		row("To do", "nothing: no place is off the plane by more than %s", fine(j.tol, style))
		return
	}
	small := ""
	if w.Small > 0 {
		small = fmt.Sprintf("%s smaller than %s each, %s in all", plural(w.Small, "place"), style.Area(j.leastArea), notNought(style.Area(w.SmallArea)))
	}
	var tasks []string
	if w.GrindArea > 0 && w.GrindArea >= j.leastArea {
		tasks = append(tasks, fmt.Sprintf("grind %s of floor (%s)", notNought(style.Area(w.GrindArea)), notNought(smallVolume(w.Grind, style))))
	}
	if w.FillArea > 0 && w.FillArea >= j.leastArea {
		tasks = append(tasks, fmt.Sprintf("fill %s (%s)", notNought(style.Area(w.FillArea)), notNought(smallVolume(w.Fill, style))))
	}
	if len(tasks) == 0 {
		row("To do", "nothing to list: %s", small)
		return
	}
	row("To do", "%s to come within ±%s", strings.Join(tasks, ", "), fine(j.tol, style))
	if c := j.raised; c != nil && w.GrindArea >= j.leastArea && c.Offset > 0 {
		left := "nothing need be ground"
		if c.Grind > 1e-9 {
			left = smallVolume(c.Grind, style) + " is left to grind"
		}
		least := 0.0001 // m, the last digit shown
		if style.Imperial {
			least = 0.0254 / 64
		}
		switch {
		case j.off.Highest-j.tol < least/2:
			row("", "no high stands out of that by as much as %s", fine(least, style))
		case c.Offset >= least/2:
			row("", "grinding is the last resort: judged by a plane %s higher %s, and the lows take %s; the deepest place then lies %s below it", fine(c.Offset, style), left, notNought(smallVolume(c.Fill, style)), style.Depth(c.Deepest))
		}
	}
	if small != "" {
		row("", "not listed: %s", small)
	}
}

// lists tells whether highs and lows make a table.
func (j *judged) lists() bool {
	if j.floor == nil || len(j.work.Marks) == 0 {
		return false
	}
	w := j.work
	return w.GrindArea > 0 && w.GrindArea >= j.leastArea || w.FillArea > 0 && w.FillArea >= j.leastArea
}

// printMarks prints highs and lows with their places, and what to do about them.
func (j *judged) printMarks(b *bytes.Buffer, style unit.Style) {
	if !j.lists() {
		return
	}
	w := j.work
	fmt.Fprintf(b, "\n")
	t := tabwriter.NewWriter(b, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintf(t, "place\tat\tfrom two walls\toff the plane\tarea\tvolume\tto do\t\n")
	const most = 30
	for i := range w.Marks {
		if i == most {
			break
		}
		m := &w.Marks[i]
		side := " below"
		if m.High {
			side = " above"
		}
		fmt.Fprintf(t, "%s\t%s\t%s\t%s\t%s\t%s\t%s\t\n", markName(m), at(m.At, style), fromWalls(j.floor, m.At, style), fine(math.Abs(m.Off), style)+side, notNought(style.Area(m.Area)), notNought(smallVolume(m.Volume, style)), taskOf(m))
	}
	t.Flush()
	if n := len(w.Marks); n > most {
		fmt.Fprintf(b, "… and %d more; --json lists all\n", n-most)
	}
}

// listRules prints the table of limits in the unit of the style.
func listRules(style unit.Style) []byte {
	var b bytes.Buffer
	w := tabwriter.NewWriter(&b, 0, 0, 2, ' ', 0)
	fmt.Fprintf(w, "rule\tstandard\tclass\tmeasure\tlimit\thow known\n")
	for _, r := range flatness.Limits() {
		limit := "by length"
		switch {
		case r.Kind <= flatness.ByLocalFL:
			limit = fmt.Sprintf("%g", r.Limit)
			if r.Local {
				limit = fmt.Sprintf("%.3g", r.Limit*0.6)
			}
		case r.Kind == flatness.BySupports:
			limit = "by the distance of the supports"
		case r.Limit > 0:
			limit = fmt.Sprintf("%.3g mm", r.Limit*1e3)
			if style.Imperial {
				limit = ownInches(r.Limit, limit, fine(r.Limit, style))
			}
		}
		measure := r.Kind.String()
		if r.Length > 0 {
			length := fmt.Sprintf("%.4g m", r.Length)
			if style.Imperial {
				length = ownInches(r.Length, length, style.Length(r.Length))
			}
			measure += ", " + length
		}
		if r.Share > 0 {
			measure += fmt.Sprintf(", %.3g %% of it", r.Share*100)
		}
		fmt.Fprintf(w, "%s\t%s\t%s\t%s\t%s\t%s\n", r.Name, strings.TrimSpace(r.Standard+" "+r.Edition), r.Class, measure, limit, r.Known)
	}
	w.Flush()
	return b.Bytes()
}

// ownInches returns what a rule states in inches as such; of a metric limit the nearest
// 1/64 in could be more than it, so that it is decimal, beside the figure of the rule.
func ownInches(m float64, metric, inches string) string {
	if n := m / unit.Inch.Metres() * 32; math.Abs(n-math.Round(n)) < 1e-6 {
		return inches
	}
	return fmt.Sprintf("%.3f in (%s)", m/unit.Inch.Metres(), metric)
}

// ruleLength writes a length that a rule asks for: whole inches in a job of feet, else
// metres, which such a rule is written in.
func ruleLength(m float64, style unit.Style) string {
	if inches := m / unit.Inch.Metres(); style.Imperial && math.Abs(inches-math.Round(inches)) < 1e-6 {
		return style.Length(m)
	}
	return strconv.FormatFloat(m, 'g', 4, 64) + " m"
}

// fine writes a gap finer than depths are: gaps are a millimetre or two.
func fine(m float64, style unit.Style) string {
	if style.Imperial {
		style.Denominator = 64
		return style.Depth(m)
	}
	return strconv.FormatFloat(m*1e3, 'f', 1, 64) + " mm"
}

// sideOf writes a departure in words.
func sideOf(m float64, style unit.Style) string {
	switch size := fine(math.Abs(m), style); {
	case size == fine(0, style):
		return size // on no side
	case m < 0:
		return size + " below"
	default:
		return size + " above"
	}
}

// notNought writes what is too small for its digits as less than the last of them.
func notNought(text string) string {
	number, of, ok := strings.Cut(text, " ")
	if !ok || strings.ContainsAny(number, "123456789") {
		return text
	}
	return "less than " + number[:len(number)-1] + "1 " + of
}

// smallest writes what is a fraction of a millimetre.
func smallest(m float64, style unit.Style) string {
	if style.Imperial {
		return strconv.FormatFloat(m/0.0254, 'f', 3, 64) + " in"
	}
	return strconv.FormatFloat(m*1e3, 'f', 2, 64) + " mm"
}

func ranged(f flatness.F, i flatness.Interval) string {
	if f.Infinite() {
		return "no departure"
	}
	if !i.Known() {
		return f.String()
	}
	return fmt.Sprintf("%s (%s to %s)", f, i.Low, i.High)
}

func (j *judged) print(style unit.Style, out string, written []output) []byte {
	var b bytes.Buffer
	fmt.Fprintf(&b, "%s\n\n", printable(j.title))
	row := func(head, format string, args ...any) {
		fmt.Fprintf(&b, "%-14s %s\n", head, printable(fmt.Sprintf(format, args...)))
	}
	j.tellPlane(style, row)
	j.tellEdges(style, row)
	j.printRuns(&b, style, row)
	j.tellChords(style, row)
	j.tellMarks(style, row)
	j.printMarks(&b, style)
	if j.doors != nil && !j.inJob { // a job has told its thresholds with the fill
		(&summary{work: j.doors, style: style}).doors(&b)
	}
	printClasses(&b, j, style, j.inJob)
	if len(written) > 0 {
		fmt.Fprintf(&b, "\nWritten to %s:", out)
		for _, o := range written {
			fmt.Fprintf(&b, " %s", o.name)
		}
		fmt.Fprintf(&b, "\n")
	}
	say(&b, j.notes, nil, style)
	return b.Bytes()
}

// tellPlane writes how far the floor is off the plane that it is held against.
func (j *judged) tellPlane(style unit.Style, row func(string, string, ...any)) {
	if j.floor == nil {
		return
	}
	what := "target plane"
	if j.fitted {
		what = "its own plane (least squares; --target holds it against yours)"
	}
	row("Against", "%s, %s", what, targetText(j.plane, j.floor, style))
	row("Departures", "highest %s at %s, lowest %s at %s", sideOf(j.off.Highest, style), beside(j.floor, j.off.HighestAt, style), sideOf(j.off.Lowest, style), beside(j.floor, j.off.LowestAt, style))
	row("", "%.1f %% of %s within ±%s; root mean square %s", 100*j.off.Within, style.Area(j.area), fine(j.tol, style), smallest(j.off.RMS, style))
}

// tellEdges writes the gaps under the straightedges that were asked for.
func (j *judged) tellEdges(style unit.Style, row func(string, string, ...any)) {
	for i, e := range j.edges {
		if i >= j.asked {
			break // laid for the rules
		}
		head := "Straightedge"
		if i > 0 {
			head = ""
		}
		if !e.Fits {
			row(head, "%s: fits nowhere; the longest way from wall to wall is %s", edgeLength(e.Length, style), style.Length(e.Longest))
			continue
		}
		where := stretch(j.floor, e.From, e.To, style)
		if e.run != "" {
			where = "on run " + e.run
		}
		share := ""
		if text := j.tooSparse(e.Length, style); text != "" {
			row(head, "%s: %s; gap at the %s %s, %s", edgeLength(e.Length, style), text, j.readings(), fine(e.Gap, style), where)
			continue
		}
		if j.tol > 0 {
			share = fmt.Sprintf("; %.1f %% of all positions within %s", 100*e.Within(j.tol), fine(j.tol, style))
		}
		row(head, "%s: largest gap %s, %s%s", edgeLength(e.Length, style), fine(e.Gap, style), where, share)
	}
}

// tellRuns writes the F-numbers of all runs together.
func (j *judged) tellRuns(row func(string, string, ...any)) {
	w := j.whole
	if w == nil {
		if j.why != "" {
			row("F-numbers", "none: %s", j.why)
		}
		return
	}
	row("F-numbers", "FF %s, FL %s; brackets: 90 %%, %s", ranged(w.FF, w.FFRange), ranged(w.FL, w.FLRange), flatness.Estimate)
	if len(w.Sections) > 1 {
		row("", "least of a section: FF %s (%s), FL %s (%s)", w.LocalFF.F, w.LocalFF.Of.Name, w.LocalFL.F, w.LocalFL.Of.Name)
	}
}

func (j *judged) tellChords(style unit.Style, row func(string, string, ...any)) {
	if len(j.chords) == 0 {
		return
	}
	var parts []string
	for _, c := range j.chords {
		parts = append(parts, fmt.Sprintf("%s %s", style.Length(c.Length), smallest(c.RMS, style)))
	}
	row("Chords", "middle off the chord, root mean square: %s", strings.Join(parts, ", "))
}

// verdict is in one sentence how the floor came out.
func (j *judged) verdict(style unit.Style) string {
	count := map[string]int{}
	rules, skipped := j.rulings(style)
	for _, r := range rules {
		count[r.outcome]++
	}
	kept := fmt.Sprintf("standards: %d pass, %d fail", count[flatness.Pass.String()], count[flatness.Fail.String()])
	if n := count["part"]; n > 0 {
		kept += fmt.Sprintf(", %d partly measured", n)
	}
	sparse := len(unjudged(rules))
	if n := sparse + len(skipped); n > 0 {
		kept += fmt.Sprintf(", %d not measured", n)
	}
	if sparse > 0 {
		kept += fmt.Sprintf(" (%s %s apart, too far for the straightedges of %d)", j.readings(), style.Length(j.apart), sparse)
	}
	if j.floor == nil {
		return kept
	}
	of := "the target"
	if j.fitted {
		of = "its own plane"
	}
	return fmt.Sprintf("%.1f %% of the floor within ±%s of %s; %s", 100*j.off.Within, fine(j.tol, style), of, kept)
}

// What a terminal shows of flatness without --verbose.
const (
	mostFlatLines  = 40
	mostFlatPlaces = 6
	mostFlatRules  = 6 // that fail, with their figures
)

// short writes the verdict first, in at most [mostFlatLines] lines.
func (j *judged) short(style unit.Style, out string, written []output) []byte {
	rules, skipped := j.rulings(style)
	verdict := j.verdict(style)
	if len(rules) == 0 {
		verdict += ": nothing was measured that a rule asks for"
	}
	rows := []answerRow{{head: "Verdict", text: verdict, topic: survey.AboutFlatness}}
	var more []string
	by := map[string][]string{}
	failed := 0
	for _, r := range rules {
		if r.outcome != flatness.Fail.String() {
			by[r.outcome] = append(by[r.outcome], strings.Split(r.name, ", ")...)
			continue
		}
		if failed++; failed > mostFlatRules {
			continue
		}
		// Only what fails, and the first place of it: the others are in the table.
		i := slices.IndexFunc(r.parts, func(p string) bool { return strings.HasPrefix(p, "FAIL ") })
		rows = append(rows, answerRow{head: "Fail", text: r.name + ": " + strings.TrimPrefix(r.parts[i], "FAIL ")})
	}
	if n := failed - mostFlatRules; n > 0 {
		more = append(more, plural(n, "failed rule"))
	}
	for _, l := range []struct{ head, outcome string }{{"Pass", flatness.Pass.String()}, {"In part", "part"}} {
		if names := by[l.outcome]; names != nil {
			rows = append(rows, answerRow{head: l.head, text: strings.Join(names, ", ")})
		}
	}
	if n := len(by[flatness.NotMeasured.String()]) + len(skipped); n > 0 {
		more = append(more, plural(n, "rule")+" not measured")
	}
	row := func(head, format string, args ...any) {
		rows = append(rows, answerRow{head: head, text: fmt.Sprintf(format, args...)})
	}
	j.tellPlane(style, row)
	j.tellEdges(style, row)
	j.tellRuns(row)
	j.tellMarks(style, row)
	if w := j.doors; w != nil && len(w.thresholds) > 0 {
		row("Thresholds", "%s", strings.Replace((&summary{work: w, style: style}).doorsInShort(), "the fill", "the floor", 1))
	}
	tail := writtenInShort(out, written)
	room := mostFlatLines - len(tail) - 4 // title, two blank lines, count of what is left out
	figures := 0
	for i, r := range rows {
		if room -= len(r.lines()); room < 0 {
			figures = len(rows) - i
			rows = rows[:i]
			break
		}
	}
	if figures > 0 {
		more = append(more, plural(figures, "line")+" of figures")
	}
	if j.lists() {
		n := min(len(j.work.Marks), mostFlatPlaces, room-2) // blank line, head
		if n > 0 {
			rows = append(rows, answerRow{table: placesInShort(j, n, style)})
		}
		if n = len(j.work.Marks) - max(0, n); n > 0 {
			more = append(more, plural(n, "place"))
		}
	}
	var b bytes.Buffer
	brief{style: style, title: j.title, rows: rows, notes: j.notes, more: more, tail: tail, most: mostFlatLines}.print(&b)
	return b.Bytes()
}

// placesInShort is the table of the first n places, as wide as a terminal.
func placesInShort(j *judged, n int, style unit.Style) []string {
	var b bytes.Buffer
	t := tabwriter.NewWriter(&b, 0, 0, 2, ' ', 0)
	fmt.Fprintf(t, "place\tfrom two walls\toff the plane\tarea\tto do\n")
	for i := range n {
		m := &j.work.Marks[i]
		where := cellOf(j.floor, m.At, style)
		fmt.Fprintf(t, "%s\t%s\t%s\t%s\t%s\n", markName(m), printable(where), sideOf(m.Off, style), notNought(style.Area(m.Area)), taskOf(m))
	}
	t.Flush() // into memory: cannot fail
	lines := []string{""}
	for line := range strings.Lines(b.String()) {
		lines = append(lines, table.Cut(strings.TrimSpace(line), mostWide))
	}
	return lines
}

// printRuns prints F-numbers run by run, the sections and the rules of sampling.
func (j *judged) printRuns(b *bytes.Buffer, style unit.Style, row func(string, string, ...any)) {
	j.tellRuns(row)
	w := j.whole
	if w == nil {
		return
	}
	row("", "%s", flatness.Method)
	t := tabwriter.NewWriter(b, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintf(b, "\n")
	fmt.Fprintf(t, "run\treadings\tlength\tFF\tFL\t\n")
	const most = 40
	n := 0
	for _, sec := range w.Sections {
		for i := range sec.Lines {
			if n++; n <= most {
				l := &sec.Lines[i]
				fmt.Fprintf(t, "%s\t%d\t%s\t%s\t%s\t\n", printable(l.Run), l.Readings(), style.Length(l.Length()), ranged(l.FF, l.FFRange), ranged(l.FL, l.FLRange))
			}
		}
	}
	t.Flush()
	if n > most {
		fmt.Fprintf(b, "… and %d more; --json lists all\n", n-most)
	}
	for _, sec := range w.Sections {
		name := "Rules of sampling"
		if sec.Name != "" {
			name += ", " + sec.Name
		}
		wanted := "; how many are wanted is not known without the area"
		if sec.Required > 0 {
			wanted = fmt.Sprintf(" of %d wanted", sec.Required)
		}
		fmt.Fprintf(b, "\n%s (%d differences%s%s)\n", printable(name), sec.Differences, wanted, basis(sec.Basis))
		for _, u := range sec.Rules {
			fmt.Fprintf(b, "  %-9s %s: %s (%s)\n", u.Met, u.Rule, printable(u.Found), u.Source)
		}
	}
}

func basis(text string) string {
	if text == "" {
		return ""
	}
	return "; rests on " + text
}

// ruling is a rule with what was found of it.
type ruling struct {
	name, what, outcome string // pass, fail, part where the rest was not measured, or not measured, of all rules that lack the same readings
	parts               []string
}

// rulings holds the floor against each rule, once each. A rule of which only some
// parts were measured names the others; skipped are those of which none was.
func (j *judged) rulings(style unit.Style) (out []ruling, skipped []string) {
	type group struct {
		ruling
		missing []string
		length  float64 // m of the straightedge that readings are too far apart for; 0: none
		wanted  float64 // m between readings, for it
	}
	var groups []*group
	byName := map[string]*group{}
	for i := range j.verdicts {
		v := &j.verdicts[i]
		g := byName[v.Row.Name]
		if g == nil {
			what := v.Row.Standard
			if v.Row.Class != "" {
				what += ", " + v.Row.Class
			}
			g = &group{ruling: ruling{name: v.Row.Name, what: what, outcome: flatness.Pass.String()}}
			byName[v.Row.Name] = g
			groups = append(groups, g)
		}
		if v.Overall {
			continue // of the whole floor, which has a limit of its own
		}
		part := verdictText(v, style)
		switch v.Outcome {
		case flatness.NotMeasured:
			part = v.Row.Kind.String()
			if v.Row.Length > 0 {
				part += " of " + ruleLength(v.Row.Length, style)
			}
			if v.Wanted > 0 {
				if v.Row.Kind == flatness.BySupports {
					part += fmt.Sprintf(", straightedges from %g m", v.Length)
				}
				part += " (" + j.sparse(v.Wanted, style) + ")"
				if g.length == 0 || v.Length < g.length {
					g.length, g.wanted = v.Length, v.Wanted
				}
			}
			g.missing = append(g.missing, part)
			continue
		case flatness.Fail:
			g.outcome = v.Outcome.String()
			part = "FAIL " + part
			if !math.IsNaN(v.From.X + v.From.Y) {
				part += " at " + cellOf(j.floor, v.From, style)
			}
		}
		g.parts = append(g.parts, part)
	}
	lacking := map[float64]int{} // in out, by length
	for _, g := range groups {
		if g.parts == nil && g.length > 0 {
			i, ok := lacking[g.length]
			if !ok {
				i = len(out)
				lacking[g.length] = i
				out = append(out, ruling{what: edgeLength(g.length, style) + " straightedge", outcome: flatness.NotMeasured.String(), parts: []string{j.sparse(g.wanted, style)}})
			}
			out[i].name = strings.TrimPrefix(out[i].name+", "+g.name, ", ")
			continue
		}
		if g.parts == nil {
			skipped = append(skipped, g.name)
			continue
		}
		g.parts = compact(g.parts)
		if g.missing != nil {
			if g.outcome == flatness.Pass.String() {
				g.outcome = "part"
			}
			g.parts = append(g.parts, "not measured: "+strings.Join(compact(g.missing), ", "))
		}
		out = append(out, g.ruling)
	}
	return out, skipped
}

const inPart = "part: what was measured is within, the rest of the rule was not measured"

// unjudged names the rules that lack readings for a straightedge.
func unjudged(rules []ruling) []string {
	var out []string
	for _, r := range rules {
		if r.outcome == flatness.NotMeasured.String() {
			out = append(out, strings.Split(r.name, ", ")...)
		}
	}
	return out
}

// edgeRule states when a straightedge is judged at all.
func (j *judged) edgeRule() string {
	return fmt.Sprintf("A straightedge is judged where %s are no farther apart than %.0f %% of its length on 95 %% of the floor", j.readings(), 100*j.settings.Wanted(1))
}

// printClasses prints which limits the floor keeps, one line a rule.
func printClasses(b *bytes.Buffer, j *judged, style unit.Style, inJob bool) {
	fmt.Fprintf(b, "\nWho would accept it (measured, of what is allowed)\n")
	rules, skipped := j.rulings(style)
	for _, r := range rules {
		if r.outcome == flatness.NotMeasured.String() {
			continue
		}
		fmt.Fprintf(b, "  %-4s  %-20s %s: %s\n", r.outcome, r.name, printable(r.what), printable(strings.Join(r.parts, "; ")))
	}
	for _, r := range rules {
		if r.outcome == flatness.NotMeasured.String() {
			fmt.Fprintf(b, "  not measured, %s: %s: %s\n", r.what, strings.Join(r.parts, "; "), r.name)
		}
	}
	if len(rules) == 0 {
		fmt.Fprintf(b, "  nothing was measured that a rule asks for\n")
	}
	if slices.ContainsFunc(rules, func(r ruling) bool { return r.outcome == "part" }) {
		fmt.Fprintf(b, "  %s\n", inPart)
	}
	if slices.ContainsFunc(j.verdicts, func(v flatness.Verdict) bool { return v.Wanted > 0 }) {
		fmt.Fprintf(b, "  %s\n", j.edgeRule())
	}
	if len(skipped) > 0 {
		fmt.Fprintf(b, "  not measured: %s\n", strings.Join(skipped, ", "))
	}
	where := "--json gives both, and where each limit comes from; --rule list prints the table"
	if inJob {
		where = "result.json gives both, and where each limit comes from"
	}
	fmt.Fprintf(b, "  A value passes raw or rounded; %s.\n", where)
}

// verdictText writes one measure in the unit of its limit.
func verdictText(v *flatness.Verdict, style unit.Style) string {
	own := style
	if v.Row.Kind > flatness.ByLocalFL {
		n := v.Row.Limit / 0.0254 * 32
		own.Imperial = v.Row.Limit > 0 && math.Abs(n-math.Round(n)) < 1e-6 && len(v.Row.Spans) == 0
	}
	number := func(x float64) string {
		switch {
		case math.IsInf(x, 1):
			return "no departure"
		case v.Row.Kind <= flatness.ByLocalFL:
			return strconv.FormatFloat(math.Round(x*10)/10, 'f', -1, 64)
		}
		return fine(x, own)
	}
	value := number(v.Value) + " of " + number(v.Limit)
	switch v.Row.Kind {
	case flatness.ByFF:
		value = "FF " + value
	case flatness.ByFL:
		value = "FL " + value
	case flatness.ByLocalFF:
		value = "least FF " + value
	case flatness.ByLocalFL:
		value = "least FL " + value
	case flatness.ByStraightedge:
		value += " under " + strings.TrimSuffix(own.Length(v.Length), ".000 m")
		if !own.Imperial {
			value = number(v.Value) + " of " + number(v.Limit) + fmt.Sprintf(" under %g m", v.Length)
		}
		if v.Row.Share > 0 && !math.IsNaN(v.Share) {
			value = shareText(v, number) + value[strings.Index(value, " under "):]
		}
	case flatness.BySupports:
		value += fmt.Sprintf(" over %.3g m", v.Length)
	case flatness.ByThreshold:
		value += " at " + v.Where
	default:
		if v.Row.Share > 0 && !math.IsNaN(v.Share) {
			value = shareText(v, number)
		}
		value = v.Row.Kind.String() + " " + value
	}
	if v.Unread > 0 {
		value += fmt.Sprintf(" on %.0f %% of the floor", math.Floor(100*(1-v.Unread)))
	}
	if v.Row.Instead != "" {
		value += " (edge resting on the floor, not from " + v.Row.Instead + ")"
	}
	if strings.Contains(v.Note, "inside the interval") {
		value += " (limit inside the interval)"
	}
	return value
}

// shareText writes how many of the readings are within a limit that some may exceed.
func shareText(v *flatness.Verdict, number func(float64) string) string {
	return fmt.Sprintf("%.1f %% within %s (%.0f %% needed)", 100*v.Share, number(v.Limit), 100*v.Row.Share)
}

func compact(list []string) []string {
	var out []string
	seen := map[string]bool{}
	for _, s := range list {
		if !seen[s] {
			seen[s] = true
			out = append(out, s)
		}
	}
	return out
}

// places is the list of numbered places for a spreadsheet.
func (j *judged) places(style unit.Style) []byte {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	name, size := style.Places().String(), style.Places().Metres()
	head := []string{"number", "what", "x_" + name, "y_" + name, "from_wall_1_" + name, "from_wall_2_" + name, "off_plane_m", "area_m2", "volume_m3", "passes", "bags", "wall_1", "wall_2"}
	if style.Imperial {
		head = append(head, "off_plane_in", "area_ft2", "volume_ft3")
	}
	w.Write(head)
	num := func(v float64, digits int) string { return strconv.FormatFloat(v, 'f', digits, 64) }
	for i := range j.work.Marks {
		m := &j.work.Marks[i]
		var walls, named [2]string
		for k, o := range wallsOf(j.floor, m.At) {
			walls[k], named[k] = num(o.Distance/size, 3), wallShort(o)
		}
		what, passes, bags := "low", "", ""
		if m.High {
			what, passes = "high", strconv.Itoa(m.Passes)
		}
		if m.Bags > 0 {
			bags = strconv.Itoa(m.Bags)
		}
		row := []string{markName(m), what, num(m.At.X/size, 3), num(m.At.Y/size, 3), walls[0], walls[1], num(m.Off, 4), num(m.Area, 3), num(m.Volume, 5), passes, bags, named[0], named[1]}
		if style.Imperial {
			const foot = 0.3048 // m
			row = append(row, num(m.Off/foot*12, 3), num(m.Area/(foot*foot), 2), num(m.Volume/(foot*foot*foot), 4))
		}
		w.Write(row)
	}
	w.Flush()
	return b.Bytes()
}

// pictures lists the maps of flatness under a title.
func (j *judged) pictures(title string, style unit.Style) []picture {
	var all []picture
	if j.floor != nil {
		m := &plot.DepthMap{
			Title:   title,
			Summary: fmt.Sprintf("Departures from the plane: %.1f %% of the area within ±%s", 100*j.off.Within, fine(j.tol, style)),
			Floor:   j.floor, Target: j.plane, Units: style, Departure: true, Shots: len(j.survey.Points) <= 400,
		}
		// More than a dozen of a kind would hide the floor; the list has them all.
		drawn := map[bool]int{}
		for i := range j.work.Marks {
			v := &j.work.Marks[i]
			if drawn[v.High]++; drawn[v.High] <= 12 {
				m.Marks = append(m.Marks, plot.Mark{Name: markName(v), At: v.At, Rings: v.Rings})
			}
		}
		if n := len(j.work.Marks); n > len(m.Marks) {
			m.Note = fmt.Sprintf("The %d largest of %d places are outlined; the list has them all", len(m.Marks), n)
		}
		all = append(all, picture{"departures", m})
		if h := j.histogram(title, style); h != nil {
			all = append(all, picture{"histogram", h})
		}
		for i, e := range j.edges {
			if i >= j.asked || !e.Fits {
				continue
			}
			one := &plot.DepthMap{
				Title:   title,
				Summary: fmt.Sprintf("%s straightedge: largest gap %s", edgeLength(e.Length, style), fine(e.Gap, style)) + j.between(e.Length, style),
				Note:    "Numbered: the worst places, each with the straightedge as it lies",
				Floor:   j.floor, Target: j.plane, Units: style, Departure: true, Levels: m.Levels,
			}
			for k, w := range e.Worst {
				one.Marks = append(one.Marks, plot.Mark{Name: strconv.Itoa(k+1) + ": " + fine(w.Gap, style), At: w.LowAt, Lines: [][2]surface.Vec{{w.From, w.To}}})
			}
			if e.Swing > 0 {
				one.Note += "; rocks: where it turns most on a hump, each end by " + fine(e.Swing, style)
				one.Marks = append(one.Marks, plot.Mark{Name: "rocks", At: e.Rock.LowAt, Lines: [][2]surface.Vec{{e.Rock.From, e.Rock.To}}})
			}
			suffix := ""
			if i > 0 {
				suffix = fmt.Sprintf("-%d", i+1)
			}
			all = append(all, picture{"straightedge" + suffix, one})
			if q := edgeProfile(j.floor, e.Straightedge, title, style); q != nil {
				q.Summary += j.between(e.Length, style)
				all = append(all, picture{"worst-gap" + suffix, q})
			}
		}
	}
	if j.floor == nil {
		for i, e := range j.edges {
			if q := j.runProfile(e, title, style); i < j.asked && q != nil {
				q.Summary += j.between(e.Length, style)
				suffix := ""
				if i > 0 {
					suffix = fmt.Sprintf("-%d", i+1)
				}
				all = append(all, picture{"worst-gap" + suffix, q})
			}
		}
	}
	if j.whole != nil {
		m := &plot.RunMap{Title: title, Summary: fmt.Sprintf("FF %s, FL %s; %s", j.whole.FF, j.whole.FL, flatness.Method), Units: style}
		placed := false
		for _, sec := range j.whole.Sections {
			for i := range sec.Lines {
				l := &sec.Lines[i]
				run := survey.Run{Name: l.Run, Step: l.Step, Stations: make([]survey.Station, l.Readings())}
				run.Start, run.End = survey.Point{X: l.Start.X, Y: l.Start.Y}, survey.Point{X: l.End.X, Y: l.End.Y}
				placed = placed || run.Placed()
				m.Runs = append(m.Runs, run)
				m.Text = append(m.Text, fmt.Sprintf("FF %s FL %s", l.FF, l.FL))
			}
		}
		if j.floor != nil {
			for _, r := range j.floor.Regions {
				m.Outlines = append(m.Outlines, r.Rings...)
			}
		}
		for _, r := range j.survey.Rings {
			if j.floor == nil {
				var ring []surface.Vec
				for _, q := range r.Points {
					ring = append(ring, surface.Vec{X: q.X, Y: q.Y})
				}
				m.Outlines = append(m.Outlines, ring)
			}
		}
		if placed {
			all = append(all, picture{"runs", m})
		}
	}
	return all
}

// between qualifies a gap under a straightedge that the readings are too far apart for.
func (j *judged) between(length float64, style unit.Style) string {
	if text := j.tooSparse(length, style); text != "" {
		return " at the " + j.readings() + "; " + text
	}
	return ""
}

// histogram sorts the area by its departure.
func (j *judged) histogram(title string, style unit.Style) *plot.Histogram {
	high, low := j.off.Highest, j.off.Lowest
	step := 0.0005
	if style.Imperial {
		step = 0.0254 / 32
	}
	for (high-low)/step > 40 {
		step *= 2
	}
	from := step * math.Floor(low/step)
	n := int(math.Ceil((high-from)/step + 1e-9))
	if n < 1 {
		return nil
	}
	shares, err := flatness.Shares(j.floor, j.plane, from, step, n)
	if err != nil {
		return nil
	}
	return &plot.Histogram{Title: title, Summary: fmt.Sprintf("%.1f %% of the area within ±%s of the plane", 100*j.off.Within, fine(j.tol, style)), From: from, Step: step, Shares: shares, Tolerance: j.tol, Units: style}
}

// runProfile draws the run with the worst place of an edge, and its curvature.
func (j *judged) runProfile(e laid, title string, style unit.Style) *plot.EdgeProfile {
	for _, r := range j.runs {
		if r.Name != e.run || !e.Fits {
			continue
		}
		profile, err := flatness.Stretches(r)
		if err != nil {
			return nil
		}
		along := func(v surface.Vec) float64 {
			if !r.Placed() {
				return v.X // places are metres along the run
			}
			return math.Hypot(v.X-r.Start.X, v.Y-r.Start.Y)
		}
		for _, line := range profile {
			if line[0].Distance > along(e.SupportA)+1e-6 || line[len(line)-1].Distance < along(e.SupportB)-1e-6 {
				continue
			}
			var h []float64
			for _, q := range line {
				h = append(h, q.Elevation)
			}
			return &plot.EdgeProfile{Title: title, Summary: fmt.Sprintf("Run %s: gap %s under a straightedge of %s", r.Name, fine(e.Gap, style), edgeLength(e.Length, style)),
				Line: line, From: along(e.From), To: along(e.To), A: along(e.SupportA), B: along(e.SupportB), Low: along(e.LowAt), Gap: e.Gap, Curvature: flatness.Curvatures(h), Units: style}
		}
	}
	return nil
}

// edgeProfile draws the floor under the worst position of an edge, with a bit to
// either side.
func edgeProfile(floor *surface.Floor, e flatness.Straightedge, title string, style unit.Style) *plot.EdgeProfile {
	length := e.From.Distance(e.To)
	if length == 0 {
		return nil
	}
	ux, uy := (e.To.X-e.From.X)/length, (e.To.Y-e.From.Y)/length
	more := 0.12 * length
	a := surface.Vec{X: e.From.X - more*ux, Y: e.From.Y - more*uy}
	b := surface.Vec{X: e.To.X + more*ux, Y: e.To.Y + more*uy}
	along := func(v surface.Vec) float64 { return (v.X-a.X)*ux + (v.Y-a.Y)*uy }
	for _, run := range floor.Profile(a, b) {
		if run[0].Distance <= along(e.SupportA)+1e-6 && run[len(run)-1].Distance >= along(e.SupportB)-1e-6 {
			return &plot.EdgeProfile{Title: title, Summary: fmt.Sprintf("%s straightedge: gap %s", edgeLength(e.Length, style), fine(e.Gap, style)), Note: stretch(floor, e.From, e.To, style),
				Line: run, From: along(e.From), To: along(e.To), A: along(e.SupportA), B: along(e.SupportB), Low: along(e.LowAt), Gap: e.Gap, Units: style}
		}
	}
	return nil
}
