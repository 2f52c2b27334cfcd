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
// "0.25yd3", as on the command line. File names are relative to the folder of the job.
// An empty field is not set, or takes the default of the command that uses it.
type Job struct {
	Title string         `toml:"title"`
	Date  toml.LocalDate `toml:"date"`  // of the survey; shown on every page
	Units string         `toml:"units"` // unit of lengths that the survey files give without one
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
	at   map[string]survey.Pos // place of each key

	written map[string]string // keys of figures given in US units, by their SI keys

	shotDrains []string // what the drains of a new job could be, as its example
}

// Survey names the files and how they are read.
type Survey struct {
	Files            []string          `toml:"files"` // survey before the pour
	After            []string          `toml:"after"` // survey after the pour
	Outline          string            `toml:"outline"`
	Surface          string            `toml:"surface"`
	Order            string            `toml:"order"`
	InstrumentHeight string            `toml:"instrument-height"`
	AfterInstrument  string            `toml:"after-instrument-height"` // for the survey after the pour
	Duplicates       string            `toml:"duplicates"`
	Zeros            string            `toml:"zeros"`
	Benchmarks       map[string]string `toml:"benchmarks"`
	Codes            map[string]string `toml:"codes"`
	LeaveOut         map[string]string `toml:"leave-out"` // shot by name or file:line, with the reason
	Adjust           string            `toml:"adjust"`
	Allow            string            `toml:"allow"`
	AcceptMisclosure bool              `toml:"accept-misclosure"`
	GridSpacing      string            `toml:"grid-spacing"`
	GridNumbers      string            `toml:"grid-numbers"`
	GridLetters      string            `toml:"grid-letters"`
	GridValues       string            `toml:"grid-values"`
	GridOrigins      map[string]string `toml:"grid-origins"` // by sheet, as "X,Y"; "" is any sheet
	Retriangulate    bool              `toml:"retriangulate"`
	Thin             string            `toml:"thin"`
	ThinKeep         string            `toml:"thin-keep"`
	MaxSize          string            `toml:"max-size"`
	Sheet            string            `toml:"sheet"`
	OutlineSheet     string            `toml:"outline-sheet"`
	ReadingSD        string            `toml:"reading-sd"`
	SetupSD          string            `toml:"setup-sd"`
	AfterSheet       string            `toml:"after-sheet"` // for the survey after the pour; in flatness, for the one before it
}

// Target is the plane that the floor is brought to.
type Target struct {
	Elevation     string   `toml:"elevation"`
	Finish        string   `toml:"finish"`
	FinishCodes   []string `toml:"finish-codes"`
	FinishAt      string   `toml:"finish-at"`
	FinishRule    string   `toml:"finish-rule"`
	Surface       string   `toml:"surface"` // FILE or FILE#NAME, a design surface
	Parts         []string `toml:"parts"`   // PART=Z, or PART=none for a part that is not filled
	Buildup       string   `toml:"buildup"`
	Low           string   `toml:"low"`
	Volume        string   `toml:"volume"` // that is placed: alone it sets the target
	FallPercent   float64  `toml:"fall-percent"`
	Fall          string   `toml:"fall"` // "1:60", "1/4in/ft" or "1.5%", instead of FallPercent
	Toward        string   `toml:"toward"`
	Drains        []Drain  `toml:"drains"`         // that it falls to from all sides
	Channels      []string `toml:"channels"`       // X1,Y1,X2,Y2 or X1,Y1,X2,Y2,Z
	Walls         string   `toml:"walls"`          // even or level, where it falls to drains
	Ramps         []string `toml:"ramps"`          // THRESHOLD=LENGTH or THRESHOLD=SLOPE
	FallDirection string   `toml:"fall-direction"` // direction of the fall to a place, where several are equally good
	Best          bool     `toml:"best"`           // the plane of least cost within the limits that follow
	MinDepth      string   `toml:"min-depth"`
	MaxDepth      string   `toml:"max-depth"`
	MaxFall       string   `toml:"max-fall"`
	Trip          string   `toml:"trip"`       // change of level allowed at thresholds
	FillPrice     string   `toml:"fill-price"` // of a volume: "160/m3"
	GrindPrice    string   `toml:"grind-price"`
	Covering      string   `toml:"covering"`
	BedLeast      string   `toml:"bed-least"`
	BedGreatest   string   `toml:"bed-greatest"`
}

