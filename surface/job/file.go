package job

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/pelletier/go-toml/v2"
	"github.com/pelletier/go-toml/v2/unstable"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// largest is the max size of a job file in bytes. Own choice.
const largest = 4 << 20

// ReadFile returns the text of a job file, for [Parse]. A file that is missing, cannot
// be read or has more than 4 MiB is a [*survey.Error].
func ReadFile(name string) ([]byte, error) {
	f, err := os.Open(name)
	var b []byte
	if err == nil {
		defer f.Close()
		b, err = io.ReadAll(io.LimitReader(f, largest+1))
	}
	if errors.Is(err, fs.ErrNotExist) {
		return nil, (&survey.Error{Pos: survey.Pos{File: name}, Found: "no file of that name", Want: "a job file", Err: err}).Hinted("pourplane new SURVEY %s", unit.Ask("job", name))
	}
	if info, bad := os.Stat(name); bad == nil && info.IsDir() {
		return nil, &survey.Error{Pos: survey.Pos{File: name}, Found: "a folder", Want: "a job file, such as " + filepath.Join(name, "hall.toml"), Err: err}
	}
	if err != nil {
		return nil, (&survey.Error{Pos: survey.Pos{File: name}, Found: "a job file that cannot be read", Want: "a file that pourplane new has written", Err: err}).Hinted("pourplane new SURVEY %s", unit.Ask("job", name))
	}
	if len(bytes.TrimSpace(b)) == 0 {
		return nil, (&survey.Error{Pos: survey.Pos{File: name}, Found: "an empty file", Want: "a job file"}).Hinted("pourplane new SURVEY %s writes one", unit.Ask("job", "JOB.toml"))
	}
	if len(b) > largest {
		return nil, (&survey.Error{Pos: survey.Pos{File: name}, Found: "more than " + unit.Bytes(largest), Want: "a job file"}).Hinted("pourplane new SURVEY %s writes one", unit.Ask("job", "JOB.toml"))
	}
	return b, nil
}

// Parse reads a job from TOML. name is the name of its file: messages show it, and the
// files of the job are relative to its folder. Unknown keys, values of the wrong kind
// and invalid TOML are each a [*survey.Error] with line and column. For an unknown key
// it gives the nearest valid one.
func Parse(b []byte, name string) (*Job, error) {
	j := &Job{file: name}
	b = bytes.TrimPrefix(b, []byte("\xef\xbb\xbf")) // some editors write a byte order mark
	d := toml.NewDecoder(bytes.NewReader(b)).DisallowUnknownFields()
	if err := d.Decode(j); err != nil {
		return nil, notJob(typedIn(b, name).explain(err), name)
	}
	j.at = positions(b, name)
	if n := utf8.RuneCountInString(j.Title); n > longestTitle || strings.ContainsFunc(j.Title, unicode.IsControl) {
		return nil, j.Error("title", fmt.Sprintf("%d letters, or some that cannot be printed", n), fmt.Sprintf("one line of at most %d letters", longestTitle))
	}
	if len(j.Survey.Files) == 0 || slices.Contains(j.Survey.Files, "") || slices.Contains(j.Survey.After, "") {
		return nil, j.Error("survey.files", "no survey", `the files of the floor before the pour, files = ["survey.csv"]`)
	}
	if err := j.counted(); err != nil {
		return nil, err
	}
	if err := j.zeros(); err != nil {
		return nil, err
	}
	if err := j.fold(); err != nil {
		return nil, err
	}
	return j, j.parted()
}

// counted refuses more items of a kind than a floor could have. The limits are our own
// choice, beyond any real job.
func (j *Job) counted() error {
	for _, c := range []struct {
		key  string
		n    int
		most int
		what string
	}{
		{"materials", len(j.Materials), 50, "materials"}, {"coats", len(j.Coats), 20, "coats"}, {"bays.dams", len(j.Bays.Dams), 500, "dams"},
		{"flatness.straightedges", len(j.Flatness.Straightedges), 8, "lengths"}, {"flatness.house-rules", len(j.Flatness.House), 50, "rules"}, {"flatness.rules", len(j.Flatness.Rules), 200, "rules"},
		{"target.drains", len(j.Target.Drains), 200, "drains"}, {"target.channels", len(j.Target.Channels), 200, "channels"}, {"target.ramps", len(j.Target.Ramps), 100, "ramps"},
		{"survey.files", len(j.Survey.Files) + len(j.Survey.After), 200, "files"}, {"outputs.omit", len(j.Outputs.Omit), 100, "files"},
	} {
		if c.n > c.most {
			return j.Error(c.key, fmt.Sprintf("%d %s", c.n, c.what), fmt.Sprintf("no more than %d", c.most))
		}
	}
	return nil
}

