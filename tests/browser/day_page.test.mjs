// SPDX-License-Identifier: Apache-2.0
//
// The hub's own page of the day in a browser without the app: asked for with a password, without a
// script, on a phone's width, and put on A4 and Letter by Chromium.
// NTHTREE_PAPER=FOLDER keeps the PDF files and a picture, to be looked at.
import assert from "node:assert/strict";
import { spawnSync } from "node:child_process";
import { writeFile } from "node:fs/promises";
import { join } from "node:path";
import { hubProgram } from "./faults/hub.mjs";
import { closeBrowser, newContext } from "./support/browser.mjs";
import { withFarm } from "./support/farm.mjs";

// Width and height in points of ISO 216 A4 and of ANSI/ASME Y14.1 size A (Letter).
const SHEETS = { A4: [595, 842], Letter: [612, 792] };

function password(folder) {
  const asked = spawnSync(hubProgram(), ["page", "--data", join(folder, "data")],
    { encoding: "utf8" });
  return /password: (\S+)/.exec(asked.stdout)[1];
}

const keep = async (name, bytes) => {
  if (process.env.NTHTREE_PAPER) await writeFile(join(process.env.NTHTREE_PAPER, name), bytes);
};

// Three days back: the demo farm's days lie in the last week.
async function busiestDay(page, origin) {
  for (let back = 1; back < 9; back += 1) {
    const date = new Date(Date.now() - back * 24 * 3600 * 1000).toISOString().slice(0, 10);
    await page.goto(`${origin}/v1/day?date=${date}`);
    if (await page.locator("table").count() > 0) return date;
  }
  return "";
}

export default [
  { name: "whoever has no phone reads the day, and prints it on A4 and on Letter",
    run: async () => {
      try {
        await withFarm(async ({ hub, folder }) => {
          const refused = await fetch(`${hub.origin}/v1/day`);
          assert.equal(refused.status, 401);
          assert.match(refused.headers.get("www-authenticate"), /^Basic /);
          const context = await newContext({ javaScriptEnabled: false,
            viewport: { width: 360, height: 740 }, serviceWorkers: "block",
            extraHTTPHeaders: { authorization:
              `Basic ${Buffer.from(`office:${password(folder)}`).toString("base64")}` } });
          try {
            await new Promise((done) => { setTimeout(done, 1500); }); // the hub sees the new key
            const page = await context.newPage();
            const date = await busiestDay(page, hub.origin);
            assert.ok(date, "no day of the demo farm has a count");
            assert.match(await page.locator("body").innerText(), /Left per tree, mean/);
            await keep("hub_day_phone.png", await page.screenshot({ fullPage: true }));
            await page.goto(`${hub.origin}/v1/day?date=${date}&lang=es`);
            assert.match(await page.locator("body").innerText(), /Árboles contados/);
            await page.setViewportSize({ width: 900, height: 900 });
            await page.goto(`${hub.origin}/v1/day?date=${date}`);
            await keep("hub_day_desk.png", await page.screenshot({ fullPage: true }));
            for (const [format, [width, height]] of Object.entries(SHEETS)) {
              const pdf = await page.pdf({ format, preferCSSPageSize: false });
              await keep(`hub_day_${format}.pdf`, pdf);
              const box = /\/MediaBox\s*\[\s*0 0 ([\d.]+) ([\d.]+)/.exec(pdf.toString("latin1"));
              assert.ok(Math.abs(box[1] - width) < 2 && Math.abs(box[2] - height) < 2, format);
              const read = spawnSync("pdftotext", ["-layout", "-", "-"],
                { input: pdf, encoding: "utf8" }).stdout.replace(/\s+/g, " ");
              for (const words of ["Oxbow Lantern Farm", "Trees counted", "Verdicts are in the app"
              ]) assert.ok(read.includes(words), `${format}: ${words}`);
              assert.match(read, /1 ?\/ ?1/, "pages are numbered");
            }
          } finally {
            await context.close();
          }
        });
      } finally {
        await closeBrowser();
      }
    } },
];
