// SPDX-License-Identifier: Apache-2.0
//
// Between the app (WebAssembly) and the browser. The app calls by name (`call`, `ask`); promises of
// the store and the transport come back as events, numbered as in src/shell/platform_web.h.
//
// Lists cross as text: fields end with U+001F, entries with U+001E, which JSON never holds raw.
// Every way into the app goes through send(), which shows the crash page when the app has fallen.
//
//   Nthtree.bridge.connect(app);            // the Emscripten module, once it runs
//   Nthtree.bridge.activate("save");        // a tap by keyboard, screen reader or test
"use strict";
(globalThis.Nthtree ??= {}).bridge = (() => {
  const FIELD = "\x1f";
  const ENTRY = "\x1e";
  const GROUP = "\x1d";
  const EVENT = {
    language: 0,
    storeNamed: 1, storeRecords: 2, storeLoaded: 3, storeLoadFailed: 4, storeDone: 5,
    storeStatus: 6, httpDone: 7, wake: 8, back: 9, visible: 10, online: 11, updateReady: 12,
    file: 13, scan: 14, scanStopped: 15, scanProgress: 16, codes: 17, code: 18, fileGiven: 19,
    lock: 20, pack: 21,
    activate: 22, type: 23, focus: 24, scroll: 25, context: 26, resize: 27, frame: 28,
    cancel: 29, typefaces: 30,
  };
  const GIVEN = { saved: 0, shared: 1, cancelled: 2, copied: 3 };
  const OUTCOMES = { full: 1, read_only: 2, closed: 3, failed: 4 };
  const encoder = new TextEncoder();
  const decoder = new TextDecoder();
  const text = (bytes) => decoder.decode(bytes);

  let app = null;
  let down = false;

  // Copies a text or bytes into the app's memory, which the app frees: [where, how many].
  function put(content) {
    const isText = typeof content === "string"; // written where it goes, not first beside it
    const at = app._nthtree_room(isText ? 3 * content.length : content.length);
    const to = app.HEAPU8.subarray(at); // read anew each time: memory that grows moves it
    if (isText) return [at, encoder.encodeInto(content, to).written];
    to.set(content);
    return [at, content.length];
  }

  function send(event, id = 0, number = 0, content = "") {
    if (!app || down) return;
    try {
      const [at, length] = content === "" ? [0, 0] : put(content); // most events are but a number
      app._nthtree_event(event, id, number, at, length);
    } catch (error) {
      fall(error);
    }
  }

  function fall(error) {
    if (down) return;
    down = true;
    globalThis.Nthtree.crash?.show(error);
  }

  // ---- answers of the store

  function done(id, promise) {
    promise.then(
      () => send(EVENT.storeDone, id, 0),
      (error) => send(EVENT.storeDone, id, OUTCOMES[error?.outcome] ?? OUTCOMES.failed,
        String(error?.message ?? error)));
  }

  const pairs = (object) => Object.entries(object)
    .map(([key, value]) => key + FIELD + value + ENTRY).join("");

  const onNamed = (meta, drafts, known) => send(EVENT.storeNamed, 0, known,
    pairs(meta) + GROUP + pairs(drafts));
  const onRecords = (records) => send(EVENT.storeRecords, 0, 0, records.join(ENTRY) + ENTRY);

  // The app itself looks whether the batch is whole. Written where it goes, not put together first.
  function onBatch(device, first, count, value) {
    if (!app || down) return false;
    const head = `${device}\t${first}\t${count}\t`;
    try {
      const at = app._nthtree_room(3 * head.length + value.length);
      const to = app.HEAPU8.subarray(at);
      const { written } = encoder.encodeInto(head, to);
      to.set(value, written);
      return app._nthtree_batch(at, written + value.length) === 1;
    } catch (error) {
      fall(error);
      return false;
    }
  }

  let packed = null;

  // Records of a device as one batch; null where there is no app to pack them.
  function pack(device, first, lines) {
    packed = null;
    send(EVENT.pack, 0, 0, `${device}\t${first}\t${lines.length}\t${lines.join("\n")}`);
    return packed;
  }

  async function storeLoad() {
    try {
      const loaded = await Nthtree.store.load(onRecords, { onNamed, onBatch });
      send(EVENT.storeLoaded, 0, loaded.setAside);
      performance.mark("nthtree-loaded");
      Nthtree.updates?.booted();
    } catch (error) {
      send(EVENT.storeLoadFailed, 0, 0, String(error?.message ?? error));
    }
  }

  function tellStatus(status) {
    const flag = (value) => (value ? 1 : 0);
    send(EVENT.storeStatus, 0, 0, [flag(status.persisted), flag(status.privateWindow),
      flag(status.writer), flag(status.installed), Math.round(status.usage),
      Math.round(status.quota), status.lost, status.broughtBack,
      Nthtree.device.installWay(), flag(status.secondCopy)].join(FIELD));
  }

  const lockSays = (id, promise) => promise.then(
    (what) => send(EVENT.lock, id, 1, what),
    (error) => send(EVENT.lock, id, 0, String(error?.message ?? error)));

  const entries = (list) => list.split(ENTRY).slice(0, -1); // every entry has its end
  const recordsOf = (list) => entries(list).map((line) => {
    const [device, sequence, json] = line.split(FIELD);
    return { device, sequence: Number(sequence), json };
  });
  const metaOf = (bytes) => entries(text(bytes)).map((line) => line.split(FIELD).slice(0, 2));

  const fileParts = []; // of the file that the next saveFile ends
  let scans = 0; // how often one was begun or ended

  // ---- what the app may call: (id, first, second, number)

  const calls = {
    storeLoad,
    packed: (id, bytes) => { packed = bytes; },
    storeAppend(id, lines, changes) {
      done(id, Nthtree.store.append(recordsOf(text(lines)), metaOf(changes)));
    },
    storeChange(id, lines, changes) {
      const [puts, drops] = text(lines).split(GROUP);
      done(id, Nthtree.store.change(recordsOf(puts), recordsOf(drops), metaOf(changes)));
    },
    storePutMeta: (id, key, value) => done(id, Nthtree.store.putMeta(text(key), text(value))),
    storePutDraft: (id, key, json) => done(id, Nthtree.store.putDraft(text(key), text(json))),
    storeAskPersistence() {
      Nthtree.store.askPersistence().then(calls.storeStatus, calls.storeStatus);
    },
    storeStatus() {
      Nthtree.store.status().then(tellStatus, () => {});
    },
    http(id, head, body, timeoutMs) {
      const [method, path, bearer] = text(head).split(FIELD);
      Nthtree.transport.request({
        method, path, bearer, body: body.length > 0 ? body : null, timeoutMs,
      }).then((answer) => send(EVENT.httpDone, id, answer.status, answer.body),
        () => send(EVENT.httpDone, id, 0));
    },
    asset(id, name) {
      fetch(Nthtree.fileName(text(name))).then(async (answer) => {
        const body = new Uint8Array(await answer.arrayBuffer());
        send(EVENT.httpDone, id, answer.status, body);
      }).catch(() => send(EVENT.httpDone, id, 0));
    },
    language: (id, code) => Nthtree.languages.fetch(text(code)),
    wake: (id, first, second, delayMs) => wakeIn(delayMs),
    frame: () => requestAnimationFrame(() => send(EVENT.frame)),
    mirror: (id, tree) => Nthtree.mirror.update(text(tree)),
    announce: (assertive, words) => Nthtree.mirror.announce(text(words), assertive !== 0),
    focusText: (id, control) => Nthtree.keyboard.focus(text(control)),
    vibrate: (durationMs) => Nthtree.device.vibrate(durationMs),
    keepAwake: (on) => Nthtree.device.keepAwake(on !== 0),
    // A blob is no part of the page's memory, and the browser may put it on the disk.
    addToFile: (id, bytes) => { fileParts.push(new Blob([bytes])); },
    saveFile(share, head, bytes) {
      const [name, mime] = text(head).split(FIELD);
      Nthtree.device.saveFile(name, mime, [...fileParts.splice(0), bytes], share !== 0).then(
        (how) => send(EVENT.fileGiven, 0, GIVEN[how]));
    },
    sendText(id, name, words) {
      Nthtree.device.sendText(text(name), text(words)).then(
        (how) => send(EVENT.fileGiven, 0, GIVEN[how]));
    },
    install: () => Nthtree.device.install(),
    pickFile(id, accept) {
      Nthtree.device.pickFile(text(accept), (name, bytes) => {
        const head = encoder.encode(name + FIELD);
        const all = new Uint8Array(head.length + (bytes?.length ?? 0));
        all.set(head);
        if (bytes) all.set(bytes, head.length);
        send(EVENT.file, bytes ? 0 : 1, 0, all);
      });
    },
    stretch: (id, secret, salt, rounds) =>
      lockSays(id, Nthtree.lock.stretch(text(secret), text(salt), rounds)),
    phoneLock: (id, credential) => lockSays(id, Nthtree.lock.phone(text(credential))),
    print: (id, html) => Nthtree.device.print(text(html)),
    async startScan() {
      const mine = (scans += 1);
      try {
        await Nthtree.later("exchange.js");
      } catch (error) {
        send(EVENT.scanStopped, 0, 0, String(error.message));
        return;
      }
      if (mine !== scans) return; // nobody waits for it any more
      Nthtree.scanner.start({
        onChain: (bytes) => send(EVENT.scan, 1, 0, bytes),
        onText: (code) => send(EVENT.scan, 0, 0, code),
        onProgress: ({ have, count, damaged, missing }) => send(EVENT.scanProgress, 0, 0,
          [have, count, damaged, ...missing].join(" ")),
        onStopped: (detail) => send(EVENT.scanStopped, 0, 0, detail),
      });
    },
    stopScan() {
      scans += 1;
      Nthtree.scanner?.stop(); // nothing runs yet where its script is still to come
    },
    makeCodes(id, content) {
      Nthtree.later("exchange.js").then(() => Nthtree.codes.make(content)).then(
        (count) => send(EVENT.codes, id, count),
        (error) => send(EVENT.codes, id, 0, String(error?.message ?? error)));
    },
    // Answers later, as all do: never from inside the call.
    async drawCode(number) {
      await null;
      try {
        const { side, modules } = Nthtree.codes.draw(number);
        send(EVENT.code, number, side, modules);
      } catch {
        send(EVENT.code, number, 0);
      }
    },
    pushHistory: () => Nthtree.device.pushHistory(),
    popHistory: (steps) => Nthtree.device.popHistory(steps),
    applyUpdate: () => Nthtree.updates?.apply(),
    setDocument(dark, lang, title) {
      document.documentElement.lang = text(lang);
      Nthtree.languages.remember(text(lang));
      document.documentElement.dataset.theme = dark ? "dusk" : "sun";
      if (document.title !== text(title)) document.title = text(title);
      const color = getComputedStyle(document.documentElement).getPropertyValue("--bar").trim();
      document.querySelector("meta[name=theme-color]")?.setAttribute("content", color);
    },
  };

  const answers = {
    language: () => navigator.language ?? "en",
    restOfTexts: (key) => Nthtree.languages.restAtOnce(key) ?? "",
    fragment: () => globalThis.NTHTREE_FRAGMENT ?? "",
    ratio: () => Math.min(globalThis.devicePixelRatio || 1, 2),
    timeZone: () => Nthtree.device.zoneRule(),
    stillness: () => matchMedia("(prefers-reduced-motion: reduce)").matches,
    hasPhoneLock: () => Nthtree.lock.hasPhone(),
    canShare: () => Nthtree.device.canShare(),
    canScan: () => Boolean(navigator.mediaDevices?.getUserMedia),
    safeArea: () => Nthtree.device.safeArea().join(" "),
  };

  // ---- one timer for the earliest wish

  let timer = 0;
  let timerAt = Infinity;

  function wakeIn(delayMs) {
    const at = performance.now() + delayMs;
    if (at >= timerAt) return;
    clearTimeout(timer);
    timerAt = at;
    timer = setTimeout(() => {
      timerAt = Infinity;
      send(EVENT.wake);
    }, Math.max(0, delayMs));
  }

  // Messages of the app come back here rather than throw through the app's own frames.
  function call(name, id, first, second, number) {
    try {
      calls[name](id, first, second, number);
    } catch (error) {
      console.error(name, error);
    }
  }

  function connect(module) {
    app = module;
    globalThis.Nthtree.app = module;
    if (Nthtree.store) Nthtree.store.onStatus = tellStatus;
    if (Nthtree.batches) Nthtree.batches.pack = pack;
    if (Nthtree.transport) Nthtree.transport.onOnline = () => send(EVENT.online);
    if (Nthtree.updates) {
      Nthtree.updates.onReady = (version) => send(EVENT.updateReady, 0, 0, version);
    }
  }

  return {
    connect,
    call,
    fall,
    ask: (name, about) => answers[name](about),
    fallen: () => down,
    // content: the texts as languages.js joins them, or empty where they could not be fetched.
    language: (code, content) => send(EVENT.language, 0, 0, code + FIELD + content),
    typefaces(regular, bold) {
      const both = new Uint8Array(regular.length + bold.length);
      both.set(regular);
      both.set(bold, regular.length);
      send(EVENT.typefaces, 0, regular.length, both);
    },
    activate: (control) => send(EVENT.activate, 0, 0, control),
    type: (control, value) => send(EVENT.type, 0, 0, control + FIELD + value),
    focus: (control, byKeyboard) => send(EVENT.focus, byKeyboard ? 1 : 0, 0, control),
    scroll: (distance) => send(EVENT.scroll, 0, distance),
    context: (lost) => send(EVENT.context, lost ? 1 : 0),
    resize: () => send(EVENT.resize),
    cancel: () => send(EVENT.cancel),
    visible: (visible) => send(EVENT.visible, visible ? 1 : 0),
    back: () => send(EVENT.back),
  };
})();
