// SPDX-License-Identifier: Apache-2.0
//
// What localStorage keeps beside the database: how many records this phone held at least, so that a
// loss is noticed, and records that the database would not take (only a reload helps some browsers,
// and a reload empties the memory). Without localStorage nothing of this is there, and nothing else
// is worse for it.
//
//   const lost = Nthtree.lifeboat.lostOf(count);   // records held once and gone
"use strict";
(globalThis.Nthtree ??= {}).lifeboat = (() => {
  const MARK = "nthtree-records";
  const LIFEBOAT = "nthtree-lifeboat";
  // Records that are gone for good are told of for a day, in every run, and then no more.
  const LOST_SINCE = "nthtree-lost-since";
  const LOST_TOLD_MS = 24 * 3600 * 1000;

  // The browser may have thrown the whole database away (eviction, damage, a cleared site).
  function lostOf(count) {
    try {
      const before = Number(localStorage.getItem(MARK) ?? 0);
      const lost = Number.isFinite(before) ? Math.max(0, before - count) : 0;
      const since = Number(localStorage.getItem(LOST_SINCE) ?? 0) || Date.now();
      const told = Math.abs(Date.now() - since) > LOST_TOLD_MS; // also by a clock that was set back
      if (lost === 0 || told) {
        localStorage.setItem(MARK, String(count));
        localStorage.removeItem(LOST_SINCE);
      } else {
        localStorage.setItem(LOST_SINCE, String(since));
      }
      return lost;
    } catch {
      return 0; // No localStorage, no mark: nothing can be said.
    }
  }

  // So many records were here when they were last counted, and have come since; 0: unknown.
  function known() {
    try {
      return Math.max(0, Math.trunc(Number(localStorage.getItem(MARK)))) || 0;
    } catch {
      return 0;
    }
  }

  function raiseMark(added) {
    try {
      localStorage.setItem(MARK, String(Number(localStorage.getItem(MARK) ?? 0) + added));
    } catch {
      // The mark is a convenience; the records are safe without it.
    }
  }

  // Not "saved", and nothing is said to be: a chance for records that would die with the page.
  function take(records) {
    try {
      const there = JSON.parse(localStorage.getItem(LIFEBOAT) ?? "[]");
      localStorage.setItem(LIFEBOAT, JSON.stringify([...there, ...records]));
    } catch {
      // No room there either; they stay in memory and the app goes on asking.
    }
  }

  // write: puts records into the database and gives how many were new; onConflict: told of a record
  // whose place other bytes hold. What still does not go in stays.
  async function empty(write, onConflict) {
    const text = localStorage.getItem(LIFEBOAT);
    if (!text) return;
    const left = [];
    for (const record of JSON.parse(text)) {
      await write([record], []).then(raiseMark).catch((error) => {
        if (error.conflict) return onConflict(error.conflict);
        left.push(record);
        return null;
      });
    }
    if (left.length === 0) localStorage.removeItem(LIFEBOAT);
    else localStorage.setItem(LIFEBOAT, JSON.stringify(left));
  }

  return { lostOf, known, raiseMark, take, empty };
})();
