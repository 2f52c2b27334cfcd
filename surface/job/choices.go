package job

import (
	"maps"
	"slices"
	"strconv"

	"github.com/pelletier/go-toml/v2"
)

// Editable lists the fields that [Edited] can set: those with one value or a plain list.
func Editable() []Field {
	return slices.DeleteFunc(slices.Clone(Fields), func(f Field) bool { return !f.editable() })
}

func (f Field) editable() bool {
	return !several(f.Table()) && f.Key != "bays.dams" && f.Key != "flatness.house-rules"
}

// About is what the field is for, in one line.
func (f Field) About() string { return f.comment() }

// Kinds of values.
const (
	KindText   = "text"
	KindNumber = "number"
	KindSwitch = "switch"
	KindDate   = "date"
	KindList   = "list"
	KindNames  = "names" // NAME=VALUE each
)

// Current returns the kind of a field, and its values in j in the form that [Edited] takes;
// none if it is not set.
func (j *Job) Current(f Field) (kind string, values []string) {
	number := func(v float64) []string {
		if v == 0 && j.at[f.Key].Line == 0 {
			return nil
		}
		return []string{strconv.FormatFloat(v, 'f', -1, 64)}
	}
	switch v := f.Value(j).Interface().(type) {
	case string:
		if v != "" {
			values = []string{v}
		}
		return KindText, values
	case bool:
		if v {
			values = []string{"true"}
		}
		return KindSwitch, values
	case toml.LocalDate:
		if v.Year != 0 {
			values = []string{v.String()}
		}
		return KindDate, values
	case []string:
		return KindList, slices.Clone(v)
	case map[string]string:
		for _, k := range slices.Sorted(maps.Keys(v)) {
			values = append(values, k+"="+v[k])
		}
		return KindNames, values
	case *float64:
		if v == nil {
			return KindNumber, nil
		}
		return KindNumber, []string{strconv.FormatFloat(*v, 'f', -1, 64)}
	case float64:
		return KindNumber, number(v)
	}
	return KindNumber, nil
}
