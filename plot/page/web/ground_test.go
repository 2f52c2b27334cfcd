package web

import (
	"fmt"
	"slices"
	"strings"
	"testing"
)

// aStore is a list of shots on a grid of a metre, 4 m by 3 m, from 9.950 to 9.956 m; those in
// other have another elevation.
func aStore(other map[int]float64) string {
	text, n := "point,x (m),y (m),z (m)\n", 0
	for y := range 4 {
		for x := range 5 {
			n++
			z := 9.95 + 0.002*float64((x*7+y*5)%4)
			if v, ok := other[n]; ok {
				z = v
			}
			text += fmt.Sprintf("%d,%d,%d,%.3f\n", n, x, y, z)
		}
	}
	return text
}

// picked reads the plan of the floor at a shot.
func (p *tab) picked(name string) string {
	p.Helper()
	ask[bool](p, `(() => { const plan = document.querySelector('#floor .plan').plan, s = plan.floor.shots.find(s => s.name === `+quote(name)+`); plan.pick(s); return true; })()`)
	return p.text("#floor .plan-reading")
}

// The floor is seen before it has a target: its heights, its highest and lowest place, and its
// walls to draw. Then the target is asked for.
func TestFloorBeforeTarget(t *testing.T) {
	each(t, func(p *tab, screen string) {
		p.give(map[string]string{"shots.csv": aStore(map[int]float64{13: 9.97})})
		p.turn("floor")
		p.wait(`document.querySelector('#floor .plan-key li')`)
		if ink := p.inked("floor"); ink < 0.2 {
			p.Errorf("%v of the plan is inked", ink)
		}
		p.picture("ground-" + screen)
		if key := p.text("#floor .plan-key"); !strings.HasPrefix(key, "Below the highest place:") {
			p.Errorf("the key says %q", key)
		}
		// Shot 1 is at 9.950 m, and shot 13, at 2 m and 2 m, is the highest: 20 mm above it.
		if got := p.picked("1"); got != "20 mm below the highest place at shot 1, x 0.000 m, y 0.000 m; floor 9.950 m" {
			p.Errorf("at shot 1 the page reads %q", got)
		}
		if got := p.text("#floor .facts"); !strings.Contains(got, "20 mm from highest to lowest") || !strings.Contains(got, "9.970 m") {
			p.Errorf("the page says %q", got)
		}
		p.tap("Table")
		if got := p.text("#floor .plan-table"); !strings.Contains(got, "20 mm below the highest place") {
			p.Errorf("the table says %q", got)
		}
		p.whole("ground-whole-" + screen)
		p.tap("Table")
		p.tap("Section")
		p.drag("floor", 0.2, 0.7, 0.8, 0.7)
		p.wait(`document.querySelector('#floor .plan-section polyline')`)
		if got := p.text("#floor .plan-reading"); !strings.Contains(got, "below the highest place") || strings.Contains(got, "depth") {
			p.Errorf("the section says %q", got)
		}
		p.picture("ground-section-" + screen)
		p.tap("3-D")
		p.inked("floor")
		p.picture("ground-slant-" + screen)
		p.tap("3-D")
		p.tap("Draw the walls")
		ask[bool](p, `(() => {
			const i = document.querySelector('input[aria-label="corner 2, x in m"]');
			i.value = '4.5';
			return i.dispatchEvent(new Event('change', {bubbles: true}));
		})()`)
		p.inked("floor")
		p.whole("ground-walls-" + screen)
		p.tap("Use these walls")
		p.tap("Use these walls") // in the question
		p.wait(`import('./state.js').then(m => m.state.ground && !m.state.ground.floor.hull)`)
		p.idle()
		if text := p.text("#floor"); !strings.Contains(text, "Correct the walls") {
			p.Errorf("the walls cannot be corrected:\n%s", text)
		}
		p.tap("Next: target")
		p.idle()
		if text := p.text("#target .facts"); !strings.Contains(text, "9.970 m, shot 13") || !strings.Contains(text, "Lowest") {
			p.Errorf("beside the target the page says %q", text)
		}
		p.picture("ground-target-" + screen)
		p.enter("Top of fill", "10m")
		p.tap("Work it out")
		p.wait(`document.querySelector('#target .order')`)
		p.idle()
		// Corners at -0.15 and 4.15 or 4.5 m, 3.3 m deep: a trapezium.
		if text := p.fact("Fill"); !strings.Contains(text, fmt.Sprintf("over %.2f m²", (4.30+4.65)/2*3.3)) {
			p.Errorf("the fill is %q", text)
		}
		p.turn("floor")
		if key := p.text("#floor .plan-key"); strings.Contains(key, "highest") {
			p.Errorf("the key says %q", key)
		}
		if got := p.picked("1"); !strings.HasPrefix(got, "depth 50 mm at shot 1, x 0.000 m, y 0.000 m; old floor 9.950 m") {
			p.Errorf("at shot 1 the page reads %q", got)
		}
	})
}

