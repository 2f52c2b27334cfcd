package web

import (
	"encoding/json"
	"strings"
	"testing"
	"testing/fstest"

	"pourplane/surface/job"
)

// press taps keys of the field book by their names, one after the other.
func (p *tab) press(keys ...string) {
	p.Helper()
	for _, key := range keys {
		quoted, _ := json.Marshal(key)
		p.wait(`(() => {
			const e = [...document.querySelectorAll('#book [data-key]')].find(e => e.dataset.key === ` + string(quoted) + ` && e.checkVisibility() && !e.disabled);
			e?.click();
			return Boolean(e);
		})()`)
	}
}

// keys taps a length digit by digit, and the names of keys after it: 4' 5 3/16 done.
func (p *tab) keys(text string) {
	p.Helper()
	for part := range strings.FieldsSeq(strings.NewReplacer("'", " ft ", `"`, " in ").Replace(text)) {
		if strings.Contains(part, "/") || strings.Trim(part, "0123456789.") != "" {
			p.press(part)
			continue
		}
		for _, digit := range part {
			p.press(string(digit))
		}
	}
}

// begin begins a floor in the field book.
func (p *tab) begin(name, units string) {
	p.Helper()
	ask[bool](p, `(location.hash = '#book', true)`)
	p.enter("Name of the floor", name)
	ask[bool](p, `(location.hash = '#floors', true)`)
	p.wait(`document.getElementById('book').hidden`)
	ask[bool](p, `(location.hash = '#book', true)`)
	p.press(units) // the name is still there
}

// shoot reads every place that is proposed, by the words that name it, until none is left or
// at stops it.
func (p *tab) shoot(rods map[string]string, stop func(where string) bool) {
	p.Helper()
	for {
		where := p.text("#book .where")
		if where == "" || stop != nil && stop(where) {
			return
		}
		rod, ok := rods[where]
		if !ok {
			p.Fatalf("the book asks for %q, which is not on the paper", where)
		}
		p.keys(rod)
	}
}

// largeKeys checks that a gloved finger finds each key, in sight and under nothing.
func (p *tab) largeKeys() {
	p.Helper()
	for _, small := range ask[[]string](p, `[...document.querySelectorAll('#book .key')].filter(e => {
		const r = e.getBoundingClientRect();
		const top = document.elementFromPoint(r.x + r.width / 2, r.y + r.height - 4);
		return r.width < 55.9 || r.height < 55.9 || r.bottom > innerHeight || top !== e;
	}).map(e => e.textContent)`) {
		p.Errorf("the key %q is small or hidden", small)
	}
}

// tapIn taps the first element of the book that a selector finds.
func (p *tab) tapIn(selector string) {
	p.Helper()
	quoted, _ := json.Marshal("#book " + selector)
	p.wait(`(e => (e?.click(), e !== null))(document.querySelector(` + string(quoted) + `))`)
}

const bookTitle = "Back room"

