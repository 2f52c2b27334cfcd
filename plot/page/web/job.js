// What the page does with the job: read the files, work out the answer, set keys, try
// another height. Replies that the user has overtaken are dropped.

import { ask } from './engine.js';
import { change, seen, state } from './state.js';
import { newId } from './store.js';

let running = null, again = false, rereads = false;

// refresh reads the files again, if what decides how they are read has changed, and works the
// job out. It is done when the state has the answer to what was set last.
export function refresh(reads = true) {
	rereads ||= reads;
	again = true;
	running ??= (async () => {
		try {
			while (again) {
				again = false;
				await round();
			}
		} finally {
			running = null;
			change({ busy: '' });
		}
	})();
	return running;
}

const blank = { answer: null, parts: null, ground: null, groundParts: null, raised: null, raise: 0, raisedBy: 0, raiseRefused: [], traded: null };

async function round() {
	const floor = state.floor;
	try {
		// With a job the answer comes first, and then how each file was read.
		if (rereads && !state.job && !await reading()) return;
		if (!state.job) {
			change({ ...blank, refused: [] });
			return;
		}
		change({ busy: 'working it out' });
		const r = await ask({ ask: 'solve' });
		if (again || state.floor !== floor) return;
		const part = { ...blank, answer: r.answer ?? null, parts: r.answer ? r.parts : null, refused: r.refused ?? [] };
		if (!r.answer) {
			const found = await asFound(part.refused);
			if (again || state.floor !== floor) return;
			Object.assign(part, found);
		}
		change(part);
		if (rereads) await reading();
	} catch (e) {
		if (state.floor === floor) change({ ...blank, refused: [{ text: e.message }] });
	}
}

// asFound is the floor before it has an answer. What the survey lacks for a floor is refused
// with it: a target alone would not settle that.
async function asFound(refused) {
	const { ground, parts, refused: lacks } = await ask({ ask: 'ground' });
	if (ground) return { ground, groundParts: parts };
	const others = refused.every(r => r.asks?.length && r.asks.every(a => a.key.startsWith('target.'))) ? lacks ?? [] : [];
	return { refused: [...others.filter(l => !refused.some(r => r.text === l.text)), ...refused] };
}

// reading reads the files and the keys of the job. It reports whether there is a job to work out.
async function reading() {
	if (!state.files.length && !state.job) {
		rereads = false;
		change({ ...blank, read: [], fields: [], refused: [] });
		return false;
	}
	const { floor, job } = state;
	change({ busy: 'reading the files' });
	const r = await ask({ ask: 'read' });
	if (again || state.floor !== floor || state.job !== job) return false; // the next round reads
	rereads = false;
	const part = { read: r.read ?? [], job: r.job ?? state.job };
	if (r.refused) Object.assign(part, blank, { refused: r.refused });
	else Object.assign(part, withTitle(r.fields));
	change(part);
	if (r.refused) return false;
	return true;
}

async function loadFields() {
	const { floor, job } = state;
	const { fields } = await ask({ ask: 'fields', job });
	if (fields && state.floor === floor && state.job === job) change(withTitle(fields));
}

// withTitle is the keys of the job and its title.
export function withTitle(fields) {
	const named = fields.find(f => f.key === 'title')?.current?.[0];
	return { fields, title: named ?? fields.find(f => f.key === 'survey.files')?.current?.[0] ?? '' };
}

// field is a key of the job, with its values in it.
export const field = key => state.fields.find(f => f.key === key);

// current is the values of a key in the job.
export const current = key => field(key)?.current ?? [];

// first is the first value of a key in the job, or nothing.
export const first = key => current(key)[0] ?? '';

// other is the key of the same quantity in the other system, or nothing.
const other = f => f.or ?? state.fields.find(g => g.or === f.key)?.key;

// inUse reports whether a key is for the units that are shown, or set in the job.
export const inUse = f => first(f.key) !== '' || !other(f) || Boolean(f.or) !== (seen()?.units.show === 'feet');

// aimed reports whether the job sets its target.
export const aimed = () => ['elevation', 'finish', 'finish-codes', 'finish-at', 'volume', 'drains', 'channels', 'parts', 'surface'].some(key => current('target.' + key).length) || best();

// best reports whether the target is the plane of least cost.
export const best = () => first('target.best') === 'true';

// designOf is the file of a target surface, FILE or FILE#NAME: what is before the # has the ending of
// a file.
export const designOf = text => /^(.*\.[^/]*)#[^#]*$/.exec(text)?.[1] ?? text;

const readAs = key => key === 'target.surface' || !/^(target|site|mix|plant|pace|pins|bars|mesh|bays|edge|joints|coats|materials|flatness)\./.test(key);

let editing = Promise.resolve();

