package web

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"pourplane/survey/unit"
)

// The page writes numbers as the engine does.
func TestUnitsAgree(t *testing.T) {
	t.Parallel()
	p := opened(t, 1280, 900)
	random := rand.New(rand.NewPCG(3, 9))
	values := []float64{0, 0.0005, -0.0005, 0.0015, 1e-13, 0.0254 / 32, -0.0254 / 32, 3 * 0.0254 / 32, 0.3048, 5.4864, 12.5, 304.8, 304.79, -304.8, 1234.5678, 500000.125, 0.0625, -0.0625, 0.1875, 0.00048828125}
	for range 1500 {
		values = append(values, random.NormFloat64()*0.05, random.NormFloat64()*20)
	}
	for k := range 300 {
		values = append(values, float64(k-100)*0.0254/32, float64(k-100)*0.0005)
	}
	given, err := json.Marshal(values)
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range []unit.Style{{}, {Imperial: true}, {Imperial: true, Denominator: 64}, {Imperial: true, SurveyPlaces: true, SurveyElevations: true}} {
		denominator := 0
		if s.Imperial {
			denominator = max(s.Denominator, 16)
		}
		units := fmt.Sprintf(`{ denominator: %d, size: %v, unit: %q }`, denominator, s.Places().Metres(), s.Places())
		for name, of := range map[string]func(float64) string{"depth": s.Depth, "length": s.Length, "elevation": s.Elevation, "levelDown": s.LevelDown} {
			got := ask[[]string](p, fmt.Sprintf(`import('./units.js').then(m => %s.map(v => m.%s(%s, v)))`, given, name, units))
			for i, v := range values {
				if want := of(v); got[i] != want {
					t.Errorf("%s of %v in %s is %q, want %q", name, v, units, got[i], want)
				}
			}
		}
	}
	// An elevation for the job is read back as it was.
	for _, unitOf := range []unit.Length{unit.Metre, unit.Foot, unit.SurveyFoot} {
		units := fmt.Sprintf(`{ size: %v, unit: %q }`, unitOf.Metres(), unitOf)
		for i, text := range ask[[]string](p, fmt.Sprintf(`import('./units.js').then(m => %s.map(v => m.exact(%s, v)))`, given, units)) {
			if v, err := unit.Parse(text, unit.None); err != nil || v-values[i] > 1e-9 || values[i]-v > 1e-9 {
				t.Errorf("%v is written %q, which is %v, %v", values[i], text, v, err)
			}
		}
	}
}

// A server that has dropped the files of a page gets them again.
func TestFilesAreSentAgain(t *testing.T) {
	t.Parallel()
	p := opened(t, 360, 740)
	p.openDemo("target")
	before := p.fact("Fill")
	// Nine other pages ask: more than the server keeps.
	n := ask[int](p, `import('./engine.js').then(async m => {
		let n = 0;
		for (let k = 0; k < 9; k++) {
			const r = await fetch('ask', { method: 'POST', body: m.pack({ ask: 'fields' }, []), headers: { 'Content-Type': 'application/octet-stream', Session: String(k).repeat(32) } });
			if (r.ok) n++;
		}
		return n;
	})`)
	if n != 9 {
		t.Errorf("%d of 9 pages were answered", n)
	}
	p.tap("mm")
	p.wait(`[...document.querySelectorAll('#target dt')].find(t => t.textContent === 'Fill').nextElementSibling.textContent.includes('m³')`)
	p.tap("ft in")
	p.wait(`[...document.querySelectorAll('#target dt')].find(t => t.textContent === 'Fill').nextElementSibling.textContent.includes('yd³')`)
	p.idle()
	if text := p.fact("Fill"); text != before {
		t.Errorf("the fill is %q, before %q", text, before)
	}
	p.clean()
}

// A page whose server has ended says so, and has lost nothing.
func TestServerEnds(t *testing.T) {
	t.Parallel()
	p := opened(t, 360, 740)
	p.openDemo("target")
	p.stop()
	p.tap("mm")
	p.wait(`document.querySelector('#target').textContent.includes('has ended')`)
	if files := ask[int](p, `import('./state.js').then(m => m.state.files.length)`); files != 3 || !strings.Contains(p.job(), "Bottling hall") {
		t.Errorf("%d files are left and the job\n%s", files, p.job())
	}
}
