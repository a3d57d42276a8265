// SPDX-License-Identifier: Apache-2.0
//
// The page's side of updates: registers worker.js, looks for a new version when the page comes
// to the front and every hour, and takes it only when the app asks. It never reloads by itself: the
// app calls apply() when nothing is unsaved and no count is running.
//
//   Nthtree.updates.onReady = (version) => …;   await Nthtree.updates.start();
//   Nthtree.updates.booted();                   // first frame drawn, records loaded
"use strict";
(globalThis.Nthtree ??= {}).updates = (() => {
  const LOOK_EVERY_MS = 60 * 60 * 1000;
  const LOOK_AT_MOST_EVERY_MS = 60 * 1000; // a phone taken out of the pocket again and again
  const ANSWER_MS = 3000;
  const SWITCH_MS = 8000;

  let registration = null;
  let lookedAt = 0;
  let told = null; // the waiting worker that onReady was called for

  // Under a policy of trusted types the worker's address must come from a named policy.
  const policy = globalThis.trustedTypes?.createPolicy("nthtree-updates", {
    createScriptURL: (url) => url,
  });
  const address = policy ? policy.createScriptURL("worker.js") : "worker.js";

  function askWorker(worker, type) {
    return new Promise((resolve) => {
      const channel = new MessageChannel();
      const timer = setTimeout(() => resolve(null), ANSWER_MS);
      channel.port1.onmessage = (event) => {
        clearTimeout(timer);
        resolve(event.data);
      };
      worker.postMessage({ type }, [channel.port2]);
    });
  }

  async function tellReady() {
    const { waiting } = registration;
    // Without a controller this is the very first version: nothing to change from.
    if (!waiting || waiting === told || !navigator.serviceWorker.controller) return;
    told = waiting;
    const answer = await askWorker(waiting, "version");
    if (registration.waiting === waiting) api.onReady(answer?.version ?? "");
  }

  function look() {
    if (!registration || Date.now() - lookedAt < LOOK_AT_MOST_EVERY_MS) return;
    lookedAt = Date.now();
    registration.update().catch(() => {}); // no network, or a broken download: the old one stays
  }

  async function start() {
    if (!("serviceWorker" in navigator)) return;
    try {
      registration = await navigator.serviceWorker.register(address, { updateViaCache: "none" });
    } catch {
      return; // no worker, no offline start; counting and saving work all the same
    }
    lookedAt = Date.now();
    registration.addEventListener("updatefound", () => {
      const arriving = registration.installing;
      arriving?.addEventListener("statechange", () => {
        if (arriving.state === "installed") tellReady();
      });
    });
    document.addEventListener("visibilitychange", () => {
      if (document.visibilityState === "visible") look();
    });
    setInterval(look, LOOK_EVERY_MS);
    await tellReady();
  }

  // Asked for from outside (a button): true when a look was possible.
  async function lookNow() {
    lookedAt = Date.now();
    return registration ? registration.update().then(() => true, () => false) : false;
  }

  async function apply() {
    const waiting = registration?.waiting;
    if (!waiting) return location.reload();
    const changed = new Promise((resolve) => {
      navigator.serviceWorker.addEventListener("controllerchange", resolve, { once: true });
      setTimeout(resolve, SWITCH_MS);
    });
    waiting.postMessage({ type: "skip" });
    await changed;
    return location.reload();
  }

  function booted() {
    navigator.serviceWorker?.controller?.postMessage({ type: "booted" });
  }

  // The version this page was opened with; "" when it came straight from the network.
  async function version() {
    const worker = navigator.serviceWorker?.controller;
    const answer = worker ? await askWorker(worker, "page-version") : null;
    return answer?.version ?? "";
  }

  const api = { start, apply, booted, lookNow, version, onReady: () => {} };
  return api;
})();
