package web

import (
	"fmt"
	"testing"
)

// Lengths, walls and files of the book, apart from the page that fills them.
func TestBookNumbers(t *testing.T) {
	t.Parallel()
	p := opened(t, 360, 740)
	ask[bool](p, `Promise.all([import('./bookcsv.js'), import('./bookkeys.js')]).then(([b, k]) => (Object.assign(globalThis, { b, k }), true))`)
	for _, c := range []struct{ units, typed, want string }{
		{"feet", `4' 5 3/16`, `4'-5 3/16" 4-5 3/16`},
		{"feet", `4-5 3/16`, `4'-5 3/16" 4-5 3/16`},
		{"feet", `53 3/16"`, `4'-5 3/16" 4-5 3/16`},
		{"feet", `5 3/16`, `5 3/16" 0-5 3/16`},
		{"feet", `45 3/16`, "found 45 3/16: tap ft after the feet, or in if all of it is inches"}, // 4'-5 3/16" without ft
		{"feet", `4' 0 2/16`, `4'-0 1/8" 4-0 1/8`},
		{"feet", `4'`, `4'-0" 4-0`},
		{"feet", `5"`, `5" 0-5`},
		{"feet", `5`, "5 feet or 5 inches? Tap ft or in."},
		{"feet", `4' 13`, "found 13 inches beside feet, want less than 12"},
		{"feet", `3/17`, "found 3/17, want a fraction of an inch to sixteenths"},
		{"feet", `4.45`, `found 4.45, want feet and inches such as 4' 5 3/16`},
		{"metric", "1.312", "1.312 m 1.312"},
		{"metric", "1312", "1.312 m 1.312"},
		{"metric", "1312.5", "1.3125 m 1.3125"},
		{"metric", "85 mm", "0.085 m 0.085"},
		{"metric", "4", "4 metres or millimetres? Tap m or mm."},
		{"metric", "1.31255", "found 1.31255, want no finer than 0.1 mm"},
		{"metric", "", "type a length"},
	} {
		got := ask[string](p, fmt.Sprintf(`(() => { const { steps, error } = b.parseLength(%q, %q); return error ?? b.lengthText(steps, %[2]q) + ' ' + b.cellOf(steps, %[2]q); })()`, c.typed, c.units))
		if got != c.want {
			t.Errorf("%s, %q: %q, want %q", c.units, c.typed, got, c.want)
		}
	}
	for _, c := range [][2]string{
		{"4|ft|5|3/16", "4' 5 3/16"}, {"4|ft|5|3/16|7/8", "4' 5 7/8"}, {"4|ft|5|3/16|back|back", "4'"}, {"4|ft|ft|5|in|6", `4' 5"`}, {"4|5|3/16|in|6", `45 3/16"`}, {"ft|.|1|.|3|.|m|4|mm", ".1|.3"},
	} {
		want := c[1]
		if c[0][0] == 'f' {
			want = ".13 m"
		}
		got := ask[string](p, fmt.Sprintf(`%q.split('|').reduce((t, key) => k.typed(t, key), '')`, c[0]))
		if got != want {
			t.Errorf("the keys %s type %q, want %q", c[0], got, want)
		}
	}

	// A walk in every direction closes where it began; what is open is given with the walls
	// that could take it, and a wall that crosses another is found.
	type closer struct{ Wall, Len int }
	walked := func(walls string) (out struct {
		Ahead, Left int
		Ways        []closer
		Clash       []int
	}) {
		return ask[struct {
			Ahead, Left int
			Ways        []closer
			Clash       []int
		}](p, `(w => ({ Ahead: b.closing(w).ahead, Left: b.closing(w).left, Ways: b.closers(w).map(c => ({ Wall: c.wall, Len: c.len })), Clash: b.clash(b.walk(w).corners, b.walk(w).end, true) ?? [] }))(`+walls+`)`)
	}
	if r := walked(`[[9,'right'],[5,'right'],[9,'right'],[5,'right']].map(([len, turn]) => ({ len, turn }))`); r.Ahead != 0 || r.Left != 0 || len(r.Ways)+len(r.Clash) > 0 {
		t.Errorf("a rectangle to the right: %+v", r)
	}
	if r := walked(`[[9,'left'],[5,'left'],[8,'left'],[5,'left']].map(([len, turn]) => ({ len, turn }))`); r.Ahead != -1 || len(r.Ways) != 2 || r.Ways[0] != (closer{0, 8}) || r.Ways[1] != (closer{2, 9}) {
		t.Errorf("a wall too short by 1: %+v", r)
	}
	if r := walked(`[[9,'left'],[5,'left'],[4,'left'],[8,'left'],[5,'left']].map(([len, turn]) => ({ len, turn }))`); len(r.Clash) != 2 || r.Clash[0] != 0 || r.Clash[1] != 3 {
		t.Errorf("a wall across the first: %+v", r)
	}
	if r := walked(`[{len:9,turn:'left'},{to:[6,8],way:[-1,0]},{len:6,turn:'left'},{len:8,turn:'left'}]`); r.Ahead != 0 || r.Left != 0 || len(r.Clash) > 0 {
		t.Errorf("a slanted wall: %+v", r)
	}

	// Every proposed place is on the floor, at least once a spacing along each wall, and none
	// comes twice; the words lead back to the place.
	if why := ask[string](p, `(() => {
		const columns = [{ ring: [[4000, 3500], [6000, 3500], [6000, 4500], [4000, 4500]] }];
		for (const turn of ['left', 'right']) {
			const other = turn === 'left' ? 'right' : 'left';
			const room = b.roomOf([[12000, turn], [8000, turn], [5000, turn], [3000, other], [7000, turn], [5000, turn]].map(([len, turn]) => ({ len, turn })));
			for (const spacing of [700, 1300, 4000, 20000]) {
				const all = b.places(room, columns, spacing, 200);
				if (new Set(all.map(String)).size !== all.length || all.length < 6) return 'twice or too few at ' + spacing + ': ' + all.join(' ');
				for (const at of all) {
					if (!b.isInside(room, columns, at)) return at + ' is off the floor';
					const [p, q] = b.beside(room, at);
					if (String(b.between(room, columns, p.wall, p.dist, q.wall, q.dist).place) !== String(at)) return at + ' is not where its words say';
				}
			}
		}
		return '';
	})()`); why != "" {
		t.Error(why)
	}
	// A reading is questioned where it differs from every shot beside it by more than 25 mm,
	// also across set-ups; a shot beside a misread one is not, and neither is one that is
	// confirmed or that the engine looks at by itself.
	asked := ask[[]any](p, `(() => {
		const at = (x, y) => [x * 10000, y * 10000];
		const log = [{ k: 'mark', name: 'BM', rod: 10000, elev: '10' }, { k: 'shot', at: at(0, 0), rod: 13000 }, { k: 'shot', at: at(1, 0), rod: 13050 },
			{ k: 'move' }, { k: 'mark', name: 'BM', rod: 12000 }, { k: 'shot', at: at(0, 1), rod: 15010 }, { k: 'shot', at: at(1, 1), rod: 14500 }];
		const of = list => list.map((e, i) => b.question(list, i, 10000, 'metric') ?? null);
		const sure = log.with(6, { ...log[6], sure: true }), small = log.with(6, { ...log[6], rod: 14790 });
		const many = [...log, ...Array.from({ length: 8 }, (_, i) => ({ k: 'shot', at: at(9 + i, 9), rod: 15000 }))];
		return [String(of(log)), String(of(sure)), String(of(small)), String(of(many)).replaceAll(',', '')];
	})()`)
	if want := "[,,,,,,500 ,,,,,, ,,,,,, ]"; fmt.Sprint(asked) != want {
		t.Errorf("asked about %v, want %s", asked, want)
	}
	if got := ask[string](p, `b.surveyFile({ units: 'metric', log: [{ k: 'mark', name: 'nail, "old"', rod: 12500, elev: '10' }, { k: 'skip', n: 1, at: [-50, 0] }] }).text`); got != "setup,sight,point,x (m),y (m),rod (m),elevation (m),code,note\nS1,BS,\"nail, \"\"old\"\"\",,,1.250,10,BM,\nS1,IS,1,-0.005,0.000,,,FLR,left out: cannot be reached\n" {
		t.Errorf("%q", got)
	}
}

