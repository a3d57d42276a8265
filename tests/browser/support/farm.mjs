// SPDX-License-Identifier: Apache-2.0
//
// The demo farm behind a real hub, and phones that join it: what the days of pruner, lead and
// manager are played on.
//
//   await withFarm(async ({ phone, hub }) => {
//     await phone.beSomebody("Priya", "Lower Bench");
//     await phone.tap("Count this tree");
//   });
import assert from "node:assert/strict";
import { spawn, spawnSync } from "node:child_process";
import { mkdir, mkdtemp, readFile, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import { hubProgram } from "../faults/hub.mjs";
import { browserName, closeBrowser, contextOf, makePhone, openPhone, SIZES } from "./browser.mjs";
import { openChromium } from "./chromium.mjs";
import { openFirefox } from "./firefox.mjs";
import { openWebkit } from "./webkit.mjs";
import { builtSite } from "./static_site.mjs";

const START_MS = 60000;

const DAY_MS = 24 * 3600 * 1000;
const iso = (ms) => new Date(ms).toISOString().slice(0, 10);

// The Monday on which pruning began, so many days ago or up to six more.
function mondayAgo(days) {
  const then = new Date(Date.now() - days * DAY_MS);
  return then.getTime() - (then.getUTCDay() + 6) % 7 * DAY_MS;
}

// The demo farm with last week's dates: evidence of a season long gone is no evidence today.
// practice: as the trade does it, every 50th tree in part. seasons: {count, day}: so many of the
// three, the last one as it stood on its day-th day (0: pruning begins).
function freshFarm(folder, { practice = false, seasons = null }) {
  const begun = mondayAgo(seasons?.day ?? 7);
  const made = spawnSync(join(dirname(hubProgram()), "nthtree_scenario"),
    ["--out", folder, "--start", iso(begun), ...(practice ? ["--practice", "50"] : []),
      ...(seasons ? ["--seasons", `${seasons.count}`, "--until", iso(begun + seasons.day * DAY_MS)]
        : [])], { encoding: "utf8" });
  if (made.status !== 0) throw new Error(`no demo farm: ${made.stderr}`);
  return join(folder, seasons ? "oxbow_lantern_seasons"
    : practice ? "oxbow_lantern_every_50th" : "oxbow_lantern");
}

// People of the demo farm under other names: {Priya: "Προκόπης"}.
async function rename(farm, names) {
  const file = join(farm, "farm.jsonl");
  let records = await readFile(file, "utf8");
  for (const [old, name] of Object.entries(names)) {
    records = records.replace(`"name":"${old}","role"`, `"name":${JSON.stringify(name)},"role"`);
  }
  await writeFile(file, records);
}

// A hub with the demo farm in an empty store, on a free port of the loopback.
async function openFarmHub(folder, options = {}) {
  const farm = freshFarm(join(folder, "scenario"), options);
  await rename(farm, options.names ?? {});
  const child = spawn(hubProgram(), ["--data", join(folder, "data"), "--site", builtSite(),
    "--scenario", farm, "--listen", "127.0.0.1:0", "--role", "manager"],
  { stdio: ["ignore", "pipe", "inherit"], detached: true });
  const ended = new Promise((resolve) => child.once("exit", resolve));
  let said = "";
  const hub = { port: 0, code: () => [...said.matchAll(/join code: (\S+)\n/g)].at(-1)?.[1] };
  await new Promise((resolve, reject) => {
    const timer = setTimeout(() => reject(new Error("the hub did not start")), START_MS);
    child.stdout.on("data", (text) => {
      said += text;
      const port = /listening on http:\/\/127\.0\.0\.1:(\d+)/.exec(said);
      if (!port || !hub.code()) return;
      hub.port = Number(port[1]);
      clearTimeout(timer);
      resolve();
    });
    child.once("exit", (status) => reject(new Error(`the hub ended with ${status}`)));
  });
  hub.origin = `http://127.0.0.1:${hub.port}`;
  hub.kill = async () => {
    if (child.exitCode === null && !child.signalCode) process.kill(-child.pid, "SIGKILL");
    await ended;
  };
  return hub;
}

// What people do at the start of their day.
export function withHands(phone) {
  phone.join = async (code) => {
    if (await phone.title() !== "Join a farm") await phone.tap(/^Join a farm/);
    await phone.fill("Join code", code);
    await phone.tap("Join");
    await phone.see("heading", "Who are you?");
  };
  phone.beSomebody = async (name, block) => {
    await phone.tap(new RegExp(`^${name}\\b`));
    if (!block) return;
    await phone.see("heading", "Which block?");
    await phone.tap(new RegExp(`^${block}\\b`));
  };
  // Taps fast and without waiting for frames, as a thumb does.
  phone.tapMany = async (name, times) => {
    const { x, y } = await phone.place(phone.find("button", name));
    for (let i = 0; i < times; i += 1) await phone.touch(x, y);
    await phone.settle();
  };
  // Where one tap was meant.
  phone.tapTwice = async (name, afterMs = 150) => {
    const { x, y } = await phone.place(phone.find("button", name));
    await phone.touch(x, y);
    await phone.page.waitForTimeout(afterMs);
    await phone.touch(x, y);
    await phone.settle();
  };
  phone.typeDigits = async (digits) => {
    for (const digit of digits) await phone.tap(digit);
  };
  // The small counts of a test are asked about, as slips of a finger are.
  phone.save = async (number) => {
    const name = `Save ${number}`;
    await phone.tap(name);
    const yes = phone.page.locator("#mirror").getByRole("dialog").getByRole("button", { name });
    if (await yes.count() > 0) await phone.tapLocator(yes);
  };
  // A text, or what describes a control, such as an error beside its field.
  phone.sees = (text) => {
    const mirror = phone.page.locator("#mirror");
    const described = typeof text === "string"
      ? mirror.locator(`[aria-description*="${text}"]`) : mirror.getByText(text);
    return mirror.getByText(text).or(described).first()
      .waitFor({ state: "attached", timeout: 60000 });
  };
  phone.shows = (name) => phone.page.locator("#mirror").evaluate((mirror, wanted) =>
    [...mirror.querySelectorAll("*")].some((e) => [e.getAttribute("aria-label"),
      e.getAttribute("aria-description"), e.value, e.children.length ? "" : e.textContent]
      .some((text) => typeof text === "string" && text.includes(wanted))), name);
  // The same, as soon as it is there: what stands in a list's row is a label, no text.
  phone.showsSoon = async (name) => {
    for (let tries = 0; tries < 150; tries += 1) {
      if (await phone.shows(name)) return;
      await phone.page.waitForTimeout(200);
    }
    assert.fail(`not shown: ${name}`);
  };
  return phone;
}

// On the manager's page of phones: a join code for another one.
export async function codeFor(phone, name) {
  await phone.tap("Let a phone join");
  await phone.fill("Name of the phone", name);
  await phone.tap("Make a code");
  await phone.sees("Good once, for");
  const code = await phone.page.locator("#mirror").evaluate((mirror) =>
    /[A-Z0-9]{5}-[A-Z0-9]{5}/.exec(mirror.textContent +
      [...mirror.querySelectorAll("[aria-label]")].map((e) => e.ariaLabel).join(" "))[0]);
  await phone.tap("Done");
  return code;
}

// From the first screen of somebody who holds the phone.
export async function setPin(phone, digits) {
  await phone.tap(/^Settings/);
  await phone.tap(/^PIN on this phone/);
  await phone.typeDigits(digits);
  await phone.tap("Next");
  await phone.sees("Type the same digits again.");
  await phone.typeDigits(digits);
  await phone.tap("Set the PIN");
  await phone.sees("The PIN is set on this phone.");
}

// A joined phone in the demo farm, in a private window (nothing outlives it). Drawn in software, so
// with few pixels; day_sizes has them as dense as a phone's. joins: false leaves it at the first
// screen.
export async function withFarm(work, options = {}) {
  const folder = await mkdtemp(join(tmpdir(), "nthtree-day-"));
  const hub = await openFarmHub(folder, options);
  let phone = null;
  try {
    phone = withHands(await openPhone(hub.origin, { pixelRatio: 1, ...options }));
    if (options.joins !== false) await phone.join(hub.code());
    await work({ phone, hub, folder });
  } finally {
    await phone?.close();
    await hub.kill();
    await rm(folder, { recursive: true, force: true, maxRetries: 5 });
  }
}

// A day of one phone on the demo farm, as a test: no error of the page goes unsaid.
//
//   export default [day("counts a tree", async ({ phone, hub }) => { … })];
export const day = (name, work, options) => ({ name, run: async () => {
  try {
    await withFarm(async (all) => {
      await work(all);
      assert.deepEqual(all.phone.troubles, [], "the page reported errors");
    }, options);
  } finally {
    await closeBrowser();
  }
} });

async function openLastingWebkit(profile) {
  const webkit = await openWebkit({ profile, size: SIZES.tall });
  return { ...webkit, newPage: async () => webkit.page };
}

const LASTING = {
  chromium: (profile) => openChromium({ profile }),
  firefox: (profile) => openFirefox({ profile, options: contextOf({ size: SIZES.tall }) }),
  webkit: openLastingWebkit,
};
const openLasting = (profile) => LASTING[browserName()](profile);

// Chromium's own touches by its protocol: a context of a profile is made without a touch screen.
async function fingersOf(page, pixelRatio) {
  if (browserName() !== "chromium") return null;
  const session = await page.context().newCDPSession(page);
  await session.send("Emulation.setDeviceMetricsOverride",
    { ...SIZES.tall, deviceScaleFactor: pixelRatio, mobile: true });
  await session.send("Emulation.setTouchEmulationEnabled", { enabled: true, maxTouchPoints: 5 });
  // What is under way to a browser that is killed would be waited for without end.
  const gone = new Promise((_, reject) => {
    page.once("close", () => reject(new Error("the page is gone")));
  });
  gone.catch(() => {});
  const send = (type, touchPoints) => Promise.race([gone,
    session.send("Input.dispatchTouchEvent", { type, touchPoints })]);
  return { tap: async (x, y) => {
    await send("touchStart", [{ x, y }]);
    await send("touchEnd", []);
  } };
}

// The same with a profile on the disk, so that the browser can be killed and started again. With as
// few pixels.
export async function withLastingFarm(work) {
  const folder = await mkdtemp(join(tmpdir(), "nthtree-day-"));
  const hub = await openFarmHub(folder);
  const profile = join(folder, "profile");
  await mkdir(profile);
  let lasting = await openLasting(profile);
  const open = async ({ onAnswer = () => {}, pixelRatio = 1 } = {}) => {
    const page = await lasting.newPage();
    page.on?.("response", (answer) => onAnswer(new URL(answer.url()).pathname, answer.status()));
    const fingers = await fingersOf(page, pixelRatio);
    const troubles = [];
    page.on?.("pageerror", (error) => troubles.push(String(error)));
    await page.goto(hub.origin);
    const phone = withHands(makePhone(page, null, troubles, fingers));
    await phone.ready();
    return phone;
  };
  try {
    // meanwhile(profile) has the disk of the dead browser to itself.
    await work({ hub, open, restart: async (meanwhile = () => {}) => {
      await lasting.kill();
      await meanwhile(profile);
      lasting = await openLasting(profile);
    } });
  } finally {
    await lasting.close();
    await hub.kill();
    await rm(folder, { recursive: true, force: true, maxRetries: 5 });
  }
}
