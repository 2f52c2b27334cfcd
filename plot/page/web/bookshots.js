// The readings of the field book: benchmark, doors and shots, in the order of the walk.

import { button, el } from './dom.js';
import { state } from './state.js';
import { atDoor, besideText, between, inFeet, isInside, lengthText, nameOf, own, parseElevation, parseLength, places, question, roomOf, setups, smallText, stepOf, withMarks } from './bookcsv.js';
import { wallChoices } from './bookcolumn.js';
import { fieldsAndKeys, place } from './bookkeys.js';
import { sketch } from './booksketch.js';
import { sureNow } from './sure.js';

// checkAfter is the number of readings after which the benchmark should be read again: common
// practice, no source.
const checkAfter = 20;

// mostRod is the longest rod: 26 ft or 8 m, our own choice.
const mostRod = units => own(units, 26, 8000);

// aside is how far outside the wall a finished floor is taken to be read: 1 ft or 300 mm, our
// own choice.
const aside = units => own(units, 1, 300);

// nextNumber is the number of the next shot; those of shots that were taken out are not used again.
const nextNumber = log => 1 + Math.max(0, ...log.map(e => e.n ?? 0));

const same = (p, q) => p[0] === q[0] && p[1] === q[1];

// rod reads the reading of a rod: {rod} or {error}.
function rodOf(text, units) {
	const { steps, error } = parseLength(text ?? '', units);
	if (error) return { error };
	if (steps === 0 || steps > mostRod(units)) return { error: `found ${lengthText(steps, units)}, want a rod reading above 0 and up to ${lengthText(mostRod(units), units)}` };
	return { rod: steps };
}

// planOf is what the step needs to know of the book.
function planOf(book) {
	const room = roomOf(book.walls);
	const planned = places(room, book.columns, book.spacing, book.off);
	const read = book.log.filter(e => e.k === 'shot' || e.k === 'skip');
	// After another spacing, places close to one that is done are done.
	const left = planned.filter(p => !read.some(e => same(e.at, p) || e.of !== book.spacing && e.of !== undefined && Math.hypot(e.at[0] - p[0], e.at[1] - p[1]) < book.spacing / 3));
	const one = setups(book.log).at(-1);
	return { room, left, next: left.find(p => book.at && same(p, book.at)) ?? book.at ?? left[0], tied: one.some(i => book.log[i].k === 'mark') };
}

// shotsStep asks for one reading after the other.
export function shotsStep(book, tools, width) {
	const plan = planOf(book);
	const top = el('div', {}), alerts = el('div', { role: 'status' }), list = el('div', {});
	const host = el('div', { class: 'bookstep' });
	const form = formOf(book, tools, plan);
	const renew = () => {
		const notes = tools.notes();
		top.replaceChildren(sketchOf(book, tools, plan, notes, width));
		alerts.replaceChildren(...alertsOf(book, tools, plan, notes));
		list.replaceChildren(...worth(book, tools), ...entries(book, tools, plan, notes));
	};
	host.append(top, el('div', { class: 'asked' }, form.host), ...form.after ?? [], list);
	renew();
	queueMicrotask(form.focus);
	return { above: alerts, host, renew };
}

// stepsAt is a place of the engine in the steps of the book.
const stepsAt = (n, book) => n.at.map(v => Math.round(v / stepOf(book.units)));

// worth lists the places worth a shot beside the grid, once the engine has found them.
function worth(book, tools) {
	const mark = sureNow()?.mark;
	if (!mark?.next || book.form) return [];
	return [el('details', { class: 'panel nextshots' }, el('summary', {}, `Next shots that narrow the volume most (${mark.next.length})`),
		el('p', {}, mark.text),
		el('ol', {}, mark.next.map(n => el('li', {}, withMarks(n.text, book.units), ' ', button(`Shoot ${n.name}`, () => tools.look({ at: stepsAt(n, book) }), { 'data-key': 'worth' + n.name })))),
		(mark.notes ?? []).map(n => el('p', { class: 'small' }, n)))];
}