// What keeps shots from being a floor is asked for before the target, which would not settle it.
func TestNoFloorBeforeTarget(t *testing.T) {
	t.Parallel()
	p := opened(t, 360, 740)
	p.give(map[string]string{"shots.csv": aStore(nil) + "21,4,3,9.9\n"})
	p.turn("floor")
	if text := p.text("#floor"); !strings.Contains(text, "Settle it under Shots") {
		t.Errorf("the floor says\n%s", text)
	}
	p.turn("shots")
	p.wait(`document.querySelector('#shots .refusal select')`)
	p.enter("Duplicates", "mean")
	p.tap("Set duplicates")
	p.wait(`document.querySelector('#floor .plan-key li')`)
	p.clean()
}

// A mark on the phone's map has its name beside it, and no lettering is under a mark.
func TestLetteringBesideMarks(t *testing.T) {
	t.Parallel()
	p := withDemo(t, 360, 740)
	p.show("floor")
	got := ask[struct{ Written, Under []string }](p, `(async () => {
		const plan = document.querySelector('#floor .plan').plan, written = [], boxes = [];
		const frame = () => new Promise(done => requestAnimationFrame(() => requestAnimationFrame(done)));
		plan.layer('pins', true);
		await frame();
		plan.marks([{ x: plan.view.x - 3, y: plan.view.y - 1, text: 'here', kind: 'next' }]);
		const letter = plan.letter;
		plan.letter = function (g, lines, x, y, align, size, bold) {
			letter.call(this, g, lines, x, y, align, size, bold);
			const w = g.measureText(lines[0]).width;
			written.push(lines[0]);
			boxes.push({ text: lines[0], x0: x - w / 2, x1: x + w / 2, y0: y - size / 2, y1: y + size / 2 });
		};
		plan.later();
		await frame();
		delete plan.letter;
		const marks = [...plan.floor.pins.map(s => [...plan.onScreen(...s.at), 6]), ...plan.floor.doors.map(s => [...plan.onScreen(s.x, s.y), 4]), ...plan.marked.map(s => [...plan.onScreen(s.x, s.y), 10])];
		const under = boxes.filter(b => marks.some(([x, y, r]) => x + r > b.x0 && x - r < b.x1 && y + r > b.y0 && y - r < b.y1)).map(b => b.text);
		return { Written: written, Under: under };
	})()`)
	if !slices.Contains(got.Written, "here") || len(got.Written) < 20 || len(got.Under) > 0 {
		t.Errorf("written %q, of it beside no mark of its own %q", got.Written, got.Under)
	}
	p.picture("letters-phone")
}

// A doubtful reading has its row on Shots, before there is a target: to correct, or to leave
// out with a reason.
func TestDoubtfulRow(t *testing.T) {
	each(t, func(p *tab, screen string) {
		p.give(map[string]string{"shots.csv": aStore(map[int]float64{8: 9.854, 13: 9.97})})
		p.wait(`document.querySelectorAll('#shots .doubtful').length === 2`)
		p.picture("doubt-" + screen)
		if text := p.text("#shots .doubtful"); !strings.Contains(text, "shots.csv, line 9") || !strings.Contains(text, "8,2,1,9.854") {
			p.Errorf("the row is shown as\n%s", text)
		}
		if text := p.text("#shots .facts"); strings.Contains(text, "suggest") {
			p.Errorf("it is said twice:\n%s", text)
		}
		p.tap("Correct this row")
		p.whole("doubt-row-" + screen)
		p.enter("Line 9 of shots.csv", "8,2,1,9.954")
		p.tap("Use the corrected row")
		p.wait(`document.querySelectorAll('#shots .doubtful').length === 1`)
		p.idle()
		ask[bool](p, `(document.querySelector('#shots .doubtful button[aria-label="Leave out line 14"]').click(), true)`)
		p.enter("Reason", "rod on rubble")
		ask[bool](p, `([...document.querySelectorAll('#shots details form button')].find(b => b.textContent === 'Leave it out').click(), true)`)
		p.wait(`!document.querySelector('#shots .doubtful')`)
		p.idle()
		if n := ask[int](p, `import('./state.js').then(m => m.state.ground.floor.shots.length)`); n != 19 {
			p.Errorf("%d shots are left of the floor", n)
		}
		if text := p.text("#shots"); !strings.Contains(text, "rod on rubble") {
			p.Errorf("the reason is lost:\n%s", text)
		}
	})
}
