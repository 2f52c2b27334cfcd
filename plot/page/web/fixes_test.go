package web

import (
	"strings"
	"testing"
)

// bookFloor is a floor of the field book with six shots.
func (p *tab) bookFloor() {
	p.Helper()
	p.begin(bookTitle, "metric")
	p.keys("3.6 left 1.8 left rectangle shots assume 1.25 done")
	for range 6 {
		p.keys("1.31 done")
	}
	p.idle()
}

// A reading of the field book is changed in the book alone: a row changed in its file would be
// lost with the next reading.
func TestARowOfTheBookIsChangedInTheBook(t *testing.T) {
	t.Parallel()
	p := opened(t, 360, 740)
	p.bookFloor()
	p.turn("shots")
	p.wait(`document.querySelector('#shots .card')`)
	if text := p.text("#shots"); strings.Contains(text, "Leave shots out") {
		t.Errorf("shots of the book are left out beside it:\n%s", text)
	}
	// As the engine refuses a row of it.
	row := ask[string](p, `import('./state.js').then(({ state, change }) => {
		const row = new TextDecoder().decode(state.files.find(f => f.name === 'survey.csv').bytes).split('\n')[4];
		change({ read: state.read.map(h => h.name !== 'survey.csv' ? h : { ...h, refused: [{ text: 'survey.csv:5: found a rod', file: 'survey.csv', line: 5, row, asks: [{ key: 'survey.leave-out', example: 'NAME' }] }] }) });
		return row;
	})`)
	if !strings.HasPrefix(row, "S1,IS,3,") {
		t.Fatalf("line 5 is %q", row)
	}
	p.wait(`document.querySelector('#shots .refusal button')`) // how the files were read comes after the answer
	if text := p.text("#shots .refusal"); strings.Contains(text, "Correct this row") || strings.Contains(strings.ToLower(text), "leave out") {
		t.Errorf("the row can be changed beside the book:\n%s", text)
	}
	p.picture("book-refused")
	ask[bool](p, `(document.querySelector('#shots .refusal button').click(), true)`)
	p.wait(`location.hash === '#book' && document.querySelector('#book .asked')?.innerText.includes('Shot 3, was 1.310 m')`)
	p.picture("book-at-row")
	p.keys("1.32 done")
	p.idle()
	if text := ask[string](p, `import('./state.js').then(m => new TextDecoder().decode(m.state.files.find(f => f.name === 'survey.csv').bytes).split('\n')[4])`); !strings.Contains(text, ",1.320,") {
		t.Errorf("after the change the row is %q", text)
	}
	p.clean()
}

// A floor that is refused says so on each tab; the ticks of the pour are kept.
func TestWhyThereIsNoAnswer(t *testing.T) {
	t.Parallel()
	p := opened(t, 360, 740)
	p.openDemo("pour")
	p.wait(`document.querySelector('#pour .pins input')`)
	ask[bool](p, `(document.querySelector('#pour .pins input').click(), true)`)
	ticks := ask[int](p, `import('./state.js').then(m => Object.keys(m.state.ticks).length)`)
	ask[bool](p, `import('./job.js').then(m => m.edit([['target.elevation', ['1ft']], ['target.finish-codes', []], ['target.buildup', []], ['target.low', []]])).then(() => true)`)
	p.idle()
	why := ask[string](p, `import('./keywords.js').then(k => import('./state.js').then(m => k.inWords(m.state.refused[0]?.text.split('\n')[0] ?? '')))`)
	if why == "" {
		t.Fatal("the floor is not refused")
	}
	for _, name := range []string{"pour", "floor", "papers", "takeoff", "after"} {
		p.turn(name)
		if text := p.text("#" + name); !strings.Contains(text, "No answer: "+why) || strings.Contains(text, "when there are shots and a target") {
			t.Errorf("%s says\n%.600s", name, text)
		}
		p.picture("refused-" + name)
	}
	p.turn("pour")
	if n := ask[int](p, `import('./state.js').then(m => Object.keys(m.state.ticks).length)`); n != ticks || n != 1 || !strings.Contains(p.text("#pour"), "The ticks are kept.") {
		t.Errorf("%d ticks, before %d:\n%s", n, ticks, p.text("#pour"))
	}
	p.tap("Settle it under Target")
	p.wait(`location.hash === '#target' && document.querySelector('#target .refusal')`)
	p.clean()
}

