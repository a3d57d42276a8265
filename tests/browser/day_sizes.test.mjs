// SPDX-License-Identifier: Apache-2.0
//
// A short day of all three roles on every size of screen, from a phone held upright to a desktop:
// a count to its verdict, the phone turned meanwhile, a re-count, a word told, the day reviewed.
import assert from "node:assert/strict";
import { smallTargets } from "./accessibility.test.mjs";
import { closeBrowser, SIZES } from "./support/browser.mjs";
import { withFarm } from "./support/farm.mjs";

const PAD = "Tap: plus one";

async function pruner(phone, size) {
  await phone.beSomebody("Priya", "Lower Bench");
  await phone.tap("Count this tree");
  await phone.tapMany(PAD, 4);
  // Turned and turned back: nothing is lost, and what is pressed is where it is drawn.
  await phone.page.setViewportSize({ width: size.height, height: size.width });
  await phone.settle();
  await phone.tapMany(PAD, 2);
  await phone.page.setViewportSize(size);
  await phone.settle();
  await phone.tap("+5");
  await phone.save(11);
  await phone.sees(/11 · Priya/);
  assert.deepEqual(await smallTargets(phone.page), []);
  await phone.tap("Done");
}

async function lead(phone) {
  await phone.tap("Priya, change person");
  await phone.tap(/^Teresa/);
  await phone.tap(/^Re-count/);
  await phone.tapLocator(phone.page.locator("#mirror").getByRole("button",
    { name: /row \d+, tree \d+/i }));
  await phone.tap("Type", { role: "tab" });
  for (const digit of "231") await phone.tap(digit);
  await phone.save(231);
  await phone.sees("The tag said");
  await phone.tap("Next re-count");
  await phone.tap("Back");
  await phone.tap(/^Tomasz/);
  await phone.tap("Tell Tomasz");
  await phone.tap("I told Tomasz");
  await phone.sees(/^Told just now: Tomasz/);
  assert.deepEqual(await smallTargets(phone.page), []);
  await phone.tap("Back");
}

async function manager(phone) {
  await phone.tap("Teresa, change person");
  await phone.tap(/^Wren/);
  await phone.tap(/^Earlier days/);
  await phone.tap(/^\d+ [A-Z][a-z]+/);
  await phone.see("heading", /The day: \d+ [A-Z]/);
  await phone.sees("Trees counted");
  assert.deepEqual(await smallTargets(phone.page), []);
}

export default Object.entries(SIZES).map(([name, size]) => ({
  name: `a short day of three people, ${name}, ${size.width} × ${size.height}`,
  run: async () => {
    try {
      await withFarm(async ({ phone }) => {
        await pruner(phone, size);
        await lead(phone);
        await manager(phone);
        assert.deepEqual(phone.troubles, [], "the page reported errors");
      }, { size, touch: name !== "desktop", pixelRatio: name === "desktop" ? 1 : 2 });
    } finally {
      await closeBrowser();
    }
  },
}));
