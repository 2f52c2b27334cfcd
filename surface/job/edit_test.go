package job

import (
	"errors"
	"reflect"
	"slices"
	"strings"
	"testing"

	"pourplane/survey"
)

// samples are values of a field for an edit.
func samples(f Field) []string {
	switch f.Value(&Job{}).Interface().(type) {
	case bool:
		return []string{"true"}
	case map[string]string:
		name, of, _ := strings.Cut(f.Metric, " = ")
		return []string{strings.Trim(name, `"`) + "=" + strings.Trim(of, `"`)}
	}
	return []string{f.Metric}
}

// otherOf returns the key of the same quantity in SI units, of a key in US units.
func otherOf(key string) string {
	f, _ := find(func(f *Field) bool { return f.Or == key })
	return f.Key
}

// Each key is set in a new job file, in one with nothing but its survey, and taken out again.
func TestEditEachKey(t *testing.T) {
	t.Parallel()
	bare := "[survey]\nfiles = [\"a.csv\"]\n"
	whole := (&Job{Survey: Survey{Files: []string{"a.csv"}}}).Text(false)
	n := 0
	for _, f := range Fields {
		if f.Key == "survey.files" || several(f.Table()) || !f.editable() { // without files there is no job
			continue
		}
		n++
		for _, before := range []string{bare, whole} {
			set, err := Edited([]byte(before), f.Key, samples(f)...)
			if err != nil {
				t.Fatalf("%s: %v", f.Key, err)
			}
			j := parsed(t, string(set))
			if _, there := j.at[f.Key]; !there || f.Value(j).IsZero() && j.written[otherOf(f.Key)] != f.Key {
				t.Errorf("%s is not set in\n%s", f.Key, set)
			}
			again, err := Edited(set, f.Key, samples(f)...)
			if err != nil || string(again) != string(set) {
				t.Errorf("%s: set twice gives %v,\n%s", f.Key, err, again)
			}
			without, err := Edited(set, f.Key)
			if err != nil {
				t.Fatalf("%s: %v", f.Key, err)
			}
			if got := parsed(t, string(without)); !f.Value(got).IsZero() {
				t.Errorf("%s is still set in\n%s", f.Key, without)
			}
			if before == whole && len(strings.Split(string(set), "\n")) != len(strings.Split(whole, "\n")) {
				t.Errorf("%s: a line was added to\n%s", f.Key, set)
			}
		}
	}
	if n < 100 {
		t.Errorf("%d keys tried", n)
	}
}

// An edit changes one line. What else is in the file stays, materials by hand included.
func TestEditKeepsTheRest(t *testing.T) {
	t.Parallel()
	before := "title = \"a # b\" # mine\n[survey]\nfiles = [\n \"a.csv\",\n]\n[target] # plane\nelevation = \"1m\"\n[[materials]]\nname = \"x\"\n[mix]\norder-step = \"1m3\"\n"
	set, err := Edited([]byte(before), "target.elevation", "2 m")
	if err != nil {
		t.Fatal(err)
	}
	was, is := strings.Split(before, "\n"), strings.Split(string(set), "\n")
	for i := range was {
		if changed := was[i] != is[i]; changed != (i == 6) {
			t.Errorf("line %d: %q to %q", i+1, was[i], is[i])
		}
	}
	set, err = Edited(set, "title", `say "flat"`)
	if err != nil {
		t.Fatal(err)
	}
	set, err = Edited(set, "survey.benchmarks", "BM1=10m", "BM 2=11 m")
	if err != nil {
		t.Fatal(err)
	}
	j := parsed(t, string(set))
	if j.Title != `say "flat"` || j.Target.Elevation != "2 m" || len(j.Materials) != 1 || j.Mix.OrderStep != "1m3" {
		t.Errorf("%+v", j)
	}
	if want := map[string]string{"BM1": "10m", "BM 2": "11 m"}; !reflect.DeepEqual(j.Survey.Benchmarks, want) {
		t.Errorf("benchmarks %v", j.Survey.Benchmarks)
	}
	for _, bad := range []struct {
		key    string
		values []string
		want   string
	}{
		{"survey.files", []string{"b.csv"}, "several lines"},
		{"materials.name", []string{"y"}, "by hand"},
		{"materials[3].name", []string{"y"}, "after the last"},
		{"materials[2]", nil, "by hand"},
		{"materials[1]", []string{"y"}, "by hand"},
		{"materials[0].name", []string{"y"}, "by hand"},
		{"target[1].elevation", []string{"1m"}, "by hand"},
		{"bays.dams", []string{"1"}, "by hand"},
		{"no.such", []string{"y"}, "by hand"},
		{"target.elevation", []string{"1m", "2m"}, "one text"},
		{"site.heated", []string{"yes"}, "true or false"},
		{"mix.price-per-m3", []string{"cheap"}, "a number"},
		{"mix.price-per-m3", []string{"inf"}, "a number"},
		{"date", []string{"tomorrow"}, "2026-11-25"},
		{"survey.benchmarks", []string{"BM1"}, "NAME=VALUE"},
	} {
		if _, err := Edited([]byte(before), bad.key, bad.values...); err == nil || !strings.Contains(err.Error(), bad.want) {
			t.Errorf("%s = %q: %v", bad.key, bad.values, err)
		}
	}
}

