// Package job reads job files: one TOML file that says everything about a floor, so
// that its results can be made again.
package job

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"github.com/pelletier/go-toml/v2"
	"github.com/pelletier/go-toml/v2/unstable"

	"pourplane/surface/order"
	"pourplane/survey"
)

// Job is a job file. Lengths and volumes are texts with their unit, "9/16in" or
// "0.25yd3", as on the command line; file names are as written, relative to the
// folder of the job. What is empty is left out or has the default of the command
// that uses it.
type Job struct {
	Title string         `toml:"title"`
	Date  toml.LocalDate `toml:"date"`  // of the survey, stands on every page
	Units string         `toml:"units"` // of lengths that the survey files give without one
	Show  string         `toml:"show"`  // metric or feet

	Survey    Survey     `toml:"survey"`
	Target    Target     `toml:"target"`
	Site      Site       `toml:"site"`
	Mix       Mix        `toml:"mix"`
	Plant     Plant      `toml:"plant"`
	Pace      Pace       `toml:"pace"`
	Materials []Material `toml:"materials"`
	Pins      Pins       `toml:"pins"`
	Bars      Bars       `toml:"bars"`
	Mesh      Mesh       `toml:"mesh"`
	Bays      Bays       `toml:"bays"`
	Coats     []Coat     `toml:"coats"`
	Edge      Edge       `toml:"edge"`
	Joints    Joints     `toml:"joints"`
	Flatness  Flatness   `toml:"flatness"`
	Outputs   Outputs    `toml:"outputs"`

	file string
	at   map[string]survey.Pos // of each key
}

// Survey names the files and how they are read.
type Survey struct {
	Files            []string          `toml:"files"` // before the pour
	After            []string          `toml:"after"` // after it
	Outline          string            `toml:"outline"`
	Surface          string            `toml:"surface"`
	Order            string            `toml:"order"`
	InstrumentHeight string            `toml:"instrument-height"`
	AfterInstrument  string            `toml:"after-instrument-height"` // of the survey after the pour
	Duplicates       string            `toml:"duplicates"`
	Zeros            string            `toml:"zeros"`
	Benchmarks       map[string]string `toml:"benchmarks"`
	Codes            map[string]string `toml:"codes"`
	LeaveOut         map[string]string `toml:"leave-out"` // shot by name or file:line, and why
	Adjust           string            `toml:"adjust"`
	Allow            string            `toml:"allow"`
	AcceptMisclosure bool              `toml:"accept-misclosure"`
	GridSpacing      string            `toml:"grid-spacing"`
	GridNumbers      string            `toml:"grid-numbers"`
	GridLetters      string            `toml:"grid-letters"`
	GridValues       string            `toml:"grid-values"`
	GridOrigins      map[string]string `toml:"grid-origins"` // of a sheet, as "X,Y"; "" is any
	Retriangulate    bool              `toml:"retriangulate"`
	Thin             string            `toml:"thin"`
	ThinKeep         string            `toml:"thin-keep"`
	MaxSize          string            `toml:"max-size"`
	Sheet            string            `toml:"sheet"`
	OutlineSheet     string            `toml:"outline-sheet"`
}

// Target is the plane that the floor is brought to.
type Target struct {
	Elevation     string   `toml:"elevation"`
	Finish        string   `toml:"finish"`
	FinishCodes   []string `toml:"finish-codes"`
	FinishAt      string   `toml:"finish-at"`
	FinishRule    string   `toml:"finish-rule"`
	Buildup       string   `toml:"buildup"`
	Low           string   `toml:"low"`
	FallPercent   float64  `toml:"fall-percent"`
	Fall          string   `toml:"fall"` // "1:60", "1/4in/ft" or "1.5%", instead of FallPercent
	Toward        string   `toml:"toward"`
	FallDirection string   `toml:"fall-direction"` // to a place, where several are as good
	Covering      string   `toml:"covering"`
	BedLeast      string   `toml:"bed-least"`
	BedGreatest   string   `toml:"bed-greatest"`
}

