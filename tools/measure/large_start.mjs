// SPDX-License-Identifier: Apache-2.0
//
// A large season put into the app's own store, in pages and in the order of time, as from a hub; then
// the app started on it: at once, and when its batches are made.
//
//   const { receivedMs, whoMs, readMs, readMb, homeMb } = await largeStart(opened, lines);
// opened: of slow_page.mjs. readMb: WebAssembly's memory when everything is read; homeMb: with the home
// of a lead on the screen, for whom every block is judged.
import { pause } from "../../tests/browser/support/chromium.mjs";

const PAGE = 5000; // records, as the hub's are

const timeOf = (json) => Number(/"at_ms":(\d+)/.exec(json)[1]);

export async function receive({ page }, lines) {
  const season = lines.map((json) => [timeOf(json), json]).sort(([a], [b]) => a - b);
  for (let at = 0; at < season.length; at += PAGE) {
    await page.evaluate((some) => Nthtree.store.change(some.map((json) => {
      const [, device, sequence] = /"id":"([0-9a-f]{32})-(\d+)"/.exec(json);
      return { device, sequence: Number(sequence), json };
    }), [], []), season.slice(at, at + PAGE).map(([, json]) => json));
  }
}

export async function startAgain({ page, phone }) {
  await page.reload({ timeout: 180000 });
  await page.waitForFunction(() =>
    performance.getEntriesByName("nthtree-loaded").length > 0, null, { timeout: 180000 });
  await phone.settle();
  return page.evaluate(() => performance.getEntriesByName("nthtree-loaded")[0].startTime);
}

// From now on a page knows when its first names to be tapped stood in the mirror.
const watchWho = ({ page }) => page.addInitScript(() => {
  new MutationObserver((_, watching) => {
    if (!document.querySelector('#mirror [data-id^="person/"]')) return;
    performance.mark("who");
    watching.disconnect();
  }).observe(document, { childList: true, subtree: true });
});
const whoMs = ({ page }) => page.evaluate(() =>
  performance.getEntriesByName("who")[0]?.startTime ?? NaN);

// The store copies a thousand records into one, at leisure (web/batches.js): here without pauses.
async function batchesMade({ page }) {
  const made = () => page.evaluate(async () => {
    Nthtree.batches.pauseMs = 0;
    const store = (await Nthtree.database.connect()).transaction("packs").objectStore("packs");
    return Nthtree.database.ask(store.count());
  });
  for (let before = -1, now = await made(); now !== before; now = await made()) {
    before = now;
    await pause(3000);
  }
}

const megabytes = ({ page }) => page.evaluate(() => Nthtree.app.HEAPU8.length / 2 ** 20);

export async function largeStart(opened, lines) {
  await receive(opened, lines);
  await watchWho(opened);
  const receivedMs = await startAgain(opened);
  await batchesMade(opened);
  const readMs = await startAgain(opened);
  const found = { receivedMs, readMs, whoMs: await whoMs(opened), readMb: await megabytes(opened),
    title: await opened.phone.title() };
  await opened.phone.tap(/^Person 0/);
  if (await opened.phone.title() === "Which block?") await opened.phone.tap(/^Block 1\b/);
  return { ...found, homeMb: await megabytes(opened) };
}
