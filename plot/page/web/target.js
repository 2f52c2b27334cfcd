// Target: how the height of the top of fill is given, the answer, and other heights to try.

import { button, choose, el, facts, id, remarks, table, warning } from './dom.js';
import { ask as request } from './engine.js';
import { given as drainsGiven, newDrains } from './drains.js';
import { drawWalls } from './floor.js';
import { input, redraw, refusal, refusals } from './form.js';
import { aimed, attempt, best, current, edited, raise, use } from './job.js';
import { labelOf } from './keywords.js';
import { newParts } from './parts.js';
import { newTrade, priceOf } from './trade.js';
import { meshOf } from './mesh.js';
import { change, on, seen, state } from './state.js';
import { exact, levelDown, signed } from './units.js';

// Ways to give the height. A finished floor is met with what comes on top of the fill.
const over = ['target.buildup', 'target.low'];
const volume = 'target.volume'; // alone it sets the target, beside one it is compared with it
const limits = ['max-fall', 'min-depth', 'max-depth', 'fill-price', 'grind-price'].map(key => 'target.' + key);
const ways = [ // flat: without falls and ramps of its own
	{ name: 'elevation', text: 'A height of the top of fill', keys: ['target.elevation'] },
	{ name: 'codes', text: 'Meet adjoining finished floors, by the code of their shots', keys: ['target.finish-codes', 'target.finish-rule', ...over] },
	{ name: 'at', text: 'Meet an adjoining finished floor, by the name of one shot', keys: ['target.finish-at', ...over] },
	{ name: 'finish', text: 'A height of the finished floor', keys: ['target.finish', ...over] },
	{ name: 'volume', text: 'The volume that came', keys: [volume] },
	{ name: 'best', text: 'The plane of least cost, fill and grinding together', sets: [['target.best', ['true']]], keys: limits, thresholds: ['target.finish-codes', 'target.finish-at', ...over, 'target.trip'], flat: true },
	{ name: 'surface', text: 'A design surface, from a file of this floor', keys: ['target.surface', ...over], flat: true },
];
const falls = ['target.fall', 'target.toward', 'target.fall-direction'];
const beds = ['target.covering', 'target.bed-least', 'target.bed-greatest'];
const ramps = ['target.ramps'];
const falling = [...ramps, ...falls, 'target.fall-percent'];
const usual = ['target.finish-rule', 'target.low', volume, ...falling, ...beds]; // may stay empty
const all = [...new Set(ways.flatMap(w => [...w.keys, ...w.thresholds ?? [], ...(w.sets ?? []).map(([key]) => key)]))];

// doorsWay meets the shots on adjoining finished floors that the survey has, by their codes,
// nothing if it has none.
function doorsWay() {
	const doors = seen()?.floor.doors ?? [], codes = [...new Set(doors.map(d => d.code))];
	if (!doors.length || codes.some(c => !c)) return null;
	const some = doors.slice(0, 4).map(d => d.name), more = doors.length - some.length;
	return { name: 'doors', text: `Meet my doors ${some.join(', ')}${more ? ` and ${more} more` : ''}`, sets: [['target.finish-codes', codes]], keys: [...over, ...doors.length > 1 ? ['target.finish-rule'] : []] };
}

const alike = (a, b) => a.length === b.length && a.every(v => b.includes(v));

// most is the number of codes or shots that are offered as buttons.
const most = 12;

const others = ['survey.files', 'survey.after', 'survey.outline'];

// picks are values that the survey has for a key: its codes, or its shots on finished floors, or the
// files that are used as nothing else.
function picks(key) {
	const list = key === 'target.finish-codes' ? state.read.flatMap(h => h.facts?.find(f => f.head === 'Codes')?.text.split(', ').map(c => c.replace(/ [0-9]+$/, '')) ?? [])
		: key === 'target.finish-at' ? (seen()?.floor.doors ?? []).map(d => d.name)
		: key === 'target.surface' ? state.files.map(f => f.name).filter(name => !others.some(k => current(k).includes(name))) : [];
	const each = [...new Set(list)];
	return each.length <= most ? each : undefined;
}