// A phone that is turned shows no defect, and the field book fits.
func TestBookTurned(t *testing.T) {
	t.Parallel()
	p := opened(t, 360, 740)
	p.bookFloor()
	ask[bool](p, `(globalThis.loops = 0, addEventListener('error', e => { if (/ResizeObserver/.test(e.message)) loops++; }), true)`)
	for _, wide := range []string{"520px", "300px", "640px", ""} {
		ask[bool](p, `(document.querySelector('#book .book').style.width = '`+wide+`', new Promise(done => requestAnimationFrame(() => requestAnimationFrame(() => requestAnimationFrame(() => done(true))))))`)
	}
	if n := ask[int](p, `loops`); n != 0 {
		t.Errorf("the book drew itself within its own measure %d times", n)
	}
	ask[bool](p, `dispatchEvent(new ErrorEvent('error', { message: 'ResizeObserver loop completed with undelivered notifications.' }))`)
	ask[bool](p, `new Promise(done => setTimeout(() => done(true), 100))`)
	if text := p.text("#notice"); text != "" {
		t.Errorf("the page says %q", text)
	}
}

// A notice is about one floor, and gone with it.
func TestNoticeOfAnotherFloor(t *testing.T) {
	t.Parallel()
	p := opened(t, 360, 740)
	p.openDemo("target")
	p.wait(`document.querySelector('#target > [aria-live].unseen').textContent !== ''`)
	ask[bool](p, `import('./dom.js').then(m => (m.say('About the hall.'), true))`)
	p.wait(`document.querySelector('#notice').textContent.includes('About the hall')`)
	p.turn("floors")
	p.tap("New floor")
	p.idle()
	if notice, live := p.text("#notice"), ask[string](p, `document.querySelector('#target > [aria-live].unseen').textContent`); notice != "" || live != "" {
		t.Errorf("on another floor the page says %q and reads out %q", notice, live)
	}
	p.clean()
}

