// How a Plan draws on its canvas: the floor flat or at a slant, and what is marked on it.

import { Raster, edgesOf, elevationOf, floorAt, linesOf } from './mesh.js';

const fallInk = '#5b2a86'; // of ridges and valleys, on every shade of depth

// passes reports whether the piece from a to b passes through a box.
function passes([ax, ay], [bx, by], [x0, y0, x1, y1]) {
	let from = 0, to = 1;
	for (const [p, d, lo, hi] of [[ax, bx - ax, x0, x1], [ay, by - ay, y0, y1]]) {
		if (d === 0) {
			if (p <= lo || p >= hi) return false;
			continue;
		}
		from = Math.max(from, Math.min((lo - p) / d, (hi - p) / d));
		to = Math.min(to, Math.max((lo - p) / d, (hi - p) / d));
	}
	return from < to;
}

// drawing are methods of Plan.
export const drawing = {
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
		g.putImageData(this.raster.colored((slant ? this : this.spread ?? this).shades), 0, 0);
		g.setTransform(ratio, 0, 0, ratio, 0, 0);
		const style = getComputedStyle(this.canvas);
		this.ink = style.color || '#1b1b1b';
		this.paper = style.getPropertyValue('--paper').trim() || '#ffffff';
		this.font = style.fontFamily;
		if (slant) this.drawSlantLines(g);
		else this.drawPlan(g);
	},

	flat(width, height, ratio) {
		const r = new Raster(width, height), { w, h } = this.size(), v = this.view, s = v.scale * ratio;
		(this.spread ?? this).mesh.forEach((g, i) => {
			const { at, corners } = g, d = this.spread ? this.spread.of[i] : this.depths[i];
			const ox = w * ratio / 2 + (g.x - v.x) * s, oy = h * ratio / 2 - (g.y - v.y) * s;
			for (let k = 0; k < corners.length; k += 3) {
				const a = corners[k], b = corners[k + 1], c = corners[k + 2];
				r.triangle(ox + at[3 * a] * s, oy - at[3 * a + 1] * s, ox + at[3 * b] * s, oy - at[3 * b + 1] * s, ox + at[3 * c] * s, oy - at[3 * c + 1] * s, 0, 0, 0, d[a], d[b], d[c], 255);
			}
		});
		return r;
	},

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
		for (const tops of this.plane.bends ? this.mesh.map(g => g.top) : [[elevationOf(this.plane, mx, my)]]) {
			for (const z of tops) {
				least = Math.min(least, z + (this.plane.up ?? 0));
				most = Math.max(most, z + (this.plane.up ?? 0));
			}
		}
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
	},

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
	},

	drawSlantLines(g) {
		const view = this.slant();
		g.lineWidth = 1.5;
		g.strokeStyle = this.ink;
		const line = places => {
			g.beginPath();
			places.forEach((p, i) => {
				const [px, py] = view.at(...p);
				if (i) g.lineTo(px, py);
				else g.moveTo(px, py);
			});
			g.stroke();
		};
		const rings = [...this.floor.regions.flatMap(r => r.rings), ...this.floor.openings];
		g.setLineDash([6, 4]); // the target
		if (this.plane.bends) {
			const up = this.plane.up ?? 0;
			this.mesh.forEach(m => (m.edges ??= edgesOf(m)).forEach(edge => line(edge.map(v => [m.x + m.at[3 * v], m.y + m.at[3 * v + 1], m.top[v] + up]))));
			for (const l of this.plane.lines ?? []) line(l.places);
		} else {
			for (const ring of rings) line([...ring, ring[0]].map(([x, y]) => [x, y, elevationOf(this.plane, x, y)]));
		}
		g.setLineDash([]);
		for (const ring of rings) {
			for (const [x, y] of ring) {
				const found = floorAt(this.mesh, x, y);
				if (found) line([[x, y, found.z], [x, y, elevationOf(this.plane, x, y, found)]]);
			}
		}
		this.letter(g, [`heights × ${view.times}; dashed: ${this.dashed()}`], 8, this.size().h - 10, 'left');
	},

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
		if (this.wet) {
			this.drawWater(g);
		} else if (this.on.contours) {
			const { mesh, shades } = this.spread ?? this;
			this.lines ??= linesOf(mesh, this.spread?.of ?? this.depths, shades.slice(0, -1).map(s => s.to_m));
			g.beginPath();
			for (let i = 0; i < this.lines.length; i += 4) {
				g.moveTo(...this.onScreen(this.lines[i], this.lines[i + 1]));
				g.lineTo(...this.onScreen(this.lines[i + 2], this.lines[i + 3]));
			}
			g.strokeStyle = 'rgba(27, 27, 27, .55)';
			g.lineWidth = 0.8;
			g.stroke();
		}
		if (this.on.falls) this.drawFalls(g);
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
		// All marks first: no lettering is below one.
		const taken = [], letters = [];
		this.cuts = [];
		this.bars = [...this.floor.regions.flatMap(r => r.rings), ...this.floor.openings].flatMap(ring => {
			const at = ring.map(p => this.onScreen(...p));
			return at.map((p, i) => [p, at[(i + 1) % at.length]]);
		});
		this.drawMarks(g, taken, letters);
		if (this.wet) this.nameWater(g, taken, letters);
		if (this.on.falls) this.drawDrains(g, taken, letters);
		if (this.on.pins) this.drawPins(g, taken, letters);
		if (this.on.doors) this.drawDoors(g, taken, letters);
		if (this.on.shots) this.drawShots(g, taken, letters);
		this.drawLine(g, taken, letters);
		this.drawEdge(g, taken);
		for (const write of letters) write();
		if (this.walls) this.drawWalls(g);
		this.drawCross(g);
	},

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
	},

	// room letters a text beside a mark of a radius where nothing else is, across a wall only where
	// it must, or leaves it out.
	room(g, taken, text, px, py, size = 12, bold = false, radius = 0) {
		return [[...this.bars, ...this.cuts], this.bars, []].some(clear => this.beside(g, taken, [text], px, py, size, bold, radius, clear));
	},

	// beside letters lines of text across none of the pieces of clear.
	beside(g, taken, lines, px, py, size, bold, radius, clear) {
		g.font = `${bold ? '700' : '400'} ${size}px ${this.font}`;
		const high = size * 1.15 * (lines.length - 1); // between the first line and the last
		const w = Math.max(...lines.map(t => g.measureText(t).width)) + 4, h = high + size + 4, { w: W, h: H } = this.size();
		const up = Math.max(size + 4, h / 2 + radius + 1), side = w / 2 + Math.max(8, radius + 2), end = Math.max(0, w / 2 - radius);
		for (const [dx, dy] of [[0, -up], [0, up], [side, 0], [-side, 0], [side - 2, -up * 0.8], [2 - side, up * 0.8], [end, -up], [end, up], [-end, -up], [-end, up], [side, -h / 2], [side, h / 2], [-side, -h / 2], [-side, h / 2]]) {
			const x = px + dx, y = py + dy, box = [x - w / 2, y - h / 2, x + w / 2, y + h / 2];
			if (box[0] < 0 || box[1] < 0 || box[2] > W || box[3] > H) continue;
			if (taken.some(b => box[0] < b[2] && box[2] > b[0] && box[1] < b[3] && box[3] > b[1])) continue;
			if (clear.some(([a, b]) => passes(a, b, box))) continue;
			taken.push(box);
			this.letter(g, lines, x, y - high / 2, 'center', size, bold);
			return true;
		}
		return false;
	},

	claim(taken, x, y, r) { taken.push([x - r, y - r, x + r, y + r]); },

	drawMarks(g, taken, letters) {
		for (const m of [...this.marked, ...this.nexts]) {
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
				letters.push(() => this.room(g, taken, m.text, x, y, 14, true));
				continue;
			}
			g.beginPath();
			g.arc(x, y, 10, 0, 2 * Math.PI);
			g.lineWidth = 3;
			g.strokeStyle = { next: '#1b5fae', extreme: this.ink }[m.kind] ?? '#b3261e';
			g.stroke();
			this.claim(taken, x, y, 11);
			letters.push(() => this.room(g, taken, m.text, x, y, 13, true, 11));
		}
	},

	// drawWater draws the water over a pale floor.
	drawWater(g) {
		const fill = (loops, ink) => {
			g.beginPath();
			for (const loop of loops) {
				loop.forEach(([x, y], i) => {
					if (i) g.lineTo(...this.onScreen(x, y));
					else g.moveTo(...this.onScreen(x, y));
				});
				g.closePath();
			}
			g.fillStyle = ink;
			g.fill('evenodd');
		};
		for (const r of this.floor.regions) fill(r.rings, '#f4f1ea');
		for (const s of this.wet.shades) fill(s.loops, s.color);
		if (!this.wet.shades.length) return;
		fill(this.wet.shades[0].loops, 'rgba(0, 0, 0, 0)');
		g.lineWidth = 1.5;
		g.strokeStyle = '#1d6aa6';
		g.stroke();
	},

	// nameWater letters the deepest places of the ponds.
	nameWater(g, taken, letters) {
		for (const p of this.wet.ponds) {
			const [x, y] = this.onScreen(...p.at);
			g.beginPath();
			g.arc(x, y, 3, 0, 2 * Math.PI);
			g.fillStyle = '#1b1b1b';
			g.fill();
			this.claim(taken, x, y, 4);
			letters.push(() => this.room(g, taken, p.text, x, y, 13, true, 10));
		}
	},

	// bare reports whether the floor is shown as it was surveyed, without the target.
	bare() { return this.wet && !this.wet.target; },

	// drawFalls draws the lines along which the target bends: valleys whole, ridges dashed.
	drawFalls(g) {
		for (const l of this.bare() ? [] : this.plane.lines ?? []) {
			g.beginPath();
			l.places.forEach(([x, y], i) => {
				if (i) g.lineTo(...this.onScreen(x, y));
				else g.moveTo(...this.onScreen(x, y));
			});
			for (const [width, ink, dash] of [[4, '#ffffff', []], [1.8, fallInk, l.valley ? [] : [7, 4]]]) {
				g.lineWidth = width;
				g.strokeStyle = ink;
				g.setLineDash(dash);
				g.stroke();
			}
		}
		g.setLineDash([]);
	},

	// drawDrains draws the drains that were shot, and the drains and channels that the target falls to.
	drawDrains(g, taken, letters) {
		const planned = this.bare() ? [] : this.plane.drains ?? [];
		for (const d of this.floor.drains ?? []) {
			if (planned.some(e => e.name === d.name)) continue;
			const [x, y] = this.onScreen(d.x, d.y);
			g.beginPath();
			g.arc(x, y, 6, 0, 2 * Math.PI);
			g.fillStyle = '#ffffff';
			g.fill();
			g.lineWidth = 2;
			g.strokeStyle = '#1b1b1b';
			g.stroke();
			this.claim(taken, x, y, 7);
			letters.push(() => this.room(g, taken, d.name, x, y, 13, true, 7));
		}
		for (const d of planned) {
			const ends = d.ends.map(end => this.onScreen(...end));
			for (const [width, ink] of [[8, '#1b1b1b'], [4, '#ffffff']]) {
				g.beginPath();
				g.moveTo(...ends[0]);
				g.lineTo(...ends.at(-1));
				g.lineWidth = width;
				g.strokeStyle = ink;
				g.stroke();
			}
			for (const [x, y] of ends) {
				g.fillStyle = '#ffffff';
				g.fillRect(x - 6, y - 6, 12, 12);
				g.lineWidth = 2;
				g.strokeStyle = '#1b1b1b';
				g.strokeRect(x - 6, y - 6, 12, 12);
				g.beginPath();
				g.moveTo(x - 6, y - 6);
				g.lineTo(x + 6, y + 6);
				g.moveTo(x + 6, y - 6);
				g.lineTo(x - 6, y + 6);
				g.stroke();
				this.claim(taken, x, y, 8);
			}
			const [x, y] = ends.length > 1 ? [(ends[0][0] + ends[1][0]) / 2, (ends[0][1] + ends[1][1]) / 2] : ends[0];
			letters.push(() => this.room(g, taken, `${d.name} ${d.text}`, x, y, 13, true, 8) || this.room(g, taken, d.name, x, y, 13, true, 8));
		}
	},

	drawPins(g, taken, letters) {
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
		for (const { p, at: [x, y] } of all) letters.push(() => this.room(g, taken, p.depth_m > 0 ? p.text : 'none', x, y, 13, true, 7));
	},

	drawDoors(g, taken, letters) {
		for (const d of this.floor.doors) {
			const [x, y] = this.onScreen(d.x, d.y);
			g.fillStyle = this.ink;
			g.fillRect(x - 4, y - 4, 8, 8);
			this.claim(taken, x, y, 5);
			const change = this.thresholds.find(t => t.x === d.x && t.y === d.y)?.sign;
			letters.push(() => {
				const all = `${d.name} ${change}`;
				const apart = [[...this.bars, ...this.cuts], this.bars].some(clear => [[all], [d.name, change]].some(lines => change && this.beside(g, taken, lines, x, y, 12, true, 5, clear)));
				if (!apart && !(change && this.room(g, taken, all, x, y, 12, true, 5))) this.room(g, taken, d.name, x, y, 13, true, 5);
			});
		}
	},

	drawShots(g, taken, letters) {
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
			letters.push(() => this.room(g, taken, s.name, x, y, 12, true, 9));
		}
		if (!this.on.names || this.on.pins || gap < 36) return;
		for (const s of this.floor.shots) {
			const [x, y] = this.onScreen(s.x, s.y);
			if (!s.doubt) letters.push(() => this.room(g, taken, s.name, x, y, 11));
		}
	},

	drawLine(g, taken, letters) {
		if (!this.line) return;
		const a = this.onScreen(this.line.from.x, this.line.from.y), b = this.onScreen(this.line.to.x, this.line.to.y);
		g.beginPath();
		g.moveTo(...a);
		g.lineTo(...b);
		g.lineWidth = 3;
		g.strokeStyle = '#b3261e';
		g.stroke();
		this.cuts.push([a, b]);
		letters.unshift(() => {
			for (const [name, [x, y]] of [['A', a], ['B', b]]) {
				if (!this.room(g, taken, name, x, y, 14, true)) this.letter(g, [name], x, y - 12, 'center', 14, true);
			}
		});
	},

	// handles lists the corners of the walls being edited, and the middles of walls, where a
	// corner can be added.
	handles() {
		const out = [];
		this.walls.forEach((ring, r) => ring.forEach((p, i) => {
			const q = ring[(i + 1) % ring.length];
			out.push({ r, i, at: p, corner: true }, { r, i, at: [(p[0] + q[0]) / 2, (p[1] + q[1]) / 2], corner: false });
		}));
		return out;
	},

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
	},

	// drawEdge draws the laid straightedge: its supports and its largest gap, if there is one.
	drawEdge(g, taken) {
		if (!this.laid?.fits || this.laid.gap_m === 0) return;
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
			this.claim(taken, x, y, 7);
		}
		const [x, y] = this.onScreen(...this.laid.low);
		this.claim(taken, x, y, 10);
		g.beginPath();
		g.arc(x, y, 9, 0, 2 * Math.PI);
		g.lineWidth = 3;
		g.strokeStyle = '#b3261e';
		g.stroke();
	},

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
	},
};
