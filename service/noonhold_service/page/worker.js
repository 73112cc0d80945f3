// Without a connection: the page's own files and the last answers, which the page says are old.

const FILES = "noonhold-files";
const ANSWERS = "noonhold-answers";
const MOST_ANSWERS = 40;
const ASKED = /^\/v1\//;

self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));

// An answer belongs to its question: its address, and what was posted to it.
async function keyOf(request) {
  if (request.method === "GET") return request.url;
  const bytes = new TextEncoder().encode(await request.clone().text());
  const digest = await crypto.subtle.digest("SHA-256", bytes);
  const words = [...new Uint8Array(digest)].map((each) => each.toString(16).padStart(2, "0")).join("");
  return `${request.url}?asked=${words}&accept=${encodeURIComponent(request.headers.get("Accept") ?? "")}`;
}

async function trim(cache) {
  const keys = await cache.keys();
  const posted = keys.filter((each) => each.url.includes("?asked="));
  for (const each of posted.slice(0, Math.max(0, posted.length - MOST_ANSWERS))) await cache.delete(each);
}

async function answer(request, name) {
  const key = await keyOf(request);
  const cache = await caches.open(name);
  try {
    const response = await fetch(request);
    if (response.ok) {
      // Deleted first, so that the oldest stand at the front.
      await cache.delete(key);
      const headers = new Headers(response.headers);
      headers.set("X-Kept-At", new Date().toISOString());
      await cache.put(key, new Response(await response.clone().blob(), { status: 200, headers }));
      if (name === ANSWERS) await trim(cache);
    }
    return response;
  } catch (error) {
    const kept = await cache.match(key);
    if (!kept) throw error;
    const headers = new Headers(kept.headers);
    headers.set("X-Kept", kept.headers.get("X-Kept-At") ?? "unknown");
    return new Response(await kept.blob(), { status: 200, headers });
  }
}

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const { origin, pathname } = new URL(request.url);
  if (origin !== self.location.origin || request.headers.has("Authorization")) return;
  if (request.method === "GET" && (pathname === "/" || pathname.startsWith("/page/"))) event.respondWith(answer(request, FILES));
  else if (ASKED.test(pathname) && ["GET", "POST"].includes(request.method)) event.respondWith(answer(request, ANSWERS));
});
