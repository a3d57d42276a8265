// SPDX-License-Identifier: Apache-2.0
//
// The real screens for people who use no finger and no eyes: axe-core over the mirror of each, the
// keyboard alone, target sizes measured from the mirror, the verdict announced.
import assert from "node:assert/strict";
import { smallTargets, violations } from "./accessibility.test.mjs";
import { closeBrowser } from "./support/browser.mjs";
import { withFarm } from "./support/farm.mjs";

const PAD = "Tap: plus one";

async function check(phone, where) {
  assert.deepEqual(await violations(phone.page), [], where);
  assert.deepEqual(await smallTargets(phone.page), [], where);
}

const day = (name, work) => ({ name, run: async () => {
  try {
    await withFarm(work);
  } finally {
    await closeBrowser();
  }
} });

export default [
  day("axe finds nothing on the pruner's screens, and a glove hits everything", async ({ phone }) => {
    await check(phone, "who");
    await phone.beSomebody("Priya");
    await check(phone, "block");
    await phone.tap(/^Lower Bench/);
    await check(phone, "home");
    await phone.tap("Count this tree");
    await phone.tapMany(PAD, 3);
    await check(phone, "count");
    await phone.tap("Type", { role: "tab" });
    await check(phone, "keypad");
    await phone.tap("Throw away");
    await check(phone, "question");
    await phone.tap("Keep counting");
    await phone.save(3);
    await phone.sees("This tree");
    await check(phone, "verdict");
    await phone.tap("Done");
    for (const page of [/^My day/, /^The brief/, /^Stay safe/, /^Help/, /^Settings/]) {
      await phone.tap(page);
      await check(phone, String(page));
      await phone.tap("Back");
    }
  }),

  day("axe finds nothing on the lead's and the manager's screens", async ({ phone }) => {
    await phone.beSomebody("Teresa", "Lower Bench");
    await check(phone, "lead");
    for (const page of [/^Tomasz/, /^Cut open buds/, /^Unpruned trees/, /^Who counts how/,
      /^The day/, /^Map by row/, /^Second pass/]) {
      await phone.tap(page);
      await check(phone, String(page));
      await phone.tap("Back");
    }
    await phone.tap(/^Re-count/);
    await check(phone, "worklist");
    await phone.tap("Back");
    await phone.tap("Teresa, change person");
    await phone.tap(/^Wren/);
    await check(phone, "manager");
    for (const page of [/^The farm/, /^Earlier days/, /^Export and print/, /^Fruits at harvest/]) {
      await phone.tap(page);
      await check(phone, String(page));
      await phone.tap("Back");
    }
  }),

  day("a tree is counted and saved with the keyboard alone", async ({ phone }) => {
    await phone.beSomebody("Priya", "Lower Bench");
    const press = async (name) => {
      await phone.find("button", name).first().focus();
      await phone.page.keyboard.press("Enter");
      await phone.settle();
    };
    await press("Count this tree");
    for (let i = 0; i < 4; i += 1) await press(PAD);
    await press("Save 4");
    const dialog = phone.page.locator("#mirror").getByRole("dialog");
    await dialog.getByRole("button", { name: "Save 4" }).focus();
    await phone.page.keyboard.press("Enter");
    await phone.settle();
    await phone.sees("This tree");
  }),

  day("the verdict is announced", async ({ phone }) => {
    await phone.beSomebody("Priya", "Lower Bench");
    await phone.tap("Count this tree");
    await phone.page.evaluate(() => {
      globalThis.heard = [];
      for (const region of document.querySelectorAll("[aria-live]")) {
        new MutationObserver(() => globalThis.heard.push(region.textContent))
          .observe(region, { childList: true, characterData: true, subtree: true });
      }
    });
    await phone.tapMany(PAD, 4);
    await phone.save(4);
    await phone.page.waitForFunction(() => globalThis.heard.some((text) => /TOO FEW|TAKE MORE|Good/
      .test(text)));
  }),
];
