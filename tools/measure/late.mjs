#!/usr/bin/env node
// SPDX-License-Identifier: Apache-2.0
//
// What a phone that joins late waits for, in a real Chromium, through the built site: from the tap
// on Join until the season stands in its record store, each page on the disk before the next is
// asked for. Beside it, where the time goes: the hub and the line, the disk, and the app itself.
//
//   tools/measure/late.mjs                       200,000 records, the processor as it is
//   tools/measure/late.mjs --records 50000 --slow 4
//
// It needs the native and the WebAssembly build. Wall times are worth something on a machine that
// does nothing else, so the load is printed beside them.
import { mkdir, mkdtemp, rm, writeFile } from "node:fs/promises";
import { cpus, loadavg, tmpdir } from "node:os";
import { join } from "node:path";
import { openHub } from "../../tests/browser/faults/hub.mjs";
import { makePhone, SIZES } from "../../tests/browser/support/browser.mjs";
import { openChromium } from "../../tests/browser/support/chromium.mjs";
import { withHands } from "../../tests/browser/support/farm.mjs";
import { builtSite } from "../../tests/browser/support/static_site.mjs";
import { numberOption, seasonLines } from "./large_season.mjs";

const RECORDS = numberOption("records", 200000);
const SLOW = numberOption("slow", 1);
const WAIT_MS = 400000;

async function season(folder) {
  const lines = seasonLines(RECORDS);
  await mkdir(folder);
  await writeFile(join(folder, "season.jsonl"), `${lines.join("\n")}\n`);
  return lines.length;
}

// In the page: how long the hub's answers and the disk took, page by page.
function watch() {
  globalThis.late = { pages: 0, hubMs: 0, diskMs: 0, records: 0, doneMs: 0 };
  const { request } = Nthtree.transport;
  Nthtree.transport.request = async (wanted) => {
    const began = performance.now();
    const answer = await request(wanted);
    if (wanted.path === "/v1/pull") {
      late.pages += 1;
      late.hubMs += performance.now() - began;
    }
    return answer;
  };
  const { change } = Nthtree.store;
  Nthtree.store.change = async (puts, ...more) => {
    const began = performance.now();
    await change(puts, ...more);
    late.records += puts.length;
    late.diskMs += performance.now() - began;
    late.doneMs = performance.now();
  };
}

async function measure(folder, records) {
  const hub = await openHub(join(folder, "data"),
    { site: builtSite(), flags: ["--scenario", join(folder, "season")] });
  const chromium = await openChromium({ profile: join(folder, "profile") });
  try {
    const page = await chromium.newPage();
    page.setDefaultTimeout(WAIT_MS);
    const session = await page.context().newCDPSession(page);
    await session.send("Emulation.setDeviceMetricsOverride",
      { ...SIZES.tall, deviceScaleFactor: 1, mobile: true });
    await session.send("Emulation.setCPUThrottlingRate", { rate: SLOW });
    await session.send("Performance.enable", { timeDomain: "threadTicks" });
    await session.send("Network.enable");
    let bytes = 0;
    session.on("Network.loadingFinished", (one) => { bytes += one.encodedDataLength; });
    const worked = async () => 1000 * (await session.send("Performance.getMetrics")).metrics
      .find(({ name }) => name === "TaskDuration").value;
    await session.send("Emulation.setTouchEmulationEnabled", { enabled: true, maxTouchPoints: 5 });
    const touch = (type, touchPoints) => session.send("Input.dispatchTouchEvent",
      { type, touchPoints });
    const phone = withHands(makePhone(page, null, [], { tap: async (x, y) => {
      await touch("touchStart", [{ x, y }]);
      await touch("touchEnd", []);
    } }));
    await page.goto(`http://127.0.0.1:${hub.port}`);
    await phone.ready();
    await page.waitForFunction(() => performance.getEntriesByName("nthtree-loaded").length > 0);
    await page.evaluate(watch);
    await phone.tap(/^Join a farm/);
    await phone.fill("Join code", await hub.freshCode());
    bytes = 0;
    const [before, began] = [await worked(), await page.evaluate(() => performance.now())];
    await phone.tap("Join");
    await page.waitForFunction((wanted) => late.records >= wanted, records,
      { timeout: WAIT_MS, polling: 100 });
    const found = await page.evaluate(() => late);
    const all = found.doneMs - began;
    const main = (await worked()) - before;
    const seconds = (ms) => `${(ms / 1000).toFixed(1)} s`;
    console.log(`${found.records} records in ${seconds(all)}, ${(bytes / 1e6).toFixed(2)} MB, ${
      found.pages} pages: hub and line ${seconds(found.hubMs)}, disk ${seconds(found.diskMs)}, ${
      `the rest ${seconds(all - found.hubMs - found.diskMs)}; the main thread worked ${
        seconds(main)}`}`);
  } finally {
    await chromium.close();
    await hub.kill();
  }
}

const folder = await mkdtemp(join(tmpdir(), "nthtree-late-"));
try {
  const records = await season(join(folder, "season"));
  console.log(`on ${cpus().length} processors, load ${loadavg()[0].toFixed(1)}, the page's ${
    SLOW === 1 ? "as it is" : `${SLOW} times slower`}`);
  await measure(folder, records);
  console.log(`load at the end ${loadavg()[0].toFixed(1)}`);
} finally {
  await rm(folder, { recursive: true, force: true, maxRetries: 5 });
}
process.exit(0);