// solved is what the engine makes of files, apart from any page.
func solved(t *testing.T, elevation string, files map[string]string) *job.Result {
	t.Helper()
	j, err := job.Parse([]byte("title = \""+bookTitle+"\"\ndate = 2026-11-25\n[survey]\nfiles = [\"survey.csv\"]\noutline = \"outline.csv\"\n[target]\nelevation = \""+elevation+"\"\n"), "job.toml")
	if err != nil {
		t.Fatal(err)
	}
	in := fstest.MapFS{}
	for name, text := range files {
		in[name] = &fstest.MapFile{Data: []byte(text)}
	}
	r, err := job.Solve(t.Context(), j, in, nil)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// agrees checks that the page, the files of the book and the crew's paper have one answer.
func (p *tab) agrees(elevation, survey, outline string) {
	p.Helper()
	quoted, _ := json.Marshal(elevation)
	if why := ask[string](p, `import('./job.js').then(m => m.edit([['target.elevation', [`+string(quoted)+`]]])).then(w => w ? w[0].text : '')`); why != "" {
		p.Fatal(why)
	}
	p.idle()
	if n := ask[int](p, `import('./state.js').then(m => m.state.refused.length)`); n > 0 {
		p.Fatal(ask[string](p, `import('./state.js').then(m => m.state.refused.map(r => r.text).join('\n'))`))
	}
	shown := ask[struct {
		Title string  `json:"title"`
		Fill  float64 `json:"fill_m3"`
		Area  float64 `json:"area_m2"`
	}](p, `import('./state.js').then(({ state: s }) => ({ title: s.answer.title, fill_m3: s.answer.fill_m3, area_m2: s.answer.area_m2 }))`)
	book := ask[map[string]string](p, `Promise.all([import('./book.js'), import('./state.js')]).then(([b, s]) => Object.fromEntries(b.files(s.state.book)))`)
	for what, files := range map[string]map[string]string{"files of the book": book, "paper": {"survey.csv": survey, "outline.csv": outline}} {
		r := solved(p.T, elevation, files)
		if r.Fill.Fill != shown.Fill || r.Fill.Area != shown.Area || shown.Title != bookTitle || !(r.Fill.Fill > 0) {
			p.Errorf("%s: %v m³ over %v m², the page has %+v; the book is\n%s%s", what, r.Fill.Fill, r.Fill.Area, shown, book["survey.csv"], book["outline.csv"])
		}
	}
}

// The paper of a crew in feet and inches: an L-shaped room, a place behind a boiler that the
// rod does not reach, one foot misread at shot 5 and read again, a turning point, two set-ups.
const (
	feetSurvey = `setup,sight,point,x (ft-in),y (ft-in),rod (ft-in),elevation (ft),code
S1,BS,BM1,,,4-2 5/8,100,BM
S1,IS,1,0-4,0-4,4-4 15/16,,FLR
S1,IS,2,4-0,0-4,4-5 3/16,,FLR
S1,IS,4,11-11,0-4,4-5 13/16,,FLR
S1,IS,5,11-11,4-8,4-5 3/8,,FLR
S1,IS,6,8-0,4-8,4-5 1/4,,FLR
S1,IS,7,4-0,4-8,4-5,,FLR
S1,IS,8,0-4,4-8,4-4 7/8,,FLR
S1,IS,D1,6-0,-1-0,4-2 1/2,,ADJ
S1,FS,TP1,,,4-1 1/4,,TP
S2,BS,TP1,,,4-3 1/4,,TP
S2,IS,9,7-7,7-8,4-7,,FLR
S2,IS,10,11-11,7-8,4-7 1/4,,FLR
S2,IS,11,6-0,2-0,4-7 3/16,,FLR
S2,IS,12,10-3,1-6,4-7 5/16,,FLR
S2,IS,13,2-0,2-6,4-7 1/16,,FLR
S2,FS,BM1,,,4-4 5/8,,BM
`
	feetOutline = `part,ring,x (ft-in),y (ft-in),wall
room,outer,0-0,0-0,wall 1
room,outer,12-3,0-0,wall 2
room,outer,12-3,8-0,wall 3
room,outer,7-3,8-0,wall 4
room,outer,7-3,5-0,wall 5
room,outer,0-0,5-0,wall 6
`
)

var feetRods = map[string]string{
	`4" from wall 1, 4" from wall 6`:       `4' 4 15/16 done`,
	`4" from wall 1, 4'-0" from wall 6`:    `4' 5 3/16 done`,
	`4" from wall 1, 4'-3" from wall 2`:    `skip`,
	`4" from wall 1, 4" from wall 2`:       `4' 5 13/16 done`,
	`4" from wall 2, 3'-4" from wall 3`:    `5' 5 3/8 done`, // misread by a foot
	`3'-4" from wall 3, 4'-3" from wall 2`: `4' 5 1/4 done`,
	`4" from wall 5, 4'-0" from wall 6`:    `4' 5 done`, // 4'-5", with nothing after the 5
	`4" from wall 5, 4" from wall 6`:       `4' 4 7/8 done`,
	`4" from wall 3, 4" from wall 4`:       `4' 7 done`,
	`4" from wall 2, 4" from wall 3`:       `4' 7 1/4 done`,
}

// A floor is typed in feet and inches, with one misread foot, two set-ups and a reload in the
// middle of a reading.
func TestBookInFeet(t *testing.T) {
	t.Parallel()
	p := opened(t, 360, 740)
	p.begin(bookTitle, "feet")
	p.keys(`12' 3 left 8' left 5' left 3' right 7' 2 1/2 left`)
	p.keys("5' left")
	// 7'-2 1/2" in place of 7'-3" does not close, and says by how much.
	if text := p.text("#book"); !strings.Contains(text, `1/2" too far along wall 1`) || !strings.Contains(text, `wall 5: 7'-3", not 7'-2 1/2"`) {
		t.Errorf("the walls are taken as\n%s", text)
	}
	p.picture("book-closing")
	p.press("closer 5", "use")
	p.picture("book-room")
	p.press("shots", "assume")
	p.keys(`4' 2 5/8`)
	p.largeKeys()
	p.picture("book-benchmark")
	p.press("done")
	last := `4" from wall 5, 4" from wall 6`
	p.shoot(feetRods, func(where string) bool { return where == `4" from wall 5, 4'-0" from wall 6` })
	// The misread foot is questioned at once, and nothing is changed.
	p.wait(`document.querySelector('#book .doubtful[data-shot="5"]')`)
	p.largeKeys()
	p.picture("book-question")
	p.keys("4' 1")
	p.load() // in the middle of a reading
	ask[bool](p, `(location.hash = '#book', true)`)
	p.wait(`document.querySelector('#book [data-field=rod]')?.value === "4' 1"`)
	p.press("back")
	p.keys(`5 done`)
	p.shoot(feetRods, func(where string) bool { return where != last })
	p.press("door")
	p.keys(`6' done`)
	p.largeKeys()
	p.picture("book-door")
	p.keys(`4' 2 1/2 done`)
	p.press("move", "on turn")
	p.keys(`4' 1 1/4 done`)
	p.picture("book-move")
	p.press("moved")
	p.keys(`4' 3 1/4 done`)
	p.shoot(feetRods, nil)
	for _, extra := range []string{"2' done 6' 3", "1' 6 done 2'", "2' 6 done 10' 3"} {
		p.press("extra")
		p.keys(extra)
		p.press("done")
		p.keys(map[string]string{"2' done 6' 3": "4' 7 3/16 done", "1' 6 done 2'": "4' 7 5/16 done", "2' 6 done 10' 3": "4' 7 1/16 done"}[extra])
	}
	// With 12 shots the engine says what the reading of shot 5 looks like.
	p.wait(`document.querySelector('#book .doubtful[data-shot="5"]')?.textContent.includes('one foot out')`)
	p.idle()
	p.largeKeys()
	p.picture("book-suspect")
	p.press("again")
	p.keys(`4' 5 3/8 done`)
	p.wait(`!document.querySelector('#book .doubtful')`)
	p.press("finish")
	ask[bool](p, `(() => { globalThis.given = []; const make = URL.createObjectURL; URL.createObjectURL = b => { given.push(b); return make.call(URL, b); }; return true; })()`)
	p.wait(`document.querySelector('#book').innerText.includes('Read the benchmark again')`)
	p.press("close")
	p.keys(`4' 4 5/8 done`)
	p.press("finish")
	p.idle()
	p.wait(`document.querySelector('#book').innerText.includes('closes')`)
	p.picture("book-end")
	p.agrees("100ft", feetSurvey, feetOutline)
	// What is handed out is what the engine has.
	p.press("survey.csv", "outline.csv")
	if got := ask[bool](p, `Promise.all([import('./state.js'), ...globalThis.given.map(b => b.text())]).then(([{ state }, ...texts]) => {
		const of = name => new TextDecoder().decode(state.files.find(f => f.name === name).bytes);
		return texts.length === 2 && texts[0] === of('survey.csv') && texts[1] === of('outline.csv');
	})`); !got {
		t.Error("the files that are handed out are not those of the floor")
	}
	p.clean()
}

// The paper of a crew in metres and millimetres: a room with a column, a closer grid after the
// first row, one shot corrected, one confirmed, one taken back.
const (
	metricSurvey = `setup,sight,point,x (m),y (m),rod (m),elevation (m),code
S1,BS,BM,,,1.25,12.34,BM
S1,IS,1,0.1,0.1,1.312,,FLR
S1,IS,2,1.2,0.1,1.318,,FLR
S1,IS,3,2.4,0.1,1.3095,,FLR
S1,IS,4,3.5,0.1,1.324,,FLR
S1,IS,5,0.9,0.1,1.317,,FLR
S1,IS,6,1.8,0.1,1.311,,FLR
S1,IS,7,2.7,0.1,1.316,,FLR
S1,IS,8,3.5,0.9,1.325,,FLR
S1,IS,9,2.7,0.9,1.271,,FLR
S1,IS,10,1.8,0.9,1.322,,FLR
S1,IS,11,0.9,0.9,1.313,,FLR
S1,IS,12,0.1,0.9,1.316,,FLR
S1,IS,13,0.1,1.7,1.317,,FLR
S1,IS,14,0.9,1.7,1.318,,FLR
S1,IS,15,1.8,1.7,1.319,,FLR
S1,IS,16,2.7,1.7,1.32,,FLR
S1,IS,17,3.5,1.7,1.321,,FLR
S1,FS,BM,,,1.251,,BM
`
	metricOutline = `part,ring,x (m),y (m),wall
room,outer,0,0,street
room,outer,3.6,0,wall 2
room,outer,3.6,1.8,wall 3
room,outer,0,1.8,wall 4
column,hole,0.5,1.4,
column,hole,0.8,1.4,
column,hole,0.8,1.6,
column,hole,0.5,1.6,
`
)

var metricRods = map[string]string{
	"0.100 m from street, 0.100 m from wall 4": "1.312 done",
	"0.100 m from street, 1.200 m from wall 4": "1318 done",
	"0.100 m from street, 1.200 m from wall 2": "1.3095 done",
	"0.100 m from street, 0.100 m from wall 2": "1.342 done", // two digits exchanged
	"0.100 m from street, 0.900 m from wall 4": "1.317 done",
	"0.100 m from street, 1.800 m from wall 2": "1.311 done",
	"0.100 m from street, 0.900 m from wall 2": "1.316 done",
	"0.100 m from wall 2, 0.900 m from street": "1.325 done",
	"0.900 m from street, 0.900 m from wall 2": "1.271 done", // a hump
	"0.900 m from street, 1.800 m from wall 2": "1.322 done",
	"0.900 m from street, 0.900 m from wall 4": "1.313 done",
	"0.100 m from wall 4, 0.900 m from street": "1.316 done",
	"0.100 m from wall 3, 0.100 m from wall 4": "1.317 done",
	"0.100 m from wall 3, 0.900 m from wall 4": "1.318 done",
	"0.100 m from wall 3, 1.800 m from wall 2": "1.319 done",
	"0.100 m from wall 3, 0.900 m from wall 2": "1.320 done",
	"0.100 m from wall 2, 0.100 m from wall 3": "1.321 done",
}

// A floor is typed in metres on the smallest phone.
func TestBookInMetres(t *testing.T) {
	t.Parallel()
	p := opened(t, 320, 740)
	p.begin(bookTitle, "metric")
	p.keys("3.6 left")
	p.keys("1800 left")
	p.press("rectangle")
	ask[bool](p, `(document.querySelector('#wall-name-0').closest('details').open = true)`)
	p.enter("Wall 1", "street")
	p.picture("book-names")
	p.press("column")
	ask[bool](p, `(() => { const s = [...document.querySelectorAll('#book select')]; s[1].value = '3'; s[1].dispatchEvent(new Event('change')); return true; })()`)
	p.keys("1400 done 500 done 200 done")
	p.largeKeys()
	p.picture("book-column")
	p.keys("300 done")
	p.press("shots")
	p.enter("Benchmark", "BM")
	ask[bool](p, `(document.querySelector("#book [data-field=elev]").focus(), true)`)
	p.keys("12.34 done 1.25")
	p.largeKeys()
	p.press("done")
	p.shoot(metricRods, func(string) bool { return strings.Contains(p.text("#book .list:last-child"), "1.342") })
	p.tapIn("[data-entry='4'] button")
	p.keys("1.324 done")
	p.press("spacing")
	p.keys("0.9 done done")
	p.shoot(metricRods, func(string) bool { return p.text("#book .doubtful[data-shot]") != "" })
	p.idle()
	if text := p.text("#book .doubtful[data-shot='9']"); !strings.Contains(text, "the plane of the other 8 shots") {
		t.Errorf("the hump is questioned as %q", text)
	}
	p.picture("book-metric")
	p.press("sure")
	p.keys("1.999 done")
	p.press("undo", "back", "back", "back", "back", "back")
	p.shoot(metricRods, nil)
	p.press("mark")
	p.keys("1251 done")
	p.press("finish")
	p.idle()
	p.agrees("12.34m", metricSurvey, metricOutline)
	// A file of the user's own under the name of the book's is not replaced.
	ask[bool](p, `import('./state.js').then(m => (m.change({ files: m.state.files.map(f => f.name === 'survey.csv' ? { ...f, id: 'own', bytes: new TextEncoder().encode('mine') } : f) }), true))`)
	p.tapIn(".bookbar button:nth-child(2)")
	p.tapIn("[data-entry='4'] button")
	p.keys("1.325 done")
	p.wait(`document.getElementById('notice').textContent.includes('survey.csv')`)
	if got := ask[string](p, `import('./state.js').then(m => new TextDecoder().decode(m.state.files.find(f => f.name === 'survey.csv').bytes))`); got != "mine" {
		t.Errorf("the user's file is now %q", got)
	}
	p.picture("book-list")
	p.clean()
}

// Ways that crews take now and then: a slanted wall, a wall measured again, a laser that was
// moved without a word, a grid that is too wide for its distance from the walls.
func TestBookOtherWays(t *testing.T) {
	t.Parallel()
	p := opened(t, 360, 740)
	fine := func(name string) {
		t.Helper()
		for _, dark := range []bool{true, false} {
			p.dark(dark)
			p.picture("book-" + name + map[bool]string{true: "-dark"}[dark])
			for _, f := range ask[[]string](p, faults) {
				t.Errorf("%s, dark %v: %s", name, dark, f)
			}
		}
		p.clean()
	}
	p.begin(bookTitle, "feet")
	fine("wall")
	p.keys("12' left 8' left")
	p.press("corner")
	p.keys("4' done 10' done")
	if text := p.text("#book .why"); text != "Choose where the wall after it runs." {
		t.Errorf("without a direction: %q", text)
	}
	p.enter("The wall after it runs", "-1,0")
	fine("corner")
	p.press("done")
	p.keys("4' left 14' left")
	if text := p.text("#book .why"); text != "Wall 5 would cross or touch wall 1. Check its length and the turns before it." {
		t.Errorf("a wall that crosses another: %q", text)
	}
	p.press("back", "back", "back")
	p.keys("10' 1 left")
	if text := p.text("#book"); !strings.Contains(text, `1" to the right of wall 1`) {
		t.Errorf("1 in too long is reported as\n%s", text)
	}
	p.tapIn(`[aria-label="Change the length of wall 5"]`)
	fine("change")
	p.keys("10' done")
	p.press("use")
	fine("room")
	p.press("shots", "assume")
	p.keys("4' done")
	fine("first-shot")
	p.keys("5' 6 done 5' 6 done 5' 6 1/4 done")
	p.press("move")
	fine("move")
	p.press("moved")
	p.keys("4' 1 done 5' 7 done")
	p.press("spacing")
	p.keys("6' done 2' 6 done")
	if text := p.text("#book .why"); !strings.Contains(text, "a third of the spacing") {
		t.Errorf("places far off the walls: %q", text)
	}
	p.press("cancel", "mark")
	p.keys("4' 1 3/4 done")
	p.idle()
	ask[bool](p, `(document.querySelector('#book .list').scrollIntoView(), true)`)
	fine("entries")
	p.tapIn(".bookbar button:nth-child(3)")
	// The engine says by how much the book does not close, and that it is too much.
	if text := p.text("#book"); !strings.Contains(text, "3/4") || strings.Contains(text, "Read the benchmark again") {
		t.Errorf("the end is\n%s", text)
	}
	fine("closes")
	want := "part,ring,x (ft-in),y (ft-in),wall\nroom,outer,0-0,0-0,wall 1\nroom,outer,12-0,0-0,wall 2\nroom,outer,12-0,8-0,wall 3\nroom,outer,4-0,10-0,wall 4\nroom,outer,0-0,10-0,wall 5\n"
	if got := ask[string](p, `Promise.all([import('./book.js'), import('./state.js')]).then(([b, s]) => b.files(s.state.book)[1][1])`); got != want {
		t.Errorf("walls\n%s", got)
	}
}

// After a while the benchmark is asked for again, until it is read.
func TestBookRemindsOfTheBenchmark(t *testing.T) {
	t.Parallel()
	p := opened(t, 360, 740)
	p.begin(bookTitle, "metric")
	p.keys("9.5 left 7.5 left rectangle shots assume 1.4 done")
	for n := range 21 {
		if text, due := p.text("#book"), n >= 20; strings.Contains(text, "readings since the benchmark") != due {
			t.Fatalf("after %d readings\n%s", n, text)
		}
		p.keys("1.5 done")
	}
	p.press("mark")
	p.keys("1.4 done")
	if text := p.text("#book"); strings.Contains(text, "readings since the benchmark") {
		t.Error(text)
	}
}

// On the smallest phone the keys are in sight with the field that they fill; on a phone on its
// side nothing covers the field.
func TestBookOnSmallScreens(t *testing.T) {
	t.Parallel()
	for _, s := range []screen{{"small", 320, 568}, {"side", 740, 360}} {
		p := opened(t, s.width, s.height)
		p.begin(bookTitle, "feet")
		p.keys("12' 6 left 9' left rectangle shots assume 4' done 5' 1 done")
		if s.name == "small" {
			p.largeKeys()
		}
		ask[bool](p, `(document.querySelector('#book [data-field=rod]').scrollIntoView({ block: 'center' }), true)`)
		p.picture("book-" + s.name)
		if covered := ask[bool](p, `(e => { const r = e.getBoundingClientRect(); return document.elementFromPoint(r.x + r.width / 2, r.y + r.height / 2) !== e; })(document.querySelector('#book [data-field=rod]'))`); covered {
			t.Errorf("%s: the field is covered", s.name)
		}
		p.clean()
	}
}
