{ // One block from the first byte to the last: a copy cut short anywhere is no
// script at all, and browsers then keep the worker they have.
//
// Keeps one whole version of the site on this device, and answers only from it.
// A version is all files together: each must have the hash that the build wrote
// down, or none is taken. A newer one waits until the person says yes.

// The build fills in these two.
const version = "";
const files = {};

const scope = new URL("./", self.location).href;
// Other sites, and other copies of this one, may share the origin: the name
// says whose cache it is. The second copies of the plans (wasm/spare.go) lie in
// one that is not the site's: nothing here answers from it or clears it.
const mine = (name) => name.startsWith("candleclock-") && name.endsWith("@" + scope);
const cacheName = "candleclock-" + version + "@" + scope;

async function sum(response) {
  const digest = await crypto.subtle.digest("SHA-256", await response.arrayBuffer());
  return Array.from(new Uint8Array(digest), (b) => b.toString(16).padStart(2, "0")).join("");
}

// fetchExact returns the file as this version has it, or throws.
async function fetchExact(path) {
  // Not from the HTTP cache, which may hold another version; not redirected,
  // since such a response may not answer a navigation.
  const response = await fetch(scope + path, {cache: "reload", redirect: "error"});
  if (!response.ok || await sum(response.clone()) !== files[path]) {
    throw new Error(path + " is not the file of version " + version);
  }
  return response;
}

// keptExact returns the file from any version kept here if it is the right one.
async function keptExact(path) {
  for (const name of (await caches.keys().catch(() => [])).filter(mine)) {
    const response = await caches.match(scope + path, {cacheName: name}).catch(() => null);
    if (response && await sum(response.clone()).catch(() => "") === files[path]) return response;
  }
}

async function install() {
  const paths = Object.keys(files);
  // Most files are as they were: those cost no one's data.
  const responses = await Promise.all(paths.map(async (path) => await keptExact(path) || fetchExact(path)));
  const had = await caches.has(cacheName); // where this version comes anew, after one that was none
  const cache = await caches.open(cacheName);
  try {
    await Promise.all(paths.map((path, i) => cache.put(scope + path, responses[i])));
  } catch (err) {
    if (!had) await caches.delete(cacheName);
    throw err;
  }
}

async function activate() {
  for (const name of await caches.keys()) {
    if (mine(name) && name !== cacheName) await caches.delete(name);
  }
  await self.clients.claim(); // the first visit counts
}

// whole returns the kept file once it has been checked. Browsers lose or damage
// single files now and then: such a one is fetched again, and kept.
async function whole(path) {
  const cache = await caches.open(cacheName);
  const kept = await cache.match(scope + path).catch(() => null);
  if (kept && await sum(kept.clone()).catch(() => "") === files[path]) return kept;
  const fresh = await fetchExact(path);
  await cache.put(scope + path, fresh.clone()).catch(() => {});
  return fresh;
}

// page answers a navigation, and only with a page whose scripts and styles are
// whole too: half a page could not tell what it lacks.
async function page() {
  try {
    const parts = Object.keys(files).filter((path) => /\.(js|css)$/.test(path));
    return (await inTime(Promise.all(["./", ...parts].map(whole))))[0];
  } catch {
    return await inTime(renew()).catch(() => false) ? soon() : lost();
  }
}

// inTime gives up waiting: a network may be there and bring nothing for minutes.
// What comes later is kept all the same.
const inTime = (work) => Promise.race([work, new Promise((_, fail) => setTimeout(fail, 10000))]);

// renew has a newer version take over, where there is one, without asking: this
// one cannot be made whole.
async function renew() {
  const {registration} = self;
  await registration.update().catch(() => {});
  const next = registration.installing || registration.waiting;
  if (!next) return false;
  if (next.state === "installing") await new Promise((done) => next.onstatechange = done);
  if (next.state !== "installed") return false;
  next.postMessage("take");
  return true;
}

const bare = (words, refresh, status) => new Response("<!doctype html><html lang=en><meta name=viewport content='width=device-width'>" +
  refresh + "<title>Candleclock</title><p>" + words, {status, headers: {"Content-Type": "text/html; charset=utf-8"}});
const soon = () => bare("Taking a newer version of Candleclock: what you saved is not touched.", "<meta http-equiv=refresh content=1>", 200);
const lost = () => bare("This device has lost a part of Candleclock. Connect to the internet and reload this page: what you saved is not touched.", "", 503);

// answer gives a file to the page. The page itself checks the program, which is
// large, and can tell when it is damaged.
async function answer(path) {
  const cache = await caches.open(cacheName);
  const kept = path.endsWith(".wasm") && await cache.match(scope + path).catch(() => null);
  return kept || whole(path).catch(() => Response.error());
}

// mend checks every kept file against its hash and fetches again what is
// missing or damaged. It returns words for the person, or nothing when all is well.
async function mend() {
  const cache = await caches.open(cacheName);
  let mended = false;
  for (const path of Object.keys(files)) {
    const kept = await cache.match(scope + path).catch(() => null);
    if (kept && await sum(kept).catch(() => "") === files[path]) continue;
    try {
      await cache.put(scope + path, await fetchExact(path));
      mended = true;
    } catch {
      return "A part of Candleclock on this device is damaged. Connect to the internet and reload: what you saved is not touched.";
    }
  }
  if (mended) return "A damaged part of Candleclock has been fetched again. What you saved is not touched. Reload to go on.";
}

// tellWhole tells who asks whether all is here that is needed without the
// internet: by number, since reading it takes long, and what is damaged is met
// when the page is opened.
async function tellWhole({ports: [asker]}) {
  const kept = await caches.has(cacheName).then((there) => there ? caches.open(cacheName).then((cache) => cache.keys()) : []).catch(() => []);
  asker?.postMessage(kept.length === Object.keys(files).length);
}

self.addEventListener("install", (event) => event.waitUntil(install()));
self.addEventListener("activate", (event) => event.waitUntil(activate()));

self.addEventListener("fetch", (event) => {
  const {request} = event;
  const url = new URL(request.url);
  const address = url.origin + url.pathname; // whatever stands behind "?"
  if (request.method !== "GET" || !address.startsWith(scope)) return;
  let path = address.slice(scope.length);
  if (path === "" || path === "index.html") path = "./";
  if (!(path in files)) return;
  event.respondWith(path === "./" ? page() : answer(path));
});

self.addEventListener("message", (event) => {
  if (event.data === "take") self.skipWaiting();
  if (event.data === "whose") event.ports[0].postMessage("candleclock");
  if (event.data === "mend") {
    event.waitUntil(mend().then((words) => words && event.source.postMessage(words)).then(() => tellWhole(event)));
  }
  if (event.data === "whole") event.waitUntil(tellWhole(event));
});
}
