package web

import (
	"encoding/json"
	"html"
	"regexp"
	"strings"
	"testing"
)

// pressPour taps keys of the tab Pour.
func (p *tab) pressPour(keys ...string) {
	p.Helper()
	for _, key := range keys {
		quoted, _ := json.Marshal(key)
		p.wait(`(() => {
			const e = [...document.querySelectorAll('#pour [data-key]')].find(e => e.dataset.key === ` + string(quoted) + ` && e.checkVisibility());
			e?.click();
			return Boolean(e);
		})()`)
	}
}

// Pins are ticked and stay ticked, the rod reading is that of the record, and a mark that
// changes is not done any more.
func TestPour(t *testing.T) {
	t.Parallel()
	for _, s := range []struct {
		name          string
		width, height int64
	}{{"small", 320, 740}, {"phone", 360, 740}, {"desk", 1280, 900}} {
		t.Run(s.name, func(t *testing.T) {
			p := opened(t, s.width, s.height)
			p.tap("Open the demo floor")
			p.wait(`document.querySelectorAll('#shots .card').length === 3`)
			p.idle()
			ask[bool](p, `(location.hash = '#pour', true)`)
			p.wait(`document.querySelectorAll('#pour .pins li').length > 30`)
			p.picture("pour-" + s.name)
			p.pressPour("rod", "4", "ft", "2", "5/8", "done")
			record := ask[string](p, `import('./engine.js').then(m => m.ask({ ask: 'make', names: ['record.html'] })).then(r => new TextDecoder().decode(r.parts))`)
			found := regexp.MustCompile(`Rod on the finished fill = rod on BM1 ([+−]) ([^,]*), from`).FindStringSubmatch(html.UnescapeString(record))
			if found == nil {
				at := strings.Index(record, "Rod on")
				t.Fatalf("the record has no rod reading: %.300q", record[max(at, 0):])
			}
			more := strings.TrimSuffix(found[2], `"`)
			want := ask[string](p, `import('./bookcsv.js').then(b => b.lengthText(b.parseLength("4' 2 5/8", 'feet').steps `+strings.Replace(found[1], "−", "-", 1)+` b.parseLength(`+"`"+more+`"`+"`"+`, 'feet').steps, 'feet'))`)
			if got := p.text("#pour .rodfig"); got != want {
				t.Errorf("the rod is to read %q, the record gives %q", got, want)
			}
			p.wait(`!document.body.hasAttribute('data-busy')`)
			names := ask[[]string](p, `import('./state.js').then(m => m.state.answer.floor.pins.map(p => p.name))`)
			p.wait(`(document.querySelector('#pour [data-pin="` + names[0] + `"]').click(), document.querySelector('#pour [data-pin="` + names[2] + `"]').click(), true)`)
			if got := p.text("#pour .tally"); !strings.HasPrefix(got, "2 of ") {
				t.Errorf("%q after two ticks", got)
			}
			p.load()
			ask[bool](p, `(location.hash = '#pour', true)`)
			p.wait(`document.querySelector('#pour .tally').textContent.startsWith('2 of ')`)
			p.wait(`document.querySelector('#pour .rodfig')`)
			p.picture("pour-ticked-" + s.name)
			// A name is read out apart from its mark.
			if got := ask[string](p, `document.querySelector('#pour .pins .pinmark').textContent`); !strings.Contains(got, ", ") {
				t.Errorf("a pin is read out as %q", got)
			}
			ask[bool](p, `(document.querySelector('#pour .pins').scrollIntoView(), true)`)
			p.picture("pour-list-" + s.name)
			p.clean()
			ask[bool](p, `import('./job.js').then(m => m.edit([['target.elevation', ['99.95ft']]])).then(() => true)`)
			p.idle()
			if got := p.text("#pour .tally") + p.text("#notice"); !strings.HasPrefix(got, "0 of ") {
				t.Errorf("with other marks: %q", got)
			}
			if text := p.text("#pour"); strings.Count(text, "burn the skin") != 1 {
				t.Errorf("the caution is there %d times", strings.Count(text, "burn the skin"))
			}
			p.clean()
			// On a slope each pin has a reading of its own; a misread rod is beside the pins that
			// depend on it.
			ask[bool](p, `import('./job.js').then(m => m.edit([['target.elevation', ['100ft']], ['target.fall', ['0.2%']], ['target.toward', ['2ft,2ft']]])).then(() => true)`)
			ask[bool](p, `Promise.all([import('./job.js'), import('./state.js')]).then(([j, { change, state }]) => {
				const text = f => new TextDecoder().decode(f.bytes).replace('28,4.5,4-6 5/16', '28,4.5,4-8 5/16');
				change({ files: state.files.map(f => f.name === 'survey.csv' ? { ...f, id: 'misread', bytes: new TextEncoder().encode(text(f)) } : f) });
				return j.refresh().then(() => true);
			})`)
			p.idle()
			p.wait(`document.querySelector('#pour .pins .doubtful')`)
			if rods := ask[[]string](p, `[...new Set([...document.querySelectorAll('#pour .pins .reading')].map(e => e.textContent))]`); len(rods) < 5 || p.text("#pour .rodfig") != "" {
				t.Errorf("on a slope the rods are %q", rods)
			}
			ask[bool](p, `(document.querySelector('#pour .pins .doubtful').scrollIntoView({ block: 'center' }), true)`)
			p.picture("pour-slope-" + s.name)
			p.clean()
		})
	}
}

// On a slope each pin has a reading of its own, never above the target.
func TestPourNumbers(t *testing.T) {
	t.Parallel()
	p := opened(t, 360, 740)
	got := ask[[]int](p, `import('./pour.js').then(m => {
		const feet = { show: 'feet', denominator: 16 }, eighths = { show: 'feet', denominator: 8 }, metric = { show: 'metric', denominator: 0 };
		const inch = 0.0254;
		return [m.lower(inch, feet), m.lower(inch + 1e-6, feet), m.lower(-inch - 1e-6, feet), m.lower(-inch, feet), m.lower(inch / 16, eighths), m.lower(30.48 - 30.458664, feet),
			m.lower(0.0123, metric), m.lower(-0.0123, metric), m.lower(10.1 - 10, metric),
			m.rodAt({ target: { z: 9.9, slope_x: 0.01, slope_y: 0 }, units: metric }, { z: 10 }, 12500, { floor_m: 9.8, depth_m: 0.0805, mark_m: 9.879 }),
			m.rodAt({ target: { z: 9.9, slope_x: 0, slope_y: 0 }, units: metric }, { z: 10 }, 12500, { floor_m: 9.8, depth_m: 0.0805, mark_m: 9.879 })];
	})`)
	for i, want := range []int{16, 17, -16, -16, 2, 14, 130, -120, 1000, 13700, 13500} {
		if got[i] != want {
			t.Errorf("figure %d is %d, want %d", i, got[i], want)
		}
	}
}
