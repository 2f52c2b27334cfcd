package job

import (
	"reflect"
	"strings"
)

// keysIn returns the keys of the tables in a list, nil for any other key.
func keysIn(list string) []string {
	of, _ := kindOf(list)
	if of == nil || of.Kind() != reflect.Slice || of.Elem().Kind() != reflect.Struct {
		return nil
	}
	var out []string
	for _, f := range reflect.VisibleFields(of.Elem()) {
		if key := f.Tag.Get("toml"); key != "" {
			out = append(out, key)
		}
	}
	return out
}

// keysOf returns the keys of each table of a job, by their tags; "" is the file itself.
func keysOf(j Job) map[string][]string {
	out := map[string][]string{}
	t := reflect.TypeOf(j)
	for i := range t.NumField() {
		f := t.Field(i)
		name, _, _ := strings.Cut(f.Tag.Get("toml"), ",")
		if name == "" {
			continue
		}
		of := f.Type
		if of.Kind() == reflect.Slice {
			of = of.Elem()
		}
		if of.Kind() == reflect.Struct && of.PkgPath() == t.PkgPath() {
			for k := range of.NumField() {
				if key := of.Field(k).Tag.Get("toml"); key != "" {
					out[name] = append(out[name], key)
				}
			}
			continue
		}
		out[""] = append(out[""], name)
	}
	return out
}
