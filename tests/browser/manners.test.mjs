// SPDX-License-Identifier: Apache-2.0
//
// How the app behaves beside its tasks: where a screen begins, what Escape does, where a screen
// reader goes on, what two fingers do, what is said of a phone that stands alone.
import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { ALL, closeBrowser, newContext, openPhone, SIZES } from "./support/browser.mjs";
import { withFarm, withHands } from "./support/farm.mjs";
import { gallerySite, serveSite } from "./support/static_site.mjs";

const on = (folder, work, options = {}) => async () => {
  const site = await serveSite(folder);
  const context = options.context ? await newContext(options.context) : null;
  if (options.before) await context.addInitScript(options.before);
  const phone = withHands(await openPhone(site.origin, { ...options, context }));
  try {
    await work(phone);
    assert.deepEqual(phone.troubles, [], "the page reported errors");
  } finally {
    await phone.close();
    await site.close();
    await closeBrowser();
  }
};
const onGallery = (work, options) => on(gallerySite(), work, { fragment: "gallery", ...options });
const onEmptyPhone = (work, options) => on(undefined, work, options);
const onFarm = (work) => async () => {
  try {
    await withFarm(work);
  } finally {
    await closeBrowser();
  }
};

const startFarm = async (phone) => {
  await phone.tap(/^Start a farm/);
  await phone.fill("Name of the farm", "North Slope");
  await phone.fill("Your name", "Robin");
  await phone.tap("Start the farm");
  await phone.see("heading", "North Slope");
};
const small = { viewport: SIZES.portrait, hasTouch: true, isMobile: true };
const IPHONE = "Mozilla/5.0 (iPhone; CPU iPhone OS 18_5 like Mac OS X) AppleWebKit/605.1.15 " +
  "(KHTML, like Gecko) Version/18.5 Mobile/15E148 Safari/604.1";

