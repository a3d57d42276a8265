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
const LIBRARIES = [
  { from: "jsqr/dist/jsQR.js", to: "jsqr.js", credit: "jsQR 1.4.0, Cosmo Wolfe, Apache-2.0" },
  { from: "qrcode-generator/dist/qrcode.js", to: "qrcode.js",
    credit: "qrcode-generator 2.0.4, Kazuhiko Arase, MIT" },
];

// { "jsqr.js": text, "qrcode.js": text }
export async function libraries() {
  if (!LIBRARIES.every(({ from }) => existsSync(join(here, "node_modules", from)))) {
    const done = spawnSync("npm", ["install", "--no-audit", "--no-fund", "--silent"],
      { cwd: here, stdio: "inherit" });
    if (done.status !== 0) throw new Error("npm could not install what web/package.json names");
  }
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
