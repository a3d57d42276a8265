// SPDX-License-Identifier: Apache-2.0
//
// Reads QR codes with the phone's camera: the browser's own BarcodeDetector where there is one,
// otherwise jsQR (loaded at the first use). Frames of a chain are put together here
// (exchange.js); whatever else is read is handed on as it is.
//
// The app's screen leaves a box for the picture; its element in the mirror has the id "viewfinder",
// and the picture lies exactly over it. Fingers go through it to the canvas.
//
//   Nthtree.scanner.start({             // inside a tap: the browser may ask
//     onChain: (bytes) => …,            // a whole content; empty: its codes do not fit together
//     onText: (text) => …,              // a single code
//     onProgress: ({have, count, damaged, missing}) => …,
//     onStopped: (detail) => …,         // "" after stop(), otherwise why there is no camera
//   });
//   Nthtree.scanner.stop();
"use strict";
(globalThis.Nthtree ??= {}).scanner = (() => {
  const LOOK_EVERY_MS = 80;
  const SIDE_MAX = 720; // px looked at: enough for 77 modules over half the picture
  const SAME_AGAIN_MS = 3000; // a single code held before the camera is told once, not ten times
  const MISSING_TOLD = 12;

  let running = null;

  function available() {
    return Boolean(navigator.mediaDevices?.getUserMedia);
  }

  // The picture over its box, cut where the bars of the screen are.
  function place(scan) {
    const box = Nthtree.mirror?.elementOf("viewfinder")?.getBoundingClientRect();
    const page = document.querySelector("#mirror main")?.getBoundingClientRect();
    const { style } = scan.video;
    style.opacity = box ? 1 : 0;
    if (!box) return;
    const above = Math.max(0, page.top - box.top);
    const below = Math.max(0, box.bottom - page.bottom);
    Object.assign(style, { left: `${box.left}px`, top: `${box.top}px`, width: `${box.width}px`,
      height: `${box.height}px`, clipPath: `inset(${above}px 0 ${below}px 0)` });
  }

  function openPicture() {
    const video = Object.assign(document.createElement("video"),
      { muted: true, autoplay: true, playsInline: true });
    video.setAttribute("playsinline", "");
    video.setAttribute("aria-hidden", "true"); // the mirror has its name
    video.style.cssText = "position:fixed;left:0;top:0;width:1px;height:1px;opacity:0;" +
      "object-fit:cover;pointer-events:none";
    document.body.append(video);
    return video;
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
    await Nthtree.later("jsqr.js");
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

  function tellProgress(scan, { have, count, missing }) {
    const some = missing.slice(0, MISSING_TOLD);
    scan.onProgress({ have, count, damaged: scan.damaged, missing: some });
  }

  async function hear(scan, text) {
    const seen = await Nthtree.exchange.take(text);
    if (scan !== running) return;
    const now = Date.now();
    const again = text === scan.last && now - scan.lastAt < SAME_AGAIN_MS;
    scan.last = text;
    scan.lastAt = now;
    if (seen !== null) {
      if (seen.fresh) {
        navigator.vibrate?.(15);
        scan.seen = seen;
        tellProgress(scan, seen);
      }
      if (seen.bytes !== null) scan.onChain(seen.bytes);
      else if (seen.broken) scan.onChain(new Uint8Array(0));
      return;
    }
    if (again) return;
    if (!text.startsWith("NTH1:")) return scan.onText(text);
    // Part of a chain, misread or damaged: a good one comes with the next round.
    scan.damaged += 1;
    tellProgress(scan, scan.seen);
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
    cancelAnimationFrame(scan.following);
    scan.video.remove();
    scan.onStopped(detail);
  }

  function follow(scan) {
    if (scan !== running) return;
    place(scan);
    scan.following = requestAnimationFrame(() => follow(scan));
  }

  async function start(events) {
    if (running) end("");
    if (!available()) return events.onStopped("no camera here");
    Nthtree.exchange.forgetGiven();
    const scan = { ...events, stream: null, video: openPicture(), damaged: 0, last: "", lastAt: 0,
      canvas: document.createElement("canvas"), seen: Nthtree.exchange.unfinished() };
    running = scan;
    if (scan.seen.count > 0) tellProgress(scan, scan.seen);
    follow(scan);
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

  return { available, start, stop: () => end("") };
})();
