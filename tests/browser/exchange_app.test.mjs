// SPDX-License-Identifier: Apache-2.0
//
// Records from phone to phone without a hub, on the app's own screens by role and name: codes that
// one phone shows are photographed off its screen and held before the other one's (pretended)
// camera; files are saved by one and opened by the other. Both ledgers are compared record by record.
import assert from "node:assert/strict";
import { mkdtemp, readdir, readFile, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { smallTargets, violations } from "./accessibility.test.mjs";
import { BOTH, closeBrowser, openPhone, SIZES } from "./support/browser.mjs";
import { cameraFlags, film, HEIGHT, WIDTH } from "./support/camera.mjs";
import { withHands } from "./support/farm.mjs";
import { serveSite } from "./support/static_site.mjs";

const ROOT = new URL("../../", import.meta.url);
const words = JSON.parse(await readFile(new URL("assets/languages/en.json", ROOT), "utf8"));
const say = (key, values) => Object.entries(values).reduce((text, [name, value]) =>
  text.replace(`{${name}}`, value), words[key]);

// The demo farm's settings and the first counts of its week: some codes, not hundreds.
async function smallFarm(counts) {
  const folder = new URL("scenarios/oxbow_lantern/", ROOT);
  const names = (await readdir(folder)).filter((name) => name.endsWith(".jsonl")).sort();
  const lines = (await Promise.all(names.map((name) => readFile(new URL(name, folder), "utf8"))))
    .join("\n").split("\n").filter((line) => line !== "");
  const settings = lines.filter((line) => /"kind":"(farm|block|person)"/.test(line));
  const tags = lines.filter((line) => line.includes('"kind":"tag_count"')).slice(0, counts);
  return [...settings, ...tags];
}

const ledgerOf = (phone) => phone.page.evaluate(async () => {
  const { records } = JSON.parse(await Nthtree.store.exportAll());
  return records.map((record) => JSON.stringify(record)).sort();
});

async function withPhones(work) {
  const site = await serveSite();
  const folder = await mkdtemp(join(tmpdir(), "nthtree-exchange-"));
  const phones = [];
  const open = async (options = {}) => {
    const phone = withHands(await openPhone(site.origin, options));
    phones.push(phone);
    return phone;
  };
  try {
    await work({ open, folder });
    for (const phone of phones) assert.deepEqual(phone.troubles, [], "the page reported errors");
  } finally {
    for (const phone of phones) await phone.close();
    await site.close();
    await closeBrowser();
    await rm(folder, { recursive: true, force: true });
  }
}

async function openFile(phone, path) {
  const [chooser] = await Promise.all([phone.page.waitForEvent("filechooser"),
    phone.tap(words["take.file"])]);
  await chooser.setFiles(path);
  await phone.settle();
}

async function judge(phone, where) {
  assert.deepEqual(await violations(phone.page), [], where);
  assert.deepEqual(await smallTargets(phone.page), [], where);
}

// A phone that holds this ledger, in the hand of one of its people.
async function phoneWith(open, folder, lines) {
  const phone = await open();
  const path = join(folder, "given.txt");
  await writeFile(path, `${lines.join("\n")}\n`);
  await phone.tap(words["welcome.receive"]);
  await openFile(phone, path);
  await phone.sees(say("take.fresh.other", { n: lines.length }));
  await phone.tap(words["take.who"]);
  await phone.beSomebody("Priya", "Lower Bench");
  return phone;
}

// What a camera before the screen sees of the code, in grey, with the screen around it.
async function photograph(phone) {
  const { x, y, width, height } = await phone.find("img", /^Code /).boundingBox();
  const shot = await phone.page.screenshot({ clip: { x, y, width, height } });
  return phone.page.evaluate(async ({ png, w, h }) => {
    const bytes = Uint8Array.from(atob(png), (letter) => letter.charCodeAt(0));
    const image = await createImageBitmap(new Blob([bytes], { type: "image/png" }));
    const canvas = Object.assign(document.createElement("canvas"), { width: w, height: h });
    const context = canvas.getContext("2d");
    context.fillStyle = "#aaa";
    context.fillRect(0, 0, w, h);
    context.drawImage(image, (w - h) / 2, 0, h, h);
    const { data } = context.getImageData(0, 0, w, h);
    return Array.from({ length: w * h }, (_, i) => Math.round(45 + data[4 * i] * 0.7));
  }, { png: shot.toString("base64"), w: WIDTH, h: HEIGHT });
}

// While codes go round no picture is the last one, so nothing may wait for it.
const press = (phone, name) => phone.find("button", name).evaluate((button) => button.click());

async function photographAll(phone) {
  await press(phone, words["codes.pause"]);
  await phone.settle();
  await judge(phone, "codes");
  const label = () => phone.find("img", /^Code /).getAttribute("aria-label");
  const numbers = async () => (await label()).match(/\d+/g).map(Number);
  while ((await numbers())[0] > 1) await phone.tap("Code number: 1 less");
  const shots = [];
  for (;;) {
    const [number, count] = await numbers();
    shots.push(await photograph(phone));
    assert.equal(shots.length, number);
    if (number === count) return shots;
    await phone.tap("Code number: 1 more");
  }
}

async function showCodes(phone) {
  await phone.tap(words["hand.title"]);
  await phone.tap(words["hand.everything"], { role: "radio" });
  await judge(phone, "hand over");
  await press(phone, words["hand.codes"]);
  await phone.see("img", /^Code \d+ of \d+$/);
}

export default [
  {
    name: "codes off one phone's screen make the other's ledger equal: one missing, the tab " +
      "killed, the rest read; and again changes nothing",
    run: () => withPhones(async ({ open, folder }) => {
      const lines = await smallFarm(60);
      const giver = await phoneWith(open, folder, lines);
      await showCodes(giver);
      const before = await giver.find("img", /^Code /).getAttribute("aria-label");
      await giver.page.waitForFunction((old) => document.querySelector(
        "#mirror [role=img]").getAttribute("aria-label") !== old, before); // it goes on by itself
      const shots = await photographAll(giver);
      assert.ok(shots.length >= 4, `${shots.length} codes`);
      const path = join(folder, "codes.y4m");
      await film(path, ["NTH1:0BADC0DE:1:2:00000000:AAA", ...shots.filter((_, i) => i !== 2)]);

      const taker = await open({ flags: cameraFlags(path) });
      await taker.tap(words["welcome.receive"]);
      await taker.tap(words["camera.scan_codes"]);
      await taker.see("progressbar",
        say("camera.progress", { n: shots.length - 1, all: shots.length }));
      await taker.sees(say("camera.missing", { list: "3" }));
      await taker.sees(/^\d+ codes? w(as|ere) not clean/); // at each turn of the film
      await judge(taker, "scanning");
      await taker.tap(words["camera.stop"]);
      const kept = say("take.unfinished", { n: shots.length - 1, all: shots.length });
      await taker.sees(kept);
      assert.equal(await taker.page.locator("video").count(), 0);

      await film(path, shots);
      await taker.page.reload();
      await taker.ready();
      await taker.tap(words["welcome.receive"]);
      await taker.tap(words["camera.scan_codes"]);
      await taker.sees(say("take.fresh.other", { n: lines.length }));
      assert.deepEqual(await ledgerOf(taker), await ledgerOf(giver));
      await taker.tap(words["camera.scan_codes"]);
      await taker.sees(words["take.nothing_new"]);
      await taker.sees(say("take.known.other", { n: lines.length }));
      assert.deepEqual(await ledgerOf(taker), await ledgerOf(giver));
      await taker.tap(words["take.who"]);
      await taker.beSomebody("Priya", "Lower Bench");
      assert.match(await taker.title(), /Lower Bench/);
    }),
  },
  {
    name: "a saved file makes the other's ledger equal, twice is once, and a damaged one is told",
    run: () => withPhones(async ({ open, folder }) => {
      const lines = await smallFarm(200);
      const giver = await phoneWith(open, folder, lines);
      await giver.tap(words["hand.title"]);
      await giver.tap(words["hand.everything"], { role: "radio" });
      const [download] = await Promise.all([giver.page.waitForEvent("download"),
        giver.tap(words["hand.file"])]);
      assert.match(download.suggestedFilename(), /^nthtree-\d{4}-\d\d-\d\d\.txt$/);
      await giver.sees(words["toast.file_saved"]);
      const path = join(folder, "copy.txt");
      await download.saveAs(path);

      const taker = await open({ size: SIZES.tablet });
      await taker.tap(words["welcome.receive"]);
      const text = await readFile(path, "utf8");
      const cut = join(folder, "cut.txt");
      await writeFile(cut, text.slice(0, text.length - 40));
      await openFile(taker, cut);
      await taker.sees(say("take.fresh.other", { n: lines.length - 1 }));
      await taker.sees(say("take.damaged.one", { n: 1 }));
      await judge(taker, "what came in");
      await openFile(taker, path);
      await taker.sees(say("take.fresh.one", { n: 1 }));
      assert.deepEqual(await ledgerOf(taker), await ledgerOf(giver));
      await openFile(taker, path);
      await taker.sees(words["take.nothing_new"]);
      const noise = join(folder, "noise.txt");
      await writeFile(noise, Buffer.from(Array.from({ length: 5000 }, (_, i) => (i * i) & 255)));
      await openFile(taker, noise);
      await taker.sees(words["take.no_records"]);
      assert.deepEqual(await ledgerOf(taker), await ledgerOf(giver));
    }),
  },
  {
    name: "a join code is scanned into its field, and another code is told",
    run: () => withPhones(async ({ open, folder }) => {
      const path = join(folder, "join.y4m");
      await film(path, Array.from({ length: 12 }, () => "https://example.invalid/menu"));
      const phone = await open({ flags: cameraFlags(path) });
      await phone.tap(words["welcome.join"]);
      await phone.tap(words["join.scan"]);
      await phone.sees(words["camera.other_code"]);
      const box = await phone.find("img", words["camera.picture"]).boundingBox();
      const picture = await phone.page.locator("video").boundingBox();
      assert.deepEqual(picture, box, "the camera's picture lies over its box");
      await phone.tap(words["camera.stop"]);
      await film(path, ["http://farm.invalid/#join=ABCDE-23456"]);
      await phone.tap(words["join.scan"]);
      await phone.page.waitForFunction(() =>
        [...document.querySelectorAll("#mirror input")].some((e) => e.value === "ABCDE-23456"));
      assert.equal(await phone.page.locator("video").count(), 0);
    }),
  },
  {
    name: "a camera that is not allowed is said plainly, and nothing stays open",
    run: () => withPhones(async ({ open }) => {
      const phone = await open({ flags: ["--use-fake-device-for-media-stream",
        "--deny-permission-prompts"] });
      await phone.tap(words["welcome.receive"]);
      await phone.tap(words["camera.scan_codes"]);
      await phone.sees(words["camera.refused"]);
      assert.equal(await phone.page.locator("video").count(), 0);
      await phone.see("button", words["camera.scan_codes"]);
      await phone.see("button", words["take.file"]);
    }),
  },
  {
    // A browser without a window has no share sheet: what would be handed to one is looked at.
    name: "the share sheet gets a plain text file that the other phone reads, closing it saves " +
      "nothing, and one that fails leaves a saved file",
    run: () => withPhones(async ({ open, folder }) => {
      const giver = await phoneWith(open, folder, await smallFarm(5));
      await giver.page.addInitScript(() => {
        window.shared = [];
        navigator.canShare = ({ files }) => files.every((f) => f.type === "text/plain");
        navigator.share = async ({ files }) => {
          window.shared.push([files[0].name, files[0].type, await files[0].text()]);
          if (window.shared.length === 2) throw new DOMException("closed", "AbortError");
          if (window.shared.length === 3) throw new DOMException("no app", "NotAllowedError");
        };
      });
      await giver.page.reload();
      await giver.ready();
      await giver.tap(words["hand.title"]);
      await giver.tap(words["hand.everything"], { role: "radio" });
      let downloads = 0;
      giver.page.on("download", () => { downloads += 1; });
      await giver.tap(words["hand.sheet"]);
      await giver.sees(words["toast.file_shared"]);
      await giver.tap(words["hand.sheet"]);
      const shared = await giver.page.evaluate(() => window.shared);
      assert.match(shared[0][0], /\.txt$/);
      assert.equal(shared[0][1], "text/plain");
      const held = (await ledgerOf(giver)).length;
      assert.equal(shared[0][2].trim().split("\n").length, held);
      assert.equal(downloads, 0);

      const path = join(folder, shared[0][0]);
      await writeFile(path, shared[0][2]);
      const taker = await open();
      await taker.tap(words["welcome.receive"]);
      await openFile(taker, path);
      await taker.sees(say("take.fresh.other", { n: held }));
      assert.deepEqual(await ledgerOf(taker), await ledgerOf(giver));

      const [saved] = await Promise.all([giver.page.waitForEvent("download"),
        giver.tap(words["hand.sheet"])]);
      await giver.sees(words["toast.file_saved"]);
      assert.equal(await readFile(await saved.path(), "utf8"), shared[0][2]);
    }),
  },
  {
    name: "where there is no share sheet none is offered, and saving a file is",
    browsers: BOTH,
    run: () => withPhones(async ({ open }) => {
      const phone = await open();
      await phone.page.addInitScript(() => {
        delete Navigator.prototype.canShare;
        delete Navigator.prototype.share;
      });
      await phone.page.reload();
      await phone.ready();
      await phone.tap(words["welcome.start"]);
      await phone.fill(words["start.farm"], "Quince Hollow");
      await phone.fill(words["start.you"], "Imke");
      await phone.tap(words["start.go"]);
      await phone.tap(words["home.settings"]);
      await phone.tap(words["settings.sync"]);
      await phone.tap(words["hand.title"]);
      await phone.see("button", words["hand.file"]);
      assert.equal(await phone.find("button", words["hand.sheet"]).count(), 0);
      await phone.tap(words["hand.file"]);
      await phone.sees(words["toast.file_saved"]);
    }),
  },
];
