// SPDX-License-Identifier: Apache-2.0
//
// QR frames from another phone: chains of codes, mended so that their check sums fit and not so,
// doubled, mixed and in any order. web/exchange.js must never throw, never give out anything but
// what was shown, and give that once. tools/fuzz runs it: node fuzz_frames.mjs SECONDS RUNS SEED
// (0: no bound). Of JavaScript, and so without libFuzzer and sanitizers: inputs are made by rules.
import "../../web/check_sum.js";

globalThis.sessionStorage = { getItem: () => null, setItem: () => {} };
globalThis.document = { querySelector: () => null };
await import("../../web/exchange.js");
const { frames, take, forgetGiven, toBase45, fromBase45 } = globalThis.Nthtree.exchange;
const { crcOfBytes } = globalThis.Nthtree.checkSum;

const [seconds = 10, runs = 0, seed = 1] = process.argv.slice(2).map(Number);
const ALPHABET = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:";

let state = seed >>> 0;
function random() { // Mulberry32, public domain
  state = (state + 0x6d2b79f5) >>> 0;
  let t = Math.imul(state ^ (state >>> 15), state | 1);
  t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
  return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
}
const below = (n) => Math.floor(random() * n);
const pick = (list) => list[below(list.length)];

function fail(what, detail) {
  console.log(`fuzz_frames: ${what}: ${JSON.stringify(detail)} (seed ${seed})`);
  process.exit(1);
}

const hex8 = (n) => n.toString(16).toUpperCase().padStart(8, "0");
const bytesOf = (text) => new TextEncoder().encode(text);
const same = (a, b) => a.length === b.length && a.every((byte, i) => byte === b[i]);

// A frame with a check sum that fits, whatever stands in it.
function forged(transfer, index, count, part) {
  const head = `${transfer}:${index}:${count}:`;
  const crc = hex8(crcOfBytes(new Uint8Array([...bytesOf(head), ...part])));
  return `NTH1:${head}${crc}:${toBase45(part)}`;
}

function randomBytes(most) {
  const bytes = new Uint8Array(below(most));
  const repeat = random() < 0.5;
  for (let i = 0; i < bytes.length; i++) bytes[i] = repeat ? 65 + (i % 7) : below(256);
  return bytes;
}

function randomText() {
  const letters = Array.from({ length: below(80) }, () => pick(ALPHABET));
  return letters.join("");
}

function mutated(text) {
  const at = below(text.length + 1);
  const letter = random() < 0.8 ? pick(ALPHABET) : String.fromCharCode(below(0x2ff));
  switch (below(6)) {
    case 0: return text.slice(0, at) + letter + text.slice(at + 1);
    case 1: return text.slice(0, at) + text.slice(at + 1);
    case 2: return text.slice(0, at) + letter + text.slice(at);
    case 3: return text.slice(0, at);
    case 4: return text.slice(at) + text.slice(0, at);
    default: return text.repeat(1 + below(12));
  }
}

function hostile(shown) {
  const transfer = random() < 0.5 ? hex8(below(2 ** 32)) : pick(shown).slice(5, 13);
  const count = pick([1, 2, 3, 2000, 2001, 9999, 0]);
  const index = pick([0, 1, 2, 3, count, count + 1]);
  switch (below(5)) {
    case 0: return forged(transfer, index, count, randomBytes(40));
    // A payload that calls itself gzip and is none.
    case 1: {
      const part = new Uint8Array([0x1f, 0x8b, ...randomBytes(40)]);
      return forged(hex8(crcOfBytes(part)), 1, 1, part);
    }
    case 2: return `NTH1:${randomText()}`;
    case 3: return mutated(mutated(pick(shown)));
    default: return mutated(pick(shown));
  }
}

let executed = 0;
async function feed(text) {
  executed += 1;
  try {
    return await take(text);
  } catch (error) {
    return fail("take threw", { text, error: String(error) });
  }
}

function checkBase45() {
  const bytes = randomBytes(60);
  if (!same(fromBase45(toBase45(bytes)), bytes)) fail("base45 there and back", [...bytes]);
  fromBase45(mutated(toBase45(bytes)));
}

// One scan: a chain shown round and round, what a hostile screen shows in between.
async function scan() {
  forgetGiven();
  const content = randomBytes(pick([1, 50, 600, 4000]));
  const shown = await frames(content, pick([1 + below(20), 480]) + Math.ceil(content.length / 900));
  let given = 0;
  for (let round = 0; round < 4 && given === 0; round++) {
    for (const text of [...shown].sort(() => random() - 0.5)) {
      if (random() < 0.25) continue; // the camera missed it
      while (random() < 0.3) {
        const foreign = hostile(shown);
        const seen = await feed(foreign);
        if (seen && seen.have > seen.count) fail("more than all", seen);
        // A chain of one may be anything; a longer one is whole only with the bytes of its name.
        if (!seen?.bytes || seen.count === 1) continue;
        if (!same(seen.bytes, content)) fail("a chain nobody showed came whole", foreign);
        given += 1;
      }
      const seen = await feed(text);
      if (seen === null) fail("a good frame was refused", text);
      if (seen.bytes === null) continue;
      given += 1;
      if (!same(seen.bytes, content)) fail("other bytes than shown", { text });
    }
  }
  const seen = await feed(shown[0]);
  const again = given > 0 && seen.bytes !== null && seen.count > 1;
  if (given > 1 || again) fail("given twice", shown[0]);
  checkBase45();
}

const started = Date.now();
while ((runs === 0 || executed < runs) && (seconds === 0 || Date.now() - started < seconds * 1000)) {
  await scan();
}
console.log(`stat::number_of_executed_units: ${executed}`);
