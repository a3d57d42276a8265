// SPDX-License-Identifier: Apache-2.0
//
// Runs the browser tests: every *.test.mjs in this folder default-exports an array of {name, run}
// and perhaps browsers, the browsers it is run in, one after the other; Chromium where none is
// named. A test fails when run() throws, and after TEST_MS at the latest.
//
//   node tests/browser/run.mjs                     all of them
//   node tests/browser/run.mjs store               files whose name holds "store"
//   node tests/browser/run.mjs --browser webkit    what is run in WebKitGTK
//   node tests/browser/run.mjs --install           only fetches the libraries that are missing
//   node tests/browser/run.mjs --jobs 5            five files  at a time, each in a process of its own
import { spawn, spawnSync } from "node:child_process";
import { existsSync, readFileSync, readdirSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath, pathToFileURL } from "node:url";

const TEST_MS = 600000; // the longest visits sixty screens and may share two cores with six others
const LONGEST = /^every_screen_/;
const folder = dirname(fileURLToPath(import.meta.url));

const needs = Object.entries(JSON.parse(readFileSync(join(folder, "package.json"), "utf8"))
  .dependencies);
const has = ([name, version]) => {
  const about = join(folder, "node_modules", name, "package.json");
  return existsSync(about) && JSON.parse(readFileSync(about, "utf8")).version === version;
};
if (!needs.every(has)) {
  console.log(`# installing ${needs.map(([name]) => name).join(", ")}`);
  const done = spawnSync("npm", ["ci", "--ignore-scripts", "--no-audit", "--no-fund", "--silent"],
    { cwd: folder, stdio: "inherit" });
  if (done.status !== 0) process.exit(1);
}

const wanted = process.argv.slice(2);
if (wanted[0] === "--install") process.exit(0);
let browsers = ["chromium", "firefox", "webkit"];
let jobs = 1;
if (wanted[0] === "--jobs") jobs = Number(wanted.splice(0, 2)[1]);
if (wanted[0] === "--browser") browsers = [wanted.splice(0, 2)[1]];
const names = readdirSync(folder).filter((name) => name.endsWith(".test.mjs")).sort()
  .filter((name) => wanted.length === 0 || wanted.some((word) =>
    word.endsWith(".test.mjs") ? name === word : name.includes(word)));
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

async function runAll(browser) {
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

// A process of its own; what it says is told when it is done.
const runApart = (words) => new Promise((done) => {
  const child = spawn(process.execPath, [fileURLToPath(import.meta.url), ...words],
    { stdio: ["ignore", "pipe", "inherit"] });
  let said = "";
  child.stdout.on("data", (bytes) => { said += bytes; });
  child.on("close", (code) => {
    const sum = /^(\d+) passed, (\d+) failed$/m.exec(said);
    passed += sum ? Number(sum[1]) : 0;
    // A file without a test for this browser is no failure; a process that broke off is.
    failed += sum ? Number(sum[2]) : 1;
    console.log(said.replace(/^\d+ passed, \d+ failed\n/m, `# done: ${words.join(" ")}\n`).trim());
    done(code);
  });
});

// What takes longest begins. Firefox starts once for all its tests, so they are one job, and so are
// WebKit's, of which one is enough for a machine at a time.
async function runBeside(count) {
  const order = [...names].sort((a, b) => LONGEST.test(b) - LONGEST.test(a));
  const waiting = browsers.includes("chromium")
    ? order.map((name) => ["--browser", "chromium", name]) : [];
  for (const other of ["webkit", "firefox"]) {
    if (browsers.includes(other)) waiting.splice(1, 0, ["--browser", other, ...names]);
  }
  await Promise.all(Array.from({ length: count }, async () => {
    while (waiting.length > 0) await runApart(waiting.shift());
  }));
}

if (jobs > 1) {
  await runBeside(jobs);
} else {
  for (const browser of browsers) await runAll(browser);
}
await closeAll();
console.log(`${passed} passed, ${failed} failed`);
process.exit(failed > 0 || passed === 0 ? 1 : 0);
