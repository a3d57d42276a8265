// SPDX-License-Identifier: Apache-2.0
//
// Names as the people of a crew write them. The app's own typefaces have Latin letters only; the
// rest was question marks. What stands on the canvas is compared with what the browser itself draws
// of the name. Of a script that the machine has no typeface for, Chromium draws the same boxes in both.
import assert from "node:assert/strict";
import { BOTH, browserName, closeBrowser } from "./support/browser.mjs";
import { withFarm } from "./support/farm.mjs";

const NAMES = { Ana: "محمد", Mateo: "נועה", Priya: "Оксана", Tomasz: "Γιώργος", Leilani: "Nguyễn Ngọc",
  Kofi: "王秀英", Yusuf: "ਗੁਰਪ੍ਰੀਤ", Ingrid: "Zoë 🍎" };

// Debian's usual typefaces have none of these, and Firefox draws the numbers of their letters.
const BOXES = new Set(["王秀英", "ਗੁਰਪ੍ਰੀਤ", "Zoë 🍎"]);

const withNames = (names, work) => async () => {
  try {
    await withFarm(async (given) => {
      await work(given);
      assert.deepEqual(given.phone.troubles, [], "the page reported errors");
    }, { names, pixelRatio: 2 });
  } finally {
    await closeBrowser();
  }
};

// How alike the name on its row is to the browser's own drawing of it, each cut to its ink: the share
// of either's ink that lies within a pixel of the other's.
async function likeness(phone, name) {
  const row = phone.find("button", name).first();
  await phone.place(row);
  const box = await row.boundingBox();
  const shot = await phone.page.screenshot({ clip: { x: box.x + 44, y: box.y + 4,
    width: box.width - 100, height: box.height / 2 - 2 } });
  return phone.page.evaluate(async ([bytes, text]) => {
    const cut = (context) => {
      const { width, height } = context.canvas;
      const { data } = context.getImageData(0, 0, width, height);
      const inked = (x, y) => data[4 * (y * width + x) + 1] < 128;
      let [left, top, right, bottom] = [width, height, 0, 0];
      for (let y = 0; y < height; y += 1) {
        for (let x = 0; x < width; x += 1) {
          if (!inked(x, y)) continue;
          [left, right] = [Math.min(left, x), Math.max(right, x)];
          [top, bottom] = [Math.min(top, y), Math.max(bottom, y)];
        }
      }
      return { w: right - left + 1, h: bottom - top + 1, at: (x, y) => inked(left + x, top + y) };
    };
    const paint = (width, height) => {
      const canvas = document.createElement("canvas");
      Object.assign(canvas, { width, height });
      const pen = canvas.getContext("2d");
      pen.fillStyle = "#fff";
      pen.fillRect(0, 0, width, height);
      return pen;
    };
    const picture = await createImageBitmap(new Blob([new Uint8Array(bytes)], { type: "image/png" }));
    const drawn = paint(picture.width, picture.height);
    drawn.drawImage(picture, 0, 0);
    const wanted = paint(picture.width, picture.height);
    wanted.fillStyle = "#000";
    wanted.font = `bold ${36 * 2048 / 2384}px Nthtree, system-ui, sans-serif`;
    wanted.fillText(text, 10, picture.height * 0.7);
    const [a, b] = [cut(drawn), cut(wanted)];
    const near = (one, x, y) => [-1, 0, 1].some((dx) => [-1, 0, 1].some((dy) => x + dx >= 0
      && y + dy >= 0 && x + dx < one.w && y + dy < one.h && one.at(x + dx, y + dy)));
    const share = (one, other) => {
      let [ink, shared] = [0, 0];
      for (let y = 0; y < one.h; y += 1) {
        for (let x = 0; x < one.w; x += 1) {
          if (!one.at(x, y)) continue;
          ink += 1;
          shared += near(other, x, y) ? 1 : 0;
        }
      }
      return shared / ink;
    };
    return Math.min(share(a, b), share(b, a));
  }, [[...shot], name]);
}

export default [
  {
    name: "names in eight other scripts were question marks",
    browsers: BOTH,
    run: withNames(NAMES, async ({ phone }) => {
      for (const name of Object.values(NAMES)) {
        if (browserName() === "firefox" && BOXES.has(name)) continue;
        const isolated = /[\u0590-\u07ff]/.test(name) ? `\u2068${name}\u2069` : name;
        const alike = await likeness(phone, isolated);
        assert.ok(alike > 0.9, `${name}: ${alike.toFixed(2)}`);
      }
    }),
  },
  {
    name: "a name from right to left keeps its sentence in order, and is asked for by name",
    run: withNames(NAMES, async ({ phone }) => {
      await phone.tap("\u2068محمد\u2069");
      await phone.see("heading", "Which block?");
      await phone.tap(/^Lower Bench/);
      await phone.see("button", "\u2068محمد\u2069, change person");
    }),
  },
  {
    name: "two people of one name could not be told apart",
    run: withNames({ Mateo: "Ana" }, async ({ phone }) => {
      await phone.see("button", "Ana (1)");
      await phone.tap("Ana (2)");
      await phone.see("heading", "Which block?");
      await phone.tap(/^Lower Bench/);
      await phone.see("button", "Ana (2), change person");
    }),
  },
];
