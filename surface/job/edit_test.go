package job

import (
	"reflect"
	"strings"
	"testing"
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
