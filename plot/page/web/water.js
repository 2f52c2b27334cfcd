// Where water stands: a layer of the plan of the floor, and the list of the ponds below it.

import { el, id, table, warning } from './dom.js';
import { ask } from './engine.js';
import { refusals } from './form.js';
import { on, seen, state } from './state.js';

export function newWater(plan) {
	const host = el('section', { class: 'water', 'aria-label': 'Water', hidden: true });
	let marks = null, refused = [], which = 0, of = null;

	// follow asks for the water of what is shown, where the layer is on.
	async function follow() {
		const now = seen();
		host.hidden = !plan.on.water || !now;
		if (host.hidden) {
			marks = of = null;
			return draw();
		}
		if (of === now) return draw();
		of = now;
		marks = null;
		refused = [];
		draw();
		let reply;
		try {
			reply = await ask({ ask: 'water' });
		} catch (e) {
			reply = { refused: [{ text: e.message }] };
		}
		if (of !== now) return; // the job has changed meanwhile
		marks = reply.water ?? null;
		refused = reply.refused ?? [];
		which = Math.min(marks?.length > 1 && marks[1].shades.length ? 1 : which, (marks?.length ?? 1) - 1);
		draw();
	}

	function draw() {
		const mark = marks?.[which], tried = state.raised !== null && which > 0;
		plan.water(mark && !tried ? mark : null);
		if (host.hidden) return host.replaceChildren();
		if (!mark) return host.replaceChildren(...refused.length ? refusals(refused) : [el('p', { role: 'status' }, 'Finding where water stays.')]);
		const group = id('water');
		const choice = marks.length > 1 && el('fieldset', { class: 'ways' }, el('legend', {}, 'Water on the'),
			marks.map((m, k) => el('label', {}, el('input', { type: 'radio', name: group, checked: k === which, onchange: () => { which = k; draw(); host.querySelector(':checked').focus(); } }), m.on)));
		const [first, ...rest] = mark.tables;
		host.replaceChildren(...[choice, tried && el('p', { class: 'mark' }, 'The height that is tried is not kept yet: the list is of the height that is kept.'),
			el('p', { role: 'status' }, mark.text), ...(mark.warnings ?? []).map(warning), table(first),
			rest.length > 0 && el('details', {}, el('summary', {}, 'What drains where, and falls'), rest.map(table))].filter(Boolean));
	}

	plan.addEventListener('layer', e => { if (e.detail.name === 'water') follow(); });
	on(['answer', 'ground', 'raised'], follow);
	return host;
}
