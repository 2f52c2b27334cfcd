// Plan shows a floor: depths as shades, walls, shots, doors and pins, the depth under a
// finger, a section along a line, and the floor seen at a slant. All that it shows is also
// in tables.

import { Raster, depthsOf, elevationOf, floorAt, linesOf, meshOf, sectionOf } from './mesh.js';
import { depth as depthText, elevation as levelText, length as placeText } from './units.js';

const snap = 16; // pixels: a touch this near a shot or a pin means it
const mostRows = 500; // of a table on the page
const air = 34; // pixels around the floor, for the names of doors

function make(tag, props = {}, ...children) {
	const e = document.createElement(tag);
	for (const [k, v] of Object.entries(props)) {
		if (k in e) e[k] = v;
		else e.setAttribute(k, v);
	}
	e.append(...children);
	return e;
}

export class Plan extends EventTarget {
	// departure: the floor is as poured, and depths are how far it is below its plane.
	constructor(host, { label = 'Floor plan', departure = false } = {}) {
		super();
		this.departure = departure;
		this.label = label;
		this.on = { shots: true, doors: true, pins: false, contours: true, names: true };
		this.ticked = new Set();
		this.marked = [];
		this.view = null;
		this.mode = 'move';
		this.turned = { turn: 0.6, tilt: 0.9, height: 0 };
		this.canvas = make('canvas', { tabIndex: 0, className: 'plan-canvas' });
		this.canvas.setAttribute('role', 'img');
		this.reading = make('output', { className: 'plan-reading' });
		this.reading.setAttribute('aria-live', 'polite');
		this.under = make('div', { className: 'plan-under' });
		this.key = make('ul', { className: 'plan-key' });
		this.stage = make('div', { className: 'plan-stage' }, this.canvas);
		host.classList.add('plan');
		host.replaceChildren(this.tools(), this.stage, this.reading, this.key, this.under);
		this.gestures();
		let wide = 0;
		new ResizeObserver(() => requestAnimationFrame(() => { // not within the observer, which would call itself
			if (this.stage.clientWidth !== wide) {
				wide = this.stage.clientWidth;
				this.fitHeight();
			}
			this.raster = null;
			this.later();
		})).observe(this.stage);
		matchMedia('(prefers-color-scheme: dark)').addEventListener('change', () => this.later());
		this.say();
	}

