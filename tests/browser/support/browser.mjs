// SPDX-License-Identifier: Apache-2.0
//
// A phone in a test: Debian's Chromium, its Firefox or its WebKitGTK, with a screen of a given size,
// and hands that find controls by role and name in the mirror and then tap the canvas where they
// lie. Storage is in memory (an automation context is a private window); support/chromium.mjs,
// firefox.mjs and webkit.mjs have a profile on disk. A test that names several browsers is run in
// each by run.mjs.
//
//   const phone = await openPhone(site.origin, { size: SIZES.portrait, fragment: "gallery" });
//   await phone.tap("Save");   await phone.tap("Ana", { role: "button" });
//   await phone.see("heading", "Row 4, tree 17");
//   await phone.picture("count.png");   await phone.close();
import { chromium } from "playwright-core";
import { DESKTOP_ONLY } from "./chromium.mjs";
import { openFirefox } from "./firefox.mjs";
import { closeScreen } from "./screen.mjs";
import { openWebkit } from "./webkit.mjs";

export const SIZES = {
  portrait: { width: 360, height: 740 }, tall: { width: 390, height: 844 },
  landscape: { width: 740, height: 360 }, tablet: { width: 820, height: 1180 },
  desktop: { width: 1280, height: 800 }, office: { width: 1440, height: 900 },
};
// The page is put together without the graphics chip, which would be played in software: a tenth of
// all work. WebGL is as ever, and support/chromium.mjs has the other way.
const FLAGS = ["--no-sandbox", "--use-gl=angle", "--use-angle=swiftshader", "--no-first-run",
  "--enable-unsafe-swiftshader", "--disable-background-networking", "--disable-gpu-compositing"];
// What playwright leaves out, told again because a second list replaces the first one; and what no
// phone has.
const LEFT_OUT = ["AvoidUnnecessaryBeforeUnloadCheckSync", "DestroyProfileOnBrowserClose",
  "DialMediaRouteProvider", "GlobalMediaControls", "HttpsUpgrades", "LensOverlay", "MediaRouter",
  "PaintHolding", "ThirdPartyStoragePartitioning", "BlockOriginHeaderModificationOnRedirect",
  "Translate", "AutoDeElevate", "OptimizationHints", "NetworkTimeServiceQuerying", "AimEnabled",
  "SpareRendererForSitePerProcess", ...DESKTOP_ONLY];
const PATIENCE_MS = 60000; // costs nothing where the machine is free
const NEVER_MS = 120000; // what the browser has not answered by then, it never will
const CLOSING_MS = 30000;

export const BOTH = ["chromium", "firefox"];
export const ALL = [...BOTH, "webkit"];

let present = "chromium";
export const browserName = () => present;
export function useBrowser(name) {
  present = name;
}

let shared = null; // one browser for the phones of all tests
let firefox = null; // one for all tests: it takes seconds to start

const launch = (flags = []) => chromium.launch({
  executablePath: process.env.NTHTREE_CHROMIUM ?? "/usr/bin/chromium",
  args: [...FLAGS, `--disable-features=${LEFT_OUT}`, ...flags],
});

async function browser() {
  if (present === "firefox") return (firefox ??= await openFirefox()).browser;
  shared ??= await launch();
  return shared;
}

// What comes of it, or an error that says what was waited for: playwright sets such waits no limit.
async function answered(what, promise) {
  let timer;
  const late = new Promise((_, reject) => {
    timer = setTimeout(() => reject(new Error(`${what}: no answer in ${NEVER_MS} ms`)), NEVER_MS);
  });
  return Promise.race([promise, late]).finally(() => clearTimeout(timer));
}

// Whether that settles in time.
async function within(ms, promise) {
  let timer;
  const late = new Promise((resolve) => { timer = setTimeout(resolve, ms, false); });
  const settled = await Promise.race([promise.then(() => true, () => true), late]);
  clearTimeout(timer);
  return settled;
}

