// Keeps the pages of the site at hand where there is no signal. It answers for them and for static files only:
// everything else, event streams above all, goes its own way.

const CACHE = "innerleaf-site-1";
const NEEDED = [
  "/site",
  "/font/SourceSansPro-Regular.otf",
  "/static/style.css",
  "/static/settings.css",
  "/static/light.js",
  "/static/drawing.css",
  "/static/settings.css",
  "/static/site.css",
  "/static/mark.svg",
  "/static/light.js",
  "/static/page.js",
  "/static/net.js",
  "/static/site.js",
  "/static/site_forms.js",
  "/static/site_photo.js",
  "/static/site_record.js",
  "/static/site_send.js",
  "/static/site_store.js",
  "/static/site_wall.js",
];
const PATIENCE_MS = 4_000;
const worker = /** @type {any} */ (self);

worker.addEventListener("install", (/** @type {any} */ event) => {
  event.waitUntil(fill().then(() => worker.skipWaiting()));
});

worker.addEventListener("activate", (/** @type {any} */ event) => {
  event.waitUntil(clear().then(() => worker.clients.claim()));
});

worker.addEventListener("fetch", (/** @type {any} */ event) => {
  const { request } = event;
  const url = new URL(request.url);
  const ours = /^\/(static|font)\//.test(url.pathname) || /^\/site(\/[^/]+)?$/.test(url.pathname);
  if (request.method !== "GET" || url.origin !== location.origin || !ours) return;
  event.respondWith(newestOrKept(request));
});

async function fill() {
  const cache = await caches.open(CACHE);
  await Promise.all(NEEDED.map(async (path) => {
    const answer = await fetch(path, { cache: "no-cache" }).catch(() => null);
    if (answer && goodToKeep(answer)) await cache.put(path, answer);
  }));
}

async function clear() {
  for (const name of await caches.keys()) if (name !== CACHE && name.startsWith("innerleaf-site-")) await caches.delete(name);
}

/** @param {Response} answer */
function goodToKeep(answer) {
  return answer.status === 200 && !answer.redirected && answer.type === "basic";
}

/** From the server if it answers soon; else what was kept. @param {Request} request */
async function newestOrKept(request) {
  const cache = await caches.open(CACHE);
  const asking = fetch(request).then(async (answer) => {
    if (goodToKeep(answer)) await cache.put(request, answer.clone());
    return answer;
  });
  const known = await cache.match(request, { ignoreVary: true });
  if (!known) return asking;
  const late = new Promise((resolve) => setTimeout(() => resolve(known), PATIENCE_MS));
  return Promise.race([asking.catch(() => known), late]);
}
