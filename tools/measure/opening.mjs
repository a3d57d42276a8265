#!/usr/bin/env node
// SPDX-License-Identifier: Apache-2.0
//
// Two built sites by turns: a start with a large season, just received and with its batches made,
// and the memory it takes. The middle of the turns is worth something on a busy machine too.
//
//   tools/measure/opening.mjs BEFORE AFTER          folders, as build/wasm/site
//   tools/measure/opening.mjs BEFORE AFTER --turns 3 --starts 3 --records 200000
import { resolve } from "node:path";
import { openChromium } from "../../tests/browser/support/chromium.mjs";
import { serveSite } from "../../tests/browser/support/static_site.mjs";
import { numberOption, seasonLines } from "./large_season.mjs";
import { largeStart, startAgain } from "./large_start.mjs";
import { quantile, slowPage, workedMs } from "./slow_page.mjs";

const TURNS = numberOption("turns", 3);
const STARTS = numberOption("starts", 3);
const folders = process.argv.slice(2, 4).map((folder) => resolve(folder));
const lines = seasonLines(numberOption("records", 200000));

async function oneTurn(folder, found) {
  const site = await serveSite(folder);
  const chromium = await openChromium();
  const add = (what, number) => (found[what] ??= []).push(number);
  try {
    const opened = await slowPage(chromium, 1);
    await opened.page.goto(site.origin);
    await opened.phone.ready();
    const { receivedMs, whoMs, readMs, readMb, homeMb } = await largeStart(opened, lines);
    add("just received, everything read, ms", receivedMs);
    add("at “Who are you?”, ms", whoMs);
    add("everything read, ms", readMs);
    add("WebAssembly memory then, MB", readMb);
    add("… with a lead's home on the screen", homeMb);
    for (let start = 1; start < STARTS; start += 1) {
      const before = await workedMs(opened.session);
      add("everything read, ms", await startAgain(opened));
      add("main thread of a start, ms", await workedMs(opened.session) - before);
    }
  } finally {
    await chromium.close();
    await site.close();
  }
}

const found = folders.map(() => ({}));
for (let turn = 0; turn < TURNS; turn += 1) {
  for (const [at, folder] of folders.entries()) await oneTurn(folder, found[at]);
}
for (const what of Object.keys(found[0])) {
  console.log(`${what}: ${found.map((of) =>
    `${quantile(of[what], 0.5).toFixed(0)} (${of[what].map((one) => one.toFixed(0)).join(" ")})`)
    .join("  |  ")}`);
}
process.exit(0);
