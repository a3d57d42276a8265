// SPDX-License-Identifier: Apache-2.0
//
// web/batches.js in a real Chromium: a season opens the same with batches and without, batches are only
// copies, and no change of a record leaves an old copy behind.
import assert from "node:assert/strict";
import { closeBrowser, openPhone } from "./support/browser.mjs";
import { openChromium } from "./support/chromium.mjs";
import { openSite, PARTS, pageWith } from "./support/site.mjs";
import { serveSite } from "./support/static_site.mjs";

const DEVICES = ["11112222333344445555666677778888", "aaaabbbbccccddddeeeeffff00001111",
  "ffff0000ffff0000ffff0000ffff0000"];

function helpers() {
  window.record = (device, sequence, more = "") => ({ device, sequence,
    json: `{"id":"${device}-${sequence}","more":"${more}"}` });
  window.loadAll = async () => {
    const lines = [];
    const named = [];
    const { setAside } = await Nthtree.store.load((some) => lines.push(...some), {
      onNamed: (meta, drafts) => named.push(lines.length, meta, drafts),
      onBatch(device, first, value) { // as the app does (src/app/stored_batch.h)
        const some = Nthtree.checkSum.verified([device, first], value)?.split("\n") ?? [];
        if (some.length === 1000) lines.push(...some);
        return some.length === 1000;
      },
    });
    return { lines, setAside, named };
  };
  window.stored = async (name, work) => {
    const database = await Nthtree.database.connect();
    return new Promise((resolve, reject) => {
      const transaction = database.transaction(name, "readwrite");
      const request = work(transaction.objectStore(name));
      transaction.oncomplete = () => resolve(request.result);
      transaction.onabort = () => reject(transaction.error);
    });
  };
  window.batchKeys = () => stored("packs", (store) => store.getAllKeys());
  window.made = async (count) => {
    for (let n = 0; n < 200 && (await batchKeys()).length < count; n++) {
      await new Promise((resolve) => setTimeout(resolve, 50));
    }
    return (await batchKeys()).map(([device, first]) => `${device.slice(0, 4)} ${first}`);
  };
  Nthtree.batches.pauseMs = 1;
}

// A phone with 2,500 records of the first device, 999 of the second and 1,200, one missing, of the
// third; loaded once more, so that batches are made.
async function withSeason(work) {
  const site = await openSite();
  site.set("/store", "text/html", pageWith(PARTS));
  const chromium = await openChromium();
  try {
    const page = await chromium.newPage();
    const open = async () => {
      await page.goto(`${site.origin}/store`);
      await page.evaluate(helpers);
    };
    await open();
    await page.evaluate(async (devices) => {
      await loadAll();
      for (const [i, count] of [2500, 999, 1201].entries()) {
        const records = Array.from({ length: count }, (_, n) => record(devices[i], n + 1))
          .filter((one) => i !== 2 || one.sequence !== 700);
        await Nthtree.store.append(records);
      }
    }, DEVICES);
    await open();
    const plain = await page.evaluate(() => loadAll());
    assert.equal(plain.lines.length, 2500 + 999 + 1200);
    const batches = await page.evaluate(() => made(2));
    assert.deepEqual(batches, ["1111 1", "1111 1001"], "whole thousands without a gap");
    await open();
    await work({ page, open, plain: plain.lines });
  } finally {
    await chromium.close();
    await site.close();
  }
}

// A farm of 1,003 people in the app's own store; that the 500th is called this.
const named = (device, sequence, name) => JSON.stringify({ v: 1, id: `${device}-${sequence}`,
  at_ms: 1769015340000 + sequence, tick: 0, clock_ms: 1769015340000, author: "p1", kind: "person",
  body: { person: `p${sequence}`, name, role: sequence === 1 ? "manager" : "pruner",
    active: sequence === 1 || sequence === 500 } });
const nameOf = (sequence) => (sequence === 500 ? "José Ñandú 🌳" : `Person ${sequence}`);

