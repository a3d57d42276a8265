// SPDX-License-Identifier: Apache-2.0
//
// web/rescue.html in a real Chromium: everything on the phone comes out, without the app, also when
// part of it is damaged, in both languages, and nothing is changed by looking.
import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { openChromium } from "./support/chromium.mjs";
import { forgetDatabase, openSite, PARTS, pageWith } from "./support/site.mjs";

const DEVICE = "00112233445566778899aabbccddeeff";
const jsonOf = (sequence) => `{"v":1,"id":"${DEVICE}-${sequence}","at_ms":${
  1770102922123 + sequence},"note":"día ${sequence} 🌳"}`;

async function withPhone(work, { flags = [] } = {}) {
  const site = await openSite();
  site.set("/store", "text/html", pageWith(PARTS));
  const chromium = await openChromium({ flags });
  try {
    await work({ site, chromium, open: async (path, prepare) => {
      const page = await chromium.newPage();
      if (prepare) await page.addInitScript(prepare);
      await page.goto(site.origin + path);
      return page;
    } });
  } finally {
    await chromium.close();
    await site.close();
  }
}

// Five good records, one damaged of which there is a copy and one without, one conflict, one draft,
// one that the disk did not take.
async function fill(page) {
  await page.evaluate(async ([device, lines]) => {
    await Nthtree.store.load(() => {});
    const record = (n) => ({ device, sequence: n, json: lines[n - 1] });
    await Nthtree.store.append([1, 2, 3, 4, 5, 6].map(record), [["unsent", "4"],
      ["draft:ana", "{\"count\":57}"], ["nthtree_key", "secret"]]);
    await Nthtree.store.append([{ ...record(2), json: "{\"forged\":true}" }]).catch(() => {});
    const database = await Nthtree.database.connect();
    await new Promise((resolve) => {
      const transaction = database.transaction("records", "readwrite");
      transaction.objectStore("records").put(`${lines[5]}\t00000000`, [device, 6]);
      transaction.objectStore("records").put(`${lines[7]}\t00000000`, [device, 8]);
      transaction.oncomplete = resolve;
    });
    localStorage.setItem("nthtree-lifeboat", JSON.stringify([record(7)]));
  }, [DEVICE, [1, 2, 3, 4, 5, 6, 7, 8].map(jsonOf)]);
}

const wanted = [1, 2, 3, 4, 5, 6, 7].map(jsonOf);

async function saved(page, name) {
  const [download] = await Promise.all([page.waitForEvent("download"),
    page.getByRole("button", { name }).click()]);
  const text = await readFile(await download.path(), "utf8");
  return { name: download.suggestedFilename(), lines: text.split("\n").slice(0, -1), text };
}

const values = (page) => page.evaluate(() => Object.fromEntries([...document.querySelectorAll(
  "section:not([hidden]) dd")].map((element) => [element.dataset.value, element.textContent])));