	// show shows the floor of an answer; parts are the bytes after the head of its reply.
	show(answer, parts) {
		const first = !this.floor || !same(this.floor, answer.floor);
		this.answer = answer;
		this.floor = answer.floor;
		this.mesh = meshOf(answer.floor, parts);
		this.plane = answer.target;
		this.shades = answer.shades;
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

	// target shows another target, and the shades that it has; null goes back to that of the answer.
	target(target, shades) {
		if (!this.answer) return;
		this.plane = target || this.answer.target;
		this.shades = (target && shades) || this.answer.shades;
		this.changed();
	}

	units(units) {
		this.unit = units;
		this.changed();
	}

	layer(name, on) {
		this.on[name] = on;
		const box = this.boxes[name];
		if (box) box.checked = on;
		this.fillTable();
		this.later();
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

	// edge shows a straightedge as the engine laid it, null for none.
	edge(mark) {
		this.laid = mark;
		this.later();
	}

	clear() {
		this.answer = this.floor = this.mesh = this.view = this.cross = this.line = null;
		this.under.replaceChildren();
		this.key.replaceChildren();
		this.say();
		this.later();
	}

	changed() {
		this.depths = depthsOf(this.mesh, this.plane);
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
			b.setAttribute('aria-label', what);
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
		for (const [name, text] of [['contours', 'Contours'], ['shots', 'Shots'], ['names', 'Names'], ['doors', 'Adjoining floors'], ['pins', 'Grade pins']]) {
			const box = make('input', { type: 'checkbox', checked: this.on[name] });
			box.addEventListener('change', () => this.layer(name, box.checked));
			this.boxes[name] = box;
			layers.append(make('label', {}, box, ' ' + text));
		}
		this.tableButton = button('Table', 'Show the same as a table', b => {
			const open = b.getAttribute('aria-expanded') !== 'true';
			b.setAttribute('aria-expanded', String(open));
			this.fillTable();
		});
		this.tableButton.setAttribute('aria-expanded', 'false');
		return make('div', { className: 'plan-tools', role: 'toolbar', ariaLabel: this.label },
			button('−', 'Zoom out', () => this.zoom(1 / 1.4)), button('+', 'Zoom in', () => this.zoom(1.4)), button('Whole', 'Show the whole floor', () => { this.view = null; this.raster = null; this.later(); }),
			this.modes.section, this.modes.turn, this.tableButton, layers);
	}

	setMode(name) {
		this.mode = name;
		for (const [n, b] of Object.entries(this.modes)) b.setAttribute('aria-pressed', String(n === name));
		if (name !== 'section') this.line = this.laid = null;
		this.raster = null;
		this.drawSection();
		this.say();
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
		const scale = Math.min((w - 2 * air) / (x1 - x0 || 1), (h - 2 * air) / (y1 - y0 || 1));
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

	draw() {
		if (!this.stage.clientWidth) return; // hidden: it is drawn when it is shown
		const { w, h } = this.size(), ratio = Math.min(devicePixelRatio || 1, 2);
		const c = this.canvas;
		if (c.width !== Math.round(w * ratio) || c.height !== Math.round(h * ratio)) {
			c.width = Math.round(w * ratio);
			c.height = Math.round(h * ratio);
			this.raster = null;
		}
		const g = c.getContext('2d', { willReadFrequently: true });
		g.setTransform(1, 0, 0, 1, 0, 0);
		g.clearRect(0, 0, c.width, c.height);
		if (!this.mesh) return;
		this.view ??= this.fit();
		const slant = this.mode === 'turn';
		this.raster ??= slant ? this.slanted(c.width, c.height, ratio) : this.flat(c.width, c.height, ratio);
		g.putImageData(this.raster.colored(this.shades), 0, 0);
		g.setTransform(ratio, 0, 0, ratio, 0, 0);
		const style = getComputedStyle(this.canvas);
		this.ink = style.color || '#1b1b1b';
		this.paper = style.getPropertyValue('--paper').trim() || '#ffffff';
		this.font = style.fontFamily;
		if (slant) this.drawSlantLines(g);
		else this.drawPlan(g);
	}

	flat(width, height, ratio) {
		const r = new Raster(width, height), { w, h } = this.size(), v = this.view, s = v.scale * ratio;
		this.mesh.forEach((g, i) => {
			const { at, corners } = g, d = this.depths[i];
			const ox = w * ratio / 2 + (g.x - v.x) * s, oy = h * ratio / 2 - (g.y - v.y) * s;
			for (let k = 0; k < corners.length; k += 3) {
				const a = corners[k], b = corners[k + 1], c = corners[k + 2];
				r.triangle(ox + at[3 * a] * s, oy - at[3 * a + 1] * s, ox + at[3 * b] * s, oy - at[3 * b + 1] * s, ox + at[3 * c] * s, oy - at[3 * c + 1] * s, 0, 0, 0, d[a], d[b], d[c], 255);
			}
		});
		return r;
	}

	// slant readies the view at a slant: a function from a place and a height above the middle
	// of the floor, exaggerated, to the page and the distance from the viewer.
	slant() {
		const { lo, hi } = this.floor, { w, h } = this.size();
		const mx = (lo[0] + hi[0]) / 2, my = (lo[1] + hi[1]) / 2, wide = Math.hypot(hi[0] - lo[0], hi[1] - lo[1]) || 1;
		let least = Infinity, most = -Infinity;
		for (const g of this.mesh) {
			for (let i = 2; i < g.at.length; i += 3) {
				least = Math.min(least, g.at[i]);
				most = Math.max(most, g.at[i]);
			}
		}
		const middle = elevationOf(this.plane, mx, my);
		least = Math.min(least, middle);
		most = Math.max(most, middle);
		const times = this.turned.height ||= Math.min(50, Math.max(1, Math.round(0.18 * wide / Math.max(most - least, 1e-3))));
		const zoom = this.view.scale / this.fit().scale, s = zoom * 0.86 * Math.min(w, h * 1.3) / wide;
		const { turn, tilt } = this.turned, ca = Math.cos(turn), sa = Math.sin(turn), ct = Math.cos(tilt), st = Math.sin(tilt);
		const mid = (least + most) / 2;
		return {
			times,
			at: (x, y, z) => {
				const u = (x - mx) * ca - (y - my) * sa, v = (x - mx) * sa + (y - my) * ca, up = (z - mid) * times;
				return [w / 2 + u * s, h / 2 - (v * ct + up * st) * s, v * st - up * ct];
			},
			light: (ax, ay, az, bx, by, bz) => { // of the triangle with these edges from a corner
				const nx = ay * bz * times - az * times * by, ny = az * times * bx - ax * bz * times, nz = ax * by - ay * bx;
				const n = Math.hypot(nx, ny, nz) || 1;
				return Math.round(255 * (0.62 + 0.38 * Math.max(0, (-0.45 * nx + 0.45 * ny + 0.77 * nz) / n)));
			},
		};
	}

	slanted(width, height, ratio) {
		const r = new Raster(width, height), view = this.slant();
		this.mesh.forEach((g, i) => {
			const { at, corners } = g, d = this.depths[i];
			const on = new Float64Array(at.length);
			for (let k = 0; k < at.length; k += 3) {
				const [x, y, f] = view.at(g.x + at[k], g.y + at[k + 1], at[k + 2]);
				on[k] = x * ratio;
				on[k + 1] = y * ratio;
				on[k + 2] = f;
			}
			for (let k = 0; k < corners.length; k += 3) {
				const a = 3 * corners[k], b = 3 * corners[k + 1], c = 3 * corners[k + 2];
				const light = view.light(at[b] - at[a], at[b + 1] - at[a + 1], at[b + 2] - at[a + 2], at[c] - at[a], at[c + 1] - at[a + 1], at[c + 2] - at[a + 2]);
				r.triangle(on[a], on[a + 1], on[b], on[b + 1], on[c], on[c + 1], on[a + 2], on[b + 2], on[c + 2], d[a / 3], d[b / 3], d[c / 3], light);
			}
		});
		return r;
	}

	drawSlantLines(g) {
		const view = this.slant();
		g.lineWidth = 1.5;
		g.strokeStyle = this.ink;
		const rings = [...this.floor.regions.flatMap(r => r.rings), ...this.floor.openings];
		for (const ring of rings) {
			g.setLineDash([6, 4]); // the target
			g.beginPath();
			ring.forEach(([x, y], i) => {
				const [px, py] = view.at(x, y, elevationOf(this.plane, x, y));
				if (i) g.lineTo(px, py);
				else g.moveTo(px, py);
			});
			g.closePath();
			g.stroke();
			g.setLineDash([]);
			g.beginPath();
			for (const [x, y] of ring) {
				const z = floorAt(this.mesh, x, y)?.z;
				if (z === undefined) continue;
				const a = view.at(x, y, z), b = view.at(x, y, elevationOf(this.plane, x, y));
				g.moveTo(a[0], a[1]);
				g.lineTo(b[0], b[1]);
			}
			g.stroke();
		}
		this.letter(g, [`heights × ${view.times}; dashed: ${this.departure ? 'plane' : 'top of fill'}`], 8, this.size().h - 10, 'left');
	}

	drawPlan(g) {
		const path = ring => {
			g.beginPath();
			ring.forEach(([x, y], i) => {
				const [px, py] = this.onScreen(x, y);
				if (i) g.lineTo(px, py);
				else g.moveTo(px, py);
			});
			g.closePath();
		};
		if (this.on.contours) {
			this.lines ??= linesOf(this.mesh, this.depths, this.shades.slice(0, -1).map(s => s.to_m));
			g.beginPath();
			for (let i = 0; i < this.lines.length; i += 4) {
				g.moveTo(...this.onScreen(this.lines[i], this.lines[i + 1]));
				g.lineTo(...this.onScreen(this.lines[i + 2], this.lines[i + 3]));
			}
			g.strokeStyle = 'rgba(27, 27, 27, .55)';
			g.lineWidth = 0.8;
			g.stroke();
		}
		g.strokeStyle = this.ink;
		g.lineWidth = 2.5;
		for (const r of this.floor.regions) {
			for (const ring of r.rings) {
				path(ring);
				g.setLineDash(this.floor.hull ? [5, 4] : []);
				g.stroke();
			}
		}
		g.setLineDash([]);
		g.lineWidth = 1.5;
		for (const ring of this.floor.openings) {
			path(ring);
			g.fillStyle = this.paper;
			g.fill();
			g.stroke();
		}
		const taken = [];
		this.drawMarks(g, taken);
		if (this.on.pins) this.drawPins(g, taken);
		if (this.on.doors) this.drawDoors(g, taken);
		if (this.on.shots) this.drawShots(g, taken);
		if (this.walls) this.drawWalls(g);
		this.drawLine(g);
		this.drawEdge(g);
		this.drawCross(g);
	}

	// letter writes lines of text on a ground of paper.
	letter(g, lines, x, y, align = 'center', size = 12, bold = false) {
		g.font = `${bold ? '700' : '400'} ${size}px ${this.font}`;
		g.textAlign = align;
		g.textBaseline = 'middle';
		lines.forEach((t, i) => {
			g.lineWidth = 3;
			g.strokeStyle = this.paper;
			g.strokeText(t, x, y + i * size * 1.15);
			g.fillStyle = this.ink;
			g.fillText(t, x, y + i * size * 1.15);
		});
	}

	// room letters a text beside a mark where nothing else is, or leaves it out.
	room(g, taken, text, px, py, size = 12, bold = false) {
		g.font = `${bold ? '700' : '400'} ${size}px ${this.font}`;
		const w = g.measureText(text).width + 4, h = size + 4, { w: W, h: H } = this.size();
		for (const [dx, dy] of [[0, -h], [0, h], [w / 2 + 8, 0], [-w / 2 - 8, 0], [w / 2 + 6, -h * 0.8], [-w / 2 - 6, h * 0.8]]) {
			const x = px + dx, y = py + dy, box = [x - w / 2, y - h / 2, x + w / 2, y + h / 2];
			if (box[0] < 0 || box[1] < 0 || box[2] > W || box[3] > H) continue;
			if (taken.some(b => box[0] < b[2] && box[2] > b[0] && box[1] < b[3] && box[3] > b[1])) continue;
			taken.push(box);
			this.letter(g, [text], x, y, 'center', size, bold);
			return true;
		}
		return false;
	}

	claim(taken, x, y, r) { taken.push([x - r, y - r, x + r, y + r]); }

	drawMarks(g, taken) {
		for (const m of this.marked) {
			const [x, y] = this.onScreen(m.x, m.y);
			for (const ring of m.rings ?? []) {
				g.beginPath();
				ring.forEach((p, i) => {
					if (i) g.lineTo(...this.onScreen(...p));
					else g.moveTo(...this.onScreen(...p));
				});
				g.closePath();
				g.lineWidth = 2;
				g.strokeStyle = '#b3261e';
				g.setLineDash(m.kind === 'high' ? [] : [5, 3]);
				g.stroke();
				g.setLineDash([]);
			}
			if (m.rings) {
				this.claim(taken, x, y, 3);
				this.room(g, taken, m.text, x, y, 14, true);
				continue;
			}
			g.beginPath();
			g.arc(x, y, 10, 0, 2 * Math.PI);
			g.lineWidth = 3;
			g.strokeStyle = m.kind === 'next' ? '#1b5fae' : '#b3261e';
			g.stroke();
			this.claim(taken, x, y, 11);
			this.room(g, taken, m.text, x, y, 13, true);
		}
	}

	drawPins(g, taken) {
		const all = this.floor.pins.map(p => ({ p, at: this.onScreen(...p.at) }));
		for (const { p, at: [x, y] } of all) {
			g.beginPath();
			g.arc(x, y, 6, 0, 2 * Math.PI);
			g.fillStyle = this.ticked.has(p.name) ? this.ink : this.paper;
			g.fill();
			g.lineWidth = 2;
			g.strokeStyle = this.ink;
			if (p.doubt) g.setLineDash([3, 2]);
			g.stroke();
			g.setLineDash([]);
			if (this.ticked.has(p.name)) {
				g.beginPath();
				g.moveTo(x - 3, y);
				g.lineTo(x - 0.5, y + 3);
				g.lineTo(x + 3.5, y - 3);
				g.strokeStyle = this.paper;
				g.stroke();
			}
			this.claim(taken, x, y, 7);
		}
		if (!this.on.names) return;
		for (const { p, at: [x, y] } of all) this.room(g, taken, p.depth_m > 0 ? p.text : 'none', x, y, 13, true);
	}

	drawDoors(g, taken) {
		for (const d of this.floor.doors) {
			const [x, y] = this.onScreen(d.x, d.y);
			g.fillStyle = this.ink;
			g.fillRect(x - 4, y - 4, 8, 8);
			this.claim(taken, x, y, 5);
			this.room(g, taken, d.name, x, y, 13, true);
		}
	}

	drawShots(g, taken) {
		const many = this.floor.shots.length;
		const gap = this.view.scale * Math.sqrt((this.floor.hi[0] - this.floor.lo[0]) * (this.floor.hi[1] - this.floor.lo[1]) / Math.max(many, 1));
		const radius = gap < 4 ? 0.7 : 2;
		g.fillStyle = '#1b1b1b';
		for (const s of this.floor.shots) {
			const [x, y] = this.onScreen(s.x, s.y);
			g.beginPath();
			g.arc(x, y, radius, 0, 2 * Math.PI);
			g.fill();
			if (!s.doubt) continue;
			g.beginPath();
			g.arc(x, y, 8, 0, 2 * Math.PI);
			g.lineWidth = 2.5;
			g.strokeStyle = '#b3261e';
			g.stroke();
			this.claim(taken, x, y, 9);
			this.room(g, taken, s.name, x, y, 12, true);
		}
		if (!this.on.names || this.on.pins || gap < 36) return;
		for (const s of this.floor.shots) {
			const [x, y] = this.onScreen(s.x, s.y);
			if (!s.doubt) this.room(g, taken, s.name, x, y, 11);
		}
	}

	drawLine(g) {
		if (!this.line) return;
		const a = this.onScreen(this.line.from.x, this.line.from.y), b = this.onScreen(this.line.to.x, this.line.to.y);
		g.beginPath();
		g.moveTo(...a);
		g.lineTo(...b);
		g.lineWidth = 3;
		g.strokeStyle = '#b3261e';
		g.stroke();
		this.letter(g, ['A'], a[0], a[1] - 12, 'center', 14, true);
		this.letter(g, ['B'], b[0], b[1] - 12, 'center', 14, true);
	}

	// handles lists the corners of the walls being edited, and the middles of walls, where a
	// corner can be added.
	handles() {
		const out = [];
		this.walls.forEach((ring, r) => ring.forEach((p, i) => {
			const q = ring[(i + 1) % ring.length];
			out.push({ r, i, at: p, corner: true }, { r, i, at: [(p[0] + q[0]) / 2, (p[1] + q[1]) / 2], corner: false });
		}));
		return out;
	}

	drawWalls(g) {
		g.strokeStyle = '#1b5fae';
		g.lineWidth = 3;
		for (const ring of this.walls) {
			g.beginPath();
			ring.forEach((p, i) => {
				if (i) g.lineTo(...this.onScreen(...p));
				else g.moveTo(...this.onScreen(...p));
			});
			g.closePath();
			g.stroke();
		}
		let n = 0;
		for (const h of this.handles()) {
			const [x, y] = this.onScreen(...h.at);
			g.beginPath();
			g.arc(x, y, h.corner ? 9 : 6, 0, 2 * Math.PI);
			g.fillStyle = h.corner ? '#1b5fae' : this.paper;
			g.fill();
			g.lineWidth = 2;
			g.strokeStyle = '#1b5fae';
			g.stroke();
			if (h.corner) this.letter(g, [String(++n)], x + 16, y - 14, 'center', 13, true);
		}
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

	// drawEdge draws the laid straightedge: its supports and its largest gap.
	drawEdge(g) {
		if (!this.laid?.fits) return;
		for (const p of [this.laid.a, this.laid.b]) {
			const [x, y] = this.onScreen(...p);
			g.beginPath();
			g.moveTo(x, y - 7);
			g.lineTo(x + 7, y);
			g.lineTo(x, y + 7);
			g.lineTo(x - 7, y);
			g.closePath();
			g.fillStyle = this.ink;
			g.fill();
		}
		const [x, y] = this.onScreen(...this.laid.low);
		g.beginPath();
		g.arc(x, y, 9, 0, 2 * Math.PI);
		g.lineWidth = 3;
		g.strokeStyle = '#b3261e';
		g.stroke();
	}

	drawCross(g) {
		if (!this.cross) return;
		const [x, y] = this.onScreen(this.cross.x, this.cross.y);
		for (const [width, ink] of [[5, this.paper], [2, '#b3261e']]) {
			g.beginPath();
			g.moveTo(x - 14, y);
			g.lineTo(x + 14, y);
			g.moveTo(x, y - 14);
			g.lineTo(x, y + 14);
			g.lineWidth = width;
			g.strokeStyle = ink;
			g.stroke();
		}
	}

	// pick reads the floor at a place.
	pick(at) {
		this.cross = at;
		this.say();
		this.later();
		const found = floorAt(this.mesh, at.x, at.y);
		this.dispatchEvent(new CustomEvent('pick', { detail: { ...at, z: found?.z, depth: found && elevationOf(this.plane, at.x, at.y) - found.z } }));
	}

	// say words what is under the cross.
	say() {
		this.canvas.setAttribute('aria-label', this.floor ? `${this.label}: ${this.departure ? 'departures from the plane' : 'depths of fill'}. Arrow keys move a cross and read the depth; the button Table shows the same as text.` : this.label);
		if (!this.mesh) {
			this.reading.textContent = '';
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
			this.reading.textContent = this.line ? '' : this.departure ? 'Tap the floor to read how far it is from the plane there.' : 'Tap the floor to read the depth there.';
			return;
		}
		const { x, y, name } = this.cross, u = this.unit;
		const found = floorAt(this.mesh, x, y), pin = name && this.floor.pins.find(p => p.name === name);
		const where = `${name ? name + ', ' : ''}${placeText(u, x)}, ${placeText(u, y)}`;
		if (!found) {
			this.reading.textContent = `${where}: not filled`;
			return;
		}
		const depth = elevationOf(this.plane, x, y) - found.z;
		const words = this.words(depth);
		const shot = this.floor.shots.find(s => s.name === name);
		this.reading.replaceChildren(make('strong', { textContent: words }), ` at ${where}; ${this.departure ? 'floor' : 'old floor'} ${levelText(u, found.z)}`
			+ (pin ? `; mark ${pin.text} above the old floor` : '') + (pin?.doubt ? `; depends on ${pin.doubt}, in doubt` : '') + (shot?.doubt ? `. ${shot.doubt}` : ''));
	}

	// words is a depth in words.
	words(depth) {
		const u = this.unit;
		if (this.departure) return depthText(u, depth) === depthText(u, 0) ? 'on the plane' : `${depthText(u, Math.abs(depth))} ${depth < 0 ? 'above' : 'below'} the plane`;
		return depth < 0 ? `${depthText(u, -depth)} above the top of fill` : `depth ${depthText(u, depth)}`;
	}

	drawKey() {
		this.key.replaceChildren(...this.shades.map(s => {
			const swatch = make('span', { className: 'plan-swatch' });
			swatch.style.background = s.color;
			return make('li', {}, swatch, s.text);
		}));
	}

	// drawSection draws the floor along the line below the plan.
	drawSection() {
		this.under.querySelector('.plan-section')?.remove();
		if (!this.line || !this.mesh) return;
		const { from, to } = this.line, u = this.unit, length = Math.hypot(to.x - from.x, to.y - from.y);
		const pieces = sectionOf(this.mesh, from, to);
		const box = make('figure', { className: 'plan-section' });
		if (!pieces.length) {
			box.append('The line does not cross the floor.');
			this.under.prepend(box);
			return;
		}
		const top = s => elevationOf(this.plane, from.x + (to.x - from.x) * s / length, from.y + (to.y - from.y) * s / length);
		const all = pieces.flat();
		const least = Math.min(...all.map(p => p[1]), top(0), top(length)), most = Math.max(...all.map(p => p[1]), top(0), top(length));
		const W = 640, H = 200, left = 8, right = 8, above = 26, below = 22;
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
			const fill = [...floor, ...[...piece].reverse().map(([s]) => `${X(s).toFixed(1)},${Y(top(s)).toFixed(1)}`)];
			picture.append(svg('polygon', { points: fill.join(' '), class: 'section-fill' }), svg('polyline', { points: floor.join(' '), class: 'section-floor' }));
		}
		picture.append(svg('line', { x1: X(0), y1: Y(top(0)), x2: X(length), y2: Y(top(length)), class: 'section-top' }),
			svg('text', { x: left, y: 14 }, 'A'), svg('text', { x: W - right, y: 14, 'text-anchor': 'end' }, 'B'),
			svg('text', { x: W / 2, y: 14, 'text-anchor': 'middle' }, `${placeText(u, length)}; heights × ${times < 10 ? times.toFixed(1) : Math.round(times)}; dashed: ${this.departure ? 'plane' : 'top of fill'}`));
		let deep = [0, -Infinity], shallow = [0, Infinity];
		for (const [s, z] of all) {
			const d = top(s) - z;
			if (d > deep[1]) deep = [s, d];
			if (d < shallow[1]) shallow = [s, d];
		}
		const said = ([s, d]) => `${this.words(d)}, ${placeText(u, s)} from A`;
		box.append(picture, make('figcaption', { textContent: `Lowest along the line: ${said(deep)}. Highest: ${said(shallow)}.` }));
		this.under.prepend(box);
	}

	// fillTable lists pins, or else shots.
	fillTable() {
		this.under.querySelector('.plan-table')?.remove();
		if (this.tableButton.getAttribute('aria-expanded') !== 'true' || !this.floor) return;
		const u = this.unit, box = make('div', { className: 'plan-table table' });
		const table = (title, heads, rows, all) => {
			const body = make('tbody', {}, ...rows.slice(0, mostRows).map(cells => make('tr', {}, ...cells.map((c, i) => make(i ? 'td' : 'th', i ? { textContent: c } : { textContent: c, scope: 'row' })))));
			box.append(make('table', {}, make('caption', { textContent: title }), make('thead', {}, make('tr', {}, ...heads.map(t => make('th', { textContent: t, scope: 'col' })))), body));
			if (all > mostRows) box.append(make('p', { textContent: `The first ${mostRows} of ${all}; pins.csv and result.json have all.` }));
		};
		const depth = (x, y) => {
			const found = floorAt(this.mesh, x, y);
			if (!found) return ['—', 'not filled'];
			const d = elevationOf(this.plane, x, y) - found.z;
			if (this.departure) return [levelText(u, found.z), this.words(d)];
			return [levelText(u, found.z), d < 0 ? depthText(u, -d) + ' above' : depthText(u, d)];
		};
		if (this.on.pins && this.floor.pins.length) {
			table('Grade pins', ['Pin', 'Where', 'Depth', 'Mark', 'Set'], this.floor.pins.slice(0, mostRows).map(p => [p.name, p.where, depthText(u, p.depth_m), p.text + (p.doubt ? ' (in doubt)' : ''), this.ticked.has(p.name) ? 'yes' : 'no']), this.floor.pins.length);
		} else {
			table('Shots', ['Shot', 'x', 'y', this.departure ? 'Floor' : 'Old floor', this.departure ? 'From the plane' : 'Depth'], this.floor.shots.slice(0, mostRows).map(s => [s.name + (s.doubt ? ' (in doubt)' : ''), placeText(u, s.x), placeText(u, s.y), ...depth(s.x, s.y)]), this.floor.shots.length);
		}
		this.under.append(box);
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
			} else if (this.mode === 'section' && this.line) {
				this.drawSection();
				this.say();
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
		this.laid = null;
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
