// SPDX-License-Identifier: Apache-2.0
//
// Bytes that are kept apart from the records: damaged, refused, in conflict, or moved away by a
// merge. Nothing here is ever thrown away; every export has it.
//
//   await Nthtree.setAside.move(damaged, "the entry is damaged");   // [{key, value}]
"use strict";
(globalThis.Nthtree ??= {}).setAside = (() => {
  const { checkSumOf } = Nthtree.checkSum; // these stand before this file
  const { connect, again, ask } = Nthtree.database;
  const { batches } = Nthtree;
  const MOVED_PREFIX = "moved-"; // no fault, only kept: not counted

  function tryJson(value) {
    try {
      return JSON.stringify(value) ?? "unreadable";
    } catch {
      return "unreadable";
    }
  }

  function entryOf(device, sequence, value, reason) {
    const text = typeof value === "string" ? value : `(${typeof value}) ${tryJson(value)}`;
    return {
      key: `${device}-${sequence}-${checkSumOf(device, sequence, text)}`,
      entry: { device: String(device), sequence: Number(sequence), text, reason, at: Date.now() },
    };
  }

  // Copy, then remove, in one transaction. What cannot even be copied stays where it is.
  function move(bad, reason) {
    return again(["records", "set_aside", "packs"], "readwrite", (transaction) => {
      for (const { key, value } of bad) {
        const parts = Array.isArray(key) ? key : [String(key), 0];
        batches.touch(transaction, parts[0], parts[1]);
        const aside = entryOf(parts[0], parts[1], value, reason);
        transaction.objectStore("set_aside").put(aside.entry, aside.key);
        if (value !== undefined) transaction.objectStore("records").delete(key);
      }
    });
  }

  // What a merge replaces or drops, in its own transaction.
  function keepMoved(transaction, device, sequence, value) {
    const { key, entry } = entryOf(device, sequence, value, "moved by a merge");
    transaction.objectStore("set_aside").put(entry, `${MOVED_PREFIX}${key}`);
  }

  // The refused bytes, so that a person can look at both.
  function keepConflict({ device, sequence, json }) {
    const aside = entryOf(device, sequence, json, "other bytes hold this place");
    return again(["set_aside"], "readwrite", (transaction) => {
      transaction.objectStore("set_aside").put(aside.entry, aside.key);
    }).catch(() => {});
  }

  const stored = async () => (await connect()).transaction("set_aside").objectStore("set_aside");

  async function count() {
    const store = await stored();
    const moved = IDBKeyRange.bound(MOVED_PREFIX, `${MOVED_PREFIX}\uffff`);
    const [all, kept] = await Promise.all([ask(store.count()), ask(store.count(moved))]);
    return all - kept;
  }

  const all = async () => ask((await stored()).getAll());

  return { entryOf, move, keepMoved, keepConflict, count, all, MOVED_PREFIX };
})();
