// SPDX-License-Identifier: Apache-2.0
//
// A small phone for the fault tests: counts trees into a store and exchanges records with a hub by
// src/sync/PROTOCOL.md. In the browser it stands on the app's own store and transport; the other
// phones of a test run under Node with a store in memory. It is simpler than the app's client
// (no re-homing, no back-off) and so shows faults of the store, the transport and the hub.
//
//   const phone = makePhone({ store, request, said: (id, json) => …, bearer: "" });
//   await phone.load();  await phone.count(12);  await phone.exchange();
"use strict";
globalThis.makePhone = ({ store, request, said, bearer = "", device = "" }) => {
  const BATCH = 200;
  const held = new Map(); // id -> json
  const acknowledged = new Set(); // ids that an answer of the hub said are on its disk
  const troubles = []; // what must never be
  let own = device;
  let cursor = { epoch: "", arrival: 0, opening: "" };
  let next = 1;
  let epoch = ""; // of the hub that gave the acknowledgements
  let key = bearer;

  const idOf = (json) => /"id":"([0-9a-f]{32}-\d+)"/.exec(json)[1];
  const split = (id) => ({ device: id.slice(0, 32), sequence: Number(id.slice(33)) });
  const newDevice = () => [...crypto.getRandomValues(new Uint8Array(16))]
    .map((byte) => byte.toString(16).padStart(2, "0")).join("");

  // As the app's client keeps it (src/sync/client.cpp): who this phone is, and the place in the stream.
  const stateText = (at = cursor) => JSON.stringify({ v: 1, device: own, bearer: key, ...at });

  function take(json) {
    const id = idOf(json);
    if (held.has(id)) troubles.push(`${id} came twice out of the store`);
    held.set(id, json);
  }

  async function load() {
    const { meta, drafts, setAside } = await store.load((batch) => batch.forEach(take));
    if (setAside > 0) troubles.push(`${setAside} records were set aside`);
    const state = JSON.parse(meta.sync ?? "{}");
    own = state.device ?? (own || newDevice());
    if (state.epoch) cursor = { epoch: state.epoch, arrival: state.arrival, opening: state.opening };
    if (!state.device) await store.append([], [["sync", stateText()]]);
    const mine = [...held.keys()].filter((id) => id.startsWith(own))
      .map((id) => split(id).sequence);
    next = Math.max(0, ...mine) + 1;
    if (mine.length !== next - 1) troubles.push(`${next - 1} written, ${mine.length} there`);
    // A draft of a count that is saved as well would be counted twice by the person.
    const draft = drafts.count ? JSON.parse(drafts.count) : null;
    if (draft && draft.sequence !== next) troubles.push(`draft of ${draft.sequence}, next ${next}`);
    return { device: own, records: Object.fromEntries(held), draft, resumed: draft?.spurs ?? 0 };
  }

  // One tree, counted in some taps; each tap's draft is on the disk before the next.
  async function count(taps) {
    const sequence = next;
    let spurs = 0;
    for (let tap = 0; tap < taps; tap++) {
      spurs += 1 + (tap % 5);
      await store.putDraft("count", JSON.stringify({ sequence, spurs }));
    }
    const at = Date.now();
    const json = JSON.stringify({ v: 1, id: `${own}-${sequence}`, at_ms: at, tick: 0, clock_ms: at,
      author: "p1", kind: "tag_count", body: { block: "b1", row: 1 + (sequence % 30),
        tree: 1 + (sequence % 90), spurs } });
    await store.append([{ device: own, sequence, json }], [["draft:count", ""]]);
    held.set(`${own}-${sequence}`, json);
    next = sequence + 1;
    await said(`${own}-${sequence}`, json);
  }

  // ---- the protocol

  async function ask(path, head, lines = []) {
    const text = [JSON.stringify({ v: 1, ...head }), ...lines].join("\n");
    const { status, body } = await request({ method: "POST", path: `/v1/${path}`, bearer: key,
      body: new TextEncoder().encode(text), timeoutMs: path === "join" ? 15000 : 1500 });
    const [first, ...rest] = new TextDecoder().decode(body).split("\n");
    return { status, head: status ? JSON.parse(first) : {}, lines: rest.filter(Boolean) };
  }

  function ranges() {
    const devices = new Map();
    for (const id of held.keys()) {
      const { device: of, sequence } = split(id);
      devices.set(of, [...(devices.get(of) ?? []), sequence]);
    }
    return Object.fromEntries([...devices].map(([of, numbers]) => {
      numbers.sort((a, b) => a - b);
      const runs = [];
      for (const n of numbers) {
        if (runs.length && runs.at(-1)[1] === n - 1) runs.at(-1)[1] = n;
        else runs.push([n, n]);
      }
      return [of, runs.map(([a, b]) => (a === b ? `${a}` : `${a}-${b}`)).join(",")];
    }));
  }

  function idsIn(missing) {
    return Object.entries(missing).flatMap(([of, text]) => text.split(",").filter(Boolean)
      .flatMap((run) => {
        const [a, b = a] = run.split("-").map(Number);
        return Array.from({ length: b - a + 1 }, (_, i) => `${of}-${a + i}`);
      }));
  }

  async function join(code, name) {
    const answer = await ask("join", { code, name, bearer: true });
    if (answer.status === 200) key = answer.head.bearer;
    return { status: answer.status, bearer: key };
  }

  // Pushes what the hub lacks; true when it lacks nothing.
  async function push() {
    const hello = await ask("hello",
      { device: own, ...cursor, wall_ms: Date.now(), have: ranges() });
    if (hello.status !== 200) return false;
    // A hub that came back from a backup says so by another epoch; then it may lack what it had.
    if (epoch !== hello.head.epoch) acknowledged.clear();
    epoch = hello.head.epoch;
    const missing = idsIn(hello.head.missing ?? {});
    for (const id of missing) {
      if (acknowledged.has(id)) troubles.push(`${id} was acknowledged and the hub lacks it`);
    }
    for (let at = 0; at < missing.length; at += BATCH) {
      const ids = missing.slice(at, at + BATCH);
      const runs = ids.map(split).map(({ device: of, sequence }) => [of, sequence, sequence]);
      const lines = ids.map((id) => held.get(id));
      const bytes = new TextEncoder().encode(lines.map((line) => `\n${line}`).join("")).length;
      const answer = await ask("push", { device: own, bytes, runs }, lines);
      if (answer.status !== 200) return false;
      for (const kind of ["conflicts", "set_aside"]) {
        for (const id of answer.head[kind] ?? []) troubles.push(`${kind}: ${id}`);
      }
      ids.forEach((id) => acknowledged.add(id));
    }
    return true;
  }

  // Fetches all there is; true when nothing more waits.
  async function pull() {
    for (;;) {
      const { status, head, lines } = await ask("pull", { ...cursor, records_max: BATCH });
      if (status !== 200) return false;
      const fresh = lines.filter((json) => !held.has(idOf(json)));
      for (const json of lines) {
        const there = held.get(idOf(json));
        if (there !== undefined && there !== json) troubles.push(`${idOf(json)} has two contents`);
      }
      const now = { epoch: head.epoch, arrival: head.arrival, opening: head.opening };
      await store.append(fresh.map((json) => ({ ...split(idOf(json)), json })),
        [["sync", stateText(now)]]);
      fresh.forEach((json) => held.set(idOf(json), json));
      cursor = now;
      if (!head.more) return true;
    }
  }

  const exchange = async () => (await push()) && (await pull());

  return { load, count, join, push, pull, exchange, held, acknowledged, troubles,
    device: () => own, bearer: () => key };
};
