package web

import (
	"strings"
	"testing"
)

// aSlant is a floor of 4 × 3 m that rises 40 mm to the east, with a finished floor beside it.
func aSlant() map[string]string {
	return map[string]string{
		"floor.csv": "point,x (m),y (m),z (m),code\n1,0,0,9.9,\n2,2,0,9.92,\n3,4,0,9.94,\n4,0,1.5,9.9,\n5,2,1.5,9.92,\n6,4,1.5,9.94,\n7,0,3,9.9,\n8,2,3,9.92,\n9,4,3,9.94,\n10,1,1,9.91,\nD1,2,-0.1,9.956,FF\n",
		"walls.csv": "x_m,y_m\n0,0\n4,0\n4,3\n0,3\n",
		"job.toml":  "title = \"Slant\"\ndate = 2026-11-25\n[survey]\nfiles = [\"floor.csv\"]\noutline = \"walls.csv\"\n[target]\nelevation = \"9.95m\"\n",
	}
}

// The plane of least cost is a way to give the target, with its limits and prices as inputs. By hand:
// a level one at equal prices is at half of the rise, with 60 L of fill and as much ground off.
func TestPlaneOfLeastCost(t *testing.T) {
	each(t, func(p *tab, screen string) {
		p.give(aSlant())
		p.turn("target")
		p.wait(`document.querySelector('#target .order')`)
		p.tap("How the target is given")
		p.tap("The plane of least cost, fill and grinding together")
		p.tap("Work it out")
		p.wait(`document.querySelector('#target').textContent.includes('nothing says what the plane must keep')`)
		if job := p.job(); strings.Contains(job, "best") {
			p.Errorf("a job without an answer is kept:\n%s", job)
		}
		p.enter("Greatest fall", "0")
		p.whole("best-form-" + screen)
		p.tap("Work it out")
		p.wait(`document.querySelector('#target').textContent.includes('level at 9.920 m')`)
		p.idle()
		if got := p.fact("Least cost"); !strings.HasPrefix(got, "60 L of fill, 60 L ground off. Limited by the level target (0.1 % more fall saves up to ") {
			p.Errorf("least cost: %s", got)
		}
		if job := p.job(); !strings.Contains(job, "\nbest = true") || strings.Contains(job, "\nelevation = ") {
			p.Errorf("the job is\n%s", job)
		}
		p.whole("best-" + screen)
		// With the finished floor at D1 to meet, it is the floor's height less the build-up.
		p.tap("Finished floors to meet")
		p.tap("D1")
		p.enter("Covering build-up", "12mm")
		p.tap("Work it out")
		p.wait(`document.querySelector('#target').textContent.includes('level at 9.944 m')`)
		p.idle()
		p.whole("best-doors-" + screen)
		if got := p.text("#target section.slider"); got != "The limits leave one plane, whatever grinding costs." {
			p.Errorf("one plane, and the page offers %q", got)
		}
		if got := p.fact("Least cost"); !strings.Contains(got, "D1") {
			p.Errorf("least cost: %s", got)
		}
		// Another way takes the limits out with it.
		p.tap("A height of the top of fill")
		p.enter("Top of fill", "9.95m")
		p.tap("Work it out")
		p.wait(`document.querySelector('#target').textContent.includes('level at 9.950 m')`)
		if job := p.job(); strings.Contains(job, "\nbest") || strings.Contains(job, "\nmax-fall") || strings.Contains(job, "\nfinish-at") {
			p.Errorf("the job is\n%s", job)
		}
	})
}

