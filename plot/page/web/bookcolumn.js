// Columns and openings of a room in the field book: what is not poured.

import { button, el } from './dom.js';
import { columnAt, lengthText, parseLength, roomOf } from './bookcsv.js';
import { fieldsAndKeys } from './bookkeys.js';

// wallChoices are the walls for a choice.
export const wallChoices = room => room.map((w, i) => [String(i), w.name]);

export function columnList(book, tools) {
	return [
		book.columns.length > 0 && el('h3', {}, 'Columns and openings'),
		...book.columns.map((c, i) => el('div', { class: 'line' },
			el('span', {}, `${c.name}: ${c.text}`),
			button('Take out', () => tools.set({ columns: book.columns.filter((_, k) => k !== i) }), { 'aria-label': `Take out ${c.name}` }))),
		el('div', { class: 'row' }, button('Add a column or opening', () => tools.look({ form: 'column' }), { 'data-key': 'column' })),
	].filter(Boolean);
}

export function columnForm(book, tools) {
	const room = roomOf(book.walls), u = book.units;
	const form = fieldsAndKeys({
		units: u, values: { i: '0', j: '1', ...book.draft }, at: 'di',
		fields: [
			{ key: 'i', label: 'From', kind: 'choice', choices: wallChoices(room) }, { key: 'j', label: 'and from', kind: 'choice', choices: wallChoices(room) },
			{ key: 'di', label: v => `${room[v.i].name} to it`, kind: 'length' }, { key: 'dj', label: v => `${room[v.j].name} to it`, kind: 'length' },
			{ key: 'si', label: v => `its size from ${room[v.i].name}`, kind: 'length' }, { key: 'sj', label: v => `its size from ${room[v.j].name}`, kind: 'length' },
		],
		typing: tools.keep,
		done: [{ text: 'Add', act: draft => {
			const v = {};
			for (const key of ['di', 'dj', 'si', 'sj']) {
				const { steps, error } = parseLength(draft[key] ?? '', u);
				if (error) return { text: error, key };
				v[key] = steps;
			}
			const { ring, error } = columnAt(room, book.columns, +draft.i, v.di, v.si, +draft.j, v.dj, v.sj);
			if (error) return error;
			const n = 1 + Math.max(0, ...book.columns.map(c => +c.name.slice(7)));
			const text = `${lengthText(v.di, u)} from ${room[draft.i].name}, ${lengthText(v.dj, u)} from ${room[draft.j].name}, ${lengthText(v.si, u)} by ${lengthText(v.sj, u)}`;
			tools.set({ columns: [...book.columns, { name: `column ${n}`, ring, text }], form: '' });
		} }],
	});
	return [el('p', { class: 'small' }, 'What is not poured, square to two walls.'), el('div', { class: 'asked' }, form.host), el('div', { class: 'row' }, button('Cancel', () => tools.look({ form: '' })))];
}
