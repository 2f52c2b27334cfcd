// Plan shows a floor: depths as shades, walls, shots, doors and pins, the depth under a
// finger, a section along a line, and the floor seen at a slant. All that it shows is also
// in tables.

import { depthsOf, elevationOf, floorAt, isWithin, meshOf } from './mesh.js';
import { below, make } from './planbelow.js';
import { drawing } from './plandraw.js';
import { depth as depthText, elevation as levelText, length as placeText, plusMinus } from './units.js';

const snap = 16; // pixels: a touch this near a shot or a pin means it
const other = { water: 'sure', sure: 'water' }; // both take the place of the depths
const air = 34; // pixels around the floor, for the names of doors
const doorAir = 40; // pixels beside a door, for how much higher its floor is

export class Plan extends EventTarget {
	// departure: the floor is as poured, and depths are how far it is below its plane. planned: it is
	// not measured yet, and has places to shoot alone.
	constructor(host, { label = 'Floor plan', departure = false, planned = false } = {}) {
		super();
		this.departure = departure;
		this.planned = planned;
		this.label = label;
		this.on = { shots: true, doors: true, falls: true, water: false, sure: false, pins: false, contours: true, names: true };
		this.ticked = new Set();
		this.marked = [];
		this.nexts = [];
		this.view = null;
		this.mode = 'move';
		this.turned = { turn: 0.6, tilt: 0.9, height: 0 };
		this.canvas = make('canvas', { tabIndex: 0, className: 'plan-canvas' });
		this.canvas.setAttribute('role', 'img');
		this.reading = make('output', { className: 'plan-reading' });
		this.reading.setAttribute('aria-live', 'polite');
		this.cut = make('div', {});
		this.under = make('div', { className: 'plan-under' });
		this.key = make('ul', { className: 'plan-key' });
		this.stage = make('div', { className: 'plan-stage' }, this.canvas);
		host.plan = this;
		host.classList.add('plan');
		host.replaceChildren(this.tools(), this.stage, this.reading, this.cut, this.key, this.under);
		this.gestures();
		let wide = 0;
		new ResizeObserver(() => requestAnimationFrame(() => { // not within the observer, which would call itself
			if (this.stage.clientWidth !== wide) {
				wide = this.stage.clientWidth;
				this.fitHeight();
				this.drawSection();
			}
			this.raster = null;
			this.later();
		})).observe(this.stage);
		matchMedia('(prefers-color-scheme: dark)').addEventListener('change', () => this.later());
		this.say();
	}

	// show shows the floor of an answer; parts are the bytes after the head of its reply. found: it is
	// the floor as found, with depths below its highest place.
	show(answer, parts, found = false) {
		this.found = found;
		const first = !this.floor || !same(this.floor, answer.floor);
		this.answer = answer;
		this.floor = answer.floor;
		this.mesh = meshOf(answer.floor, parts);
		this.plane = answer.target;
		this.shades = answer.shades;
		this.thresholds = answer.thresholds ?? [];
		this.unit = answer.units;
		if (first) {
			this.view = null;
			this.cross = null;
			this.line = null;
			this.turned.height = 0;
			this.fitHeight();
		}
		this.changed();
	}

	// other shows the target, shades and thresholds of another answer on the same floor; null goes
	// back to the answer that is shown.
	other(answer) {
		if (!this.answer) return;
		const a = answer ?? this.answer;
		this.plane = a.target;
		this.shades = a.shades;
		this.thresholds = a.thresholds ?? [];
		this.changed();
	}

	units(units) {
		this.unit = units;
		this.changed();
	}

	layer(name, on) {
		this.on[name] = on;
		if (on && other[name]) this.layer(other[name], false);
		const box = this.boxes[name];
		if (box) box.checked = on;
		this.fillTable();
		this.later();
		this.dispatchEvent(new CustomEvent('layer', { detail: { name, on } }));
	}

