// SPDX-License-Identifier: Apache-2.0
//
// The year, by role and name: a manager reads a station's file and takes green tip over, closes the
// season and finds it beside the next; a lead opens a tree by its printed tag.
import assert from "node:assert/strict";
import { mkdtemp, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { openPhone, SIZES } from "./support/browser.mjs";
import { cameraFlags, film } from "./support/camera.mjs";
import { day, withHands } from "./support/farm.mjs";

const DAY_MS = 24 * 3600 * 1000;
const iso = (ms) => new Date(ms).toISOString().slice(0, 10);

// Days of 35 and 55 °F from where counting begins for a green tip expected on that day: 110
// degree-days by single sine (4.247 a day, Baskerville and Emin 1969) on the 26th of them.
function mildDays(expected) {
  const month = expected.getUTCMonth() < 6 ? 0 : 6;
  const begins = Date.UTC(expected.getUTCFullYear(), month, 1);
  const lines = ["Station,Max,Min,Date"];
  for (let i = 0; i < 40; i += 1) lines.push(`Mill Road,55,35,${iso(begins + i * DAY_MS)}`);
  return { text: `${lines.join("\r\n")}\r\n`, reached: begins + 25 * DAY_MS };
}

async function giveFile(phone, text) {
  const folder = await mkdtemp(join(tmpdir(), "nthtree-station-"));
  const path = join(folder, "station.csv");
  await writeFile(path, text);
  const [chooser] = await Promise.all([phone.page.waitForEvent("filechooser"),
    phone.tap(/^Read a station’s file/)]);
  await chooser.setFiles(path);
  await phone.settle();
  await rm(folder, { recursive: true, force: true });
}

// The code of the first tag that the phone would print.
async function printedTag(phone) {
  await phone.tap(/^Papers/);
  await phone.tap(/^Tags for the trees/);
  const frame = phone.page.locator("#paper");
  await frame.waitFor({ state: "attached" });
  return frame.evaluate((element) =>
    element.contentDocument.querySelector("[data-qr]").getAttribute("data-qr"));
}

// A phone whose camera sees a film of these codes.
async function withCamera(hub, folder, texts, work) {
  const path = join(folder, `${texts.length}.y4m`);
  await film(path, texts, { pictures: 4, rate: 4 });
  const phone = withHands(await openPhone(hub.origin, { pixelRatio: 1,
    flags: cameraFlags(path) }));
  try {
    await phone.join(hub.code());
    await phone.beSomebody("Teresa", "Mill Side");
    await phone.tap(/^Scan a tag/);
    await phone.tap("Scan a tag");
    await work(phone);
    assert.deepEqual(phone.troubles, [], "the page reported errors");
  } finally {
    await phone.close();
  }
}

const shownDate = (ms) => new Intl.DateTimeFormat("en-GB", { day: "numeric", month: "short",
  timeZone: "UTC" }).format(new Date(ms)).replace("Sept", "Sep");

export default [
  day("a station's file is mapped once, its degrees are asked, and green tip is taken over",
    async ({ phone }) => {
      await phone.beSomebody("Wren");
      await phone.tap(/^When to prune/);
      await phone.sees(/Local advice and what is seen in the block come first/);
      await phone.sees("Lower Bench");
      await phone.tap("Temperatures");
      // The demo farm expects green tip some eight weeks after its Monday of last week.
      const { text, reached } = mildDays(new Date(Date.now() + 45 * DAY_MS));
      await giveFile(phone, text);
      await phone.sees(/The file goes from 35.0 to 55.0 degrees/);
      await phone.tap("Keep these days");
      await phone.see("heading", "A station’s file"); // nothing was kept before the answer
      await phone.tap("°F", { role: "radio" });
      await phone.sees("40 days");
      await phone.tap("Keep these days");
      await phone.see("heading", "Temperatures");
      await phone.sees("Mill Road");
      await phone.tap("Back");
      const expect = `Expect green tip on ${shownDate(reached)}, Lower Bench`;
      await phone.sees(/Degree-days above 43 °F/);
      await phone.tap(expect);
      await phone.sees(/Saved/);
      // The same head again is not asked about, and the same values are no other values.
      await phone.tap("Temperatures");
      await giveFile(phone, text);
      await phone.tap("°F", { role: "radio" });
      assert.equal(await phone.shows("were held with other values"), false);
      await phone.tap("Put away");
      await phone.see("heading", "Temperatures");
    }),

  day("a clumsy spring: degrees upside down, gaps, doubled days, Fahrenheit taken for Celsius, back",
    async ({ phone }) => {
      await phone.beSomebody("Wren");
      await phone.tap(/^When to prune/);
      await phone.tap("Temperatures");
      await phone.fill("Lowest (°F)", "59");
      await phone.fill("Highest (°F)", "41");
      await phone.sees("The lowest is above the highest.");
      await phone.tap("Keep this day");
      await phone.sees("No temperatures yet."); // nothing was kept
      await phone.fill("Lowest (°F)", "3500");
      await phone.tap("Keep this day");
      await phone.sees("No temperatures yet.");
      await phone.fill("Lowest (°F)", "41");
      await phone.fill("Highest (°F)", "59");
      await phone.tap("Keep this day");
      await phone.showsSoon("41.0 / 59.0 °F");
      // Yesterday at the farm is held; the day before stands twice, the one before that is missing.
      const before = (days) => iso(Date.now() - (8 * 3600 * 1000) - days * DAY_MS);
      await giveFile(phone, `Date,Min,Max\n${before(5)},33,50\n${before(4)},34,51\n` +
        `${before(2)},32,50\n${before(2)},23,41\n${before(1)},41,59\nno day,1,2\n`);
      await phone.sees(/1 line has no day or no two numbers/);
      await phone.tap("°C", { role: "radio" });
      await phone.sees(/1 day stands twice with other values/);
      await phone.tap("The last", { role: "radio" });
      await phone.sees(/1 day is missing/);
      await phone.sees(/1 day was held with other values/); // 106 and 138 °F in January
      await phone.tap("Back");
      await phone.see("heading", "When to prune");
      await phone.tap("Temperatures");
      await phone.see("heading", "A station’s file"); // nothing of it was lost
      await phone.tap("°F", { role: "radio" });
      await phone.sees("4 days");
      assert.equal(await phone.shows("was held with other values"), false);
      await phone.tap("Keep these days");
      await phone.see("heading", "Temperatures");
      await phone.showsSoon("23.0 / 41.0 °F");
      assert.equal(await phone.shows("32.0 / 50.0 °F"), false);
      await phone.tap("Back");
      await phone.see("heading", "When to prune");
    }, { size: SIZES.tall }),

  day("a season is closed in one step, kept, and closed no second time", async ({ phone }) => {
    await phone.beSomebody("Wren");
    await phone.tap(/^Seasons side by side/);
    await phone.sees("This season");
    await phone.tap("Close the season");
    await phone.sees(/Somebody still worked here/);
    await phone.tap("Close it and begin the next");
    const dialog = phone.page.locator("#mirror").getByRole("dialog");
    await phone.tapLocator(dialog.getByRole("button", { name: "Close the season" }));
    await phone.sees(/is closed already, since/);
    await phone.tap("Back");
    await phone.sees(/Season|This season/);
    const year = new Date().getUTCFullYear() - (new Date().getUTCMonth() < 3 ? 1 : 0);
    assert.ok(await phone.shows(String(year)), "the closed season stands in the table");
    await phone.tap("Back");
    await phone.tap(/^Lower Bench/);
    await phone.settle();
  }),

  day("a closed season is opened again by its button, and its counts stand where they stood",
    async ({ phone }) => {
      await phone.beSomebody("Wren");
      await phone.tap(/^Seasons side by side/);
      await phone.tap("Close the season");
      await phone.tap("Close it and begin the next");
      const dialog = phone.page.locator("#mirror").getByRole("dialog");
      await phone.tapLocator(dialog.getByRole("button", { name: "Close the season" }));
      await phone.sees(/is closed already, since/);
      await phone.tap("Back");
      await phone.tap("Back");
      await phone.tap(/^Earlier days/);
      await phone.sees(/No record in this season yet/);
      await phone.tap("Back");
      await phone.tap(/^The farm/);
      await phone.tap(/^Who set what/);
      await phone.tap(/^Season 20\d\d closed/);
      await phone.tap("Take this back");
      await phone.tapLocator(dialog.getByRole("button", { name: "Take this back" }));
      await phone.sees("This change was taken back.");
      await phone.tap("Back");
      await phone.tap("Back");
      await phone.tap("Back");
      await phone.tap(/^Earlier days/);
      await phone.see("heading", "Every count");
      assert.equal(await phone.shows("No record"), false);
    }),

  day("a printed tag held before the camera opens its tree; one of another farm is refused in words",
    async ({ phone, hub, folder }) => {
      await phone.beSomebody("Teresa", "Lower Bench");
      const code = await printedTag(phone);
      const [, row, tree] = /:(\d+):(\d+)$/.exec(code);
      await withCamera(hub, folder, [code], async (taker) => {
        await taker.see("heading", `Row ${row}, tree ${tree}`);
        await taker.sees("Lower Bench");
        await taker.see("button", /^Count clusters on a tree/);
      });
      const stranger = code.replace(/:[0-9A-F]{8}:/, ":0BADC0DE:");
      await withCamera(hub, folder, [stranger, stranger], async (taker) => {
        await taker.sees(/That is a tag of another farm/);
        await taker.see("button", "Stop the camera");
      });
    }),
];
