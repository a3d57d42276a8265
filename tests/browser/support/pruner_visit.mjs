// SPDX-License-Identifier: Apache-2.0
//
// What a pruner of the demo farm does on a first visit, from "Who are you?" to the first verdict and
// home again. tools/first_visit notes which functions and texts it runs.
//
//   await withFarm(async ({ phone }) => visitAsPruner(phone));
//   await visitAsPruner(await openByLink(hub));     // a phone that came by a link with a join code
import { openPhone } from "./browser.mjs";
import { withHands } from "./farm.mjs";

export async function openByLink(hub, options = {}) {
  const phone = withHands(await openPhone(hub.origin,
    { pixelRatio: 1, ...options, fragment: `join=${hub.code()}` }));
  await phone.tap("Join");
  await phone.see("heading", "Who are you?");
  return phone;
}

export async function visitAsPruner(phone) {
  await phone.beSomebody("Priya", "Lower Bench");
  await phone.sees("Leave on each tree");
  await phone.tap("Count this tree");
  await phone.see("heading", "Count");
  await phone.tapMany("Tap: plus one", 12);
  await phone.tap("+5");
  await phone.tap("−1");
  await phone.tap("Undo");
  await phone.save(17);
  await phone.sees(/Saved/);
  await phone.sees("You in this block");
  await phone.tap("Done");
  await phone.sees("Next tree to count");
}
