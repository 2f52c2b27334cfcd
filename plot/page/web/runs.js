// Runs of readings after the pour, typed on the page: one row of a file for each run.

import { button, el, id } from './dom.js';
import { current, edit, refresh } from './job.js';
import { inWords } from './keywords.js';
import { change, state } from './state.js';
import { newId } from './store.js';

export const typedRuns = 'runs-typed.csv';
const heads = { feet: 'run,step (in),readings (in)', metric: 'run,step (mm),readings (mm)' };
const usual = { feet: '12', metric: '300' }; // step of a run for F-numbers

// runsText is the file of some runs, {name, step, readings: [text]}.
export function runsText(runs, units) {
	const cell = t => t.trim().replaceAll(/[\r\n,;]/g, '.');
	return [heads[units], ...runs.map(r => `${cell(r.name)},${cell(r.step)},${r.readings.map(cell).join(';')}`)].join('\n') + '\n';
}

// runsOf reads such a file.
export function runsOf(text) {
	const [head, ...rows] = text.trim().split('\n');
	return { units: head === heads.feet ? 'feet' : 'metric', runs: rows.map(line => {
		const [name, step, readings] = line.split(',');
		return { name, step, readings: readings.split(';') };
	}) };
}

const file = () => state.files.find(f => f.name === typedRuns);

// typeRuns is the form of the runs.
export function typeRuns() {
	const host = el('div', { class: 'card' });
	let units = 'metric', runs = null;

	function show() {
		const kept = file();
		if (!kept && !runs) {
			host.replaceChildren(button('Type runs of readings', () => {
				units = state.answer?.units.show ?? 'metric';
				runs = [];
				add();
			}));
			return;
		}
		if (kept && !runs) ({ units, runs } = runsOf(new TextDecoder().decode(kept.bytes)));
		draw();
	}

	function add() {
		runs.push({ name: `R${runs.length + 1}`, step: runs.at(-1)?.step ?? usual[units], readings: [] });
		draw();
	}

	function draw() {
		const failed = el('div', { 'aria-live': 'assertive' }), unit = units === 'feet' ? 'in' : 'mm';
		host.replaceChildren(el('h3', {}, 'Runs of readings'),
			el('p', { class: 'help' }, `Readings in ${units === 'feet' ? 'inches' : 'mm'}, at equal steps along a line, one a line of the box, a larger reading for a lower floor. Four runs or more give an interval of FF, six or more one of FL.`),
			...runs.map((r, i) => {
				const [name, step, readings] = [id('run'), id('step'), id('readings')];
				return el('fieldset', {}, el('legend', {}, `Run ${i + 1}`),
					el('div', { class: 'field' }, el('label', { htmlFor: name }, 'Name'), el('input', { id: name, type: 'text', value: r.name, oninput: e => { r.name = e.target.value; } })),
					el('div', { class: 'field' }, el('label', { htmlFor: step }, `Step, ${unit}`), el('input', { id: step, type: 'text', inputMode: 'decimal', value: r.step, oninput: e => { r.step = e.target.value; } })),
					el('div', { class: 'field' }, el('label', { htmlFor: readings }, `Readings, ${unit}`), el('textarea', { id: readings, rows: 6, inputMode: units === 'metric' ? 'decimal' : 'text', value: r.readings.join('\n'), oninput: e => { r.readings = e.target.value.split('\n').filter(t => t.trim() !== ''); } })));
			}),
			el('div', { class: 'row' }, button('Next run', add), button('Use these runs', () => use(failed), { class: 'main' })), failed);
	}

	async function use(failed) {
		const short = runs.findIndex(r => r.readings.length < 2 || r.name.trim() === '' || r.step.trim() === '');
		if (short >= 0) {
			failed.replaceChildren(el('p', { class: 'why' }, `Run ${short + 1} needs a name, a step and two readings or more.`));
			return;
		}
		const bytes = new TextEncoder().encode(runsText(runs, units));
		change({ files: [...state.files.filter(f => f.name !== typedRuns), { name: typedRuns, id: newId(), bytes }] });
		const list = current('survey.after');
		const why = list.includes(typedRuns) ? null : await edit([['survey.after', [...list, typedRuns]]]);
		if (why) failed.replaceChildren(el('p', { class: 'why' }, inWords(why[0].text)));
		else await refresh();
	}

	show();
	return { host, show() {
		if (host.contains(document.activeElement)) return;
		if (!file()) runs = null; // another floor
		show();
	} };
}
