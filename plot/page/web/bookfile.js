// The field book in the archive of a floor: what is typed in it and the ticks of the pour, so
// that both are there again where the archive is opened.

import { outlineFile, surveyFile } from './bookcsv.js';

export const bookFile = 'fieldbook.json';
const mark = 'pourplane field book 1';
const most = 5_000; // entries of a log: a longer one is not typed by hand

// bookBytes is the file of the book and the ticks of a floor, nothing if it has neither.
export function bookBytes({ book, ticks }) {
	if (!book && !Object.keys(ticks ?? {}).length) return null;
	const { draft, ...kept } = book ?? {};
	return new TextEncoder().encode(JSON.stringify({ kind: mark, book: book ? kept : null, ticks: ticks ?? {} }, null, '\t') + '\n');
}

const isText = v => typeof v === 'string' && v.length < 1000;
const isSteps = v => Number.isSafeInteger(v) && Math.abs(v) < 1e9;
const isPlace = v => Array.isArray(v) && v.length === 2 && v.every(isSteps);
const isList = (v, of) => Array.isArray(v) && v.length <= most && v.every(one => one !== null && typeof one === 'object' && of(one));
const maybe = (v, of) => v === undefined || of(v);

const isWall = w => (isPlace(w.to) ? Array.isArray(w.way) && w.way.length === 2 && w.way.every(v => [-1, 0, 1].includes(v)) : isSteps(w.len) && w.len > 0 && ['left', 'right'].includes(w.turn)) && maybe(w.name, isText);
const isColumn = c => isText(c.name) && Array.isArray(c.ring) && c.ring.length > 2 && c.ring.every(isPlace);
const entries = {
	mark: e => isText(e.name) && isSteps(e.rod) && maybe(e.elev, isText),
	move: () => true,
	shot: e => isSteps(e.n) && isPlace(e.at) && isSteps(e.rod),
	skip: e => isSteps(e.n) && isPlace(e.at),
	door: e => isText(e.name) && isPlace(e.at) && isSteps(e.rod) && isText(e.note),
};
const isEntry = e => Object.hasOwn(entries, e.k) && entries[e.k](e) && maybe(e.of, isSteps);

// checks are the parts of a book, with what is wanted of each.
const checks = [
	['title', isText, 'a text'], ['units', v => ['feet', 'tenths', 'metric'].includes(v), 'feet, tenths or metric'], ['walls', v => isList(v, isWall), 'walls'],
	['columns', v => isList(v, isColumn), 'columns'], ['log', v => isList(v, isEntry), 'readings'], ['closed', v => typeof v === 'boolean', 'true or false'],
	['spacing', v => isSteps(v) && v > 0, 'a length'], ['off', v => isSteps(v) && v > 0, 'a length'],
];

// bookOf reads such a file: {book, ticks}. It fails with what is wrong.
export function bookOf(bytes) {
	const wrong = (what, want) => new Error(`${bookFile}: found another ${what}, want ${want}, as Papers writes it.`);
	let all;
	try {
		all = JSON.parse(new TextDecoder().decode(bytes));
	} catch {
		throw wrong('content', 'a field book');
	}
	if (all?.kind !== mark) throw wrong('kind', mark);
	const ticks = all.ticks ?? {};
	if (typeof ticks !== 'object' || !Object.values(ticks).every(isText)) throw wrong('ticks', 'the mark of each pin');
	const { book } = all;
	if (book === null) return { book, ticks };
	for (const [key, is, want] of checks) {
		if (!is(book?.[key])) throw wrong(key, want);
	}
	try {
		if (book.closed) outlineFile(book);
		surveyFile(book);
	} catch {
		throw wrong('log', 'readings that make a survey');
	}
	const own = Object.fromEntries(checks.map(([key]) => [key, book[key]]));
	return { book: { ...own, step: book.closed ? 'shots' : 'room', form: '', draft: {} }, ticks };
}
