// Tab "Field book": a new floor from the tape and the rod, one thing at a time. What is
// typed is kept at every key; what is read goes to the engine as a level book at once.

import { button, choose, download, el, say } from './dom.js';
import { ask } from './engine.js';
import { refresh } from './job.js';
import { fresh } from './floors.js';
import { change, on, state } from './state.js';
import { newId } from './store.js';
import { inFeet, linesAbout, outlineFile, own, surveyFile } from './bookcsv.js';
import { roomStep } from './bookroom.js';
import { shotsStep } from './bookshots.js';

const surveyName = 'survey.csv', outlineName = 'outline.csv';

const encoder = new TextEncoder(), decoder = new TextDecoder();

// A step of the way to a floor, in order.
const steps = [['room', 'Walls'], ['shots', 'Shots'], ['end', 'Finish']];

// mostUndone is the number of changes that can be taken back, also after the page is loaded
// again.
const mostUndone = 50;

// Book is what a step may do with the field book.
const tools = {
	// keep stores what is typed, without another picture of the page.
	keep(draft) { change({ book: { ...state.book, draft } }); },
	// set changes the book; it can be undone.
	set(part, quiet = false) {
		change({ book: { ...state.book, draft: {}, ...part }, undone: [...state.undone, state.book].slice(-mostUndone) });
		if (!quiet) give();
	},
	// look changes what is shown of the book.
	look(part) { change({ book: { ...state.book, draft: {}, ...part } }); },
	undo() {
		const before = state.undone.at(-1);
		if (!before) return;
		change({ book: before, undone: state.undone.slice(0, -1) });
		give();
	},
	canUndo: () => state.undone.length > 0,
	notes: () => notesOf(state.book),
};

// files are the two files of the book, once there is something to work out.
export function files(book) {
	if (!book?.closed) return [];
	return [[surveyName, surveyFile(book).text], [outlineName, outlineFile(book)]];
}

// writes reports whether a file of the floor is one that the book writes. A row of it is
// changed in the book: what is changed in the file itself is gone with the next reading.
export function writes(name) {
	const own = files(state.book).find(([n]) => n === name), has = state.files.find(f => f.name === name);
	return own !== undefined && has !== undefined && sameHead(decoder.decode(has.bytes), own[1]);
}

const sameHead = (a, b) => a.split('\n', 1)[0] === b.split('\n', 1)[0];

// openAt shows the field book at the reading that is a line of a file it writes.
export function openAt(name, line) {
	const { book } = state;
	const i = name === surveyName ? surveyFile(book).lines.indexOf(line) : -1;
	const form = book.log[i]?.rod === undefined ? '' : 'change ' + i;
	tools.look({ step: name === outlineName ? 'room' : 'shots', form, moving: false });
	location.hash = '#book';
}

let giving = Promise.resolve();

// give hands the files of the book to the engine, if they have changed.
function give() {
	giving = giving.then(hand).catch(e => say(e.message));
}

async function hand() {
	const { book, floor } = state;
	if (!book || !book.log.some(e => e.k === 'shot') && !surveyOf()) return;
	const foreign = files(book).find(([name, text]) => state.files.some(f => f.name === name && !sameHead(decoder.decode(f.bytes), text)));
	if (foreign) {
		say(`The file ${foreign[0]} of this floor was not made by the field book. What you type is kept; take the file out under Shots, and the book puts its own in its place.`);
		return;
	}
	let changed = false;
	const all = state.files.filter(f => f.name !== surveyName && f.name !== outlineName);
	for (const [name, text] of files(book)) {
		const was = state.files.find(f => f.name === name);
		const same = was && decoder.decode(was.bytes) === text;
		changed ||= !same;
		all.push(same ? was : { name, id: newId(), bytes: encoder.encode(text) });
	}
	if (!changed) return;
	const part = { files: all };
	if (!state.job) {
		const read = await ask({ ask: 'read', files: all });
		const named = read.job && await ask({ ask: 'edit', job: read.job, files: [], key: 'title', values: [book.title] });
		if (named?.job) part.job = named.job;
	}
	if (state.floor !== floor) return; // another floor was opened meanwhile
	change(part);
	refresh();
}

const surveyOf = () => state.files.find(f => f.name === surveyName);

// about is the content of the survey, by its id, that each reply of the engine is about.
const about = { read: '', answer: '', refused: '' };

// notesOf returns what the engine has to say about each entry of the log, by its place in it.
// While a reply about the newest content is on its way there is nothing.
function notesOf(book) {
	const out = new Map();
	const sent = surveyOf();
	if (!book || !sent) return out;
	const { text, lines } = surveyFile(book);
	if (decoder.decode(sent.bytes) !== text) return out;
	const now = key => about[key] === sent.id;
	const held = now('read') && state.read.find(h => h.name === surveyName) || {};
	const found = linesAbout(surveyName, now('answer') && state.answer || held);
	for (const [line, texts] of linesAbout(surveyName, { refused: [...held.refused ?? [], ...now('refused') ? state.refused : []] })) {
		found.set(line, [...new Set([...found.get(line) ?? [], ...texts])]);
	}
	lines.forEach((line, i) => {
		if (found.has(line)) out.set(i, found.get(line));
	});
	return out;
}

// closes is how the level book closes, in the words of the engine.
export function closes() {
	const held = state.read.find(h => h.name === surveyName);
	return held?.facts?.find(f => f.head === 'Level book')?.text ?? '';
}

let newName = ''; // typed for the next floor

