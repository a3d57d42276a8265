// SPDX-License-Identifier: Apache-2.0
//
// The real screens for people who use no finger and no eyes: axe-core over the mirror of each, the
// keyboard alone, target sizes measured from the mirror, the verdict announced.
//
// Rules of axe that speak of pixels do not apply: the mirror lies invisible over a canvas. Contrast
// is computed in the theme's unit test instead.
import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { createRequire } from "node:module";
import { closeBrowser } from "./support/browser.mjs";
import { withFarm } from "./support/farm.mjs";

const require = createRequire(import.meta.url);
const GLOVE_PX = 46; // 12 mm at 96 px an inch
const PAD = "Tap: plus one";

async function violations(phone) {
  if (!await phone.page.evaluate(() => "axe" in globalThis)) {
    await phone.page.evaluate(await readFile(require.resolve("axe-core/axe.min.js"), "utf8"));
  }
  const found = await phone.page.evaluate(() => globalThis.axe.run("#mirror", {
    runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"],
    rules: { "color-contrast": { enabled: false }, region: { enabled: false },
      "target-size": { enabled: false } },
  }).then((result) => result.violations.map((v) =>
    `${v.id}: ${v.nodes.map((node) => node.html).slice(0, 3).join(" ")}`)));
  return found;
}

// Everything that can be pressed, as the mirror says it lies: none too small for a glove.
const small = (phone, least) => phone.page.evaluate((px) =>
  [...document.querySelectorAll("#mirror button, #mirror [role=tab], #mirror [role=radio], "
    + "#mirror [role=switch], #mirror input")].filter((element) => {
    const box = element.getBoundingClientRect();
    const shown = box.bottom > 0 && box.top < innerHeight;
    // What is cut by the edge of the page is scrolled into view before it is pressed.
    const whole = box.top >= 0 && box.bottom <= innerHeight;
    return shown && whole && (box.width < px || box.height < px);
  }).map((element) => `${element.getAttribute("aria-label") ?? element.textContent}: ${
    JSON.stringify(element.getBoundingClientRect())}`), least);

async function check(phone, where) {
  assert.deepEqual(await violations(phone), [], where);
  assert.deepEqual(await small(phone, GLOVE_PX - 1), [], where);
}

const day = (name, work) => ({ name, run: async () => {
  try {
    await withFarm(work);
  } finally {
    await closeBrowser();
  }
} });

export default [
  day("axe finds nothing on the pruner's screens, and a glove hits everything", async ({ phone }) => {
    await check(phone, "who");
    await phone.beSomebody("Priya");
    await check(phone, "block");
    await phone.tap(/^Lower Bench/);
    await check(phone, "home");
    await phone.tap("Count this tree");
    await phone.tapMany(PAD, 3);
    await check(phone, "count");
    await phone.tap("Type", { role: "tab" });
    await check(phone, "keypad");
    await phone.tap("Throw away");
    await check(phone, "question");
    await phone.tap("Keep counting");
    await phone.tap(/^Save/);
    await phone.sees("This tree");
    await check(phone, "verdict");
    await phone.tap("Done");
    for (const page of [/^My day/, /^The brief/, /^Stay safe/, /^Help/, /^Settings/]) {
      await phone.tap(page);
      await check(phone, String(page));
      await phone.tap("Back");
    }
  }),

  day("axe finds nothing on the lead's and the manager's screens", async ({ phone }) => {
    await phone.beSomebody("Teresa", "Lower Bench");
    await check(phone, "lead");
    for (const page of [/^Tomasz/, /^Cut open buds/, /^Unpruned trees/, /^Who counts how/,
      /^The day/, /^Map by row/, /^Second pass/]) {
      await phone.tap(page);
      await check(phone, String(page));
      await phone.tap("Back");
    }
    await phone.tap(/^Re-count/);
    await check(phone, "worklist");
    await phone.tap("Back");
    await phone.tap("Teresa, change person");
    await phone.tap(/^Wren/);
    await check(phone, "manager");
    for (const page of [/^The farm/, /^Earlier days/, /^Export and print/, /^Fruits at harvest/]) {
      await phone.tap(page);
      await check(phone, String(page));
      await phone.tap("Back");
    }
  }),

  day("a tree is counted and saved with the keyboard alone", async ({ phone }) => {
    await phone.beSomebody("Priya", "Lower Bench");
    const press = async (name) => {
      await phone.find("button", name).first().focus();
      await phone.page.keyboard.press("Enter");
      await phone.settle();
    };
    await press("Count this tree");
    for (let i = 0; i < 4; i += 1) await press(PAD);
    await press("Save 4");
    await phone.sees("This tree");
  }),

  day("the verdict is announced", async ({ phone }) => {
    await phone.beSomebody("Priya", "Lower Bench");
    await phone.tap("Count this tree");
    await phone.page.evaluate(() => {
      globalThis.heard = [];
      for (const region of document.querySelectorAll("[aria-live]")) {
        new MutationObserver(() => globalThis.heard.push(region.textContent))
          .observe(region, { childList: true, characterData: true, subtree: true });
      }
    });
    await phone.tapMany(PAD, 4);
    await phone.tap("Save 4");
    await phone.page.waitForFunction(() => globalThis.heard.some((text) => /TOO FEW|TAKE MORE|Good/
      .test(text)));
  }),
];