// set makes what f returns of the job the job, once edits before it are done: of two edits at
// once, none loses the other.
function set(pairs, f) {
	const floor = state.floor;
	const done = editing.then(async () => {
		if (state.floor !== floor) return [{ text: 'Another floor was opened meanwhile: nothing is changed.' }];
		const before = state.job;
		const { text, refused } = await f();
		if (refused) return refused;
		if (state.floor !== floor || state.job !== before) return [{ text: 'The job was changed meanwhile: this is not set. Try again.' }];
		change({ job: text });
		return null;
	});
	editing = done.catch(() => {});
	return done.then(async refused => {
		if (!refused) await follow(pairs.some(([key]) => readAs(key)));
		return refused;
	});
}

// edit sets keys of the job, all or none: [key, values] each, without values to take it out.
// It returns why not, or nothing.
export const edit = pairs => set(pairs, () => edited(pairs));

// attempt sets keys as edit does, but leaves the job as it is if it has an answer and would
// have none.
export const attempt = pairs => set(pairs, async () => {
	const had = state.answer, next = await edited(pairs);
	if (!had || next.refused) return next;
	const { refused } = await ask({ ask: 'solve', job: next.text });
	return refused ? { refused } : next;
});

// edited is the text of the job with keys set, which stays as it is, or why it cannot be. A
// quantity set in one system is taken out in the other.
export async function edited(pairs) {
	const others = pairs.filter(([key, values]) => values.length && field(key)).map(([key]) => other(field(key))).filter(key => key && current(key).length);
	let text = state.job;
	for (const [key, values] of [...others.map(key => [key, []]), ...pairs]) {
		const r = await ask({ ask: 'edit', job: text, key, values });
		if (r.refused) return { refused: r.refused };
		text = r.job;
	}
	return { text };
}

// use makes a text the job.
export async function use(text, reads = true) {
	change({ job: text });
	await follow(reads);
}

async function follow(reads) {
	if (!reads) {
		change({ busy: 'working it out' }); // what is shown is of the job before
		await loadFields().catch(e => {
			change({ busy: '' });
			throw e;
		});
	}
	await refresh(reads);
}

// raise asks for the answer at a target that is higher by m metres. The newest request wins.
export async function raise(m) {
	const of = state.answer;
	if (!of) return;
	change({ raise: m, traded: null });
	if (m === 0) {
		change({ raised: null, raisedBy: 0, raiseRefused: [] });
		return;
	}
	try {
		const r = await ask({ ask: 'raise', raise: m });
		if (r && state.raise === m && state.answer === of) change({ raised: r.answer ?? null, raisedBy: m, raiseRefused: r.refused ?? [] });
	} catch (e) {
		if (state.answer === of) change({ raised: null, raisedBy: m, raiseRefused: [{ text: e.message }] });
	}
}

// trade works the job out with another price of grinding, which gives point n of the trade-off, and
// keeps nothing. Until the answer comes, the plane of the point is shown.
export async function trade(n) {
	const of = state.answer, { points, planes } = of.trade, point = points[n];
	change({ raise: 0, raised: null, raisedBy: 0, raiseRefused: [], traded: point.here ? null : { n, target: planes[n], shades: of.shades, thresholds: [] } });
	if (point.here) return;
	const mine = state.traded, current = () => state.traded === mine && state.answer === of;
	let r;
	try {
		const { text, refused } = await edited([['target.grind-price', [point.price]]]);
		if (!current()) return;
		r = refused ? { refused } : await ask({ ask: 'solve', job: text });
	} catch (e) {
		r = { refused: [{ text: e.message }] };
	}
	if (current()) change({ raised: r.answer ?? null, raiseRefused: r.refused ?? [] });
}

// rowIn returns where a row of a text file is, in bytes, undefined if the file has another text
// there: it may be in another encoding, or its row too long to be shown.
export function rowIn(file, line, text) {
	const { bytes } = file;
	let from = 0;
	for (let n = 1; n < line; n++) {
		from = bytes.indexOf(10, from) + 1;
		if (from === 0) return undefined;
	}
	let to = bytes.indexOf(10, from);
	if (to < 0) to = bytes.length;
	if (to > from && bytes[to - 1] === 13) to--;
	return new TextDecoder().decode(bytes.subarray(from, to)) === text ? [from, to] : undefined;
}

// correct replaces a row of a file on this device. The file notes which rows it has corrected.
export async function correct(file, line, [from, to], text) {
	const row = new TextEncoder().encode(text);
	const bytes = new Uint8Array(file.bytes.length - (to - from) + row.length);
	bytes.set(file.bytes.subarray(0, from));
	bytes.set(row, from);
	bytes.set(file.bytes.subarray(to), from + row.length);
	const corrected = [...new Set([...file.corrected ?? [], line])].sort((a, b) => a - b);
	change({ files: state.files.map(f => f === file ? { ...f, bytes, id: newId(), corrected } : f) });
	await refresh();
}
