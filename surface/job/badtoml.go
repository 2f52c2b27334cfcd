package job

import (
	"errors"
	"fmt"
	"reflect"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"github.com/pelletier/go-toml/v2"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// typed is the text of a job file that TOML or the job refuses.
type typed struct {
	name  string
	lines []string
	us    bool // the job is in feet
	known bool // the job states its units
}

var unitsLine = regexp.MustCompile(`(?m)^[ \t]*units[ \t]*=[ \t]*["']?(\w+)`)

func typedIn(b []byte, name string) typed {
	t := typed{name: name, lines: strings.Split(strings.ReplaceAll(string(b), "\r\n", "\n"), "\n")}
	if m := unitsLine.FindSubmatch(b); m != nil {
		var u unit.Length
		u, t.known = unit.ParseLength(string(m[1]))
		t.us = u.Imperial()
	}
	return t
}

// explain converts an error of the TOML library into a refusal.
func (t typed) explain(err error) error {
	var strict *toml.StrictMissingError
	if errors.As(err, &strict) {
		var errs []error
		for i := range strict.Errors {
			e := &strict.Errors[i]
			row, col := e.Position()
			errs = append(errs, t.unknown(survey.Pos{File: t.name, Line: row, Col: col}, e.Key()))
		}
		return survey.JoinErrors(errs)
	}
	var bad *toml.DecodeError
	if !errors.As(err, &bad) {
		return &survey.Error{Pos: survey.Pos{File: t.name}, Want: "a job file in TOML: " + err.Error(), Err: err}
	}
	row, col := bad.Position()
	e := &survey.Error{Pos: survey.Pos{File: t.name, Line: row, Col: col}, Err: err}
	text := strings.TrimPrefix(bad.Error(), "toml: ")
	e.Element, e.Found, e.Want = t.bad(row, text)
	if e.Want == "" {
		e.Element, e.Found, e.Want = strings.Join(bad.Key(), "."), "", "a job file in TOML: "+text
	}
	return e
}

// unknown refuses a key or a table that no job has, and gives the nearest one.
func (t typed) unknown(at survey.Pos, key toml.Key) error {
	name := strings.Join(key, ".")
	if len(key) != 1 || !strings.HasPrefix(strings.TrimSpace(t.line(at.Line)), "[") {
		e := &survey.Error{Pos: at, Found: fmt.Sprintf("the key %q", name), Want: "a key of a job file"}
		if own := keysIn(strings.Join(key[:len(key)-1], ".")); len(key) > 2 && own != nil {
			e.Want = "a key of " + header(strings.Join(key[:len(key)-1], "."), true) + ": " + strings.Join(own, ", ")
			return e
		}
		if near := nearest(name); near != "" {
			e.Want += ", such as " + near
		} else if own := keysOf(Job{})[key[0]]; len(key) > 1 && own != nil {
			e.Want = "a key of [" + key[0] + "]: " + strings.Join(own, ", ")
		}
		return e
	}
	e := &survey.Error{Pos: at, Found: "the table " + header(name, strings.HasPrefix(strings.TrimSpace(t.line(at.Line)), "[["))}
	var all, list []string
	for _, f := range Fields {
		if table := f.Table(); table != "" && !slices.Contains(all, table) {
			all = append(all, table)
			list = append(list, header(table, several(table)))
		}
	}
	e.Want = "a table of a job file: " + strings.Join(list, ", ")
	if near := Nearest(name, all); near != "" {
		e.Want = "a table of a job file, such as " + header(near, several(near))
	} else if f, ok := byKey(nearest(name)); ok {
		e.Want = "a table of a job file; " + f.Name() + " is a key of " + header(f.Table(), several(f.Table()))
	}
	return e
}

func header(table string, list bool) string {
	if list {
		return "[[" + table + "]]"
	}
	return "[" + table + "]"
}

// line returns a line by its number, from 1.
func (t typed) line(row int) string {
	if row < 1 || row > len(t.lines) {
		return ""
	}
	return t.lines[row-1]
}

// table returns the table that a line belongs to, "" before the first one.
func (t typed) table(row int) string {
	for row--; row > 0; row-- {
		if l := strings.TrimSpace(t.line(row)); strings.HasPrefix(l, "[") && !strings.HasPrefix(l, "[\"") {
			head, _, _ := strings.Cut(l, "]")
			return strings.Trim(head, "[ \t")
		}
	}
	return ""
}

// before returns the last line above row that is as asked, 0 if there is none.
func (t typed) before(row int, is func(line string) bool) int {
	for row--; row > 0; row-- {
		if is(strings.TrimSpace(t.line(row))) {
			break
		}
	}
	return row
}

// bad explains a line that is not TOML or has a value of the wrong kind. text is what the library
// says. want is empty if the line shows no more than that.
func (t typed) bad(row int, text string) (element, found, want string) {
	line := strings.TrimSpace(t.line(row))
	if strings.HasPrefix(line, "[") {
		return t.badHeader(row, line, text)
	}
	if strings.Contains(text, "',' or ']'") && !strings.Contains(line, "[") {
		n := t.before(row, func(l string) bool { return strings.Contains(l, "[") && !strings.Contains(l, "]") })
		return "", strconv.Quote(line), fmt.Sprintf("a comma or the ] that ends the list of line %d before it", n)
	}
	key, raw, ok := strings.Cut(line, "=")
	assigned := ok
	if !ok {
		if key, raw, ok = strings.Cut(line, ":"); !ok {
			key, raw, ok = strings.Cut(line, " ")
		}
	}
	key = strings.Trim(strings.ReplaceAll(strings.TrimSpace(key), " ", "-"), `"'`)
	raw = valueOf(raw)
	full := strings.TrimPrefix(t.table(row)+"."+key, ".")
	if strings.Contains(text, "already defined") {
		n := t.before(row, func(l string) bool {
			k, _, is := strings.Cut(l, "=")
			return is && strings.Trim(strings.TrimSpace(k), `"'`) == key
		})
		return full, fmt.Sprintf("%s once more, after line %d", key, n), "it once: remove one of the two lines"
	}
	if keysOf(Job{})[full] != nil && t.table(row) == "" && !strings.HasPrefix(raw, "{") {
		return full, raw, "a table: write " + header(full, several(full)) + " on a line of its own and its keys below it"
	}
	of, field := kindOf(full)
	if of == nil || !ok {
		return "", "", ""
	}
	ways := t.written(of, field, raw)
	for i, w := range ways {
		ways[i] = key + " = " + w
	}
	found = raw
	switch {
	case !assigned:
		return full, "no =", ways[0]
	case raw == "":
		found = "no value"
	}
	return full, found, kindText(of) + ": " + strings.Join(ways, " or ")
}

func (t typed) badHeader(row int, line, text string) (element, found, want string) {
	name := strings.Trim(line, "[] \t")
	switch {
	case strings.Contains(text, "already exists") && several(name):
		return "", "a second " + line, header(name, true) + " before each one"
	case strings.Contains(text, "already exists"):
		n := t.before(row, func(l string) bool { return l == line })
		return "", fmt.Sprintf("a second %s, after line %d", line, n), "one: move its keys up to the first"
	case strings.Contains(text, "array table in a struct"):
		return "", line, header(name, false)
	case strings.Contains(text, "to close"):
		return "", strconv.Quote(line), header(name, several(name))
	case strings.Contains(text, "',' or ']'"):
		n := t.before(row, func(l string) bool { return strings.Contains(l, "[") && !strings.Contains(l, "]") })
		return "", line, fmt.Sprintf("the ] that ends the list of line %d before it", n)
	}
	return "", "", ""
}

// valueOf returns a value as typed, without the comment behind it.
func valueOf(raw string) string {
	raw = strings.TrimSpace(raw)
	if strings.ContainsAny(raw, `"'`) {
		if head, _, is := strings.Cut(raw, " # "); is {
			raw = strings.TrimSpace(head)
		}
		return raw
	}
	raw, _, _ = strings.Cut(raw, "#")
	return strings.TrimSpace(raw)
}

// kindOf returns the type of a key, nil if no job has it, and its field.
func kindOf(key string) (reflect.Type, Field) {
	of := reflect.TypeFor[Job]()
	for _, name := range strings.Split(key, ".") {
		if of.Kind() == reflect.Slice {
			of = of.Elem()
		}
		if of.Kind() != reflect.Struct {
			return nil, Field{}
		}
		k := slices.IndexFunc(reflect.VisibleFields(of), func(f reflect.StructField) bool { return f.Tag.Get("toml") == name })
		if k < 0 {
			return nil, Field{}
		}
		of = reflect.VisibleFields(of)[k].Type
	}
	f, _ := byKey(key)
	if of.Kind() == reflect.Pointer {
		of = of.Elem()
	}
	return of, f
}

// kindText names the kind of value that a key takes.
func kindText(of reflect.Type) string {
	switch {
	case of == reflect.TypeFor[toml.LocalDate]():
		return "a date, year first and without quotes"
	case of.Kind() == reflect.Bool:
		return "true or false"
	case of.Kind() == reflect.Float64, of.Kind() == reflect.Int:
		return "a number"
	case of.Kind() == reflect.Slice:
		return "a list"
	case of.Kind() == reflect.Map:
		return "a table"
	}
	return "text in one pair of quotes"
}

var number = regexp.MustCompile(`[-+]?[0-9]+(\.[0-9]+)?`)

// written writes the value that someone typed for a key as TOML. There are several if its unit is
// open, and the example of the key if the text does not show what is meant.
func (t typed) written(of reflect.Type, f Field, raw string) []string {
	us := t.known && t.us
	switch {
	case of == reflect.TypeFor[toml.LocalDate]():
		return []string{f.Metric}
	case of.Kind() == reflect.Bool:
		if slices.Contains([]string{"no", "off", "false", "0", "n"}, strings.ToLower(unquoted(raw))) {
			return []string{"false"}
		}
		return []string{"true"}
	case of.Kind() == reflect.Float64, of.Kind() == reflect.Int:
		if n := number.FindString(unquoted(raw)); n != "" && !strings.Contains(raw, ",") {
			return []string{n}
		}
		return []string{f.Example(us)}
	case of.Kind() == reflect.Map && f.Key != "survey.grid-origins":
		if all := t.pairs(f, raw); all != "" {
			return []string{all}
		}
		return []string{"{ " + f.Example(us) + " }"}
	case of.Kind() == reflect.Map:
		return []string{"{ " + f.Example(us) + " }"}
	case of.Kind() == reflect.Slice && of.Elem().Kind() == reflect.String, of == reflect.TypeFor[[]Drain]():
		var all []string
		for _, one := range strings.Split(strings.Trim(raw, "[]"), ",") {
			if one = unquoted(one); one != "" {
				all = append(all, t.texts(f, one)[0])
			}
		}
		if all == nil {
			all = []string{strconv.Quote(f.Example(us))}
		}
		return []string{"[" + strings.Join(all, ", ") + "]"}
	case of.Kind() == reflect.Slice:
		return []string{"[" + f.Example(us) + "]"}
	}
	text := unquoted(raw)
	if text == "" {
		text = f.Example(us)
	}
	return t.texts(f, text)
}

// pairs writes names with their values, "" if the text has none.
func (t typed) pairs(f Field, raw string) string {
	var all []string
	for _, one := range strings.Split(strings.Trim(unquoted(raw), "{} "), ",") {
		name, is, ok := strings.Cut(one, "=")
		if name, is = unquoted(name), unquoted(is); !ok || name == "" || is == "" {
			return ""
		}
		all = append(all, strconv.Quote(name)+" = "+t.texts(f, is)[0])
	}
	return "{ " + strings.Join(all, ", ") + " }"
}

// unquoted returns a text without the quotes around it, of whatever kind.
func unquoted(raw string) string {
	raw = strings.NewReplacer("“", `"`, "”", `"`, "„", `"`, "‘", "'", "’", "'").Replace(strings.TrimSpace(raw))
	if raw == "" {
		return ""
	}
	if q := raw[:1]; q == `"` || q == "'" {
		raw = strings.TrimSuffix(raw[1:], q)
	}
	return strings.TrimSpace(raw)
}

// texts quotes a text for a key. A bare number gets the unit of the job, or one of each system.
func (t typed) texts(f Field, text string) []string {
	if f.Length != nil {
		if inches := strings.ReplaceAll(text, `"`, "in"); inches != text {
			if _, err := unit.Parse(inches, unit.None); err == nil {
				text = inches
			}
		}
	}
	all := []string{text}
	systems := []bool{true, false}
	if t.known {
		systems = []bool{t.us}
	}
	if bare(text) {
		all = nil
		for _, us := range systems {
			if with := f.With(text, us); !slices.Contains(all, with) {
				all = append(all, with)
			}
		}
	}
	for i, one := range all {
		switch {
		case strings.ContainsAny(one, "\"\\") && !strings.Contains(one, "'"):
			all[i] = "'" + one + "'"
		default:
			all[i] = strconv.Quote(one)
		}
	}
	return all
}
