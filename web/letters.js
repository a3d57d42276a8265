// SPDX-License-Identifier: Apache-2.0
//
// Lines of text that the app's own typefaces lack (names in other scripts, emoji), written by the
// browser side by side into one canvas, which the app loads as a texture. See
// src/widgets/any_script.h. Sizes are device pixels.
//
//   Nthtree.letters.begin(512);
//   Nthtree.letters.write("Δημήτρης", 31, false, 0x1b1f1a, [0, 0, 120, 42], 32);
"use strict";
(globalThis.Nthtree ??= {}).letters = (() => {
  const AIR = 1;
  const canvas = document.createElement("canvas");
  const pen = canvas.getContext("2d", { willReadFrequently: true });

  function choose(px, bold) {
    pen.font = `${bold ? "bold " : ""}${px}px Nthtree, system-ui, sans-serif`;
  }

  function width(text, px, bold) {
    choose(px, bold);
    return pen.measureText(text).width;
  }

  // Also empties it.
  function begin(side) {
    canvas.width = side;
    canvas.height = side;
  }

  function write(text, px, bold, color, [x, y, w, h], baseline) {
    choose(px, bold);
    pen.fillStyle = `#${color.toString(16).padStart(6, "0")}`;
    pen.save();
    pen.beginPath();
    pen.rect(x, y, w, h);
    pen.clip();
    pen.fillText(text, x + AIR, y + baseline);
    pen.restore();
  }

  // The app's own typefaces, so that a line looks alike whoever writes it.
  function take(regular, bold) {
    for (const [bytes, weight] of [[regular, "400"], [bold, "700"]]) {
      new FontFace("Nthtree", bytes, { weight }).load()
        .then((face) => document.fonts.add(face), () => {});
    }
  }

  return { canvas, width, begin, write, take };
})();
