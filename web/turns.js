// SPDX-License-Identifier: Apache-2.0
//
// Long work in slices: a finger, a frame or a key is not kept waiting for the end of it.
//
//   for (const part of parts) { await Nthtree.turns.give(); work(part); }
"use strict";
(globalThis.Nthtree ??= {}).turns = (() => {
  const SLICE_MS = 8;
  const channel = new MessageChannel(); // a timer waits four milliseconds after the fifth time
  let begun = 0;
  const waiting = [];
  channel.port1.onmessage = () => {
    begun = performance.now();
    waiting.shift()();
  };

  // Settles in a task of its own where the slice is used up, else at once.
  function give() {
    if (performance.now() - begun < SLICE_MS) return undefined;
    return new Promise((resolve) => {
      waiting.push(resolve);
      channel.port2.postMessage(null);
    });
  }

  return { give };
})();
