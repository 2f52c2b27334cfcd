package web

import (
	"context"
	"encoding/json"
	"fmt"
	"io/fs"
	"strings"
	"testing"
	"testing/fstest"

	"pourplane/plot/report"
	"pourplane/surface"
	"pourplane/surface/job"
	"pourplane/testdata/demo"
)

// withDemo is the page with the demo floor worked out.
func withDemo(t *testing.T, width, height int64) *tab {
	t.Helper()
	p := opened(t, width, height)
	p.tap("Open the demo floor")
	p.wait(`document.querySelector('#floor .plan-key li')`)
	p.idle()
	if said := p.text("#notice"); said != "" {
		t.Errorf("the page says %q", said)
	}
	return p
}

// show shows a tab.
func (p *tab) show(name string) {
	p.Helper()
	ask[string](p, `location.hash = '#`+name+`'`)
	p.wait(`document.getElementById('` + name + `').checkVisibility()`)
}

// key presses a key on the plan of a tab.
func (p *tab) key(name, key string) {
	p.Helper()
	ask[bool](p, fmt.Sprintf(`document.querySelector('#%s canvas').dispatchEvent(new KeyboardEvent('keydown', {key: '%s', bubbles: true, cancelable: true}))`, name, key))
}

// drag drags a finger over the plan of a tab, from one share of its size to another.
func (p *tab) drag(name string, x0, y0, x1, y1 float64) {
	p.Helper()
	ask[bool](p, fmt.Sprintf(`(() => {
		const c = document.querySelector('#%s canvas'), r = c.getBoundingClientRect();
		c.setPointerCapture = () => {};
		const at = (type, x, y) => c.dispatchEvent(new PointerEvent(type, {pointerId: 7, bubbles: true, clientX: r.left + x * r.width, clientY: r.top + y * r.height}));
		at('pointerdown', %g, %g);
		for (let i = 1; i <= 4; i++) at('pointermove', %g + (%g) * i / 4, %g + (%g) * i / 4);
		return at('pointerup', %g, %g);
	})()`, name, x0, y0, x0, x1-x0, y0, y1-y0, x1, y1))
}

// inked is the share of the pixels of a plan that are not empty, after the next frame.
func (p *tab) inked(name string) float64 {
	p.Helper()
	return ask[float64](p, fmt.Sprintf(`new Promise(done => requestAnimationFrame(() => requestAnimationFrame(() => {
		const c = document.querySelector('#%s canvas'), d = c.getContext('2d').getImageData(0, 0, c.width, c.height).data;
		let n = 0;
		for (let i = 3; i < d.length; i += 4) if (d[i]) n++;
		done(4 * n / d.length);
	})))`, name))
}