// Drain is a drain or a channel that the target falls to: a table, or in a list a text as of the
// option.
type Drain struct {
	Name      string `toml:"name"`      // of a shot; with At a name of the user's choice
	At        string `toml:"at"`        // X,Y
	To        string `toml:"to"`        // X,Y of the other end of a channel
	Elevation string `toml:"elevation"` // of the fill there

	text string // the name of a shot, the code of drains, X,Y or X,Y,Z
}

// Site holds the conditions of the floor that need care.
type Site struct {
	Bearing     string `toml:"bearing"`      // ground or suspended
	Heated      bool   `toml:"heated"`       // pipes or cables run in the floor
	OldCovering bool   `toml:"old-covering"` // tile, sheet, adhesive or paint is or was on it
	Bonded      bool   `toml:"bonded"`       // the fill is bonded to it
	Tensioned   bool   `toml:"post-tensioned"`
	Drains      bool   `toml:"drains"`  // drains, weep holes, a damp course or a gas barrier
	Engines     bool   `toml:"engines"` // engines run indoors
	InUse       bool   `toml:"in-use"`  // people pass through during the work
	Exit        string `toml:"exit"`    // "X,Y": where the crew leaves the floor
}

// Mix is the concrete or other mix of the fill.
type Mix struct {
	AllowancePercent *float64 `toml:"allowance-percent"`
	OrderStep        string   `toml:"order-step"`
	RiskPercent      *float64 `toml:"risk-percent"`     // of running short, that the order is raised to
	ShortLoadPrice   float64  `toml:"short-load-price"` // of a second delivery, where the first runs short
	UnitWeight       float64  `toml:"unit-weight-kgm3"`
	UnitWeightLb     float64  `toml:"unit-weight-lbft3"` // converted into UnitWeight by Parse
	PricePerM3       float64  `toml:"price-per-m3"`
	PricePerYd3      float64  `toml:"price-per-yd3"`
	PricePerBag      float64  `toml:"price-per-bag"`   // of usual bags, for less than a truck
	Currency         string   `toml:"currency"`        // a word, for all prices
	AcceptUnserved   bool     `toml:"accept-unserved"` // go on if no material serves some depths
}

// Material is a fill material of the user's own. The materials of a job serve the depths
// in the order of the file.
type Material struct {
	Name        string  `toml:"name"`
	BagYield    string  `toml:"bag-yield"` // empty: sold by volume
	BagMass     float64 `toml:"bag-mass-kg"`
	BagMassLb   float64 `toml:"bag-mass-lb"` // converted into BagMass by Parse
	Least       string  `toml:"least"`
	Greatest    string  `toml:"greatest"` // max thickness of one lift
	Lifts       int     `toml:"lifts"`
	WorkingTime string  `toml:"working-time"`
	UnitWeight  float64 `toml:"unit-weight-kgm3"`
	WeightLb    float64 `toml:"unit-weight-lbft3"` // converted into UnitWeight by Parse
	PricePerBag float64 `toml:"price-per-bag"`
	PricePerM3  float64 `toml:"price-per-m3"` // for materials sold by volume
	PricePerYd3 float64 `toml:"price-per-yd3"`
	PricePerM2  float64 `toml:"price-per-m2"` // for a way to fill, such as framing
	PricePerFt2 float64 `toml:"price-per-ft2"`
	CompareOnly bool    `toml:"compare-only"` // for the comparison of ways only, not for this fill
}

// Pace is the pour over time.
type Pace struct {
	Placing      float64 `toml:"placing-m3-per-hour"`
	PlacingYd3   float64 `toml:"placing-yd3-per-hour"` // converted into Placing by Parse
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
	Across       string `toml:"spacing-across"` // empty: as Spacing
	EdgeCover    string `toml:"edge-cover"`
	BottomCover  string `toml:"bottom-cover"`
	TopCover     string `toml:"top-cover"`
	StockLength  string `toml:"stock-length"`
	Lap          string `toml:"lap"`
	ChairSpacing string `toml:"chair-spacing"`

	PricePerBar   float64 `toml:"price-per-bar"` // per bar of stock length
	PricePerChair float64 `toml:"price-per-chair"`
}

