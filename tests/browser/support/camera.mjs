// SPDX-License-Identifier: Apache-2.0
//
// A film of QR codes for Chromium's pretended camera: a YUV4MPEG2 file, each code for some pictures,
// on the grey of a screen in daylight. Codes are drawn by the same library that the app shows with.
//
// In place of a text, a photograph of a screen: the grey values of WIDTH × HEIGHT pixels.
//
//   await film("/tmp/x.y4m", texts, { pictures: 2 });
//   openChromium({ flags: cameraFlags("/tmp/x.y4m") });
import { createRequire } from "node:module";
import { writeFile } from "node:fs/promises";
import { libraries } from "../../../web/vendor.mjs";

await libraries(); // installs them at the first run
const qrcode = createRequire(new URL("../../../web/package.json", import.meta.url))(
  "qrcode-generator");
export const WIDTH = 640;
export const HEIGHT = 480;

// The grey values of one picture: the code in the middle, as large as fits.
function picture(text) {
  const grey = Buffer.alloc(WIDTH * HEIGHT, 170);
  const code = qrcode(0, "L");
  code.addData(text, /^[0-9A-Z $%*+\-./:]*$/.test(text) ? "Alphanumeric" : "Byte");
  code.make();
  const modules = code.getModuleCount();
  const size = Math.floor(HEIGHT / (modules + 8));
  const left = Math.floor((WIDTH - (modules + 8) * size) / 2);
  for (let y = 0; y < (modules + 8) * size; y++) {
    for (let x = 0; x < (modules + 8) * size; x++) {
      const row = Math.floor(y / size) - 4;
      const column = Math.floor(x / size) - 4;
      const inside = row >= 0 && column >= 0 && row < modules && column < modules;
      grey[y * WIDTH + left + x] = inside && code.isDark(row, column) ? 45 : 220;
    }
  }
  return grey;
}

export async function film(path, texts, { pictures = 2, rate = 15 } = {}) {
  const colour = Buffer.alloc(WIDTH * HEIGHT / 2, 128);
  const parts = [Buffer.from(`YUV4MPEG2 W${WIDTH} H${HEIGHT} F${rate}:1 Ip A1:1 C420jpeg\n`)];
  for (const text of texts) {
    const grey = typeof text === "string" ? picture(text) : Buffer.from(text);
    for (let n = 0; n < pictures; n++) parts.push(Buffer.from("FRAME\n"), grey, colour);
  }
  await writeFile(path, Buffer.concat(parts));
}

export const cameraFlags = (path) => ["--use-fake-ui-for-media-stream",
  "--use-fake-device-for-media-stream", `--use-file-for-fake-video-capture=${path}`];