// A key that is not at the start of a line of its table is edited by hand: a table of its own, a
// dotted key, several keys in one line. In its place there would be a line of another table.
func TestKeysEditedByHand(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		text, key, value string
		line             int // of the refusal; 0: edited
	}{
		{"[survey]\nfiles = [\"a.csv\"]\n[survey.benchmarks]\nBM1 = \"10m\"\n", "survey.benchmarks", "BM2=11m", 3},
		{"[survey]\nfiles = [\"a.csv\"]\n[survey.benchmarks]\nBM1 = \"10m\"\n", "survey.outline", "w.csv", 0},
		{"survey.files = [\"a.csv\"]\nsurvey.outline = \"w.csv\"\n", "survey.outline", "v.csv", 2},
		{"[survey]\nfiles = [\"a.csv\"]\n\"outline\" = \"w.csv\"\n", "survey.outline", "v.csv", 0},
		{"[survey]\nfiles = [\"a.csv\"]\n  'outline'= \"w.csv\"\n", "survey.outline", "v.csv", 0},
	} {
		out, err := Edited([]byte(c.text), c.key, c.value)
		if c.line == 0 {
			if j := parsed(t, string(out)); err != nil || !strings.Contains(string(out), c.value) || j.Survey.Files[0] != "a.csv" {
				t.Errorf("%s in %q: %v\n%s", c.key, c.text, err, out)
			}
			continue
		}
		var e *survey.Error
		if !errors.As(err, &e) || e.Pos.Line != c.line || !strings.Contains(err.Error(), "edited by hand") {
			t.Errorf("%s in %q: %v, want a refusal at line %d\n%s", c.key, c.text, err, c.line, out)
		}
	}
}

// Choices are what the file says, written as an edit takes it, by hand: a number in full, a
// number of 0 that is there, a switch only if it is on, names in order.
func TestChoicesAreWhatTheFileSays(t *testing.T) {
	t.Parallel()
	j := parsed(t, `date = 2026-11-25
[survey]
files = ["a.csv", "b.csv"]
benchmarks = { BM2 = "11m", BM1 = "10m" }
[mix]
allowance-percent = 0
price-per-m3 = 1234567.5
[site]
bonded = true
heated = false
[edge]
film = true
allowance-percent = 0
[[materials]]
name = "first"
[[materials]]
name = "second"
lifts = 3
price-per-bag = 0.1
`)
	got := map[string]Choice{}
	var order []string
	for _, c := range j.Choices() {
		got[c.Key] = c
		order = append(order, c.Key)
	}
	for key, want := range map[string]struct {
		kind   string
		values []string
	}{
		"date":         {KindDate, []string{"2026-11-25"}},
		"title":        {KindText, nil},
		"survey.files": {KindList, []string{"a.csv", "b.csv"}}, "survey.benchmarks": {KindNames, []string{"BM1=10m", "BM2=11m"}},
		"mix.allowance-percent": {KindNumber, []string{"0"}}, "mix.price-per-m3": {KindNumber, []string{"1234567.5"}}, "mix.price-per-yd3": {KindNumber, nil}, "edge.allowance-percent": {KindNumber, []string{"0"}}, "joints.allowance-percent": {KindNumber, nil},
		"site.bonded": {KindSwitch, []string{"true"}}, "site.heated": {KindSwitch, nil},
		"materials[1].name": {KindText, []string{"first"}}, "materials[2].name": {KindText, []string{"second"}},
		"materials[1].lifts": {KindNumber, nil}, "materials[2].lifts": {KindNumber, []string{"3"}}, "materials[2].price-per-bag": {KindNumber, []string{"0.1"}},
	} {
		if c := got[key]; c.Kind != want.kind || !slices.Equal(c.Values, want.values) {
			t.Errorf("%s: %s %q, by hand %s %q", key, c.Kind, c.Values, want.kind, want.values)
		}
	}
	// All keys of the first material come before those of the second, and a third has none.
	if last, first := slices.Index(order, "materials[1].price-per-bag"), slices.Index(order, "materials[2].name"); last < 0 || last > first {
		t.Errorf("materials in the order %d, %d", last, first)
	}
	if _, there := got["materials[3].name"]; there || len(order) != len(got) {
		t.Errorf("%d choices with %d keys", len(order), len(got))
	}
	for _, by := range []string{"bays.dams", "flatness.house-rules", "materials.name"} {
		if _, there := got[by]; there {
			t.Errorf("%s is edited by hand", by)
		}
	}
	// Set as they are read, they change nothing.
	text := demoJob(t)
	for _, c := range parsed(t, string(text)).Choices() {
		if c.Values == nil || c.Key == "survey.files" {
			continue
		}
		again, err := Edited(text, c.Key, c.Values...)
		if err != nil {
			t.Errorf("%s: %v", c.Key, err)
			continue
		}
		before, after := parsed(t, string(text)), parsed(t, string(again))
		for _, f := range Fields {
			if !several(f.Table()) && !reflect.DeepEqual(f.Value(before).Interface(), f.Value(after).Interface()) {
				t.Errorf("%s set as it is changes %s from %v to %v", c.Key, f.Key, f.Value(before), f.Value(after))
			}
		}
	}
}

