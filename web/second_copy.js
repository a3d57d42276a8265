// SPDX-License-Identifier: Apache-2.0
//
// A second copy of what this phone wrote, in a file that has nothing to do with IndexedDB.
//
// Chromium keeps IndexedDB in a log. A browser killed between the two writes of one log entry leaves
// a torn one; the next start writes on behind it, and the start after that reads the torn entry and
// the new ones as damage and throws the whole database away, without a word to the page (measured:
// tests/browser/second_copy.test.mjs tears a log). So every confirmed record is also a line of a
// file in the origin private file system, which second_copy_worker.js only ever appends to.
//
// What is copied: records written on this phone; of others' records all but the many (counts: the
// hub or the phone they came from has them), so that the phone can go on counting; named values.
// A line: kind, device, sequence, text and check sum, with tabs between them. Kinds: "own", "put"
// (another's), "drop", "name" (the name stands for the device, the text is the value as JSON).
//
// Invariants:
//   - the database has a record before the copy has it, so the copy never knows more than was stored;
//   - nothing here rejects or holds up a save for long: without a copy the phone is as safe as before;
//   - a line that is damaged, torn or of an unknown kind is passed over.
//
//   await Nthtree.secondCopy.read();  const lost = await Nthtree.secondCopy.lost(meta);
//   await Nthtree.secondCopy.note({ own: records, named: meta });
"use strict";
(globalThis.Nthtree ??= {}).secondCopy = (() => {
  const FILE = "nthtree-second-copy";
  const WORKER = "second_copy_worker.js";
  const WAIT_MS = 500; // a worker that does not answer holds up one save, and no more after it
  const MANY = /"kind":"(?:tag_count|check_count|before_count|bud_sample|work_spell)"/;
  const LINE = /^(own|put|drop|name)\t([^\t]+)\t(\d+)\t(.*)$/;
  const COPIED = ["sync", "memory"]; // named values
  const MOVED_PREFIX = "moved-"; // in set_aside (record_store.js)
  const { connect, ask } = Nthtree.database;
  const { sealed, unsealed } = Nthtree.seal;

  const held = new Map(); // "device-sequence" -> {device, sequence, json, own}; json until it is used
  const named = new Map(); // name -> value
  const waiting = new Map(); // number of a message -> what to call when it is written
  let worker = null;
  let number = 0;
  let slow = false;

  const idOf = ({ device, sequence }) => `${device}-${sequence}`;
  const possible = () => Boolean(globalThis.navigator?.storage?.getDirectory && globalThis.Worker);

  // ---- lines

  const lineOf = (kind, device, sequence, text) =>
    `${kind}\t${device}\t${sequence}\t${sealed(kind + device, sequence, text)}\n`;

  function takeLine(line) {
    const [, kind, device, digits, rest] = LINE.exec(line) ?? [];
    const sequence = Number(digits);
    const text = kind ? unsealed([kind + device, sequence], rest) : null;
    if (text === null) return;
    if (kind === "name") named.set(device, JSON.parse(text));
    else if (kind === "drop") held.delete(idOf({ device, sequence }));
    else held.set(idOf({ device, sequence }), { device, sequence, json: text, own: kind === "own" });
  }

  // Reads the file; an unreadable or missing one counts as empty.
  async function read() {
    held.clear();
    named.clear();
    if (!possible()) return;
    try {
      const folder = await navigator.storage.getDirectory();
      const file = await (await folder.getFileHandle(FILE)).getFile();
      (await file.text()).split("\n").forEach(takeLine);
    } catch {
      // No file yet, or a browser that gives none in this window.
    }
  }

  // ---- writing

  // Of the sync client's state only who this phone is: a place in the hub's stream that is ahead of
  // the records would be a hole.
  function whoIn(state) {
    try {
      const { v, device, bearer } = JSON.parse(state);
      return { v, device, bearer };
    } catch {
      return {};
    }
  }

  const kept = (name, value) =>
    (name === "sync" && value !== "" ? JSON.stringify(whoIn(value)) : value);

  function start() {
    if (worker || !possible()) return;
    const policy = globalThis.trustedTypes?.createPolicy("nthtree-second-copy", {
      createScriptURL: (address) => address,
    });
    worker = new Worker(policy?.createScriptURL(WORKER) ?? WORKER);
    const settle = (done) => {
      waiting.get(done)?.();
      waiting.delete(done);
    };
    worker.onmessage = ({ data }) => {
      slow = false;
      settle(data.number);
    };
    worker.onerror = () => {
      slow = true;
      [...waiting.keys()].forEach(settle);
    };
  }

  function write(text) {
    if (text === "") return null;
    start();
    if (!worker) return null;
    number += 1;
    const mine = number;
    return new Promise((resolve) => {
      waiting.set(mine, resolve);
      worker.postMessage({ file: FILE, number: mine, text });
      setTimeout(() => {
        if (waiting.delete(mine)) slow = true;
        resolve();
      }, slow ? 0 : WAIT_MS);
    });
  }

  // Takes up what the database has just confirmed. Resolves when it is in the file, or at the
  // latest after WAIT_MS; never rejects.
  async function note({ own = [], puts = [], drops = [], values = [] }) {
    try {
      let text = "";
      const put = (kind, record) => {
        held.set(idOf(record), { ...record, json: null, own: kind === "own" });
        text += lineOf(kind, record.device, record.sequence, record.json);
      };
      // A merge that touches what is copied is copied whole, so that its halves never part.
      const touched = [...puts, ...drops].some((place) => held.has(idOf(place)));
      for (const place of drops) {
        if (held.delete(idOf(place))) text += lineOf("drop", place.device, place.sequence, "-");
      }
      for (const record of own) if (!held.has(idOf(record))) put("own", record);
      for (const record of puts) if (touched || !MANY.test(record.json)) put("put", record);
      for (const [name, value] of values) {
        const wanted = kept(name, value);
        if (!COPIED.includes(name) || (named.get(name) ?? "") === wanted) continue;
        named.set(name, wanted);
        text += lineOf("name", name, 0, JSON.stringify(wanted));
      }
      await write(text);
    } catch {
      // As safe as before there was a copy.
    }
  }

  // ---- against the database

  const rangeOf = (device) => IDBKeyRange.bound([device, 0], [device, Infinity]);
  const storeOf = async (name) => (await connect()).transaction(name).objectStore(name);

  function ownDevices(meta) {
    const devices = new Map(); // device -> how many of its records are copied
    const { device } = whoIn(meta.sync ?? named.get("sync"));
    if (typeof device === "string" && device !== "") devices.set(device, 0);
    for (const record of held.values()) {
      if (record.own) devices.set(record.device, (devices.get(record.device) ?? 0) + 1);
    }
    return devices;
  }

  async function missingRecords() {
    const moved = IDBKeyRange.bound(MOVED_PREFIX, `${MOVED_PREFIX}\uffff`);
    const aside = await ask((await storeOf("set_aside")).getAllKeys(moved));
    const there = new Set(aside.map((key) => key.slice(MOVED_PREFIX.length, -9)));
    for (const device of new Set([...held.values()].map((record) => record.device))) {
      for (const [, sequence] of await ask((await storeOf("records")).getAllKeys(rangeOf(device)))) {
        there.add(idOf({ device, sequence }));
      }
    }
    return [...held].filter(([id, { json }]) => json !== null && !there.has(id))
      .map(([, record]) => record);
  }

  // What the database, whose named values are given, no longer has: {records, values}. Quick where
  // nothing is missing: then only this phone's own records are numbered.
  async function lost(meta) {
    const values = COPIED.filter((name) => !(name in meta) && named.get(name))
      .map((name) => [name, named.get(name)]);
    let missing = values.length > 0;
    for (const [device, count] of ownDevices(meta)) {
      if (count === 0 || missing) continue;
      missing = (await ask((await storeOf("records")).count(rangeOf(device)))) < count;
    }
    return { records: missing ? await missingRecords() : [], values };
  }

  // A whole copy of an entry that is damaged in the database; null where there is none.
  const good = (device, sequence) => held.get(idOf({ device, sequence }))?.json ?? null;

  // After the load: takes up what the database has and the copy lacks, and lets go of the texts.
  async function catchUp(meta) {
    try {
      const own = [];
      for (const [device, count] of ownDevices(meta)) {
        const store = await storeOf("records");
        if ((await ask(store.count(rangeOf(device)))) <= count) continue;
        for (const [, sequence] of await ask((await storeOf("records")).getAllKeys(rangeOf(device)))) {
          if (held.has(idOf({ device, sequence }))) continue;
          const value = await ask((await storeOf("records")).get([device, sequence]));
          const json = unsealed([device, sequence], value);
          if (json !== null) own.push({ device, sequence, json });
        }
      }
      for (const record of held.values()) record.json = null;
      await note({ own, values: Object.entries(meta) });
    } catch {
      // The next start tries again.
    }
  }

  return { read, lost, good, note, catchUp };
})();
