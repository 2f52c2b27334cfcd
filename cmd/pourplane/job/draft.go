package job

import (
	"fmt"
	"strconv"
	"strings"
	"time"
)

// Draft is what a new job file says from the start.
type Draft struct {
	Title                        string
	Date                         time.Time
	Units, Order                 string
	Imperial                     bool
	Files                        []string // relative to the job
	Outline                      string
	Target, Finish, Buildup, Low string
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
	small, step, tol, edge := "2mm", "0.25m3", "3mm", "2m"
	build, bed := "12mm", "10mm"
	if d.Imperial {
		small, step, tol, edge = "1/16in", "0.25yd3", "1/8in", "10ft"
		build, bed = "9/16in", "3/8in"
	}
	var files []string
	for _, f := range d.Files {
		files = append(files, strconv.Quote(f))
	}
	line("# What pourplane run makes of it, every time alike. Lengths and volumes are text with")
	line("# their unit; file names are relative to this file. A # in front of a key leaves it out.")
	line("")
	line("title = %s", strconv.Quote(d.Title))
	line("date = %s # of the survey; stands on every page", d.Date.Format(time.DateOnly))
	key("units", d.Units, "m", "of lengths that the survey files give without one")
	key("show", "", "metric", "metric or feet; else as the survey")
	line("")
	line("[survey]")
	line("files = [%s] # the floor before the pour", strings.Join(files, ", "))
	line("# after = [\"check.csv\"] # the same floor after it")
	key("outline", d.Outline, "outline.csv", "the walls; without, the hull of the shots")
	key("surface", "", "as found", "which one, where a file holds several")
	key("order", d.Order, "PNEZD", "of columns without header")
	key("instrument-height", "", "11.5m", "elevation of the line of sight, for rod readings")
	key("duplicates", "", "refuse", "two elevations at one place: refuse, mean, first or last")
	key("adjust", "", "none", "misclosure of a level book: none, setups, distance or least-squares")
	key("allow", "", "2mm/setup", "what a level book may close by")
	line("# accept-misclosure = false # build on a book that closes worse")
	key("grid-spacing", "", "3m", "of a grid sheet, or of stations named A1, B7")
	key("grid-numbers", "", "south", "the way in which its numbers are counted")
	key("grid-letters", "", "east", "and its letters")
	key("grid-values", "", "rod", "what its cells hold: rod, elevation or depth")
	line("# grid-origins = { \"BAY 2\" = \"12m,0m\" } # where A1 of a sheet lies")
	key("thin", "", "50mm", "one point of a scan for each square of this side")
	key("thin-keep", "", "mean", "mean, lowest or median")
	line("# benchmarks = { BM1 = \"100ft\" }")
	line("# codes = { WALL = \"outline\" } # floor, outline, void, breakline, finished or control")
	line("# leave-out = { \"113\" = \"rod on rubble\" } # floor shots not to use, and why")
	line("")
	line("[target] # one of elevation, finish, finish-codes and finish-at")
	key("elevation", d.Target, "10.000m", "top of fill")
	key("finish", d.Finish, "10.020m", "finished floor to meet; the target lies lower by buildup and low")
	line("# finish-codes = [\"ADJ\"] # take the finished floor from shots of these codes")
	key("finish-at", "", "A1", "or from one shot")
	key("finish-rule", "", "lowest", "of several: lowest, mean or plane")
	key("buildup", d.Buildup, build, "covering and bed above the fill")
	key("low", d.Low, small, "how far to stay low: a low floor is topped up, a high one is ground")
	line("# fall-percent = 1.5")
	key("toward", "", "3.2,4.0", "a place, a direction such as NE, or 120deg")
	key("covering", "", bed, "the covering alone, to show the bed at each threshold")
	key("bed-least", "", small, "")
	key("bed-greatest", "", build, "")
	line("")
	line("[mix]")
	line("# allowance-percent = 5 # for spill, absorption and survey error")
	key("order-step", "", step, "the plant delivers whole steps")
	line("# unit-weight-kgm3 = 2400")
	line("")
	line("[plant]")
	key("roughness", "", "1mm", "that the old floor's profile swallows: nothing when primed, 1 to 2 mm when blasted")
	key("finish-high", "", small, "that the finish may come out high")
	key("line-bore", "", "65mm", "of the pump line, inside")
	key("line-length", "", "30m", "")
	key("hopper", "", "0.2m3", "left in the pump")
	key("priming", "", "0.1m3", "of the mix run through the line and thrown away")
	key("truck", "", "7.5m3", "what a truck brings")
	key("short-load", "", "4m3", "below it a truck is charged extra")
	line("")
	line("[flatness] # of the survey after the pour")
	key("tolerance", "", tol, "beyond it highs and lows are listed")
	line("# straightedges = [%s]", strconv.Quote(edge))
	line("# rules = [\"tile-large\"] # pourplane flatness --rule list; else all")
	line("# house-rules = [{ name = \"ours\", straightedge = %s, limit = %s, share-percent = 90 }, { name = \"slab\", ff = 25, fl = 20 }]", strconv.Quote(edge), strconv.Quote(tol))
	key("ordered", "", "7.75yd3", "to hold against what was placed")
	key("grind-pass", "", "1mm", "what one pass of the grinder takes")
	key("bag-yield", "", "12l", "of the patch for lows")
	return b.String()
}

func after(comment string) string {
	if comment == "" {
		return ""
	}
	return " # " + comment
}