	// water shows where water stands on the floor in place of the depths; null goes back to them.
	water(mark) {
		this.wet = mark;
		this.drawKey();
		this.later();
	}

	// sure shows the ± of the depths in place of the depths, with the next shots: {floor, shades, next}
	// and its bytes; null goes back to the depths.
	sure(mark, parts) {
		const mesh = mark?.floor ? meshOf(mark.floor, parts) : null;
		this.spread = mesh && { mesh, shades: mark.shades, of: mesh.map(g => g.at.filter((_, i) => i % 3 === 2).map(z => -z)) };
		this.nexts = (mark?.next ?? []).map(n => ({ x: n.at[0], y: n.at[1], text: n.name, kind: 'next' }));
		this.raster = this.lines = null;
		this.drawKey();
		this.say();
		this.later();
	}

	// plusMinus is the ± of the depth at a place as a text, empty where it is not shown.
	plusMinus(x, y) {
		const found = this.spread && floorAt(this.spread.mesh, x, y);
		return found ? ' ' + plusMinus(this.unit, -found.z) : '';
	}

	// marks shows places with a text, such as readings in doubt: {x, y, text, kind}.
	marks(all) {
		this.marked = all;
		this.later();
	}

	// tick shows the pins of these names as done.
	tick(names) {
		this.ticked = names;
		this.fillTable();
		this.later();
	}

	// edit shows corners of walls to drag: rings of [x, y]; null ends it. A change dispatches "walls".
	edit(rings) {
		this.walls = rings;
		this.setMode(rings ? 'walls' : 'move');
	}

	// ask shows what to tap in place of what is under the cross; empty ends it. quiet: the key of the
	// shades gives way to what comes next to the plan.
	ask(text, quiet = text !== '') {
		this.asking = text;
		this.key.hidden = quiet;
		this.say();
	}

	// edge shows a straightedge as the engine laid it, null for none.
	edge(mark) {
		this.laid = mark;
		this.later();
	}

	clear() {
		this.wet = this.spread = null;
		this.nexts = [];
		this.answer = this.floor = this.mesh = this.view = this.cross = this.line = null;
		this.under.replaceChildren();
		this.cut.replaceChildren();
		this.key.replaceChildren();
		this.say();
		this.later();
	}

	changed() {
		this.depths = depthsOf(this.mesh, this.plane);
		this.boxes.falls.parentElement.hidden = !this.plane.drains && !this.floor.drains;
		this.raster = null;
		this.lines = null;
		this.say();
		this.drawKey();
		this.drawSection();
		this.fillTable();
		this.later();
	}

	// later draws before the next frame, once.
	later() {
		if (this.due) return;
		this.due = true;
		requestAnimationFrame(() => {
			this.due = false;
			this.draw();
		});
	}

	tools() {
		const button = (text, what, act) => {
			const b = make('button', { type: 'button', textContent: text, title: what });
			if (text.length === 1) b.setAttribute('aria-label', what); // a sign; a word is its own name
			b.addEventListener('click', () => act(b));
			return b;
		};
		const mode = (name, text, what) => {
			const b = button(text, what, () => this.setMode(this.mode === name ? 'move' : name));
			b.setAttribute('aria-pressed', 'false');
			return b;
		};
		this.modes = { section: mode('section', 'Section', 'Draw a line to see the floor along it'), turn: mode('turn', '3-D', 'See the floor at a slant') };
		this.boxes = {};
		const layers = make('details', { className: 'plan-layers' }, make('summary', { textContent: 'Layers' }));
		for (const [name, text] of [['contours', 'Contours'], ['shots', 'Shots'], ['names', 'Names'], ['doors', 'Adjoining floors'], ['falls', 'Falls and drains'], ['water', 'Water that stays'], ['sure', 'How sure (±)'], ['pins', 'Grade pins']]) {
			const box = make('input', { type: 'checkbox', checked: this.on[name] });
			box.addEventListener('change', () => this.layer(name, box.checked));
			this.boxes[name] = box;
			layers.append(make('label', { hidden: name === 'falls' || (name === 'water' || name === 'sure') && this.departure }, box, ' ' + text));
		}
		this.tableButton = button('Table', 'Show the same as a table', b => {
			const open = b.getAttribute('aria-expanded') !== 'true';
			b.setAttribute('aria-expanded', String(open));
			this.fillTable();
			this.reveal('.plan-table');
		});
		this.tableButton.setAttribute('aria-expanded', 'false');
		return make('div', { className: 'plan-tools', role: 'toolbar', ariaLabel: this.label },
			button('−', 'Zoom out', () => this.zoom(1 / 1.4)), button('+', 'Zoom in', () => this.zoom(1.4)), button('Whole', 'Show the whole floor', () => { this.view = null; this.raster = null; this.later(); }),
			...this.planned ? [this.tableButton] : [this.modes.section, this.modes.turn, this.tableButton, layers]);
	}