// Mesh is welded mesh in sheets. Without a sheet length there is none.
type Mesh struct {
	Name        string  `toml:"name"`
	SheetLength string  `toml:"sheet-length"`
	SheetWidth  string  `toml:"sheet-width"`
	Lap         string  `toml:"lap"`
	Cover       string  `toml:"cover"` // above and below
	Mass        float64 `toml:"mass-kgm2"`
	MassLb      float64 `toml:"mass-lbft2"` // converted into Mass by Parse

	PricePerSheet float64 `toml:"price-per-sheet"`
}

// Bays are how dams divide the floor: exactly one key is set.
type Bays struct {
	Dams  [][]string `toml:"dams"` // lines of places "X,Y"
	Width string     `toml:"width"`
	Most  string     `toml:"most"` // max volume of a bay
}

// given reports whether the job says how to divide the floor.
func (b Bays) given() bool { return len(b.Dams) > 0 || b.Width != "" || b.Most != "" }

// Coat is a primer or bond coat.
type Coat struct {
	Name       string  `toml:"name"`
	Cover      float64 `toml:"cover-m2-per-litre"`
	First      float64 `toml:"first-cover-m2-per-litre"`
	CoverFt2   float64 `toml:"cover-ft2-per-gallon"`       // US gallons; converted into Cover by Parse
	FirstFt2   float64 `toml:"first-cover-ft2-per-gallon"` // converted into First by Parse
	PackGallon float64 `toml:"pack-gallons"`               // converted into Pack by Parse
	Coats      int     `toml:"coats"`
	WaterParts float64 `toml:"water-parts"`
	Overlap    float64 `toml:"overlap-percent"`
	Allowance  float64 `toml:"allowance-percent"`
	Pack       float64 `toml:"pack-litres"`
	Price      float64 `toml:"price-per-pack"`
}

// Edge is the isolation of the fill from the walls.
type Edge struct {
	Film       bool    `toml:"film"`
	Above      string  `toml:"above"`
	Foot       string  `toml:"foot"`
	Lap        string  `toml:"lap"`
	Roll       string  `toml:"roll"`
	RollWidth  string  `toml:"roll-width"`
	Foam       string  `toml:"foam"` // thickness
	FoamPiece  string  `toml:"foam-piece"`
	FoamHeight string  `toml:"foam-height"`
	Allowance  float64 `toml:"allowance-percent"`

	PricePerRoll  float64 `toml:"price-per-roll"`  // of film
	PricePerPiece float64 `toml:"price-per-piece"` // of foam
}

// Joints are either movement joints of the old floor, which continue through the fill and the
// covering, or contraction joints sawn in the fill.
type Joints struct {
	Kind      string  `toml:"kind"` // movement or contraction; empty: movement
	Length    string  `toml:"length"`
	Width     string  `toml:"width"`
	Elastic   bool    `toml:"elastic"`
	Pack      float64 `toml:"pack-litres"`
	Allowance float64 `toml:"allowance-percent"`

	PackGallon   float64 `toml:"pack-gallons"` // converted into Pack by Parse
	PricePerPack float64 `toml:"price-per-pack"`
	RodPerM      float64 `toml:"rod-price-per-m"`
	RodPerFt     float64 `toml:"rod-price-per-ft"`
	StripPerM    float64 `toml:"strip-price-per-m"`
	StripPerFt   float64 `toml:"strip-price-per-ft"`
}

// Outputs selects the outputs.
type Outputs struct {
	Paper string   `toml:"paper"` // A4 or Letter
	Omit  []string `toml:"omit"`  // files to leave out, such as "plan.dxf"

	Ways    bool `toml:"ways"`     // the record compares the ways to fill
	LoadMap bool `toml:"load-map"` // the record has a map of the added load
	Water   bool `toml:"water"`    // where water stands and runs

	NextShots *float64 `toml:"next-shots"` // how many places worth another shot are listed
}

// Plant is the delivery of the mix, and its losses.
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

// Flatness is how the floor is judged.
type Flatness struct {
	Tolerance     string   `toml:"tolerance"`
	Straightedges []string `toml:"straightedges"`
	Rules         []string `toml:"rules"`
	Ordered       string   `toml:"ordered"`
	GrindPass     string   `toml:"grind-pass"`
	BagYield      string   `toml:"bag-yield"`
	House         []House  `toml:"house-rules"` // the user's own limits
}

