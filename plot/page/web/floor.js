// The tab Floor: the floor with its depths, and its walls to draw or to correct.

import { button, choose, el, facts, warning } from './dom.js';
import { noAnswer } from './form.js';
import { aimed, edit, refresh } from './job.js';
import { Plan } from './plan.js';
import { inWords } from './keywords.js';
import { change, on, seen, state } from './state.js';
import { newId } from './store.js';
import { newSure } from './sure.js';
import { newWater } from './water.js';
import { around, drawn, wallsOf, wallsText } from './walls.js';

let draw = null; // begins to draw the walls
let tap = null;

// place has a drain, or the two ends of a channel, tapped on the plan. put takes them over and
// returns why not, if it is refused, and what the target is then.
export const place = (kind, put) => {
	location.hash = '#floor';
	tap(kind, put);
};

// drawWalls is a button where walls are missing, nothing where there are some.
export const drawWalls = () => seen()?.floor.hull && el('p', { class: 'row' }, button('Draw or type the walls', () => {
	location.hash = '#floor';
	draw();
}, { class: 'main' }));

export function start(host) {
	const picture = el('div'), nothing = el('div'), found = el('div');
	const plan = new Plan(picture, { label: 'Floor' });
	const bar = el('div', { class: 'row' }), list = el('div');
	host.append(el('h2', {}, 'Floor'), nothing, picture, bar, list, newWater(plan), newSure(plan), found);
	let rings = null, placing = null; // walls that are drawn, and what takes a tap
	draw = () => {
		if (!rings?.length) begin();
		bar.scrollIntoView({ block: 'nearest' });
	};

	tap = (kind, put) => {
		stop();
		const ends = [], want = kind === 'channel' ? 2 : 1;
		const say = text => {
			list.replaceChildren();
			plan.ask(text);
			plan.marks(ends.map(e => ({ ...e, text: 'first end', kind: 'next' })));
		};
		placing = async at => {
			ends.push(at);
			if (ends.length < want) return say('Now tap the other end of the channel.');
			placing = null;
			const { refused, text } = await put([...ends]);
			ends.length = 0;
			bar.replaceChildren(button(`Another ${kind}`, () => tap(kind, put)), el('a', { class: 'button main', href: '#target', onclick: leave }, 'To the target'));
			plan.marks([]);
			plan.ask('', true);
			list.replaceChildren(...refused ? refused.map(r => el('p', { class: 'warning', role: 'status' }, inWords(r.text))) : [el('p', { role: 'status' }, text ? `Target: ${inWords(text)}` : 'Placed.')]);
		};
		rings = [];
		plan.setMode('move');
		bar.replaceChildren(button('Leave', leave));
		say(`${kind === 'channel' ? 'Tap one end of the channel, then the other.' : 'Tap where the drain is.'} With keys: arrows move the cross, Enter takes it.`);
		plan.canvas.focus({ preventScroll: true });
	};

	const spots = a => plan.marks((a?.spots ?? []).map(s => ({ x: s.at[0], y: s.at[1], text: s.text, kind: 'extreme' })));

	function leave() {
		spots(seen());
		plan.ask('');
		stop();
	}

	plan.addEventListener('tap', e => placing?.(e.detail));
	on(['answer', 'parts', 'ground', 'raised', 'traded', 'ticks', 'refused'], show);
	addEventListener('hashchange', pins);
	plan.addEventListener('walls', corners);
	show();
	pins();

	function show() {
		const a = seen();
		nothing.hidden = state.answer !== null;
		picture.hidden = a === null;
		found.replaceChildren(...state.answer || !a ? [] : [facts(a.facts), a.floor.shots.some(s => s.doubt) ? el('p', { class: 'row' }, el('a', { class: 'button', href: '#shots' }, 'Correct it under Shots')) : '']);
		nothing.replaceChildren(...a && !aimed() && state.refused.every(r => r.asks?.some(k => k.key.startsWith('target.')))
			? [...(a.warnings ?? []).map(warning), el('p', {}, 'The floor as found. The depths to fill come with the target.'), el('p', { class: 'row' }, el('a', { class: 'button main', href: '#target' }, 'Next: target'))]
			: noAnswer('The floor appears here when there are shots.'));
		if (!a) {
			plan.clear();
			stop();
			bar.replaceChildren();
			return;
		}
		if (plan.answer !== a) {
			plan.show(a, state.answer ? state.parts : state.groundParts, a === state.ground);
			spots(a);
		}
		plan.other(state.raised ?? state.traded);
		plan.tick(new Set(Object.keys(state.ticks ?? {}).filter(name => state.ticks[name])));
		if (!rings) bar.replaceChildren(...tools());
	}

	// pins are on the plan while the floor is poured.
	function pins() {
		if (location.hash === '#pour') plan.layer('pins', true);
	}

	const own = () => state.files.find(f => f.name === drawn);

	function tools() {
		if (!seen().floor.hull && !own()) return []; // walls from a file of the user's are corrected there
		return [button(own() ? 'Correct the walls' : 'Draw the walls', begin)];
	}

	function begin() {
		rings = own() ? wallsOf(new TextDecoder().decode(own().bytes)) : around(seen().floor.shots);
		plan.edit(rings);
		bar.replaceChildren(button('Use these walls', use, { class: 'main' }), button('Add an opening', addOpening), button('Leave', stop));
		corners();
	}

	function stop() {
		if (!rings) return;
		rings = placing = null;
		plan.edit(null);
		list.replaceChildren();
		if (seen()) bar.replaceChildren(...tools());
	}

	// addOpening adds a square of 0.3 m in the middle, for a column or a pit.
	function addOpening() {
		const { lo, hi } = seen().floor, x = (lo[0] + hi[0]) / 2, y = (lo[1] + hi[1]) / 2, r = 0.15;
		rings.push([[x - r, y - r], [x + r, y - r], [x + r, y + r], [x - r, y + r]]);
		plan.edit(rings);
		corners();
	}

	// corners lists the corners, to type what was measured.
	function corners() {
		if (!rings) return;
		const { size, unit } = seen().units;
		let n = 0;
		const rows = rings.flatMap((ring, r) => ring.map((p, i) => {
			const name = ++n;
			const input = (k, axis) => el('input', {
				type: 'text', inputMode: 'decimal', value: String(Number((p[k] / size).toFixed(4))), 'aria-label': `corner ${name}, ${axis} in ${unit}`,
				onchange: e => {
					const v = Number(e.target.value.trim().replace(',', '.'));
					if (!Number.isFinite(v) || e.target.value.trim() === '') {
						e.target.setCustomValidity(`a number of ${unit}`);
						e.target.reportValidity();
						return;
					}
					ring[i] = k === 0 ? [v * size, ring[i][1]] : [ring[i][0], v * size];
					plan.edit(rings);
				},
			});
			return el('tr', {}, el('th', { scope: 'row' }, r ? `${name}, opening ${r}` : String(name)), el('td', {}, input(0, 'x')), el('td', {}, input(1, 'y')),
				el('td', {}, ring.length > 3 || r > 0 ? button('×', () => {
					ring.splice(i, 1);
					if (ring.length < 3) rings.splice(r, 1);
					plan.edit(rings);
					corners();
				}, { 'aria-label': `Remove corner ${name}`, title: `Remove corner ${name}` }) : ''));
		}));
		list.replaceChildren(el('table', { class: 'corners fits' }, el('caption', {}, 'Corners, as on the plan'),
			el('thead', {}, el('tr', {}, ['Corner', `x (${unit})`, `y (${unit})`, ''].map(t => el('th', { scope: 'col' }, t)))), el('tbody', {}, rows)));
	}

	// use makes the drawn walls a file of the floor. It replaces no file of the user's.
	async function use() {
		const bytes = new TextEncoder().encode(wallsText(rings));
		if (await choose('The depths, the volume and the order are worked out inside these walls from now on.', ['Use these walls', 'Go on drawing']) !== 0) return;
		change({ files: [...state.files.filter(f => f.name !== drawn), { name: drawn, id: newId(), bytes }] });
		rings = null;
		plan.edit(null);
		list.replaceChildren();
		const refused = await edit([['survey.outline', [drawn]]]);
		if (refused) list.replaceChildren(el('p', { class: 'warning' }, inWords(refused[0].text)));
		else await refresh();
	}
}
