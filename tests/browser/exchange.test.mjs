// SPDX-License-Identifier: Apache-2.0
//
// web/exchange.js, scanner.js and codes.js in a real Chromium: chains of QR codes made,
// damaged, mixed, interrupted and read back, also through the browser's (pretended) camera.
//
// Base45 is checked against the examples of RFC 9285, sections 4.3 and 4.4; the CRC against its
// check value in the catalogue of parametrised CRC algorithms (CRC-32/ISO-HDLC: cbf43926).
import assert from "node:assert/strict";
import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { libraries } from "../../web/vendor.mjs";
import { cameraFlags, film } from "./support/camera.mjs";
import { openChromium } from "./support/chromium.mjs";
import { openSite, pageWith } from "./support/site.mjs";

const PARTS = ["check_sum.js", "later.js", "exchange.js", "codes.js", "scanner.js"];

// A ledger of the size of some days' counts.
const ledgerOf = (records) => Array.from({ length: records }, (_, i) => JSON.stringify({
  v: 1, id: `3f0c9a1e5b7d42689a1c0e4f72d5b8c1-${i + 1}`, at_ms: 1770102922123 + 97001 * i, tick: 0,
  clock_ms: 1770102922123 + 97001 * i, author: `p${1 + (i % 12)}`, kind: "tag_count",
  body: { block: "b1", row: 1 + (i % 30), tree: 1 + ((i * 37) % 90), spurs: 90 + ((i * 53) % 140) },
})).join("\n") + "\n";

async function withPage(work, { flags = [] } = {}) {
  const site = await openSite();
  site.set("/exchange", "text/html", pageWith(PARTS));
  for (const [name, text] of Object.entries(await libraries())) {
    site.set(`/${name}`, "text/javascript", text);
  }
  const chromium = await openChromium({ flags });
  try {
    const page = await chromium.newPage();
    await page.addInitScript(() => {
      window.bytesOf = (text) => new TextEncoder().encode(text);
      window.textOf = (bytes) => bytes && new TextDecoder().decode(bytes);
    });
    await page.goto(`${site.origin}/exchange`);
    await work({ page, site, chromium });
  } finally {
    await chromium.close();
    await site.close();
  }
}

