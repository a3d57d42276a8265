// SPDX-License-Identifier: Apache-2.0
//
// A pruner's day, by role and name: join, count, verdict, the shared phone, and everything that
// happens to a phone in a row (a call, a turn, a dead tab, a lost graphics context, no network).
import assert from "node:assert/strict";
import { ALL, BOTH, SIZES } from "./support/browser.mjs";
import { day, withLastingFarm } from "./support/farm.mjs";

const PAD = "Tap: plus one";
const inBoth = (test) => ({ ...test, browsers: BOTH });
const inAll = (test) => ({ ...test, browsers: ALL });

async function beginCount(phone, who = "Priya") {
  await phone.beSomebody(who, "Lower Bench");
  await phone.sees("Leave on each tree");
  await phone.tap("Count this tree");
  await phone.see("heading", "Count");
}

// Sixty touches inside one task: no frame can come between them.
const stallAndTap = (phone, { x, y }, taps) => phone.page.evaluate(([px, py, count]) => {
  const canvas = document.getElementById("canvas");
  const started = performance.now();
  for (let i = 0; i < count; i += 1) {
    const touch = new Touch({ identifier: i, target: canvas, clientX: px, clientY: py });
    const now = { touches: [touch], targetTouches: [touch], changedTouches: [touch],
      cancelable: true, bubbles: true };
    canvas.dispatchEvent(new TouchEvent("touchstart", now));
    canvas.dispatchEvent(new TouchEvent("touchend", { ...now, touches: [], targetTouches: [] }));
    while (performance.now() - started < (i + 1) * (1000 / count)) { /* the stalled second */ }
  }
}, [x, y, taps]);

