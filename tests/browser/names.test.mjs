// SPDX-License-Identifier: Apache-2.0
//
// Names as the people of a crew write them. The app's own typefaces have Latin letters only; the
// rest was question marks. What stands on the canvas is compared with what the browser itself draws
// of the name. Of a script that the machine has no typeface for, Chromium draws the same boxes in both.
import assert from "node:assert/strict";
import { ALL, browserName, closeBrowser } from "./support/browser.mjs";
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
  const label = { x: box.x + 44, y: box.y + 4, w: box.width - 100, h: box.height / 2 - 2 };
  const troubles = phone.troubles.length;
  const shot = await phone.page.screenshot();
  phone.troubles.length = troubles; // for Firefox playwright adds a style, which the policy refuses
  return phone.page.evaluate(async ([bytes, text, { x: left, y: top, w, h }]) => {
    const [width, height] = [w, h].map((side) => Math.round(side * devicePixelRatio));
    const cut = (context) => {
      const { data } = context.getImageData(0, 0, width, height);
      const inked = (x, y) => data[4 * (y * width + x) + 1] < 128;
      let [x0, y0, x1, y1] = [width, height, 0, 0];
      for (let y = 0; y < height; y += 1) {
        for (let x = 0; x < width; x += 1) {
          if (!inked(x, y)) continue;
          [x0, x1] = [Math.min(x0, x), Math.max(x1, x)];
          [y0, y1] = [Math.min(y0, y), Math.max(y1, y)];
        }
      }
      return { w: x1 - x0 + 1, h: y1 - y0 + 1, at: (x, y) => inked(x0 + x, y0 + y) };
    };
    const paint = () => {
      const canvas = document.createElement("canvas");
      Object.assign(canvas, { width, height });
      const pen = canvas.getContext("2d");
      pen.fillStyle = "#fff";
      pen.fillRect(0, 0, width, height);
      return pen;
    };
    const picture = await createImageBitmap(new Blob([new Uint8Array(bytes)], { type: "image/png" }));
    const drawn = paint();
    drawn.drawImage(picture, -left * devicePixelRatio, -top * devicePixelRatio);
    const wanted = paint();
    wanted.fillStyle = "#000";
    wanted.font = `bold ${18 * devicePixelRatio * 2048 / 2384}px Nthtree, system-ui, sans-serif`;
    wanted.fillText(text, 10, height * 0.7);
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
  }, [[...shot], name, label]);
}

export default [
  {
    name: "names in eight other scripts were question marks",
    browsers: ALL,
    run: withNames(NAMES, async ({ phone }) => {
      for (const name of Object.values(NAMES)) {
        if (browserName() !== "chromium" && BOXES.has(name)) continue;
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
