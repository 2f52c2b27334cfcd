package job

import (
	"maps"
	"reflect"
	"strconv"
	"strings"
	"testing"
)

// Each field of a job, set to each of its examples and to invalid values, is solved or
// refused. Nothing panics, every refusal has a place, and no refusal has a result.
func TestEachFieldIsTakenOrRefused(t *testing.T) {
	t.Parallel()
	files := maps.Clone(ramp)
	files["after.csv"] = levelShots(0.001, 7, 5)
	taken, refused := 0, 0
	for _, f := range Fields {
		if f.Key == "survey.files" || f.Key == "survey.outline" || f.Table() == "materials" || f.Table() == "coats" {
			continue // lists of tables, and fields that every job has
		}
		for _, value := range []string{f.Metric, f.Example(true), "0", "-1", "1e9m", "nonsense"} {
			text, ok := withKey(f, value)
			if !ok {
				continue
			}
			j, err := Parse([]byte(text), "job.toml")
			if err != nil {
				refused++
				continue
			}
			r, err := Solve(t.Context(), j, files, nil)
			if err == nil {
				taken++
				if r == nil || r.Filled == nil {
					t.Errorf("%s %q: no error and no result", f.Key, value)
				}
				continue
			}
			refused++
			if r != nil {
				t.Errorf("%s %q: refused with a result", f.Key, value)
			}
			if message := err.Error(); strings.TrimSpace(message) == "" || strings.Contains(message, "%!") || strings.Contains(message, "panic") {
				t.Errorf("%s %q: %s", f.Key, value, message)
			}
		}
	}
	if taken < 40 || refused < 100 {
		t.Errorf("%d taken, %d refused", taken, refused)
	}
}

// withKey is the job of the ramp with one more key.
func withKey(f Field, value string) (text string, ok bool) {
	kind := f.Value(&Job{}).Type()
	literal := value
	switch {
	case kind.Kind() == reflect.String:
		literal = strconv.Quote(value)
	case kind == reflect.TypeFor[[]string](), kind == reflect.TypeFor[[]Drain]():
		literal = "[" + strconv.Quote(value) + "]"
	case kind.Kind() == reflect.Map, kind == reflect.TypeFor[[][]string](), f.Key == "target.elevation":
		return "", false
	}
	line := f.Key[strings.LastIndex(f.Key, ".")+1:] + " = " + literal + "\n"
	switch table := f.Table(); table {
	case "":
		return line + strings.NewReplacer("title = \"Ramp\"\n", "", "date = 2026-11-25\n", "").Replace(rampJob), true
	case "survey":
		return with(rampJob, line), true
	case "target":
		return rampJob + line, true
	default:
		return rampJob + "[" + table + "]\n" + line, true
	}
}

// A job written by Text and read again is the same job with the same result, in metres
// and in feet.
func TestTextOfAJobIsTheJob(t *testing.T) {
	t.Parallel()
	want := solved(t, rampJob, ramp)
	for _, us := range []bool{false, true} {
		j := parsed(t, rampJob)
		text := j.Text(us)
		r := solved(t, text, ramp)
		near(t, "fill", r.Filled.Fill.Fill, want.Filled.Fill.Fill)
		near(t, "order", r.Delivery.Volume, want.Delivery.Volume)
		again := parsed(t, text)
		if again.Text(us) != text {
			t.Errorf("in feet %v: written again it is another text", us)
		}
		for _, f := range Fields {
			if f.Flag != "" && f.Text(j) != f.Text(again) {
				t.Errorf("%s: %q became %q", f.Key, f.Text(j), f.Text(again))
			}
		}
	}
}

// Every length of a job without a unit is refused with its key, before any file is read.
func TestEveryLengthWantsItsUnit(t *testing.T) {
	t.Parallel()
	none := 0
	for _, f := range Fields {
		if f.Length == nil || strings.Contains(f.Metric, "=") || strings.Contains(f.Metric, "/setup") {
			continue
		}
		bare := "3"
		if strings.Contains(f.Metric, ",") {
			bare = "3,3"
		}
		text, ok := withKey(f, bare)
		if !ok {
			continue
		}
		j, err := Parse([]byte(text), "job.toml")
		if err != nil {
			continue
		}
		_, err = Solve(t.Context(), j, ramp, nil)
		name := f.Key[strings.LastIndex(f.Key, ".")+1:]
		if err == nil || !strings.Contains(err.Error(), name) {
			t.Errorf("%s = %q: %v, want a refusal of it", f.Key, bare, err)
			continue
		}
		none++
	}
	if none < 15 {
		t.Errorf("%d lengths", none)
	}
}
