// SPDX-License-Identifier: Apache-2.0
//
// Reads QR codes with the phone's camera: the browser's own BarcodeDetector where there is one,
// otherwise jsQR (loaded at the first use). Frames of a chain are put together here
// (exchange.js); whatever else is read is handed on as it is.
//
//   Nthtree.scanner.start((bytes) => …, (detail) => …);   // inside a tap: the browser may ask
//   Nthtree.scanner.stop();
// onBytes gets a whole content (the lines of a ledger) or the text of a single code; onStopped gets
// "" after stop() or Cancel, otherwise why there is no camera.
"use strict";
(globalThis.Nthtree ??= {}).scanner = (() => {
  const LOOK_EVERY_MS = 80;
  const SIDE_MAX = 720; // px looked at: enough for 77 modules over half the picture
  const SAME_AGAIN_MS = 3000; // a single code held before the camera is told once, not ten times
  const WORDS = {
    en: { title: "Hold the code before the camera", cancel: "Cancel", of: "{have} of {count}" },
    es: { title: "Ponga el código ante la cámara", cancel: "Cancelar", of: "{have} de {count}" },
  };
  // px, not mm: a CSS millimetre is 3.8 px, 64 px are about 12 mm in the hand on a phone.
  const BUTTON = "min-height:64px;padding:8px 24px;font:600 20px system-ui;border-radius:10px;" +
    "border:2px solid #1e5540;background:#fff;color:#1b1f1a";

  let running = null;

  function available() {
    return Boolean(navigator.mediaDevices?.getUserMedia);
  }

  function make(tag, style, more = {}) {
    const element = Object.assign(document.createElement(tag), more);
    element.style.cssText = style;
    return element;
  }

  function wordsNow() {
    return api.words ?? WORDS[document.documentElement.lang.slice(0, 2)] ?? WORDS.en;
  }

  function openDialog(onCancel) {
    const words = wordsNow();
    const dialog = make("dialog", "position:fixed;inset:0;width:100%;height:100%;max-width:none;" +
      "max-height:none;margin:0;padding:12px;box-sizing:border-box;border:0;background:#f1f0e9;" +
      "color:#1b1f1a;font:20px system-ui;text-align:center;overflow:auto");
    const title = make("h1", "font:700 22px system-ui", { textContent: words.title, id: "scan-h" });
    dialog.setAttribute("aria-labelledby", title.id);
    const video = make("video", "width:100%;max-height:60vh;background:#000;border-radius:10px",
      { muted: true, autoplay: true, playsInline: true });
    video.setAttribute("playsinline", "");
    const progress = make("p", "font:700 28px system-ui;min-height:1.4em", { textContent: "" });
    progress.setAttribute("role", "status");
    const cancel = make("button", BUTTON, { type: "button", textContent: words.cancel });
    cancel.addEventListener("click", onCancel);
    dialog.addEventListener("cancel", onCancel); // the back button and Escape
    dialog.append(title, video, progress, cancel);
    document.body.append(dialog);
    dialog.showModal();
    return { dialog, video, progress };
  }

  // A function that gives the texts of the codes in a picture.
  async function reader() {
    if ("BarcodeDetector" in globalThis) {
      const formats = await BarcodeDetector.getSupportedFormats().catch(() => []);
      if (formats.includes("qr_code")) {
        const detector = new BarcodeDetector({ formats: ["qr_code"] });
        return async (canvas) => (await detector.detect(canvas)).map((code) => code.rawValue);
      }
    }
    await Nthtree.exchange.loadScript("jsqr.js");
    return async (canvas) => {
      const { width, height } = canvas;
      const image = canvas.getContext("2d", { willReadFrequently: true })
        .getImageData(0, 0, width, height);
      const code = jsQR(image.data, width, height, { inversionAttempts: "dontInvert" });
      return code ? [code.data] : [];
    };
  }

  function picture(video, canvas) {
    const scale = Math.min(1, SIDE_MAX / Math.min(video.videoWidth, video.videoHeight));
    canvas.width = Math.round(video.videoWidth * scale);
    canvas.height = Math.round(video.videoHeight * scale);
    canvas.getContext("2d", { willReadFrequently: true })
      .drawImage(video, 0, 0, canvas.width, canvas.height);
  }

  const askCamera = () => navigator.mediaDevices.getUserMedia({
    audio: false,
    video: { facingMode: "environment", width: { ideal: 1280 }, height: { ideal: 720 } },
  });

  // Phones take the camera away in the background and some give back a black picture.
  async function takeCamera(scan) {
    scan.stream?.getTracks().forEach((track) => track.stop());
    const stream = await askCamera();
    if (scan !== running) {
      stream.getTracks().forEach((track) => track.stop());
      return;
    }
    scan.stream = stream;
    scan.video.srcObject = stream;
    await scan.video.play();
  }

  async function hear(scan, text) {
    const seen = await Nthtree.exchange.take(text);
    if (scan !== running) return;
    if (seen !== null) {
      scan.progress.textContent = wordsNow().of.replace("{have}", seen.have)
        .replace("{count}", seen.count);
      if (seen.fresh) navigator.vibrate?.(15);
      if (seen.bytes !== null) scan.onBytes(seen.bytes);
      return;
    }
    // Part of a chain, misread: the next round has it again.
    if (text.startsWith("NTH1:")) return;
    const now = Date.now();
    if (text === scan.last && now - scan.lastAt < SAME_AGAIN_MS) return;
    scan.last = text;
    scan.lastAt = now;
    scan.onBytes(new TextEncoder().encode(text));
  }

  async function look(scan, read) {
    while (scan === running) {
      if (document.visibilityState === "visible" && scan.video.videoWidth > 0) {
        picture(scan.video, scan.canvas);
        for (const text of await read(scan.canvas).catch(() => [])) await hear(scan, text);
      }
      await new Promise((resolve) => setTimeout(resolve, LOOK_EVERY_MS));
    }
  }

  function end(detail) {
    const scan = running;
    if (!scan) return;
    running = null;
    document.removeEventListener("visibilitychange", scan.onVisible);
    scan.stream?.getTracks().forEach((track) => track.stop());
    scan.dialog.remove();
    scan.onStopped(detail);
  }

  async function start(onBytes, onStopped) {
    if (running) end("");
    if (!available()) return onStopped("no camera here");
    Nthtree.exchange.forgetGiven();
    const scan = { onBytes, onStopped, stream: null, canvas: document.createElement("canvas"),
      last: "", lastAt: 0, ...openDialog(() => end("")) };
    running = scan;
    scan.onVisible = () => {
      if (document.visibilityState === "visible") takeCamera(scan).catch(() => {});
      else scan.stream?.getTracks().forEach((track) => track.stop());
    };
    document.addEventListener("visibilitychange", scan.onVisible);
    try {
      const read = await reader();
      await takeCamera(scan);
      return await look(scan, read);
    } catch (error) {
      return scan === running ? end(`${error?.name ?? "Error"}: ${error?.message ?? ""}`) : null;
    }
  }

  // words: {title, cancel, of} in the app's language; null takes English or Spanish by the page's.
  const api = { available, start, stop: () => end(""), words: null };
  return api;
})();
