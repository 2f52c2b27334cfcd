// The floor as triangles: depths at places, sections, contour lines, and its picture in
// pixels. Lengths are metres on the grid of the survey. Nothing here is a result: volumes
// and verdicts come from the engine.

// meshOf reads the regions of a floor out of the parts of a reply: for each region x, y and
// elevation of its vertices, from its origin, then the corners of its triangles, and the elevation
// of a target that bends at each vertex.
export function meshOf(floor, parts) {
	const bytes = parts.byteOffset % 8 === 0 ? parts : parts.slice();
	let at = bytes.byteOffset;
	const take = (Kind, n) => {
		const all = new Kind(bytes.buffer, at, n);
		at += Math.ceil(all.byteLength / 8) * 8;
		return all;
	};
	return floor.regions.map(r => ({ name: r.name, x: r.x, y: r.y, at: take(Float64Array, 3 * r.vertices), corners: take(Uint32Array, 3 * r.triangles), top: floor.tops ? take(Float64Array, r.vertices) : null }));
}

// sizeOf returns the bytes of the regions of a floor in the parts of a reply.
export function sizeOf(floor) {
	return floor.regions.reduce((n, r) => n + (floor.tops ? 32 : 24) * r.vertices + Math.ceil(12 * r.triangles / 8) * 8, 0);
}

// elevationOf returns the elevation of a target at a place. found is the floor there: a target that
// bends has none off it.
export function elevationOf(target, x, y, found) {
	if (target.bends) return found && found.top + (target.up ?? 0);
	return target.z + target.slope_x * (x - target.x) + target.slope_y * (y - target.y);
}

// depthsOf returns the depth of each vertex below a target, region by region.
export function depthsOf(mesh, target) {
	return mesh.map(({ x, y, at, top }) => {
		const out = new Float64Array(at.length / 3), up = target.up ?? 0;
		for (let i = 0; i < out.length; i++) out[i] = (target.bends ? top[i] + up : elevationOf(target, x + at[3 * i], y + at[3 * i + 1])) - at[3 * i + 2];
		return out;
	});
}

// floorAt returns the elevation of the floor at a place and that of a target that bends, undefined
// off it. Two triangles work
// a common edge out from the same products, so that no place falls between them.
export function floorAt(mesh, x, y) {
	for (const r of mesh) {
		const { at, corners } = r, u0 = x - r.x, v0 = y - r.y;
		const side = (a, b) => (at[a] - u0) * (at[b + 1] - v0) - (at[a + 1] - v0) * (at[b] - u0);
		for (let k = 0; k < corners.length; k += 3) {
			const a = 3 * corners[k], b = 3 * corners[k + 1], c = 3 * corners[k + 2];
			const u = side(b, c);
			if (u < 0) continue;
			const v = side(c, a);
			if (v < 0) continue;
			const w = side(a, b);
			if (w < 0 || u + v + w === 0) continue;
			const mean = (p, q, s) => (u * p + v * q + w * s) / (u + v + w), top = r.top;
			return { z: mean(at[a + 2], at[b + 2], at[c + 2]), top: top && mean(top[a / 3], top[b / 3], top[c / 3]), region: r.name };
		}
	}
}

// isWithin reports whether a place is inside a ring of corners.
export function isWithin(ring, x, y) {
	let inside = false;
	ring.forEach((a, i) => {
		const b = ring[(i + 1) % ring.length];
		if (b[1] > y !== a[1] > y && x < (b[0] - a[0]) * ((y - a[1]) / (b[1] - a[1])) + a[0]) inside = !inside;
	});
	return inside;
}

// sectionOf cuts the floor along a line: pieces of places, each the distance along the line
// the elevation of the floor and that of a target that bends, with a place at every edge of a
// triangle that the line crosses.
export function sectionOf(mesh, from, to) {
	const length = Math.hypot(to.x - from.x, to.y - from.y);
	if (!(length > 0)) return [];
	const ux = (to.x - from.x) / length, uy = (to.y - from.y) / length;
	const cuts = [];
	for (const r of mesh) {
		const { at, corners, top } = r;
		for (let k = 0; k < corners.length; k += 3) {
			const hits = [];
			for (let e = 0; e < 3; e++) {
				const a = 3 * corners[k + e], b = 3 * corners[k + (e + 1) % 3];
				const ax = at[a] + r.x - from.x, ay = at[a + 1] + r.y - from.y, bx = at[b] + r.x - from.x, by = at[b + 1] + r.y - from.y;
				const p = ux * ay - uy * ax, q = ux * by - uy * bx; // distances from the line
				if (p > 0 === q > 0) continue;
				const s = p / (p - q);
				hits.push([(ux * ax + uy * ay) * (1 - s) + (ux * bx + uy * by) * s, at[a + 2] * (1 - s) + at[b + 2] * s, top && top[a / 3] * (1 - s) + top[b / 3] * s]);
			}
			if (hits.length === 2) cuts.push(hits[0][0] < hits[1][0] ? hits : [hits[1], hits[0]]);
		}
	}
	const within = cuts.map(([a, b]) => clipped(a, b, 0, length)).filter(c => c && c[1][0] > c[0][0]);
	within.sort((a, b) => a[0][0] - b[0][0]);
	const pieces = [];
	for (const [a, b] of within) {
		const last = pieces.at(-1), end = last?.at(-1);
		if (end && a[0] - end[0] < 1e-6) {
			if (b[0] > end[0]) last.push(b);
		} else {
			pieces.push([a, b]);
		}
	}
	return pieces;
}