function sketchOf(book, tools, plan, notes, width) {
	const shown = plan.left.map(at => ({ at, kind: 'plan' }));
	book.log.forEach((e, i) => {
		if (!e.at) return;
		const kind = { shot: e.sure || !isDoubted(book, i, notes) ? 'read' : 'doubt', skip: 'skipped', door: 'door' }[e.k];
		shown.push({ at: e.at, kind, text: e.k === 'door' ? e.name : undefined });
	});
	const worthIt = book.form ? [] : sureNow()?.mark?.next ?? [];
	for (const n of worthIt) shown.push({ at: stepsAt(n, book), kind: 'worth', text: n.name });
	const here = book.form?.startsWith('change ') ? book.log[+book.form.slice(7)].at : !book.form && plan.tied && plan.next;
	if (here) shown.push({ at: here, kind: 'next' });
	return sketch({
		walls: plan.room, columns: book.columns.map(c => c.ring), places: shown, width, height: width < 500 || innerHeight < 500 ? 124 : 240,
		label: `Sketch: ${book.log.filter(e => e.k === 'shot').length} shots read, ${plan.left.length} places left`,
		pick: (at, reach) => {
			const near = plan.left.map(p => [Math.hypot(p[0] - at[0], p[1] - at[1]), p]).filter(([d]) => d <= reach).sort((p, q) => p[0] - q[0])[0];
			if (near && !book.form) tools.look({ at: near[1] });
		},
	});
}

const isDoubted = (book, i, notes) => book.log[i].k === 'shot' && (notes.has(i) || question(book.log, i, book.spacing, book.units) !== undefined);

// doubts are the texts about a reading: those of the engine, or else the question.
function doubts(book, i, notes) {
	if (notes.has(i)) return notes.get(i).map(text => withMarks(text, book.units));
	const higher = question(book.log, i, book.spacing, book.units);
	if (higher === undefined) return [];
	return [`${smallText(higher, book.units)} ${higher > 0 ? 'higher' : 'lower'} than any shot beside it.`];
}

function alertsOf(book, tools, plan, notes) {
	const { log } = book, out = [];
	const i = log.findLastIndex((e, i) => !e.sure && isDoubted(book, i, notes));
	if (i >= 0 && !book.form) {
		out.push(el('div', { class: 'doubtful', 'data-shot': log[i].n },
			el('p', {}, el('strong', {}, `Shot ${log[i].n} reads ${lengthText(log[i].rod, book.units)}`)),
			el('div', { class: 'row' },
				button('Read it again', () => tools.look({ form: 'change ' + i }), { class: 'main', 'data-key': 'again' }),
				button('It is right', () => tools.set({ log: log.map((e, k) => k === i ? { ...e, sure: true } : e) }), { 'data-key': 'sure' })),
			doubts(book, i, notes).map(text => el('p', {}, text))));
	}
	const since = log.length - 1 - log.findLastIndex(e => e.k === 'mark' || e.k === 'move');
	if (plan.tied && since >= checkAfter && !book.form) out.push(el('p', { class: 'small' }, `${since} readings since the benchmark: read it again now and then, so that a knocked laser shows.`));
	return out;
}

// formOf is what is asked for now.
function formOf(book, tools, plan) {
	const form = book.form ?? '';
	if (form.startsWith('change ')) return changeForm(book, tools, plan, +form.slice(7));
	if (form === 'door') return doorForm(book, tools, plan);
	if (form === 'extra') return extraForm(book, tools, plan);
	if (form === 'spacing') return spacingForm(book, tools);
	if (form === 'mark' || form === 'turn') return againForm(book, tools, form);
	if (form === 'move') return moveForm(book, tools);
	if (!plan.tied) return book.log.length === 0 ? firstMarkForm(book, tools) : tieForm(book, tools);
	return plan.next ? shotForm(book, tools, plan) : doneForm(book, tools);
}

const withHead = (form, ...head) => ({ host: el('div', {}, head, form.host), focus: form.focus, after: form.after });

const cancel = tools => el('div', { class: 'row' }, button('Cancel', () => tools.look({ form: '' }), { 'data-key': 'cancel' }));

