// SPDX-License-Identifier: Apache-2.0
//
// web/second_copy.js in real browsers: what comes back when the database is gone, and what must not.
import assert from "node:assert/strict";
import { rm } from "node:fs/promises";
import { tearLog } from "./faults/torn_parts.mjs";
import { BOTH, browserName, closeBrowser, contextOf, newContext } from "./support/browser.mjs";
import { openChromium, pause } from "./support/chromium.mjs";
import { withLastingFarm } from "./support/farm.mjs";
import { forgetDatabase, openSite } from "./support/site.mjs";

const DEVICE = "00112233445566778899aabbccddeeff";
const STATE = JSON.stringify({ v: 1, device: DEVICE, bearer: "key", epoch: "e1", arrival: 41,
  opening: "o", own_head: 2 });
const WORKER = "/second_copy_worker.js";

// Runs in the page.
function helpers() {
  window.record = (sequence, kind = "tag_count", more = "",
    device = "00112233445566778899aabbccddeeff") => ({
    device, sequence, json: JSON.stringify({ id: `${device}-${sequence}`, kind, more }),
  });
  window.loadAll = async () => {
    const records = [];
    const told = await Nthtree.store.load((batch) => records.push(...batch));
    return { records: records.map((json) => JSON.parse(json)), ...told,
      status: await Nthtree.store.status() };
  };
  window.theCopy = async () => {
    const folder = await navigator.storage.getDirectory();
    return (await (await folder.getFileHandle("nthtree-second-copy")).getFile()).text();
  };
  // Behind everybody's back, on a page without the store.
  window.writeCopy = async (text) => {
    const policy = window.trustedTypes?.createPolicy("raw", { createScriptURL: (url) => url });
    const worker = new Worker(policy?.createScriptURL("/raw_worker.js") ?? "/raw_worker.js");
    worker.postMessage(text);
    await new Promise((resolve) => {
      worker.onmessage = resolve;
    });
    worker.terminate();
  };
}

const RAW_WORKER = `onmessage = async ({ data }) => {
  const folder = await navigator.storage.getDirectory();
  const file = await folder.getFileHandle("nthtree-second-copy", { create: true });
  let handle = null;
  while (!handle) {
    handle = await file.createSyncAccessHandle().catch(() => null);
    if (!handle) await new Promise((done) => setTimeout(done, 50));
  }
  handle.truncate(0);
  handle.write(new TextEncoder().encode(data), { at: 0 });
  handle.close();
  postMessage("");
};`;

async function withSite(work) {
  const site = await openSite();
  site.set("/blank", "text/html", "<!doctype html><title>blank</title>");
  site.set("/raw_worker.js", "text/javascript", RAW_WORKER);
  try {
    await work(site);
  } finally {
    await site.close();
  }
}

// A page of the browser under test with the store in it. between(work): the store's page goes, work
// runs beside it, and the store opens again and loads.
const withStore = (work) => withSite(async (site) => {
  const own = browserName() === "chromium" ? await openChromium() : null; // a disk of its own
  const context = own?.context ?? await newContext(contextOf());
  const page = await site.storePage(context, helpers);
  await page.addInitScript(`window.forgetDatabase = ${forgetDatabase};`);
  const load = async () => {
    await page.goto(`${site.origin}/store`);
    return page.evaluate(() => loadAll());
  };
  const between = async (away, argument) => {
    await page.goto(`${site.origin}/blank`);
    await page.evaluate(away, argument);
    return load();
  };
  try {
    await load();
    await work({ page, site, between });
  } finally {
    await page.close();
    if (own) await own.close();
    else await context.close();
  }
});

const idsOf = ({ records }) => records.map(({ id, more }) => `${id.slice(33)}${more}`);

// A count on the whole app; gives nothing back.
async function countTree(phone, taps) {
  await phone.tap("Count this tree");
  await phone.see("heading", "Count");
  await phone.tapMany("Tap: plus one", taps);
  await phone.save(taps);
  await phone.sees(/Saved/);
  await phone.tap("Done");
}

