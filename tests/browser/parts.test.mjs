// SPDX-License-Identifier: Apache-2.0
//
// The app comes in three parts: what happens while a later one is on its way, and where it does not
// come.
import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { ALL, BOTH, closeBrowser, openPhone } from "./support/browser.mjs";
import { comesByItself } from "./support/comes_by_itself.mjs";
import { withHands } from "./support/farm.mjs";
import { serveSite } from "./support/static_site.mjs";

const words = JSON.parse(await readFile(
  new URL("../../assets/languages/en.json", import.meta.url), "utf8"));
const isVisit = (path) => path.startsWith("/visit.");
const isRest = (path) => path.startsWith("/rest.");
const pause = (ms) => new Promise((resolve) => setTimeout(resolve, ms));

async function onFirstVisit(before, work) {
  const site = await serveSite();
  site.before = before;
  site.letGo = before.letGo;
  try {
    const phone = withHands(await openPhone(site.origin));
    try {
      await work(phone, site);
    } finally {
      await phone.close();
    }
  } finally {
    await site.close();
    await closeBrowser();
  }
}

// A screen of the office: nothing of it is run on a pruner's first visit.
async function openTheOffice(phone) {
  await phone.tap(words["welcome.start"]);
  await phone.fill(words["start.farm"], "Quince Hollow");
  await phone.fill(words["start.you"], "Imke");
  await phone.tap(words["start.go"]);
}

// Until the test says site.letGo().
const heldBack = (is) => {
  let letGo = null;
  const gone = new Promise((resolve) => { letGo = resolve; });
  return Object.assign(async (path) => {
    if (is(path)) await gone;
    return true;
  }, { letGo });
};

export default [
  {
    name: "a preload made WebKit fetch the first part twice where the line is slow",
    browsers: ALL,
    run: () => onFirstVisit(async (path) => {
      if (path.startsWith("/app.")) await pause(1500);
      return true;
    }, async (phone, site) => {
      const path = Object.keys(site.sent).find((sent) => sent.startsWith("/app."));
      assert.equal(site.sent[path], 1);
    }),
  },
  {
    name: "the later parts come after the first frame, once, one after the other, and unasked",
    browsers: BOTH,
    run: () => onFirstVisit(async () => true, async (phone, site) => {
      const until = Date.now() + 20000;
      const path = (is) => Object.keys(site.sent).find(is);
      while (!path(isRest) && Date.now() < until) await pause(50);
      await phone.page.waitForFunction(() => navigator.serviceWorker.controller !== undefined
        && navigator.serviceWorker.ready.then(() => true));
      // Twice where something asked for it before it had come.
      assert.ok([1, 2].includes(site.sent[path(isVisit)]));
      assert.ok([1, 2].includes(site.sent[path(isRest)]));
      const asked = [(url) => url.startsWith("/app."), isVisit, isRest]
        .map((is) => site.asked.findIndex(({ url }) => is(url)));
      assert.deepEqual(asked, [...asked].sort((a, b) => a - b));
      assert.deepEqual(phone.troubles, []);
    }),
  },
  {
    name: "a screen is asked for before its part has come: it waits, and then it stands",
    browsers: BOTH,
    run: async () => {
      let tapped = false;
      await onFirstVisit(async (path) => {
        if (!isRest(path)) return true;
        // Where something at the start asks for it already, nobody can tap before it has come.
        for (const late = Date.now() + 5000; !tapped && Date.now() < late;) await pause(50);
        await pause(1000);
        return true;
      }, async (phone) => {
        const { x, y } = await phone.place(phone.find("button", words["welcome.start"]));
        tapped = true;
        await phone.touch(x, y);
        await phone.see("heading", words["start.title"]);
        assert.deepEqual(phone.troubles, []);
      });
    },
  },
  {
    name: "the first screen stands before the part of the first count has come",
    browsers: BOTH,
    run: () => onFirstVisit(heldBack(isVisit), async (phone, site) => {
      // What comes by itself in the first seconds must not wait for it either, or the screen stands
      // still: the browser's offer to put the app on the home screen did. A page that is left may
      // not even wait: there the app broke off.
      await phone.page.evaluate(comesByItself);
      // So did a second tab, which has to say that it is one.
      const second = await openPhone(site.origin, { context: phone.page.context() });
      await second.page.locator("#mirror").getByText(words["welcome.other_tab"]).waitFor();
      await pause(1500);
      assert.equal(Object.keys(site.sent).some(isVisit), false);
      // At most one of each tab, as a browser may give both one answer.
      assert.ok(site.asked.filter(({ url }) => isVisit(url)).length <= 2);
      assert.equal(site.asked.some(({ url }) => url.includes(".rest.")), false);
      await second.page.close();
      site.letGo();
      await phone.tap(words["welcome.start"]);
      await phone.see("heading", words["start.title"]);
      assert.deepEqual(phone.troubles, []);
    }),
  },
  {
    name: "the network went before the second part came: what to do is said, and nothing is torn",
    // The app may ask for the part at its start already: then the phone is not even ready.
    run: () => assert.rejects(onFirstVisit(async (path) => !isRest(path), async (phone) => {
      openTheOffice(phone).catch(() => {});
      const page = phone.page.locator("#crash");
      await page.waitFor();
      throw new Error(await page.textContent());
    }), /A part of the app has not come to this phone yet/),
  },
];
