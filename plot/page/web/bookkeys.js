// Large keys for lengths, and the fields that they fill. What is typed is handed on at every
// key, so that nothing is lost.

import { button, el, id } from './dom.js';

const fractions = ['1/16', '1/8', '3/16', '1/4', '5/16', '3/8', '7/16', '1/2', '9/16', '5/8', '11/16', '3/4', '13/16', '7/8', '15/16'];

// typed is a text after a key.
export function typed(text, key) {
	if (key === 'back') {
		return text.replace(/(\s*\d+\/\d+|\s*mm|\s*m|\s*["']\s*|.)$/, '').trimEnd();
	}
	if (key === 'ft') return /['"/]/.test(text) || text === '' ? text : text.trim() + "' ";
	if (key === 'in') return text.includes('"') || !/\d$/.test(text) ? text : text.trim() + '"';
	if (key.includes('/')) {
		const before = text.replace(/\s*\d+\/\d+$/, '').replace(/"$/, '').trimEnd();
		return (before + ' ' + key).trim();
	}
	if (key === 'm' || key === 'mm') return /m$/.test(text) || text === '' ? text : text + ' ' + key;
	if (/["/m]/.test(text) || key === '.' && text.includes('.')) return text; // it is complete
	return text + key;
}

const named = { back: 'Delete', ft: 'feet', in: 'inches', m: 'metres', mm: 'millimetres', '.': 'decimal point' };
const shown = { back: '⌫' };

// rowsOf are the keys, row by row; the last row leaves two columns for what is done with them.
function rowsOf(units, kind) {
	if (units !== 'feet') {
		const plain = units === 'tenths' || kind === 'elevation';
		return [4, ['7', '8', '9', 'back', '4', '5', '6', plain ? null : 'm', '1', '2', '3', plain ? null : 'mm', '0', '.']];
	}
	const digits = ['1', '2', '3', '4', '5', '6', '7', '8', '9', '0'];
	if (kind === 'elevation') return [5, [...digits, 'ft', '.', 'back']];
	return [5, [...digits, ...fractions, 'ft', 'in', 'back']];
}

// place is the key of a draft that says which field is being filled.
export const place = ' at';

// fieldsAndKeys shows fields, and the keys for the one that is being filled.
//   fields   {key, label, kind: 'length', 'elevation', 'text' or 'choice', choices}; a label may
//            be a function of the values
//   values   texts by key;  at: key of the field being filled
//   typing(draft) is called at every key with the values; done: [{text, label, act}] ends it.
//   act returns nothing, or why not: a text, or {text, key} with the field that it is about
export function fieldsAndKeys({ units, fields, values, at, typing, done }) {
	values = { ...values };
	const host = el('div', { class: 'entry' });
	const message = el('p', { class: 'why', role: 'alert' });
	const inputs = {};
	let current = fields.find(f => f.key === (values[place] ?? at)) ?? fields[0];

	const labels = {};
	const report = () => {
		for (const f of fields) labels[f.key].textContent = labelOf(f);
		typing({ ...values, [place]: current.key });
	};
	const labelOf = f => typeof f.label === 'function' ? f.label(values) : f.label;
	const set = text => {
		values[current.key] = text;
		inputs[current.key].value = text;
		message.textContent = '';
		report();
	};
	const pad = el('div', {});
	const onward = () => fields.slice(fields.indexOf(current) + 1).find(f => f.kind !== 'choice');
	const keysOf = kind => {
		const [columns, keys] = rowsOf(units, kind);
		const last = onward() ? [{ text: 'Next', label: 'Go on to the next field' }] : done;
		const wide = last.length === 1 ? ' wide' : '';
		return el('div', { class: `keys keys${columns}`, role: 'group', 'aria-label': 'Keys' },
			keys.map(k => k === null ? el('span', {}) : button(shown[k] ?? k, () => set(typed(values[current.key] ?? '', k)), { class: /\d\/\d/.test(k) ? 'key part' : 'key', 'data-key': k, 'aria-label': named[k] })),
			last.map(d => button(d.text, () => act(d), { class: 'key main' + wide, 'data-key': d.name ?? 'done', 'aria-label': d.label })));
	};
	const act = d => {
		const next = onward();
		if (next) {
			to(next.key);
			return;
		}
		const why = d.act({ ...values });
		if (!why) return;
		message.textContent = why.text ?? why;
		if (why.key) to(why.key);
	};
	const to = key => {
		current = fields.find(f => f.key === key);
		for (const f of fields) inputs[f.key].classList.toggle('filling', f.key === key);
		pad.replaceChildren(keysOf(current.kind));
		if (current.kind !== 'choice') inputs[key].focus({ preventScroll: true });
		report();
	};

	for (const f of fields) if (f.kind === 'choice') values[f.key] ??= f.choices[0][0];
	for (const f of fields) {
		const of = id('book');
		if (f.kind === 'choice') {
			inputs[f.key] = el('select', { id: of, onchange: e => { values[f.key] = e.target.value; message.textContent = ''; report(); } }, f.choices.map(([value, text]) => el('option', { value, selected: value === values[f.key] }, text)));
		} else {
			const keyed = f.kind !== 'text';
			inputs[f.key] = el('input', {
				id: of, type: 'text', inputMode: keyed ? 'none' : 'text', autocomplete: 'off', spellcheck: false, autocapitalize: 'off', value: values[f.key] ?? '', placeholder: f.example ?? '', 'data-field': f.key,
				onfocus: () => { if (current.key !== f.key) to(f.key); },
				oninput: e => { values[f.key] = e.target.value; message.textContent = ''; report(); },
				onkeydown: e => {
					if (e.key !== 'Enter') return;
					e.preventDefault();
					if (onward() || done.length === 1) act(done[0]);
					else message.textContent = `Tap ${done.map(d => d.text).join(' or ')}.`;
				},
			});
		}
		inputs[f.key].classList.toggle('filling', f === current);
		host.append(el('div', { class: fields.length === 1 ? 'fill alone' : 'fill' }, labels[f.key] = el('label', { htmlFor: of }, labelOf(f)), inputs[f.key]));
	}
	pad.append(keysOf(current.kind));
	host.append(message, pad);
	return { host, focus: () => { if (current.kind !== 'choice' && current.kind !== 'text') inputs[current.key].focus({ preventScroll: true }); } };
}