// House is a limit of the user's own: for a gap under a straightedge, for the departure
// from the target, or for an F-number.
type House struct {
	Name         string  `toml:"name"`
	Straightedge string  `toml:"straightedge"` // its length; Limit is then the max gap
	Departure    bool    `toml:"departure"`    // Limit is the max departure
	Limit        string  `toml:"limit"`
	SharePercent float64 `toml:"share-percent"` // of the positions that must be within the limit; 0: all
	FF           float64 `toml:"ff"`
	FL           float64 `toml:"fl"`
}

const longestTitle = 120 // it is on every page; own choice

// Name returns the name of the job file.
func (j *Job) Name() string { return j.file }

// Day returns the date on the results: the date of the job, or else SOURCE_DATE_EPOCH,
// seconds since 1970. It is an error if neither is set, since the results could not be
// made again alike.
func (j *Job) Day() (time.Time, error) {
	if j.Date.Year != 0 {
		return j.Date.AsTime(time.UTC), nil
	}
	if s, err := strconv.ParseInt(os.Getenv("SOURCE_DATE_EPOCH"), 10, 64); err == nil {
		return time.Unix(s, 0).UTC(), nil
	}
	return time.Time{}, j.Error("date", "none", "the date of the survey, a line at the top of the file: date = 2026-11-25")
}

// DateOf returns the date of a time, for a job.
func DateOf(t time.Time) toml.LocalDate {
	return toml.LocalDate{Year: t.Year(), Month: int(t.Month()), Day: t.Day()}
}

// UnitWeight returns the unit weight of the mix, kg/m³: the one in the job, or else
// normal concrete. Materials without one of their own have it too.
func (j *Job) UnitWeight() float64 { return cmp.Or(j.Mix.UnitWeight, order.NormalConcrete) }

// FilesNamed lists the files in the job as written, each once.
func (j *Job) FilesNamed() []string {
	var out []string
	for _, name := range slices.Concat(j.Survey.Files, j.Survey.After, []string{j.Survey.Outline, j.DesignFile()}) {
		if name != "" && !slices.Contains(out, name) {
			out = append(out, name)
		}
	}
	return out
}

// Lost returns the refusal of the first file of the job that does not exist.
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
	return cmp.Or(lost("survey.outline", j.Survey.Outline), lost("target.surface", j.DesignFile()))
}

// DesignFile is the file of the target surface; empty without one.
func (j *Job) DesignFile() string {
	file, _ := designFile(j.Target.Surface)
	return file
}

// DesignName is the name of the target surface in its file; empty without one.
func (j *Job) DesignName() string {
	_, name := designFile(j.Target.Surface)
	return name
}

// designPath is the target surface with the path of its file from the current folder.
func (j *Job) designPath() string {
	file, name := designFile(j.Target.Surface)
	if name == "" {
		return j.Path(file)
	}
	return j.Path(file) + "#" + name
}

// Inputs lists all input files of the job by their paths from the current folder.
func (j *Job) Inputs() []string { return append([]string{j.file}, j.paths(j.FilesNamed())...) }

// Path returns the path of a file of the job from the current folder.
func (j *Job) Path(name string) string {
	if name == "" || j.file == "" || filepath.IsAbs(name) {
		return name
	}
	return filepath.Join(filepath.Dir(j.file), name)
}

// asNamed returns the name in the job of a path from the current folder; another path is
// returned unchanged.
func (j *Job) asNamed(path string) string {
	for _, name := range j.FilesNamed() {
		if j.Path(name) == path {
			return name
		}
	}
	return path
}

// paths returns the path of each of several files.
func (j *Job) paths(names []string) []string {
	out := make([]string, len(names))
	for i, n := range names {
		out[i] = j.Path(n)
	}
	return out
}

// Error returns the refusal of a key, such as "target.elevation", at its place in the
// file, or at the place of its table if the key is missing.
func (j *Job) Error(key, found, want string) *survey.Error {
	key = cmp.Or(j.written[key], key)
	pos, ok := j.at[key]
	if !ok {
		pos, ok = j.at[key+"[1]"] // an array has the place of its first table
	}
	for k := key; !ok && strings.Contains(k, "."); {
		k = k[:strings.LastIndex(k, ".")]
		if pos, ok = j.at[k]; !ok {
			pos, ok = j.at[tableNumber.ReplaceAllString(k, "")] // a list in one line
		}
	}
	if !ok {
		pos = survey.Pos{File: j.file}
	}
	return &survey.Error{Pos: pos, Element: key, Found: found, Want: want}
}
