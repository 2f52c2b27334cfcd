// Without a server the page keeps itself on the device, and offers a newer version when one
// was fetched.

import { button, el } from './dom.js';

if (document.querySelector('meta[name="engine"]')?.content === 'worker' && 'serviceWorker' in navigator) begin();

async function begin() {
	let reload = false;
	navigator.serviceWorker.addEventListener('controllerchange', () => { if (reload) location.reload(); });
	const kept = await navigator.serviceWorker.register('keep.js', { updateViaCache: 'none' }).catch(() => null);
	if (!kept) return; // a browser that keeps nothing, as in a private window: the page works as long as there is a network
	const offer = () => {
		if (!kept.waiting || !navigator.serviceWorker.controller || document.getElementById('newer')) return;
		const take = () => {
			reload = true;
			kept.waiting?.postMessage('take over');
		};
		document.getElementById('main').prepend(el('div', { id: 'newer', class: 'card', role: 'status' },
			el('p', {}, 'A newer version of this page was loaded. Your floors stay as they are.'), button('Use it now', take)));
	};
	offer();
	kept.addEventListener('updatefound', () => kept.installing?.addEventListener('statechange', offer));
}
