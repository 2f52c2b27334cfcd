package web

import (
	"strings"
	"testing"
)

// Three parts of an outline: a height of its own for each, or none, and the plan reads the depth of
// each below its own target.
func TestPartsOfTheFloor(t *testing.T) {
	each(t, func(p *tab, screen string) {
		p.give(map[string]string{
			"floor.csv": "name,x (m),y (m),z (m),part\nr1,0,0,10,room\nr2,0,2,10,room\nr3,0,4,10,room\nr4,6,0,10,room\nr5,6,2,10,room\nr6,6,4,10,room\np1,6,0,9.7,pit\np2,6,2,9.7,pit\np3,6,4,9.7,pit\np4,9,0,9.7,pit\np5,9,2,9.7,pit\np6,9,4,9.7,pit\nh1,9,0,10,hall\nh2,9,2,10,hall\nh3,9,4,10,hall\nh4,11,0,10,hall\nh5,11,2,10,hall\nh6,11,4,10,hall\n",
			"walls.csv": "part,ring,x (m),y (m)\nroom,outer,0,0\nroom,outer,6,0\nroom,outer,6,4\nroom,outer,0,4\npit,outer,6,0\npit,outer,9,0\npit,outer,9,4\npit,outer,6,4\nhall,outer,9,0\nhall,outer,11,0\nhall,outer,11,4\nhall,outer,9,4\n",
			"job.toml":  "title = \"Store\"\ndate = 2026-11-25\n[survey]\nfiles = [\"floor.csv\"]\noutline = \"walls.csv\"\n[target]\nelevation = \"10.1m\"\n",
		})
		p.turn("target")
		p.wait(`document.querySelector('#target .order')`)
		p.tap("Parts of the floor")
		p.setPlace("part.pit", "9.9")
		p.wait(`import('./state.js').then(m => m.state.job.includes('pit=9.9m'))`)
		p.idle()
		p.setPlace("part.hall", "none")
		p.wait(`import('./state.js').then(m => m.state.job.includes('hall=none'))`)
		p.idle()
		if text := p.text("#target"); !strings.Contains(text, "pit level at 9.900 m; room level at 10.100 m") {
			p.Errorf("the target says\n%s", text)
		}
		if !ask[bool](p, `document.querySelector('#target .slider').hidden`) {
			p.Error("one slider for targets of parts")
		}
		p.whole("parts-target-" + screen)
		p.turn("floor")
		p.inked("floor")
		at := func(x, y string) string {
			ask[bool](p, `(() => { const plan = document.querySelector('#floor .plan').plan; plan.pick({ x: `+x+`, y: `+y+` }); return true; })()`)
			return p.text("#floor .plan-reading")
		}
		for _, v := range [][3]string{{"3", "2", "depth 100 mm"}, {"7.5", "2", "depth 200 mm"}, {"10", "2", "x 10.000 m, y 2.000 m: outside the floor that is filled; not filled: hall"}} {
			if got := at(v[0], v[1]); !strings.HasPrefix(got, v[2]) {
				p.Errorf("at %s, %s the page reads %q", v[0], v[1], got)
			}
		}
		p.picture("parts-" + screen)
		p.tap("3-D")
		p.inked("floor")
		p.picture("parts-slant-" + screen)
		p.tap("3-D")
		// Every part of its own: the target of all is taken out.
		p.turn("target")
		p.setPlace("part.hall", "10.05")
		p.wait(`import('./state.js').then(m => m.state.job.includes('hall=10.05m'))`)
		p.idle()
		p.setPlace("part.room", "10.1")
		p.tap("Take it out")
		p.wait(`import('./state.js').then(m => m.state.job.includes('room=10.1m'))`)
		p.idle()
		if got := p.fact("Fill"); !strings.HasPrefix(got, "5.20 m³") || !strings.Contains(got, " over 44.00 m²") { // by hand: 24 × 0.1 + 12 × 0.2 + 8 × 0.05
			p.Errorf("the fill is %q", got)
		}
		p.setPlace("part.room", "")
		p.wait(`document.querySelector('#target').textContent.includes('Not kept: the target stays')`)
		if job := p.job(); !strings.Contains(job, "room=10.1m") {
			p.Errorf("the job is\n%s", job)
		}
	})
}
