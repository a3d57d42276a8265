// SPDX-License-Identifier: Apache-2.0
//
// The harvest in clumsy hands: two taps where one was meant, back in the middle, a tree that nobody
// counted in winter, one that the block has not, a weight in the wrong unit, a number too many.
import assert from "node:assert/strict";
import { SIZES } from "./support/browser.mjs";
import { day } from "./support/farm.mjs";

async function toHarvest(phone) {
  await phone.beSomebody("Wren");
  await phone.tap(/^Which block/);
  await phone.tap(/^Lower Bench/);
  await phone.tap(/^Fruits at harvest/);
  await phone.see("heading", "Fruits at harvest");
}

// How often a number stands on the screen.
const standing = async (phone, number) => (await phone.screen())
  .filter(([, text]) => new RegExp(`(^|\\D)${number}$`).test(text ?? "")).length;

export default [
  day("fruits are saved once, whatever is tapped twice, and a count begun comes back",
    async ({ phone }) => {
      await toHarvest(phone);
      const before = await standing(phone, 71);
      await phone.tapTwice("Count fruits on a tree", 150);
      await phone.see("button", "Save 0"); // the second tap saved nothing
      await phone.typeDigits("71");
      await phone.page.goBack();
      await phone.see("heading", "Fruits at harvest");
      await phone.tap("Count fruits on a tree");
      await phone.see("button", "Save 71");
            await phone.tapTwice("Save 71", 150);
      const yes = phone.page.locator("#mirror").getByRole("dialog")
        .getByRole("button", { name: "Save 71" });
      if (await yes.count() > 0) await phone.tapLocator(yes);
      await phone.see("heading", "Fruits at harvest");
      await phone.sees(/^Saved/);
      assert.equal(await standing(phone, 71), before + 1);
    }, { size: SIZES.tall, seasons: { count: 1, day: 284 } }),

  day("fruits of a tree that nobody counted teach nothing and are said; one that is not there is refused",
    async ({ phone }) => {
      await toHarvest(phone);
      await phone.tap("Count fruits on a tree");
      await phone.tap(/^Row \d+, tree \d+/);
      await phone.fill("Row", "900");
      await phone.showsSoon("900 is not allowed");
      // The tree is that of the 9 on the way to 900: nothing is saved to it, nor left that way.
      assert.equal(await phone.find("button", "Save 0").isDisabled(), true);
      assert.equal(await phone.find("button", "Done").isDisabled(), true);
      await phone.fill("Row", "2");
      await phone.fill("Tree", "2");
      await phone.tap("Done");
      await phone.typeDigits("80");
      await phone.save(80);
      await phone.sees(/^Saved/);
      await phone.sees(/No spurs were counted on row 2, tree 2/);
      // Grams, and somebody types ounces: refused beside the field, the fruits stand.
      await phone.fill(/^Mean weight of a fruit/, "6");
      assert.equal(await phone.find("button", "Note the weight").isDisabled(), true);
      await phone.fill(/^Mean weight of a fruit/, "182");
      await phone.tap("Note the weight");
      await phone.sees(/182/);
    }, { size: SIZES.tall, seasons: { count: 1, day: 284 } }),
];
