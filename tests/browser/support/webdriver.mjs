// SPDX-License-Identifier: Apache-2.0
//
// A page driven by WebDriver (W3C Recommendation, https://www.w3.org/TR/webdriver2/), with as much of
// the manner of playwright's Page as the hands of a phone need: roles and names, the mouse, keys,
// functions run in the page. For browsers that playwright does not know.
//
//   const page = await openPage(driverAddress, capabilities);
//   await page.goto(origin);   await page.evaluate((n) => n + 1, 1);
//   await page.locator("#mirror").getByRole("button", { name: "Save" }).first().waitFor();
import { lookUp } from "./in_page.mjs";

const PATIENCE_MS = 60000;
const POLL_MS = 50;
// WebDriver, 17.4.2: keys that are no letters.
const KEYS = { Enter: "\ue007", Tab: "\ue004", Escape: "\ue00c", Space: " ", ArrowDown: "\ue015",
  ArrowUp: "\ue013", PageDown: "\ue00f", PageUp: "\ue00e", Home: "\ue011", End: "\ue010",
  ControlOrMeta: "\ue009", Backspace: "\ue003" };

const pause = (ms) => new Promise((resolve) => setTimeout(resolve, ms));

async function command(address, method, path, body) {
  const answer = await fetch(address + path, { method,
    body: method === "POST" ? JSON.stringify(body ?? {}) : undefined });
  const { value } = await answer.json();
  if (!answer.ok) throw new Error(`${path}: ${value.error} ${value.message}`);
  return value;
}

// Runs in the page; its answer is told by a callback, so that a promise may be waited for.
const wrapped = (work) => `const done = arguments[arguments.length - 1];
  Promise.resolve().then(() => (${work})(...arguments[0]))
    .then((value) => done({ value }), (error) => done({ error: String(error?.stack ?? error) }));`;

const plainName = (name) => (name instanceof RegExp
  ? { source: name.source, flags: name.flags } : name);

// A way to elements, not yet gone: each step narrows down what the one before found.
function locator(page, ways) {
  const with_ = (step) => locator(page, ways.map((way) => [...way, step]));
  const look = (what, argument) => page.evaluate(lookUp, [ways, what, argument]);
  async function attached(timeout = PATIENCE_MS) {
    for (const until = Date.now() + timeout; Date.now() < until; await pause(POLL_MS)) {
      if (await look("count") > 0) return;
    }
    throw new Error(`nothing came of ${JSON.stringify(ways)}`);
  }
  const of = (what, argument) => attached().then(() => look(what, argument));
  return {
    ways,
    first: () => with_({ first: true }),
    locator: (css) => with_({ css }),
    getByRole: (role, { name, exact = false } = {}) => with_({ role, name: plainName(name), exact }),
    getByText: (text) => with_({ text: plainName(text) }),
    or: (other) => locator(page, [...ways, ...other.ways]),
    count: () => look("count"),
    waitFor: ({ timeout } = {}) => attached(timeout),
    boundingBox: () => of("box"),
    textContent: () => of("text"),
    inputValue: () => of("value"),
    getAttribute: (name) => of("attribute", name),
    evaluate: (work, argument) => attached().then(() => page.evaluate(
      `(given) => (${work})((${lookUp})([given[0], "element"]), given[1])`, [ways, argument])),
  };
}

export async function openPage(address, capabilities) {
  const { sessionId } = await command(address, "POST", "/session",
    { capabilities: { alwaysMatch: capabilities } });
  const send = (method, path, body) =>
    command(address, method, `/session/${sessionId}${path}`, body);
  await send("POST", "/timeouts", { script: PATIENCE_MS });

  async function evaluate(work, argument) {
    const { value, error } = await send("POST", "/execute/async",
      { script: wrapped(String(work)), args: [[argument ?? null]] });
    if (error) throw new Error(error);
    return value;
  }
  const act = (type, actions) => send("POST", "/actions",
    { actions: [{ type, id: type, ...(type === "pointer"
      ? { parameters: { pointerType: "mouse" } } : {}), actions }] });
  const move = (x, y) => ({ type: "pointerMove", duration: 0, x: Math.round(x), y: Math.round(y) });
  const stroke = (key) => [{ type: "keyDown", value: key }, { type: "keyUp", value: key }];

  const page = {
    evaluate,
    goto: (url) => send("POST", "/url", { url }),
    reload: () => send("POST", "/refresh"),
    goBack: () => send("POST", "/back"),
    locator: (css) => locator(page, [[{ css }]]),
    getByRole: (role, options) => locator(page, [[]]).getByRole(role, options),
    getByText: (text) => locator(page, [[]]).getByText(text),
    waitForTimeout: pause,
    async waitForFunction(work, argument, { timeout = PATIENCE_MS } = {}) {
      for (const until = Date.now() + timeout; Date.now() < until; await pause(POLL_MS)) {
        // A page that is being left answers nothing.
        if (await evaluate(work, argument).catch(() => false)) return;
      }
      throw new Error(`never true: ${work}`);
    },
    mouse: {
      move: (x, y) => act("pointer", [move(x, y)]),
      click: (x, y) => act("pointer", [move(x, y), { type: "pointerDown", button: 0 },
        { type: "pointerUp", button: 0 }]),
      wheel: (_, deltaY) => evaluate((distance) => document.getElementById("canvas")
        .dispatchEvent(new WheelEvent("wheel", { deltaY: distance, bubbles: true })), deltaY),
    },
    keyboard: {
      press(keys) {
        const parts = keys.split("+").map((key) => KEYS[key] ?? key);
        return act("key", [...parts.map((value) => ({ type: "keyDown", value })),
          ...parts.reverse().map((value) => ({ type: "keyUp", value }))]);
      },
      type: (text) => act("key", [...text].flatMap(stroke)),
    },
    setViewportSize: ({ width, height }) =>
      send("POST", "/window/rect", { width, height }),
    async screenshot({ path, clip } = {}) {
      if (clip) throw new Error("a part of the screen is not offered");
      const bytes = Buffer.from(await send("GET", "/screenshot"), "base64");
      if (path) await (await import("node:fs/promises")).writeFile(path, bytes);
      return bytes;
    },
    close: () => send("DELETE", "").catch(() => {}), // the window is gone before it can say so
  };
  return page;
}
