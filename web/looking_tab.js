// SPDX-License-Identifier: Apache-2.0
//
// A count begun in a tab that only looks (one_writer.js). Its drafts may not go to the database, so
// they wait in the tab's own sessionStorage, which outlives the reload by which the tab becomes the
// writer. Once the database has a draft of that key from this tab, the waiting one is gone.
//
//   looking.keep(key, json)              // in place of a write
//   drafts = looking.join(fromDatabase)  // at each load
//   looking.forget(key)                  // once it is written
"use strict";
(globalThis.Nthtree ??= {}).looking = (() => {
  const PREFIX = "nthtree-looking:";
  let loaded = {}; // what the database had when this tab was loaded

  const storage = () => {
    try {
      return globalThis.sessionStorage ?? null;
    } catch {
      return null; // a browser that keeps nothing for this page
    }
  };

  function keep(key, json) {
    try {
      storage()?.setItem(PREFIX + key, JSON.stringify({ was: loaded[key] ?? "", json }));
    } catch { /* full: the draft is still on the screen */ }
  }

  const forget = (key) => storage()?.removeItem(PREFIX + key);

  // The waiting draft goes on, unless the other tab meanwhile began or went on with one of the same
  // person: then that one does, for it may be further.
  function join(drafts) {
    const all = { ...drafts };
    const kept = storage();
    for (const name of kept ? Object.keys(kept) : []) {
      if (!name.startsWith(PREFIX)) continue;
      const key = name.slice(PREFIX.length);
      try {
        const { was, json } = JSON.parse(kept.getItem(name));
        const now = drafts[key] ?? "";
        if (json !== "" && (now === "" || now === was)) all[key] = json;
      } catch {
        forget(key);
      }
    }
    loaded = { ...drafts };
    return all;
  }

  return { keep, forget, join };
})();
