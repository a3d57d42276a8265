// SPDX-License-Identifier: Apache-2.0
//
// Records from phone to phone without a hub, as a chain of QR codes that one phone shows and the
// other one's camera reads. Here: the chain's form, making it, and putting it together again in any
// order, with what is still missing. scanner.js has the camera, codes.js the pictures.
//
// A frame is text in the alphabet of QR's alphanumeric mode, so that every reader gives it back
// unharmed, also those that hand out text only:
//
//   NTH1:<transfer>:<index>:<count>:<crc>:<data>
//     transfer  8 hex digits: CRC-32 of the whole payload; the same content has the same name, so a
//               sender that was interrupted may start anew and the receiver goes on
//     index     1 … count, decimal;  count 1 … 2000
//     crc       8 hex digits: CRC-32 of "<transfer>:<index>:<count>:" and this part's bytes
//     data      this part's bytes in base45 (RFC 9285: 16 bits in 3 letters of 5.5 bits)
//
// The payload is the content, gzip-compressed where the browser can (it begins with 1f 8b then).
// Reading never trusts: lengths, counts, check sums and the size of what gzip gives are bounded.
//
//   for (const text of await Nthtree.exchange.frames(bytes)) …   // show them, round and round
//   const seen = await Nthtree.exchange.take(text);                // {have, count, bytes}
"use strict";
(globalThis.Nthtree ??= {}).exchange = (() => {
  const PREFIX = "NTH1";
  const FRAMES_MAX = 2000;
  const FRAME_BYTES = 480; // 753 letters: a QR code of version 15, level L, 77 modules wide
  const FRAME_LETTERS_MAX = 4296; // the most that any QR code holds
  const MISSING_TOLD = 20;
  const CONTENT_BYTES_MAX = 16 * 1024 * 1024;
  const TRANSFERS_MAX = 3; // kept at once; older unfinished ones go
  const KEEP = "nthtree-exchange:"; // sessionStorage: a killed tab goes on where it was
  const ALPHABET = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:";

  const { crcOfBytes } = Nthtree.checkSum;
  const hex8 = (number) => number.toString(16).toUpperCase().padStart(8, "0");
  const bytesOf = (text) => new TextEncoder().encode(text);

  // ---- base45, RFC 9285

  function toBase45(bytes) {
    let text = "";
    for (let i = 0; i < bytes.length; i += 2) {
      const pair = i + 1 < bytes.length;
      let value = pair ? bytes[i] * 256 + bytes[i + 1] : bytes[i];
      for (let k = 0; k < (pair ? 3 : 2); k++) {
        text += ALPHABET[value % 45];
        value = Math.floor(value / 45);
      }
    }
    return text;
  }

  // The bytes, or null where the text is not base45.
  function fromBase45(text) {
    if (text.length % 3 === 1) return null;
    const bytes = [];
    for (let i = 0; i < text.length; i += 3) {
      const letters = [...text.slice(i, i + 3)].map((letter) => ALPHABET.indexOf(letter));
      if (letters.includes(-1)) return null;
      const value = letters.reduceRight((sum, letter) => sum * 45 + letter, 0);
      if (value > (letters.length === 3 ? 0xffff : 0xff)) return null;
      if (letters.length === 3) bytes.push(value >> 8);
      bytes.push(value & 255);
    }
    return new Uint8Array(bytes);
  }

  // ---- gzip

  async function gzip(bytes) {
    if (!("CompressionStream" in globalThis)) return bytes;
    const stream = new Blob([bytes]).stream().pipeThrough(new CompressionStream("gzip"));
    const small = new Uint8Array(await new Response(stream).arrayBuffer());
    return small.length < bytes.length ? small : bytes;
  }

  // null where it is damaged, or larger than anything we send.
  async function gunzip(bytes) {
    const stream = new Blob([bytes]).stream().pipeThrough(new DecompressionStream("gzip"));
    const reader = stream.getReader();
    const parts = [];
    let size = 0;
    try {
      for (;;) {
        const { done, value } = await reader.read();
        if (done) break;
        size += value.length;
        if (size > CONTENT_BYTES_MAX) {
          await reader.cancel();
          return null;
        }
        parts.push(value);
      }
    } catch {
      return null;
    }
    return new Uint8Array(await new Blob(parts).arrayBuffer());
  }

  // ---- making a chain

  function frameOf(transfer, index, count, part) {
    const head = `${transfer}:${index}:${count}:`;
    const checked = new Uint8Array([...bytesOf(head), ...part]);
    return `${PREFIX}:${head}${hex8(crcOfBytes(checked))}:${toBase45(part)}`;
  }

  // The texts of a chain for these bytes; an error where they do not fit in FRAMES_MAX frames.
  async function frames(bytes, frameBytes = FRAME_BYTES) {
    const payload = await gzip(bytes);
    const count = Math.max(1, Math.ceil(payload.length / frameBytes));
    if (count > FRAMES_MAX) throw new Error(`${count} codes are too many; share a file instead`);
    const transfer = hex8(crcOfBytes(payload));
    return Array.from({ length: count }, (_, i) => frameOf(transfer, i + 1, count,
      payload.subarray(i * frameBytes, (i + 1) * frameBytes)));
  }

  // ---- putting a chain together

  function parse(text) {
    if (typeof text !== "string" || text.length > FRAME_LETTERS_MAX) return null;
    const match = /^NTH1:([0-9A-F]{8}):([1-9]\d{0,3}):([1-9]\d{0,3}):([0-9A-F]{8}):/.exec(text);
    if (!match) return null;
    const [whole, transfer, index, count, crc] = match;
    if (Number(index) > Number(count) || Number(count) > FRAMES_MAX) return null;
    const part = fromBase45(text.slice(whole.length));
    if (part === null) return null;
    const checked = new Uint8Array([...bytesOf(`${transfer}:${index}:${count}:`), ...part]);
    if (hex8(crcOfBytes(checked)) !== crc) return null;
    return { transfer, index: Number(index), count: Number(count), part };
  }

  const transfers = new Map(); // "<transfer>:<count>" -> {count, parts: Map(index -> bytes), texts}

  // One entry a frame: a chain of 2,000 written anew at each would cost more than the camera.
  function keep(key, index, text) {
    try {
      sessionStorage.setItem(`${KEEP}${key}:${index}`, text);
    } catch {
      // Only a convenience; without it a killed tab scans from the start.
    }
  }

  const kept = () => Object.keys(sessionStorage).filter((name) => name.startsWith(KEEP));

  function forget(key) {
    transfers.delete(key);
    try {
      for (const name of kept()) {
        if (name.startsWith(`${KEEP}${key}:`)) sessionStorage.removeItem(name);
      }
    } catch {
      // Nothing was kept then.
    }
  }

  function add(frame, text) {
    const key = `${frame.transfer}:${frame.count}`;
    const transfer = transfers.get(key) ?? { count: frame.count, parts: new Map() };
    transfers.delete(key);
    transfers.set(key, transfer); // the newest is the last one
    while (transfers.size > TRANSFERS_MAX) forget(transfers.keys().next().value);
    const fresh = !transfer.parts.has(frame.index);
    if (fresh) {
      transfer.parts.set(frame.index, frame.part);
      keep(key, frame.index, text);
    }
    return { key, transfer, fresh };
  }

  async function contentOf(transfer, name) {
    const parts = Array.from({ length: transfer.count }, (_, i) => transfer.parts.get(i + 1));
    const payload = new Uint8Array(await new Blob(parts).arrayBuffer());
    if (hex8(crcOfBytes(payload)) !== name) return null;
    return payload[0] === 0x1f && payload[1] === 0x8b ? gunzip(payload) : payload;
  }

  function progressOf({ count, parts }) {
    const missing = [];
    for (let i = 1; i <= count && missing.length < MISSING_TOLD; i++) {
      if (!parts.has(i)) missing.push(i);
    }
    return { have: parts.size, count, missing };
  }

  // Takes what a reader read. null: no frame of a chain, or a damaged one. Otherwise how far the
  // chain is: {have, count, fresh, missing, bytes, broken}; bytes once it is whole, and only once;
  // broken where all frames are there and do not fit together.
  async function take(text) {
    const frame = parse(text);
    if (frame === null) return null;
    const { key, transfer, fresh } = add(frame, text);
    const progress = progressOf(transfer);
    let bytes = null;
    let broken = false;
    if (progress.have === progress.count && !transfer.given) {
      transfer.given = true; // before the wait, so that a second frame cannot give it out again
      bytes = await contentOf(transfer, frame.transfer);
      broken = bytes === null;
      if (broken) forget(key); // two chains of one name: start this one anew
    }
    return { ...progress, fresh, bytes, broken };
  }

  // Before a new scan: a chain that was given out may be wanted again, one half read goes on.
  function forgetGiven() {
    for (const [key, transfer] of transfers) if (transfer.given) forget(key);
  }

  // How far the chain is that was read last, of those that are not whole.
  function unfinished() {
    const open = [...transfers.values()].filter((transfer) => !transfer.given).at(-1);
    return open ? progressOf(open) : { have: 0, count: 0, missing: [] };
  }

  try {
    for (const name of kept()) {
      const text = sessionStorage.getItem(name);
      const frame = parse(text);
      if (frame !== null) add(frame, text);
    }
  } catch {
    // No sessionStorage: nothing to go on with.
  }

  return { frames, take, unfinished, forgetGiven, toBase45, fromBase45 };
})();
