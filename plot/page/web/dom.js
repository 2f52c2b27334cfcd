// Parts of the page that several tabs use. Texts of users are set as text, never as markup.

import { explained, inWords } from './keywords.js';

// el makes an element; of the properties, those with a hyphen and role are attributes.
export function el(tag, properties = {}, ...children) {
	const e = document.createElement(tag);
	for (const [key, value] of Object.entries(properties)) {
		if (value === undefined || value === null || value === false) continue;
		if (key.startsWith('on')) e.addEventListener(key.slice(2), value);
		else if (key === 'class') e.className = value;
		else if (key in e && !key.includes('-')) e[key] = value;
		else e.setAttribute(key, value === true ? '' : value);
	}
	e.append(...children.flat(9).filter(c => c !== null && c !== undefined && c !== false));
	return e;
}

let count = 0;

// id makes a name for an element of the page.
export const id = what => `${what}-${++count}`;

export const button = (text, onclick, properties = {}) => el('button', { type: 'button', onclick, ...properties }, text);

// facts lists facts with their warnings below each.
export function facts(list) {
	return el('dl', { class: 'facts' }, list.map(f => el('div', {},
		el('dt', {}, f.head),
		el('dd', {}, inWords(f.text), explains(f.text), (f.warnings ?? []).map(warning)))));
}

// explains is what a word of the trade in a text means, beside it.
const explains = text => explained(text) && el('p', { class: 'help' }, explained(text));

export const warning = text => el('p', { class: 'warning' }, el('strong', {}, 'Warning: '), inWords(text), explained(text) && ` ${explained(text)}`);

// remarks folds notes by their kind; warnings are open.
export function remarks(list) {
	return (list ?? []).map(r => r.head === 'Warnings'
		? el('div', { class: 'warnings' }, r.notes.map(warning))
		: el('details', { class: 'notes' },
			el('summary', {}, `${r.head} (${r.notes.length})`),
			el('ul', {}, r.notes.map(n => el('li', {}, inWords(n))))));
}

// narrowest is the number of letters that fit beside each other on a narrow screen.
const narrowest = 34;

// table shows a grid. On a narrow screen the rows of a wide one become blocks, each cell with
// its head.
export function table(grid) {
	const heads = grid.columns.map(c => c.name);
	const letters = heads.map((h, k) => 1 + Math.max(...h.split(' ').map(w => w.length), ...grid.rows.map(r => r[k]?.length ?? 0)));
	return el('figure', { class: 'table' },
		el('table', { class: letters.reduce((a, b) => a + b, 0) <= narrowest && 'fits' },
			el('caption', {}, grid.title),
			el('thead', {}, el('tr', {}, grid.columns.map(c => el('th', { scope: 'col', class: c.right && 'right' }, c.name)))),
			el('tbody', {}, grid.rows.map(row => el('tr', {}, row.map((text, k) =>
				el(k === 0 ? 'th' : 'td', { scope: k === 0 && 'row', class: grid.columns[k].right && 'right', 'data-head': heads[k] }, text)))))),
		(grid.notes ?? []).map(n => el('p', { class: 'small' }, inWords(n))));
}

let noticeTimer = 0;

// say shows a message at the top of the page until it is closed or the next one comes.
export function say(text) {
	const host = document.getElementById('notice');
	clearTimeout(noticeTimer);
	host.replaceChildren();
	if (!text) return;
	noticeTimer = setTimeout(() => host.replaceChildren(el('p', {}, inWords(text)), button('Close', () => say(''), { class: 'plain' })), 30); // a change is read out
}

// choose asks with one button for each answer, and returns its number; -1 if the user leaves.
export function choose(text, answers) {
	return new Promise(done => {
		const label = id('question');
		const dialog = el('dialog', { 'aria-labelledby': label },
			el('p', { id: label }, text),
			el('div', { class: 'row' }, answers.map((a, k) => button(a, () => { dialog.returnValue = String(k); dialog.close(); }, { class: k === 0 ? 'main' : '' }))));
		dialog.addEventListener('close', () => {
			dialog.remove();
			done(dialog.returnValue === '' ? -1 : Number(dialog.returnValue));
		});
		document.body.append(dialog);
		dialog.showModal();
	});
}

// download hands a file to the browser.
export function download(name, bytes, type) {
	const url = URL.createObjectURL(new Blob([bytes], { type }));
	const a = el('a', { href: url, download: name });
	document.body.append(a);
	a.click();
	a.remove();
	setTimeout(() => URL.revokeObjectURL(url), 60_000);
}
