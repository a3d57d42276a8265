// SPDX-License-Identifier: Apache-2.0
//
// The fault tests: the real store in a real Chromium, the real hub, and what breaks them. Each part
// gives figures; "lost" and "doubled" must be 0. run.mjs runs them.
import assert from "node:assert/strict";
import { cp, mkdtemp, readFile, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import "./phone.js";
import { openChromium, pause } from "../support/chromium.mjs";
import { PARTS, pageWith } from "../support/site.mjs";
import { openHub } from "./hub.mjs";
import { openProxy } from "./proxy.mjs";

const HEAL_MS = 60000;

export function seeded(seed) {
  let state = seed >>> 0;
  return () => { // Mulberry32, public domain
    state = (state + 0x6d2b79f5) >>> 0;
    let t = Math.imul(state ^ (state >>> 15), state | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}

// A store that says "saved" before the disk has it, in either place. The tests must find it out.
const TOO_EARLY = [
  ["lifeboat.raiseMark(await write(records, meta));", "setTimeout(() => write(records, meta), 300);"],
  ["await secondCopy.note({ own: records, values: meta });", ""]];

async function pageFiles({ tooEarly = false } = {}) {
  const files = { "/phone": { type: "text/html", text: pageWith([...PARTS, "phone.js"]) } };
  for (const name of PARTS) {
    let text = await readFile(new URL(`../../../web/${name}`, import.meta.url), "utf8");
    if (tooEarly && name === "record_store.js") {
      for (const [here, fault] of TOO_EARLY) {
        assert.ok(text.includes(here), "the planted fault has lost its place");
        text = text.replace(here, fault);
      }
    }
    files[`/${name}`] = { type: "text/javascript", text };
  }
  for (const [name, from] of [["phone.js", "./phone.js"],
    ["second_copy_worker.js", "../../../web/second_copy_worker.js"]]) {
    const text = await readFile(new URL(from, import.meta.url), "utf8");
    files[`/${name}`] = { type: "text/javascript", text };
  }
  return files;
}

// A phone under Node: the same protocol, records in memory.
export function nodePhone(origin, { bearer = "", device = "" } = {}) {
  const store = {
    load: async () => ({ meta: {}, drafts: {}, setAside: 0 }),
    append: async () => {}, putDraft: async () => {},
  };
  const request = async ({ path, bearer: key, body, timeoutMs }) => {
    try {
      const answer = await fetch(origin + path, { method: "POST", body,
        signal: AbortSignal.timeout(timeoutMs), headers: { "content-type": "application/json",
          ...(key ? { authorization: `Bearer ${key}` } : {}) } });
      return { status: answer.status, body: new Uint8Array(await answer.arrayBuffer()) };
    } catch {
      return { status: 0, body: new Uint8Array(0) };
    }
  };
  return globalThis.makePhone({ store, request, said: () => {}, bearer, device });
}

export async function joined(phone, hub, name) {
  const code = await hub.freshCode();
  // 429: the hub lets one address join five times and then every twelve seconds. 0: no answer yet.
  for (let n = 0; n < 20; n++) {
    if (n > 0) await pause(1000);
    const { status } = await phone.join(code, name);
    if (status === 200) return;
    assert.ok([0, 429].includes(status), `${name} could not join: ${status}`);
  }
  throw new Error(`${name} could not join in time`);
}

// Everything the hub gives to a phone that has nothing, as a map; each id must come once.
export async function readHub(hub) {
  const phone = nodePhone(`http://127.0.0.1:${hub.port}`);
  await phone.load();
  await joined(phone, hub, "checker");
  const seen = new Map();
  let cursor = { epoch: "", arrival: 0, opening: "" };
  const doubled = [];
  for (let more = true; more;) {
    const answer = await fetch(`http://127.0.0.1:${hub.port}/v1/pull`, { method: "POST",
      headers: { "content-type": "application/json", authorization: `Bearer ${phone.bearer()}` },
      body: JSON.stringify({ v: 1, ...cursor, records_max: 200 }) });
    assert.equal(answer.status, 200);
    const [head, ...lines] = (await answer.text()).split("\n").filter(Boolean);
    for (const json of lines) {
      const { id } = JSON.parse(json);
      if (seen.has(id)) doubled.push(id);
      seen.set(id, json);
    }
    ({ more } = JSON.parse(head));
    const { epoch, arrival, opening } = JSON.parse(head);
    cursor = { epoch, arrival, opening };
  }
  return { seen, doubled };
}

// What stands in `there` of what was said to be saved: figures for the report.
export function compare(confirmed, there) {
  let lost = 0;
  let changed = 0;
  for (const [id, json] of confirmed) {
    if (!there.has(id)) lost += 1;
    else if (there.get(id) !== json) changed += 1;
  }
  return { confirmed: confirmed.size, held: there.size, lost, changed };
}

// The figures, with what stands at the hub of all that was confirmed.
export async function withHub(figures, hub, confirmed) {
  const { seen, doubled } = await readHub(hub);
  const atHub = compare(confirmed, seen);
  return { ...figures, lost: figures.lost + atHub.lost, changed: figures.changed + atHub.changed,
    doubled: doubled.length, records: confirmed.size, at_hub: seen.size };
}

export async function withFarm(work, options = {}) {
  const folder = await mkdtemp(join(tmpdir(), "nthtree-faults-"));
  const hub = await openHub(folder, options);
  const random = seeded(20261125);
  const proxy = await openProxy(() => hub.port, await pageFiles(options), random);
  try {
    return await work({ hub, proxy, random });
  } finally {
    await proxy.close();
    await hub.kill();
    await rm(folder, { recursive: true, force: true, maxRetries: 5 });
  }
}

// The page's phone: loaded, with every confirmation told to `confirmed` before the next count.
export async function openPhone(chromium, proxy, confirmed, bearer) {
  const page = await chromium.newPage();
  await page.exposeFunction("said", (id, json) => {
    confirmed.set(id, json);
  });
  await page.goto(`${proxy.origin}/phone`);
  const loaded = await page.evaluate((key) => {
    window.phone = makePhone({ store: Nthtree.store, request: Nthtree.transport.request,
      said: window.said, bearer: key });
    return phone.load();
  }, bearer);
  return { page, loaded };
}

export async function untilEqual(exchange, what) {
  for (const started = Date.now(); Date.now() - started < HEAL_MS;) {
    if (await exchange()) return;
    await pause(100);
  }
  throw new Error(`${what}: not in step after ${HEAL_MS} ms without faults`);
}

// ---- kill -9 of Chromium at random moments of counting, with an exchange under way

// What a browser left on its disk when something was missing, to be looked into.
async function keepProfile(profile, kill, say) {
  const to = fileURLToPath(new URL(`../../../build/faults/lost-at-kill-${kill}`, import.meta.url));
  await cp(profile, to, { recursive: true, filter: (path) => !path.includes("Singleton") });
  say(`records are missing; the profile is kept in ${to}`);
}

// afterKill(profile) may do more to the disk of a browser that is dead.
export async function browserKills(kills, say, { afterKill = () => {}, ...options } = {}) {
  return withFarm(async ({ hub, proxy, random }) => {
    const confirmed = new Map();
    const other = nodePhone(proxy.origin);
    await other.load();
    await joined(other, hub, "other phone");
    const profile = await mkdtemp(join(tmpdir(), "nthtree-profile-"));
    const figures = { kills: 0, lost: 0, changed: 0, doubled: 0, drafts: 0, unconfirmed: 0 };
    let bearer = "";
    let device = "";
    const troubles = [];
    try {
      for (let kill = 0; kill <= kills; kill++) {
        const chromium = await openChromium({ profile });
        const { page, loaded } = await openPhone(chromium, proxy, confirmed, bearer);
        const there = new Map(Object.entries(loaded.records));
        const seen = compare(confirmed, there);
        figures.lost += seen.lost;
        figures.changed += seen.changed;
        if (seen.lost > 0 && !options.tooEarly) await keepProfile(profile, kill, say);
        if (device && loaded.device !== device) troubles.push("the device key changed");
        device = loaded.device;
        if (loaded.draft) figures.drafts += 1;
        // Written to the disk just before the kill and never said: also fine, and remembered now.
        for (const [id, json] of there) {
          if (id.startsWith(device) && !confirmed.has(id)) {
            figures.unconfirmed += 1;
            confirmed.set(id, json);
          }
        }
        if (!bearer) {
          bearer = (await page.evaluate((code) => phone.join(code, "phone"),
            await hub.freshCode())).bearer;
        }
        if (kill === kills) {
          await untilEqual(() => page.evaluate(() => phone.exchange()), "phone");
          troubles.push(...await page.evaluate(() => phone.troubles));
          await chromium.close();
          break;
        }
        await other.count(1);
        const exchanging = other.exchange();
        page.evaluate(() => {
          (async () => {
            for (;;) await phone.count(Math.floor(Math.random() * 8));
          })();
          (async () => {
            for (;;) await phone.exchange();
          })();
        }).catch(() => {});
        // On a slow machine the browser would always die before its first count.
        const before = confirmed.size;
        for (let n = 0; kill % 2 === 0 && confirmed.size === before && n < 1000; n++) {
          await pause(20);
        }
        await pause(40 + 700 * random());
        troubles.push(...await page.evaluate(() => phone.troubles).catch(() => []));
        await chromium.kill();
        await exchanging;
        await afterKill(profile);
        figures.kills += 1;
        if (figures.kills % 20 === 0) say(`${figures.kills} kills, ${confirmed.size} records`);
      }
    } finally {
      await rm(profile, { recursive: true, force: true, maxRetries: 5 });
    }
    await untilEqual(() => other.exchange(), "other phone");
    return { ...await withHub(figures, hub, confirmed), troubles };
  }, options);
}

// Gives the figures of a run that must fail; the suite fails where it does not.
export async function canary(kills, say) {
  const figures = await browserKills(kills, say, { tooEarly: true }).catch((error) => ({
    lost: 0, records: 0, troubles: [String(error)] }));
  const caught = figures.lost > 0;
  const why = caught ? [] : figures.troubles;
  return { lost: 0, doubled: 0, changed: 0, records: figures.records, found_lost: figures.lost,
    troubles: caught ? [] : ["a store that says saved too early was not found out", ...why] };
}

// ---- kill -9 of the hub while phones send and fetch

export async function hubKills(kills, say) {
  return withFarm(async ({ hub, proxy, random }) => {
    const confirmed = new Map();
    const chromium = await openChromium();
    const figures = { kills: 0 };
    const phones = [nodePhone(proxy.origin), nodePhone(proxy.origin)];
    try {
      for (const [i, phone] of phones.entries()) {
        await phone.load();
        await joined(phone, hub, `phone ${i}`);
      }
      const { page } = await openPhone(chromium, proxy, confirmed, "");
      await page.evaluate((code) => phone.join(code, "tablet"), await hub.freshCode());
      await page.evaluate(() => {
        window.going = true;
        window.done = Promise.all([
          (async () => {
            while (going) {
              await phone.count(1);
              await new Promise((resolve) => setTimeout(resolve, 15));
            }
          })(),
          (async () => {
            while (going) {
              if (!await phone.exchange()) await new Promise((resolve) => setTimeout(resolve, 30));
            }
          })()]);
      });
      let going = true;
      const working = phones.map(async (phone) => {
        while (going) {
          await phone.count(1);
          await phone.exchange();
          await pause(20 + 60 * random());
        }
      });
      while (figures.kills < kills) {
        await pause(30 + 250 * random());
        await hub.kill();
        await pause(20 * random());
        await hub.start();
        figures.kills += 1;
        if (figures.kills % 20 === 0) say(`${figures.kills} kills, ${confirmed.size} records`);
      }
      going = false;
      await Promise.all(working);
      await page.evaluate(() => {
        going = false;
        return window.done;
      });
      await untilEqual(() => page.evaluate(() => phone.exchange()), "tablet");
      for (let round = 0; round < 2; round++) {
        for (const phone of phones) await untilEqual(() => phone.exchange(), "phone");
      }
      await untilEqual(() => page.evaluate(() => phone.exchange()), "tablet");
      const troubles = await page.evaluate(() => phone.troubles);
      return { ...figures, ...await verdict({ hub, page, phones, confirmed, troubles }) };
    } finally {
      await chromium.close();
    }
  });
}

// All replicas against each other and against what was said to be saved.
async function verdict({ hub, page, phones, confirmed, troubles }) {
  const all = new Map(confirmed);
  for (const phone of phones) {
    for (const [id, json] of phone.held) if (id.startsWith(phone.device())) all.set(id, json);
    troubles.push(...phone.troubles);
  }
  const onDisk = new Map(Object.entries(await page.evaluate(async () => {
    const lines = [];
    await Nthtree.store.load((batch) => lines.push(...batch));
    return Object.fromEntries(lines.map((json) => [JSON.parse(json).id, json]));
  })));
  const { seen, doubled } = await readHub(hub);
  const atHub = compare(all, seen);
  const atPhone = compare(all, onDisk);
  for (const phone of phones) {
    if (phone.held.size !== seen.size) troubles.push("a phone holds another number than the hub");
  }
  return { records: all.size, at_hub: seen.size, on_disk: onDisk.size,
    lost: atHub.lost + atPhone.lost, changed: atHub.changed + atPhone.changed,
    doubled: doubled.length, troubles };
}

// ---- a network that cuts, doubles, delays and stalls

export async function badNetwork(faults, say) {
  return withFarm(async ({ hub, proxy }) => {
    const confirmed = new Map();
    const chromium = await openChromium();
    const phones = [nodePhone(proxy.origin)];
    try {
      await phones[0].load();
      await joined(phones[0], hub, "phone");
      const { page } = await openPhone(chromium, proxy, confirmed, "");
      await page.evaluate((code) => phone.join(code, "tablet"), await hub.freshCode());
      proxy.faults = 0.6;
      const sum = () => Object.values(proxy.figures).reduce((a, b) => a + b, 0);
      let told = 0;
      while (sum() < faults) {
        await Promise.all([
          page.evaluate(async () => {
            await phone.count(2);
            await phone.exchange();
          }),
          phones[0].count(1).then(() => phones[0].exchange())]);
        if (sum() >= told + 50) {
          told = sum();
          say(`${told} faults, ${confirmed.size} records`);
        }
      }
      await proxy.quiet();
      await untilEqual(() => page.evaluate(() => phone.exchange()), "tablet");
      await untilEqual(() => phones[0].exchange(), "phone");
      await untilEqual(() => page.evaluate(() => phone.exchange()), "tablet");
      const troubles = await page.evaluate(() => phone.troubles);
      return { faults: { ...proxy.figures }, requests_passed: proxy.passed,
        ...await verdict({ hub, page, phones, confirmed, troubles }) };
    } finally {
      await chromium.close();
    }
  });
}

// ---- the hub comes back from an old backup: the phones fill it again

export async function restoredHub(restores, say) {
  return withFarm(async ({ hub, proxy, random }) => {
    const confirmed = new Map();
    const chromium = await openChromium();
    const phones = [nodePhone(proxy.origin), nodePhone(proxy.origin)];
    const backup = join(hub.folder, "backup.sqlite");
    let forgotten = 0;
    try {
      for (const [i, phone] of phones.entries()) {
        await phone.load();
        await joined(phone, hub, `phone ${i}`);
      }
      const { page } = await openPhone(chromium, proxy, confirmed, "");
      await page.evaluate((code) => phone.join(code, "tablet"), await hub.freshCode());
      const everybody = async () => {
        await page.evaluate(async () => {
          await phone.count(1);
          await phone.exchange();
        });
        for (const phone of phones) {
          await phone.count(1);
          await phone.exchange();
        }
      };
      for (let n = 1; n <= restores; n++) {
        for (let i = 0; i < 2; i++) await everybody();
        await hub.command("backup", backup);
        for (let i = 0; i < 1 + 3 * random(); i++) await everybody();
        const before = (await readHub(hub)).seen.size;
        await hub.kill();
        await hub.command("restore", backup);
        await hub.start();
        forgotten += before - (await readHub(hub)).seen.size;
        await rm(backup, { force: true });
        await untilEqual(() => page.evaluate(() => phone.exchange()), "tablet");
      }
      say(`${restores} restores took ${forgotten} records from the hub`);
      assert.ok(forgotten > 0, "the backups were never old");
      for (let round = 0; round < 2; round++) {
        for (const phone of phones) await untilEqual(() => phone.exchange(), "phone");
      }
      await untilEqual(() => page.evaluate(() => phone.exchange()), "tablet");
      const troubles = await page.evaluate(() => phone.troubles);
      return { restores, forgotten_and_refilled: forgotten,
        ...await verdict({ hub, page, phones, confirmed, troubles }) };
    } finally {
      await chromium.close();
    }
  });
}

// ---- the hub's disk is full: files that may not grow, and a disk without room

export const fullFile = (records, say) => withFarm(async (farm) => fullDisk(farm, records, say,
  async ({ hub }) => {
    await hub.kill();
    await hub.start({ limitKb: 160 });
  }, async ({ hub }) => {
    await hub.kill();
    await hub.start();
  }));

// Here the hub runs on when there is room again: nobody has to start it anew.
export const noRoom = (records, say) => withFarm((farm) => fullDisk(farm, records, say,
  async () => {}, async ({ hub }) => hub.makeRoom()), { diskKb: 2048 });

async function fullDisk({ hub, proxy }, records, say, fill, mend) {
  const confirmed = new Map();
  const chromium = await openChromium();
  const phones = [nodePhone(proxy.origin)];
  try {
    await phones[0].load();
    await joined(phones[0], hub, "phone");
    await phones[0].count(1);
    assert.ok(await phones[0].exchange());
    const { page } = await openPhone(chromium, proxy, confirmed, "");
    await page.evaluate((code) => phone.join(code, "tablet"), await hub.freshCode());
    await fill({ hub });
    let refused = 0;
    let pulled = 0;
    for (let round = 0; round < 400 && refused < 5; round++) {
      const seen = await page.evaluate(async (counts) => {
        for (let n = 0; n < counts; n++) await phone.count(0);
        return { pushed: await phone.push(), pulled: await phone.pull() };
      }, Math.ceil(records / 100));
      if (!seen.pushed) refused += 1;
      if (!seen.pushed && seen.pulled) pulled += 1; // full is no reason not to give
    }
    say(`${confirmed.size} records, refused ${refused} times, fetched meanwhile ${pulled} times`);
    assert.ok(refused >= 5, "the disk never filled up");
    await mend({ hub });
    await untilEqual(() => page.evaluate(() => phone.exchange()), "tablet");
    await untilEqual(() => phones[0].exchange(), "phone");
    const troubles = await page.evaluate(() => phone.troubles);
    if (pulled === 0) troubles.push("a hub with a full disk gave nothing either");
    return { refused, fetched_meanwhile: pulled,
      ...await verdict({ hub, page, phones, confirmed, troubles }) };
  } finally {
    await chromium.close();
  }
}
