/*
 * Keeps the app's own files, so that it starts without a network. It keeps nothing else: no answer of /api ever
 * enters a cache, and a request that is not for one of these files is not touched.
 *
 * The server puts `const VERSION = "<version>";` before this text, which is how a browser notices a new version.
 * Install: /shell-manifest.json ({version, files: [{url, sha256, bytes}]}) and every file in it are fetched past all
 * caches and hashed; one wrong byte, and the version at hand stays. Activation waits for the message SKIP_WAITING,
 * which the page sends only after the person's tap (device/update.js).
 */
const PREFIX = "witnessmark-shell-";
const CACHE = PREFIX + VERSION;
const HOME = "/index.html";
// A fetch handler must decide at once, before any list of files could be read from the cache.
const SHELL_PATH = /^\/((device|icons|parts|rules|screens|vendor)\/[\w.-]+|[\w-]+\.(js|css|html|webmanifest))$/;
const FETCH_MS = 30000;
const DROPPED_HEADERS = ["content-encoding", "content-length", "set-cookie"];

self.addEventListener("install", (event) => event.waitUntil(install()));
self.addEventListener("activate", (event) => event.waitUntil(activate()));
self.addEventListener("message", (event) => {
  if (event.data === "SKIP_WAITING") self.skipWaiting();
});
self.addEventListener("fetch", (event) => {
  const url = wanted(event.request);
  if (url) event.respondWith(answer(event.request, url));
});

/** The path of the shell file a request may be answered with, or null to leave it to the network. */
function wanted(request) {
  const url = new URL(request.url);
  if (request.method !== "GET" || url.origin !== self.location.origin) return null;
  if (request.mode === "navigate") return url.pathname.startsWith("/api/") ? null : HOME;
  return SHELL_PATH.test(url.pathname) && !url.search && url.pathname !== "/service_worker.js" ? url.pathname : null;
}

async function answer(request, path) {
  try {
    const cache = await caches.open(CACHE);
    const kept = await cache.match(path);
    if (kept) return kept;
    return await fetch(request, { signal: AbortSignal.timeout(FETCH_MS) });
  } catch {
    return unavailable();
  }
}

/** An error passed on would leave some phones with a white page for ever. */
function unavailable() {
  const text = "This file is not on the phone and the server does not answer. Join the shop's network, then reload.";
  return new Response(text, { status: 503, headers: { "Content-Type": "text/plain; charset=utf-8" } });
}

async function install() {
  const manifest = await (await fetchFresh("/shell-manifest.json")).json();
  if (manifest.version !== VERSION) throw new Error(`the server offers ${manifest.version}, this worker is ${VERSION}`);
  // All are fetched and compared before the first is kept, so a half-fetched version never exists.
  const files = await Promise.all(manifest.files.map(fetchVerified));
  const cache = await caches.open(CACHE);
  try {
    await Promise.all(files.map(({ path, response }) => cache.put(path, response)));
  } catch (error) {
    await caches.delete(CACHE);
    throw error;
  }
}

async function fetchVerified({ url, sha256, bytes }) {
  const path = new URL(url, self.location.origin).pathname;
  const response = await fetchFresh(path);
  const buffer = await response.arrayBuffer();
  if (buffer.byteLength !== bytes || (await hexDigest(buffer)) !== sha256) throw new Error(`${url} is not as promised`);
  const headers = new Headers(response.headers);
  for (const name of DROPPED_HEADERS) headers.delete(name);
  return { path, response: new Response(buffer, { status: 200, headers }) };
}

async function fetchFresh(url) {
  const response = await fetch(url, { cache: "no-store", redirect: "error", signal: AbortSignal.timeout(FETCH_MS) });
  if (response.status !== 200) throw new Error(`${url} answers ${response.status}`);
  return response;
}

async function hexDigest(buffer) {
  const digest = await crypto.subtle.digest("SHA-256", buffer);
  return Array.from(new Uint8Array(digest), (byte) => byte.toString(16).padStart(2, "0")).join("");
}

/** The version before this one stays for windows that were opened with it; older ones go. caches.keys() is in order. */
async function activate() {
  const ours = (await caches.keys()).filter((name) => name.startsWith(PREFIX) && name !== CACHE);
  await Promise.all(ours.slice(0, -1).map((name) => caches.delete(name)));
  await self.clients.claim();
}
