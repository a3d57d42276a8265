// SPDX-License-Identifier: Apache-2.0
//
// web/worker.js and web/updates.js in a real Chromium: offline start, whole versions or none, pages
// that keep their version, roll-back. The site here is a small one of a few files a version.
import assert from "node:assert/strict";
import { createHash } from "node:crypto";
import { readFile } from "node:fs/promises";
import { openChromium, pause } from "./support/chromium.mjs";
import { listing, openSite, pageWith } from "./support/site.mjs";

const UPDATES = ["updates.js"];
const OURS = await readFile(new URL("../../web/updates.js", import.meta.url), "utf8");

// The files of a version: a page that shows which version it and its late script are of.
function filesOf(version, { boots = true } = {}) {
  return {
    "./": pageWith([...UPDATES, "show.js"], `<h1>page ${version}</h1><p id="script"></p>`),
    "updates.js": OURS,
    "show.js": `document.getElementById("script").textContent = "script ${version}";
      window.NTHTREE_BOOTS = ${boots};`,
    "late.js": `window.LATE = "late ${version}";`,
    "engine.wasm": "\0asm\u0001\0\0\0",
    "data/words.json": `{"version":"${version}"}`,
    "rescue.html": `<!doctype html><title>rescue ${version}</title>`,
  };
}

const TYPES = { wasm: "application/octet-stream", js: "text/javascript", json: "text/plain" };

// Puts a version on the site; `break` may change what is served without changing what is listed.
function publish(site, version, files, broken = {}) {
  site.set("/files.js", "text/javascript", listing(version, files));
  for (const [url, text] of Object.entries(files)) {
    const path = url === "./" ? "/" : `/${url}`;
    const type = TYPES[url.split(".").pop()] ?? "text/html; charset=utf-8";
    if (broken[url]) site.set(path, broken[url]);
    else site.set(path, type, text);
  }
}

async function withSite(work) {
  const site = await openSite();
  const chromium = await openChromium();
  const open = async (path = "/") => {
    const page = await chromium.newPage();
    await page.goto(site.origin + path);
    return page;
  };
  try {
    await work({ site, open, chromium });
  } finally {
    await chromium.close();
    await site.close();
  }
}

// First visit, worker installed and in charge, version confirmed; gives back a page of it.
async function settle({ site, open }, version = "one") {
  publish(site, version, filesOf(version));
  const first = await open();
  await first.evaluate(async () => {
    await Nthtree.updates.start();
    await navigator.serviceWorker.ready;
  });
  await first.waitForFunction(() => navigator.serviceWorker.ready
    .then((registration) => registration.active?.state === "activated"));
  await first.close();
  const page = await open();
  await page.evaluate(() => Nthtree.updates.start());
  await page.evaluate(() => Nthtree.updates.booted());
  return page;
}

const shown = (page) => page.evaluate(() => [document.querySelector("h1").textContent,
  document.getElementById("script").textContent]);
const cachesOf = (page) => page.evaluate(async () => (await caches.keys()).sort());

// Asks for the new version and says how that ended: "waiting", or why it did not install.
const look = (page) => page.evaluate(async () => {
  const registration = await navigator.serviceWorker.ready;
  const ended = new Promise((resolve) => {
    const follow = (worker) => {
      const told = () => ["installed", "redundant"].includes(worker.state) &&
        resolve(worker.state === "installed" ? "waiting" : "refused");
      worker.addEventListener("statechange", told);
      told();
    };
    registration.addEventListener("updatefound", () => follow(registration.installing));
    setTimeout(() => resolve("nothing new"), 5000);
  });
  await registration.update().catch(() => {});
  return ended;
});

async function eventually(question, wanted) {
  let seen;
  for (let n = 0; n < 100; n++) {
    seen = await question();
    if (JSON.stringify(seen) === JSON.stringify(wanted)) return;
    await pause(50);
  }
  assert.deepEqual(seen, wanted);
}