export default [
  inAll(day("joins, counts a tree, saves it, and is told what to do", async ({ phone }) => {
    await beginCount(phone);
    await phone.tapMany(PAD, 12);
    await phone.tap("+5");
    await phone.tap("−1");
    await phone.tap("Undo");
    await phone.save(17);
    await phone.sees(/Saved/);
    await phone.sees("This tree");
    await phone.sees("Write on the tag");
    await phone.sees(/17 · Priya/);
    await phone.sees("You in this block");
    await phone.tap("Done");
    await phone.sees("Next tree to count");
    await phone.tap(/^My day/);
    await phone.sees("counted today");
  })),

  day("limb by limb with a running sum, and a typed number", async ({ phone }) => {
    await beginCount(phone);
    await phone.tap("By limb", { role: "tab" });
    await phone.tapMany(PAD, 3);
    await phone.tap("Next limb");
    await phone.tapMany(PAD, 4);
    assert.ok(await phone.shows("2 limbs, 7 in all"));
    await phone.tap("Type", { role: "tab" });
    for (const digit of "188") await phone.tap(digit);
    await phone.save(188);
    await phone.sees(/188 · Priya/);
  }),

  day("two people share a phone: two taps, and no count is lost", async ({ phone }) => {
    await phone.beSomebody("Yusuf", "Mill Side");
    await phone.tap("Count this tree");
    await phone.tapMany(PAD, 7);
    await phone.tap("Yusuf, change person");
    await phone.tap(/^Ingrid/);
    await phone.sees("Ingrid, change person");
    assert.equal(await phone.shows("Save 7"), false);
    await phone.tap("Ingrid, change person");
    await phone.tap(/^Yusuf/);
    await phone.see("button", "Save 7");
  }),

  inBoth(day("sixty taps in one stalled second are sixty", async ({ phone }) => {
    await beginCount(phone);
    await stallAndTap(phone, await phone.place(phone.find("button", PAD)), 60);
    await phone.settle();
    await phone.see("button", "Save 60");
  })),

  inBoth(day("the phone is turned in mid-count", async ({ phone }) => {
    await beginCount(phone);
    await phone.tapMany(PAD, 9);
    await phone.page.setViewportSize(SIZES.landscape);
    await phone.settle();
    await phone.see("button", "Save 9");
    await phone.tapMany(PAD, 2);
    await phone.page.setViewportSize(SIZES.portrait);
    await phone.settle();
    await phone.tapMany(PAD, 1);
    await phone.see("button", "Save 12");
  })),

  inBoth(day("the graphics context is lost while counting: taps count on, the picture comes back",
    async ({ phone }) => {
      await beginCount(phone);
      await phone.tapMany(PAD, 4);
      const place = await phone.place(phone.find("button", PAD));
      await phone.page.evaluate(() => {
        const gl = document.getElementById("canvas").getContext("webgl")
          ?? document.getElementById("canvas").getContext("webgl2");
        globalThis.lost = gl.getExtension("WEBGL_lose_context");
        globalThis.lost.loseContext();
      });
      await phone.page.waitForTimeout(150);
      for (let i = 0; i < 5; i += 1) await phone.touch(place.x, place.y);
      await phone.page.evaluate(() => globalThis.lost.restoreContext());
      await phone.page.waitForTimeout(400);
      await phone.settle();
      await phone.see("button", "Save 9");
    })),

  inBoth(day("two quick back presses go two steps, and the count goes on where it was",
    async ({ phone, hub }) => {
      // Something to go back to when the app is left: Firefox keeps no entry for its empty start.
      await phone.page.goto("about:blank");
      await phone.page.goto(hub.origin);
      await phone.ready();
      // Faster than anybody presses: the second comes before the first one's screen is drawn.
      const backTwice = async () => {
        await phone.page.evaluate(() => {
          history.back();
          setTimeout(() => history.back(), 30);
        });
        await phone.page.waitForTimeout(400);
      };
      await beginCount(phone);
      await phone.tapMany(PAD, 7);
      await phone.tap("Throw away");
      await phone.page.locator("#mirror").getByRole("dialog").first()
        .waitFor({ state: "attached" });
      await backTwice(); // out of the question with a no, and out of the count
      await phone.settle();
      await phone.tap("Go on counting");
      await phone.see("button", "Save 7");
      await phone.tap("Back");

      await phone.tap(/^Settings/);
      await phone.tap(/^Network and storage/);
      await backTwice();
      await phone.settle();
      await phone.sees("Leave on each tree");

      await phone.tap("Go on counting");
      await phone.tapMany(PAD, 1);
      await backTwice(); // out of the count, and out of the app
      await phone.page.waitForFunction(() => location.href === "about:blank");
      await phone.page.evaluate(() => history.forward());
      await phone.page.waitForFunction(() => location.href !== "about:blank");
      await phone.ready();
      await phone.see("button", /^(Save 8|Go on counting)$/);
      if (await phone.shows("Go on counting")) await phone.tap("Go on counting");
      await phone.save(8);
      await phone.sees(/8 · Priya/);
    })),

  day("practice is judged and not recorded", async ({ phone }) => {
    await phone.beSomebody("Priya", "Lower Bench");
    await phone.tap(/^Settings/);
    await phone.tap(/^Practice mode/, { role: "switch" });
    await phone.tap("Back");
    await phone.tap("Count this tree");
    await phone.tapMany(PAD, 5);
    await phone.tap("Done, 5");
    await phone.sees("Practice: not recorded");
    await phone.tap("Done");
    await phone.tap(/^My day/);
    await phone.sees(/No count today/);
  }),

  day("a count is corrected, and another is taken back", async ({ phone }) => {
    await beginCount(phone);
    await phone.tapMany(PAD, 6);
    await phone.save(6);
    await phone.tap("Done");
    await phone.tap(/^My day/);
    await phone.tap(/^Row \d+, tree \d+/);
    await phone.fill("The right number", "160");
    await phone.tap("Keep the correction");
    await phone.sees("My day");
    await phone.tap(/^Row \d+, tree \d+/);
    assert.ok(await phone.shows("160"));
    await phone.tap("Take back this count");
    await phone.page.locator("#mirror").getByRole("dialog").first().waitFor({ state: "attached" });
    const yes = phone.page.locator("#mirror").getByRole("dialog")
      .getByRole("button", { name: "Take back this count" });
    await phone.tapLocator(yes);
    await phone.sees(/No count today/);
  }),

  inAll({ name: "the tab is killed in mid-count: the count goes on where it was", run: () =>
    withLastingFarm(async ({ hub, open, restart }) => {
      let phone = await open();
      await phone.join(hub.code());
      await beginCount(phone);
      await phone.tapMany(PAD, 23);
      await phone.page.waitForTimeout(300);
      await restart();
      phone = await open();
      await phone.see("heading", "Count");
      await phone.see("button", "Save 23");
      await phone.tapMany(PAD, 1);
      await phone.save(24);
      await phone.sees(/Saved/);
      await restart();
      phone = await open();
      await phone.sees("Leave on each tree");
      assert.equal(await phone.shows("Go on counting"), false);
      await phone.tap(/^My day/);
      await phone.tap(/^Row \d+, tree \d+/);
      assert.ok(await phone.shows("24"));
    }) }),

  inAll({ name: "without a network from the start of the day: counted, saved, sent later is said", run: () =>
    withLastingFarm(async ({ hub, open, restart }) => {
      let phone = await open();
      await phone.join(hub.code());
      await phone.beSomebody("Priya", "Lower Bench");
      await phone.page.waitForFunction(() => navigator.serviceWorker.ready
        .then((registration) => registration.active?.state === "activated"));
      await phone.page.waitForTimeout(500);
      await hub.kill();
      await restart();
      phone = await open();
      await phone.sees("Leave on each tree");
      await phone.tap("Count this tree");
      await phone.tapMany(PAD, 11);
      await phone.save(11);
      await phone.sees("Saved on this phone");
      await phone.sees(/1 unsent/);
    }) }),
];
