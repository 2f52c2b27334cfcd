// What a Plan shows below its picture: the key of the shades, the section, and the table that
// has the same as the picture.

import { elevationOf, floorAt, sectionOf } from './mesh.js';
import { depth as depthText, elevation as levelText, length as placeText } from './units.js';

const mostRows = 500; // of a table on the page

// make makes an element with properties, or attributes where it has no such property.
export function make(tag, props = {}, ...children) {
	const e = document.createElement(tag);
	for (const [k, v] of Object.entries(props)) {
		if (k in e) e[k] = v;
		else e.setAttribute(k, v);
	}
	e.append(...children);
	return e;
}

// below are methods of Plan.
export const below = {
	drawKey() {
		if (!this.floor || this.planned) return;
		if (this.wet) {
			this.key.replaceChildren(...this.wet.shades.map(s => {
				const swatch = make('span', { className: 'plan-swatch' });
				swatch.style.background = s.color;
				return make('li', {}, swatch, s.text);
			}), ...this.wet.shades.length ? [] : [make('li', { textContent: 'No water stays.' })]);
			return;
		}
		this.key.replaceChildren(...(this.spread ?? this).shades.map(s => {
			const swatch = make('span', { className: 'plan-swatch' });
			swatch.style.background = s.color;
			return make('li', {}, swatch, s.text);
		}));
		if (this.spread) {
			this.key.prepend(make('li', { textContent: 'Depth known to, 9 times in 10:' }));
			return;
		}
		if (this.found) this.key.prepend(make('li', { textContent: 'Below the highest place:' }));
		if (this.thresholds.length) this.key.append(make('li', { textContent: `At a door, such as ${this.thresholds[0].sign}: its finished floor above the top of fill.` }));
	},

	// drawSection draws the floor along the line below the plan, and words it in the reading,
	// which stays in sight with the plan.
	drawSection() {
		this.cut.replaceChildren();
		this.along = '';
		if (this.line && this.mesh) this.fillSection();
		this.say();
	},

	fillSection() {
		const { from, to } = this.line, u = this.unit, length = Math.hypot(to.x - from.x, to.y - from.y);
		const pieces = sectionOf(this.mesh, from, to);
		const box = make('figure', { className: 'plan-section' });
		if (!pieces.length) {
			this.along = 'The line does not cross the floor.';
			return;
		}
		const top = ([s, , z]) => elevationOf(this.plane, from.x + (to.x - from.x) * s / length, from.y + (to.y - from.y) * s / length, { top: z });
		const all = pieces.flat(), tops = this.plane.bends ? pieces : [[[0], [length]]];
		const levels = [...all.map(p => p[1]), ...tops.flat().map(top)], least = Math.min(...levels), most = Math.max(...levels);
		const W = Math.min(760, Math.max(280, this.stage.clientWidth)), H = W < 500 ? 140 : 200, left = 8, right = 8, above = 26, below = 22;
		const X = s => left + s / length * (W - left - right), Y = z => above + (most - z) / Math.max(most - least, 1e-4) * (H - above - below);
		const svg = (tag, attrs, text) => {
			const e = document.createElementNS('http://www.w3.org/2000/svg', tag);
			for (const [k, v] of Object.entries(attrs)) e.setAttribute(k, v);
			if (text !== undefined) e.textContent = text;
			return e;
		};
		const times = (H - above - below) / Math.max(most - least, 1e-4) / ((W - left - right) / length);
		const picture = svg('svg', { viewBox: `0 0 ${W} ${H}`, role: 'img', 'aria-label': `Section from A to B, ${placeText(u, length)} long` });
		for (const piece of pieces) {
			const floor = piece.map(([s, z]) => `${X(s).toFixed(1)},${Y(z).toFixed(1)}`);
			const fill = [...floor, ...[...piece].reverse().map(p => `${X(p[0]).toFixed(1)},${Y(top(p)).toFixed(1)}`)];
			if (!this.found) picture.append(svg('polygon', { points: fill.join(' '), class: 'section-fill' }));
			picture.append(svg('polyline', { points: floor.join(' '), class: 'section-floor' }));
		}
		picture.append(...tops.map(piece => svg('polyline', { points: piece.map(p => `${X(p[0]).toFixed(1)},${Y(top(p)).toFixed(1)}`).join(' '), class: 'section-top' })),
			svg('text', { x: left, y: 14 }, 'A'), svg('text', { x: W - right, y: 14, 'text-anchor': 'end' }, 'B'),
			svg('text', { x: W / 2, y: 14, 'text-anchor': 'middle' }, placeText(u, length)));
		let deep = [0, -Infinity], shallow = [0, Infinity];
		for (const p of all) {
			const d = top(p) - p[1];
			if (d > deep[1]) deep = [p[0], d];
			if (d < shallow[1]) shallow = [p[0], d];
		}
		const said = ([s, d]) => `${this.words(d)}, ${placeText(u, s)} from A`;
		this.along = `Lowest along the line: ${said(deep)}. Highest: ${said(shallow)}.`;
		box.append(picture, make('figcaption', { textContent: `Heights × ${times < 10 ? times.toFixed(1) : Math.round(times)}; dashed: ${this.dashed()}.` }));
		this.cut.append(box);
	},

	// reveal brings a part that has just come into sight: on a phone it is below the screen.
	reveal(part) {
		const still = matchMedia('(prefers-reduced-motion: reduce)').matches;
		this.under.querySelector(part)?.scrollIntoView({ block: 'nearest', behavior: still ? 'instant' : 'smooth' });
	},

	// fillTable lists pins, or else shots.
	fillTable() {
		this.under.querySelector('.plan-table')?.remove();
		if (this.tableButton.getAttribute('aria-expanded') !== 'true' || !this.floor) return;
		const u = this.unit, box = make('div', { className: 'plan-table table' });
		const table = (title, heads, rows, all) => {
			const body = make('tbody', {}, ...rows.slice(0, mostRows).map(cells => make('tr', {}, ...cells.map((c, i) => make(i ? 'td' : 'th', { textContent: c, 'data-head': heads[i], ...i ? {} : { scope: 'row' } })))));
			box.append(make('table', {}, make('caption', { textContent: title }), make('thead', {}, make('tr', {}, ...heads.map(t => make('th', { textContent: t, scope: 'col' })))), body));
			if (all > mostRows) box.append(make('p', { textContent: `The first ${mostRows} of ${all}; pins.csv and result.json have all.` }));
		};
		const depth = (x, y) => {
			const found = floorAt(this.mesh, x, y);
			if (!found) return ['—', this.off(x, y)];
			const d = elevationOf(this.plane, x, y, found) - found.z;
			if (this.departure || this.found) return [levelText(u, found.z), this.words(d)];
			return [levelText(u, found.z), d < 0 ? depthText(u, -d) + ' above' : depthText(u, d)];
		};
		if (this.planned) {
			table('Shots', ['Shot', 'x', 'y'], this.floor.shots.map(s => [s.name, placeText(u, s.x), placeText(u, s.y)]), 0);
		} else if (this.on.pins && this.floor.pins.length) {
			table('Grade pins', ['Pin', 'Where', 'Depth', 'Mark', 'Set'], this.floor.pins.slice(0, mostRows).map(p => [p.name, p.where, depthText(u, p.depth_m), p.text + (p.doubt ? ' (in doubt)' : ''), this.ticked.has(p.name) ? 'yes' : 'no']), this.floor.pins.length);
		} else {
			table('Shots', ['Shot', 'x', 'y', this.departure || this.found ? 'Floor' : 'Old floor', this.departure ? `From the ${this.aim()}` : this.found ? 'From the highest place' : 'Depth'], this.floor.shots.slice(0, mostRows).map(s => [s.name + (s.doubt ? ' (in doubt)' : ''), placeText(u, s.x), placeText(u, s.y), ...depth(s.x, s.y)]), this.floor.shots.length);
		}
		if (this.plane.drains) table('Drains', ['Drain', 'x', 'y', 'Top of fill'], this.plane.drains.flatMap(d => d.ends.map(([x, y]) => [d.name, placeText(u, x), placeText(u, y), d.text])), 0);
		this.under.append(box);
	},
};