// The archive of a floor brings its field book and its ticks back, with every reading; a book
// that is there already stays.
func TestArchiveHasTheBook(t *testing.T) {
	t.Parallel()
	p := opened(t, 360, 740)
	p.bookFloor()
	if why := ask[string](p, `import('./job.js').then(m => m.edit([['target.elevation', ['10m']], ['pins.spacing', ['1m']]])).then(w => w ? w[0].text : '')`); why != "" {
		t.Fatal(why)
	}
	p.turn("pour")
	p.wait(`document.querySelector('#pour .pins input')`)
	ask[bool](p, `(document.querySelector('#pour .pins input').click(), true)`)
	const kept = `import('./state.js').then(({ state: { book: { title, units, walls, columns, log, closed, spacing, off }, ticks } }) => JSON.stringify({ title, units, walls, columns, log, closed, spacing, off, ticks }))`
	before := ask[string](p, kept)
	if !strings.Contains(before, `"rod":13100`) || strings.Contains(before, `"ticks":{}`) {
		t.Fatalf("the floor has %s", before)
	}
	p.turn("papers")
	ask[bool](p, saved)
	archive := p.download("Job with its files (.zip)", bookTitle+" job.zip")
	p.turn("floors")
	p.tap("New floor")
	p.turn("shots")
	p.give(map[string]string{"back.zip": string(archive)})
	p.wait(`import('./state.js').then(m => m.state.answer)`)
	p.idle()
	if after := ask[string](p, kept); after != before {
		t.Errorf("the archive brings back\n%s\nof\n%s", after, before)
	}
	if text := p.text("#notice"); text != "" {
		t.Errorf("the page says %q", text)
	}
	// The book goes on where it was.
	ask[bool](p, `(location.hash = '#book', true)`)
	p.keys("1.33 done")
	p.idle()
	survey := `import('./state.js').then(m => new TextDecoder().decode(m.state.files.find(f => f.name === 'survey.csv').bytes))`
	if text := ask[string](p, survey); strings.Count(text, "IS,") != 7 || !strings.Contains(text, ",1.330,") {
		t.Errorf("after another reading the survey is\n%s", text)
	}
	// Onto a floor that has a book: its readings stay, in the book and in its file.
	p.turn("shots")
	p.give(map[string]string{"again.zip": string(archive)})
	p.wait(`document.querySelector('#notice').textContent.includes('this floor has one of its own')`)
	p.idle()
	if text := ask[string](p, survey); strings.Count(text, "IS,") != 7 {
		t.Errorf("the archive has replaced the file of the book:\n%s", text)
	}
	p.give(map[string]string{"job.toml": p.job() + "\n", "fieldbook.json": "{"})
	p.wait(`document.querySelector('#notice').textContent.includes('fieldbook.json: found another content')`)
	p.picture("book-damaged")
	for name, text := range map[string]string{
		"another kind": `{}`,
		"another log":  strings.Replace(`{"kind":"pourplane field book 1","book":`+before+`}`, `"rod":13100`, `"rod":"1"`, 1),
	} {
		p.give(map[string]string{"job.toml": p.job(), "fieldbook.json": text})
		p.wait(`document.querySelector('#notice').textContent.includes(` + quote(name) + `)`)
	}
	p.clean()
}

// Each paper says what it is for; those of the crew and of the customer come first.
func TestPapersSayWhatTheyAreFor(t *testing.T) {
	t.Parallel()
	p := opened(t, 360, 740)
	p.openDemo("papers")
	p.tap("Make all papers")
	p.wait(`document.querySelector('#papers .downloads')`)
	p.idle()
	ask[bool](p, `(document.querySelectorAll('#papers details').forEach(d => { d.open = true; }), true)`)
	p.whole("papers-words")
	lines := ask[[]string](p, `[...document.querySelectorAll('#papers .downloads li')].map(li => li.querySelector('button').textContent + ': ' + (li.querySelector('.about')?.textContent ?? ''))`)
	if len(lines) < 12 || lines[0] != "pins.pdf: sheet of grade pins for the crew" || lines[2] != "customer.pdf: one page for the customer" {
		t.Errorf("the papers are\n%s", strings.Join(lines, "\n"))
	}
	for _, line := range lines {
		if strings.HasSuffix(line, ": ") {
			t.Errorf("%s is not said what for", line)
		}
	}
	p.clean()
}

// A table comes into sight where it is below the screen. A section leaves the plan where it is,
// with what is read from it in sight.
func TestSectionAndTableInSight(t *testing.T) {
	t.Parallel()
	p := withDemo(t, 360, 740)
	p.show("floor")
	inSight := func(part string) string {
		return `(() => {
			const r = document.querySelector('#floor ` + part + `')?.getBoundingClientRect();
			return r && r.top >= 60 && r.top < innerHeight / 2 + 100 && Math.min(r.bottom, r.top + 150) <= document.querySelector('#steps').getBoundingClientRect().top;
		})()`
	}
	p.tap("Table")
	p.wait(inSight(".plan-table"))
	p.picture("table-in-sight")
	if bare := ask[int](p, `[...document.querySelectorAll('#floor .plan-table tbody > tr > *')].filter(c => !c.dataset.head).length`); bare > 0 {
		t.Errorf("%d cells have no head on a narrow screen", bare)
	}
	p.tap("Table")
	p.tap("Section")
	p.wait(`(scrollTo(0, 0), new Promise(done => setTimeout(() => done(scrollY === 0), 300)))`) // the table's scrolling is over
	p.drag("floor", 0.2, 0.7, 0.8, 0.7)
	p.wait(`document.querySelector('#floor .plan-section svg')`)
	ask[bool](p, `new Promise(done => setTimeout(() => done(true), 700))`) // a page that scrolls has scrolled
	if got := ask[float64](p, `scrollY`); got != 0 {
		t.Errorf("the page scrolls %g pixels after a section", got)
	}
	p.inReach("#floor .plan-reading")
	if got := p.text("#floor .plan-reading"); !strings.HasPrefix(got, "Lowest along the line: depth ") {
		t.Errorf("the reading of the section is %q", got)
	}
	p.picture("section-in-sight")
	if got := ask[float64](p, `Math.min(...[...document.querySelectorAll('#floor .plan-section text')].map(t => parseFloat(getComputedStyle(t).fontSize) * t.getScreenCTM().a))`); got < 12 {
		t.Errorf("the lettering of the section is %g pixels high", got)
	}
	p.tap("Section")
	p.drag("floor", 0.5, 0.5, 0.5, 0.5)
	p.inReach("#floor .plan-reading")
	p.clean()
}

