// SPDX-License-Identifier: Apache-2.0
//
// Rows, by role and name: the pruner at a row's end, the evening of a manager who asks where to go
// back and who goes where, and the morning of a lead who notes a gang's rows and reads the word.
import assert from "node:assert/strict";
import { ALL } from "./support/browser.mjs";
import { day as dayInOne } from "./support/farm.mjs";

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
      await phone.page.goBack();
      await phone.tap(/^The morning’s word/);
      await phone.tap("Español", { role: "radio" });
      await phone.sees("Cuántas dejar");
      await phone.see("heading", "The morning’s word");
    }),
];
