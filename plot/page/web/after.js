// The tab After: the floor as poured, against its plane and the tolerances, and a straightedge
// to drag over it.

import { el, facts, remarks, table } from './dom.js';
import { checkShots } from './checks.js';
import { ask } from './engine.js';
import { noAnswer, redraw, refusals } from './form.js';
import { current } from './job.js';
import { sizeOf } from './mesh.js';
import { Plan } from './plan.js';
import { typeRuns } from './runs.js';
import { on, state } from './state.js';
import { length } from './units.js';

// Straightedges to choose from, m: usual lengths of each system.
const edges = { metric: [2, 3, 1], feet: [10 * 0.3048, 8 * 0.3048, 6 * 0.3048] };

export function start(host) {
	const words = el('div', { 'aria-live': 'polite' });
	const picture = el('div');
	const plan = new Plan(picture, { label: 'Floor as poured', departure: true });
	const choice = el('select', { onchange: choose });
	const said = el('output', { class: 'gap', 'aria-live': 'polite' });
	const tool = el('div', { class: 'row' }, el('label', {}, 'Straightedge ', choice), el('button', { type: 'button', onclick: lay }, 'Lay it on the floor'), said);
	const rest = el('div');
	const checks = checkShots(), runs = typeRuns(), why = el('div', { 'aria-live': 'polite' });
	host.append(el('h2', {}, 'After the pour'), words, why, tool, picture, rest, checks.host, runs.host);

	let shown = '';
	on(['answer', 'parts', 'show', 'refused', 'files'], show);
	plan.addEventListener('line', e => drag(e.detail));
	show();

	function show() {
		const a = state.answer?.after;
		tool.hidden = picture.hidden = !a?.floor;
		checks.host.hidden = runs.host.hidden = !state.answer && !state.refused.length;
		checks.show();
		runs.show();
		const own = state.answer ? [] : state.refused.filter(r => current('survey.after').includes(r.file)); // of the files that are typed here
		redraw(why, ...refusals(own));
		if (!a) {
			words.replaceChildren(...own.length ? [] : state.answer ? [el('p', {}, 'Shoot the floor again when it can be walked on. Type check shots or runs below, or drop their files under Shots and set them to “Floor after the pour”: the departures, the tolerance check and the highs to grind appear here.')]
				: noAnswer('First the floor before the pour: its shots and its target.'));
			rest.replaceChildren();
			plan.clear();
			return;
		}
		words.replaceChildren(facts(a.facts));
		rest.replaceChildren(...a.tables.map(table), ...remarks(a.remarks));
		if (!a.floor) return;
		const units = state.answer.units;
		if (shown !== units.show) {
			shown = units.show;
			choice.replaceChildren(...edges[units.show].map(m => el('option', { value: String(m) }, length(units, m))));
			choose();
		}
		plan.show({ floor: a.floor, target: a.target, shades: a.shades, units }, state.parts.subarray(sizeOf(state.answer.floor)));
		plan.marks(a.spots.map(s => ({ x: s.at[0], y: s.at[1], text: s.name, kind: s.high ? 'high' : 'low', rings: s.rings })));
	}

	function choose() {
		plan.length = Number(choice.value);
		if (plan.line) plan.drawTo(plan.line.from, plan.line.to);
	}

	// lay puts the straightedge across the middle of the floor, for those who cannot drag.
	function lay() {
		const { lo, hi } = state.answer.after.floor;
		const y = (lo[1] + hi[1]) / 2, x = (lo[0] + hi[0]) / 2;
		plan.setMode('section');
		plan.drawTo({ x: x - plan.length / 2, y }, { x: x + plan.length / 2, y });
	}

	// drag asks for the gap under the line, one request at a time, the newest line last.
	let asking = false, next = null;
	async function drag(line) {
		next = line;
		if (asking) return;
		asking = true;
		try {
			while (next) {
				const { from, to } = next;
				next = null;
				const reply = await ask({ ask: 'edge', from: [from.x, from.y], to: [to.x, to.y] });
				if (reply.refused) said.textContent = reply.refused[0].text;
				else if (!next) {
					said.textContent = reply.edge.text;
					plan.edge(reply.edge);
					plan.drawSection();
				}
			}
		} catch (e) {
			said.textContent = e.message;
		} finally {
			asking = false;
		}
	}
}
