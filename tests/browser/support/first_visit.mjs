// SPDX-License-Identifier: Apache-2.0
//
// A pruner's first visit, to the first verdict and home again, on a build that notes which functions
// are called. Writes that note; tools/first_visit reads it.
//
//   NTHTREE_SITE=… node tests/browser/support/first_visit.mjs FILE
import { writeFileSync } from "node:fs";
import { closeBrowser } from "./browser.mjs";
import { withFarm } from "./farm.mjs";

const ROOM = 1 << 20;

async function visit(phone) {
  await phone.beSomebody("Priya", "Lower Bench");
  await phone.sees("Leave on each tree");
  await phone.tap("Count this tree");
  await phone.see("heading", "Count");
  await phone.tapMany("Tap: plus one", 12);
  await phone.tap("+5");
  await phone.tap("−1");
  await phone.tap("Undo");
  await phone.save(17);
  await phone.sees(/Saved/);
  await phone.sees("You in this block");
  await phone.tap("Done");
  await phone.sees("Next tree to count");
}

try {
  await withFarm(async ({ phone }) => {
    await visit(phone);
    const note = await phone.page.evaluate((room) => {
      const { app } = Nthtree;
      const at = app._malloc(room);
      const length = app.asm.__write_profile(at, room);
      return Array.from(app.HEAPU8.slice(at, at + length));
    }, ROOM);
    writeFileSync(process.argv[2], Uint8Array.from(note));
  });
} finally {
  await closeBrowser();
}
