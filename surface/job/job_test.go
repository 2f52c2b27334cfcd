package job

import (
	"errors"
	"fmt"
	"maps"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/pelletier/go-toml/v2/unstable"

	"pourplane/survey"
)

const least = "date = 2026-11-25\n[survey]\nfiles = [\"a.csv\"]\n"

// An error in a job file has its place and the nearest valid key.
func TestRefusals(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"unknown key", least + "[target]\nelevaton = \"1m\"\n", `hall.toml:5:1: found the key "target.elevaton", want a key of a job file, such as target.elevation`},
		{"right key in the wrong table", "units = \"m\"\nelevation = \"1m\"\n" + least, `hall.toml:2:1: found the key "elevation", want a key of a job file, such as target.elevation`},
		{"unknown table", least + "[targt]\nlow = \"1mm\"\n", `hall.toml:4:2: found the table [targt], want a table of a job file, such as [target]`},
		{"a number for a length", least + "[target]\nelevation = 99.93\n", `hall.toml:5:13: target.elevation: found 99.93, want text in one pair of quotes: elevation = "99.93ft" or elevation = "99.93m"`},
		{"text for a number", least + "[mix]\nallowance-percent = \"5\"\n", `hall.toml:5:21: mix.allowance-percent: found "5", want a number: allowance-percent = 5`},
		{"text for a list", "[survey]\nfiles = \"a.csv\"\n", "hall.toml:2:9: survey.files"},
		{"no TOML", "title = Hall\n", "hall.toml:1:"},
		{"the same key twice", "units = \"m\"\nunits = \"ft\"\n", "hall.toml:2:"},
		{"no files", "title = \"x\"\n[survey]\noutline = \"o.csv\"\n", "hall.toml:2:2: survey.files: found no survey, want the files of the floor before the pour"},
		{"unknown key of the second table of an array", least + "[[materials]]\nname = \"a\"\n[[materials]]\nlest = \"1mm\"\n", `hall.toml:7:1: found the key "materials.lest", want a key of a job file, such as materials.least`},
		{"a number that is 0", least + "[[materials]]\nname = \"a\"\n[[materials]]\nname = \"b\"\nbag-mass-kg = 0\n", "hall.toml:8:1: materials[2].bag-mass-kg: found 0, want more than 0; without the key it is as usual"},
		{"empty", "", "hall.toml: survey.files: found no survey"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := Parse([]byte(c.text), "hall.toml")
			var e *survey.Error
			if !errors.As(err, &e) || !strings.Contains(err.Error(), c.want) {
				t.Errorf("%v\nwant %s", err, c.want)
			}
		})
	}
}

func TestDates(t *testing.T) {
	t.Setenv("SOURCE_DATE_EPOCH", "")
	for _, c := range []struct{ text, epoch, want string }{
		{least, "0", "2026-11-25"},
		{strings.Replace(least, "date", "# date", 1), "86400", "1970-01-02"},
	} {
		t.Setenv("SOURCE_DATE_EPOCH", c.epoch)
		j, err := Parse([]byte(c.text), "x.toml")
		if err != nil {
			t.Fatal(err)
		}
		if day, err := j.Day(); err != nil || day.Format(time.DateOnly) != c.want {
			t.Errorf("%v, %v; want %s", day, err, c.want)
		}
	}
	t.Setenv("SOURCE_DATE_EPOCH", "soon")
	j, err := Parse([]byte(strings.Replace(least, "date", "# date", 1)), "x.toml")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := j.Day(); err == nil {
		t.Error("a job without a date has one")
	}
}

// A new job file is valid and sets exactly what the job has. With every commented key
// uncommented it is valid too.
func TestText(t *testing.T) {
	d := Job{Title: `A "title" # of two`, Date: DateOf(time.Date(2026, 11, 25, 0, 0, 0, 0, time.UTC)), Survey: Survey{Files: []string{"a.csv", "b c.csv"}, Outline: "o.csv"}, Target: Target{Elevation: "99.930ft"}}
	j, err := Parse([]byte(d.Text(true)), filepath.Join("jobs", "hall.toml"))
	if err != nil {
		t.Fatal(err)
	}
	if j.Title != d.Title || j.Target.Elevation != "99.930ft" || j.Target.Low != "" || len(j.Survey.Files) != 2 || j.Survey.Outline != "o.csv" || j.Mix.AllowancePercent != nil {
		t.Errorf("%+v", j)
	}
	if got := j.Path("o.csv"); got != filepath.Join("jobs", "o.csv") {
		t.Errorf("o.csv is at %s", got)
	}
	named := map[string]bool{}
	var all strings.Builder
	other := false // second of two keys for one quantity
	for _, l := range strings.Split(d.Text(true), "\n") {
		if strings.HasPrefix(l, "# [[") {
			l = strings.TrimPrefix(l, "# ")
		}
		if key, _, ok := strings.Cut(strings.TrimPrefix(l, "# "), " = "); ok && !strings.Contains(key, " ") {
			named[key] = true
			if !other {
				l = strings.TrimPrefix(l, "# ")
			}
			other = strings.HasSuffix(l, " or")
		}
		all.WriteString(l + "\n")
	}
	if _, err := Parse([]byte(all.String()), "all.toml"); err != nil {
		t.Errorf("with every key: %v", err)
	}
	for _, k := range Keys() {
		if !named[k[strings.LastIndex(k, ".")+1:]] {
			t.Errorf("a new job file does not tell of %s", k)
		}
	}
}

