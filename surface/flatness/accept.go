package flatness

import (
	"fmt"
	"math"
	"strings"

	"pourplane/surface"
	"pourplane/survey/unit"
)

// Measured is the measurements to judge. A nil field was not measured.
type Measured struct {
	F *Whole
	// Max gap under a straightedge of a length in m, with supports From and To; max
	// difference between two places up to a length apart. False: the readings are too far
	// apart for that length.
	GapAt, StepAt func(length float64) (Reading, bool)

	Datum      *Reading // max departure from the required plane, up or down
	PropertyE  *Spread
	PropertyF  *Spread
	Thresholds []surface.Threshold // after covering build-up
	DoorShots  []float64           // m, from the floor at each threshold to the nearest shot; nil: not known
	DoorSD     float64             // m, of a change of level, from the error of two readings; 0: not known

	Runs Count   // readings of the runs
	Fall float64 // rise over run of the ordered plane; 0: level, or not ordered
}

// Reading is a max value, its place, and the spread of the others.
type Reading struct {
	Value    float64 // m, ≥ 0
	From, To surface.Vec
	Share    func(limit float64) float64 // of the readings within a limit in m, from 0 to 1; nil: unknown
	Apart    float64                     // m between the readings or shots used, see [Apart]; of a gap, a step or a departure
	Count    Count
	Sure     Sure
	Between  *Between // of a departure, what the floor does between the shots; nil: not known
	Lack     string   // why there is no pass, however small the value; empty: there may be one
	Proof    *Proof   // what the shots prove, where they are too far apart; nil: nothing
}

// Outcome is the result of a limit for a floor.
type Outcome uint8

const (
	NotMeasured Outcome = iota
	Pass
	Fail
)

func (o Outcome) String() string { return [...]string{"not measured", "pass", "fail"}[o] }

// Verdict is a row compared with a measurement.
type Verdict struct {
	Row      Row
	Outcome  Outcome
	Length   float64     // m, length of the limit; 0: none
	Limit    float64     // m, or an F-number
	Value    float64     // m or an F-number as measured; NaN if not measured, +Inf for no departure
	Rounded  float64     // as compared with the limit
	Rounding string      // how
	Share    float64     // of the readings within Limit; NaN if unknown
	From, To surface.Vec // where the value was found; NaN if unknown
	Where    string      // section and its worst run, or the door
	Apart    float64     // m between readings, if they are too far apart for a verdict; 0 otherwise
	Wanted   float64     // m, max between readings for a verdict
	Count    Count       // number of values used, if counted
	Fall     float64     // rise over run of the ordered plane, if the rule is for level floors and so gives no verdict
	Unread   float64     // share of the floor without a value, because shots are too far apart there
	Overall  bool        // a min local F-number of a floor with one section: Value is that of the whole floor
	Unsure   string      // why it is not known whether Limit is: FF or FL without an interval
	InDoubt  bool        // Limit is inside the range of the value, or the share required inside that of the share
	Low      float64     // range of a length that was measured, m, see [Sure.Between]; NaN if unknown
	High     float64     //
	Lack     string      // why shots that are close enough give no verdict; empty: not for that
	AtLeast  bool        // Value is what the shots prove: they are too far apart for more
	Note     string
}

// Judge compares measurements with rows, in the order of the rows. A row about supports
// gives a verdict for each measured length of straightedge, a row about thresholds one for
// each door. A straightedge with fewer than two readings between its ends, by
// [Settings.EdgeShare], gives no verdict: Value is what was found, Apart and Wanted give
// what is missing. A value passes if it is within the limit raw or rounded as in Rounding: a
// third digit never fails a floor.
func Judge(m Measured, rows []Row, s Settings) []Verdict {
	var out []Verdict
	for _, r := range rows {
		switch r.Kind {
		case ByFF, ByFL, ByLocalFF, ByLocalFL:
			out = append(out, judgeF(m, r, s.filled(inches)))
		case ByStraightedge:
			out = append(out, judgeReading(r, r.LimitAt(r.Length), m.GapAt, "no straightedge was laid", s))
		case BySupports:
			out = append(out, judgeSupports(m, r, s)...)
		case ByStep:
			out = append(out, judgeReading(r, r.LimitAt(r.Length), m.StepAt, "no readings so close", s))
		case ByDatum:
			out = append(out, judgeDatum(m, r, s))
		case ByPropertyE:
			out = append(out, onLevel(m, r, judgeSpread(m.PropertyE, r, "no 3 m grid was read", Count{}, s)))
		case ByPropertyF:
			out = append(out, judgeSpread(m.PropertyF, r, "no runs every 300 mm were read", m.Runs, s))
		case ByThreshold:
			out = append(out, judgeThresholds(m, r, s)...)
		}
	}
	return out
}

