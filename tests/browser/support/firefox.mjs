// SPDX-License-Identifier: Apache-2.0
//
// Debian's Firefox, driven over WebDriver BiDi. It gives no WebGL without a screen (screen.mjs).
//
//   const firefox = await openFirefox();                 // one for many private contexts
//   const context = await firefox.browser.newContext({ viewport });
//   const lasting = await openFirefox({ profile });      // lasting.context, kept in the profile
//   await lasting.kill();                                // -9, all of it; the profile stays
import { readdir, readFile } from "node:fs/promises";
import { firefox as playwright } from "playwright-core";
import { screenName } from "./screen.mjs";

// The release that Debian ships speaks only BiDi, which playwright calls by this channel.
const LAUNCH = {
  channel: "moz-firefox", headless: false,
  executablePath: process.env.NTHTREE_FIREFOX ?? "/usr/bin/firefox-esr",
  firefoxUserPrefs: {
    "dom.w3c_touch_events.enabled": 1, // TouchEvent on a machine without a touch screen
    "webgl.force-enabled": true, // Mesa draws in software; Firefox would rather not
    "browser.shell.checkDefaultBrowser": false, "datareporting.policy.dataSubmissionEnabled": false,
    "app.update.enabled": false, "browser.sessionstore.resume_from_crash": false,
    "toolkit.startup.max_resumed_crashes": -1, // killed again and again: no safe mode
  },
};

// The browser's own process, found by the profile it was started with.
async function processOf(profile) {
  for (const pid of await readdir("/proc")) {
    if (!/^\d+$/.test(pid)) continue;
    const words = (await readFile(`/proc/${pid}/cmdline`, "utf8").catch(() => "")).split("\0");
    if (words.includes(profile) && !words.includes("-contentproc")) return Number(pid);
  }
  throw new Error("no Firefox runs with this profile");
}

export async function openFirefox({ profile = null, options = {} } = {}) {
  const env = { ...process.env, DISPLAY: await screenName(), MOZ_CRASHREPORTER_DISABLE: "1" };
  if (!profile) {
    const browser = await playwright.launch({ ...LAUNCH, env });
    return { browser, close: () => browser.close() };
  }
  const context = await playwright.launchPersistentContext(profile, { ...LAUNCH, env, ...options });
  context.setDefaultTimeout(20000);
  const pid = await processOf(profile);
  let over = false;
  return {
    context, profile, pid,
    newPage: () => context.newPage(),
    // As a dead battery or the system does it: no event, no chance to save.
    async kill() {
      if (over) return;
      over = true;
      const gone = new Promise((resolve) => context.once("close", resolve));
      process.kill(-pid, "SIGKILL"); // a process group of its own
      await gone;
    },
    async quit() {
      if (over) return;
      over = true;
      await context.close();
    },
    async close() {
      await this.quit();
    },
  };
}
