// SPDX-License-Identifier: Apache-2.0
//
// The year, by role and name: a manager reads a station's file and takes green tip over, closes the
// season and finds it beside the next; a lead opens a tree by its printed tag.
import assert from "node:assert/strict";
import { mkdtemp, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { day } from "./support/farm.mjs";

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
      const expect = `Expect green tip on ${shownDate(reached)}`;
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
];
