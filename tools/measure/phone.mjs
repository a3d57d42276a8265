#!/usr/bin/env node
// SPDX-License-Identifier: Apache-2.0
//
// The app on a slowed phone-size Chromium, beside its budgets: first start, offline start,
// Lighthouse's score, work while scrolling, a tap until it is painted, frames and timers of an idle
// screen, memory of a large season.
//
//   tools/measure/phone.mjs                    all of it, 5 rounds, 200,000 records
//   tools/measure/phone.mjs --rounds 3 --records 50000
//   tools/measure/phone.mjs --json FILE        the same as [what, found, budget] too
//
// It needs the native and the WebAssembly build (tools/run --build-only). Wall times are worth
// something on a machine that does nothing else, so the load is printed beside them; the time that
// the page's main thread worked ("worked") does not depend on the load.
import { mkdtemp, rm, writeFile } from "node:fs/promises";
import { loadavg, cpus, tmpdir } from "node:os";
import { join } from "node:path";
import { openHub } from "../../tests/browser/faults/hub.mjs";
import { openChromium, pause } from "../../tests/browser/support/chromium.mjs";
import { builtSite, gallerySite, serveSite } from "../../tests/browser/support/static_site.mjs";
import { numberOption, seasonLines } from "./large_season.mjs";
import { largeStart } from "./large_start.mjs";
import { lighthouse } from "./lighthouse.mjs";
import { scrollingFrames } from "./scrolling.mjs";
import { passed, quantile, slowPage, spread, workedMs } from "./slow_page.mjs";
import { tapToPainted } from "./taps.mjs";

const ROUNDS = numberOption("rounds", 5);
const RECORDS = numberOption("records", 200000);
const TAPS = 60;
const rows = [];
const line = (what, found, budget = "") => {
  rows.push([what, String(found), budget]);
  console.log(`  ${what}: ${found}${budget ? ` (budget ${budget})` : ""}`);
};

async function usableMs({ page, session, phone }, origin) {
  await page.goto(origin, { timeout: 180000, waitUntil: "commit" });
  const ms = await passed(session, "nthtree-usable");
  await passed(session, "nthtree-loaded");
  const worked = await workedMs(session);
  await phone.ready();
  return { worked, ms };
}

const told = (runs) => `${quantile(runs.map((run) => run.ms), 0.5).toFixed(0)} ms, worked ${
  quantile(runs.map((run) => run.worked), 0.5).toFixed(0)} ms`;

async function firstStart(origin, network) {
  const runs = [];
  for (let round = 0; round < Math.min(ROUNDS, 3); round += 1) {
    const chromium = await openChromium();
    runs.push(await usableMs(await slowPage(chromium, 4, network), origin));
    await chromium.close();
  }
  return runs;
}

async function offlineStart(folder) {
  const hub = await openHub(join(folder, "data"), { site: builtSite() });
  const origin = `http://127.0.0.1:${hub.port}`;
  const profile = join(folder, "profile");
  try {
    line("first start, CPU 4 times slower, from the machine itself",
      told(await firstStart(origin)));
    line("first start, CPU 4 times slower, 1.6 Mbit/s and 150 ms", told(await firstStart(origin,
      { latency: 150, downloadThroughput: 1.6e6 / 8, uploadThroughput: 750e3 / 8 })), "2500 ms");
    let chromium = await openChromium({ profile });
    const page = await chromium.newPage();
    await page.goto(origin);
    await page.waitForFunction(() => navigator.serviceWorker.ready
      .then((registration) => registration.active?.state === "activated"), null,
    { timeout: 180000 });
    await pause(1000);
    await hub.kill();
    const runs = [];
    for (let round = 0; round < ROUNDS; round += 1) {
      await chromium.close();
      chromium = await openChromium({ profile });
      runs.push(await usableMs(await slowPage(chromium, 4), origin));
    }
    await chromium.close();
    line("offline start to usable, CPU 4 times slower", told(runs), "700 ms");
  } finally {
    await hub.kill();
  }
}

// Runs in the page: what it asks the browser to be woken by from now on.
function countTimers() {
  globalThis.timersAsked = 0;
  const askers = ["setTimeout", "setInterval", "requestAnimationFrame", "requestIdleCallback"];
  for (const name of askers) {
    const own = globalThis[name];
    globalThis[name] = (...given) => {
      globalThis.timersAsked += 1;
      return own(...given);
    };
  }
}