// theHall is the demo job, solved by the engine without a page.
func theHall(t *testing.T) *job.Result {
	t.Helper()
	text, err := fs.ReadFile(demo.Files, "job.toml")
	if err != nil {
		t.Fatal(err)
	}
	j, err := job.Parse(text, "job.toml")
	if err != nil {
		t.Fatal(err)
	}
	r, err := job.Solve(context.Background(), j, demo.Files, nil)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// The depth under the cross is the depth of the floor there; the floor is drawn flat and at a slant; a
// section and a table show the same floor.
func TestFloorTab(t *testing.T) {
	hall := theHall(t)
	for _, s := range screens {
		t.Run(s.name, func(t *testing.T) {
			t.Parallel()
			p := withDemo(t, s.width, s.height)
			p.show("floor")
			// One step of a key to the east of the middle.
			lo, hi := hall.Floor.Bounds()
			at := surface.Vec{X: (lo.X+hi.X)/2 + 0.0762, Y: (lo.Y + hi.Y) / 2}
			p.key("floor", "ArrowRight")
			z, _, ok := hall.Floor.Locators().At(at)
			if !ok {
				t.Fatal("the middle is not on the floor")
			}
			want := report.StyleOf(hall).Depth(hall.Fill.Target.(surface.Plane).Z - z)
			if got := p.text("#floor .plan-reading"); !strings.HasPrefix(got, "depth "+want+" ") {
				t.Errorf("at %v the page reads %q, the floor has %s", at, got, want)
			}
			// A tap on a door reads how far its floor is above the fill.
			door := hall.Thresholds[0]
			ask[bool](p, fmt.Sprintf(`(() => {
				const c = document.querySelector('#floor canvas'), r = c.getBoundingClientRect(), [x, y] = document.querySelector('#floor .plan').plan.onScreen(%v, %v);
				c.setPointerCapture = () => {};
				for (const type of ['pointerdown', 'pointerup']) c.dispatchEvent(new PointerEvent(type, {pointerId: 3, bubbles: true, clientX: r.left + x, clientY: r.top + y}));
				return true;
			})()`, door.Point.X, door.Point.Y))
			if got, want := p.text("#floor .plan-reading"), door.Point.Name()+": finished floor "+report.DoorText(door, report.StyleOf(hall)); !strings.HasPrefix(got, want) {
				t.Errorf("at the door the page reads %q, want %q", got, want)
			}
			flat := p.inked("floor")
			p.picture("floor-" + s.name)
			p.tap("3-D")
			slant := p.inked("floor")
			p.picture("slant-" + s.name)
			p.drag("floor", 0.3, 0.5, 0.6, 0.4)
			if turned := p.inked("floor"); flat < 0.2 || slant < 0.05 || turned == slant {
				t.Errorf("of the canvas %v is inked flat, %v at a slant, %v turned", flat, slant, turned)
			}
			p.tap("Section")
			p.drag("floor", 0.2, 0.7, 0.8, 0.7)
			p.wait(`document.querySelector('#floor .plan-section polyline')`)
			if got := p.text("#floor .plan-reading"); !strings.Contains(got, "Lowest along the line: depth ") {
				t.Errorf("the section says %q", got)
			}
			p.tap("Table")
			if rows := ask[int](p, `document.querySelectorAll('#floor .plan-table tbody tr').length`); rows != len(hall.Survey.Points) {
				t.Errorf("%d rows for %d shots", rows, len(hall.Survey.Points))
			}
			ask[string](p, `document.querySelector('#floor .plan-layers').open = true, ''`)
			p.tap("Grade pins")
			p.wait(`document.querySelector('#floor .plan-table caption').textContent === 'Grade pins'`)
			if rows := ask[int](p, `document.querySelectorAll('#floor .plan-table tbody tr').length`); rows != len(hall.Pins.Pins) {
				t.Errorf("%d rows for %d pins", rows, len(hall.Pins.Pins))
			}
			p.inked("floor")
			p.picture("pins-" + s.name)
			if said := p.text("#notice"); said != "" {
				t.Errorf("the page says %q", said)
			}
			p.clean()
		})
	}
}

// The floor as poured has its verdict, and a straightedge dragged over it the gap that the
// engine finds there.
func TestAfterTab(t *testing.T) {
	hall := theHall(t)
	for _, s := range screens {
		t.Run(s.name, func(t *testing.T) {
			t.Parallel()
			p := withDemo(t, s.width, s.height)
			p.show("after")
			if got, want := p.text("#after dd"), report.Verdict(hall.Judged, report.StyleOf(hall)); got != want {
				t.Errorf("the page says %q, the report %q", got, want)
			}
			p.tap("Lay it on the floor")
			p.wait(`document.querySelector('#after .gap').textContent !== ''`)
			lo, hi := hall.Judged.Floor.Bounds()
			middle, half := surface.Vec{X: (lo.X + hi.X) / 2, Y: (lo.Y + hi.Y) / 2}, 10*0.3048/2
			want, err := report.EdgeOn(hall.Judged.Floor, surface.Vec{X: middle.X - half, Y: middle.Y}, surface.Vec{X: middle.X + half, Y: middle.Y}, report.StyleOf(hall))
			if err != nil {
				t.Fatal(err)
			}
			if got := p.text("#after .gap"); got != want.Text {
				t.Errorf("the page says %q, the engine %q", got, want.Text)
			}
			ask[string](p, `document.querySelector('#after .plan').scrollIntoView(), ''`)
			p.inked("after")
			p.picture("after-" + s.name)
			before := p.text("#after .gap")
			p.drag("after", 0.3, 0.35, 0.45, 0.6)
			p.wait(`document.querySelector('#after .gap').textContent !== ` + quoted(before))
			p.wait(`document.querySelector('#after .plan-reading').textContent === document.querySelector('#after .gap').textContent`) // with the plan in sight
			p.clean()
		})
	}
}

func quoted(text string) string {
	b, _ := json.Marshal(text)
	return string(b)
}

// Walls are drawn around shots that came without any, and the area follows them.
func TestDrawWalls(t *testing.T) {
	p := opened(t, 360, 740)
	text := "point,x (m),y (m),z (m)\n"
	n := 0
	for y := 0; y <= 3; y++ {
		for x := 0; x <= 4; x++ {
			n++
			text += fmt.Sprintf("%d,%d,%d,%.3f\n", n, x, y, 9.95+0.002*float64((x*7+y*5)%4))
		}
	}
	p.give(map[string]string{"shots.csv": text, "job.toml": "title = \"Store\"\ndate = 2026-11-25\n[survey]\nfiles = [\"shots.csv\"]\n[target]\nelevation = \"10m\"\n"})
	p.wait(`document.querySelector('#floor .plan-key li')`)
	p.show("floor")
	p.tap("Draw the walls")
	p.inked("floor")
	p.picture("walls-phone")
	ask[bool](p, `(() => {
		const i = document.querySelector('input[aria-label="corner 2, x in m"]');
		i.value = '4.5';
		return i.dispatchEvent(new Event('change', {bubbles: true}));
	})()`)
	p.tap("Use these walls")
	p.tap("Use these walls") // in the question
	// Corners at -0.15 and 4.15 or 4.5 m, 3.3 m deep: a trapezium.
	p.wait(fmt.Sprintf(`document.getElementById('target').textContent.includes('over %.2f m²')`, (4.30+4.65)/2*3.3))
	p.idle()
	p.clean()
}

// A price changed on the page changes the total, as the engine has it; a material is added and
// taken out again.
func TestTakeoffTab(t *testing.T) {
	p := withDemo(t, 360, 740)
	p.show("takeoff")
	p.wait(`document.querySelector('#takeoff details[data-of="materials[2]"]')`)
	ask[string](p, `document.querySelector('#takeoff details[data-of="materials[2]"]').open = true, ''`)
	p.picture("takeoff-phone")
	p.enter("Price per bag", "41")
	p.wait(`document.getElementById('target').textContent.includes('1,799.00')`) // 7 bags for 10 more: 1,729 and 70
	p.idle()
	p.tap("Add a material")
	p.wait(`document.querySelector('#takeoff details[data-of="materials[3]"]')`)
	p.idle()
	ask[string](p, `document.querySelector('#takeoff details[data-of="materials[3]"]').open = true, ''`)
	ask[string](p, `[...document.querySelectorAll('#takeoff details[data-of="materials[3]"] button')].at(-1).click(), ''`)
	p.tap("Take it out")
	p.wait(`!document.querySelector('#takeoff details[data-of="materials[3]"]')`)
	p.idle()
	p.wait(`document.getElementById('target').textContent.includes('1,799.00')`)
	p.clean()
}

// Check shots typed on the page give what the same file gives the engine.
func TestTypedChecks(t *testing.T) {
	p := opened(t, 360, 740)
	files := beforeThePour(t)
	p.give(files)
	p.wait(`document.querySelector('#floor .plan-key li')`)
	p.show("after")
	p.tap("Type check shots")
	p.enter("Rod on it, rod (ft-in)", "4-3 11/16")
	// The corners of a square and its middle, the middle 1/8 in high.
	shots := [][3]string{{"4", "4", "4-4 1/2"}, {"12", "4", "4-4 1/2"}, {"12", "12", "4-4 1/2"}, {"4", "12", "4-4 1/2"}, {"8", "8", "4-4 3/8"}}
	text := "setup,sight,point,x_ft,y_ft,rod_ft_in\nC1,BS,BM1,,,4-3 11/16\n"
	for i, s := range shots {
		if i > 0 {
			p.tap("Next shot")
		}
		text += fmt.Sprintf("C1,IS,K%d,%s,%s,%s\n", i+1, s[0], s[1], s[2])
		for k, column := range []string{"x (ft)", "y (ft)", "rod (ft-in)"} {
			ask[bool](p, fmt.Sprintf(`(() => {
				const e = document.querySelector('input[aria-label=%s]');
				e.value = %s;
				return e.dispatchEvent(new Event('input', {bubbles: true}));
			})()`, quoted(fmt.Sprintf("K%d, %s", i+1, column)), quoted(s[k])))
		}
	}
	p.picture("checks-phone")
	p.tap("Use these shots")
	p.wait(`document.querySelector('#after .facts, #after .why')`)
	p.idle()
	files["check-typed.csv"] = text
	job2 := strings.Replace(files["job.toml"], "[target]", "after = [\"check-typed.csv\"]\n\n[target]", 1)
	want := solvedFrom(t, job2, files)
	p.wait(`document.querySelector('#after .facts dd')`)
	if got := p.text("#after dd"); got != report.Verdict(want.Judged, report.StyleOf(want)) {
		t.Errorf("the page says %q, the engine %q", got, report.Verdict(want.Judged, report.StyleOf(want)))
	}
	p.picture("checked-phone")
	p.load()
	p.show("after")
	p.wait(`document.querySelectorAll('#after input[aria-label^="K5,"]').length === 3`)
	p.clean()
}

// Runs typed on the page give the F-numbers of the same file.
func TestTypedRuns(t *testing.T) {
	p := opened(t, 360, 740)
	files := beforeThePour(t)
	p.give(files)
	p.wait(`document.querySelector('#floor .plan-key li')`)
	p.show("after")
	p.tap("Type runs of readings")
	if text := p.text("#after"); !strings.Contains(text, "Readings in inches, at equal steps") {
		t.Errorf("the runs are asked for as\n%s", text)
	}
	p.enter("Readings, in", "0\n1/8\n1/16\n0\n1 1/8\n1/4\n1/8\n0\n1/16\n1/8\n0\n0\n1/16")
	p.picture("runs-phone")
	p.tap("Use these runs")
	files["runs-typed.csv"] = "run,step (in),readings (in)\nR1,12,0;1/8;1/16;0;1 1/8;1/4;1/8;0;1/16;1/8;0;0;1/16\n"
	want := solvedFrom(t, strings.Replace(files["job.toml"], "[target]", "after = [\"runs-typed.csv\"]\n\n[target]", 1), files)
	p.wait(`document.querySelector('#after .facts dd')`)
	facts, _, _ := report.AfterFacts(want.Judged, report.StyleOf(want))
	for _, f := range facts {
		if !strings.Contains(strings.Join(strings.Fields(p.text("#after .facts")), " "), strings.Join(strings.Fields(f.Text), " ")) {
			t.Errorf("the page lacks %q:\n%s", f.Text, p.text("#after .facts"))
		}
	}
	p.clean()
}

// beforeThePour are the files of the demo floor without its check survey.
func beforeThePour(t *testing.T) map[string]string {
	t.Helper()
	files := map[string]string{}
	for _, name := range []string{"survey.csv", "outline.csv", "job.toml"} {
		b, err := fs.ReadFile(demo.Files, name)
		if err != nil {
			t.Fatal(err)
		}
		files[name] = string(b)
	}
	files["job.toml"] = strings.ReplaceAll(files["job.toml"], `after = ["check.csv"]`, "")
	return files
}

// solvedFrom solves a job whose files are in memory.
func solvedFrom(t *testing.T, text string, files map[string]string) *job.Result {
	t.Helper()
	j, err := job.Parse([]byte(text), "job.toml")
	if err != nil {
		t.Fatal(err)
	}
	in := fstest.MapFS{}
	for name, content := range files {
		in[name] = &fstest.MapFile{Data: []byte(content)}
	}
	r, err := job.Solve(context.Background(), j, in, nil)
	if err != nil {
		t.Fatal(err)
	}
	return r
}
