// SPDX-License-Identifier: Apache-2.0
//
// Rows, by role and name: the pruner at a row's end, the evening of a manager who asks where to go
// back and who goes where, and the morning of a lead who notes a gang's rows and reads the word.
import assert from "node:assert/strict";
import { ALL } from "./support/browser.mjs";
import { day as dayInOne } from "./support/farm.mjs";

// A page just come back to takes no tap at once.
async function goBack(phone) {
  await phone.page.goBack();
  await phone.settle();
  await phone.page.waitForTimeout(500);
}

const day = (name, work) => ({ ...dayInOne(name, work), browsers: ALL });

const rowButton = (phone) => phone.page.locator("#mirror").getByRole("button",
  { name: /^Row \d+ done$/ }).first();
const rowOf = async (phone) => Number((await rowButton(phone).textContent() ||
  await rowButton(phone).getAttribute("aria-label")).match(/Row (\d+) done/)[1]);

export default [
  day("the pruner's row end: one tap, saved, the next row offered, seen in My day, taken back",
    async ({ phone }) => {
      await phone.beSomebody("Priya", "Lower Bench");
      await rowButton(phone).waitFor({ state: "attached" });
      const row = await rowOf(phone);
      await phone.tap(`Row ${row} done`);
      await phone.sees(/Saved/);
      await phone.see("button", new RegExp(`^Row ${row} pruned`));
      await phone.page.waitForFunction((before) => [...document.querySelectorAll("#mirror *")]
        .some((element) => {
          const now = (element.getAttribute("aria-label") ?? element.textContent ?? "")
            .match(/^Row (\d+) done$/);
          return now && Number(now[1]) !== before;
        }), row);
      // The next one a moment later would be hundreds of trees an hour: that is asked about.
      await phone.tap(`Row ${await rowOf(phone)} done`);
      await phone.see("dialog", /Is that right\?/);
      await phone.tap("No");
      await phone.tap(/^My day/);
      await phone.tap(new RegExp(`^Row ${row} pruned`));
      await phone.see("heading", "A row that is pruned");
      await phone.tap("Take back this row");
      await phone.see("dialog", /Take this back\?/);
      await phone.tap("Take it back");
      await phone.see("heading", "My day");
      assert.equal(await phone.shows(`Row ${row} pruned`), false);
    }),

  day("a manager's evening: where to go back, why, and a gang sent elsewhere", async ({ phone }) => {
    await phone.beSomebody("Wren");
    await phone.tap("The day");
    await phone.sees("To decide");
    await phone.tap(/^Where to go back/);
    await phone.see("heading", "Where to go back");
    await phone.sees("Why");
    await phone.sees(/in 100|of 100/);
    await phone.tap(/^Tomorrow/);
    await phone.see("heading", "Tomorrow");
    await phone.sees("Trees late, as proposed");
    const elsewhere = phone.page.locator("#mirror").getByRole("radio", { checked: false }).first();
    await phone.tapLocator(elsewhere);
    await phone.sees("Trees late, as you changed it");
    await phone.tap("As it was proposed");
    await phone.sees("Trees late, as proposed");
    await phone.tap(/^The morning’s word/);
    await phone.see("heading", "The morning’s word");
    await phone.sees("How many to leave");
  }),

  day("a lead's morning: the gang's rows are noted, and the word is read in Spanish",
    async ({ phone }) => {
      await phone.beSomebody("Teresa", "Lower Bench");
      await phone.tap(/^Rows pruned/);
      await phone.see("heading", "Rows pruned");
      await phone.tap(/^Priya/);
      await phone.fill("Which rows", "41-42");
      await phone.tap("Note these rows");
      await phone.sees(/Saved/);
      await phone.see("button", /^Row 41, Priya/);
      await phone.see("button", /^Row 42, Priya/);
      await goBack(phone);
      await phone.tap(/^The morning’s word/);
      await phone.tap("Español", { role: "radio" });
      await phone.sees("Cuántas dejar");
      await phone.see("heading", "The morning’s word");
    }),

  dayInOne("a row's end tapped twice notes one row; the wrong row is put right, and two numbers the " +
    "wrong way round are said", async ({ phone }) => {
    await phone.beSomebody("Priya", "Lower Bench");
    await rowButton(phone).waitFor({ state: "attached" });
    const row = await rowOf(phone);
    const { x, y } = await phone.place(rowButton(phone));
    await phone.touch(x, y);
    await phone.page.waitForTimeout(120);
    await phone.touch(x, y);
    await phone.settle();
    // The second finger of two is asked about, and no is the way out.
    const dialog = phone.page.locator("#mirror").getByRole("dialog");
    if (await dialog.count() > 0) await phone.tap("No");
    await phone.tap(/^My day/);
    const noted = phone.page.locator("#mirror").getByRole("button", { name: /^Row \d+ pruned/ });
    assert.equal(await noted.count(), 1);
    await phone.tap(new RegExp(`^Row ${row} pruned`));
    await phone.see("heading", "A row that is pruned");
    await goBack(phone);
    await goBack(phone);
    await phone.tap(/^Another row/);
    await phone.fill("Row", "900");
    await phone.sees("900");
    await goBack(phone);
    await phone.see("button", /^Count this tree/);
  }),

  dayInOne("a gap found at the tree, then taken for the wrong one, is said again where it stands",
    async ({ phone }) => {
      await phone.beSomebody("Priya", "Lower Bench");
      await phone.tap("Count this tree");
      await phone.tap("No tree here");
      await phone.tap("Back"); // a slip: nothing has been noted
      await phone.see("button", "No tree here");
      await phone.tap("No tree here");
      await phone.tap(/^Missing/);
      await phone.see("button", "No tree here"); // at the tree instead
      await phone.tap("Back");
      await phone.see("button", "Count this tree");
    }),

  dayInOne("a manager taps gaps on the map, takes a slip out, and keeps them",
    async ({ phone }) => {
      await phone.beSomebody("Wren");
      await phone.tap(/^The farm/);
      await phone.tap(/^Lower Bench/);
      await phone.tap(/^Trees that do not bear/);
      await phone.tap("On the map", { role: "radio" });
      await phone.tap(/^Row 2, tree 3:/);
      await phone.tap(/^Row 1, tree 1:/);
      await phone.tap(/^Row 1, tree 1:/);
      await phone.sees("1 tree chosen");
      await phone.tap("Note them");
      await phone.sees(/Saved/);
      await phone.see("button", /^Row 2, tree 3: Missing/);
      await phone.see("button", /^Row 1, tree 1: A bearing tree/);
    }),

  dayInOne("the morning's word is on the clipboard, in the gang's language, and in the share sheet",
    async ({ phone }) => {
      await phone.page.context().grantPermissions(["clipboard-read", "clipboard-write"]);
      await phone.beSomebody("Teresa", "Lower Bench");
      await phone.tap(/^The morning’s word/);
      await phone.tap("Español", { role: "radio" });
      await phone.sees("Cuántas dejar");
      await phone.tap("Send or copy");
      await phone.sees("Copied: paste it into any messenger");
      const copied = await phone.page.evaluate(() => navigator.clipboard.readText());
      assert.match(copied, /Cuántas dejar/);
      assert.doesNotMatch(copied, /[<>]/);
      // A browser without a window has no share sheet: what would be handed to one is looked at.
      await phone.page.evaluate(() => {
        navigator.share = async ({ text }) => {
          window.shared = text;
        };
      });
      await phone.tap("Send or copy");
      await phone.page.waitForFunction(() => window.shared);
      assert.equal(await phone.page.evaluate(() => window.shared), copied);
    }),
];