function more(book, tools) {
	const go = (text, form) => button(text, () => tools.look({ form }), { 'data-key': form });
	return el('div', { class: 'row more' }, go('Door', 'door'), go('Extra shot', 'extra'), go('Benchmark again', 'mark'), go('Move the laser', 'move'), go('Spacing', 'spacing'),
		el('a', { href: '#floor', class: 'button' }, 'Floor so far'));
}

function shotForm(book, tools, plan) {
	const { log, units } = book, at = plan.next;
	const n = nextNumber(log);
	const add = entry => tools.set({ log: [...log.filter(e => !(e.k === 'skip' && same(e.at, at))), { n, at, of: book.spacing, ...entry }], at: undefined });
	const last = log.at(-1);
	const form = fieldsAndKeys({
		units, fields: [{ key: 'rod', label: `Shot ${n}`, kind: 'length', example: last.rod === undefined ? '' : `${nameOf(last)} read ${lengthText(last.rod, units)}` }], values: book.draft, at: 'rod', typing: tools.keep,
		done: [{ text: 'Next', label: 'Keep the reading and go to the next place', act: ({ rod: text }) => {
			const { rod, error } = rodOf(text, units);
			if (error) return error;
			add({ k: 'shot', rod });
		} }],
	});
	form.after = [el('div', { class: 'row' }, 
		plan.left.some(p => same(p, at)) ? button('Cannot be reached', () => add({ k: 'skip' }), { 'data-key': 'skip' }) : button('Not this place', () => tools.look({ at: undefined }), { 'data-key': 'leave' })), more(book, tools)];
	return withHead(form, el('p', { class: 'where' }, besideText(plan.room, at, units)));
}

function doneForm(book, tools) {
	return { focus() {}, host: el('div', {},
		el('p', { class: 'large' }, 'Every place is read or left out.'),
		button('Finish', () => tools.look({ step: 'end' }), { class: 'main large', 'data-key': 'finish' })), after: [more(book, tools)] };
}

// nameError is why a name cannot be that of a point, empty if it can.
function nameError(log, name, own) {
	if (!name) return 'type a name';
	if (/^\d+$/.test(name)) return `found ${name}: numbers are those of shots; add a letter`;
	if (log.some(e => e.k !== own && e.name?.toUpperCase() === name.toUpperCase())) return `${name} is the name of another point`;
	return '';
}

function firstMarkForm(book, tools) {
	const { units } = book, feet = inFeet(units);
	const assumed = feet ? '100' : '10.000';
	const form = fieldsAndKeys({
		units, values: { name: 'BM1', ...book.draft }, at: 'elev', typing: tools.keep,
		fields: [
			{ key: 'name', label: 'Benchmark', kind: 'text' },
			{ key: 'elev', label: feet ? 'Its elevation, ft' : 'Its elevation, m', kind: 'elevation' },
			{ key: 'rod', label: 'Rod on it', kind: 'length' },
		],
		done: [{ text: 'Next', act: ({ name = '', elev = '', rod: text }) => {
			const why = nameError(book.log, name.trim(), 'mark');
			if (why) return { text: why, key: 'name' };
			const height = parseElevation(elev, units);
			if (height.error) return { text: elev.trim() ? height.error : `type the elevation, or tap Assume ${assumed}`, key: 'elev' };
			const { rod, error } = rodOf(text, units);
			if (error) return { text: error, key: 'rod' };
			const taken = elev === assumed && book.assumed;
			tools.set({ log: [{ k: 'mark', name: name.trim(), rod, elev: elev.trim(), assumed: taken }] });
		} }],
	});
	const assume = button(`Assume ${assumed} ${feet ? 'ft' : 'm'}`, () => tools.look({ assumed: true, draft: { ...state.book.draft, elev: assumed, [place]: 'rod' } }), { 'data-key': 'assume' });
	form.after = [el('p', { class: 'row' }, el('a', { href: '#shots', class: 'button', onclick: () => dispatchEvent(new CustomEvent('planshots')) }, 'How many shots? Plan them'))];
	return withHead(form, el('div', { class: 'row' }, 'Benchmark first.', !book.draft.elev && assume));
}

// known are the benchmarks and turning points that are read, each once.
const known = log => [...new Map(log.filter(e => e.k === 'mark').map(e => [e.name, e])).values()];

