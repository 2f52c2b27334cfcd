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
		for _, want := range []string{"Between shots", "Set-up", "Together", "±0.15 yd³"} {
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
