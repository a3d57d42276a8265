// SPDX-License-Identifier: Apache-2.0
//
// Starts the app: fetches typefaces and the language in use beside the WebAssembly, hands them
// over, and takes the opening words away once the first frame stands. What fails here ends on the
// crash page.
"use strict";
(() => {
  // Names of the files carry their content's hash; the page lists them.
  const FILES = JSON.parse(document.querySelector("meta[name=nthtree-files]").content);
  const nameOf = (file) => FILES[file] ?? file;
  Nthtree.fileName = nameOf;
  const OPENING_STAYS_MS = 1000;
  const encoder = new TextEncoder();

  async function bytesOf(file) {
    const address = nameOf(file);
    const answer = await (Nthtree.early?.(address) ?? fetch(address));
    if (!answer.ok) throw new Error(`${file}: ${answer.status}`);
    return new Uint8Array(await answer.arrayBuffer());
  }

  const jsonOf = async (file) => JSON.parse(new TextDecoder().decode(await bytesOf(file)));
  Nthtree.languages.connect(Object.keys(FILES)
    .map((file) => /^languages\/(\w\w)\.json$/.exec(file)?.[1]).filter(Boolean), jsonOf);

  // The language in use, the names of all, and tables, as "name US text RS" each.
  async function words() {
    const [[names, language], varieties] = await Promise.all([
      Nthtree.languages.first(), jsonOf("varieties.json").catch(() => ({}))]);
    const entry = (name, content) => `${name}\x1f${content}\x1e`;
    return encoder.encode(entry("languages.json", JSON.stringify(names))
      + (language ? entry(`languages/${language[0]}`, language[1]) : "")
      + entry("varieties.json", JSON.stringify(varieties)));
  }

  // Both typefaces: with the letters of the languages alone until the worker keeps the whole ones.
  const typefaces = (first = "") => Promise.all(
    ["regular", "bold"].map((face) => bytesOf(`fonts/${face}${first}.ttf`)));

  async function wholeTypefaces() {
    try {
      const faces = await typefaces();
      Nthtree.letters.take(...faces);
      Nthtree.bridge.typefaces(...faces);
    } catch (error) {
      console.info("the typefaces have not come", String(error)); // the browser writes such names
    }
  }

  function hand(app, bytes) {
    const at = app._nthtree_room(bytes.length);
    app.HEAPU8.set(bytes, at);
    return [at, bytes.length];
  }

  // Unseen at once and gone a little later: Chromium does not count as painted what was removed
  // before the screen showed it, and on a slow phone the first frame may come as early as that.
  function takeAway(opening) {
    if (!opening) return;
    opening.inert = true;
    opening.style.opacity = "0";
    setTimeout(() => opening.remove(), OPENING_STAYS_MS);
  }

  const nextFrame = () => new Promise((resolve) => { requestAnimationFrame(resolve); });

  async function start() {
    Nthtree.crash.watch();
    const canvas = document.getElementById("canvas");
    const first = navigator.serviceWorker?.controller ? "" : ".first";
    const [app, faces, texts] = await Promise.all([
      NthtreeApp({ canvas, instantiateWasm: Nthtree.parts.instantiate((file) => FILES[file] ?? ""),
        onAbort: (why) => Nthtree.bridge.fall(why) }),
      typefaces(first), words(),
    ]);
    Nthtree.bridge.connect(app);
    Nthtree.letters.take(...faces);
    const parts = [...faces, texts].flatMap((bytes) => hand(app, bytes));
    const noGraphics = "no WebGL on this device";
    if (!app._nthtree_start(...parts)) throw new Error(noGraphics);
    Nthtree.device.start(canvas);
    Nthtree.keyboard.start(canvas);
    await nextFrame(); // the app's first
    await nextFrame();
    // One that was lost meanwhile says no to everything, and comes back.
    const isLost = canvas.getContext("webgl").isContextLost();
    if (!isLost && !app._nthtree_draws()) throw new Error(noGraphics);
    takeAway(document.getElementById("opening"));
    performance.mark("nthtree-usable");
    // The worker then finds in the browser's cache what has just come.
    Nthtree.parts.rest().then(first ? wholeTypefaces : null).then(Nthtree.languages.others)
      .finally(() => Nthtree.updates?.start());
  }

  // A pairing code stands behind the #; it is taken out of the address at once, so that nobody
  // shares it with a link.
  globalThis.NTHTREE_FRAGMENT = location.hash.slice(1);
  if (location.hash) history.replaceState(null, "", location.pathname + location.search);
  Nthtree.store?.unsent?.().then((count) => {
    const line = document.getElementById("waiting");
    if (line && count > 0) line.textContent = `${count} ↑`;
  }, () => {});
  start().catch((error) => Nthtree.crash.show(error));
})();