// A page that reloads itself just as its context is closed (another tab has ended, and it is the
// writer now) leaves both waiting for each other for ever: such a browser is given up.
function endsInTime(context) {
  const close = context.close.bind(context);
  context.close = async () => {
    if (await within(CLOSING_MS, close())) return;
    console.log("# a context did not close: its browser is ended");
    if (context.browser() === shared) shared = null;
    await within(CLOSING_MS, context.browser().close());
  };
  context.setDefaultTimeout(PATIENCE_MS);
  return context;
}

export const newContext = async (options) =>
  endsInTime(await answered("a new context", (await browser()).newContext(options)));

// At the end of a test: its phones go, with all they kept; the browser stays for the next one, since
// a start takes as long as a short test.
export async function closeBrowser() {
  for (const context of shared?.contexts() ?? []) await context.close();
  if (!shared?.isConnected()) shared = null; // it fell: the next test begins with a new one
}

// At the end of all tests.
export async function closeAll() {
  await shared?.close();
  shared = null;
  await firefox?.close();
  firefox = null;
  await closeScreen();
}

// What a context is made with, to be a phone of this size. Firefox is no mobile browser here, and
// its touches cannot be driven: it gets a mouse, and TouchEvents where a test sends them.
export const contextOf = ({ size = SIZES.portrait, pixelRatio = 2, locale = "en-US",
  touch = true } = {}) => ({ viewport: size, deviceScaleFactor: pixelRatio, locale,
  ...(present === "chromium" ? { hasTouch: touch, isMobile: touch } : {}) });

// A WebKit of its own: it knows no contexts.
async function openWebkitPhone(address, size) {
  const webkit = await openWebkit({ size });
  await webkit.page.goto(address);
  const phone = makePhone(webkit.page, webkit);
  await phone.ready();
  return phone;
}

// With flags (a camera, say) the phone has a Chromium of its own, which ends with it.
export async function openPhone(origin, { size = SIZES.portrait, fragment = "", pixelRatio = 2,
  locale = "en-US", touch = true, query = "", context: given = null, flags = null } = {}) {
  const address = `${origin}/${query}${fragment ? `#${fragment}` : ""}`;
  if (present === "webkit") return openWebkitPhone(address, size);
  const own = flags ? await launch(flags) : null;
  const context = given ?? endsInTime(await answered("a new context",
    (own ?? await browser()).newContext(contextOf({ size, pixelRatio, locale, touch }))));
  context.setDefaultTimeout(PATIENCE_MS);
  const page = await answered("a new page", context.newPage());
  const troubles = [];
  page.on("pageerror", (error) => troubles.push(String(error)));
  page.on("console", (message) => {
    if (message.type() === "error") troubles.push(message.text());
  });
  await page.goto(address);
  const phone = makePhone(page, context, troubles,
    touch && present === "chromium" ? page.touchscreen : null);
  if (own) phone.close = () => own.close();
  await phone.ready();
  return phone;
}

