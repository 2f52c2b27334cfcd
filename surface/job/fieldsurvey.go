package job

// Lists of commands that share an option.
const (
	everywhere = "read reduce fill flatness new"
	onFloors   = "read fill flatness new"
	onTargets  = "fill flatness new"
	onOrders   = "fill"
	onFlatness = "flatness"
)

// surveyFields name the files and how they are read.
var surveyFields = []Field{
	{Key: "title", Flag: "title", On: onTargets, Metric: "Bottling hall", Help: "`TEXT` at the head of maps and pages; else the name of the survey"},
	{Key: "date", Metric: "2026-11-25", Help: "of the survey; printed on every page"},
	{Key: "units", Flag: "units", On: everywhere, Metric: "m", US: "ft", Words: []string{"m", "cm", "mm", "ft", "ftUS", "in"}, Help: "unit `U` of lengths that the file gives without one: m, cm, mm, ft, ftUS or in"},
	{Key: "show", Flag: "show", On: onFloors, Metric: "metric", US: "feet", Words: []string{"metric", "feet"}, Help: "`SYSTEM` of the numbers shown: metric or feet; else as the survey"},

	{Key: "survey.files", Metric: "survey.csv", Help: "the floor before the pour"},
	{Key: "survey.after", Metric: "check.csv", Help: "the same floor after it"},
	{Key: "survey.outline", Flag: "outline", On: onFloors, Metric: "outline.csv", Help: "outline `FILE`: columns x, y, optional z, part, ring (outer, hole or line); rows in corner order", Comment: "the walls; without them the line around the outermost shots is used"},
	{Key: "survey.surface", Flag: "surface", On: onFloors, Metric: "as found", Help: "`NAME` of the surface to use, when a file holds several"},
	{Key: "survey.order", Flag: "order", On: everywhere, Metric: "PNEZD", Words: []string{"PNEZD", "PENZD", "XYZ"}, Help: "`ORDER` of the columns of a file without header: PNEZD, PENZD, XYZ, …; if a header has only x and y, whether north comes first"},
	{Key: "survey.instrument-height", Flag: "instrument-height", On: everywhere, Metric: "11.5m", US: "37.7ft", Length: &Length{Of: Elevation, Signed: true}, Help: "elevation `H` of the line of sight, for rod readings"},
	{Key: "survey.after-instrument-height", Metric: "11.2m", US: "36.7ft", Length: &Length{Of: Elevation, Signed: true}, Help: "of the survey after the pour, where its files do not give it"},
	{Key: "survey.duplicates", Flag: "duplicates", On: onFloors, Metric: "refuse", Words: []string{"refuse", "mean", "first", "last"}, Help: "two elevations at one place: `RULE` refuse, mean, first or last; else refuse"},
	{Key: "survey.zeros", Flag: "zeros", On: onFloors, Metric: "measured", Words: []string{"measured", "missing"}, Help: "heights of exactly 0 in a text file: `RULE` measured or missing; else by the other heights"},
	{Key: "survey.adjust", Flag: "adjust", On: everywhere, Metric: "none", Words: []string{"none", "setups", "distance", "least-squares"}, Help: "how the misclosure of a level book is spread: `RULE` none, setups, distance or least-squares; else none"},
	{Key: "survey.allow", Flag: "allow", On: everywhere, Metric: "2mm/setup", US: "1/16in/setup", Length: &Length{Of: Thickness, NotZero: true, Most: 0.3}, Words: []string{"2mm/setup", "third-order", "construction", "third-order-setups"},
		Help:    "what a level book may close by: a length in all, one a set-up as `2mm/setup`, or third-order, construction (12 and 24 mm times the square root of the km of sights) or third-order-setups (5 mm times the square root of the number of set-ups); default 2 mm or 1/16 in a set-up",
		Comment: "what a level book may close by"},
	{Key: "survey.accept-misclosure", Flag: "accept-misclosure", On: everywhere, Metric: "true", Help: "build on a level book although it misses by more than allowed"},
	{Key: "survey.grid-spacing", Flag: "grid-spacing", On: onFloors, Metric: "3m", US: "10ft", Length: &Length{Of: Place, NotZero: true, Most: 100}, Help: "distance between the lines of a grid, as `L` or L,L for letters and numbers"},
	{Key: "survey.grid-numbers", Flag: "grid-numbers", On: onFloors, Metric: "south", Words: directions, Help: "`DIRECTION` in which lines 1, 2, 3 are counted: north, east, south, west or a bearing in degrees"},
	{Key: "survey.grid-letters", Flag: "grid-letters", On: onFloors, Metric: "east", Words: directions, Help: "`DIRECTION` in which lines A, B, C are counted; else east, or north and south where the numbers go east and west, as on a drawing"},
	{Key: "survey.grid-values", Flag: "grid-values", On: onFloors, Metric: "rod", Words: []string{"rod", "elevation", "depth"}, Help: "what the cells of a grid sheet hold: `KIND` rod, elevation or depth"},
	{Key: "survey.grid-origins", Flag: "grid-origin", On: onFloors, Metric: `"BAY 2" = "12m,0m"`, US: `"BAY 2" = "40ft,0ft"`, Length: &Length{Of: Place, Signed: true}, Help: "where A1 is, as `X,Y`, or SHEET=X,Y for one of several, SHEET the text in its corner cell or the name of its file (repeatable)", Comment: "where A1 of a sheet is"},
	{Key: "survey.retriangulate", Flag: "retriangulate", On: onFloors, Metric: "true", Help: "make new triangles from a surface file's points instead of keeping its faces"},
	{Key: "survey.thin", Flag: "thin", On: onFloors, Metric: "50mm", US: "2in", Length: &Length{Of: Place, NotZero: true, Most: 2}, Help: "thin the points of a scan to one for each square of side `L` while it is read"},
	{Key: "survey.thin-keep", Flag: "thin-keep", On: onFloors, Metric: "mean", Words: []string{"mean", "lowest", "median"}, Help: "which point is kept for a square: `RULE` mean, lowest or median; else mean"},
	{Key: "survey.max-size", Flag: "max-size", On: everywhere, Metric: "2GB", Help: "largest input as `SIZE`, such as 2GB; else 256MB, and a scan in a file that is thinned has no limit"},
	{Key: "survey.sheet", Flag: "sheet", On: everywhere, Metric: "Shots", Help: "`NAME` of the sheet to read, of a workbook (XLSX) with several that hold shots"},
	{Key: "survey.after-sheet", Flag: "before-sheet", On: onFlatness, Metric: "After", Help: "`NAME` of the sheet to read of the workbook (XLSX) given as --before; else as --sheet", Comment: "sheet of the workbook after the pour; else as sheet"},
	{Key: "survey.outline-sheet", Flag: "outline-sheet", On: onFloors, Metric: "Walls", Help: "`NAME` of the sheet that holds the outline, of a workbook (XLSX) given as --outline"},
	{Key: "survey.benchmarks", Flag: "benchmark", On: everywhere, Metric: `BM1 = "10m"`, US: `BM1 = "100ft"`, Length: &Length{Of: Elevation, Signed: true}, Help: "elevation of a benchmark as `NAME=ELEV`, for rod readings (repeatable)", Comment: "elevations of benchmarks, for rod readings"},
	{Key: "survey.codes", Flag: "code", On: everywhere, Metric: `WALL = "outline"`, Help: "what a point code means, as `CODE=ROLE`: floor, outline, void, breakline, finished or control (repeatable)", Comment: "floor, outline, void, breakline, finished or control"},
	{Key: "survey.leave-out", Flag: "leave-out", On: onFloors, Metric: `"113" = "rod on rubble"`, Help: "leave out a floor shot, as `WHICH=REASON`, WHICH its name or FILE:LINE; the reason is shown in the result (repeatable)", Comment: "floor shots not to use, and why"},
}