async function tapsAndFrames(origin) {
  const chromium = await openChromium();
  try {
    const slow = await slowPage(chromium, 6);
    await usableMs(slow, origin);
    const { painted, frames } = await tapToPainted(slow, TAPS);
    line(`tap to painted, CPU 6 times slower, ${painted.length} taps`, spread(painted, 0),
      "p95 50 ms");
    line(`… of it the app's own work, a frame (${(frames.length / TAPS).toFixed(1)} a tap)`,
      spread(frames), "p95 33 ms");
    await slow.session.send("Emulation.setCPUThrottlingRate", { rate: 1 });
    await pause(1500);
    await slow.phone.settle();
    const before = await slow.phone.frames();
    await slow.page.evaluate(countTimers);
    await pause(10000);
    line("frames drawn in 10 idle seconds", await slow.phone.frames() - before, "0");
    line("timers and frames asked for in them", await slow.page.evaluate(() =>
      globalThis.timersAsked), "0");
  } finally {
    await chromium.close();
  }
}

async function scrolling() {
  const site = await serveSite(gallerySite());
  const chromium = await openChromium();
  try {
    const { frames } = await scrollingFrames(await slowPage(chromium, 4), site.origin);
    line(`work a frame while 5,000 trees scroll, CPU 4 times slower, ${frames.length} frames`,
      spread(frames), "p95 8 ms");
  } finally {
    await chromium.close();
    await site.close();
  }
}

async function byLighthouse(origin) {
  const { score, audits } = await lighthouse(origin, "simulate");
  line(`Lighthouse, mobile, performance (${audits})`, score ?? "no score", "95 of 100");
  const slowed = await lighthouse(origin, "devtools");
  line(`… slowed in truth, not reckoned (${slowed.audits})`, slowed.score ?? "no score");
}

// Saves one after another, each second one without the line in the second copy.
async function secondCopy(origin) {
  const chromium = await openChromium();
  try {
    const { page } = await slowPage(chromium, 1);
    await page.goto(origin, { waitUntil: "load" });
    await page.waitForFunction(() => performance.getEntriesByName("nthtree-loaded").length > 0);
    const [copied, plain] = await page.evaluate(async (saves) => {
      const { store, secondCopy: copy } = Nthtree;
      const { note } = copy;
      const device = "00112233445566778899aabbccddeeff";
      const taken = [[], []];
      for (let n = 1; n <= saves; n++) {
        copy.note = n % 2 ? note : async () => {};
        const json = JSON.stringify({ id: `${device}-${n}`, kind: "measure", more: "x".repeat(250) });
        const started = performance.now();
        await store.append([{ device, sequence: n, json }]);
        if (n > saves / 5) taken[n % 2 ? 0 : 1].push(performance.now() - started);
      }
      return taken;
    }, 500);
    line("a save with its second copy, against one without", `median ${
      (quantile(copied, 0.5) / quantile(plain, 0.5)).toFixed(1)} times as long (${
      (quantile(copied, 0.5) - quantile(plain, 0.5)).toFixed(1)} ms more)`);
  } finally {
    await chromium.close();
  }
}

async function largeSeason(origin) {
  const chromium = await openChromium();
  try {
    const opened = await slowPage(chromium, 1);
    await usableMs(opened, origin);
    const season = seasonLines(RECORDS);
    const seconds = (ms) => `${(ms / 1000).toFixed(2)} s`;
    const found = await largeStart(opened, season);
    line(`first start with ${season.length} records, just received, everything read`,
      seconds(found.receivedMs));
    line(`start with ${season.length} records, at “${found.title}”`, seconds(found.whoMs), "0.8 s");
    line(`start with ${season.length} records, everything read`, seconds(found.readMs), "0.8 s");
    line(`WebAssembly memory with ${season.length} records, everything read`,
      `${found.readMb.toFixed(0)} MB`, "64 MB");
    line("… with a lead's home on the screen, every block judged", `${found.homeMb.toFixed(0)} MB`);
  } finally {
    await chromium.close();
  }
}

const folder = await mkdtemp(join(tmpdir(), "nthtree-measure-"));
try {
  console.log(`on ${cpus().length} processors, load ${loadavg()[0].toFixed(1)}, ${ROUNDS} rounds`);
  await offlineStart(folder);
  const hub = await openHub(join(folder, "other"), { site: builtSite() });
  const origin = `http://127.0.0.1:${hub.port}`;
  try {
    await byLighthouse(origin);
    await secondCopy(origin);
    await scrolling();
    await tapsAndFrames(origin);
    await largeSeason(origin);
  } finally {
    await hub.kill();
  }
  const file = process.argv.indexOf("--json");
  if (file > 0) await writeFile(process.argv[file + 1], JSON.stringify(rows));
  console.log(`load at the end ${loadavg()[0].toFixed(1)}`);
} finally {
  await rm(folder, { recursive: true, force: true, maxRetries: 5 });
}
process.exit(0);
