package web

import (
	"strings"
	"testing"
)

// tiny is a floor of nine shots without walls.
const tiny = "point,x (m),y (m),z (m)\n1,0,0,9.990\n2,2,0,9.988\n3,4,0,9.991\n4,0,2,9.992\n5,2,2,9.985\n6,4,2,9.989\n7,0,4,9.993\n8,2,4,9.990\n9,4,4,9.994\n"

// photo is the beginning of a picture, which is no list of points.
const photo = "\xff\xd8\xff\xe0\x00\x10JFIF\x00\x01\x01\x00\x00\x01\x00\x01\x00\x00"

// A new floor has no walls to correct.
func TestNewFloorHasNoWallsToCorrect(t *testing.T) {
	t.Parallel()
	p := opened(t, 1280, 900)
	p.give(map[string]string{"shots.csv": tiny})
	p.show("floor")
	p.tap("Draw the walls")
	p.tap("Use these walls")
	p.tap("Use these walls")
	p.wait(`[...document.querySelectorAll('#floor button')].some(b => b.textContent === 'Correct the walls')`)
	p.idle()
	p.turn("floors")
	p.tap("New floor")
	p.idle()
	if text := p.text("#floor"); strings.Contains(text, "the walls") {
		t.Errorf("a floor without shots says\n%s", text)
	}
	p.clean()
}

// A file that cannot be read is no floor and gives it no name; the survey after it is the floor.
func TestAPhotoIsNoFloor(t *testing.T) {
	t.Parallel()
	p := opened(t, 360, 740)
	p.give(map[string]string{"IMG_1.jpg": photo})
	p.wait(`document.querySelector('#shots .card .refusal')`)
	p.picture("photo-first")
	if job, title := p.job(), ask[string](p, `import('./state.js').then(m => m.state.title)`); job != "" || title != "" {
		t.Errorf("the photo makes the floor %q with the job\n%s", title, job)
	}
	p.give(map[string]string{"shop.csv": tiny})
	p.wait(`document.querySelector('#floor .plan-key li')`)
	if job := p.job(); !strings.Contains(job, `files = ["shop.csv"]`) || !strings.Contains(job, `title = "shop"`) {
		t.Errorf("the job is\n%s", job)
	}
	p.wait(`document.querySelector('#notice').textContent.includes('shop.csv: used as “Floor before the pour”.')`)
	// A file that comes later is shown, with what it is used as.
	p.give(map[string]string{"again.csv": tiny})
	p.wait(`document.querySelector('#notice').textContent.includes('again.csv: left out until you choose what to use it as.')`)
	p.wait(`(r => r.top > 0 && r.bottom < innerHeight)([...document.querySelectorAll('#shots h3')].at(-1).getBoundingClientRect())`)
	p.picture("added")
	// The content of the only survey is replaced by a photo: it can be removed.
	ask[bool](p, `import('./state.js').then(m => import('./job.js').then(j => {
		m.change({ files: m.state.files.map(f => f.name === 'shop.csv' ? { ...f, id: f.id + 'x', bytes: m.state.files.find(f => f.name === 'IMG_1.jpg').bytes } : f) });
		return j.refresh();
	})).then(() => true)`)
	p.idle()
	ask[bool](p, `([...document.querySelectorAll('#shots .card')].find(c => c.querySelector('h3').textContent === 'shop.csv').querySelector('.row:last-child button').click(), true)`)
	p.tap("Remove")
	p.wait(`document.querySelectorAll('#shots .card').length === 2`)
	p.idle()
	if job := p.job(); !strings.Contains(job, `files = ["again.csv"]`) {
		t.Errorf("the job is\n%s", job)
	}
	p.clean()
}

