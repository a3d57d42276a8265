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
  const { withCheckSum } = Nthtree.checkSum; // these stand before this file
  const { connect, again, ask, classify, fault } = Nthtree.database;
  const { oneWriter, batches, reader, lifeboat, secondCopy } = Nthtree;
  const aside = Nthtree.setAside;
  const DRAFT_PREFIX = "draft:"; // In append(): this named value belongs to the drafts.

  const state = {
    namedAsWriter: false, // the named values were read since this tab became the writer
    loadedAsWriter: false, // and the records too
    persistenceAsked: false,
    lost: 0,
    broughtBack: 0,
    fault: "",
  };
  const unsaved = new Set(); // of arrays of records on their way to the disk
  let telling = Promise.resolve();
  const draftNow = new Map(); // key -> {json}, the newest wanted

  // ---- one writer

  function mayWrite(known = state.loadedAsWriter) {
    if (!oneWriter.held()) throw fault("read_only", "another tab of this app is open and writes");
    if (!known) {
      throw fault("read_only", "this tab has to load the records again before it writes");
    }
  }

  // ---- load

  // onNamed(meta, drafts, known) comes before the first record; known: how many are to come, or 0.
  // onBatch(device, first, count, bytes): whether a batch was whole and is taken (batches.js);
  // without it every entry is read by itself.
  async function load(onRecords, { onNamed = () => {}, onBatch = null } = {}) {
    const writer = await oneWriter.ask(() => api.onTakeOver());
    try {
      if (writer) await lifeboat.empty(write, aside.keepConflict);
      // Named values first: a cursor older than the records is harmless, a newer one is a hole.
      const [inDatabase] = await Promise.all([reader.named("meta"), writer && secondCopy.read()]);
      const meta = writer ? await bringBack(inDatabase) : inDatabase;
      const drafts = Nthtree.looking.join(await reader.named("drafts"));
      state.namedAsWriter = writer;
      onNamed(meta, drafts, lifeboat.known());
      const { bad, count } = await reader.records(onRecords, onBatch,
        writer ? batches.gather : undefined);
      const healed = writer ? await heal(bad) : [];
      if (healed.length > 0) onRecords(healed);
      const left = bad.length - healed.length;
      const setAside = (await aside.count()) + (writer ? 0 : left);
      state.lost = lifeboat.lostOf(count + healed.length + setAside);
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
    if (left.length > 0) await aside.move(left, "the entry is damaged");
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

  // ---- set aside

  // For a record that the app, not the disk, finds unreadable.
  async function setAside(device, sequence, reason) {
    mayWrite();
    const store = (await connect()).transaction("records").objectStore("records");
    const value = await ask(store.get([device, sequence]));
    if (value === undefined) return;
    await aside.move([{ key: [device, sequence], value }], reason);
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
      lifeboat.raiseMark(await write(records, meta));
      batches.added(records);
      for (const [key] of meta) {
        if (key.startsWith(DRAFT_PREFIX)) Nthtree.looking.forget(key.slice(DRAFT_PREFIX.length));
      }
      await secondCopy.note({ own: records, values: meta });
    } catch (error) {
      if (error.conflict) await aside.keepConflict(error.conflict);
      if (["closed", "full"].includes(error.outcome)) lifeboat.take(records);
      throw error;
    } finally {
      unsaved.delete(records);
    }
    if (!state.persistenceAsked && navigator.userActivation?.hasBeenActive) {
      askPersistence().catch(() => {});
    }
  }

  // ---- change: what a merge decided

  function byDevice(records) {
    const groups = new Map();
    for (const record of records) {
      if (!groups.has(record.device)) groups.set(record.device, []);
      groups.get(record.device).push(record);
    }
    return groups;
  }

  // Asks once which of a device's records are there: a season that is fetched is new to the disk,
  // and a question for each of its records took twice as long as writing it.
  function putAll(store, records, put) {
    const numbers = records.map(({ sequence }) => sequence);
    const [device, first, last] = [records[0].device, Math.min(...numbers), Math.max(...numbers)];
    store.getAllKeys(IDBKeyRange.bound([device, first], [device, last])).onsuccess = (got) => {
      const there = new Set(got.target.result.map(([, sequence]) => sequence));
      for (const record of records) put(record, !there.has(record.sequence));
    };
  }

  // Puts records, replacing what stands there, and drops others; one transaction with the meta.
  // For records whose id two devices claimed (src/sync/rehome.h). What is replaced or dropped is
  // copied aside first, under "moved-", so that not even a wrong decision loses bytes.
  async function change(puts, drops, meta = []) {
    mayWrite();
    puts.forEach(checkRecord);
    const all = ["records", "meta", "drafts", "set_aside", "packs"];
    await again(all, "readwrite", (transaction) => {
      const store = transaction.objectStore("records");
      const keepOld = ([device, sequence], fresh, next) => {
        store.get([device, sequence]).onsuccess = (got) => {
          const old = got.target.result;
          if (old === fresh) return;
          if (old !== undefined) aside.keepMoved(transaction, device, sequence, old);
          batches.touch(transaction, device, sequence);
          next();
        };
      };
      const put = ({ device, sequence, json }, isNew) => {
        const value = withCheckSum(device, sequence, json);
        const write = () => store.put(value, [device, sequence]);
        if (!isNew) return void keepOld([device, sequence], value, write);
        batches.touch(transaction, device, sequence);
        write();
      };
      for (const mine of byDevice(puts).values()) putAll(store, mine, put);
      for (const { device, sequence } of drops) {
        keepOld([device, sequence], undefined, () => store.delete([device, sequence]));
      }
      for (const [key, value] of meta) putNamed(transaction, key, value);
    });
    batches.added(puts);
    await secondCopy.note({ puts, drops, values: meta });
  }

  // ---- named values and drafts

  // Also while the records are being read: a try at a PIN counts at once.
  async function putMeta(key, value) {
    mayWrite(state.namedAsWriter);
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
    const { bad } = await reader.records((batch) => parts.push(batch.join(",\n")));
    const kept = await aside.all();
    const drafts = await reader.named("drafts");
    const waiting = [...unsaved].flat().map((record) => record.json);
    const damaged = bad.map(
      ({ key, value }) => aside.entryOf(key?.[0], key?.[1], value, "damaged").entry);
    return `{"nthtree_export":1,\n"records":[\n${parts.join(",\n")}\n],\n` +
      `"not_confirmed":[\n${waiting.join(",\n")}\n],\n` +
      `"set_aside":${JSON.stringify([...kept, ...damaged])},\n` +
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
