// SPDX-License-Identifier: Apache-2.0
//
// Put behind the app's scripts by tools/first_visit: no text comes with the app, each comes alone when
// it is asked for, and its key is noted. NTHTREE_TEXTS is English as a whole.
"use strict";
(() => {
  const asked = new Set();
  const { languages } = globalThis.Nthtree;
  languages.others = async () => {};
  languages.asked = () => [...asked];
  languages.restAtOnce = (key) => {
    const text = globalThis.NTHTREE_TEXTS[key];
    if (text === undefined) return null;
    asked.add(key);
    return `${key}\x1d${text}\x1d`;
  };
})();
