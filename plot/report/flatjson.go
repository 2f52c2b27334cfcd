package report

import (
	"math"

	"pourplane/surface"
	"pourplane/surface/flatness"
	"pourplane/surface/job"
	"pourplane/survey/unit"
)

// FlatJSON is the output of flatness --json. Fields are added, never renamed. F-numbers are
// null if no departure was measured.
type FlatJSON struct {
	Method       string          `json:"method"`
	Runs         []runFlat       `json:"runs"`
	LaidOut      bool            `json:"runs_laid_out"`
	NoF          string          `json:"no_f_numbers,omitempty"`
	Section      *sectionFlat    `json:"section"`
	Sections     []sectionFlat   `json:"sections"`
	Settings     []settingFlat   `json:"settings"`
	Accuracy     accuracyJSON    `json:"accuracy"`
	ReadingUsed  float64         `json:"reading_sd_used_m"` // in verdicts: less than the usual one where readings scatter less
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
	Best         *bestJSON       `json:"best,omitempty"` // none unless the target is the plane of least cost
	Thresholds   []threshold     `json:"thresholds"`
	Water        *[]pondJSON     `json:"water,omitempty"` // the ponds; left out where not asked for
	Drainage     []drainageJSON  `json:"drainage,omitempty"`
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
	WhyFF    string        `json:"ff_ci90_unknown,omitempty"` // why there is none
	WhyFL    string        `json:"fl_ci90_unknown,omitempty"`
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
	Met    *bool  `json:"met"` // null: unknown
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
	Length   float64     `json:"length_m"`
	Fits     bool        `json:"fits"`
	Gap      *float64    `json:"max_gap_m"`
	From     [2]float64  `json:"from"`
	To       [2]float64  `json:"to"`
	LowAt    [2]float64  `json:"low_at"`
	Within   *float64    `json:"within_share"` // of positions, within the tolerance; null: unknown
	Spacing  float64     `json:"line_spacing_m"`
	Run      string      `json:"run,omitempty"`
	Rocking  float64     `json:"rocking_share"`
	Position float64     `json:"positions_m"`
	Carried  bool        `json:"carries_verdict"` // readings are close enough
	Apart    *float64    `json:"readings_apart_m"`
	Wanted   float64     `json:"readings_apart_wanted_m"` // max
	Close    float64     `json:"readings_close_share"`    // of the floor, where they are no farther apart
	Range    *[2]float64 `json:"max_gap_ci90_m"`          // null: not known
	Proven   *float64    `json:"gap_proven_m"`            // where readings are too far apart: what three in a row prove; null: nothing
}