	setMode(name) {
		this.mode = name;
		this.key.hidden = name === 'walls'; // the corners come next to the plan
		for (const [n, b] of Object.entries(this.modes)) b.setAttribute('aria-pressed', String(n === name));
		if (name !== 'section') this.line = this.laid = null;
		this.raster = null;
		this.drawSection();
		this.later();
	}

	// fitHeight makes the picture as high as the floor needs at its width, within the screen.
	fitHeight() {
		if (!this.floor) return;
		const { lo, hi } = this.floor, wide = this.stage.clientWidth - 2 * air;
		const high = wide * (hi[1] - lo[1]) / Math.max(hi[0] - lo[0], 1e-3) + 2 * air;
		this.stage.style.height = `${Math.round(Math.min(Math.max(high, 220), Math.min(0.62 * innerHeight, 640)))}px`;
	}

	// size is the canvas in pixels of the page.
	size() { return { w: Math.max(1, this.stage.clientWidth), h: Math.max(1, this.stage.clientHeight) }; }

	fit() {
		const { w, h } = this.size(), { lo, hi } = this.floor;
		let [x0, y0] = lo, [x1, y1] = hi;
		const near = 0.3 * Math.hypot(x1 - x0, y1 - y0);
		for (const d of this.floor.doors) {
			if (d.x < lo[0] - near || d.x > hi[0] + near || d.y < lo[1] - near || d.y > hi[1] + near) continue;
			x0 = Math.min(x0, d.x);
			x1 = Math.max(x1, d.x);
			y0 = Math.min(y0, d.y);
			y1 = Math.max(y1, d.y);
		}
		const scale = Math.min((w - 2 * (this.floor.doors.length ? doorAir : air)) / (x1 - x0 || 1), (h - 2 * air) / (y1 - y0 || 1));
		return { x: (x0 + x1) / 2, y: (y0 + y1) / 2, scale: Math.max(scale, 1e-3) };
	}

	// onScreen returns the pixel of a place.
	onScreen(x, y) {
		const { w, h } = this.size(), v = this.view;
		return [w / 2 + (x - v.x) * v.scale, h / 2 - (y - v.y) * v.scale];
	}

	onFloor(px, py) {
		const { w, h } = this.size(), v = this.view;
		return { x: v.x + (px - w / 2) / v.scale, y: v.y - (py - h / 2) / v.scale };
	}

	zoom(by, px, py) {
		if (!this.view) return;
		const { w, h } = this.size();
		px ??= w / 2;
		py ??= h / 2;
		const at = this.onFloor(px, py), v = this.view;
		const scale = Math.min(Math.max(v.scale * by, this.fit().scale / 2), 4000);
		this.view = { scale, x: at.x - (px - w / 2) / scale, y: at.y + (py - h / 2) / scale };
		this.raster = null;
		this.later();
	}

