package main

import (
	"bytes"
	"encoding/json"
	"reflect"
	"testing"
)

// JSON has the numbers of the survey, whatever is shown.
func TestJSONDoesNotFollowTheDisplay(t *testing.T) {
	demo := "../../testdata/demo/"
	for _, args := range [][]string{
		{"fill", demo + "survey.csv", "--outline", demo + "outline.csv", "--target", "99.930ft"},
		{"flatness", demo + "check.csv", "--outline", demo + "outline.csv", "--poured", "--benchmark", "BM1=100ft", "--target", "99.93ft", "--rule", "tile-large"},
		{"read", demo + "survey.csv", "--outline", demo + "outline.csv"},
	} {
		var first any
		for _, show := range []string{"", "feet", "metric"} {
			var out, diag bytes.Buffer
			all := append(args[:len(args):len(args)], "--json")
			if show != "" {
				all = append(all, "--show", show)
			}
			if status := run(all, nil, &out, &diag); status != done {
				t.Fatalf("%s: %s", args[0], diag.String())
			}
			var v any
			if err := json.Unmarshal(out.Bytes(), &v); err != nil {
				t.Fatal(err)
			}
			v = numbersOf(v)
			if first == nil {
				first = v
			}
			if !reflect.DeepEqual(first, v) {
				t.Errorf("%s --json --show %s has other numbers than without --show", args[0], show)
			}
		}
	}
}

// numbersOf returns a JSON value without its texts, which are for people.
func numbersOf(v any) any {
	switch v := v.(type) {
	case map[string]any:
		out := map[string]any{}
		for k, e := range v {
			if n := numbersOf(e); n != nil {
				out[k] = n
			}
		}
		return out
	case []any:
		var out []any
		for _, e := range v {
			if n := numbersOf(e); n != nil {
				out = append(out, n)
			}
		}
		return out
	case string:
		return nil
	}
	return v
}
