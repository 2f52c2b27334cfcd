package report

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"

	"pourplane/surface/job"
	"pourplane/surface/order"
	"pourplane/survey"
)

// smallRoom is a level floor of 2 × 1.6 m, depth m below 0.
func smallRoom(depth float64) fstest.MapFS {
	var shots bytes.Buffer
	fmt.Fprintln(&shots, "point,x (m),y (m),z (m)")
	for i := range 5 {
		for j := range 5 {
			fmt.Fprintf(&shots, "%d,%g,%g,%g\n", 100+5*i+j, 0.5*float64(i), 0.4*float64(j), -depth)
		}
	}
	return fstest.MapFS{"room.csv": {Data: shots.Bytes()}, "walls.csv": {Data: []byte("part,ring,x_m,y_m\nroom,outer,0,0\nroom,outer,2,0\nroom,outer,2,1.6\nroom,outer,0,1.6\n")}}
}

// filled fills a room up to 0: its numbers, and what the terminal shows.
func filled(t *testing.T, files fstest.MapFS, change func(*job.Job)) (Result, string) {
	t.Helper()
	j := &job.Job{Survey: job.Survey{Files: []string{"room.csv"}, Outline: "walls.csv"}, Target: job.Target{Elevation: "0m"}}
	if change != nil {
		change(j)
	}
	w, err := job.Fill(j, nil, files, nil)
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := (&Summary{Filled: w, Style: job.StyleOf(w.Survey, j.Show)}).Print(&b); err != nil {
		t.Fatal(err)
	}
	return NewResult(w), b.String()
}

// Less than a cubic metre comes in bags; what is said of a plant orders it there.
func TestLittleIsOrderedInBags(t *testing.T) {
	// By hand: 3.2 m² at 50 mm are 0.16 m³, with 5 % 0.168 m³. A bag of 25 kg yields
	// 0.15 ft³ for every 20 lb, 11.70 L: 14.36 bags. One of 80 lb yields 0.6 ft³, 16.99 L: 9.89.
	room := smallRoom(0.05)
	r, said := filled(t, room, nil)
	if b := r.Order.Bags; b == nil || b.Count != 15 || b.Mass != 25 || math.Abs(b.Yield-0.0117045) > 1e-6 || r.Order.Trucks != 0 || r.Order.Order == nil || math.Abs(*r.Order.Order-15*b.Yield) > 1e-12 {
		t.Errorf("order %+v, bags %+v; want 15 bags of 25 kg and no truck", r.Order, r.Order.Bags)
	}
	if !strings.Contains(said, "15 bags of 25 kg concrete mix for 0.17 m³; too little for a truck") || strings.Contains(said, "truck:") || strings.Contains(said, "1 truck") {
		t.Errorf("terminal:\n%s", said)
	}
	// What is sold where the survey was taken does not change with what is shown.
	if r, _ = filled(t, room, func(j *job.Job) { j.Show = "feet" }); r.Order.Bags == nil || r.Order.Bags.Count != 15 {
		t.Errorf("shown in feet %+v, want 15 bags of 25 kg", r.Order.Bags)
	}
	// The same room in feet: 10 bags of 80 lb.
	feet := fstest.MapFS{}
	for name, file := range room {
		rows := strings.Split(strings.NewReplacer("_m", "_ft", "(m)", "(ft)").Replace(string(file.Data)), "\n")
		for i, row := range rows[1:] {
			cells := strings.Split(row, ",")
			for k, c := range cells {
				if v, err := strconv.ParseFloat(c, 64); err == nil && k > 0 {
					cells[k] = strconv.FormatFloat(v/0.3048, 'f', 9, 64)
				}
			}
			rows[i+1] = strings.Join(cells, ",")
		}
		feet[name] = &fstest.MapFile{Data: []byte(strings.Join(rows, "\n"))}
	}
	if r, _ = filled(t, feet, nil); r.Order.Bags == nil || r.Order.Bags.Count != 10 {
		t.Errorf("in feet %+v, want 10 bags of 80 lb", r.Order.Bags)
	}
	for what, plant := range map[string]func(*job.Job){
		"order step": func(j *job.Job) { j.Mix.OrderStep = "0.1m3" },
		"truck":      func(j *job.Job) { j.Plant.Truck = "6m3" },
		"short load": func(j *job.Job) { j.Plant.ShortLoad = "1m3" },
		"hopper":     func(j *job.Job) { j.Plant.Hopper = "0.05m3" },
	} {
		if r, _ = filled(t, room, plant); r.Order.Bags != nil || r.Order.Trucks != 1 || !(*r.Order.Order >= 0.168) {
			t.Errorf("%s: %+v, want a truck", what, r.Order)
		}
	}
	// 3.2 m² × 297.6 mm × 1.05 is 0.99994 m³, and × 297.7 mm 1.00027.
	if r, _ = filled(t, smallRoom(0.2976), nil); r.Order.Bags == nil {
		t.Errorf("just under 1 m³: %+v, want bags", r.Order)
	}
	if r, _ = filled(t, smallRoom(0.2977), nil); r.Order.Bags != nil || r.Order.Trucks != 1 {
		t.Errorf("just over 1 m³: %+v, want a truck", r.Order)
	}
}