export default [
  {
    name: "base45 gives the examples of RFC 9285, and the check sum its published value",
    run: () => withPage(async ({ page }) => {
      const seen = await page.evaluate(() => {
        const { toBase45, fromBase45 } = Nthtree.exchange;
        const bytes = bytesOf("123456789");
        return { encoded: ["AB", "Hello!!", "base-45", "ietf!"].map((t) => toBase45(bytesOf(t))),
          decoded: textOf(fromBase45("QED8WEX0")), crc: Nthtree.checkSum.crcOfBytes(bytes),
          refused: ["A", "GGW", ":::", "::", "ab8", "BB8É"].map(fromBase45),
          all: Array.from({ length: 258 }, (_, n) => n).every((n) => {
            const some = Uint8Array.from({ length: n }, (_x, i) => (i * 199 + n) & 255);
            return String(fromBase45(toBase45(some))) === String(some);
          }) };
      });
      assert.deepEqual(seen.encoded, ["BB8", "%69 VD92EX0", "UJCLQE7W581", "QED8WEX0"]);
      assert.equal(seen.decoded, "ietf!");
      assert.equal(seen.crc, 0xcbf43926);
      assert.deepEqual(seen.refused, Array(6).fill(null));
      assert.ok(seen.all);
    }),
  },
  {
    name: "a chain in any order, with repeats, gives the content once; all letters are QR's own",
    run: () => withPage(async ({ page }) => {
      const seen = await page.evaluate(async (ledger) => {
        const texts = await Nthtree.exchange.frames(bytesOf(ledger));
        const plain = texts.every((text) => /^[0-9A-Z $%*+\-./:]{1,758}$/.test(text));
        const got = [];
        const progress = [];
        for (let round = 0; round < 3; round++) {
          for (let i = 0; i < texts.length; i++) {
            const index = (i * 11 + round) % texts.length; // 11 divides no chain of this test
            const { have, count, bytes } = await Nthtree.exchange.take(texts[index]);
            progress.push(have);
            if (bytes) got.push([textOf(bytes), count]);
          }
        }
        return { plain, frames: texts.length, got, rising: progress.every((have, i) =>
          i === 0 || have >= progress[i - 1]) };
      }, ledgerOf(500));
      assert.ok(seen.plain);
      assert.ok(seen.frames > 3 && seen.frames % 11 !== 0);
      assert.deepEqual(seen.got, [[ledgerOf(500), seen.frames]]);
      assert.ok(seen.rising);
      console.log(`# 500 records, ${ledgerOf(500).length} bytes: ${seen.frames} codes`);
    }),
  },
  {
    name: "no damaged frame is taken: every letter changed, cut, doubled, or out of range",
    run: () => withPage(async ({ page }) => {
      const taken = await page.evaluate(async (ledger) => {
        const [text] = await Nthtree.exchange.frames(bytesOf(ledger), 60);
        const bad = [];
        for (let i = 0; i < text.length; i++) {
          for (const letter of "09AZ:% ") {
            if (text[i] !== letter) bad.push(text.slice(0, i) + letter + text.slice(i + 1));
          }
          bad.push(text.slice(0, i), text.slice(0, i) + text.slice(i + 1), text + text.slice(i));
        }
        bad.push("", "NTH1", "https://example.invalid/#join=ABCDE-FGHJK", "x".repeat(100000),
          "NTH1:00000000:2001:2001:00000000:", "NTH1:00000000:0:1:00000000:",
          "NTH1:00000000:3:2:00000000:", null, 7);
        const wrong = [];
        for (const one of bad) if (await Nthtree.exchange.take(one) !== null) wrong.push(one);
        return { wrong, tried: bad.length };
      }, ledgerOf(3));
      assert.deepEqual(taken.wrong, []);
      assert.ok(taken.tried > 500);
    }),
  },
  {
    name: "two chains mixed are told apart, and a killed tab goes on where it was",
    run: () => withPage(async ({ page }) => {
      const ledgers = [ledgerOf(150), ledgerOf(151)];
      const half = await page.evaluate(async (both) => {
        const chains = await Promise.all(both.map((l) => Nthtree.exchange.frames(bytesOf(l), 200)));
        window.chains = chains;
        let last;
        for (let i = 0; i < 4; i++) {
          for (const chain of chains) last = await Nthtree.exchange.take(chain[i]);
        }
        return { chains, last };
      }, ledgers);
      assert.equal(half.last.have, 4);
      assert.equal(half.last.missing[0], 5);
      await page.reload();
      const got = await page.evaluate(async (chains) => {
        const contents = [];
        for (let i = 4; i < Math.max(...chains.map((c) => c.length)); i++) {
          for (const chain of chains) {
            if (!chain[i]) continue;
            const seen = await Nthtree.exchange.take(chain[i]);
            if (seen.bytes) contents.push(textOf(seen.bytes));
          }
        }
        return contents;
      }, half.chains);
      assert.deepEqual(got.sort(), ledgers.sort());
    }),
  },
  {
    name: "a chain that blows up when unpacked is refused, and so is more than fits in 2,000 codes",
    run: () => withPage(async ({ page }) => {
      const seen = await page.evaluate(async () => {
        const bomb = await Nthtree.exchange.frames(new Uint8Array(64 * 1024 * 1024));
        let last;
        for (const text of bomb) last = await Nthtree.exchange.take(text);
        const noise = new Uint8Array(1200000);
        for (let at = 0; at < noise.length; at += 60000) {
          crypto.getRandomValues(noise.subarray(at, at + 60000));
        }
        const tooMany = await Nthtree.exchange.frames(noise).catch((error) => error.message);
        return { have: last.have, count: last.count, bytes: last.bytes, tooMany };
      });
      assert.equal(seen.have, seen.count);
      assert.equal(seen.bytes, null);
      assert.match(seen.tooMany, /too many/);
    }),
  },
  {
    name: "a camera reads a chain off a screen, with every third code missed, and single codes too",
    run: async () => {
      const folder = await mkdtemp(join(tmpdir(), "nthtree-film-"));
      const path = join(folder, "codes.y4m");
      const ledger = ledgerOf(60);
      let texts = [];
      try {
        await withPage(async ({ page }) => {
          texts = await page.evaluate((l) => Nthtree.exchange.frames(bytesOf(l)), ledger);
        });
        assert.ok(texts.length >= 3, `${texts.length} codes`);
        const join_ = "https://farm.invalid/#join=ABCDE-FGHJK";
        const rounds = [0, 1, 2].flatMap((round) => texts.filter((_, i) => i % 3 !== round));
        await film(path, [...rounds, join_]);
        await withPage(async ({ page }) => {
          const read = await page.evaluate(() => new Promise((resolve) => {
            const got = [];
            const steps = [];
            const take = (content) => {
              got.push(content);
              if (got.length === 2) Nthtree.scanner.stop();
            };
            Nthtree.scanner.start({
              onChain: (bytes) => take(textOf(bytes)),
              onText: take,
              onProgress: ({ have, count, missing }) => steps.push([have, count, missing.length]),
              onStopped: (detail) => resolve({ got, detail, steps,
                pictures: document.querySelectorAll("video").length }),
            });
          }));
          assert.equal(read.detail, "");
          assert.deepEqual(read.got.sort(), [ledger, join_].sort());
          assert.equal(read.pictures, 0);
          assert.deepEqual(read.steps.map(([have]) => have), texts.map((_, i) => i + 1));
          assert.ok(read.steps.every(([have, count, missing]) => missing === count - have));
        }, { flags: cameraFlags(path) });
      } finally {
        await rm(folder, { recursive: true, force: true });
      }
    },
  },
  {
    name: "every code that is drawn is read by another decoder, and the last chain asked for stands",
    run: () => withPage(async ({ page }) => {
      const ledger = ledgerOf(60);
      const got = await page.evaluate(async (text) => {
        await Nthtree.later("jsqr.js");
        const [old, count] = await Promise.all([Nthtree.codes.make(bytesOf("{}")),
          Nthtree.codes.make(bytesOf(text))]);
        let content = null;
        const sides = new Set();
        for (let number = 1; number <= count; number++) {
          const { side, modules } = Nthtree.codes.draw(number);
          sides.add(side);
          const SIZE = 4;
          const QUIET = 4;
          const width = (side + 2 * QUIET) * SIZE;
          const data = new Uint8ClampedArray(4 * width * width).fill(255);
          for (let y = 0; y < side * SIZE; y++) {
            for (let x = 0; x < side * SIZE; x++) {
              const dark = modules[Math.floor(y / SIZE) * side + Math.floor(x / SIZE)] === "1";
              const at = 4 * ((y + QUIET * SIZE) * width + x + QUIET * SIZE);
              data.fill(dark ? 0 : 255, at, at + 3);
            }
          }
          const seen = await Nthtree.exchange.take(jsQR(data, width, width).data);
          if (seen.bytes) content = textOf(seen.bytes);
        }
        return { content, old, count, largest: Math.max(...sides) };
      }, ledger);
      assert.equal(got.content, ledger);
      assert.equal(got.old, 0);
      assert.ok(got.count > 1);
      assert.equal(got.largest, 77); // what src/widgets/qr_picture.cpp has room for at 360 px
    }),
  },
  {
    name: "a chain whose codes do not fit together is told, and can be read anew",
    run: () => withPage(async ({ page }) => {
      const seen = await page.evaluate(async (text) => {
        const { crcOfBytes } = Nthtree.checkSum;
        const [first, second] = await Promise.all([text, `${text}x`].map((one) =>
          Nthtree.exchange.frames(bytesOf(one), 100)));
        // The last part of another chain under the name of the first, with a check sum that fits.
        const head = first.at(-1).split(":").slice(1, 4).join(":") + ":";
        const part = Nthtree.exchange.fromBase45(second.at(-1).split(":").slice(5).join(":"));
        const crc = crcOfBytes(new Uint8Array([...bytesOf(head), ...part]));
        const wrong = `NTH1:${head}${crc.toString(16).toUpperCase().padStart(8, "0")}:` +
          Nthtree.exchange.toBase45(part);
        let last;
        for (const frame of [...first.slice(0, -1), wrong]) last = await Nthtree.exchange.take(frame);
        const open = Nthtree.exchange.unfinished();
        let again;
        for (const frame of first) again = await Nthtree.exchange.take(frame);
        return { last, open, again: textOf(again.bytes) };
      }, ledgerOf(20));
      assert.equal(seen.last.have, seen.last.count);
      assert.equal(seen.last.bytes, null);
      assert.equal(seen.last.broken, true);
      assert.equal(seen.open.count, 0);
      assert.equal(seen.again, ledgerOf(20));
    }),
  },
  {
    name: "without a camera the scanner says so and leaves nothing open",
    run: () => withPage(async ({ page }) => {
      const detail = await page.evaluate(() => new Promise((resolve) => {
        Nthtree.scanner.start({ onChain() {}, onText() {}, onProgress() {}, onStopped: resolve });
      }));
      assert.match(detail, /NotFoundError|NotAllowedError|no camera/);
      assert.equal(await page.locator("video").count(), 0);
    }),
  },
];
