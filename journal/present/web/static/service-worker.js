// Lets the page to speak to open without the journal.  It keeps that page and its parts, and nothing of any visit.

const KEPT = "journal-1";
const PARTS = [
  "/capture", "/record.css", "/manifest.webmanifest", "/static/pages.css", "/static/keys.js", "/static/capture.js",
  "/static/line.js", "/static/outbox.js", "/static/voice.js", "/static/worklet.js",
];

self.addEventListener("install", (event) => {
  event.waitUntil(caches.open(KEPT).then((kept) => kept.addAll(PARTS)).then(() => self.skipWaiting()));
});
self.addEventListener("activate", (event) => {
  event.waitUntil(caches.keys().then((names) => Promise.all(names.filter((name) => name !== KEPT).map((name) => caches.delete(name)))).then(() => self.clients.claim()));
});
self.addEventListener("fetch", (event) => {
  const { request } = event;
  const path = new URL(request.url).pathname;
  if (request.method !== "GET" || !PARTS.includes(path)) return;
  event.respondWith(
    fetch(request).then((answer) => {
      if (answer.ok) { const copy = answer.clone(); event.waitUntil(caches.open(KEPT).then((kept) => kept.put(path, copy))); }
      return answer;
    }).catch(() => caches.match(path)),
  );
});
