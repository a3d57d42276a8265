// SPDX-License-Identifier: Apache-2.0
//
// The second pass in clumsy hands: clusters on some limbs, a thumb that taps twice, back in the
// middle, the phone that went off, a tree counted whole instead; then what all of it comes to.
import assert from "node:assert/strict";
import { SIZES } from "./support/browser.mjs";
import { day } from "./support/farm.mjs";

const PAD = "Tap: plus one";

async function toSecondPass(phone) {
  await phone.beSomebody("Teresa", "Lower Bench");
  await phone.tap(/^Second pass/);
  await phone.see("heading", "Second pass");
}

async function numberLimbs(phone, limbs) {
  for (const digit of String(limbs)) await phone.tap(digit);
  await phone.tap("Which limbs?");
}

// All drawn limbs, so many clusters on each; ends where spurs without flowers are asked for.
async function countClusters(phone, each) {
  for (;;) {
    await phone.tapMany(PAD, each);
    const next = phone.find("button", /^Next: limb/);
    if (await next.count() === 0) break;
    await phone.tapLocator(next);
  }
  await phone.tap("Next: without flowers");
}

export default [
  day("clusters on five of twenty limbs make a tree, and stand in the second pass",
    async ({ phone }) => {
      await toSecondPass(phone);
      await phone.tap("Some limbs");
      await phone.sees("How many limbs has the tree?");
      await numberLimbs(phone, 20);
      await countClusters(phone, 7);
      await phone.sees("Spurs without flowers, on these limbs together");
      await phone.tap("1");
      await phone.tap("2");
      await phone.tap("Save: tree of 140");
      await phone.see("heading", "Second pass");
      await phone.sees(/^Saved/);
      await phone.sees("1 tree by some of its limbs.");
      await phone.sees("Of the spurs left, 74 in 100 flower.");  // 35 of 47
    }, { size: SIZES.tall }),

  day("limbs of the second pass in clumsy hands: back in the middle, the wrong one, the phone off",
    async ({ phone }) => {
      await toSecondPass(phone);
      await phone.tap("Some limbs");
      await numberLimbs(phone, 20);
      await phone.tapMany(PAD, 3);
      await phone.tap(/^Next: limb/);
      await phone.tapMany(PAD, 2);
      await phone.tap("Undo");
      await phone.page.goBack();
      await phone.see("heading", "Second pass");
      // Another count, asked for by mistake: the one that was begun comes back first.
      await phone.tap("Count clusters on a tree");
      await phone.sees("2 of 5");
      await phone.page.reload();
      await phone.ready();
      await phone.sees("2 of 5");
      // Thrown away by a slip: asked first, and kept.
      await phone.tap("Throw away");
      await phone.page.goBack();
      await phone.sees("2 of 5");
      assert.ok(await phone.shows("Flower clusters 4"), "three, and one that was not undone");
    }, { size: SIZES.tall }),
];
