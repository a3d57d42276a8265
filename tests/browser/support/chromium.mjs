// SPDX-License-Identifier: Apache-2.0
//
// A real Chromium with a profile on the disk. An ordinary automation context is a private window
// and keeps IndexedDB in memory, so nothing about saving can be shown with it.
//
//   const chromium = await openChromium();      // a new profile; or openChromium({ profile })
//   const page = await chromium.newPage();
//   await chromium.kill();                       // -9, all of it; the profile stays
//   await chromium.close();                      // ends it and removes a profile of its own
import { spawn } from "node:child_process";
import { access, mkdtemp, readFile, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { chromium as playwright } from "playwright-core";

// Pages of the browser's own that it makes ready behind the address bar of each new window, with as
// much work as the app's own start; no phone has them.
export const DESKTOP_ONLY = ["WebUIOmniboxPopup", "WebUIOmniboxAimPopup", "WebUIOmniboxFullPopup"];
const FLAGS = [
  "--no-sandbox", "--use-gl=angle", "--use-angle=swiftshader", "--enable-unsafe-swiftshader",
  "--headless", "--disable-background-networking", "--disable-component-update",
  "--disable-sync", "--no-first-run", "--no-default-browser-check", "--disable-default-apps",
  "--remote-debugging-port=0", "--window-size=390,844",
  `--disable-features=${DESKTOP_ONLY}`,
];
const START_MS = 60000;

export const pause = (ms) => new Promise((resolve) => setTimeout(resolve, ms));

async function portOf(profile, child) {
  const file = join(profile, "DevToolsActivePort");
  for (const started = Date.now(); Date.now() - started < START_MS; await pause(25)) {
    if (child.exitCode !== null) throw new Error(`Chromium ended with ${child.exitCode}`);
    const text = await readFile(file, "utf8").catch(() => "");
    if (/^\d+\n/.test(text)) return Number(text.split("\n")[0]);
  }
  throw new Error("Chromium did not start");
}

export async function openChromium({ profile = null, flags = [] } = {}) {
  const own = profile === null;
  const folder = profile ?? (await mkdtemp(join(tmpdir(), "nthtree-profile-")));
  // Left over from a killed browser they would name a port, or an owner, that is no more.
  for (const name of ["DevToolsActivePort", "SingletonLock", "SingletonCookie",
    "SingletonSocket"]) {
    await rm(join(folder, name), { force: true });
  }
  const executable = process.env.NTHTREE_CHROMIUM ?? "/usr/bin/chromium";
  await access(executable);
  const child = spawn(executable, [...FLAGS, ...flags, `--user-data-dir=${folder}`, "about:blank"],
    { stdio: "ignore", detached: true }); // a process group of its own, to be ended as a whole
  const ended = new Promise((resolve) => child.once("exit", resolve));
  const kill = () => {
    try {
      process.kill(-child.pid, "SIGKILL");
    } catch {
      // Gone already.
    }
    return ended;
  };
  const browser = await portOf(folder, child)
    .then((port) => playwright.connectOverCDP(`http://127.0.0.1:${port}`))
    .catch(async (error) => {
      await kill(); // a browser too slow to be of use must not run on
      throw error;
    });
  const context = browser.contexts()[0];
  context.setDefaultTimeout(60000);
  let over = false;

  async function end() {
    if (over) return;
    over = true;
    await kill();
    await browser.close().catch(() => {});
  }
  return {
    browser, context, profile: folder, pid: child.pid,
    newPage: () => context.newPage(),
    // As a dead battery or the system does it: no event, no chance to save.
    kill: end,
    async close() {
      await end();
      if (own) await rm(folder, { recursive: true, force: true, maxRetries: 5 });
    },
  };
}
