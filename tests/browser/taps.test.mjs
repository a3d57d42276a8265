// SPDX-License-Identifier: Apache-2.0
//
// How many taps the four ways take that are walked most. A field that is filled in is one tap and
// its typing; a way that has become longer fails. The seconds are those of a machine that never
// hesitates: they are told, not judged, because other tests share it.
import assert from "node:assert/strict";
import { closeBrowser, openPhone } from "./support/browser.mjs";
import { withFarm, withHands } from "./support/farm.mjs";
import { serveSite } from "./support/static_site.mjs";

const PAD = "Tap: plus one";

// Walks the way and tells what it took; more taps than `most` are a fault.
async function walk(phone, name, most, way) {
  let taps = 0;
  const counted = { ...phone,
    tap: async (label, options) => { taps += 1; await phone.tap(label, options); },
    fill: async (label, text) => { taps += 1; await phone.fill(label, text); } };
  const began = performance.now();
  await way(counted);
  const seconds = ((performance.now() - began) / 1000).toFixed(1);
  console.log(`# ${name}: ${taps} taps, ${seconds} s`);
  assert.ok(taps <= most, `${name} takes ${taps} taps; it took ${most}`);
}

const onFarm = (work) => async () => {
  try {
    await withFarm(work);
  } finally {
    await closeBrowser();
  }
};

export default [
  { name: "from a join code to the first counted spur: five taps and the code", run: async () => {
    try {
      await withFarm(async ({ phone, hub }) => {
        await walk(phone, "join to first counted spur", 5 + 1, async (hand) => {
          await hand.tap(/^Join a farm/);
          await hand.fill("Join code", hub.code());
          await hand.tap("Join");
          await hand.tap(/^Priya\b/);
          await hand.tap(/^Lower Bench\b/);
          await hand.tap("Count this tree");
          await phone.tap(PAD); // the spur itself
          await phone.see("button", "Save 1");
        });
      }, { joins: false });
    } finally {
      await closeBrowser();
    }
  } },

  { name: "from an empty phone to a block's target: fifteen taps", run: async () => {
    const site = await serveSite();
    const phone = withHands(await openPhone(site.origin, { locale: "en-CA", pixelRatio: 1 }));
    try {
      await walk(phone, "start a farm to a block's target", 15, async (hand) => {
        await hand.tap(/^Start a farm/);
        await hand.fill("Name of the farm", "North Slope");
        await hand.fill("Your name", "Robin");
        await hand.tap("Start the farm");
        await hand.tap("Add a block");
        for (const [field, text] of [["Name", "North"], ["Variety", "Honeycrisp"], ["Rows", "20"],
          ["Trees in a row", "83"], ["Between rows (m)", "3.5"], ["Between trees (m)", "1"],
          ["Fruits on a tree", "73"], ["Insurance factor", "1.8"],
          ["Flower buds, of 100", "90"]]) await hand.fill(field, text);
        await phone.sees("Leave on each tree: 146");
        await hand.tap("Keep this block");
        await phone.sees("leave 146 spurs a tree");
      });
    } finally {
      await phone.close();
      await site.close();
      await closeBrowser();
    }
  } },

  { name: "one tree takes three taps beyond its counting", run: onFarm(async ({ phone }) => {
    await phone.beSomebody("Priya", "Lower Bench");
    await walk(phone, "one tree beyond counting", 3, async (hand) => {
      await hand.tap("Count this tree");
      await phone.tapMany(PAD, 250); // near the target: nothing is asked
      await hand.tap("Save 250");
      await hand.tap("Done");
      await phone.see("button", "Count this tree");
    });
  }) },

  { name: "what was told is noted with two taps", run: onFarm(async ({ phone }) => {
    await phone.beSomebody("Teresa", "Lower Bench");
    await phone.tap(/^Priya/);
    await walk(phone, "told to noted", 2, async (hand) => {
      await hand.tap("Tell Priya");
      await hand.tap("I told Priya");
      await phone.sees(/^Told just now: Priya/);
    });
  }) },
];
