// SPDX-License-Identifier: Apache-2.0
//
// Puts the libraries that only an exchange by QR codes needs beside the app: jsqr.js (Apache-2.0)
// and qrcode.js (MIT), each with a line that names its licence. Installs them at the first run.
//
//   node web/vendor.mjs FOLDER
import { spawnSync } from "node:child_process";
import { existsSync } from "node:fs";
import { mkdir, readFile, writeFile } from "node:fs/promises";
import { dirname, join } from "node:path";
import { fileURLToPath, pathToFileURL } from "node:url";

const here = dirname(fileURLToPath(import.meta.url));
// The MIT licence wants its words kept; the Apache one stands in LICENSE.
const MIT = `Permission is hereby granted, free of charge, to any person obtaining a copy of this
software and associated documentation files (the "Software"), to deal in the Software without
restriction, including without limitation the rights to use, copy, modify, merge, publish,
distribute, sublicense, and/or sell copies of the Software, and to permit persons to whom the
Software is furnished to do so, subject to the following conditions: The above copyright notice and
this permission notice shall be included in all copies or substantial portions of the Software.
THE SOFTWARE IS PROVIDED "AS IS", WITHOUT WARRANTY OF ANY KIND, EXPRESS OR IMPLIED, INCLUDING BUT
NOT LIMITED TO THE WARRANTIES OF MERCHANTABILITY, FITNESS FOR A PARTICULAR PURPOSE AND
NONINFRINGEMENT. IN NO EVENT SHALL THE AUTHORS OR COPYRIGHT HOLDERS BE LIABLE FOR ANY CLAIM,
DAMAGES OR OTHER LIABILITY, WHETHER IN AN ACTION OF CONTRACT, TORT OR OTHERWISE, ARISING FROM, OUT
OF OR IN CONNECTION WITH THE SOFTWARE OR THE USE OR OTHER DEALINGS IN THE SOFTWARE.`;
const LIBRARIES = [
  { from: "jsqr/dist/jsQR.js", to: "jsqr.js",
    credit: "jsQR 1.4.0, copyright its authors, Apache License 2.0" },
  { from: "qrcode-generator/dist/qrcode.js", to: "qrcode.js",
    credit: `qrcode-generator 2.0.4, copyright (c) 2009 Kazuhiko Arase\n\n${MIT}` },
];
const MINIFIER = "terser/main.js";

function install() {
  const needed = [...LIBRARIES.map(({ from }) => from), MINIFIER];
  if (!needed.every((from) => existsSync(join(here, "node_modules", from)))) {
    // npm's own words stay: without a network or a certificate they are the only reason given.
    const done = spawnSync("npm",
      ["ci", "--ignore-scripts", "--no-audit", "--no-fund", "--loglevel=error"],
      { cwd: here, stdio: ["ignore", 2, 2] }); // what shrink.mjs says is the scripts alone
    if (done.status !== 0) throw new Error("npm could not install what web/package.json names");
  }
}

// terser, which shrink.mjs uses while the site is put together; it is no part of the site.
export function minifier() {
  install();
  return import(pathToFileURL(join(here, "node_modules", MINIFIER)));
}

// { "jsqr.js": text, "qrcode.js": text }
export async function libraries() {
  install();
  const found = {};
  for (const { from, to, credit } of LIBRARIES) {
    found[to] = `/* ${credit} */\n${await readFile(join(here, "node_modules", from), "utf8")}`;
  }
  return found;
}

if (import.meta.url === pathToFileURL(process.argv[1] ?? "").href) {
  const folder = process.argv[2];
  if (!folder) {
    console.error("usage: node web/vendor.mjs FOLDER");
    process.exit(2);
  }
  await mkdir(folder, { recursive: true });
  for (const [name, text] of Object.entries(await libraries())) {
    await writeFile(join(folder, name), text);
    console.log(`${join(folder, name)}: ${text.length} bytes`);
  }
}
