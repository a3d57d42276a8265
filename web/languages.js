// SPDX-License-Identifier: Apache-2.0
//
// The app's words: of the language in use the texts that a first visit reaches come with the app;
// its others and the other languages after the first frame, unasked, and once more when somebody
// chooses one that has not come or the network is back. From the second visit on the language in
// use is there as a whole at the start. Which one that is is remembered beside the records,
// because those are read only later.
//
// The keys of a first visit's texts stand in one file, with the languages' names, those of the
// others in a second one; a language is its texts in the same order, in two files as well.
//
// To the app go key and text by turns, each ended by U+001D, which no text holds: to read them as
// JSON took it six times as long.
//
//   Nthtree.languages.connect(codes, jsonOf);
//   const [names, [name, texts]] = await Nthtree.languages.first();
//   await Nthtree.languages.others();          // each goes to the app as it comes
//   Nthtree.languages.restAtOnce(key);         // a text was asked for that had not come
"use strict";
(globalThis.Nthtree ??= {}).languages = (() => {
  const REMEMBERED = "nthtree-language";
  const OTHERWISE = "en";
  const END = "\x1d";
  const [FIRST, REST] = [0, 1];
  const ENDINGS = ["", ".rest"];
  let codes = [];
  let jsonOf = null;            // reads a file of the site
  const coming = new Map();     // file -> promise of its texts, joined
  const given = new Set();      // codes the app has
  const keys = [null, null];    // promises of {keys, names}: of the first texts, of the others
  let half = null;              // the language of which the app has the first texts alone
  let askedAtOnce = false;      // for the others: once, not at every frame

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

  const keysFile = (part) => `languages/keys${ENDINGS[part]}.json`;
  const textsFile = (code, part) => `languages/${code}${ENDINGS[part]}.json`;
  const joined = (all, texts) =>
    all.keys.map((key, i) => (i in texts ? key + END + texts[i] + END : "")).join("");

  async function readTexts(code, part) {
    keys[part] ??= jsonOf(keysFile(part));
    keys[part].catch(() => { keys[part] = null; });
    const texts = await jsonOf(textsFile(code, part));
    return joined(await keys[part], texts);
  }

  function texts(code, part) {
    const which = textsFile(code, part);
    if (!coming.has(which)) {
      coming.set(which, readTexts(code, part));
      coming.get(which).catch(() => coming.delete(which)); // asked for again, it is fetched again
    }
    return coming.get(which);
  }

  async function whole(code) {
    const [first, rest] = await Promise.all([texts(code, FIRST), texts(code, REST)]);
    return first + rest;
  }

  async function firstTexts(code) {
    if (navigator.serviceWorker?.controller) return [code, await whole(code)];
    const content = await texts(code, FIRST);
    half = code;
    return [`${code}.first`, content];
  }

  // [names, [name, texts]]; a language that cannot be read must not keep the app from starting.
  async function first() {
    for (const code of new Set([wished(), OTHERWISE, ...codes])) {
      try {
        const content = await firstTexts(code);
        given.add(code);
        return [(await keys[FIRST]).names, content];
      } catch {
        // the next one
      }
    }
    return [{}, null];
  }

  // The others, without a promise, since the caller is WebAssembly and draws; null where
  // there is nothing more to come, or no answer.
  function restAtOnce() {
    if (!half || askedAtOnce) return null;
    askedAtOnce = true;
    const answers = [keysFile(REST), textsFile(half, REST)]
      .map((file) => Nthtree.parts.askAtOnce(Nthtree.fileName(file), "utf-8"));
    if (answers.some(({ status }) => status !== 200)) return null;
    return joined(...answers.map((answer) => JSON.parse(answer.responseText)));
  }

  async function completeTheHalf() {
    if (!half) return;
    try {
      const content = await whole(half);
      Nthtree.bridge.language(half, content);
      half = null;
    } catch {
      // once the network is back; a text that is asked for until then, at once
    }
  }

  async function fetchOne(code) {
    if (!codes.includes(code) || given.has(code)) return;
    try {
      const content = await whole(code);
      if (given.has(code)) return;
      given.add(code);
      Nthtree.bridge.language(code, content);
    } catch {
      Nthtree.bridge.language(code, "");
    }
  }

  async function others() {
    await completeTheHalf();
    for (const code of codes) await fetchOne(code);
  }

  addEventListener("online", () => {
    askedAtOnce = false;
    if (given.size > 0) others();
  });
  return { connect, first, others, restAtOnce, remember, fetch: fetchOne };
})();
