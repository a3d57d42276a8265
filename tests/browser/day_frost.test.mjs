// SPDX-License-Identifier: Apache-2.0
//
// The morning after a frost, by role and name: a lead cuts buds open and taps alive or killed, with
// slips, and reads that pruning is to stop.
import { day } from "./support/farm.mjs";

const tally = async (phone, name, times) => {
  const { x, y } = await phone.place(phone.find("button", new RegExp(`^${name}`)));
  for (let i = 0; i < times; i += 1) await phone.touch(x, y);
  await phone.settle();
};

async function cutATree(phone, row) {
  await phone.fill("Row", String(row));
  await phone.fill("Tree", "9");
  await tally(phone, "Alive", 2);
  await tally(phone, "Killed", 12);
  await tally(phone, "Alive", 1); // a slip
  await phone.tap("Undo");
  await phone.tap("Keep this tree");
  await phone.sees(/Saved/);
}

export default [
  day("a frost night: buds are cut open, the target follows, and the page says to stop pruning",
    async ({ phone }) => {
      await phone.beSomebody("Teresa", "Lower Bench");
      await phone.tap(/^After a frost/);
      await phone.sees("No bud cut open after a frost yet.");
      await phone.tap(/^Silver tip|^Green tip/);
      await phone.tap("First pink", { role: "radio" });
      await phone.fill("Lowest temperature of the night (°F, may stay empty)", "26");
      await phone.sees(/kills about 50 of 100 buds/);
      for (const row of [2, 5, 8]) await cutATree(phone, row);
      await phone.sees(/2 of 14 alive/);
      await phone.sees(/Stop pruning: you are short already/);
    }),

  day("a tree that the block has not is said, and the taps are still there", async ({ phone }) => {
    await phone.beSomebody("Teresa", "Lower Bench");
    await phone.tap(/^After a frost/);
    await tally(phone, "Killed", 3);
    await phone.fill("Row", "900");
    await phone.sees(/Row 900/);
    await phone.tap("Keep this tree");
    await phone.see("button", "Undo");
    await phone.fill("Row", "3");
    await phone.tap("Keep this tree");
    await phone.sees(/0 of 3 alive/);
  }),
];
