// A target of its own for each part of the outline: its height, or none where it is not filled.

import { button, choose, el, id } from './dom.js';
import { redraw, refusal } from './form.js';
import { attempt, current } from './job.js';
import { on, seen, state } from './state.js';

const key = 'target.parts';

// split is the part and the height of a text such as pit=9.7m.
const split = text => [text.slice(0, text.lastIndexOf('=')).trim(), text.slice(text.lastIndexOf('=') + 1).trim()];

const isNumber = text => /^[-+]?[0-9]*[.,]?[0-9]+$/.test(text);

// newParts are the inputs of the parts. general are the keys of the target of all other parts.
export function newParts(general) {
	const list = el('div'), why = el('div', { 'aria-live': 'assertive' });
	const host = el('details', { class: 'card' }, el('summary', {}, 'Parts of the floor'), list, why);
	let drawn = '';

	const own = () => new Map(current(key).map(split));

	async function set(part, height) {
		const next = own(), { unit } = seen().units;
		if (height) next.set(part, isNumber(height) ? height.replace(',', '.') + unit : height);
		else next.delete(part);
		const pairs = [[key, [...next].map(([name, z]) => `${name}=${z}`)]];
		const others = general.filter((k, i) => general.indexOf(k) === i && current(k).length);
		if (others.length && seen().floor.parts.every(name => next.has(name))) {
			if (await choose('Every part then has a target of its own: the one for all of them is taken out.', ['Take it out', 'Leave as it is']) !== 0) return draw();
			pairs.push(...others.map(k => [k, []]));
		}
		const refused = await attempt(pairs);
		why.replaceChildren(...(refused ?? []).map(r => refusal({ ...r, asks: [] })), refused && state.answer ? el('p', {}, 'Not kept: the target stays as it was.') : '');
		draw();
	}

	function draw() {
		const { parts = [] } = seen()?.floor ?? {}, now = own(), unit = seen()?.units.unit;
		redraw(list, el('p', { class: 'help' }, 'A height for a part alone, or “none” where it is not filled. Empty: the target of all parts.'), parts.map(name => {
			const of = id('part'), z = now.get(name) ?? '', called = name || 'the part without a name';
			const control = el('input', { type: 'text', id: of, value: z.endsWith(unit) && isNumber(z.slice(0, -unit.length)) ? z.slice(0, -unit.length) : z, autocomplete: 'off', autocapitalize: 'off', spellcheck: false, disabled: !name, 'data-key': `part.${name}`, onchange: () => set(name, control.value.trim()) });
			return el('div', { class: 'field' }, el('label', { htmlFor: of }, `Top of fill in ${called} (${unit})`), control,
				name && el('div', { class: 'row' }, z !== 'none' && button('Not filled', () => set(name, 'none'), { 'aria-label': `${name} is not filled` }), z && button('As the others', () => set(name, ''), { 'aria-label': `${name} as the others` })));
		}));
	}

	function show() {
		host.hidden = !seen()?.floor.parts;
		const now = JSON.stringify([state.floor, seen()?.floor.parts, seen()?.units.show, current(key)]);
		if (host.hidden || now === drawn || !state.fields.length) return;
		drawn = now;
		why.replaceChildren();
		host.open ||= current(key).length > 0;
		draw();
	}

	on(['fields', 'job', 'answer', 'ground'], show);
	show();
	return { host };
}
