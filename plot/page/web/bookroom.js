// The walls of a new floor: walked round with the tape, drawn while they are typed.

import { button, el, say } from './dom.js';
import { areaOf, clash, closers, closing, inFeet, lengthText, own, parseLength, roomOf, stepOf, walk, wallName } from './bookcsv.js';
import { columnForm, columnList } from './bookcolumn.js';
import { fieldsAndKeys } from './bookkeys.js';
import { sketch } from './booksketch.js';

// ways are the directions of the wall after a slanted one.
const ways = { '1,0': 'along wall 1', '-1,0': 'back along wall 1', '0,1': 'to the left of wall 1', '0,-1': 'to the right of wall 1' };

// near is how close to its start a walk with four walls or more is taken as finished: 1 ft or
// 300 mm, our own choice.
const near = units => own(units, 1, 300);

// roomStep asks for the walls, or shows those that are closed.
export function roomStep(book, tools, width) {
	const host = el('div', { class: 'bookstep' });
	const picture = el('div', {});
	const redraw = ahead => picture.replaceChildren(sketchOf(book, width, ahead));
	if (book.form === 'column') host.append(picture, ...columnForm(book, tools));
	else if (book.closed) host.append(...closedRoom(book, tools, picture));
	else if (book.form === 'corner') host.append(picture, ...cornerForm(book, tools, redraw));
	else if (book.form?.startsWith('wall ')) host.append(picture, ...changeForm(book, tools));
	else if (isDone(book)) host.append(picture, ...openWalk(book, tools));
	else host.append(...nextWall(book, tools, picture, redraw));
	redraw(book.closed || isDone(book) ? undefined : typedAhead(book, book.draft.length));
	if (book.walls.length > 0 && !book.form) host.append(wallList(book, tools));
	return { host, renew() {} };
}

function sketchOf(book, width, ahead) {
	const { corners, end } = walk(book.walls);
	const walls = book.closed ? roomOf(book.walls) : corners.map((a, i) => ({ a, b: corners[i + 1] ?? end, name: wallName(book.walls, i) }));
	return sketch({ walls, columns: book.columns.map(c => c.ring), ahead, width, height: book.closed ? 240 : 120, label: `Sketch of the room: ${book.walls.length} walls` });
}

function typedAhead(book, text = '') {
	const { steps } = parseLength(text, book.units);
	if (!steps) return;
	const { end, way } = walk(book.walls);
	return [end, [end[0] + way[0] * steps, end[1] + way[1] * steps]];
}

const isNear = (walls, units) => {
	const { ahead, left } = closing(walls);
	return walls.length >= 4 && Math.hypot(ahead, left) <= near(units) || walls.length >= 3 && ahead === 0 && left === 0;
};

// goesOn is the number of walls at which the user has said that more follow.
const isDone = book => book.last || book.goesOn !== book.walls.length && isNear(book.walls, book.units);

// withWall adds a wall, or reports why not.
function withWall(book, tools, wall, last = false) {
	const walls = [...book.walls, wall];
	const { corners, end } = walk(walls);
	const cross = clash(corners, end, isNear(walls, book.units));
	if (cross) return `Wall ${walls.length} would cross or touch wall ${cross.find(k => k !== walls.length - 1) + 1}. Check its length and the turns before it.`;
	tools.set({ walls, form: '', ...last && { last } });
}

