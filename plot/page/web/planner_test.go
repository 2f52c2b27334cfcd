package web

import (
	"fmt"
	"strings"
	"testing"
)

// Before a survey the walls alone give a plan of shots and its sheets.
func TestPlanShots(t *testing.T) {
	each(t, func(p *tab, screen string) {
		p.give(map[string]string{"walls.csv": "x_m,y_m\n0,0\n6,0\n6,4\n0,4\n"})
		p.turn("shots")
		p.tap("Plan the shots")
		p.wait(`document.querySelector('#shots form .main').checkVisibility()`)
		submit := `[...document.querySelectorAll('#shots form')].find(f => f.checkVisibility()).requestSubmit()`
		ask[any](p, submit)
		p.wait(`document.querySelector('#shots').textContent.includes('Type the ± wanted, or a spacing.')`)
		p.enter("± wanted", "0.01m3")
		ask[any](p, submit)
		p.wait(`document.querySelector('#shots').textContent.includes('which cannot be had with one set-up')`)
		p.enter("± wanted", "")
		p.enter("Spacing", "1m")
		ask[any](p, submit)
		p.wait(`document.querySelector('#shots .plan canvas')?.checkVisibility()`)
		if text := p.text("#shots"); !strings.Contains(text, "35, up to 1.00 m apart") || !strings.Contains(text, "90 % sure, on a usual floor") {
			p.Errorf("the plan is\n%s", text)
		}
		p.wait(`document.querySelector('#shots .plan').plan.floor.shots.length === 35`)
		if part := p.inked("shots"); part < 0.1 {
			p.Errorf("%v of the plan is drawn", part)
		}
		p.tap("Make the sheets")
		p.wait(`document.querySelector('#shots').textContent.includes('Save plan.csv')`)
		ask[bool](p, `(globalThis.given = [], URL.createObjectURL = b => (given.push(b), 'blob:'), HTMLAnchorElement.prototype.click = () => {}, true)`)
		p.tap("Save plan.pdf")
		p.tap("Save plan.csv")
		p.tap("Save plan.xlsx")
		for n, want := range []string{"%PDF", "1 = 100 mm", "[Content_Types].xml"} {
			if got := ask[string](p, fmt.Sprintf(`given[%d].text()`, n)); !strings.Contains(got, want) {
				p.Errorf("sheet %d has no %s", n, want)
			}
		}
		p.whole("planner-whole-" + screen)
		// With the shots the plan is done.
		p.give(map[string]string{"shots.csv": aStore(nil)})
		p.wait(`![...document.querySelectorAll('summary')].some(e => e.textContent === 'Plan the shots' && e.checkVisibility())`)
	})
}
