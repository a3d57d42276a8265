// SPDX-License-Identifier: Apache-2.0
//
// A season as large as asked for, by the native build's measuring program, and the numbers of a
// command line that ask for it.
//
//   const RECORDS = numberOption("records", 200000);     // --records 50000
//   const lines = seasonLines(RECORDS);                  // a record each
import { spawnSync } from "node:child_process";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";

const PROGRAM = join(dirname(fileURLToPath(import.meta.url)), "..", "..", "build", "native",
  "tools", "measure", "measure_engine");

export function numberOption(name, otherwise) {
  const at = process.argv.indexOf(`--${name}`);
  return at < 0 ? otherwise : Number(process.argv[at + 1]);
}

export function seasonLines(records) {
  const made = spawnSync(PROGRAM, [String(records), "--lines"],
    { encoding: "utf8", maxBuffer: 1 << 30 });
  if (made.status !== 0) throw new Error(`${PROGRAM}: ${made.stderr}`);
  return made.stdout.trimEnd().split("\n");
}
