package job

import (
	"errors"
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"time"

	"pourplane/surface"
	"pourplane/surface/order"
	"pourplane/surface/setout"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// entries reads the texts of a job. err keeps the first refusal, with the place of its
// key. An empty text reads as zero.
type entries struct {
	job        *Job
	surveyFeet bool              // feet are US survey feet, as in the survey
	text       map[string]string // lengths and volumes by key, as written in the job
	err        error
}

func (h *Result) entries() *entries {
	return &entries{job: h.Job, surveyFeet: h.Survey.Plan == unit.SurveyFoot, text: map[string]string{}}
}

// metres reads a length with its unit. Feet are those of the survey: on a state plane
// grid the two feet put a point metres apart.
func (e *entries) metres(text string) (float64, error) {
	v, err := unit.Parse(text, unit.None)
	if e.surveyFeet && ownFeet(text) {
		v = v / unit.Foot.Metres() * unit.SurveyFoot.Metres()
	}
	return v, err
}

func (e *entries) refuse(key, found, want string) {
	e.measured(key, unit.Textf("%s", found), unit.Textf("%s", want))
}

// wanting refuses a key with a text that may hold quantities.
func (e *entries) wanting(key, found, format string, args ...any) {
	e.measured(key, unit.Textf("%s", found), unit.Textf(format, args...))
}

// measured refuses a key with texts that may hold quantities.
func (e *entries) measured(key string, found, want unit.Text) {
	if e.err == nil {
		e.err = e.job.Error(key, "", "").Measured(found, want, unit.Text{})
	}
}

// example returns a key with its example, as a line of the job.
func (e *entries) example(key string) unit.Either {
	f, _ := byKey(tableNumber.ReplaceAllString(key, ""))
	line := func(us bool) string { return f.Name() + " = " + strconv.Quote(f.Example(us)) }
	return unit.Either{Metric: line(false), US: line(true)}
}

// withUnit returns a bare number with the unit that the example of its key has, and the example
// for any other text.
func (e *entries) withUnit(key, text string) unit.Either {
	f, _ := byKey(tableNumber.ReplaceAllString(key, ""))
	return unit.Either{Metric: f.With(text, false), US: f.With(text, true)}
}

// tableNumber matches the number of a table in the key of a list.
var tableNumber = regexp.MustCompile(`\[[0-9]+\]`)

// length reads a length above 0, m. An empty text gives 0, which means the usual value.
func (e *entries) length(key, text string) float64 {
	if text == "" {
		return 0
	}
	e.text[key] = text
	v, err := e.metres(text)
	if err != nil || !(v >= 0) {
		e.wanting(key, `"`+text+`"`, "a length with its unit, such as %s", e.withUnit(key, text))
		return 0
	}
	if v == 0 {
		e.refuse(key, `"`+text+`"`, "more than 0; without the key it is as usual")
	}
	return v
}

// percent reads a percentage as a fraction.
func (e *entries) percent(key string, v float64) float64 {
	if !(v >= 0 && v <= 100) {
		e.refuse(key, fmt.Sprint(v), "percent between 0 and 100")
	}
	return v / 100
}

func (e *entries) volume(key, text string) float64 {
	if text == "" {
		return 0
	}
	e.text[key] = text
	v, err := unit.ParseVolume(text)
	if err != nil || !(v > 0) {
		with := e.withUnit(key, text)
		found, metric := unit.VolumeWanted(text, with.Metric)
		_, us := unit.VolumeWanted(text, with.US)
		e.wanting(key, found, "%s", unit.Either{Metric: metric, US: us})
		return 0
	}
	return v
}

// duration reads a time above 0. An empty text gives 0, which means the usual value.
func (e *entries) duration(key, text string) time.Duration {
	if text == "" {
		return 0
	}
	d, err := time.ParseDuration(strings.ReplaceAll(strings.ReplaceAll(text, " ", ""), "min", "m"))
	if err != nil || d < 0 {
		e.refuse(key, `"`+text+`"`, "a time such as 20min or 1.5h")
		return 0
	}
	if d == 0 {
		e.refuse(key, `"`+text+`"`, "more than 0; without the key it is as usual")
	}
	return d
}

func (e *entries) place(key, text string) surface.Vec {
	var v [2]float64
	parts := strings.Split(text, ",")
	for i, p := range parts {
		m, err := e.metres(strings.TrimSpace(p))
		if err != nil || len(parts) != 2 {
			e.refuse(key, `"`+text+`"`, `a place "X,Y" with its units, such as "3.2m,4m"`)
			return surface.Vec{}
		}
		v[i] = m
	}
	return surface.Vec{X: v[0], Y: v[1]}
}

// price reads the price of a material. It may be given per one of several units; each
// comes with the name of its key and the size of its unit in SI.
func (e *entries) price(key string, prices ...priced) float64 {
	found, from := 0.0, ""
	for _, p := range prices {
		switch {
		case p.amount == 0:
		case !(p.amount > 0) || p.amount > 1e12:
			e.refuse(key+p.key, fmt.Sprint(p.amount), "a price, more than 0 and up to 1e12")
		case from != "":
			e.refuse(key+p.key, "two prices", "one of "+from+" and "+p.key)
		default:
			found, from = p.amount/p.size, p.key
		}
	}
	return found
}

// priced is a price as given.
type priced struct {
	key    string
	amount float64
	size   float64 // size of its unit in SI
}

// Rounded removes rounding noise from a figure by rounding to whole steps.
func Rounded(v, step float64) float64 {
	return math.Round(v/step) / math.Round(1/step)
}

// partKeys gives the key of a table for each part that a refusal of another package is
// about.
var partKeys = map[string]map[string]string{
	"pins": {setout.PartPinSpacing: "spacing", setout.PartPinsFromWall: "from-wall", setout.PartWallPinSpacing: "wall-spacing", setout.PartRuleStep: "rule-step"},
	"bars": {setout.PartBarSpacing: "spacing", setout.PartBarSpacingAcross: "spacing-across", setout.PartBarsFromWall: "edge-cover", setout.PartStockLength: "stock-length", setout.PartBarLap: "lap",
		setout.PartTopCover: "top-cover", setout.PartBottomCover: "bottom-cover", setout.PartChairSpacing: "chair-spacing"},
	"mesh":      {setout.PartSheetLength: "sheet-length", setout.PartSheetWidth: "sheet-width", setout.PartMeshMass: "mass-kgm2", setout.PartSheetLap: "lap"},
	"materials": {order.PartMinThickness: "least", order.PartMaxThickness: "greatest", order.PartBagYield: "bag-yield"},
	"edge": {order.PartFilmAbove: "above", order.PartFilmFoot: "foot", order.PartFilmLap: "lap", order.PartFilmRoll: "roll", order.PartRollWidth: "roll-width",
		order.PartFoam: "foam", order.PartFoamPiece: "foam-piece", order.PartFoamHeight: "foam-height", order.PartAllowance: "allowance-percent"},
}

// material moves a refusal of one of the materials to the table of that material.
func (e *entries) material(err error) {
	var r *survey.Error
	if errors.As(err, &r) && r.Of != "" {
		for i, m := range e.job.Materials {
			if m.Name != r.Of {
				continue
			}
			table := fmt.Sprintf("materials[%d]", i+1)
			if own := partKeys["materials"][r.Part]; own != "" {
				e.refused(table+"."+own, err)
				return
			}
			e.failed(table, err)
			return
		}
	}
	e.failed("materials", err)
}

// refused moves a refusal to the one key that it is about. Found is the text in the job,
// not a number computed from it.
func (e *entries) refused(key string, err error) {
	var r *survey.Error
	if e.err != nil || !errors.As(err, &r) {
		return
	}
	found := r.FoundText()
	if text := e.text[key]; text != "" && !r.Follows {
		found = unit.Textf("%q", text)
	}
	e.measured(key, found, r.WantText())
}

// failed puts a refusal of another package at a key of the job.
func (e *entries) failed(key string, err error) {
	if err == nil || e.err != nil {
		return
	}
	var r *survey.Error
	if errors.As(err, &r) && r.Pos == (survey.Pos{}) && r.Found != "" {
		if own := partKeys[key][r.Part]; own != "" {
			e.refused(key+"."+own, err)
			return
		}
		found := r.FoundText()
		if r.Part != key && r.Element != "" {
			found = unit.Textf("%s %s", r.Element, found)
		}
		e.measured(key, found, r.WantText())
		return
	}
	e.err = e.job.Error(key, "", err.Error())
}