	// grab takes the corner at a pixel, or makes one at the middle of a wall.
	grab(px, py) {
		let best = null, least = 26;
		for (const h of this.handles()) {
			const [x, y] = this.onScreen(...h.at), d = Math.hypot(x - px, y - py) + (h.corner ? 0 : 6);
			if (d < least) {
				least = d;
				best = h;
			}
		}
		if (best && !best.corner) {
			this.walls[best.r].splice(best.i + 1, 0, best.at);
			best = { r: best.r, i: best.i + 1 };
		}
		return best;
	}

	// pick reads the floor at a place.
	pick(at) {
		this.cross = at;
		this.say();
		this.later();
		const found = floorAt(this.mesh, at.x, at.y);
		this.dispatchEvent(new CustomEvent('pick', { detail: { ...at, z: found?.z, depth: found && elevationOf(this.plane, at.x, at.y, found) - found.z } }));
	}

	// say words what is under the cross.
	say() {
		if (this.planned) {
			this.canvas.setAttribute('aria-label', `${this.label}. The button Table lists the places.`);
			const s = this.cross?.name && this.floor.shots.find(s => s.name === this.cross.name);
			this.reading.textContent = s ? `Shot ${s.name} at x ${placeText(this.unit, s.x)}, y ${placeText(this.unit, s.y)}` : 'Tap a shot to read where it is.';
			return;
		}
		this.canvas.setAttribute('aria-label', this.floor ? `${this.label}: ${this.departure ? `departures from the ${this.aim()}` : this.found ? 'heights of the floor as found' : 'depths of fill'}. Arrow keys move a cross and read the depth; the button Table shows the same as text.` : this.label);
		if (!this.mesh) {
			this.reading.textContent = '';
			return;
		}
		if (this.asking) {
			this.reading.textContent = this.asking;
			return;
		}
		if (this.mode === 'turn') {
			this.reading.textContent = 'Drag to turn and tilt.';
			return;
		}
		if (this.mode === 'walls') {
			this.reading.textContent = 'Drag the corners; drag a small circle to add one.';
			return;
		}
		if (this.mode === 'section' && !this.line) {
			this.reading.textContent = 'Drag a line across the floor.';
			return;
		}
		if (!this.cross) {
			this.reading.textContent = this.line ? this.laid?.text ?? this.along ?? '' : this.departure ? `Tap the floor to read how far it is from the ${this.aim()} there.` : `Tap the floor to read the ${this.found ? 'height' : 'depth'} there.`;
			return;
		}
		const { x, y, name } = this.cross, u = this.unit;
		const found = floorAt(this.mesh, x, y), pin = name && this.floor.pins.find(p => p.name === name);
		const at = `x ${placeText(u, x)}, y ${placeText(u, y)}`;
		const door = this.thresholds.find(t => t.name === name && t.x === x && t.y === y);
		if (door) {
			this.reading.replaceChildren(make('strong', { textContent: `${name}: finished floor ${door.text}` }), ` at ${at}`);
			return;
		}
		const beyond = this.found && this.floor.doors.find(d => d.name === name && d.x === x && d.y === y);
		if (beyond) {
			this.reading.replaceChildren(make('strong', { textContent: `${name}: finished floor ${levelText(u, beyond.z)}` }), ` at ${at}; ${this.words(elevationOf(this.plane, x, y) - beyond.z)}`);
			return;
		}
		if (!found) {
			this.reading.textContent = `${name ? name + ' at ' : ''}${at}: ${this.off(x, y)}`;
			return;
		}
		const depth = elevationOf(this.plane, x, y, found) - found.z;
		const words = this.words(depth) + this.plusMinus(x, y);
		const shot = this.floor.shots.find(s => s.name === name);
		const drain = [...this.plane.drains ?? [], ...this.floor.drains ?? []].find(d => d.name === name);
		const what = pin ? `pin ${name}, ` : shot ? `shot ${name}, ` : drain ? `${name}, ` : '';
		this.reading.replaceChildren(make('strong', { textContent: words }), ` at ${what}${at}; ${this.departure || this.found ? 'floor' : 'old floor'} ${levelText(u, found.z)}`
			+ (pin ? `; mark ${pin.text} above the old floor` : '') + (pin?.doubt ? `; depends on ${pin.doubt}, in doubt` : '') + (shot?.doubt ? `. ${shot.doubt}` : ''));
	}

