package web

import (
	"strings"
	"testing"
)

// Where water stands is blue on the plan, with its list below, on the floor as surveyed and on the
// target.
func TestWaterOnThePlan(t *testing.T) {
	each(t, func(p *tab, screen string) {
		files := aBasin()
		files["room.csv"] = strings.Replace(strings.Replace(files["room.csv"], "5,2,2,9.89", "5,2,2,9.80", 1), "z (m)\n", "z (m),code\n", 1) + "D1,0.1,0.1,9.9,DRN\n"
		p.give(files)
		p.turn("floor")
		p.wait(`document.querySelector('#floor .plan-key li')`)
		p.tap("Layers")
		p.tap("Water that stays")
		p.wait(`document.querySelector('#floor .water table')`)
		p.inked("floor")
		// Of two surfaces the target comes first where water stays on it; a fall keeps none.
		text := p.text("#floor .water")
		if !strings.Contains(text, "Floor as surveyed") || !strings.Contains(text, "1 pond") {
			p.Errorf("the water is\n%s", text)
		}
		if key := p.text("#floor .plan-key"); !strings.Contains(key, "Water stays when all ponds are full") {
			p.Errorf("the key is %q", key)
		}
		blue := ask[float64](p, `(() => {
			const c = document.querySelector('#floor .plan canvas'), d = c.getContext('2d').getImageData(0, 0, c.width, c.height).data;
			let n = 0;
			for (let i = 0; i < d.length; i += 4) if (d[i + 2] > 150 && d[i + 2] - d[i] > 60) n++;
			return n / (d.length / 4);
		})()`)
		if blue < 0.05 {
			p.Errorf("%v of the plan is blue", blue)
		}
		p.tap("Layers")
		p.picture("water-" + screen)
		p.whole("water-whole-" + screen)
		p.tap("Finished floor")
		p.wait(`document.querySelector('#floor .plan-key').textContent.includes('No water stays')`)
		if text := p.text("#floor .water"); !strings.Contains(text, "drains to drain 1") {
			p.Errorf("on the target\n%s", text)
		}
		p.inked("floor")
		p.picture("water-target-" + screen)
		p.tap("Layers")
		p.tap("Water that stays")
		p.wait(`document.querySelector('#floor .water').hidden && document.querySelector('#floor .plan-key').textContent.includes('mm')`)
	})
}

// Before there is a target the floor as found is asked.
func TestWaterBeforeTarget(t *testing.T) {
	t.Parallel()
	p := opened(t, 360, 740)
	p.give(map[string]string{"shots.csv": aStore(map[int]float64{8: 9.93, 13: 9.97})})
	p.turn("floor")
	p.wait(`document.querySelector('#floor .plan-key li')`)
	p.tap("Layers")
	p.tap("Water that stays")
	p.wait(`document.querySelector('#floor .water table')`)
	if text := p.text("#floor .water"); !strings.Contains(text, "pond") || strings.Contains(text, "Finished floor") {
		t.Errorf("the water is\n%s", text)
	}
	if text := ask[string](p, `document.querySelector('#floor .plan').plan.wet.ponds[0].text`); text != "1: 22.0 mm" {
		t.Errorf("the plan names %q", text)
	}
	p.picture("water-found-phone")
	p.clean()
}
