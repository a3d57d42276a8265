// SPDX-License-Identifier: Apache-2.0
//
// The list of phones in clumsy hands: the wrong key withdrawn and what undoes it, two taps where one
// was meant, back in the middle of a question.
import assert from "node:assert/strict";
import { openPhone } from "./support/browser.mjs";
import { codeFor, day, withHands } from "./support/farm.mjs";

const dialog = (phone) => phone.page.locator("#mirror").getByRole("dialog");
const answer = (phone, name) => phone.tapLocator(dialog(phone).getByRole("button", { name }));
const WITHDRAW = "Withdraw this phone";

async function toPhones(phone) {
  await phone.beSomebody("Wren");
  await phone.tap(/^The farm/);
  await phone.tap("Phones");
  await phone.sees("Shared by several");
}

async function fetchNow(phone) {
  await phone.tap(/^Settings/);
  await phone.tap(/^Network and storage/);
  await phone.tap("Send and fetch now");
}

export default [
  day("the wrong phone withdrawn: a new code lets it in again, and its counts are there",
    async ({ phone, hub }) => {
      await toPhones(phone);
      const other = withHands(await openPhone(hub.origin, { pixelRatio: 1 }));
      try {
        await other.join(await codeFor(phone, "blue phone"));
        await phone.tap("Ask again");
        await phone.tap(/^blue phone/);
        // Two taps where one was meant ask, and withdraw nothing.
        await phone.tapTwice(WITHDRAW);
        await phone.see("dialog", "Withdraw blue phone?");
        await answer(phone, "Leave it");
        await phone.see("button", WITHDRAW);
        // Back in the middle of the question is no yes either.
        await phone.tap(WITHDRAW);
        await phone.see("dialog", "Withdraw blue phone?");
        await phone.page.goBack();
        await phone.settle();
        assert.equal(await dialog(phone).count(), 0);
        if (await phone.title() !== "blue phone") await phone.tap(/^blue phone/);
        await phone.tap(WITHDRAW);
        await answer(phone, WITHDRAW);
        await phone.sees("With a new code it can join anew.");
        // It was the wrong one. What was counted meanwhile waits, and comes with the new code.
        await other.beSomebody("Priya", "Lower Bench");
        await other.tap("Count this tree");
        await other.tapMany("Tap: plus one", 30);
        await other.save(30);
        await other.tap("Done");
        await fetchNow(other);
        await other.sees("The office withdrew this phone");
        await phone.tap("Back");
        const fresh = await codeFor(phone, "blue phone again");
        await other.tap(/Join/);
        await other.fill("Join code", fresh);
        await other.tap("Join");
        await phone.tap("Ask again");
        await phone.tap(/^blue phone again/);
        await phone.sees("Records it brought");
      } finally {
        await other.close();
      }
    }),
];
