// The field book as numbers and as files: lengths as they are typed, walls as they are
// walked, the places of the shots, and the two files that the engine reads. Nothing in here
// touches the page.

// A length is a whole number of steps, so that what was typed is what is written: 1/16 in
// (feet), 0.001 ft (tenths) or 0.1 mm (metric).
export const stepOf = units => ({ feet: 0.0254 / 16, tenths: 0.3048 / 1000 })[units] ?? 1e-4;

const perInch = 16, perFoot = 12 * perInch, perMetre = 10_000;

// inFeet reports whether lengths are in feet, with inches or with tenths.
export const inFeet = units => units !== 'metric';

// own is a limit of our choice in steps, in feet or in millimetres.
export const own = (units, feet, mm) => inFeet(units) ? Math.round(feet * (units === 'feet' ? perFoot : 1000)) : mm * 10;

// parseLength reads a length as it is typed on the keys: {steps} or {error}.
export function parseLength(text, units) {
	const t = text.trim().replace(/[’′]/g, "'").replace(/[”″]/g, '"').replace(',', '.');
	if (t === '') return { error: 'type a length' };
	return { feet: parseFeet, tenths: parseTenths }[units]?.(t) ?? parseMetric(t);
}

// parseTenths reads feet with tenths and hundredths, as an engineer's rod has them.
function parseTenths(t) {
	const m = /^(\d{1,4})?(?:\.(\d*))?\s*(?:ft|')?$/.exec(t);
	if (!m || !m[1] && !m[2]) return { error: `found ${t}, want feet with tenths and hundredths such as 4.37` };
	const digits = (m[2] ?? '').replace(/0+$/, '');
	if (digits.length > 3) return { error: `found ${t}, want no finer than 0.001 ft` };
	return { steps: +((m[1] ?? '0') + digits.padEnd(3, '0')) };
}

function parseFeet(t) {
	const like = `want feet and inches such as 4' 5 3/16`;
	const m = /^(?:(\d{1,4})\s*(?:'|ft|-)\s*-?)?\s*(\d{1,5})?(?:[\s-]*?(?<=[\s'"-]|^)(\d{1,2})\/(\d{1,2}))?\s*("|in)?$/.exec(t);
	if (!m) return { error: `found ${t}, ${like}` };
	const [, feet, whole, over, under, inches] = m;
	if (over !== undefined && (![2, 4, 8, 16].includes(+under) || +over >= +under)) {
		return { error: `found ${over}/${under}, want a fraction of an inch to sixteenths` };
	}
	if (feet === undefined && inches === undefined && over === undefined && +whole !== 0) {
		return { error: `${whole} feet or ${whole} inches? Tap ft or in.` };
	}
	if (feet === undefined && inches === undefined && +(whole ?? 0) >= 12) return { error: `found ${t}: tap ft after the feet, or in if all of it is inches` };
	if (feet !== undefined && +(whole ?? 0) >= 12) return { error: `found ${whole} inches beside feet, want less than 12` };
	return { steps: +(feet ?? 0) * perFoot + +(whole ?? 0) * perInch + (over === undefined ? 0 : over * perInch / under) };
}

function parseMetric(t) {
	const m = /^(\d*)(\.\d*)?\s*(mm|m)?$/.exec(t);
	if (!m || m[1] === '' && (m[2] ?? '.') === '.') return { error: `found ${t}, want metres such as 1.312 or millimetres such as 1312` };
	const [, whole, part = '', unit] = m;
	const digits = part.slice(1).replace(/0+$/, '');
	const value = +(whole + part);
	const mm = unit ? unit === 'mm' : value >= 100;
	if (!unit && value !== 0 && !mm && part === '') return { error: `${t} metres or millimetres? Tap m or mm.` };
	const places = mm ? 1 : 4;
	if (digits.length > places) return { error: `found ${t}, want no finer than 0.1 mm` };
	if (value > (mm ? 1e6 : 1e3)) return { error: `found ${t}, want less than 1,000 m` };
	return { steps: +((whole || '0') + digits.padEnd(places, '0')) };
}

// fraction is sixteenths in their lowest terms.
function fraction(sixteenths) {
	let under = perInch;
	while (sixteenths % 2 === 0) {
		sixteenths /= 2;
		under /= 2;
	}
	return sixteenths + '/' + under;
}

function inchesText(steps) {
	const whole = Math.floor(steps / perInch), rest = steps % perInch;
	if (rest === 0) return String(whole);
	return (whole > 0 ? whole + ' ' : '') + fraction(rest);
}

function metresText(steps) {
	const digits = String(steps).padStart(5, '0');
	return digits.slice(0, -4) + '.' + digits.slice(-4).replace(/0$/, '');
}

// tenthsText has two decimals, three where they are needed.
const tenthsText = steps => (steps / 1000).toFixed(3).replace(/0$/, '');

// lengthText writes a length for a reader.
export function lengthText(steps, units) {
	const sign = steps < 0 ? '−' : '';
	steps = Math.abs(steps);
	if (units === 'tenths') return sign + tenthsText(steps) + ' ft';
	if (units !== 'feet') return sign + metresText(steps) + ' m';
	const feet = Math.floor(steps / perFoot);
	return sign + (feet > 0 ? feetText(feet, steps % perFoot) : inchesText(steps)) + '"';
}

// feetText is 4'-0 3/16, not 4'-3/16.
const feetText = (feet, rest) => `${feet}'-${rest > 0 && rest < perInch ? '0 ' : ''}${inchesText(rest)}`;

// smallText writes a difference: in inches, or in mm.
export function smallText(steps, units) {
	steps = Math.abs(steps);
	if (units === 'tenths') return tenthsText(steps) + ' ft';
	return units === 'feet' ? inchesText(steps) + '"' : +(steps / 10).toFixed(1) + ' mm';
}

// cellOf writes a length for a column whose head has its unit.
export function cellOf(steps, units) {
	const sign = steps < 0 ? '-' : '';
	steps = Math.abs(steps);
	if (units === 'tenths') return sign + tenthsText(steps);
	if (units !== 'feet') return sign + metresText(steps);
	const inches = steps % perFoot, rest = inches % perInch;
	return sign + Math.floor(steps / perFoot) + '-' + Math.floor(inches / perInch) + (rest ? ' ' + fraction(rest) : '');
}

// parseElevation reads an elevation: {metres, cell} or {error}. In feet it may be decimal.
export function parseElevation(text, units) {
	const t = text.trim().replace(',', '.');
	const plain = /^(-?)(\d{1,5}(?:\.\d{0,4})?)\s*(ft|m)?$/.exec(t);
	if (inFeet(units)) {
		if (plain && plain[3] !== 'm') return { metres: +(plain[1] + plain[2]) * 0.3048, cell: plain[1] + plain[2].replace(/\.$/, '') };
		if (units === 'tenths') return { error: `found ${t}, want feet such as 100.00` };
		const long = parseFeet(t.replace(/[’′]/g, "'").replace(/[”″]/g, '"'));
		if (long.error) return { error: `found ${t}, want feet such as 100.00 or 99' 11 1/2` };
		return { metres: long.steps * stepOf(units), cell: feetText(Math.floor(long.steps / perFoot), long.steps % perFoot) + '"' };
	}
	if (!plain || plain[3] === 'ft' || !plain[2].includes('.') && +plain[2] >= 1000) return { error: `found ${t}, want metres such as 10.000` };
	return { metres: +(plain[1] + plain[2]), cell: plain[1] + plain[2].replace(/\.$/, '') };
}

// Walls are walked round from the first corner, the first of them along +x. A wall is
// {len, turn} with the turn at its end, 'left' or 'right', or {to: [x, y], way} with its end as
// distances along wall 1 and square to it, left of it positive, and the direction of the wall
// after it.

const turned = ([x, y], w) => w.way ?? (w.turn === 'left' ? [-y, x] : [y, -x]);

// walk returns the corners of walls, where they end, and the direction of the next wall.
export function walk(walls) {
	const corners = [];
	let at = [0, 0], way = [1, 0];
	for (const w of walls) {
		corners.push(at);
		at = w.to ?? [at[0] + way[0] * w.len, at[1] + way[1] * w.len];
		way = turned(way, w);
	}
	return { corners, end: at, way };
}

// closing is what is left to the first corner: ahead of the last turn and to the left of it.
export function closing(walls) {
	const { end: [x, y], way: [u, v] } = walk(walls);
	return { ahead: -x * u - y * v, left: x * v - y * u };
}

// closers lists the walls with another length that would close the walk along each
// direction that is open: [{wall, len}].
export function closers(walls) {
	const { end } = walk(walls);
	const out = [];
	let way = [1, 0];
	walls.forEach((w, i) => {
		if (!w.to) {
			const along = way[0] * end[0] + way[1] * end[1];
			const len = w.len - along;
			if (along !== 0 && len > 0) out.push({ wall: i, len });
		}
		way = turned(way, w);
	});
	return out;
}

const cross = (o, a, b) => (a[0] - o[0]) * (b[1] - o[1]) - (a[1] - o[1]) * (b[0] - o[0]);

function touches(a, b, c, d) {
	const on = (p, q, r) => cross(p, q, r) === 0 && Math.min(p[0], q[0]) <= r[0] && r[0] <= Math.max(p[0], q[0]) && Math.min(p[1], q[1]) <= r[1] && r[1] <= Math.max(p[1], q[1]);
	const s = (o, p, q) => Math.sign(cross(o, p, q));
	return s(a, b, c) * s(a, b, d) < 0 && s(c, d, a) * s(c, d, b) < 0 || on(a, b, c) || on(a, b, d) || on(c, d, a) || on(c, d, b);
}

// clash returns two walls that cross or touch elsewhere than at their common corner, or
// undefined. The last wall ends at end; closing means that it is meant to end where the walk
// began, though it may miss.
export function clash(corners, end, closing) {
	const n = corners.length;
	const wall = i => [corners[i], i + 1 < n ? corners[i + 1] : end];
	for (let i = 0; i < n; i++) {
		for (let j = i + 1; j < n; j++) {
			const [a, b] = wall(i), [c, d] = wall(j);
			const next = j === i + 1, round = closing && i === 0 && j === n - 1;
			if (next || round) {
				// Neighbours may only run back over each other.
				const [p, q, r] = next ? [a, b, d] : [c, a, b];
				if (cross(p, q, r) === 0 && (q[0] - p[0]) * (r[0] - q[0]) + (q[1] - p[1]) * (r[1] - q[1]) < 0) return [i, j];
			} else if (touches(a, b, c, d)) {
				return [i, j];
			}
		}
	}
}

// roomOf returns the walls of a closed room with no place below 0: [{a, b, name}].
export function roomOf(walls) {
	const { corners } = walk(walls);
	const lo = [0, 1].map(k => Math.min(...corners.map(c => c[k])));
	const at = corners.map(c => [c[0] - lo[0], c[1] - lo[1]]);
	return at.map((a, i) => ({ a, b: at[(i + 1) % at.length], name: wallName(walls, i) }));
}

// wallName is the name of a wall: its own, or its number.
export const wallName = (walls, i) => walls[i].name || 'wall ' + (i + 1);

export const areaOf = room => Math.abs(room.reduce((sum, { a, b }) => sum + a[0] * b[1] - b[0] * a[1], 0)) / 2;

const ringWalls = ring => ring.map((a, i) => ({ a, b: ring[(i + 1) % ring.length] }));

// isInside reports whether a place is on the floor: inside the room and in no column.
export function isInside(room, columns, [x, y]) {
	let inside = false;
	for (const { a, b } of [room, ...columns.map(c => ringWalls(c.ring))].flat()) {
		if (b[1] > y !== a[1] > y && x < (b[0] - a[0]) * ((y - a[1]) / (b[1] - a[1])) + a[0]) inside = !inside;
	}
	return inside;
}

// rows returns ascending lines across the floor: beside the walls, and every spacing in
// between where no other is close.
function rows(room, spacing, off) {
	const ys = room.flatMap(({ a, b }) => [a[1], b[1]]);
	const lo = Math.min(...ys), hi = Math.max(...ys);
	if (hi - lo <= 2 * off) return [Math.round((lo + hi) / 2)];
	const beside = [lo + off, hi - off];
	for (const { a, b } of room) {
		if (a[1] === b[1]) beside.push(a[1] - off, a[1] + off);
	}
	const out = [];
	const add = y => {
		if (y >= lo + off && y <= hi - off && out.every(o => Math.abs(o - y) >= Math.min(spacing, hi - lo - 2 * off) / 3)) out.push(y);
	};
	beside.forEach(add);
	for (let y = lo + spacing; y < hi; y += spacing) add(y);
	return out.sort((a, b) => a - b);
}

// places proposes where to shoot: rows off the walls, walked back and forth from the corner
// where the room begins.
export function places(room, columns, spacing, off) {
	const all = [room, ...columns.map(c => ringWalls(c.ring))].flat();
	const out = [];
	const mid = k => (Math.min(...room.map(w => w.a[k])) + Math.max(...room.map(w => w.a[k]))) / 2;
	const lines = rows(room, spacing, off);
	if (room[0].a[1] > mid(1)) lines.reverse();
	let back = room[0].a[0] > mid(0);
	for (const y of lines) {
		const hits = all.filter(({ a, b }) => b[1] > y !== a[1] > y).map(({ a, b }) => a[0] + (b[0] - a[0]) * ((y - a[1]) / (b[1] - a[1]))).sort((p, q) => p - q);
		const row = [];
		for (let k = 0; k + 1 < hits.length; k += 2) {
			const from = Math.ceil(hits[k] + off), to = Math.floor(hits[k + 1] - off);
			if (to <= from) {
				if (hits[k + 1] > hits[k]) row.push([Math.round((hits[k] + hits[k + 1]) / 2), y]);
				continue;
			}
			const x0 = Math.min(...room.map(w => w.a[0]));
			row.push([from, y]);
			for (let x = x0 + spacing; x < to; x += spacing) {
				if (x - from >= spacing / 3 && to - x >= spacing / 3) row.push([x, y]);
			}
			row.push([to, y]);
		}
		out.push(...back ? row.reverse() : row);
		back = !back;
	}
	return out;
}

// offWall returns how far a place is from a wall on its inner side; beyond is true where
// the place is not opposite the wall.
function offWall({ a, b }, [x, y]) {
	const u = b[0] - a[0], v = b[1] - a[1], long = Math.hypot(u, v);
	const along = ((x - a[0]) * u + (y - a[1]) * v) / long;
	return { dist: Math.abs((x - a[0]) * v - (y - a[1]) * u) / long, beyond: along < 0 || along > long, way: [u / long, v / long] };
}

// beside returns a place as distances from two walls: the nearest, and the nearest of those
// that are not parallel to it: [{wall, dist}].
export function beside(room, place) {
	const near = room.map((w, wall) => ({ wall, ...offWall(w, place) })).filter(w => !w.beyond).sort((p, q) => p.dist - q.dist || p.wall - q.wall);
	const first = near[0];
	const second = first && near.find(w => Math.abs(w.way[0] * first.way[1] - w.way[1] * first.way[0]) > 0.5);
	return [first, second].filter(Boolean).map(w => ({ wall: w.wall, dist: Math.round(w.dist) }));
}

export const besideText = (room, place, units) => beside(room, place).map(w => `${lengthText(w.dist, units)} from ${room[w.wall].name}`).join(', ');

// leftward is 1 where the room is left of its walls as they were walked, -1 where right.
export const leftward = room => Math.sign(room.reduce((sum, { a, b }) => sum + a[0] * b[1] - b[0] * a[1], 0));

// inner is the line at a distance from a wall, into the room: n·place = d.
function inner(room, k, dist) {
	const { a, b } = room[k], side = leftward(room);
	const u = b[0] - a[0], v = b[1] - a[1], long = Math.hypot(u, v);
	return { n: [-v / long * side, u / long * side], d: (-v * a[0] + u * a[1]) / long * side + dist };
}

function meet(p, q) {
	const det = p.n[0] * q.n[1] - p.n[1] * q.n[0];
	return [Math.round((p.d * q.n[1] - q.d * p.n[1]) / det), Math.round((p.n[0] * q.d - q.n[0] * p.d) / det)];
}

// parallel is why two walls give no place, empty if they do.
function parallel(room, i, j) {
	const p = inner(room, i, 0).n, q = inner(room, j, 0).n;
	return Math.abs(p[0] * q[1] - p[1] * q[0]) < 0.1 ? `${room[i].name} and ${room[j].name} do not meet: choose two walls that are square to each other` : '';
}

// between returns the place at distances from two walls, into the room: {place} or {error}.
export function between(room, columns, i, di, j, dj) {
	const error = parallel(room, i, j);
	if (error) return { error };
	const place = meet(inner(room, i, di), inner(room, j, dj));
	if (!isInside(room, columns, place)) return { error: 'That place is not on the floor of this room.' };
	return { place };
}

// columnAt returns the corners of what is not poured, given from two walls by the distance to
// its near face and its size: {ring} or {error}.
export function columnAt(room, columns, i, di, si, j, dj, sj) {
	const error = parallel(room, i, j) || (si > 0 && sj > 0 ? '' : 'found a size of 0, want how large it is both ways');
	if (error) return { error };
	const ring = [[di, dj], [di + si, dj], [di + si, dj + sj], [di, dj + sj]].map(([p, q]) => meet(inner(room, i, p), inner(room, j, q)));
	const all = [...room, ...columns.flatMap(c => ringWalls(c.ring))];
	const apart = ringWalls(ring).every(s => all.every(w => !touches(s.a, s.b, w.a, w.b)));
	if (!apart || !isInside(room, columns, ring[0])) return { error: 'It is not clear of the walls and of other columns. What touches a wall is a notch: walk it as walls.' };
	return { ring };
}

// atDoor returns a place outside a wall: along it from the corner where it begins, and out.
export function atDoor(room, i, along, out) {
	const { a, b, name } = room[i];
	const u = b[0] - a[0], v = b[1] - a[1], long = Math.hypot(u, v);
	if (along > long) return { error: `${name} is only ${Math.floor(long)} long`, long: Math.floor(long) };
	const side = leftward(room);
	return { place: [Math.round(a[0] + (u * along + v * out * side) / long), Math.round(a[1] + (v * along - u * out * side) / long)] };
}

// The log of a book is everything in the order in which it was read:
// {k: 'mark', name, rod, elev}: a benchmark or a turning point; elev is its elevation as text
// {k: 'move'}: the laser was moved
// {k: 'shot', n, at, rod}, {k: 'door', name, at, rod}, {k: 'skip', n, at}: a place that cannot be reached

// setups divides the log: for each set-up the indices of its entries.
export function setups(log) {
	const out = [[]];
	log.forEach((e, i) => {
		if (e.k === 'move') out.push([]);
		else out.at(-1).push(i);
	});
	return out;
}

// elevations returns the elevation of each entry in steps above the first mark, undefined
// where nothing ties its set-up. It serves the question about one reading only; what the
// floor is comes from the engine.
export function elevations(log) {
	const known = new Map(), out = [];
	for (const one of setups(log)) {
		const read = one.filter(i => log[i].rod !== undefined);
		const tie = read.find(i => log[i].k === 'mark' && (known.has(log[i].name) || known.size === 0));
		if (tie === undefined) continue;
		const hi = (known.get(log[tie].name) ?? 0) + log[tie].rod;
		for (const i of read) {
			out[i] = hi - log[i].rod;
			if (log[i].k === 'mark' && !known.has(log[i].name)) known.set(log[i].name, out[i]);
		}
	}
	return out;
}

// askedFrom is the number of shots from which the engine looks for misread rods by itself.
export const askedFrom = 12;

// question asks about a reading that differs from each of the shots beside it: how many steps
// higher it is than the likest of them, or undefined. 25 mm or 1 in is our own choice.
export function question(log, i, spacing, units) {
	if (log.filter(e => e.k === 'shot').length >= askedFrom || log[i].k !== 'shot' || log[i].sure) return;
	const z = elevations(log);
	if (z[i] === undefined) return;
	const away = j => Math.hypot(log[j].at[0] - log[i].at[0], log[j].at[1] - log[i].at[1]);
	const near = log.map((e, j) => j).filter(j => j !== i && log[j].k === 'shot' && z[j] !== undefined && away(j) <= 1.6 * spacing)
		.sort((p, q) => away(p) - away(q) || p - q).slice(0, 4);
	if (near.length < 2) return;
	const higher = near.map(j => z[i] - z[j]).sort((p, q) => Math.abs(p) - Math.abs(q))[0];
	return Math.abs(higher) > own(units, 1 / 12, 25) ? higher : undefined;
}

const quoted = text => /[",\n\r]/.test(text) ? '"' + text.replaceAll('"', '""') + '"' : text;

const csvOf = table => table.map(row => row.map(cell => quoted(String(cell))).join(',') + '\n').join('');

// headOf is the unit in the head of a column.
const headOf = units => ({ feet: 'ft-in', tenths: 'ft' })[units] ?? 'm';

// nameOf is the name of an entry: a shot has its number.
export const nameOf = e => e.name ?? String(e.n);

// surveyFile is the level book as the engine reads it, and the line of each entry in it.
export function surveyFile({ units, log }) {
	const u = headOf(units);
	const table = [['setup', 'sight', 'point', `x (${u})`, `y (${u})`, `rod (${u})`, `elevation (${inFeet(units) ? 'ft' : 'm'})`, 'code', 'note']];
	const lines = [];
	setups(log).forEach((one, s) => {
		const marks = one.filter(i => log[i].k === 'mark');
		const last = one.filter(i => log[i].rod !== undefined).at(-1);
		for (const i of one) {
			const e = log[i];
			let sight = 'IS';
			if (i === marks[0]) sight = 'BS';
			else if (e.k === 'mark' && i === last) sight = 'FS';
			const code = e.k === 'mark' ? e.turn ? 'TP' : 'BM' : e.k === 'door' ? 'ADJ' : 'FLR';
			const notes = [e.note, e.k === 'skip' ? 'left out: cannot be reached' : '', e.assumed ? 'elevation assumed' : '', e.sure ? 'reading confirmed' : ''];
			const elev = e.elev ? parseElevation(e.elev, units).cell : '';
			const at = e.at ? e.at.map(v => cellOf(v, units)) : ['', ''];
			table.push(['S' + (s + 1), sight, nameOf(e), ...at, e.rod === undefined ? '' : cellOf(e.rod, units), elev, code, notes.filter(Boolean).join('; ')]);
			lines[i] = table.length;
		}
	});
	return { text: csvOf(table), lines };
}

// outlineFile is the walls and columns as the engine reads them.
export function outlineFile({ units, walls, columns = [] }) {
	const u = headOf(units);
	const table = [['part', 'ring', `x (${u})`, `y (${u})`, 'wall']];
	const cells = at => at.map(v => cellOf(v, units));
	for (const w of roomOf(walls)) table.push(['room', 'outer', ...cells(w.a), w.name]);
	for (const c of columns) c.ring.forEach(at => table.push([c.name, 'hole', ...cells(at), '']));
	return csvOf(table);
}

// withMarks is a text with lengths such as 6-0 1/2, as a cell has them, as 6'-0 1/2".
export const withMarks = (text, units) => units === 'feet' ? text.replace(/(?<![\w./-])(\d+)-(\d{1,2}(?: \d{1,2}\/\d{1,2})?)(?![\w/"'-])/g, `$1'-$2"`) : text;

// named is a text about rows of the survey of a book, with its shots in place of the rows.
export function named(text, name, book) {
	const { lines } = surveyFile(book);
	const out = text.replace(new RegExp(`(?<![\\w./-])${name.replace('.', '\\.')}:(\\d+)(?::\\d+)?(?:: (\\S+)(?= reads ))?`, 'g'), (all, line) => {
		const e = book.log[lines.indexOf(+line)];
		return e ? (e.name ? '' : 'shot ') + nameOf(e) : all;
	}).replace(/(\S+): \1(?= )/g, '$1').replace(/^(\d+)(?= reads )/, 'shot $1');
	return withMarks(out.replace(/^shot/, 'Shot'), book.units);
}

// linesAbout returns what the engine has to say about the lines of a file, by line.
export function linesAbout(name, { facts = [], remarks = [], refused = [] }) {
	const out = new Map();
	const add = (line, text) => out.set(line, [...out.get(line) ?? [], text]);
	const texts = [...facts.filter(f => f.head === 'Suspects' || f.head === '').map(f => f.text), ...facts.flatMap(f => f.warnings ?? []), ...remarks.filter(r => r.head === 'Warnings').flatMap(r => r.notes)];
	for (const text of texts) {
		if (!text.startsWith(name + ':')) continue;
		const m = /^(\d+):(?:\d+:)?\s*/.exec(text.slice(name.length + 1));
		if (m) add(+m[1], text.slice(name.length + 1 + m[0].length));
	}
	for (const r of refused) {
		if (r.file === name && r.line) add(r.line, r.text);
	}
	return out;
}