// The file has every field of the survey and the target.
func TestTextSaysAll(t *testing.T) {
	d := Job{Title: "Hall", Date: DateOf(time.Date(2026, 11, 25, 0, 0, 0, 0, time.UTC)), Units: "ft", Show: "metric", Site: Site{Bearing: "ground"}}
	for _, table := range []any{&d.Survey, &d.Target} {
		v := reflect.ValueOf(table).Elem()
		for i := range v.NumField() {
			name := v.Type().Field(i).Name
			switch f := v.Field(i); f.Interface().(type) {
			case string:
				f.SetString("of " + name + ` "x" # y`)
			case []string:
				f.Set(reflect.ValueOf([]string{"a " + name, `b \ "` + name}))
			case []Drain:
				f.Set(reflect.ValueOf([]Drain{{text: `a "1"`}, {Name: `b \ "2"`, At: "1m,2m", To: "3m,2m", Elevation: "4m"}}))
			case map[string]string:
				f.Set(reflect.ValueOf(map[string]string{name: "1m", `é "` + name: "2 m", "": "3m"}))
			case bool:
				f.SetBool(true)
			case float64:
				f.SetFloat(100.0 / 60)
			default:
				t.Fatalf("a field of another kind: %s", name)
			}
		}
	}
	j, err := Parse([]byte(d.Text(false)), "hall.toml")
	if err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(j.Survey, d.Survey) {
		t.Errorf("survey\n%+v\nwant\n%+v", j.Survey, d.Survey)
	}
	if !reflect.DeepEqual(j.Target, d.Target) {
		t.Errorf("target\n%+v\nwant\n%+v", j.Target, d.Target)
	}
	if j.Units != d.Units || j.Show != d.Show || j.Site.Bearing != d.Site.Bearing || j.Title != d.Title {
		t.Errorf("%+v", j)
	}
}

func TestOpenOfNothing(t *testing.T) {
	_, err := ReadFile(filepath.Join(t.TempDir(), "none.toml"))
	if err == nil || !strings.Contains(err.Error(), "none.toml: found no file of that name") || !errors.Is(err, os.ErrNotExist) {
		t.Error(err)
	}
}

// The Levenshtein distance, by hand.
func TestDistance(t *testing.T) {
	for _, c := range []struct {
		a, b string
		want int
	}{{"", "", 0}, {"kitten", "sitting", 3}, {"flaw", "lawn", 2}, {"abc", "", 3}, {"low", "low", 0}, {"AJD", "ADJ", 1}, {"nroth", "north", 1}} {
		if got := distance(c.a, c.b); got != c.want {
			t.Errorf("%q to %q: %d, want %d", c.a, c.b, got, c.want)
		}
	}
}

// Every table of an array has its own place.
func TestPlacesInArrays(t *testing.T) {
	j, err := Parse([]byte(least+"[[materials]]\nname = \"a\"\n[[materials]]\nname = \"b\"\nleast = \"1mm\"\n"), "x.toml")
	if err != nil {
		t.Fatal(err)
	}
	for key, want := range map[string]string{"materials[1].name": "x.toml:5:1", "materials[2].least": "x.toml:8:1", "materials[2].greatest": "x.toml:6:3"} {
		if got := j.Error(key, "x", "y").Pos.String(); got != want {
			t.Errorf("%s at %s, want %s", key, got, want)
		}
	}
}