export function start(host) {
	const live = el('p', { class: 'unseen', 'aria-live': 'polite' });
	const none = el('p', {}, 'First the shots: choose the files under Shots, or shoot the floor with the Field book.');
	const ask = el('p', {}, 'How high is the top of fill?'), found = el('div');
	const why = el('div', { 'aria-live': 'polite' });
	const top = el('div', { class: 'answer' }), answer = el('div', { class: 'answer' });
	const slider = newSlider(), trade = newTrade(() => setAside(['target.grind-price']));
	const form = newForm(), drains = newDrains(), parts = newParts(all);
	const more = el('div', { class: 'answer' });
	host.append(live, none, ask, found, why, top, slider.host, trade.host, answer, form.host, drains.host, parts.host, more);

	function show() {
		const a = state.raised ?? state.answer, tried = state.raised !== null;
		none.hidden = state.job !== '';
		const unset = !aimed();
		ask.hidden = !state.job || !unset;
		found.replaceChildren(state.ground && unset ? facts(state.ground.facts) : '');
		redraw(why, ...(state.answer || !state.job || unset && state.refused.every(r => r.asks?.some(a => form.has(a.key))) ? [] : state.refused.map(r => refusal({ ...r, asks: r.asks?.filter(a => !form.has(a.key)) }))));
		slider.host.hidden = !state.answer || state.answer.target.fixed === true;
		for (const part of [top, answer, more]) {
			part.classList.toggle('tried', tried);
			part.replaceChildren();
			if (tried) part.append(el('p', { class: 'mark' }, state.traded ? `Not yet kept: ${priceOf(state.answer.trade.points[state.traded.n])}` : `At this height, not yet kept: ${signed(a.units, state.raisedBy)}, top of fill ${a.target.text}`));
		}
		if (!a) {
			live.textContent = '';
			return;
		}
		const [order, ...rest] = a.facts;
		top.append(el('dl', { class: 'facts order' }, el('div', {}, el('dt', {}, order.head), el('dd', {}, el('strong', {}, order.text), (order.warnings ?? []).map(warning)))));
		answer.append(withCauses(facts(rest), a.sure), ...remarks(a.remarks?.filter(r => r.head === 'Warnings')), drawWalls() || '');
		more.append(...a.tables.map(table), ...remarks(a.remarks?.filter(r => r.head !== 'Warnings')));
		live.textContent = `${tried ? `${state.traded ? 'With this grinding' : 'At this height'}, not yet kept: ` : ''}${order.head} ${order.text}`;
	}

	on(['answer', 'ground', 'raised', 'traded', 'refused', 'job', 'fields'], show);
	show();
}

// withCauses has what the ± of the fill is made of behind its line.
function withCauses(list, grid) {
	const fill = grid && [...list.querySelectorAll('dt')].find(e => e.textContent === 'Fill')?.nextSibling;
	if (fill) fill.append(el('details', { class: 'notes' }, el('summary', {}, 'How sure, by cause'), table(grid)));
	return list;
}