var nowhere = surface.Vec{X: math.NaN(), Y: math.NaN()}

func unmeasured(r Row, length, limit float64, why string) Verdict {
	return Verdict{Row: r, Length: length, Limit: limit, Value: math.NaN(), Rounded: math.NaN(), Share: math.NaN(), From: nowhere, To: nowhere, Low: math.NaN(), High: math.NaN(), Note: why}
}

// verdict compares value with limit by the rounding of r.
func verdict(r Row, length, limit, value float64) Verdict {
	v := Verdict{Row: r, Outcome: Fail, Length: length, Limit: limit, Value: value, Share: math.NaN(), From: nowhere, To: nowhere, Low: math.NaN(), High: math.NaN()}
	step, words := r.unit()
	v.Rounded, v.Rounding = math.Floor(value/step+0.5+1e-9)*step, words
	within := func(x float64) bool { return x <= limit+1e-9 }
	if r.Kind.number() {
		within = func(x float64) bool { return x >= limit-1e-9 }
	}
	if within(v.Value) || within(v.Rounded) {
		v.Outcome = Pass
		if !within(v.Value) {
			v.Note = "passes as rounded"
		}
	}
	return v
}

// onLevel withdraws a verdict of a rule for level floors on a floor ordered to fall.
func onLevel(m Measured, r Row, v Verdict) Verdict {
	if m.Fall == 0 {
		return v
	}
	v = unmeasured(r, 0, v.Limit, fmt.Sprintf("the floor is ordered to fall %.3g %%; this rule is for level floors", 100*m.Fall))
	v.Fall = m.Fall
	return v
}

func judgeF(m Measured, r Row, s Settings) Verdict {
	w, limit := m.F, r.Limit
	if r.Local {
		limit *= s.LocalRatio
	}
	if w == nil {
		return unmeasured(r, 0, limit, "no F-numbers were measured")
	}
	var v Verdict
	switch r.Kind {
	case ByFF:
		v = verdict(r, 0, limit, float64(w.FF)).doubt(w.FFRange)
		v.worst(w.Sections, Line.ff)
	case ByFL:
		v = verdict(r, 0, limit, float64(w.FL)).doubt(w.FLRange)
		v.worst(w.Sections, Line.fl)
	case ByLocalFF:
		v = verdict(r, 0, limit, float64(w.LocalFF.F))
		v.worst([]*Result{w.LocalFF.Of}, Line.ff)
	case ByLocalFL:
		v = verdict(r, 0, limit, float64(w.LocalFL.F))
		v.worst([]*Result{w.LocalFL.Of}, Line.fl)
	}
	if v.Overall = len(w.Sections) == 1 && (r.Kind == ByLocalFF || r.Kind == ByLocalFL); v.Overall {
		v.remark("the floor is one section: this is its overall value")
	}
	v.remark(Method)
	v.few(m.Runs)
	if r.Kind == ByFL || r.Kind == ByLocalFL {
		v.remark("FL is not for sloped, cambered or unshored work")
		return onLevel(m, r, v)
	}
	return v
}

func (l Line) ff() F { return l.FF }
func (l Line) fl() F { return l.FL }

// worst sets the place of the min F-number of a kind: the line of sections.
func (v *Verdict) worst(sections []*Result, number func(Line) F) {
	least := F(math.Inf(1))
	for _, r := range sections {
		for _, l := range r.Lines {
			if f := number(l); f < least {
				least = f
				v.From, v.To = l.Start, l.End
				v.Where = strings.TrimSpace(r.Name + " run " + l.Run)
			}
		}
	}
}

// remark adds to the note.
func (v *Verdict) remark(text string) {
	v.Note = strings.TrimPrefix(v.Note+"; "+text, "; ")
}

// doubt adds a remark if the limit is inside the interval, or if there is none.
func (v Verdict) doubt(i Interval) Verdict {
	if v.Unsure = i.Why; v.Unsure != "" {
		v.remark("interval not known: " + v.Unsure)
	}
	if float64(i.Low) < v.Limit && v.Limit < float64(i.High) {
		v.InDoubt = true
		v.remark(fmt.Sprintf("the limit is inside the interval from %s to %s", i.Low, i.High))
	}
	return v
}

