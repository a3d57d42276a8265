// SPDX-License-Identifier: Apache-2.0
//
// A manager's day, by role and name: a farm begun on an empty phone, a block with its target, a
// wrong entry, people; and the day's review of the demo farm.
import assert from "node:assert/strict";
import { ALL, closeBrowser, openPhone, SIZES } from "./support/browser.mjs";
import { withFarm, withHands } from "./support/farm.mjs";
import { serveSite } from "./support/static_site.mjs";

const METRIC = { locale: "en-CA" }; // a new farm measures as the phone's region does

async function onEmptyPhone(work, options = {}) {
  const site = await serveSite();
  const phone = withHands(await openPhone(site.origin, { pixelRatio: 1, ...options }));
  try {
    await work(phone);
    assert.deepEqual(phone.troubles, [], "the page reported errors");
  } finally {
    await phone.close();
    await site.close();
    await closeBrowser();
  }
}

async function addBlock(phone) {
  await phone.fill("Name", "North");
  await phone.fill("Variety", "Honeycrisp");
  await phone.fill("Rows", "20");
  await phone.fill("Trees in a row", "83");
  await phone.fill("Between rows (m)", "3.5");
  await phone.fill("Between trees (m)", "1");
  await phone.fill("Fruits on a tree", "73");
  await phone.fill("Insurance factor", "1.8");
  await phone.fill("Flower buds, of 100", "90");
}