// A fill that is thinner than concrete is laid is reported beside the order.
func TestTooThinForConcrete(t *testing.T) {
	// 3.2 m² at 39 mm: all of it, 0.1248 m³.
	r, _ := filled(t, smallRoom(0.039), nil)
	if x := r.Order.Thin; x == nil || x.Least != order.ConcreteLeast(false) || math.Abs(x.Area-3.2) > 1e-9 || math.Abs(x.Volume-0.1248) > 1e-9 {
		t.Errorf("39 mm: %+v, want 3.2 m² and 0.1248 m³ thinner than 40 mm", x)
	}
	if !strings.Contains(strings.Join(r.Warnings, "\n"), "too thin for concrete on 3.20 m² (100 % of the filled area), 0.12 m³ of fill: less than 40 mm deep, the usual minimum") {
		t.Errorf("warnings %q", r.Warnings)
	}
	if r, _ = filled(t, smallRoom(0.041), nil); r.Order.Thin != nil || strings.Contains(strings.Join(r.Warnings, "\n"), "too thin") {
		t.Errorf("41 mm: %+v, %q; want nothing", r.Order.Thin, r.Warnings)
	}

	// A third of the ramp, from 20 to 100 mm, is shallower than 46.667 mm, and a quarter than 40 mm.
	one := runText(t, ramp)
	if x := one.result.Order.Thin; x == nil || math.Abs(x.Area-6) > 1e-6 || math.Abs(x.Volume-6*0.030) > 1e-6 {
		t.Errorf("ramp: %+v, want 6 m² and 0.18 m³", x)
	}
	// Materials have limits of their own.
	if one = runText(t, ramp+"[[materials]]\nname = \"mix\"\n"); one.result.Order.Thin != nil || strings.Contains(one.terminal, "too thin for concrete") {
		t.Errorf("with a material: %+v", one.result.Order.Thin)
	}
}

// Whatever changes what is ordered bears the topic by which it is shown beside the order.
func TestOrderNotesBearTheirTopic(t *testing.T) {
	has := func(notes []survey.Note, text string) {
		t.Helper()
		for _, n := range notes {
			if strings.Contains(n.Text.String(), text) {
				if n.Topic != survey.AboutOrder {
					t.Errorf("%q is about %q, want the order", n.Text.String(), n.Topic)
				}
				return
			}
		}
		t.Errorf("no note of %q", text)
	}
	h := hall(t)
	has(h.Notes, "would be up to")
	j := *h.Job
	j.Materials, j.Plant, j.Mix, j.Pace = nil, job.Plant{}, job.Mix{}, job.Pace{}
	w, err := job.Fill(&j, nil, os.DirFS("../../testdata/demo"), nil)
	if err != nil {
		t.Fatal(err)
	}
	has(w.Notes, "too thin for concrete")
	h.Filled = w
	if text := strings.Join(h.wall().Sections[0].Text, "\n"); !strings.Contains(text, "Too thin for concrete on ") {
		t.Errorf("the page for the wall has the order without what it is too thin for:\n%s", text)
	}
}

// An order in steps of the other system has both figures: no plant sells 2.29 yd³. By hand:
// 1.44 m³ with 5 % are 1.512, 7 steps of 0.25 m³, 2.289 yd³; or 1.978 yd³, 8 steps of 0.25 yd³,
// 1.529 m³. A short load is below 0.6 of 6 m³, 4.71 yd³.
func TestOrderInStepsOfTheOtherSystem(t *testing.T) {
	t.Parallel()
	for text, want := range map[string][]string{
		"show = \"feet\"\n" + ramp:                                       {"1.75 m³ (2.29 yd³)", "Truck: 1.75 m³ (2.29 yd³) is a short load, below 3.60 m³ (4.71 yd³)"},
		ramp + "[mix]\norder-step = \"0.25yd3\"\n":                       {"2.00 yd³ (1.53 m³)"},
		"show = \"feet\"\n" + ramp + "[mix]\norder-step = \"0.25yd3\"\n": {"2.00 yd³"},
		ramp: {"1.75 m³"},
	} {
		r := runText(t, text)
		for _, w := range want {
			if !strings.Contains(strings.Join(strings.Fields(r.terminal), " "), w) {
				t.Errorf("no %q in:\n%s", w, r.terminal)
			}
		}
		if page := r.page(t); !strings.Contains(page, want[0]) {
			t.Errorf("no %q in the record", want[0])
		}
		if len(want[0]) < 9 && strings.Contains(r.terminal, want[0]+" (") && !strings.Contains(r.terminal, want[0]+" (1 truck") {
			t.Errorf("two figures for one system:\n%s", r.terminal)
		}
	}
}

func pageOf(t *testing.T, r ran) string {
	t.Helper()
	return r.page(t)
}

// One truck that is empty in time has no table of hours; several have one, without a column
// that is empty throughout. What is handed over has no keys to type.
func TestClockTable(t *testing.T) {
	t.Parallel()
	one := pageOf(t, runText(t, ramp))
	if strings.Contains(one, "Trucks by the clock") || !strings.Contains(one, "The pour ends") {
		t.Error("one truck: a table, or no time")
	}
	two := pageOf(t, runText(t, ramp+"[plant]\ntruck = \"1m3\"\n"))
	if !strings.Contains(two, "Trucks by the clock") || strings.Contains(two, "Past the discharge limit") {
		t.Error("two trucks in time: no table, or an empty column")
	}
	late := pageOf(t, runText(t, ramp+"[plant]\ntruck = \"1m3\"\n[pace]\nplacing-m3-per-hour = 0.5\ntruck-spacing = \"30min\"\n"))
	if !strings.Contains(late, "Past the discharge limit") {
		t.Error("two trucks too late: no column of it")
	}
}