func judgeReading(r Row, limit float64, at func(float64) (Reading, bool), none string, s Settings) Verdict {
	length := r.Length
	if at == nil {
		return unmeasured(r, length, limit, none)
	}
	g, ok := at(length)
	if !ok {
		return unmeasured(r, length, limit, "the readings do not carry this length")
	}
	v := judgeValue(r, length, limit, g)
	if s.tooFar(g.Apart, length) {
		return v.bared(g, s.Wanted(length))
	}
	v.few(g.Count)
	return v
}

// Wanted returns the max distance between readings for a verdict on a straightedge, m.
func (s Settings) Wanted(length float64) float64 { return s.filled(inches).EdgeShare * length }

// tooFar reports whether readings that far apart give no verdict on a length.
func (s Settings) tooFar(apart, length float64) bool { return apart > s.Wanted(length)*(1+tapes) }

// Carries reports whether readings apart metres from each other give a verdict on a
// straightedge of a length in metres.
func (s Settings) Carries(apart, length float64) bool { return !s.tooFar(apart, length) }

// bared withdraws a verdict if readings are too far apart; its value stays. What the shots
// prove to exceed the limit still fails: more of them between cannot take that away. They
// prove nothing about a share of all positions.
func (v Verdict) bared(g Reading, wanted float64) Verdict {
	if p := g.Proof; p != nil && v.Row.Share == 0 {
		if proven := verdict(v.Row, v.Length, v.Limit, p.Least); proven.Outcome == Fail {
			proven.AtLeast, proven.From, proven.To = true, p.A, p.B
			proven.Note = fmt.Sprintf("proven by the shots, which are %.3g m apart; a pass needs them no farther apart than %.3g m", g.Apart, wanted)
			return proven
		}
	}
	v.Outcome, v.Apart, v.Wanted, v.InDoubt, v.Low, v.High = NotMeasured, g.Apart, wanted, false, math.NaN(), math.NaN()
	v.Note = fmt.Sprintf("readings %.3g m apart; no farther than %.3g m would do", g.Apart, wanted)
	return v
}

// judgeValue compares a reading with a limit that a share of the readings must keep.
func judgeValue(r Row, length, limit float64, g Reading) Verdict {
	v := verdict(r, length, limit, g.Value)
	v.From, v.To = g.From, g.To
	if r.Instead != "" {
		v.remark("gap under an edge that rests on the floor; the document measures from " + r.Instead)
	}
	if g.Share != nil {
		v.Share = g.Share(limit)
	}
	if r.Share > 0 && r.Share < 1 {
		switch {
		case v.Outcome == Pass:
		case math.IsNaN(v.Share):
			v.Outcome = NotMeasured
			v.remark("it is not known how many of the readings are within")
		default:
			step, words := r.unit()
			// A reading within half a step above the limit rounds to it.
			rounded := g.Share(limit + step/2)
			if rounded >= r.Share-1e-9 {
				v.Outcome = Pass
			}
			v.remark(fmt.Sprintf("%s of the readings are within, %s when each is %s; %.0f %% must be", unit.Percent(v.Share), unit.Percent(rounded), words, 100*r.Share))
		}
	}
	v.doubted(g)
	return v
}

// SupportLengths returns the lengths of straightedge tried for a row about supports, m: its
// columns and the usual lengths between.
func SupportLengths() []float64 { return []float64{0.1, 0.3, 0.6, 1, 2, 3, 4, 6, 10, 15} }

// judgeSupports judges the max gap at each length against the limit at the distance of its
// supports, which may be less. Lengths that fit the floor but for which readings are too far
// apart give one verdict together, on the shortest of them.
func judgeSupports(m Measured, r Row, s Settings) []Verdict {
	if m.GapAt == nil {
		return []Verdict{unmeasured(r, 0, math.NaN(), "no straightedge was laid")}
	}
	var out []Verdict
	var bare *Verdict
	for _, length := range SupportLengths() {
		g, ok := m.GapAt(length)
		if !ok {
			continue
		}
		if s.tooFar(g.Apart, length) || g.Count.Few() {
			v := judgeValue(r, length, r.LimitAt(length), g)
			if v.few(g.Count); s.tooFar(g.Apart, length) {
				v = v.bared(g, s.Wanted(length))
			}
			if v.AtLeast {
				out = append(out, v)
			} else if bare == nil {
				bare = &v
			}
			continue
		}
		between := g.From.Distance(g.To)
		if math.IsNaN(between) || between == 0 {
			between = length
		}
		v := judgeValue(r, between, r.LimitAt(between), g)
		v.remark(fmt.Sprintf("straightedge of %g m, supports %.2f m apart", length, between))
		out = append(out, v)
	}
	if bare != nil {
		out = append(out, *bare)
	}
	if out == nil {
		return []Verdict{unmeasured(r, 0, math.NaN(), "the readings do not carry any length of the table")}
	}
	return out
}

