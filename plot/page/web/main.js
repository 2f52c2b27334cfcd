// The page: its tabs, the floor that is open, and what is shown of both.

import { button, el, say } from './dom.js';
import { warm } from './engine.js';
import { refresh } from './job.js';
import { change, on, seen, state } from './state.js';
import * as store from './store.js';
import * as files from './files.js';
import * as book from './book.js';
import * as floor from './floor.js';
import * as target from './target.js';
import * as pour from './pour.js';
import * as after from './after.js';
import * as takeoff from './takeoff.js';
import * as papers from './papers.js';
import * as settings from './settings.js';
import * as floors from './floors.js';

// Tabs in the order of the work. Those of the bar are always one tap away on a phone; the
// others are under More there.
const tabs = [
	{ name: 'shots', label: 'Shots', bar: true, of: files },
	{ name: 'book', label: 'Field book', bar: true, of: book },
	{ name: 'floor', label: 'Floor', bar: true, of: floor },
	{ name: 'target', label: 'Target', bar: true, of: target },
	{ name: 'pour', label: 'Pour', bar: true, of: pour },
	{ name: 'after', label: 'After', of: after },
	{ name: 'takeoff', label: 'Take-off', of: takeoff },
	{ name: 'papers', label: 'Papers', of: papers },
	{ name: 'settings', label: 'Settings', of: settings },
	{ name: 'floors', label: 'Floors', of: floors },
];

// go shows the tab that the address names.
function go() {
	const name = tabs.find(t => t.name === location.hash.slice(1))?.name ?? (location.hash === '#more' ? 'more' : 'shots');
	if (location.hash === '#main') return;
	document.body.dataset.tab = name;
	const beside = document.querySelector('main > section:not([hidden])');
	if (name === 'floor' && beside && matchMedia('(min-width: 1000px)').matches) { // it is in sight beside the others
		document.getElementById('floor').hidden = false;
		return;
	}
	for (const s of document.querySelectorAll('main > section, #floor')) s.hidden = s.id !== name;
	for (const a of document.querySelectorAll('#steps a')) {
		const own = a.hash.slice(1);
		const here = own === name || own === 'more' && a.offsetParent && !tabs.find(t => t.name === name)?.bar;
		if (here) a.setAttribute('aria-current', 'page');
		else a.removeAttribute('aria-current');
	}
	scrollTo(0, 0);
	document.title = `${state.title || 'pourplane'} – ${tabs.find(t => t.name === name)?.label ?? 'More'}`;
}

function showState() {
	document.getElementById('floorname').textContent = state.title || 'New floor';
	const show = state.show || seen()?.units.show || '';
	for (const radio of document.querySelectorAll('#units input')) radio.checked = radio.value === show;
}

function showBusy() {
	document.body.toggleAttribute('data-busy', state.busy !== '');
	document.getElementById('busy').textContent = state.busy ? state.busy[0].toUpperCase() + state.busy.slice(1) + ' …' : '';
}

function showUnsaved() {
	document.getElementById('unsaved').replaceChildren(...(state.unsaved ? [el('p', {}, state.unsaved), button('Try again', () => change({ files: [...state.files] }))] : []));
}

async function begin() {
	warm();
	for (const tab of tabs) tab.of.start(document.getElementById(tab.name));
	const steps = document.getElementById('steps'), more = el('ul', { class: 'links' });
	for (const tab of tabs) {
		steps.append(el('a', { href: '#' + tab.name, class: tab.bar ? 'bar' : 'wide' }, tab.label));
		if (!tab.bar) more.append(el('li', {}, el('a', { href: '#' + tab.name }, tab.label)));
	}
	steps.append(el('a', { href: '#more', class: 'bar narrow' }, 'More'));
	document.getElementById('more').append(more);
	on(['title', 'show', 'answer', 'ground'], showState);
	on(['busy'], showBusy);
	on(['unsaved'], showUnsaved);
	for (const radio of document.querySelectorAll('#units input')) {
		radio.addEventListener('change', () => {
			change({ show: radio.value });
			refresh();
		});
	}
	addEventListener('hashchange', go);
	on(['floor'], () => say('')); // what was said is about the floor before
	addEventListener('error', e => {
		// A size that changes again while it is drawn is drawn in the next frame: the browser reports it, and nothing is lost.
		if (!/^ResizeObserver loop/.test(e.message)) say(`A defect of this page: ${e.message}`);
	});
	addEventListener('unhandledrejection', e => say(e.reason?.message ?? String(e.reason)));
	go();
	showState();
	store.persist();
	await floors.openLast();
	document.body.dataset.ready = '';
}

begin();