// Site is what there is about the floor to be careful of.
type Site struct {
	Bearing     string `toml:"bearing"`      // ground or suspended
	Heated      bool   `toml:"heated"`       // pipes or cables run in it
	OldCovering bool   `toml:"old-covering"` // tile, sheet, adhesive or paint is or was on it
	Bonded      bool   `toml:"bonded"`       // the fill is bonded to it
	Tensioned   bool   `toml:"post-tensioned"`
	Drains      bool   `toml:"drains"`  // or weep holes, a damp course, a gas barrier
	Engines     bool   `toml:"engines"` // run indoors
	InUse       bool   `toml:"in-use"`  // people pass through while it is done
	Exit        string `toml:"exit"`    // "X,Y": where the crew leaves the floor
}

// Mix is what is poured.
type Mix struct {
	AllowancePercent *float64 `toml:"allowance-percent"`
	OrderStep        string   `toml:"order-step"`
	UnitWeight       float64  `toml:"unit-weight-kgm3"`
	UnitWeightLb     float64  `toml:"unit-weight-lbft3"` // folded into UnitWeight when read
	PricePerM3       float64  `toml:"price-per-m3"`
	PricePerYd3      float64  `toml:"price-per-yd3"`
	PricePerBag      float64  `toml:"price-per-bag"`   // of usual bags, where less than a truck is wanted
	Currency         string   `toml:"currency"`        // a word for all prices
	AcceptUnserved   bool     `toml:"accept-unserved"` // go on though no material serves some depths
}

// Material is something to fill with, of the user's own. Those of a job serve the
// depths in the order in which they stand.
type Material struct {
	Name        string  `toml:"name"`
	BagYield    string  `toml:"bag-yield"` // empty: sold by volume
	BagMass     float64 `toml:"bag-mass-kg"`
	BagMassLb   float64 `toml:"bag-mass-lb"` // folded into BagMass when read
	Least       string  `toml:"least"`
	Greatest    string  `toml:"greatest"` // of one lift
	Lifts       int     `toml:"lifts"`
	WorkingTime string  `toml:"working-time"`
	UnitWeight  float64 `toml:"unit-weight-kgm3"`
	WeightLb    float64 `toml:"unit-weight-lbft3"` // folded into UnitWeight when read
	PricePerBag float64 `toml:"price-per-bag"`
	PricePerM3  float64 `toml:"price-per-m3"` // of what is sold by volume
	PricePerYd3 float64 `toml:"price-per-yd3"`
	PricePerM2  float64 `toml:"price-per-m2"` // of a way to fill, such as framing
	PricePerFt2 float64 `toml:"price-per-ft2"`
	CompareOnly bool    `toml:"compare-only"` // for the ways compared, not for this fill
}

// Pace is the pour by the clock.
type Pace struct {
	Placing      float64 `toml:"placing-m3-per-hour"`
	PlacingYd3   float64 `toml:"placing-yd3-per-hour"` // folded into Placing when read
	Discharge    string  `toml:"discharge"`
	Travel       string  `toml:"travel"`
	TruckSpacing string  `toml:"truck-spacing"`
	WorkingTime  string  `toml:"working-time"`
	LevelTime    string  `toml:"level-time"`
	MixedOnSite  bool    `toml:"mixed-on-site"`
}

// Pins are grade pins.
type Pins struct {
	Spacing     string `toml:"spacing"`
	WallSpacing string `toml:"wall-spacing"`
	FromWall    string `toml:"from-wall"`
	RuleStep    string `toml:"rule-step"` // least division of the crew's rule
}

