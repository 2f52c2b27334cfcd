package job

import (
	"errors"
	"reflect"
	"slices"
	"strings"
	"testing"

	"pourplane/survey/unit"
)

// Every key of a job file has one field, and every field has a key.
func TestFieldsAreTheKeys(t *testing.T) {
	var keys []string
	for _, f := range Fields {
		if slices.Contains(keys, f.Key) {
			t.Errorf("%s has two fields", f.Key)
		}
		keys = append(keys, f.Key)
	}
	for _, k := range Keys() {
		if !slices.Contains(keys, k) {
			t.Errorf("%s has no field", k)
		}
	}
	if len(keys) != len(Keys()) {
		t.Errorf("%d fields, %d keys", len(keys), len(Keys()))
	}
}

// An option has commands, a help text and, unless it is a switch, a name for its
// argument. The examples of lengths are accepted lengths.
func TestFieldsAreWhole(t *testing.T) {
	for _, f := range Fields {
		if (f.Flag == "") != (f.On == "") {
			t.Errorf("%s: option %q on %q", f.Key, f.Flag, f.On)
		}
		if f.Metric == "" {
			t.Errorf("%s has no example", f.Key)
		}
		if f.Or != "" {
			if other, ok := byKey(f.Or); !ok || other.Table() != f.Table() {
				t.Errorf("%s: the other key %s", f.Key, f.Or)
			}
		}
		if f.Flag == "" {
			continue
		}
		if f.Help == "" || (f.Arg() == "") != (f.Value(&Job{}).Kind() == reflect.Bool) {
			t.Errorf("%s: help %q, argument %q", f.Key, f.Help, f.Arg())
		}
		for _, w := range f.Words {
			if err := f.Set(&Job{}, w); err != nil {
				t.Errorf("%s %s: %v", f.Key, w, err)
			}
		}
		if f.Length == nil || strings.Contains(f.Metric, "=") || f.Key == "survey.allow" {
			continue
		}
		for _, us := range []bool{false, true} {
			for _, part := range strings.Split(f.Example(us), ",") {
				v, err := unit.Parse(part, unit.None)
				if err != nil || f.Length.Most > 0 && v > f.Length.Most || v < 0 && !f.Length.Signed {
					t.Errorf("%s %s: %g m, %v", f.Key, f.Example(us), v, err)
				}
			}
		}
	}
}

func TestSet(t *testing.T) {
	for _, c := range []struct{ key, text, want, err string }{
		{"target.elevation", "9.9m", "9.9m", ""},
		{"target.elevation", " ", "", "found nothing"},
		{"target.fall", "1:60", "1:60", ""},
		{"target.fall", "steep", "", "want percent such as 1.5%"},
		{"mix.allowance-percent", "7.5%", "7.5", ""},
		{"mix.allowance-percent", "much", "", "want a number of percent"},
		{"mix.unit-weight-kgm3", "150lb/ft3", "2402.7695", ""},
		{"survey.accept-misclosure", "true", "true", ""},
		{"survey.accept-misclosure", "perhaps", "", "want true or false"},
		{"survey.benchmarks", "BM1=100ft", "map[BM1:100ft]", ""},
		{"survey.benchmarks", "BM1", "", "want NAME=ELEV"},
		{"survey.benchmarks", "=100ft", "", "want NAME=ELEV"},
		{"survey.grid-origins", "12m,0m", "map[:12m,0m]", ""},
		{"survey.leave-out", "113=", "", "want WHICH=REASON"},
		{"target.finish-codes", "ADJ", "[ADJ]", ""},
	} {
		f, ok := byKey(c.key)
		if !ok {
			t.Fatal(c.key)
		}
		var j Job
		err := f.Set(&j, c.text)
		if c.err == "" && (err != nil || !strings.HasPrefix(f.Text(&j), c.want)) || c.err != "" && (err == nil || !strings.Contains(err.Error(), c.err)) {
			t.Errorf("%s %q: %q, %v", c.key, c.text, f.Text(&j), err)
		}
	}
	// A list that is given twice grows; a name with two values is refused.
	var j Job
	codes, _ := ByFlag("finish-code")
	marks, _ := ByFlag("benchmark")
	if err := errors.Join(codes.Set(&j, "ADJ"), codes.Set(&j, "SILL"), marks.Set(&j, "BM1=1m"), marks.Set(&j, "BM2=2m"), marks.Set(&j, "BM1=1m")); err != nil || len(j.Target.FinishCodes) != 2 || len(j.Survey.Benchmarks) != 2 {
		t.Errorf("%+v, %v", j, err)
	}
	if err := marks.Set(&j, "BM1=3m"); err == nil || !strings.Contains(err.Error(), `want one for "BM1"`) {
		t.Error(err)
	}
}
