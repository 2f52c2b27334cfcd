package web

import (
	"slices"
	"strings"
	"testing"
)

// withJob opens the demo floor with a text of its job replaced.
func (p *tab) withJob(old, now string) {
	p.Helper()
	text := demoFile(p.T, "job.toml")
	if !strings.Contains(text, old) {
		p.Fatalf("the job lacks %q", old)
	}
	p.give(map[string]string{"job.toml": strings.Replace(text, old, now, 1), "survey.csv": demoFile(p.T, "survey.csv"), "outline.csv": demoFile(p.T, "outline.csv"), "check.csv": demoFile(p.T, "check.csv")})
	p.wait(`import('./state.js').then(m => m.state.refused.length > 0)`)
	p.idle()
}

// The page speaks of its inputs, not of keys of the job, and leads to them.
func TestRefusalsInWords(t *testing.T) {
	each(t, func(p *tab, screen string) {
		for _, c := range []struct{ old, now, why, tab, key string }{
			{`elevation = "99.930ft"`, `finish-codes = ["ADJ"]`, "No answer: “Covering build-up” (under Target): how much lower than the finished floor is the top of fill?", "Target", "target.buildup"},
			{`elevation = "99.930ft"`, "elevation = \"99.930ft\"\nbuildup = \"1in\"", "No answer: “Top of fill” (under Target) is the top of the fill itself; “Covering build-up” and “Stay low by” go with “Finished floor”, “Codes” or “Shot”", "Target", "target.elevation"},
			{`least = "1 1/2in"`, `least = "9in"`, "No answer: “Greatest” (under Take-off, Material 1: topping concrete): found \"6in\", below “Least” = 9in", "Take-off", "materials[1].greatest"},
			{`size = "#3"`, `size = "#99"`, "No answer: “Size” (under Settings, Bars): found bar size", "Settings", "bars.size"},
		} {
			p.turn("floors")
			p.tap("New floor")
			p.withJob(c.old, c.now)
			p.turn("pour")
			if text := p.text("#pour"); !strings.Contains(text, c.why) {
				p.Errorf("the page says\n%s", text)
			}
			p.tap("Settle it under " + c.tab)
			p.wait(`(e => e.dataset.key === ` + quote(c.key) + ` && e.checkVisibility() && !e.closest('.refusal'))(document.activeElement)`)
			p.picture("settle-" + c.key + "-" + screen)
			for _, name := range []string{"target", "settings", "shots", "takeoff"} {
				p.turn(name)
				if text := p.text("#" + name + " .why"); strings.Contains(text, "job.toml") || strings.Contains(text, c.key) {
					p.Errorf("%s says %q", name, text)
				}
			}
		}
		p.turn("settings")
		heads := ask[[]string](p, `[...document.querySelectorAll('#settings summary')].map(s => s.firstChild.textContent)`)
		for _, h := range heads {
			if strings.ContainsAny(h, "[.") || h == strings.ToLower(h) {
				p.Errorf("a head of Settings is %q", h)
			}
		}
		p.whole("heads-" + screen)
		p.turn("shots")
		if text := p.text("#shots"); strings.Contains(text, "survey.outline") {
			p.Errorf("Shots says\n%s", text)
		}
	})
}

// A survey with shots on adjoining finished floors offers to meet them, without their code.
func TestMeetMyDoors(t *testing.T) {
	each(t, func(p *tab, screen string) {
		text := strings.ReplaceAll(aStore(nil), "\n", ",FLR\n")
		text = strings.Replace(text, "z (m),FLR", "z (m),code", 1) + "D1,-0.2,1,10.012,ADJ\nD2,4.2,2,10.015,ADJ\n"
		p.give(map[string]string{"shots.csv": text})
		p.turn("target")
		p.tap("Meet my doors D1, D2")
		p.picture("doors-" + screen)
		p.enter("Covering build-up", "12mm")
		p.tap("Work it out")
		p.wait(`document.querySelector('#target .order')`)
		p.idle()
		if now := p.job(); !strings.Contains(now, "\nfinish-codes = [\"ADJ\"]") || !strings.Contains(now, "\nbuildup = \"12mm\"") {
			p.Errorf("the job is\n%s", now)
		}
		// 10.012 m less 12 mm.
		if got := p.fact("Target"); !strings.Contains(got, "10.000 m") {
			p.Errorf("the target is %q", got)
		}
		if chosen := ask[string](p, `document.querySelector('#target .ways :checked').closest('label').textContent`); chosen != "Meet my doors D1, D2" {
			p.Errorf("the way is %q", chosen)
		}
	})
}

// Another height is answered between two papers, not after the last of them.
func TestAHeightGoesBeforePapers(t *testing.T) {
	t.Parallel()
	p := opened(t, 1280, 900)
	p.openDemo("papers")
	p.wait(`document.querySelector('#papers iframe')`)
	p.idle()
	order := ask[[]string](p, `(async () => {
		const { raise } = await import('./job.js'), { state } = await import('./state.js'), order = [], send = window.fetch;
		window.fetch = (to, options) => {
			const body = options?.body;
			if (body instanceof Uint8Array) order.push(JSON.parse(new TextDecoder().decode(body.subarray(4, 4 + new DataView(body.buffer).getUint32(0, true)))).ask);
			return send(to, options);
		};
		[...document.querySelectorAll('#papers button')].find(b => b.textContent === 'Make all papers').click();
		await new Promise(done => setTimeout(done));
		await raise(0.001);
		order.push(state.raised ? 'raised' : 'not raised');
		while (![...document.querySelectorAll('#papers button')].some(b => b.textContent === 'Download all in one archive')) await new Promise(done => setTimeout(done, 50));
		window.fetch = send;
		return order;
	})()`)
	raised := slices.Index(order, "raised")
	if raised < 0 || !slices.Contains(order[raised:], "make") {
		t.Errorf("the order of work is %q", order)
	}
	if n := ask[int](p, `document.querySelectorAll('#papers .downloads li').length`); n < 10 {
		t.Errorf("%d papers", n)
	}
	p.clean()
}

// A level book that does not close is refused with what misclosure means.
func TestMisclosureIsExplained(t *testing.T) {
	each(t, func(p *tab, screen string) {
		p.give(map[string]string{"book.csv": "setup,sight,point,x (m),y (m),rod (m),elevation (m)\nS1,BS,BM1,,,1.5,10\nS1,IS,1,0,0,1.55,\nS1,IS,2,4,0,1.56,\nS1,IS,3,4,3,1.57,\nS1,FS,BM1,,,1.58,\n"})
		p.turn("target")
		p.enter("Top of fill", "10m")
		p.tap("Work it out")
		p.wait(`document.querySelector('#shots .refusal, #target .refusal')`)
		p.idle()
		p.turn("shots")
		p.picture("misclosure-" + screen)
		if text := p.text("#shots .refusal"); !strings.Contains(text, "Misclosure: how far the level book is out") {
			p.Errorf("the page says\n%s", text)
		}
	})
}