type departureFlat struct {
	Plane     target      `json:"plane"`
	Parts     []levelOf   `json:"parts"`      // the targets of parts that have their own
	NotFilled []leftJSON  `json:"not_filled"` // parts that are not judged
	Fitted    bool        `json:"fitted"`
	Highest   float64     `json:"highest_m"` // above the plane
	HighestAt [2]float64  `json:"highest_at"`
	Lowest    float64     `json:"lowest_m"` // negative below the plane
	LowestAt  [2]float64  `json:"lowest_at"`
	Mean      float64     `json:"mean_m"`
	RMS       float64     `json:"rms_m"`
	Tolerance float64     `json:"tolerance_m"`
	Within    *float64    `json:"within_share"`      // of the area; null: too few shots for the whole floor
	WithinCI  *[2]float64 `json:"within_share_ci90"` // between the shots as well; null: not known
	Carried   bool        `json:"carries_verdict"`
	Shots     int         `json:"shots"`
	Wanted    int         `json:"shots_wanted"` // min
	Near      int         `json:"shots_within"` // the tolerance
	Apart     *float64    `json:"readings_apart_m"`
	Allowed   float64     `json:"readings_apart_wanted_m"` // max
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
	Pass     *bool       `json:"pass"`          // null: not measured
	Range    *[2]float64 `json:"measured_ci90"` // null: not known; of a max it holds the true value in 90 % of cases or more
	InDoubt  bool        `json:"in_doubt"`      // the limit is inside the range, or the share required inside that of the share
	AtLeast  bool        `json:"at_least"`      // measured is what the shots prove: they are too far apart for more
	Share    *float64    `json:"share_within"`
	From     *[2]float64 `json:"from"`
	To       *[2]float64 `json:"to"`
	Where    string      `json:"where"`
	Note     string      `json:"note"`
	Apart    *float64    `json:"readings_apart_m"`        // too far for a verdict; null otherwise
	Wanted   *float64    `json:"readings_apart_wanted_m"` // max, for a verdict
	Count    *int        `json:"count"`                   // values, shots or readings used; null: not counted
	Fewest   *int        `json:"count_wanted"`            // min, for a verdict
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
	Unseen bool       `json:"not_measured,omitempty"` // a high estimated at a wall, far from any reading
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

func NewFlat(j *job.Judged) FlatJSON {
	r := FlatJSON{
		Method: flatness.Method, Runs: []runFlat{}, LaidOut: j.LaidOut, NoF: j.Why.In(unit.StyleOf(j.Survey.Plan, j.Survey.Unit)), Sections: []sectionFlat{}, Settings: []settingFlat{}, Chords: []chordFlat{},
		Accuracy: accuracyOf(j.Accuracy), ReadingUsed: j.ReadingSD, Best: bestOf(j.Best), Straightedge: []edgeFlat{}, Classes: []classFlat{}, Highs: []markFlat{}, Lows: []markFlat{}, Thresholds: []threshold{},
	}
	r.runs(j)
	for _, c := range j.Chords {
		r.Chords = append(r.Chords, chordFlat{c.Length, c.N, c.RMS, c.Worst, c.Run})
	}
	r.edges(j)
	if j.Floor != nil {
		r.Departure = departureOf(j)
	}
	r.classes(j)
	r.marks(j)
	if w := j.Doors; w != nil {
		for i := range w.Thresholds {
			r.Thresholds = append(r.Thresholds, thresholdOf(w, &w.Thresholds[i]))
		}
	}
	r.Water, r.Drainage = waterJSON(standingOf(j))
	r.Assumed, r.Warnings, r.Cautions, r.LeftOut = notesByKind(j.Notes, unit.StyleOf(j.Survey.Plan, j.Survey.Unit))
	return r
}

// runs adds the F-numbers of runs and sections, and the settings they are from.
func (r *FlatJSON) runs(j *job.Judged) {
	w, step := j.Whole, j.Settings.Step
	if w == nil {
		return
	}
	one := sectionFlat{FF: w.FF, FL: w.FL, FFRange: [2]flatness.F{w.FFRange.Low, w.FFRange.High}, FLRange: [2]flatness.F{w.FLRange.Low, w.FLRange.High}, WhyFF: w.FFRange.Why, WhyFL: w.FLRange.Why,
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
			r.Runs = append(r.Runs, runFlat{l.Run, l.First, l.Readings(), l.Step, l.FF, l.FL, [2]flatness.F{noRange.Low, noRange.High}, [2]flatness.F{noRange.Low, noRange.High},
				l.FF.Infinite(), l.FL.Infinite(), ptOrNil(l.Start), ptOrNil(l.End)})
		}
	}
	if len(w.Sections) == 1 {
		one.Name = w.Sections[0].Name
	}
	r.Section = &one
	for _, s := range j.Settings.Table(step) {
		r.Settings = append(r.Settings, settingFlat(s))
	}
}

// edges adds the straightedges as laid.
func (r *FlatJSON) edges(j *job.Judged) {
	for _, e := range j.Edges {
		out := edgeFlat{Length: e.Length, Fits: e.Fits, Spacing: e.Spacing, Run: e.Run, Position: e.Positions,
			Carried: e.Fits && j.Carries(e.Length), Apart: finite(j.Apart), Wanted: j.Settings.Wanted(e.Length), Close: j.CloseShare(j.Settings.Wanted(e.Length))}
		if e.Fits {
			gap := e.Gap
			if e.SureGap != (flatness.Sure{}) {
				low, high := e.SureGap.Between(gap)
				out.Range = &[2]float64{low, high}
			}
			if e.Proof != nil {
				out.Proven = &e.Proof.Least
			}
			out.Gap, out.From, out.To, out.LowAt = &gap, pt(e.From), pt(e.To), pt(e.LowAt)
			if j.Tol > 0 {
				out.Within = finite(e.Within(j.Tol))
			}
			if e.Positions > 0 {
				out.Rocking = e.Rocking / e.Positions
			}
		}
		r.Straightedge = append(r.Straightedge, out)
	}
}