// Walls without a unit come with shots without one: the page asks which is which.
func TestWallsAmongFilesWithoutUnits(t *testing.T) {
	t.Parallel()
	p := opened(t, 360, 740)
	bare := strings.NewReplacer(" (m)", "").Replace(tiny)
	ask[bool](p, `(() => {
		const parcel = new DataTransfer();
		for (const [name, text] of [['shop.csv', `+quote(bare)+`], ['walls.csv', 'x,y\n-0.1,-0.1\n4.1,-0.1\n4.1,4.1\n-0.1,4.1\n']]) parcel.items.add(new File([text], name));
		return dispatchEvent(new DragEvent('drop', { dataTransfer: parcel })) || true;
	})()`)
	p.wait(`document.querySelector('dialog[open]')`)
	p.enter("shop.csv", "walls")
	p.enter("walls.csv", "walls")
	p.tap("Use them so")
	p.wait(`document.querySelector('dialog .why').textContent === 'The walls come from one file.'`)
	p.enter("shop.csv", "survey")
	p.picture("walls-too")
	p.tap("Use them so")
	p.idle()
	p.wait(`import('./state.js').then(m => m.state.job !== '')`)
	if job := p.job(); !strings.Contains(job, `files = ["shop.csv"]`) || !strings.Contains(job, `outline = "walls.csv"`) {
		t.Errorf("the job is\n%s", job)
	}
	p.clean()
}

// The form of the take-off is drawn anew with each answer: the input that is typed in keeps the
// focus, the caret and what is typed, and enters it when it is left.
func TestTypingGoesOnWhileItWorks(t *testing.T) {
	t.Parallel()
	p := withDemo(t, 360, 740)
	p.show("takeoff")
	p.wait(`document.querySelector('#takeoff details[data-of="materials[2]"]')`)
	ask[bool](p, `(document.querySelector('#takeoff details[data-of="materials[2]"]').open = true, true)`)
	const lifts = `document.querySelector('#takeoff [data-key="materials[2].lifts"]')`
	drawn := ask[bool](p, `(globalThis.was = `+lifts+`, Boolean(was))`)
	if !drawn {
		t.Fatal("no input of the lifts")
	}
	p.enter("Price per bag", "41")
	ask[bool](p, `(e => { e.focus(); e.value = '2'; e.setSelectionRange(0, 0); return true; })(`+lifts+`)`)
	p.idle()
	p.wait(lifts + ` !== was`)
	if got := ask[[]any](p, `(e => [document.activeElement === e, e.value, e.selectionStart])(`+lifts+`)`); got[0] != true || got[1] != "2" || got[2] != 0.0 {
		t.Errorf("in focus, its text and its caret: %v", got)
	}
	p.picture("typing")
	ask[bool](p, lifts+`.blur() || true`)
	p.wait(`import('./job.js').then(m => m.first('materials[2].lifts') === '2')`)
	p.idle()
	// Another floor begins empty.
	ask[bool](p, `(e => { e.focus(); e.value = '3'; return true; })(`+lifts+`)`)
	p.turn("floors")
	p.tap("New floor")
	p.idle()
	if job := p.job(); job != "" {
		t.Errorf("the new floor has the job\n%s", job)
	}
	p.clean()
}

