#!/usr/bin/env node
// SPDX-License-Identifier: Apache-2.0
//
// Two built sites by turns, on a phone slowed four times: a first start, and one from what the phone
// has kept. Usable: until the first frame stands; loaded: until the records are read. Worked: what
// the page's main thread did until then and right after. Blocked: how long its tasks went beyond
// 50 ms, summed; longest: the longest of them. The middle of many turns is worth something on a busy
// machine too; a single turn is not.
//
//   tools/measure/start.mjs BEFORE AFTER --turns 12            folders of sites
import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { openChromium, pause } from "../../tests/browser/support/chromium.mjs";
import { serveSite } from "../../tests/browser/support/static_site.mjs";
import { numberOption } from "./large_season.mjs";
import { passed, quantile, slowPage, workedMs } from "./slow_page.mjs";

const TURNS = numberOption("turns", 12);
const RATE = numberOption("rate", 4);
const WARM_STARTS = 2; // until what the browser compiled is kept
const AFTER_MS = 500;
const folders = process.argv.slice(2, 4).map((folder) => resolve(folder));

// Runs in the page.
function watchLongTasks() {
  globalThis.longTasks = [];
  new PerformanceObserver((list) => globalThis.longTasks.push(...list.getEntries()
    .map(({ duration }) => duration))).observe({ type: "longtask", buffered: true });
}

async function start(profile, origin) {
  const chromium = await openChromium({ profile });
  try {
    const { page, session } = await slowPage(chromium, RATE);
    await page.addInitScript(watchLongTasks);
    await page.goto(origin, { waitUntil: "commit" });
    const usable = await passed(session, "nthtree-usable");
    const loaded = await passed(session, "nthtree-loaded");
    await pause(AFTER_MS);
    const worked = await workedMs(session);
    const tasks = await page.evaluate(() => globalThis.longTasks);
    return { usable, loaded, worked, longest: Math.max(0, ...tasks),
      blocked: tasks.reduce((sum, task) => sum + Math.max(0, task - 50), 0) };
  } finally {
    await chromium.close();
  }
}

// A phone that has the whole app and has opened it before.
async function usedProfile(folder, origin) {
  const chromium = await openChromium({ profile: folder });
  const page = await chromium.newPage();
  await page.goto(origin);
  await page.waitForFunction(() => navigator.serviceWorker.ready
    .then((registration) => registration.active?.state === "activated"), null, { timeout: 180000 });
  await pause(2000);
  await chromium.close();
  for (let warm = 0; warm < WARM_STARTS; warm += 1) await start(folder, origin);
  return folder;
}

const place = await mkdtemp(join(tmpdir(), "nthtree-start-"));
const sites = [];
for (const [at, folder] of folders.entries()) {
  const site = await serveSite(folder);
  sites.push({ ...site, profile: await usedProfile(join(place, `used-${at}`), site.origin),
    found: {} });
}
for (let turn = 0; turn < TURNS; turn += 1) {
  for (const { origin, profile, found } of sites) {
    const runs = { "used phone": await start(profile, origin),
      "first start": await start(null, origin) };
    for (const [kind, run] of Object.entries(runs)) {
      for (const [what, ms] of Object.entries(run)) (found[`${kind}, ${what}`] ??= []).push(ms);
    }
  }
}
for (const what of Object.keys(sites[0].found)) {
  const middle = ({ found }) => quantile(found[what], 0.5).toFixed(0);
  const before = sites[0].found[what];
  const less = before.filter((ms, turn) => sites.at(-1).found[what][turn] < ms).length;
  console.log(`${what}: ${sites.map(middle).join("  |  ")} ms, less in ${less} of ${TURNS} turns`);
}
for (const site of sites) await site.close();
await rm(place, { recursive: true, force: true, maxRetries: 5 });
process.exit(0);
