package job

import (
	"fmt"
	"maps"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"github.com/pelletier/go-toml/v2"

	"pourplane/survey"
)

// heads are the comments of tables in a new job file.
var heads = map[string]string{
	"target":   "one of elevation, finish, finish-codes and finish-at",
	"site":     "for the cautions",
	"pace":     "the pour by the clock",
	"pins":     "grade pins",
	"bars":     "as your designer specifies",
	"mesh":     "instead of bars",
	"bays":     "one of the three",
	"edge":     "what isolates the fill from the walls",
	"joints":   "movement joints of the old floor, carried through the full depth, or contraction joints",
	"flatness": "of the survey after the pour",
	"coats":    "primer or bond coat, by its data sheet",
}

// Text returns j as a new job file: every key with a comment. Keys that j does not set
// are commented out, with an example in feet and inches or in metres.
func (j *Job) Text(us bool) string {
	var b strings.Builder
	line := func(format string, args ...any) { fmt.Fprintf(&b, format+"\n", args...) }
	line("# pourplane run makes the results from this file, the same every time. Lengths and")
	line("# volumes are text with their unit; file names are relative to this file. A key behind")
	line("# a # is not used, and its value is an example: remove the # to use it.")
	line("")
	table, done := "", map[string]bool{}
	for _, f := range Fields {
		if done[f.Key] {
			continue
		}
		if t := f.Table(); t != table {
			table = t
			line("")
			head := "[" + t + "]"
			if several(t) {
				if t == "materials" {
					line("# Tables below may be repeated, one for each thing: remove the # before [[ ]] as well.")
					line("")
					line("# Materials of your own, by their data sheets; the first that fits a depth serves it.")
					line("# Without any, the mix above is poured whatever the depth.")
				}
				head = "# [[" + t + "]]"
			}
			line("%s%s", head, after(heads[t]))
		}
		done[f.Key] = true
		comment := f.comment()
		if f.Or == "" {
			line("%s%s", j.entry(f, us), after(comment))
			continue
		}
		first := f
		other, _ := byKey(f.Or)
		done[other.Key] = true
		if us {
			first, other = other, first
		}
		if comment != "" {
			comment += "; or"
		} else {
			comment = "or"
		}
		line("%s%s", j.entry(first, us), after(comment))
		line("%s", j.entry(other, us))
	}
	line("")
	return b.String()
}

// Seen makes the drains of a survey the example of those that a new job could fall to: by their
// names, or where some have none by their codes.
func (j *Job) Seen(s *survey.Survey) {
	const most = 10 // names in a line
	drains := s.Drains()
	var names, codes []string
	for _, p := range drains {
		if p.Name() != "" {
			names = append(names, p.Name())
		}
		if code := bareCode(p.Code()); !slices.Contains(codes, code) {
			codes = append(codes, code)
		}
	}
	j.shotDrains = names
	if len(names) < len(drains) || len(names) > most {
		j.shotDrains = codes
	}
}

// several reports whether a table may occur more than once.
func several(table string) bool { return table == "materials" || table == "coats" }

// entry returns the line of a field, without its comment.
func (j *Job) entry(f Field, us bool) string {
	name, example := f.Name(), f.Example(us)
	if several(f.Table()) {
		if f.text() {
			example = strconv.Quote(example)
		}
		return "# " + name + " = " + example
	}
	value, set := "", true
	switch v := f.Value(j).Interface().(type) {
	case string:
		value, set = strconv.Quote(v), v != ""
		example = strconv.Quote(example)
	case bool:
		value, set = "true", v
	case []string:
		value, set = quoted(v), len(v) > 0
		example = quoted([]string{example})
	case []Drain:
		var all []string
		for _, d := range v {
			all = append(all, d.literal())
		}
		value, set = "["+strings.Join(all, ", ")+"]", len(v) > 0
		example = quoted([]string{example})
		if len(j.shotDrains) > 0 {
			example = quoted(j.shotDrains)
		}
	case map[string]string:
		var all []string
		for _, k := range slices.Sorted(maps.Keys(v)) {
			all = append(all, strconv.Quote(k)+" = "+strconv.Quote(v[k]))
		}
		value, set = "{ "+strings.Join(all, ", ")+" }", len(v) > 0
		example = "{ " + example + " }"
	case float64:
		value, set = strconv.FormatFloat(v, 'f', -1, 64), v != 0
	case *float64:
		if set = v != nil; set {
			value = strconv.FormatFloat(*v, 'f', -1, 64)
		}
	case toml.LocalDate:
		value, set = v.String(), v.Year != 0
	default: // lists of tables and of lines are written by hand
		set = reflect.ValueOf(v).Len() > 0
		if set {
			panic("pourplane: a new job file has no " + f.Key)
		}
		example = "[" + example + "]"
	}
	if !set {
		return "# " + name + " = " + example
	}
	return name + " = " + value
}

// text reports whether the key, of a table that may occur several times, takes text in
// quotes.
func (f Field) text() bool {
	of := reflect.TypeFor[Material]()
	if f.Table() == "coats" {
		of = reflect.TypeFor[Coat]()
	}
	for _, v := range reflect.VisibleFields(of) {
		if v.Tag.Get("toml") == f.Name() {
			return v.Type.Kind() == reflect.String
		}
	}
	return false
}

func quoted(values []string) string {
	var all []string
	for _, v := range values {
		all = append(all, strconv.Quote(v))
	}
	return "[" + strings.Join(all, ", ") + "]"
}

func after(comment string) string {
	if comment == "" {
		return ""
	}
	return " # " + comment
}