	// dashed is what a dashed line is.
	dashed() { return this.departure ? this.aim() : this.found ? 'level of the highest place' : 'top of fill'; }

	// aim is what the floor is compared with.
	aim() { return this.plane?.bends ? 'target' : 'plane'; }

	// off is why there is no floor at a place.
	off(x, y) { return this.floor.openings.some(ring => isWithin(ring, x, y)) ? 'not poured' : this.floor.not_filled ? `outside the floor that is filled; not filled: ${this.floor.not_filled.join(', ')}` : 'outside the floor'; }

	// words is a depth in words.
	words(depth) {
		const u = this.unit;
		if (this.departure) return depthText(u, depth) === depthText(u, 0) ? `on the ${this.aim()}` : `${depthText(u, Math.abs(depth))} ${depth < 0 ? 'above' : 'below'} the ${this.aim()}`;
		if (this.found) return depthText(u, depth) === depthText(u, 0) ? 'level with the highest place' : `${depthText(u, Math.abs(depth))} ${depth < 0 ? 'above' : 'below'} the highest place`;
		return depth < 0 ? `${depthText(u, -depth)} above the top of fill` : `depth ${depthText(u, depth)}`;
	}

	// near returns the name of the shot or pin at a pixel, with its place.
	near(px, py) {
		let best = null, least = snap;
		const look = (name, x, y) => {
			const [a, b] = this.onScreen(x, y), d = Math.hypot(a - px, b - py);
			if (d < least) {
				least = d;
				best = { name, x, y };
			}
		};
		if (this.on.pins) for (const p of this.floor.pins) look(p.name, ...p.at);
		if (this.on.doors) for (const d of this.floor.doors) look(d.name, d.x, d.y);
		if (this.on.falls) for (const d of this.plane.drains ?? []) for (const end of d.ends) look(d.name, ...end);
		if (this.on.falls) for (const d of this.floor.drains ?? []) look(d.name, d.x, d.y);
		if (this.on.shots) for (const s of this.floor.shots) look(s.name, s.x, s.y);
		return best;
	}

