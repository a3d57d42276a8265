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

// Whole thousands, and what is left over up to the first gap.
const BATCHES = ["1111 1", "1111 1001", "1111 2001 500", "aaaa 1 999", "ffff 1 699"];

function helpers() {
  window.record = (device, sequence, more = "") => ({ device, sequence,
    json: `{"id":"${device}-${sequence}","more":"${more}"}` });
  window.loadAll = async () => {
    const lines = [];
    const named = [];
    const { setAside } = await Nthtree.store.load((some) => lines.push(...some), {
      onNamed: (meta, drafts) => named.push(lines.length, meta, drafts),
      onBatch(device, first, count, bytes) { // as the app does (src/app/stored_batch.h)
        const text = new TextDecoder().decode(bytes);
        const some = Nthtree.checkSum.verified([device, first], text)?.split("\n") ?? [];
        if (some.length === count) lines.push(...some);
        return some.length === count;
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
  // One bit of a stored batch turned.
  window.damage = async (key) => {
    const batch = await stored("packs", (store) => store.get(key));
    batch[500] ^= 1;
    await stored("packs", (store) => store.put(batch, key));
  };
  window.batchKeys = () => stored("packs", (store) => store.getAllKeys());
  window.made = async (count) => {
    for (let n = 0; n < 200 && (await batchKeys()).length < count; n++) {
      await new Promise((resolve) => setTimeout(resolve, 50));
    }
    return (await batchKeys()).map(([device, ...place]) => [device.slice(0, 4), ...place].join(" "));
  };
  Nthtree.batches.pauseMs = Nthtree.batches.restMs = 1;
  if (Nthtree.app) return;
  Nthtree.batches.pack = (device, first, lines) => new TextEncoder().encode(
    Nthtree.checkSum.withCheckSum(device, first, lines.join("\n")));
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
    assert.deepEqual(await page.evaluate(() => made(5)), BATCHES);
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
    const phone = await openPhone(site.origin, { pixelRatio: 1 });
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
      await page.evaluate((device) => damage([device, 1]), DEVICES[0]);
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
      assert.deepEqual(await page.evaluate(() => made(6)),
        ["1111 1", "1111 1001", "1111 2001", "1111 3001 200", ...BATCHES.slice(3)]);
      await open();
      assert.deepEqual((await page.evaluate(() => loadAll())).lines, grown.lines);
    }),
  },
  {
    name: "a damaged batch is not believed: the entries are read, and the batch is made anew",
    run: () => withSeason(async ({ page, open, plain }) => {
      const good = await page.evaluate((device) => stored("packs",
        (store) => store.get([device, 1001])).then(String), DEVICES[0]);
      await page.evaluate((device) => damage([device, 1001]), DEVICES[0]);
      await open();
      const loaded = await page.evaluate(() => loadAll());
      assert.deepEqual(loaded.lines, plain);
      assert.equal(loaded.setAside, 0);
      await page.waitForTimeout(500);
      await open();
      assert.deepEqual((await page.evaluate(() => loadAll())).lines, plain);
      assert.equal(await page.evaluate((device) => stored("packs",
        (store) => store.get([device, 1001])).then(String), DEVICES[0]), good);
    }),
  },
  {
    name: "a phone of forty devices read their last records one by one: they are a batch as well",
    run: () => withSeason(async ({ page, open, plain }) => {
      const entries = () => page.evaluate(async () => {
        let read = 0;
        const { getAllRecords, getAll } = IDBObjectStore.prototype;
        const counted = (ask) => function count(...words) {
          const request = ask.apply(this, words);
          if (this.name === "records") {
            request.addEventListener("success", () => { read += request.result.length; });
          }
          return request;
        };
        IDBObjectStore.prototype.getAll = counted(getAll);
        if (getAllRecords) IDBObjectStore.prototype.getAllRecords = counted(getAllRecords);
        const { lines } = await loadAll();
        Object.assign(IDBObjectStore.prototype, { getAll, ...(getAllRecords && { getAllRecords }) });
        return [lines, read];
      });
      const [lines, read] = await entries();
      assert.deepEqual(lines, plain);
      assert.equal(read, 501, "behind the gap of the third device");
      await open();
      await page.evaluate(async (device) => {
        await loadAll();
        await Nthtree.store.append(Array.from({ length: 99 }, (_, n) => record(device, 2501 + n)));
        await new Promise((resolve) => setTimeout(resolve, 300));
      }, DEVICES[0]);
      assert.deepEqual(await page.evaluate(() => made(5)), BATCHES, "99 more are not worth one");
      await page.evaluate((device) => Nthtree.store.append([record(device, 2600)]), DEVICES[0]);
      await page.waitForFunction(async () =>
        (await batchKeys()).some(([, first, count]) => first === 2001 && count === 600));
      assert.equal((await page.evaluate(() => batchKeys())).length, 5, "in place of the last one");
      await open();
      assert.equal((await page.evaluate(() => loadAll())).lines.length, plain.length + 100);
    }),
  },
  {
    name: "a last batch that is damaged, and one with a replaced record, are not believed either",
    run: () => withSeason(async ({ page, open, plain }) => {
      await page.evaluate((device) => damage([device, 2001, 500]), DEVICES[0]);
      await open();
      assert.deepEqual((await page.evaluate(() => loadAll())).lines, plain);
      assert.deepEqual(await page.evaluate(() => made(5)), BATCHES);
      await page.evaluate(async (device) => {
        Nthtree.batches.restMs = 1e6; // none is made meanwhile
        await Nthtree.store.change([record(device, 2400, "theirs")], []);
      }, DEVICES[0]);
      assert.deepEqual(await page.evaluate(() => made(4)), BATCHES.filter((_, i) => i !== 2));
      await open();
      const { lines } = await page.evaluate(() => loadAll());
      assert.equal(lines.length, plain.length);
      assert.ok(lines.some((line) => line.includes("-2400\"") && line.includes("theirs")));
    }),
  },
  {
    name: "a batch that an older app wrote as plain text is made anew, and nothing is lost",
    run: () => withSeason(async ({ page, open, plain }) => {
      await page.evaluate(async (device) => {
        const lines = Array.from({ length: 1000 }, (_, n) => record(device, n + 1).json);
        await stored("packs", (store) => store.put(
          Nthtree.checkSum.withCheckSum(device, 1, lines.join("\n")), [device, 1]));
      }, DEVICES[0]);
      await open();
      assert.deepEqual((await page.evaluate(() => loadAll())).lines, plain);
      await page.waitForFunction(async (device) => (await stored("packs",
        (store) => store.get([device, 1]))) instanceof Uint8Array, DEVICES[0]);
      await open();
      assert.deepEqual((await page.evaluate(() => loadAll())).lines, plain);
    }),
  },
  {
    name: "a season that has just come is in batches soon after its last page, without a start between",
    run: () => withSeason(async ({ page, open, plain }) => {
      await page.evaluate(async (device) => {
        await loadAll();
        Nthtree.batches.restMs = 400; // longer than a page takes
        for (let at = 0; at < 3000; at += 500) {
          await Nthtree.store.change(Array.from({ length: 500 },
            (_, n) => record(device, at + n + 1)), [], [["sync", `at ${at}`]]);
        }
      }, "0000aaaa0000aaaa0000aaaa0000aaaa");
      assert.deepEqual(await page.evaluate(() => made(8)),
        ["0000 1", "0000 1001", "0000 2001", ...BATCHES]);
      await open();
      assert.equal((await page.evaluate(() => loadAll())).lines.length, plain.length + 3000);
    }),
  },
  {
    name: "an app closed with the last page of a season had all of it to read record by record",
    run: () => withSeason(async ({ page, open, plain }) => {
      const devices = ["0000aaaa0000aaaa0000aaaa0000aaaa", "0000bbbb0000bbbb0000bbbb0000bbbb"];
      const before = await page.evaluate(async (both) => {
        await loadAll();
        Nthtree.batches.restMs = 1e6; // it never rests: pages come without an end
        for (let at = 0; at < 2600; at += 100) { // as from a hub: each page has some of every device
          await Nthtree.store.change(both.flatMap((device) => Array.from({ length: 100 },
            (_, n) => record(device, at + n + 1))), [], [["sync", `at ${at}`]]);
        }
        return batchKeys();
      }, devices);
      assert.ok(before.length >= 5, "what was there stays");
      assert.deepEqual((await page.evaluate(() => made(9))).slice(0, 4),
        ["0000 1", "0000 1001", "0000 1", "0000 1001"]);
      await open();
      const { lines } = await page.evaluate(() => loadAll());
      assert.equal(lines.length, plain.length + 2 * 2600);
      assert.equal(new Set(lines).size, lines.length);
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
      assert.deepEqual(await page.evaluate(() => made(3)), ["1111 1", ...BATCHES.slice(3)]);
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
