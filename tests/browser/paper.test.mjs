// SPDX-License-Identifier: Apache-2.0
//
// The day on paper, as the browser puts it on A4 and on Letter: our type, figures on the right,
// heads repeated, pages numbered, nothing over the edge; with the year, the cost and green tip.
// NTHTREE_PAPER=FOLDER keeps the PDF files, to be looked at.
import assert from "node:assert/strict";
import { writeFile } from "node:fs/promises";
import { join } from "node:path";
import { browserName, closeBrowser, newContext } from "./support/browser.mjs";
import { withFarm } from "./support/farm.mjs";

// Width and height in points of ISO 216 A4 and of ANSI/ASME Y14.1 size A (Letter).
const SHEETS = { A4: [595, 842], Letter: [612, 792] };

const onPaper = async (phone) => {
  await phone.tap("Print the day");
  const frame = phone.page.locator("#paper");
  await frame.waitFor({ state: "attached" });
  return frame.evaluate((element) => element.contentDocument.documentElement.outerHTML);
};

// The page as the frame has it, by itself, so that it can be put on sheets. In a context of its own:
// in the phone's the app would answer for every address.
async function alone(phone, html) {
  const page = await (await newContext({ serviceWorkers: "block" })).newPage();
  const address = new URL("/day-on-paper", phone.page.url()).href;
  await page.route(address, (route) => route.fulfill({ contentType: "text/html", body: html }));
  await page.goto(address);
  await page.emulateMedia({ media: "print" });
  await page.evaluate(() => document.fonts.ready);
  return page;
}

const pagesOf = (pdf) => (pdf.match(/\/Type\s*\/Page\b(?!s)/g) ?? []).length;

export default [
  { name: "the day on paper is a designed page on A4 and on Letter", run: async () => {
    try {
      await withFarm(async ({ phone }) => {
        await phone.beSomebody("Wren");
        await phone.tap("The day");
        await phone.sees("To decide");
        const html = await onPaper(phone);
        const page = await alone(phone, html);
        const seen = await page.evaluate(() => ({
          type: document.fonts.check("8pt Orchard") && getComputedStyle(document.body).fontFamily,
          heads: [...document.querySelectorAll("table")].every((table) => table.tHead &&
            getComputedStyle(table.tHead).display === "table-header-group"),
          right: [...document.querySelectorAll("td.n")].every((cell) =>
            getComputedStyle(cell).textAlign === "right"),
          figures: document.querySelectorAll("td.n").length,
          text: document.body.innerText,
        }));
        assert.match(seen.type, /^Orchard/);
        assert.ok(seen.heads, "a table without a head");
        assert.ok(seen.right && seen.figures > 20, "figures that are not on the right");
        assert.match(seen.text, /\b20\d\d\b/);
        for (const words of ["Labour so far", "Cost of being off", "Before green tip",
          "Trees to go back to", "Stone Wall"]) assert.ok(seen.text.includes(words), words);
        for (const [format, [width, height]] of Object.entries(SHEETS)) {
          const inner = Math.floor((width - 2 * 14 * 72 / 25.4) * 96 / 72);
          await page.setViewportSize({ width: inner, height: 900 });
          assert.ok(await page.evaluate(() =>
            document.documentElement.scrollWidth <= innerWidth), `${format}: over the edge`);
          if (browserName() !== "chromium") continue; // only Chromium makes the file
          const pdf = await page.pdf({ format });
          if (process.env.NTHTREE_PAPER) {
            await writeFile(join(process.env.NTHTREE_PAPER, `day_${format}.pdf`), pdf);
          }
          const text = pdf.toString("latin1");
          const box = /\/MediaBox\s*\[0 0 ([\d.]+) ([\d.]+)\]/.exec(text);
          assert.ok(Math.abs(box[1] - width) < 1 && Math.abs(box[2] - height) < 1, box[0]);
          assert.ok(pagesOf(text) >= 1 && pagesOf(text) <= 3, `${pagesOf(text)} pages`);
        }
        await page.context().close();
        assert.deepEqual(phone.troubles, [], "the page reported errors");
      });
    } finally {
      await closeBrowser();
    }
  } },
];
