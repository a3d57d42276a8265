// SPDX-License-Identifier: Apache-2.0
//
// Debian's WebKitGTK, driven over WebDriver: the nearest thing here to an iPhone. Like Firefox it has a
// mouse and no touch screen, and draws nothing without a screen (screen.mjs). Each has a profile on
// the disk; one that was not asked for is removed with it.
//
//   const webkit = await openWebkit({ size: SIZES.tall });     // or { profile }
//   await webkit.page.goto(origin);
//   await webkit.kill();                                        // -9, all of it; the profile stays
import { spawn } from "node:child_process";
import { mkdtemp, rm } from "node:fs/promises";
import { createServer } from "node:net";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { screenName } from "./screen.mjs";
import { openPage } from "./webdriver.mjs";

const START_MS = 30000;
const BROWSER = join(dirname(fileURLToPath(import.meta.url)), "webkit_browser.py");
const DRIVER = process.env.NTHTREE_WEBKIT_DRIVER ?? "/usr/bin/WebKitWebDriver";

const pause = (ms) => new Promise((resolve) => setTimeout(resolve, ms));

const freePort = () => new Promise((resolve) => {
  const server = createServer().listen(0, "127.0.0.1", () => {
    const { port } = server.address();
    server.close(() => resolve(port));
  });
});

async function startDriver() {
  const port = await freePort();
  const driver = spawn(DRIVER, [`--port=${port}`], {
    stdio: "ignore", detached: true, // a process group of its own, the browser in it
    env: { ...process.env, DISPLAY: await screenName(), LIBGL_ALWAYS_SOFTWARE: "1",
      NO_AT_BRIDGE: "1" } });
  let trouble = null;
  driver.once("error", (error) => { trouble = new Error(`no ${DRIVER} (tools/setup): ${error.message}`); });
  const address = `http://127.0.0.1:${port}`;
  for (const until = Date.now() + START_MS; Date.now() < until; await pause(50)) {
    if (trouble) throw trouble;
    if (await fetch(`${address}/status`).then((answer) => answer.ok, () => false)) {
      return { driver, address };
    }
  }
  throw new Error("WebKitWebDriver does not answer");
}

export async function openWebkit({ profile = null, size = { width: 390, height: 844 } } = {}) {
  const folder = profile ?? await mkdtemp(join(tmpdir(), "nthtree-webkit-"));
  const { driver, address } = await startDriver();
  const ended = new Promise((resolve) => driver.once("exit", resolve));
  let over = false;
  async function kill() {
    if (over) return;
    over = true;
    process.kill(-driver.pid, "SIGKILL");
    await ended;
  }
  try {
    const page = await openPage(address, { "webkitgtk:browserOptions": { binary: BROWSER,
      args: [`--profile=${folder}`, `--width=${size.width}`, `--height=${size.height}`] } });
    return { page, profile: folder, kill, async close() {
      await kill();
      if (!profile) await rm(folder, { recursive: true, force: true, maxRetries: 5 });
    } };
  } catch (error) {
    await kill();
    throw error;
  }
}
