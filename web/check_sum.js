// SPDX-License-Identifier: Apache-2.0
//
// The check sum that tells a damaged entry of the record store from a whole one, and a misread QR
// frame from a good one: CRC-32/ISO-HDLC, the one of zip and PNG (check value of "123456789":
// cbf43926). It is no signature and keeps out no one who means harm.
//
//   const entry = withCheckSum(device, sequence, json);   // json, a tab, 8 hex digits
//   verified([device, sequence], entry) === json    // null where it was damaged
"use strict";
(globalThis.Nthtree ??= {}).checkSum = (() => {
  const crcTable = new Int32Array(256);
  for (let n = 0; n < 256; n++) {
    let c = n;
    for (let k = 0; k < 8; k++) c = c & 1 ? 0xedb88320 ^ (c >>> 1) : c >>> 1;
    crcTable[n] = c;
  }

  function crcOfText(text, crc) {
    for (let i = 0; i < text.length; i++) {
      const unit = text.charCodeAt(i);
      crc = crcTable[(crc ^ unit) & 255] ^ (crc >>> 8);
      if (unit > 255) crc = crcTable[(crc ^ (unit >> 8)) & 255] ^ (crc >>> 8);
    }
    return crc;
  }

  function checkSumOf(device, sequence, json) {
    const crc = crcOfText(json, crcOfText(`${device}\t${sequence}\t`, -1));
    return ((crc ^ -1) >>> 0).toString(16).padStart(8, "0");
  }

  const withCheckSum = (device, sequence, json) => `${json}\t${checkSumOf(device, sequence, json)}`;

  // The record's bytes, or null where the entry is not what was written.
  function verified(key, value) {
    if (typeof value !== "string" || value.length < 10) return null;
    const end = value.length - 9;
    if (value.charCodeAt(end) !== 9 || !Array.isArray(key) || key.length !== 2) return null;
    const json = value.slice(0, end);
    return value.slice(end + 1) === checkSumOf(key[0], key[1], json) ? json : null;
  }

  function crcOfBytes(bytes) {
    let crc = -1;
    for (const byte of bytes) crc = crcTable[(crc ^ byte) & 255] ^ (crc >>> 8);
    return (crc ^ -1) >>> 0;
  }

  return { crcOfBytes, checkSumOf, withCheckSum, verified };
})();
