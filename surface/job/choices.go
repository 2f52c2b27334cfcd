package job

import (
	"fmt"
	"maps"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"github.com/pelletier/go-toml/v2"
)

// Kinds of values of a [Choice].
const (
	KindText   = "text"
	KindNumber = "number"
	KindSwitch = "switch"
	KindDate   = "date"
	KindList   = "list"
	KindNames  = "names" // NAME=VALUE each
)

// Choice is a key of a job that [Edited] can set, with its values in the job.
type Choice struct {
	Field
	Key    string // with its number in a table that may occur several times: "materials[2].name"
	Kind   string
	Values []string // in the form that Edited takes; none if it is not set
}

// About is what the field is for, in one line.
func (f Field) About() string { return f.comment() }

// editable reports whether the field has one value or a plain list.
func (f Field) editable() bool { return f.Key != "bays.dams" && f.Key != "flatness.house-rules" }

// Choices lists the keys that Edited can set in j, in the order of a job file. Each material
// and each coat has its own.
func (j *Job) Choices() []Choice {
	var out []Choice
	for i, f := range Fields {
		switch {
		case !f.editable(), f.Key == "target.drains" && slices.ContainsFunc(j.Target.Drains, Drain.isTable):
		case !several(f.Table()):
			kind, values := given(f.Value(j), j.at[f.Key].Line > 0)
			out = append(out, Choice{f, f.Key, kind, values})
		case i == 0 || Fields[i-1].Table() != f.Table(): // all keys of one thing, then of the next
			for n := range j.count(f.Table()) {
				for _, g := range Fields {
					if g.Table() != f.Table() {
						continue
					}
					key := fmt.Sprintf("%s[%d].%s", f.Table(), n+1, g.Name())
					kind, values := given(member(reflect.ValueOf(j).Elem(), g.Table()).Index(n).FieldByIndex(indexOf(elementOf(g.Table()), g.Name())), j.at[key].Line > 0)
					out = append(out, Choice{g, key, kind, values})
				}
			}
		}
	}
	return out
}

// count returns how many tables of a name there are.
func (j *Job) count(table string) int { return member(reflect.ValueOf(j).Elem(), table).Len() }

// elementOf is the type of one table of those that may occur several times.
func elementOf(table string) reflect.Type {
	return member(reflect.ValueOf(&Job{}).Elem(), table).Type().Elem()
}

// member returns the field of a struct with a name in TOML.
func member(v reflect.Value, name string) reflect.Value {
	return v.FieldByIndex(indexOf(v.Type(), name))
}

func indexOf(t reflect.Type, name string) []int {
	all := reflect.VisibleFields(t)
	return all[slices.IndexFunc(all, func(of reflect.StructField) bool { return of.Tag.Get("toml") == name })].Index
}

// given returns the kind of a value and what it holds. there reports whether its key is in
// the file: a number may be given as 0.
func given(v reflect.Value, there bool) (kind string, values []string) {
	number := func(v float64) []string { return []string{strconv.FormatFloat(v, 'f', -1, 64)} }
	switch v := v.Interface().(type) {
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
	case []Drain:
		for _, d := range v {
			values = append(values, d.text)
		}
		return KindList, values
	case map[string]string:
		for _, k := range slices.Sorted(maps.Keys(v)) {
			values = append(values, k+"="+v[k])
		}
		return KindNames, values
	case *float64:
		if v == nil {
			return KindNumber, nil
		}
		return KindNumber, number(*v)
	case float64:
		if v != 0 || there {
			values = number(v)
		}
		return KindNumber, values
	case int:
		if v != 0 || there {
			values = number(float64(v))
		}
		return KindNumber, values
	}
	panic("pourplane: no kind for " + v.Type().String()) // a new type of field
}

// numbered splits a key of a table that may occur several times: "materials[2].name" is 2 and
// "materials.name", "materials[2]" is 2 and "materials". n is 0 for any other key.
func numbered(key string) (n int, plain string) {
	table, rest, ok := strings.Cut(key, "[")
	number, rest, closed := strings.Cut(rest, "]")
	n, err := strconv.Atoi(number)
	if !ok || !closed || err != nil || n < 1 || !several(table) || rest != "" && rest[0] != '.' {
		return 0, key
	}
	return n, table + rest
}
