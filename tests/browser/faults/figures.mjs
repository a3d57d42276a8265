// SPDX-License-Identifier: Apache-2.0
//
// Puts the figures of a run into the table of README.md, one row a part; rows of parts that did not
// run stay as they are.
//
//   await writeRow("hub kills", ["kill -9 of the hub", "200 kills", 0, 0, 0, "2026-11-25"]);
import { readFile, writeFile } from "node:fs/promises";

const PAGE = new URL("./README.md", import.meta.url);

// The page with this row in place of the one with the same name, or at the table's end.
export function withRow(page, name, cells) {
  const lines = page.split("\n");
  const first = lines.findIndex((line) => line.startsWith("| part |")) + 2;
  if (first < 2) throw new Error("the table of figures is gone");
  let end = first;
  while (lines[end]?.startsWith("|")) end += 1;
  const row = `| ${[`\`${name}\``, ...cells].join(" | ")} |`;
  const at = lines.findIndex((line, i) => i >= first && i < end &&
    line.startsWith(`| \`${name}\` |`));
  lines.splice(at < 0 ? end : at, at < 0 ? 0 : 1, row);
  return lines.join("\n");
}

export async function writeRow(name, cells) {
  await writeFile(PAGE, withRow(await readFile(PAGE, "utf8"), name, cells));
}
