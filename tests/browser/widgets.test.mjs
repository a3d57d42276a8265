// SPDX-License-Identifier: Apache-2.0
//
// What the widget layer and the shell promise, on the gallery of widgets: taps are counted however
// slow the frames, an idle screen draws nothing, a lost graphics context comes back, the keyboard and
// the mirror reach everything.
import assert from "node:assert/strict";
import { BOTH, closeBrowser, openPhone, SIZES } from "./support/browser.mjs";
import { gallerySite, serveSite } from "./support/static_site.mjs";

async function withGallery(work, options = {}) {
  const site = await serveSite(gallerySite());
  const phone = await openPhone(site.origin, { fragment: "gallery", ...options });
  try {
    await work(phone, site);
    assert.deepEqual(phone.troubles, [], "the page reported errors");
  } finally {
    await phone.close();
    await site.close();
    await closeBrowser();
  }
}

const padNumber = async (phone) => {
  const pad = phone.find("button", "Tap for each spur");
  return Number.parseInt(await pad.getAttribute("aria-description"), 10);
};

// Sixty TouchEvents inside one task: no frame can come between them. (Taps through the debugging
// protocol are aligned with frames and would hide a merge.)
const stallAndTap = (phone, { x, y }, taps) => phone.page.evaluate(([px, py, count]) => {
  const canvas = document.getElementById("canvas");
  const started = performance.now();
  const frames = Nthtree.app._nthtree_frames();
  for (let i = 0; i < count; i += 1) {
    const touch = new Touch({ identifier: i, target: canvas, clientX: px, clientY: py });
    const now = { touches: [touch], targetTouches: [touch], changedTouches: [touch],
      cancelable: true, bubbles: true };
    canvas.dispatchEvent(new TouchEvent("touchstart", now));
    canvas.dispatchEvent(new TouchEvent("touchend", { ...now, touches: [], targetTouches: [] }));
    while (performance.now() - started < (i + 1) * (1000 / count)) { /* the stalled second */ }
  }
  return Nthtree.app._nthtree_frames() - frames;
}, [x, y, taps]);

const withLongList = (work) => withGallery(async (phone) => {
  await phone.tap("Long list");
  await work(phone);
});

// How far the list is scrolled, px. A few rows beyond its view are in the mirror too.
const scrolled = (phone) => phone.page.evaluate(() => {
  const [first, second] = [...document.querySelectorAll("#mirror li button")];
  const top = (row) => row.getBoundingClientRect().y;
  const before = Number(first.textContent.match(/tree (\d+)/)[1]) - 1;
  return before * (top(second) - top(first)) - top(first);
});

// A drag of 300 px upwards whose moves came `everyMs` apart and lie in one task of the browser.
async function dragAtOnce(phone, { everyMs, stillMs }) {
  await phone.page.evaluate(([every, still]) => {
    const canvas = document.getElementById("canvas");
    let at = performance.now() - 5000;
    const send = (type, y, later) => {
      const touch = new Touch({ identifier: 1, target: canvas, clientX: 180, clientY: y });
      const down = type === "touchend" ? [] : [touch];
      const event = new TouchEvent(type, { touches: down, targetTouches: down,
        changedTouches: [touch], cancelable: true, bubbles: true });
      Object.defineProperty(event, "timeStamp", { value: at += later });
      canvas.dispatchEvent(event);
    };
    send("touchstart", 600, 0);
    for (let y = 580; y >= 300; y -= 40) send("touchmove", y, every);
    send("touchend", 300, still);
  }, [everyMs, stillMs]);
  await phone.settle();
  assert.equal(await phone.title(), "Long list", "the drag pressed a row");
}