// Bars are straight bars both ways. Without a size there are none.
type Bars struct {
	Size         string `toml:"size"`
	Spacing      string `toml:"spacing"`
	Across       string `toml:"spacing-across"` // empty: Spacing
	EdgeCover    string `toml:"edge-cover"`
	BottomCover  string `toml:"bottom-cover"`
	TopCover     string `toml:"top-cover"`
	StockLength  string `toml:"stock-length"`
	Lap          string `toml:"lap"`
	ChairSpacing string `toml:"chair-spacing"`

	PricePerBar   float64 `toml:"price-per-bar"` // of stock length
	PricePerChair float64 `toml:"price-per-chair"`
}

// Mesh is welded mesh in sheets. Without a length of a sheet there is none.
type Mesh struct {
	Name        string  `toml:"name"`
	SheetLength string  `toml:"sheet-length"`
	SheetWidth  string  `toml:"sheet-width"`
	Lap         string  `toml:"lap"`
	Cover       string  `toml:"cover"` // above and below
	Mass        float64 `toml:"mass-kgm2"`
	MassLb      float64 `toml:"mass-lbft2"` // folded into Mass when read

	PricePerSheet float64 `toml:"price-per-sheet"`
}

// Bays are what the floor is cut into by dams: one of the keys.
type Bays struct {
	Dams  [][]string `toml:"dams"` // lines of places "X,Y"
	Width string     `toml:"width"`
	Most  string     `toml:"most"` // volume of a bay, at most
}

// Coat is a primer or bond coat.
type Coat struct {
	Name       string  `toml:"name"`
	Cover      float64 `toml:"cover-m2-per-litre"`
	First      float64 `toml:"first-cover-m2-per-litre"`
	CoverFt2   float64 `toml:"cover-ft2-per-gallon"`       // US gallons; folded into Cover when read
	FirstFt2   float64 `toml:"first-cover-ft2-per-gallon"` // folded into First when read
	PackGallon float64 `toml:"pack-gallons"`               // folded into Pack when read
	Coats      int     `toml:"coats"`
	WaterParts float64 `toml:"water-parts"`
	Overlap    float64 `toml:"overlap-percent"`
	Allowance  float64 `toml:"allowance-percent"`
	Pack       float64 `toml:"pack-litres"`
	Price      float64 `toml:"price-per-pack"`
}

// Edge is what isolates the fill from the walls.
type Edge struct {
	Film       bool    `toml:"film"`
	Above      string  `toml:"above"`
	Foot       string  `toml:"foot"`
	Lap        string  `toml:"lap"`
	Roll       string  `toml:"roll"`
	RollWidth  string  `toml:"roll-width"`
	Foam       string  `toml:"foam"` // its thickness
	FoamPiece  string  `toml:"foam-piece"`
	FoamHeight string  `toml:"foam-height"`
	Allowance  float64 `toml:"allowance-percent"`

	PricePerRoll  float64 `toml:"price-per-roll"`  // of film
	PricePerPiece float64 `toml:"price-per-piece"` // of foam
}

// Joints are movement joints of the old floor that are carried through.
type Joints struct {
	Length    string  `toml:"length"`
	Width     string  `toml:"width"`
	Elastic   bool    `toml:"elastic"`
	Pack      float64 `toml:"pack-litres"`
	Allowance float64 `toml:"allowance-percent"`

	PackGallon   float64 `toml:"pack-gallons"` // folded into Pack when read
	PricePerPack float64 `toml:"price-per-pack"`
	RodPerM      float64 `toml:"rod-price-per-m"`
	RodPerFt     float64 `toml:"rod-price-per-ft"`
}

// Outputs says what is wanted.
type Outputs struct {
	Paper string   `toml:"paper"` // A4 or Letter
	Omit  []string `toml:"omit"`  // files that are not wanted, such as "plan.dxf"

	Ways    bool `toml:"ways"`     // the record compares the ways to fill
	LoadMap bool `toml:"load-map"` // the record has a map of the added load
}

