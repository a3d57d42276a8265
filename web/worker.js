// SPDX-License-Identifier: Apache-2.0
//
// The service worker: keeps whole versions of the app, each in a cache of its own, and answers
// every page from the version it was opened with. README.md has the life of a version.
//
// Invariants:
//   - a version is either whole (every file fetched, its length and SHA-256 right) or not there;
//   - a page opened with one version never gets a file of another one;
//   - nothing below /v1/ is ever kept or answered here;
//   - a new version waits until a page says "skip", or until no page is open;
//   - a version that was opened three times and never said "booted" gives way to the one before.
"use strict";

const policy = self.trustedTypes?.createPolicy("nthtree-worker", {
  createScriptURL: (url) => url,
});
importScripts(policy ? policy.createScriptURL("files.js") : "files.js");

const { version, files } = self.NTHTREE_FILES;
const CACHE_PREFIX = "nthtree-";
const STATE_CACHE = "nthtree-state";
const BOOT_FAILURES_MAX = 3;
const FROM_NETWORK = "network"; // a page whose version was swept away by the browser
const scope = new URL(self.registration.scope);
const addressOf = (url) => new URL(url, scope).href;
const cacheOf = (name) => CACHE_PREFIX + name;
const stateAddress = (name) => new URL(`__state/${name}`, scope).href;

const TYPES = {
  "": "text/html; charset=utf-8", // "./"
  html: "text/html; charset=utf-8", js: "text/javascript; charset=utf-8",
  json: "application/json", wasm: "application/wasm", css: "text/css; charset=utf-8",
  webmanifest: "application/manifest+json", svg: "image/svg+xml", png: "image/png",
  ico: "image/x-icon", woff2: "font/woff2", ttf: "font/ttf", txt: "text/plain; charset=utf-8",
};

// ---- what must outlive this worker: it may be ended after any answer

async function readState(name, otherwise) {
  const cache = await caches.open(STATE_CACHE);
  const found = await cache.match(stateAddress(name));
  return found ? found.json().catch(() => otherwise) : otherwise;
}

async function writeState(name, value) {
  const cache = await caches.open(STATE_CACHE);
  await cache.put(stateAddress(name), new Response(JSON.stringify(value)));
}

// {current, previous, failures, booted}: current is the version of the active worker, previous
// the last one that was known to boot.
const NO_VERSIONS = { current: "", previous: "", failures: 0, booted: false };
const readVersions = () => readState("versions", NO_VERSIONS);

// Changes to the state are made one after another, in this worker and in the one that waits.
const changing = (work) => navigator.locks.request("nthtree-worker-state", work);

// ---- install: the whole version or nothing

const hex = (bytes) => [...new Uint8Array(bytes)]
  .map((byte) => byte.toString(16).padStart(2, "0")).join("");

async function isWhole(bytes, file) {
  if (bytes.byteLength !== file.bytes) return false;
  return hex(await crypto.subtle.digest("SHA-256", bytes)) === file.sha256;
}

// The same file in an older version need not come over the air again.
async function fromOlderCache(file) {
  for (const name of await caches.keys()) {
    if (!name.startsWith(CACHE_PREFIX) || name === cacheOf(version)) continue;
    const found = await (await caches.open(name)).match(addressOf(file.url));
    if (found && (await isWhole(await found.clone().arrayBuffer(), file))) return found;
  }
  return null;
}

function typeOf(url) {
  const name = new URL(url, scope).pathname.split("/").pop();
  return TYPES[name.includes(".") ? name.split(".").pop() : ""] ?? "application/octet-stream";
}

const isPage = (url) => url === "./" || url.endsWith(".html");

async function fetchWhole(file) {
  // A page and its policy header belong together, so a page is never taken from an old version.
  const older = isPage(file.url) ? null : await fromOlderCache(file);
  if (older) return older;
  // The page has just fetched most of it: the browser only asks whether that is still so. Where its
  // copy is not what was announced, it comes whole.
  const kept = await fetchOnce(file, "no-cache");
  if (kept) return kept;
  const fresh = await fetchOnce(file, "reload");
  if (fresh) return fresh;
  throw new Error(`${file.url}: other bytes than the ones announced`);
}

// Null where the bytes are not the ones of the list.
async function fetchOnce(file, cache) {
  const response = await fetch(addressOf(file.url), {
    cache, redirect: "error", credentials: "same-origin",
  });
  if (response.status !== 200) throw new Error(`${file.url}: status ${response.status}`);
  const asItCame = response.clone();
  const bytes = await response.arrayBuffer();
  if (!(await isWhole(bytes, file))) return null;
  // Chromium keeps what it compiled only of answers that have an address.
  if (asItCame.headers.get("content-type") === typeOf(file.url) && /\.(js|wasm)$/.test(file.url)) {
    return asItCame;
  }
  const headers = new Headers(response.headers); // keeps the security headers of the page
  for (const name of ["content-encoding", "content-length", "transfer-encoding", "vary"]) {
    headers.delete(name);
  }
  headers.set("content-type", typeOf(file.url));
  return new Response(bytes, { status: 200, headers });
}

async function install() {
  const name = cacheOf(version);
  // A version that is running must not be touched, not even to repair it halfway.
  const fresh = `${name}-arriving`;
  await caches.delete(fresh);
  try {
    const cache = await caches.open(fresh);
    for (const file of files) await cache.put(addressOf(file.url), await fetchWhole(file));
    const ready = await caches.open(name);
    // The page itself comes last: where it is, everything it asks for is.
    for (const file of [...files].sort((a, b) => isPage(a.url) - isPage(b.url))) {
      await ready.put(addressOf(file.url), await cache.match(addressOf(file.url)));
    }
  } finally {
    await caches.delete(fresh);
  }
}