// againForm reads the benchmark, or a turning point before the laser is moved.
function againForm(book, tools, kind) {
	const { log, units } = book;
	const turn = kind === 'turn';
	const n = 1 + known(log).filter(e => e.turn).length;
	const form = fieldsAndKeys({
		units, values: { name: turn ? 'TP' + n : known(log)[0].name, ...book.draft }, at: 'rod', typing: tools.keep,
		fields: [
			turn ? { key: 'name', label: 'Turning point', kind: 'text' } : { key: 'name', label: 'Benchmark', kind: 'choice', choices: known(log).map(e => [e.name, e.name]) },
			{ key: 'rod', label: 'Rod on it', kind: 'length' },
		],
		done: [{ text: 'Next', act: ({ name = '', rod: text }) => {
			const why = turn && (nameError(log, name.trim()) || log.some(e => e.name === name.trim()) && `${name} is read already`);
			if (why) return { text: why, key: 'name' };
			const { rod, error } = rodOf(text, units);
			if (error) return error;
			const mark = { k: 'mark', name: name.trim(), rod };
			if (turn || known(log).find(e => e.name === mark.name).turn) mark.turn = true;
			tools.set({ log: [...log, mark], form: book.moving ? 'move' : '' });
		} }],
	});
	form.after = [el('div', { class: 'row' }, button('Cancel', () => tools.look({ form: '', moving: false })))];
	return withHead(form, turn && el('p', {}, 'A spot that cannot sink or shift: mark round the foot of the rod.'));
}

// moveForm leads through the move of the laser.
function moveForm(book, tools) {
	const last = book.log.at(-1);
	const closed = last?.k === 'mark' && book.moving;
	const head = el('h3', {}, 'Move the laser');
	const body = closed
		? [el('p', {}, `${last.name} is read. Move the laser now, let it settle, and read ${last.name} or the benchmark from there.`),
			button('It is moved', () => tools.set({ log: [...book.log, { k: 'move' }], form: '', moving: false }), { class: 'main large', 'data-key': 'moved' })]
		: [el('p', {}, 'First a last reading from here, on a point that you can read from the new place too.'),
			el('div', { class: 'row' },
				button('The benchmark', () => tools.look({ form: 'mark', moving: true }), { class: 'main', 'data-key': 'on mark' }),
				button('A turning point', () => tools.look({ form: 'turn', moving: true }), { class: 'main', 'data-key': 'on turn' })),
			el('p', { class: 'small' }, 'Moved already? Only the benchmark can tie the new place to the old one.'),
			button('It is moved already', () => tools.set({ log: [...book.log, { k: 'move' }], form: '', moving: false }), { 'data-key': 'moved' })];
	return { focus() {}, host: el('div', {}, head, body, el('div', { class: 'row' }, button('Cancel', () => tools.look({ form: '', moving: false })))) };
}

// tieForm takes the first reading after a move.
function tieForm(book, tools) {
	const { log, units } = book;
	const before = log.at(-2);
	const marks = known(log).filter(e => !e.turn || e.name === before?.name).sort((a, b) => (b.name === before?.name) - (a.name === before?.name));
	const form = fieldsAndKeys({
		units, values: { name: marks[0].name, ...book.draft }, at: 'rod', typing: tools.keep,
		fields: [{ key: 'name', label: 'Point', kind: 'choice', choices: marks.map(e => [e.name, e.name]) }, { key: 'rod', label: 'Rod on it', kind: 'length' }],
		done: [{ text: 'Next', act: ({ name, rod: text }) => {
			const { rod, error } = rodOf(text, units);
			if (error) return error;
			const { turn } = marks.find(e => e.name === name);
			tools.set({ log: [...log, { k: 'mark', name, rod, ...turn && { turn } }] });
		} }],
	});
	return withHead(form, el('p', {}, `Set-up ${setups(log).length}: read the point that ties it to the one before.`));
}