// Plant is how the mix comes, and what stays on the way.
type Plant struct {
	Roughness  string `toml:"roughness"`
	FinishHigh string `toml:"finish-high"`
	LineBore   string `toml:"line-bore"`
	LineLength string `toml:"line-length"`
	Hopper     string `toml:"hopper"`
	Priming    string `toml:"priming"`
	Truck      string `toml:"truck"`
	ShortLoad  string `toml:"short-load"`
}

// Flatness is what the floor is judged by.
type Flatness struct {
	Tolerance     string   `toml:"tolerance"`
	Straightedges []string `toml:"straightedges"`
	Rules         []string `toml:"rules"`
	Ordered       string   `toml:"ordered"`
	GrindPass     string   `toml:"grind-pass"`
	BagYield      string   `toml:"bag-yield"`
	House         []House  `toml:"house-rules"` // limits of the user's own
}

// House is a limit of the user's own: of a gap under a straightedge, of the
// departure from the target, or of an F-number.
type House struct {
	Name         string  `toml:"name"`
	Straightedge string  `toml:"straightedge"` // its length; then Limit is the gap allowed
	Departure    bool    `toml:"departure"`    // Limit is the departure allowed
	Limit        string  `toml:"limit"`
	SharePercent float64 `toml:"share-percent"` // of the positions that must be within; 0: all
	FF           float64 `toml:"ff"`
	FL           float64 `toml:"fl"`
}

// Open reads a job file. Unknown keys, values of the wrong kind and TOML that is
// none are a [*survey.Error] each with line and column; an unknown key is told with
// the nearest right one.
func Open(name string) (*Job, error) {
	b, err := Text(name)
	if err != nil {
		return nil, err
	}
	return Read(b, name)
}

// largest is how many bytes a job file may have: what is longer is none. Own choice.
const largest = 4 << 20

// Text returns what stands in a job file.
func Text(name string) ([]byte, error) {
	f, err := os.Open(name)
	var b []byte
	if err == nil {
		defer f.Close()
		b, err = io.ReadAll(io.LimitReader(f, largest+1))
	}
	if errors.Is(err, fs.ErrNotExist) {
		return nil, &survey.Error{Pos: survey.Pos{File: name}, Found: "no file of that name", Want: "a job file", Hint: "pourplane new SURVEY --job " + name, Err: err}
	}
	if err != nil {
		return nil, &survey.Error{Pos: survey.Pos{File: name}, Found: "a job file that cannot be read", Want: "a file that pourplane new has written", Hint: "pourplane new SURVEY --job " + name, Err: err}
	}
	if len(b) > largest {
		return nil, &survey.Error{Pos: survey.Pos{File: name}, Found: "more than " + survey.Bytes(largest), Want: "a job file", Hint: "pourplane new SURVEY --job JOB.toml writes one"}
	}
	return b, nil
}

// Read reads a job from text; name stands in messages, and its folder is where the
// files of the job are looked for.
func Read(b []byte, name string) (*Job, error) {
	j := &Job{file: name}
	b = bytes.TrimPrefix(b, []byte("\xef\xbb\xbf")) // some editors write a byte order mark
	d := toml.NewDecoder(bytes.NewReader(b)).DisallowUnknownFields()
	if err := d.Decode(j); err != nil {
		return nil, notJob(explain(err, name), name)
	}
	j.at = positions(b, name)
	if n := utf8.RuneCountInString(j.Title); n > longestTitle || strings.ContainsFunc(j.Title, unicode.IsControl) {
		return nil, j.Error("title", fmt.Sprintf("%d letters, or some that cannot be printed", n), fmt.Sprintf("one line of at most %d letters", longestTitle))
	}
	if len(j.Survey.Files) == 0 || slices.Contains(j.Survey.Files, "") || slices.Contains(j.Survey.After, "") {
		return nil, j.Error("survey.files", "no survey", `the files of the floor before the pour, files = ["survey.csv"]`)
	}
	if err := j.counted(); err != nil {
		return nil, err
	}
	if err := j.zeros(); err != nil {
		return nil, err
	}
	if err := j.fold(); err != nil {
		return nil, err
	}
	return j, j.parted()
}

