package web

import (
	"strings"
	"testing"
)

// A form that is opened or closed from further down is in sight, below the head of the page.
func TestFormsOpenInSight(t *testing.T) {
	t.Parallel()
	p := opened(t, 360, 740)
	p.begin("Bakery", "feet")
	p.keys("12' left 9' left rectangle")
	p.press("shots", "assume")
	p.keys("4' done 5' 1 done 5' 2 done")
	inSight := func(what string) {
		t.Helper()
		if top := ask[float64](p, `document.querySelector('#book .asked').getBoundingClientRect().top - document.querySelector('header').getBoundingClientRect().bottom`); top < 0 {
			t.Errorf("%s: what is asked for begins %g pixels above the head's edge", what, -top)
		}
	}
	for _, form := range []string{"door", "spacing"} {
		ask[bool](p, `(scrollTo(0, document.documentElement.scrollHeight), true)`)
		p.press(form)
		inSight(form)
		p.picture("form-" + form)
		ask[bool](p, `(scrollTo(0, document.documentElement.scrollHeight), true)`)
		p.press("cancel")
		inSight("after " + form)
	}
	ask[bool](p, `(scrollTo(0, document.documentElement.scrollHeight), true)`)
	p.tapIn(`[data-entry="1"] button`)
	inSight("change")
	p.clean()
}

// The second jamb is asked for in the wall of the first, and the list has where each was read.
func TestSecondJamb(t *testing.T) {
	t.Parallel()
	p := opened(t, 360, 740)
	p.begin("Bakery", "feet")
	p.keys("12' left 9' left rectangle")
	p.press("shots", "assume")
	p.keys("4' done 5' 1 done")
	p.press("door")
	p.enter("in", "2")
	if text := p.text("#book .asked"); !strings.Contains(text, "Corner with wall 2 to the jamb") {
		t.Errorf("the door is asked for as\n%s", text)
	}
	p.keys("5' done 4' 2 done")
	p.press("door")
	if text := p.text("#book .asked"); !strings.Contains(text, "D1 is one jamb in wall 3: now the other jamb.") || ask[string](p, `document.querySelector('#book .asked select').value`) != "2" {
		t.Errorf("the second jamb is asked for as\n%s", text)
	}
	p.picture("second-jamb")
	p.keys("8' done 4' 2 done")
	p.press("door")
	if text := p.text("#book .asked"); strings.Contains(text, "now the other jamb") {
		t.Errorf("the third jamb is asked for as\n%s", text)
	}
	p.press("cancel")
	for name, want := range map[string]string{"D1": `finished floor, wall 3, 5'-0" from wall 2`, "D2": `finished floor, wall 3, 8'-0" from wall 2`} {
		if got := p.text(`#book [data-entry=` + name + `]`); !strings.Contains(got, want) {
			t.Errorf("the list has %q, want %q", got, want)
		}
	}
	p.picture("jambs-listed")
	p.lettersApart()
	p.clean()
}

// Before a walked room is used, it is said that its walls will be fixed.
func TestWallsAreFixedIsSaidBefore(t *testing.T) {
	t.Parallel()
	p := opened(t, 360, 740)
	p.begin("Bakery", "feet")
	p.keys("12' left 9' left 12' left 9' left")
	if text := p.text("#book"); !strings.Contains(text, "Check the lengths against the tape now. Once a place is read from the walls, they are fixed.") {
		t.Errorf("the room that closes says\n%s", text)
	}
	p.picture("room-closes")
	p.press("use")
	if text := p.text("#book"); !strings.Contains(text, "they are fixed") {
		t.Errorf("the room that is used says\n%s", text)
	}
	p.picture("room-used")
	p.clean()
}

// inReach checks that an element is in sight as a whole, under nothing.
func (p *tab) inReach(selector string) {
	p.Helper()
	if got := ask[float64](p, `document.querySelector(`+quote(selector)+`).getBoundingClientRect().bottom - document.querySelector('#steps').getBoundingClientRect().top`); got > 0 {
		p.Errorf("%s is %g pixels under the tabs", selector, got)
	}
}

