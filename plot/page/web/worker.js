// The engine in this browser. A smaller engine comes first and answers what needs no drawing;
// the whole one is fetched behind it and answers from then on. A message {id, parcel} is
// answered with {id, reply} or {id, error}, and {id, progress} before it.
importScripts('version.js', 'wasm_exec.js');

const { engines } = self.pourplane; // names of the files: first and whole
const often = 200; // ms between two words of progress
const rest = 1000; // ms without a request, until the whole engine is fetched
let first = null, whole = null; // promises of the engines
let ready = null; // the whole engine when it is there
let soon = 0; // timer of it
let begun = false; // an engine is there

// compiled compiles and links an engine while it comes, packed if this browser can unpack it.
// Some servers unpack a file on the way.
async function compiled(name, imports) {
	const packed = typeof DecompressionStream === 'function';
	const got = await fetch(packed ? name + '.gz' : name);
	if (!got.ok) throw new Error(`The engine cannot be loaded: ${name} is not there (${got.status}).`);
	const [look, all] = got.body.tee();
	const reader = look.getReader();
	const { value } = await reader.read();
	reader.cancel();
	const gzip = value?.[0] === 0x1f && value[1] === 0x8b;
	const stream = gzip ? all.pipeThrough(new DecompressionStream('gzip')) : all;
	return WebAssembly.instantiateStreaming(new Response(stream, { headers: { 'Content-Type': 'application/wasm' } }), imports);
}

// started loads an engine. If it ends, its requests fail and the next one loads it again.
async function started(name) {
	const go = new Go();
	const { instance } = await compiled(name, go.importObject);
	let end;
	const ended = new Promise((_, fail) => { end = fail; });
	ended.catch(() => {});
	const fail = () => {
		first = whole = ready = null;
		begun = false;
		end(new Error('The engine has ended: this floor may take more memory than this device has. Your floor is kept; try again, or use the program on a computer.'));
	};
	go.run(instance).then(fail, fail);
	const answer = self.answerParcel;
	delete self.answerParcel;
	return (parcel, watch) => Promise.race([answer(parcel, watch), ended]);
}

function wholeEngine() {
	whole ??= started(engines.whole).then(engine => {
		first = null;
		return ready = engine;
	}, e => {
		whole = null;
		throw e;
	});
	return whole;
}

function firstEngine() {
	if (!first) {
		first = started(engines.first);
		first.then(() => { begun = true; }, () => { first = null; });
	}
	return first;
}

function watcher(id) {
	let last = 0;
	return (what, done, total) => {
		const now = Date.now();
		if (now - last < often) return;
		last = now;
		postMessage({ id, progress: total > 0 ? `${what} ${Math.floor(100 * done / total)} %` : what });
	};
}

async function answered(id, parcel) {
	const watch = watcher(id);
	if (!ready) {
		if (!begun) postMessage({ id, progress: 'loading the program' });
		const reply = await (await firstEngine())(parcel, watch);
		if (reply) return reply;
		if (!ready) postMessage({ id, progress: 'loading the rest of the program' });
	}
	return (await wholeEngine())(parcel, watch);
}

onmessage = async ({ data: { id, parcel } }) => {
	clearTimeout(soon);
	try {
		const reply = await answered(id, new Uint8Array(parcel));
		postMessage({ id, reply: reply.buffer }, [reply.buffer]);
	} catch (e) {
		postMessage({ id, error: e.message });
	}
	clearTimeout(soon);
	soon = setTimeout(() => wholeEngine().catch(() => {}), rest); // if it fails, it is asked for again when it is needed
};

firstEngine().catch(() => {}); // the first request says why
