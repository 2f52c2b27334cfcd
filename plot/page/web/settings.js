// Settings: the other keys of the job, by table, and its text.

import { button, el, id, say } from './dom.js';
import { ask } from './engine.js';
import { input, redraw, refusal, refusals } from './form.js';
import { edit, inUse, use } from './job.js';
import { headOf, tableOf } from './keywords.js';
import { on, seen, state } from './state.js';

const elsewhere = key => key.startsWith('target.') || ['survey.files', 'survey.after', 'survey.outline'].includes(key);

export function start(host) {
	const none = el('p', {}, 'First the shots: choose the files under Shots.');
	const tables = el('div');
	const of = id('job');
	const text = el('textarea', { id: of, rows: 18, spellcheck: false, autocapitalize: 'off', class: 'code', 'aria-describedby': of + '-help' });
	const failed = el('div', { 'aria-live': 'assertive' });
	const own = el('details', { class: 'card' }, el('summary', {}, 'Text of the job'),
		el('div', { class: 'field' }, el('label', { htmlFor: of }, 'Job file'), text,
			el('p', { class: 'help', id: of + '-help' }, 'Materials, coats and dams are set here. A line that begins with # is not in use.')),
		failed,
		el('div', { class: 'row' }, button('Use this text', useText, { class: 'main' }), button('Undo my changes', () => { text.value = state.job; failed.replaceChildren(); })));
	const broken = el('div', { 'aria-live': 'assertive' });
	host.append(none, broken, tables, own);
	let drawn = '', before = ''; // the job before the last setting

	async function useText() {
		const r = await ask({ ask: 'fields', job: text.value });
		failed.replaceChildren(...(r.refused ?? []).map(one => refusal({ ...one, asks: [] }, { asWritten: true })));
		if (r.refused) return;
		await use(text.value);
		say('This text is the job now.');
	}

	function setting(f) {
		const one = input(f.key);
		const why = el('div', { 'aria-live': 'assertive' });
		one.control.addEventListener('change', async () => {
			if (!one.changed()) return;
			before = state.answer ? state.job : before;
			const refused = await edit([[f.key, one.values()]]);
			why.replaceChildren(...(refused ?? []).map(r => refusal({ ...r, asks: [] }, { at: f.key })), refused ? el('p', {}, 'It stays as it was.') : '');
		});
		one.host.append(why);
		return one.host;
	}

	function show() {
		none.hidden = state.job !== '';
		tables.hidden = own.hidden = state.job === '';
		if (document.activeElement !== text) text.value = state.job;
		const undo = before && before !== state.job;
		redraw(broken, ...refusals(state.answer ? [] : state.refused), !state.answer && state.refused.length && undo ? button('Take back the last setting', () => use(before)) : '');
		const now = JSON.stringify([state.floor, seen()?.units.show, state.fields]);
		if (now === drawn) return;
		drawn = now;
		const open = new Set([...tables.querySelectorAll('details[open]')].map(d => d.dataset.table));
		const groups = Map.groupBy(state.fields.filter(f => !elsewhere(f.key) && inUse(f)), f => tableOf(f.key));
		redraw(tables, ...[...groups].map(([table, list]) => {
			const set = list.filter(f => f.current?.length).length;
			return el('details', { class: 'card', 'data-table': table, open: open.has(table) },
				el('summary', {}, headOf(table), set > 0 && el('span', { class: 'tag' }, `${set} set`)), list.map(setting));
		}));
	}

	on(['fields', 'job', 'answer', 'ground', 'refused'], show);
	on(['floor'], () => { before = ''; });
	show();
}
