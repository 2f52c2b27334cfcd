package web

import (
	"strings"
	"testing"
)

// How sure the volume is comes with it, its causes behind it; the ± of the depths is a layer of the
// plan, with the next shots.
func TestSureOnThePage(t *testing.T) {
	each(t, func(p *tab, screen string) {
		p.openDemo("target")
		p.wait(`document.querySelector('#target').textContent.includes('90 % sure between')`)
		p.tap("How sure, by cause")
		text := p.text("#target .answer table")
		for _, want := range []string{"Between shots", "Set-up", "Together", "±0.19 yd³"} {
			if !strings.Contains(text, want) {
				p.Errorf("the causes have no %q:\n%s", want, text)
			}
		}
		if all := p.text("#target"); !strings.Contains(all, "Assumed reading error") || strings.Contains(all, "survey.reading-sd") {
			p.Errorf("what is assumed is not shown in the words of the page:\n%s", all)
		}
		ask[any](p, `document.querySelector('#target .answer details').scrollIntoView()`)
		p.picture("sure-target-" + screen)
		p.turn("floor")
		before := p.text("#floor .plan-key")
		p.tap("Layers")
		p.tap("How sure (±)")
		p.wait(`document.querySelector('#floor .sure ol li')`)
		p.tap("Layers")
		if key := p.text("#floor .plan-key"); !strings.Contains(key, "±3/16\" to ±1/4\"") || key == before {
			p.Errorf("the key is %q", key)
		}
		if part := p.inked("floor"); part < 0.3 {
			p.Errorf("%v of the plan is drawn", part)
		}
		ask[any](p, `document.querySelector('#floor .plan').plan.pick({ x: 3, y: 3 })`)
		if text := p.text("#floor .plan-reading"); !strings.Contains(text, "±") {
			p.Errorf("under the finger is %q", text)
		}
		p.picture("sure-floor-" + screen)
		p.whole("sure-floor-whole-" + screen)
		p.tap("Layers")
		p.tap("How sure (±)")
		p.wait(`document.querySelector('#floor .sure').hidden`)
		ask[any](p, `document.querySelector('#floor .plan').plan.pick({ x: 3, y: 3 })`)
		if text := p.text("#floor .plan-reading"); strings.Contains(text, "±") || p.text("#floor .plan-key") != before {
			p.Errorf("without the layer: %q, %q", text, p.text("#floor .plan-key"))
		}
	})
}

// Where too few shots tell, no ± is shown.
func TestSureNotMeasured(t *testing.T) {
	t.Parallel()
	p := opened(t, 360, 740)
	p.give(map[string]string{"a.csv": "point,x (m),y (m),z (m)\n1,0,0,9.9\n2,4,0,9.91\n3,0,4,9.9\n"})
	p.turn("shots")
	p.tap("Next shots")
	p.wait(`document.querySelector('#shots').textContent.includes('not measured')`)
	p.turn("floor")
	p.tap("Layers")
	p.tap("How sure (±)")
	p.wait(`document.querySelector('#floor .sure').textContent.includes('not measured')`)
	ask[any](p, `document.querySelector('#floor .plan').plan.pick({ x: 1, y: 1 })`)
	if text := p.text("#floor .plan-reading") + p.text("#floor .plan-key"); strings.Contains(text, "±") {
		t.Errorf("the plan says %q", text)
	}
	p.clean()
}

// While a floor is shot the field book lists the next shots, takes one up, and finds others once
// it is read.
func TestSureInTheBook(t *testing.T) {
	t.Parallel()
	p := opened(t, 360, 740)
	p.begin("Back room", "metric")
	p.keys("3.6 left")
	p.keys("3600 left")
	p.press("rectangle")
	p.press("shots")
	p.tap("How many shots? Plan them")
	p.wait(`[...document.querySelectorAll('#shots form')].some(f => f.checkVisibility())`)
	p.enter("Spacing", "0.8m")
	ask[any](p, `[...document.querySelectorAll('#shots form')].find(f => f.checkVisibility()).requestSubmit()`)
	p.tap("Use this spacing in the field book")
	p.wait(`import('./state.js').then(m => m.state.book.spacing === 8000)`)
	p.wait(`document.body.dataset.tab === 'book'`)
	p.enter("Benchmark", "BM")
	ask[bool](p, `(document.querySelector("#book [data-field=elev]").focus(), true)`)
	p.keys("12.34 done 1.25")
	p.press("done")
	for _, rod := range []string{"1.342", "1.346", "1.339", "1.344", "1.351", "1.347", "1.343", "1.349", "1.345"} {
		p.keys(rod + " done")
	}
	p.idle()
	p.wait(`document.querySelector('#book .nextshots li')`)
	before := p.text("#book .nextshots")
	ask[any](p, `document.querySelector('#book .nextshots').open = true`)
	// Two rows at one wall do not tell of the rest of the room.
	if text := p.text("#book .nextshots"); !strings.Contains(text, "from wall") || !strings.Contains(text, "farthest from all shots") || strings.Contains(text, "then ±") {
		t.Errorf("the next shots are %q", text)
	}
	if n := ask[int](p, `document.querySelectorAll("#book .sketch .worth").length`); n != 3 {
		t.Errorf("%d next shots on the sketch", n)
	}
	p.whole("sure-book")
	p.tap("Shoot 1")
	at := ask[[]float64](p, `import('./state.js').then(m => m.state.book.at)`)
	p.keys("1.348 done")
	p.idle()
	p.wait(`import('./sure.js').then(m => m.sureNow()?.mark?.next)`)
	if last := ask[[]float64](p, `import('./state.js').then(m => m.state.book.log.at(-1).at)`); len(at) != 2 || last[0] != at[0] || last[1] != at[1] {
		t.Errorf("shot at %v, want %v", last, at)
	}
	ask[any](p, `document.querySelector('#book .nextshots').open = true`)
	if text := p.text("#book .nextshots"); text == before {
		t.Errorf("the next shots are still %q", text)
	}
	for _, rod := range []string{"1.350", "1.341", "1.346"} {
		p.tap("Shoot 1")
		p.keys(rod + " done")
		p.idle()
		p.wait(`import('./sure.js').then(m => m.sureNow()?.mark?.next)`)
		ask[any](p, `document.querySelector('#book .nextshots').open = true`)
	}
	if text := p.text("#book .nextshots"); !strings.Contains(text, "; then ±") {
		t.Errorf("with a shot in each corner the next shots are %q", text)
	}
	p.clean()
}
