// SPDX-License-Identifier: Apache-2.0
//
// Copies of many records in one entry, packed by the app (src/app/stored_batch.h), so that a long
// season opens in a fraction of the time that its entries take. They are copies only: every record
// keeps its own entry, which is what was confirmed, compared and exported; behind a damaged batch
// the entries are read.
//
// Invariants:
//   - a batch at [device, first] holds a thousand records, first … first + 999 of one device,
//     without a gap, from 1 on; the last one of a device, at [device, first, count], holds fewer;
//   - it is made of the entries, in the transaction that writes it;
//   - whoever replaces or removes a record removes its batch, and those behind it, in the same
//     transaction.
//
//   for (const device of (await batches.index()).keys()) batches.groups(device) …
"use strict";
(globalThis.Nthtree ??= {}).batches = (() => {
  const SIZE = 1000;
  const TAIL = 100; // so many more records are worth the last batch anew
  const AT_ONCE = 4;
  const PAUSE_MS = 400; // between two batches made, so that nobody feels it; a season that has just
  const HURRY_MS = 20; // come is wanted again soon
  const MANY = 8000; // records
  const REST_MS = 1000; // behind the last record that came
  const { connect, ask } = Nthtree.database;
  const { verified } = Nthtree.checkSum;

  const NONE = { whole: 0, tail: 0 };
  const covered = new Map(); // device -> {whole, tail}: so many records are in batches, from 1 on
  const reached = new Map(); // device -> its records 1 … this are entries, without a gap
  let making = null; // {device, first, count} at hand; an empty one between two
  let resting = 0; // a timer
  let grew = 0; // when the last record came

  const coveredOf = (device) => covered.get(device) ?? NONE;
  const inBatches = (device) => coveredOf(device).whole + coveredOf(device).tail;
  const place = (device, first) => IDBKeyRange.bound([device, first], [device, first, Infinity]);
  const keyOf = ({ device, first, count }) => (count < SIZE ? [device, first, count]
    : [device, first]);

  // Up to which record each device has batches; in order of devices.
  async function index() {
    covered.clear();
    reached.clear();
    const store = (await connect()).transaction("packs").objectStore("packs");
    for (const [device, first, count = SIZE] of await ask(store.getAllKeys())) {
      const { whole, tail } = coveredOf(device);
      if (first !== whole + 1 || tail > 0) continue;
      covered.set(device, count < SIZE ? { whole, tail: count } : { whole: whole + SIZE, tail: 0 });
    }
    return new Map([...covered.keys()].map((device) => [device, inBatches(device)]));
  }

  const from = async (...range) => {
    const store = (await connect()).transaction("packs").objectStore("packs");
    return ask(store.getAll(IDBKeyRange.bound(...range))).catch(() => []);
  };

  // A device's batches, some at a time and in order. read() gives values; take(values, onBatch)
  // hands each over by onBatch(device, first, count, value), which answers whether it was whole,
  // and tells how many records were taken; the browser has its turn between two. From a damaged one
  // on none is taken any more: the entries `behind`, between two keys, are read instead.
  function groups(device) {
    const { whole, tail } = coveredOf(device);
    const list = [];
    const add = (group, last) => list.push({
      read: () => from([device, group[0].first], last),
      take: (values, onBatch) => take(group, values, { onBatch, end: whole + tail }),
    });
    for (let first = 1; first <= whole; first += AT_ONCE * SIZE) {
      const count = Math.min(AT_ONCE, (whole - first + 1) / SIZE);
      add(Array.from({ length: count },
        (_, i) => ({ device, first: first + i * SIZE, count: SIZE })),
      [device, first + (count - 1) * SIZE]);
    }
    const last = { device, first: whole + 1, count: tail };
    if (tail > 0) add([last], keyOf(last));
    return list;
  }

  async function take(group, values, { onBatch, end }) {
    let taken = 0;
    for (const [i, { device, first, count }] of group.entries()) {
      await Nthtree.turns.give();
      if (first > inBatches(device)) break; // behind a damaged one
      const value = values[i];
      if (!(value instanceof Uint8Array && onBatch(device, first, count, value))) {
        covered.set(device, { whole: first - 1, tail: 0 });
        return { taken, behind: { after: [device, first - 1], before: [device, end + 1] } };
      }
      taken += count;
    }
    return { taken };
  }

  // Told of each entry that a load reads, in order, and of each that was added since.
  function gather(device, sequence) {
    const last = reached.get(device) ?? inBatches(device);
    reached.set(device, Math.max(last, sequence === last + 1 ? sequence : 0));
  }

  // The next batch that is worth making: a whole one, and where there is none a device's last.
  function next() {
    let last = null;
    for (const [device, end] of reached) {
      const { whole, tail } = coveredOf(device);
      const count = Math.min(end - whole, SIZE);
      if (count === SIZE) return { device, first: whole + 1, count };
      if (count - tail >= TAIL) last ??= { device, first: whole + 1, count };
    }
    return last;
  }

  const isWhole = (job) => job?.count === SIZE;

  const behind = () => [...reached].reduce((sum, [device, last]) =>
    sum + last - inBatches(device), 0);

  // The records of a batch as they are stored; null where one is missing or damaged.
  function linesOf({ device, first, count }, values) {
    if (values.length !== count) return null;
    const lines = values.map((value, i) => verified([device, first + i], value));
    return lines.includes(null) ? null : lines;
  }

  async function put(job) {
    const { device, first, count } = job;
    const database = await connect();
    let done = false;
    await new Promise((resolve, reject) => {
      const transaction = database.transaction(["records", "packs"], "readwrite",
        { durability: "relaxed" });
      const packs = transaction.objectStore("packs");
      transaction.objectStore("records").getAll(
        IDBKeyRange.bound([device, first], [device, first + count - 1])).onsuccess = (got) => {
        const lines = linesOf(job, got.target.result);
        const packed = lines && api.pack(device, first, lines);
        if (!packed) return;
        packs.delete(place(device, first));
        packs.put(packed, keyOf(job));
        done = true;
      };
      transaction.oncomplete = resolve;
      transaction.onabort = () => reject(transaction.error);
    });
    if (!done) reached.delete(device); // looked at again at the next start
    else if (!job.touched && first === coveredOf(device).whole + 1) {
      covered.set(device, count < SIZE ? { whole: first - 1, tail: count }
        : { whole: first + SIZE - 1, tail: 0 });
    }
  }

  const pause = (ms) => new Promise((resolve) => { setTimeout(resolve, ms); });

  function rest() {
    resting ||= setTimeout(() => {
      resting = 0;
      make();
    }, api.restMs);
  }

  // Makes the batches that are missing, one after another, while the phone has time for it. A whole
  // one never changes, so it is made while more records come; whoever closes the app with the last
  // page of a season finds few entries to read. A device's last one waits until no more come.
  async function make() {
    if (making) return;
    try {
      for (making = {}; next();) {
        await pause(behind() > MANY ? Math.min(HURRY_MS, api.pauseMs) : api.pauseMs);
        const job = next();
        if (!isWhole(job) && performance.now() - grew < api.restMs) return void rest();
        if ((making = job)) await put(job);
        making = {};
      }
    } catch {
      reached.clear(); // a full phone, a lost database: the entries are all that is needed
    } finally {
      making = null;
    }
  }

  // Records that are new to the disk.
  function added(records) {
    for (const { device, sequence } of records) gather(device, sequence);
    grew = performance.now();
    const job = next();
    if (making || !job) return;
    if (isWhole(job)) make();
    else rest();
  }

  // A record was replaced or removed: in that transaction, away with batches that could hold it.
  function touch(transaction, device, sequence) {
    if (!Number.isSafeInteger(sequence) || sequence < 1) return;
    const first = sequence - ((sequence - 1) % SIZE);
    const mine = making?.device === device ? making : null;
    if (sequence > Math.max(inBatches(device), mine ? mine.first + mine.count - 1 : 0)) return;
    if (mine && mine.first >= first) mine.touched = true;
    covered.set(device, { whole: Math.min(coveredOf(device).whole, first - 1), tail: 0 });
    transaction.objectStore("packs")
      .delete(IDBKeyRange.bound([device, first], [device, Infinity]));
  }

  const api = {
    index, groups, gather, added, make, touch, pauseMs: PAUSE_MS, restMs: REST_MS,
    pack: () => null, // (device, first, lines) => bytes; the app's, once it is there (bridge.js)
  };
  return api;
})();
