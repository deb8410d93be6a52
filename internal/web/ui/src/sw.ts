/// <reference lib="webworker" />
// The service worker: the pages open without the server, and show what they were
// told last. It never answers a change: those wait in the page until the server
// can be reached. Works on localhost and over TLS only; elsewhere the pages do
// without.
export {};
declare const self: ServiceWorkerGlobalScope;

// The build puts the list of its files and a number made from them here.
const files: string[] = JSON.parse('__FILES__');
const shell = 'shell-__VERSION__';
const answers = 'answers';
const pictures = 'pictures';
const mostPictures = 150;

self.addEventListener('install', (event) => {
  event.waitUntil(
    caches
      .open(shell)
      .then((cache) => cache.addAll(['/', ...files]))
      .then(() => self.skipWaiting()),
  );
});

self.addEventListener('activate', (event) => {
  event.waitUntil(
    (async () => {
      for (const name of await caches.keys()) {
        if (name.startsWith('shell-') && name !== shell) await caches.delete(name);
      }
      await self.clients.claim();
    })(),
  );
});

// What the pages need to open a project: kept as last answered.
const kept = /^\/api\/(about|recruit\/choices|rack\/starter|projects(\/[^/]+(\/(plan|bench|shop|text))?)?)$/;
const drawn = /^\/api\/projects\/[^/]+\/pictures\//;

self.addEventListener('fetch', (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (request.method !== 'GET' || url.origin !== self.location.origin) return;
  if (request.mode === 'navigate' && !url.pathname.startsWith('/api/') && url.pathname !== '/pair') {
    event.respondWith(freshOr(shell, request, '/'));
  } else if (files.includes(url.pathname)) {
    event.respondWith(cachedOr(request));
  } else if (kept.test(url.pathname)) {
    event.respondWith(freshOr(answers, request));
  } else if (drawn.test(url.pathname)) {
    event.respondWith(picture(request));
  }
});

// freshOr asks the server and remembers the answer; without it, what is remembered.
async function freshOr(name: string, request: Request, under = request.url): Promise<Response> {
  const cache = await caches.open(name);
  try {
    const answer = await fetch(request);
    if (answer.ok && !answer.redirected) await cache.put(under, answer.clone()).catch(() => undefined);
    return answer;
  } catch (cause) {
    const before = await cache.match(under);
    if (before) return before;
    throw cause;
  }
}

async function cachedOr(request: Request): Promise<Response> {
  return (await (await caches.open(shell)).match(request.url)) ?? fetch(request);
}

// picture keeps the newest pictures: their addresses change with what they show.
async function picture(request: Request): Promise<Response> {
  const cache = await caches.open(pictures);
  const before = await cache.match(request.url);
  if (before) return before;
  const answer = await fetch(request);
  if (answer.ok) {
    await cache.put(request.url, answer.clone()).catch(() => undefined);
    const all = await cache.keys();
    for (const old of all.slice(0, Math.max(0, all.length - mostPictures))) await cache.delete(old);
  }
  return answer;
}
