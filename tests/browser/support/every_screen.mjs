// SPDX-License-Identifier: Apache-2.0
//
// Every screen that can be reached in the demo farm, by each role, in each language, on the
// narrowest phone at the largest text: a glove hits everything, nothing to press lies over another
// thing to press; and, in the language with the longest words, axe-core finds nothing. The way is
// found by pressing whatever can be pressed, so that a screen added later is looked at without a
// line here. Each language is a file of its own, so that they run beside each other.
import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { smallTargets, violations } from "../accessibility.test.mjs";
import { closeBrowser, openPhone, SIZES } from "./browser.mjs";
import { serveSite } from "./static_site.mjs";

const wordsOf = async (language) => JSON.parse(await readFile(
  new URL(`../../../assets/languages/${language}.json`, import.meta.url), "utf8"));

// These leave the demo, or the page.
const LEFT_ALONE = /^(demo|leave|print|share|csv|json|file|import|scan|pick|person$|status|back)/;
// Of a kind, one is enough: one person of many, one digit of ten.
const kindOf = (id) => id.replace(/[/\d].*$/, "");
const LONGEST = "es";
const SCREENS_LEAST = 40; // in each language; fewer would mean that the way was lost

// What can be pressed on the present screen, and what tells this screen from others.
const here = (page) => page.evaluate(() => {
  const ids = (selector) => [...document.querySelectorAll(`#mirror ${selector}`)]
    .map((element) => element.dataset.id);
  const dialog = document.querySelector("#mirror [role=dialog]");
  return {
    // A question is looked at, and not answered.
    buttons: dialog ? [] : ids("main button:not([role]), #mirror footer button"),
    title: dialog?.dataset.id ?? document.querySelector("#mirror h1")?.textContent ?? "",
    kinds: ids("main .over, #mirror footer .over"),
  };
});

// Things to press that share more than a pixel with another, in the same part of the screen.
const overlaps = (page) => page.evaluate(() => {
  const found = [];
  for (const part of document.querySelectorAll("#mirror main, #mirror header, #mirror footer")) {
    const boxes = [...part.querySelectorAll("button, input, textarea")]
      .map((element) => [element, element.getBoundingClientRect()]);
    for (const [i, [one, a]] of boxes.entries()) {
      for (const [two, b] of boxes.slice(i + 1)) {
        const wide = Math.min(a.right, b.right) - Math.max(a.left, b.left);
        const tall = Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top);
        if (wide > 1 && tall > 1) found.push(`${one.dataset.id} and ${two.dataset.id}`);
      }
    }
  }
  return found;
});

// One screen, although a notice came or went meanwhile.
function same(one, two) {
  const both = [...one.kinds].filter((kind) => two.kinds.has(kind)).length;
  const about = ({ title }) => title.replace(/[\d:].*$/, ""); // not which day, which tree
  return about(one) === about(two) && both > 0.65 * new Set([...one.kinds, ...two.kinds]).size;
}

class Walk {
  constructor(phone, finders) {
    this.phone = phone;
    this.finders = finders;
    this.seen = [];
    this.found = []; // what is wrong, as sentences
  }

  async press(id) {
    await this.phone.page.evaluate((name) => Nthtree.bridge.activate(name), id);
    await this.phone.settle({ drawn: true }); // what is pressed by name waits for no finger
  }

  async back(steps = 1) {
    for (let step = 0; step < steps; step += 1) {
      await this.phone.page.evaluate(() => Nthtree.bridge.back());
    }
    await this.phone.settle({ drawn: true });
  }

  async look() {
    const now = await here(this.phone.page);
    return { ...now, kinds: new Set(now.kinds.map(kindOf)) };
  }

  async check(where) {
    for (const find of this.finders) {
      for (const line of await find(this.phone.page)) this.found.push(`${where}: ${line}`);
    }
  }

  // Everything behind the present screen, one step after the other, and back again each time.
  // `way`: the buttons that lead here from the first screen.
  async from(way = []) {
    const now = await this.look();
    if (way.length > 6 || this.seen.some((screen) => same(screen, now))) return;
    this.seen.push(now);
    await this.check(now.title);
    const pressed = new Set();
    for (const id of now.buttons) {
      if (LEFT_ALONE.test(id) || pressed.has(kindOf(id))) continue;
      pressed.add(kindOf(id));
      await this.press(id);
      if (same(await this.look(), now)) continue;
      await this.from([...way, id]);
      if (!(await this.backTo(now, way))) return;
    }
  }

  async backTo(screen, way) {
    for (let steps = 0; steps < 2; steps += 1) {
      if (same(await this.look(), screen)) return true;
      await this.back();
    }
    await this.back(8);
    for (const id of way) await this.press(id);
    return same(await this.look(), screen);
  }
}

async function everyScreen(language) {
  const words = await wordsOf(language);
  const site = await serveSite();
  const phone = await openPhone(site.origin,
    { size: SIZES.portrait, locale: language, pixelRatio: 1 }); // drawn in software: fewer pixels
  try {
    assert.equal(await phone.page.evaluate(() => document.documentElement.lang), language);
    await phone.tap(words["welcome.demo"]);
    const walk = new Walk(phone, [smallTargets, overlaps,
      ...(language === LONGEST ? [violations] : [])]);
    for (const [step, person] of ["Priya", "Teresa", "Wren"].entries()) {
      await phone.see("heading", words["who.title"]);
      await phone.tap(new RegExp(`^${person}`));
      if (await phone.title() === words["block.title"]) await phone.tap(/^Lower Bench/);
      if (step === 0) {
        await walk.press("settings");
        for (let more = 0; more < 4; more += 1) await walk.press("text/more");
        await walk.back();
      }
      await walk.from();
      await walk.back(8);
      await walk.press("person");
      await phone.settle(); // a finger comes next
    }
    assert.deepEqual(walk.found, []);
    console.log(`# ${language}: ${walk.seen.length} screens`);
    assert.ok(walk.seen.length >= SCREENS_LEAST, `only ${walk.seen.map((s) => s.title)}`);
    assert.deepEqual(phone.troubles, [], "the page reported errors");
  } finally {
    await phone.close();
    await site.close();
    await closeBrowser();
  }
}

export const everyScreenIn = (language) => [{
  name: `every screen, narrow and with large text, in ${language}`,
  run: () => everyScreen(language),
}];
