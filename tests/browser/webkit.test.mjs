// SPDX-License-Identifier: Apache-2.0
//
// What is WebKit's own: it has no place for a second copy, and says so; the rescue page gets the counts
// out of it without the app and without a network. The days of pruner, lead and manager run in it
// too, see the files of those days.
import assert from "node:assert/strict";
import { withLastingFarm } from "./support/farm.mjs";

const PAD = "Tap: plus one";

const worker = (phone) => phone.page.waitForFunction(() => navigator.serviceWorker.ready
  .then((registration) => registration.active?.state === "activated"));

export default [
  { name: "without a second copy: said in words, and after a kill the rescue page has every count",
    browsers: ["webkit"],
    run: () => withLastingFarm(async ({ hub, open, restart }) => {
      let phone = await open();
      await phone.join(hub.code());
      await phone.beSomebody("Priya", "Lower Bench");
      await worker(phone);
      await phone.tap(/^Settings/);
      await phone.tap(/^Network and storage/);
      assert.equal(await phone.page.evaluate(() => typeof navigator.storage?.getDirectory), "undefined");
      await phone.sees(/^This browser has no place for a second copy/);
      await phone.tap("Back");
      await phone.tap("Back");
      await hub.kill();
      await phone.tap("Count this tree");
      await phone.tapMany(PAD, 31);
      await phone.save(31);
      await phone.sees("Saved on this phone");
      await restart();
      phone = await open();
      await phone.ready();
      await phone.page.goto(`${hub.origin}/rescue.html`);
      await phone.page.waitForFunction(() => /Ready/.test(document.body.innerText));
      const held = await phone.page.evaluate(() => Object.fromEntries(
        [...document.querySelectorAll("section:not([hidden]) dd")].map((element) =>
          [element.dataset.value, element.textContent])));
      assert.equal(held.unsent, "1");
      assert.ok(Number(held.records.replace(/\D/g, "")) > 100, JSON.stringify(held));
    }) },
];
