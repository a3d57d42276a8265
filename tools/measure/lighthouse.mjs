// SPDX-License-Identifier: Apache-2.0
//
// What Lighthouse says of the first visit: a phone's shape, slow 4G and a processor slowed four
// times, both reckoned by Lighthouse itself ("simulate") or so in truth ("devtools"). A tool alone:
// npx fetches it into its own cache.
//
//   const { score, audits } = await lighthouse(origin, "simulate");   // score: 0 to 100, or null
import { execFile } from "node:child_process";
import { promisify } from "node:util";

const VERSION = "11.7.1"; // the newest that Debian's and CI's Node run
const MAX_BYTES = 1 << 28;
const FLAGS = ["--headless=new", "--no-sandbox", "--use-gl=angle", "--use-angle=swiftshader",
  "--enable-unsafe-swiftshader"];
const AUDITS = {
  "first-contentful-paint": "first paint", "largest-contentful-paint": "largest paint",
  "total-blocking-time": "blocked", "speed-index": "speed index",
};

export async function lighthouse(origin, throttling) {
  const { stdout } = await promisify(execFile)("npx", ["--yes", `lighthouse@${VERSION}`,
    `${origin}/`, "--only-categories=performance", "--output=json", "--output-path=stdout",
    "--quiet", `--throttling-method=${throttling}`, `--chrome-flags=${FLAGS.join(" ")}`],
  { maxBuffer: MAX_BYTES,
    env: { ...process.env, CHROME_PATH: process.env.NTHTREE_CHROMIUM ?? "/usr/bin/chromium" } });
  const { categories, audits } = JSON.parse(stdout);
  const { score } = categories.performance;
  return {
    score: score === null ? null : Math.round(100 * score),
    audits: Object.entries(AUDITS).map(([id, name]) =>
      `${name} ${(audits[id].displayValue ?? "not found").replaceAll("\u00a0", " ")}`).join(", "),
  };
}
