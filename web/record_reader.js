// SPDX-License-Identifier: Apache-2.0
//
// Reads the records of the database, in order of device and sequence, some thousands at a time and
// ahead of who takes them. A damaged entry does not stop the others: it comes back as bad.
//
//   const { bad, count } = await Nthtree.reader.records(onRecords, true);   // from batches too
"use strict";
(globalThis.Nthtree ??= {}).reader = (() => {
  const { verified } = Nthtree.checkSum; // these stand before this file
  const { connect, ask } = Nthtree.database;
  const { batches } = Nthtree;
  const AT_ONCE = 5000; // Fastest of 1,000, 5,000 and 20,000 on a season of 200,000 records.

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

  // All entries between two keys.
  async function readEntries(after, before, { bad, onRecords, onEntry }) {
    let next = readSome(after, before);
    for (;;) {
      const [keys, values] = await next;
      if (keys.length === 0) return;
      next = readSome(keys[keys.length - 1], before); // ahead, while the app takes these
      next.catch(() => {});
      const good = [];
      keys.forEach((key, i) => {
        const json = verified(key, values[i]);
        if (json === null) return bad.push({ key, value: values[i] });
        onEntry(key[0], key[1], json);
        return good.push(json);
      });
      if (good.length > 0) onRecords(good);
    }
  }

  // fast: from batches where there are any; onEntry: told of each that had to be read by itself.
  async function records(onSome, fast, onEntry = () => {}) {
    const found = { bad: [], count: 0 };
    const onRecords = (some) => {
      found.count += some.length;
      onSome(some);
    };
    let after = null;
    for (const device of fast ? await batches.index() : []) {
      await readEntries(after, [device, 0], { bad: found.bad, onRecords, onEntry });
      after = [device, await batches.read(device, onRecords)];
    }
    await readEntries(after, null, { bad: found.bad, onRecords, onEntry });
    return found;
  }

  // The named values, or the drafts, as texts by name.
  async function named(name) {
    const store = (await connect()).transaction(name).objectStore(name);
    const [keys, values] = await Promise.all([ask(store.getAllKeys()), ask(store.getAll())]);
    return Object.fromEntries(keys.map((key, i) => [String(key), String(values[i])]));
  }

  return { records, named };
})();