function begin() {
	const title = el('input', { id: 'book-title', type: 'text', autocomplete: 'off', maxLength: 60, value: newName, oninput: e => { newName = e.target.value; } });
	const message = el('p', { class: 'why', role: 'alert' });
	const take = async units => {
		const name = title.value.trim();
		if (!name) {
			message.textContent = 'Type a name for the floor first.';
			title.focus();
			return;
		}
		if (state.files.length > 0 || state.job) {
			if (await choose('The floor that is open has files of its own. The field book begins a new floor; the other one is kept under Floors.', ['Begin a new floor', 'Leave it']) !== 0) return;
			fresh();
		}
		newName = '';
		change({ title: name, show: inFeet(units) ? 'feet' : 'metric', undone: [], book: {
			title: name, units, walls: [], columns: [], closed: false, spacing: own(units, 4, 1200), off: { feet: 64, tenths: 300 }[units] ?? 1000,
			log: [], step: 'room', draft: {},
		} });
	};
	return [
		el('p', {}, 'A floor from the tape and the rod: walls, benchmark, then shot after shot. Everything is kept on this device as you type.'),
		el('div', { class: 'fill' }, el('label', { htmlFor: 'book-title' }, 'Name of the floor'), title), message,
		el('p', {}, 'How are your tape and rod marked?'),
		el('div', { class: 'row' },
			button('Feet, inches, sixteenths', () => take('feet'), { class: 'main large', 'data-key': 'feet' }),
			button('Feet, tenths, hundredths', () => take('tenths'), { class: 'main large', 'data-key': 'tenths' }),
			button('Metres and millimetres', () => take('metric'), { class: 'main large', 'data-key': 'metric' }))];
}

function bar(book) {
	const can = { room: true, shots: book.closed, end: book.closed && book.log.some(e => e.k === 'shot') };
	return el('div', { class: 'bookbar' },
		steps.map(([name, label]) => button(label, () => tools.look({ step: name, form: '' }), { disabled: !can[name], 'aria-current': book.step === name && 'step' })),
		button('Undo', tools.undo, { disabled: !tools.canUndo(), 'data-key': 'undo' }));
}

function endStep() {
	const host = el('div', { class: 'bookstep' });
	const renew = () => host.replaceChildren(...ending(state.book));
	renew();
	return { host, renew };
}

function ending(book) {
	const out = [el('h3', {}, 'Close on the benchmark')], notes = tools.notes();
	const lastRead = book.log.findLastIndex(e => e.k === 'shot' || e.k === 'door');
	if (!book.log.some((e, i) => e.k === 'mark' && !e.turn && i > lastRead)) {
		out.push(el('p', { class: 'warning' }, 'Read the benchmark again before the laser comes down: otherwise nothing shows whether it moved.'),
			button('Read the benchmark', () => tools.look({ step: 'shots', form: 'mark' }), { class: 'main large', 'data-key': 'close' }));
	}
	if (closes()) out.push(el('p', { class: 'large' }, `Level book: ${closes()}`));
	book.log.forEach((e, i) => {
		if (e.k === 'mark') out.push(...(notes.get(i) ?? []).map(text => el('p', { class: 'warning' }, text)));
	});
	out.push(el('h3', {}, 'Next'), el('div', { class: 'row' },
		state.job && el('a', { href: '#target', class: 'button main large' }, 'Choose the target'),
		files(book).map(([name, text]) => button(name, () => download(name, text, 'text/csv'), { 'data-key': name }))),
	el('p', { class: 'small' }, 'The two files are the whole book. The command reads them too.'));
	return out;
}

// start shows the field book in its tab.
export function start(host) {
	const page = el('div', { class: 'book' });
	host.append(page);
	let shown = null, wide = 0, view = null;

	const render = () => {
		const book = state.book, turned = shown && book && (shown.form ?? '') !== (book.form ?? '');
		shown = book;
		view = null;
		if (host.hidden) return;
		if (!book) {
			page.replaceChildren(...begin());
			return;
		}
		const width = Math.max(280, Math.min(page.clientWidth || 340, 700));
		view = { room: roomStep, shots: shotsStep, end: endStep }[book.step](book, tools, width);
		page.replaceChildren(...[view.above, bar(book), view.host].filter(Boolean)); // at once, so that the page does not scroll
		if (turned) toForm();
	};

	// toForm brings what is asked for now below the head of the page, if it is above it: a form
	// was opened or closed from further down.
	const toForm = () => {
		const asked = page.querySelector('.asked'), head = document.querySelector('header').getBoundingClientRect().bottom;
		const over = head - (asked?.getBoundingClientRect().top ?? head);
		if (over > 0) scrollBy(0, -over - 8);
	};

	on(['book', 'floor'], () => {
		const { draft: a, ...now } = state.book ?? {}, { draft: b, ...was } = shown ?? {};
		// While only the draft changes, what is on the screen has it already.
		if (state.book && shown && Object.keys({ ...now, ...was }).every(key => now[key] === was[key]) && a !== undefined && Object.keys(a).length > 0) shown = state.book;
		else render();
	});
	for (const key of Object.keys(about)) on([key], () => { about[key] = surveyOf()?.id ?? ''; });
	on(['read', 'answer', 'refused', 'sure'], () => {
		// The keys stay as they are: a tap that is under way must not be lost.
		view?.renew();
	});
	new MutationObserver(render).observe(host, { attributeFilter: ['hidden'] });
	new ResizeObserver(() => requestAnimationFrame(() => { // not within the observer, which would call itself
		if (page.clientWidth && page.clientWidth !== wide) {
			wide = page.clientWidth;
			render();
		}
	})).observe(page);
	render();
}
