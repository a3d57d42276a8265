// SPDX-License-Identifier: Apache-2.0
//
// web/record_store.js in a real Chromium with a profile on the disk: what it promises about saving,
// doubling, conflict, damage, a second tab, a full phone and a database that goes away.
import assert from "node:assert/strict";
import { readdir, readFile, rm } from "node:fs/promises";
import { openChromium, pause } from "./support/chromium.mjs";
import { forgetDatabase, openSite } from "./support/site.mjs";

const DEVICE = "00112233445566778899aabbccddeeff";
const OTHER = "ffeeddccbbaa99887766554433221100";

// Runs in the page: a record as the app would write it, and a load that keeps what came.
function helpers() {
  window.record = (sequence, more = "", device = "00112233445566778899aabbccddeeff") => ({
    device, sequence, json: JSON.stringify({ id: `${device}-${sequence}`, count: 140, more }),
  });
  window.loadAll = async () => {
    const records = [];
    const told = await Nthtree.store.load((batch) => records.push(...batch));
    return { records, ...told };
  };
  window.outcomeOf = (promise) => promise.then(() => "saved", (error) => error.outcome);
  // The database as another program would see it, behind the store's back.
  window.behind = (store, work) => new Promise((resolve, reject) => {
    const opening = indexedDB.open("nthtree");
    opening.onerror = () => reject(opening.error);
    opening.onsuccess = () => {
      const transaction = opening.result.transaction(store, "readwrite");
      const request = work(transaction.objectStore(store));
      transaction.oncomplete = () => {
        opening.result.close();
        resolve(request?.result);
      };
      transaction.onabort = () => reject(transaction.error);
    };
  });
}

// One browser, one site, pages with the store in them; all closed when work() ends.
async function withStore(work) {
  const site = await openSite();
  let chromium = await openChromium();
  const { profile } = chromium;
  const open = () => site.storePage(chromium, helpers);
  const restart = async (how) => {
    await chromium[how]();
    chromium = await openChromium({ profile });
  };
  try {
    await work({ open, site, restart, chromium: () => chromium });
  } finally {
    await chromium.close();
    await site.close();
    await rm(profile, { recursive: true, force: true, maxRetries: 5 });
  }
}