// judgeDatum uses the distance between From and To as the length of a limit that increases
// with it.
func judgeDatum(m Measured, r Row, s Settings) Verdict {
	d := m.Datum
	if d == nil {
		return unmeasured(r, 0, r.Limit, "no plane to depart from")
	}
	length := 0.0
	if r.PerMetre != 0 || r.CubeRoot != 0 {
		length = d.From.Distance(d.To)
		if math.IsNaN(length) || length == 0 && r.Limit == 0 {
			return unmeasured(r, 0, r.Limit, "the distance to the reference is not known")
		}
	}
	v := judgeValue(r, length, r.LimitAt(length), *d)
	v.between(d.Between)
	if d.Lack != "" && v.Outcome == Pass {
		v.withhold(d.Lack)
	}
	if wanted := s.LevelWanted(d.Apart); wanted > 0 {
		return v.bared(*d, wanted)
	}
	if m.Fall > 0 {
		v.remark(fmt.Sprintf("measured from the plane ordered, which falls %.3g %%", 100*m.Fall))
	}
	v.few(d.Count)
	return v
}

func judgeSpread(s *Spread, r Row, none string, count Count, set Settings) Verdict {
	if s == nil {
		return unmeasured(r, 0, r.Limit, none)
	}
	read := 1 - s.Unread
	if read < carried {
		return unmeasured(r, 0, r.Limit, fmt.Sprintf("shots are close enough on %.0f %% of the floor, %.0f %% needed", math.Floor(100*read), 100*carried))
	}
	v := judgeValue(r, 0, r.Limit, Reading{Value: s.Values[len(s.Values)-1], From: s.From, To: s.To, Share: s.Share})
	if wanted := set.LevelWanted(s.Apart); wanted > 0 {
		return v.bared(Reading{Apart: s.Apart}, wanted)
	}
	v.doubtedShare(s)
	if v.Unread = s.Unread; v.Unread > 0 {
		v.remark(fmt.Sprintf("judged on %.0f %% of the floor: elsewhere shots are too far apart", math.Floor(100*read)))
	}
	if !count.Few() {
		count = Count{N: len(s.Values), Wanted: FewestValues, Of: r.Kind.values(), For: unit.Textf("to judge a share")}
	}
	v.few(count)
	return v
}

// judgeThresholds gives no verdict where the floor at a threshold is estimated from shots
// farther away than [Settings.DoorShot].
func judgeThresholds(m Measured, r Row, s Settings) []Verdict {
	if len(m.Thresholds) == 0 {
		return []Verdict{unmeasured(r, 0, r.Limit, "no threshold was given")}
	}
	var out []Verdict
	for i, d := range m.Thresholds {
		v := verdict(r, 0, r.Limit, math.Abs(d.Change))
		v.doubted(Reading{Sure: Sure{SD: m.DoorSD}})
		at := surface.Vec{X: d.Point.X, Y: d.Point.Y}
		v.From, v.To, v.Where = at, at, d.Point.Name()
		switch step, _ := r.unit(); {
		case v.Outcome == Fail && r.RampTo > 0 && v.Rounded > r.RampTo+1e-9:
			v.remark(fmt.Sprintf("above the %g mm that a ramp of 1:%g may take", 1000*r.RampTo, r.Ramp))
		case v.Outcome == Fail && r.Ramp > 0:
			v.remark(fmt.Sprintf("a ramp of 1:%g takes %.2f m", r.Ramp, r.Ramp*v.Value))
		case v.Outcome == Pass && r.Bevel > 0 && min(v.Value, v.Rounded) > r.Bevel+step/1e6:
			v.remark("bevel the part above the vertical limit 1:2")
		}
		if wanted := s.doorWanted(); m.DoorShots != nil && m.DoorShots[i] > wanted*(1+tapes) {
			v = v.bared(Reading{Apart: m.DoorShots[i]}, wanted)
			v.Note = fmt.Sprintf("the nearest shot is %.3g m from the threshold; no farther than %.3g m would do", m.DoorShots[i], wanted)
		}
		out = append(out, v)
	}
	return out
}