// counted refuses more of a thing than a floor could have. The limits are our own choice,
// beyond what any job would list.
func (j *Job) counted() error {
	for _, c := range []struct {
		key  string
		n    int
		most int
		what string
	}{
		{"materials", len(j.Materials), 50, "materials"}, {"coats", len(j.Coats), 20, "coats"}, {"bays.dams", len(j.Bays.Dams), 500, "dams"},
		{"flatness.straightedges", len(j.Flatness.Straightedges), 8, "lengths"}, {"flatness.house-rules", len(j.Flatness.House), 50, "rules"}, {"flatness.rules", len(j.Flatness.Rules), 200, "rules"},
		{"survey.files", len(j.Survey.Files) + len(j.Survey.After), 200, "files"}, {"outputs.omit", len(j.Outputs.Omit), 100, "files"},
	} {
		if c.n > c.most {
			return j.Error(c.key, fmt.Sprintf("%d %s", c.n, c.what), fmt.Sprintf("no more than %d", c.most))
		}
	}
	return nil
}

// mayBeZero has the numbers of a job for which 0 says something of its own.
var mayBeZero = []string{"allowance-percent", "water-parts", "overlap-percent", "share-percent", "ff", "fl", "fall-percent"}

// zeros refuses numbers that are given as 0 where a key that is left out has a usual
// value: the two would be taken for one another.
func (j *Job) zeros() error {
	v := reflect.ValueOf(*j)
	number := func(table string, of reflect.Value) error {
		for i := range of.NumField() {
			key := of.Type().Field(i).Tag.Get("toml")
			if slices.Contains(mayBeZero, key) || key == "" {
				continue
			}
			switch f := of.Field(i); f.Kind() {
			case reflect.Float64, reflect.Int:
				if _, given := j.at[table+"."+key]; given && f.IsZero() {
					return j.Error(table+"."+key, "0", "more than 0; without the key it is as usual")
				}
			}
		}
		return nil
	}
	for i := range v.NumField() {
		table := v.Type().Field(i).Tag.Get("toml")
		switch f := v.Field(i); {
		case table == "" || f.Type() == reflect.TypeFor[toml.LocalDate]():
		case f.Kind() == reflect.Struct:
			if err := number(table, f); err != nil {
				return err
			}
		case f.Kind() == reflect.Slice && f.Type().Elem().Kind() == reflect.Struct:
			for k := range f.Len() {
				if err := number(fmt.Sprintf("%s[%d]", table, k+1), f.Index(k)); err != nil {
					return err
				}
			}
		}
	}
	return nil
}

