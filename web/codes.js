// SPDX-License-Identifier: Apache-2.0
//
// Content as a chain of QR codes, for the app's own screen to show
// (src/screens/between_phones/show_codes.cpp).
// The other phone's scanner (scanner.js) puts it together. Nobody answers here: showing marks
// nothing as sent, and the records stay on this phone until the hub has them.
//
//   const count = await Nthtree.codes.make(bytes);   // in place of the chain before
//   Nthtree.codes.draw(1);                           // {side, modules: "1101…"}, 1 … count
"use strict";
(globalThis.Nthtree ??= {}).codes = (() => {
  let texts = [];
  let latest = 0;

  // 0 where another chain was asked for meanwhile.
  async function make(bytes) {
    const mine = (latest += 1);
    await Nthtree.later("qrcode.js");
    const made = await Nthtree.exchange.frames(bytes);
    if (mine !== latest) return 0;
    texts = made;
    return texts.length;
  }

  // Dark is 1, row by row, without the quiet zone.
  function draw(number) {
    const code = qrcode(0, "L");
    code.addData(texts[number - 1], "Alphanumeric");
    code.make();
    const side = code.getModuleCount();
    let modules = "";
    for (let row = 0; row < side; row++) {
      for (let column = 0; column < side; column++) modules += code.isDark(row, column) ? "1" : "0";
    }
    return { side, modules };
  }

  return { make, draw };
})();