// mayBeZero lists the numbers of a job for which 0 is a meaningful value.
var mayBeZero = []string{"allowance-percent", "water-parts", "overlap-percent", "share-percent", "ff", "fl", "fall-percent"}

// zeros refuses numbers given as 0 where a missing key means the usual value: Go cannot
// distinguish the two.
func (j *Job) zeros() error {
	v := reflect.ValueOf(*j)
	number := func(table string, of reflect.Value) error {
		for i := range of.NumField() {
			key := of.Type().Field(i).Tag.Get("toml")
			if slices.Contains(mayBeZero, key) || key == "" {
				continue
			}
			switch f := of.Field(i); f.Kind() {
			case reflect.Float64, reflect.Int:
				if _, given := j.at[table+"."+key]; given && f.IsZero() {
					return j.Error(table+"."+key, "0", "more than 0; without the key it is as usual")
				}
			}
		}
		return nil
	}
	for i := range v.NumField() {
		table := v.Type().Field(i).Tag.Get("toml")
		switch f := v.Field(i); {
		case table == "" || f.Type() == reflect.TypeFor[toml.LocalDate]():
		case f.Kind() == reflect.Struct:
			if err := number(table, f); err != nil {
				return err
			}
		case f.Kind() == reflect.Slice && f.Type().Elem().Kind() == reflect.Struct:
			for k := range f.Len() {
				if err := number(fmt.Sprintf("%s[%d]", table, k+1), f.Index(k)); err != nil {
					return err
				}
			}
		}
	}
	return nil
}

// fold converts values in US units to SI, and refuses a value given in both. The units
// are exact: pound and foot as of 1959, gallon of 231 in³.
func (j *Job) fold() error {
	const pound, foot, yard, gallon = 0.45359237, 0.3048, 0.9144, 231 * 0.0254 * 0.0254 * 0.0254 * 1000
	type pair struct {
		key, other string
		si, us     *float64
		factor     float64
	}
	all := []pair{
		{"mix.unit-weight-kgm3", "unit-weight-lbft3", &j.Mix.UnitWeight, &j.Mix.UnitWeightLb, pound / (foot * foot * foot)},
		{"pace.placing-m3-per-hour", "placing-yd3-per-hour", &j.Pace.Placing, &j.Pace.PlacingYd3, yard * yard * yard},
		{"joints.pack-litres", "pack-gallons", &j.Joints.Pack, &j.Joints.PackGallon, gallon},
		{"mesh.mass-kgm2", "mass-lbft2", &j.Mesh.Mass, &j.Mesh.MassLb, pound / (foot * foot)},
	}
	for i := range j.Materials {
		m, table := &j.Materials[i], fmt.Sprintf("materials[%d].", i+1)
		all = append(all, pair{table + "unit-weight-kgm3", "unit-weight-lbft3", &m.UnitWeight, &m.WeightLb, pound / (foot * foot * foot)}, pair{table + "bag-mass-kg", "bag-mass-lb", &m.BagMass, &m.BagMassLb, pound})
	}
	for i := range j.Coats {
		c, table := &j.Coats[i], fmt.Sprintf("coats[%d].", i+1)
		all = append(all, pair{table + "cover-m2-per-litre", "cover-ft2-per-gallon", &c.Cover, &c.CoverFt2, foot * foot / gallon}, pair{table + "first-cover-m2-per-litre", "first-cover-ft2-per-gallon", &c.First, &c.FirstFt2, foot * foot / gallon},
			pair{table + "pack-litres", "pack-gallons", &c.Pack, &c.PackGallon, gallon})
	}
	for _, p := range all {
		if *p.us == 0 {
			continue
		}
		if *p.si != 0 {
			return j.Error(p.key, "a figure, and another for "+p.other, "one of the two")
		}
		*p.si, *p.us = *p.us*p.factor, 0
		if j.written == nil {
			j.written = map[string]string{}
		}
		j.written[p.key] = p.key[:strings.LastIndex(p.key, ".")+1] + p.other
	}
	return nil
}

// parted refuses names that an option would split in two.
func (j *Job) parted() error {
	for _, t := range []struct {
		key   string
		names map[string]string
	}{{"survey.benchmarks", j.Survey.Benchmarks}, {"survey.codes", j.Survey.Codes}, {"survey.leave-out", j.Survey.LeaveOut}, {"survey.grid-origins", j.Survey.GridOrigins}} {
		for _, name := range slices.Sorted(maps.Keys(t.names)) {
			if strings.Contains(name, "=") {
				return j.Error(t.key, strconv.Quote(name), "a name without =")
			}
		}
	}
	return nil
}