// fold turns figures that were given in US units into SI, and refuses those that were
// given in both. The units are exact: pound and foot as of 1959, gallon of 231 in³.
func (j *Job) fold() error {
	const pound, foot, yard, gallon = 0.45359237, 0.3048, 0.9144, 231 * 0.0254 * 0.0254 * 0.0254 * 1000
	type pair struct {
		key, other string
		si, us     *float64
		factor     float64
	}
	all := []pair{
		{"mix.unit-weight-kgm3", "unit-weight-lbft3", &j.Mix.UnitWeight, &j.Mix.UnitWeightLb, pound / (foot * foot * foot)},
		{"pace.placing-m3-per-hour", "placing-yd3-per-hour", &j.Pace.Placing, &j.Pace.PlacingYd3, yard * yard * yard},
		{"joints.pack-litres", "pack-gallons", &j.Joints.Pack, &j.Joints.PackGallon, gallon},
		{"mesh.mass-kgm2", "mass-lbft2", &j.Mesh.Mass, &j.Mesh.MassLb, pound / (foot * foot)},
	}
	for i := range j.Materials {
		m, table := &j.Materials[i], fmt.Sprintf("materials[%d].", i+1)
		all = append(all, pair{table + "unit-weight-kgm3", "unit-weight-lbft3", &m.UnitWeight, &m.WeightLb, pound / (foot * foot * foot)}, pair{table + "bag-mass-kg", "bag-mass-lb", &m.BagMass, &m.BagMassLb, pound})
	}
	for i := range j.Coats {
		c, table := &j.Coats[i], fmt.Sprintf("coats[%d].", i+1)
		all = append(all, pair{table + "cover-m2-per-litre", "cover-ft2-per-gallon", &c.Cover, &c.CoverFt2, foot * foot / gallon}, pair{table + "first-cover-m2-per-litre", "first-cover-ft2-per-gallon", &c.First, &c.FirstFt2, foot * foot / gallon},
			pair{table + "pack-litres", "pack-gallons", &c.Pack, &c.PackGallon, gallon})
	}
	for _, p := range all {
		if *p.us == 0 {
			continue
		}
		if *p.si != 0 {
			return j.Error(p.key, "a figure, and another for "+p.other, "one of the two")
		}
		*p.si, *p.us = *p.us*p.factor, 0
	}
	return nil
}

// parted refuses names that the options of the commands would part in two.
func (j *Job) parted() error {
	for _, t := range []struct {
		key   string
		names map[string]string
	}{{"survey.benchmarks", j.Survey.Benchmarks}, {"survey.codes", j.Survey.Codes}, {"survey.leave-out", j.Survey.LeaveOut}, {"survey.grid-origins", j.Survey.GridOrigins}} {
		for _, name := range slices.Sorted(maps.Keys(t.names)) {
			if strings.Contains(name, "=") {
				return j.Error(t.key, strconv.Quote(name), "a name without =")
			}
		}
	}
	return nil
}

const longestTitle = 120 // it stands on every page; own choice

// Name returns the name of the job file.
func (j *Job) Name() string { return j.file }

// Day returns the date that stands on the results: that of the job, or else of
// SOURCE_DATE_EPOCH, seconds since 1970. Without either the results could not be
// made again alike, so it is an error.
func (j *Job) Day() (time.Time, error) {
	if j.Date.Year != 0 {
		return j.Date.AsTime(time.UTC), nil
	}
	if s, err := strconv.ParseInt(os.Getenv("SOURCE_DATE_EPOCH"), 10, 64); err == nil {
		return time.Unix(s, 0).UTC(), nil
	}
	return time.Time{}, j.Error("date", "", "the date of the survey, date = 2026-11-25; results bear no other")
}

// DateOf returns the day of a time, for the date of a job.
func DateOf(t time.Time) toml.LocalDate {
	return toml.LocalDate{Year: t.Year(), Month: int(t.Month()), Day: t.Day()}
}

// UnitWeight returns that of the mix in kg/m³, which materials without one of their own
// have too: what the job says, or else that of normal concrete.
func (j *Job) UnitWeight() float64 { return cmp.Or(j.Mix.UnitWeight, order.NormalConcrete) }

// FilesNamed lists the files that the job names, as written, each once.
func (j *Job) FilesNamed() []string {
	var out []string
	for _, name := range append(append(slices.Clone(j.Survey.Files), j.Survey.After...), j.Survey.Outline) {
		if name != "" && !slices.Contains(out, name) {
			out = append(out, name)
		}
	}
	return out
}

// Lost returns the refusal of the first file that the job names and that is not
// there.
func (j *Job) Lost(files fs.FS) error {
	lost := func(key, name string) error {
		info, err := fs.Stat(files, j.Path(name))
		switch {
		case name == "", err == nil && info.Mode().IsRegular():
		case name != "-" && errors.Is(err, fs.ErrNotExist):
			e := j.Error(key, strconv.Quote(name), "a file that is there; names are relative to the job's folder")
			e.Err = err
			return e
		case name == "-", err == nil:
			return j.Error(key, strconv.Quote(name), "a file: a job reads its files more than once, so that a pipe or a folder cannot serve")
		}
		return nil
	}
	for _, name := range j.Survey.Files {
		if err := lost("survey.files", name); err != nil {
			return err
		}
	}
	for _, name := range j.Survey.After {
		if err := lost("survey.after", name); err != nil {
			return err
		}
	}
	return lost("survey.outline", j.Survey.Outline)
}