function doorForm(book, tools, plan) {
	const { log, units } = book;
	const doors = log.filter(e => e.k === 'door'), last = doors.at(-1);
	// One reading in a wall, or three, is one jamb: the other is next.
	const others = doors.slice(doors.findLastIndex(e => e.wall !== last?.wall) + 1);
	const half = others.length % 2 === 1 && last.wall !== undefined;
	const form = fieldsAndKeys({
		units, values: { name: 'D' + (doors.length + 1), wall: String(last?.wall ?? 0), ...book.draft }, at: 'along', typing: tools.keep,
		fields: [
			{ key: 'name', label: 'Door', kind: 'text' }, { key: 'wall', label: 'in', kind: 'choice', choices: wallChoices(plan.room) },
			{ key: 'along', label: v => `Corner with ${plan.room.at(v.wall - 1).name} to the jamb`, kind: 'length' }, { key: 'rod', label: 'Rod beyond it', kind: 'length' },
		],
		done: [{ text: 'Next', act: ({ name = '', wall, along, rod: text }) => {
			const why = nameError(log, name.trim());
			if (why) return { text: why, key: 'name' };
			const d = parseLength(along ?? '', units);
			if (d.error) return { text: d.error, key: 'along' };
			const { place: at, long, error: off } = atDoor(plan.room, +wall, d.steps, aside(units));
			if (off) return { text: `${plan.room[wall].name} is only ${lengthText(long, units)} long`, key: 'along' };
			if (isInside(plan.room, [], at)) return { text: `${lengthText(aside(units), units)} outside ${plan.room[wall].name} is the room itself`, key: 'along' };
			const { rod, error } = rodOf(text, units);
			if (error) return { text: error, key: 'rod' };
			tools.set({ log: [...log, { k: 'door', name: name.trim(), at, rod, wall: +wall, along: d.steps, note: `finished floor, ${plan.room[wall].name}` }], form: '' });
		} }],
	});
	form.after = [cancel(tools)];
	return withHead(form, el('p', {}, half ? `${last.name} is one jamb in ${plan.room[last.wall].name}: now the other jamb.` : 'The finished floor beyond a door, at each jamb.'));
}

// extraForm takes the place of a shot that is not on the grid.
function extraForm(book, tools, plan) {
	const { log, units } = book;
	const form = fieldsAndKeys({
		units, values: { i: '0', j: '1', ...book.draft }, at: 'di', typing: tools.keep,
		fields: [
			{ key: 'i', label: 'From', kind: 'choice', choices: wallChoices(plan.room) }, { key: 'di', label: 'distance', kind: 'length' },
			{ key: 'j', label: 'and from', kind: 'choice', choices: wallChoices(plan.room) }, { key: 'dj', label: 'distance', kind: 'length' },
		],
		done: [{ text: 'Next', act: draft => {
			const di = parseLength(draft.di ?? '', units), dj = parseLength(draft.dj ?? '', units);
			if (di.error || dj.error) return di.error ? { text: di.error, key: 'di' } : { text: dj.error, key: 'dj' };
			const { place: at, error } = between(plan.room, book.columns, +draft.i, di.steps, +draft.j, dj.steps);
			if (error) return error;
			const there = log.find(e => e.k === 'shot' && same(e.at, at));
			if (there) return `Shot ${there.n} is at that place: change it in the list below.`;
			tools.look({ at, form: '' });
		} }],
	});
	form.after = [cancel(tools)];
	return withHead(form, el('p', {}, 'Any place: a hump, a dip, a crack.'));
}

function spacingForm(book, tools) {
	const form = fieldsAndKeys({
		units: book.units, fields: [{ key: 'spacing', label: `Between shots, now ${lengthText(book.spacing, book.units)}`, kind: 'length' }, { key: 'off', label: `Off the walls, now ${lengthText(book.off, book.units)}`, kind: 'length' }],
		values: book.draft, at: 'spacing', typing: tools.keep,
		done: [{ text: 'Next', act: draft => {
			const of = (text, now) => text?.trim() ? parseLength(text, book.units) : { steps: now };
			const spacing = of(draft.spacing, book.spacing), off = of(draft.off, book.off);
			if (spacing.error || off.error) return spacing.error ?? off.error;
			const least = own(book.units, 0.5, 150);
			if (spacing.steps < least) return `found ${lengthText(spacing.steps, book.units)}, want ${lengthText(least, book.units)} or more between shots`;
			if (off.steps * 3 > spacing.steps || off.steps === 0) return { text: `found ${lengthText(off.steps, book.units)} off the walls, want above 0 and up to a third of the spacing`, key: 'off' };
			tools.set({ spacing: spacing.steps, off: off.steps, at: undefined, form: '' });
		} }],
	});
	form.after = [cancel(tools)];
	return withHead(form, el('p', { class: 'small' }, 'The grid begins at 4 ft or 1.2 m: common practice, no source.'));
}

