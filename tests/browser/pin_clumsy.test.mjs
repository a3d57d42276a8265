// SPDX-License-Identifier: Apache-2.0
//
// The PIN of a shared phone in clumsy hands: a wrong one tapped twice, back in the middle, the phone
// turned, and a forgotten one that the manager takes away.
import assert from "node:assert/strict";
import { SIZES } from "./support/browser.mjs";
import { day, setPin } from "./support/farm.mjs";

// The list of names asks for the PIN of whoever held the phone last.
async function toNames(phone) {
  await phone.tap(/, change person$/);
  await phone.see("heading", "Who are you?");
}

// From the list, not the name at the top.
const choose = (phone, name) =>
  phone.tapLocator(phone.find("button", new RegExp(`^${name}\\b(?!, change person)`)));

async function turn(phone, size) {
  await phone.page.setViewportSize(size);
  await phone.settle();
}

export default [
  day("a wrong PIN, back in the middle, and the phone turned: nothing typed is kept",
    async ({ phone }) => {
      await phone.beSomebody("Teresa", "Lower Bench");
      await setPin(phone, "2580");
      await toNames(phone);
      await choose(phone, "Teresa");
      await phone.see("heading", "Teresa");
      await phone.typeDigits("25");
      await phone.sees("2 digits typed");
      await turn(phone, SIZES.landscape);
      await phone.sees("2 digits typed");
      await phone.typeDigits("8");
      await turn(phone, SIZES.portrait);
      await phone.tap("Back");
      await phone.see("heading", "Who are you?");
      await choose(phone, "Teresa");
      await phone.sees("0 digits typed");
      await phone.typeDigits("1111");
      await phone.tapTwice("Open", 60);
      await phone.sees("That is not it. Type it again."); // two taps are one try
      await phone.typeDigits("2580");
      await phone.tap("Open");
      await phone.see("heading", "Lower Bench");
    }),

  day("a forgotten PIN: no guess opens, the manager takes it away, and no count is lost",
    async ({ phone }) => {
      await phone.beSomebody("Teresa", "Lower Bench");
      await setPin(phone, "2580");
      await toNames(phone);
      await choose(phone, "Teresa");
      await phone.typeDigits("12");
      assert.equal(await phone.find("button", "Open").isDisabled(), true);
      await phone.typeDigits("34");
      await phone.tap("Open");
      await phone.sees("That is not it. Type it again.");
      await phone.sees("Forgotten?");
      await phone.tap("Back");
      await phone.beSomebody("Wren");
      await phone.tap(/^The farm/);
      await phone.tap(/^Teresa\b/);
      await phone.tap("Take away the PIN on this phone");
      await phone.sees("The PIN is gone from this phone.");
      await phone.tap("Back");
      await phone.tap("Back");
      await toNames(phone);
      await choose(phone, "Teresa");
      await phone.see("heading", "Lower Bench");
    }),
];
