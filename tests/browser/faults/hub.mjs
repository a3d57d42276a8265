// SPDX-License-Identifier: Apache-2.0
//
// The real hub as a process that can be killed, started again on the same port and folder, and
// given a disk that fills up.
//
//   const hub = await openHub(folder);       // started, hub.port, hub.code
//   await hub.kill();  await hub.start();     // -9, and again
import { execFile, spawn } from "node:child_process";
import { existsSync } from "node:fs";
import { dirname, join } from "node:path";
import { promisify } from "node:util";
import { fileURLToPath } from "node:url";

const root = join(dirname(fileURLToPath(import.meta.url)), "..", "..", "..");
const CODE_MINUTES = "600"; // the last phone of a long run joins with a code from its beginning
const START_MS = 20000;

export function hubProgram() {
  const program = process.env.NTHTREE_HUB ?? join(root, "build", "native", "nthtree-hub");
  if (!existsSync(program)) {
    throw new Error(`${program} is missing: run tools/run --build-only, or set NTHTREE_HUB`);
  }
  return program;
}

// flags: more of the hub's own settings.
export async function openHub(folder, { site = "", diskKb = 0, flags = [] } = {}) {
  const program = hubProgram();
  const hub = { port: 0, code: "", folder, child: null, starts: 0, log: "" };

  // limitKb: no file of the hub may grow beyond this. The signal that goes with the limit is
  // ignored, so that the hub gets an error from write() instead.
  const limited = (limitKb) => ["bash", "-c", `trap '' XFSZ; ulimit -f ${limitKb}; exec "$@"`,
    "bash"];
  // diskKb: a disk of the hub's own, of this size and nearly full, until makeRoom(). The disk is
  // seen by this hub only and goes with it.
  const onSmallDisk = (diskKb) => ["unshare", "-rm", "bash", "-c",
    `mount -t tmpfs -o size=${diskKb}k none "$0" || exit 97
     head -c ${diskKb * 0.75}k /dev/zero > "$0/filler"
     trap 'rm -f "$0/filler"' USR1
     "$@" & hub=$!
     while kill -0 $hub 2> /dev/null; do wait $hub; done`, folder];

  hub.start = async ({ limitKb = 0, diskKb = 0 } = {}) => {
    const before = limitKb > 0 ? limited(limitKb) : diskKb > 0 ? onSmallDisk(diskKb) : [];
    const [command, ...rest] = [...before, program, "--data", folder,
      "--listen", `127.0.0.1:${hub.port}`, "--join-code-minutes", CODE_MINUTES, "--role", "manager",
      ...(site ? ["--site", site] : []), ...flags];
    // A process group of its own, to be ended as a whole.
    const child = spawn(command, rest, { stdio: ["ignore", "pipe", "pipe"], detached: true });
    hub.child = child;
    hub.starts += 1;
    hub.ended = new Promise((resolve) => child.once("exit", resolve));
    child.stderr.on("data", (text) => {
      hub.log = (hub.log + text).slice(-4000);
    });
    let said = "";
    hub.code = "";
    await new Promise((resolve, reject) => {
      const timer = setTimeout(() => reject(new Error("the hub did not start")), START_MS);
      child.stdout.on("data", (text) => {
        said += text;
        const port = /listening on https?:\/\/127\.0\.0\.1:(\d+)/.exec(said);
        // A new code comes after each join, so that the next phone can join at once.
        const code = [...said.matchAll(/join code: (\S+)\n/g)].at(-1);
        if (code) [, hub.code] = code;
        if (!port || !code) return;
        hub.port = Number(port[1]);
        clearTimeout(timer);
        resolve();
      });
      child.once("exit", (status) => {
        clearTimeout(timer);
        reject(new Error(`the hub ended with ${status}: ${hub.log}`));
      });
    });
  };

  hub.kill = async () => {
    if (hub.child?.exitCode !== null || hub.child?.signalCode) return;
    try {
      process.kill(-hub.child.pid, "SIGKILL");
    } catch {
      // It ended by itself; that is for the test to notice.
    }
    await hub.ended;
  };

  // A command of the hub's own program on this folder: ["backup", FILE], ["restore", FILE].
  hub.command = async (...words) => (await promisify(execFile)(program,
    [...words, "--data", folder])).stdout;

  hub.makeRoom = () => hub.child.kill("SIGUSR1");

  // The running hub's newest code, waiting for it where the last one was used.
  hub.freshCode = async () => {
    for (let n = 0; n < 100 && (hub.code === "" || hub.code === hub.used); n++) {
      await new Promise((resolve) => setTimeout(resolve, 20));
    }
    hub.used = hub.code;
    return hub.code;
  };

  await hub.start({ diskKb });
  return hub;
}