export default [
  {
    name: "a saved record, its cursor and its draft are there after a kill -9 of the browser",
    run: () => withStore(async ({ open, restart }) => {
      let page = await open();
      await page.evaluate(async () => {
        await loadAll();
        await Nthtree.store.append([record(1), record(2, "áé ñ 🌳")], [["cursor", "e1:41"]]);
        await Nthtree.store.putDraft("ana", "{\"count\":57}");
      });
      await restart("kill");
      page = await open();
      const held = await page.evaluate(() => loadAll());
      const expected = await page.evaluate(() => [record(1).json, record(2, "áé ñ 🌳").json]);
      assert.deepEqual(held.records, expected);
      assert.deepEqual(held.meta, { cursor: "e1:41" });
      assert.deepEqual(held.drafts, { ana: "{\"count\":57}" });
      assert.equal(held.setAside, 0);
    }),
  },
  {
    name: "the same record twice is stored once and confirmed twice",
    run: () => withStore(async ({ open }) => {
      const page = await open();
      const outcomes = await page.evaluate(async () => {
        await loadAll();
        const first = await outcomeOf(Nthtree.store.append([record(1)]));
        const second = await outcomeOf(Nthtree.store.append([record(1), record(2)]));
        const inOne = await outcomeOf(Nthtree.store.append([record(3), record(3)]));
        return [first, second, inOne, await behind("records", (store) => store.count())];
      });
      assert.deepEqual(outcomes, ["saved", "saved", "saved", 3]);
    }),
  },
  {
    name: "other bytes for a stored record are refused whole, kept apart and exported",
    run: () => withStore(async ({ open }) => {
      const page = await open();
      const seen = await page.evaluate(async () => {
        await loadAll();
        await Nthtree.store.append([record(2)]);
        const outcome = await outcomeOf(
          Nthtree.store.append([record(1), record(2, "forged"), record(3)], [["cursor", "9"]]));
        const { records, meta, setAside } = await loadAll();
        return { outcome, records, meta, setAside, first: record(2).json,
          exported: JSON.parse(await Nthtree.store.exportAll()) };
      });
      assert.equal(seen.outcome, "failed");
      assert.deepEqual(seen.records, [seen.first], "neither 1 nor 3 may be there without 2");
      assert.deepEqual(seen.meta, {}, "the cursor stands and falls with its records");
      assert.equal(seen.setAside, 1);
      assert.match(seen.exported.set_aside[0].text, /forged/);
    }),
  },
  {
    name: "records come back in order of device and sequence, over several batches",
    run: () => withStore(async ({ open }) => {
      const page = await open();
      const seen = await page.evaluate(async ([first, second]) => {
        await loadAll();
        for (const device of [second, first]) {
          const records = [];
          for (let n = 6001; n >= 1; n--) records.push(record(n, "", device));
          await Nthtree.store.append(records);
        }
        const { records } = await loadAll();
        return records.map((text) => JSON.parse(text).id);
      }, [DEVICE, OTHER]);
      const expected = [];
      for (const device of [DEVICE, OTHER]) {
        for (let n = 1; n <= 6001; n++) expected.push(`${device}-${n}`);
      }
      assert.deepEqual(seen, expected);
    }),
  },
  {
    name: "a damaged entry is set aside, told and exported, and the rest works",
    run: () => withStore(async ({ open, site }) => {
      site.set("/second_copy_worker.js", "text/javascript", "throw new Error('no copy');");
      const page = await open();
      const seen = await page.evaluate(async (device) => {
        await loadAll();
        await Nthtree.store.append([1, 2, 3, 4, 5, 6].map((n) => record(n)));
        const whole = await behind("records", (store) => store.get([device, 2]));
        await behind("records", (store) => store.put(whole.replace("140", "240"), [device, 2]));
        await behind("records", (store) => store.put({ odd: true }, [device, 3]));
        await behind("records", (store) => store.put(record(4).json.slice(0, 20), [device, 4]));
        // A whole entry in the wrong place: the check sum covers the key too.
        await behind("records", (store) => store.put(whole, [device, 5]));
        await behind("records", (store) => store.put(whole, "no pair"));
        const first = await loadAll();
        const second = await loadAll();
        await Nthtree.store.append([record(2)]);
        return { first, second, left: await behind("records", (store) => store.count()),
          exported: JSON.parse(await Nthtree.store.exportAll()), good: [record(1).json,
            record(6).json] };
      }, DEVICE);
      assert.deepEqual(seen.first.records, seen.good);
      assert.equal(seen.first.setAside, 5);
      assert.deepEqual(seen.second.records, seen.good);
      assert.equal(seen.second.setAside, 5);
      assert.equal(seen.left, 3);
      const texts = seen.exported.set_aside.map((entry) => entry.text);
      assert.equal(texts.length, 5);
      assert.ok(texts.some((text) => text.includes("240")));
      assert.ok(texts.some((text) => text.includes("odd")));
    }),
  },
  {
    name: "a second tab looks, is told so, never writes, and takes over when the first goes",
    run: () => withStore(async ({ open }) => {
      const first = await open();
      await first.evaluate(async () => {
        await loadAll();
        await Nthtree.store.append([record(1)]);
      });
      const second = await open();
      const looked = await second.evaluate(async () => {
        const told = [];
        Nthtree.store.onStatus = (status) => told.push(status.writer);
        const { records } = await loadAll();
        await Nthtree.store.status();
        return { held: records.length, told, status: (await Nthtree.store.status()).writer,
          outcomes: [await outcomeOf(Nthtree.store.append([record(2)])),
            await outcomeOf(Nthtree.store.putMeta("cursor", "1")),
            await outcomeOf(Nthtree.store.putDraft("ana", "x"))] };
      });
      assert.equal(looked.held, 1);
      assert.equal(looked.status, false);
      assert.ok(looked.told.length > 0 && looked.told.every((writer) => writer === false));
      assert.deepEqual(looked.outcomes, ["read_only", "read_only", "read_only"]);
      const reloaded = second.waitForEvent("load");
      await first.close();
      await reloaded;
      const after = await second.evaluate(async () => {
        const { records } = await loadAll();
        return [records.length, (await Nthtree.store.status()).writer,
          await outcomeOf(Nthtree.store.append([record(2)]))];
      });
      assert.deepEqual(after, [1, true, "saved"]);
    }),
  },
  {
    name: "a reloaded page writes at once: it is not shut out by its own old lock",
    run: () => withStore(async ({ open }) => {
      const page = await open();
      for (let n = 1; n <= 4; n++) {
        const outcome = await page.evaluate(async (sequence) => {
          await loadAll();
          return outcomeOf(Nthtree.store.append([record(sequence)]));
        }, n);
        assert.equal(outcome, "saved");
        await page.reload();
      }
    }),
  },
  {
    name: "a full phone says full, keeps nothing of the append, and writes again with room",
    run: () => withStore(async ({ open, site, chromium }) => {
      const page = await open();
      const session = await chromium().context.newCDPSession(page);
      const quota = (quotaSize) => session.send("Storage.overrideQuotaForOrigin",
        { origin: site.origin, ...(quotaSize ? { quotaSize } : {}) });
      await page.evaluate(() => loadAll());
      await quota(300000);
      const seen = await page.evaluate(async () => {
        let saved = 0;
        for (let n = 1; n <= 400; n++) {
          const outcome = await outcomeOf(
            Nthtree.store.append([record(2 * n - 1, "x".repeat(8000)), record(2 * n)]));
          if (outcome !== "saved") return { outcome, saved, status: await Nthtree.store.status() };
          saved = n;
        }
        return { outcome: "never full", saved };
      });
      assert.equal(seen.outcome, "full");
      assert.ok(seen.saved > 0, "there was room at first");
      assert.match(seen.status.detail, /Quota/);
      await quota(0);
      const later = await page.evaluate(async (saved) => {
        const before = await behind("records", (store) => store.count());
        const outcome = await outcomeOf(Nthtree.store.append([record(2 * saved + 3, "later")]));
        return { before, outcome, after: (await loadAll()).records.length };
      }, seen.saved);
      assert.equal(later.before, 2 * seen.saved, "nothing of the refused append is on the disk");
      assert.equal(later.outcome, "saved");
      assert.equal(later.after, 2 * seen.saved + 3, "the refused ones waited for room");
    }),
  },
  {
    name: "a starved browser granted a free lock late, and the only tab took itself for a second one",
    run: () => withStore(async ({ open }) => {
      const page = await open();
      const outcome = await page.evaluate(async () => {
        const { locks } = navigator;
        const request = locks.request.bind(locks);
        locks.request = async (...asked) => {
          await new Promise((resolve) => setTimeout(resolve, 2500));
          return request(...asked);
        };
        await loadAll();
        return outcomeOf(Nthtree.store.append([record(1)]));
      });
      assert.equal(outcome, "saved");
    }),
  },
  {
    name: "a database closed by a newer version of the app opens again as it is",
    run: () => withStore(async ({ open }) => {
      const page = await open();
      const seen = await page.evaluate(async () => {
        await loadAll();
        await Nthtree.store.append([record(1)]);
        const told = [];
        Nthtree.store.onStatus = (status) => told.push(status.detail);
        await new Promise((resolve, reject) => {
          const newer = indexedDB.open("nthtree", 7);
          newer.onupgradeneeded = () => newer.result.createObjectStore("of_the_future");
          newer.onerror = () => reject(newer.error);
          newer.onsuccess = () => {
            newer.result.close();
            resolve();
          };
        });
        const outcome = await outcomeOf(Nthtree.store.append([record(2)]));
        for (let n = 0; n < 100 && !told.some((detail) => /newer/.test(detail)); n++) {
          await new Promise((resolve) => setTimeout(resolve, 20));
        }
        return { outcome, told, held: (await loadAll()).records.length };
      });
      assert.equal(seen.outcome, "saved");
      assert.equal(seen.held, 2);
      assert.ok(seen.told.some((detail) => /newer version/.test(detail)));
    }),
  },
  {
    name: "appends in flight while the browser's storage process dies are saved or say closed",
    run: () => withStore(async ({ open, chromium }) => {
      const page = await open();
      await page.evaluate(() => {
        window.log = [];
        return loadAll();
      });
      const writing = page.evaluate(async () => {
        for (let n = 1; n <= 300; n++) {
          log.push([n, await outcomeOf(Nthtree.store.append([record(n)]))]);
        }
      });
      await pause(60);
      const died = await killStorageProcess(chromium().pid);
      await writing;
      const { log, held } = await page.evaluate(async () => ({
        log, held: (await loadAll()).records.map((text) => Number(JSON.parse(text).id.slice(33))),
      }));
      assert.equal(log.length, 300);
      for (const [sequence, outcome] of log) {
        assert.ok(["saved", "closed"].includes(outcome), outcome);
        if (outcome === "saved") assert.ok(held.includes(sequence), `lost ${sequence}`);
      }
      assert.equal(new Set(held).size, held.length);
      // Some builds keep the databases in the browser's own process; then nothing has died here.
      if (!died) console.log("# no storage process in this build");
    }),
  },
  {
    name: "a draft that append removed does not come back, and the newest draft wins",
    run: () => withStore(async ({ open, restart }) => {
      let page = await open();
      await page.evaluate(async () => {
        await loadAll();
        const writes = [];
        for (let n = 1; n <= 60; n++) writes.push(Nthtree.store.putDraft("ana", `{"count":${n}}`));
        for (let n = 1; n <= 60; n++) writes.push(Nthtree.store.putDraft("ben", `{"count":${n}}`));
        writes.push(Nthtree.store.append([record(1)], [["draft:ana", ""], ["session", "s"]]));
        await Promise.all(writes);
      });
      await restart("kill");
      page = await open();
      const { drafts, meta, records } = await page.evaluate(() => loadAll());
      assert.deepEqual(drafts, { ben: "{\"count\":60}" });
      assert.deepEqual(meta, { session: "s" });
      assert.equal(records.length, 1);
    }),
  },
  {
    name: "what the database would not take is in memory, in the export, and after a reload saved",
    run: () => withStore(async ({ open }) => {
      const page = await open();
      const seen = await page.evaluate(async () => {
        await loadAll();
        const honest = IDBDatabase.prototype.transaction;
        // The database of some phones answers every call with this until the page is reloaded.
        IDBDatabase.prototype.transaction = function (stores, mode, ...more) {
          if (mode !== "readwrite") return honest.call(this, stores, mode, ...more);
          throw new DOMException("Connection to Indexed Database server lost", "UnknownError");
        };
        const appending = outcomeOf(Nthtree.store.append([record(1)]));
        const { waiting } = await Nthtree.store.status();
        const exported = JSON.parse(await Nthtree.store.exportAll()).not_confirmed;
        return { waiting, exported, outcome: await appending };
      });
      assert.equal(seen.outcome, "closed");
      assert.equal(seen.waiting, 1);
      assert.equal(seen.exported.length, 1);
      await page.reload();
      const { records } = await page.evaluate(() => loadAll());
      assert.equal(records.length, 1);
    }),
  },
  {
    name: "a database that was thrown away is told as lost records, for a day",
    run: () => withStore(async ({ open, site }) => {
      const page = await open();
      await page.evaluate(async () => {
        await loadAll();
        await Nthtree.store.append([record(1), record(2), record(3)]);
        await Nthtree.store.append([record(3)]); // a double must not raise the mark
      });
      await page.reload();
      assert.equal(await page.evaluate(async () => {
        await loadAll();
        return (await Nthtree.store.status()).lost;
      }), 0);
      site.set("/blank", "text/html", "<!doctype html><title>blank</title>");
      await page.goto(`${site.origin}/blank`); // without the store, which would hold it open
      await page.evaluate(forgetDatabase);
      await page.evaluate(async () => {
        const folder = await navigator.storage.getDirectory();
        await folder.removeEntry("nthtree-second-copy");
      });
      await page.goto(`${site.origin}/store`);
      const seen = () => page.evaluate(async () => [(await loadAll()).records.length,
        (await Nthtree.store.status()).lost]);
      assert.deepEqual(await seen(), [0, 3]);
      assert.deepEqual(await seen(), [0, 3], "a day long, whoever looks");
      await page.evaluate(() => localStorage.setItem("nthtree-lost-since",
        String(Date.now() - 25 * 3600 * 1000)));
      assert.deepEqual(await seen(), [0, 3]);
      assert.deepEqual(await seen(), [0, 0], "and then no more");
    }),
  },
  {
    name: "a merge that moves a record is one transaction and keeps the bytes it moved",
    run: () => withStore(async ({ open }) => {
      const page = await open();
      const seen = await page.evaluate(async (device) => {
        await loadAll();
        await Nthtree.store.append([record(1), record(2), record(3)]);
        await Nthtree.store.change([record(2, "theirs"), record(4, "moved"), record(3)],
          [{ device, sequence: 1 }, { device, sequence: 99 }], [["sync", "state"]]);
        const refused = await outcomeOf(
          Nthtree.store.change([record(5), record(0)], [{ device, sequence: 2 }]));
        const { records, meta, setAside } = await loadAll();
        const kept = JSON.parse(await Nthtree.store.exportAll()).set_aside;
        return { refused, records, meta, setAside, kept: kept.map((entry) => entry.text),
          wanted: [record(2, "theirs").json, record(3).json, record(4, "moved").json],
          old: [record(1).json, record(2).json] };
      }, DEVICE);
      assert.equal(seen.refused, "failed");
      assert.deepEqual(seen.records, seen.wanted);
      assert.deepEqual(seen.meta, { sync: "state" });
      assert.equal(seen.setAside, 0, "a moved record is no fault to tell a person of");
      assert.equal(seen.kept.length, 2);
      for (const json of seen.old) assert.ok(seen.kept.some((text) => text.startsWith(json)));
    }),
  },
  {
    name: "bad arguments are refused before anything is written",
    run: () => withStore(async ({ open }) => {
      const page = await open();
      const outcomes = await page.evaluate(async () => {
        await loadAll();
        const tries = [{ ...record(1), device: "" }, { ...record(1), device: "a\tb" }, record(0),
          record(1.5), record(2 ** 53), { ...record(1), json: "" }, { ...record(1), json: "a\nb" },
          { ...record(1), json: "\ud800" }, { ...record(1), json: 7 }];
        const seen = [];
        for (const bad of tries) seen.push(await outcomeOf(Nthtree.store.append([record(9), bad])));
        return [seen, await behind("records", (store) => store.count())];
      });
      assert.deepEqual(outcomes, [Array(9).fill("failed"), 0]);
    }),
  },
  {
    name: "every write asks for strict durability, and none is confirmed before complete",
    run: () => withStore(async ({ open }) => {
      const page = await open();
      const { asked, order } = await page.evaluate(async () => {
        const seen = { asked: [], order: [] };
        const { transaction: begin } = IDBDatabase.prototype;
        IDBDatabase.prototype.transaction = function spied(stores, mode, options) {
          const made = begin.call(this, stores, mode, options);
          if (mode !== "readwrite") return made;
          seen.asked.push([options?.durability, made.durability]);
          made.addEventListener("complete", () => seen.order.push("complete"));
          return made;
        };
        await loadAll();
        const { store } = Nthtree;
        for (const write of [() => store.append([record(1)], [["draft:ana", ""]]),
          () => store.change([record(2)], [], []), () => store.putMeta("unsent", "1"),
          () => store.putDraft("ana", "{}"),
          () => store.setAside(record(1).device, 1, "unreadable")]) {
          seen.order.length = 0;
          await write();
          seen.order.push("confirmed");
          seen.asked.push(seen.order.join(" "));
        }
        return seen;
      });
      const said = asked.filter((entry) => typeof entry === "string");
      assert.deepEqual(said, Array(5).fill("complete confirmed"), String(order));
      const strict = asked.filter((entry) => Array.isArray(entry));
      assert.ok(strict.length >= 5);
      for (const entry of strict) assert.deepEqual(entry, ["strict", "strict"]);
    }),
  },
  {
    name: "nothing is written before this tab has loaded",
    run: () => withStore(async ({ open }) => {
      const page = await open();
      assert.equal(await page.evaluate(() => outcomeOf(Nthtree.store.append([record(1)]))),
        "read_only");
    }),
  },
];

// The process that holds the databases, a child of our own browser; true when there was one.
async function killStorageProcess(browserPid) {
  for (const name of await readdir("/proc")) {
    if (!/^\d+$/.test(name)) continue;
    const command = await readFile(`/proc/${name}/cmdline`, "utf8").catch(() => "");
    const status = await readFile(`/proc/${name}/stat`, "utf8").catch(() => "");
    const group = Number(status.slice(status.lastIndexOf(")") + 2).split(" ")[2]);
    if (group === browserPid && command.includes("storage.mojom.StorageService")) {
      process.kill(Number(name), "SIGKILL");
      return true;
    }
  }
  return false;
}