function changeForm(book, tools, plan, i) {
	const { log, units } = book, e = log[i];
	const fields = [{ key: 'rod', label: `${e.k === 'shot' ? 'Shot ' : ''}${nameOf(e)}, was ${lengthText(e.rod, units)}`, kind: 'length' }];
	if (e.elev) fields.unshift({ key: 'elev', label: `Elevation of ${e.name}, ${inFeet(units) ? 'ft' : 'm'}`, kind: 'elevation' });
	const form = fieldsAndKeys({
		units, fields, values: { elev: e.elev, ...book.draft }, at: 'rod', typing: tools.keep,
		done: [{ text: 'Change', act: ({ elev, rod: text }) => {
			const height = e.elev && parseElevation(elev, units);
			if (height?.error) return { text: height.error, key: 'elev' };
			const moved = e.elev && elev.trim() !== e.elev;
			const { rod, error } = moved && !text ? { rod: e.rod } : rodOf(text, units);
			if (error) return { text: error, key: 'rod' };
			const next = { ...e, rod };
			if (e.k === 'shot') next.sure = rod === e.rod;
			if (moved) Object.assign(next, { elev: elev.trim(), assumed: false });
			tools.set({ log: log.map((one, k) => k === i ? next : one), form: '' });
		} }],
	});
	form.after = [el('div', { class: 'row' },
		(e.k === 'shot' || e.k === 'door') && button('Take it out', () => tools.set({ log: log.filter((_, k) => k !== i), form: '' }), { 'data-key': 'out' }),
		button('Cancel', () => tools.look({ form: '' }), { 'data-key': 'cancel' }))];
	return withHead(form, e.at && el('p', { class: 'where' }, besideText(plan.room, e.at, units)));
}

// doorPlace is where a door was read; books of before have no distance along the wall.
const doorPlace = (room, e, units) => e.along === undefined ? e.note : `${e.note}, ${lengthText(e.along, units)} from ${room.at(e.wall - 1).name}`;

// entries lists what is read, the newest first, each on one line.
function entries(book, tools, plan, notes) {
	const { log, units } = book;
	const rows = log.map((e, i) => {
		if (e.k === 'move') return el('div', { class: 'line' }, el('strong', {}, 'Laser moved'));
		const place = e.at ? besideText(plan.room, e.at, units) : e.turn ? 'turning point' : e.elev ? `benchmark, ${e.elev} ${inFeet(units) ? 'ft' : 'm'}${e.assumed ? ', assumed' : ''}` : 'benchmark';
		const text = [el('b', {}, nameOf(e)), ` ${e.k === 'door' ? doorPlace(plan.room, e, units) : place}: `, el('b', {}, e.k === 'skip' ? 'left out' : lengthText(e.rod, units))];
		// A turning point is read again as soon as the laser is moved.
		const about = e.sure || e.turn && (book.moving || !plan.tied) ? [] : doubts(book, i, notes);
		return el('div', { class: about.length && e.k === 'shot' ? 'line doubtful' : 'line', 'data-entry': nameOf(e) },
			el('span', {}, text, e.sure && ' (confirmed)', about.map(t => el('span', { class: 'small block' }, t))),
			e.k === 'skip' ? button('Read it', () => tools.set({ log: log.filter((_, k) => k !== i), at: e.at }, true), { 'aria-label': `Read place ${e.n} now` })
				: button('Change', () => tools.look({ form: 'change ' + i }), { 'aria-label': `Change ${nameOf(e)}` }));
	});
	const setup = setups(log).length;
	return [el('h3', {}, `${log.filter(e => e.k === 'shot').length} shots, ${plan.left.length} places left, set-up ${setup}`), el('div', { class: 'list' }, rows.reverse())];
}
