package web

import (
	"slices"
	"strings"
	"testing"
)

// tapAt taps the plan of the floor at a place.
func (p *tab) tapAt(x, y string) {
	p.Helper()
	ask[bool](p, `(() => {
		const plan = document.querySelector('#floor .plan').plan, c = plan.canvas, r = c.getBoundingClientRect(), [px, py] = plan.onScreen(`+x+`, `+y+`);
		for (const type of ['pointerdown', 'pointerup']) c.dispatchEvent(new PointerEvent(type, { clientX: r.left + px, clientY: r.top + py, pointerId: 1, bubbles: true }));
		return true;
	})()`)
}

// setPlace types into an input of a drain.
func (p *tab) setPlace(key, value string) {
	p.Helper()
	p.wait(`(() => {
		const e = document.querySelector('#target [data-key="` + key + `"]');
		if (!e) return false;
		e.value = ` + quote(value) + `;
		return e.dispatchEvent(new Event('change', { bubbles: true }));
	})()`)
}

// Drains and channels are tapped on the plan, chosen by the name of a shot, or typed; each change is
// worked out at once, and one that is refused is not kept.
func TestDrainsByTap(t *testing.T) {
	each(t, func(p *tab, screen string) {
		files := aBasin()
		files["room.csv"] = strings.Replace(files["room.csv"], "z (m)\n", "z (m),code\n", 1) + "D1,1,1,9.88,DRN\n"
		files["job.toml"] = strings.Replace(files["job.toml"], "fall = \"2%\"\ndrains = [\"2m,1.5m\"]\n", "", 1)
		p.give(files)
		p.turn("target")
		p.wait(`document.querySelector('#target .order')`)
		p.tap("Falls to drains")
		p.picture("drains-none-" + screen)
		p.tap("Tap a drain on the plan")
		p.wait(`location.hash === '#floor'`)
		p.inked("floor")
		p.tapAt("3", "2.004")
		p.wait(`document.querySelector('#floor').textContent.includes('How much does the floor fall')`)
		p.picture("drains-asked-" + screen)
		p.tap("To the target")
		p.enter("Fall to the drains", "1:50")
		p.wait(`document.querySelector('#target').textContent.includes('to drain 1 at 9.927 m')`)
		p.idle()
		if job := p.job(); !strings.Contains(job, `drains = ["3m,2m"]`) || !strings.Contains(job, `fall = "1:50"`) {
			p.Errorf("the job is\n%s", job)
		}
		p.whole("drains-one-" + screen)
		// The drain that was shot, from its name.
		p.tap("Add D1, as shot")
		p.wait(`document.querySelector('#target').textContent.includes('drain 1 and D1 at')`)
		p.idle()
		// A channel by its two ends.
		p.tap("Tap a channel on the plan")
		p.wait(`location.hash === '#floor'`)
		p.inked("floor")
		p.tapAt("0.5", "2.5")
		p.wait(`document.querySelector('#floor').textContent.includes('the other end')`)
		p.picture("drains-channel-" + screen)
		p.tapAt("1.5", "2.5")
		p.wait(`document.querySelector('#floor').textContent.includes('and channel 1')`)
		p.idle()
		p.picture("drains-three-" + screen)
		p.tap("To the target")
		if job := p.job(); !strings.Contains(job, `channels = ["0.5m,2.5m,1.5m,2.5m"]`) || !strings.Contains(job, `"D1"`) {
			p.Errorf("the job is\n%s", job)
		}
		if got := p.text("#target"); !strings.Contains(got, "D1") || !strings.Contains(got, "channel 1") {
			p.Errorf("the table of falls has\n%s", got)
		}
		// A place is typed; one off the floor is refused and not kept.
		p.setPlace("drain.0.0", "3.25")
		p.wait(`import('./state.js').then(m => m.state.job.includes('3.25m,2m'))`)
		p.idle()
		p.setPlace("drain.0.0", "9")
		p.wait(`document.querySelector('#target').textContent.includes('Not kept yet')`)
		p.idle()
		p.picture("drains-refused-" + screen)
		if job := p.job(); !strings.Contains(job, "3.25m,2m") {
			p.Errorf("the job is\n%s", job)
		}
		p.setPlace("drain.0.0", "3.25")
		p.idle()
		p.wait(`!document.querySelector('#target').textContent.includes('Not kept yet')`)
		p.tap("Remove channel 1")
		p.wait(`import('./state.js').then(m => !m.state.job.includes('channels = ["0.5m'))`)
		p.idle()
		p.tap("Remove D1")
		p.wait(`import('./state.js').then(m => !m.state.job.includes('"D1"'))`)
		p.idle()
		p.tap("Remove drain 1")
		p.wait(`import('./state.js').then(m => !m.state.job.includes('1:50') && m.state.answer && !m.state.answer.falls)`)
		p.idle()
		if job := p.job(); strings.Contains(job, "\ndrains") || !strings.Contains(job, `elevation = "10m"`) {
			p.Errorf("without drains the job is\n%s", job)
		}
	})
}

// The cards of drains and the list of water can be used by all too, at 320 px and in the dark.
func TestDrainsForEverybody(t *testing.T) {
	for _, s := range append(slices.Clone(screens), screen{"narrow", 320, 640}) {
		t.Run(s.name, func(t *testing.T) {
			p := opened(t, s.width, s.height)
			files := aBasin()
			files["room.csv"] = strings.Replace(strings.Replace(files["room.csv"], "5,2,2,9.89", "5,2,2,9.80", 1), "z (m)\n", "z (m),code\n", 1) + "D1,0.1,0.1,9.9,DRN\n"
			files["job.toml"] += "channels = [\"3m,0.5m,3m,2.5m\"]\n"
			p.give(files)
			p.turn("floor")
			p.wait(`document.querySelector('#floor .plan-key li')`)
			ask[bool](p, `(document.querySelector('#floor .plan').plan.layer('water', true), true)`)
			p.wait(`document.querySelector('#floor .water table')`)
			for _, tab := range []string{"floor", "target"} {
				p.turn(tab)
				for _, dark := range []bool{false, true} {
					p.dark(dark)
					ask[bool](p, `(document.querySelectorAll('main section:not([hidden]) details, #floor details').forEach(d => { d.open = true; }), true)`)
					p.whole("drains-all-" + tab + "-" + s.name + map[bool]string{true: "-dark"}[dark])
					for _, f := range ask[[]string](p, faults) {
						t.Errorf("%s, dark %v: %s", tab, dark, f)
					}
					p.clean()
				}
			}
		})
	}
}
