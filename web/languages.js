// SPDX-License-Identifier: Apache-2.0
//
// The app's words: the language in use comes with the app, the others after the first frame,
// unasked, and once more when somebody chooses one that has not come or the network is back. Which
// one is in use is remembered beside the records, because those are read only later.
//
// The keys of all texts stand in one file, with the languages' names; a language is its texts in
// the same order.
//
//   Nthtree.languages.connect(codes, jsonOf);
//   const [names, [code, texts]] = await Nthtree.languages.first();
//   await Nthtree.languages.others();          // each goes to the app as it comes
"use strict";
(globalThis.Nthtree ??= {}).languages = (() => {
  const REMEMBERED = "nthtree-language";
  const OTHERWISE = "en";
  let codes = [];
  let jsonOf = null;            // reads a file of the site
  const coming = new Map();     // code -> promise of its texts as JSON
  const given = new Set();      // codes the app has
  let keys = null;              // promise of {keys, names}

  function connect(all, read) {
    codes = all;
    jsonOf = read;
  }

  function remembered() {
    try {
      return localStorage.getItem(REMEMBERED);
    } catch {
      return null; // no storage: the browser's own language is the guess
    }
  }

  function remember(code) {
    try {
      if (remembered() !== code) localStorage.setItem(REMEMBERED, code);
    } catch {
      // no storage
    }
  }

  const wished = () => [remembered(), ...(navigator.languages ?? [navigator.language])]
    .map((tag) => String(tag ?? "").toLowerCase().slice(0, 2))
    .find((code) => codes.includes(code)) ?? OTHERWISE;

  async function readTexts(code) {
    keys ??= jsonOf("languages/keys.json");
    keys.catch(() => { keys = null; });
    const texts = await jsonOf(`languages/${code}.json`);
    return JSON.stringify(Object.fromEntries((await keys).keys.map((key, i) => [key, texts[i]])));
  }

  function texts(code) {
    if (!coming.has(code)) {
      coming.set(code, readTexts(code));
      coming.get(code).catch(() => coming.delete(code)); // asked for again, it is fetched again
    }
    return coming.get(code);
  }

  // [names, [code, texts]]; a language that cannot be read must not keep the app from starting.
  async function first() {
    for (const code of new Set([wished(), OTHERWISE, ...codes])) {
      try {
        const content = await texts(code);
        given.add(code);
        return [(await keys).names, [code, content]];
      } catch {
        // the next one
      }
    }
    return [{}, null];
  }

  async function fetchOne(code) {
    if (!codes.includes(code) || given.has(code)) return;
    try {
      const content = await texts(code);
      if (given.has(code)) return;
      given.add(code);
      Nthtree.bridge.language(code, content);
    } catch {
      Nthtree.bridge.language(code, "");
    }
  }

  async function others() {
    for (const code of codes) await fetchOne(code);
  }

  addEventListener("online", () => { if (given.size > 0) others(); });
  return { connect, first, others, remember, fetch: fetchOne };
})();
