// The floors that are kept on this device.

import { button, choose, el, id, say } from './dom.js';
import { edit, refresh } from './job.js';
import { inWords } from './keywords.js';
import { change, on, state } from './state.js';
import * as store from './store.js';

const nothing = () => ({ title: '', job: '', files: [], show: '', book: null, undone: [], aside: {}, ticks: {}, pour: null, fields: [], read: [], answer: null, parts: null, ground: null, groundParts: null, refused: [], raise: 0, raisedBy: 0, raised: null, raiseRefused: [], traded: null, unsaved: '' });

// fresh opens a new floor. It is kept from its first change on.
export function fresh() {
	const floor = store.newId();
	store.remember(floor);
	change({ floor, ...nothing() });
}

// openFloor opens a floor that is kept here.
export async function openFloor(floor) {
	const { title, job, files, show, book, undone, aside, ticks, pour } = floor;
	store.remember(floor.id);
	change({ ...nothing(), floor: floor.id, title, job, files, show, book: book ?? null, undone: undone ?? [], aside: aside ?? {}, ticks: ticks ?? {}, pour: pour ?? null });
	await refresh();
}

// openLast opens the floor that was open last on this device.
export async function openLast() {
	try {
		const last = store.last();
		const floor = last && await store.load(last);
		if (floor) return await openFloor(floor);
		const all = last ? [] : await store.list();
		if (all.length) return await openFloor(await store.load(all[0].id));
		fresh();
	} catch (e) {
		fresh();
		change({ unsaved: `The floors of this device cannot be read: ${e?.message || e}. What you do here is not kept: download the job and its files on Papers.` });
	}
}

export function start(host) {
	const list = el('ul', { class: 'cards' });
	host.append(
		el('p', {}, 'Floors are kept in this browser on this device, and nowhere else.'),
		button('New floor', () => { fresh(); location.hash = '#shots'; }, { class: 'main' }),
		list);

	async function show() {
		if (host.hidden) return;
		try {
			await store.settled();
			const all = await store.list();
			list.replaceChildren(...all.map(card));
			if (!all.length) list.append(el('li', { class: 'card' }, 'None yet.'));
		} catch (e) {
			list.replaceChildren(el('li', { class: 'card warning' }, `The floors of this device cannot be read: ${e?.message || e}.`));
		}
	}

	function card(floor) {
		const title = floor.title || 'Floor without a name', head = id('floor');
		const here = floor.id === state.floor;
		const names = floor.files.map(f => f.name).join(', ') || 'no files yet';
		return el('li', { class: 'card' },
			el('h3', { id: head }, title, here && el('span', { class: 'tag' }, 'open')),
			el('p', { class: 'small' }, `${names}; changed ${new Date(floor.changed).toLocaleString()}`),
			el('div', { class: 'row' },
				!here && button('Open', async () => {
					try {
						await openFloor(await store.load(floor.id));
						location.hash = '#shots';
					} catch (e) {
						say(`${title} cannot be opened: ${e?.message || e}.`);
					}
				}, { 'aria-describedby': head }),
				here && state.job && button('Rename', () => rename(title), { 'aria-describedby': head }),
				button('Delete', async () => {
					if (await choose(`Delete ${title} with its files from this device? It cannot be brought back.`, ['Delete', 'Keep it']) !== 0) return;
					try {
						if (here) fresh();
						await store.remove(floor.id);
					} catch (e) {
						say(`${title} is not deleted: ${e?.message || e}.`);
					}
					show();
				}, { 'aria-describedby': head })));
	}

	// rename sets the title of the job, which is the head of its papers too.
	function rename(title) {
		const of = id('title');
		const field = el('input', { id: of, value: title, autocomplete: 'off' });
		const failed = el('p', { class: 'why', 'aria-live': 'assertive' });
		const dialog = el('dialog', { 'aria-label': 'Rename the floor' },
			el('form', {
				onsubmit: async e => {
					e.preventDefault();
					const why = field.value.trim() ? await edit([['title', [field.value.trim()]]]) : [{ text: 'Type a name.' }];
					failed.textContent = why ? inWords(why[0].text) : '';
					if (!why) dialog.close();
				},
			}, el('label', { htmlFor: of }, 'Name'), field, failed,
			el('div', { class: 'row' }, el('button', { class: 'main' }, 'Rename'), button('Cancel', () => dialog.close()))));
		dialog.addEventListener('close', () => { dialog.remove(); show(); });
		document.body.append(dialog);
		dialog.showModal();
	}

	new MutationObserver(show).observe(host, { attributeFilter: ['hidden'] });
	on(['floor', 'title'], show);
}
