// SPDX-License-Identifier: Apache-2.0
//
// The mirror, judged by axe-core (rules of WCAG 2.2 A and AA and axe's best practices), on every
// page of the gallery in both themes, and the sizes of everything to press.
import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { createRequire } from "node:module";
import { closeBrowser, openPhone } from "./support/browser.mjs";
import { gallerySite, serveSite } from "./support/static_site.mjs";

const words = JSON.parse(await readFile(
  new URL("../../assets/languages/en.json", import.meta.url), "utf8"));
const require = createRequire(import.meta.url);
const axe = await readFile(require.resolve("axe-core/axe.min.js"), "utf8");

// Every violation as a sentence.
export async function violations(page) {
  await page.evaluate(`${axe}; undefined`);
  const result = await page.evaluate(() => globalThis.axe.run(document, {
    runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"],
  }));
  return result.violations.map((found) => `${found.id}: ${found.help} (${found.nodes.length}): ${
    found.nodes.slice(0, 3).map((node) => node.html.slice(0, 120)).join(" | ")}`);
}

// Things to press under 46 CSS pixels (12 mm at 96 dpi) in either direction.
export const smallTargets = (page) => page.evaluate(() =>
  [...document.querySelectorAll("#mirror button, #mirror input, #mirror textarea")]
    .map((element) => [element, element.getBoundingClientRect()])
    .filter(([, box]) => box.width < 46 || box.height < 46)
    .map(([element, box]) => `${element.textContent}: ${box.width} × ${box.height}`));

const PAGES = ["Count", "Controls", "Reading", "Charts", "Long list"];

async function onEveryPage(work) {
  const site = await serveSite(gallerySite());
  const phone = await openPhone(site.origin, { fragment: "gallery" });
  try {
    for (const theme of ["sun", "dusk"]) {
      await work(phone, `contents, ${theme}`);
      for (const name of PAGES) {
        await phone.tap(name);
        await work(phone, `${name}, ${theme}`);
        await phone.tap("Back");
      }
      await phone.tap("Dusk", { role: "switch" });
    }
  } finally {
    await phone.close();
    await site.close();
    await closeBrowser();
  }
}

// The screens of a pruner's and a manager's first minutes, on the demo farm.
async function onScreensOfTheApp(work) {
  const site = await serveSite();
  const phone = await openPhone(site.origin);
  try {
    await work(phone, "welcome");
    await phone.tap(words["welcome.demo"]);
    await phone.see("heading", words["who.title"]);
    await work(phone, "who");
    await phone.tap(/^Priya/);
    if (await phone.find("button", /^Lower Bench/).count()) {
      await work(phone, "choose block");
      await phone.tap(/^Lower Bench/);
    }
    await work(phone, "pruner's home");
    await phone.tap(words["part.home"]);
    await phone.tap(words["part.whole"]);
    await work(phone, "count");
    await phone.tap(/^Tap/);
    await phone.tap(words["count.save"].replace("{n}", "1"));
    await work(phone, "verdict");
  } finally {
    await phone.close();
    await site.close();
    await closeBrowser();
  }
}

export default [
  {
    name: "axe finds nothing wrong on the way from the first screen to a verdict",
    run: () => onScreensOfTheApp(async (phone, where) => {
      assert.deepEqual(await violations(phone.page), [], where);
      assert.deepEqual(await smallTargets(phone.page), [], where);
    }),
  },
  {
    name: "axe finds nothing wrong on any page of the gallery, in both themes",
    run: () => onEveryPage(async (phone, where) => {
      assert.deepEqual(await violations(phone.page), [], where);
    }),
  },
  {
    name: "everything to press is 12 mm or more",
    run: () => onEveryPage(async (phone, where) => {
      assert.deepEqual(await smallTargets(phone.page), [], where);
    }),
  },
  {
    name: "axe has teeth: it finds a button without a name and a list item without a list",
    run: () => onEveryPage(async (phone, where) => {
      if (where !== "contents, sun") return;
      await phone.page.evaluate(() => {
        const bad = document.createElement("div");
        bad.id = "bad";
        const button = document.createElement("button");
        const item = document.createElement("li");
        bad.append(button, item);
        document.getElementById("mirror").append(bad);
      });
      const found = await violations(phone.page);
      assert.ok(found.some((line) => line.startsWith("button-name")), found.join("\n"));
      assert.ok(found.some((line) => line.startsWith("listitem")), found.join("\n"));
      await phone.page.evaluate(() => document.getElementById("bad").remove());
    }),
  },
];
