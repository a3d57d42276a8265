// SPDX-License-Identifier: Apache-2.0
//
// A tap on the count pad of the demo farm: from the finger's touch, as the browser stamps it, to
// the end of the frame that shows it; the app's own work in each frame; and what the page's main
// thread did for a tap in all.
//
//   const { painted, frames, worked } = await tapToPainted(slowPage, 60);   // milliseconds
import { pause } from "../../tests/browser/support/chromium.mjs";
import { timeFrames } from "./scrolling.mjs";
import { workedMs } from "./slow_page.mjs";

const BETWEEN_MS = 200;

async function openPad(phone) {
  await phone.tap(/^Look at the demo farm/);
  await phone.tap(/^Priya/);
  if (await phone.title() === "Which block?") await phone.tap(/^Lower Bench/);
  await phone.tap("Count limbs"); // as the demo plans it; the pad of a whole tree is the larger one
  await phone.tap("Count the whole tree instead");
  return phone.place(phone.find("button", "Tap: plus one"));
}

// Runs in the page.
function timeTouches() {
  globalThis.painted = [];
  addEventListener("touchstart", (event) => {
    const frames = Nthtree.app._nthtree_frames();
    const look = () => requestAnimationFrame(() => {
      // The app asked for its frame first; a task after this one runs when it is painted.
      const { port1, port2 } = new MessageChannel();
      port1.onmessage = () => {
        if (Nthtree.app._nthtree_frames() === frames) return look();
        return globalThis.painted.push(performance.now() - event.timeStamp);
      };
      port2.postMessage(0);
    });
    look();
  });
}

// The app must be usable. worked: of the main thread, a tap, with all that follows it. holdMs: how
// long the finger stays; people's fingers stay for about a tenth of a second.
export async function tapToPainted({ page, session, phone }, taps, holdMs = 0) {
  const { x, y } = await openPad(phone);
  await page.evaluate(timeTouches);
  await timeFrames(page);
  const before = await workedMs(session);
  for (let tap = 0; tap < taps; tap += 1) {
    await session.send("Input.dispatchTouchEvent", { type: "touchStart", touchPoints: [{ x, y }] });
    if (holdMs > 0) await pause(holdMs);
    await session.send("Input.dispatchTouchEvent", { type: "touchEnd", touchPoints: [] });
    await pause(BETWEEN_MS);
  }
  const worked = (await workedMs(session) - before) / taps;
  await phone.settle();
  const [painted, frames] = await page.evaluate(() => [globalThis.painted, globalThis.frameTimes]);
  return { painted, frames, worked };
}
