// SPDX-License-Identifier: Apache-2.0
//
// Runs the fault tests, prints their figures and, after a long run, writes them into README.md.
// tools/faults starts it.
import { spawnSync } from "node:child_process";
import { appKills } from "./app_parts.mjs";
import { writeRow } from "./figures.mjs";
import { joinKills, lostPhone } from "./key_parts.mjs";
import {
  badNetwork, browserKills, canary, fullFile, hubKills, noRoom, restoredHub,
} from "./parts.mjs";
import { tornLogs } from "./torn_parts.mjs";

const sum = (counts) => Object.values(counts).reduce((a, b) => a + b, 0);

// What runs, how much in the long and in the short run, what it breaks, and its figures in words.
const PARTS = {
  canary: { run: canary, long: 3, short: 3,
    breaks: "a store that says saved 300 ms before the disk has it",
    words: (f) => `found out: ${f.found_lost} lost` },
  "browser kills": { run: browserKills, long: 200, short: 6,
    breaks: "kill -9 of Chromium while the app's store counts, keeps a draft at each tap, sends and " +
      "fetches",
    words: (f) => `${f.kills} kills; ${f.unconfirmed} records were on the disk and not yet said; ` +
      `${f.drafts} drafts went on` },
  "torn logs": { run: tornLogs, long: 100, short: 4,
    breaks: "the same, and each kill leaves a torn entry in the log below IndexedDB; Chromium then " +
      "throws the whole database away at the start after the next",
    words: (f) => `${f.kills} kills; the database was gone ${f.made_anew} times, and came back from ` +
      "the second copy" },
  "app kills": { run: appKills, long: 200, short: 3,
    breaks: "the same with the whole app, tapped by role and name on the demo farm",
    words: (f) => `${f.kills} kills; ${f.unconfirmed} counts were on the disk and not yet said; ` +
      `${f.resumed} counts went on, at most ${f.taps_lost_at_most} taps behind` },
  "join kills": { run: joinKills, long: 40, short: 2,
    breaks: "kill -9 of Chromium while the app joins a farm, and up to 0.3 s after",
    words: (f) => `${f.kills} kills; ${f.told} were told they had joined, and had; ` +
      `${f.join_again} were not told and ask to join again` },
  "hub kills": { run: hubKills, long: 200, short: 10,
    breaks: "kill -9 of the hub while three phones send and fetch",
    words: (f) => `${f.kills} kills` },
  "bad network": { run: badNetwork, long: 600, short: 40,
    breaks: "requests cut before, in and after their body, answers cut or lost, requests doubled, " +
      "doubled at once, late behind newer ones, stalled; 60 % of all",
    words: (f) => `${sum(f.faults)} faults, each kind at least ${
      Math.min(...Object.values(f.faults))} times` },
  "restored hub": { run: restoredHub, long: 20, short: 2,
    breaks: "the hub comes back from an old backup; the phones fill it again",
    words: (f) => `${f.restores} restores took ${f.forgotten_and_refilled} records; all came back` },
  "lost phone": { run: lostPhone, long: 10, short: 2,
    breaks: "a phone's key is withdrawn while the hub runs; later it is found and joins again",
    words: (f) => `${f.withdrawn} keys withdrawn, refused within ${f.refused_after_ms} ms; ` +
      `what they had sent stayed; ${f.came_with_the_found_phone} records came when they were found` },
  "full file": { run: fullFile, long: 4000, short: 1500,
    breaks: "the hub's files may not grow (`ulimit -f`); it is started again with room",
    words: (f) => `refused ${f.refused} times, went on giving ${f.fetched_meanwhile} times` },
  "no room": { run: noRoom, long: 4000, short: 1500,
    breaks: "a disk of 2 MB is full (ENOSPC); room is made while the hub runs",
    words: (f) => `refused ${f.refused} times, went on giving ${f.fetched_meanwhile} times` },
};

const words = process.argv.slice(2);
const short = words.includes("--short");
const only = words.filter((word) => !word.startsWith("--"));
// Parts with the whole app end early after so many minutes; their figures say how far they came.
const minutes = Number(words.find((word) => word.startsWith("--minutes="))?.slice(10) ?? Infinity);

async function runPart(name, part) {
  const started = Date.now();
  const say = (text) => console.log(`# ${name}: ${text}`);
  const { troubles, ...figures } = await part.run(short ? part.short : part.long, say,
    { over: () => Date.now() - started > minutes * 60000 });
  const seconds = Math.round((Date.now() - started) / 1000);
  say(`${JSON.stringify(figures)} (${seconds} s)`);
  const { lost, doubled, changed, records } = figures;
  const good = lost === 0 && changed === 0 && doubled === 0 && records > 0 &&
    troubles.length === 0;
  console.log(`${good ? "ok" : "not ok"} ${name}: lost ${lost}, doubled ${doubled}, changed ${
    changed} of ${records} confirmed records`);
  for (const trouble of troubles.slice(0, 20)) console.log(`  ${trouble}`);
  if (!short && good) {
    await writeRow(name, [part.breaks, part.words(figures), records, lost, doubled + changed,
      `${troubles.length}`, new Date().toISOString().slice(0, 10)]);
  }
  return good;
}

let passed = 0;
let failed = 0;
for (const [name, part] of Object.entries(PARTS)) {
  if (only.length > 0 && !only.some((word) => name.includes(word))) continue;
  if (name === "no room" && spawnSync("unshare", ["-rm", "true"]).status !== 0) {
    console.log("# no room: left out, this machine allows no disks of one's own");
    continue;
  }
  try {
    if (await runPart(name, part)) passed += 1;
    else failed += 1;
  } catch (error) {
    failed += 1;
    console.log(`not ok ${name}: ${error?.stack ?? error}`);
  }
}
console.log(`${passed} passed, ${failed} failed`);
process.exit(failed > 0 || passed === 0 ? 1 : 0);
