package web

import (
	"strings"
	"testing"
)

// aBasin is a floor of 4 × 3 m with a drain in its middle, 2 % below its walls at 10 m.
func aBasin() map[string]string {
	return map[string]string{
		"room.csv":  "point,x (m),y (m),z (m)\n1,0,0,9.91\n2,2,0,9.90\n3,4,0,9.915\n4,0,2,9.90\n5,2,2,9.89\n6,4,2,9.90\n7,0,3,9.92\n8,2,3,9.905\n9,4,3,9.91\n",
		"walls.csv": "x_m,y_m\n0,0\n4,0\n4,3\n0,3\n",
		"job.toml":  "title = \"Wash bay\"\ndate = 2026-11-25\n[survey]\nfiles = [\"room.csv\"]\noutline = \"walls.csv\"\n[target]\nelevation = \"10m\"\nfall = \"2%\"\ndrains = [\"2m,1.5m\"]\n",
	}
}

// A target that falls to a drain is on the plan as it is: depths, section and slant follow the
// surface, and the slider moves all of it.
func TestFallsOnThePlan(t *testing.T) {
	each(t, func(p *tab, screen string) {
		p.give(aBasin())
		p.turn("floor")
		p.wait(`document.querySelector('#floor .plan-key li')`)
		if ink := p.inked("floor"); ink < 0.2 {
			p.Errorf("%v of the plan is inked", ink)
		}
		p.picture("falls-" + screen)
		// The drain is 50 mm below 10 m, the floor there at 9.89375: between shot 5 and 2.
		at := func(x, y string) string {
			ask[bool](p, `(() => { const plan = document.querySelector('#floor .plan').plan; plan.pick({ x: `+x+`, y: `+y+` }); return true; })()`)
			return p.text("#floor .plan-reading")
		}
		if got := at("2", "1.5"); got != "depth 58 mm at x 2.000 m, y 1.500 m; old floor 9.893 m" {
			p.Errorf("at the drain the page reads %q", got)
		}
		if got := p.picked("1"); got != "depth 90 mm at shot 1, x 0.000 m, y 0.000 m; old floor 9.910 m" {
			p.Errorf("at a corner the page reads %q", got)
		}
		// 2 m from the drain, at a wall: 10 mm below the corners.
		if got := p.picked("4"); !strings.HasPrefix(got, "depth 91 mm at shot 4") {
			p.Errorf("at a wall the page reads %q", got)
		}
		p.tap("Table")
		if got := p.text("#floor .plan-table"); !strings.Contains(got, "drain 1") || !strings.Contains(got, "9.950 m") {
			p.Errorf("the table says %q", got)
		}
		p.whole("falls-table-" + screen)
		p.tap("Table")
		p.tap("Section")
		p.drag("floor", 0.1, 0.5, 0.9, 0.5)
		p.wait(`document.querySelector('#floor .plan-section polyline')`)
		if n := ask[int](p, `document.querySelector('#floor .section-top').points.length`); n < 5 {
			p.Errorf("the top of fill along the section has %d corners", n)
		}
		p.picture("falls-section-" + screen)
		p.tap("3-D")
		p.inked("floor")
		p.picture("falls-slant-" + screen)
		p.tap("3-D")
		p.turn("target")
		if text := p.text("#target"); !strings.Contains(text, "Falls to drains") || !strings.Contains(text, "to drain 1 at 9.950 m") {
			p.Errorf("the target says\n%s", text)
		}
		p.whole("falls-target-" + screen)
		// Four millimetres up all over, and kept.
		ask[bool](p, `(() => { const r = document.querySelector('#target input[type=range]'); r.value = 4; r.dispatchEvent(new Event('input', {bubbles: true})); return true; })()`)
		p.wait(`import('./state.js').then(m => m.state.raised && m.state.raisedBy > 0.0035)`)
		if text := p.text("#target .slider output"); text != "+4 mm: highest 10.004 m" {
			p.Errorf("the slider says %q", text)
		}
		p.turn("floor")
		if got := at("2", "1.5"); !strings.HasPrefix(got, "depth 62 mm") {
			p.Errorf("raised, at the drain the page reads %q", got)
		}
		p.turn("target")
		p.tap("Keep this height")
		p.wait(`import('./state.js').then(m => m.state.job.includes('10.004'))`)
		p.idle()
		p.turn("floor")
		if got := at("2", "1.5"); !strings.HasPrefix(got, "depth 62 mm") {
			p.Errorf("kept, at the drain the page reads %q", got)
		}
		p.dark(true)
		p.picture("falls-dark-" + screen)
		p.dark(false)
	})
}
