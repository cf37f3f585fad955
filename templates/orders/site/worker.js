// Serves the page of one delivery where there is no line: what was kept of it, until a fresh one comes.
const KEPT = {{ facts|safe }};
const NAME = `site ${KEPT.page} ${KEPT.version}`;
const PATIENCE_MS = 4000;

self.addEventListener("install", (event) => event.waitUntil(fill().then(() => self.skipWaiting())));
self.addEventListener("activate", (event) => event.waitUntil(tidy().then(() => self.clients.claim())));

async function fill() {
	const cache = await caches.open(NAME);
	await Promise.all([...KEPT.files.map((url) => new Request(url, { cache: "force-cache" })), KEPT.page].map((one) => cache.add(one)));
}

async function tidy() {
	for (const name of await caches.keys()) if (name.startsWith(`site ${KEPT.page} `) && name !== NAME) await caches.delete(name);
}

/** The page: fresh within four seconds, else as kept. A link that has run out takes what was kept with it. */
async function page(request) {
	const cache = await caches.open(NAME);
	const fresh = fetch(request).then(async (answer) => {
		if (answer.ok) await cache.put(KEPT.page, answer.clone());
		if (answer.status === 404) await caches.delete(NAME);
		return answer;
	});
	const late = new Promise((_, no) => setTimeout(no, PATIENCE_MS));
	const found = await Promise.race([fresh, late]).catch(() => null);
	if (found && found.status < 500) return found;
	return (await cache.match(KEPT.page)) ?? fresh;
}

async function file(request) {
	const kept = await caches.match(request, { cacheName: NAME });
	return kept ?? fetch(request);
}

self.addEventListener("fetch", (event) => {
	const url = new URL(event.request.url);
	if (event.request.method !== "GET" || url.origin !== location.origin) return;
	if (url.pathname === KEPT.page) event.respondWith(page(event.request));
	else if (KEPT.files.includes(url.pathname)) event.respondWith(file(event.request));
});
