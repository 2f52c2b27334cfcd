// How sure the floor is: the ± of the depths as a layer of the plan, and the places worth another
// shot. The engine is asked in the background, once nothing else is under way, where it is looked at.

import { el } from './dom.js';
import { ask } from './engine.js';
import { refusals } from './form.js';
import { change, on, seen, state } from './state.js';

const pause = 300; // ms without a change before the engine is asked
const looking = new Set(); // parts of the page that show it now
let timer = 0, asked = null; // what the newest request is about

// sureNow is how sure what is seen is, nothing while that is not known.
export const sureNow = () => seen() && state.sure?.of === seen() ? state.sure : null;

// look has a part of the page follow what is seen, or leave it.
function look(part, on) {
	if (on) looking.add(part);
	else looking.delete(part);
	follow();
}

function follow() {
	clearTimeout(timer);
	if (looking.size && seen() && asked !== seen()) timer = setTimeout(find, pause);
}

async function find() {
	if (state.busy) {
		timer = setTimeout(find, pause);
		return;
	}
	const of = asked = seen();
	if (!of) return;
	let r;
	try {
		r = await ask({ ask: 'sure' });
	} catch (e) {
		r = { refused: [{ text: e.message }] };
	}
	if (!r || of !== seen()) return;
	change({ sure: { of, mark: r.sure ?? null, parts: r.parts, refused: r.refused ?? [] } });
}

on(['answer', 'ground'], follow);

const list = mark => [el('p', { role: 'status' }, mark.text),
	mark.next && el('h3', {}, 'Next shots'), mark.next && el('ol', {}, mark.next.map(n => el('li', {}, n.text))),
	(mark.notes ?? []).map(n => el('p', { class: 'small' }, n))].flat().filter(Boolean);

// draw shows it in a part of the page.
function draw(host) {
	const now = sureNow();
	host.replaceChildren(...!now ? [el('p', { role: 'status' }, 'Finding how sure the floor is.')] : now.mark ? list(now.mark) : refusals(now.refused));
}

// newSure is the layer of a plan, with its list below it.
export function newSure(plan) {
	const host = el('section', { class: 'sure', 'aria-label': 'How sure', hidden: true });
	function show() {
		host.hidden = !plan.on.sure || !seen();
		if (host.hidden) return host.replaceChildren();
		const now = sureNow();
		plan.sure(now?.mark, now?.parts);
		draw(host);
	}
	plan.addEventListener('layer', e => {
		if (e.detail.name !== 'sure') return;
		if (!e.detail.on) plan.sure(null);
		look(plan, e.detail.on);
		show();
	});
	on(['answer', 'ground', 'sure'], show);
	return host;
}

// newNext lists the next shots where it is opened.
export function newNext() {
	const body = el('div');
	const host = el('details', { class: 'panel', hidden: true, ontoggle: () => { look(host, host.open); show(); } }, el('summary', {}, 'Next shots'), body);
	function show() {
		host.hidden = !seen();
		if (host.open) draw(body);
	}
	on(['answer', 'ground', 'sure'], show);
	return host;
}

// While a floor is shot its next shots are looked for.
addEventListener('hashchange', () => look('book', location.hash === '#book'));
look('book', location.hash === '#book');
