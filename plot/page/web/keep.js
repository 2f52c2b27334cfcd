// The service worker of a page without a server: it keeps all files of one version on the
// device, so that the page works with no network. The engines are named after their content.
importScripts('version.js');

const { version, files } = self.pourplane;
const mine = 'pourplane ';

oninstall = event => event.waitUntil((async () => {
	const cache = await caches.open(mine + version);
	for (const name of files) {
		const lasting = /\.wasm/.test(name);
		const had = lasting && await caches.match(name);
		const got = had || await fetch(name, { cache: lasting ? 'default' : 'no-cache' });
		if (!got.ok) throw new Error(`${name}: ${got.status}`);
		await cache.put(name, got);
	}
})());

onactivate = event => event.waitUntil((async () => {
	for (const name of await caches.keys()) {
		if (name.startsWith(mine) && name !== mine + version) await caches.delete(name);
	}
	await clients.claim();
})());

onfetch = event => {
	const { request } = event;
	if (request.method === 'GET' && new URL(request.url).origin === location.origin) event.respondWith(kept(request));
};

async function kept(request) {
	const cache = await caches.open(mine + version);
	return await cache.match(request, { ignoreSearch: true }) ?? fetch(request);
}

onmessage = ({ data }) => {
	if (data === 'take over') skipWaiting();
};
