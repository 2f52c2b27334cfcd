// Check shots after the pour, typed on the page: one file of the floor, with the rod on a
// benchmark first. What is typed is written as it is typed: the engine reads it and names a
// row that it cannot read.

import { leftward, roomOf } from './bookcsv.js';
import { button, el, id } from './dom.js';
import { current, edit, refresh } from './job.js';
import { inWords } from './keywords.js';
import { change, state } from './state.js';
import { newId } from './store.js';

export const typed = 'check-typed.csv';
const heads = { feet: 'setup,sight,point,x_ft,y_ft,rod_ft_in', metric: 'setup,sight,point,x_m,y_m,rod_mm' };
const words = { feet: ['x (ft)', 'y (ft)', 'rod (ft-in)', `4-3 11/16`], metric: ['x (m)', 'y (m)', 'rod (mm)', '1312'] };

// checksText is the file of some check shots: {bench, reading, rows: [[x, y, rod]]}.
export function checksText(checks, units) {
	const cell = t => t.trim().replaceAll(',', '.').replaceAll(/[\r\n]/g, ' '); // a comma would be the next column
	const rows = checks.rows.filter(r => r.some(t => t.trim() !== ''));
	return [heads[units], `C1,BS,${cell(checks.bench)},,,${cell(checks.reading)}`, ...rows.map((r, i) => `C1,IS,K${i + 1},${r.map(cell).join(',')}`)].join('\n') + '\n';
}

// checksOf reads such a file.
export function checksOf(text) {
	const [head, first, ...rows] = text.trim().split('\n').map(line => line.split(','));
	return { units: head.join(',') === heads.feet ? 'feet' : 'metric', bench: first[2], reading: first[5], rows: rows.map(r => r.slice(3, 6)) };
}

const file = () => state.files.find(f => f.name === typed);

// origin is the corner that x and y count from.
function origin() {
	const { book } = state;
	if (!book?.closed) return 'x and y count from where they do in the shots before the pour.';
	const room = roomOf(book.walls);
	return `x and y count from the corner of ${room.at(-1).name} and ${room[0].name}: x along ${room[0].name}, y square to it${leftward(room) < 0 ? ', with a minus into the room' : ''}.`;
}

// checkShots is the form of the check shots.
export function checkShots() {
	const host = el('div', { class: 'card' });
	let units = 'metric', checks = null;

	function show() {
		const kept = file();
		if (!kept && !checks) {
			host.replaceChildren(button('Type check shots', begin));
			return;
		}
		if (kept && !checks) ({ units, ...checks } = checksOf(new TextDecoder().decode(kept.bytes)));
		draw();
	}

	function begin() {
		units = state.answer?.units.show ?? 'metric';
		const mark = state.answer?.floor.benchmarks[0]?.name ?? 'BM1';
		checks = { bench: mark, reading: '', rows: [['', '', '']] };
		draw();
	}

	function draw() {
		const [x, y, rod, example] = words[units];
		const cell = (label, value, set) => el('input', { type: 'text', value, 'aria-label': label, autocomplete: 'off', inputMode: units === 'metric' ? 'decimal' : 'text', oninput: e => set(e.target.value) });
		const bench = id('bench'), reading = id('reading');
		const failed = el('div', { 'aria-live': 'assertive' });
		host.replaceChildren(el('h3', {}, 'Check shots'),
			el('p', { class: 'help' }, `Places as on the plan; the rod as read, such as ${example}. ${origin()}`),
			el('div', { class: 'field' }, el('label', { htmlFor: bench }, 'Benchmark'), el('input', { id: bench, type: 'text', value: checks.bench, oninput: e => { checks.bench = e.target.value; } })),
			el('div', { class: 'field' }, el('label', { htmlFor: reading }, `Rod on it, ${rod}`), el('input', { id: reading, type: 'text', value: checks.reading, oninput: e => { checks.reading = e.target.value; } })),
			el('table', { class: 'corners checks' }, el('caption', {}, 'Shots on the new floor'), el('thead', {}, el('tr', {}, ['Shot', x, y, rod].map(t => el('th', { scope: 'col' }, t)))),
				el('tbody', {}, checks.rows.map((r, i) => el('tr', {}, el('th', { scope: 'row' }, `K${i + 1}`), r.map((v, k) => el('td', { 'data-head': [x, y, rod][k] }, cell(`K${i + 1}, ${[x, y, rod][k]}`, v, t => { r[k] = t; }))))))),
			el('div', { class: 'row' }, button('Next shot', () => {
				checks.rows.push(['', '', '']);
				draw();
				host.querySelector('tbody tr:last-child input').focus();
			}), button('Use these shots', () => use(failed), { class: 'main' })), failed);
	}

	async function use(failed) {
		const rows = checks.rows.filter(r => r.some(t => t.trim() !== ''));
		const open = rows.findIndex(r => r.some(t => t.trim() === ''));
		if (checks.bench.trim() === '' || checks.reading.trim() === '' || !rows.length || open >= 0) {
			failed.replaceChildren(el('p', { class: 'why' }, open >= 0 ? `K${open + 1} is not complete.` : 'The benchmark, the rod on it and one shot are needed.'));
			return;
		}
		checks.rows = rows;
		const bytes = new TextEncoder().encode(checksText(checks, units));
		change({ files: [...state.files.filter(f => f.name !== typed), { name: typed, id: newId(), bytes }] });
		const list = current('survey.after');
		const why = list.includes(typed) ? null : await edit([['survey.after', [...list, typed]]]);
		if (why) failed.replaceChildren(el('p', { class: 'why' }, inWords(why[0].text)));
		else await refresh();
	}

	show();
	return { host, show() {
		if (!file() && !host.contains(document.activeElement)) checks = null; // another floor
		if (!host.contains(document.activeElement)) show();
	} };
}
