// SPDX-License-Identifier: Apache-2.0
//
// A lead's day, by role and name: buds, unpruned trees, the brief, a blind re-count, telling.
import assert from "node:assert/strict";
import { ALL, closeBrowser } from "./support/browser.mjs";
import { withFarm } from "./support/farm.mjs";

const PAD = "Tap: plus one";
const day = (name, work, options) => ({ name, run: async () => {
  try {
    await withFarm(async (all) => {
      await all.phone.beSomebody("Teresa", "Lower Bench");
      await all.phone.sees("The crew");
      await work(all);
      assert.deepEqual(all.phone.troubles, [], "the page reported errors");
    }, options);
  } finally {
    await closeBrowser();
  }
} });

const inAll = (test) => ({ ...test, browsers: ALL });

export default [
  day("sees the crew as a picture and in order of need, and opens the reason", async ({ phone }) => {
    await phone.page.locator("#mirror").getByRole("img", { name: /is wanted/ }).first()
      .waitFor({ state: "attached" });
    await phone.tap(/^Tomasz/);
    await phone.see("heading", "Tomasz");
    assert.equal(await phone.shows("Chance of too few"), false);
    await phone.tap("Why?");
    await phone.sees("Chance of too few");
  }),

  inAll(day("re-counts blind, then sees the tag beside it", async ({ phone }) => {
    await phone.tap(/^Re-count/);
    await phone.see("heading", "Worth a re-count");
    await phone.tapLocator(phone.page.locator("#mirror").getByRole("button",
      { name: /row \d+, tree \d+/i }));
    await phone.see("heading", "Re-count");
    assert.equal(await phone.shows("The tag said"), false);
    await phone.tap("Type", { role: "tab" });
    for (const digit of "231") await phone.tap(digit);
    await phone.save(231);
    await phone.sees("The tag said");
    await phone.sees("You counted");
    await phone.tap("Next re-count");
    await phone.see("heading", "Worth a re-count");
  })),

  inAll(day("tells a pruner, and the board says that they were told", async ({ phone }) => {
    await phone.tap(/^Tomasz/);
    await phone.tap("Tell Tomasz");
    await phone.sees(/^Tomasz, leave about \d+ more on each tree\.$/);
    await phone.tap("I told Tomasz");
    await phone.sees(/^Told just now: Tomasz/);
  })),

  day("cuts open buds and sees the share of flower buds grow", async ({ phone }) => {
    await phone.tap(/^Cut open buds/);
    await phone.sees("Flower buds");
    await phone.tap("Upper branch");
    await phone.tapMany("Spur, flower", 8);
    await phone.tapMany("Spur, leaf", 3);
    await phone.tap(/^Side bud on one-year wood/);
    await phone.sees(/: 8 of 11 with flowers$/);
    await phone.tap("Save this branch");
    await phone.sees("8 of 11 with flowers");
  }),

  day("reads the brief and counts an unpruned tree", async ({ phone }) => {
    await phone.tap(/^The brief/);
    await phone.sees(/^Leave \d+ spurs on each tree/);
    await phone.sees(/^Ladder:/);
    await phone.tap("Back");
    await phone.tap(/^Unpruned trees/);
    await phone.tap("Count an unpruned tree");
    await phone.tap("Type", { role: "tab" });
    for (const digit of "512") await phone.tap(digit);
    await phone.save(512);
    await phone.see("heading", "Unpruned trees");
  }),
];
