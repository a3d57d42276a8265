// SPDX-License-Identifier: Apache-2.0
//
// Shows content as a chain of QR codes over the whole screen, round and round, until the person
// closes it. The other phone's scanner (scanner.js) puts it together. Nobody answers here: showing
// marks nothing as sent, and the records stay on this phone until the hub has them.
//
//   await Nthtree.codes.show(bytes, (shown) => …);   // settles when closed
"use strict";
(globalThis.Nthtree ??= {}).codes = (() => {
  const FRAME_MS = 160; // about six a second: what cameras of cheap phones follow
  const QUIET_MODULES = 4; // ISO/IEC 18004 asks for four
  const WORDS = {
    en: { title: "Scan this with the other phone", hint: "Shade both screens from the sun.",
      count: "{count} codes, round and round", close: "Close" },
    es: { title: "Lea esto con el otro teléfono", hint: "Dé sombra a las dos pantallas.",
      count: "{count} códigos, una y otra vez", close: "Cerrar" },
  };

  // One square a module; the page scales it without smoothing.
  function draw(canvas, text) {
    const code = qrcode(0, "L");
    code.addData(text, "Alphanumeric");
    code.make();
    const modules = code.getModuleCount();
    const side = modules + 2 * QUIET_MODULES;
    canvas.width = side;
    canvas.height = side;
    const context = canvas.getContext("2d");
    context.fillStyle = "#fff";
    context.fillRect(0, 0, side, side);
    context.fillStyle = "#000";
    for (let row = 0; row < modules; row++) {
      for (let column = 0; column < modules; column++) {
        if (code.isDark(row, column)) {
          context.fillRect(column + QUIET_MODULES, row + QUIET_MODULES, 1, 1);
        }
      }
    }
  }

  function make(tag, style, more = {}) {
    const element = Object.assign(document.createElement(tag), more);
    element.style.cssText = style;
    return element;
  }

  function openDialog(words, count) {
    const dialog = make("dialog", "position:fixed;inset:0;width:100%;height:100%;max-width:none;" +
      "max-height:none;margin:0;padding:12px;box-sizing:border-box;border:0;background:#fff;" +
      "color:#1b1f1a;font:18px system-ui;text-align:center;overflow:auto");
    const title = make("h1", "font:700 22px system-ui;margin:4px",
      { textContent: words.title, id: "codes-h" });
    dialog.setAttribute("aria-labelledby", title.id);
    const canvas = make("canvas", "width:min(96vw,62vh);height:min(96vw,62vh);" +
      "image-rendering:pixelated");
    canvas.setAttribute("role", "img");
    canvas.setAttribute("aria-label", words.count.replace("{count}", count));
    const text = make("p", "margin:4px",
      { textContent: `${words.count.replace("{count}", count)}. ${words.hint}` });
    const close = make("button", "min-height:64px;padding:8px 24px;font:600 20px system-ui;" +
      "border-radius:10px;border:2px solid #1e5540;background:#fff;color:#1b1f1a",
    { type: "button", textContent: words.close });
    dialog.append(title, canvas, text, close);
    document.body.append(dialog);
    dialog.showModal();
    return { dialog, canvas, close };
  }

  async function show(bytes, onShown = () => {}) {
    await Nthtree.exchange.loadScript("qrcode.js");
    const texts = await Nthtree.exchange.frames(bytes);
    const words = api.words ?? WORDS[document.documentElement.lang.slice(0, 2)] ?? WORDS.en;
    const { dialog, canvas, close } = openDialog(words, texts.length);
    const lock = await navigator.wakeLock?.request("screen").catch(() => null);
    let open = true;
    const closed = new Promise((resolve) => {
      const end = () => {
        open = false;
        resolve();
      };
      close.addEventListener("click", end);
      dialog.addEventListener("cancel", end);
      api.close = end;
    });
    for (let round = 0; open; round++) {
      for (const index of Nthtree.exchange.roundOf(texts.length)) {
        if (!open) break;
        draw(canvas, texts[index]);
        onShown({ round, index, count: texts.length });
        if (texts.length === 1) await closed; // nothing to turn over
        await Promise.race([closed, new Promise((resolve) => setTimeout(resolve, FRAME_MS))]);
      }
    }
    dialog.remove();
    await lock?.release().catch(() => {});
  }

  // words: {title, hint, count, close} in the app's language; null: English or Spanish.
  const api = { show, close: () => {}, words: null };
  return api;
})();