	gestures() {
		const c = this.canvas, down = new Map();
		let start = null, moved = false, spread = 0;
		const at = e => {
			const r = c.getBoundingClientRect();
			return [e.clientX - r.left, e.clientY - r.top];
		};
		c.addEventListener('pointerdown', e => {
			if (!this.view) return;
			c.setPointerCapture(e.pointerId);
			down.set(e.pointerId, at(e));
			moved = false;
			start = { p: at(e), turned: { ...this.turned }, corner: this.walls && down.size === 1 ? this.grab(...at(e)) : null };
			if (down.size === 2) spread = gap(down);
		});
		c.addEventListener('pointermove', e => {
			if (!down.has(e.pointerId) || !start) return;
			const was = down.get(e.pointerId), p = at(e);
			down.set(e.pointerId, p);
			if (down.size === 2) {
				moved = true;
				const now = gap(down), [mx, my] = middle(down);
				if (spread > 0) this.zoom(now / spread, mx, my);
				spread = now;
				this.pan((p[0] - was[0]) / 2, (p[1] - was[1]) / 2);
				return;
			}
			if (!moved && Math.hypot(p[0] - start.p[0], p[1] - start.p[1]) < 6) return;
			moved = true;
			if (start.corner) {
				const to = this.onFloor(...p);
				this.walls[start.corner.r][start.corner.i] = [to.x, to.y];
				this.later();
			} else if (this.mode === 'turn') {
				this.turned.turn = start.turned.turn + (p[0] - start.p[0]) / 150;
				this.turned.tilt = Math.min(1.5, Math.max(0.15, start.turned.tilt - (p[1] - start.p[1]) / 200));
				this.raster = null;
				this.later();
			} else if (this.mode === 'section') {
				this.drawTo(this.onFloor(...start.p), this.onFloor(...p));
			} else {
				this.pan(p[0] - was[0], p[1] - was[1]);
			}
		});
		const up = e => {
			if (!down.delete(e.pointerId) || !start) return;
			if (down.size) return;
			if (start.corner) {
				this.dispatchEvent(new CustomEvent('walls'));
			} else if (!moved && e.type === 'pointerup' && this.mode !== 'turn') {
				const p = at(e);
				this.pick(this.near(...p) || this.onFloor(...p));
				this.dispatchEvent(new CustomEvent('tap', { detail: this.cross }));
			} else if (this.mode === 'section' && this.line) {
				this.drawSection();
				this.dispatchEvent(new CustomEvent('section', { detail: this.line }));
			}
			start = null;
		};
		c.addEventListener('pointerup', up);
		c.addEventListener('pointercancel', up);
		c.addEventListener('wheel', e => {
			if (!this.view) return;
			e.preventDefault();
			this.zoom(Math.exp(-e.deltaY / 400), ...at(e));
		}, { passive: false });
		c.addEventListener('keydown', e => this.typed(e));
	}

	// drawTo draws the line of a section. length, m, makes it that long, as a straightedge is.
	drawTo(from, to) {
		const d = Math.hypot(to.x - from.x, to.y - from.y);
		if (this.length > 0 && d > 0) to = { x: from.x + (to.x - from.x) * this.length / d, y: from.y + (to.y - from.y) * this.length / d };
		this.line = { from, to };
		this.laid = this.cross = null;
		this.along = '';
		this.say();
		this.later();
		this.dispatchEvent(new CustomEvent('line', { detail: this.line }));
	}

	pan(dx, dy) {
		const v = this.view;
		this.view = { ...v, x: v.x - dx / v.scale, y: v.y + dy / v.scale };
		this.raster = null;
		this.later();
	}

	typed(e) {
		if (!this.mesh) return;
		const step = (this.unit.denominator ? 0.0762 : 0.1) * (e.shiftKey ? 4 : 1);
		const way = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] }[e.key];
		if (way && this.mode === 'turn') {
			this.turned.turn += way[0] / 10;
			this.turned.tilt = Math.min(1.5, Math.max(0.15, this.turned.tilt + way[1] / 10));
			this.raster = null;
			this.later();
		} else if (way) {
			const { lo, hi } = this.floor, from = this.cross || { x: (lo[0] + hi[0]) / 2, y: (lo[1] + hi[1]) / 2 };
			this.pick({ x: from.x + way[0] * step, y: from.y + way[1] * step });
		} else if (e.key === 'Enter' && this.cross) {
			this.dispatchEvent(new CustomEvent('tap', { detail: this.cross }));
		} else if (e.key === '+' || e.key === '=') {
			this.zoom(1.4);
		} else if (e.key === '-') {
			this.zoom(1 / 1.4);
		} else if (e.key === 'Escape') {
			this.cross = null;
			this.say();
			this.later();
		} else {
			return;
		}
		e.preventDefault();
	}
}

Object.assign(Plan.prototype, drawing, below);

// same reports whether two answers are about one floor, so that the view stays.
function same(a, b) {
	return a.lo[0] === b.lo[0] && a.lo[1] === b.lo[1] && a.hi[0] === b.hi[0] && a.hi[1] === b.hi[1];
}

function gap(down) {
	const [a, b] = [...down.values()];
	return Math.hypot(a[0] - b[0], a[1] - b[1]);
}

function middle(down) {
	const [a, b] = [...down.values()];
	return [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];
}
