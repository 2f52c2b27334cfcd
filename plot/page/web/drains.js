// Falls to drains: the drains and channels of the target, to tap on the plan or to type, how much
// the floor falls to them, and whether the walls stay level. Every change is worked out at once.

import { button, choose, el, id, table } from './dom.js';
import { input, redraw, refusal } from './form.js';
import { attempt, current, field, first } from './job.js';
import { place } from './floor.js';
import { on, seen, state } from './state.js';
import { exact } from './units.js';

const keys = { drain: 'target.drains', channel: 'target.channels' };
const toPlace = ['target.toward', 'target.fall-direction'];

// given reports whether the job has drains. Those in tables of their own are in no form.
export const given = () => current(keys.drain).length + current(keys.channel).length > 0 || tables();

const tables = () => state.fields.length > 0 && !field(keys.drain);

// A tap is good to a finger: places are kept in steps of these.
const step = units => units.denominator ? units.size / 20 : 0.01;

const written = ({ x, y }, units) => [x, y].map(v => exact(units, Math.round(v / step(units)) * step(units))).join(',');

// parts are the lengths of a place, as they are shown: without the unit of the page.
const parts = (text, { unit }) => text.split(',').map(t => t.trim()).map(t => t.endsWith(unit) && isNumber(t.slice(0, -unit.length)) ? t.slice(0, -unit.length).trim() : t);

const isNumber = text => /^\s*[-+]?[0-9]*[.,]?[0-9]+\s*$/.test(text);

// length is what was typed, with the unit of the page if it has none of its own.
const length = (text, { unit }) => isNumber(text) ? text.trim().replace(',', '.') + unit : text.trim().replaceAll(',', '.');

// shotDrains are the drains that were shot.
const shotDrains = () => seen()?.floor.drains ?? [];