export default [
  {
    name: "a log torn by a kill costs the browser its database at the second start, and us nothing",
    run: () => withSite(async (site) => {
      let chromium = await openChromium();
      const { profile } = chromium;
      const open = async () => {
        const page = await site.storePage(chromium, helpers);
        return { page, loaded: await page.evaluate(() => loadAll()) };
      };
      const next = async () => {
        await chromium.kill();
        const madeAnew = await tearLog(profile);
        chromium = await openChromium({ profile });
        return madeAnew;
      };
      try {
        let { page } = await open();
        await page.evaluate((state) => Nthtree.store.append([record(1), record(2)],
          [["sync", state]]), STATE);
        assert.equal(await next(), true, "the first start makes the database");
        let loaded;
        ({ page, loaded } = await open());
        assert.deepEqual(idsOf(loaded), ["1", "2"]);
        await page.evaluate(() => Nthtree.store.append([record(3)], [["memory", "Priya"]]));
        assert.equal(await next(), false, "a torn end alone is passed over");
        ({ loaded } = await open());
        assert.deepEqual(idsOf(loaded), ["1", "2", "3"]);
        assert.equal(loaded.status.broughtBack, 3);
        assert.equal(loaded.status.lost, 0);
        assert.deepEqual(loaded.meta, { memory: "Priya",
          sync: JSON.stringify({ v: 1, device: DEVICE, bearer: "key" }) });
        assert.equal(await next(), true, "Chromium had thrown the database away");
      } finally {
        await chromium.close();
        await rm(profile, { recursive: true, force: true, maxRetries: 5 });
      }
    }),
  },
  {
    name: "a database thrown away comes back; without the copy it is told as lost",
    browsers: BOTH,
    run: () => withStore(async ({ page, between }) => {
      await page.evaluate((state) => Nthtree.store.append([record(1), record(2), record(3)],
        [["sync", state], ["draft:ana", "{}"], ["unsent", "3"]]), STATE);
      const back = await between(() => forgetDatabase());
      assert.deepEqual(idsOf(back), ["1", "2", "3"]);
      assert.deepEqual(Object.keys(back.meta), ["sync"], "a draft or a number would be out of date");
      assert.deepEqual([back.status.broughtBack, back.status.lost], [3, 0]);
      const gone = await between(async () => {
        await forgetDatabase();
        await writeCopy("");
      });
      assert.deepEqual(idsOf(gone), []);
      assert.deepEqual([gone.status.broughtBack, gone.status.lost], [0, 3]);
    }),
  },
  {
    name: "what a merge moved or took away does not come back",
    browsers: BOTH,
    run: () => withStore(async ({ page, between }) => {
      await page.evaluate(async (device) => {
        await Nthtree.store.append([record(1), record(2), record(3)]);
        await Nthtree.store.change([record(2, "tag_count", " theirs"),
          record(9, "tag_count", " moved", "ffeeddccbbaa99887766554433221100")],
        [{ device, sequence: 1 }], [["sync", "{}"]]);
      }, DEVICE);
      const wanted = ["2 theirs", "3", "9 moved"];
      assert.deepEqual(idsOf(await between(() => forgetDatabase())), wanted);
      // The copy of a phone that died between the merge and the copy's line still has the third.
      const behind = await page.evaluate(() => theCopy());
      await page.evaluate((device) => Nthtree.store.change([],
        [{ device, sequence: 3 }], []), DEVICE);
      assert.deepEqual(idsOf(await between((text) => writeCopy(text), behind)),
        ["2 theirs", "9 moved"]);
    }),
  },
  {
    name: "a damaged entry is written anew from the copy; one that the copy lacks is set aside",
    run: () => withStore(async ({ page, between }) => {
      await page.evaluate(() => Nthtree.store.append([record(1), record(2), record(3)]));
      const copy = await page.evaluate(() => theCopy());
      const harm = async (texts) => {
        for (const text of texts ?? []) await writeCopy(text);
        await new Promise((resolve) => {
          indexedDB.open("nthtree").onsuccess = ({ target: { result: database } }) => {
            const transaction = database.transaction("records", "readwrite");
            for (const n of [1, 3]) {
              transaction.objectStore("records").put("rubbish",
                ["00112233445566778899aabbccddeeff", n]);
            }
            transaction.oncomplete = () => {
              database.close();
              resolve();
            };
          };
        });
      };
      const healed = await between(harm);
      assert.deepEqual(idsOf(healed).sort(), ["1", "2", "3"]);
      assert.deepEqual([healed.setAside, healed.status.broughtBack], [0, 2]);
      const first = copy.split("\n").slice(0, 1).join("\n");
      const half = await between(harm, [`${first}\n`]);
      assert.deepEqual(idsOf(half).sort(), ["1", "2"]);
      assert.deepEqual([half.setAside, half.status.broughtBack], [1, 1]);
    }),
  },
  {
    name: "damaged, torn and unknown lines are passed over; behind a torn one a new line begins",
    browsers: BOTH,
    run: () => withStore(async ({ page, between }) => {
      await page.evaluate(() => Nthtree.store.append([record(1), record(2), record(3)]));
      const [one, two, three] = (await page.evaluate(() => theCopy())).split("\n");
      const harmed = [one, two.replace("tag_count", "tag_c0unt"), "later\tkind\t1\tof line\t00000000",
        "", "\u0000\u0000", three.slice(0, -12)].join("\n");
      const loaded = await between(async (text) => {
        await writeCopy(text);
        await forgetDatabase();
      }, harmed);
      assert.deepEqual(idsOf(loaded), ["1"]);
      await page.evaluate(() => Nthtree.store.append([record(4)]));
      assert.deepEqual(idsOf(await between(() => forgetDatabase())), ["1", "4"]);
    }),
  },
  {
    name: "of what others wrote all but the many counts is copied, and nothing twice",
    run: () => withStore(async ({ page, between }) => {
      await page.evaluate(async () => {
        const other = "ffeeddccbbaa99887766554433221100";
        await Nthtree.store.append([record(1)]);
        await Nthtree.store.append([record(1)]);
        await Nthtree.store.change([record(1, "block", "", other), record(2, "tag_count", "", other),
          record(3, "check_count", "", other)], [], []);
      });
      const lines = (await page.evaluate(() => theCopy())).split("\n").slice(0, -1);
      assert.equal(lines.length, 2);
      const { records } = await between(() => forgetDatabase());
      assert.deepEqual(records.map(({ kind }) => kind), ["tag_count", "block"]);
    }),
  },
  {
    name: "what an older app, or a start without a copy, wrote is copied at the next start",
    browsers: BOTH,
    run: () => withStore(async ({ page, between }) => {
      await page.evaluate((state) => Nthtree.store.append([record(1), record(2)],
        [["sync", state], ["memory", "Priya"]]), STATE);
      assert.deepEqual(idsOf(await between(() => writeCopy(""))), ["1", "2"]);
      for (let n = 0; n < 100; n++, await pause(20)) {
        if ((await page.evaluate(() => theCopy())).split("\n").length === 5) break;
      }
      const back = await between(() => forgetDatabase());
      assert.deepEqual(idsOf(back), ["1", "2"]);
      assert.equal(back.meta.memory, "Priya");
    }),
  },
  {
    name: "a worker that fails or never answers holds up one save for a moment, and no other",
    run: () => withStore(async ({ page, site, between }) => {
      const times = () => page.evaluate(async () => {
        const taken = [];
        for (const n of [1, 2, 3]) {
          const started = performance.now();
          const { records } = await loadAll();
          const at = performance.now();
          await Nthtree.store.append([record(records.length + 1)]);
          taken.push([at - started, performance.now() - at].map(Math.round), n);
        }
        return taken.filter(Array.isArray).map(([, append]) => append);
      });
      site.set(WORKER, "text/javascript", "onmessage = () => {};");
      await between(() => {});
      const [first, ...others] = await times();
      assert.ok(first >= 3500 && first < 12000, `${first} ms for the first save`);
      for (const time of others) assert.ok(time < 2000, `${time} ms for a later save`);
      site.set(WORKER, (_, response) => {
        response.statusCode = 404;
        response.end();
      });
      assert.equal((await between(() => {})).records.length, 3);
      for (const time of await times()) assert.ok(time < 2000, `${time} ms without a worker`);
      site.unset(WORKER);
      assert.equal((await between(() => {})).records.length, 6);
    }),
  },
  {
    name: "the app whose database is gone goes on: the same person, the same count, without a network",
    run: async () => {
      await withLastingFarm(async ({ hub, open, restart }) => {
        let phone = await open();
        await phone.join(hub.code());
        await phone.beSomebody("Priya", "Lower Bench");
        await countTree(phone, 7);
        await phone.page.waitForFunction(() => navigator.serviceWorker.ready
          .then((registration) => registration.active?.state === "activated"));
        await hub.kill();
        await restart(tearLog);
        phone = await open();
        await countTree(phone, 9);
        await restart(tearLog);
        phone = await open();
        await phone.sees(/second copy/);
        await countTree(phone, 11);
        const spurs = await phone.page.evaluate(async () => {
          const lines = [];
          await Nthtree.store.load((batch) => lines.push(...batch));
          const { device } = JSON.parse((await Nthtree.store.load(() => {})).meta.sync);
          return lines.map((json) => JSON.parse(json)).filter(({ id, kind }) =>
            kind === "tag_count" && id.startsWith(device)).map(({ body }) => body.spurs);
        });
        assert.deepEqual(spurs, [7, 9, 11]);
      });
      await closeBrowser();
    },
  },
];
