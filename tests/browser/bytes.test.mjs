// SPDX-License-Identifier: Apache-2.0
//
// What a first visit costs over the air, by part, beside what was written down last: a part that grows
// by 2 KB unsaid is found here. `node tests/browser/bytes.test.mjs --write` writes it down anew; say
// in the commit what it was for.
import assert from "node:assert/strict";
import { existsSync, readdirSync, readFileSync, statSync, writeFileSync } from "node:fs";
import { join, relative } from "node:path";
import { builtSite } from "./support/static_site.mjs";

const WRITTEN_DOWN = new URL("bytes.json", import.meta.url);
const UNSAID_MAX = 2048;
// First match wins; what none matches is kept for later and not part of a first visit.
const PARTS = [
  ["app, the first screen", /^app\./], ["app, to the first verdict", /^visit\./],
  ["app, the rest (later)", /^rest\./],
  ["scripts", /^(early\.|start\.|worker\.js|files\.js|second_copy_worker)/],
  ["keys of the texts", /^languages\/keys\.\w+\.json/],
  ["one language, the longest", /^languages\/\w\w\.\w+\.json/],
  ["typefaces", /^fonts\/\w+\.first\./],
  ["page and styles", /^(index\.html|style\.|manifest|varieties)/],
];

const ONE_OF_MANY = PARTS.find(([part]) => part.startsWith("one language"));

function bytesNow() {
  const site = builtSite();
  const bytes = Object.fromEntries(PARTS.map(([part]) => [part, 0]));
  for (const entry of readdirSync(site, { recursive: true })) {
    const path = join(site, entry);
    if (path.endsWith(".br") || statSync(path).isDirectory()) continue;
    const part = PARTS.find(([, pattern]) => pattern.test(relative(site, path)));
    if (!part) continue;
    const size = statSync(existsSync(`${path}.br`) ? `${path}.br` : path).size;
    bytes[part[0]] = part === ONE_OF_MANY ? Math.max(bytes[part[0]], size) : bytes[part[0]] + size;
  }
  return bytes;
}

if (process.argv.includes("--write")) {
  writeFileSync(WRITTEN_DOWN, `${JSON.stringify(bytesNow(), null, 2)}\n`);
}

// For tools/bench.
if (process.argv.includes("--print")) console.log(JSON.stringify(bytesNow()));

export default [{
  name: "no part of a first visit grew unsaid",
  run: async () => {
    const now = bytesNow();
    const then = JSON.parse(readFileSync(WRITTEN_DOWN, "utf8"));
    const grown = Object.entries(now).filter(([part, bytes]) => bytes > then[part] + UNSAID_MAX);
    assert.deepEqual(grown.map(([part, bytes]) => `${part}: ${bytes}, written down ${then[part]}`),
      []);
  },
}];