// newSlider tries other heights. The figures that come are marked until one is kept.
function newSlider() {
	const of = id('height');
	let step = 0.001, last = 50;
	const range = el('input', { type: 'range', id: of, oninput: () => go(Number(range.value)) });
	const out = el('output', { htmlFor: of });
	const failed = el('div', { 'aria-live': 'assertive' });
	const keep = button('Keep this height', keepIt, { class: 'main' });
	const back = button('Back to the target', () => go(0));
	const choice = el('div', { class: 'row' }, keep, back);
	const others = el('details', { class: 'heights' });
	const host = el('div', { class: 'slider' },
		el('label', { htmlFor: of }, 'Try another height'),
		el('div', { class: 'pull' }, button('−', () => go(Number(range.value) - 1), { 'aria-label': 'lower by one step' }), range, button('+', () => go(Number(range.value) + 1), { 'aria-label': 'higher by one step' })),
		out, failed, choice, others);

	function go(n) {
		failed.replaceChildren();
		raise(Math.max(-last, Math.min(last, n)) * step);
	}

	function show() {
		const a = state.answer;
		if (!a) return;
		[step, last] = a.units.denominator ? [0.0254 / 16, 32] : [0.001, 50];
		range.min = -last;
		range.max = last;
		range.value = Math.round(state.raise / step);
		const text = state.raise ? `${signed(a.units, state.raise)}: ${a.target.bends ? 'highest ' : ''}${levelDown(a.units, a.target.z + state.raise)}` : `as kept: ${a.target.text}`;
		out.textContent = text;
		range.setAttribute('aria-valuetext', text);
		choice.hidden = state.raise === 0;
		keep.disabled = !state.raised || state.raisedBy !== state.raise;
		failed.replaceChildren(...refusals(state.traded ? [] : state.raiseRefused));
	}

	// keepIt writes the height that is shown into the job. It is kept only if the job then
	// gives the plane that is shown.
	async function keepIt() {
		const tried = state.raised, by = state.raisedBy;
		const replaced = all.filter(key => key !== volume && key !== 'target.elevation' && current(key).length);
		const from = best() ? 'is the plane of least cost' : current('target.surface').length ? 'is a design surface' : 'comes from finished floors';
		if (replaced.length && await choose(`The target ${from}: ${replaced.map(key => `${labelOf(key).toLowerCase()} ${current(key).join(', ')}`).join('; ')}. Keeping this height replaces that by ${tried.target.text} as the top of fill.`, ['Replace', 'Leave as it is']) !== 0) return;
		const { text, refused } = await edited([...replaced.map(key => [key, []]), ['target.elevation', [exact(tried.units, tried.target.z)]]]);
		const reply = refused ? { refused } : await request({ ask: 'solve', job: text });
		if (state.raised !== tried || state.raisedBy !== by) return; // the slider or the job has moved on
		if (reply.refused) {
			failed.replaceChildren(...refusals(reply.refused));
			return;
		}
		if (tried.target.bends ? !alikeAt(reply, by) : !same(reply.answer.target, tried.target)) {
			failed.replaceChildren(el('p', { class: 'why' }, tried.target.drains ? 'Not kept: drains with an elevation of their own set this target, and one height cannot say that. Change the elevations of the drains instead.'
				: best() ? 'Not kept: the plane of least cost slopes, and one height cannot say that. Change its limits below instead.'
				: current('target.surface').length ? 'Not kept: one height cannot say what a design surface says. Change “Stay low by” below instead.'
				: 'Not kept: this target slopes with the finished floors, and one height cannot say that. Change “Stay low by” or the fall below instead.'));
			return;
		}
		setAside(replaced);
		await use(text, false);
	}

	// list shows what the heights around the target take: the figures to choose among.
	function list() {
		const grid = state.answer?.heights;
		others.hidden = !grid;
		others.replaceChildren(...grid ? [el('summary', {}, 'What each height takes'), table(grid)] : []);
	}

	on(['answer', 'raise', 'raised', 'raiseRefused'], show);
	on(['answer'], list);
	show();
	list();
	return { host };
}

// setAside remembers values of the job that another way to give the target replaces: they are
// proposed when their way is chosen again.
function setAside(keys) {
	change({ aside: { ...state.aside, ...Object.fromEntries(keys.map(key => [key, current(key)])) } });
}

// same reports whether two targets are one plane, to a hundredth of a millimetre over 100 m.
function same(a, b) {
	const z = b.z + b.slope_x * (a.x - b.x) + b.slope_y * (a.y - b.y);
	return Math.abs(a.z - z) < 1e-5 && Math.abs(a.slope_x - b.slope_x) < 1e-7 && Math.abs(a.slope_y - b.slope_y) < 1e-7;
}

// alikeAt reports whether an answer has the target that is kept, higher by some metres, at every
// vertex to a hundredth of a millimetre.
function alikeAt({ answer: a, parts }, by) {
	if (!a.target.bends || a.floor.regions.length !== state.answer.floor.regions.length) return false;
	const now = meshOf(state.answer.floor, state.parts);
	return meshOf(a.floor, parts).every((g, i) => g.top.length === now[i].top.length && g.top.every((z, v) => Math.abs(z - now[i].top[v] - by) < 1e-5));
}