export default [
  { name: "an empty phone becomes a farm with a block, a target and a pruner", browsers: ALL,
    run: () =>
    onEmptyPhone(async (phone) => {
      await phone.see("heading", "Nthtree");
      await phone.tap(/^Start a farm/);
      await phone.fill("Name of the farm", "North Slope");
      await phone.fill("Your name", "Robin");
      await phone.tap("Start the farm");
      await phone.see("heading", "North Slope");
      await phone.tap("Add a block");
      await addBlock(phone);
      // 73 fruits × 1.8 = 131 flowering spurs, ÷ 0.9 = 146 to leave; 437 in an off-year
      // (common practice, no source).
      await phone.sees("146");
      assert.ok(await phone.shows("leave 437"));
      await phone.tap("Keep this block");
      await phone.sees("North");
      await phone.tap(/^The farm/);
      await phone.tap("Add a person");
      await phone.fill("Name", "Sam");
      await phone.tap("Keep");
      await phone.sees("Sam");
      await phone.tap("Robin, change person");
      await phone.tap(/^Sam/);
      await phone.tap(/^North/);
      await phone.sees("Leave on each tree");
      await phone.sees("146");
    }, METRIC) },

  { name: "a wrong entry is said beside its field and nothing is kept", run: () =>
    onEmptyPhone(async (phone) => {
      await phone.tap(/^Start a farm/);
      await phone.tap("Start the farm");
      await phone.sees("A name is needed.");
      await phone.see("heading", "Start a farm");
    }) },

  { name: "a wrong spacing far down a long form is said beside its field, and put right there",
    run: () => onEmptyPhone(async (phone) => {
      await phone.tap(/^Start a farm/);
      await phone.fill("Name of the farm", "North Slope");
      await phone.fill("Your name", "Robin");
      await phone.tap("Start the farm");
      await phone.tap("Add a block");
      await addBlock(phone);
      await phone.fill("Between rows (m)", "35");
      const field = phone.find("textbox", "Between rows (m)");
      assert.match(await field.getAttribute("aria-description"), /^35 is not allowed: 0\.5 to 20/);
      await phone.tap("Keep this block");
      await phone.see("heading", "New block");
      await phone.fill("Between rows (m)", "3.5");
      assert.equal(await field.getAttribute("aria-description"), null);
      await phone.fill("Between trees (m)", "0.01");
      await phone.tap("Keep this block: 1 field to mend");
      await phone.see("heading", "New block");
      await phone.fill("Between trees (m)", "1");
      await phone.fill("Count every … tree", "50");
      await phone.tap("Keep this block");
      await phone.see("heading", "North Slope");
      await phone.sees("North");
    }, METRIC) },

  { name: "looks at the demo farm, and nothing of it stays", run: () =>
    onEmptyPhone(async (phone) => {
      await phone.tap(/^Look at the demo farm/);
      await phone.see("heading", "Who are you?");
      await phone.beSomebody("Wren");
      await phone.sees("Demo farm: nothing is kept");
      await phone.tap("Leave the demo");
      await phone.see("heading", "Nthtree");
    }) },

  { name: "the day's review: people, blocks, pace and the map", browsers: ALL, run: async () => {
    try {
      await withFarm(async ({ phone }) => {
        await phone.beSomebody("Wren");
        await phone.see("heading", "Oxbow Lantern Farm");
        await phone.tap(/^Earlier days/);
        await phone.tap(/^\d+ [A-Z][a-z]+/);
        await phone.see("heading", /The day: \d+ [A-Z]/);
        await phone.sees("Trees counted");
        await phone.sees("Priya");
        await phone.tap("Back");
        await phone.tap("Back");
        await phone.tap(/^Lower Bench/);
        await phone.page.locator("#mirror").getByRole("img", { name: /^Map by row/ }).first()
          .waitFor({ state: "attached" });
        assert.deepEqual(phone.troubles, [], "the page reported errors");
      });
    } finally {
      await closeBrowser();
    }
  } },

  { name: "the day opens on the last day that has records, and begins with what to decide",
    run: async () => {
      try {
        await withFarm(async ({ phone }) => { // its week is last week: today nobody counted
          await phone.beSomebody("Wren");
          await phone.tap("The day");
          await phone.see("heading", /^The day: \d+ [A-Z]/);
          const order = (await phone.screen()).filter(([role]) => role === "h2");
          assert.equal(order[0][1], "To decide");
          await phone.sees(/^(Stone Wall|Chapel Hill|New Ground), row \d+, tree \d+, /);
          assert.ok(!(await phone.shows("No record on this day")));
        });
      } finally {
        await closeBrowser();
      }
    } },

  { name: "the office's screen: places at the side, a table that sorts, a row that leads on",
    run: async () => {
      try {
        await withFarm(async ({ phone }) => {
          await phone.beSomebody("Wren");
          await phone.see("navigation", "Places");
          await phone.tap("The day");
          await phone.see("table", "The people");
          const column = () => phone.page.locator("#mirror [role=table][aria-label='The people']")
            .getByRole("row").evaluateAll((rows) => rows.slice(1).map((row) =>
              Number(row.querySelectorAll("[role=cell]")[2].textContent)));
          const most = Math.max(...await column());
          await phone.tapLocator(phone.page.locator("#mirror")
            .getByRole("table", { name: "The people" })
            .getByRole("button", { name: "Trees counted" }));
          assert.equal((await column())[0], most, "not sorted, most first");
          await phone.tapLocator(phone.page.locator("#mirror")
            .getByRole("table", { name: "The blocks" })
            .getByRole("button", { name: "Stone Wall" }));
          await phone.see("heading", "Stone Wall");
          await phone.tap("Export and print");
          await phone.see("heading", "Export and print");
          await phone.tap("Back");
          await phone.see("heading", "Oxbow Lantern Farm");
          assert.deepEqual(phone.troubles, [], "the page reported errors");
        }, { size: SIZES.office, touch: false });
      } finally {
        await closeBrowser();
      }
    } },

  { name: "the keyboard's own key goes to the next field, and the target stays in sight",
    run: () => onEmptyPhone(async (phone) => {
      await phone.tap(/^Start a farm/);
      await phone.fill("Name of the farm", "North Slope");
      await phone.fill("Your name", "Robin");
      await phone.tap("Start the farm");
      await phone.tap("Add a block");
      await phone.tapLocator(phone.find("textbox", "Name"));
      await phone.page.waitForFunction(() => document.activeElement?.matches("#mirror input"));
      for (const text of ["North", "Honeycrisp", "20"]) {
        await phone.page.keyboard.type(text);
        await phone.page.keyboard.press("Enter");
        await phone.settle();
      }
      const field = await phone.page.evaluate(() =>
        document.activeElement.getAttribute("aria-label"));
      assert.equal(field, "Trees in a row");
      await addBlock(phone);
      await phone.sees("Leave on each tree: 146");
    }, METRIC) },

  { name: "a phone of the United States begins in feet, one of Canada in metres", run: async () => {
    for (const [locale, unit] of [["en-US", "ft"], ["en-CA", "m"]]) {
      await onEmptyPhone(async (phone) => {
        await phone.tap(/^Start a farm/);
        await phone.fill("Name of the farm", "North Slope");
        await phone.fill("Your name", "Robin");
        await phone.tap("Start the farm");
        await phone.tap("Add a block");
        await phone.see("textbox", `Between rows (${unit})`);
      }, { locale });
    }
  } },

  { name: "the whole app speaks Spanish once it is chosen", run: () =>
    onEmptyPhone(async (phone) => {
      await phone.tap("Español", { role: "radio" });
      await phone.see("button", /^Unirse a una huerta/);
      assert.equal(await phone.page.evaluate(() => document.documentElement.lang), "es");
    }) },
];
