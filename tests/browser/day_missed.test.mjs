// SPDX-License-Identifier: Apache-2.0
//
// What pruner and lead missed in a day with the app: the lead's word on the pruner's phone, a place to
// begin, what a spur is, a language a person, and a way back from one tap.
import assert from "node:assert/strict";
import { day } from "./support/farm.mjs";

const PAD = "Tap: plus one";

export default [
  day("the lead tells, with a note; the pruner reads it; the lead takes it back", async ({ phone }) => {
    await phone.beSomebody("Teresa", "Lower Bench");
    await phone.tap(/^Priya/);
    await phone.tap("Tell Priya");
    await phone.fill(/^What else you said/, "Hanging wood first.");
    await phone.tap("I told Priya");
    await phone.sees(/^Told just now: Priya.*Hanging wood first\./);
    await phone.tap("Teresa, change person");
    await phone.tap(/^Priya/);
    await phone.sees(/^Priya, .*Hanging wood first\.$/);
    await phone.tap("Priya, change person");
    await phone.tap(/^Teresa/);
    await phone.tap(/^My day/);
    await phone.tap(/^Priya, /);
    const dialog = phone.page.locator("#mirror").getByRole("dialog");
    await phone.tapLocator(dialog.getByRole("button", { name: "Take it back" }));
    await phone.tap("Teresa, change person");
    await phone.tap(/^Priya/);
    await phone.sees("Leave on each tree");
    assert.equal(await phone.shows("Teresa, "), false);
    assert.equal(await phone.shows("Hanging wood first."), false);
  }),

  day("begins in the row where somebody stands, and looks up what a spur is", async ({ phone }) => {
    await phone.beSomebody("Priya", "Lower Bench");
    await phone.tap("I am in row …");
    await phone.fill("Row", "9");
    await phone.fill("Tree", "33");
    await phone.tap("Done");
    await phone.see("button", /^Row 9, tree 33/);
    await phone.tapMany(PAD, 3);
    await phone.tap("What counts?");
    await phone.see("img", /^A spur/);
    await phone.see("img", /^Side buds/);
    await phone.tap("Back");
    await phone.see("button", "Save 3");
  }),

  day("each person of a shared phone reads their own language", async ({ phone }) => {
    await phone.beSomebody("Priya", "Lower Bench");
    await phone.tap(/^Settings/);
    await phone.tap("Español", { role: "radio" });
    await phone.tap(/^Priya, /);
    await phone.tap(/^Tomasz/);
    await phone.tap(/^Ajustes/);
    await phone.tap("English", { role: "radio" });
    await phone.tap(/^Tomasz, /);
    await phone.tap(/^Priya/);
    await phone.sees("Dejar en cada árbol");
    await phone.tap(/^Priya, /);
    await phone.tap(/^Tomasz/);
    await phone.sees("Leave on each tree");
  }),
];
