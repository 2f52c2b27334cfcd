package job

// Lists of commands that share an option.
const (
	everywhere = "read reduce fill flatness settlement new"
	onFloors   = "read fill flatness settlement new"
	onTargets  = "fill flatness new"
	onOrders   = "fill"
	onFlatness = "flatness"
	onErrors   = "fill flatness new settlement plan"
)

// surveyFields name the files and how they are read.
var surveyFields = []Field{
	{Key: "title", Flag: "title", On: onTargets + " settlement plan", Metric: "Bottling hall", Help: "`TEXT` head of maps and pages (default: the name of the survey)"},
	{Key: "date", Metric: "2026-11-25", Help: "of the survey; printed on every page"},
	{Key: "units", Flag: "units", On: everywhere + " plan", Metric: "m", US: "ft", Words: []string{"m", "cm", "mm", "ft", "ftUS", "in"}, Help: "`U` unit of lengths that the file gives without one: m, cm, mm, ft, ftUS or in"},
	{Key: "show", Flag: "show", On: onFloors + " plan", Metric: "metric", US: "feet", Words: []string{"metric", "feet"}, Help: "`SYSTEM` units of the results: metric or feet (default: as the survey)"},

	{Key: "survey.files", Metric: "survey.csv", Help: "the floor before the pour"},
	{Key: "survey.after", Metric: "check.csv", Help: "the same floor after it"},
	{Key: "survey.outline", Flag: "outline", On: onFloors, Metric: "outline.csv", Help: "`FILE` file of the walls: columns x, y, optional z, part, ring (outer, hole or line); rows in corner order", Comment: "the walls; without them the line around the outermost shots is used"},
	{Key: "survey.surface", Flag: "surface", On: onFloors, Metric: "as found", Help: "`NAME` surface to use, where a file holds several"},
	{Key: "survey.order", Flag: "order", On: everywhere + " plan", Metric: "PNEZD", Words: []string{"PNEZD", "PENZD", "XYZ"}, Help: "`ORDER` columns of a file without header: PNEZD, PENZD, XYZ, …; or which of x and y is north, where a header does not tell"},
	{Key: "survey.instrument-height", Flag: "instrument-height", On: everywhere, Metric: "11.5m", US: "37.7ft", Length: &Length{Of: Elevation, Signed: true}, Help: "`H` elevation of the line of sight, for rod readings"},
	{Key: "survey.after-instrument-height", Metric: "11.2m", US: "36.7ft", Length: &Length{Of: Elevation, Signed: true}, Help: "of the survey after the pour, where its files do not give it"},
	{Key: "survey.duplicates", Flag: "duplicates", On: onFloors, Metric: "refuse", Words: []string{"refuse", "mean", "first", "last"}, Help: "`RULE` two elevations at one place: refuse, mean, first or last (default refuse)"},
	{Key: "survey.zeros", Flag: "zeros", On: onFloors, Metric: "measured", Words: []string{"measured", "missing"}, Help: "`RULE` heights of exactly 0 in a text file: measured or missing (default: judged by the other heights)"},
	{Key: "survey.adjust", Flag: "adjust", On: everywhere, Metric: "none", Words: []string{"none", "setups", "distance", "least-squares"}, Help: "`RULE` how to spread the misclosure of a level book: none, setups, distance or least-squares (default none)"},
	{Key: "survey.allow", Flag: "allow", On: everywhere, Metric: "2mm/setup", US: "1/16in/setup", Length: &Length{Of: Thickness, NotZero: true, Most: 0.3}, Words: []string{"2mm/setup", "third-order", "construction", "third-order-setups"},
		Help:    "`LIMIT` allowed misclosure: 3mm in all, 2mm/setup, or a class, see help level-books (default 2mm/setup or 1/16in/setup)",
		Comment: "what a level book may close by"},
	{Key: "survey.accept-misclosure", Flag: "accept-misclosure", On: everywhere, Metric: "true", Help: "use a level book although it misses by more than allowed"},
	{Key: "survey.grid-spacing", Flag: "grid-spacing", On: onFloors, Metric: "3m", US: "10ft", Length: &Length{Of: Place, NotZero: true, Most: 100}, Help: "`L` distance between the lines of a grid; two with a comma for letters and numbers"},
	{Key: "survey.grid-numbers", Flag: "grid-numbers", On: onFloors, Metric: "south", Words: directions, Help: "`DIRECTION` direction in which lines 1, 2, 3 are counted: north, east, south, west or a bearing in degrees"},
	{Key: "survey.grid-letters", Flag: "grid-letters", On: onFloors, Metric: "east", Words: directions, Help: "`DIRECTION` direction in which lines A, B, C are counted (default east; see help grid-sheets)", Comment: "direction in which lines A, B, C are counted (default east; see pourplane help grid-sheets)"},
	{Key: "survey.grid-values", Flag: "grid-values", On: onFloors, Metric: "rod", Words: []string{"rod", "elevation", "depth"}, Help: "`KIND` what the cells of a grid sheet hold: rod, elevation or depth"},
	{Key: "survey.grid-origins", Flag: "grid-origin", On: onFloors, Metric: `"BAY 2" = "12m,0m"`, US: `"BAY 2" = "40ft,0ft"`, Length: &Length{Of: Place, Signed: true}, Help: "`X,Y` where A1 is; of one of several sheets as \"BAY 2=12m,0m\", see help grid-sheets (repeatable)", Comment: "where A1 of a sheet is"},
	{Key: "survey.retriangulate", Flag: "retriangulate", On: onFloors, Metric: "true", Help: "make new triangles from the points of a surface file (default: its own faces are kept)"},
	{Key: "survey.thin", Flag: "thin", On: onFloors, Metric: "50mm", US: "2in", Length: &Length{Of: Place, NotZero: true, Most: 2}, Help: "`L` keep one point of a scan for each square of this side, while the file is read"},
	{Key: "survey.thin-keep", Flag: "thin-keep", On: onFloors, Metric: "mean", Words: []string{"mean", "lowest", "median"}, Help: "`RULE` which point of a square is kept: mean, lowest or median (default mean)"},
	{Key: "survey.max-size", Flag: "max-size", On: everywhere, Metric: "2GB", Help: "`SIZE` largest input, such as 2GB (default 256MB; no limit for a scan that is thinned)"},
	{Key: "survey.sheet", Flag: "sheet", On: everywhere + " plan", Metric: "Shots", Help: "`NAME` sheet to read of a workbook (XLSX), where several hold shots"},
	{Key: "survey.after-sheet", Flag: "before-sheet", On: onFlatness, Metric: "After", Help: "`NAME` sheet to read of the workbook (XLSX) given as --before (default: as --sheet)", Comment: "sheet of the workbook after the pour (default: as sheet)"},
	{Key: "survey.outline-sheet", Flag: "outline-sheet", On: onFloors, Metric: "Walls", Help: "`NAME` sheet with the walls, of a workbook (XLSX) given as --outline", Comment: "sheet with the walls, where outline is a workbook (XLSX)"},
	{Key: "survey.reading-sd", Flag: "reading-sd", On: onErrors, Metric: "1mm", US: "1/32in", Length: &Length{Of: Thickness, NotZero: true, Most: 0.05, Unit: true}, Help: "`H` standard deviation of one reading (default: as usual for the way of measuring, see help flatness)", Comment: "standard deviation of one reading (default: as usual for the way of measuring)"},
	{Key: "survey.setup-sd", Flag: "setup-sd", On: onErrors, Metric: "1mm", US: "1/32in", Length: &Length{Of: Thickness, Most: 0.05, Unit: true}, Help: "`H` standard deviation of the height of instrument above its benchmark, shared by all shots (default 1mm)", Comment: "standard deviation of the height of instrument above its benchmark (default 1mm)"},
	{Key: "survey.benchmarks", Flag: "benchmark", On: everywhere, Metric: `BM1 = "10m"`, US: `BM1 = "100ft"`, Length: &Length{Of: Elevation, Signed: true}, Help: "`NAME=ELEV` elevation of a benchmark, such as BM1=100ft, for rod readings (repeatable)", Comment: "elevations of benchmarks, for rod readings"},
	{Key: "survey.codes", Flag: "code", On: everywhere, Metric: `WALL = "outline"`, Help: "`CODE=ROLE` what a point code means, such as WALL=outline: floor, outline, void, breakline, finished or control (repeatable)", Comment: "floor, outline, void, breakline, finished or control"},
	{Key: "survey.leave-out", Flag: "leave-out", On: onFloors, Metric: `"113" = "rod on rubble"`, Help: "`WHICH=REASON` leave out a floor shot, by its name or file:line, such as \"113=rod on rubble\"; results show the reason (repeatable)", Comment: "floor shots not to use, and why"},
}

