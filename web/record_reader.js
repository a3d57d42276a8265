// SPDX-License-Identifier: Apache-2.0
//
// Reads the records of the database, in order of device and sequence, some thousands at a time and
// ahead of who takes them. A damaged entry does not stop the others: it comes back as bad.
//
//   const { bad, count } = await Nthtree.reader.records(onRecords, onBatch);   // from batches too
"use strict";
(globalThis.Nthtree ??= {}).reader = (() => {
  const { verified } = Nthtree.checkSum; // these stand before this file
  const { connect, ask } = Nthtree.database;
  const { batches, turns } = Nthtree;
  const AHEAD = 8; // readings under way: a phone's disk answers late and many at once
  const AT_ONCE = 5000; // Fastest of 1,000, 5,000 and 20,000 on a season of 200,000 records.
  const SLICE = 500; // so many entries are checked and handed over before the browser has its turn

  function rangeBetween(after, before) {
    if (after === null) return before === null ? null : IDBKeyRange.upperBound(before, true);
    return before === null ? IDBKeyRange.lowerBound(after, true)
      : IDBKeyRange.bound(after, before, true, true);
  }

  // The next entries between two keys as [keys, values]; each unreadable one as undefined.
  async function readSome(after, before) {
    const range = rangeBetween(after, before);
    const store = (await connect()).transaction("records").objectStore("records");
    try {
      if (store.getAllRecords) {
        const found = await ask(store.getAllRecords({ query: range, count: AT_ONCE }));
        return [found.map((entry) => entry.key), found.map((entry) => entry.value)];
      }
      return await Promise.all([ask(store.getAllKeys(range, AT_ONCE)),
        ask(store.getAll(range, AT_ONCE))]);
    } catch {
      return readOneByOne(range);
    }
  }

  async function readOneByOne(range) {
    const database = await connect();
    const all = (what) => ask(what(database.transaction("records").objectStore("records")));
    const keys = await all((store) => store.getAllKeys(range, AT_ONCE));
    const values = [];
    for (const key of keys) {
      values.push(await all((store) => store.get(key)).catch(() => undefined));
    }
    return [keys, values];
  }

  function handOver(keys, values, into) {
    const good = [];
    keys.forEach((key, i) => {
      const json = verified(key, values[i]);
      if (json === null) return into.bad.push({ key, value: values[i] });
      into.onEntry(key[0], key[1], json);
      return good.push(json);
    });
    into.count += good.length;
    if (good.length > 0) into.onRecords(good);
  }

  // The entries between two keys, as what inOrder takes.
  function entries(after, before, into) {
    const take = async ([keys, values], goOn) => {
      // Ahead, while the app takes these.
      if (keys.length === AT_ONCE) goOn(entries(keys[keys.length - 1], before, into));
      for (let at = 0; at < keys.length; at += SLICE) {
        await turns.give();
        handOver(keys.slice(at, at + SLICE), values.slice(at, at + SLICE), into);
      }
    };
    return { read: () => readSome(after, before), take };
  }

  // The batches of a device, each group of them as what inOrder takes.
  const batched = (device, into) => batches.groups(device).map(({ read, take }) => ({
    read,
    async take(values, goOn) {
      const { taken, behind } = await take(values, into.onBatch);
      into.count += taken;
      if (behind) goOn(entries(behind.after, behind.before, into)); // damaged: its entries
    },
  }));

  // Takes each of these in its order, while the next ones are being read. take(found, goOn) may say
  // what has to be read next, in its place.
  async function inOrder(sources) {
    const begun = [];
    const begin = (source) => {
      const found = source.read();
      found.catch(() => {});
      return { source, found };
    };
    for (let next = 0; next < sources.length || begun.length > 0;) {
      while (begun.length < AHEAD && next < sources.length) begun.push(begin(sources[next++]));
      const { source, found } = begun.shift();
      await source.take(await found, (more) => begun.unshift(begin(more)));
    }
  }

  // onBatch: takes batches (record_store.js); null: every entry is read by itself.
  // onEntry: told of each entry that was.
  async function records(onRecords, onBatch = null, onEntry = () => {}) {
    const into = { bad: [], count: 0, onRecords, onBatch, onEntry };
    const sources = [];
    let after = null;
    for (const [device, last] of onBatch ? await batches.index() : []) {
      sources.push(entries(after, [device, 0], into), ...batched(device, into));
      after = [device, last];
    }
    sources.push(entries(after, null, into));
    await inOrder(sources);
    return { bad: into.bad, count: into.count };
  }

  // The named values, or the drafts, as texts by name.
  async function named(name) {
    const store = (await connect()).transaction(name).objectStore(name);
    const [keys, values] = await Promise.all([ask(store.getAllKeys()), ask(store.getAll())]);
    return Object.fromEntries(keys.map((key, i) => [String(key), String(values[i])]));
  }

  return { records, named };
})();
