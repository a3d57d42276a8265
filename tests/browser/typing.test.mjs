// SPDX-License-Identifier: Apache-2.0
//
// What people type into a form, as they learnt to write it: numbers with the signs of another habit,
// and what the form says when something in it is wrong.
import assert from "node:assert/strict";
import { closeBrowser, openPhone } from "./support/browser.mjs";
import { withHands } from "./support/farm.mjs";
import { serveSite } from "./support/static_site.mjs";

// A new farm measures as the region of its phone does.
const METRIC = { locale: "en-CA" };

const inNewBlock = (work) => async () => {
  const site = await serveSite();
  const phone = withHands(await openPhone(site.origin, { ...METRIC, pixelRatio: 1 }));
  try {
    await phone.tap(/^Start a farm/);
    await phone.fill("Name of the farm", "North Slope");
    await phone.fill("Your name", "Robin");
    await phone.tap("Start the farm");
    await phone.tap("Add a block");
    await phone.see("heading", "New block");
    await work(phone);
    assert.deepEqual(phone.troubles, [], "the page reported errors");
  } finally {
    await phone.close();
    await site.close();
    await closeBrowser();
  }
};

const describes = (phone, field) => phone.find("textbox", field).getAttribute("aria-description");

async function fillAll(phone, more = {}) {
  const fields = { "Name": "North", "Variety": "Honeycrisp", "Rows": "20", "Trees in a row": "83",
    "Between rows (m)": "3.5", "Between trees (m)": "1", "Fruits on a tree": "73", ...more };
  for (const [name, text] of Object.entries(fields)) await phone.fill(name, text);
}

export default [
  {
    name: "one thousand typed with a comma was read as one, and made the target vanish",
    run: inNewBlock(async (phone) => {
      await fillAll(phone, { "Fruits on a tree": "1,350", "Insurance factor": "1,5",
        "Flower buds, of 100": "90" });
      assert.equal(await describes(phone, "Fruits on a tree"), null);
      // 1350 × 1.5 ÷ 0.9 = 2250 to leave.
      await phone.sees("2250");
      await phone.fill("Fruits on a tree", "1,000");
      // 1000 × 1.5 ÷ 0.9 = 1666.7.
      await phone.sees("1667");
    }),
  },
  {
    name: "a number that may be 1350 or 1.35 is asked about, and a tap says which",
    run: inNewBlock(async (phone) => {
      await fillAll(phone);
      await phone.tap("Yield goal", { role: "radio" });
      await phone.fill("Yield goal", "1,350");
      assert.equal(await describes(phone, "Yield goal"),
        "“1,350” can be 1350 or 1.35. Tap the one you mean.");
      await phone.tap("1350");
      assert.equal(await phone.find("textbox", "Yield goal").inputValue(), "1350");
      assert.equal(await describes(phone, "Yield goal"), null);
    }),
  },
  {
    name: "the button of a form that cannot be kept seemed dead: it says how many fields are wrong, "
      + "and shows the first",
    run: inNewBlock(async (phone) => {
      await fillAll(phone, { "Rows": "many", "Trees in a row": "" });
      await phone.tap(/^Keep this block/);
      await phone.see("button", "Keep this block: 2 fields to mend");
      const field = await phone.find("textbox", "Rows").boundingBox();
      const page = await phone.page.locator("#mirror main").boundingBox();
      assert.ok(field.y > page.y && field.y + field.height < page.y + page.height,
        "the first wrong field is not in view");
      await phone.fill("Rows", "20");
      await phone.see("button", "Keep this block: 1 field to mend");
      await phone.fill("Trees in a row", "83");
      await phone.tap("Keep this block");
      await phone.see("heading", "North Slope");
    }),
  },
];
