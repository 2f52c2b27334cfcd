package job

import (
	"bytes"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/pelletier/go-toml/v2"

	"pourplane/survey"
)

// Edited returns the text of a job file with one key set to values, or without the key if
// there are none. The rest of the file keeps its bytes, comments included. A list has one
// value for each item, a table of names one NAME=VALUE for each name; any other key has one
// value, without quotes. The new text is not checked as a whole: [Parse] does that.
func Edited(b []byte, key string, values ...string) ([]byte, error) {
	f, ok := byKey(key)
	if !ok || !f.editable() {
		return nil, &survey.Error{Element: key, Found: "a key that is edited by hand", Want: "a key with one value, or with a plain list"}
	}
	b = bytes.TrimPrefix(b, []byte("\xef\xbb\xbf"))
	lines := strings.Split(strings.TrimSuffix(string(b), "\n"), "\n")
	line := (&Job{}).entry(f, false)
	if len(values) > 0 {
		value, err := f.written(values)
		if err != nil {
			return nil, err
		}
		line = f.Name() + " = " + value
	}
	line += after(f.comment())
	if at, ok := positions(b, "")[key]; ok {
		i := at.Line - 1
		if rest := slices.Delete(slices.Clone(lines), i, i+1); toml.Unmarshal([]byte(strings.Join(rest, "\n")), &map[string]any{}) != nil {
			return nil, &survey.Error{Pos: survey.Pos{Line: at.Line}, Element: key, Found: "a value over several lines", Want: "one line, or an edit by hand"}
		}
		lines[i] = line
		return []byte(strings.Join(lines, "\n") + "\n"), nil
	}
	if len(values) == 0 {
		return b, nil
	}
	from, to := section(lines, f.Table())
	if from < 0 {
		return []byte(strings.Join(append(lines, "", "["+f.Table()+"]", line), "\n") + "\n"), nil
	}
	for i := from; i < to; i++ {
		if strings.HasPrefix(lines[i], "# "+f.Name()+" = ") {
			lines[i] = line
			return []byte(strings.Join(lines, "\n") + "\n"), nil
		}
	}
	return []byte(strings.Join(slices.Insert(lines, from, line), "\n") + "\n"), nil
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
	switch f.Value(&Job{}).Interface().(type) {
	case []string:
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
