// Walls drawn on the page, as a file that the engine and the command read: corners in metres,
// one part, its openings as holes.

export const drawn = 'walls-drawn.csv';
const head = 'part,ring,x (m),y (m)';

// wallsText is the file of some rings, the outer one first.
export function wallsText(rings) {
	const rows = rings.flatMap((ring, r) => ring.map(([x, y]) => `${r ? 'opening ' + r : 'room'},${r ? 'hole' : 'outer'},${place(x)},${place(y)}`));
	return [head, ...rows].join('\n') + '\n';
}

// place is to a tenth of a millimetre: finer than a wall can be drawn.
const place = m => String(Number(m.toFixed(4)));

// wallsOf reads the rings of such a file.
export function wallsOf(text) {
	const rings = [];
	let last = '';
	for (const line of text.trim().split('\n').slice(1)) {
		const [part, , x, y] = line.split(',');
		if (part !== last) rings.push([]);
		last = part;
		rings.at(-1).push([Number(x), Number(y)]);
	}
	return rings;
}

// around is a first outline: the rectangle of some places, a hand's width outside them.
export function around(shots, margin = 0.15) {
	const xs = shots.map(s => s.x), ys = shots.map(s => s.y);
	const x0 = Math.min(...xs) - margin, x1 = Math.max(...xs) + margin, y0 = Math.min(...ys) - margin, y1 = Math.max(...ys) + margin;
	return [[[x0, y0], [x1, y0], [x1, y1], [x0, y1]]];
}