// Inputs lists all files that go into the job, as reached from here.
func (j *Job) Inputs() []string { return append([]string{j.file}, j.Paths(j.FilesNamed())...) }

// Path returns a file of the job as it is reached from here.
func (j *Job) Path(name string) string {
	if name == "" || j.file == "" || filepath.IsAbs(name) {
		return name
	}
	return filepath.Join(filepath.Dir(j.file), name)
}

// AsNamed returns a file that is reached from here as the job names it; another
// stays as it is.
func (j *Job) AsNamed(path string) string {
	for _, name := range j.FilesNamed() {
		if j.Path(name) == path {
			return name
		}
	}
	return path
}

// Paths returns several.
func (j *Job) Paths(names []string) []string {
	out := make([]string, len(names))
	for i, n := range names {
		out[i] = j.Path(n)
	}
	return out
}

// Error returns the refusal of a key, such as "target.elevation", at its place in
// the file, or at its table's where it is missing.
func (j *Job) Error(key, found, want string) *survey.Error {
	pos, ok := j.at[key]
	if !ok {
		pos, ok = j.at[key+"[1]"] // an array is told at its first table
	}
	for k := key; !ok && strings.Contains(k, "."); {
		k = k[:strings.LastIndex(k, ".")]
		pos, ok = j.at[k]
	}
	if !ok {
		pos = survey.Pos{File: j.file}
	}
	return &survey.Error{Pos: pos, Element: key, Found: found, Want: want}
}

// explain turns an error of the TOML library into one of ours.
// notJob adds what run takes to the error for a file that is no TOML and does not end so.
func notJob(err error, name string) error {
	var e *survey.Error
	ending := filepath.Ext(name)
	if strings.EqualFold(ending, ".toml") || !errors.As(err, &e) || e.Hint != "" {
		return err
	}
	e.Hint = fmt.Sprintf("run takes a job file; pourplane new %s --job %s.toml makes one of a survey", name, strings.TrimSuffix(name, ending))
	return err
}

func explain(err error, name string) error {
	var strict *toml.StrictMissingError
	if errors.As(err, &strict) {
		var errs []error
		for i := range strict.Errors {
			e := &strict.Errors[i]
			row, col := e.Position()
			key := strings.Join(e.Key(), ".")
			out := &survey.Error{Pos: survey.Pos{File: name, Line: row, Col: col}, Found: fmt.Sprintf("the key %q", key), Want: "a key of a job file"}
			if near := nearest(key); near != "" {
				out.Want += ", such as " + near
			}
			errs = append(errs, out)
		}
		if len(errs) == 1 {
			return errs[0]
		}
		return errors.Join(errs...)
	}
	var bad *toml.DecodeError
	if errors.As(err, &bad) {
		row, col := bad.Position()
		text := strings.TrimPrefix(bad.Error(), "toml: ")
		e := &survey.Error{Pos: survey.Pos{File: name, Line: row, Col: col}, Element: strings.Join(bad.Key(), "."), Want: "a job file in TOML: " + text, Err: err}
		if kind, of, ok := strings.Cut(strings.TrimPrefix(text, "cannot decode TOML "), " into "); ok {
			e.Found, e.Want = "a value of the kind "+kind, "another kind"
			switch {
			case strings.HasSuffix(of, " string"):
				e.Want = `text in quotes, such as "20mm"`
			case strings.HasSuffix(of, " float64"):
				e.Want = "a number"
			case strings.HasSuffix(of, " bool"):
				e.Want = "true or false"
			case strings.Contains(of, "[]"):
				e.Want = `a list, such as ["a", "b"]`
			case strings.Contains(of, "map["):
				e.Want = `a table, such as { BM1 = "100ft" }`
			}
		}
		return e
	}
	return &survey.Error{Pos: survey.Pos{File: name}, Want: "a job file in TOML: " + err.Error(), Err: err}
}

