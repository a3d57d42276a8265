// SPDX-License-Identifier: Apache-2.0
//
// A page of a phone's size on a processor slowed so many times, with hands; and the numbers of a
// list of times.
//
//   const slow = await slowPage(chromium, 6);          // {page, session, phone}
//   spread(times)                                      // "median 2.8 ms, p95 11.2 ms"
import { makePhone, SIZES } from "../../tests/browser/support/browser.mjs";

const sorted = (list) => [...list].sort((a, b) => a - b);
export const quantile = (list, share) => sorted(list)[Math.min(list.length - 1,
  Math.floor(list.length * share))];
export const spread = (list, digits = 1) => `median ${quantile(list, 0.5).toFixed(digits)} ms, p95 ${
  quantile(list, 0.95).toFixed(digits)} ms`;

export async function slowPage(chromium, rate, network = null) {
  const page = await chromium.newPage();
  page.setDefaultTimeout(180000);
  const session = await page.context().newCDPSession(page);
  await session.send("Emulation.setDeviceMetricsOverride",
    { ...SIZES.tall, deviceScaleFactor: 2, mobile: true });
  await session.send("Emulation.setTouchEmulationEnabled", { enabled: true, maxTouchPoints: 5 });
  await session.send("Emulation.setCPUThrottlingRate", { rate });
  await session.send("Performance.enable", { timeDomain: "threadTicks" });
  if (network) {
    await session.send("Network.enable");
    await session.send("Network.emulateNetworkConditions", { offline: false, ...network });
  }
  const fingers = { tap: async (x, y) => {
    await session.send("Input.dispatchTouchEvent", { type: "touchStart", touchPoints: [{ x, y }] });
    await session.send("Input.dispatchTouchEvent", { type: "touchEnd", touchPoints: [] });
  } };
  return { page, session, phone: makePhone(page, null, [], fingers) };
}

// Until the app has set this mark: when that was, in milliseconds of the page. By the browser's protocol
// alone, since a library's way puts a third of a megabyte of script into the page that is measured.
export async function passed(session, mark) {
  const { result } = await session.send("Runtime.evaluate", { awaitPromise: true,
    expression: `new Promise((done) => {
      new PerformanceObserver((list) => {
        const [entry] = list.getEntriesByName("${mark}");
        if (entry) done(entry.startTime);
      }).observe({ type: "mark", buffered: true });
    })` });
  return result.value;
}

// Milliseconds that the page's main thread worked since it was opened.
export async function workedMs(session) {
  const { metrics } = await session.send("Performance.getMetrics");
  return 1000 * metrics.find(({ name }) => name === "TaskDuration").value;
}