// US figures are converted to SI by the exact units; a figure in both is refused.
func TestFiguresInUSUnits(t *testing.T) {
	j, err := Parse([]byte(least+"[mix]\nunit-weight-lbft3 = 150\n[pace]\nplacing-yd3-per-hour = 10\n[[materials]]\nname = \"a\"\nbag-mass-lb = 50\n[[coats]]\ncover-ft2-per-gallon = 250\npack-gallons = 5\n"), "x.toml")
	if err != nil {
		t.Fatal(err)
	}
	// By hand: 150 lb/ft³ × 16.01846 (exact to the digits, worked figure of handbooks) = 2402.77; 10 yd³ = 7.64555 m³; 50 lb = 22.6796 kg;
	// 250 ft² = 23.2258 m² over 3.785412 L = 6.13560; 5 gal = 18.92706 L.
	for _, c := range []struct {
		name      string
		got, want float64
	}{{"unit weight", j.Mix.UnitWeight, 2402.769}, {"placing", j.Pace.Placing, 7.64555}, {"bag", j.Materials[0].BagMass, 22.67962}, {"cover", j.Coats[0].Cover, 6.13560}, {"pack", j.Coats[0].Pack, 18.92706}} {
		if math.Abs(c.got-c.want) > 1e-5*c.want {
			t.Errorf("%s = %.8g, want %.7g", c.name, c.got, c.want)
		}
	}
	_, err = Parse([]byte(least+"[pace]\nplacing-yd3-per-hour = 10\nplacing-m3-per-hour = 7\n"), "x.toml")
	if err == nil || err.Error() != "x.toml:6:1: pace.placing-m3-per-hour: found a figure, and another for placing-yd3-per-hour, want one of the two" {
		t.Error(err)
	}
}

// Too many materials, coats or rules are refused with their number.
func TestCountsOfTables(t *testing.T) {
	for _, c := range []struct {
		text, want string
		n, most    int
	}{
		{"[[materials]]\nname = \"m%d\"\n", "materials: found 51 materials, want no more than 50", 51, 50},
		{"[[coats]]\nname = \"c%d\"\n", "coats: found 21 coats, want no more than 20", 21, 20},
	} {
		for n, refused := range map[int]bool{c.n: true, c.most: false} {
			text := least
			for i := range n {
				text += fmt.Sprintf(c.text, i)
			}
			if _, err := Parse([]byte(text), "x.toml"); refused != (err != nil) || refused && !strings.Contains(err.Error(), c.want) {
				t.Errorf("%d: %v; want a refusal: %v", n, err, refused)
			}
		}
	}
	edges := `"1m", "2m", "3m", "4m", "5m", "6m", "7m", "8m"`
	if _, err := Parse([]byte(least+"[flatness]\nstraightedges = ["+edges+"]\n"), "x.toml"); err != nil {
		t.Error(err)
	}
	if _, err := Parse([]byte(least+"[flatness]\nstraightedges = ["+edges+`, "9m"`+"]\n"), "x.toml"); err == nil || !strings.Contains(err.Error(), "flatness.straightedges: found 9 lengths, want no more than 8") {
		t.Errorf("9 straightedges: %v", err)
	}
}

// Words are similar by their letters, or as beginnings of others.
func TestNearest(t *testing.T) {
	words := []string{"unit-weight", "units", "target", "out", "outline"}
	for _, c := range []struct{ wrong, want string }{{"unit", "units"}, {"targt", "target"}, {"TARGET", "target"}, {"outlin", "outline"}, {"outl", "out"}, {"unit-w", "unit-weight"}, {"zzzz", ""}, {"", ""}} {
		if got := Nearest(c.wrong, words); got != c.want {
			t.Errorf("%q is near %q, want %q", c.wrong, got, c.want)
		}
	}
}

// Places of keys are the same as the parser's. A job of very many tables is refused by
// their number. The time for the place of one key does not grow with their number.
func TestPlacesOfManyTables(t *testing.T) {
	text := []byte(least + "# no letter of ASCII: ü\r\n  [[materials]]\n\tname = \"a\"\n\n[flatness]\n \"tolerance\" = '1mm'\n[mix]\nallowance-percent=5")
	places := positions(text, "x.toml")
	var p unstable.Parser
	p.Reset(text)
	seen := 0
	for p.NextExpression() {
		it := p.Expression().Key()
		it.Next()
		at := p.Shape(it.Node().Raw).Start
		seen++
		if !slices.Contains(slices.Collect(maps.Values(places)), survey.Pos{File: "x.toml", Line: at.Line, Col: at.Column}) {
			t.Errorf("no key at %d:%d, where the parser has one: %v", at.Line, at.Column, places)
		}
	}
	if seen != len(places) || seen < 7 {
		t.Errorf("%d places, the parser has %d", len(places), seen)
	}
	for _, table := range []string{"materials", "coats"} {
		const n = 200_000 // if each place counted the lines before it, this would take more than an hour
		_, err := Parse([]byte(least+strings.Repeat("[["+table+"]]\nname = \"m\"\n", n)), "x.toml")
		if err == nil || !strings.Contains(err.Error(), table+": found 200000 "+table+", want no more than") {
			t.Errorf("%d %s: %v", n, table, err)
		}
	}
}
