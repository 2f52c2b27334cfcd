package web

import (
	"strings"
	"testing"
)

// The volume that came is typed beside the target, and says how high it fills; alone it sets the
// height. The heights around the target are listed at the slider.
func TestTheVolumeThatCame(t *testing.T) {
	each(t, func(p *tab, screen string) {
		p.openDemo("target")
		ask[bool](p, `[...document.querySelectorAll('#target details')].forEach(d => d.open = true) || true`)
		text := p.text("#target .heights")
		for _, want := range []string{"What each height takes", "Order (yd³)", "-1/16\"", "8.25", "1,537"} {
			if !strings.Contains(text, want) {
				p.Errorf("the heights lack %q:\n%s", want, text)
			}
		}
		if n := ask[int](p, `document.querySelectorAll('#target .heights tbody tr').length`); n != 21 {
			p.Errorf("%d heights", n)
		}
		if !ask[bool](p, `document.querySelector('#target .heights table').classList.contains('fits')`) {
			p.Error("the heights do not fit on a phone")
		}
		ask[bool](p, `(document.querySelector('#target .heights').scrollIntoView(), true)`)
		p.picture("heights-" + screen)
		p.enter("Volume placed", "8yd3")
		p.tap("Work it out")
		p.wait(`document.querySelector('#target').textContent.includes('8.00 yd³ placed fills it to')`)
		p.idle()
		if got := p.fact("Volume"); !strings.Contains(got, "above the target: 0.68 yd³ is left over at the target") {
			p.Errorf("the volume: %s", got)
		}
		p.picture("volume-" + screen)
		// Alone it sets the height of the target.
		ask[bool](p, `([...document.querySelectorAll('#target label')].find(l => l.textContent === 'The volume that came').querySelector('input').click(), true)`)
		p.tap("Work it out")
		p.wait(`document.querySelector('#target').textContent.includes('8.00 yd³ placed sets the target')`)
		p.idle()
		if job := p.job(); !strings.Contains(job, `volume = "8yd3"`) || strings.Contains(job, "\nelevation = ") {
			p.Errorf("the job is\n%s", job)
		}
		p.picture("volume-sets-" + screen)
	})
}
