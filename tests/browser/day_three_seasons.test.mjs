// SPDX-License-Identifier: Apache-2.0
//
// Three seasons of the invented farm, by role and name: the on-year is picked and closed; in the
// off-year a pruner and a lead work and see nothing of what is closed; a frost night falls into the
// third, which is harvested, closed, and stands beside the others with next winter's target.
// NTHTREE_PICTURES=FOLDER keeps a picture of each of the days (tools/season_walk).
import assert from "node:assert/strict";
import { join } from "node:path";
import { SIZES } from "./support/browser.mjs";
import { day } from "./support/farm.mjs";

const PAD = "Tap: plus one";

const keep = async (phone, name) => {
  if (!process.env.NTHTREE_PICTURES) return;
  await phone.picture(join(process.env.NTHTREE_PICTURES, `${name}.png`));
};

async function beManager(phone, block) {
  await phone.beSomebody("Wren");
  await phone.tap(/^Which block/);
  await phone.tap(new RegExp(`^${block}\\b`));
}

const onDay = (count, when) => ({ seasons: { count, day: when }, size: SIZES.tall });

// The year that the screen proposes, or the one typed.
async function closeSeason(phone, year) {
  await phone.tap("Close the season");
  await phone.fill("Year of the harvest", String(year));
  await phone.tap("Close it and begin the next");
  const dialog = phone.page.locator("#mirror").getByRole("dialog");
  await phone.tapLocator(dialog.getByRole("button", { name: "Close the season" }));
  await phone.sees(/is closed already, since/);
}

const yearsShown = (phone) => phone.page.locator("#mirror").evaluate((mirror) =>
  [...new Set(mirror.innerText.match(/\b20\d\d\b/g) ?? [])].map(Number).sort());

const thisYear = new Date().getUTCFullYear();

export default [
  day("on-year, autumn: a manager picks the last tree, reads what the year taught, and closes it",
    async ({ phone }) => {
      await beManager(phone, "Lower Bench");
      await phone.tap(/^Fruits at harvest/);
      await phone.sees("Insurance factor for next year");
      await phone.tap("Count fruits on a tree");
      await phone.tap("9");
      await phone.tap("2");
      await phone.save(92);
      await phone.sees(/Saved/);
      await phone.tap("Back");
      await phone.tap(/^Seasons side by side/);
      await phone.sees(/^Next winter: insurance factor/);
      await keep(phone, "1_manager_autumn");
      await closeSeason(phone, thisYear);
      await phone.tap("Back");
      await phone.sees(String(thisYear));
    }, onDay(1, 284)),

  day("off-year, winter: the manager reads that hardly anything is to be taken, and why",
    async ({ phone }) => {
      await beManager(phone, "Lower Bench");
      await phone.tap(/^When to prune/);
      await phone.sees("Hardly or not at all this year");
      await phone.sees(/Unpruned trees carry about/);
      await keep(phone, "2_manager_winter");
    }, onDay(2, 2)),

  day("off-year, winter: a pruner counts a tree; nothing of the closed year is on the pruner's day",
    async ({ phone }) => {
      await phone.beSomebody("Ana", "Lower Bench");
      await phone.sees("Leave on each tree");
      await phone.tap("Count this tree");
      await phone.tapMany(PAD, 20);
      await phone.save(20);
      await phone.sees(/Saved/);
      await keep(phone, "2_pruner_winter");
      await phone.tap("Done");
      await phone.tap(/^My day/);
      await phone.sees("counted today");
      await phone.see("button", /^Row \d+, tree \d+/);
      const rows = await phone.find("button", /^Row \d+, tree \d+/).count();
      assert.equal(rows, 1, "what was counted today, and no more");
    }, onDay(2, 2)),

  day("off-year, winter: a lead's list holds this winter alone, and the closed one is a tap away",
    async ({ phone }) => {
      await phone.beSomebody("Teresa", "Lower Bench");
      await phone.see("button", /^Re-count/);
      await keep(phone, "2_lead_winter");
      await phone.tap(/^Change person|^Teresa/);
      await phone.beSomebody("Wren");
      await phone.tap(/^Earlier days/);
      const years = await yearsShown(phone);
      assert.ok(years.every((year) => year >= thisYear - 1) , `of old seasons: ${years}`);
      await phone.tap("Closed seasons", { role: "switch" });
      await phone.showsSoon("Fruits, ");
    }, onDay(2, 2)),

  day("the morning after the frost: a lead cuts buds, and pruning is to stop on the low ground",
    async ({ phone }) => {
      await phone.beSomebody("Teresa", "Lower Bench");
      await phone.tap(/^After a frost/);
      for (const row of [2, 6, 10, 14]) {
        await phone.fill("Row", String(row));
        await phone.fill("Tree", "9");
        for (let i = 0; i < 5; i += 1) await phone.tap(/^Alive/);
        for (let i = 0; i < 7; i += 1) await phone.tap(/^Killed/);
        await phone.tap("Keep this tree");
        await phone.sees(/Saved/);
      }
      await phone.sees(/from 48 buds of 4 trees/);
      await phone.sees(/Insurance factor/);
      await keep(phone, "3_lead_frost");
    }, onDay(3, 74)),

  day("third autumn: closed, three years stand side by side with next winter's target and its reasons",
    async ({ phone }) => {
      await phone.beSomebody("Wren");
      await phone.tap(/^Seasons side by side/);
      await phone.sees(/^Next winter: insurance factor/);
      await phone.sees(/Biennial index/);
      await closeSeason(phone, thisYear);
      await phone.tap("Back");
      await phone.sees(/This season/);
      await keep(phone, "3_manager_closed");
      const years = await yearsShown(phone);
      assert.ok(years.length >= 3, `years shown: ${years}`);
    }, onDay(3, 284)),
];
