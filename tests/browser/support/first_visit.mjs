// SPDX-License-Identifier: Apache-2.0
//
// A pruner's first visit, by the bare address or by a link, to the first verdict and home again, on a
// build that notes which functions are called and which texts are asked for. Writes the notes;
// tools/first_visit reads them.
//
//   NTHTREE_SITE=… node tests/browser/support/first_visit.mjs FOLDER
import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { closeAll, openPhone } from "./browser.mjs";
import { pause } from "./chromium.mjs";
import { comesByItself } from "./comes_by_itself.mjs";
import { withFarm, withHands } from "./farm.mjs";
import { openByLink, visitAsPruner } from "./pruner_visit.mjs";

const words = JSON.parse(readFileSync(
  new URL("../../../assets/languages/en.json", import.meta.url), "utf8"));
const ROOM = 1 << 20;
const COMES_BY_ITSELF_MS = 4000; // what the browser tells of storage, network and a new version

async function keepNote(phone, name) {
  const note = await phone.page.evaluate((room) => {
    const { app } = Nthtree;
    const at = app._malloc(room);
    const length = app.asm.__write_profile(at, room);
    return Array.from(app.HEAPU8.slice(at, at + length));
  }, ROOM);
  writeFileSync(join(process.argv[2], `${name}.profile`), Uint8Array.from(note));
  const texts = await phone.page.evaluate(() => Nthtree.languages.asked());
  writeFileSync(join(process.argv[2], `${name}.texts`), texts.join("\n"));
}

try {
  await withFarm(async ({ phone, hub }) => {
    await visitAsPruner(phone);
    await keepNote(phone, "first_visit_by_code");
    const linked = await openByLink(hub);
    await visitAsPruner(linked);
    await keepNote(linked, "first_visit_by_link");
    await linked.close();
    const other = withHands(await openPhone(hub.origin));
    await other.page.evaluate(comesByItself);
    await pause(COMES_BY_ITSELF_MS);
    await keepNote(other, "first_screen");
    // A tab opened beside one that is there still, or not quite gone, says so at once.
    const second = withHands(await openPhone(hub.origin, { context: other.page.context() }));
    await second.sees(words["welcome.other_tab"]);
    await keepNote(second, "first_screen_in_a_second_tab");
    await keepNote(second, "first_visit_in_a_second_tab");
    await second.page.close();
    await other.join(hub.code());
    await keepNote(other, "first_visit_by_address");
  });
} finally {
  await closeAll();
}
