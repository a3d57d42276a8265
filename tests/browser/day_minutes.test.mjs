// SPDX-License-Identifier: Apache-2.0
//
// More from a minute of counting, by role and name: a pruner scores a tree and counts some of its
// limbs, a lead walks past trees and counts the same limbs again, a manager sees what the minutes buy.
import assert from "node:assert/strict";
import { day } from "./support/farm.mjs";

const PAD = "Tap: plus one";

// All drawn limbs of a tree of so many, each of so many spurs; how often the screen was touched.
async function countLimbs(phone, limbs, each) {
  let taps = 0;
  for (const digit of String(limbs)) { await phone.tap(digit); taps += 1; }
  await phone.tap("Which limbs?");
  await phone.see("button", PAD);
  taps += 1;
  for (let more = true; more; taps += 1) {
    await phone.tapMany(PAD, each);
    taps += each;
    more = await phone.shows("Next: limb ");
    await phone.tap(more ? /^Next: limb \d+$/ : /^Save: tree of \d+$/);
  }
  return taps;
}

// The same limbs again: their number and the draw stand already.
async function recountLimbs(phone, each) {
  for (let more = true; more;) {
    await phone.tapMany(PAD, each);
    more = await phone.shows("Next: limb ");
    await phone.tap(more ? /^Next: limb \d+$/ : /^Save: tree of \d+$/);
  }
}

// The phone goes to somebody else, who is asked for a block where none was chosen on it yet.
async function becomes(phone, before, name) {
  await phone.tap(`${before}, change person`);
  await phone.tap(new RegExp(`^${name}\\b`));
  await phone.settle();
  if (await phone.title() === "Which block?") await phone.tap(/^Lower Bench\b/);
}

const limbRule = (phone) => phone.page.locator("#mirror")
  .getByRole("img", { name: /numbered from the bottom/ }).first().waitFor({ state: "attached" });

async function openLimbs(phone) {
  await phone.tap("Count this tree");
  await phone.tap("Count some limbs instead");
  await limbRule(phone);
}

export default [
  day("a pruner counts five limbs of a tree, and the tree is theirs times the mean",
    async ({ phone }) => {
      await phone.beSomebody("Priya", "Lower Bench");
      await openLimbs(phone);
      const started = Date.now();
      const taps = await countLimbs(phone, 20, 12);
      await phone.sees("Write on the tag");
      await phone.sees(/^240 from 5 limbs · Priya/);
      const seconds = (Date.now() - started) / 1000;
      console.log(`# five limbs of 12 spurs: ${taps} taps, of which 60 are spurs, ` +
        `${seconds.toFixed(1)} s by machine`);
      assert.equal(taps, 60 + 2 + 1 + 5, "two digits, the draw, five limbs' ends");
      await phone.sees(/Saved/);
      await phone.tap("Done");
      await phone.tap(/^My day/);
      await phone.sees("Limbs of a tree");
    }),

  day("trees of no limb, of one and of two hundred are refused beside the keypad, and nothing is lost",
    async ({ phone }) => {
      await phone.beSomebody("Priya", "Lower Bench");
      await openLimbs(phone);
      for (const wrong of ["0", "1", "200"]) {
        for (const digit of wrong) await phone.tap(digit);
        await phone.sees(new RegExp(`^${wrong} limbs: 2 to 100 can be numbered\\.$`));
        assert.equal(await phone.find("button", "Which limbs?").isDisabled(), true);
        await phone.tap("Clear");
      }
      await countLimbs(phone, 20, 5);
      await phone.sees(/^100 from 5 limbs · Priya/);
    }),

  day("a count of limbs goes on after a reload where it was, and undo goes back over a limb's end",
    async ({ phone }) => {
      await phone.beSomebody("Priya", "Lower Bench");
      await openLimbs(phone);
      for (const digit of "20") await phone.tap(digit);
      await phone.tap("Which limbs?");
      await phone.tapMany(PAD, 4);
      await phone.tap(/^Next: limb \d+$/);
      await phone.tapMany(PAD, 3);
      await phone.page.reload();
      await phone.ready();
      await phone.sees("2 of 5");
      for (let i = 0; i < 4; i += 1) await phone.tap("Undo");
      await phone.sees("1 of 5");
    }),

  day("a score stands before the count and never after it", async ({ phone }) => {
    await phone.beSomebody("Priya", "Lower Bench");
    await openLimbs(phone);
    await phone.tap("First look: what do you see?");
    await phone.tap("230");
    await limbRule(phone); // back at the count, which no longer asks
    assert.equal(await phone.shows("First look"), false);
    const tree = await phone.title();
    await countLimbs(phone, 20, 9);
    await phone.tap("Done");
    await phone.tap("What do you see?");
    for (let steps = 0; steps < 60 && await phone.find("heading", tree).count() === 0; steps += 1) {
      await phone.tap("Tree: 1 less");
    }
    await phone.sees(/^You have counted .*: a look now would only repeat it\.$/);
    assert.equal(await phone.find("button", "230").isDisabled(), true);
  }),

  day("a lead walks past a pruner's trees, one tap each, and takes one back", async ({ phone }) => {
    await phone.beSomebody("Teresa", "Lower Bench");
    await phone.tap("Scores by eye");
    await phone.tap(/^Priya/, { role: "radio" });
    await phone.see("heading", "Row 1, tree 1");
    await phone.tap("255");
    await phone.sees(/^Kept: Row 1, tree 1, 255$/);
    await phone.see("heading", "Row 1, tree 4");
    await phone.sees(/^Your eye does not count yet: 0 trees were scored and counted/);
    await phone.tap("Take back this count");
    await phone.see("heading", "Row 1, tree 1");
  }),

  day("on a farm that counts every 50th tree the plan, the look, the limbs and the lead's re-count",
    async ({ phone }) => {
      await phone.beSomebody("Wren");
      await phone.tap(/^The farm/);
      await phone.tap(/^Rates/);
      await phone.sees(/limbs .*times as much as whole trees tell in the same minutes/);
      await phone.sees(/is told so in about \d+ days?\.$/);
      await becomes(phone, "Wren", "Priya");
      await phone.sees(/limbs .*times as much as whole trees tell in the same minutes/);
      await phone.tap("Count limbs");
      const tree = await phone.title();
      await countLimbs(phone, 20, 8);
      await phone.sees(/^160 from \d+ limbs · Priya/);
      await phone.tap("Done");
      await becomes(phone, "Priya", "Teresa");
      await phone.tap(/^Re-count/);
      await phone.tap(tree);
      assert.equal(await phone.shows("160"), false, "the tag's number is not seen before");
      await recountLimbs(phone, 9);
      await phone.sees(/^180 from \d+ limbs · Teresa/);
      await phone.see("heading", "Priya");
      await phone.sees("160");
    }, { practice: true }),
];
