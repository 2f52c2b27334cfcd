package report

import (
	"time"

	"pourplane/surface/job"
	"pourplane/surface/settlement"
	"pourplane/survey/unit"
)

// SettlementJSON is the result of settlement: SI units, changes later minus earlier.
type SettlementJSON struct {
	Surveys   []visitJSON   `json:"surveys"`
	Basis     string        `json:"tied_by"`
	Benchmark string        `json:"benchmark"`        // empty: none that all have
	Surface   bool          `json:"against_surfaces"` // few places are in common: the shots of one survey are compared with the surfaces of the others
	Area      float64       `json:"area_m2"`
	Lost      float64       `json:"lost_m3"`   // where the floor is lower
	Gained    float64       `json:"gained_m3"` // where it is higher
	NetSD     *float64      `json:"net_sd_m3"` // null: too few places to say what is between them
	Moved     int           `json:"places_moved"`
	OnlyMid   int           `json:"places_moved_against_middle_only"`
	Half      bool          `json:"half_moved"`  // at least half moved against the middle: differences do not tell which half moved
	Alike     bool          `json:"moved_alike"` // nearly all moved alike, from the first to the last or in an interval: a misread benchmark looks the same
	Change    changesJSON   `json:"change"`      // from the first survey to the last
	Intervals []*changeJSON `json:"intervals"`   // from each survey to the next; null where too few places are in both
	Still     stillJSON     `json:"still"`
	Rate      *rateJSON     `json:"mean_rate"` // null without dates
	Trend     *trendJSON    `json:"mean_trend"`
	MostTrend *trendJSON    `json:"max_differential_trend"`
	Places    []placeJSON   `json:"places"`
	Assumed   []string      `json:"assumed"`
	Warnings  []string      `json:"warnings"`
	Cautions  []string      `json:"cautions"`
	LeftOut   []rejected    `json:"left_out"`
}

type visitJSON struct {
	File     string       `json:"file"`
	Date     string       `json:"date,omitempty"`
	Setups   int          `json:"setups"`
	Accuracy accuracyJSON `json:"accuracy"`
}

// movedJSON is a change, and whether it is shown.
type movedJSON struct {
	Change float64     `json:"change_m"`
	SD     *float64    `json:"change_sd_m"` // null, as the next two: not measured
	CI90   *[2]float64 `json:"change_ci90_m"`
	P      *float64    `json:"p_corrected"`
	Shown  int         `json:"shown_percent"` // 99, 90, or 0 for not shown to have moved
}

func movedOf(m settlement.Moved) movedJSON {
	if !m.Known() {
		return movedJSON{Change: m.Change}
	}
	h := m.Half()
	return movedJSON{m.Change, &m.SD, &[2]float64{m.Change - h, m.Change + h}, &m.P, int(m.Level)}
}

// changeJSON is what two surveys show.
type changeJSON struct {
	From   int        `json:"from_survey"` // from 1
	To     int        `json:"to_survey"`
	Places int        `json:"places_compared"`
	Mean   movedJSON  `json:"mean"`
	By     causesJSON `json:"mean_sd_m"`
	Middle float64    `json:"middle_m"` // the median change
	Shown  int        `json:"shown_percent"`
	Seen   float64    `json:"would_show_m"` // a change of one place against the middle that shows in 9 of 10 cases
}

type causesJSON struct {
	Reading float64  `json:"reading"`
	Setup   float64  `json:"setup"`
	Between *float64 `json:"between"` // the places, and along the walls; null, as the total: too few to say
	Total   *float64 `json:"total"`
}

type changesJSON struct {
	changeJSON
	Pair pairJSON  `json:"max_difference"`
	Tilt *tiltJSON `json:"tilt"` // null: the places do not carry a plane
}

type pairJSON struct {
	Low        string     `json:"low"`
	High       string     `json:"high"`
	Difference float64    `json:"difference_m"`
	SD         float64    `json:"difference_sd_m"`
	CI90       [2]float64 `json:"difference_ci90_m"` // for all pairs at once
	Distance   float64    `json:"distance_m"`
}

type tiltJSON struct {
	East    float64 `json:"rise_east"` // m per m
	North   float64 `json:"rise_north"`
	EastSD  float64 `json:"rise_east_sd"`
	NorthSD float64 `json:"rise_north_sd"`
	F       float64 `json:"f"`
	P       float64 `json:"p_corrected"`
	Shown   int     `json:"shown_percent"`
}

type stillJSON struct {
	State string   `json:"state"` // moves, too_short_to_tell, not_shown or unknown
	Shown int      `json:"shown_percent"`
	Seen  *float64 `json:"would_show_m"`
	Until string   `json:"survey_again_from,omitempty"`
}

type rateJSON struct {
	Rate float64  `json:"rate_m_per_month"`
	SD   *float64 `json:"rate_sd_m_per_month"` // null: not measured
	Used int      `json:"surveys_used"`
}

