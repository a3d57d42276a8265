// SPDX-License-Identifier: Apache-2.0
//
// A second copy of what this phone wrote, in a file that has nothing to do with IndexedDB.
//
// Chromium keeps IndexedDB in a log. A browser killed between the two writes of one log entry
// leaves a torn one; the next start writes on behind it, and the start after that takes the torn
// entry and the new ones for damage and throws the whole database away, without a word to the page
// (tests/browser/faults/README.md). So every confirmed record is also a line of a file in the
// origin private file system, which second_copy_worker.js only ever appends to.
//
// What is copied: records written on this phone; of others' records all but the many (counts: the
// hub or the phone they came from has them), so that the phone can go on counting; named values.
// The form of a line, and of its kinds, stands in README.md.
//
// Invariants:
//   - the database has a record before the copy: the copy never knows more than was stored;
//   - nothing here rejects, or holds up a save for long: without a copy a phone is safe as before;
//   - a line that is damaged, torn or of an unknown kind is passed over.
//
//   await Nthtree.secondCopy.read();  const lost = await Nthtree.secondCopy.lost(meta);
//   await Nthtree.secondCopy.note({ own: records, values: meta });
"use strict";
(globalThis.Nthtree ??= {}).secondCopy = (() => {
  const FILE = "nthtree-second-copy";
  const WORKER = "second_copy_worker.js";
  // A worker that does not answer holds up one save, and no more after it. Long, because a save
  // that is confirmed without its line can be lost (seen at 500 ms, on a machine out of breath).
  const WAIT_MS = 4000;
  const MANY = /"kind":"(?:tag_count|check_count|before_count|bud_sample|work_spell)"/;
  const LINE = /^(own|put|drop|name)\t([^\t]+)\t(\d+)\t(.*)$/;
  const COPIED = ["sync", "memory"]; // named values
  const { MOVED_PREFIX } = Nthtree.setAside;
  const { connect, ask } = Nthtree.database;
  const { withCheckSum, verified } = Nthtree.checkSum;

  // "device-sequence" -> {device, sequence, json, own}; json only until the load is done
  const held = new Map();
  const named = new Map(); // name -> value
  const waiting = new Map(); // number of a message -> what to call when it is written
  let worker = null;
  let number = 0;
  let slow = false;

  const idOf = ({ device, sequence }) => `${device}-${sequence}`;
  const possible = () => Boolean(globalThis.navigator?.storage?.getDirectory && globalThis.Worker);

  // ---- lines

  const lineOf = (kind, device, sequence, text) =>
    `${kind}\t${device}\t${sequence}\t${withCheckSum(kind + device, sequence, text)}\n`;

  function takeLine(line) {
    const [, kind, device, digits, rest] = LINE.exec(line) ?? [];
    const sequence = Number(digits);
    const text = kind ? verified([kind + device, sequence], rest) : null;
    if (text === null) return;
    if (kind === "name") named.set(device, JSON.parse(text));
    else if (kind === "drop") held.delete(idOf({ device, sequence }));
    else {
      held.set(idOf({ device, sequence }),
        { device, sequence, json: text, own: kind === "own" });
    }
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
    start(); // behind the reading, and before the first save
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
    try {
      const policy = globalThis.trustedTypes?.createPolicy("nthtree-second-copy", {
        createScriptURL: (address) => address,
      });
      worker = new Worker(policy?.createScriptURL(WORKER) ?? WORKER);
    } catch {
      return; // asked again at the next save
    }
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
    worker.postMessage({ file: FILE, number: 0, text: "" }); // opens it before the first save
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

  const countOf = async (device) => ask((await storeOf("records")).count(rangeOf(device)));
  const sequencesOf = async (device) => (await ask((await storeOf("records"))
    .getAllKeys(rangeOf(device)))).map(([, sequence]) => sequence);

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
      for (const sequence of await sequencesOf(device)) there.add(idOf({ device, sequence }));
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
      missing = (await countOf(device)) < count;
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
        if ((await countOf(device)) <= count) continue;
        for (const sequence of await sequencesOf(device)) {
          if (held.has(idOf({ device, sequence }))) continue;
          const value = await ask((await storeOf("records")).get([device, sequence]));
          const json = verified([device, sequence], value);
          if (json !== null) own.push({ device, sequence, json });
        }
      }
      for (const record of held.values()) record.json = null;
      await note({ own, values: Object.entries(meta) });
    } catch {
      // The next start tries again.
    }
  }

  return { possible, read, lost, good, note, catchUp };
})();
