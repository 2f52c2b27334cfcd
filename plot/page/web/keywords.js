// Keys of the job in the words of the page: the label of their input and the tab that has it.

import { named as shotsIn, surveyFile } from './bookcsv.js';
import { on, state } from './state.js';

const labels = {
	'target.elevation': 'Top of fill', 'target.finish': 'Finished floor', 'target.finish-codes': 'Codes', 'target.finish-at': 'Shot', 'target.finish-rule': 'Several shots',
	'target.buildup': 'Covering build-up', 'target.low': 'Stay low by', 'target.volume': 'Volume placed', 'target.fall': 'Fall', 'target.fall-percent': 'Fall in percent', 'target.toward': 'Toward', 'target.fall-direction': 'Direction',
	'target.drains': 'Drains', 'target.channels': 'Channels', 'target.walls': 'Walls of the fall', 'target.parts': 'Targets of parts', 'target.ramps': 'Ramps',
	'target.surface': 'Design file', 'target.best': 'Plane of least cost', 'target.min-depth': 'Least depth', 'target.max-depth': 'Greatest depth', 'target.max-fall': 'Greatest fall', 'target.trip': 'Change of level at thresholds', 'target.fill-price': 'Price of the fill', 'target.grind-price': 'Price of grinding',
	'target.covering': 'Covering', 'target.bed-least': 'Thinnest bed', 'target.bed-greatest': 'Thickest bed',
	'survey.reading-sd': 'Reading error', 'survey.setup-sd': 'Set-up error', 'mix.risk-percent': 'Risk of running short, percent', 'mix.short-load-price': 'Price of a second delivery', 'outputs.next-shots': 'Next shots in the record',
	'survey.outline': 'Walls', 'survey.files': 'Floor before the pour', 'survey.after': 'Floor after the pour', 'survey.leave-out': 'Leave shots out', 'survey.adjust': 'Spread the misclosure', 'survey.accept-misclosure': 'Accept the misclosure', 'survey.allow': 'What it may close by',
};

// helps are texts about inputs where that of the key speaks of other keys.
const helps = {
	'target.finish': 'elevation of the finished floor to meet; the top of fill is lower by what comes on it',
	'target.fall': 'how much the top falls toward the place below: 1.5%, 1:60 or 1/4in/ft',
	'target.surface': 'the surface of a file of this floor, LandXML or points; design.xml#NAME for one of several',
	'target.best': 'find the plane that costs least, fill and grinding together, within limits',
	'target.min-depth': 'nowhere thinner: higher parts are ground first', 'target.max-depth': 'nowhere thicker', 'target.max-fall': 'how much the top may fall: 1%, 1:100 or 1/8in/ft; 0 for a level one',
	'target.trip': 'how much higher or lower than wanted the top may meet each finished floor',
	'target.fill-price': 'price of a volume of fill, such as 160/m3 or 115/yd3; left empty: that of the mix',
	'target.grind-price': 'price of a volume ground off, such as 2000/m3; none: nothing may be ground; left empty: as the fill',
	'target.walls': 'even: one fall to the drains, and the fill is not level along the walls; level: the walls are level, and the fall is nowhere less',
	'survey.after-sheet': 'sheet of the workbook after the pour (default: the same as before it)',
	'survey.outline-sheet': 'sheet with the walls, where they are in a workbook (XLSX)',
};

// helpOf is the text about the input of a field.
export const helpOf = f => helps[f.key] ?? f.help;

const heads = {
	'': 'Floor', survey: 'Survey', target: 'Target', site: 'Site', mix: 'Mix and prices', plant: 'Plant and pump', pace: 'Pace of the work', pins: 'Grade pins', bars: 'Bars', mesh: 'Mesh', bays: 'Bays',
	edge: 'Film and foam at walls', joints: 'Joints', flatness: 'Flatness after the pour', outputs: 'Papers and maps',
};
const several = { materials: 'Material', coats: 'Coat' };

const units = { m3: 'm³', m2: 'm²', yd3: 'yd³', kgm3: 'kg/m³', lbft3: 'lb/ft³', kgm2: 'kg/m²', lbft2: 'lb/ft²', ft2: 'ft²' };

// name is a key in words: target.finish-at is "finish at", mix.price-per-m3 "price per m³".
export const name = key => key.slice(key.lastIndexOf('.') + 1).split('-').map(w => units[w] ?? w).join(' ');

export const capital = text => text && text[0].toUpperCase() + text.slice(1);

// labelOf is the label of the input of a key.
export const labelOf = key => labels[key] ?? capital(name(key));