// Where walls are missing, Target and Shots lead to where they are drawn or typed.
func TestWallsAreOffered(t *testing.T) {
	t.Parallel()
	for _, name := range []string{"target", "shots"} {
		p := opened(t, 360, 740)
		p.give(map[string]string{"shots.csv": "point,x (m),y (m),z (m)\n1,0,0,9.95\n2,4,0,9.96\n3,4,3,9.95\n4,0,3,9.97\n", "job.toml": "title = \"Store\"\ndate = 2026-11-25\n[survey]\nfiles = [\"shots.csv\"]\n[target]\nelevation = \"10m\"\n"})
		p.wait(`import('./state.js').then(m => m.state.answer)`)
		p.show(name)
		p.picture("walls-" + name)
		p.tap("Draw or type the walls")
		p.wait(`location.hash === '#floor' && document.querySelector('#floor input[aria-label="corner 2, x in m"]')?.checkVisibility()`)
		p.picture("walls-from-" + name)
		p.clean()
	}
	p := withDemo(t, 360, 740)
	for _, name := range []string{"target", "shots"} {
		p.show(name)
		if strings.Contains(p.text("#"+name), "Draw or type the walls") {
			t.Errorf("%s offers walls on a floor that has them", name)
		}
	}
}

// A place with no floor says why: an opening is not poured, the rest is outside.
func TestPlacesWithoutFloor(t *testing.T) {
	t.Parallel()
	p := opened(t, 360, 740)
	p.give(map[string]string{
		"shots.csv":   "point,x (m),y (m),z (m)\n1,0.1,0.1,9.95\n2,3.9,0.1,9.96\n3,3.9,2.9,9.95\n4,0.1,2.9,9.97\n",
		"outline.csv": "part,ring,x (m),y (m)\nroom,outer,0,0\nroom,outer,4,0\nroom,outer,4,3\nroom,outer,0,3\npit,hole,1,1\npit,hole,2,1\npit,hole,2,2\npit,hole,1,2\n",
		"job.toml":    "title = \"Store\"\ndate = 2026-11-25\n[survey]\nfiles = [\"shots.csv\"]\noutline = \"outline.csv\"\n[target]\nelevation = \"10m\"\n"})
	p.wait(`document.querySelector('#floor .plan-key li')`)
	p.show("floor")
	for at, want := range map[string]string{"x: 1.5, y: 1.5": ": not poured", "x: 5, y: 1.5": ": outside the floor", "x: 0.5, y: 1.5": ""} {
		ask[bool](p, `(document.querySelector('#floor .plan').plan.pick({ `+at+` }), true)`)
		if got := p.text("#floor .plan-reading"); !strings.HasSuffix(got, want) || strings.Contains(got, "not filled") || (want == "") != strings.HasPrefix(got, "depth ") {
			t.Errorf("at %s the page reads %q", at, got)
		}
	}
	p.clean()
}
