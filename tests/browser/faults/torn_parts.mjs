// SPDX-License-Identifier: Apache-2.0
//
// What a kill -9 between two writes of one entry does to the browser's own log, made on purpose and
// after each kill. Chromium keeps IndexedDB in LevelDB, whose log has a head of seven bytes before
// each entry (LevelDB, doc/log_format.md: checksum 4, length 2, type 1). A head without its entry is
// passed over at the next start, which writes on behind it; the start after that finds damage, and
// Chromium throws the database away.
import { appendFile, readdir, readFile } from "node:fs/promises";
import { join } from "node:path";
import { browserKills } from "./parts.mjs";

const MADE_ANEW = /Creating DB .* since it was missing/;
const HEAD = Buffer.from([1, 2, 3, 4, 64, 0, 1]); // a whole entry of 64 bytes, which do not follow

async function databaseOf(profile) {
  const folder = join(profile, "Default", "IndexedDB");
  const name = (await readdir(folder)).find((entry) => entry.endsWith(".leveldb"));
  return join(folder, name);
}

// Tears the log of a browser that is dead; true where its last start found no database.
export async function tearLog(profile) {
  const folder = await databaseOf(profile);
  const log = (await readdir(folder)).filter((name) => name.endsWith(".log")).sort().at(-1);
  await appendFile(join(folder, log), HEAD);
  return MADE_ANEW.test(await readFile(join(folder, "LOG"), "utf8"));
}

export async function tornLogs(kills, say) {
  let madeAnew = -1; // the first start makes it as it should
  const figures = await browserKills(kills, say, {
    afterKill: async (profile) => {
      if (await tearLog(profile)) madeAnew += 1;
    },
  });
  if (madeAnew < 1) figures.troubles.push("Chromium threw no database away: nothing was shown");
  return { ...figures, made_anew: madeAnew };
}
