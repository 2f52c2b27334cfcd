package page

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"io/fs"
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"pourplane/plot/report"
	"pourplane/surface/job"
)

var demo = os.DirFS("../../testdata/demo")

// sent is a request in a parcel, with files of the demo floor.
func sent(t *testing.T, r Request, names ...string) []byte {
	t.Helper()
	var bodies [][]byte
	for i, name := range names {
		b, err := fs.ReadFile(demo, name)
		if err != nil {
			t.Fatal(err)
		}
		r.Files = append(r.Files, File{name, fmt.Sprint("f", i), int64(len(b))})
		bodies = append(bodies, b)
	}
	return pack(r, bodies)
}

// got is a reply out of its parcel.
func got(t *testing.T, parcel []byte) (Reply, []byte) {
	t.Helper()
	n := binary.LittleEndian.Uint32(parcel)
	var r Reply
	if err := json.Unmarshal(parcel[4:4+n], &r); err != nil {
		t.Fatal(err)
	}
	if (4+n)%8 != 0 {
		t.Errorf("files begin at byte %d", 4+n)
	}
	return r, parcel[4+n:]
}

// answered asks an engine and refuses refusals.
func answered(t *testing.T, e *Engine, parcel []byte) (Reply, []byte) {
	t.Helper()
	r, rest := got(t, e.Answer(t.Context(), parcel, nil))
	if len(r.Refused)+len(r.Lacks) > 0 {
		t.Fatalf("refused: %+v, lacks %v", r.Refused, r.Lacks)
	}
	return r, rest
}