export default [
  {
    name: "a phone without a hub had a struck-out cloud and unsent records for ever",
    browsers: ALL,
    run: onEmptyPhone(async (phone) => {
      await startFarm(phone);
      assert.equal(await phone.shows("unsent"), false);
    }),
  },
  {
    name: "a screen said that something was saved where nothing had been",
    run: onFarm(async ({ phone }) => {
      await phone.beSomebody("Priya", "Lower Bench");
      await phone.tap("Count this tree");
      await phone.tapMany("Tap: plus one", 30);
      await phone.save(30);
      await phone.sees(/^Saved/);
      await phone.tap("Done");
      await phone.tap(/^My day/);
      await phone.sees(/^Row \d+, tree \d+/);
      assert.equal(await phone.shows("Saved"), false);
    }),
  },
  {
    name: "a screen began where it had been left, and not at its top",
    run: onGallery(async (phone) => {
      const top = async () => (await phone.page.locator("#mirror li button").first()
        .boundingBox()).y;
      await phone.tap("Long list");
      const before = await top();
      await phone.page.evaluate(() => Nthtree.bridge.scroll(3000));
      await phone.settle();
      await phone.tap("Back");
      await phone.tap("Long list");
      assert.equal(await top(), before);
    }),
  },
  {
    name: "Escape goes back, and out of a question with a no",
    browsers: ALL,
    run: onFarm(async ({ phone }) => {
      await phone.beSomebody("Priya", "Lower Bench");
      await phone.tap("Count this tree");
      await phone.tapMany("Tap: plus one", 3);
      await phone.tap("Throw away");
      await phone.see("dialog", /./);
      await phone.page.keyboard.press("Escape");
      await phone.see("button", "Save 3");
      await phone.settle();
      await phone.page.keyboard.press("Escape");
      await phone.see("button", "Go on counting");
      await phone.settle();
      await phone.page.keyboard.press("Escape"); // nowhere to go back to: it stays
      await phone.settle();
      await phone.see("button", "Go on counting");
    }),
  },
  {
    name: "on a new screen the focus is at its heading",
    browsers: ALL,
    run: onGallery(async (phone) => {
      const focused = () => phone.page.evaluate(() => document.activeElement.textContent);
      await phone.tap("Controls");
      assert.equal(await focused(), "Controls");
      await phone.tap("Back");
      assert.equal(await focused(), await phone.title());
    }),
  },
  {
    name: "two fingers zoom the page, but not on the pad, where each of them counts",
    run: onGallery(async (phone) => {
      const client = await phone.context.newCDPSession(phone.page);
      const scale = () => phone.page.evaluate(() => visualViewport.scale);
      const touch = (type, ...xs) => client.send("Input.dispatchTouchEvent",
        { type, touchPoints: xs.map(([x, y], id) => ({ x, y, id })) });
      const pinch = async (x, y) => {
        await touch("touchStart", [x - 30, y]);
        await touch("touchStart", [x - 30, y], [x + 30, y]);
        for (let by = 38; by <= 110; by += 8) await touch("touchMove", [x - by, y], [x + by, y]);
        await touch("touchEnd");
        await phone.settle();
      };
      await phone.tap("Count");
      const pad = await phone.place(phone.find("button", "Tap for each spur"));
      await pinch(pad.x, pad.y);
      assert.equal(await scale(), 1);
      await phone.tap("Back");
      await phone.tap("Reading");
      const title = await phone.title();
      await pinch(180, 400);
      assert.ok(await scale() > 1.5, `the scale is ${await scale()}`);
      assert.equal(await phone.title(), title, "the pinch pressed something");
    }),
  },
  {
    name: "a touch that the browser took away counted as a tap",
    run: onGallery(async (phone) => {
      const { x, y } = await phone.place(phone.find("button", "Count"));
      const before = await phone.taps();
      await phone.page.evaluate(([px, py]) => {
        const canvas = document.getElementById("canvas");
        const touch = new Touch({ identifier: 1, target: canvas, clientX: px, clientY: py });
        const send = (type, touches) => canvas.dispatchEvent(new TouchEvent(type, { touches,
          targetTouches: touches, changedTouches: [touch], cancelable: true, bubbles: true }));
        send("touchstart", [touch]);
        send("touchcancel", []);
      }, [x, y]);
      await phone.settle();
      assert.equal(await phone.taps(), before);
    }),
  },
  {
    name: "the finger that was left over from a zoom pressed what it lay on",
    run: onGallery(async (phone) => {
      const { x, y } = await phone.place(phone.find("button", "Count"));
      const before = await phone.taps();
      await phone.page.evaluate(([px, py]) => {
        const canvas = document.getElementById("canvas");
        const [a, b] = [1, 2].map((identifier) => new Touch({ identifier, target: canvas,
          clientX: px, clientY: py }));
        const send = (type, touches, changed) => canvas.dispatchEvent(new TouchEvent(type, {
          touches, targetTouches: touches, changedTouches: [changed], cancelable: true,
          bubbles: true }));
        send("touchstart", [a], a);
        send("touchstart", [a, b], b);
        send("touchend", [b], a);
        send("touchmove", [b], b);
        send("touchend", [], b);
      }, [x, y]);
      await phone.settle();
      assert.equal(await phone.taps(), before);
    }),
  },
  {
    name: "a message covered what was being read",
    run: onGallery(async (phone) => {
      await phone.tap("Count");
      await phone.tap("Tap for each spur");
      await phone.tap("Save");
      const toast = await phone.page.locator("#mirror [data-id=saved]").boundingBox();
      const page = await phone.page.locator("#mirror main").boundingBox();
      assert.ok(toast.y >= page.y + page.height, "it lies over the page");
      const save = await phone.find("button", "Save").boundingBox();
      assert.ok(toast.y + toast.height <= save.y, "it lies over the actions");
    }),
  },
  {
    name: "who asked for less motion sees one code a second",
    run: onFarm(async ({ phone }) => {
      await phone.beSomebody("Priya", "Lower Bench");
      await phone.page.emulateMedia({ reducedMotion: "reduce" });
      await phone.page.reload();
      await phone.ready();
      await phone.tap(/^Settings/);
      await phone.tap(/^Network and storage/);
      await phone.tap(/^Hand/);
      await phone.tap(/code/i);
      await phone.sees(/1 code a second|one code a second/i);
    }),
  },
  {
    name: "on an iPhone it is said how the app gets to the home screen",
    run: onEmptyPhone(async (phone) => {
      await phone.sees(/Share, then “Add to Home Screen”/);
    }, { context: { ...small, userAgent: IPHONE } }),
  },
  {
    name: "where the browser offers it, a button puts the app on the home screen",
    run: onEmptyPhone(async (phone) => {
      await phone.page.evaluate(() => {
        const offer = new Event("beforeinstallprompt");
        offer.prompt = async () => { globalThis.prompted = true; };
        dispatchEvent(offer);
      });
      await phone.tap("Put it on the home screen");
      assert.equal(await phone.page.evaluate(() => globalThis.prompted), true);
      await phone.settle();
      assert.equal(await phone.shows("Put it on the home screen"), false);
    }),
  },
  {
    name: "a clock a year behind was told on a far page: the first screen says it",
    run: onFarm(async ({ phone }) => {
      await phone.page.addInitScript(() => {
        const now = Date.now;
        Date.now = () => now() - 365 * 24 * 3600 * 1000;
      });
      await phone.page.reload();
      await phone.ready();
      await phone.sees(/^This phone’s date is 36\d days off/);
    }),
  },
  {
    name: "a clock a year off was said nowhere where no hub was ever reached",
    browsers: ["chromium", "firefox"],
    run: onEmptyPhone(async (phone) => {
      assert.equal(await phone.shows("This phone says that today is"), false);
      await phone.page.addInitScript(() => {
        const now = Date.now;
        Date.now = () => now() - 366 * 24 * 3600 * 1000;
      });
      await phone.page.reload();
      await phone.ready();
      await phone.sees(/^This phone says that today is .*, but that day is long past/);
      await phone.tap(/^Start a farm/);
      await phone.sees(/^This phone says that today is /);
    }),
  },
  {
    name: "a phone's clock is read off as a rule, as the time zone database has it",
    run: onEmptyPhone(async (phone) => {
      const zones = ["America/Los_Angeles", "America/Toronto", "America/Phoenix", "Europe/Paris",
        "Asia/Kolkata", "America/Santiago", "Pacific/Auckland", "Australia/Adelaide"];
      for (const zone of zones) {
        // The last line of a zone's file is its rule (RFC 8536, 3.3); names of zones are not told.
        const known = (await readFile(`/usr/share/zoneinfo/${zone}`, "latin1")).trim().split("\n")
          .at(-1).replace(/<[^>]+>|[A-Z]{3,}/g, "");
        const context = await newContext({ ...small, timezoneId: zone });
        const page = await context.newPage();
        await page.goto(new URL(phone.page.url()).origin);
        await page.waitForFunction(() => globalThis.Nthtree?.device);
        const rule = await page.evaluate(() => Nthtree.device.zoneRule());
        await context.close();
        // The offset of summer may be left out where it is one hour ahead, as in all of these.
        assert.equal(rule.replace(/^<[^>]+>/, "").replace(/<[^>]+>[^,]*/, ""), known, zone);
      }
    }),
  },
  {
    name: "a phone that may keep nothing was left without a way on",
    run: async () => {
      const site = await serveSite();
      const context = await newContext(small);
      await context.addInitScript(() => {
        globalThis.open_ = IDBFactory.prototype.open;
        IDBFactory.prototype.open = () => { throw new DOMException("denied", "SecurityError"); };
      });
      const page = await context.newPage();
      try {
        await page.goto(site.origin);
        const mirror = page.locator("#mirror");
        await mirror.getByText(/allow this page to keep data/).waitFor({ state: "attached" });
        // In one go: it tries again by itself too, and then the button is gone.
        await mirror.getByRole("button", { name: "Try again now" }).evaluate((button) => {
          IDBFactory.prototype.open = globalThis.open_;
          button.click();
        });
        await mirror.getByRole("heading", { name: "Nthtree" }).waitFor({ state: "attached" });
      } finally {
        await context.close();
        await site.close();
        await closeBrowser();
      }
    },
  },
];
