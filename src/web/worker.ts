// The service worker: after the first visit the pages open without a signal. It keeps files and nothing else: what people record waits in
// the outbox (field/outbox.ts), and what the service answers is never kept here.
export {};

declare const BUILT: { readonly version: string; readonly files: readonly string[] };

const worker = globalThis as unknown as ServiceWorkerGlobalScope;
const cacheName = `pages ${BUILT.version}`;

worker.addEventListener("install", (event) => {
  event.waitUntil(
    caches.open(cacheName).then((cache) => cache.addAll(BUILT.files.map((file) => new Request(file, { cache: "no-cache" })))),
  );
});

worker.addEventListener("activate", (event) => {
  const tidy = async () => {
    for (const name of await caches.keys()) if (name !== cacheName) await caches.delete(name);
    await worker.clients.claim();
  };
  event.waitUntil(tidy());
});

// A new version waits until no page is open, or until one says that nobody is in the middle of anything.
worker.addEventListener("message", (event) => {
  if (event.data === "take over") event.waitUntil(worker.skipWaiting());
});

worker.addEventListener("fetch", (event) => {
  const { request } = event;
  const { origin, pathname } = new URL(request.url);
  if (request.method !== "GET" || origin !== worker.location.origin || !BUILT.files.includes(pathname)) return;
  event.respondWith(caches.open(cacheName).then(async (cache) => (await cache.match(pathname)) ?? fetch(request)));
});