export function newDrains() {
	const list = el('div'), settings = el('div'), said = el('div', { 'aria-live': 'polite' }), why = el('div', { 'aria-live': 'assertive' });
	const host = el('details', { class: 'card' }, el('summary', {}, 'Falls to drains'), list, settings, why, said);
	let draft = null; // what is entered: kept in the job once it has an answer
	let drawn = '';

	const inJob = () => ({
		drain: current(keys.drain), channel: current(keys.channel), walls: first('target.walls'),
		fall: first('target.fall') || (Number(first('target.fall-percent')) ? first('target.fall-percent') + '%' : ''),
	});

	const alike = (a, b) => JSON.stringify(a) === JSON.stringify(b);

	// changed takes a change over. It is in the job only if the job then has an answer.
	async function changed(part, at) {
		const next = { ...draft, ...part };
		if (current('target.toward').length && next.drain.length + next.channel.length > 0 &&
			await choose(`The target falls toward ${first('target.toward')}. Falls from all sides to drains replace that.`, ['Replace', 'Leave as it is']) !== 0) {
			draw();
			return [{ text: 'Left as it was.' }];
		}
		draft = next;
		const none = draft.drain.length + draft.channel.length === 0, was = inJob(), pairs = [];
		const set = (key, values) => { if (!alike(values, current(key))) pairs.push([key, values]); };
		set(keys.drain, draft.drain);
		set(keys.channel, draft.channel);
		set('target.walls', none || !draft.walls ? [] : [draft.walls]);
		if (none || draft.fall !== was.fall) {
			set('target.fall', none || !draft.fall ? [] : [draft.fall]);
			set('target.fall-percent', []);
		}
		if (!none) for (const key of toPlace) set(key, []);
		draw();
		const refused = !none && !draft.fall ? [{ text: 'How much does the floor fall to the drains? Enter it below.' }] : pairs.length ? await attempt(pairs) : null;
		why.replaceChildren(...(refused ?? []).map(r => refusal({ ...r, asks: [] })), refused && state.answer ? el('p', {}, 'Not kept yet: the target stays as it was.') : '');
		if (refused) host.open = true;
		if (!refused) draft = inJob();
		draw();
		at?.();
		return refused;
	}

	const without = (kind, i) => changed({ [kind]: draft[kind].filter((_, k) => k !== i) });

	// tap has a drain or a channel placed on the plan.
	const tap = kind => place(kind, async ends => {
		const units = seen().units, own = shotDrains().find(d => kind === 'drain' && d.name === ends[0].name && d.x === ends[0].x && d.y === ends[0].y);
		const refused = await changed({ [kind]: [...draft[kind], own ? own.name : ends.map(end => written(end, units)).join(',')] });
		return { refused, text: state.answer?.facts.find(f => f.head === 'Target')?.text };
	});

	// rows list the drains and channels with inputs for their places.
	function rows(units) {
		const channels = { heads: ['x', 'y', 'x of the other end', 'y of the other end'], least: 4 };
		return ['drain', 'channel'].flatMap(kind => draft[kind].map((text, i) => {
			const named = kind === 'drain' && !text.includes(','), heads = kind === 'drain' ? ['x', 'y'] : channels.heads;
			const name = named ? text : `${kind} ${i + 1}`, own = named ? [] : parts(text, units);
			const inputs = [...heads, 'Top of fill there'].map((head, k) => {
				const of = id('place');
				const control = el('input', { type: 'text', id: of, value: own[k] ?? '', autocomplete: 'off', spellcheck: false, 'data-key': `${kind}.${i}.${k}`, onchange: () => typed() });
				return { host: el('div', { class: 'field' }, el('label', { htmlFor: of }, `${head} (${units.unit})${k === heads.length ? ', if given' : ''}`, el('span', { class: 'unseen' }, ` of ${name}`)), control), control };
			});
			const typed = () => {
				const values = inputs.map(n => n.control.value).map(v => v.trim() && length(v, units));
				if (values.slice(0, heads.length).every(Boolean)) changed({ [kind]: draft[kind].map((was, n) => n === i ? values.filter(Boolean).join(',') : was) });
			};
			return el('fieldset', { class: 'drain' }, el('legend', {}, named ? `${name}, as shot` : name[0].toUpperCase() + name.slice(1)),
				named ? '' : el('div', { class: 'places' }, inputs.map(n => n.host)),
				el('div', { class: 'row' }, button(`Remove ${name}`, () => without(kind, i))));
		}));
	}

	// choice adds a drain by the name of a shot.
	function choice() {
		const of = id('shot'), control = el('input', { type: 'text', id: of, autocomplete: 'off', autocapitalize: 'off', spellcheck: false, 'data-key': 'drain.name' });
		const add = name => { if (name.trim()) changed({ drain: [...draft.drain, name.trim()] }); };
		const left = shotDrains().filter(d => d.name && !draft.drain.includes(d.name)).slice(0, 12);
		return [left.length > 0 && el('div', { class: 'row' }, left.map(d => button(`Add ${d.name}, as shot`, () => add(d.name)))),
			el('details', {}, el('summary', {}, 'By the name of a shot'), el('div', { class: 'field' }, el('label', { htmlFor: of }, 'Name of a shot'), control), el('div', { class: 'row' }, button('Add this shot', () => add(control.value))))];
	}

	function draw() {
		host.hidden = state.job === '' || !seen();
		if (host.hidden || !state.fields.length) return;
		if (tables()) {
			list.replaceChildren(el('p', {}, 'The drains are in tables of their own in the job: change them under Settings, in the text of the job.'));
			settings.replaceChildren();
			return;
		}
		draft ??= inJob();
		const units = seen().units;
		redraw(list, rows(units), el('div', { class: 'row' }, button('Tap a drain on the plan', () => tap('drain'), { 'data-key': keys.drain }), button('Tap a channel on the plan', () => tap('channel'), { 'data-key': keys.channel })), choice());
		const fall = input('target.fall', { label: 'Fall to the drains', help: 'how much the floor falls on its way to a drain: 1.5%, 1:60 or 1/4in/ft', before: draft.fall ? [draft.fall] : [], picks: ['1:60', '1.5%', '1/4in/ft'] });
		const walls = input('target.walls', { none: 'even: one fall everywhere, walls vary', before: draft.walls ? [draft.walls] : [] });
		fall.control.value = draft.fall;
		walls.control.value = draft.walls;
		fall.control.addEventListener('change', () => changed({ fall: fall.values()[0] ?? '' }));
		walls.control.addEventListener('change', () => changed({ walls: walls.values()[0] ?? '' }));
		redraw(settings, draft.drain.length + draft.channel.length > 0 ? [fall.host, walls.host] : '');
	}

	// show draws the form anew once the job has other values, and what the falls come to.
	function show() {
		const now = JSON.stringify([state.floor, state.fields.length && inJob(), seen()?.units.show, shotDrains().length]);
		if (now !== drawn) {
			drawn = now;
			draft = null;
			why.replaceChildren();
			host.open = state.fields.length > 0 && given();
			draw();
		}
		host.hidden = state.job === '' || !seen();
		const grid = (state.raised ?? state.answer)?.falls;
		said.classList.toggle('tried', state.raised !== null);
		said.replaceChildren(grid ? table(grid) : '');
	}

	on(['fields', 'job', 'answer', 'ground', 'raised'], show);
	show();
	return { host };
}
