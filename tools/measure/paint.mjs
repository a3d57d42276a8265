#!/usr/bin/env node
// SPDX-License-Identifier: Apache-2.0
//
// Two built sites by turns, on a slowed phone: taps and scrolling. The middle of the turns is worth
// something on a busy machine too, a single turn is not.
//
//   tools/measure/paint.mjs BEFORE AFTER            folders: site, gallery_site beside it
//   tools/measure/paint.mjs BEFORE AFTER --turns 5 --taps 60 --hold 90     how long a finger stays
import { dirname, join, resolve } from "node:path";
import { openChromium } from "../../tests/browser/support/chromium.mjs";
import { serveSite } from "../../tests/browser/support/static_site.mjs";
import { numberOption } from "./large_season.mjs";
import { scrollingFrames } from "./scrolling.mjs";
import { quantile, slowPage } from "./slow_page.mjs";
import { tapToPainted } from "./taps.mjs";

const TURNS = numberOption("turns", 4);
const TAPS = numberOption("taps", 60);
const HOLD_MS = numberOption("hold", 0);
const folders = process.argv.slice(2, 4).map((folder) => resolve(folder));

async function onPage(folder, rate, work) {
  const site = await serveSite(folder);
  const chromium = await openChromium();
  try {
    return await work(await slowPage(chromium, rate), site.origin);
  } finally {
    await chromium.close();
    await site.close();
  }
}

async function taps(folder) {
  const { painted, frames, worked } = await onPage(folder, 6, async (slow, origin) => {
    await slow.page.goto(origin);
    await slow.phone.ready();
    return tapToPainted(slow, TAPS, HOLD_MS);
  });
  return { "tap to painted, median": quantile(painted, 0.5), "… p95": quantile(painted, 0.95),
    "its frames, median": quantile(frames, 0.5), "its frames, p95": quantile(frames, 0.95),
    "frames a tap": frames.length / TAPS, "main thread a tap": worked };
}

async function scroll(folder) {
  const { frames, worked } = await onPage(join(dirname(folder), "gallery_site"), 4,
    scrollingFrames);
  return { "scrolling, median": quantile(frames, 0.5), "scrolling, p95": quantile(frames, 0.95),
    "scrolling, frames": frames.length, "main thread a frame": worked / frames.length };
}

const found = folders.map(() => ({}));
for (let turn = 0; turn < TURNS; turn += 1) {
  for (const [at, folder] of folders.entries()) {
    for (const [what, ms] of Object.entries({ ...await taps(folder), ...await scroll(folder) })) {
      (found[at][what] ??= []).push(ms);
    }
  }
}
for (const what of Object.keys(found[0])) {
  console.log(`${what}: ${found.map((of) =>
    `${quantile(of[what], 0.5).toFixed(1)} (${of[what].map((ms) => ms.toFixed(1)).join(" ")})`)
    .join("  |  ")}`);
}
process.exit(0);
