// The tab Pour: the grade pins on the plan and as a list to tick, and the rod reading on the
// finished fill with the level as it is set up today.

import { button, el, remarks, say, warning } from './dom.js';
import { fieldsAndKeys } from './bookkeys.js';
import { lengthText, parseLength } from './bookcsv.js';
import { input, noAnswer, refusals } from './form.js';
import { edit } from './job.js';
import { Plan } from './plan.js';
import { change, on, state } from './state.js';

// rodUnits is how the rod is read: in feet as the field book has them.
const rodUnits = units => units.show === 'feet' && state.book?.units === 'tenths' ? 'tenths' : units.show;

const hair = 1e-7; // m: a sum of exact lengths keeps its step

// lower returns how much more the rod reads on a place that is lower by m metres than where
// it is read, in the steps of a length as typed: rounded up to what a rod shows, so that the
// place is never above what is meant.
export function lower(m, units) {
	m -= hair;
	if (rodUnits(units) === 'tenths') return Math.ceil(m / 0.003048) * 10;
	const feet = units.show === 'feet';
	const parts = Math.min(units.denominator, 16);
	const step = feet ? 25_400_000_000n / BigInt(parts) : 1_000_000_000n; // picometres
	const pm = BigInt(Math.round(m * 1e12));
	let n = pm / step; // toward 0
	if (pm > 0n && pm % step !== 0n) n++;
	return Number(n) * (feet ? 16 / parts : 10);
}

// rodAt returns what the rod reads on the top of the fill at a pin: on a level target the same
// everywhere. It is not from the height of the mark, which is rounded down as well.
export function rodAt(answer, benchmark, rod, pin) {
	const { target, units } = answer;
	const level = target.slope_x === 0 && target.slope_y === 0;
	return rod + lower(benchmark.z - (level ? target.z : pin.floor_m + pin.depth_m), units);
}

// markOf is what a tick is for: another mark under the same name is not done.
const markOf = pin => [pin.at[0], pin.at[1], pin.mark_m].map(v => v.toFixed(6)).join(' ');

const isDone = pin => state.ticks?.[pin.name] === markOf(pin);

const today = () => new Date().toDateString();

// reading is the rod on the benchmark today: {text, steps, error, mark}.
function reading(floor, units) {
	const kept = state.pour?.day === today() && state.pour.show === rodUnits(units) ? state.pour : {};
	const mark = floor.benchmarks.find(b => b.name === kept.mark) ?? floor.benchmarks[0];
	const text = kept.text ?? '';
	return { text, mark, ...text ? parseLength(text, rodUnits(units)) : {} };
}