// classes adds the rules with their verdicts.
func (r *FlatJSON) classes(j *job.Judged) {
	for i := range j.Verdicts {
		v := &j.Verdicts[i]
		out := classFlat{Standard: v.Row.Standard, Edition: v.Row.Edition, Class: v.Row.Class, Name: v.Row.Name, Measure: v.Row.Kind.String(), Length: v.Length, Limit: finite(v.Limit),
			Measured: finite(v.Value), Rounded: finite(v.Rounded), Rounding: v.Rounding, Share: finite(v.Share), From: ptOrNil(v.From), To: ptOrNil(v.To), Where: v.Where, Note: v.Note, Source: v.Row.Source, Known: v.Row.Known}
		if out.InDoubt, out.AtLeast = v.InDoubt, v.AtLeast; !math.IsNaN(v.Low + v.High) {
			out.Range = &[2]float64{v.Low, v.High}
		}
		if v.Wanted > 0 {
			out.Apart, out.Wanted = finite(v.Apart), &v.Wanted
		}
		if v.Count.Wanted > 0 {
			out.Count, out.Fewest = &v.Count.N, &v.Count.Wanted
		}
		if v.Outcome != flatness.NotMeasured {
			pass := v.Outcome == flatness.Pass
			out.Pass = &pass
		}
		r.Classes = append(r.Classes, out)
	}
}

func departureOf(j *job.Judged) *departureFlat {
	out := &departureFlat{Plane: targetJSON(j.Target, j.Floor), NotFilled: leftOf(j.NotFilled), Parts: partLevels(j.Target, j.Floor), Fitted: j.Fitted, Highest: j.Off.Highest, HighestAt: pt(j.Off.HighestAt), Lowest: j.Off.Lowest, LowestAt: pt(j.Off.LowestAt),
		Mean: j.Off.Mean, RMS: j.Off.RMS, Tolerance: j.Tol, Carried: j.LevelLack() == (unit.Text{}), Shots: j.Shots.N, Wanted: j.Shots.Wanted, Near: j.Near,
		Apart: finite(j.Apart), Allowed: j.Settings.LevelWanted(math.Inf(1))}
	if out.Carried {
		out.Within = &j.Off.Within
		if low, high, known := j.WithinBetween(); known {
			out.WithinCI = &[2]float64{low, high}
		}
	}
	return out
}

func sectionOf(r *flatness.Result) sectionFlat {
	out := sectionFlat{Name: r.Name, Basis: r.Basis, Area: r.Area, FF: r.FF, FL: r.FL, FFRange: [2]flatness.F{r.FFRange.Low, r.FFRange.High}, FLRange: [2]flatness.F{r.FLRange.Low, r.FLRange.High}, WhyFF: r.FFRange.Why, WhyFL: r.FLRange.Why,
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

// marks adds highs and lows, and the work on them.
func (r *FlatJSON) marks(j *job.Judged) {
	for _, m := range j.Work.Spots {
		out := markFlat{Number: m.Number, At: pt(m.At), Height: math.Abs(m.Off), Beyond: m.Beyond, Area: m.Area, Volume: m.Volume, Passes: m.Passes, Unseen: m.NotMeasured, Bags: m.Bags, Walls: []float64{}, Beside: []sideFlat{}}
		for _, w := range m.Walls {
			out.Walls = append(out.Walls, w.Distance)
		}
		for _, s := range j.Floor.Sides(m.At) {
			out.Beside = append(out.Beside, sideFlat{s.Short(), s.Distance})
		}
		if m.High {
			r.Highs = append(r.Highs, out)
		} else {
			r.Lows = append(r.Lows, out)
		}
	}
	r.Small = j.Work.Small
	if c := j.Raised; c != nil {
		r.Compensation = &compensateFlat{c.Offset, c.Grind, c.Fill, c.GrindAt, c.FillAt, c.Deepest}
	}
	if p := j.Placed; p != nil {
		r.Placed = &placedFlat{p.Area, p.Placed, p.Lost, p.LostArea, p.Net, p.Mean, p.Most, pt(p.MostAt), p.Least, pt(p.LeastAt), nil, nil}
		if p.Ordered > 0 {
			r.Placed.Ordered, r.Placed.Remainder = &p.Ordered, &p.Remainder
		}
	}
	if b := j.Bed; b != nil {
		r.Bed = &bedFlat{b.Volume, b.Proud, b.Least, b.Greatest, b.Mean}
	}
}
