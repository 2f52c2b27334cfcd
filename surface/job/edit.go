package job

import (
	"bytes"
	"fmt"
	"math"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"github.com/pelletier/go-toml/v2"

	"pourplane/survey"
)

// Edited returns the text of a job file with one key set to values, or without the key if
// there are none. The rest of the file keeps its bytes, comments included. A list has one
// value for each item, a table of names one NAME=VALUE for each name; any other key has one
// value, without quotes. Materials and coats are numbered from 1, "materials[2].name"; the
// number after the last adds one, and "materials[2]" without values takes one out. The new
// text is not checked as a whole: [Parse] does that.
func Edited(b []byte, key string, values ...string) ([]byte, error) {
	byHand := &survey.Error{Element: key, Found: "a key that is edited by hand", Want: "a key with one value, or with a plain list"}
	n, plain := numbered(key)
	b = bytes.TrimPrefix(b, []byte("\xef\xbb\xbf"))
	lines := strings.Split(strings.TrimSuffix(string(b), "\n"), "\n")
	at := positions(b, "")
	if n > 0 && several(plain) {
		head, ok := at[key]
		if !ok || len(values) > 0 {
			return nil, byHand
		}
		_, to := section(lines[head.Line:], "")
		return joined(slices.Delete(lines, head.Line-1, head.Line+to)), nil
	}
	f, ok := byKey(plain)
	if !ok || !f.editable() || several(f.Table()) != (n > 0) {
		return nil, byHand
	}
	line := ""
	if len(values) > 0 {
		value, err := f.written(values)
		if err != nil {
			return nil, err
		}
		line = f.Name() + " = " + value + after(f.comment())
	} else if n == 0 {
		line = (&Job{}).entry(f, false) + after(f.comment())
	}
	if key == "target.drains" && drainTables(b) {
		return nil, byHand
	}
	if place, ok := at[key]; ok {
		i := place.Line - 1
		if name, _, _ := strings.Cut(lines[i], "="); strings.Trim(strings.TrimSpace(name), "\"'") != f.Name() {
			byHand.Pos.Line = place.Line // [survey.benchmarks], survey.benchmarks = …, or one line with several keys
			return nil, byHand
		}
		if rest := slices.Delete(slices.Clone(lines), i, i+1); toml.Unmarshal([]byte(strings.Join(rest, "\n")), &map[string]any{}) != nil {
			return nil, &survey.Error{Pos: survey.Pos{Line: place.Line}, Element: key, Found: "a value over several lines", Want: "one line, or an edit by hand"}
		}
		if line == "" {
			return joined(slices.Delete(lines, i, i+1)), nil
		}
		lines[i] = line
		return joined(lines), nil
	}
	if i, ok := inlined(lines, at, f); ok {
		byHand.Pos.Line = i // survey = { … }
		return nil, byHand
	}
	if len(values) == 0 {
		return b, nil
	}
	if n > 0 {
		return added(lines, at, f, n, line)
	}
	from, to := section(lines, f.Table())
	if from < 0 {
		return joined(append(lines, "", "["+f.Table()+"]", line)), nil
	}
	for i := from; i < to; i++ {
		if strings.HasPrefix(lines[i], "# "+f.Name()+" = ") {
			lines[i] = line
			return joined(lines), nil
		}
	}
	return joined(slices.Insert(lines, from, line)), nil
}

// inlined returns the line of a table that is written as a value, or as dotted keys.
func inlined(lines []string, at map[string]survey.Pos, f Field) (line int, ok bool) {
	table := f.Table()
	for key, place := range at {
		if table == "" || key != table && !strings.HasPrefix(key, table+".") {
			continue
		}
		head := strings.TrimSpace(lines[place.Line-1])
		if !strings.HasPrefix(head, "[") && (key == table || strings.HasPrefix(head, table+".")) && (!ok || place.Line < line) {
			line, ok = place.Line, true
		}
	}
	return line, ok
}

func joined(lines []string) []byte { return []byte(strings.Join(lines, "\n") + "\n") }

// added adds a line to the n-th table of those that may occur several times, or to a new one
// after the last.
func added(lines []string, at map[string]survey.Pos, f Field, n int, line string) ([]byte, error) {
	head := func(n int) int { return at[fmt.Sprintf("%s[%d]", f.Table(), n)].Line }
	if head(n) > 0 {
		return joined(slices.Insert(lines, head(n), line)), nil
	}
	if n > 1 && head(n-1) == 0 {
		return nil, &survey.Error{Element: f.Key, Found: fmt.Sprintf("number %d", n), Want: "the number after the last"}
	}
	end := len(lines)
	if n > 1 {
		_, end = section(lines[head(n-1):], "")
		end += head(n - 1)
	}
	return joined(slices.Insert(lines, end, "", "[["+f.Table()+"]]", line)), nil
}

// section returns the lines of a table below its head, from and up to to; those before the
// first head for the table "". from is -1 if there is no such head.
func section(lines []string, table string) (from, to int) {
	from = -1
	if table == "" {
		from = 0
	}
	for i, line := range lines {
		head, _, _ := strings.Cut(line, "#")
		head = strings.TrimSpace(head)
		switch {
		case !strings.HasPrefix(head, "[") && !strings.HasPrefix(line, "# [["): // tables to repeat are commented out
		case from >= 0:
			return from, i
		case table != "" && head == "["+table+"]":
			from = i + 1
		}
	}
	return from, len(lines)
}

// written returns values as a value of the field in TOML.
func (f Field) written(values []string) (string, error) {
	single := func(what string) error {
		return &survey.Error{Element: f.Key, Found: quoted(values), Want: what}
	}
	var of any
	if several(f.Table()) {
		of = reflect.Zero(elementOf(f.Table())).FieldByIndex(indexOf(elementOf(f.Table()), f.Name())).Interface()
	} else {
		of = f.Value(&Job{}).Interface()
	}
	switch of.(type) {
	case []string, []Drain:
		return quoted(values), nil
	case map[string]string:
		var all []string
		for _, v := range values {
			name, of, ok := strings.Cut(v, "=")
			if !ok {
				return "", single("NAME=VALUE for each name")
			}
			all = append(all, strconv.Quote(name)+" = "+strconv.Quote(of))
		}
		return "{ " + strings.Join(all, ", ") + " }", nil
	case string:
		if len(values) == 1 {
			return strconv.Quote(values[0]), nil
		}
		return "", single("one text")
	case bool:
		if len(values) == 1 && (values[0] == "true" || values[0] == "false") {
			return values[0], nil
		}
		return "", single("true or false")
	case toml.LocalDate:
		var d toml.LocalDate
		if len(values) != 1 || d.UnmarshalText([]byte(values[0])) != nil {
			return "", single("a date such as 2026-11-25")
		}
		return d.String(), nil
	default:
		if len(values) == 1 {
			if v, err := strconv.ParseFloat(values[0], 64); err == nil && !math.IsInf(v, 0) && !math.IsNaN(v) {
				return strconv.FormatFloat(v, 'f', -1, 64), nil
			}
		}
		return "", single("a number")
	}
}
