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
//   node tests/browser/run.mjs --jobs 5            five files at a time, in as many processes
import { spawn, spawnSync } from "node:child_process";
import { existsSync, readFileSync, readdirSync, statSync } from "node:fs";
import { dirname, join } from "node:path";
import { createInterface } from "node:readline";
import { fileURLToPath, pathToFileURL } from "node:url";

const TEST_MS = 600000; // the longest visits sixty screens and may share two cores with six others
const LONGEST = /^every_screen_/;
const SUM = /^(\d+) passed, (\d+) failed$/;
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
const told = wanted[0] === "--told"; // by another process of this program
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

async function runAll(browser, files) {
  useBrowser(browser);
  const started = performance.now();
  for (const name of files) {
    const { default: tests } = await import(pathToFileURL(join(folder, name)).href);
    for (const test of tests) {
      if (!(test.browsers ?? ["chromium"]).includes(browser)) continue;
      await runOne(browser === "chromium" ? name : `${browser} ${name}`, test);
    }
  }
  console.log(`# ${browser}: ${Math.round((performance.now() - started) / 1000)} s`);
}

// A process of its own, which ends what it says of each thing it was given to do with a sum.
class Runner {
  constructor(words) {
    this.child = spawn(process.execPath, [fileURLToPath(import.meta.url), ...words],
      { stdio: ["pipe", "pipe", "inherit"] });
    this.child.stdin.on("error", () => {}); // it broke off, which its silence tells
    this.lines = createInterface({ input: this.child.stdout })[Symbol.asyncIterator]();
  }

  // Until the sum, and then all of it is told. True where nothing failed; a file without a test for
  // this browser is no failure, a process that broke off is.
  async hear(about) {
    const said = [];
    for (;;) {
      const { value: line, done } = await this.lines.next();
      const sum = done ? [0, 0, 1] : SUM.exec(line);
      if (!sum) {
        said.push(line);
        continue;
      }
      passed += Number(sum[1]);
      failed += Number(sum[2]);
      console.log([...said, `# ${done ? "broke off" : "done"}: ${about}`].join("\n"));
      return sum[2] === "0";
    }
  }

  run(name) {
    this.child.stdin.write(`${name}\n`);
    return this.hear(name);
  }

  end() {
    this.child.stdin.end();
  }
}

// A long text is many tests; a short one goes through every screen.
const weight = (name) => (LONGEST.test(name) ? 1e9 : statSync(join(folder, name)).size);

// What takes longest begins, so that none is left to itself at the end. Firefox starts once for all
// its tests, so they are one job, and so are WebKit's, of which one is enough for a machine at a
// time. Chromium starts once for all the files of one runner, since a start costs as much as a
// short test; after a failure there is a new one.
async function runBeside(count) {
  const waiting = browsers.includes("chromium")
    ? [...names].sort((a, b) => weight(b) - weight(a)) : [];
  for (const other of ["webkit", "firefox"]) {
    if (browsers.includes(other)) waiting.splice(1, 0, ["--browser", other, ...names]);
  }
  await Promise.all(Array.from({ length: count }, async () => {
    let runner = null;
    for (let next = waiting.shift(); next; next = waiting.shift()) {
      if (Array.isArray(next)) {
        await new Runner(next).hear(next[1]);
        continue;
      }
      runner ??= new Runner(["--told"]);
      if (await runner.run(next)) continue;
      runner.end();
      runner = null;
    }
    runner?.end();
  }));
}

// Files as they are told, a name a line.
async function runTold() {
  for await (const name of createInterface({ input: process.stdin })) {
    [passed, failed] = [0, 0];
    await runAll("chromium", [name]);
    console.log(`${passed} passed, ${failed} failed`);
  }
  await closeAll();
  process.exit(0);
}

if (told) await runTold();
if (jobs > 1) {
  await runBeside(jobs);
} else {
  for (const browser of browsers) await runAll(browser, names);
}
await closeAll();
console.log(`${passed} passed, ${failed} failed`);
process.exit(failed > 0 || passed === 0 ? 1 : 0);
