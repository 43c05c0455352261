// Keeps the bare page alive over a reload while the program is away. What it keeps is the program's own: style, scripts,
// forms, an empty page. No visit, no name, no finding is ever put here.
const KEPT = "endfeel-page";
const BARE = "/couch";
const PARTS = [BARE, "/couch.json", "/static/endfeel.css", "/static/endfeel.js", "/static/visit.js", "/static/sending.js",
  "/static/couch.js", "/static/waiting.js", "/static/without.js", "/static/pedal.js", "/static/mark.svg", "/static/vendor/htmx.min.js"];

addEventListener("install", (event) => {
  event.waitUntil(caches.open(KEPT).then((kept) => kept.addAll(PARTS)).then(() => skipWaiting()));
});
addEventListener("activate", (event) => event.waitUntil(clients.claim()));
addEventListener("fetch", (event) => {
  const { request } = event;
  const { pathname, origin } = new URL(request.url);
  if (request.method !== "GET" || origin !== location.origin) return;
  if (request.mode === "navigate" && /^\/visits\/[\w-]+$/.test(pathname)) {
    event.respondWith(fetch(request).catch(() => caches.match(BARE)));
  } else if (PARTS.includes(pathname)) {
    event.respondWith(fresh(request, pathname));
  }
});

async function fresh(request, pathname) {
  try {
    const answer = await fetch(request);
    if (answer.ok && !answer.redirected) (await caches.open(KEPT)).put(pathname, answer.clone());
    return answer;
  } catch {
    return (await caches.match(pathname)) ?? Response.error();
  }
}