export default [
  {
    name: "sixty taps within one stalled second are sixty",
    run: () => withGallery(async (phone) => {
      await phone.tap("Count");
      const place = await phone.place(phone.find("button", "Tap for each spur"));
      const frames = await stallAndTap(phone, place, 60);
      assert.equal(frames, 0, "a frame came between: this tests nothing");
      await phone.settle();
      assert.equal(await padNumber(phone), 60);
    }),
  },
  {
    name: "taps and save in one stalled moment keep their order",
    run: () => withGallery(async (phone) => {
      await phone.tap("Count");
      await phone.tap("Tap for each spur");
      const pad = await phone.place(phone.find("button", "Tap for each spur"));
      const save = await phone.place(phone.find("button", "Save"));
      await phone.page.evaluate(([a, b]) => {
        const canvas = document.getElementById("canvas");
        for (const [i, { x, y }] of [a, a, b, a, a, a].entries()) {
          const touch = new Touch({ identifier: i, target: canvas, clientX: x, clientY: y });
          const now = { touches: [touch], targetTouches: [touch], changedTouches: [touch],
            cancelable: true, bubbles: true };
          canvas.dispatchEvent(new TouchEvent("touchstart", now));
          canvas.dispatchEvent(new TouchEvent("touchend", { ...now, touches: [],
            targetTouches: [] }));
        }
      }, [pad, save]);
      await phone.settle();
      assert.equal(await padNumber(phone), 3);
    }),
  },
  {
    name: "two fingers on the pad at once are two taps",
    run: () => withGallery(async (phone) => {
      await phone.tap("Count");
      const { x, y } = await phone.place(phone.find("button", "Tap for each spur"));
      await phone.page.evaluate(([px, py]) => {
        const canvas = document.getElementById("canvas");
        const finger = (identifier, at) => new Touch({ identifier, target: canvas, clientX: at,
          clientY: py });
        const send = (type, all, changed) => canvas.dispatchEvent(new TouchEvent(type, {
          touches: all, targetTouches: all, changedTouches: changed, cancelable: true,
          bubbles: true }));
        const [a, b] = [finger(1, px - 60), finger(2, px + 60)];
        send("touchstart", [a], [a]);
        send("touchstart", [a, b], [b]);
        send("touchend", [b], [a]);
        send("touchend", [], [b]);
      }, [x, y]);
      await phone.settle();
      assert.equal(await padNumber(phone), 2);
    }),
  },
  {
    name: "an idle screen draws no frame in ten seconds",
    run: () => withGallery(async (phone) => {
      await phone.tap("Count");
      await phone.settle();
      const before = await phone.frames();
      await phone.page.waitForTimeout(10000);
      assert.equal(await phone.frames(), before);
    }),
  },
  {
    name: "a lost graphics context comes back, and taps count meanwhile",
    run: () => withGallery(async (phone) => {
      await phone.tap("Count");
      await phone.tap("Tap for each spur");
      const brightness = () => phone.page.screenshot().then((png) => png.length);
      const before = await brightness();
      const place = await phone.place(phone.find("button", "Tap for each spur"));
      await phone.page.evaluate(() => {
        const gl = document.getElementById("canvas").getContext("webgl");
        globalThis.taken = gl.getExtension("WEBGL_lose_context");
        globalThis.taken.loseContext();
      });
      await phone.page.waitForTimeout(200);
      for (let i = 0; i < 4; i += 1) await phone.touch(place.x, place.y);
      await phone.page.waitForTimeout(300);
      await phone.page.evaluate(() => globalThis.taken.restoreContext());
      await phone.settle();
      assert.equal(await padNumber(phone), 5);
      const error = await phone.page.evaluate(() =>
        document.getElementById("canvas").getContext("webgl").getError());
      assert.equal(error, 0);
      const after = await brightness();
      assert.ok(Math.abs(after - before) < before * 0.3, `the picture is another: ${before} ${after}`);
    }),
  },
  {
    name: "a drag scrolls as far as the finger went, and presses nothing",
    run: () => withLongList(async (phone) => {
      const before = await scrolled(phone);
      const client = await phone.context.newCDPSession(phone.page);
      const touch = (type, y) => client.send("Input.dispatchTouchEvent", {
        type, touchPoints: type === "touchEnd" ? [] : [{ x: 180, y }] });
      await touch("touchStart", 600);
      for (let y = 580; y >= 300; y -= 40) await touch("touchMove", y);
      await touch("touchEnd");
      await phone.settle();
      assert.equal(await phone.title(), "Long list", "the drag pressed a row");
      // Further only where the machine was quick enough for a glide.
      assert.ok(await scrolled(phone) - before >= 299, `it moved ${await scrolled(phone)}`);
    }),
  },
  {
    name: "a slow drag that a busy browser told of all at once was flung far away",
    run: () => withLongList(async (phone) => {
      const before = await scrolled(phone);
      await dragAtOnce(phone, { everyMs: 100, stillMs: 200 });
      assert.equal(Math.round(await scrolled(phone) - before), 300);
    }),
  },
  {
    name: "a quick drag glides on, and no further for being told of all at once",
    run: () => withLongList(async (phone) => {
      const before = await scrolled(phone);
      await dragAtOnce(phone, { everyMs: 40, stillMs: 10 });
      // 1 px per ms that halves every 220 ms: 220 ÷ ln 2 = 317 px beyond the finger's 300.
      const moved = await scrolled(phone) - before;
      assert.ok(moved > 450 && moved < 700, `it moved ${moved}`);
    }),
  },
  {
    name: "rotation and another size lay everything out again",
    run: () => withGallery(async (phone) => {
      await phone.tap("Count");
      await phone.tap("Tap for each spur");
      await phone.page.setViewportSize(SIZES.landscape);
      await phone.page.waitForTimeout(200);
      await phone.settle();
      assert.equal(await padNumber(phone), 1);
      const canvas = await phone.page.evaluate(() => {
        const { width, height } = document.getElementById("canvas");
        return [width, height];
      });
      assert.deepEqual(canvas, [1480, 720]);
      const box = await phone.find("button", "Save").boundingBox();
      assert.ok(box.y + box.height <= 360);
    }),
  },
  {
    name: "text is typed into a real input field, and the value comes back into it",
    browsers: BOTH,
    run: () => withGallery(async (phone) => {
      await phone.tap("Controls");
      await phone.fill("Name", "Ñusta Łucja");
      assert.equal(await phone.find("textbox", "Name").inputValue(), "Ñusta Łucja");
      await phone.tap("Back");
      await phone.tap("Controls");
      assert.equal(await phone.find("textbox", "Name").inputValue(), "Ñusta Łucja");
    }),
  },
  {
    name: "the keyboard alone reaches and presses everything",
    run: () => withGallery(async (phone) => {
      const { page } = phone;
      const focused = () => page.evaluate(() => document.activeElement?.textContent ?? "");
      for (let i = 0; i < 12 && (await focused()) !== "Controls"; i += 1) {
        await page.keyboard.press("Tab");
      }
      assert.equal(await focused(), "Controls");
      await page.keyboard.press("Enter");
      await phone.settle();
      assert.equal(await phone.title(), "Controls");
      for (let i = 0; i < 40 && (await focused()) !== "Buzz on each tap"; i += 1) {
        await page.keyboard.press("Tab");
        await phone.settle();
      }
      const toggle = phone.find("switch", "Buzz on each tap");
      assert.equal(await toggle.getAttribute("aria-checked"), "true");
      const box = await toggle.boundingBox();
      assert.ok(box.y > 56 && box.y + box.height < 740, "what has the focus is in view");
      await page.keyboard.press("Space");
      await phone.settle();
      assert.equal(await toggle.getAttribute("aria-checked"), "false");
    }, { touch: false }),
  },
  {
    name: "below a question nothing can be reached, and its answer counts",
    run: () => withGallery(async (phone) => {
      await phone.tap("Count");
      await phone.tap("Tap for each spur");
      await phone.tap("Undo");
      await phone.see("dialog", "Drop this count?");
      const reachable = await phone.page.evaluate(() =>
        [...document.querySelectorAll("#mirror button")].filter((e) => !e.closest("[inert]")).length);
      assert.equal(reachable, 2);
      await phone.tap("Keep counting");
      assert.equal(await padNumber(phone), 1);
    }),
  },
  {
    name: "a report is put on paper without running what is in it",
    run: () => withGallery(async (phone) => {
      const [paper, ran] = await phone.page.evaluate(() => {
        Nthtree.device.print("<h1>Day</h1><script>window.top.ran = 1</" +
          "script><table><tr><td>12</td></tr></table>");
        return [document.getElementById("paper").contentDocument.body.textContent,
          globalThis.ran];
      });
      assert.equal(paper, "Day12");
      assert.equal(ran, undefined);
    }),
  },
  {
    name: "a verdict is announced once",
    run: () => withGallery(async (phone) => {
      const hears = (word) => phone.page.waitForFunction((begin) =>
        document.getElementById("said").textContent.startsWith(begin), word);
      await phone.tap("Reading");
      await hears("Harder");
      await phone.page.waitForTimeout(400); // what is said within 300 ms is read together
      await phone.tap("Light", { role: "radio" });
      await hears("Lighter");
      const said = await phone.page.locator("#said").textContent();
      assert.match(said, /^Lighter: \+9 spurs a tree/);
    }),
  },
];
