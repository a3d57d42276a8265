// SPDX-License-Identifier: Apache-2.0
//
// What stands when the app does not: a WebAssembly that is broken, or that never comes, with records
// on the phone. And what the page says of unsent records without the app.
import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { closeBrowser } from "./support/browser.mjs";
import { withFarm, withLastingFarm } from "./support/farm.mjs";
import { pause } from "./support/chromium.mjs";

const PAD = "Tap: plus one";

async function savedCount(phone, taps) {
  await phone.tap("Count this tree");
  await phone.see("heading", "Count");
  await phone.tapMany(PAD, taps);
  await phone.save(taps);
  await phone.sees(/Saved/);
  await phone.tap("Done");
}

const unsent = (page) => page.evaluate(() => Nthtree.store.unsent());

async function untilUnsent(page, wanted) {
  let now = -1;
  for (let n = 0; n < 200; n++, await pause(100)) {
    now = await unsent(page);
    if (now === wanted) return;
  }
  assert.equal(now, wanted);
}

const farm = (name, work) => ({ name, run: async () => {
  try {
    await withFarm(work);
  } finally {
    await closeBrowser();
  }
} });

// A page of the same phone on which no WebAssembly arrives; `route` says what comes instead.
async function brokenPage(phone, hub, route) {
  const page = await phone.context.newPage();
  await page.route(/\.wasm$/, route);
  await page.goto(`${hub.origin}/`, { waitUntil: "domcontentloaded" });
  return page;
}

// From the link to the file: every record that the app holds, byte for byte.
async function rescued(page, link, expected) {
  await page.getByRole("link", { name: link }).click();
  await page.getByRole("heading", { level: 1, name: "Get the counts out" }).waitFor();
  await page.getByText("Ready. Nothing has left").waitFor();
  const [download] = await Promise.all([page.waitForEvent("download"),
    page.getByRole("button", { name: "Save all records as a file" }).click()]);
  const lines = (await readFile(await download.path(), "utf8")).split("\n").slice(0, -1);
  assert.deepEqual(lines.sort(), expected);
}

const recordsOf = (page) => page.evaluate(() => new Promise((resolve, reject) => {
  Nthtree.database.connect().then((database) => {
    const all = database.transaction("records").objectStore("records").getAll();
    all.onsuccess = () => resolve(all.result.map((entry) => entry.slice(0, entry.lastIndexOf("\t")))
      .sort());
    all.onerror = () => reject(all.error);
  }, reject);
}));

// The demo farm comes in several pages; here is the end of them.
async function allFetched(page) {
  for (let before = await recordsOf(page); ;) {
    await pause(3000);
    const now = await recordsOf(page);
    if (now.length === before.length && now.length > 1000) return now;
    before = now;
  }
}

export default [
  farm("a count is unsent until the hub has it, also for a page that has only the store",
    async ({ phone }) => {
      await phone.beSomebody("Priya", "Lower Bench");
      await untilUnsent(phone.page, 0);
      await phone.context.setOffline(true);
      await savedCount(phone, 7);
      await savedCount(phone, 9);
      assert.equal(await unsent(phone.page), 2);
      await phone.context.setOffline(false);
      await untilUnsent(phone.page, 0);
      await savedCount(phone, 5);
      await untilUnsent(phone.page, 0);
    }),

  farm("a broken WebAssembly ends on a page that leads to everything on the phone",
    async ({ phone, hub }) => {
      await phone.beSomebody("Priya", "Lower Bench");
      await savedCount(phone, 6);
      const expected = await allFetched(phone.page);
      await forgetWorker(phone.page);
      const page = await brokenPage(phone, hub, (route) => route.fulfill({ status: 200,
        contentType: "application/wasm", body: "this was a program once" }));
      await page.getByRole("heading", { level: 1, name: "The app has stopped" }).waitFor();
      await page.getByText("Not yet sent to the hub: 0").waitFor();
      await rescued(page, "Get the counts out without the app", expected);
    }),

  farm("where the WebAssembly never comes, the opening page leads there too",
    async ({ phone, hub }) => {
      const expected = await allFetched(phone.page);
      await forgetWorker(phone.page);
      const page = await brokenPage(phone, hub, () => {}); // nobody ever answers
      await page.getByRole("heading", { level: 1, name: "Nthtree" }).waitFor();
      await rescued(page, /get the counts out/, expected);
    }),

  {
    name: "a phone that dies within a second of joining has joined",
    run: () => withLastingFarm(async ({ hub, open, restart }) => {
      let phone = await open();
      await phone.join(hub.code());
      await restart();
      const answers = [];
      phone = await open({ onAnswer: (path, status) => {
        if (path.startsWith("/v1/")) answers.push(`${path} ${status}`);
      } });
      assert.equal(await phone.title(), "Who are you?");
      for (let n = 0; n < 200 && answers.length < 2; n++) await pause(50);
      assert.ok(answers.length >= 2, "it never asked");
      assert.deepEqual(answers.filter((answer) => !answer.endsWith(" 200")), []);
      await phone.beSomebody("Priya", "Lower Bench");
      await savedCount(phone, 4);
      await untilUnsent(phone.page, 0);
    }),
  },
];

// The worker would answer with the sound file it keeps.
function forgetWorker(page) {
  return page.evaluate(async () => {
    for (const registration of await navigator.serviceWorker.getRegistrations()) {
      await registration.unregister();
    }
  });
}
