// The state of the page: one object, and an event for each part of it that changes.

import * as store from './store.js';

export const state = {
	floor: '', // id of the floor that is open
	title: '',
	job: '', // text of the job file
	files: [], // {name, id, bytes, corrected}: the floor's files and their rows corrected here; a new content gets a new id
	show: '', // metric, feet, or empty: as the job has it
	book: null, // of the field book
	undone: [], // field books before the last changes, the newest at the end
	aside: {}, // values of the target that another way to give it has replaced, by their keys
	ticks: {}, // of the pour: the mark that is done, by the name of its pin
	pour: null, // today's rod reading on a benchmark

	fields: [], // keys of a job with their values in this job
	read: [], // how each file was understood
	answer: null,
	parts: null, // bytes after the head of the reply that has the answer
	ground: null, // the floor as found, while there is no answer
	groundParts: null,
	sure: null, // how sure what is seen is: {of, mark, parts, refused}
	refused: [], // why there is no answer
	raise: 0, // m, of a target that is tried and not kept
	raised: null, // the answer at the height raisedBy
	raisedBy: 0,
	raiseRefused: [],
	traded: null, // point n of the trade-off that is tried, with its plane; raised has its answer
	busy: '', // the step that is under way
	unsaved: '', // why this device does not keep the floor
};

// seen is what there is to show of the floor: the answer, or the floor as found, or nothing.
export const seen = () => state.answer ?? state.ground;

const kept = ['title', 'job', 'files', 'show', 'book', 'undone', 'aside', 'ticks', 'pour'];
const events = new EventTarget();

// on calls f after a change of any of the keys, once for each change.
export function on(keys, f) {
	for (const key of keys) events.addEventListener(key, e => { if (e.detail.first(keys) === key) f(); });
}

// change merges new values into the state, stores what is kept, and then calls those who listen.
export function change(part) {
	const changed = Object.keys(part).filter(key => state[key] !== part[key]);
	Object.assign(state, part);
	if (changed.some(key => kept.includes(key)) && !changed.includes('floor')) save();
	const first = keys => changed.find(key => keys.includes(key));
	for (const key of changed) events.dispatchEvent(new CustomEvent(key, { detail: { first } }));
}

// save stores the floor that is open. Many changes in a row become one or two writes.
function save() {
	if (!state.floor) return;
	const floor = { id: state.floor };
	for (const key of kept) floor[key] = state[key];
	store.save(floor, why => {
		if (why !== state.unsaved) change({ unsaved: why });
	});
}
