// SPDX-License-Identifier: Apache-2.0
//
// The manager's page of joined phones against the real hub: a code for a pruner's phone, that phone
// listed, named, and withdrawn; and what a pruner's phone is told there.
import assert from "node:assert/strict";
import { openPhone } from "./support/browser.mjs";
import { codeFor, day, withHands } from "./support/farm.mjs";

export default [
  day("a lost phone could be shut out at the hub's own machine alone",
    async ({ phone, hub }) => {
      await phone.beSomebody("Wren");
      await phone.tap(/^The farm/);
      await phone.tap("Phones");
      await phone.sees("Shared by several");
      const code = await codeFor(phone, "blue phone");
      const lost = withHands(await openPhone(hub.origin, { pixelRatio: 1 }));
      try {
        await lost.join(code);
        await lost.beSomebody("Priya", "Lower Bench");
        await phone.tap("Ask again");
        await phone.tap(/^blue phone/);
        await phone.fill("Name", "red phone");
        await phone.tap("Keep");
        await phone.sees("Kept at the hub.");
        await phone.see("heading", "red phone");
        await phone.tap("Withdraw this phone");
        await phone.see("dialog", "Withdraw red phone?");
        await phone.tapLocator(phone.page.locator("#mirror").getByRole("dialog")
          .getByRole("button", { name: "Withdraw this phone" }));
        await phone.sees("With a new code it can join anew.");
        await lost.tap(/^Settings/);
        await lost.tap(/^Network and storage/);
        await lost.tap("Send and fetch now");
        await lost.sees("The office withdrew this phone");
      } finally {
        await lost.close();
      }
    }),

  day("a phone in another role is told that the list is not for it", async ({ phone, hub }) => {
    await phone.beSomebody("Wren");
    await phone.tap(/^The farm/);
    await phone.tap("Phones");
    const code = await codeFor(phone, "tablet");
    const other = withHands(await openPhone(hub.origin, { pixelRatio: 1 }));
    try {
      await other.join(code);
      await other.beSomebody("Wren");
      await other.tap(/^The farm/);
      await other.tap("Phones");
      await other.sees("This phone joined in another role.");
      assert.ok(!(await other.shows("tablet")));
    } finally {
      await other.close();
    }
  }),
];
