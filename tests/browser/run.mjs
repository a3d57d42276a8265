// SPDX-License-Identifier: Apache-2.0
//
// Runs the browser tests: every *.test.mjs in this folder default-exports an array of {name, run}.
// A test fails when run() throws, and after TEST_MS at the latest.
//
//   node tests/browser/run.mjs            all of them
//   node tests/browser/run.mjs store      files whose name holds "store"
import { spawnSync } from "node:child_process";
import { existsSync, readFileSync, readdirSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath, pathToFileURL } from "node:url";

const TEST_MS = 120000;
const folder = dirname(fileURLToPath(import.meta.url));

const needs = Object.keys(JSON.parse(readFileSync(join(folder, "package.json"), "utf8"))
  .dependencies);
if (!needs.every((name) => existsSync(join(folder, "node_modules", name)))) {
  console.log(`# installing ${needs.join(", ")}`);
  const done = spawnSync("npm", ["install", "--no-audit", "--no-fund", "--silent"],
    { cwd: folder, stdio: "inherit" });
  if (done.status !== 0) process.exit(1);
}

const wanted = process.argv.slice(2);
const names = readdirSync(folder).filter((name) => name.endsWith(".test.mjs")).sort()
  .filter((name) => wanted.length === 0 || wanted.some((word) => name.includes(word)));

let passed = 0;
let failed = 0;
for (const name of names) {
  const { default: tests } = await import(pathToFileURL(join(folder, name)).href);
  for (const test of tests) {
    const started = performance.now();
    let timer;
    const late = new Promise((_, reject) => {
      timer = setTimeout(() => reject(new Error(`not done after ${TEST_MS} ms`)), TEST_MS);
    });
    try {
      await Promise.race([test.run(), late]);
      passed += 1;
      console.log(`ok ${name}: ${test.name} (${Math.round(performance.now() - started)} ms)`);
    } catch (error) {
      failed += 1;
      console.log(`not ok ${name}: ${test.name}\n  ${String(error?.stack ?? error)
        .replaceAll("\n", "\n  ")}`);
    } finally {
      clearTimeout(timer);
    }
  }
}
console.log(`${passed} passed, ${failed} failed`);
process.exit(failed > 0 || passed === 0 ? 1 : 0);
