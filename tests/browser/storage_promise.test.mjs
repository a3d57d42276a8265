// SPDX-License-Identifier: Apache-2.0
//
// What the app says about how safe stored records are: granted and refused persistence, the signs
// of a private window in the browsers that show any, and a page without https.
import assert from "node:assert/strict";
import { openChromium } from "./support/chromium.mjs";
import { openSite, PARTS, pageWith } from "./support/site.mjs";

async function withPage(work, prepare = null) {
  const site = await openSite();
  site.set("/store", "text/html", pageWith(PARTS));
  const chromium = await openChromium();
  try {
    const page = await chromium.newPage();
    if (prepare) await page.addInitScript(prepare);
    await page.goto(`${site.origin}/store`);
    await page.evaluate(() => Nthtree.store.load(() => {}));
    await work({ page, site, chromium });
  } finally {
    await chromium.close();
    await site.close();
  }
}

const statusOf = (page) => page.evaluate(() => Nthtree.store.status());

// A phone on the yard's network without https: no Web Locks, no service worker, no quota.
async function withoutHttps(work) {
  const site = await openSite();
  site.set("/store", "text/html", pageWith(PARTS));
  const chromium = await openChromium({ flags: ["--host-resolver-rules=MAP farm.test 127.0.0.1"] });
  const open = async () => {
    const page = await chromium.newPage();
    await page.goto(`http://farm.test:${site.port}/store`);
    return page;
  };
  try {
    await work(open);
  } finally {
    await chromium.close();
    await site.close();
  }
}

const loadAndWrite = (page, sequence) => page.evaluate(async (n) => {
  const lines = [];
  await Nthtree.store.load((batch) => lines.push(...batch));
  const outcome = await Nthtree.store.append([{ device: "d", sequence: n, json: `{"n":${n}}` }])
    .then(() => "saved", (error) => error.outcome);
  return [isSecureContext, lines.length, outcome];
}, sequence);

export default [
  {
    name: "without https one tab writes too, a reload keeps the pen, and the next tab takes over",
    run: () => withoutHttps(async (open) => {
      const first = await open();
      assert.deepEqual(await loadAndWrite(first, 1), [false, 0, "saved"]);
      await first.reload();
      assert.deepEqual(await loadAndWrite(first, 2), [false, 1, "saved"]);
      const second = await open();
      assert.deepEqual(await loadAndWrite(second, 3), [false, 2, "read_only"]);
      assert.equal((await statusOf(second)).writer, false);
      const reloaded = second.waitForEvent("load");
      await first.close();
      await reloaded;
      assert.deepEqual(await loadAndWrite(second, 3), [false, 2, "saved"]);
    }),
  },
  {
    name: "an ordinary window is no private one, and promises nothing before it is asked",
    run: () => withPage(async ({ page }) => {
      const { privateWindow, persisted, installed, kept, writer, usage, quota, lost, detail } =
        await statusOf(page);
      assert.deepEqual({ privateWindow, persisted, installed, kept, writer, lost, detail },
        { privateWindow: false, persisted: false, installed: false, kept: "not promised",
          writer: true, lost: 0, detail: "" });
      assert.ok(usage >= 0 && quota > 0);
    }),
  },
  {
    name: "persistence that the browser grants is told, and so is a refusal",
    run: () => withPage(async ({ page, site, chromium }) => {
      // What is told in the second after asking; the last word counts.
      const ask = () => page.evaluate(async () => {
        let told = null;
        Nthtree.store.onStatus = (status) => {
          told = [status.persisted, status.kept];
        };
        await Nthtree.store.askPersistence();
        await new Promise((resolve) => setTimeout(resolve, 1000));
        return told;
      });
      assert.deepEqual(await ask(), [false, "not promised"]);
      const session = await chromium.browser.newBrowserCDPSession();
      await session.send("Browser.grantPermissions",
        { origin: site.origin, permissions: ["durableStorage"] });
      assert.deepEqual(await ask(), [true, "promised"]);
    }),
  },
  ...[
    ["no service worker, as in a private window of Firefox", () => {
      delete Navigator.prototype.serviceWorker;
    }],
    ["no private file system, as in a private window of Safari", () => {
      StorageManager.prototype.getDirectory = () => Promise.reject(new DOMException("no",
        "SecurityError"));
    }],
    ["a quota below the heap's size, as in a private window of older Chromium", () => {
      StorageManager.prototype.estimate = async () => ({ usage: 0, quota: 200e6 });
    }],
  ].map(([sign, prepare]) => ({
    name: `${sign}, is named: in memory only`,
    run: () => withPage(async ({ page }) => {
      const { privateWindow, kept } = await statusOf(page);
      assert.deepEqual([privateWindow, kept], [true, "in memory only"]);
    }, prepare),
  })),
];
