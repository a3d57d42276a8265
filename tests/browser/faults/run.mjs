// SPDX-License-Identifier: Apache-2.0
//
// Runs the fault tests and prints their figures. tools/faults starts it.
import { spawnSync } from "node:child_process";
import { appKills } from "./app_parts.mjs";
import {
  badNetwork, browserKills, canary, fullFile, hubKills, noRoom, restoredHub,
} from "./parts.mjs";

// name: [what runs, how much in the long run, how much in the short one]
const PARTS = {
  canary: [canary, 3, 3],
  "browser kills": [browserKills, 200, 6],
  "app kills": [appKills, 200, 3],
  "hub kills": [hubKills, 200, 10],
  "bad network": [badNetwork, 600, 40],
  "restored hub": [restoredHub, 20, 2],
  "full file": [fullFile, 4000, 1500],
  "no room": [noRoom, 4000, 1500],
};

const words = process.argv.slice(2);
const short = words.includes("--short");
const only = words.filter((word) => !word.startsWith("--"));

let passed = 0;
let failed = 0;
for (const [name, [run, long, brief]] of Object.entries(PARTS)) {
  if (only.length > 0 && !only.some((word) => name.includes(word))) continue;
  if (name === "no room" && spawnSync("unshare", ["-rm", "true"]).status !== 0) {
    console.log("# no room: left out, this machine allows no disks of one's own");
    continue;
  }
  const started = Date.now();
  const say = (text) => console.log(`# ${name}: ${text}`);
  try {
    const { troubles, ...figures } = await run(short ? brief : long, say);
    const seconds = Math.round((Date.now() - started) / 1000);
    console.log(`# ${name}: ${JSON.stringify(figures)} (${seconds} s)`);
    const good = figures.lost === 0 && figures.changed === 0 && figures.doubled === 0 &&
      figures.records > 0 && troubles.length === 0;
    if (good) passed += 1;
    else failed += 1;
    console.log(`${good ? "ok" : "not ok"} ${name}: lost ${figures.lost}, doubled ${
      figures.doubled}, changed ${figures.changed} of ${figures.records} confirmed records`);
    for (const trouble of troubles.slice(0, 20)) console.log(`  ${trouble}`);
  } catch (error) {
    failed += 1;
    console.log(`not ok ${name}: ${error?.stack ?? error}`);
  }
}
console.log(`${passed} passed, ${failed} failed`);
process.exit(failed > 0 || passed === 0 ? 1 : 0);
