package job

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
	"time"
)

// Draft is what a new job file says from the start: file names relative to the job,
// lengths with their units.
type Draft struct {
	Title       string
	Date        time.Time
	Units, Show string
	Imperial    bool // examples in feet and inches
	Survey      Survey
	Target      Target
	Bearing     string
}

// Text returns the job file: every key with a comment, those that the draft does not
// set as comments themselves.
func (d Draft) Text() string {
	var b strings.Builder
	line := func(format string, args ...any) { fmt.Fprintf(&b, format+"\n", args...) }
	key := func(name, value, example, comment string) {
		if value != "" {
			line("%s = %s%s", name, strconv.Quote(value), after(comment))
			return
		}
		line("# %s = %s%s", name, strconv.Quote(example), after(comment))
	}
	// list and table write texts in brackets and by name, yes a switch.
	list := func(name string, values []string, example, comment string) {
		hash := ""
		if len(values) == 0 {
			values, hash = []string{example}, "# "
		}
		var all []string
		for _, v := range values {
			all = append(all, strconv.Quote(v))
		}
		line("%s%s = [%s]%s", hash, name, strings.Join(all, ", "), after(comment))
	}
	table := func(name string, values map[string]string, example, comment string) {
		if len(values) == 0 {
			line("# %s = { %s }%s", name, example, after(comment))
			return
		}
		var all []string
		for _, k := range slices.Sorted(maps.Keys(values)) {
			all = append(all, strconv.Quote(k)+" = "+strconv.Quote(values[k]))
		}
		line("%s = { %s }%s", name, strings.Join(all, ", "), after(comment))
	}
	yes := func(name string, set bool, comment string) {
		hash := "# "
		if set {
			hash = ""
		}
		line("%s%s = true%s", hash, name, after(comment))
	}
	small, step, tol, edge := "2mm", "0.25m3", "3mm", "2m"
	high, finish, bore, run, left, prime, truck, short := "10.000m", "10.020m", "65mm", "30m", "0.2m3", "0.1m3", "7.5m3", "4m3"
	rough, wall, way, place, fall := "1mm", "150mm", "0m,0m", "3.2m,4m", "1:60"
	least, most, spacing, cover, thin, stock, lap, chair := "20mm", "100mm", "300mm", "50mm", "20mm", "6m", "400mm", "900mm"
	build, bed, grid, bar, paper := "12mm", "10mm", "1.5m", "10", "A4"
	if d.Imperial {
		small, step, tol, edge = "1/16in", "0.25yd3", "1/8in", "10ft"
		build, bed, grid, bar, paper = "9/16in", "3/8in", "5ft", "#3", "Letter"
		high, finish, bore, run, left, prime, truck, short = "99.93ft", "100ft", "2.5in", "100ft", "0.25yd3", "0.1yd3", "10yd3", "6yd3"
		rough, wall, way, place, fall = "1/32in", "6in", "0ft,0ft", "10.5ft,13ft", "1/4in/ft"
		least, most, spacing, cover, thin, stock, lap, chair = "3/4in", "4in", "12in", "2in", "3/4in", "20ft", "15in", "3ft"
	}
	price, other := "price-per-m3", "price-per-yd3"
	if d.Imperial {
		price, other = other, price
	}
	// either writes two keys for one figure, that of the survey's units first.
	either := func(metric string, m float64, us string, u float64, comment string) {
		if d.Imperial {
			metric, m, us, u = us, u, metric, m
		}
		line("# %s = %g%s; or", metric, m, after(comment))
		line("# %s = %g", us, u)
	}
	line("# What pourplane run makes of it, every time alike. Lengths and volumes are text with")
	line("# their unit; file names are relative to this file. A # in front of a key leaves it out:")
	line("# what stands there then is an example.")
	line("")
	line("title = %s", strconv.Quote(d.Title))
	line("date = %s # of the survey; stands on every page", d.Date.Format(time.DateOnly))
	key("units", d.Units, "m", "of lengths that the survey files give without one")
	key("show", d.Show, "metric", "metric or feet; else as the survey")
	line("")
	v := &d.Survey
	line("[survey]")
	list("files", v.Files, "survey.csv", "the floor before the pour")
	list("after", v.After, "check.csv", "the same floor after it")
	key("outline", v.Outline, "outline.csv", "the walls; without, the hull of the shots")
	key("surface", v.Surface, "as found", "which one, where a file holds several")
	key("order", v.Order, "PNEZD", "of columns without header")
	key("instrument-height", v.InstrumentHeight, "11.5m", "elevation of the line of sight, for rod readings")
	key("after-instrument-height", v.AfterInstrument, "11.2m", "of the survey after the pour, where its files do not give it")
	key("duplicates", v.Duplicates, "refuse", "two elevations at one place: refuse, mean, first or last")
	key("zeros", v.Zeros, "measured", "heights of exactly 0: measured or missing; else by the other heights")
	key("adjust", v.Adjust, "none", "misclosure of a level book: none, setups, distance or least-squares")
	key("allow", v.Allow, "2mm/setup", "what a level book may close by")
	yes("accept-misclosure", v.AcceptMisclosure, "build on a book that closes worse")
	key("grid-spacing", v.GridSpacing, "3m", "of a grid sheet, or of stations named A1, B7")
	key("grid-numbers", v.GridNumbers, "south", "the way in which its numbers are counted")
	key("grid-letters", v.GridLetters, "east", "and its letters")
	key("grid-values", v.GridValues, "rod", "what its cells hold: rod, elevation or depth")
	table("grid-origins", v.GridOrigins, `"BAY 2" = "12m,0m"`, "where A1 of a sheet lies")
	yes("retriangulate", v.Retriangulate, "new triangles from a surface file's points, not its faces")
	key("thin", v.Thin, "50mm", "one point of a scan for each square of this side")
	key("thin-keep", v.ThinKeep, "mean", "mean, lowest or median")
	key("max-size", v.MaxSize, "2GB", "of a file; larger ones are refused")
	key("sheet", v.Sheet, "Shots", "of a workbook (XLSX) with several that hold shots")
	key("outline-sheet", v.OutlineSheet, "Walls", "and of the outline's")
	table("benchmarks", v.Benchmarks, `BM1 = "100ft"`, "")
	table("codes", v.Codes, `WALL = "outline"`, "floor, outline, void, breakline, finished or control")
	table("leave-out", v.LeaveOut, `"113" = "rod on rubble"`, "floor shots not to use, and why")
	line("")
	t := &d.Target
	line("[target] # one of elevation, finish, finish-codes and finish-at")
	key("elevation", t.Elevation, high, "top of fill")
	key("finish", t.Finish, finish, "finished floor to meet; the target lies lower by buildup and low")
	list("finish-codes", t.FinishCodes, "ADJ", "take the finished floor from shots of these codes")
	key("finish-at", t.FinishAt, "A1", "or from one shot")
	key("finish-rule", t.FinishRule, "lowest", "of several: lowest, mean or plane")
	key("buildup", t.Buildup, build, "covering and bed above the fill")
	key("low", t.Low, small, "how far to stay low: a low floor is topped up, a high one is ground")
	key("fall", t.Fall, fall, "of the target: percent, a ratio, or a length per length; with toward")
	if t.FallPercent != 0 {
		line("fall-percent = %s # the same as a number", strconv.FormatFloat(t.FallPercent, 'f', -1, 64))
	} else {
		line("# fall-percent = 1.5 # the same as a number")
	}
	key("toward", t.Toward, place, "a place, the name of a shot there, a direction such as NE, or 120deg")
	key("fall-direction", t.FallDirection, "N", "to a place, where several directions are as good")
	key("covering", t.Covering, bed, "the covering alone, to show the bed at each threshold")
	key("bed-least", t.BedLeast, small, "")
	key("bed-greatest", t.BedGreatest, build, "")
	line("")
	line("[site] # for the cautions")
	key("bearing", d.Bearing, "ground", "ground or suspended; not said, both are warned of")
	line("# heated = true # pipes or cables run in it")
	line("# old-covering = true # tile, sheet, adhesive or paint is or was on it")
	line("# bonded = true # the fill is bonded to the old floor")
	line("# post-tensioned = true")
	line("# drains = true # or weep holes, a damp course, a gas barrier")
	line("# engines = true # run indoors")
	line("# in-use = true # people pass through while it is done")
	key("exit", "", way, "where the crew leaves the floor")
	line("")
	line("[mix]")
	line("# allowance-percent = 5 # for spill, absorption and survey error")
	key("order-step", "", step, "the plant delivers whole steps")
	either("unit-weight-kgm3", 2400, "unit-weight-lbft3", 150, "of the mix in place")
	line("# %s = 160.0 # yours; or %s", price, other)
	line("# price-per-bag = 9.0 # of usual bags, where too little for a truck is wanted")
	key("currency", "", "dollars", "a word for all prices")
	line("# accept-unserved = true # go on though no material serves some depths")
	line("")
	line("[plant]")
	key("roughness", "", rough, "that the old floor's profile swallows: nothing when primed, 1 to 2 mm (1/16 in) when blasted")
	key("finish-high", "", small, "that the finish may come out high")
	key("line-bore", "", bore, "of the pump line, inside")
	key("line-length", "", run, "of the pump line")
	key("hopper", "", left, "left in the pump")
	key("priming", "", prime, "of the mix run through the line and thrown away")
	key("truck", "", truck, "what a truck brings")
	key("short-load", "", short, "below it a truck is charged extra")
	line("")
	line("[pace] # the pour by the clock")
	either("placing-m3-per-hour", 6, "placing-yd3-per-hour", 8, "placed and struck off")
	key("discharge", "", "90min", "from batching until a truck must be empty")
	key("travel", "", "30min", "from batching to arrival")
	key("truck-spacing", "", "45min", "else each comes when the one before it is empty")
	key("working-time", "", "60min", "until the mix can no longer be finished; bays follow from it")
	key("level-time", "", "5min", "of it, what a mix that flows needs to find its level")
	line("# mixed-on-site = true # no trucks")
	line("")
	line("[pins] # grade pins")
	key("spacing", "", grid, "of the grid")
	key("wall-spacing", "", grid, "along walls, at most")
	key("from-wall", "", wall, "of wall pins from the wall")
	key("rule-step", "", small, "least division of the crew's rule: heights are rounded down to it")
	line("")
	line("[bars] # as your designer says")
	key("size", "", bar, "#3, 10 or 10mm; without, no bars")
	key("spacing", "", spacing, "between the middles of bars")
	key("spacing-across", "", spacing, "else the same both ways")
	key("edge-cover", "", cover, "from walls to the ends and middle lines of bars")
	key("bottom-cover", "", thin, "below the lower bars, at least")
	key("top-cover", "", thin, "above the upper bars")
	key("stock-length", "", stock, "that bars come in")
	key("lap", "", lap, "of two bars; else 40 diameters")
	key("chair-spacing", "", chair, "along and across")
	line("# price-per-bar = 12.0 # of stock length")
	line("# price-per-chair = 0.5")
	line("")
	line("[mesh] # instead of bars")
	key("name", "", "A142", "")
	key("sheet-length", "", "4.8m", "without, no mesh")
	key("sheet-width", "", "2.4m", "of a sheet")
	key("lap", "", "300mm", "of two sheets")
	key("cover", "", thin, "above and below")
	either("mass-kgm2", 2.22, "mass-lbft2", 0.21, "of mesh")
	line("# price-per-sheet = 45.0")
	line("")
	line("[bays] # one of the three")
	line("# dams = [[\"5m,0m\", \"5m,8m\"]]")
	key("width", "", "4m", "strips, across the longest wall")
	key("most", "", "2m3", "volume of a bay")
	line("")
	line("[edge] # what isolates the fill from the walls")
	line("# film = true")
	key("above", "", "50mm", "of film standing above the fill")
	key("foot", "", "100mm", "of film on the old floor; never under a bonded fill")
	key("lap", "", "100mm", "of film")
	key("roll", "", "25m", "length of a roll")
	key("roll-width", "", "1m", "slit into as many strips as it holds")
	key("foam", "", "5mm", "thickness of a foam strip; without, none")
	key("foam-piece", "", "25m", "its length")
	key("foam-height", "", "100mm", "of a piece; deeper fill takes courses")
	line("# allowance-percent = 5")
	line("# price-per-roll = 30.0 # of film")
	line("# price-per-piece = 15.0 # of foam")
	line("")
	line("[joints] # movement joints of the old floor, carried through")
	key("length", "", "12m", "of joint in all")
	key("width", "", "6mm", "of the joint")
	line("# elastic = true # sealant over a rod; else a stiff filler")
	either("pack-litres", 0.6, "pack-gallons", 0.15, "of filler")
	line("# price-per-pack = 10.0")
	line("# rod-price-per-m = 0.5 # or")
	line("# rod-price-per-ft = 0.15")
	line("# allowance-percent = 5")
	line("")
	line("[flatness] # of the survey after the pour")
	key("tolerance", "", tol, "beyond it highs and lows are listed")
	line("# straightedges = [%s]", strconv.Quote(edge))
	line("# rules = [\"tile-large\"] # pourplane flatness --rule list; else all")
	line("# house-rules = [{ name = \"ours\", straightedge = %s, limit = %s, share-percent = 90 }, { name = \"slab\", ff = 25, fl = 20 }]", strconv.Quote(edge), strconv.Quote(tol))
	key("ordered", "", "7.75yd3", "to hold against what was placed")
	key("grind-pass", "", "1mm", "what one pass of the grinder takes")
	key("bag-yield", "", "12l", "of the patch for lows")
	line("")
	line("[outputs]")
	key("paper", "", paper, "A4 or Letter")
	line("# omit = [\"plan.dxf\"] # files that are not wanted")
	line("# ways = true # compare ways to fill in the record: concrete, foam, framing")
	line("# load-map = true # a map of the added load in the record")
	line("")
	line("# Tables below may stand several times, one for each thing: take the # of [[ ]] away too.")
	line("")
	line("# Materials of your own, by their data sheets; the first that fits a depth serves it.")
	line("# Without any, the mix above is poured whatever the depth.")
	line("# [[materials]]")
	key("name", "", "Topping concrete", "")
	key("bag-yield", "", "14L", "of a bag in place; without, it is sold by volume")
	either("bag-mass-kg", 25, "bag-mass-lb", 50, "dry")
	key("least", "", least, "thickness")
	key("greatest", "", most, "of one lift")
	line("# lifts = 1 # that may lie one on another")
	key("working-time", "", "15min", "as its bag says")
	either("unit-weight-kgm3", 2300, "unit-weight-lbft3", 144, "in place")
	line("# price-per-bag = 20.0 # or, of what is sold by volume:")
	line("# price-per-m3 = 150.0 # or")
	line("# price-per-yd3 = 115.0")
	line("# price-per-m2 = 60.0 # of a way to fill that is priced by area, such as \"framing over\"; or")
	line("# price-per-ft2 = 6.0")
	line("# compare-only = true # priced for the ways compared, not for this fill")
	line("")
	line("# [[coats]] # primer or bond coat, by its data sheet")
	key("name", "", "Primer", "")
	either("cover-m2-per-litre", 6, "cover-ft2-per-gallon", 250, "of mixed liquid, once")
	either("first-cover-m2-per-litre", 4, "first-cover-ft2-per-gallon", 150, "where the first coat takes more")
	line("# coats = 2")
	line("# water-parts = 1.0 # to one part of product")
	line("# overlap-percent = 20 # of a spray pass that the next one covers again")
	line("# allowance-percent = 5")
	either("pack-litres", 5, "pack-gallons", 1, "of product")
	line("# price-per-pack = 40.0")
	line("")
	return b.String()
}

func after(comment string) string {
	if comment == "" {
		return ""
	}
	return " # " + comment
}