type trendJSON struct {
	Before   float64 `json:"before_m_per_month"`
	BeforeSD float64 `json:"before_sd_m_per_month"`
	Last     float64 `json:"last_m_per_month"`
	LastSD   float64 `json:"last_sd_m_per_month"`
	P        float64 `json:"p_same_rate"`
	Trend    string  `json:"trend"` // slower, faster or not_shown
}

type placeJSON struct {
	Name      string     `json:"name"`
	At        [2]float64 `json:"at"`
	Elevation []*float64 `json:"elevation_m"` // by survey; null: not read
	Change    *movedJSON `json:"change"`      // null: not in both the first survey and the last
	Verdict   string     `json:"verdict"`     // moved, moved_against_middle, not_shown, or not_compared
	Relative  *movedJSON `json:"against_middle"`
	Rate      *rateJSON  `json:"rate"`
}

// NewSettlement returns the result for programs.
func NewSettlement(r *job.Settled) SettlementJSON {
	w := r.Whole
	out := SettlementJSON{
		Basis: r.Basis.String(), Benchmark: r.Mark, Area: r.Area, Lost: r.Lower, Gained: r.Higher, NetSD: finite(w.Mean.SD * r.Area), Half: w.HalfMoved(), Alike: r.Alike() != nil,
		Change: changesJSON{changeJSON: changeOf(w)}, Still: stillOf(r.Still),
	}
	_, out.Surface = r.BySurface()
	out.Moved, out.OnlyMid = r.Counts()
	for _, v := range r.Visits {
		one := visitJSON{File: v.Survey.Name, Setups: v.Setups, Accuracy: accuracyOf(v.Accuracy)}
		if !v.Date.IsZero() {
			one.Date = v.Date.Format(time.DateOnly)
		}
		out.Surveys = append(out.Surveys, one)
	}
	out.Change.Pair = pairJSON{r.NameOf(w.Pair.Low).String(), r.NameOf(w.Pair.High).String(), w.Pair.Difference, w.Pair.SD, [2]float64{w.Pair.Difference - w.Pair.Half, w.Pair.Difference + w.Pair.Half}, w.Pair.Distance}
	if t := w.Tilt; t != nil {
		out.Change.Tilt = &tiltJSON{t.East, t.North, t.EastSD, t.NorthSD, t.F, t.P, int(t.Level)}
	}
	for _, s := range r.Steps {
		if s == nil {
			out.Intervals = append(out.Intervals, nil)
			continue
		}
		c := changeOf(s)
		out.Intervals = append(out.Intervals, &c)
	}
	if s := r.Speeds; s != nil {
		out.Rate, out.Trend, out.MostTrend = rateOf(s.Mean), trendOf(s.Whole), trendOf(s.Place)
	}
	out.places(r)
	out.Assumed, out.Warnings, out.Cautions, out.LeftOut = notesByKind(r.Notes, unit.StyleOf(r.Visits[0].Survey.Plan, r.Visits[0].Survey.Unit))
	out.Cautions = settleCautions(r)
	return out
}

// places lists the places.
func (out *SettlementJSON) places(r *job.Settled) {
	at := map[int]settlement.PlaceChange{}
	for _, p := range r.Whole.Places {
		at[p.Index] = p
	}
	for i, p := range r.Places {
		one := placeJSON{Name: r.Names[i], At: [2]float64{p.X, p.Y}, Verdict: "not_compared"}
		for _, z := range p.Z {
			one.Elevation = append(one.Elevation, finite(z))
		}
		if c, compared := at[i]; compared {
			total, relative := movedOf(c.Total), movedOf(c.Relative)
			one.Change, one.Relative = &total, &relative
			one.Verdict = "not_shown"
			if c.Total.Level > settlement.NotShown {
				one.Verdict = "moved"
			} else if c.Relative.Level > settlement.NotShown {
				one.Verdict = "moved_against_middle"
			}
		}
		if r.Speeds != nil {
			one.Rate = rateOf(r.Speeds.Rates[i])
		}
		out.Places = append(out.Places, one)
	}
}

func changeOf(c *settlement.Comparison) changeJSON {
	return changeJSON{c.From + 1, c.To + 1, len(c.Places), movedOf(c.Mean), causesJSON{c.Reading, c.Setup, finite(c.Between), finite(c.Mean.SD)}, c.Middle, int(c.Any()), c.SeenRel}
}

func stillOf(s job.Still) stillJSON {
	out := stillJSON{State: [...]string{"unknown", "moves", "too_short_to_tell", "not_shown"}[s.State], Shown: int(s.Level)}
	if s.State != job.StillUnknown {
		out.Seen = &s.Seen
	}
	if s.State == job.StillTooShort {
		out.Until = s.Until.Format(time.DateOnly)
	}
	return out
}

func rateOf(v settlement.Rate) *rateJSON {
	if v.Used == 0 {
		return nil
	}
	return &rateJSON{v.PerDay * month, finite(v.SD * month), v.Used}
}

func trendOf(v *settlement.Intervals) *trendJSON {
	if v == nil {
		return nil
	}
	word := [...]string{"not_shown", "slower", "faster"}[v.Trend]
	return &trendJSON{v.Before * month, v.BeforeSD * month, v.Last * month, v.LastSD * month, v.P, word}
}
