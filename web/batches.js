// SPDX-License-Identifier: Apache-2.0
//
// Copies of a thousand records in one entry, so that a long season opens in a fraction of the time
// that a thousand entries take. They are copies only: every record keeps its own entry, which is
// what was confirmed, compared and exported; behind a damaged batch the entries are read.
//
// Invariants:
//   - a batch holds records first … first + SIZE - 1 of one device, without a gap, from 1 on;
//   - whoever replaces or removes a record removes its batch, and those behind it, in the same
//     transaction.
//
//   for (const device of (await batches.index()).keys()) batches.groups(device) …
"use strict";
(globalThis.Nthtree ??= {}).batches = (() => {
  const SIZE = 1000;
  const AT_ONCE = 4; // about 1 MB of records
  const PAUSE_MS = 400; // between two batches made, so that nobody feels it
  const { connect, ask } = Nthtree.database;
  const { withCheckSum } = Nthtree.checkSum;

  const covered = new Map(); // device -> its records 1 … this are in batches
  let gathering = { device: "", next: 0, lines: [] }; // a run of entries read by this load
  let jobs = []; // {device, first, text}: batches to be made
  let making = null; // the job at hand; an empty one between two

  // Up to which record each device has batches; in order of devices.
  async function index() {
    covered.clear();
    jobs = [];
    const store = (await connect()).transaction("packs").objectStore("packs");
    for (const [device, first] of await ask(store.getAllKeys())) {
      const before = covered.get(device) ?? 0;
      if (first === before + 1) covered.set(device, before + SIZE);
    }
    return covered;
  }

  const from = async (device, first, count) => {
    const store = (await connect()).transaction("packs").objectStore("packs");
    const last = first + (count - 1) * SIZE;
    return ask(store.getAll(IDBKeyRange.bound([device, first], [device, last]))).catch(() => []);
  };

  // A device's batches, some at a time and in order. read() gives values; take(values, onBatch)
  // hands each over by onBatch(device, first, value), which answers whether it was whole, and tells
  // more is taken from batches: the entries `behind`, between two keys, are read instead.
  // more is taken from batches: the entries `behind`, between two keys, are read in their place.
  function groups(device) {
    const wanted = covered.get(device) ?? 0;
    const list = [];
    for (let first = 1; first <= wanted; first += AT_ONCE * SIZE) {
      const count = Math.min(AT_ONCE, (wanted - first + 1) / SIZE);
      list.push({
        read: () => from(device, first, count),
        take: (values, onBatch) => take(device, first, values, { count, onBatch }),
      });
    }
    return list;
  }

  async function take(device, first, values, { count, onBatch }) {
    for (let i = 0; i < count; i++) {
      await Nthtree.turns.give();
      const at = first + i * SIZE;
      const wanted = covered.get(device);
      if (at > wanted) return { taken: i * SIZE }; // behind a damaged one
      if (typeof values[i] === "string" && onBatch(device, at, values[i])) continue;
      covered.set(device, at - 1);
      return { taken: i * SIZE, behind: { after: [device, at - 1], before: [device, wanted + 1] } };
    }
    return { taken: count * SIZE };
  }

  // Called for each entry that a load reads, in order: complete runs become jobs.
  function gather(device, sequence, json) {
    if (gathering.device !== device) {
      gathering = { device, next: (covered.get(device) ?? 0) + 1, lines: [] };
    }
    if (sequence !== gathering.next) return; // a gap: batches of this device end here
    gathering.next += 1;
    gathering.lines.push(json);
    if (gathering.lines.length < SIZE) return;
    jobs.push({ device, first: sequence - SIZE + 1, text: gathering.lines.join("\n") });
    gathering.lines = [];
  }

  async function put(job) {
    const { device, first, text } = job;
    const database = await connect();
    await new Promise((resolve, reject) => {
      const transaction = database.transaction("packs", "readwrite", { durability: "relaxed" });
      const store = transaction.objectStore("packs");
      // The question is asked behind every change that was under way, so that what touch() said
      // meanwhile is known before the copy is written.
      store.getKey([device, first]).onsuccess = () => {
        if (!job.cancelled) store.put(withCheckSum(device, first, text), [device, first]);
      };
      transaction.oncomplete = resolve;
      transaction.onabort = () => reject(transaction.error);
    });
    if (!job.cancelled && first === (covered.get(device) ?? 0) + 1) {
      covered.set(device, first + SIZE - 1);
    }
  }

  // Makes the gathered batches, one after another, while the phone has time for it.
  async function make() {
    gathering = { device: "", next: 0, lines: [] };
    if (making) return;
    try {
      for (making = {}; jobs.length > 0;) {
        await new Promise((resolve) => setTimeout(resolve, api.pauseMs));
        making = jobs.shift() ?? {};
        if (making.text) await put(making);
      }
    } catch {
      jobs = []; // a full phone, a lost database: the entries are all that is needed
    } finally {
      making = null;
    }
  }

  // A record was replaced or removed: in that transaction, away with batches that could hold it.
  function touch(transaction, device, sequence) {
    if (!Number.isSafeInteger(sequence) || sequence < 1) return;
    const first = sequence - ((sequence - 1) % SIZE);
    const mine = [...jobs, making ?? {}].filter((job) => job.device === device);
    const reach = Math.max(covered.get(device) ?? 0, ...mine.map((job) => job.first + SIZE - 1));
    if (sequence > reach) return;
    for (const job of mine) if (job.first >= first) job.cancelled = true;
    jobs = jobs.filter((job) => !job.cancelled);
    covered.set(device, Math.min(covered.get(device) ?? 0, first - 1));
    transaction.objectStore("packs")
      .delete(IDBKeyRange.bound([device, first], [device, Infinity]));
  }

  const api = { index, groups, gather, make, touch, pauseMs: PAUSE_MS };
  return api;
})();
