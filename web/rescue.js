// SPDX-License-Identifier: Apache-2.0
//
// Gets everything out of the phone when the app does not start. It stands alone: no other script,
// no WebAssembly, no service worker needed. It reads the database (README.md has its layout), and
// never writes to it.
//
// Two files: records, one a line, the form that the app and the command line import; and what was
// set aside, damaged or unfinished, one JSON object a line, for a person to look at.
"use strict";
(() => {
  const DATABASE = "nthtree";
  const LIFEBOAT = "nthtree-lifeboat";
  const SECOND_COPY = "nthtree-second-copy"; // second_copy.js has the form of its lines
  const LINE = /^(own|put|drop)\t([^\t]+)\t(\d+)\t(.+)\t([0-9a-f]{8})$/;
  const BATCH = 2000;
  const SHEET = `
    body { margin: 0; background: #f1f0e9; color: #1b1f1a; font: 18px/1.5 system-ui, sans-serif; }
    main { max-width: 36em; margin: 0 auto; padding: 16px env(safe-area-inset-right)
      calc(24px + env(safe-area-inset-bottom)) env(safe-area-inset-left); }
    section { padding: 0 16px; }
    button, a { font: inherit; }
    button { min-height: 64px; width: 100%; padding: 8px 16px; border: 2px solid #1e5540;
      border-radius: 10px; background: #fff; color: #1b1f1a; font-weight: 600; }
    button[data-do=save] { background: #1e5540; color: #fff; }
    button:disabled { opacity: 0.5; }
    a { display: block; padding: 18px 0; color: #14437c; }
    dl { display: grid; grid-template-columns: 1fr auto; gap: 4px 16px; }
    dt, dd { margin: 0; padding: 4px 0; border-bottom: 1px solid #b9b39f; }
    dd { text-align: right; font-weight: 700; }
    li { overflow-wrap: anywhere; }`;
  const WORDS = {
    en: {
      unknown: "unknown", none: "none", nothing: "There are no records on this phone.",
      ready: "Ready. Nothing has left this phone yet.", saved: "Saved to the downloads: ",
      shared: "Handed over.", not_shared: "Not shared; save the file instead.",
      failed: "The store could not be read whole: ", again: "The next opening tries it again.",
      no_again: "No newer version is waiting.", records: "records",
    },
    es: {
      unknown: "no se sabe", none: "ninguno", nothing: "No hay registros en este teléfono.",
      ready: "Listo. Nada ha salido todavía de este teléfono.",
      saved: "Guardado en las descargas: ",
      shared: "Entregado.", not_shared: "No se compartió; guarde el archivo.",
      failed: "No se pudo leer todo: ", again: "La próxima vez se prueba otra vez.",
      no_again: "No hay ninguna versión nueva.", records: "registros",
    },
    fr: {
      unknown: "inconnu", none: "aucun", nothing: "Il n’y a pas de relevés sur ce téléphone.",
      ready: "Prêt. Rien n’a encore quitté ce téléphone.",
      saved: "Enregistré dans les téléchargements : ",
      shared: "Remis.", not_shared: "Non partagé ; enregistrez plutôt le fichier.",
      failed: "Tout n’a pas pu être lu : ", again: "La prochaine ouverture l’essaie encore.",
      no_again: "Aucune version nouvelle n’attend.", records: "relevés",
    },
  };

  const ask = (request) => new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = (event) => {
      event.preventDefault();
      reject(request.error);
    };
  });

  // Opens what is there and makes nothing: an empty database would lock the app out.
  function open() {
    return new Promise((resolve, reject) => {
      const request = indexedDB.open(DATABASE);
      request.onupgradeneeded = () => request.transaction.abort();
      request.onsuccess = () => {
        request.result.onversionchange = () => request.result.close();
        resolve(request.result);
      };
      request.onerror = () => (request.error?.name === "AbortError" ? resolve(null)
        : reject(request.error));
      request.onblocked = () => {};
    });
  }

  // [key, value] of every entry of a store; an unreadable value comes as undefined.
  async function entriesOf(database, name) {
    const entries = [];
    if (!database?.objectStoreNames.contains(name)) return entries;
    let range = null;
    for (;;) {
      const store = () => database.transaction(name).objectStore(name);
      const keys = await ask(store().getAllKeys(range, BATCH));
      if (keys.length === 0) return entries;
      let values;
      try {
        values = await ask(store().getAll(range, BATCH));
      } catch {
        values = [];
        for (const key of keys) values.push(await ask(store().get(key)).catch(() => undefined));
      }
      keys.forEach((key, i) => entries.push([key, values[i]]));
      range = IDBKeyRange.lowerBound(keys[keys.length - 1], true);
    }
  }

  // CRC-32 as in check_sum.js, bit by bit: slower, but this file stands alone.
  function crc(text) {
    let value = -1;
    for (let i = 0; i < text.length; i++) {
      const unit = text.charCodeAt(i);
      for (const byte of unit > 255 ? [unit & 255, unit >> 8] : [unit]) {
        value ^= byte;
        for (let k = 0; k < 8; k++) value = value & 1 ? 0xedb88320 ^ (value >>> 1) : value >>> 1;
      }
    }
    return ((value ^ -1) >>> 0).toString(16).padStart(8, "0");
  }

  function wholeRecord([key, value]) {
    const match = typeof value === "string" ? /^([^\t]+)\t([0-9a-f]{8})$/.exec(value) : null;
    if (!match || !Array.isArray(key)) return null;
    return crc(`${key[0]}\t${key[1]}\t${match[1]}`) === match[2] ? match[1] : null;
  }

  function readLifeboat() {
    try {
      return JSON.parse(localStorage.getItem(LIFEBOAT) ?? "[]").map((record) => record.json);
    } catch {
      return [];
    }
  }

  // "device-sequence" -> [device, json], from the file; empty where the browser has none.
  async function readSecondCopy() {
    const held = new Map();
    try {
      const folder = await navigator.storage.getDirectory();
      const file = await (await folder.getFileHandle(SECOND_COPY)).getFile();
      for (const line of (await file.text()).split("\n")) {
        const [, kind, device, sequence, json, checkSum] = LINE.exec(line) ?? [];
        if (!kind || crc(`${kind}${device}\t${sequence}\t${json}`) !== checkSum) continue;
        if (kind === "drop") held.delete(`${device}-${sequence}`);
        else held.set(`${device}-${sequence}`, [device, json]);
      }
    } catch {
      // No such file: the database is all there is.
    }
    return held;
  }

  // Everything on the phone; a part that cannot be read leaves its fault and the rest comes.
  async function collect() {
    const found = { records: [], aside: [], devices: new Map(), drafts: 0, asideCount: 0,
      unsent: -1, newest: 0, waiting: 0, faults: [] };
    const database = await open().catch((error) => {
      found.faults.push(String(error?.message ?? error));
      return null;
    });
    const part = async (name) => entriesOf(database, name).catch((error) => {
      found.faults.push(`${name}: ${error?.message ?? error}`);
      return [];
    });
    const take = (device, json) => {
      found.records.push(json);
      found.devices.set(device, (found.devices.get(device) ?? 0) + 1);
      const at = Number(/"at_ms":(\d+)/.exec(json)?.[1] ?? 0);
      if (at > found.newest) found.newest = at;
    };
    const copied = await readSecondCopy();
    for (const entry of await part("records")) {
      const json = wholeRecord(entry);
      if (json === null) {
        found.aside.push(JSON.stringify({ damaged: entry[0], text: String(entry[1]) }));
        found.asideCount += 1;
        continue;
      }
      copied.delete(entry[0].join("-"));
      take(entry[0][0], json);
    }
    for (const [device, json] of copied.values()) take(device, json);
    for (const [key, value] of await part("set_aside")) {
      found.aside.push(JSON.stringify({ set_aside: key, ...value }));
      if (!String(key).startsWith("moved-")) found.asideCount += 1;
    }
    for (const [key, value] of await part("drafts")) {
      found.aside.push(JSON.stringify({ draft: key, text: value }));
      found.drafts += 1;
    }
    const meta = new Map(await part("meta"));
    if (/^\d+$/.test(meta.get("unsent") ?? "")) found.unsent = Number(meta.get("unsent"));
    const held = new Set(found.records);
    const waiting = readLifeboat().filter((json) => !held.has(json));
    found.waiting = waiting.length;
    found.records.push(...waiting);
    database?.close();
    return found;
  }

  // ---- files

  const stamp = () => new Date().toISOString().slice(0, 16).replace(/[-:]/g, "").replace("T", "-");

  function fileOf(name, lines, type) {
    const parts = lines.map((line) => `${line}\n`);
    return new File(parts, `nthtree-${name}-${stamp()}.jsonl`, { type });
  }

  function download(file) {
    const link = document.createElement("a");
    link.href = URL.createObjectURL(file);
    link.download = file.name;
    link.hidden = true;
    document.body.append(link);
    link.click();
    link.remove();
    // Late: some phones only begin to read the file when the person has said where it goes.
    setTimeout(() => URL.revokeObjectURL(link.href), 10 * 60 * 1000);
  }

  // Share sheets take few types; text is taken everywhere.
  const filesToShare = (found) => [fileOf("records", found.records, "text/plain"),
    ...(found.aside.length > 0 ? [fileOf("set-aside", found.aside, "text/plain")] : [])]
    .map((file) => new File([file], `${file.name}.txt`, { type: "text/plain" }));

  const canShare = (files) => {
    try {
      return Boolean(navigator.canShare?.({ files }));
    } catch {
      return false;
    }
  };

  // ---- the page

  const LANGUAGES = Object.keys(WORDS);
  const sections = LANGUAGES.map((id) => document.getElementById(id));
  const each = (selector, work) => sections.forEach((section) => section
    .querySelectorAll(selector).forEach((element) => work(element, WORDS[section.lang], section)));
  const show = (name, textOf) => each(`[data-value=${name}]`, (element, words, section) => {
    element.textContent = textOf(words, section.lang);
  });
  const onClick = (name, work) => each(`[data-do=${name}]`, (button) =>
    button.addEventListener("click", work));

  function chooseLanguage(lang) {
    document.documentElement.lang = lang;
    for (const section of sections) section.hidden = section.lang !== lang;
  }

  function showFound(found) {
    show("records", () => String(found.records.length));
    show("unsent", (words) => (found.unsent < 0 ? words.unknown : String(found.unsent)));
    show("newest", (words, lang) => (found.newest > 0
      ? new Date(found.newest).toLocaleString(lang) : words.none));
    show("drafts", () => String(found.drafts));
    show("aside", () => String(found.asideCount));
    show("waiting", () => String(found.waiting));
    show("state", (words) => (found.faults.length > 0 ? words.failed + found.faults.join("; ")
      : found.records.length + found.aside.length === 0 ? words.nothing : words.ready));
    each("[data-value=devices]", (list, words) => {
      list.replaceChildren(...[...found.devices].map(([device, count]) => {
        const item = document.createElement("li");
        item.textContent = `${device}: ${count} ${words.records}`;
        return item;
      }));
    });
    const enable = (name, on) => each(`[data-do=${name}]`, (button) => {
      button.disabled = !on;
      if (name !== "save") button.hidden = !on;
    });
    enable("save", found.records.length > 0);
    enable("save-aside", found.aside.length > 0);
    const files = filesToShare(found);
    enable("share", found.records.length + found.aside.length > 0 && canShare(files));
  }

  async function tryAgain() {
    const worker = navigator.serviceWorker?.controller;
    if (!worker) return show("state", (words) => words.no_again);
    const channel = new MessageChannel();
    channel.port1.onmessage = () => show("state", (words) => words.again);
    return worker.postMessage({ type: "try-again" }, [channel.port2]);
  }

  async function start() {
    const sheet = new CSSStyleSheet();
    sheet.replaceSync(SHEET);
    document.adoptedStyleSheets = [sheet];
    const own = (navigator.language ?? "en").toLowerCase().slice(0, 2);
    chooseLanguage(LANGUAGES.includes(own) ? own : "en");
    onClick("other", () => {
      const now = LANGUAGES.indexOf(document.documentElement.lang);
      chooseLanguage(LANGUAGES[(now + 1) % LANGUAGES.length]);
    });
    onClick("again", tryAgain);
    const found = await collect();
    showFound(found);
    const save = (name, lines) => {
      const file = fileOf(name, lines, "application/x-ndjson");
      download(file);
      show("state", (words) => words.saved + file.name);
    };
    onClick("save", () => save("records", found.records));
    onClick("save-aside", () => save("set-aside", found.aside));
    onClick("share", () => navigator.share({ files: filesToShare(found) })
      .then(() => show("state", (words) => words.shared))
      .catch(() => show("state", (words) => words.not_shared)));
  }

  start().catch((error) => show("state", (words) => words.failed + (error?.message ?? error)));
})();
