// SPDX-License-Identifier: Apache-2.0
//
// The phone's store: one IndexedDB entry for each record of the ledger, written with strict
// durability, confirmed after `complete` and never earlier. README.md beside this file has the
// layout of the database and the reasons; src/shell/README.md has the calls the app makes.
//
// Invariants:
//   - an append is one transaction: its records and its named values stand or fall together;
//   - an entry is never overwritten: the same bytes twice are fine, other bytes are refused;
//   - only the tab that is the one writer (one_writer.js), and loaded after it became it, writes;
//   - what was given to append() and is not confirmed stays in memory and in every export.
"use strict";
(globalThis.Nthtree ??= {}).store = (() => {
  const { checkSumOf, withCheckSum, verified } = Nthtree.checkSum; // these stand before this file
  const { connect, again, ask, classify, fault } = Nthtree.database;
  const { oneWriter, batches, secondCopy } = Nthtree;
  const BATCH = 5000; // Fastest of 1,000, 5,000 and 20,000 on a season of 200,000 records.
  const MOVED_PREFIX = "moved-"; // In set_aside: no fault, only kept.
  const DRAFT_PREFIX = "draft:"; // In append(): this named value belongs to the drafts.
  // In localStorage: how many records this phone held at least, and records that the database
  // would not take (only a reload helps some browsers, and a reload empties the memory).
  const MARK = "nthtree-records";
  const LIFEBOAT = "nthtree-lifeboat";
  // Records that are gone for good are told of for a day, in every run, and then no more.
  const LOST_SINCE = "nthtree-lost-since";
  const LOST_TOLD_MS = 24 * 3600 * 1000;

  const state = {
    loadedAsWriter: false,
    persistenceAsked: false,
    lost: 0,
    broughtBack: 0,
    fault: "",
  };
  const unsaved = new Set(); // of arrays of records on their way to the disk
  let telling = Promise.resolve();
  const draftNow = new Map(); // key -> {json}, the newest wanted

  // ---- one writer

  function mayWrite() {
    if (!oneWriter.held()) throw fault("read_only", "another tab of this app is open and writes");
    if (!state.loadedAsWriter) {
      throw fault("read_only", "this tab has to load the records again before it writes");
    }
  }

  // ---- load

  function rangeBetween(after, before) {
    if (after === null) return before === null ? null : IDBKeyRange.upperBound(before, true);
    return before === null ? IDBKeyRange.lowerBound(after, true)
      : IDBKeyRange.bound(after, before, true, true);
  }

  // The next entries between two keys as [keys, values]; each unreadable one as undefined.
  async function readBatch(after, before) {
    const range = rangeBetween(after, before);
    const store = (await connect()).transaction("records").objectStore("records");
    try {
      if (store.getAllRecords) {
        const found = await ask(store.getAllRecords({ query: range, count: BATCH }));
        return [found.map((entry) => entry.key), found.map((entry) => entry.value)];
      }
      return await Promise.all([ask(store.getAllKeys(range, BATCH)),
        ask(store.getAll(range, BATCH))]);
    } catch {
      return readOneByOne(range);
    }
  }

  async function readOneByOne(range) {
    const database = await connect();
    const all = (what) => ask(what(database.transaction("records").objectStore("records")));
    const keys = await all((store) => store.getAllKeys(range, BATCH));
    const values = [];
    for (const key of keys) {
      values.push(await all((store) => store.get(key)).catch(() => undefined));
    }
    return [keys, values];
  }

  async function readNamed(name) {
    const store = (await connect()).transaction(name).objectStore(name);
    const [keys, values] = await Promise.all([ask(store.getAllKeys()), ask(store.getAll())]);
    return Object.fromEntries(keys.map((key, i) => [String(key), String(values[i])]));
  }

  async function countSetAside() {
    const store = (await connect()).transaction("set_aside").objectStore("set_aside");
    const moved = IDBKeyRange.bound(MOVED_PREFIX, `${MOVED_PREFIX}\uffff`);
    const [all, kept] = await Promise.all([ask(store.count()), ask(store.count(moved))]);
    return all - kept;
  }

  // Entries between two keys, some thousands at a time, in order.
  async function readEntries(after, before, { bad, onRecords, onEntry }) {
    let next = readBatch(after, before);
    for (;;) {
      const [keys, values] = await next;
      if (keys.length === 0) return;
      next = readBatch(keys[keys.length - 1], before); // ahead, while the app takes this batch
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

  // All records in order of device and sequence. fast: from batches where there are any; onEntry:
  // told of each one that had to be read by itself.
  async function readRecords(onBatch, fast, onEntry = () => {}) {
    const found = { bad: [], count: 0 };
    const onRecords = (batch) => {
      found.count += batch.length;
      onBatch(batch);
    };
    let after = null;
    for (const device of fast ? await batches.index() : []) {
      await readEntries(after, [device, 0], { bad: found.bad, onRecords, onEntry });
      after = [device, await batches.read(device, onRecords)];
    }
    await readEntries(after, null, { bad: found.bad, onRecords, onEntry });
    return found;
  }

  async function load(onRecords) {
    const writer = await oneWriter.ask(() => api.onTakeOver());
    try {
      if (writer) await emptyLifeboat();
      // Named values first: a cursor older than the records is harmless, a newer one is a hole.
      const [inDatabase] = await Promise.all([readNamed("meta"), writer && secondCopy.read()]);
      const meta = writer ? await bringBack(inDatabase) : inDatabase;
      const drafts = Nthtree.looking.join(await readNamed("drafts"));
      const { bad, count } = await readRecords(onRecords, true,
        writer ? batches.gather : undefined);
      const healed = writer ? await heal(bad) : [];
      if (healed.length > 0) onRecords(healed);
      const left = bad.length - healed.length;
      const setAside = (await countSetAside()) + (writer ? 0 : left);
      compareWithMark(count + healed.length + setAside);
      state.loadedAsWriter = writer;
      if (writer) {
        batches.make();
        secondCopy.catchUp(meta);
      }
      tell("");
      return { meta, drafts, setAside };
    } catch (error) {
      throw classify(error);
    }
  }

  // Writes what the database has lost and the second copy has. Gives the named values with it.
  async function bringBack(meta) {
    const { records, values } = await secondCopy.lost(meta);
    if (records.length + values.length > 0) await write(records, values);
    state.broughtBack += records.length;
    return { ...meta, ...Object.fromEntries(values) };
  }

  // Damaged entries are written anew from the second copy; what it does not have is set aside.
  // Gives the texts of the healed.
  async function heal(bad) {
    const copies = [];
    const left = [];
    for (const entry of bad) {
      const [device, sequence] = Array.isArray(entry.key) ? entry.key : [];
      const json = secondCopy.good(device, sequence);
      if (json === null) left.push(entry);
      else copies.push({ device, sequence, json });
    }
    if (left.length > 0) await moveAside(left, "the entry is damaged");
    if (copies.length === 0) return [];
    await again(["records"], "readwrite", (transaction) => {
      const store = transaction.objectStore("records");
      for (const { device, sequence, json } of copies) {
        store.put(withCheckSum(device, sequence, json), [device, sequence]);
      }
    });
    state.broughtBack += copies.length;
    return copies.map(({ json }) => json);
  }

  // The browser may have thrown the whole database away (eviction, damage, a cleared site).
  function compareWithMark(count) {
    try {
      const before = Number(localStorage.getItem(MARK) ?? 0);
      state.lost = Number.isFinite(before) ? Math.max(0, before - count) : 0;
      const since = Number(localStorage.getItem(LOST_SINCE) ?? 0) || Date.now();
      const told = Math.abs(Date.now() - since) > LOST_TOLD_MS; // also by a clock that was set back
      if (state.lost === 0 || told) {
        localStorage.setItem(MARK, String(count));
        localStorage.removeItem(LOST_SINCE);
      } else {
        localStorage.setItem(LOST_SINCE, String(since));
      }
    } catch {
      state.lost = 0; // No localStorage, no mark: nothing can be said.
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
  function intoLifeboat(records) {
    try {
      const there = JSON.parse(localStorage.getItem(LIFEBOAT) ?? "[]");
      localStorage.setItem(LIFEBOAT, JSON.stringify([...there, ...records]));
    } catch {
      // No room there either; they stay in memory and the app goes on asking.
    }
  }

  async function emptyLifeboat() {
    const text = localStorage.getItem(LIFEBOAT);
    if (!text) return;
    const left = [];
    for (const record of JSON.parse(text)) {
      await write([record], []).then(raiseMark).catch((error) => {
        if (error.conflict) return keepConflict(error.conflict);
        left.push(record);
        return null;
      });
    }
    if (left.length === 0) localStorage.removeItem(LIFEBOAT);
    else localStorage.setItem(LIFEBOAT, JSON.stringify(left));
  }

  // ---- set aside

  function asideEntry(device, sequence, value, reason) {
    const text = typeof value === "string" ? value : `(${typeof value}) ${tryJson(value)}`;
    return {
      key: `${device}-${sequence}-${checkSumOf(device, sequence, text)}`,
      entry: { device: String(device), sequence: Number(sequence), text, reason, at: Date.now() },
    };
  }

  function tryJson(value) {
    try {
      return JSON.stringify(value) ?? "unreadable";
    } catch {
      return "unreadable";
    }
  }

  // Copy, then remove, in one transaction. What cannot even be copied stays where it is.
  function moveAside(bad, reason) {
    return again(["records", "set_aside", "packs"], "readwrite", (transaction) => {
      for (const { key, value } of bad) {
        const parts = Array.isArray(key) ? key : [String(key), 0];
        batches.touch(transaction, parts[0], parts[1]);
        const aside = asideEntry(parts[0], parts[1], value, reason);
        transaction.objectStore("set_aside").put(aside.entry, aside.key);
        if (value !== undefined) transaction.objectStore("records").delete(key);
      }
    });
  }

  // For a record that the app, not the disk, finds unreadable.
  async function setAside(device, sequence, reason) {
    mayWrite();
    const store = (await connect()).transaction("records").objectStore("records");
    const value = await ask(store.get([device, sequence]));
    if (value === undefined) return;
    await moveAside([{ key: [device, sequence], value }], reason);
    await secondCopy.note({ drops: [{ device, sequence }] });
  }

  // ---- append

  function checkRecord({ device, sequence, json }) {
    if (typeof device !== "string" || device === "" || /[\t\n]/.test(device)) {
      throw fault("failed", "device: a text without tab or line break was wanted");
    }
    if (!Number.isSafeInteger(sequence) || sequence < 1) {
      throw fault("failed", `sequence: ${sequence}, wanted 1 to 2^53 - 1`);
    }
    if (typeof json !== "string" || json === "" || /[\t\n]/.test(json) ||
        !(json.isWellFormed?.() ?? true)) {
      throw fault("failed", `record ${device}-${sequence}: one line of JSON was wanted`);
    }
  }

  function addRecord(store, { device, sequence, json }, stop, onThere) {
    const key = [device, sequence];
    const value = withCheckSum(device, sequence, json);
    const request = store.add(value, key);
    request.onerror = (event) => {
      if (request.error?.name !== "ConstraintError") return;
      event.preventDefault();
      event.stopPropagation();
      store.get(key).onsuccess = (got) => {
        if (got.target.result === value) return void onThere();
        const error = fault("failed", `conflict: ${device}-${sequence} is stored with other bytes`);
        error.conflict = { device, sequence, json };
        stop(error);
      };
    };
  }

  function putNamed(transaction, key, value) {
    const draft = key.startsWith(DRAFT_PREFIX);
    const store = transaction.objectStore(draft ? "drafts" : "meta");
    const name = draft ? key.slice(DRAFT_PREFIX.length) : key;
    if (value === "") store.delete(name);
    else store.put(value, name);
  }

  // One transaction; resolves to how many of the records were new to the disk.
  async function write(records, meta) {
    let added = 0;
    records.forEach(checkRecord);
    await again(["records", "meta", "drafts"], "readwrite", (transaction, stop) => {
      added = records.length;
      const store = transaction.objectStore("records");
      for (const record of records) addRecord(store, record, stop, () => (added -= 1));
      for (const [key, value] of meta) putNamed(transaction, key, value);
    });
    return added;
  }

  async function append(records, meta = []) {
    unsaved.add(records);
    try {
      mayWrite();
      for (const [key, json] of meta) {
        if (key.startsWith(DRAFT_PREFIX)) draftNow.set(key.slice(DRAFT_PREFIX.length), { json });
      }
      raiseMark(await write(records, meta));
      for (const [key] of meta) {
        if (key.startsWith(DRAFT_PREFIX)) Nthtree.looking.forget(key.slice(DRAFT_PREFIX.length));
      }
      await secondCopy.note({ own: records, values: meta });
    } catch (error) {
      if (error.conflict) await keepConflict(error.conflict);
      if (["closed", "full"].includes(error.outcome)) intoLifeboat(records);
      throw error;
    } finally {
      unsaved.delete(records);
    }
    if (!state.persistenceAsked && navigator.userActivation?.hasBeenActive) {
      askPersistence().catch(() => {});
    }
  }

  // ---- change: what a merge decided

  // Puts records, replacing what stands there, and drops others; one transaction with the meta.
  // For records whose id two devices claimed (src/sync/rehome.h). What is replaced or dropped is
  // copied aside first, under "moved-", so that not even a wrong decision loses bytes.
  async function change(puts, drops, meta = []) {
    mayWrite();
    puts.forEach(checkRecord);
    const all = ["records", "meta", "drafts", "set_aside", "packs"];
    await again(all, "readwrite", (transaction) => {
      const store = transaction.objectStore("records");
      const aside = transaction.objectStore("set_aside");
      const keepOld = ([device, sequence], fresh, next) => {
        store.get([device, sequence]).onsuccess = (got) => {
          const old = got.target.result;
          if (old !== undefined && old !== fresh) {
            const { key, entry } = asideEntry(device, sequence, old, "moved by a merge");
            aside.put(entry, `${MOVED_PREFIX}${key}`);
          }
          if (old === fresh) return;
          batches.touch(transaction, device, sequence);
          next();
        };
      };
      for (const { device, sequence, json } of puts) {
        const value = withCheckSum(device, sequence, json);
        keepOld([device, sequence], value, () => store.put(value, [device, sequence]));
      }
      for (const { device, sequence } of drops) {
        keepOld([device, sequence], undefined, () => store.delete([device, sequence]));
      }
      for (const [key, value] of meta) putNamed(transaction, key, value);
    });
    await secondCopy.note({ puts, drops, values: meta });
  }

  // The refused bytes are kept apart, so that a person can look at both.
  function keepConflict({ device, sequence, json }) {
    const aside = asideEntry(device, sequence, json, "other bytes hold this place");
    return again(["set_aside"], "readwrite", (transaction) => {
      transaction.objectStore("set_aside").put(aside.entry, aside.key);
    }).catch(() => {});
  }

  // ---- named values and drafts

  async function putMeta(key, value) {
    mayWrite();
    await again(["meta"], "readwrite", (transaction) => {
      if (value === "") transaction.objectStore("meta").delete(key);
      else transaction.objectStore("meta").put(value, key);
    });
    await secondCopy.note({ values: [[key, value]] });
  }

  // Only the newest text of a draft matters: an attempt that was overtaken is dropped, so that
  // a repeated write can never bring back a draft that append() has removed.
  async function putDraft(key, json) {
    if (!oneWriter.held()) Nthtree.looking.keep(key, json);
    mayWrite();
    const mine = { json };
    draftNow.set(key, mine);
    await again(["drafts"], "readwrite", (transaction) => {
      if (json === "") transaction.objectStore("drafts").delete(key);
      else transaction.objectStore("drafts").put(json, key);
    }, () => draftNow.get(key) === mine);
    Nthtree.looking.forget(key);
  }

  // ---- what the phone promises

  Nthtree.database.onNews = tell;
  Nthtree.database.onWell = () => state.fault && tell("");

  function tell(detail) {
    state.fault = detail;
    // One after another, so that the last word told is the last thing that happened.
    telling = telling.then(status).then((now) => api.onStatus({ ...now, detail })).catch(() => {});
  }

  async function status() {
    return {
      ...(await Nthtree.promise.read()),
      writer: oneWriter.held(),
      waiting: [...unsaved].reduce((sum, records) => sum + records.length, 0),
      lost: state.lost,
      broughtBack: state.broughtBack,
      secondCopy: secondCopy.possible(),
      detail: state.fault,
    };
  }

  async function askPersistence() {
    state.persistenceAsked = true;
    await navigator.storage?.persist?.();
    tell(state.fault);
  }

  // ---- everything, for the crash page

  async function exportAll() {
    const parts = [];
    const { bad } = await readRecords((batch) => parts.push(batch.join(",\n")), false);
    const store = (await connect()).transaction("set_aside").objectStore("set_aside");
    const aside = await ask(store.getAll());
    const drafts = await readNamed("drafts");
    const waiting = [...unsaved].flat().map((record) => record.json);
    const damaged = bad.map(
      ({ key, value }) => asideEntry(key?.[0], key?.[1], value, "damaged").entry);
    return `{"nthtree_export":1,\n"records":[\n${parts.join(",\n")}\n],\n` +
      `"not_confirmed":[\n${waiting.join(",\n")}\n],\n` +
      `"set_aside":${JSON.stringify([...aside, ...damaged])},\n` +
      `"drafts":${JSON.stringify(drafts)}}\n`;
  }

  // The app keeps the number in the named value "unsent", written with what it counts.
  async function unsent() {
    try {
      const store = (await connect()).transaction("meta").objectStore("meta");
      const value = await ask(store.get("unsent"));
      return /^\d+$/.test(value ?? "") ? Number(value) : -1;
    } catch {
      return -1;
    }
  }

  const api = {
    load, append, change, putMeta, putDraft, setAside, askPersistence, status, exportAll, unsent,
    onStatus: () => {},
    // A tab that only looked has nothing unsaved, and its picture is old: start afresh.
    onTakeOver: () => location.reload(),
  };
  return api;
})();