func demoJob(t *testing.T) string {
	t.Helper()
	b, err := fs.ReadFile(demo, "job.toml")
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

var demoFiles = []string{"survey.csv", "outline.csv", "check.csv"}

// The answer of the page is the answer of the command: the same numbers as result.json has, in the
// words of the terminal.
func TestSolveIsTheJob(t *testing.T) {
	t.Parallel()
	var e Engine
	r, rest := answered(t, &e, sent(t, Request{Ask: "solve", Job: demoJob(t)}, demoFiles...))
	j, err := job.Parse([]byte(demoJob(t)), "job.toml")
	if err != nil {
		t.Fatal(err)
	}
	want, err := job.Solve(t.Context(), j, demo, nil)
	if err != nil {
		t.Fatal(err)
	}
	a := r.Answer
	if a.Fill != want.Fill.Fill || a.Order != want.Mix.Order || a.Least != want.Fill.Least || a.Greatest != want.Fill.Greatest || a.Mass != want.Mix.Load.Mass {
		t.Errorf("the page has %+v", a)
	}
	if len(a.Floor.Shots) != len(want.Survey.Points) || len(a.Floor.Pins) != len(want.Pins.Pins) || len(a.Thresholds) != len(want.Thresholds) {
		t.Errorf("%d shots, %d pins, %d thresholds", len(a.Floor.Shots), len(a.Floor.Pins), len(a.Thresholds))
	}
	var b bytes.Buffer
	if err := (&report.Summary{Filled: want.Filled, Style: report.StyleOf(want)}).Print(&b); err != nil {
		t.Fatal(err)
	}
	printed := strings.Join(strings.Fields(b.String()), " ")
	for _, head := range []string{"Fill", "Depth", "Target"} {
		i := slices.IndexFunc(a.Facts, func(f report.Fact) bool { return f.Head == head })
		if i < 0 || !strings.Contains(printed, strings.Join(strings.Fields(a.Facts[i].Text), " ")) {
			t.Errorf("the page says %+v, the terminal\n%s", a.Facts, b.String())
		}
	}
	if len(a.Takeoff) < 4 || !slices.ContainsFunc(a.Takeoff[0].Tables, func(g report.Grid) bool { return len(g.Rows) > 2 }) {
		t.Errorf("take-off %+v", a.Takeoff)
	}
	if a.Facts[0].Text == "" || len(a.Facts[0].Warnings) == 0 {
		t.Errorf("the order has no warnings: %+v", a.Facts[0])
	}
	// The floor in the parcel: its volume by prisms is the volume of the answer.
	fill := 0.0
	for _, g := range a.Floor.Regions {
		at := make([]float64, 3*g.Vertices)
		corners := make([]uint32, 3*g.Triangles)
		rest = taken(t, rest, at)
		rest = taken(t, rest, corners)
		for k := 0; k < len(corners); k += 3 {
			p, q, s := at[3*corners[k]:], at[3*corners[k+1]:], at[3*corners[k+2]:]
			area := ((q[0]-p[0])*(s[1]-p[1]) - (q[1]-p[1])*(s[0]-p[0])) / 2
			fill += area * (a.Target.Z - (p[2]+q[2]+s[2])/3)
		}
	}
	for _, g := range a.After.Floor.Regions {
		rest = taken(t, rest, make([]float64, 3*g.Vertices))
		rest = taken(t, rest, make([]uint32, 3*g.Triangles))
	}
	if len(rest) != 0 || a.Cut != 0 || math.Abs(fill-a.Fill) > 1e-9 {
		t.Errorf("prisms have %v m³, the answer %v; %d bytes left", fill, a.Fill, len(rest))
	}
}

// taken reads numbers off the front of a parcel.
func taken(t *testing.T, b []byte, into any) []byte {
	t.Helper()
	n, err := binary.Decode(b, binary.LittleEndian, into)
	if err != nil {
		t.Fatal(err)
	}
	return b[(n+7)/8*8:]
}

// Files are sent once; a request names them after that. An engine that has lost them says so.
func TestFilesAreSentOnce(t *testing.T) {
	t.Parallel()
	var e Engine
	first, _ := answered(t, &e, sent(t, Request{Ask: "solve", Job: demoJob(t)}, demoFiles...))
	again := Request{Ask: "solve", Job: demoJob(t), Show: "metric"}
	for i, name := range demoFiles {
		again.Files = append(again.Files, File{name, fmt.Sprint("f", i), -1})
	}
	solved := e.last
	second, _ := answered(t, &e, pack(again, nil))
	if e.last != solved {
		t.Error("other units were solved anew")
	}
	if first.Answer.Fill != second.Answer.Fill || second.Answer.Units.Show != "metric" || !strings.Contains(second.Answer.Facts[0].Text, "m³") || first.Answer.Units.Unit != "ft" {
		t.Errorf("in feet %+v, metric %+v", first.Answer.Facts[0], second.Answer.Facts[0])
	}
	raised := again
	raised.Ask, raised.Raise = "raise", 0.001
	third, _ := answered(t, &e, pack(raised, nil))
	if up := third.Answer.Fill - first.Answer.Fill; math.Abs(up-0.001*first.Answer.FillArea) > 1e-9 {
		t.Errorf("1 mm higher takes %v m³ more", up)
	}
	if !strings.Contains(third.Answer.Tables[0].Title, "Thresholds") || third.Answer.Floor != nil {
		t.Errorf("raised: %+v", third.Answer)
	}
	var other Engine
	r, _ := got(t, other.Answer(t.Context(), pack(again, nil), nil))
	if !slices.Equal(r.Lacks, []string{"f0", "f1", "f2"}) || r.Answer != nil {
		t.Errorf("another engine replies %+v", r)
	}
}

// Files without a job make one: walls and surveys are told apart.
func TestReadMakesAJob(t *testing.T) {
	t.Parallel()
	var e Engine
	r, _ := answered(t, &e, sent(t, Request{Ask: "read", Date: "2026-11-25"}, "survey.csv", "outline.csv"))
	if len(r.Read) != 2 || r.Read[0].Kind != "survey" || r.Read[1].Kind != "walls" || len(r.Read[0].Facts) < 4 {
		t.Fatalf("%+v", r.Read)
	}
	j, err := job.Parse([]byte(r.Job), "job.toml")
	if err != nil {
		t.Fatal(err)
	}
	if !slices.Equal(j.Survey.Files, []string{"survey.csv"}) || j.Survey.Outline != "outline.csv" || j.Date.String() != "2026-11-25" {
		t.Errorf("job %+v", j.Survey)
	}
	// Without a target it asks for one.
	solve, _ := got(t, e.Answer(t.Context(), sent(t, Request{Ask: "solve", Job: r.Job}, "survey.csv", "outline.csv"), nil))
	if len(solve.Refused) != 1 || !slices.ContainsFunc(solve.Refused[0].Asks, func(a Ask) bool { return a.Key == "target.elevation" }) {
		t.Errorf("%+v", solve.Refused)
	}
	edit, _ := answered(t, &e, pack(Request{Ask: "edit", Job: r.Job, Key: "target.elevation", Values: []string{"99.930ft"}}, nil))
	solve, _ = answered(t, &e, sent(t, Request{Ask: "solve", Job: edit.Job}, "survey.csv", "outline.csv"))
	if y := solve.Answer.Fill / 0.764554857984; math.Abs(y-7.32) > 0.005 {
		t.Errorf("%v yd³", y)
	}
	// With a job among the files, that is the job.
	with, _ := answered(t, &e, sent(t, Request{Ask: "read"}, append([]string{"job.toml"}, demoFiles...)...))
	if with.Job != demoJob(t) || with.Read[0].Kind != "job" {
		t.Errorf("%+v", with)
	}
	// Its walls are walls, though its benchmarks are for the survey.
	for i, kind := range []string{"job", "survey", "walls", "survey"} {
		h := with.Read[i]
		if h.Kind != kind || h.Refused != nil {
			t.Errorf("%s is %q, want %q; refused: %+v", h.Name, h.Kind, kind, h.Refused)
		}
		// Shots are held against the walls of the job, and no option is named.
		if text := fmt.Sprint(h.Facts, h.Remarks); kind == "survey" && !strings.Contains(text, "inside the outline") || strings.Contains(text, "--") {
			t.Errorf("%s: %s", h.Name, text)
		}
	}
	if text := fmt.Sprint(r.Read[0].Facts); !strings.Contains(text, "survey.outline gives them") || strings.Contains(text, "--") {
		t.Errorf("without walls: %s", text)
	}
}

// What is made for the page is what the command writes.
func TestMake(t *testing.T) {
	t.Parallel()
	var e Engine
	want := map[string][]byte{}
	j, err := job.Parse([]byte(demoJob(t)), "job.toml")
	if err != nil {
		t.Fatal(err)
	}
	done, err := job.Solve(t.Context(), j, demo, nil)
	if err != nil {
		t.Fatal(err)
	}
	h, err := report.NewHandover(done, report.StyleOf(done))
	if err != nil {
		t.Fatal(err)
	}
	all, err := h.Everything(nil)
	if err != nil {
		t.Fatal(err)
	}
	for _, o := range all {
		want[o.Name] = o.Data
	}
	listed, _ := answered(t, &e, sent(t, Request{Ask: "papers", Job: demoJob(t)}, demoFiles...))
	if !slices.Equal(listed.Papers, report.Names(all)) {
		t.Errorf("lists %q", listed.Papers)
	}
	for _, names := range [][]string{nil, {"record.html"}, {"pins.csv", "plan.dxf"}, {"record.pdf", "depth.svg"}} {
		r, rest := answered(t, &e, sent(t, Request{Ask: "make", Job: demoJob(t), Names: names}, demoFiles...))
		if len(names) > 0 && len(r.Made) != len(names) || names == nil && len(r.Made) != len(want) {
			t.Errorf("%v: made %v", names, r.Made)
		}
		for _, m := range r.Made {
			if !bytes.Equal(rest[:m.Size], want[m.Name]) {
				t.Errorf("%s differs from what the command writes", m.Name)
			}
			rest = rest[m.Size:]
		}
	}
	r, _ := got(t, e.Answer(t.Context(), sent(t, Request{Ask: "make", Job: demoJob(t), Names: []string{"no.pdf"}}, demoFiles...), nil))
	if len(r.Refused) != 1 || !strings.Contains(r.Refused[0].Text, "record.pdf") {
		t.Errorf("%+v", r)
	}
}

// A wrong row is named with its text and with the keys that would settle it.
func TestRefusals(t *testing.T) {
	t.Parallel()
	ask := func(survey string) Reply {
		var e Engine
		parcel := pack(Request{Ask: "read", Date: "2026-11-25", Files: []File{{"a.csv", "1", int64(len(survey))}}}, [][]byte{[]byte(survey)})
		r, _ := got(t, e.Answer(t.Context(), parcel, nil))
		return r
	}
	r := ask("point,x (m),y (m),z (m)\n1,0,0,9.99\n2,4,0,9.9b\n")
	one := r.Read[0].Refused
	if len(one) != 1 || one[0].Line != 3 || one[0].Row != "2,4,0,9.9b" || r.Job == "" {
		t.Errorf("%+v", r)
	}
	r = ask("point,x,y,z\n1,0,0,9.99\n2,4,0,9.98\n3,4,3,9.97\n")
	if one := r.Read[0].Refused; len(one) != 1 || one[0].Asks[0].Key != "units" {
		t.Errorf("%+v", r.Read[0])
	}
	var e Engine
	for _, bad := range []struct {
		parcel []byte
		want   string
	}{
		{nil, "cut short"},
		{[]byte{200, 0, 0, 0, '{'}, "cut short"},
		{append([]byte{2, 0, 0, 0}, "{]"...), "cannot be read"},
		{pack(Request{Ask: "dance"}, nil), "dance"},
		{pack(Request{Ask: "read", Files: []File{{"../a", "1", 0}}}, nil), "plain name"},
		{pack(Request{Ask: "read", Files: []File{{"a", "1", 9}}}, nil), "cut short"},
		{pack(Request{Ask: "read", Files: []File{{"a", "1", 1}, {"a", "2", 0}}}, [][]byte{{'a'}}), "two files"},
		{pack(Request{Ask: "read"}, [][]byte{{1, 2}}), "too many"},
		{pack(Request{Ask: "solve", Job: "x = 1"}, nil), "job.toml"},
		{pack(Request{Ask: "edit", Job: demoJob(t), Key: "mix.currency.x", Values: []string{"a"}}, nil), "by hand"},
	} {
		r, _ := got(t, e.Answer(t.Context(), bad.parcel, nil))
		if len(r.Refused) == 0 || !strings.Contains(r.Refused[0].Text+r.Refused[0].File, bad.want) {
			t.Errorf("%q: %+v, want %q", bad.parcel, r.Refused, bad.want)
		}
	}
}

// The keys of a form, with their values in a job.
func TestFields(t *testing.T) {
	t.Parallel()
	var e Engine
	r, _ := answered(t, &e, pack(Request{Ask: "fields", Job: demoJob(t)}, nil))
	now := map[string][]string{}
	for _, f := range r.Fields {
		if f.Help == "" && f.Metric == "" {
			t.Errorf("%s has neither help nor an example", f.Key)
		}
		if strings.Contains(f.Help, "pourplane ") {
			t.Errorf("%s leads to a command: %q", f.Key, f.Help)
		}
		if f.Key == "flatness.rules" && !slices.Contains(f.Words, "tile-large") {
			t.Errorf("%s offers %q", f.Key, f.Words)
		}
		now[f.Key] = f.Current
	}
	if len(now) < 100 || now["target.elevation"][0] != "99.930ft" || now["survey.benchmarks"][0] != "BM1=100ft" || now["site.drains"][0] != "true" || now["mix.allowance-percent"][0] != "5" || now["target.finish"] != nil {
		t.Errorf("%d keys, %v", len(now), now)
	}
}

// The floor as poured comes with the answer, and a straightedge laid on it has the gap of the
// same edge of the report.
func TestAfter(t *testing.T) {
	t.Parallel()
	var e Engine
	r, _ := answered(t, &e, sent(t, Request{Ask: "solve", Job: demoJob(t)}, demoFiles...))
	j := e.last.Judged
	a := r.Answer.After
	if a == nil || len(a.Spots) != len(j.Work.Spots) || len(a.Facts) < 3 || a.Facts[0].Text != report.Verdict(j, report.StyleOf(e.last.Result)) || len(a.Shades) < 2 {
		t.Fatalf("%+v", a)
	}
	worst := j.Edges[0]
	ask := Request{Ask: "edge", Job: demoJob(t), From: [2]float64{worst.From.X, worst.From.Y}, To: [2]float64{worst.To.X, worst.To.Y}}
	for i, name := range demoFiles {
		ask.Files = append(ask.Files, File{name, fmt.Sprint("f", i), -1})
	}
	edge, _ := answered(t, &e, pack(ask, nil))
	if !edge.Edge.Fits || math.Abs(edge.Edge.Gap-worst.Gap) > 1e-6 || math.Hypot(edge.Edge.Low[0]-worst.LowAt.X, edge.Edge.Low[1]-worst.LowAt.Y) > 1e-6 {
		t.Errorf("laid again %+v, in the report %v at %v", edge.Edge, worst.Gap, worst.LowAt)
	}
	ask.To = [2]float64{40, 0}
	if out, _ := answered(t, &e, pack(ask, nil)); out.Edge.Fits || !strings.Contains(out.Edge.Text, "does not fit") {
		t.Errorf("%+v", out.Edge)
	}
	ask.To = ask.From
	if out, _ := answered(t, &e, pack(ask, nil)); out.Edge.Fits {
		t.Errorf("%+v", out.Edge)
	}
}

// Before it has a target, a floor is shown as found: the floor that the answer has later, with
// its doubtful shots, doors and walls, and depths below its highest place.
func TestGround(t *testing.T) {
	t.Parallel()
	text := demoJob(t)
	bare := strings.Replace(text, "elevation = \"99.930ft\"\n", "", 1)
	for _, show := range []string{"", "metric"} {
		var e Engine
		solved, _ := answered(t, &e, sent(t, Request{Ask: "solve", Job: text, Show: show}, demoFiles...))
		want := solved.Answer
		r, rest := answered(t, &e, sent(t, Request{Ask: "ground", Job: bare, Show: show}, demoFiles...))
		g := r.Ground
		if g == nil || r.Answer != nil {
			t.Fatalf("%+v", r)
		}
		if len(g.Floor.Shots) != len(want.Floor.Shots) || len(g.Floor.Doors) != len(want.Floor.Doors) || g.Floor.Hull || g.Units != want.Units || fmt.Sprint(g.Floor.Regions) != fmt.Sprint(want.Floor.Regions) {
			t.Errorf("%s: %d shots, %d doors, %+v", show, len(g.Floor.Shots), len(g.Floor.Doors), g.Units)
		}
		// The highest place is as far below the target as the least depth of the answer.
		if math.Abs(want.Target.Z-g.Target.Z-want.Least) > 1e-9 || g.Target.SlopeX != 0 {
			t.Errorf("highest %v, target %v, least depth %v", g.Target.Z, want.Target.Z, want.Least)
		}
		lowest, highest := math.Inf(1), math.Inf(-1)
		for _, v := range g.Floor.Regions {
			at := make([]float64, 3*v.Vertices)
			rest = taken(t, taken(t, rest, at), make([]uint32, 3*v.Triangles))
			for k := 2; k < len(at); k += 3 {
				lowest, highest = min(lowest, at[k]), max(highest, at[k])
			}
		}
		if len(rest) != 0 || math.Abs(highest-g.Target.Z) > 1e-12 || math.Abs(g.Shades[0].From) > 1e-12 || math.Abs(g.Shades[len(g.Shades)-1].To-(highest-lowest)) > 1e-12 {
			t.Errorf("floor from %v to %v, target %+v, shades %+v", lowest, highest, g.Target, g.Shades)
		}
		if len(g.Spots) != 2 || math.Abs(g.Spots[1].Off-(lowest-highest)) > 1e-12 {
			t.Errorf("spots %+v", g.Spots)
		}
		if len(g.Facts) != 3 || !strings.HasSuffix(g.Facts[0].Text, " from highest to lowest") {
			t.Errorf("facts %+v", g.Facts)
		}
	}
	// Shots that the target names as finished floor are doors, not floor.
	var e Engine
	named := strings.Replace(bare, "[target]\n", "[target]\nfinish-at = \"101\"\n", 1)
	r, _ := answered(t, &e, sent(t, Request{Ask: "ground", Job: named}, demoFiles...))
	if !slices.ContainsFunc(r.Ground.Floor.Doors, func(s Shot) bool { return s.Name == "101" }) {
		t.Errorf("doors %+v", r.Ground.Floor.Doors)
	}
}

// A dead level floor is shown, and what gives no floor is refused with the keys that settle it.
func TestGroundOfLittle(t *testing.T) {
	t.Parallel()
	ask := func(survey string) Reply {
		var e Engine
		parcel := pack(Request{Ask: "ground", Job: "title = \"a\"\n[survey]\nfiles = [\"a.csv\"]\n", Files: []File{{"a.csv", "1", int64(len(survey))}}}, [][]byte{[]byte(survey)})
		r, _ := got(t, e.Answer(t.Context(), parcel, nil))
		return r
	}
	level := ask("point,x (m),y (m),z (m)\n1,0,0,9.9\n2,4,0,9.9\n3,4,3,9.9\n")
	if g := level.Ground; g == nil || len(g.Shades) != 1 || g.Facts[0].Text != "0 mm from highest to lowest" || !g.Floor.Hull || g.Facts[1].Text != "9.900 m, shot 1" {
		t.Errorf("%+v", level)
	}
	twice := ask("point,x (m),y (m),z (m)\n1,0,0,9.9\n2,4,0,9.9\n3,4,3,9.9\n4,4,3,9.8\n")
	if len(twice.Refused) != 1 || len(twice.Refused[0].Asks) == 0 || twice.Refused[0].Asks[0].Key != "survey.duplicates" {
		t.Errorf("%+v", twice)
	}
	few := ask("point,x (m),y (m),z (m)\n1,0,0,9.9\n2,4,0,9.9\n")
	if len(few.Refused) != 1 || few.Refused[0].File != "a.csv" {
		t.Errorf("%+v", few)
	}
	nowhere := ask("point,z (m)\n1,9.9\n2,9.9\n3,9.8\n")
	if len(nowhere.Refused) != 1 || nowhere.Refused[0].File != "a.csv" {
		t.Errorf("%+v", nowhere)
	}
}
