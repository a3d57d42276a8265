// SPDX-License-Identifier: Apache-2.0
//
// The whole app under kill -9: a pruner counts by tapping, the browser dies at a random moment, and
// the app that starts again must hold what it said to be saved, once, and go on with the count that
// was under way. The demo farm, the real hub and an exchange are there all the time.
import assert from "node:assert/strict";
import { pause } from "../support/chromium.mjs";
import { withLastingFarm } from "../support/farm.mjs";
import { nodePhone, seeded } from "./parts.mjs";

const PAD = "Tap: plus one";
const SETTLED_MS = 1000; // taps this long before the kill must be in the draft
const EXCHANGE_MS = 90000;

// All records on the disk, read beside the app.
const onDisk = (page) => page.evaluate(async () => {
  const database = await Nthtree.database.connect();
  const all = (name) => new Promise((resolve, reject) => {
    const request = database.transaction(name).objectStore(name).getAll();
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });
  const records = (await all("records")).map((entry) => entry.slice(0, entry.lastIndexOf("\t")));
  return { records };
});

const mineOf = (records, device) => records.map((json) => JSON.parse(json))
  .filter((record) => record.id.startsWith(device) && record.kind === "tag_count")
  .sort((a, b) => Number(a.id.slice(33)) - Number(b.id.slice(33)));

// The number on the save button, or null where no count is open.
const openCount = (page) => page.evaluate(() => {
  const names = [...document.querySelectorAll("#mirror button")].map((button) =>
    button.getAttribute("aria-label") ?? button.textContent);
  const save = names.map((name) => /^Save (\d+)$/.exec(name)).find(Boolean);
  return save ? Number(save[1]) : names.includes("Save") ? 0 : null;
});

// From wherever the app opened to a count with its pad; gives the number it stands at.
async function toCount(phone) {
  for (let step = 0; step < 6; step++) {
    if (await phone.find("button", PAD).count()) return (await openCount(phone.page)) ?? 0;
    const title = await phone.title();
    if (title === "Who are you?") await phone.tap(/^Priya\b/);
    else if (title === "Which block?") await phone.tap(/^Lower Bench\b/);
    else if (await phone.find("button", "Done").count()) await phone.tap("Done");
    else if (await phone.find("button", /^Go on/).count()) await phone.tap(/^Go on/);
    else await phone.tap("Count this tree");
  }
  throw new Error(`no way to a count from “${await phone.title()}”`);
}

// Counts trees, so many or until it is stopped; tells of each tap and of each count that was said
// to be saved.
async function countOn(phone, random, log, start, trees = Infinity) {
  let taps = start;
  const { x, y } = await phone.place(phone.find("button", PAD));
  for (let tree = 0; tree < trees; tree++) {
    const wanted = taps + 1 + Math.floor(random() * 14);
    while (taps < wanted) {
      await phone.touch(x, y);
      taps += 1;
      log.taps.push([Date.now(), taps]);
    }
    await phone.settle();
    const shown = await openCount(phone.page);
    log.asked = shown; // from here on it may be on the disk, said or not
    await phone.save(shown);
    await phone.sees(/Saved/);
    log.confirmed.push(shown);
    log.asked = null;
    log.taps = [];
    await phone.tap("Done");
    taps = await toCount(phone);
    log.taps.push([Date.now(), taps]);
  }
}