// Whatever room is walked, in either direction and in either unit, the engine takes the files
// of the book: every shot is read, and the floor is as large as the walls say.
func TestBookOfAnyRoom(t *testing.T) {
	t.Parallel()
	p := opened(t, 360, 740)
	for _, why := range ask[[]string](p, `(async () => {
		const b = await import('./bookcsv.js'), { ask } = await import('./engine.js'), { newId } = await import('./store.js');
		let seed = 7;
		const any = n => (seed = seed * 48271 % 2147483647) % n;
		const wrong = [];
		for (let k = 0; k < 24; k++) {
			const units = k % 2 ? 'feet' : 'metric', foot = units === 'feet' ? 192 : 3000, step = b.stepOf(units);
			const len = n => (n + any(6)) * foot + any(foot);
			const [turn, other] = k % 4 < 2 ? ['left', 'right'] : ['right', 'left'], sign = turn === 'left' ? 1 : -1;
			const [w, h, nw, nh] = [len(12), len(10), len(3), len(2)];
			const walls = k % 3 === 0 ? [[w, turn], [h, turn], [w, turn], [h, turn]].map(([len, turn]) => ({ len, turn }))
				: k % 3 === 1 ? [[w, turn], [h, turn], [w - nw, turn], [nh, other], [nw, turn], [h - nh, turn]].map(([len, turn]) => ({ len, turn }))
				: [{ len: w, turn }, { len: h - nh, turn }, { to: [w - nw, sign * h], way: [-1, 0] }, { len: w - nw, turn }, { len: h, turn }];
			if (b.closing(walls).ahead || b.closing(walls).left || b.clash(b.walk(walls).corners, b.walk(walls).end, true)) wrong.push(k + ': does not close');
			const room = b.roomOf(walls), spacing = 3 * foot + any(2 * foot);
			const column = k % 5 === 4 && b.columnAt(room, [], 0, len(1), foot, room.length - 1, len(1), foot);
			const columns = column?.ring ? [{ name: 'column 1', ring: column.ring }] : [];
			const at = b.places(room, columns, spacing, Math.round(foot / 3));
			const log = [{ k: 'mark', name: 'BM1', rod: 4 * foot, elev: units === 'feet' ? '100' : '10' }, ...at.map((at, i) => ({ k: 'shot', n: i + 1, at, rod: 5 * foot + any(20) }))];
			for (let i = 0; i < room.length; i++) {
				const { place } = b.atDoor(room, i, Math.round(foot / 2), foot);
				if (!b.isInside(room, [], place)) log.push({ k: 'door', name: 'D' + i, at: place, rod: 4 * foot + any(20) });
			}
			log.splice(9, 0, { k: 'mark', name: 'TP1', turn: true, rod: 3 * foot }, { k: 'move' }, { k: 'mark', name: 'TP1', turn: true, rod: 3 * foot + 7 });
			log.push({ k: 'mark', name: 'BM1', rod: 4 * foot + 7 });
			const files = [['survey.csv', b.surveyFile({ units, log }).text], ['outline.csv', b.outlineFile({ units, walls, columns })]].map(([name, text]) => ({ name, id: newId(), bytes: new TextEncoder().encode(text) }));
			const job = 'title = "any"\ndate = 2026-11-25\n[survey]\nfiles = ["survey.csv"]\noutline = "outline.csv"\n[target]\nelevation = "' + (units === 'feet' ? '101ft' : '10.2m') + '"\n';
			const r = await ask({ ask: 'solve', job, files, show: '' });
			if (!r.answer) {
				wrong.push(k + ': ' + r.refused.map(f => f.text).join(' ') + '\n' + files.map(f => new TextDecoder().decode(f.bytes)).join('\n'));
				continue;
			}
			const area = (b.areaOf(room) - columns.length * foot * foot) * step * step;
			if (Math.abs(r.answer.area_m2 - area) > 1e-9 * area || r.answer.floor.shots.length !== at.length || at.length < 9) wrong.push(k + ': ' + r.answer.area_m2 + ' m², ' + r.answer.floor.shots.length + ' shots; want ' + area + ' and ' + at.length);
		}
		return wrong;
	})()`) {
		t.Error(why)
	}
}