var directions = []string{"north", "east", "south", "west"}

// targetFields describe the plane that the floor is brought to.
var targetFields = []Field{
	{Key: "target.elevation", Flag: "target", On: onTargets, Metric: "10.000m", US: "99.93ft", Length: &Length{Of: Elevation, Signed: true}, Help: "elevation `Z` of the target plane (top of fill)"},
	{Key: "target.finish", Flag: "finish", On: onTargets, Metric: "10.020m", US: "100ft", Length: &Length{Of: Elevation, Signed: true}, Help: "elevation `Z` of the finished floor to meet; the target is lower by buildup and low"},
	{Key: "target.finish-codes", Flag: "finish-code", On: onTargets, Metric: "ADJ", Help: "take the finished floor from the shots of this `CODE` (repeatable)"},
	{Key: "target.finish-at", Flag: "finish-at", On: onTargets, Metric: "A1", Help: "take the finished floor from the one shot of this `NAME`"},
	{Key: "target.finish-rule", Flag: "finish-rule", On: onTargets, Metric: "lowest", Words: []string{"lowest", "mean", "plane"}, Help: "how several such shots make one plane: `RULE` lowest, mean or plane; else lowest"},
	{Key: "target.buildup", Flag: "buildup", On: onTargets, Metric: "12mm", US: "9/16in", Length: &Length{Of: Thickness, Most: 0.5}, Help: "thickness `H` of covering and bed above the fill"},
	{Key: "target.low", Flag: "low", On: onTargets, Metric: "2mm", US: "1/16in", Length: &Length{Of: Thickness, Most: 0.1}, Help: "how far `H` to stay low: a low floor is topped up, a high one is ground"},
	{Key: "target.fall", Flag: "fall", On: onTargets, Metric: "1:60", US: "1/4in/ft", Parse: func(text string) error { _, err := parseSlope(text); return err }, Help: "`SLOPE` of the target, with toward: 1.5%, 1:60 or 1/4in/ft"},
	{Key: "target.fall-percent", Metric: "1.5", Help: "the same as a number"},
	{Key: "target.toward", Flag: "toward", On: onTargets, Metric: "3.2m,4m", US: "10.5ft,13ft", Length: &Length{Of: Place, Signed: true},
		Help:    "where the target falls to: a place `X,Y`, the name of a shot there, such as a drain, a direction such as NE, or a bearing such as 120deg. To a place it falls in the direction that leaves the smallest part of the floor below it, counted as area times depth, so the least water. With --target and --finish the highest corner of the floor has the elevation; with --finish-code and --finish-at the finished floor, and beyond it the target rises",
		Comment: "a place, the name of a shot there, a direction such as NE, or a bearing such as 120deg"},
	{Key: "target.fall-direction", Flag: "fall-direction", On: onTargets, Metric: "N", Help: "`DIRECTION` of the fall to a place, such as N or 120deg, where several are as good; else it is found"},
	{Key: "target.covering", Flag: "covering", On: onTargets, Metric: "10mm", US: "3/8in", Length: &Length{Of: Thickness, Most: 0.3}, Help: "thickness `H` of the covering alone, to show the bed at each threshold"},
	{Key: "target.bed-least", Flag: "bed-least", On: onTargets, Metric: "2mm", US: "1/16in", Length: &Length{Of: Thickness, Most: 0.3}, Help: "min thickness `H` of the bed under the covering"},
	{Key: "target.bed-greatest", Flag: "bed-greatest", On: onTargets, Metric: "12mm", US: "9/16in", Length: &Length{Of: Thickness, Most: 0.3}, Help: "max thickness `H` of the bed"},
}
