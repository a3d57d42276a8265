// SPDX-License-Identifier: Apache-2.0
//
// The app on one phone without a hub: first run, a count that is interrupted, the demo farm, an idle
// screen, and the page that shows itself when the app falls.
import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { BOTH, closeBrowser, contextOf, newContext, openPhone } from "./support/browser.mjs";
import { serveSite } from "./support/static_site.mjs";

const words = JSON.parse(await readFile(
  new URL("../../assets/languages/en.json", import.meta.url), "utf8"));

async function withPhone(work, { ignore = [] } = {}) {
  const site = await serveSite();
  const phone = await openPhone(site.origin);
  try {
    await work(phone, site);
    const troubles = phone.troubles.filter((line) => !ignore.some((known) => known.test(line)));
    assert.deepEqual(troubles, [], "the page reported errors");
  } finally {
    await phone.close();
    await site.close();
    await closeBrowser();
  }
}

async function startFarm(phone) {
  await phone.tap(words["welcome.start"]);
  await phone.fill(words["start.farm"], "Quince Hollow");
  await phone.fill(words["start.you"], "Imke");
  await phone.tap(words["start.go"]);
  await phone.settle();
}

// The demo farm, as one of its pruners, with a count open.
async function countInDemo(phone) {
  await phone.tap(words["welcome.demo"]);
  await phone.see("heading", words["who.title"]);
  await phone.tap(/^Priya/);
  if (await phone.title() !== "Priya" && await phone.find("button", /^Lower Bench/).count()) {
    await phone.tap(/^Lower Bench/);
  }
  await phone.tap(words["part.home"]); // the demo counts some limbs; these tests the whole tree
  await phone.tap(words["part.whole"]);
}

const spursShown = async (phone) => {
  const pad = phone.find("button", /^Tap/).first();
  return Number.parseInt(await pad.getAttribute("aria-description"), 10);
};

export default [
  {
    name: "graphics lost before the first frame stood were taken for none at all",
    run: async () => {
      const site = await serveSite();
      const context = await newContext(contextOf());
      try {
        await context.addInitScript(() => {
          const own = HTMLCanvasElement.prototype.getContext;
          HTMLCanvasElement.prototype.getContext = function getContext(kind, ...wanted) {
            const made = own.call(this, kind, ...wanted);
            if (kind !== "webgl" || globalThis.taken) return made;
            globalThis.taken = made.getExtension("WEBGL_lose_context");
            requestAnimationFrame(() => globalThis.taken.loseContext());
            return made;
          };
        });
        const phone = await openPhone(site.origin, { context });
        await phone.page.evaluate(() => globalThis.taken.restoreContext());
        await phone.settle();
        await phone.tap(words["welcome.start"]);
        await phone.see("heading", words["start.title"]);
      } finally {
        await context.close();
        await site.close();
        await closeBrowser();
      }
    },
  },
  {
    name: "an empty phone starts a farm, and it is there after a reload",
    browsers: BOTH,
    run: () => withPhone(async (phone) => {
      assert.equal(await phone.title(), words["welcome.title"]);
      await startFarm(phone);
      const title = await phone.title();
      assert.notEqual(title, words["start.title"]);
      await phone.page.reload();
      await phone.ready();
      assert.equal(await phone.title(), title);
    }),
  },
  {
    name: "the demo farm takes sixty taps of a stalled second, and keeps nothing",
    browsers: BOTH,
    run: () => withPhone(async (phone) => {
      await countInDemo(phone);
      const { x, y } = await phone.place(phone.find("button", /^Tap/));
      const frames = await phone.page.evaluate(([px, py]) => {
        const canvas = document.getElementById("canvas");
        const before = Nthtree.app._nthtree_frames();
        const started = performance.now();
        for (let i = 0; i < 60; i += 1) {
          const touch = new Touch({ identifier: i, target: canvas, clientX: px, clientY: py });
          const now = { touches: [touch], targetTouches: [touch], changedTouches: [touch],
            cancelable: true, bubbles: true };
          canvas.dispatchEvent(new TouchEvent("touchstart", now));
          canvas.dispatchEvent(new TouchEvent("touchend", { ...now, touches: [],
            targetTouches: [] }));
          while (performance.now() - started < (i + 1) * 16) { /* stalled */ }
        }
        return Nthtree.app._nthtree_frames() - before;
      }, [x, y]);
      assert.equal(frames, 0);
      await phone.settle();
      assert.equal(await spursShown(phone), 60);
      await phone.page.reload();
      await phone.ready();
      assert.equal(await phone.title(), words["welcome.title"]);
    }),
  },
  {
    name: "an idle app draws no frame in ten seconds",
    run: () => withPhone(async (phone) => {
      await countInDemo(phone);
      await phone.page.waitForTimeout(1500);
      await phone.settle();
      const before = await phone.frames();
      await phone.page.waitForTimeout(10000);
      assert.equal(await phone.frames(), before);
    }),
  },
  {
    name: "a tap was drawn four times over: now once for the finger down and once for it up",
    run: () => withPhone(async (phone) => {
      await countInDemo(phone);
      const { x, y } = await phone.place(phone.find("button", /^Tap/));
      await phone.touch(x, y); // the first tap of a count changes its lines
      await phone.settle();
      const before = await phone.frames();
      for (let tap = 0; tap < 10; tap += 1) {
        await phone.touch(x, y);
        await phone.settle();
      }
      const drawn = await phone.frames() - before;
      assert.ok(drawn >= 10 && drawn <= 20, `${drawn} frames for ten taps`);
      assert.equal(await spursShown(phone), 11);
    }),
  },
  {
    name: "the browser's back button goes back in the app, and the app's own keeps in step",
    run: () => withPhone(async (phone) => {
      await phone.tap(words["welcome.start"]);
      await phone.page.goBack();
      await phone.settle();
      assert.equal(await phone.title(), words["welcome.title"]);
      await phone.tap(words["welcome.start"]);
      await phone.tap(words["frame.back"]);
      assert.equal(await phone.title(), words["welcome.title"]);
      await phone.tap(words["welcome.start"]);
      await phone.page.goBack();
      await phone.settle();
      assert.equal(await phone.title(), words["welcome.title"]);
    }),
  },
  {
    name: "when the app falls, a page that can be read gives the counts out",
    run: () => withPhone(async (phone) => {
      await startFarm(phone);
      await phone.page.evaluate(() => Nthtree.bridge.fall(new WebAssembly.RuntimeError("a test")));
      await phone.page.getByRole("heading", { name: "The app has stopped" }).waitFor();
      const [file] = await Promise.all([
        phone.page.waitForEvent("download"),
        phone.page.getByRole("button", { name: "Save a copy of all counts" }).click(),
      ]);
      const text = await readFile(await file.path(), "utf8");
      assert.match(text, /Quince Hollow/);
      await phone.page.getByRole("button", { name: "Start again" }).click();
      await phone.ready();
      assert.notEqual(await phone.title(), words["welcome.title"]);
    }, { ignore: [/a test/] }),
  },
];
