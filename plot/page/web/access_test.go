package web

import (
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// faults lists what keeps people from using the part of the page that is shown: inputs without
// a name, texts too pale, targets too small for a wet glove, tables without heads, names that
// are there twice. Contrast is by WCAG 2.2: 4.5, and 3 for large text.
const faults = `(() => {
	const out = [], seen = e => e.checkVisibility({ visibilityProperty: true, opacityProperty: true });
	const what = e => e.tagName.toLowerCase() + (e.id ? '#' + e.id : '') + '.' + e.className + ' ' + JSON.stringify((e.getAttribute('aria-label') || e.textContent || '').trim().slice(0, 40));
	const name = e => (e.getAttribute('aria-label') || (e.getAttribute('aria-labelledby') || '').split(' ').map(i => document.getElementById(i)?.textContent ?? '').join('') || [...(e.labels ?? [])].map(l => l.textContent).join('') || e.title || (e.matches('input, select, textarea, iframe, canvas') ? '' : e.textContent)).trim();
	for (const e of document.querySelectorAll('input, select, textarea, button, a, summary, iframe, canvas, [role=img], [tabindex="0"]')) {
		if (seen(e) && !name(e)) out.push('no name: ' + what(e));
	}
	for (const e of document.querySelectorAll('button, select, textarea, summary, input, nav a, .button')) {
		if (!seen(e) || e.closest('.unseen') || e.id === 'pick') continue;
		const boxes = [e, ...(e.labels ?? [])].map(b => b.getBoundingClientRect());
		if (Math.max(...boxes.map(b => b.height)) < 47.5 || Math.max(...boxes.map(b => b.width)) < 47.5) out.push('too small: ' + what(e) + ' ' + boxes.map(b => b.width + 'x' + b.height));
	}
	const ids = [...document.querySelectorAll('[id]')].map(e => e.id);
	for (const id of new Set(ids.filter((id, k) => ids.indexOf(id) !== k))) out.push('twice: ' + id);
	for (const e of document.querySelectorAll('th')) if (!e.scope && seen(e)) out.push('no scope: ' + what(e));
	let level = 0;
	for (const e of document.querySelectorAll('h1, h2, h3, h4')) {
		if (!seen(e)) continue;
		if (Number(e.tagName[1]) > level + 1) out.push('skips a level: ' + what(e));
		level = Number(e.tagName[1]);
	}
	const rgb = text => { const n = text.match(/[\d.]+/g).map(Number); return n.length === 4 ? n : [...n, 1]; };
	const light = c => { const [r, g, b] = c.map(v => v / 255).map(v => v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4); return 0.2126 * r + 0.7152 * g + 0.0722 * b; };
	const ground = e => {
		for (; e; e = e.parentElement) {
			const c = rgb(getComputedStyle(e).backgroundColor);
			if (c[3] === 1) return c;
			if (c[3] > 0) return null;
		}
		return [255, 255, 255, 1];
	};
	const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
	while (walk.nextNode()) {
		const e = walk.currentNode.parentElement;
		if (!walk.currentNode.textContent.trim() || !seen(e) || e.closest('svg, option, .unseen, .skip, :disabled')) continue;
		const s = getComputedStyle(e), back = ground(e);
		if (!back) continue;
		const a = light(rgb(s.color)), b = light(back), ratio = (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05);
		const size = parseFloat(s.fontSize), large = size >= 24 || size >= 18.66 && Number(s.fontWeight) >= 700;
		if (ratio < (large ? 3 : 4.5)) out.push('contrast ' + ratio.toFixed(2) + ': ' + what(e));
		if (size < 14) out.push('letters of ' + size + ': ' + what(e));
	}
	return out;
})()`

// Every tab can be used by all: with a keyboard, a screen reader, poor sight and wet gloves.
// POURPLANE_AXE names the script of an engine of accessibility checks that is run too.
func TestForEverybody(t *testing.T) {
	t.Parallel()
	engine := ""
	if name := os.Getenv("POURPLANE_AXE"); name != "" {
		b, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		engine = string(b)
	}
	for _, s := range append(slices.Clone(screens), screen{"narrow", 320, 640}) {
		t.Run(s.name, func(t *testing.T) {
			p := opened(t, s.width, s.height)
			p.openDemo("shots")
			if engine != "" {
				p.do(chromedp.Evaluate[chromedp.Void](engine))
			}
			for _, tab := range ask[[]string](p, `[...document.querySelectorAll('#steps a')].map(a => a.hash.slice(1))`) {
				p.turn(tab)
				for _, dark := range []bool{false, true} {
					p.dark(dark)
					ask[bool](p, `(document.querySelectorAll('main section:not([hidden]) details, #floor details').forEach(d => { d.open = true; }), true)`)
					p.whole("all-" + tab + "-" + s.name + map[bool]string{true: "-dark"}[dark])
					for _, f := range ask[[]string](p, faults) {
						t.Errorf("%s, dark %v: %s", tab, dark, f)
					}
					if engine != "" {
						for _, f := range ask[[]string](p, `axe.run(document, {iframes: false}).then(r => r.violations.flatMap(v => v.nodes.map(n => v.id + ': ' + n.target.join(' ') + ': ' + n.failureSummary)))`) {
							t.Errorf("%s, dark %v: %s", tab, dark, strings.ReplaceAll(f, "\n", " "))
						}
					}
					p.clean()
				}
			}
		})
	}
}

// The whole page is walked with the Tab key, in the order that is seen, and what has the focus
// is marked.
func TestKeyboard(t *testing.T) {
	t.Parallel()
	p := opened(t, 1280, 900)
	p.openDemo("shots")
	for tab, want := range map[string][]string{
		"":         {"Skip to the content", "floorname", "feet", "Shots", "Target", "pick", "Next: target"},
		"target":   {"lower by one step", "height", "higher by one step", "How the target is given"},
		"papers":   {"Make all papers", "Job with its files", "job.toml", "IFRAME"},
		"settings": {"Floor", "Survey", "Text of the job"},
	} {
		p.do(chromedp.Navigate("about:blank"))
		p.start()
		p.idle()
		if tab != "" {
			p.turn(tab) // the keyboard goes on from there
		}
		var walked []string
		for range 120 {
			p.do(chromedp.KeyEvent(kb.Tab))
			at := ask[string](p, `(() => {
				const e = document.activeElement;
				if (e === document.body) return '';
				if (e.tagName === 'IFRAME') return 'IFRAME'; // what is in it has the focus
				const marked = [e, e.closest('.drop'), e.nextElementSibling].some(m => m && getComputedStyle(m).outlineStyle !== 'none' && parseFloat(getComputedStyle(m).outlineWidth) >= 2);
				return (marked ? '' : 'not marked: ') + (e.getAttribute('aria-label') || e.id || e.textContent.trim().slice(0, 30) || e.value || e.tagName);
			})()`)
			if at == "" || len(walked) > 0 && at == walked[0] {
				break
			}
			walked = append(walked, at)
			if strings.HasPrefix(at, "not marked") {
				t.Errorf("%s: %s", tab, at)
			}
		}
		k := 0
		for _, name := range walked {
			if k < len(want) && strings.HasPrefix(name, want[k]) {
				k++
			}
		}
		if k < len(want) {
			t.Errorf("%q: the Tab key does not reach %q; it walks %q", tab, want[k], walked)
		}
	}
}

// The list of faults finds each kind of them.
func TestFaultsAreFound(t *testing.T) {
	t.Parallel()
	p := opened(t, 360, 740)
	p.do(chromedp.Evaluate[chromedp.Void](`document.querySelector('#shots').insertAdjacentHTML('beforeend', '<h5></h5><input type="text"><button>x</button><b id="shots">a</b><table><tr><th>h</th></tr></table><i class="pale">pale</i><h4>deep</h4>');
		document.querySelector('.pale').style.cssText = 'color: #999; background: #fff; font-size: 12px'; document.querySelector('#shots button:last-of-type').style.cssText = 'min-height: 20px; padding: 0; min-width: 20px'`))
	found := strings.Join(ask[[]string](p, faults), "\n")
	for _, want := range []string{"no name: input", "too small: button", "twice: shots", "no scope: th", "contrast 2.8", "letters of 12", "skips a level: h4"} {
		if !strings.Contains(found, want) {
			t.Errorf("%q is not among\n%s", want, found)
		}
	}
}
