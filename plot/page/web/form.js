// Inputs for keys of the job, and refusals with the keys that would settle them.

import { button, el, id } from './dom.js';
import { openAt, writes } from './book.js';
import { correct, edit, field, rowIn } from './job.js';
import { capital, explained, helpOf, inWords, jump, keyIn, labelOf, name, tabOf } from './keywords.js';
import { seen, state } from './state.js';

// Keys whose words are only the usual values.
const open = new Set(['flatness.rules', 'survey.order', 'survey.allow', 'survey.grid-numbers', 'survey.grid-letters']);

// example is what a value looks like, in the units that are shown.
export function example(f) {
	const feet = (seen()?.units.show ?? state.show) === 'feet' || !seen() && !state.show && state.read.some(h => h.facts?.some(t => t.head === 'Units' && /\b(ft|feet|inch)/.test(t.text)));
	return feet ? f.us : f.metric;
}

// mostPicks is the number of values that are offered as buttons at once.
const mostPicks = 12;

const sentence = text => text && `${capital(text)}. `;

// input makes the input of a key with its label, help and example, and a button for each of
// the values in picks. values returns what is entered, in the form of an edit.
export function input(key, options = {}) {
	const f = field(key) ?? { key, kind: 'text', help: '', metric: '', us: '' };
	const of = id('input'), about = id('about');
	const given = f.current ?? [], first = given.length ? given : options.before ?? [];
	const sample = /^[A-Z]*$/.test(options.example ?? '') ? example(f) : options.example; // Z, H and NAME are no examples
	const common = { id: of, 'aria-describedby': about, 'data-key': key };
	let control, values;
	if (f.kind === 'switch') {
		control = el('input', { ...common, type: 'checkbox', checked: first[0] === 'true' });
		values = () => control.checked ? ['true'] : [];
	} else if (f.words && !open.has(key)) {
		const words = [...new Set([...f.words, ...first])];
		control = el('select', common, el('option', { value: '' }, options.none ?? '— as usual —'), words.map(w => el('option', { value: w, selected: w === first[0] }, w)));
		values = () => control.value ? [control.value] : [];
	} else if (f.kind === 'list' || f.kind === 'names') {
		control = el('textarea', { ...common, rows: Math.max(1, first.length), value: first.join('\n'), spellcheck: false, autocapitalize: 'off' });
		values = () => control.value.split('\n').map(v => v.trim()).filter(Boolean);
	} else {
		control = el('input', { ...common, type: f.kind === 'date' ? 'date' : 'text', value: first[0] ?? '', inputMode: f.kind === 'number' ? 'decimal' : 'text', autocomplete: 'off', autocapitalize: 'off', spellcheck: false });
		values = () => control.value.trim() ? [control.value.trim()] : [];
	}
	const usual = options.picks ?? (open.has(key) ? f.words : null) ?? [];
	const buttons = usual.length > 0 && el('div', { class: 'row' }, usual.map(w => button(w, () => {
		const others = values().filter(v => v !== w);
		control.value = f.kind !== 'list' ? w : (others.length < values().length ? others : [...others, w]).join('\n');
		control.dispatchEvent(new Event('change'));
	}, { 'aria-label': `${name(key)} ${w}` })));
	const picks = usual.length > mostPicks ? el('details', {}, el('summary', {}, `All ${usual.length} names`), buttons) : buttons;
	const perLine = f.kind === 'names' ? 'NAME=VALUE, one a line. ' : f.kind === 'list' ? 'One a line. ' : '';
	const such = f.kind === 'switch' || f.words && !open.has(key) || !sample ? '' : `Example: ${f.kind === 'names' && !/[=]/.test(sample) ? 'NAME=' : ''}${sample.replaceAll('"', '').replace(' = ', '=')}`;
	const label = el('label', { htmlFor: of }, options.label ?? labelOf(key));
	const help = el('p', { class: 'help', id: about }, sentence(options.help ?? helpOf(f)), explained(key + f.help) && explained(key + f.help) + ' ', perLine + such && el('span', {}, perLine + such));
	const host = el('div', { class: f.kind === 'switch' ? 'field switch' : 'field' }, f.kind === 'switch' ? [control, label] : [label, control], picks, help);
	return { key, host, control, values, changed: () => JSON.stringify(values()) !== JSON.stringify(given) };
}

const drawnAs = new WeakMap(); // what an input to type in held when it was drawn
const floorOf = new WeakMap(); // the floor that a form was drawn for

const typed = e => e.matches('textarea, input:not([type=checkbox], [type=radio], [type=file])');

// controls are what can have the focus in a form, by name: what has one twice is counted.
function controls(host) {
	const out = new Map();
	for (const e of host.querySelectorAll('input, textarea, select, button, summary')) {
		const of = `${e.tagName} ${e.dataset.key ?? e.getAttribute('aria-label') ?? e.labels?.[0]?.textContent ?? e.textContent}`;
		let n = 0;
		while (out.has(`${of} ${n}`)) n++;
		out.set(`${of} ${n}`, e);
	}
	return out;
}

// redraw replaces what is in a form while it is in use: the focus, the caret and what is typed
// and not yet in the job stay, as long as the floor and the value in the job are the same.
export function redraw(host, ...parts) {
	const before = floorOf.get(host) === state.floor ? controls(host) : new Map(), at = document.activeElement;
	const caret = at && typed(at) ? [at.selectionStart, at.selectionEnd] : [null];
	host.replaceChildren(...parts.flat(9).filter(Boolean));
	floorOf.set(host, state.floor);
	for (const [name, e] of controls(host)) {
		const old = before.get(name);
		if (typed(e) && old !== e) {
			drawnAs.set(e, e.value);
			if (old && drawnAs.get(old) === e.value && old.value !== e.value) goOn(e, old.value);
		}
		if (!old || old !== at) continue;
		e.focus({ preventScroll: true });
		if (typed(e) && caret[0] !== null) e.setSelectionRange(...caret);
	}
}

