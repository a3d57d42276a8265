// SPDX-License-Identifier: Apache-2.0
//
// Carries one request to the hub and its answer back. It never rejects, never follows a redirect
// and never takes a web page for an answer: whatever did not come from the hub is status 0, "no
// answer", and the client tries again later. The key is a bearer, which never leaves this
// origin; no cookie goes along.
//
// Not here: what is sent, when, and how often (src/sync decides).
// Limits: answers of more than ANSWER_BYTES_MAX are dropped unread.
//
//   const { status, body } = await Nthtree.transport.request(
//     { method: "POST", path: "/v1/push", bearer: "", body: bytes, timeoutMs: 15000 });
"use strict";
(globalThis.Nthtree ??= {}).transport = (() => {
  const ANSWER_BYTES_MAX = 32 * 1024 * 1024;
  const COMPRESS_FROM_BYTES = 1024; // below, the head of the request outweighs what is saved
  const NO_ANSWER = { status: 0, body: new Uint8Array(0) };

  // RFC 7694: a server says in its answers with Accept-Encoding which codings it takes in
  // requests. Until the hub said so, and after it refused one, bodies go as they are.
  let hubTakesGzip = false;

  async function gzip(bytes) {
    const stream = new Blob([bytes]).stream().pipeThrough(new CompressionStream("gzip"));
    return new Uint8Array(await new Response(stream).arrayBuffer());
  }

  // Only this app's own hub is ever spoken to, so a key can go nowhere else.
  function ownAddress(path) {
    const address = new URL(path, location.origin);
    const own = address.origin === location.origin && path.startsWith("/");
    return own && !path.startsWith("//") ? address.href : null;
  }

  async function readBounded(response) {
    if (Number(response.headers.get("content-length") ?? 0) > ANSWER_BYTES_MAX) return null;
    if (!response.body) return new Uint8Array(0);
    const reader = response.body.getReader();
    const parts = [];
    let size = 0;
    for (;;) {
      const { done, value } = await reader.read();
      if (done) break;
      size += value.length;
      if (size > ANSWER_BYTES_MAX) {
        await reader.cancel();
        return null;
      }
      parts.push(value);
    }
    const whole = new Uint8Array(size);
    let at = 0;
    for (const part of parts) {
      whole.set(part, at);
      at += part.length;
    }
    return whole;
  }

  // A captive portal answers with its own page, a redirect or status 511: none is the hub.
  function fromHub(response) {
    if (response.type === "opaqueredirect" || response.redirected || response.status === 511) {
      return false;
    }
    const type = (response.headers.get("content-type") ?? "").split(";")[0].trim().toLowerCase();
    if (response.status === 204) return true;
    return type === "application/json" || type.endsWith("+json");
  }

  async function once({ method, path, bearer, body }, signal, compress) {
    const address = ownAddress(path);
    if (!address) return NO_ANSWER;
    const headers = { accept: "application/json", "x-nthtree": "1" };
    if (bearer) headers.authorization = `Bearer ${bearer}`;
    let sent = body ?? undefined;
    if (sent) {
      headers["content-type"] = "application/json";
      if (compress && sent.length >= COMPRESS_FROM_BYTES) {
        sent = await gzip(sent);
        headers["content-encoding"] = "gzip";
      }
    }
    // Without a referrer Firefox says "Origin: null", as the Fetch standard asks it to, and no hub
    // could tell that from a foreign page.
    const response = await fetch(address, {
      method, headers, body: sent, signal, mode: "same-origin", credentials: "omit",
      redirect: "manual", cache: "no-store", referrerPolicy: "same-origin", keepalive: false,
    });
    if (!fromHub(response)) return NO_ANSWER;
    const takes = response.headers.get("accept-encoding");
    if (takes !== null) hubTakesGzip = /\bgzip\b/.test(takes) && "CompressionStream" in globalThis;
    const bytes = await readBounded(response);
    return bytes === null ? NO_ANSWER : { status: response.status, body: bytes };
  }

  async function request({ method, path, bearer = "", body = null, timeoutMs = 15000 }) {
    const abort = new AbortController();
    // The time-out covers the whole answer: a half-open connection may send its head and stop.
    const timer = setTimeout(() => abort.abort(), timeoutMs);
    try {
      const compress = hubTakesGzip;
      const asked = { method, path, bearer, body };
      const answer = await once(asked, abort.signal, compress);
      if (answer.status !== 415 || !compress) return answer;
      hubTakesGzip = false;
      return await once(asked, abort.signal, false);
    } catch {
      return NO_ANSWER; // no network, refused, broken off, timed out: all the same to the caller
    } finally {
      clearTimeout(timer);
    }
  }

  const api = { request, onOnline: () => {} };
  addEventListener("online", () => api.onOnline());
  document.addEventListener("visibilitychange", () => {
    if (document.visibilityState === "visible") api.onOnline();
  });
  return api;
})();
