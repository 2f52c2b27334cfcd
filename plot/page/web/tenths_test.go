package web

import (
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
)

// A crew with an engineer's rod types feet with tenths and hundredths; the book keeps them as
// they are read.
func TestBookInTenths(t *testing.T) {
	each(t, func(p *tab, screen string) {
		p.begin(bookTitle, "tenths")
		p.keys("12.5 left 9 left rectangle shots")
		p.press("assume")
		p.keys("4.37 done")
		p.wait(`document.querySelector('#book .where')`)
		if text := p.text("#book .list"); !strings.Contains(text, "4.37 ft") {
			p.Errorf("the list says %q", text)
		}
		p.keys("4.4155 done")
		p.wait(`document.querySelector('#book .why').textContent.includes('no finer than 0.001 ft')`)
		p.press("back", "done")
		for _, rod := range []string{"4.42", "4.4", "4.435", "4.41"} {
			p.keys(rod + " done")
		}
		p.wait(`import('./state.js').then(m => m.state.ground?.floor.shots.length === 5)`)
		p.idle()
		p.picture("tenths-" + screen)
		survey := ask[string](p, `import('./state.js').then(m => new TextDecoder().decode(m.state.files.find(f => f.name === 'survey.csv').bytes))`)
		if !strings.HasPrefix(survey, "setup,sight,point,x (ft),y (ft),rod (ft),elevation (ft),code,note\nS1,BS,BM1,,,4.37,100,BM,elevation assumed\nS1,IS,1,0.30,0.30,4.415,,FLR,\n") || !strings.Contains(survey, ",4.435,") {
			p.Errorf("the book is\n%s", survey)
		}
		// The height of instrument is 104.37 ft, the highest shot reads 4.40 ft.
		if z := ask[float64](p, `import('./state.js').then(m => Math.max(...m.state.ground.floor.shots.map(s => s.z)) / 0.3048)`); z < 99.97-1e-9 || z > 99.97+1e-9 {
			p.Errorf("the highest shot is at %v ft", z)
		}
		// On the pour the rod is read in tenths too: 3.00 ft on the benchmark at 100 ft is 3.01 ft,
		// rounded up, on a target 0.0051 ft below it.
		ask[bool](p, `Promise.all([import('./job.js').then(m => m.edit([['target.elevation', ['99.9949ft']], ['pins.spacing', ['4ft']]]))]).then(() => true)`)
		p.turn("pour")
		p.tap("Read the rod on BM1")
		p.wait(`(e => { if (!e) return false; e.value = '3'; e.dispatchEvent(new Event('input')); return true; })(document.querySelector('#pour [data-field=rod]'))`)
		p.tap("Use")
		p.wait(`document.querySelector('#pour .rodfig')`)
		if rod := p.text("#pour .rodfig"); rod != "3.01 ft" {
			p.Errorf("the rod reads %q on the fill", rod)
		}
		// What was done can be taken back after the page is loaded again.
		p.load()
		p.turn("book")
		p.press("undo")
		p.wait(`import('./state.js').then(m => m.state.book.log.length === 5)`)
		p.press("undo")
		p.wait(`import('./state.js').then(m => m.state.book.log.length === 4 && m.state.undone.length > 0)`)
	})
}

// On a phone on its side all keys are in sight, and the field book is in the bar.
func TestBookOnItsSide(t *testing.T) {
	t.Parallel()
	for _, units := range []string{"feet", "metric"} {
		p := opened(t, 740, 360)
		p.do(chromedp.EmulateViewport(740, 360, chromedp.EmulateMobile, chromedp.EmulateTouch))
		p.tap("Field book")
		p.begin(bookTitle, units)
		if units == "feet" {
			p.keys("12' 6 left 9' left rectangle shots assume 4' done")
		} else {
			p.keys("3.6 left 1800 left rectangle shots assume 1.251 done")
		}
		p.wait(`document.querySelector('#book .where')`)
		p.idle()
		p.picture("side-" + units)
		for _, key := range ask[[]string](p, `[...document.querySelectorAll('#book .key, #book [data-field=rod], #book .where')].filter(e => {
			const r = e.getBoundingClientRect(), top = (x, y) => { const at = document.elementFromPoint(x, y); return at === e || e.contains(at); };
			return r.bottom > innerHeight || r.height < 48 && e.matches('.key') || r.width < 48 && e.matches('.key') || !top(r.x + r.width / 2, r.y + 3) || !top(r.x + r.width / 2, r.bottom - 3);
		}).map(e => e.textContent || e.dataset.field)`) {
			t.Errorf("%s: %q is small or hidden", units, key)
		}
		p.clean()
	}
}
