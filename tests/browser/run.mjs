// SPDX-License-Identifier: Apache-2.0
//
// Runs the browser tests: every *.test.mjs in this folder default-exports an array of {name, run}
// and perhaps browsers, the browsers it is run in, one after the other; Chromium where none is
// named. A test fails when run() throws, and after TEST_MS at the latest.
//
//   node tests/browser/run.mjs                     all of them
//   node tests/browser/run.mjs store               files whose name holds "store"
//   node tests/browser/run.mjs --browser firefox   what is run in Firefox
import { spawnSync } from "node:child_process";
import { existsSync, readFileSync, readdirSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath, pathToFileURL } from "node:url";

const TEST_MS = 300000;
const folder = dirname(fileURLToPath(import.meta.url));

const needs = Object.entries(JSON.parse(readFileSync(join(folder, "package.json"), "utf8"))
  .dependencies);
const has = ([name, version]) => {
  const about = join(folder, "node_modules", name, "package.json");
  return existsSync(about) && JSON.parse(readFileSync(about, "utf8")).version === version;
};
if (!needs.every(has)) {
  console.log(`# installing ${needs.map(([name]) => name).join(", ")}`);
  const done = spawnSync("npm", ["install", "--no-audit", "--no-fund", "--silent"],
    { cwd: folder, stdio: "inherit" });
  if (done.status !== 0) process.exit(1);
}

const wanted = process.argv.slice(2);
let browsers = ["chromium", "firefox"];
if (wanted[0] === "--browser") browsers = [wanted.splice(0, 2)[1]];
const names = readdirSync(folder).filter((name) => name.endsWith(".test.mjs")).sort()
  .filter((name) => wanted.length === 0 || wanted.some((word) => name.includes(word)));
const { closeAll, useBrowser } = await import("./support/browser.mjs");

let passed = 0;
let failed = 0;

async function runOne(file, test) {
  const started = performance.now();
  let timer;
  const late = new Promise((_, reject) => {
    timer = setTimeout(() => reject(new Error(`not done after ${TEST_MS} ms`)), TEST_MS);
  });
  try {
    await Promise.race([test.run(), late]);
    passed += 1;
    console.log(`ok ${file}: ${test.name} (${Math.round(performance.now() - started)} ms)`);
  } catch (error) {
    failed += 1;
    console.log(`not ok ${file}: ${test.name}\n  ${String(error?.stack ?? error)
      .replaceAll("\n", "\n  ")}`);
  } finally {
    clearTimeout(timer);
  }
}

for (const browser of browsers) {
  useBrowser(browser);
  const started = performance.now();
  for (const name of names) {
    const { default: tests } = await import(pathToFileURL(join(folder, name)).href);
    for (const test of tests) {
      if (!(test.browsers ?? ["chromium"]).includes(browser)) continue;
      await runOne(browser === "chromium" ? name : `${browser} ${name}`, test);
    }
  }
  console.log(`# ${browser}: ${Math.round((performance.now() - started) / 1000)} s`);
}
await closeAll();
console.log(`${passed} passed, ${failed} failed`);
process.exit(failed > 0 || passed === 0 ? 1 : 0);
