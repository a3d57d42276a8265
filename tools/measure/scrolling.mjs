// SPDX-License-Identifier: Apache-2.0
//
// The app's own work in each frame while a finger scrolls a list of 5,000 trees: the gallery's,
// which is drawn by the same code as the app's lists. What the browser draws is not in it.
//
//   const { frames, worked } = await scrollingFrames(slowPage, origin);   // milliseconds
import { readFileSync } from "node:fs";
import { pause } from "../../tests/browser/support/chromium.mjs";
import { workedMs } from "./slow_page.mjs";

// As the page numbers its events.
const BRIDGE = new URL("../../web/bridge.js", import.meta.url);
const FRAME_EVENT = Number(/\bframe: (\d+)/.exec(readFileSync(BRIDGE, "utf8"))[1]);
const DRAGS = 12;
const MOVES = 12;
const STEP_PX = 40;

async function drag(session, x, from) {
  const send = (type, touchPoints) =>
    session.send("Input.dispatchTouchEvent", { type, touchPoints });
  await send("touchStart", [{ x, y: from }]);
  for (let move = 1; move <= MOVES; move += 1) {
    await send("touchMove", [{ x, y: from - move * STEP_PX }]);
  }
  await send("touchEnd", []);
}

// From now on the page keeps how long the app works in each frame, in globalThis.frameTimes.
export const timeFrames = (page) => page.evaluate((frame) => {
  globalThis.frameTimes = [];
  const { app } = Nthtree;
  const send = app._nthtree_event;
  app._nthtree_event = (event, ...rest) => {
    const started = performance.now();
    send(event, ...rest);
    if (event === frame) globalThis.frameTimes.push(performance.now() - started);
  };
}, FRAME_EVENT);

// frames: one time each; worked: of the main thread, in all.
export async function scrollingFrames({ page, session, phone }, origin) {
  await page.goto(`${origin}/#gallery`);
  await phone.ready();
  await phone.tap("Long list");
  await timeFrames(page);
  const before = await workedMs(session);
  for (let turn = 0; turn < DRAGS; turn += 1) {
    await drag(session, 195, 700);
    await pause(300);
  }
  const worked = await workedMs(session) - before;
  await phone.settle();
  return { frames: await page.evaluate(() => globalThis.frameTimes), worked };
}
