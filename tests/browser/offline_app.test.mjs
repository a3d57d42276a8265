// SPDX-License-Identifier: Apache-2.0
//
// The built app from the real hub, then without it: what the worker keeps is enough to start, to
// scan, and to get everything out, also after the browser was ended and started again.
import assert from "node:assert/strict";
import { cp, mkdtemp, readFile, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { openHub } from "./faults/hub.mjs";
import { openChromium, pause } from "./support/chromium.mjs";
import { builtSite, serveSite } from "./support/static_site.mjs";

const usable = (page) => page.waitForFunction(() =>
  performance.getEntriesByName("nthtree-usable").length > 0, null, { timeout: 30000 });

async function withHub(work) {
  const folder = await mkdtemp(join(tmpdir(), "nthtree-offline-"));
  const site = join(folder, "site");
  await cp(builtSite(), site, { recursive: true });
  const hub = await openHub(join(folder, "data"), { site });
  const profile = join(folder, "profile");
  let chromium = await openChromium({ profile });
  try {
    await work({ hub, site, origin: `http://127.0.0.1:${hub.port}`,
      open: async (path = "/") => {
        const page = await chromium.newPage();
        page.troubles = [];
        page.on("pageerror", (error) => page.troubles.push(String(error)));
        await page.goto(`http://127.0.0.1:${hub.port}${path}`);
        return page;
      },
      restart: async () => {
        await chromium.kill();
        chromium = await openChromium({ profile });
      } });
  } finally {
    await chromium.close();
    await hub.kill();
    await rm(folder, { recursive: true, force: true, maxRetries: 5 });
  }
}

// First visit, until the worker holds the whole version and is in charge of the next page.
async function firstVisit(open) {
  const page = await open();
  await usable(page);
  await page.waitForFunction(() => navigator.serviceWorker.ready
    .then((registration) => registration.active?.state === "activated"), null, { timeout: 30000 });
  await page.close();
}

const versionIn = async (site) =>
  JSON.parse((await readFile(join(site, "files.js"), "utf8")).match(/\{.*\}/)[0]);

export default [
  {
    name: "on a first visit every file comes over the air once, the worker's copy included",
    run: async () => {
      const site = await serveSite();
      const chromium = await openChromium();
      try {
        await firstVisit(async () => {
          const page = await chromium.newPage();
          await page.goto(site.origin);
          return page;
        });
        const { files } = await versionIn(builtSite());
        const paths = files.map(({ url }) => `/${url === "./" ? "" : url}`);
        assert.deepEqual(paths.filter((path) => site.sent[path] !== 1), []);
      } finally {
        await chromium.close();
        await site.close();
      }
    },
  },
  {
    name: "the second visit starts without the hub, in a browser that was killed in between",
    run: () => withHub(async ({ hub, open, restart, site }) => {
      await firstVisit(open);
      await hub.kill();
      await restart();
      const page = await open();
      await usable(page);
      const { version, files } = await versionIn(site);
      assert.equal(await page.evaluate(() => Nthtree.updates.version()), version);
      const ms = await page.evaluate(() => performance.getEntriesByName("nthtree-usable")[0]
        .startTime);
      console.log(`# offline start to usable: ${Math.round(ms)} ms, ${files.length} files`);
      // Every file of the version is there, also those no start has asked for yet.
      const missing = await page.evaluate(async (list) => {
        const gone = [];
        for (const { url } of list) if (!(await fetch(url).catch(() => null))?.ok) gone.push(url);
        return gone;
      }, files.filter(({ url }) => url !== "./"));
      assert.deepEqual(missing, []);
      await page.evaluate(() => Promise.all(["jsqr.js", "qrcode.js"]
        .map((name) => Nthtree.later(name))));
      assert.deepEqual(await page.evaluate(() => [typeof jsQR, typeof qrcode]),
        ["function", "function"]);
      const rescue = await open("/rescue.html");
      await rescue.getByRole("heading", { level: 1, name: "Get the counts out" }).waitFor();
      assert.deepEqual([...page.troubles, ...rescue.troubles], []);
    }),
  },
  {
    name: "scripts and WebAssembly were kept without an address, and compiled anew at every start",
    run: () => withHub(async ({ open, site }) => {
      await firstVisit(open);
      const page = await open();
      await usable(page);
      const { files } = await versionIn(site);
      const nameless = await page.evaluate(async (list) => {
        const kept = await Promise.all(list.map((url) => caches.match(url)));
        return list.filter((_, i) => !kept[i]?.url);
      }, files.map(({ url }) => url).filter((url) => /\.(js|wasm)$/.test(url)));
      assert.deepEqual(nameless, []);
    }),
  },
  {
    name: "a hub with a newer app, one file of it spoilt: the old app goes on; mended: the new one",
    run: () => withHub(async ({ hub, open, site }) => {
      await firstVisit(open);
      const old = await versionIn(site);
      // A newer version: another manifest, listed rightly, but with a byte lost on the disk.
      const manifest = join(site, "manifest.webmanifest");
      const text = `${await readFile(manifest, "utf8")} `;
      const { createHash } = await import("node:crypto");
      const files = old.files.map((file) => (file.url !== "manifest.webmanifest" ? file
        : { ...file, bytes: Buffer.byteLength(text),
          sha256: createHash("sha256").update(text).digest("hex") }));
      await rm(`${manifest}.br`, { force: true });
      await rm(join(site, "files.js.br"), { force: true });
      await writeFile(join(site, "files.js"),
        `self.NTHTREE_FILES=${JSON.stringify({ version: "newer", files })};\n`);
      await hub.kill();
      await hub.start();
      const page = await open();
      await usable(page);
      const look = () => page.evaluate(async () => {
        const registration = await navigator.serviceWorker.ready;
        await registration.update().catch(() => {});
        for (let n = 0; n < 100 && registration.installing; n++) {
          await new Promise((resolve) => setTimeout(resolve, 50));
        }
        return registration.waiting !== null;
      });
      assert.equal(await look(), false);
      assert.equal(await page.evaluate(() => Nthtree.updates.version()), old.version);
      await writeFile(manifest, text);
      await hub.kill();
      await hub.start();
      await pause(200);
      assert.equal(await look(), true);
      const reloaded = page.waitForEvent("load");
      await page.evaluate(() => void Nthtree.updates.apply());
      await reloaded;
      await usable(page);
      assert.equal(await page.evaluate(() => Nthtree.updates.version()), "newer");
    }),
  },
];