// newForm sets the keys of the target, all at one tap.
function newForm() {
	const group = id('way');
	const choice = el('fieldset', { class: 'ways' });
	const fields = el('div'), failed = el('div', { 'aria-live': 'assertive' });
	const host = el('details', { class: 'card' }, el('summary', {}, 'How the target is given'),
		el('form', { onsubmit: submit, noValidate: true }, choice, fields, failed, el('div', { class: 'row' }, el('button', { class: 'main' }, 'Work it out'))));
	let inputs = [], drawn = '', offered = ways;

	const way = () => offered.find(w => w.name === choice.querySelector(':checked')?.value) ?? offered[0];

	// inJob is the way that the job has, or else the first.
	const inJob = () => {
		const codes = current('target.finish-codes');
		if (best()) return ways.find(w => w.name === 'best');
		if (current('target.surface').length) return ways.find(w => w.name === 'surface');
		if (codes.length) return offered.find(w => w.sets && alike(w.sets[0][1], codes)) ?? ways[1];
		return ways.find(w => !w.flat && current(w.keys[0]).length) ?? offered[0];
	};

	// offer lists the ways, with one of them chosen.
	function offer(chosen) {
		choice.replaceChildren(el('legend', {}, 'What is known?'),
			...offered.map(w => el('label', {}, el('input', { type: 'radio', name: group, value: w.name, checked: w === chosen, onchange: () => draw(true) }), w.text)));
	}

	const optional = (title, keys) => {
		const own = keys.map(key => input(key, { picks: picks(key) }));
		inputs.push(...own);
		return el('details', { open: keys.some(key => current(key).length) }, el('summary', {}, title), own.map(i => i.host));
	};

	// draw shows the inputs of the chosen way. What is typed stays until the job changes.
	function draw(chosen) {
		if (!chosen) {
			offered = [doorsWay(), ...ways].filter(Boolean);
			offer(inJob());
		}
		inputs = way().keys.map(key => input(key, { picks: picks(key), before: state.aside?.[key] }));
		redraw(fields, ...inputs.map(i => i.host),
			way().thresholds ? optional('Finished floors to meet', way().thresholds) : '',
			way().keys.includes(volume) ? '' : optional('The volume that came', [volume]),
			drainsGiven() || way().flat ? '' : optional('The top falls toward a place', falls),
			way().flat ? '' : optional('Ramps at thresholds', ramps),
			optional('Covering and its bed', beds));
	}

	async function submit(e) {
		e.preventDefault();
		const lacks = inputs.find(i => (way().flat ? i.key === 'target.surface' : !usual.includes(i.key) || i.key === way().keys[0]) && !i.values().length);
		if (lacks) {
			failed.replaceChildren(el('p', { class: 'why' }, `${labelOf(lacks.key)}: nothing is entered yet.`));
			lacks.control.focus();
			return;
		}
		const sets = way().sets ?? [];
		const shown = new Set([...inputs.map(i => i.key), ...sets.map(([key]) => key)]);
		const pairs = [...all, ...way().flat ? falling : []].filter(key => !shown.has(key) && current(key).length).map(key => [key, []]);
		pairs.push(...sets.filter(([key, values]) => !alike(values, current(key))), ...inputs.filter(i => i.changed()).map(i => [i.key, i.values()]));
		setAside(pairs.filter(([, values]) => !values.length).map(([key]) => key));
		const why = pairs.length ? await attempt(pairs) : null;
		failed.replaceChildren(...(why ?? []).map(r => refusal({ ...r, asks: [] })), why && state.answer ? el('p', {}, 'The target stays as it was.') : '');
		if (!why && state.answer) scrollTo(0, 0);
	}

	function show() {
		host.hidden = state.job === '';
		if (!state.answer && state.refused.length) host.open = true;
		const now = JSON.stringify([state.floor, seen()?.units.show, state.fields.filter(f => f.key.startsWith('target.')), doorsWay()?.text]);
		if (now === drawn || !state.fields.length) return;
		drawn = now;
		draw(false);
	}

	// reveal shows the input of a key, in the way that has it.
	addEventListener('reveal', e => {
		const of = ways.find(w => [...w.keys, ...w.thresholds ?? [], ...(w.sets ?? []).map(([key]) => key)].includes(e.detail));
		if (!e.detail.startsWith('target.')) return;
		host.open = true;
		if (!of || inputs.some(i => i.key === e.detail)) return;
		offer(of);
		draw(true);
	});

	on(['fields', 'job', 'answer', 'ground', 'refused'], show);
	show();
	return { host, has: key => all.includes(key) && key !== 'target.best' || ramps.includes(key) || falls.includes(key) || beds.includes(key) };
}