export function start(host) {
	const words = el('div', {}), set = el('div', {}), picture = el('div', { class: 'pourplan' }), picked = el('ul', { class: 'pinlist' }), list = el('ul', { class: 'pinlist pins' });
	const plan = new Plan(picture, { label: 'Pins' });
	const notes = el('div', {});
	const rod = el('div', {}), tally = el('p', { class: 'tally', role: 'status' });
	host.append(words, rod, tally, picture, picked, set, list, notes);
	let last = null, open = false, one = '';

	plan.addEventListener('pick', e => {
		const pins = state.answer?.floor.pins ?? [];
		const away = p => Math.hypot(p.at[0] - e.detail.x, p.at[1] - e.detail.y);
		const near = [...pins].sort((p, q) => away(p) - away(q))[0];
		one = near && away(near) < 0.5 ? near.name : '';
		lists();
	});
	plan.layer('pins', true);
	plan.layer('shots', false);
	on(['answer', 'parts', 'refused'], () => {
		untick(state.answer?.floor.pins ?? []);
		show();
	});
	on(['ticks', 'pour'], lists);
	new MutationObserver(show).observe(host, { attributeFilter: ['hidden'] });
	show();

	function show() {
		const a = state.answer;
		if (host.hidden || a && a === last) return;
		last = a;
		one = '';
		words.replaceChildren(...about(a));
		notes.replaceChildren(...a?.floor.pins.length ? remarks(safety(a).map(r => ({ ...r, notes: r.notes.filter(n => !n.startsWith('Wet concrete')) }))) : []);
		picture.hidden = !a?.floor.pins.length;
		set.replaceChildren();
		if (a && !a.floor.pins.length) set.append(spacing());
		if (picture.hidden) plan.clear();
		else plan.show(a, state.parts);
		lists();
	}

	// lists shows the pins with their ticks and readings.
	function lists() {
		const a = state.answer, pins = a?.floor.pins ?? [];
		rods(a, pins);
		tally.textContent = pins.length ? `${pins.filter(isDone).length} of ${pins.length} pins done` : '';
		plan.tick(new Set(pins.filter(isDone).map(p => p.name)));
		const read = pins.length > 0 && reading(a.floor, a.units);
		const rows = all => all.map(p => row(a, read, p));
		// A row that is tapped keeps its place and its focus.
		const focused = document.activeElement?.dataset?.pin;
		picked.replaceChildren(...rows(pins.filter(p => p.name === one)));
		list.replaceChildren(...rows(pins));
		if (focused) list.querySelector(`[data-pin="${CSS.escape(focused)}"]`)?.focus({ preventScroll: true });
	}

	// rods asks for the reading on the benchmark.
	function rods(a, pins) {
		const marks = a?.floor.benchmarks ?? [];
		if (!pins.length || open) {
			if (!pins.length) rod.replaceChildren();
			return;
		}
		if (!marks.length) {
			rod.replaceChildren(el('p', {}, 'The survey has no benchmark of known elevation: set each mark by its height above the old floor.'));
			return;
		}
		const { steps, mark, text } = reading(a.floor, a.units);
		const level = a.target.slope_x === 0 && a.target.slope_y === 0;
		const feet = rodUnits(a.units);
		rod.replaceChildren(...[
			steps !== undefined && level && el('p', {}, 'Rod on the finished fill, everywhere: ', el('strong', { class: 'rodfig' }, lengthText(rodAt(a, mark, steps, pins[0]), feet))),
			steps !== undefined && el('p', { class: 'small' }, `Rod on ${mark.name} today: ${lengthText(steps, feet)}. Rounded so that nothing comes above the target.`),
			el('div', { class: 'row' }, button(text ? 'Change the reading' : `Read the rod on ${mark.name}`, () => ask(a, marks), { class: text ? '' : 'main large', 'data-key': 'rod' })),
		].filter(Boolean));
	}

	function ask(a, marks) {
		open = true;
		const close = () => { open = false; lists(); };
		const units = rodUnits(a.units);
		const form = fieldsAndKeys({
			units, values: {}, at: 'rod', typing() {},
			fields: [marks.length > 1 && { key: 'mark', label: 'Benchmark', kind: 'choice', choices: marks.map(b => [b.name, b.name]) }, { key: 'rod', label: marks.length > 1 ? 'Rod on it' : `Rod on ${marks[0].name}`, kind: 'length' }].filter(Boolean),
			done: [{ text: 'Use', act: ({ mark, rod: text }) => {
				const { steps, error } = parseLength(text ?? '', units);
				if (error || steps === 0) return error ?? 'found 0, want the reading on the benchmark';
				open = false;
				change({ pour: { day: today(), show: units, mark: mark ?? marks[0].name, text } });
			} }],
		});
		rod.replaceChildren(el('p', {}, 'With the level as it is set up now.'), form.host, el('div', { class: 'row' }, button('Cancel', close)));
		form.focus();
	}

	function row(a, read, p) {
		const box = el('input', { type: 'checkbox', checked: isDone(p), 'data-pin': p.name, onchange: e => {
			const { [p.name]: was, ...others } = state.ticks ?? {};
			change({ ticks: e.target.checked ? { ...others, [p.name]: markOf(p) } : others });
		} });
		const level = a.target.slope_x === 0 && a.target.slope_y === 0;
		const bare = p.depth_m <= 0;
		return el('li', {}, el('label', {}, box,
			el('span', { class: 'pinmark' }, el('b', {}, p.name), el('span', { class: 'unseen' }, ', '), bare ? '' : p.text),
			el('span', {}, `${bare ? 'no mark: at the target or above it' : 'above the old floor'}; ${p.where}`),
			!level && !bare && read.steps !== undefined && el('span', { class: 'reading' }, `rod ${lengthText(rodAt(a, read.mark, read.steps, p), rodUnits(a.units))}`),
			p.doubt && el('span', { class: 'doubtful' }, `In doubt: depends on ${p.doubt}. Check before setting.`)));
	}
}

// about is the text above the pins.
function about(a) {
	if (!a) return [...noAnswer('The pins appear here when there are shots and a target.'), Object.keys(state.ticks ?? {}).length > 0 && el('p', {}, 'The ticks are kept.')].filter(Boolean);
	if (!a.floor.pins.length) return [];
	return [
		el('p', {}, `Top of fill: ${a.target.text}. Never finish above a mark.`),
		...safety(a).flatMap(r => r.notes).filter(n => n.startsWith('Wet concrete')).map(warning)];
}

// safety are the notes on safety of an answer.
const safety = a => (a?.remarks ?? []).filter(r => r.head === 'Notes and checks');

// untick takes back the ticks of pins whose mark or place has changed.
function untick(pins) {
	const stale = pins.filter(p => state.ticks?.[p.name] && !isDone(p)).map(p => p.name);
	if (!stale.length) return;
	change({ ticks: Object.fromEntries(Object.entries(state.ticks).filter(([name]) => !stale.includes(name))) });
	say(`${stale.length === 1 ? `The mark of ${stale[0]} has changed and is` : `The marks of ${stale.length} pins have changed and are`} not ticked any more.`);
}

// spacing asks for the pins.
function spacing() {
	const keys = ['pins.spacing', 'pins.rule-step'].map(key => input(key));
	const failed = el('div', { 'aria-live': 'assertive' });
	return el('form', { noValidate: true, onsubmit: async e => {
		e.preventDefault();
		if (!keys[0].values().length) {
			failed.replaceChildren(el('p', { class: 'why' }, 'Type the spacing of the pins.'));
			return;
		}
		const why = await edit(keys.filter(k => k.changed()).map(k => [k.key, k.values()]));
		failed.replaceChildren(...refusals(why));
	} }, el('p', {}, 'There are no pins yet.'), keys.map(k => k.host), el('button', { class: 'main' }, 'Set out the pins'), failed);
}
