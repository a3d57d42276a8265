// SPDX-License-Identifier: Apache-2.0
//
// The lock of a person on a shared phone: the browser's stretching against published values, the
// phone's own lock by an authenticator of the browser's, and both through the whole app.
import assert from "node:assert/strict";
import { BOTH, closeBrowser, newContext } from "./support/browser.mjs";
import { day, setPin } from "./support/farm.mjs";
import { openSite, pageWith } from "./support/site.mjs";

// RFC 7914, section 11: PBKDF2-HMAC-SHA-256, the first 32 bytes of each.
const PUBLISHED = [
  ["passwd", "salt", 1, "55ac046e56e3089fec1691c22544b605f94185216dde0465e68b9d57c20dacbc"],
  ["Password", "NaCl", 80000, "4ddcd8f60b98be21830cee5ef22701f9641a4418d04c0414aeff08876b34ab56"],
];

// By name: no authenticator knows a bare address (WebAuthn, 5.1.3).
async function onPage(work) {
  const site = await openSite();
  const context = await newContext({});
  try {
    site.set("/lock.html", "text/html", pageWith(["lock.js"]));
    const page = await context.newPage();
    await page.goto(`${site.origin.replace("127.0.0.1", "localhost")}/lock.html`);
    await work(page);
  } finally {
    await context.close();
    await site.close();
    await closeBrowser();
  }
}

// Hands the phone from one person to another.
async function change(phone, to, block) {
  await phone.tap(/, change person$/);
  await phone.see("heading", "Who are you?");
  await phone.tap(new RegExp(`^${to}\\b`));
  if (block) await phone.tap(new RegExp(`^${block}\\b`));
}

export default [
  { name: "a PIN is stretched as RFC 7914 publishes", browsers: BOTH, run: () => onPage(
    async (page) => {
      for (const [secret, salt, rounds, wanted] of PUBLISHED) {
        const hex = Buffer.from(salt).toString("hex");
        assert.equal(await page.evaluate(([a, b, c]) => Nthtree.lock.stretch(a, b, c),
          [secret, hex, rounds]), wanted);
      }
    }) },

  { name: "the phone's own lock opens for whoever it knows, and for nobody else", run: () => onPage(
    async (page) => {
      const cdp = await page.context().newCDPSession(page);
      await cdp.send("WebAuthn.enable");
      const { authenticatorId } = await cdp.send("WebAuthn.addVirtualAuthenticator", { options: {
        protocol: "ctap2", transport: "internal", hasResidentKey: true,
        hasUserVerification: true, isUserVerified: true, automaticPresenceSimulation: true,
      } });
      await page.reload();
      await page.evaluate(() => Nthtree.lock.asked());
      assert.equal(await page.evaluate(() => Nthtree.lock.hasPhone()), true);
      const made = await page.evaluate(() => Nthtree.lock.phone(""));
      assert.match(made, /^[0-9a-f]{16,}$/);
      assert.equal(await page.evaluate((one) => Nthtree.lock.phone(one), made), made);
      await cdp.send("WebAuthn.setUserVerified", { authenticatorId, isUserVerified: false });
      await assert.rejects(page.evaluate((one) => Nthtree.lock.phone(one), made));
    }) },

  day("anybody took the lead's name on a shared phone", async ({ phone }) => {
    await phone.beSomebody("Teresa", "Lower Bench");
    await setPin(phone, "2580");
    await change(phone, "Priya", "Lower Bench");
    await change(phone, "Teresa");
    await phone.see("heading", "Teresa");
    await phone.typeDigits("1111");
    await phone.tap("Open");
    await phone.sees("That is not it. Type it again.");
  }),
];