// A number in a key counts from 1, by hand.
func TestNumberedKeys(t *testing.T) {
	t.Parallel()
	for key, want := range map[string]struct {
		n     int
		plain string
	}{
		"materials[2].name": {2, "materials.name"}, "materials[2]": {2, "materials"}, "coats[10].cover-m2-per-litre": {10, "coats.cover-m2-per-litre"},
		"materials[0].name": {0, "materials[0].name"}, "materials[-1].name": {0, "materials[-1].name"}, "materials[2]name": {0, "materials[2]name"},
		"materials[2": {0, "materials[2"}, "mix[1].currency": {0, "mix[1].currency"}, "materials[x].name": {0, "materials[x].name"}, "title": {0, "title"},
	} {
		if n, plain := numbered(key); n != want.n || plain != want.plain {
			t.Errorf("%s: %d, %s; by hand %d, %s", key, n, plain, want.n, want.plain)
		}
	}
}

// Materials are set, added and taken out by their numbers.
func TestEditMaterials(t *testing.T) {
	t.Parallel()
	text := demoJob(t)
	edit := func(key string, values ...string) {
		t.Helper()
		var err error
		if text, err = Edited(text, key, values...); err != nil {
			t.Fatalf("%s: %v", key, err)
		}
	}
	edit("materials[2].price-per-bag", "33.5")
	edit("materials[2].lifts", "2")
	edit("materials[3].name", "levelling mix")
	edit("materials[3].bag-yield", "0.5ft3")
	edit("coats[2].name", "sealer")
	j := parsed(t, string(text))
	if len(j.Materials) != 3 || j.Materials[1].PricePerBag != 33.5 || j.Materials[1].Lifts != 2 || j.Materials[2].Name != "levelling mix" || j.Materials[2].BagYield != "0.5ft3" {
		t.Errorf("%+v", j.Materials)
	}
	now := map[string][]string{}
	for _, c := range j.Choices() {
		now[c.Key] = c.Values
	}
	if now["materials[2].price-per-bag"][0] != "33.5" || now["materials[3].name"][0] != "levelling mix" || now["materials[1].lifts"] != nil || now["coats[1].name"] == nil {
		t.Errorf("%v", now)
	}
	edit("materials[2].lifts")
	edit("materials[3]")
	edit("materials[2].price-per-bag", "31")
	if n := len(parsed(t, string(text)).Coats); n != 1+parsed(t, string(demoJob(t))).count("coats") {
		t.Errorf("%d coats", n)
	}
	edit("coats[2]")
	before, after := parsed(t, string(demoJob(t))), parsed(t, string(text))
	if !reflect.DeepEqual(before.Materials, after.Materials) || !reflect.DeepEqual(before.Coats, after.Coats) || before.Pins != after.Pins {
		t.Errorf("back again:\n%s", text)
	}
}

// A table written as a value, or as dotted keys, is not edited: a second head would be refused.
func TestEditRefusesOtherForms(t *testing.T) {
	t.Parallel()
	for _, text := range []string{
		"survey = { files = [\"a.csv\"] }\ntitle = \"a\"\n",
		"survey.files = [\"a.csv\"]\n",
	} {
		for _, values := range [][]string{nil, {"walls.csv"}} {
			if got, err := Edited([]byte(text), "survey.outline", values...); err == nil || !strings.Contains(err.Error(), "by hand") || !strings.Contains(err.Error(), "1") {
				t.Errorf("%q with %v: %q, %v", text, values, got, err)
			}
		}
	}
}
