// SPDX-License-Identifier: Apache-2.0
//
// Only the language in use is waited for; the others come after the first frame. What happens when
// one is chosen before it has come, and once there is no network any more.
import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { ALL, BOTH, closeBrowser, openPhone } from "./support/browser.mjs";
import { withHands } from "./support/farm.mjs";
import { serveSite } from "./support/static_site.mjs";

const FOLDER = new URL("../../assets/languages/", import.meta.url);
const wordsOf = async (code) => JSON.parse(await readFile(new URL(`${code}.json`, FOLDER), "utf8"));
const words = { en: await wordsOf("en"), es: await wordsOf("es"), fr: await wordsOf("fr") };
const CODES = Object.keys(words);
const pause = (ms) => new Promise((resolve) => setTimeout(resolve, ms));
const codeOf = (path) => /^\/languages\/(\w\w)\./.exec(path)?.[1];

// `lets(code)`: may that language come? A promise is waited for.
async function onPhone(lets, work, options = {}, letsPath = () => true) {
  const site = await serveSite();
  site.before = async (path) => await letsPath(path) && (!codeOf(path) || lets(codeOf(path)));
  const phone = withHands(await openPhone(site.origin, options));
  try {
    await work(phone, site);
  } finally {
    await phone.close();
    await site.close();
    await closeBrowser();
  }
}

const languagesSent = (site) => [...new Set(Object.keys(site.sent).map(codeOf).filter(Boolean))];

async function until(what, holds) {
  for (const late = Date.now() + 30000; Date.now() < late; await pause(50)) {
    if (await holds()) return;
  }
  assert.fail(`${what}: not within 30 s`);
}

const allCome = (site) => until("all languages come", () => languagesSent(site).length === 3);
const choose = (phone, code) => phone.tap(words[code]["language.name"], { role: "radio" });
const speaks = (phone, code) => phone.see("heading", words[code]["welcome.title"]);

export default [
  {
    name: "the app stands with one language; the others come after it, once, and unasked",
    browsers: ALL,
    run: async () => {
      let open;
      const opened = new Promise((resolve) => { open = resolve; });
      await onPhone((code) => code === "en" || opened.then(() => true), async (phone, site) => {
        await speaks(phone, "en");
        assert.deepEqual(languagesSent(site), ["en"]);
        for (const code of CODES) await phone.see("radio", words[code]["language.name"]);
        open();
        await allCome(site);
        assert.deepEqual(Object.entries(site.sent).filter(([, times]) => times > 1), []);
        assert.deepEqual(phone.troubles, []);
      });
    },
  },
  {
    name: "a Spanish phone waits for Spanish alone",
    browsers: BOTH,
    run: () => onPhone((code) => code === "es", async (phone) => {
      await speaks(phone, "es");
      assert.equal(await phone.page.evaluate(() => document.documentElement.lang), "es");
    }, { locale: "es-MX" }),
  },
  {
    name: "a first visit stands with the letters of our languages; the whole typefaces come behind it",
    browsers: BOTH,
    run: async () => {
      const isWhole = (path) => /^\/fonts\/\w+\.(?!first\.)/.test(path);
      let open;
      const opened = new Promise((resolve) => { open = resolve; });
      await onPhone(() => true, async (phone, site) => {
        const wholes = () => Object.keys(site.sent).filter(isWhole);
        await speaks(phone, "en");
        assert.deepEqual(wholes(), []);
        assert.equal(Object.keys(site.sent).filter((path) => /first\..*ttf/.test(path)).length, 2);
        open();
        await until("both whole typefaces come", () => wholes().length === 2);
        await allCome(site);
        assert.deepEqual(phone.troubles, []);
      }, {}, (path) => !isWhole(path) || opened.then(() => true));
    },
  },
  {
    name: "a language is chosen before it has come: that is said, and it comes once there is a network",
    browsers: ALL,
    run: async () => {
      let network = false;
      await onPhone((code) => code === "en" || network, async (phone) => {
        await choose(phone, "fr");
        await phone.sees("Français has not come to this phone yet");
        await speaks(phone, "en");
        network = true;
        await phone.page.evaluate(() => dispatchEvent(new Event("online")));
        await speaks(phone, "fr");
      });
    },
  },
  {
    name: "a text that had not come and cannot be had never shows as its key, and stands once it comes",
    browsers: BOTH,
    run: async () => {
      let network = false;
      await onPhone(() => true, async (phone, site) => {
        await speaks(phone, "en");
        await phone.tap(words.en["welcome.start"]);
        await phone.see("heading", "…");
        assert.doesNotMatch(await phone.page.evaluate(() => document.body.textContent), /⟦/);
        network = true;
        await phone.page.evaluate(() => dispatchEvent(new Event("online")));
        await phone.see("heading", words.en["start.title"]);
        await allCome(site);
      }, {}, (path) => network || !path.startsWith("/languages/") || !path.includes(".rest."));
    },
  },
  {
    name: "a language whose file is broken keeps nobody out",
    run: () => onPhone((code) => code !== "en", async (phone) => {
      await speaks(phone, "es"); // the first that could be read
    }),
  },
  {
    name: "without a network every language is there, and the one chosen opens the next start",
    browsers: ALL,
    run: async () => {
      const asked = [];
      let network = true;
      await onPhone((code) => asked.push(code) && network, async (phone, site) => {
        await allCome(site);
        await phone.page.waitForFunction(() => navigator.serviceWorker.ready
          .then((registration) => registration.active?.state === "activated"));
        network = false;
        site.before = async () => false;
        await choose(phone, "es");
        await speaks(phone, "es");
        await choose(phone, "fr");
        await speaks(phone, "fr");
        await phone.page.evaluate(() => location.reload());
        await phone.ready();
        assert.equal(await phone.page.evaluate(() => document.documentElement.lang), "fr");
        await speaks(phone, "fr");
      });
    },
  },
];