function clipped(a, b, from, to) {
	const at = s => [s, ...[1, 2].map(k => a[k] + (b[k] - a[k]) * (s - a[0]) / (b[0] - a[0]))];
	if (b[0] <= from || a[0] >= to) return null;
	return [a[0] < from ? at(from) : a, b[0] > to ? at(to) : b];
}

// edgesOf returns the outer edges of the triangles of a region, as closed lines of vertices.
export function edgesOf({ corners }) {
	const next = new Map(), twins = new Set(), name = (a, b) => a * 2 ** 26 + b;
	for (let k = 0; k < corners.length; k++) twins.add(name(corners[k], corners[k % 3 < 2 ? k + 1 : k - 2]));
	for (let k = 0; k < corners.length; k++) {
		const a = corners[k], b = corners[k % 3 < 2 ? k + 1 : k - 2];
		if (twins.has(name(b, a))) continue;
		if (!next.has(a)) next.set(a, []);
		next.get(a).push(b); // two where the floor meets itself
	}
	const out = [];
	for (const from of next.keys()) {
		while (next.get(from).length) {
			const line = [from];
			for (let v = next.get(from).pop(); v !== from; v = next.get(v).pop()) line.push(v);
			out.push([...line, from]);
		}
	}
	return out;
}

// linesOf returns the lines of equal depth at some limits, as x1, y1, x2, y2 one after the
// other, for a drawing.
export function linesOf(mesh, depths, limits) {
	const out = [];
	mesh.forEach((r, i) => {
		const { at, corners } = r, d = depths[i];
		for (let k = 0; k < corners.length; k += 3) {
			const v = [corners[k], corners[k + 1], corners[k + 2]];
			const least = Math.min(d[v[0]], d[v[1]], d[v[2]]), most = Math.max(d[v[0]], d[v[1]], d[v[2]]);
			for (const level of limits) {
				if (level <= least || level > most) continue;
				for (let e = 0; e < 3; e++) {
					const a = v[e], b = v[(e + 1) % 3];
					if (d[a] < level === d[b] < level) continue;
					const s = (level - d[a]) / (d[b] - d[a]);
					out.push(r.x + at[3 * a] + (at[3 * b] - at[3 * a]) * s, r.y + at[3 * a + 1] + (at[3 * b + 1] - at[3 * a + 1]) * s);
				}
			}
		}
	});
	return out;
}

// Raster is a picture of triangles in pixels: the value at each pixel centre, NaN beside them,
// and how bright its triangle is. Of several triangles at a pixel the nearest is kept.
export class Raster {
	constructor(width, height) {
		this.width = width;
		this.height = height;
		this.value = new Float32Array(width * height).fill(NaN);
		this.far = new Float32Array(width * height).fill(Infinity);
		this.light = new Uint8Array(width * height);
	}

	// triangle draws one triangle: x and y of its corners in pixels, their distances from the
	// viewer and their values, and its light from 0 to 255.
	triangle(x0, y0, x1, y1, x2, y2, f0, f1, f2, v0, v1, v2, light) {
		const det = (x1 - x0) * (y2 - y0) - (x2 - x0) * (y1 - y0);
		if (det === 0 || !Number.isFinite(det)) return;
		const plane = (a, b, c) => {
			const gx = ((b - a) * (y2 - y0) - (c - a) * (y1 - y0)) / det, gy = ((c - a) * (x1 - x0) - (b - a) * (x2 - x0)) / det;
			return [a - gx * x0 - gy * y0, gx, gy];
		};
		const [va, vx, vy] = plane(v0, v1, v2), [fa, fx, fy] = plane(f0, f1, f2);
		const { width, height, value, far } = this;
		const low = Math.max(0, Math.ceil(Math.min(y0, y1, y2) - 0.5)), high = Math.min(height - 1, Math.floor(Math.max(y0, y1, y2) - 0.5));
		for (let row = low; row <= high; row++) {
			const y = row + 0.5;
			let left = Infinity, right = -Infinity;
			const edge = (ax, ay, bx, by) => {
				if (ay > y === by > y) return;
				const x = ax + (bx - ax) * (y - ay) / (by - ay);
				left = Math.min(left, x);
				right = Math.max(right, x);
			};
			edge(x0, y0, x1, y1);
			edge(x1, y1, x2, y2);
			edge(x2, y2, x0, y0);
			const end = Math.min(width - 1, Math.ceil(right - 0.5) - 1);
			for (let i = Math.max(0, Math.ceil(left - 0.5)); i <= end; i++) {
				const x = i + 0.5, k = row * width + i, f = fa + fx * x + fy * y;
				if (f >= far[k]) continue;
				far[k] = f;
				value[k] = va + vx * x + vy * y;
				this.light[k] = light;
			}
		}
	}

	// colored returns the pixels in the colours of some shades, each with the value that it ends at.
	colored(shades) {
		const { width, height, value, light } = this;
		const out = new ImageData(width, height), px = out.data;
		const inks = shades.map(s => [1, 3, 5].map(i => parseInt(s.color.slice(i, i + 2), 16)));
		const ends = shades.map(s => s.to_m);
		const last = ends.length - 1, hair = 1e-6; // m: a floor all at the end of a shade is in it
		for (let k = 0, o = 0; k < value.length; k++, o += 4) {
			const d = value[k];
			if (d !== d) continue;
			let i = 0;
			while (i < last && d >= ends[i] + hair) i++;
			const ink = inks[i], l = light[k] / 255;
			px[o] = ink[0] * l;
			px[o + 1] = ink[1] * l;
			px[o + 2] = ink[2] * l;
			px[o + 3] = 255;
		}
		return out;
	}
}