// One life of the browser, from its start to its end. Gives what was found wrong.
function judge({ disk, resumed, log, figures, device }) {
  const troubles = [];
  const counts = mineOf(disk.records, device).map((record) => record.body.spurs);
  const ids = disk.records.map((json) => JSON.parse(json).id);
  figures.doubled += ids.length - new Set(ids).size;
  for (let i = 0; i < log.confirmed.length; i++) {
    if (counts[i] === undefined) figures.lost += 1;
    else if (counts[i] !== log.confirmed[i]) figures.changed += 1;
  }
  const more = counts.slice(log.confirmed.length);
  if (more.length > 1 || (more.length === 1 && more[0] !== log.asked)) {
    troubles.push(`on the disk beyond what was saved: ${more}, asked ${log.asked}`);
  }
  if (more.length === 1) {
    figures.unconfirmed += 1;
    log.confirmed.push(more[0]);
    if (resumed > 0) troubles.push(`${resumed} waits although ${more[0]} is saved: counted twice`);
  } else {
    const made = log.taps.at(-1)?.[1] ?? 0;
    const old = log.taps.filter(([at]) => at < log.killedAt - SETTLED_MS).at(-1)?.[1] ?? 0;
    if (resumed < old || resumed > made + 1) { // + 1: a tap was under way
      troubles.push(`went on at ${resumed}; ${made} taps were made, ${old} of them long before`);
    }
    figures.resumed += resumed > 0 ? 1 : 0;
    figures.taps_lost_at_most = Math.max(figures.taps_lost_at_most, made - resumed);
  }
  return troubles;
}

export async function appKills(kills, say, { over = () => false } = {}) {
  const random = seeded(365);
  const figures = { kills: 0, lost: 0, changed: 0, doubled: 0, unconfirmed: 0, resumed: 0,
    taps_lost_at_most: 0 };
  const log = { confirmed: [], taps: [], asked: null, killedAt: 0 };
  const troubles = [];
  let records = 0;
  // Fewer pixels, so that drawing in software leaves the time to kills.
  await withLastingFarm(async ({ hub, open, restart }) => {
    let phone = await open({ pixelRatio: 1 });
    await phone.join(hub.code());
    const checker = await joinChecker(hub); // now: a code to join is good for minutes only
    // One count in peace says how long a count takes here, so that kills fall all over it.
    let cycleMs = -Date.now();
    await countOn(phone, random, log, await toCount(phone), 1);
    cycleMs += Date.now();
    // The device's key stands in its first record; before that there is nothing to compare.
    const deviceOf = ({ records: lines }) => lines.map((json) => JSON.parse(json))
      .filter((record) => record.at_ms > started).map((record) => record.id.slice(0, 32))[0] ?? "-";
    const started = Date.now() - cycleMs;
    for (let kill = 0; kill <= kills; kill++) {
      const resumed = await toCount(phone);
      const disk = await onDisk(phone.page);
      const device = deviceOf(disk);
      troubles.push(...judge({ disk, resumed, log, figures, device }), ...phone.troubles);
      if (kill === kills || over()) {
        records = await atHub({ checker, device, log, figures });
        return;
      }
      Object.assign(log, { taps: [[Date.now() - 2 * SETTLED_MS, resumed]], asked: null });
      const counting = countOn(phone, random, log, resumed).catch((error) => error);
      await pause(2 * cycleMs * random());
      log.killedAt = Date.now();
      await restart();
      await counting;
      figures.kills += 1;
      if (figures.kills % 10 === 0) {
        say(`${figures.kills} kills, ${log.confirmed.length} counts, ${figures.lost} lost, ${
          figures.changed} changed, ${figures.doubled} doubled, ${troubles.length} troubles`);
      }
      phone = await open({ pixelRatio: 1 });
    }
  });
  return { ...figures, records, troubles };
}

// A phone that only reads what has reached the hub.
async function joinChecker(hub) {
  const checker = nodePhone(hub.origin);
  await checker.load();
  assert.equal((await checker.join(hub.code(), "checker")).status, 200);
  return checker;
}

// After the last life: everything goes to the hub, and is there once.
async function atHub({ checker, device, log, figures }) {
  let there = [];
  for (const begun = Date.now(); Date.now() - begun < EXCHANGE_MS; await pause(200)) {
    await checker.pull();
    there = mineOf([...checker.held.values()], device).map((record) => record.body.spurs);
    if (there.length >= log.confirmed.length) break;
  }
  figures.lost += log.confirmed.filter((spurs, i) => there[i] !== spurs).length;
  figures.doubled += Math.max(0, there.length - log.confirmed.length);
  return log.confirmed.length;
}
