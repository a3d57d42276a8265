// SPDX-License-Identifier: Apache-2.0
//
// A clumsy day: two taps where one was meant, a digit too many, the wrong tree. What went wrong once
// when people did that stays mended here.
import assert from "node:assert/strict";
import { closeBrowser } from "./support/browser.mjs";
import { withFarm } from "./support/farm.mjs";

const PAD = "Tap: plus one";
const day = (name, work, options) => ({ name, run: async () => {
  try {
    await withFarm(async (all) => {
      await work(all);
      assert.deepEqual(all.phone.troubles, [], "the page reported errors");
    }, options);
  } finally {
    await closeBrowser();
  }
} });

const dialog = (phone) => phone.page.locator("#mirror").getByRole("dialog");
const asks = async (phone, ...texts) => {
  await dialog(phone).first().waitFor({ state: "attached" });
  for (const text of texts) await phone.sees(text);
};
const answer = (phone, name) => phone.tapLocator(dialog(phone).getByRole("button", { name }));

async function type(phone, digits) {
  await phone.tap("Type", { role: "tab" });
  for (const digit of digits) await phone.tap(digit);
}

export default [
  ...[60, 150, 250].map((after) =>
    day(`a double tap on Count this tree saved a zero, ${after} ms apart`, async ({ phone }) => {
      await phone.beSomebody("Priya", "Lower Bench");
      const { x, y } = await phone.place(phone.find("button", "Count this tree"));
      await phone.touch(x, y);
      await phone.page.waitForTimeout(after);
      await phone.touch(x, y);
      await phone.settle();
      assert.equal(await phone.title(), "Count");
      await phone.see("button", "Save 0");
      await phone.tap("Back");
      await phone.tap(/^My day/);
      await phone.sees(/No count today/);
    })),

  day("the second tap of two on Back left two screens", async ({ phone }) => {
    await phone.beSomebody("Priya", "Lower Bench");
    await phone.tap(/^Settings/);
    await phone.tap(/^Network and storage/);
    const { x, y } = await phone.place(phone.find("button", "Back"));
    await phone.touch(x, y);
    await phone.page.waitForTimeout(150);
    await phone.touch(x, y);
    await phone.settle();
    assert.equal(await phone.title(), "Settings");
  }),

  day("a zero was saved without a word", async ({ phone }) => {
    await phone.beSomebody("Priya", "Lower Bench");
    await phone.tap("Count this tree");
    await phone.tap("Save 0");
    await asks(phone, /^Is 0 right\?$/, /You have 0 here; .* \d{3}\./);
    await answer(phone, "No, back to it");
    await phone.tapMany(PAD, 3);
    await phone.see("button", "Save 3");
  }),

  day("1400 typed for 140 became a verdict", async ({ phone }) => {
    await phone.beSomebody("Priya", "Lower Bench");
    await phone.tap("Count this tree");
    await type(phone, "1400");
    await phone.tap("Save 1400");
    await asks(phone, /^Is 1400 right\?$/, /You have 1400 here; .* \d{3}\./);
    await answer(phone, "No, back to it");
    await phone.tap("Rub out");
    await phone.tap("Save 140");
    await phone.sees(/140 · Priya/);
  }),

  day("a wrong number and a wrong tree could not be mended where they were seen",
    async ({ phone }) => {
      await phone.beSomebody("Priya", "Lower Bench");
      await phone.tap("Count this tree");
      await type(phone, "214");
      await phone.save(214);
      await phone.tap("Wrong number?");
      await phone.fill("The right number", "2410");
      await phone.tap("Keep the correction");
      await asks(phone, /^Is 2410 right\?$/);
      await answer(phone, "No, back to it");
      await phone.fill("The right number", "241");
      await phone.tap("Keep the correction");
      await phone.sees(/241 · Priya/);
      await phone.tap("Wrong tree?");
      await phone.fill("Row", "9");
      await phone.fill("Tree", "33");
      await phone.tap("Keep the correction");
      await phone.see("heading", "Row 9, tree 33");
      await phone.sees(/241 · Priya/);
      await phone.tap("Done");
      await phone.tap(/^My day/);
      await phone.see("button", /^Row 9, tree 33/);
    }),
];