var directions = []string{"north", "east", "south", "west"}

// targetFields describe the plane that the floor is brought to.
var targetFields = []Field{
	{Key: "target.elevation", Flag: "target", On: onTargets, Metric: "10.000m", US: "99.93ft", Length: &Length{Of: Elevation, Signed: true}, Help: "`Z` elevation of the target plane (top of fill); of one part of the floor as \"room=99.93ft\", \"pit=none\" where it is not filled (repeatable); see help targets", Comment: "elevation of the target plane (top of fill)"},
	{Key: "target.surface", Flag: "target-surface", On: onTargets, Metric: "design.xml", Help: "`FILE` a design surface as the target: LandXML, or points; design.xml#NAME for one of several; see help targets", Comment: "a design surface, FILE or FILE#NAME; with buildup it is the finished floor"},
	{Key: "target.parts", Metric: "pit=9.7m", US: "pit=98.9ft", Length: &Length{Of: Elevation, Signed: true}, Help: "elevations of parts of the outline that have a target of their own; \"pit=none\": not filled"},
	{Key: "target.finish", Flag: "finish", On: onTargets, Metric: "10.020m", US: "100ft", Length: &Length{Of: Elevation, Signed: true}, Help: "`Z` elevation of the finished floor to meet; the target is lower by --buildup and --low", Comment: "elevation of the finished floor to meet; the target is lower by buildup and low"},
	{Key: "target.finish-codes", Flag: "finish-code", On: onTargets, Metric: "ADJ", Help: "`CODE` take the finished floor from the shots of this code (repeatable)", Comment: "the finished floor is at the shots of these codes"},
	{Key: "target.finish-at", Flag: "finish-at", On: onTargets, Metric: "A1", Help: "`NAME` take the finished floor from the one shot of this name"},
	{Key: "target.finish-rule", Flag: "finish-rule", On: onTargets, Metric: "lowest", Words: []string{"lowest", "mean", "plane"}, Help: "`RULE` how several such shots make one plane: lowest, mean or plane (default lowest)"},
	{Key: "target.buildup", Flag: "buildup", On: onTargets, Metric: "12mm", US: "9/16in", Length: &Length{Of: Thickness, Most: 0.5}, Help: "`H` thickness of covering and bed above the fill"},
	{Key: "target.low", Flag: "low", On: onTargets, Metric: "2mm", US: "1/16in", Length: &Length{Of: Thickness, Most: 0.1}, Help: "`H` how far to stay low: a low floor is topped up, a high one is ground"},
	{Key: "target.volume", Flag: "volume", On: "fill new", Metric: "2.5m3", US: "3yd3", Help: "`V` volume that is placed, such as 3yd3: without another target it sets the height, else the result says how high it fills",
		Comment: "volume that is placed: without another target it sets the height, else the result says how high it fills"},
	{Key: "target.fall", Flag: "fall", On: onTargets, Metric: "1:60", US: "1/4in/ft", Parse: func(text string) error { _, err := parseSlope(text); return err }, Help: "`SLOPE` fall of the target, with --toward: 1.5%, 1:60 or 1/4in/ft", Comment: "fall of the target, with toward: 1.5%, 1:60 or 1/4in/ft"},
	{Key: "target.fall-percent", Metric: "1.5", Help: "in place of fall: the fall in percent, as a number"},
	{Key: "target.toward", Flag: "toward", On: onTargets, Metric: "3.2m,4m", US: "10.5ft,13ft", Length: &Length{Of: Place, Signed: true},
		Help:    "`X,Y` where the target falls to: a place, a shot such as a drain, NE or 120deg; see help targets",
		Comment: "a place, the name of a shot there, a direction such as NE, or a bearing such as 120deg"},
	{Key: "target.fall-direction", Flag: "fall-direction", On: onTargets, Metric: "N", Help: "`DIRECTION` direction of a fall to a place, such as N or 120deg, where several are as good"},
	{Key: "target.drains", Flag: "drain", On: onTargets, Metric: "3.2m,2m", US: "10.5ft,6.5ft", Length: &Length{Of: Place, Signed: true}, Help: "`X,Y` a drain that the target falls to from all sides, with --fall: a place, X,Y,Z, the name of a shot, or the code of drains (repeatable); see help targets", Comment: "drains that it falls to from all sides: names of shots, X,Y or X,Y,Z; [[target.drains]] tables name them"},
	{Key: "target.channels", Flag: "channel", On: onTargets, Metric: "1m,0m,1m,4m", US: "3ft,0ft,3ft,13ft", Length: &Length{Of: Place, Signed: true}, Help: "`X1,Y1,X2,Y2` a channel that the target falls to, with its elevation as a fifth number if it is known (repeatable)", Comment: "channels that it falls to, from one end to the other"},
	{Key: "target.walls", Flag: "walls", On: onTargets, Metric: "even", Words: []string{"even", "level"}, Help: "`WAY` even: one fall to the drains, walls vary; level: walls are level, the fall varies and is nowhere less (default even)", Comment: "even or level, where it falls to drains"},
	{Key: "target.best", Flag: "best", On: onTargets, Metric: "true", Help: "find the plane of least cost: filling up to it and grinding what is too high; see help targets", Comment: "find the plane of least cost, fill and grinding together, within the limits below"},
	{Key: "target.min-depth", Flag: "min-depth", On: onTargets, Metric: "3mm", US: "1/8in", Length: &Length{Of: Thickness, Most: 0.5}, Help: "`H` least depth of the fill, with --best: higher parts are ground", Comment: "least depth of the fill, with best: higher parts are ground"},
	{Key: "target.max-depth", Flag: "max-depth", On: onTargets, Metric: "50mm", US: "2in", Length: &Length{Of: Thickness, NotZero: true, Most: 2}, Help: "`H` greatest depth of the fill, with --best", Comment: "greatest depth of the fill, with best"},
	{Key: "target.max-fall", Flag: "max-fall", On: onTargets, Metric: "1%", US: "1/8in/ft", Parse: func(text string) error { _, err := parseSlope(text); return err }, Help: "`SLOPE` greatest fall of the target, with --best: 1%, 1:100 or 1/8in/ft; 0 for a level target", Comment: "greatest fall of the target, with best; 0 for a level one"},
	{Key: "target.trip", Flag: "trip", On: onTargets, Metric: "6mm", US: "1/4in", Length: &Length{Of: Thickness, Most: 0.3}, Help: "`H` change of level allowed at thresholds, up or down, with --best (default none)", Comment: "change of level allowed at thresholds, up or down, with best"},
	{Key: "target.fill-price", Flag: "fill-price", On: onTargets, Metric: "160/m3", US: "115/yd3", Help: "`P` price of a volume of fill, with --best: 160/m3 or 115/yd3", Comment: "price of a volume of fill, with best (default: that of the mix)"},
	{Key: "target.grind-price", Flag: "grind-price", On: onTargets, Metric: "2000/m3", US: "1500/yd3", Help: "`P` price of a volume that is ground off, with --best: 2000/m3, or 4x for 4 times the fill, or none if nothing may be ground (default: as the fill)", Comment: "price of a volume that is ground off, with best; 4x: as 4 volumes of fill; none: nothing may be ground"},
	{Key: "target.ramps", Flag: "ramp", On: onTargets, Metric: "D1=1:12", US: "D1=1:12", Help: "`THRESHOLD=LENGTH|1:N` a ramp from the target to the threshold of this name or code, of a length or a max slope (repeatable)", Comment: "ramps from the target to thresholds, by the names or codes of their shots: D1=1:12 or D1=600mm"},
	{Key: "target.covering", Flag: "covering", On: onTargets, Metric: "10mm", US: "3/8in", Length: &Length{Of: Thickness, Most: 0.3}, Help: "`H` thickness of the covering alone, to show the bed at each threshold"},
	{Key: "target.bed-least", Flag: "bed-least", On: onTargets, Metric: "2mm", US: "1/16in", Length: &Length{Of: Thickness, Most: 0.3}, Help: "`H` min thickness of the bed under the covering"},
	{Key: "target.bed-greatest", Flag: "bed-greatest", On: onTargets, Metric: "12mm", US: "9/16in", Length: &Length{Of: Thickness, Most: 0.3}, Help: "`H` max thickness of the bed under the covering"},
}
