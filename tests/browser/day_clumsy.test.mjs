// SPDX-License-Identifier: Apache-2.0
//
// A clumsy day: two taps where one was meant, a digit too many, the wrong tree. What went wrong once
// when people did that stays mended here.
import assert from "node:assert/strict";
import { openPhone } from "./support/browser.mjs";
import { day, withHands } from "./support/farm.mjs";

const PAD = "Tap: plus one";

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

  day("a typed number destroyed what was tapped, and there was no way back", async ({ phone }) => {
    await phone.beSomebody("Priya", "Lower Bench");
    await phone.tap("Count this tree");
    await phone.tapMany(PAD, 49);
    await type(phone, "7");
    await phone.sees(/^49 counted before stand by/);
    await phone.tap("Tap", { role: "tab" });
    await phone.see("button", "Save 7");
    await phone.tap("Undo");
    await phone.see("button", "Save 49");
    await phone.tap("Undo");
    await phone.see("button", "Save 48");
  }),

  day("a second tab counted, and its count was thrown away when the first one closed",
    async ({ phone, hub }) => {
      await phone.beSomebody("Priya", "Lower Bench");
      const other = withHands(await openPhone(hub.origin, { context: phone.context }));
      await other.sees(/this one only looks/);
      await other.tap("Count this tree");
      await other.sees(/this one only looks/);
      await other.tapMany(PAD, 6);
      await phone.page.close();
      await other.page.waitForEvent("load");
      await other.ready();
      await other.see("button", "Save 6");
      assert.equal(await other.shows("this one only looks"), false);
      await other.save(6);
      await other.sees(/Saved/);
      await other.tap("Done");
      await other.page.reload();
      await other.ready();
      await other.sees("Leave on each tree");
      assert.equal(await other.shows("Go on counting"), false);
    }),

  day("a second tab that opened on a count under way did not say that it only looks",
    async ({ phone, hub }) => {
      await phone.beSomebody("Priya", "Lower Bench");
      await phone.tap("Count this tree");
      await phone.tapMany(PAD, 5);
      await phone.page.waitForTimeout(300);
      const other = withHands(await openPhone(hub.origin, { context: phone.context }));
      await other.see("button", "Save 5");
      await other.sees(/this one only looks/);
    }),

  day("large text took away Tap, By limb and Type", async ({ phone }) => {
    await phone.beSomebody("Priya", "Lower Bench");
    await phone.tap(/^Settings/);
    for (const size of ["130 %", "160 %"]) {
      for (let i = 0; i < 2; i += 1) await phone.tap(/^Text size: .* more$/);
      await phone.sees(new RegExp(size.replace(" ", ".")));
      await phone.tap("Back");
      await phone.tap("Count this tree");
      for (const way of ["Tap", "By limb", "Type"]) await phone.see("tab", way);
      await phone.tap("By limb", { role: "tab" });
      for (const name of [PAD, "Next limb", "Undo", "+5", "−1"]) {
        await phone.place(phone.find("button", name));
      }
      await phone.tap("Back");
      await phone.tap(/^Settings/);
    }
  }),

  day("254 of 254 was told to take more, and a stripped tree stood beside Just right",
    async ({ phone }) => {
      await phone.beSomebody("Priya", "Lower Bench");
      await phone.sees("217 to 293 is fine");
      const count = async (spurs) => {
        await phone.tap("Count this tree");
        await type(phone, String(spurs));
        await phone.save(spurs);
        await phone.sees(new RegExp(`^${spurs} · Priya`));
      };
      await count(255);
      await phone.sees(/^GOOD/);
      await phone.tap("Done");
      await count(14);
      await phone.sees(/^TOO FEW/);
      await phone.sees(/The last tree is far off/);
      assert.equal(await phone.shows("go on like this"), false);
      await phone.tap("Done");
      await count(18);
      await phone.sees(/call the lead before the next tree/);
      await phone.sees(/^CALL THE LEAD/);
    }),
];