function nextWall(book, tools, picture, redraw) {
	const { walls, units } = book, n = walls.length + 1;
	let typed = book.draft.length ?? '';
	const add = (turn, last) => ({ length }) => {
		const { steps, error } = parseLength(length ?? '', units);
		if (error) return error;
		if (steps === 0) return 'found 0, want the length of the wall';
		return withWall(book, tools, { len: steps, turn }, last);
	};
	// A length that is typed is that of the last wall. Its turn decides nothing.
	const lastWall = () => {
		if (!typed.trim()) tools.look({ last: true });
		else say(add('left', true)({ length: typed }) ?? '');
	};
	const form = fieldsAndKeys({
		units, fields: [{ key: 'length', label: `Wall ${n}`, kind: 'length' }], values: book.draft, at: 'length',
		typing: draft => { typed = draft.length ?? ''; tools.keep(draft); redraw(typedAhead(book, draft.length)); },
		done: [{ text: 'Left', label: 'Then turn left', name: 'left', act: add('left') }, { text: 'Right', label: 'Then turn right', name: 'right', act: add('right') }],
	});
	const out = [el('p', { class: 'small' }, walls.length ? leftText(book) : 'Stand in a corner and walk along a wall. Type its length, then tap which way you turn at its end. A rectangle takes two walls.'), picture];
	const row = el('div', { class: 'row' });
	const { ahead, left } = closing(walls);
	if (walls.length === 2 && walls[0].turn === walls[1].turn && walls.every(w => w.len)) {
		row.append(button(`Rectangle ${lengthText(walls[0].len, units)} by ${lengthText(walls[1].len, units)}`, () => {
			const [a, b] = walls;
			tools.set({ walls: [a, b, { ...a }, { ...b }], closed: true, form: '' });
		}, { class: 'main', 'data-key': 'rectangle' }));
	}
	if (walls.length >= 2 && left === 0 && ahead > 0) {
		row.append(button(`Close with ${lengthText(ahead, units)}, not measured`, () => tools.set({ walls: [...walls, { len: ahead, turn: 'left', unmeasured: true }] }), { 'data-key': 'straight' }));
	}
	if (walls.length >= 3) row.append(button('That was the last wall', lastWall, { 'data-key': 'last' }));
	row.append(button('A corner by two distances', () => tools.look({ form: 'corner' }), { 'data-key': 'corner' }));
	out.push(el('div', { class: 'asked' }, form.host), row);
	queueMicrotask(form.focus);
	return out;
}

// leftText is what is left to the start, as seen along the next wall.
function leftText(book) {
	const { ahead, left } = closing(book.walls), u = book.units;
	const parts = [];
	if (ahead) parts.push(`${lengthText(Math.abs(ahead), u)} ${ahead > 0 ? 'ahead' : 'behind'}`);
	if (left) parts.push(`${lengthText(Math.abs(left), u)} to the ${left > 0 ? 'left' : 'right'}`);
	return `The start is ${parts.join(' and ')}.`;
}

// cornerForm takes the end of a wall that is not square to the others.
function cornerForm(book, tools, redraw) {
	const { end } = walk(book.walls);
	const to = ({ along, off, side }) => {
		const a = parseLength(along ?? '', book.units), b = parseLength(off ?? '', book.units);
		if (a.error || b.error) return { error: a.error ? { text: a.error, key: 'along' } : { text: b.error, key: 'off' } };
		return { to: [a.steps, side === 'right' ? -b.steps : b.steps] };
	};
	const form = fieldsAndKeys({
		units: book.units, values: { side: 'left', ...book.draft }, at: 'along',
		fields: [
			{ key: 'along', label: 'Along wall 1', kind: 'length' }, { key: 'off', label: 'Square to wall 1', kind: 'length' },
			{ key: 'side', label: 'On its', kind: 'choice', choices: [['left', 'left'], ['right', 'right']] },
			{ key: 'way', label: 'The wall after it runs', kind: 'choice', choices: [['', '— choose —'], ...Object.entries(ways)] },
		],
		typing: draft => {
			tools.keep(draft);
			const at = to(draft).to;
			redraw(at && [end, at]);
		},
		done: [{ text: 'Add', act: draft => {
			const { to: at, error } = to(draft);
			if (error) return error;
			if (!draft.way) return 'Choose where the wall after it runs.';
			if (String(at) === String(end)) return 'That is the corner where this wall begins.';
			return withWall(book, tools, { to: at, way: draft.way.split(',').map(Number) });
		} }],
	});
	return [el('p', { class: 'small' }, `The end of wall ${book.walls.length + 1}, from the corner where the walk began, seen along wall 1.`), el('div', { class: 'asked' }, form.host),
		el('div', { class: 'row' }, button('Cancel', () => tools.look({ form: '' })))];
}

// fixedNext is said while the walls can still be changed.
const fixedNext = () => el('p', { class: 'small' }, 'Check the lengths against the tape now. Once a place is read from the walls, they are fixed.');