// notJob adds the kinds of file that run takes to the error for a file that is not TOML
// and has another ending.
func notJob(err error, name string) error {
	var e *survey.Error
	ending := filepath.Ext(name)
	if strings.EqualFold(ending, ".toml") || !errors.As(err, &e) || e.Hint != "" {
		return err
	}
	other := *e
	other.Found, other.Want = "a file that is no job", "a job file, in TOML"
	e = &other
	return e.Hinted("run takes a job file; pourplane new %s %s makes one of a survey", name, unit.Ask("job", strings.TrimSuffix(name, ending)+".toml"))
}

// positions returns the place of each key of a valid file. Keys of the second table of
// an array are under "materials[2].name".
func positions(b []byte, name string) map[string]survey.Pos {
	out := map[string]survey.Pos{}
	var p unstable.Parser
	p.Reset(b)
	prefix, count := "", map[string]int{}
	starts := []int{0} // starts of the lines: the parser would count them again for each key
	for i, c := range b {
		if c == '\n' {
			starts = append(starts, i+1)
		}
	}
	place := func(at unstable.Range) survey.Pos {
		offset := int(at.Offset)
		line, _ := slices.BinarySearch(starts, offset+1)
		return survey.Pos{File: name, Line: line, Col: offset - starts[line-1] + 1}
	}
	keyOf := func(it unstable.Iterator) (key string, at unstable.Range) {
		first := true
		for it.Next() {
			n := it.Node()
			if first {
				at, first = n.Raw, false
			} else {
				key += "."
			}
			key += string(n.Data)
		}
		return key, at
	}
	for p.NextExpression() {
		e := p.Expression()
		switch e.Kind {
		case unstable.Table, unstable.ArrayTable:
			key, at := keyOf(e.Key())
			if e.Kind == unstable.ArrayTable {
				count[key]++
				key = fmt.Sprintf("%s[%d]", key, count[key])
			}
			prefix = key
			out[key] = place(at)
		case unstable.KeyValue:
			key, at := keyOf(e.Key())
			if prefix != "" {
				key = prefix + "." + key
			}
			out[key] = place(at)
		}
	}
	return out
}

// Keys lists every key that a job file may have.
func Keys() []string {
	var out []string
	for table, keys := range keysOf(Job{}) {
		for _, k := range keys {
			if table != "" {
				k = table + "." + k
			}
			out = append(out, k)
		}
	}
	slices.Sort(out)
	return out
}

// nearest returns the existing key most similar to a wrong one.
func nearest(key string) string {
	table, last := "", key
	if i := strings.LastIndex(key, "."); i >= 0 {
		table, last = key[:i], key[i+1:]
	}
	if f, ok := ByFlag(last); ok && f.Name() != last {
		return f.Key // an option that has another name in a job
	}
	best, least := "", 1+len(last)/2
	for _, k := range Keys() {
		d := distance(key, k)
		own := k[strings.LastIndex(k, ".")+1:]
		if own == last { // the right name in the wrong table
			d = min(d, 1)
		}
		if !strings.HasPrefix(k, table+".") && own != last {
			d++ // among similar ones that of the table is meant
		}
		// So does the beginning of a key.
		if strings.HasPrefix(k, key+"-") {
			d = min(d, 1)
		}
		if d < least {
			best, least = k, d
		}
	}
	return best
}

// Nearest returns the word most similar to a mistyped one, "" if none is similar. A word
// is similar if fewer than half of the letters differ, or wrong is its beginning.
func Nearest(wrong string, words []string) string {
	wrong = strings.ToLower(wrong)
	best, least := "", 1+len(wrong)/2
	for _, w := range words {
		d := distance(wrong, w)
		if len(wrong) > 2 && strings.HasPrefix(w, wrong) {
			d = min(d, 2)
		}
		if d < least {
			best, least = w, d
		}
	}
	return best
}

// distance returns the number of letters to insert, delete or replace, or of neighbours to swap,
// to turn a into b. Source: Damerau 1964, Levenshtein 1966.
func distance(a, b string) int {
	two, one := make([]int, len(b)+1), make([]int, len(b)+1) // the rows two and one letter before
	for j := range one {
		one[j] = j
	}
	for i := 1; i <= len(a); i++ {
		row := make([]int, len(b)+1)
		row[0] = i
		for j := 1; j <= len(b); j++ {
			cost := 1
			if a[i-1] == b[j-1] {
				cost = 0
			}
			row[j] = min(one[j]+1, row[j-1]+1, one[j-1]+cost)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				row[j] = min(row[j], two[j-2]+1)
			}
		}
		two, one = one, row
	}
	return one[len(b)]
}
