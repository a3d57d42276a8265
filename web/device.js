// SPDX-License-Identifier: Apache-2.0
//
// The phone around the page: buzz, wake lock, files, share sheet, printer, back button, the edges
// of the screen, and the graphics context that may be taken away. Called by bridge.js.
//
//   Nthtree.device.start(canvas);
"use strict";
(globalThis.Nthtree ??= {}).device = (() => {
  const FILE_BYTES_MAX = 96 * 1024 * 1024; // a season of 200,000 records is 60 MB
  // Undressed is better than not at all; WebKit tells a frame without scripts of no load.
  const PAPER_PATIENCE_MS = 1500;
  const SVG = "http://www.w3.org/2000/svg";
  const CONTEXT_PATIENCE_MS = 4000; // a context not given back by then: start the page again

  const vibrate = (durationMs) => navigator.vibrate?.(durationMs); // not on iOS

  // ---- the screen stays awake while a count runs; the browser drops the lock when hidden

  let wanted = false;
  let lock = null;

  async function takeLock() {
    if (!wanted || lock || document.visibilityState !== "visible") return;
    try {
      lock = await navigator.wakeLock?.request("screen");
      lock?.addEventListener("release", () => { lock = null; });
      if (!wanted) lock?.release();
    } catch {
      lock = null; // low battery: the phone decides
    }
  }

  function keepAwake(on) {
    wanted = on;
    if (on) takeLock();
    else lock?.release();
  }

  // ---- files

  function download(name, mime, parts) {
    const address = URL.createObjectURL(new Blob(parts, { type: mime }));
    const link = document.createElement("a");
    link.href = address;
    link.download = name;
    link.click();
    setTimeout(() => URL.revokeObjectURL(address), 60000);
  }

  const shares = (files) => navigator.canShare?.({ files }) === true;
  // A file is made where there is a sheet alone: that takes milliseconds, and up to eighty.
  const canShare = () => Boolean(navigator.canShare)
    && shares([new File(["x"], "x.txt", { type: "text/plain" })]);

  // parts: bytes, texts or blobs, one behind the other. Settles as "shared", "saved" or "cancelled"
  // (the person closed the sheet).
  async function saveFile(name, mime, parts, share) {
    const files = [new File(parts, name, { type: mime })];
    if (share && shares(files)) {
      try {
        await navigator.share({ files });
        return "shared";
      } catch (error) {
        if (error.name === "AbortError") return "cancelled";
      }
    }
    download(name, mime, parts);
    return "saved";
  }

  // A text for any messenger. Settles as "shared" or "cancelled" where there is a share sheet, else
  // as "copied"; as "saved" where the browser lets nobody copy.
  async function sendText(name, words) {
    try {
      if (navigator.share) {
        await navigator.share({ text: words });
        return "shared";
      }
      await navigator.clipboard.writeText(words);
      return "copied";
    } catch (error) {
      if (error.name === "AbortError") return "cancelled";
      download(name, "text/plain", [words]);
      return "saved";
    }
  }

  // onFile gets null in place of the bytes of a file too large to be records.
  function pickFile(accept, onFile) {
    const input = document.createElement("input");
    input.type = "file";
    input.accept = accept;
    input.addEventListener("change", async () => {
      const file = input.files?.[0];
      if (!file) return;
      const small = file.size <= FILE_BYTES_MAX;
      onFile(file.name, small ? new Uint8Array(await file.arrayBuffer()) : null);
    });
    input.click();
  }

  // The report is put into a sandboxed frame: no script in it runs. It is printed as soon as it has
  // its dress and its type; a printer that waits for neither would get the browser's own.
  function print(html) {
    document.getElementById("paper")?.remove();
    const frame = document.createElement("iframe");
    frame.id = "paper";
    frame.setAttribute("sandbox", "allow-same-origin allow-modals");
    frame.title = document.title;
    document.body.append(frame);
    const paper = frame.contentDocument;
    const parsed = new DOMParser();
    const policy = trustedHtml();
    const page = parsed.parseFromString(policy ? policy.createHTML(html) : html, "text/html");
    for (const bad of page.querySelectorAll("script, link, iframe, object, embed")) bad.remove();
    page.documentElement.lang = document.documentElement.lang;
    page.title = document.title;
    paper.documentElement.replaceWith(paper.importNode(page.documentElement, true));
    Promise.all([dress(paper), drawCodes(paper)]).finally(() => {
      frame.contentWindow.focus();
      frame.contentWindow.print();
    });
  }

  // Where a page asks for a QR code, its modules as one path, with the quiet zone of four around.
  async function drawCodes(paper) {
    const places = paper.querySelectorAll("[data-qr]");
    if (places.length === 0) return;
    await Nthtree.later("qrcode.js");
    for (const place of places) {
      const code = qrcode(0, "M");
      code.addData(place.dataset.qr, "Alphanumeric");
      code.make();
      const side = code.getModuleCount();
      let path = "";
      for (let row = 0; row < side; row++) {
        for (let column = 0; column < side; column++) {
          if (code.isDark(row, column)) path += `M${column + 4} ${row + 4}h1v1h-1z`;
        }
      }
      const picture = paper.createElementNS(SVG, "svg");
      picture.setAttribute("viewBox", `0 0 ${side + 8} ${side + 8}`);
      const modules = paper.createElementNS(SVG, "path");
      modules.setAttribute("d", path);
      picture.append(modules);
      place.append(picture);
    }
  }

  async function dress(paper) {
    const sheet = paper.createElement("link");
    sheet.rel = "stylesheet";
    sheet.href = new URL(Nthtree.fileName?.("paper.css") ?? "paper.css", document.baseURI).href;
    const late = new Promise((resolve) => { setTimeout(resolve, PAPER_PATIENCE_MS); });
    const there = new Promise((resolve) => {
      sheet.onload = resolve;
      sheet.onerror = resolve;
    });
    paper.head.append(sheet);
    await Promise.race([there, late]);
    await Promise.race([late, Promise.allSettled(["8pt Orchard", "bold 8pt Orchard"]
      .map((face) => paper.fonts.load(face)))]);
  }

  let htmlPolicy;
  const trustedHtml = () => (htmlPolicy ??= globalThis.trustedTypes?.createPolicy("nthtree-paper", {
    createHTML: (html) => html,
  }));

  // ---- the back button: one entry of history a screen deeper
  //
  // Going back in the history takes a while, and where it ends is settled when it is asked for: a
  // second step asked for meanwhile is lost, and an entry added meanwhile is left again. So one
  // journey is made at a time, and what was wished for on the way comes after it.

  const JOURNEY_MS = 2000; // the browser may refuse one without a word
  let depth = 0; // entries of ours behind the present one
  let wantedDepth = 0;
  let journey = 0; // its timer; 0 where none is under way

  function followWish() {
    if (journey) return;
    for (; depth < wantedDepth; depth += 1) history.pushState({ app: true }, "");
    if (depth === wantedDepth) return;
    journey = setTimeout(arrived, JOURNEY_MS);
    history.go(wantedDepth - depth);
    depth = wantedDepth;
  }

  function arrived() {
    clearTimeout(journey);
    journey = 0;
    followWish();
  }

  function onPopState() {
    if (journey) return arrived(); // our own, however many steps: the browser tells of it once
    depth -= 1;
    wantedDepth -= 1;
    return Nthtree.bridge.back();
  }

  // As the browser's own back button does, but never out of the app.
  function back() {
    if (depth > 0 && !journey) history.back();
  }

  function pushHistory() {
    wantedDepth += 1;
    followWish();
  }
  function popHistory(steps) {
    wantedDepth -= steps;
    followWish();
  }

  // ---- edges, sizes, visibility

  // Pixels that a notch, rounded corners or the gesture bar take: top, right, bottom, left.
  function safeArea() {
    const style = getComputedStyle(document.getElementById("edges"));
    return ["Top", "Right", "Bottom", "Left"].map((side) =>
      Math.round(parseFloat(style[`padding${side}`]) || 0));
  }

  function watchSizes() {
    const changed = () => Nthtree.bridge.resize();
    globalThis.addEventListener("orientationchange", () => setTimeout(changed, 300));
    globalThis.addEventListener("pageshow", () => setTimeout(changed, 300));
    globalThis.visualViewport?.addEventListener("resize", changed);
    // Zooming or moving to another screen changes the pixel ratio without a resize event.
    const ratio = () => {
      matchMedia(`(resolution: ${devicePixelRatio}dppx)`).addEventListener("change", () => {
        changed();
        ratio();
      }, { once: true });
    };
    ratio();
  }

  // The browser may take the graphics context (memory, a long time in the pocket). Saying
  // preventDefault asks for it back; counting goes on meanwhile.
  function watchContext(canvas) {
    let timer = 0;
    canvas.addEventListener("webglcontextlost", (event) => {
      event.preventDefault();
      Nthtree.bridge.context(true);
      timer = setTimeout(() => location.reload(), CONTEXT_PATIENCE_MS);
    });
    canvas.addEventListener("webglcontextrestored", () => {
      clearTimeout(timer);
      Nthtree.bridge.context(false);
    });
  }

  // ---- fingers
  //
  // Two fingers zoom the page, for who cannot read it otherwise, but not where each finger counts.
  // SDL forbids the browser its own gestures in every touch event, so it is not to see these, until
  // the last finger is lifted: one that is left over and moves SDL would take for a new one. What
  // the browser takes away for itself (a zoom, the shade pulled down) was no tap.

  function watchFingers(canvas) {
    let zooming = false;
    function onTouch(event) {
      // Asked where a finger lands alone: a drag has hundreds of moves.
      const counts = event.type === "touchstart" && [...event.touches].some((finger) =>
        Nthtree.app._nthtree_counts_at(finger.clientX, finger.clientY));
      if (event.type === "touchcancel") Nthtree.bridge.cancel();
      if (event.touches.length > 1 && event.type === "touchstart" && !counts) zooming = true;
      if (!event.cancelable || (event.type === "touchstart" && !counts)) {
        event.preventDefault = () => {};
      }
      if (zooming && /start|move/.test(event.type)) {
        Nthtree.bridge.cancel();
        event.stopImmediatePropagation();
      }
      if (event.touches.length === 0) zooming = false;
    }
    for (const type of ["touchstart", "touchmove", "touchend", "touchcancel"]) {
      canvas.addEventListener(type, onTouch, { capture: true });
    }
  }

  // ---- the home screen

  let offer = null; // the browser's own question, kept until somebody wants it
  globalThis.addEventListener("beforeinstallprompt", (event) => {
    event.preventDefault();
    offer = event;
    Nthtree.bridge.call("storeStatus");
  });

  // How the app gets there: "offer" (a button will do), "share" (iPhone), "menu" (Android), "".
  function installWay() {
    if (offer) return "offer";
    const { userAgent, maxTouchPoints } = navigator;
    const apple = /iPhone|iPad|iPod/.test(userAgent)
      || (/Macintosh/.test(userAgent) && maxTouchPoints > 1); // an iPad calls itself a Mac
    if (apple) return "share";
    return /Android/.test(userAgent) ? "menu" : "";
  }

  async function install() {
    const asked = offer;
    offer = null; // it can be asked once
    await asked?.prompt();
    Nthtree.bridge.call("storeStatus");
  }

  // ---- the rule of this phone's clock, as POSIX has it for TZ: "<-08>8<-07>,M3.2.0,M11.1.0"
  //
  // A browser gives a zone's name, which means something only beside a table of all zones; so the
  // rule is read off the clock: when it changes in the coming years. Twelve of them have nearly
  // every calendar.

  const MINUTE = 60000;
  const DAY = 1440 * MINUTE;
  const YEARS = 12;
  const STEP = 14 * DAY; // no zone changes twice in a fortnight
  const offsetAt = (time) => -new Date(time).getTimezoneOffset(); // minutes ahead of UTC

  function changesIn(year) {
    const changes = [];
    const end = Date.UTC(year + 1, 0, 1);
    for (let at = Date.UTC(year, 0, 1); at < end; at += STEP) {
      let [before, after] = [at, Math.min(at + STEP, end)];
      if (offsetAt(before) === offsetAt(after)) continue;
      while (after - before > MINUTE) {
        const middle = before + Math.floor((after - before) / 2 / MINUTE) * MINUTE;
        if (offsetAt(middle) === offsetAt(before)) before = middle;
        else after = middle;
      }
      changes.push({ wall: after + offsetAt(before) * MINUTE, to: offsetAt(after) });
    }
    return changes;
  }

  // Where in its year a change lies. Midnight may be the end of a day: "first Saturday, 24:00".
  function placeOf({ wall, to }, late) {
    const day = new Date(wall - late * DAY);
    const [month, date] = [day.getUTCMonth(), day.getUTCDate()];
    return { month: month + 1, weekday: day.getUTCDay(), week: Math.ceil(date / 7), to,
      last: date + 7 > new Date(Date.UTC(day.getUTCFullYear(), month + 1, 0)).getUTCDate(),
      minute: day.getUTCHours() * 60 + day.getUTCMinutes() + late * 1440 };
  }

  const clock = (minutes) => `${Math.floor(minutes / 60)}${
    minutes % 60 ? `:${String(minutes % 60).padStart(2, "0")}` : ""}`;
  const west = (offset) => `${offset > 0 ? "-" : ""}${clock(Math.abs(offset))}`;
  const named = (offset) => `<${offset < 0 ? "-" : "+"}${
    clock(Math.abs(offset)).replace(":", "").padStart(2, "0")}>${west(offset)}`;

  // The same day of the week of a month in every year, or null.
  function ruleOf(years, late) {
    const places = years.map((change) => placeOf(change, late));
    const [first] = places;
    const alike = (key) => places.every((place) => place[key] === first[key]);
    if (!["month", "weekday", "minute", "to"].every(alike)) return null;
    const week = places.every(({ last }) => last) ? 5 : alike("week") ? first.week : 0;
    if (week === 0) return null;
    const time = first.minute === 120 ? "" : `/${clock(first.minute)}`;
    return { to: first.to, text: `,M${first.month}.${week}.${first.weekday}${time}` };
  }
  const changeRule = (years) => ruleOf(years, 0)
    ?? (years[0].wall % DAY === 0 ? ruleOf(years, 1) : null);

  function zoneRule() {
    const year = new Date().getFullYear();
    const years = Array.from({ length: YEARS }, (_, later) => changesIn(year + later));
    const now = named(offsetAt(Date.now()));
    if (!years.every((changes) => changes.length === 2)) return now;
    const rules = [0, 1].map((nth) => changeRule(years.map((changes) => changes[nth])));
    if (rules.includes(null)) return now;
    const [summer, winter] = rules.sort((a, b) => b.to - a.to);
    return named(winter.to) + named(summer.to) + summer.text + winter.text;
  }

  function start(canvas) {
    watchSizes();
    watchContext(canvas);
    watchFingers(canvas);
    document.addEventListener("visibilitychange", () => {
      const visible = document.visibilityState === "visible";
      Nthtree.bridge.visible(visible);
      if (visible) takeLock();
    });
    globalThis.addEventListener("popstate", onPopState);
  }

  return {
    start, vibrate, keepAwake, canShare, saveFile, sendText, download, pickFile, print, pushHistory,
    popHistory, back, safeArea, installWay, install,
    zoneRule,
  };
})();
