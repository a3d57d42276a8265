// SPDX-License-Identifier: Apache-2.0
//
// What this browser promises about what is stored: whether it may evict it, whether it lives in
// memory only, how much room there is. Asks the browser; decides nothing.
//
//   const { persisted, privateWindow, kept } = await Nthtree.promise.read();
"use strict";
(globalThis.Nthtree ??= {}).promise = (() => {
  const installed = () => navigator.standalone === true ||
    ["standalone", "fullscreen", "minimal-ui"].some(
      (mode) => matchMedia(`(display-mode: ${mode})`).matches);

  // True only where it is certain. Firefox has no service worker in a private window, Safari
  // refuses the private file system there, and older Chromium had a quota smaller than its heap.
  // Chromium 156 gives the same answers in both windows (measured), so there `kept` tells what
  // has been promised instead.
  async function privateWindow(estimate) {
    if (!isSecureContext) return false;
    if (!("serviceWorker" in navigator)) return true;
    const heap = performance.memory?.jsHeapSizeLimit;
    if (heap && estimate.quota > 0 && estimate.quota < heap) return true;
    try {
      await navigator.storage?.getDirectory?.();
    } catch {
      return true;
    }
    return false;
  }

  async function read() {
    const storage = navigator.storage;
    const estimate = (await storage?.estimate?.().catch(() => null)) ?? {};
    const persisted = (await storage?.persisted?.().catch(() => false)) ?? false;
    const hidden = await privateWindow(estimate);
    return {
      persisted,
      privateWindow: hidden,
      installed: installed(),
      usage: estimate.usage ?? -1,
      quota: estimate.quota ?? -1,
      kept: hidden ? "in memory only" : persisted || installed() ? "promised" : "not promised",
    };
  }

  return { read };
})();