// Which of Section, 3-D and Table is on can be seen, by day and by night.
func TestPressedButtonsShow(t *testing.T) {
	t.Parallel()
	p := withDemo(t, 360, 740)
	p.show("floor")
	looks := func() map[string][]string {
		return ask[map[string][]string](p, `Object.fromEntries([...document.querySelectorAll('#floor .plan-tools button')].map(b => [b.textContent, [getComputedStyle(b).backgroundColor, getComputedStyle(b).color]]))`)
	}
	for _, dark := range []bool{false, true} {
		p.dark(dark)
		for _, name := range []string{"Section", "3-D", "Table"} {
			p.tap(name)
			now := looks()
			if now[name][0] == now["Whole"][0] {
				t.Errorf("dark %v: %s looks on as it does off: %v", dark, name, now[name])
			}
			if name == "Section" {
				p.picture(map[bool]string{false: "pressed", true: "pressed-dark"}[dark])
			}
			p.tap(name)
			if now := looks(); now[name][0] != now["Whole"][0] {
				t.Errorf("dark %v: %s looks off as %v", dark, name, now[name])
			}
		}
	}
	p.clean()
}

// No lettering of a plan with a section is over another, and that of a door is beside its wall.
func TestLetteringApart(t *testing.T) {
	t.Parallel()
	for _, s := range screens {
		p := withDemo(t, s.width, s.height)
		p.show("floor")
		over := ask[[]string](p, `(async () => {
			const plan = document.querySelector('#floor .plan').plan, boxes = [];
			const frame = () => new Promise(done => requestAnimationFrame(() => requestAnimationFrame(done)));
			const door = plan.floor.doors[0], { lo, hi } = plan.floor;
			plan.setMode('section');
			plan.drawTo({ x: door.x, y: door.y }, { x: (lo[0] + hi[0]) / 2, y: (lo[1] + hi[1]) / 2 });
			plan.drawSection();
			await frame();
			const letter = plan.letter;
			plan.letter = function (g, lines, x, y, align, size, bold) {
				letter.call(this, g, lines, x, y, align, size, bold);
				const w = Math.max(...lines.map(t => g.measureText(t).width));
				boxes.push({ text: lines.join(' '), x0: x - w / 2, x1: x + w / 2, y0: y - size / 2, y1: y + size / 2 + (lines.length - 1) * size * 1.15 });
			};
			plan.later();
			await frame();
			delete plan.letter;
			const out = [];
			boxes.forEach((a, i) => boxes.slice(i + 1).forEach(b => {
				if (a.x0 < b.x1 && a.x1 > b.x0 && a.y0 < b.y1 && a.y1 > b.y0) out.push(a.text + ' over ' + b.text);
			}));
			const doors = new Set(plan.thresholds.map(t => t.name + ' ' + t.sign));
			const rings = plan.floor.regions.flatMap(r => r.rings.map(ring => ring.map(p => plan.onScreen(...p))));
			for (const b of boxes.filter(b => doors.has(b.text))) {
				const inside = p => rings.reduce((n, ring) => n + ring.filter((q, i) => {
					const r = ring[(i + 1) % ring.length];
					return q[1] > p[1] !== r[1] > p[1] && p[0] < q[0] + (p[1] - q[1]) / (r[1] - q[1]) * (r[0] - q[0]);
				}).length, 0) % 2;
				const ends = [[b.x0, b.y0], [b.x1, b.y0], [b.x0, b.y1], [b.x1, b.y1]].map(inside);
				if (new Set(ends).size > 1) out.push(b.text + ' crosses a wall');
			}
			return out;
		})()`)
		for _, text := range over {
			t.Errorf("%s: %s", s.name, text)
		}
		p.picture("apart-" + s.name)
	}
}

// lettersApart checks that no lettering of the book's sketch is over another, and that each wall
// has its own.
func (p *tab) lettersApart() {
	p.Helper()
	for _, text := range ask[[]string](p, `(() => {
		const all = [...document.querySelectorAll('#book .sketch text')].map(t => ({ text: t.textContent, r: t.getBoundingClientRect() }));
		return all.flatMap((a, i) => all.slice(i + 1).filter(b => a.r.left < b.r.right && a.r.right > b.r.left && a.r.top + 3 < b.r.bottom - 3 && a.r.bottom - 3 > b.r.top + 3).map(b => a.text + ' is over ' + b.text));
	})()`) {
		p.Error(text)
	}
}

