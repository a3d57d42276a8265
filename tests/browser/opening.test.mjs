// SPDX-License-Identifier: Apache-2.0
//
// The start of a large season: "Who are you?" stands while the records are still being read, a name
// tapped meanwhile goes on by itself, and nothing is stored before all is read.
import assert from "node:assert/strict";
import { closeBrowser, openPhone } from "./support/browser.mjs";
import { serveSite } from "./support/static_site.mjs";

const DEVICE = "11112222333344445555666677778888";
const RECORDS = 2400;
const NAMES = ["Imke", "José 🌳", "Odd"];

// Three people, told of again and again.
const told = (sequence, name = NAMES[sequence % 3]) => ({ device: DEVICE, sequence,
  json: JSON.stringify({ v: 1, id: `${DEVICE}-${sequence}`, at_ms: 1769015340000 + sequence,
    tick: 0, clock_ms: 1769015340000, author: "p0", kind: "person",
    body: { person: `p${sequence % 3}`, name, role: sequence % 3 ? "pruner" : "manager" } }) });

// From now on a page reads records only once hold() is over, and then goes on where it stood.
function readInTurns() {
  if (origin === "null") return; // an empty page
  let go;
  const held = sessionStorage.getItem("hold") && new Promise((resolve) => { go = resolve; });
  let real;
  globalThis.Nthtree = Object.defineProperty({}, "turns", {
    set(turns) { real = turns; },
    get: () => ({ give: () => (held ? held.then(() => real.give()) : real.give()) }),
  });
  globalThis.release = () => go();
}

async function withLargeFarm(work) {
  const site = await serveSite();
  try {
    const phone = await openPhone(site.origin, { pixelRatio: 1 });
    const { page } = phone;
    await page.addInitScript(readInTurns);
    await page.evaluate((records) => Nthtree.store.append(records),
      Array.from({ length: RECORDS }, (_, i) => told(i + 1)));
    const open = async (hold) => {
      await page.evaluate((on) => sessionStorage.setItem("hold", on ? "1" : ""), hold);
      await page.reload();
      if (!hold) await phone.ready(); // which waits until all is read
    };
    const copy = () => page.evaluate(async () => {
      const store = (await Nthtree.database.connect()).transaction("meta").objectStore("meta");
      return Nthtree.database.ask(store.get("people"));
    });
    await open(false);
    await phone.see("button", /^Imke/);
    for (let n = 0; n < 100 && !await copy(); n++) await page.waitForTimeout(50);
    await work({ phone, page, open, copy });
    assert.deepEqual(phone.troubles, []);
  } finally {
    await closeBrowser();
    await site.close();
  }
}

const loaded = (page) => page.evaluate(() =>
  performance.getEntriesByName("nthtree-loaded").length > 0);

// Whether this tab writes; one whose turn has just come reads everything anew before it does.
const writes = () => Nthtree.store.putMeta("locks", "[]").then(() => true, (error) => {
  if (error.outcome !== "read_only") throw error;
  return false;
});

export default [
  {
    name: "a name is tapped while the season is read, and the app goes on by itself",
    run: () => withLargeFarm(async ({ phone, page, open }) => {
      await open(true);
      await phone.see("heading", "Who are you?");
      await phone.see("button", /^José 🌳/);
      assert.equal(await loaded(page), false);
      await phone.tap(/^José 🌳/);
      await phone.see("heading", "Reading the season");
      await phone.page.locator("#mirror").getByText(`0 of ${RECORDS} records read.`).waitFor();
      assert.equal(await loaded(page), false);
      await page.evaluate(() => release());
      await phone.see("heading", "Which block?");
      await open(false);
      await phone.see("heading", "Which block?");
    }),
  },
  {
    name: "while the season is read a try at a PIN is kept, and no record",
    run: () => withLargeFarm(async ({ phone, page, open }) => {
      await open(true);
      await phone.see("heading", "Who are you?");
      const outcome = (what, ...words) => page.evaluate(([call, given]) =>
        Nthtree.store[call](...given).then(() => "saved", (error) => error.outcome), [what, words]);
      assert.equal(await outcome("putMeta", "locks", "[]"), "saved");
      assert.equal(await outcome("append", [told(RECORDS + 1)]), "read_only");
      assert.equal(await outcome("change", [told(1, "Other")], []), "read_only");
      await page.evaluate(() => release());
      await page.waitForFunction(() =>
        performance.getEntriesByName("nthtree-loaded").length > 0);
      assert.equal(await outcome("append", [told(RECORDS + 1)]), "saved");
    }),
  },
  {
    name: "a damaged copy of the people is not shown, and made anew",
    run: () => withLargeFarm(async ({ phone, page, open, copy }) => {
      const good = await copy();
      await page.evaluate((text) => Nthtree.store.putMeta("people", text),
        good.replace("Odd", "Old"));
      await open(true);
      await phone.see("heading", "Reading the season");
      await page.evaluate(() => release());
      await phone.see("button", /^Odd/);
      for (let n = 0; n < 100 && await copy() !== good; n++) await page.waitForTimeout(50);
      assert.equal(await copy(), good);
    }),
  },
  {
    name: "a copy older than the records: the list is right once all is read",
    run: () => withLargeFarm(async ({ phone, page, open }) => {
      await page.evaluate((record) => Nthtree.store.append([record]), told(RECORDS + 1, "Renamed"));
      await open(true);
      await phone.see("button", /^José 🌳/);
      await page.evaluate(() => release());
      await phone.see("button", /^Renamed/);
      await open(true);
      await phone.see("button", /^Renamed/);
    }),
  },
  {
    name: "a tab that only looks asks who you are at once as well, and keeps nothing",
    run: () => withLargeFarm(async ({ phone, page }) => {
      const other = await phone.page.context().newPage();
      const address = page.url();
      await other.goto(address);
      await page.evaluate(() => sessionStorage.setItem("hold", "1"));
      await page.goto("about:blank"); // the app is closed
      await other.waitForFunction(writes); // its turn has come
      await page.goto(address);
      await phone.see("button", /^José 🌳/);
      assert.equal(await page.evaluate(writes), false);
      await page.evaluate(() => release());
      await phone.see("button", /^José 🌳/);
      await page.evaluate(() => sessionStorage.setItem("hold", ""));
      const again = page.waitForEvent("load"); // it reads anew what the other tab wrote
      await other.close();
      await again;
      await phone.ready();
      assert.equal(await page.evaluate(writes), true);
    }),
  },
];