async function withApp(work) {
  const site = await serveSite();
  try {
    const phone = await openPhone(site.origin);
    await phone.page.evaluate((records) => Nthtree.store.append(records),
      Array.from({ length: 1003 }, (_, i) => ({ device: DEVICES[0], sequence: i + 1,
        json: named(DEVICES[0], i + 1, nameOf(i + 1)) })));
    const open = async () => {
      await phone.page.reload();
      await phone.ready();
      await phone.page.evaluate(helpers);
    };
    await open();
    assert.deepEqual(await phone.page.evaluate(() => made(1)), ["1111 1"]);
    await work({ phone, page: phone.page, open });
  } finally {
    await closeBrowser();
    await site.close();
  }
}

export default [
  {
    name: "the app reads a batch as it was written, letters beyond ASCII too, and no damaged one",
    run: () => withApp(async ({ phone, page, open }) => {
      // Were entries read and not the batch, this name would show.
      await page.evaluate(([device, json]) => stored("records", (store) => store.put(
        Nthtree.checkSum.withCheckSum(device, 500, json), [device, 500])),
      [DEVICES[0], named(DEVICES[0], 500, "From its entry")]);
      await open();
      await phone.see("button", /^José Ñandú 🌳/);
      await page.evaluate(async (device) => {
        const batch = await stored("packs", (store) => store.get([device, 1]));
        await stored("packs", (store) => store.put(batch.replace("José", "Jose"), [device, 1]));
      }, DEVICES[0]);
      await open();
      await phone.see("button", /^From its entry/);
      await phone.see("button", /^Person 1\b/);
      assert.deepEqual(phone.troubles, []);
    }),
  },
  {
    name: "a season loads the same from batches, in the same order, and grows further batches",
    run: () => withSeason(async ({ page, open, plain }) => {
      assert.deepEqual((await page.evaluate(() => loadAll())).lines, plain);
      await page.evaluate((device) => Nthtree.store.append(Array.from({ length: 700 },
        (_, n) => record(device, 2501 + n))), DEVICES[0]);
      await open();
      const grown = await page.evaluate(() => loadAll());
      assert.equal(grown.lines.length, plain.length + 700);
      assert.deepEqual(await page.evaluate(() => made(3)), ["1111 1", "1111 1001", "1111 2001"]);
      await open();
      assert.deepEqual((await page.evaluate(() => loadAll())).lines, grown.lines);
    }),
  },
  {
    name: "a damaged batch is not believed: the entries are read, and the batch is made anew",
    run: () => withSeason(async ({ page, open, plain }) => {
      await page.evaluate(async (device) => {
        const batch = await stored("packs", (store) => store.get([device, 1001]));
        await stored("packs", (store) => store.put(batch.replace("-1500\"", "-1509\""),
          [device, 1001]));
      }, DEVICES[0]);
      await open();
      const loaded = await page.evaluate(() => loadAll());
      assert.deepEqual(loaded.lines, plain);
      assert.equal(loaded.setAside, 0);
      await page.waitForTimeout(500);
      await open();
      assert.deepEqual((await page.evaluate(() => loadAll())).lines, plain);
      assert.ok(await page.evaluate(async (device) => (await stored("packs",
        (store) => store.get([device, 1001]))).includes("-1500\""), DEVICES[0]));
    }),
  },
  {
    name: "the named values come before the first record, from batches or not",
    run: () => withSeason(async ({ page, open }) => {
      await page.evaluate(() => loadAll().then(() =>
        Nthtree.store.append([], [["sync", "state"], ["draft:p:ana", "{}"]])));
      await open();
      const { named } = await page.evaluate(() => loadAll());
      assert.deepEqual(named, [0, { sync: "state" }, { "p:ana": "{}" }]);
    }),
  },
  {
    name: "a batch that is gone from under the list is read as entries, and no record twice",
    run: () => withSeason(async ({ page, plain }) => {
      const { lines } = await page.evaluate(async (device) => {
        const { getAll } = IDBObjectStore.prototype;
        IDBObjectStore.prototype.getAll = function broken(...words) {
          return getAll.apply(this, this.name === "packs" ? [[device, 1]] : words);
        };
        return loadAll().finally(() => Object.assign(IDBObjectStore.prototype, { getAll }));
      }, DEVICES[0]);
      assert.deepEqual(lines, plain);
    }),
  },
  {
    name: "a merge that replaces and removes packed records leaves no old copy",
    run: () => withSeason(async ({ page, open, plain }) => {
      await page.evaluate(() => loadAll());
      await page.evaluate((device) => Nthtree.store.change([record(device, 1200, "theirs")],
        [{ device, sequence: 1300 }]), DEVICES[0]);
      assert.deepEqual(await page.evaluate(() => made(1)), ["1111 1"]);
      await open();
      const { lines } = await page.evaluate(() => loadAll());
      const wanted = plain.filter((line) => !line.includes(`${DEVICES[0]}-1300"`))
        .map((line) => (line.includes(`${DEVICES[0]}-1200"`) ? line.replace("\"more\":\"\"",
          "\"more\":\"theirs\"") : line));
      assert.deepEqual(lines, wanted);
    }),
  },
  {
    name: "a page of a fetched season asked the disk once a record what stood there",
    run: () => withSeason(async ({ page, open }) => {
      const asked = await page.evaluate(async ([there, fresh]) => {
        await loadAll();
        const { get, getAllKeys } = IDBObjectStore.prototype;
        let questions = 0;
        const counted = (ask) => function count(...words) {
          questions += 1;
          return ask.apply(this, words);
        };
        IDBObjectStore.prototype.get = counted(get);
        IDBObjectStore.prototype.getAllKeys = counted(getAllKeys);
        const season = Array.from({ length: 500 }, (_, n) => record(fresh, n + 1));
        await Nthtree.store.change([record(there, 7, "theirs"), ...season], [], [["sync", "there"]]);
        Object.assign(IDBObjectStore.prototype, { get, getAllKeys });
        return questions;
      }, [DEVICES[0], "0000aaaa0000aaaa0000aaaa0000aaaa"]);
      assert.equal(asked, 3, "which of each device are there, and the one that was");
      await open();
      assert.equal((await page.evaluate(() => loadAll())).lines.length, 2500 + 999 + 1200 + 500);
      const kept = await page.evaluate(() => Nthtree.store.exportAll());
      assert.equal(JSON.parse(kept).set_aside.length, 1, "what stood there is kept aside");
    }),
  },
  {
    name: "a change while the batches are being made wins, whichever comes first",
    run: () => withSeason(async ({ page, open }) => {
      for (let round = 0; round < 12; round++) {
        await page.evaluate(() => stored("packs", (store) => store.clear()));
        await open();
        await page.evaluate(async ([device, n]) => {
          await loadAll(); // batches are being made from here on
          await new Promise((resolve) => setTimeout(resolve, n % 6));
          await Promise.all([500, 1500].map((sequence) =>
            Nthtree.store.change([record(device, sequence, `round ${n}`)], [])));
        }, [DEVICES[0], round]);
        await page.waitForTimeout(60);
        await open();
        const { lines } = await page.evaluate(() => loadAll());
        for (const sequence of [500, 1500]) {
          const line = lines.find((one) => one.includes(`${DEVICES[0]}-${sequence}"`));
          assert.match(line, new RegExp(`round ${round}"`));
        }
      }
    }),
  },
  {
    name: "what is refused, doubled or exported is decided by the entries, not by the batches",
    run: () => withSeason(async ({ page, plain }) => {
      const seen = await page.evaluate(async (device) => {
        await loadAll();
        const outcome = (promise) => promise.then(() => "saved", (error) => error.outcome);
        return [await outcome(Nthtree.store.append([record(device, 1200)])),
          await outcome(Nthtree.store.append([record(device, 1200, "other")])),
          JSON.parse(await Nthtree.store.exportAll()).records.length];
      }, DEVICES[0]);
      assert.deepEqual(seen, ["saved", "failed", plain.length]);
    }),
  },
];
