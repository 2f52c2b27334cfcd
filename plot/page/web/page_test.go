package web

import (
	"archive/zip"
	"bytes"
	"encoding/base64"
	"encoding/json"
	"fmt"
	"io"
	"io/fs"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"pourplane/plot/report"
	"pourplane/surface"
	"pourplane/surface/job"
	"pourplane/survey/unit"
	"pourplane/testdata/demo"
)

func demoFile(t *testing.T, name string) string {
	t.Helper()
	b, err := fs.ReadFile(demo.Files, name)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// workedOut is a job solved without the page.
func workedOut(t *testing.T, text string) (*job.Result, unit.Style) {
	t.Helper()
	j, err := job.Parse([]byte(text), "job.toml")
	if err != nil {
		t.Fatal(err)
	}
	r, err := job.Solve(t.Context(), j, demo.Files, nil)
	if err != nil {
		t.Fatal(err)
	}
	return r, report.StyleOf(r)
}

// each opens the page on a phone and on a desk.
func each(t *testing.T, f func(p *tab, screen string)) {
	t.Parallel()
	for _, s := range screens {
		t.Run(s.name, func(t *testing.T) {
			p := opened(t, s.width, s.height)
			f(p, s.name)
			p.clean()
		})
	}
}

// openDemo opens the demo floor at a tab.
func (p *tab) openDemo(at string) {
	p.Helper()
	p.tap("Open the demo floor")
	p.wait(`document.querySelectorAll('#shots .card').length === 3`)
	p.idle()
	p.turn(at)
}

// turn turns to a tab.
func (p *tab) turn(name string) {
	p.Helper()
	ask[bool](p, `(location.hash = '#`+name+`', true)`)
	p.wait(`document.body.dataset.tab === '` + name + `'`)
	p.idle()
}

// fact is the text of a line of the answer.
func (p *tab) fact(head string) string {
	p.Helper()
	h, _ := json.Marshal(head)
	return ask[string](p, `[...document.querySelectorAll('#target dt')].find(t => t.textContent === `+string(h)+`)?.nextElementSibling.textContent ?? ''`)
}

// The demo opens by one tap, and gives the volume that the command gives.
func TestDemoByOneTap(t *testing.T) {
	each(t, func(p *tab, screen string) {
		p.picture("empty-" + screen)
		p.openDemo("shots")
		p.picture("shots-" + screen)
		if text := p.text("#shots"); !strings.Contains(text, "88 floor shots") || strings.Contains(text, "job.toml") || ask[int](p, `document.querySelectorAll('.refusal').length`) > 0 {
			p.Errorf("the files are shown as\n%s", text)
		}
		roles := ask[[]string](p, `[...document.querySelectorAll('#shots .card select')].map(s => s.selectedOptions[0].textContent)`)
		if !slices.Equal(roles, []string{"Floor before the pour", "Walls", "Floor after the pour"}) {
			p.Errorf("the files are used as %q", roles)
		}
		for _, tab := range []string{"floor", "target", "papers", "settings", "floors", "more", "after"} {
			p.turn(tab)
			p.picture(tab + "-" + screen)
			p.dark(true)
			p.picture(tab + "-dark-" + screen)
			p.dark(false)
			p.clean()
		}
		p.turn("target")
		r, style := workedOut(p.T, demoFile(p.T, "job.toml"))
		if text := p.fact("Fill"); !strings.HasPrefix(text, style.Volume(r.Fill.Fill)+", 90 % sure between ") {
			p.Errorf("the fill is %q, want %s", text, style.Volume(r.Fill.Fill))
		}
		// The same figure in metres, without another solution.
		p.tap("mm")
		p.wait(`[...document.querySelectorAll('#target dt')].find(t => t.textContent === 'Fill').nextElementSibling.textContent.includes('m³')`)
		p.idle()
		if text := p.fact("Fill"); !strings.HasPrefix(text, (unit.Style{}).Volume(r.Fill.Fill)+", 90 % sure between ") {
			p.Errorf("the fill is %q, want %s", text, unit.Style{}.Volume(r.Fill.Fill))
		}
		p.picture("metric-" + screen)
	})
}

// No tab scrolls to the side, whatever the width of the window.
func TestEveryWidth(t *testing.T) {
	t.Parallel()
	p := opened(t, 1280, 900)
	p.openDemo("shots")
	for _, width := range []int64{320, 400, 520, 521, 768, 999, 1000, 1100, 1600} {
		p.do(chromedp.EmulateViewport(width, 700))
		for _, tab := range ask[[]string](p, `[...document.querySelectorAll('#steps a')].map(a => a.hash.slice(1))`) {
			p.turn(tab)
			p.clean()
			if width == 768 && tab == "target" || width == 1000 && tab == "papers" {
				p.picture("wide-" + tab)
			}
		}
		if p.Failed() {
			t.Fatalf("at %d pixels", width)
		}
	}
}

// A survey that does not say its unit is refused with the choice of units. One tap settles
// it; then the target is asked for.
func TestUnitIsAskedFor(t *testing.T) {
	each(t, func(p *tab, screen string) {
		p.give(map[string]string{"floor.csv": "point,x,y,z\n1,0,0,9.99\n2,4,0,9.98\n3,4,3,9.97\n4,0,3,9.96\n5,2,1,9.95\n"})
		p.wait(`document.querySelector('#shots .refusal select')`)
		p.picture("unit-" + screen)
		if text := p.text("#shots .refusal"); !strings.Contains(text, "floor.csv") || !strings.Contains(text, "units") {
			p.Errorf("refused with\n%s", text)
		}
		p.tap("Set units") // nothing is chosen yet
		p.wait(`document.querySelector('#shots .refusal').textContent.includes('Nothing is entered yet')`)
		p.enter("Units", "m")
		p.tap("Set units")
		p.wait(`!document.querySelector('#shots .refusal')`)
		p.idle()
		if text := p.text("#shots .card"); !strings.Contains(text, "5 floor shots") {
			p.Errorf("the file is shown as\n%s", text)
		}
		p.turn("target")
		p.picture("asks-" + screen)
		p.enter("Top of fill", "10m")
		p.tap("Work it out")
		p.wait(`document.querySelector('#target .order')`)
		p.idle()
		// By hand: the five depths are 10, 20, 30, 40 and 50 mm; the four triangles around shot 5
		// (2, 1) have 2, 3, 4 and 3 m² in the order of the walls.
		want := 2*(0.01+0.02+0.05)/3 + 3*(0.02+0.03+0.05)/3 + 4*(0.03+0.04+0.05)/3 + 3*(0.04+0.01+0.05)/3
		if text := p.fact("Fill"); !strings.HasPrefix(text, unit.Style{}.Volume(want)+", 90 % sure between ") || !strings.Contains(text, "over 12.00 m²") {
			p.Errorf("the fill is %q, want %s", text, unit.Style{}.Volume(want))
		}
		// A wrong height is refused beside the form, and the answer stays.
		p.enter("Top of fill", "ten")
		p.tap("Work it out")
		p.wait(`document.querySelector('#target .refusal')`)
		p.picture("wrong-" + screen)
	})
}

// A slip in a row is corrected on the device, and nothing else of the file changes.
func TestARowIsCorrected(t *testing.T) {
	t.Parallel()
	p := opened(t, 360, 740)
	p.give(map[string]string{"floor.csv": "point,x (m),y (m),z (m)\r\n1,0,0,9.99\r\n2,4,0,9.9b\r\n3,4,3,9.98\r\n"})
	p.tap("Correct this row")
	p.enter("Line 3 of floor.csv", "2,4,0,9.96")
	p.picture("row")
	p.tap("Use the corrected row")
	p.wait(`document.querySelector('#shots .card').textContent.includes('3 floor shots')`)
	p.idle()
	p.load()
	p.idle()
	p.wait(`document.querySelector('#shots .card').textContent.includes('Corrected on this device: line 3')`)
	if text := ask[string](p, `import('./state.js').then(m => new TextDecoder().decode(m.state.files[0].bytes))`); text != "point,x (m),y (m),z (m)\r\n1,0,0,9.99\r\n2,4,0,9.96\r\n3,4,3,9.98\r\n" {
		t.Errorf("the file is %q", text)
	}
	// A usual value is one tap.
	p.turn("floors")
	p.tap("New floor")
	p.give(map[string]string{"bare.csv": "1,5000.1,2000.2,100.01,FL\n2,5004.1,2000.2,100.02,FL\n3,5004.1,2005.2,100.03,FL\n"})
	p.tap("PENZD")
	p.picture("order")
	p.tap("Set order")
	p.wait(`document.querySelector('#shots .refusal')?.textContent.includes('want a unit')`)
	p.clean()
}

// A misread shot is left out with a reason, and used again.
func TestAShotIsLeftOut(t *testing.T) {
	t.Parallel()
	p := opened(t, 360, 740)
	p.openDemo("target")
	before := p.fact("Floor")
	p.turn("shots")
	p.tap("Leave shots out")
	p.enter("Shot", "205")
	p.tap("Leave it out")
	p.wait(`document.querySelector('#shots .why')?.textContent.includes('Why is it left out')`)
	p.enter("Reason", "rod on rubble")
	p.tap("Leave it out")
	p.wait(`document.querySelector('#shots .left li')?.textContent.includes('205: rod on rubble')`)
	p.idle()
	p.picture("left-out")
	text := strings.Replace(demoFile(t, "job.toml"), "benchmarks =", "leave-out = { \"205\" = \"rod on rubble\" }\nbenchmarks =", 1)
	r, style := workedOut(t, text)
	p.turn("target")
	if fill := p.fact("Fill"); !strings.HasPrefix(fill, style.Volume(r.Fill.Fill)+", 90 % sure between ") || !strings.Contains(p.fact("Floor"), "87 shots used") {
		t.Errorf("without 205 the fill is %q, want %s; floor %q", fill, style.Volume(r.Fill.Fill), p.fact("Floor"))
	}
	p.turn("shots")
	p.tap("Use it again")
	p.wait(`!document.querySelector('#shots .left li')`)
	p.idle()
	p.turn("target")
	if floor := p.fact("Floor"); floor != before {
		t.Errorf("with it again the floor is %q, before %q", floor, before)
	}
	p.clean()
}

// Of two settings at once none is lost, and none goes into a floor that is opened meanwhile.
func TestTwoSettingsAtOnce(t *testing.T) {
	t.Parallel()
	p := opened(t, 1280, 900)
	p.openDemo("settings")
	refused := ask[[]*struct{}](p, `import('./job.js').then(m => Promise.all([m.edit([['title', ['One']]]), m.edit([['mix.allowance-percent', ['7']]]), m.attempt([['target.covering', ['1/2in']]])]))`)
	if text := p.job(); !slices.Equal(refused, []*struct{}{nil, nil, nil}) || !strings.Contains(text, `title = "One"`) || !strings.Contains(text, "allowance-percent = 7") || !strings.Contains(text, `covering = "1/2in"`) {
		t.Errorf("%v: the job is\n%s", refused, text)
	}
	ask[bool](p, `Promise.all([import('./job.js'), import('./floors.js')]).then(([m, f]) => {
		globalThis.late = m.edit([['title', ['Late']]]);
		m.refresh();
		f.fresh();
		return late.then(() => m.refresh()).then(() => true);
	})`)
	p.idle()
	if text := p.job(); text != "" || p.text("#shots .card") != "" || ask[bool](p, `import('./state.js').then(m => m.state.answer !== null)`) {
		t.Errorf("the new floor has the job\n%s", text)
	}
	// Files are sent once, however many keys are set.
	if n := ask[int](p, `import('./store.js').then(m => m.list()).then(async all => {
		const { openFloor } = await import('./floors.js'), { edit } = await import('./job.js'), store = await import('./store.js');
		await openFloor(await store.load(all[0].id));
		let sent = 0;
		const before = fetch;
		globalThis.fetch = (at, what) => { sent = Math.max(sent, what.body.length); return before(at, what); };
		await edit([['title', ['Two']]]);
		await edit([['mix.allowance-percent', ['8']]]);
		return sent;
	})`); n > 6000 {
		t.Errorf("a request of %d bytes: its files were sent again", n)
	}
	p.clean()
}

// The slider tries heights without keeping them. What is kept is what was shown.
func TestAnotherHeight(t *testing.T) {
	each(t, func(p *tab, screen string) {
		p.openDemo("target")
		before := p.fact("Fill")
		step := func(text string) {
			p.wait(`(document.querySelector('#target button[aria-label^="` + text + `"]').click(), true)`)
		}
		for range 3 {
			step("higher")
		}
		p.wait(`document.querySelector('#target .mark')?.textContent.includes('+3/16"')`)
		if text := p.text("#target .mark"); !strings.Contains(text, "not yet kept") {
			p.Errorf("marked as %q", text)
		}
		p.picture("tried-" + screen)
		tried := p.fact("Fill")
		r, style := workedOut(p.T, demoFile(p.T, "job.toml"))
		want := style.Volume(r.Fill.Fill + 3*0.0254/16*r.Fill.FillArea)
		if !strings.HasPrefix(tried, want+" over ") {
			p.Errorf("3/16 in higher the fill is %q, want %s", tried, want)
		}
		p.tap("Back to the target")
		p.wait(`!document.querySelector('#target .mark')`)
		if text := p.fact("Fill"); text != before {
			p.Errorf("back at the target the fill is %q, before %q", text, before)
		}
		for range 3 {
			step("higher")
		}
		p.wait(`document.querySelector('#target .mark')?.textContent.includes('+3/16"')`)
		p.tap("Keep this height")
		p.wait(`!document.querySelector('#target .mark')`)
		p.idle()
		if text := p.fact("Fill"); !strings.HasPrefix(text, want+", 90 % sure") || !strings.Contains(text, strings.TrimPrefix(tried, want)) {
			p.Errorf("kept, the fill is %q, shown before %q", text, tried)
		}
		kept, err := job.Parse([]byte(p.job()), "job.toml")
		if err != nil {
			p.Fatal(err)
		}
		if z, err := unit.Parse(kept.Target.Elevation, unit.None); err != nil || math.Abs(z-(r.Fill.Target.(surface.Plane).Z+3*0.0254/16)) > 1e-9 {
			p.Errorf("the job has %q: %v, %v", kept.Target.Elevation, z, err)
		}
	})
}

// job is the text of the job on the page.
func (p *tab) job() string {
	p.Helper()
	return ask[string](p, `import('./state.js').then(m => m.state.job)`)
}

// A target that comes from finished floors is replaced only when that is agreed to.
func TestKeepingReplacesFinishedFloors(t *testing.T) {
	t.Parallel()
	p := opened(t, 360, 740)
	text := strings.Replace(demoFile(t, "job.toml"), "elevation = \"99.930ft\"\n", "finish-codes = [\"ADJ\"]\nbuildup = \"9/16in\"\n", 1)
	p.give(map[string]string{"job.toml": text, "survey.csv": demoFile(t, "survey.csv"), "outline.csv": demoFile(t, "outline.csv"), "check.csv": demoFile(t, "check.csv")})
	p.turn("target")
	p.wait(`(document.querySelector('#target button[aria-label^=lower]').click(), true)`)
	p.wait(`document.querySelector('#target .mark')`)
	tried := p.fact("Fill")
	p.tap("Keep this height")
	p.wait(`document.querySelector('dialog[open]')`)
	p.picture("replace")
	if question := p.text("dialog"); !strings.Contains(question, "codes ADJ") || !strings.Contains(question, "build-up 9/16in") {
		t.Errorf("asks %q", question)
	}
	p.tap("Leave as it is")
	if p.job() != text {
		t.Errorf("the job is\n%s", p.job())
	}
	p.tap("Keep this height")
	p.tap("Replace")
	p.wait(`!document.querySelector('#target .mark')`)
	p.idle()
	if now := p.job(); strings.Contains(now, "\nfinish-codes") || strings.Contains(now, "\nbuildup") || !strings.Contains(now, "\nelevation") {
		t.Errorf("the job is\n%s", now)
	}
	if text := p.fact("Fill"); !strings.HasPrefix(text, strings.Split(tried, " over ")[0]+", 90 % sure") {
		t.Errorf("kept, the fill is %q, shown before %q", text, tried)
	}
	// What was replaced is proposed again, after a reload too.
	p.load()
	p.idle()
	p.turn("target")
	p.tap("How the target is given")
	p.tap("Meet adjoining finished floors, by the code of their shots")
	p.wait(`document.querySelector('#target [data-key="target.buildup"]')?.value === '9/16in'`)
	p.clean()
}

// The codes of the survey are buttons; a way to give the target takes the place of another.
func TestFinishedFloorByItsCode(t *testing.T) {
	t.Parallel()
	p := opened(t, 360, 740)
	p.openDemo("target")
	p.tap("How the target is given")
	p.tap("Meet adjoining finished floors, by the code of their shots")
	p.tap("SILL")
	p.tap("ADJ")
	p.tap("SILL")
	p.picture("codes")
	p.tap("Work it out")
	p.wait(`[...document.querySelectorAll('#target .why')].some(e => e.textContent.includes('Covering build-up: nothing is entered yet'))`)
	p.enter("Covering build-up", "9/16in")
	p.tap("Work it out")
	p.wait(`import('./state.js').then(m => m.state.job.includes('\nfinish-codes = ["ADJ"]') && m.state.job.includes('\nbuildup = "9/16in"') && !m.state.job.includes('\nelevation'))`)
	p.idle()
	r, style := workedOut(t, p.job())
	if text := p.fact("Fill"); !strings.HasPrefix(text, style.Volume(r.Fill.Fill)+", 90 % sure between ") {
		t.Errorf("the fill is %q, want %s", text, style.Volume(r.Fill.Fill))
	}
	p.clean()
}

// A plane through finished floors slopes: one height cannot keep it, and nothing is changed.
func TestASlopeIsNotKeptAsAHeight(t *testing.T) {
	t.Parallel()
	p := opened(t, 1280, 900)
	text := strings.Replace(demoFile(t, "job.toml"), "elevation = \"99.930ft\"\n", "finish-codes = [\"ADJ\", \"SILL\"]\nfinish-rule = \"plane\"\nbuildup = \"9/16in\"\n", 1)
	p.give(map[string]string{"job.toml": text, "survey.csv": demoFile(t, "survey.csv"), "outline.csv": demoFile(t, "outline.csv"), "check.csv": demoFile(t, "check.csv")})
	p.turn("target")
	p.wait(`(document.querySelector('#target button[aria-label^=lower]').click(), true)`)
	p.wait(`document.querySelector('#target .mark')`)
	p.tap("Keep this height")
	p.tap("Replace")
	p.wait(`document.querySelector('#target .slider .why')`)
	if why := p.text("#target .slider .why"); !strings.Contains(why, "Not kept") || p.job() != text {
		t.Errorf("%s\n%s", why, p.job())
	}
}

// A reload in the middle of the work loses nothing.
func TestReloadInTheMiddle(t *testing.T) {
	each(t, func(p *tab, screen string) {
		p.give(map[string]string{"floor.csv": "point,x,y,z\n1,0,0,9.99\n2,4,0,9.98\n3,4,3,9.97\n4,0,3,9.96\n"})
		p.wait(`document.querySelector('#shots .refusal select')`)
		p.enter("Units", "m")
		p.tap("Set units")
		p.wait(`import('./state.js').then(m => m.state.job.includes('\nunits = "m"'))`)
		p.load()
		p.wait(`document.querySelector('#shots .card')?.textContent.includes('4 floor shots')`)
		p.turn("target")
		p.enter("Top of fill", "10m")
		p.tap("Work it out")
		p.wait(`import('./state.js').then(m => m.state.job.includes('\nelevation = "10m"'))`)
		p.load()
		p.idle()
		p.turn("target")
		p.wait(`document.querySelector('#target .order')`)
		p.tap("ft in")
		p.idle()
		p.load()
		p.idle()
		p.turn("target")
		p.wait(`document.querySelector('#target .order')`)
		if text := p.fact("Fill"); !strings.Contains(text, "yd³") && !strings.Contains(text, "ft³") {
			p.Errorf("the units shown are lost: %q", text)
		}
		// Another floor beside it; the first is there again.
		p.turn("floors")
		p.tap("New floor")
		p.turn("floors")
		p.wait(`document.querySelectorAll('#floors .card').length === 1`)
		p.picture("floors-two-" + screen)
		p.tap("Open")
		p.wait(`document.querySelector('#shots .card')?.textContent.includes('4 floor shots')`)
		p.idle()
		p.turn("floors")
		p.tap("Delete")
		p.tap("Keep it")
		p.wait(`document.querySelectorAll('#floors .card').length === 1 && document.querySelector('#floors .tag')`)
		p.tap("Delete")
		p.tap("Delete")
		p.wait(`document.querySelector('#floors .card').textContent === 'None yet.'`)
		p.load()
		if n := ask[int](p, `document.querySelectorAll('#shots .card').length`); n != 0 {
			p.Errorf("a deleted floor has %d files", n)
		}
	})
}

// saved catches what the page hands to the browser as a download.
const saved = `(() => {
	globalThis.caught = {};
	const make = URL.createObjectURL;
	URL.createObjectURL = b => { globalThis.lastBlob = b; return make.call(URL, b); };
	HTMLAnchorElement.prototype.click = function () {
		const name = this.download;
		lastBlob.arrayBuffer().then(b => { caught[name] = btoa(Array.from(new Uint8Array(b), c => String.fromCharCode(c)).join('')); });
	};
	return true;
})()`

// download taps a button and returns the file that comes.
func (p *tab) download(button, name string) []byte {
	p.Helper()
	p.tap(button)
	n, _ := json.Marshal(name)
	p.wait(`caught[` + string(n) + `]`)
	b, err := base64.StdEncoding.DecodeString(ask[string](p, `caught[`+string(n)+`]`))
	if err != nil {
		p.Fatal(err)
	}
	return b
}

// The papers are those of the command, one by one and in the archive; the archive opens here
// again with the same answer.
func TestPapersReadBack(t *testing.T) {
	each(t, func(p *tab, screen string) {
		p.openDemo("papers")
		p.wait(`document.querySelector('#papers iframe')?.contentDocument?.querySelector('h1')`)
		if text := ask[string](p, `document.querySelector('#papers iframe').contentDocument.querySelector('h1').textContent`); text != "Bottling hall" {
			p.Errorf("the record is of %q", text)
		}
		p.tap("Make all papers")
		p.wait(`document.querySelector('#papers .downloads')`)
		p.idle()
		p.picture("papers-made-" + screen)
		r, style := workedOut(p.T, demoFile(p.T, "job.toml"))
		h, err := report.NewHandover(r, style)
		if err != nil {
			p.Fatal(err)
		}
		want, err := h.Everything(nil)
		if err != nil {
			p.Fatal(err)
		}
		ask[bool](p, saved)
		all := p.download("Download all in one archive", "Bottling hall.zip")
		z, err := zip.NewReader(bytes.NewReader(all), int64(len(all)))
		if err != nil {
			p.Fatal(err)
		}
		got := map[string]string{}
		for _, f := range z.File {
			in, err := f.Open()
			if err != nil {
				p.Fatal(err)
			}
			b, err := io.ReadAll(in) // checks the checksum
			if err != nil {
				p.Fatal(err)
			}
			got[f.Name] = string(b)
		}
		for _, o := range want {
			if got["papers/"+o.Name] != string(o.Data) {
				p.Errorf("%s in the archive differs from what the command writes", o.Name)
			}
		}
		for _, name := range []string{"job.toml", "survey.csv", "outline.csv", "check.csv"} {
			if got[name] != demoFile(p.T, name) {
				p.Errorf("%s in the archive is\n%.300s", name, got[name])
			}
		}
		if n := len(want) + 4; len(got) != n {
			p.Errorf("the archive has %d files, want %d", len(got), n)
		}
		p.tap(summaryOf(p, "Tables"))
		if b := p.download("pins.csv", "pins.csv"); string(b) != got["papers/pins.csv"] {
			p.Errorf("pins.csv is\n%.200s", b)
		}
		// The archive, on another device.
		p.turn("floors")
		p.tap("New floor")
		p.turn("shots")
		p.give(map[string]string{"back.zip": string(all)})
		p.wait(`document.querySelectorAll('#shots .card').length === 3`)
		if p.job() != demoFile(p.T, "job.toml") {
			p.Errorf("the job came back as\n%s", p.job())
		}
		p.wait(`/Left aside.*record[.]pdf/s.test(document.querySelector('#notice').textContent)`)
		p.turn("target")
		if text := p.fact("Fill"); !strings.HasPrefix(text, style.Volume(r.Fill.Fill)) {
			p.Errorf("opened again the fill is %q", text)
		}
	})
}

// summaryOf is the whole text of the summary that begins with a word.
func summaryOf(p *tab, word string) string {
	p.Helper()
	return ask[string](p, fmt.Sprintf(`[...document.querySelectorAll('summary')].find(s => s.checkVisibility() && s.textContent.startsWith(%q)).textContent`, word))
}

// A setting is kept in the job where it belongs; a wrong one is refused beside it.
func TestSettings(t *testing.T) {
	each(t, func(p *tab, screen string) {
		p.openDemo("settings")
		p.tap(summaryOf(p, "Mix and prices"))
		p.enter("Allowance percent", "10")
		p.wait(`import('./state.js').then(m => m.state.job.includes('\nallowance-percent = 10'))`)
		p.idle()
		p.enter("Order step", "a lot")
		p.wait(`document.querySelector('#settings .refusal')?.textContent.includes('a lot')`)
		p.idle()
		p.picture("setting-refused-" + screen)
		p.tap("Take back the last setting")
		p.wait(`!document.querySelector('#settings .refusal')`)
		p.idle()
		if strings.Contains(p.job(), "a lot") || !strings.Contains(p.job(), "\nallowance-percent = 10") {
			p.Errorf("taken back, the job is\n%s", p.job())
		}
		p.tap("Text of the job")
		p.enter("Job file", "title = 3")
		p.tap("Use this text")
		p.wait(`[...document.querySelectorAll('#settings .why')].some(e => e.textContent.includes('job.toml'))`)
		p.enter("Job file", strings.Replace(demoFile(p.T, "job.toml"), "Bottling hall", "Filling hall", 1))
		p.tap("Use this text")
		p.wait(`document.querySelector('#floorname').textContent === 'Filling hall'`)
		p.idle()
	})
}
