// SPDX-License-Identifier: Apache-2.0
//
// A screen for browsers that draw nothing without one: the machine's, or a virtual one (Xvfb) that goes
// with us.
//
//   spawn(browser, [], { env: { ...process.env, DISPLAY: await screenName() } });
//   await closeScreen();                                 // at the very end
import { spawn } from "node:child_process";

const SCREEN_MS = 10000;

let screen = null; // { child, name }

export async function screenName() {
  if (process.env.DISPLAY) return process.env.DISPLAY;
  if (screen) return screen.name;
  const child = spawn("Xvfb", ["-displayfd", "3", "-screen", "0", "1440x1280x24",
    "-nolisten", "tcp"], { stdio: ["ignore", "ignore", "ignore", "pipe"] });
  const number = await new Promise((resolve, reject) => {
    setTimeout(() => reject(new Error("Xvfb gave no screen")), SCREEN_MS).unref();
    child.once("error", (error) => reject(new Error(`no Xvfb (tools/setup): ${error.message}`)));
    child.once("exit", (status) => reject(new Error(`Xvfb ended with ${status}`)));
    child.stdio[3].once("data", (data) => resolve(String(data).trim()));
  });
  child.unref();
  child.stdio[3].unref();
  process.once("exit", () => child.kill());
  screen = { child, name: `:${number}` };
  return screen.name;
}

export async function closeScreen() {
  screen?.child.kill();
  screen = null;
}
