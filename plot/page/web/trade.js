// Grinding against filling: the planes of least cost at other prices of grinding, to try one by one.

import { button, choose, el, id, table } from './dom.js';
import { refusal, refusals } from './form.js';
import { attempt, best, current, first, trade } from './job.js';
import { on, state } from './state.js';

const key = 'target.grind-price';

// priceOf is the price of grinding at a point, in words.
export const priceOf = p => p.price === 'none' ? 'no grinding' : `grinding at ${p.head}`;

// newTrade is the slider over the points of the trade-off. replaced is called before the price of
// the job is replaced.
export function newTrade(replaced) {
	const of = id('trade');
	const range = el('input', { type: 'range', id: of, min: 0, oninput: () => go(Number(range.value)) });
	const out = el('output', { htmlFor: of }), failed = el('div', { 'aria-live': 'assertive' });
	const keep = button('Keep this', keepIt, { class: 'main' });
	const choice = el('div', { class: 'row' }, keep, button('Back to the target', () => go(here())));
	const all = el('details', { class: 'trade' });
	const pull = el('div', {}, el('label', { htmlFor: of }, 'Grind more, or fill more'),
		el('div', { class: 'pull' }, button('−', () => go(Number(range.value) - 1), { 'aria-label': 'grind more' }), range, button('+', () => go(Number(range.value) + 1), { 'aria-label': 'fill more' })),
		out, choice, all);
	const one = el('p', {}, 'The limits leave one plane, whatever grinding costs.');
	const barred = el('div', {}, el('p', {}, 'Nothing may be ground.'), button('Weigh grinding against filling', weigh));
	const host = el('section', { class: 'slider', 'aria-label': 'Grinding against filling' }, pull, one, barred, failed);

	const points = () => state.answer.trade.points;
	const here = () => points().findIndex(p => p.here);
	const go = n => trade(Math.max(0, Math.min(points().length - 1, n)));

	function show() {
		const t = state.answer?.trade, none = first(key) === 'none';
		host.hidden = !state.answer || !best() || !t && !none;
		pull.hidden = !t || t.flat === true;
		one.hidden = !t?.flat;
		barred.hidden = Boolean(t) || !none;
		failed.replaceChildren(...refusals(state.traded ? state.raiseRefused : []));
		if (!t) return;
		const n = state.traded?.n ?? here(), p = t.points[n];
		range.max = t.points.length - 1;
		range.value = n;
		const text = `${p.here ? 'as kept, ' : ''}${priceOf(p)}: ${p.text}`;
		out.textContent = text;
		range.setAttribute('aria-valuetext', text);
		choice.hidden = p.here === true;
		keep.disabled = !state.raised;
	}

	async function set(values) {
		replaced();
		const why = await attempt([[key, values]]);
		failed.replaceChildren(...(why ?? []).map(r => refusal({ ...r, asks: [] })));
	}

	// keepIt writes the price of grinding that gives this plane into the job.
	async function keepIt() {
		const p = points()[state.traded.n], own = current(key)[0];
		if (own && await choose(`The price of grinding in the job is ${own}. Keeping this plane replaces it by ${p.price}${p.price === 'none' ? '' : ', so many times the price of fill'}.`, ['Replace', 'Leave as it is']) !== 0) return;
		await set([p.price]);
	}

	// weigh lets some be ground, at the price before or else at that of the fill.
	function weigh() {
		const was = state.aside?.[key]?.[0];
		set(was && was !== 'none' ? [was] : []);
	}

	// list shows the table of the points.
	function list() {
		const grid = state.answer?.trade?.table;
		all.replaceChildren(...grid ? [el('summary', {}, 'What each takes'), table(grid)] : []);
	}

	on(['answer', 'fields', 'raised', 'traded', 'raiseRefused'], show);
	on(['answer'], list);
	show();
	list();
	return { host };
}