// tableOf is the table of a key: "bars", "materials[2]".
export const tableOf = key => key.includes('.') ? key.slice(0, key.indexOf('.')) : '';

// headOf is the head of a table: "Bars", "Material 2: repair mortar".
export function headOf(table) {
	const [, of, n] = /^(\w+)\[(\d+)\]$/.exec(table) ?? [];
	if (!of) return heads[table] ?? capital(name(table));
	const called = state.fields.find(f => f.key === table + '.name')?.current?.[0];
	return `${several[of] ?? capital(of)} ${n}${called ? ': ' + called : ''}`;
}

// tabOf is the tab that has the input of a key.
export function tabOf(key) {
	if (key.startsWith('target.')) return ['target', 'Target'];
	if (['survey.outline', 'survey.files', 'survey.after', 'survey.leave-out'].includes(key)) return ['shots', 'Shots'];
	return /^(materials|coats)\[/.test(key) ? ['takeoff', 'Take-off'] : ['settings', 'Settings'];
}

// placeOf is where the input of a key is, for a text.
function placeOf(key) {
	const [tab, label] = tabOf(key);
	return tab === 'settings' || tab === 'takeoff' ? `${label}, ${headOf(tableOf(key))}` : label;
}

let known = new Set(); // all keys, as the engine last listed them
on(['fields'], () => { if (state.fields.length) known = new Set(state.fields.map(f => f.key)); });

// The keys and lines of a job that a text of the engine names: [target] elevation = "10m", low =
// "2mm" after it, survey.outline.
const named = /(?:\[([a-z]+(?:\[\d+\])?)\] )?(?<![\w.-])([a-z][a-z0-9-]*) = ("[^"]*"|\[[^\]]*\]|\{[^}]*\}|[\d.]+|true|false)|(?<![\w./-])([a-z]+(?:\[\d+\])?\.[a-z][a-z0-9-]*)(?![\w/]|\.\w)/g;

// read goes through a text and has each key in it replaced by f(key, value).
function read(text, f) {
	let table = '';
	return text.replace(named, (all, of, line, value, whole) => {
		const key = whole ?? `${of ?? table}.${line}`;
		if (!known.has(key) && !known.has(key.replace(/\[\d+\]/, '[1]'))) return all;
		table = tableOf(key);
		return f(key, value);
	});
}

// ofBook reports whether the survey of the floor is the one that the field book writes.
function ofBook() {
	const file = state.book?.closed && state.files.find(f => f.name === 'survey.csv');
	return file && new TextDecoder().decode(file.bytes.subarray(0, 200)).split('\n', 1)[0] === surveyFile(state.book).text.split('\n', 1)[0];
}

// inWords is a text of the engine with the labels of inputs in place of keys, each tab named once.
export function inWords(text) {
	const places = new Set();
	if (/survey\.csv:|\breads\b/.test(text) && ofBook()) text = shotsIn(text, 'survey.csv', state.book);
	return read(text.replace(/^job\.toml(:\d+)*: (target: )?/, ''), (key, value) => {
		const place = placeOf(key), first = !places.has(place);
		places.add(place);
		return `“${labelOf(key)}”${first ? ` (under ${place})` : ''}${value ? ' = ' + value.replaceAll(/["[\]{}]/g, '').trim() : ''}`;
	});
}

// keyIn is the first key that a text names, or nothing.
export function keyIn(text) {
	let first;
	read(text, key => { first ??= key; return ''; });
	return first;
}

// explained is what a word of the trade in a text means, empty if it has none.
export const explained = text => /misclos/i.test(text) ? 'Misclosure: how far the level book is out when it comes back to a point of known elevation.' : '';

// jump shows the input of a key.
export function jump(key) {
	const [tab] = tabOf(key);
	if (location.hash !== '#' + tab) {
		addEventListener('hashchange', () => jump(key), { once: true }); // once the tab is shown
		location.hash = '#' + tab;
		return;
	}
	dispatchEvent(new CustomEvent('reveal', { detail: key })); // a form may have to show it first
	const section = document.getElementById(tab);
	const find = () => [...section.querySelectorAll(`[data-key="${CSS.escape(key)}"]`)].find(e => !e.closest('.refusal'));
	requestAnimationFrame(() => {
		const input = find() ?? section.querySelector(`[data-table="${CSS.escape(tableOf(key))}"] summary`);
		for (let d = input?.closest('details'); d; d = d.parentElement.closest('details')) d.open = true;
		input?.scrollIntoView({ block: 'center' });
		input?.focus({ preventScroll: true });
	});
}
