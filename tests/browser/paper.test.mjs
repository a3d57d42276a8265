// SPDX-License-Identifier: Apache-2.0
//
// The day on paper, as the browser puts it on A4 and on Letter: our type, figures on the right,
// heads repeated, pages numbered, nothing over the edge; with the year, the cost and green tip.
// NTHTREE_PAPER=FOLDER keeps the PDF files, to be looked at.
import assert from "node:assert/strict";
import { spawnSync } from "node:child_process";
import { writeFile } from "node:fs/promises";
import { join } from "node:path";
import { browserName, closeBrowser, newContext } from "./support/browser.mjs";
import { createRequire } from "node:module";
import { withFarm } from "./support/farm.mjs";

const jsQR = createRequire(new URL("../../web/package.json", import.meta.url))("jsqr");

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
  await page.route(address, (route) => route.fulfill({ contentType: "text/html; charset=utf-8",
    body: html }));
  await page.goto(address);
  await page.emulateMedia({ media: "print" });
  await page.evaluate(() => document.fonts.ready);
  return page;
}

// What a reference reader (poppler) finds in a file: its words, its pages and their size.
function readBack(pdf) {
  const text = spawnSync("pdftotext", ["-layout", "-", "-"], { input: pdf, encoding: "utf8" });
  const info = spawnSync("pdfinfo", ["-"], { input: pdf, encoding: "utf8" });
  const number = (pattern) => Number(pattern.exec(info.stdout)?.[1]);
  return { text: text.stdout.replace(/\s+/g, " "), pages: number(/Pages:\s+(\d+)/),
    width: number(/Page size:\s+([\d.]+) x/), height: number(/Page size:\s+[\d.]+ x ([\d.]+)/) };
}

// The modules of a code as the page draws them, back into a picture for the reader.
function decode(path, side) {
  const scale = 4, width = side * scale;
  const data = new Uint8ClampedArray(width * width * 4).fill(255);
  for (const [, x, y] of path.matchAll(/M(\d+) (\d+)h1v1h-1z/g)) {
    for (let i = 0; i < scale * scale; i += 1) {
      const at = (Number(y) * scale + Math.floor(i / scale)) * width + Number(x) * scale + i % scale;
      data.set([0, 0, 0], at * 4);
    }
  }
  return jsQR(data, width, width)?.data;
}

// A paper by the name of its row, on both sizes: its words can be searched.
async function printed(phone, name, words) {
  await phone.tap(name);
  const frame = phone.page.locator("#paper");
  await frame.waitFor({ state: "attached" });
  await phone.page.waitForTimeout(300);
  const html = await frame.evaluate((element) =>
    element.contentDocument.documentElement.outerHTML);
  const page = await alone(phone, html);
  for (const [format, [width, height]] of Object.entries(SHEETS)) {
    const inner = Math.floor((width - 2 * 14 * 72 / 25.4) * 96 / 72);
    await page.setViewportSize({ width: inner, height: 900 });
    assert.ok(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth),
      `${name} ${format}: over the edge`);
    if (browserName() !== "chromium") continue; // only Chromium makes the file
    const pdf = await page.pdf({ format });
    if (process.env.NTHTREE_PAPER) {
      const file = `${String(name).replace(/\W+/g, "_")}_${format}.pdf`;
      await writeFile(join(process.env.NTHTREE_PAPER, file), pdf);
    }
    const read = readBack(pdf);
    assert.ok(Math.abs(read.width - width) < 1 && Math.abs(read.height - height) < 1, format);
    assert.ok(read.pages >= 1 && read.pages < 20, `${name}: ${read.pages} pages`);
    for (const word of words) assert.ok(read.text.includes(word), `${name} ${format}: ${word}`);
  }
  await page.context().close();
  return html;
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
  { name: "block, season, brief and tags are papers whose words a reader finds", run: async () => {
    try {
      await withFarm(async ({ phone }) => {
        await phone.beSomebody("Teresa", "Lower Bench");
        await phone.tap(/^Papers/);
        await printed(phone, /^The season/, ["Seasons side by side", "Lower Bench", "Planned"]);
        const block = await printed(phone, /^The block/, ["Lower Bench", "Counted trees"]);
        assert.ok(!/>(Priya|Ines|Teresa)</.test(block), "a block's paper names somebody");
        await printed(phone, /^The brief/, ["Lower Bench", "Stay safe"]);
        const tags = await printed(phone, /^Tags for the trees/, ["Row", "Lower Bench"]);
        const [, said] = /data-qr="([^"]+)"/.exec(tags);
        const [, side] = /viewBox="0 0 (\d+) \1"/.exec(tags);
        const [, path] = /<path d="([^"]+)"/.exec(tags);
        assert.match(said, /^NTHTAG:[0-9A-F]{8}:\d+:\d+$/);
        assert.equal(decode(path, Number(side)), said);
        assert.deepEqual(phone.troubles, [], "the page reported errors");
      });
    } finally {
      await closeBrowser();
    }
  } },
];