export default [
  {
    name: "all records come out as lines, with the app open beside it; the rest in a second file",
    run: () => withPhone(async ({ open }) => {
      const app = await open("/store");
      await fill(app);
      const page = await open("/rescue.html");
      await page.getByText("Ready. Nothing has left").waitFor();
      const seen = await values(page);
      assert.deepEqual({ ...seen, newest: "" }, { records: "7", unsent: "4", newest: "",
        drafts: "1", aside: "3", waiting: "1" });
      const records = await saved(page, "Save all records as a file");
      assert.match(records.name, /^nthtree-records-\d{8}-\d{4}\.jsonl$/);
      assert.deepEqual(records.lines, wanted);
      const aside = await saved(page, "Save what was set aside");
      assert.equal(aside.lines.length, 4);
      for (const line of aside.lines) JSON.parse(line);
      assert.match(aside.text, /forged/);
      assert.match(aside.text, /día 6.*\n.*día 8/);
      assert.match(aside.text, /57/);
      assert.ok(!/secret/.test(records.text + aside.text), "keys stay on the phone");
      assert.match(await page.locator("#en [data-value=devices]").innerText(), /: 6 records/);
      assert.equal(await app.evaluate(() => Nthtree.store.append([]).then(() => "writes")),
        "writes");
    }),
  },
  {
    name: "it speaks Spanish to a Spanish phone, and shares files where there is a share sheet",
    run: () => withPhone(async ({ open }) => {
      await fill(await open("/store"));
      const page = await open("/rescue.html", () => {
        Object.defineProperty(navigator, "language", { get: () => "es-MX" });
        window.sharing = [];
        navigator.canShare = ({ files }) => files.every((file) => file.type === "text/plain");
        navigator.share = async ({ files }) => {
          for (const file of files) sharing.push([file.name, await file.text()]);
        };
      });
      await page.getByText("Listo. Nada ha salido").waitFor();
      assert.equal(await page.evaluate(() => document.documentElement.lang), "es");
      assert.equal(await page.getByRole("heading", { level: 1 }).innerText(), "Sacar los conteos");
      await page.getByRole("button", { name: "Compartir los archivos" }).click();
      await page.getByText("Entregado.").waitFor();
      const shared = await page.evaluate(() => sharing);
      assert.equal(shared.length, 2);
      assert.deepEqual(shared[0][1].split("\n").slice(0, -1), wanted);
      await page.getByRole("button", { name: "Français" }).click();
      const heading = () => page.getByRole("heading", { level: 1 }).innerText();
      assert.equal(await heading(), "Sortir les comptages");
      await page.getByText("Remis.").waitFor();
      await page.getByRole("button", { name: "English" }).click();
      assert.equal(await heading(), "Get the counts out");
      const sizes = await page.evaluate(() => [...document.querySelectorAll(
        "section:not([hidden]) button:not([hidden])")].map((button) =>
        button.getBoundingClientRect().height));
      assert.ok(sizes.length >= 4 && sizes.every((height) => height >= 64), "gloves need room");
    }),
  },
  {
    name: "a phone whose database is gone gives the records of the second copy",
    run: () => withPhone(async ({ site, open }) => {
      const app = await open("/store");
      await fill(app);
      site.set("/blank", "text/html", "<!doctype html><title>blank</title>");
      await app.goto(`${site.origin}/blank`); // without the store, which would hold it open
      await app.evaluate(() => localStorage.clear());
      await app.evaluate(forgetDatabase);
      const page = await open("/rescue.html");
      await page.getByText("Ready. Nothing has left").waitFor();
      const records = await saved(page, "Save all records as a file");
      assert.deepEqual(records.lines, wanted.slice(0, 6));
    }),
  },
  {
    name: "an empty phone says so and stays empty, and the app starts on it afterwards",
    run: () => withPhone(async ({ open }) => {
      const page = await open("/rescue.html");
      await page.getByText("There are no records on this phone.").waitFor();
      assert.deepEqual(await page.evaluate(() => indexedDB.databases()), []);
      const app = await open("/store");
      const held = await app.evaluate(() => Nthtree.store.load(() => {}));
      assert.deepEqual(held, { meta: {}, drafts: {}, setAside: 0 });
    }),
  },
  {
    name: "twenty thousand records come out complete and in order",
    run: () => withPhone(async ({ open }) => {
      const app = await open("/store");
      await app.evaluate(async (device) => {
        await Nthtree.store.load(() => {});
        for (let at = 0; at < 20000; at += 4000) {
          const records = [];
          for (let n = at + 1; n <= at + 4000; n++) {
            records.push({ device, sequence: n, json: `{"id":"${device}-${n}"}` });
          }
          await Nthtree.store.append(records);
        }
      }, DEVICE);
      const page = await open("/rescue.html");
      await page.getByText("Ready. Nothing has left").waitFor();
      const { lines } = await saved(page, "Save all records as a file");
      assert.equal(lines.length, 20000);
      assert.ok(lines.every((line, i) => line === `{"id":"${DEVICE}-${i + 1}"}`));
    }),
  },
];