// ---- activate: the new version is current, the one before is kept until this one has booted

async function activate() {
  await changing(async () => {
    const before = await readVersions();
    if (before.current === version) return;
    const previous = before.booted ? before.current : before.previous;
    await writeState("versions", { current: version, previous, failures: 0, booted: false });
  });
  await sweep();
}

// Removes versions that are neither wanted nor shown by an open page.
async function sweep() {
  const { current, previous, booted } = await readVersions();
  const keep = new Set([current, version, booted ? "" : previous]);
  const open = await self.clients.matchAll({ type: "window", includeUncontrolled: true });
  const openIds = new Set(open.map((client) => client.id));
  const state = await caches.open(STATE_CACHE);
  for (const request of await state.keys()) {
    const match = /\/__state\/page-(.+)$/.exec(new URL(request.url).pathname);
    if (!match) continue;
    if (openIds.has(match[1])) keep.add(await readState(`page-${match[1]}`, ""));
    else await state.delete(request);
  }
  for (const name of await caches.keys()) {
    if (!name.startsWith(CACHE_PREFIX) || name === STATE_CACHE) continue;
    if (name.endsWith("-arriving") || keep.has(name.slice(CACHE_PREFIX.length))) continue;
    await caches.delete(name);
  }
}

// ---- fetch

const pages = new Map(); // page id -> version, also kept in the state cache

async function versionOfPage(id) {
  if (!pages.has(id)) pages.set(id, await readState(`page-${id}`, version));
  return pages.get(id);
}

// The disk may follow after the answer: this worker lives on for both.
function remember(event, shown) {
  const id = event.resultingClientId;
  if (!id) return;
  pages.set(id, shown);
  event.waitUntil(writeState(`page-${id}`, shown));
}

// Which version opens now. Each opening counts as a failure until the page says "booted".
async function versionToOpen(event) {
  const versions = await readVersions();
  if (versions.booted) return version;
  const back = versions.failures >= BOOT_FAILURES_MAX && versions.previous !== "";
  if (back && (await caches.has(cacheOf(versions.previous)))) return versions.previous;
  event.waitUntil(changing(async () => {
    const now = await readVersions();
    if (now.booted || now.current !== version) return;
    await writeState("versions", { ...now, failures: now.failures + 1 });
  }));
  return version;
}

async function fromVersion(name, address) {
  if (!(await caches.has(cacheOf(name)))) return null;
  return (await caches.open(cacheOf(name))).match(address);
}

async function answerNavigation(event, url) {
  const address = url.origin + url.pathname;
  const app = address === scope.href;
  // One page, whatever was typed; the browser carries what stands behind # along.
  if (!app && !listed.has(address)) return Response.redirect(scope.href + url.search);
  // The rescue page is no opening of the app: it neither boots nor fails to.
  const opened = app ? await versionToOpen(event) : version;
  const found = await fromVersion(opened, address);
  if (found) {
    remember(event, opened);
    return found;
  }
  // The browser swept the cache away but left the worker: the network has a whole app or nothing.
  remember(event, FROM_NETWORK);
  self.registration.update().catch(() => {});
  event.waitUntil(install().catch(() => {}));
  return fetch(event.request);
}

async function answerFile(event, url) {
  const shown = await versionOfPage(event.clientId);
  if (shown === FROM_NETWORK) return fetch(event.request);
  const found = await fromVersion(shown, url.origin + url.pathname);
  // Better a page that says what is missing than one put together from two versions.
  return found ?? Response.error();
}

const listed = new Set(files.map((file) => addressOf(file.url)));

self.addEventListener("install", (event) => event.waitUntil(install()));
self.addEventListener("activate", (event) => event.waitUntil(activate()));

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (request.method !== "GET" || url.origin !== scope.origin) return;
  if (!url.pathname.startsWith(scope.pathname)) return;
  const inside = url.pathname.slice(scope.pathname.length);
  if (inside.startsWith("v1/") || inside === "worker.js" || inside === "files.js") return;
  if (request.mode === "navigate") event.respondWith(answerNavigation(event, url));
  // A file only an older version had is still answered: its page may be open.
  else if (listed.has(url.origin + url.pathname) || pages.get(event.clientId) !== undefined) {
    event.respondWith(answerFile(event, url));
  }
});

// ---- messages from pages

async function booted(page) {
  if ((await versionOfPage(page.id)) !== version) return; // an older page, still open
  await changing(async () => {
    const versions = await readVersions();
    if (versions.current !== version) return;
    await writeState("versions", { ...versions, failures: 0, booted: true });
  });
  await sweep();
}

self.addEventListener("message", (event) => {
  const answer = (value) => event.ports[0]?.postMessage(value);
  switch (event.data?.type) {
    case "version":
      answer({ version });
      break;
    case "page-version":
      event.waitUntil(versionOfPage(event.source.id).then((shown) => answer({ version: shown })));
      break;
    case "skip":
      event.waitUntil(self.skipWaiting());
      break;
    case "try-again": // a person wants the version that was given up once more
      event.waitUntil(changing(async () => {
        await writeState("versions", { ...(await readVersions()), failures: 0 });
      }).then(() => answer({ version })));
      break;
    case "booted":
      event.waitUntil(booted(event.source));
      break;
    default:
      break;
  }
});
