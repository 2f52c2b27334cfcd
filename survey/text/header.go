package text

import (
	"fmt"
	"regexp"
	"strings"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// role is what a column holds. Its text is the column name that the row decoder uses.
type role string

const (
	isName     role = "name"
	isX        role = "x" // east
	isY        role = "y" // north
	isZ        role = "z"
	isDesign   role = "design" // a target level, not a measured one
	isRod      role = "rod"
	isGrade    role = "grade" // the rod reading at the target
	isHI       role = "hi"
	isBS       role = "bs"
	isIS       role = "is"
	isFS       role = "fs"
	isRise     role = "rise"
	isFall     role = "fall"
	isDiff     role = "diff"
	isSign     role = "sign" // H/L, C/F, +/-
	isLow      role = "low"  // depth below target, positive down
	isHigh     role = "high"
	isCode     role = "code"
	isRemark   role = "remark"
	isPart     role = "part"
	isRing     role = "ring"
	isSeq      role = "seq"
	isWall     role = "wall" // name of the wall from a corner to the next
	isSetup    role = "setup"
	isSight    role = "sight"
	isDist     role = "dist" // from the level to the rod
	isBackDist role = "bsdist"
	isForeDist role = "fsdist"
	isRun      role = "run"
	isX0       role = "x0" // start of a run
	isY0       role = "y0"
	isX1       role = "x1" // its end
	isY1       role = "y1"
	isBearing  role = "bearing" // of a run
	isStep     role = "step"    // between its readings
	isIgnored  role = "ignored"
	isLat      role = "lat" // degrees
	isLong     role = "long"

	isEllipsoid role = "ellipsoid" // height above the ellipsoid
	isExtra     role = "extra"     // past the last column of the header
	isFree      role = "free"      // the last column, if it is text without another role
)

// headWords maps the heads of columns, after [headForm], to roles.
var headWords = map[string]role{}

func init() {
	for r, list := range map[role]string{
		isName:   "point|pt|pt no|pt nr|point no|point nr|point number|point name|point id|pointid|ptid|pt id|p|id|no|nr|num|number|name|station|stn|sta|spot|label|tag|shot no|punkt|pkt|punktnr|punkt nr|nummer|numéro|punto|piste|点名|#",
		isX:      "easting|east|e|eastings|x|x coord|xcoord|x coordinate|chainage|rechtswert|rechts|ost|est|este|itä|x east|east x",
		isY:      "northing|north|n|northings|y|y coord|ycoord|y coordinate|offset|hochwert|hoch|nord|norte|pohjoinen|y north|north y",
		isZ:      "elevation|elevations|elev|el|ele|z|z coord|zcoord|z coordinate|height|h|ht|level|lvl|rl|r l|reduced level|ffl|ssl|fgl|altitude|alt|höhe|hoehe|kote|cota|quota|korkeus|標高|ngl|ns|red level|spot level|spot height|spot elevation|floor level|floor elevation|floor elev|slab level|slab elevation|slab elev|shot elevation|shot elev|elevation above datum|elev above datum|height above datum|level above datum|above datum|top of slab|top of concrete|ortho height|orthometric height|orthometric elevation",
		isDesign: "target|design|proposed|planned|required|grade|finish",
		isRod:    "rod|rod reading|rod read|rod rdg|staff|staff reading|staff rdg|reading|readings|rdg|shot|stick|stick reading|stick rdg|grade stick|laser|laser reading|laser rdg|laser rod|below laser|below the laser|down from laser|dip|dips|below string|below string line|story pole|stick down|tape down",
		isGrade:  "grade rod|target reading",
		isHI:     "hi|height of instrument|hoc|height of collimation|hpc|collimation|plane of collimation|instrument height",
		isBS:     "bs|backsight|back sight",
		isIS:     "is|int|intermediate|intermediate sight",
		isFS:     "fs|foresight|fore sight",
		isRise:   "rise", isFall: "fall",
		isDiff:      "diff|difference|delta|dz|dev|deviation|from target",
		isSign:      "h/l|hi/lo|high/low|c/f|cut/fill|+/-|+/−|sign",
		isLow:       "low|fill|fill depth|depth|depth to fill|depth of fill|below|below target|down",
		isHigh:      "high|cut|cut depth|above|above target",
		isCode:      "code|codes|feature|feature code|layer|type",
		isRemark:    "desc|description|remark|remarks|note|notes|comment|comments|location|where|bemerkung|omschrijving|observation|what",
		isPart:      "part|region|area|room|bay|line|string",
		isRing:      "ring",
		isSeq:       "seq|sequence|order",
		isWall:      "wall|wall name|name of wall|edge|edge name|name of edge",
		isSetup:     "setup|set up|instrument setup|instrument station|instrument|session",
		isLat:       "lat|latitude",
		isLong:      "long|longitude|lon|lng",
		isEllipsoid: "ellipsoid height|ellipsoidal height|ellipsoid elevation|height above ellipsoid|hae",
		isDist:      "dist|distance|sight length|sight distance|length of sight",
		isBackDist:  "bs dist|bs distance|backsight distance|dist bs|distance bs",
		isForeDist:  "fs dist|fs distance|foresight distance|dist fs|distance fs",
		isRun:       "run|run no|run name|run id|sample line|measurement line",
		isX0:        "x0|start x|x start|from x|x from|e0|start e", isY0: "y0|start y|y start|from y|y from|n0|start n",
		isX1: "x1|end x|x end|to x|x to|e1|end e", isY1: "y1|end y|y end|to y|y to|n1|end n",
		isBearing: "bearing|direction|azimuth",
		isStep:    "step|step length|interval|reading interval",
		isSight:   "sight|sight type|shot type|type of sight|type of shot",
		isIgnored: "intensity|i|refl|reflectance|r|g|b|red|green|blue|nx|ny|nz|class|classification|return|time|date|opening|rule|unit|units",
	} {
		for w := range strings.SplitSeq(list, "|") {
			headWords[w] = r
		}
	}
	// Several national grids have x to the north.
	headWords["x north"], headWords["north x"] = isY, isY
	headWords["y east"], headWords["east y"] = isX, isX
}

// designWords mark a target level, foundWords a measured one.
var designWords = set("target|design|proposed|planned|plan|required|req|grade|finish|finished|theoretical")

var foundWords = set("existing|exist|measured|actual|surveyed|found|built|as|before|observed")

// proseWords head a column of remarks. The other words of [isRemark] can head codes, as D
// in PNEZD does.
var proseWords = set("remark|remarks|note|notes|comment|comments|location|where|bemerkung|observation")

func set(list string) map[string]bool {
	m := map[string]bool{}
	for w := range strings.SplitSeq(list, "|") {
		m[w] = true
	}
	return m
}

// column is what is known of one column of a file.
type column struct {
	index      int    // from 0
	head       string // as written; empty without a header
	role       role
	bare       bool // x or y by letter alone
	measured   bool // the head marks a measured level
	weak       bool // FFL, SSL: a measured or a target level
	rank       int  // among code columns: the lowest is used
	prose      bool // headed as remarks: its texts are not codes
	unit       unit.Length
	stated     bool // the file states the unit
	feetInches bool
	last       int // feet-inches-fraction: what the last figure counts, 8 or 16; 0 unknown

	foreign string // a unit in the head that is not supported
	side    string // side of the room from which distances are measured; empty: none

	cells byCells // of a column of feet and inches

	noUnit bool // a missing unit has been reported
	third  third
	own    bool        // some cell has its own unit
	seen   unit.Length // that unit
}

// String returns the number and the head of the column, for messages.
func (c *column) String() string {
	if c.head == "" {
		return fmt.Sprintf("column %d", c.index+1)
	}
	return fmt.Sprintf("column %d %s", c.index+1, unit.Quote(c.head))
}

var (
	inBrackets = regexp.MustCompile(`[(\[{]([^)\]}]*)[)\]}]?`)
	feetAndIn  = regexp.MustCompile(`^(?:ft|feet|foot|') ?(?:and )?(?:in|ins|inch|inches|")(?: ?(?:1/)?(8|16|32|64|eighths?|sixteenths?)(?:ths?)?)?$`)
)

// headForm returns a head as [headWords] has it: lower case, single blanks, without
// punctuation.
func headForm(head string) string {
	head = strings.ToLower(strings.TrimSpace(head))
	head = strings.NewReplacer(".", "", `"`, "", "_", " ", "-", " ", ":", "", "*", "").Replace(head)
	if len(head) > 1 {
		head = strings.TrimSuffix(head, "#")
	}
	return strings.Join(strings.Fields(head), " ")
}

// unitWords parses the unit of a head: a length, or feet and inches. last is what the
// last figure of feet-inches-fractions counts, 8 or 16, and 0 if not stated.
func unitWords(t string) (u unit.Length, feetInches bool, last int, ok bool) {
	t = strings.ToLower(strings.TrimSpace(strings.TrimLeft(t, ",/ ")))
	t = strings.TrimPrefix(t, "in ")
	if u, ok = unit.ParseLength(t); ok {
		return u, false, 0, true
	}
	form := strings.Join(strings.Fields(strings.NewReplacer(".", "", "_", " ", "-", " ").Replace(t)), " ")
	if m := feetAndIn.FindStringSubmatch(form); m != nil {
		switch {
		case strings.HasPrefix(m[1], "e"), m[1] == "8":
			last = 8
		case strings.HasPrefix(m[1], "s"), m[1] == "16":
			last = 16
		}
		return unit.Foot, true, last, true
	}
	return unit.None, false, 0, false
}

// otherUnits are lengths that are not supported. A column in one of them must not be read
// in another unit.
var otherUnits = map[string]bool{"yd": true, "yds": true, "yard": true, "yards": true, "km": true, "dm": true, "mi": true, "mile": true, "miles": true, "chain": true, "chains": true, "link": true, "links": true, "mil": true, "mils": true, "µm": true, "um": true}

// readHead parses the head of one column.
func readHead(index int, head string) *column {
	c := &column{index: index, head: strings.TrimSpace(head)}
	if c.head == "" {
		return c
	}
	text := strings.NewReplacer("−", "-", "–", "-").Replace(c.head)
	var asides []string
	for _, m := range inBrackets.FindAllStringSubmatch(text, -1) {
		if u, fi, last, ok := unitWords(m[1]); ok {
			c.unit, c.feetInches, c.last, c.stated = u, fi, last, true
		} else {
			asides = append(asides, headForm(m[1]))
			if otherUnits[headForm(m[1])] {
				c.foreign = m[1]
			}
		}
	}
	form := headForm(inBrackets.ReplaceAllString(text, " "))
	if form == "" {
		form = headForm(strings.Trim(text, "()[]{}"))
	}
	if c.words(form) {
		c.aside(asides)
		return c
	}
	tokens := strings.Fields(form)
	for n := min(4, len(tokens)-1); n > 0 && !c.stated; n-- {
		u, fi, last, ok := unitWords(strings.Join(tokens[len(tokens)-n:], " "))
		if !ok {
			continue
		}
		rest := tokens[:len(tokens)-n]
		if len(rest) > 1 && rest[len(rest)-1] == "in" {
			rest = rest[:len(rest)-1] // "height in mm"
		}
		if c.words(strings.Join(rest, " ")) {
			c.unit, c.feetInches, c.last, c.stated = u, fi, last, true
			c.aside(asides)
			return c
		}
	}
	if c.stated {
		// "Rod ft-in (8ths)" and the like: the bracket gives the unit, so other unit
		// words are dropped.
		for n := min(3, len(tokens)-1); n > 0; n-- {
			if _, _, _, ok := unitWords(strings.Join(tokens[len(tokens)-n:], " ")); ok && c.words(strings.Join(tokens[:len(tokens)-n], " ")) {
				break
			}
		}
	}
	return c
}

// aside applies words in brackets, which overrule a letter: "X (North)".
func (c *column) aside(asides []string) {
	for _, a := range asides {
		switch r := headWords[a]; {
		case c.bare && (r == isX || r == isY):
			c.role, c.bare = r, false
		case c.role == isZ && designWords[a]:
			c.role = isDesign
		case c.role == isZ && foundWords[a]:
			c.measured = true
		}
	}
}

// words sets the role that form names and reports whether it names one.
func (c *column) words(form string) bool {
	if c.side = sideOf(form); c.side != "" {
		switch c.side {
		case "west":
			c.role = isX
		case "south":
			c.role = isY
		}
		return true
	}
	if r, ok := headWords[form]; ok {
		c.role = r
		c.bare = (r == isX && form[0] == 'x' || r == isY && form[0] == 'y') && !strings.Contains(form, " ") || strings.HasSuffix(form, "coord") || strings.HasSuffix(form, "coordinate")
		c.weak = form == "ffl" || form == "ssl" || form == "fgl"
		c.measured = form == "ngl" || form == "ns"
		c.prose = proseWords[form]
		switch form {
		case "code", "codes", "feature code":
		case "feature":
			c.rank = 1
		case "layer":
			c.rank = 2
		case "type":
			c.rank = 3
		}
		return true
	}
	design, found := false, false
	var rest []string
	for w := range strings.FieldsSeq(form) {
		switch {
		case designWords[w]:
			design = true
		case foundWords[w]:
			found = true
		default:
			rest = append(rest, w)
		}
	}
	if !design && !found {
		return false
	}
	r, ok := headWords[strings.Join(rest, " ")]
	switch {
	case len(rest) == 0 && design && found:
		c.role, c.measured = isZ, true // existing grade
	case len(rest) == 0 && design:
		c.role = isDesign
	case len(rest) == 0, ok && r == isZ && !design:
		c.role, c.measured = isZ, true
	case !ok:
		return false
	case r == isZ:
		c.role = isDesign
	case r == isRod && design:
		c.role = isGrade
	default:
		c.role = r
	}
	return true
}

// headLike reports whether cells can be the header of a point list: at least two known
// words, among them a height or both plan directions, and no number.
func headLike(cells []string) bool {
	if s, ok := sheetHead(cells, 0, ""); ok && s.letters && (len(s.cells) > 3 || strings.EqualFold(s.cells[0], "A")) {
		return false // the letters of a grid sheet: E is not easting there, and B not blue
	}
	known, height := 0, false
	plan := map[role]bool{}
	for i, cell := range cells {
		if t := strings.TrimSpace(cell); t == "+" {
			known++
			height = true
			continue
		}
		if looksNumeric(cell) {
			return false
		}
		c := readHead(i, cell)
		switch c.role {
		case "":
			continue
		case isX, isY:
			plan[c.role] = true
		case isZ, isDesign, isRod, isGrade, isDiff, isLow, isHigh, isBS, isFS, isIS, isEllipsoid, isLat:
			height = true
		}
		known++
	}
	return known >= 2 && (height || len(plan) == 2)
}

var roleNames = map[role]string{
	isX: "eastings (x)", isY: "northings (y)", isZ: "elevations", isRod: "rod readings", isGrade: "grade rod readings",
	isHI: "heights of instrument", isBS: "backsights", isIS: "intermediate sights", isFS: "foresights",
	isRise: "rises", isFall: "falls", isDiff: "differences", isSign: "high or low", isLow: "depths", isHigh: "heights above target",
	isSetup: "set-ups", isSight: "sights", isDist: "distances", isRun: "runs", isX0: "starts (x)", isY0: "starts (y)", isX1: "ends (x)", isY1: "ends (y)", isBearing: "bearings", isStep: "steps", isBackDist: "distances of backsights", isForeDist: "distances of foresights", isRing: "rings", isSeq: "sequence numbers", isWall: "names of walls",
}

var roleLetters = map[role]string{
	isName: "P", isX: "E", isY: "N", isZ: "Z", isRod: "rod", isGrade: "grade-rod", isHI: "HI", isBS: "BS", isIS: "IS", isFS: "FS",
	isRise: "rise", isFall: "fall", isDiff: "diff", isSign: "sign", isLow: "low", isHigh: "high", isCode: "code", isRemark: "D",
	isPart: "part", isRing: "ring", isSeq: "seq", isWall: "wall", isSetup: "setup", isSight: "sight", isDist: "dist", isRun: "run", isX0: "E0", isY0: "N0", isX1: "E1", isY1: "N1", isBearing: "bearing", isStep: "step", isBackDist: "BS-dist", isForeDist: "FS-dist",
}

// letter returns the letter or word for the column in the order of columns.
func (c *column) letter() string {
	if c.prose {
		return "remark"
	}
	return roleLetters[c.role]
}

// fromOrder makes the columns of a file without header from an order such as PNEZD.
// Letters: P name, N or Y north, E or X east, Z or H elevation, R rod reading, D
// description, C code, - or _ a column to skip.
func fromOrder(order string, fields int) ([]*column, error) {
	letters := map[rune]role{'P': isName, 'N': isY, 'E': isX, 'X': isX, 'Y': isY, 'Z': isZ, 'H': isZ, 'R': isRod, 'D': isRemark, 'C': isCode, '-': isIgnored, '_': isIgnored}
	var out []*column
	seen := map[role]bool{}
	for _, r := range strings.ToUpper(order) {
		if r == ' ' || r == ',' {
			continue
		}
		what, ok := letters[r]
		if !ok || what != isIgnored && seen[what] {
			return nil, (&survey.Error{Element: "order", Found: fmt.Sprintf("%q", order),
				Want: "letters from P (name), N, E or X, Y, Z or R (rod), D (description), C (code), each max once"}).Hinted("%s", unit.Ask("order", "PNEZD"))
		}
		seen[what] = true
		out = append(out, &column{index: len(out), role: what})
	}
	for len(out) < fields {
		out = append(out, &column{index: len(out), role: isIgnored})
	}
	return out, nil
}
