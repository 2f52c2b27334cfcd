// Package job solves a whole job: [Parse] reads a [Job] from one TOML file that has everything
// about a floor, [Solve] works out its [Result] and prints and writes nothing. [Fields] lists
// everything that a job can have. [Fill], [Judge], [Hold], [OpenFloor] and [OpenBook] are the parts
// that single commands need.
//
// Results are in m, m², m³ and kg, whatever units are shown. A refusal is a [*survey.Error] with
// its place where it has one, and comes without a result.
package job

import (
	"cmp"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/pelletier/go-toml/v2"

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
	AfterSheet       string            `toml:"after-sheet"` // of the survey after the pour; of flatness, of the one before it
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
	RuleStep    string `toml:"rule-step"` // smallest division of the crew's rule
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