function openWalk(book, tools) {
	const { end } = walk(book.walls), u = book.units;
	if (end[0] === 0 && end[1] === 0) {
		const guessed = book.walls.findIndex(w => w.unmeasured);
		return [
			el('p', { class: 'large' }, `It closes: ${book.walls.length} walls, ${areaText(book)}.`),
			fixedNext(),
			guessed >= 0 && el('p', { class: 'warning' }, `Wall ${guessed + 1} is not measured: a slip in another wall would not show.`),
			button('Use this room', () => tools.set({ closed: true, last: false }), { class: 'main large', 'data-key': 'use' })].filter(Boolean);
	}
	const parts = [];
	if (end[0]) parts.push(`${lengthText(Math.abs(end[0]), u)} ${end[0] > 0 ? 'too far' : 'short'} along wall 1`);
	if (end[1]) parts.push(`${lengthText(Math.abs(end[1]), u)} to the ${end[1] > 0 ? 'left' : 'right'} of wall 1`);
	const ways = closers(book.walls);
	return [
		el('p', { class: 'why large', role: 'alert' }, `The walls do not close: the last corner is ${parts.join(' and ')}.`),
		el('p', {}, ways.length ? 'Measure again, or choose the wall that takes the error:' : 'Measure again: no single wall can take the error.'),
		el('div', { class: 'row' }, ways.map(({ wall, len }) => button(`${wallName(book.walls, wall)}: ${lengthText(len, u)}, not ${lengthText(book.walls[wall].len, u)}`,
			() => tools.set({ walls: book.walls.map((w, i) => i === wall ? { ...w, len } : w) }), { 'data-key': `closer ${wall + 1}` }))),
		el('div', { class: 'row' }, button('Go on with another wall', () => tools.look({ last: false, goesOn: book.walls.length })),
			button(`Take back wall ${book.walls.length}`, () => tools.set({ walls: book.walls.slice(0, -1), last: false })))];
}

function areaText(book) {
	const m2 = areaOf(roomOf(book.walls)) * stepOf(book.units) ** 2;
	return inFeet(book.units) ? `${(m2 / 0.3048 ** 2).toFixed(1)} ft²` : `${m2.toFixed(2)} m²`;
}

// changeForm takes another length for one wall.
function changeForm(book, tools) {
	const i = +book.form.slice(5), w = book.walls[i];
	const form = fieldsAndKeys({
		units: book.units, fields: [{ key: 'length', label: `${wallName(book.walls, i)}, now ${lengthText(w.len, book.units)}`, kind: 'length' }], values: book.draft, at: 'length',
		typing: tools.keep,
		done: [{ text: 'Change', act: ({ length }) => {
			const { steps, error } = parseLength(length ?? '', book.units);
			if (error || steps === 0) return error ?? 'found 0, want the length of the wall';
			const { unmeasured, ...measured } = w;
			tools.set({ walls: book.walls.map((one, k) => k === i ? { ...measured, len: steps } : one), form: '', closed: false });
		} }],
	});
	queueMicrotask(form.focus);
	return [form.host, el('div', { class: 'row' }, button('Cancel', () => tools.look({ form: '' })))];
}

function wallList(book, tools) {
	const free = book.log.length === 0;
	return el('details', { class: 'list', open: !book.closed },
		el('summary', {}, 'Walls'),
		book.walls.map((w, i) => el('div', { class: 'line' },
			el('span', {}, `${wallName(book.walls, i)}: ${w.to ? 'to a corner' : lengthText(w.len, book.units)}${w.unmeasured ? ', not measured' : ''}${i === book.walls.length - 1 ? '' : w.way ? `, then ${ways[w.way]}` : `, then ${w.turn}`}`),
			!w.to && free && button('Change', () => tools.look({ form: 'wall ' + i }), { 'aria-label': `Change the length of wall ${i + 1}` }))),
		!free && el('p', { class: 'small' }, 'Walls are fixed once places are read from them.'));
}

function closedRoom(book, tools, picture) {
	const names = book.walls.map((w, i) => {
		const of = `wall-name-${i}`;
		return el('div', { class: 'fill' }, el('label', { htmlFor: of }, `Wall ${i + 1}`),
			el('input', { id: of, type: 'text', value: w.name ?? '', placeholder: `wall ${i + 1}`, maxLength: 24, autocomplete: 'off', onchange: e => rename(book, tools, i, e.target.value.trim()) }));
	});
	return [
		el('p', { class: 'large' }, `${book.walls.length} walls, ${areaText(book)}`), picture, !book.log.length && fixedNext(),
		button('Go on to the shots', () => tools.look({ step: 'shots' }), { class: 'main large', 'data-key': 'shots' }),
		...columnList(book, tools),
		el('details', { class: 'list' }, el('summary', {}, 'Names of the walls'), el('p', { class: 'small' }, 'Places are given from them, such as 4 from the window wall.'), names)].filter(Boolean);
}

function rename(book, tools, i, name) {
	const taken = book.walls.some((w, k) => k !== i && wallName(book.walls, k) === name);
	tools.set({ walls: book.walls.map((w, k) => k === i ? { ...w, name: taken ? '' : name } : w) });
}
