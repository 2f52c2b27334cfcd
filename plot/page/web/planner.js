// The plan of shots before a survey: how many, where, and how sure the volume is with them; and
// the sheets of it, to print and to type into.

import { outlineFile, stepOf } from './bookcsv.js';
import { button, download, el, facts, id, table } from './dom.js';
import { ask } from './engine.js';
import { Plan } from './plan.js';
import { change, on, state } from './state.js';
import { newId } from './store.js';

const kinds = [['usual', 'A usual floor'], ['even', 'An even floor'], ['rough', 'A rough floor']];

// wallsOf is the file with the walls of a floor that has no shots yet, nothing if there is none.
function wallsOf() {
	if (state.answer || state.ground || state.read.some(h => h.kind === 'survey')) return null;
	const held = state.read.find(h => h.kind === 'walls'), file = held && state.files.find(f => f.name === held.name);
	if (file) return file;
	const { book } = state;
	return book?.closed && !book.log.some(e => e.k === 'shot') ? { name: 'outline.csv', bytes: new TextEncoder().encode(outlineFile(book)) } : null;
}

export function newPlanner() {
	const field = (label, help, more = {}) => {
		const of = id('plan'), control = el('input', { type: 'text', id: of, autocomplete: 'off', autocapitalize: 'off', spellcheck: false, 'aria-describedby': of + '-help', ...more });
		return { control, host: el('div', { class: 'field' }, el('label', { htmlFor: of }, label), control, el('p', { class: 'help', id: of + '-help' }, help)) };
	};
	const want = field('± wanted', 'How sure the volume is to be, 9 times in 10: a volume, or a mean depth. Example: 0.1yd3, 0.08m3, 1mm');
	const spacing = field('Spacing', 'Or the distance between shots. Example: 1m, 3ft');
	const of = id('kind');
	const kind = el('select', { id: of }, kinds.map(([value, text]) => el('option', { value }, text)));
	const reading = field('Reading error', 'Of one reading, standard deviation; left empty: the usual one. Example: 1.5mm');
	const setup = field('Set-up error', 'That all readings of a set-up share; left empty: the usual one. Example: 1mm');
	const units = field('Unit of the walls', 'Where their file does not say it. Example: m, ft');
	const failed = el('div', { 'aria-live': 'assertive' }), out = el('div', { 'aria-live': 'polite' }), picture = el('div'), sheets = el('div');
	const plan = new Plan(picture, { label: 'Plan of shots', planned: true });
	const host = el('details', { class: 'panel', hidden: true }, el('summary', {}, 'Plan the shots'),
		el('p', {}, 'Before the survey: how many shots, where, and how sure the volume is with them.'),
		el('form', { onsubmit: e => { e.preventDefault(); lay(); }, noValidate: true }, want.host, spacing.host,
			el('div', { class: 'field' }, el('label', { htmlFor: of }, 'Kind of floor'), kind, el('p', { class: 'help' }, 'A guess before anybody has measured it. Where it is broken out or patched, take rough.')),
			el('details', {}, el('summary', {}, 'Errors of the readings'), reading.host, setup.host, units.host),
			failed, el('div', { class: 'row' }, el('button', { class: 'main' }, 'Plan the shots'))),
		out, picture, sheets);
	picture.hidden = true;
	let walls = null, asked = null, url = '';

	function blank() {
		asked = null;
		picture.hidden = true;
		for (const part of [failed, out, sheets]) part.replaceChildren();
	}

	// send asks for a plan; what was typed stays with it, so that its sheets are of the same plan.
	const send = (what, names) => ask({ ask: 'plan', job: '', files: [walls], plan: what, names });

	async function lay() {
		const mine = { outline: walls.name, want: want.control.value.trim(), spacing: spacing.control.value.trim(), floor: kind.value, reading_sd: reading.control.value.trim(), setup_sd: setup.control.value.trim(), units: units.control.value.trim() };
		blank();
		if (!mine.want === !mine.spacing) {
			failed.replaceChildren(el('p', { class: 'why' }, mine.want ? 'Leave one of the two empty: the ± wanted or the spacing.' : 'Type the ± wanted, or a spacing.'));
			want.control.focus();
			return;
		}
		asked = mine;
		const r = await busily('planning the shots', () => send(mine, []));
		if (asked !== mine || !r) return;
		if (r.refused) {
			failed.replaceChildren(...r.refused.map(one => el('p', { class: 'why' }, one.text)));
			return;
		}
		out.replaceChildren(facts(r.plan.facts), table(r.plan.choices));
		picture.hidden = false;
		plan.show(r.plan, r.parts);
		const made = el('div', { class: 'row' });
		const book = !state.files.length && state.book;
		sheets.replaceChildren(el('div', { class: 'row' }, button('Make the sheets', () => make(mine, made), { class: 'main' }),
			book && button('Use this spacing in the field book', () => {
				change({ book: { ...state.book, spacing: Math.round(r.plan.spacing_m / stepOf(book.units)) } });
				location.hash = '#book';
			})), made);
	}

	async function make(mine, made) {
		const r = await busily('making the sheets', () => send(mine, ['plan.pdf', 'plan.csv', 'plan.xlsx']));
		if (asked !== mine || !r) return;
		if (r.refused) {
			made.replaceChildren(...r.refused.map(one => el('p', { class: 'why' }, one.text)));
			return;
		}
		let at = 0;
		const [pdf, csv, book] = r.made.map(m => r.parts.slice(at, at += m.size));
		if (url) URL.revokeObjectURL(url);
		url = URL.createObjectURL(new Blob([pdf], { type: 'application/pdf' }));
		made.replaceChildren(el('a', { class: 'button', href: url, target: '_blank' }, 'Open plan.pdf to print'),
			button('Save plan.pdf', () => download('plan.pdf', pdf, 'application/pdf')), button('Save plan.csv', () => download('plan.csv', csv, 'text/csv')),
			button('Save plan.xlsx', () => download('plan.xlsx', book, 'application/vnd.openxmlformats-officedocument.spreadsheetml.sheet')),
			el('p', { class: 'help' }, 'Type the readings into plan.csv or plan.xlsx and drop it here with the walls.'));
	}

	async function busily(what, f) {
		change({ busy: what });
		try {
			return await f();
		} catch (e) {
			failed.replaceChildren(el('p', { class: 'why' }, e.message));
			return null;
		} finally {
			change({ busy: '' });
		}
	}

	function show() {
		const now = wallsOf();
		host.hidden = !now;
		if (now?.name === walls?.name && now?.bytes.length === walls?.bytes.length && now?.bytes.every((b, i) => b === walls.bytes[i])) return;
		walls = now && { ...now, id: now.id ?? newId() };
		blank();
	}

	on(['files', 'read', 'answer', 'ground', 'book', 'floor'], show);
	addEventListener('planshots', () => {
		host.open = true;
		addEventListener('hashchange', () => requestAnimationFrame(() => host.scrollIntoView()), { once: true });
	});
	show();
	return { host };
}