// The hands. `page` may come from anywhere, as long as the app runs in it. `fingers`: what taps,
// page.touchscreen or the like; the mouse where there is none.
export function makePhone(page, context, troubles = [], fingers = null) {
  const touch = (x, y) => answered("a tap",
    fingers ? fingers.tap(x, y) : page.mouse.click(x, y));
  const find = (role, name, options = {}) => page.locator("#mirror").getByRole(role,
    { name, exact: typeof name === "string" && !options.part });

  async function ready() {
    await page.waitForFunction(() => {
      const passed = (mark) => performance.getEntriesByName(mark).length > 0;
      const loaded = globalThis.NTHTREE_FRAGMENT === "gallery" || passed("nthtree-loaded");
      return (passed("nthtree-usable") && loaded) || document.getElementById("crash");
    }, null, { timeout: PATIENCE_MS });
    if (await page.locator("#crash").count()) {
      throw new Error(`the app fell: ${await page.locator("#crash").textContent()}`);
    }
    await settle();
  }

  // Until no tap, frame or change of the mirror is to come, and the screen takes taps; `drawn`: or
  // is too new for that, where no finger presses next. First the browser tells of what it tells of
  // by the next frame, such as another size.
  const untilRest = ([poll, polls, atRest]) => new Promise((done) => {
    let quiet = 0;
    const look = () => {
      quiet = atRest.includes(globalThis.Nthtree?.app?._nthtree_busy()) ? quiet + 1 : 0;
      if (quiet > polls || document.getElementById("crash")) done();
      else setTimeout(look, poll);
    };
    const anyway = setTimeout(look, 1000); // a hidden page has no frames
    requestAnimationFrame(() => requestAnimationFrame(() => {
      clearTimeout(anyway);
      look();
    }));
  });
  const rest = (drawn) => answered("a screen at rest",
    page.evaluate(untilRest, [20, 4, drawn ? [0, 2] : [0]]));

  // A page may reload itself meanwhile, where its graphics do not come back (a machine out of
  // breath): then the new one is waited for.
  async function settle({ drawn = false } = {}) {
    try {
      await rest(drawn);
    } catch (error) {
      if (!/context was destroyed|navigat/i.test(String(error))) throw error;
      await ready();
    }
  }

  // The middle of a control in view; scrolls the page like a wheel until it is. Asked for in one
  // question, since each is a way to the browser and back: where it lies, which part of the screen
  // scrolls, and whether a finger may press (`takes`).
  async function place(locator) {
    for (let tries = 0; tries < 40; tries += 1) {
      const { box, view, inBar, takes } = await locator.first().evaluate((element) => {
        const { x, y, width, height } = element.getBoundingClientRect();
        const main = document.querySelector("#mirror main")?.getBoundingClientRect();
        return { box: element.getClientRects().length > 0 ? { x, y, width, height } : null,
          view: main ? { y: main.y, height: main.height } : null,
          inBar: element.closest("header, nav, footer, [role=dialog], [role=status]") !== null,
          takes: globalThis.Nthtree?.app?._nthtree_busy() === 0 };
      }, null, { timeout: PATIENCE_MS });
      if (!box || !view) { // between two screens
        await settle();
        continue;
      }
      const x = box.x + box.width / 2;
      const y = box.y + box.height / 2;
      if (inBar || (y > view.y + 4 && y < view.y + view.height - 4)) return { x, y, takes };
      const middle = view.y + view.height / 2;
      await page.mouse.move(x, middle);
      await page.mouse.wheel(0, Math.round(Math.max(-400, Math.min(400, y - middle))));
      await settle();
    }
    throw new Error("the control never came into view");
  }

  // A screen that came by itself, with an answer of the hub say, is as new as one that a tap opened.
  const takesTaps = () => page.waitForFunction(() =>
    document.getElementById("crash") || !globalThis.Nthtree?.app?._nthtree_busy(),
  null, { timeout: PATIENCE_MS });

  async function tapLocator(locator) {
    const { x, y, takes } = await place(locator);
    if (!takes) await takesTaps();
    await touch(x, y);
    await settle();
  }

  // A button by default; other roles by name.
  const tap = (name, { role = "button", part = false } = {}) =>
    tapLocator(find(role, name, { part }));

  const see = (role, name, options) => find(role, name, options).first()
    .waitFor({ state: "attached", timeout: PATIENCE_MS });

  async function fill(name, text) {
    await tapLocator(find("textbox", name));
    await page.waitForFunction(() => document.activeElement?.matches("#mirror input, textarea"));
    await page.keyboard.press("ControlOrMeta+a");
    await page.keyboard.type(text);
    await page.evaluate(() => document.activeElement.blur());
    await settle();
  }

  // All that is on the screen, as a list of [role, name], in reading order.
  const screen = () => page.evaluate(() => [...document.querySelectorAll("#mirror *")].map((e) =>
    [e.getAttribute("role") ?? e.tagName.toLowerCase(),
      e.getAttribute("aria-label") ?? (e.children.length ? "" : e.textContent)]));

  const title = () => page.locator("#mirror h1").first().textContent();
  const frames = () => page.evaluate(() => Nthtree.app._nthtree_frames());
  const taps = () => page.evaluate(() => Nthtree.app._nthtree_taps());
  const picture = (path) => page.screenshot({ path });
  const close = () => context.close();

  return { page, context, troubles, ready, settle, find, place, touch, tap, tapLocator, see, fill, screen,
    title, frames, taps, picture, close };
}