export default [
  {
    name: "the second visit needs no network: pages, scripts, data and the rescue page",
    run: () => withSite(async ({ site, open, chromium }) => {
      await settle({ site, open });
      await site.close(); // not "offline" by the browser's word: nobody listens any more
      const page = await open();
      assert.deepEqual(await shown(page), ["page one", "script one"]);
      const answers = await page.evaluate(async () => Promise.all(
        ["engine.wasm", "data/words.json", "late.js"].map(async (url) => {
          const response = await fetch(url);
          return [response.status, response.headers.get("content-type"),
            response.headers.get("content-security-policy")?.slice(0, 18)];
        })));
      assert.deepEqual(answers, [
        [200, "application/wasm", "default-src 'none'"],
        [200, "application/json", "default-src 'none'"],
        [200, "text/javascript; charset=utf-8", "default-src 'none'"]]);
      const deep = await open("/some/place?x=1#join=abc");
      assert.deepEqual(await shown(deep), ["page one", "script one"]);
      assert.equal(deep.url(), `${site.origin}/?x=1#join=abc`);
      const rescue = await open("/rescue.html");
      assert.equal(await rescue.title(), "rescue one");
      assert.ok(chromium.pid > 0);
    }),
  },
  {
    name: "nothing below /v1/ is kept or answered from the cache",
    run: () => withSite(async ({ site, open }) => {
      let answered = 0;
      site.set("/v1/pull", (_, response) => {
        answered += 1;
        response.setHeader("content-type", "application/json");
        response.end(`{"answer":${answered}}`);
      });
      const page = await settle({ site, open });
      const ask = () => page.evaluate(() => fetch("/v1/pull").then((r) => r.json()));
      assert.deepEqual([await ask(), await ask()], [{ answer: 1 }, { answer: 2 }]);
      const kept = await page.evaluate(async () => {
        const urls = [];
        for (const name of await caches.keys()) {
          for (const request of await (await caches.open(name)).keys()) urls.push(request.url);
        }
        return urls.filter((url) => url.includes("/v1/") || url.endsWith("worker.js"));
      });
      assert.deepEqual(kept, []);
    }),
  },
  {
    name: "a new version waits, the open page keeps its own files, and apply() takes it whole",
    run: () => withSite(async ({ site, open }) => {
      const page = await settle({ site, open });
      await page.evaluate(() => {
        window.ready = new Promise((resolve) => {
          Nthtree.updates.onReady = resolve;
        });
      });
      publish(site, "two", filesOf("two"));
      assert.equal(await look(page), "waiting");
      assert.equal(await page.evaluate(() => window.ready), "two");
      // Still the old version, also for a page that opens now.
      const beside = await open();
      assert.deepEqual(await shown(beside), ["page one", "script one"]);
      const late = (from) => from.evaluate(async () => {
        const [script, words] = await Promise.all([fetch("late.js").then((r) => r.text()),
          fetch("data/words.json").then((r) => r.json())]);
        return [script.match(/late \w+/)[0], words.version];
      });
      assert.deepEqual(await late(page), ["late one", "one"]);
      const reloaded = page.waitForEvent("load");
      await page.evaluate(() => void Nthtree.updates.apply());
      await reloaded;
      assert.deepEqual(await shown(page), ["page two", "script two"]);
      assert.deepEqual(await late(page), ["late two", "two"]);
      // The tab that was open beside it still asks for its own version and gets it.
      assert.deepEqual(await late(beside), ["late one", "one"]);
      assert.equal(await beside.evaluate(() => Nthtree.updates.version()), "one");
      assert.equal(await page.evaluate(() => Nthtree.updates.version()), "two");
      await page.evaluate(() => Nthtree.updates.booted());
      await beside.close();
      await page.evaluate(() => Nthtree.updates.booted());
      await eventually(() => cachesOf(page), ["nthtree-state", "nthtree-two"]);
    }),
  },
  {
    name: "the previous version is kept until the new one has booted",
    run: () => withSite(async ({ site, open }) => {
      const page = await settle({ site, open });
      publish(site, "two", filesOf("two"));
      assert.equal(await look(page), "waiting");
      const reloaded = page.waitForEvent("load");
      await page.evaluate(() => void Nthtree.updates.apply());
      await reloaded;
      await pause(300);
      assert.deepEqual(await cachesOf(page), ["nthtree-one", "nthtree-state", "nthtree-two"]);
      await page.evaluate(() => Nthtree.updates.booted());
      await eventually(() => cachesOf(page), ["nthtree-state", "nthtree-two"]);
    }),
  },
  ...[
    ["a changed byte", (text) => (_, response) => response.end(text.replace("late", "late "))],
    ["a file cut short", (text) => (_, response) => response.end(text.slice(0, -3))],
    ["a broken connection", () => (_, response) => response.destroy()],
    ["an error page", () => (_, response) => {
      response.statusCode = 503;
      response.end("later");
    }],
    ["a captive portal", () => (_, response) => {
      response.writeHead(302, { location: "/portal.html" });
      response.end();
    }],
  ].map(([fault, breakIt]) => ({
    name: `${fault} in the download leaves the old version running, and a later try succeeds`,
    run: () => withSite(async ({ site, open }) => {
      site.set("/portal.html", "text/html", "<h1>Welcome to the hotel</h1>");
      const page = await settle({ site, open });
      const files = filesOf("two");
      publish(site, "two", files, { "late.js": breakIt(files["late.js"]) });
      assert.equal(await look(page), "refused");
      await page.reload();
      assert.deepEqual(await shown(page), ["page one", "script one"]);
      assert.deepEqual(await cachesOf(page), ["nthtree-one", "nthtree-state"]);
      publish(site, "two", files);
      assert.equal(await look(page), "waiting");
      const reloaded = page.waitForEvent("load");
      await page.evaluate(() => Nthtree.updates.start().then(() => Nthtree.updates.apply()));
      await reloaded;
      assert.deepEqual(await shown(page), ["page two", "script two"]);
    }),
  })),
  {
    name: "an unchanged file is not fetched again, and a wrongly kept one is",
    run: () => withSite(async ({ site, open }) => {
      const page = await settle({ site, open });
      await page.evaluate(async () => {
        const cache = await caches.open("nthtree-one");
        await cache.put("data/words.json", new Response("{}"));
      });
      const files = { ...filesOf("two"), "data/words.json": filesOf("one")["data/words.json"] };
      publish(site, "two", files);
      site.requests.length = 0;
      assert.equal(await look(page), "waiting");
      const fetched = site.requests.map((request) => request.url);
      assert.ok(!fetched.includes("/engine.wasm"), "the same bytes were there");
      assert.ok(fetched.includes("/data/words.json"), "the kept copy was not what it should be");
      const kept = await page.evaluate(async () => {
        const cache = await caches.open("nthtree-two");
        return (await (await cache.match("data/words.json")).text());
      });
      assert.equal(createHash("sha256").update(kept).digest("hex"),
        createHash("sha256").update(files["data/words.json"]).digest("hex"));
    }),
  },
  {
    name: "a version that never boots gives way to the one before, and a newer one is tried again",
    run: () => withSite(async ({ site, open }) => {
      const page = await settle({ site, open });
      publish(site, "bad", filesOf("bad", { boots: false }));
      assert.equal(await look(page), "waiting");
      const reloaded = page.waitForEvent("load");
      await page.evaluate(() => void Nthtree.updates.apply());
      await reloaded; // first opening
      const seen = [(await shown(page))[0]];
      for (let n = 0; n < 4; n++) {
        await pause(100);
        await page.reload();
        seen.push((await shown(page))[0]);
      }
      assert.deepEqual(seen, ["page bad", "page bad", "page bad", "page one", "page one"]);
      await page.evaluate(() => Nthtree.updates.booted()); // the old one boots; that counts not
      await page.reload();
      assert.deepEqual(await shown(page), ["page one", "script one"]);
      assert.equal((await page.evaluate(() => fetch("late.js").then((r) => r.text()))),
        filesOf("one")["late.js"]);
      publish(site, "three", filesOf("three"));
      assert.equal(await look(page), "waiting");
      const again = page.waitForEvent("load");
      await page.evaluate(() => Nthtree.updates.start().then(() => Nthtree.updates.apply()));
      await again;
      assert.deepEqual(await shown(page), ["page three", "script three"]);
      await page.evaluate(() => Nthtree.updates.booted());
      await eventually(() => cachesOf(page), ["nthtree-state", "nthtree-three"]);
    }),
  },
  {
    name: "a version that boots is never given up, however often it is opened",
    run: () => withSite(async ({ site, open }) => {
      const page = await settle({ site, open });
      publish(site, "two", filesOf("two"));
      assert.equal(await look(page), "waiting");
      const reloaded = page.waitForEvent("load");
      await page.evaluate(() => void Nthtree.updates.apply());
      await reloaded;
      await page.evaluate(() => Nthtree.updates.booted());
      await eventually(() => cachesOf(page), ["nthtree-state", "nthtree-two"]);
      for (let n = 0; n < 5; n++) await page.reload();
      assert.deepEqual(await shown(page), ["page two", "script two"]);
    }),
  },
  {
    name: "a cache swept away by the browser: the page comes whole from the network, kept again",
    run: () => withSite(async ({ site, open }) => {
      const page = await settle({ site, open });
      await page.evaluate(() => caches.delete("nthtree-one"));
      await page.reload();
      assert.deepEqual(await shown(page), ["page one", "script one"]);
      await eventually(async () => (await cachesOf(page)).includes("nthtree-one"), true);
      await pause(300);
      await site.close();
      await page.reload();
      assert.deepEqual(await shown(page), ["page one", "script one"]);
    }),
  },
];