// The slider goes over the points of the trade-off: the plan has the plane of each at once, the figures
// are the engine's, and the price of grinding that gives the plane is kept.
func TestTradeOff(t *testing.T) {
	each(t, func(p *tab, screen string) {
		files := aSlant()
		files["job.toml"] = strings.Replace(files["job.toml"], "elevation = \"9.95m\"", "best = true\nmax-fall = \"0\"\nfill-price = \"100\"\ngrind-price = \"200\"", 1)
		p.give(files)
		p.turn("target")
		p.wait(`document.querySelector('#target .order')`)
		out := func() string { return p.text(`#target section.slider output`) }
		if got := out(); got != "as kept, grinding at 2 × fill: 0.11 m³ of fill, 27 L ground off: 16.00 at the prices of the job" {
			p.Errorf("the slider says %q", got)
		}
		// Two steps to where grinding hardly pays: by hand 1/9 of the rise is above the plane, 4.4 mm.
		before := ask[float64](p, `import('./state.js').then(m => m.state.answer.target.z)`)
		p.wait(`(document.querySelector('#target button[aria-label="fill more"]').click(), true)`)
		if depth := ask[string](p, `(() => { const plan = document.querySelector('#floor .plan').plan; plan.pick({ x: 1, y: 1.5 }); return plan.reading.textContent; })()`); !strings.HasPrefix(depth, "depth 22 mm") {
			p.Errorf("the plan reads %q at once", depth)
		}
		p.wait(`(document.querySelector('#target button[aria-label="fill more"]').click(), true)`)
		p.wait(`import('./state.js').then(m => m.state.raised && m.state.traded?.n === 4)`)
		if got := out(); !strings.HasPrefix(got, "grinding at 8 × fill: 0.19 m³ of fill, 3.0 L ground off: 19.56 at the prices of the job") {
			p.Errorf("the slider says %q", got)
		}
		if got, mark := p.fact("Target"), p.text("#target .mark"); !strings.HasPrefix(got, "level at 9.935 m") || mark != "Not yet kept: grinding at 8 × fill" {
			p.Errorf("the target is %q, marked %q", got, mark)
		}
		ask[bool](p, `[...document.querySelectorAll('#target details.trade')].forEach(d => d.open = true) || true`)
		p.whole("trade-" + screen)
		p.tap("Back to the target")
		if z := ask[float64](p, `import('./state.js').then(m => document.querySelector('#floor .plan').plan.plane.z)`); z != before {
			p.Errorf("back at %v, not %v", z, before)
		}
		p.wait(`(document.querySelector('#target button[aria-label="fill more"]').click(), true)`)
		p.tap("Keep this")
		p.tap("Replace")
		p.wait(`import('./state.js').then(m => m.state.job.includes('grind-price = "4x"'))`)
		p.idle()
		if got := p.fact("Target"); !strings.HasPrefix(got, "level at 9.932 m") {
			p.Errorf("kept, the target is %q", got)
		}
		// No grinding at all leaves no trade-off, and the way back to it.
		for range 3 {
			p.wait(`(document.querySelector('#target button[aria-label="fill more"]').click(), true)`)
		}
		p.tap("Keep this")
		p.tap("Replace")
		p.wait(`import('./state.js').then(m => m.state.job.includes('grind-price = "none"'))`)
		p.idle()
		p.picture("trade-none-" + screen)
		p.tap("Weigh grinding against filling")
		p.wait(`import('./state.js').then(m => m.state.job.includes('grind-price = "4x"'))`)
		p.idle()
	})
}

// A file that is added becomes the design of the top of fill: the target has its surface.
func TestDesignFile(t *testing.T) {
	each(t, func(p *tab, screen string) {
		p.give(aSlant())
		p.give(map[string]string{"design.csv": "x (m),y (m),z (m)\n0,0,9.95\n0,3,9.95\n2,0,9.99\n2,3,9.99\n4,0,9.95\n4,3,9.95\n"})
		p.turn("target")
		p.tap("How the target is given")
		p.tap("A design surface, from a file of this floor")
		p.tap("design.csv")
		p.tap("Work it out")
		p.wait(`import('./state.js').then(m => m.state.answer?.target.bends)`)
		p.idle()
		// By hand: 12 m² × (9.97 − 9.92) m.
		if got := p.fact("Fill"); !strings.HasPrefix(got, "0.60 m³") || !strings.Contains(got, " over 12.00 m²") {
			p.Errorf("the fill is %q", got)
		}
		if got := p.fact("Target"); !strings.Contains(got, "surface of design.csv") {
			p.Errorf("the target is %q", got)
		}
		p.whole("design-" + screen)
		p.turn("shots")
		if got := ask[string](p, `[...document.querySelectorAll('#shots .card')].find(c => c.textContent.includes('design.csv')).querySelector('select').selectedOptions[0].text`); got != "Design of the top of fill" {
			p.Errorf("the file is used as %q", got)
		}
		p.whole("design-shots-" + screen)
		p.turn("floor")
		p.inked("floor")
		p.picture("design-floor-" + screen)
	})
}