// positions returns where each key of a valid file stands; those of the second
// table of an array under "materials[2].name".
func positions(b []byte, name string) map[string]survey.Pos {
	out := map[string]survey.Pos{}
	var p unstable.Parser
	p.Reset(b)
	prefix, count := "", map[string]int{}
	starts := []int{0} // of the lines: the parser would count them anew for each key
	for i, c := range b {
		if c == '\n' {
			starts = append(starts, i+1)
		}
	}
	place := func(at unstable.Range) survey.Pos {
		offset := int(at.Offset)
		line, _ := slices.BinarySearch(starts, offset+1)
		return survey.Pos{File: name, Line: line, Col: offset - starts[line-1] + 1}
	}
	keyOf := func(it unstable.Iterator) (key string, at unstable.Range) {
		first := true
		for it.Next() {
			n := it.Node()
			if first {
				at, first = n.Raw, false
			} else {
				key += "."
			}
			key += string(n.Data)
		}
		return key, at
	}
	for p.NextExpression() {
		e := p.Expression()
		switch e.Kind {
		case unstable.Table, unstable.ArrayTable:
			key, at := keyOf(e.Key())
			if e.Kind == unstable.ArrayTable {
				count[key]++
				key = fmt.Sprintf("%s[%d]", key, count[key])
			}
			prefix = key
			out[key] = place(at)
		case unstable.KeyValue:
			key, at := keyOf(e.Key())
			if prefix != "" {
				key = prefix + "." + key
			}
			out[key] = place(at)
		}
	}
	return out
}

// Keys lists every key that a job file may have.
func Keys() []string {
	var out []string
	for table, keys := range keysOf(Job{}) {
		for _, k := range keys {
			if table != "" {
				k = table + "." + k
			}
			out = append(out, k)
		}
	}
	slices.Sort(out)
	return out
}

// nearest returns the key that is written most like one that does not exist.
func nearest(key string) string {
	best, least := "", 1+len(key)/2
	for _, k := range Keys() {
		d := distance(key, k)
		// The right name in the wrong table is near too.
		if last, own := key[strings.LastIndex(key, ".")+1:], k[strings.LastIndex(k, ".")+1:]; last == own {
			d = min(d, 1)
		}
		// So is the beginning of one.
		if strings.HasPrefix(k, key+"-") {
			d = min(d, 1)
		}
		if d < least {
			best, least = k, d
		}
	}
	return best
}

// Nearest returns the one of several words that a mistyped one is most like, "" where
// none is: fewer than half of its letters differ, or it is the beginning of one.
func Nearest(wrong string, words []string) string {
	wrong = strings.ToLower(wrong)
	best, least := "", 1+len(wrong)/2
	for _, w := range words {
		d := distance(wrong, w)
		if len(wrong) > 2 && strings.HasPrefix(w, wrong) {
			d = min(d, 2)
		}
		if d < least {
			best, least = w, d
		}
	}
	return best
}

// distance is how many letters must be put in, taken out or exchanged to make b of
// a. Source: Levenshtein 1966.
func distance(a, b string) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := 1; i <= len(a); i++ {
		diagonal := row[0]
		row[0] = i
		for j := 1; j <= len(b); j++ {
			cost := 1
			if a[i-1] == b[j-1] {
				cost = 0
			}
			diagonal, row[j] = row[j], min(row[j]+1, row[j-1]+1, diagonal+cost)
		}
	}
	return row[len(b)]
}
