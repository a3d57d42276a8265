// SPDX-License-Identifier: Apache-2.0
//
// The phone's key for the hub under faults: a phone that dies while it joins, and a phone that is
// lost and whose key is withdrawn.
import assert from "node:assert/strict";
import { openChromium, pause } from "../support/chromium.mjs";
import { withLastingFarm } from "../support/farm.mjs";
import {
  compare, joined, nodePhone, openPhone, seeded, untilEqual, withFarm, withHub,
} from "./parts.mjs";

const REFUSED_WITHIN_MS = 3000;

// ---- kill -9 of the browser at any moment of joining

// What the app that starts again says, and what the hub says to it.
async function afterKill(phone, answers) {
  const screen = await phone.title();
  if (screen === "Nthtree" || screen === "Join a farm") return "not joined";
  for (let n = 0; n < 200 && answers.length === 0; n++) await pause(50);
  return answers.includes(401) || answers.length === 0 ? "believes it, and is refused" : "joined";
}

// A phone that was told it has joined is joined after any death; one that was not told may have
// to join again, and says so. None believes in a key that it has lost.
export async function joinKills(kills, say, { over = () => false } = {}) {
  const random = seeded(77);
  const figures = { kills: 0, told: 0, joined_after: 0, join_again: 0 };
  const troubles = [];
  let records = 0;
  for (let kill = 0; kill < kills && !over(); kill++) {
    await withLastingFarm(async ({ hub, open, restart }) => {
      let phone = await open({ pixelRatio: 1 });
      let told = false;
      const joining = phone.join(hub.code()).then(() => {
        told = true;
      }).catch(() => {});
      // Half of them right after it was told, half at any moment of it.
      if (kill % 2 === 0) await joining;
      await pause((kill % 2 === 0 ? 300 : 4000) * random());
      const wasTold = told;
      await restart();
      await joining;
      figures.kills += 1;
      const answers = [];
      phone = await open({ pixelRatio: 1, onAnswer: (path, status) => {
        if (/^\/v1\/(hello|pull)/.test(path)) answers.push(status);
      } });
      const state = await afterKill(phone, answers);
      figures.told += wasTold ? 1 : 0;
      if (state === "joined") figures.joined_after += 1;
      else if (state === "not joined" && !wasTold) figures.join_again += 1;
      else troubles.push(`kill ${kill}: told: ${wasTold}, afterwards: ${state}`);
      records += 1;
    });
    if (figures.kills % 5 === 0) say(`${figures.kills} kills`);
  }
  return { ...figures, lost: 0, changed: 0, doubled: 0, records, troubles };
}

// ---- a lost phone: its key is withdrawn while the hub runs

const statusOf = async (hub, phone) => (await fetch(`http://127.0.0.1:${hub.port}/v1/pull`, {
  method: "POST", headers: { "content-type": "application/json",
    authorization: `Bearer ${phone.bearer()}` },
  body: JSON.stringify({ v: 1, epoch: "", arrival: 0, opening: "", records_max: 1 }) })).status;

// The hub says whose phone it is by who counted last on it.
async function keyOf(hub, name) {
  const line = (await hub.command("keys")).split("\n").find((text) => text.includes(`  ${name}  `));
  assert.match(line ?? "", /records, the last \d{4}-.* by p1$/, `the hub does not know ${name}`);
  return line.trim().split(/\s+/)[0];
}

// Sends three records, keeps two, and is withdrawn; what it sent stays and goes to the others, what
// it kept comes when the phone is found and joins again.
async function loseOne({ hub, phone, name, figures, troubles }) {
  await joined(phone, hub, name);
  await phone.count(3);
  await phone.count(1);
  await phone.count(2);
  await untilEqual(() => phone.exchange(), name);
  const sent = new Map(phone.held);
  await phone.count(4);
  await phone.count(5);
  await hub.command("withdraw", await keyOf(hub, name));
  const withdrawn = Date.now();
  while (await statusOf(hub, phone) !== 401) {
    if (Date.now() - withdrawn > REFUSED_WITHIN_MS) {
      troubles.push(`${name} was not refused after ${REFUSED_WITHIN_MS} ms`);
      break;
    }
    await pause(50);
  }
  figures.refused_after_ms = Math.max(figures.refused_after_ms, Date.now() - withdrawn);
  if (await phone.push() || await phone.pull()) troubles.push(`${name} is served all the same`);
  return sent;
}

export async function lostPhone(rounds, say) {
  return withFarm(async ({ hub, proxy }) => {
    const confirmed = new Map();
    const figures = { withdrawn: 0, refused_after_ms: 0, came_with_the_found_phone: 0, lost: 0,
      changed: 0, doubled: 0 };
    const chromium = await openChromium();
    try {
      const { page } = await openPhone(chromium, proxy, confirmed, "");
      await page.evaluate((code) => phone.join(code, "tablet"), await hub.freshCode());
      const troubles = [];
      for (let round = 1; round <= rounds; round++) {
        const name = `lost ${round}`;
        const phone = nodePhone(proxy.origin);
        await phone.load();
        const sent = await loseOne({ hub, phone, name, figures, troubles });
        figures.withdrawn += 1;
        await page.evaluate(() => phone.count(1));
        await untilEqual(() => page.evaluate(() => phone.exchange()), "tablet");
        const onTablet = new Map(await page.evaluate(() => [...phone.held]));
        const { lost, changed } = compare(sent, onTablet);
        figures.lost += lost;
        figures.changed += changed;
        await joined(phone, hub, `${name}, found`);
        await untilEqual(() => phone.exchange(), name);
        for (const [id, json] of phone.held) {
          if (!id.startsWith(phone.device())) continue;
          figures.came_with_the_found_phone += sent.has(id) ? 0 : 1;
          confirmed.set(id, json);
        }
        troubles.push(...phone.troubles);
        say(`${round} phones lost and found`);
      }
      return { ...await withHub(figures, hub, confirmed), troubles };
    } finally {
      await chromium.close();
    }
  });
}