// A price is asked for in the units that are shown, and takes out the price in the others. What
// would leave the floor without an answer is not kept.
func TestOnePriceOfTwo(t *testing.T) {
	t.Parallel()
	p := withDemo(t, 360, 740)
	prices := func() string {
		return ask[string](p, `import('./job.js').then(m => m.first('materials[1].price-per-m3') + ' ' + m.first('materials[1].price-per-yd3'))`)
	}
	p.show("takeoff")
	p.wait(`document.querySelector('#takeoff details[data-of="materials[1]"]')`)
	ask[bool](p, `(document.querySelector('#takeoff details[data-of="materials[1]"]').open = true, true)`)
	if text := p.text("#takeoff"); !strings.Contains(text, "Price per yd³") || strings.Contains(text, "Price per m³") {
		t.Errorf("in feet the take-off asks\n%s", text)
	}
	p.enter("Price per yd³", "170")
	p.idle()
	p.tap("mm")
	p.enter("Price per m³", "190")
	p.idle()
	p.wait(`import('./job.js').then(m => m.first('materials[1].price-per-m3') === '190')`)
	if got := prices(); got != "190 " {
		t.Errorf("the prices are %q", got)
	}
	if text := p.text("#takeoff"); strings.Contains(text, "Price per yd³") {
		t.Errorf("with a price per m³ the take-off asks\n%s", text)
	}
	p.enter("Price per m³", "-5")
	p.wait(`document.querySelector('#takeoff .refusal')`)
	p.idle()
	p.picture("price-refused")
	if got := prices(); got != "190 " || !ask[bool](p, `import('./state.js').then(m => m.state.answer !== null)`) {
		t.Errorf("after a price below zero the prices are %q", got)
	}
	p.clean()
}

// On a phone each reading of the check shots can be read as it is typed.
func TestCheckShotsFit(t *testing.T) {
	t.Parallel()
	p := opened(t, 360, 740)
	p.give(beforeThePour(t))
	p.wait(`document.querySelector('#floor .plan-key li')`)
	p.show("after")
	p.tap("Type check shots")
	ask[bool](p, `(document.querySelectorAll('#after .corners input').forEach((e, k) => { e.value = ['12.25', '104.5', '4-3 11/16'][k]; }), document.querySelector('#after .corners').scrollIntoView(), true)`)
	p.picture("checks-fit")
	for _, over := range ask[[]float64](p, `[...document.querySelectorAll('#after .corners input')].map(e => e.scrollWidth - e.clientWidth)`) {
		if over > 0 {
			t.Errorf("a reading is %v pixels wider than its input", over)
		}
	}
	if lines := ask[float64](p, `(r => { const a = document.createRange(); a.selectNodeContents(r); return a.getClientRects().length; })(document.querySelector('#after .corners tbody th'))`); lines != 1 {
		t.Errorf("the name of the shot is on %v lines", lines)
	}
	p.clean()
}

// A length that is typed when the walk is ended is the length of the last wall.
func TestTheLastWallIsTaken(t *testing.T) {
	t.Parallel()
	p := opened(t, 360, 740)
	p.begin(bookTitle, "metric")
	p.keys("3.6 left 1.8 left 3.6 left 1.75")
	p.tap("That was the last wall")
	if walls := ask[int](p, `import('./state.js').then(m => m.state.book.walls.length)`); walls != 4 {
		t.Errorf("the book has %d walls", walls)
	}
	p.wait(`document.querySelector('#book').innerText.includes('The walls do not close') || document.querySelector('#book').innerText.includes('It closes')`)
	if text := p.text("#book"); !strings.Contains(text, "0.050 m") || strings.Contains(text, "1.80 m too") {
		t.Errorf("the book says\n%s", text)
	}
	p.picture("last-wall")
	p.clean()
}

// Two storeys in one floor are seen before there is a target: under Shots and at the plan.
func TestTwoStoreysAreSeen(t *testing.T) {
	t.Parallel()
	p := opened(t, 360, 740)
	p.give(map[string]string{"a.csv": tiny, "b.csv": "point,x (m),y (m),z (m)\n10,6,4,13.3\n11,6,2,13.3\n12,6,0,13.31\n", "job.toml": "title = \"Shop\"\ndate = 2026-11-25\n[survey]\nfiles = [\"a.csv\", \"b.csv\"]\n"})
	p.wait(`import('./state.js').then(m => m.state.ground !== null)`)
	p.idle()
	for _, name := range []string{"shots", "floor"} {
		p.show(name)
		if text := p.text("#" + name + " .warning"); !strings.Contains(text, "is it one floor") {
			t.Errorf("%s says\n%s", name, p.text("#"+name))
		}
		p.picture("storeys-" + name)
	}
	p.clean()
}
