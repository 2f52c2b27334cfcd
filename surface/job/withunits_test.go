package job

import (
	"reflect"
	"strings"
	"testing"
)

// WithUnits writes every length of a new job with its unit in a copy, and changes
// nothing else.
func TestUnitsAreWritten(t *testing.T) {
	var j Job
	for _, f := range Fields {
		if f.Flag == "" {
			continue
		}
		switch v := f.Value(&j).Addr().Interface().(type) {
		case *string:
			*v = "1,2"
		case *[]string:
			*v = []string{"1", "2"}
		case *[]Drain:
			*v = []Drain{{text: "1,2"}, {text: "1"}} // the second is the name of a shot
		case *map[string]string:
			*v = map[string]string{"A": "1", "": "2"}
		}
	}
	seen := map[string]bool{}
	got, err := j.WithUnits(func(flag, text string) (string, error) {
		seen[flag] = true
		return text + "m", nil
	})
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range Fields {
		if f.Flag == "" {
			continue
		}
		was, is := f.Text(&j), f.Text(&got)
		want := was
		if f.Length != nil {
			want = strings.NewReplacer("1,2", "1,2m", "1 2", "1m 2m", ":1", ":1m", ":2", ":2m").Replace(was)
		}
		if is != want {
			t.Errorf("%s: %q became %q, want %q", f.Key, was, is, want)
		}
		if strings.Contains(was, "m") && f.Value(&j).Kind() == reflect.String {
			t.Errorf("%s: the job itself was changed", f.Key)
		}
	}
	if !seen["benchmark A"] || !seen["grid-origin"] {
		t.Errorf("called for %v", seen)
	}
	j.Target.Toward = "12" // name of a shot
	if got, _ := j.WithUnits(func(_, text string) (string, error) { return text + "m", nil }); got.Target.Toward != "12" {
		t.Errorf("a name became %q", got.Target.Toward)
	}
}