// goOn puts back what was typed. It is entered when the input is left, as the browser would do.
function goOn(e, text) {
	e.value = text;
	for (let d = e.closest('details'); d; d = d.parentElement.closest('details')) d.open = true;
	let entered = false;
	e.addEventListener('change', () => { entered = true; }, { once: true });
	e.addEventListener('blur', () => { if (!entered && e.isConnected) e.dispatchEvent(new Event('change', { bubbles: true })); }, { once: true });
}

// refusal shows why there is no answer: the text, the row of the file, and an input for each
// key that would settle it, or the way to the input that it is about. at is the key of the
// input that it is beside; asWritten: the job itself is beside it.
export function refusal(r, { at, asWritten } = {}) {
	const booked = r.file && writes(r.file);
	const host = el('div', { class: 'refusal' }, el('p', { class: 'why' }, asWritten ? r.text : inWords(r.text)), rowOf(r, booked));
	const asks = (r.asks ?? []).filter(a => !booked || a.key !== 'survey.leave-out');
	if (asks.length > 1) host.append(el('p', {}, 'One of these settles it:'));
	for (const a of asks) host.append(asking(a));
	const key = !asWritten && keyIn(r.text);
	if (key && key !== at && !asks.some(a => a.key === key)) host.append(el('p', { class: 'row' }, button(`Go to “${labelOf(key)}”`, () => jump(key))));
	return host;
}

// refusals shows reasons in their order, with one input for a key that several ask for.
export function refusals(list) {
	const asked = new Set();
	return (list ?? []).map(r => {
		const asks = r.asks?.filter(a => !asked.has(a.key));
		for (const a of asks ?? []) asked.add(a.key);
		return refusal({ ...r, asks });
	});
}

// doubt shows a row that may be misread, to correct or to leave out by leave.
export function doubt(r, leave) {
	const booked = writes(r.file);
	return el('div', { class: 'doubtful' }, el('p', {}, el('strong', {}, 'Check: '), r.text), rowOf(r, booked),
		!booked && el('p', { class: 'row' }, button('Leave it out', leave, { 'aria-label': `Leave out line ${r.line}` })));
}

// rowOf is the row of a file that a text is about, with where it can be changed.
function rowOf(r, booked) {
	const file = !booked && r.row && state.files.find(f => f.name === r.file), place = file && rowIn(file, r.line, r.row);
	return [r.row && [el('p', { class: 'rowhead' }, `${r.file}, line ${r.line}`), el('pre', { class: 'fileRow', tabIndex: 0, 'aria-label': `line ${r.line} of ${r.file}` }, r.row)],
		booked && inBook(r.file, r.line), place && correcting(r, file, place)];
}

// inBook opens the field book at a line of a file that it writes.
export const inBook = (file, line) => el('p', { class: 'row' }, button('Change it in the field book', () => openAt(file, line), { class: 'main' }));

// noAnswer is why a tab has nothing to show: usual, or what is refused, with where to settle it.
export function noAnswer(usual) {
	const [r] = state.refused;
	if (state.answer || !r) return [el('p', {}, usual)];
	const ofFile = state.files.some(f => f.name === r.file) && !r.asks?.some(a => a.key.startsWith('target.')), key = keyIn(r.text);
	const [tab, label] = ofFile ? ['shots', 'Shots'] : key ? tabOf(key) : ['target', 'Target'];
	return [el('p', { class: 'why' }, `No answer: ${inWords(r.text.split('\n', 1)[0])}`), el('p', { class: 'row' }, el('a', { class: 'button main', href: '#' + tab, onclick: e => {
		if (ofFile || !key) return;
		e.preventDefault();
		jump(key);
	} }, `Settle it under ${label}`))];
}

// correcting changes the row of the file on this device; the file it came from stays as it is.
function correcting(r, file, place) {
	const of = id('row');
	const row = el('input', { type: 'text', id: of, value: r.row, autocomplete: 'off', autocapitalize: 'off', spellcheck: false, class: 'code' });
	return el('details', {}, el('summary', {}, 'Correct this row'),
		el('form', { onsubmit: e => { e.preventDefault(); if (row.value !== r.row) correct(file, r.line, place, row.value); }, noValidate: true },
			el('div', { class: 'field' }, el('label', { htmlFor: of }, `Line ${r.line} of ${r.file}`), row,
				el('p', { class: 'help' }, 'Only for a slip of the pen or the keys. It is changed on this device; correct your own file too.')),
			el('button', {}, 'Use the corrected row')));
}

function asking(a) {
	const failed = el('div', { 'aria-live': 'assertive' });
	const set = async values => {
		const why = await edit([[a.key, values]]);
		failed.replaceChildren(...refusals(why));
	};
	if (a.leave) return el('div', { class: 'asking' }, el('p', {}, `Take “${labelOf(a.key)}” out of the job.`), button(`Take out ${labelOf(a.key).toLowerCase()}`, () => set([])), failed);
	const one = input(a.key, { example: a.example, none: '— choose —' });
	const known = field(a.key)?.current ?? [];
	const submit = async e => {
		e.preventDefault();
		const values = one.values();
		if (!values.length) {
			failed.replaceChildren(el('p', { class: 'why' }, 'Nothing is entered yet.'));
			one.control.focus();
			return;
		}
		await set(values);
	};
	return el('form', { class: 'asking', onsubmit: submit, noValidate: true }, one.host, el('button', { class: 'main' }, `${known.length ? 'Change' : 'Set'} ${labelOf(a.key).toLowerCase()}`), failed);
}