// Doors a few feet apart are lettered apart in the sketch, beside the number of their wall.
func TestSketchLetteredApart(t *testing.T) {
	t.Parallel()
	p := opened(t, 360, 740)
	p.begin("Bakery", "feet")
	p.keys("21' left 8' left 9' right 7' left 12' left 15' left use shots assume 4' done 5' 1 done")
	for _, d := range []struct{ wall, along string }{{"5", "8'"}, {"5", "11'"}, {"1", "3'"}, {"1", "6'"}} {
		p.press("door")
		p.enter("in", d.wall)
		p.keys(d.along + " done 4' 2 done")
	}
	p.lettersApart()
	if got := ask[string](p, `[...document.querySelectorAll('#book .sketch text')].map(t => t.textContent).sort().join(' ')`); got != "1 2 3 4 5 6 D1 D2 D3 D4" {
		t.Errorf("lettered are %s", got)
	}
	p.picture("sketch-doors")
	p.clean()
}

// What the engine says of a row of the book's file names the shot, with feet and inches as the
// book writes them.
func TestShotsOfTheBookByName(t *testing.T) {
	t.Parallel()
	p := opened(t, 360, 740)
	p.begin("Bakery", "feet")
	p.keys("21' left 12' left rectangle shots assume 4' done")
	for range 15 {
		p.keys("5' done")
	}
	p.tapIn(`[data-entry="4"] button`)
	p.keys("6' 1/2 done")
	p.wait(`document.querySelector('#book [data-entry="4"]')?.textContent.includes('Used as read') || document.querySelector('#book [data-entry="4"]')?.textContent.includes('used as read')`)
	p.idle()
	if text := p.text(`#book [data-entry="4"]`); strings.Contains(text, "6-0") || !strings.Contains(text, `reads 6'-0 1/2"`) {
		t.Errorf("the book says %s", text)
	}
	p.turn("target")
	p.wait(`document.querySelector('#target').innerText.includes('reads 6')`)
	if text := p.text("#target"); strings.Contains(text, "survey.csv:") || !strings.Contains(text, `Shot 4 reads 6'-0 1/2"`) {
		t.Errorf("Target says\n%s", text)
	}
	p.picture("shot-named")
	if got, want := ask[string](p, `import('./keywords.js').then(m => m.inWords('survey.csv:6: 4 reads 6-0 1/2; survey.csv:2: BM1 read again'))`), `Shot 4 reads 6'-0 1/2"; BM1 read again`; got != want {
		t.Errorf("in words %q, want %q", got, want)
	}
	p.clean()
}

// An empty page is no higher than a desk's screen, and a scrollbar of the floor has its room.
func TestEmptyPageDoesNotScroll(t *testing.T) {
	t.Parallel()
	p := opened(t, 1280, 900)
	if over := ask[float64](p, `document.documentElement.scrollHeight - innerHeight`); over > 0 {
		t.Errorf("the empty page is %g pixels too high", over)
	}
	if got := ask[string](p, `getComputedStyle(document.getElementById('floor')).scrollbarGutter`); got != "stable" {
		t.Errorf("the gutter of the floor is %q", got)
	}
	p.clean()
}

// Check shots are typed from the corner where the walls of the book begin.
func TestCornerOfCheckShots(t *testing.T) {
	t.Parallel()
	p := opened(t, 360, 740)
	p.bookFloor()
	ask[bool](p, `import('./job.js').then(m => m.edit([['target.elevation', ['100m']]])).then(() => true)`)
	p.idle()
	p.turn("after")
	p.tap("Type check shots")
	if text := p.text("#after"); !strings.Contains(text, "x and y count from the corner of wall 4 and wall 1: x along wall 1, y square to it.") {
		t.Errorf("check shots are asked for as\n%s", text)
	}
	p.picture("check-corner")
	p.clean()
}
