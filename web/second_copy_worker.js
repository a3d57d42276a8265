// SPDX-License-Identifier: Apache-2.0
//
// Appends lines to the second copy's file; second_copy.js says what and why. A worker, because only
// here a browser gives a file that is written in place. Takes {file, number, text}, answers
// {number, fault}, in order.
//
// Not flushed to the disk: a killed browser leaves its writes to the system, and a database that a
// cut of power tore is thrown away two starts later, when the first of them has caught up.
"use strict";
(() => {
  const TRIES = 30; // a page that was reloaded may hold the file for a moment
  const TRY_AGAIN_MS = 100;
  const NEW_LINE = 10;
  const encoder = new TextEncoder();
  let handle = null;
  let end = 0;
  let turn = Promise.resolve();

  const pause = (ms) => new Promise((resolve) => setTimeout(resolve, ms));

  async function open(name) {
    const folder = await navigator.storage.getDirectory();
    const file = await folder.getFileHandle(name, { create: true });
    for (let n = 1; handle === null; n++) {
      try {
        handle = await file.createSyncAccessHandle();
      } catch (error) {
        if (n === TRIES) throw error;
        await pause(TRY_AGAIN_MS);
      }
    }
    end = await handle.getSize(); // a promise in older browsers
    const last = new Uint8Array(1);
    if (end > 0) handle.read(last, { at: end - 1 });
    if (end > 0 && last[0] !== NEW_LINE) write("\n"); // behind a line that was cut short
  }

  function write(text) {
    const bytes = encoder.encode(text);
    const written = handle.write(bytes, { at: end });
    if (written !== bytes.length) {
      handle.truncate(end);
      throw new Error("no room");
    }
    end += written;
  }

  async function append({ file, text }) {
    if (handle === null) await open(file);
    write(text);
  }

  onmessage = ({ data }) => {
    turn = turn.then(() => append(data)).then(() => "", (error) => String(error))
      .then((fault) => postMessage({ number: data.number, fault }));
  };
})();
