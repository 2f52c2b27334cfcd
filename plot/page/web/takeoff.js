// The tab Take-off: what to buy and to lay, with the materials, their label figures and the
// prices to change.

import { button, choose, el, remarks, table, warning } from './dom.js';
import { input, noAnswer, redraw, refusal } from './form.js';
import { attempt, inUse } from './job.js';
import { headOf, name, tableOf } from './keywords.js';
import { on, seen, state } from './state.js';

const several = { materials: 'material', coats: 'coat' };

// grouped are the keys to change here, by the thing that they are about: each material and
// coat, then all other prices.
function grouped(fields) {
	const out = new Map();
	for (const f of fields) {
		const of = /^((?:materials|coats)\[\d+\])\./.exec(f.key)?.[1] ?? (/price|currency|allowance/.test(f.key) ? 'prices' : '');
		if (!of) continue;
		if (!out.has(of)) out.set(of, []);
		out.get(of).push(f);
	}
	return out;
}

const titleOf = of => of === 'prices' ? 'Other prices and allowances' : headOf(of);

export function start(host) {
	const none = el('div');
	const parts = el('div'), inputs = el('div'), failed = el('div', { 'aria-live': 'assertive' });
	host.append(none, parts, el('h3', {}, 'Materials and prices'), inputs, failed);
	let drawn = '';
	on(['answer', 'fields', 'refused'], show);
	show();

	function show() {
		const a = state.answer;
		none.hidden = a !== null;
		none.replaceChildren(...noAnswer('What to buy appears here when there are shots and a target.'));
		parts.replaceChildren(...(a?.takeoff ?? []).map(p => el('section', {},
			p.title === 'Take-off' ? null : el('h3', {}, p.title), (p.warnings ?? []).map(warning), (p.text ?? []).map(t => el('p', {}, t)), (p.tables ?? []).map(table),
			p.cautions?.length ? remarks([{ head: 'Notes', notes: p.cautions }]) : null)));
		const now = JSON.stringify([state.floor, seen()?.units.show, state.fields]);
		if (now === drawn) return;
		drawn = now;
		const open = new Set([...inputs.querySelectorAll('details[open]')].map(d => d.dataset.of));
		const groups = grouped(state.fields.filter(inUse));
		redraw(inputs, ...[...groups].map(([of, fields]) => el('details', { class: 'card', 'data-of': of, open: open.has(of) },
			el('summary', {}, titleOf(of)), fields.map(setting), of === 'prices' ? null : button('Take this out of the job', () => takeOut(of, titleOf(of))))),
		el('div', { class: 'row' }, state.job ? Object.keys(several).map(t => button(`Add a ${several[t]}`, () => add(t, groups))) : null));
	}

	function setting(f) {
		const one = input(f.key, f.key.startsWith('mix.') || f.key.includes('[') ? {} : { label: `${headOf(tableOf(f.key))}: ${name(f.key)}` });
		one.control.addEventListener('change', () => {
			if (one.changed()) set([[f.key, one.values()]]);
		});
		return one.host;
	}

	async function set(pairs) {
		const why = await attempt(pairs);
		failed.replaceChildren(...(why ?? []).map(r => refusal({ ...r, asks: [] })), why && state.answer ? el('p', {}, 'The answer stays as it was.') : '');
		if (why) failed.scrollIntoView({ block: 'nearest' });
	}

	const add = (table, groups) => {
		const n = [...groups.keys()].filter(of => of.startsWith(table + '[')).length + 1;
		return set([[`${table}[${n}].name`, [`${several[table]} ${n}`]]]);
	};

	async function takeOut(of, title) {
		if (await choose(`Take ${title} out of the job?`, ['Take it out', 'Keep it']) === 0) await set([[of, []]]);
	}
}
